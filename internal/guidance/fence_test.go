package guidance

// The fence against the planar package, which knows nothing of cells and lists:
// containment exactly, and the margin between its two bounds.

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/planar"
)

// fenceOracle answers from the rings themselves.
type fenceOracle struct {
	boundary *planar.Region
	rings    []*planar.Region
	edges    *planar.Index
	circles  []planar.Circle
}

func newFenceOracle(boundary planar.Ring, rings []planar.Ring, circles []planar.Circle) fenceOracle {
	o := fenceOracle{boundary: region(boundary), rings: regions(rings), circles: circles}
	edges := boundary.Edges()
	for _, ring := range rings {
		edges = append(edges, ring.Edges()...)
	}
	o.edges = planar.NewIndex(edges)
	return o
}

func (o fenceOracle) allowed(p planar.Point) bool {
	if o.boundary.Contains(p) != planar.Inside {
		return false
	}
	for _, ring := range o.rings {
		if ring.Contains(p) != planar.Outside {
			return false
		}
	}
	for _, c := range o.circles {
		if p.Sub(c.Centre).Norm2() <= c.RadiusMM*c.RadiusMM {
			return false
		}
	}
	return true
}

// margin is the true distance to the nearest edge or circle, in mm.
func (o fenceOracle) margin(p planar.Point) float64 {
	_, _, distance := o.edges.Nearest(planar.Segment{A: p, B: p})
	for _, c := range o.circles {
		v := p.Sub(c.Centre)
		distance = min(distance, math.Hypot(float64(v.E), float64(v.N))-float64(c.RadiusMM))
	}
	return distance
}

// requireMargin checks one point.
func requireMargin(t testing.TB, f *FenceTable, o fenceOracle, at Point) (allowed bool) {
	t.Helper()
	p := planar.Point{E: int64(at.EastMM), N: int64(at.NorthMM)}
	if allowed = o.allowed(p); !allowed {
		requirePromise(t, f, at, false, 0)
		return false
	}
	requirePromise(t, f, at, true, o.margin(p))
	return true
}

// requirePromise checks what is promised of a margin.
func requirePromise(t testing.TB, f *FenceTable, at Point, allowed bool, exact float64) {
	t.Helper()
	got, exactWithin, slack := f.MarginMM(at), float64(f.ExactWithinMM), float64(f.SlackMM)
	switch {
	case allowed != (got >= 0):
		require.Equal(t, allowed, got >= 0, "at %v: margin %d", at, got)
	case !allowed:
	case float64(got) > exact+1e-6:
		require.LessOrEqual(t, float64(got), exact, "margin too large at %v", at)
	case float64(got) < min(exact, exactWithin)-slack-1e-6,
		exact > exactWithin && float64(got) < 0.75*min(exact, float64(f.LimitMM))-slack-1e-6:
		require.Fail(t, "margin too small", "at %v: %d, exactly %f", at, got, exact)
	}
}

type fenceSketch struct {
	name     string
	boundary planar.Ring
	rings    []planar.Ring
	circles  []planar.Circle
	reach    uint16
}

// comb has teeth a few millimetres apart, and edges along the axes that pass
// through many corners of cells.
func comb(teeth int, pitch, height int64) planar.Ring {
	ring := planar.Ring{{E: 0, N: -1000}, {E: int64(teeth) * pitch, N: -1000}}
	for i := teeth; i > 0; i-- {
		e := int64(i) * pitch
		ring = append(ring, planar.Point{E: e, N: height}, planar.Point{E: e - pitch/2, N: height},
			planar.Point{E: e - pitch/2, N: 0}, planar.Point{E: e - pitch + 1, N: 0})
	}
	return append(ring, planar.Point{E: 0, N: 0})
}

func fenceSketches() []fenceSketch {
	var all []fenceSketch
	for _, k := range sketches() {
		all = append(all, fenceSketch{k.name, k.boundary, k.rings, k.circles, 1250})
	}
	return append(all,
		fenceSketch{"one square", square(0, 0, 32_768), nil, nil, 1000},
		fenceSketch{"diamond on the diagonals", planar.Ring{{E: 65_536, N: 0}, {E: 0, N: 65_536}, {E: -65_536, N: 0}, {E: 0, N: -65_536}}, nil, nil, 2000},
		fenceSketch{"comb", comb(40, 6, 500), nil, nil, 300},
		fenceSketch{"small room of many corners", star(planar.Point{}, 64, 1_500, 0, 0), nil, nil, 2500},
		fenceSketch{"spike a millimetre wide", planar.Ring{{E: -9000, N: -9000}, {E: 9000, N: -9000}, {E: 9000, N: 9000}, {E: 1, N: 9000}, {E: 0, N: -8000}, {E: 0, N: 9000}, {E: -9000, N: 9000}}, nil, nil, 1500},
		fenceSketch{"obstacles that overlap and stick out", square(0, 0, 20_000),
			[]planar.Ring{square(5_000, 5_000, 4_000), square(8_000, 8_000, 4_000), square(6_500, 6_500, 3_000), square(20_000, 0, 5_000), square(-20_000, -20_000, 6_000), square(-40_000, -21_000, 21_500)},
			[]planar.Circle{{Centre: planar.Point{E: 5_000, N: 9_000}, RadiusMM: 3_000}, {Centre: planar.Point{E: -20_000, N: 20_000}, RadiusMM: 5_000}, {Centre: planar.Point{E: 0, N: -5_000}, RadiusMM: 0}}, 1500},
		fenceSketch{"obstacle all over", square(0, 0, 2_000), []planar.Ring{square(0, 0, 5_000)}, nil, 1500},
		fenceSketch{"huge circle", square(0, 0, 9_000_000), nil, []planar.Circle{{Centre: planar.Point{E: 3, N: 4}, RadiusMM: 8_000_000}}, 1500},
		fenceSketch{"many round obstacles", square(0, 0, 30_000), nil, grid(15, 4_000, 1_500), 1200},
		fenceSketch{"two thousand vertices", star(planar.Point{}, 2_000, 1_000_000, 0.1, 5), []planar.Ring{square(0, 0, 40_000)}, nil, 2500},
	)
}

func grid(n int, pitch, radius int64) []planar.Circle {
	var circles []planar.Circle
	for i := range n * n {
		e, nn := int64(i%n-n/2)*pitch, int64(i/n-n/2)*pitch
		circles = append(circles, planar.Circle{Centre: planar.Point{E: e, N: nn}, RadiusMM: radius})
	}
	return circles
}

func TestFenceIsExact(t *testing.T) {
	for _, k := range fenceSketches() {
		t.Run(k.name, func(t *testing.T) {
			f, vertices, err := BuildFence(region(k.boundary), regions(k.rings), k.circles, k.reach)
			require.NoError(t, err)
			requireVertices(t, &f, vertices, append([]planar.Ring{k.boundary}, k.rings...))
			o := newFenceOracle(k.boundary, k.rings, k.circles)
			r := rand.New(rand.NewPCG(11, 0))
			within := func(n int32) int32 { return r.Int32N(2*n+1) - n }
			side := int32(1) << f.RootLog2
			allowed := 0
			const points = 40_000
			for i := range points {
				var at Point
				first := r.IntN(len(f.Edges) - 1) // of the entry that closes a ring: the way to the next ring
				switch edge, next := f.Edges[first], f.Edges[first+1]; i % 8 {
				case 0: // vertices and their neighbourhood
					at = Point{edge.EastMM + within(2), edge.NorthMM + within(2)}
				case 1, 2, 3: // along edges
					along := r.Int64N(1<<16 + 1)
					near := []int32{1, 1, 30, 3000}[i%4]
					at = Point{
						edge.EastMM + int32(int64(next.EastMM-edge.EastMM)*along>>16) + within(near),
						edge.NorthMM + int32(int64(next.NorthMM-edge.NorthMM)*along>>16) + within(near),
					}
				case 4: // on and around circles
					if len(f.Circles) > 0 {
						c := f.Circles[r.IntN(len(f.Circles))]
						sin, cos := math.Sincos(r.Float64() * 2 * math.Pi)
						at = Point{c.EastMM + int32(float64(c.RadiusMM)*cos) + within(3), c.NorthMM + int32(float64(c.RadiusMM)*sin) + within(3)}
						break
					}
					fallthrough
				default:
					at = Point{f.WestMM + r.Int32N(side), f.SouthMM + r.Int32N(side)}
				}
				if requireMargin(t, &f, o, at) {
					allowed++
				}
			}
			depth, longest := f.Effort()
			t.Logf("%d vertices and circles: %d bytes, depth %d, longest list %d; %.0f %% of the points allowed",
				len(f.Edges)+len(f.Circles), f.FlashBytes(), depth, longest, 100*float64(allowed)/points)
		})
	}
}

// requireVertices: each entry of the table is at the vertex it is said to be, the
// rings come one after the other, and within each the vertices come in their order
// or against it, all of them, up to the first again.
func requireVertices(t *testing.T, f *FenceTable, vertices []RingVertex, rings []planar.Ring) {
	t.Helper()
	require.Len(t, vertices, len(f.Edges))
	at := 0
	for number, ring := range rings {
		n := len(ring)
		step := (vertices[at+1].Vertex - vertices[at].Vertex + n) % n
		require.Contains(t, []int{1, n - 1}, step)
		for i := range n + 1 {
			v, e := vertices[at+i], f.Edges[at+i]
			require.Equal(t, RingVertex{number, (vertices[at].Vertex + i*step) % n}, v)
			require.Equal(t, ring[v.Vertex], planar.Point{E: int64(e.EastMM), N: int64(e.NorthMM)})
		}
		at += n + 1
	}
	require.Equal(t, len(vertices), at)
}

// Every point there is, in and around fences small enough for that.
func TestSmallFencesAreExactEverywhere(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 0))
	for i := range 40 {
		var boundary planar.Ring
		for boundary == nil || region(boundary) == nil {
			boundary = star(planar.Point{E: r.Int64N(9), N: r.Int64N(9)}, 3+r.IntN(9), 5+60*r.Float64(), 1.5*r.Float64(), r.Uint64())
		}
		var rings []planar.Ring
		for range r.IntN(3) {
			ring := star(planar.Point{E: r.Int64N(80) - 40, N: r.Int64N(80) - 40}, 3+r.IntN(5), 3+20*r.Float64(), r.Float64(), r.Uint64())
			if region(ring) != nil {
				rings = append(rings, ring)
			}
		}
		var circles []planar.Circle
		for range r.IntN(3) {
			circles = append(circles, planar.Circle{Centre: planar.Point{E: r.Int64N(80) - 40, N: r.Int64N(80) - 40}, RadiusMM: r.Int64N(15)})
		}
		f, _, err := BuildFence(region(boundary), regions(rings), circles, uint16(5+r.IntN(40)))
		require.NoError(t, err, "fence %d", i)
		o := newFenceOracle(boundary, rings, circles)
		for e := int32(-110); e <= 110; e++ {
			for n := int32(-110); n <= 110; n++ {
				requireMargin(t, &f, o, Point{e, n})
			}
		}
	}
}

func TestFenceFarAway(t *testing.T) {
	m := orchard().mission(t)
	for _, at := range []Point{
		{math.MaxInt32, math.MaxInt32}, {math.MinInt32, math.MinInt32}, {math.MaxInt32, 0}, {0, math.MinInt32},
		{m.Fence.WestMM - 1, 0}, {0, m.Fence.SouthMM - 1},
		{m.Fence.WestMM + 1<<m.Fence.RootLog2, 0}, {m.Fence.WestMM, m.Fence.SouthMM},
	} {
		assert.EqualValues(t, -1, m.Fence.MarginMM(at), "%v", at)
	}
}

// Flash grows in proportion to the vertices, depth with their logarithm, and the
// lists hardly at all.
func TestFenceGrowth(t *testing.T) {
	for _, c := range []struct{ vertices, bytes, depth, longest int }{
		{4, 200, 3, 4},
		{64, 3_000, 6, 4},
		{500, 25_000, 9, 5},
		{2_000, 100_000, 11, 6},
		{8_000, 400_000, 13, 6},
		{16_000, 550_000, 13, 8},
	} {
		radius := float64(c.vertices) * 1_000 // edges of about 6 m
		started := star(planar.Point{}, c.vertices, min(radius, 19e6), 0.3/float64(c.vertices), 3)
		f, _, err := BuildFence(region(started), nil, nil, 1250)
		require.NoError(t, err)
		depth, longest := f.Effort()
		t.Logf("%d vertices: %d bytes (%d a vertex), depth %d, longest list %d", c.vertices, f.FlashBytes(), f.FlashBytes()/c.vertices, depth, longest)
		assert.LessOrEqual(t, f.FlashBytes(), c.bytes, "%d vertices", c.vertices)
		assert.LessOrEqual(t, depth, c.depth, "%d vertices", c.vertices)
		assert.LessOrEqual(t, longest, c.longest, "%d vertices", c.vertices)
	}
}

func TestFencesRefused(t *testing.T) {
	good := square(0, 0, 1000)
	for name, c := range map[string]struct {
		boundary planar.Ring
		circles  []planar.Circle
		want     string
	}{
		"circle out of range": {good, []planar.Circle{{Centre: planar.Point{E: 30_000_000, N: 0}, RadiusMM: 1}}, "obstacle circle 1"},
		"negative radius":     {good, []planar.Circle{{RadiusMM: -1}}, "obstacle circle 1"},
		"too many vertices":   {star(planar.Point{}, 16_400, 15e6, 0, 0), nil, "more than 16383"},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := BuildFence(region(c.boundary), nil, c.circles, 1000)
			require.ErrorContains(t, err, c.want)
		})
	}
}

// Tables that do not hold together are found before they get to a board.
func TestSpoiltFenceTablesAreFound(t *testing.T) {
	sound := orchard().mission(t).Fence
	require.NoError(t, sound.check())
	for name, spoil := range map[string]func(f *FenceTable){
		"a group leads back":       func(f *FenceTable) { f.Nodes[len(f.Nodes)-1] = 0 },
		"a group beyond the table": func(f *FenceTable) { f.Nodes[0] = nodeLeaf - 1 },
		"a list beyond the table":  func(f *FenceTable) { f.Nodes[0] = nodeLeaf | nodeIndex },
		"an entry beyond":          func(f *FenceTable) { f.Lists[2] = entryIndex },
		"the end of a ring":        func(f *FenceTable) { f.Lists[2] = 64 },
		"an open ring":             func(f *FenceTable) { f.Edges = f.Edges[:len(f.Edges)-1] },
		"no unit":                  func(f *FenceTable) { f.MarginUnitMM = 0 },
		"deeper than the root":     func(f *FenceTable) { f.RootLog2 = 2 },
	} {
		t.Run(name, func(t *testing.T) {
			f := sound
			f.Nodes = append([]uint16(nil), sound.Nodes...)
			f.Lists = append([]uint16(nil), sound.Lists...)
			spoil(&f)
			require.Error(t, f.check())
		})
	}
}

// Effort is the largest number of cuts that a query passes, and the
// largest number of edges and circles that it looks at: together they bound the
// time of mere_fence_margin.
func (f *FenceTable) Effort() (depth, longest int) {
	var walk func(group uint32, level int)
	walk = func(group uint32, level int) {
		depth = max(depth, level)
		for _, w := range f.Nodes[4*group : 4*group+4] {
			switch {
			case w < nodeLeaf:
				walk(uint32(w), level+1)
			case w > nodeLeaf && w < nodeClear:
				longest = max(longest, int(f.Lists[uint32(w&nodeIndex)<<f.ListLog2]&listCount))
			}
		}
	}
	walk(0, 1)
	return depth, longest
}
