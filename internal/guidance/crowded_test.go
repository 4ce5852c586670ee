package guidance

// Fences that are hard to prepare: what their tables take and how exact they are stays
// within what BuildFence promises, or they are refused. The oracles here know nothing of
// cells, and less of package planar than those of fence_test.go: plain loops over all
// edges and circles, and GEOS.

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/planar"
	"merestone/internal/tooltest"
)

// posts are round obstacles on a circle.
func posts(n int, circleMM float64, radiusMM int64) []planar.Circle {
	var all []planar.Circle
	for _, p := range star(planar.Point{}, n, circleMM, 0, 0) {
		all = append(all, planar.Circle{Centre: p, RadiusMM: radiusMM})
	}
	return all
}

// scattered are round obstacles anywhere in a square.
func scattered(n int, half, radiusMM int64, seed uint64) []planar.Circle {
	r := rand.New(rand.NewPCG(seed, 0))
	var all []planar.Circle
	for range n {
		all = append(all, planar.Circle{Centre: planar.Point{E: r.Int64N(2*half) - half, N: r.Int64N(2*half) - half}, RadiusMM: 1 + r.Int64N(radiusMM)})
	}
	return all
}

// spiral is a corridor of so many turns.
func spiral(turns int, widthMM float64, eachTurn int) planar.Ring {
	var ring planar.Ring
	at := func(i int, inner float64) planar.Point {
		angle := 2 * math.Pi * float64(i) / float64(eachTurn)
		r := widthMM * (2 + angle/(2*math.Pi) - inner)
		return planar.Point{E: int64(r * math.Cos(angle)), N: int64(r * math.Sin(angle))}
	}
	n := turns * eachTurn
	for i := range n {
		ring = append(ring, at(i, 0))
	}
	for i := n - 1; i >= 0; i-- {
		ring = append(ring, at(i, 0.8))
	}
	return ring
}

func ringsOf(circles []planar.Circle, corners int) []planar.Ring {
	var all []planar.Ring
	for _, c := range circles {
		all = append(all, star(c.Centre, corners, float64(c.RadiusMM), 0, 0))
	}
	return all
}

// wedges are narrow triangles with one corner in one place.
func wedges(n int) []planar.Ring {
	var all []planar.Ring
	for i := range n {
		corner := func(turn float64) planar.Point {
			sin, cos := math.Sincos(2*math.Pi*float64(i)/float64(n) + turn)
			return planar.Point{E: int64(math.Round(8000 * cos)), N: int64(math.Round(8000 * sin))}
		}
		all = append(all, planar.Ring{{}, corner(-0.02), corner(0.02)})
	}
	return all
}

// repeated are the same circle, over and over.
func repeated(n int, c planar.Circle) []planar.Circle { return slices.Repeat([]planar.Circle{c}, n) }

func nested(n int) []planar.Ring {
	var all []planar.Ring
	for i := range n {
		all = append(all, square(0, 0, 1000+int64(i)))
	}
	return all
}

// crowded are fences that are hard to prepare, and what is made of them.
func crowded() []crowdedSketch {
	wide, field := square(0, 0, 30_000), square(0, 0, 210_000)
	good := func(name string, boundary planar.Ring, rings []planar.Ring, circles []planar.Circle, reach uint16) crowdedSketch {
		return crowdedSketch{fenceSketch{name, boundary, rings, circles, reach}, 6, ""}
	}
	slack := func(mm uint16, k crowdedSketch) crowdedSketch { k.slackMM = mm; return k }
	refused := func(why string, k crowdedSketch) crowdedSketch { k.refused = why; return k }
	return []crowdedSketch{
		good("1,000 vertices", star(planar.Point{}, 1_000, 60_000, 0.02, 3), nil, nil, 1900),
		good("1,000 vertices on a circle of 5 m", star(planar.Point{}, 1_000, 5_000, 0, 3), nil, nil, 1900),
		slack(48, good("1,000 vertices on a circle of 1.5 m", star(planar.Point{}, 1_000, 1_500, 0, 3), nil, nil, 1900)),
		refused("would take more than", good("1,000 vertices on a circle of 3 m, reach 5 m", star(planar.Point{}, 1_000, 3_000, 0, 3), nil, nil, 5000)),
		good("120 posts", wide, nil, scattered(120, 28_000, 200, 1), 1900),
		good("250 posts", wide, nil, scattered(250, 28_000, 200, 2), 1900),
		good("250 posts, crowded", wide, nil, scattered(250, 4_000, 100, 2), 1900),
		good("250 posts on a circle of 1.5 m", wide, nil, posts(250, 1_500, 5), 1900),
		good("250 posts on a circle of 4 m", wide, nil, posts(250, 4_000, 20), 1900),
		slack(7, good("250 posts on a circle of 4 m, reach 6 m", wide, nil, posts(250, 4_000, 20), 6000)),
		good("120 posts on a circle of 1 m", wide, nil, posts(120, 1_000, 10), 1900),
		good("2,500 posts in a grid", square(0, 0, 60_000), nil, grid(50, 2_000, 50), 1900),
		good("comb", comb(40, 6, 500), nil, nil, 300),
		good("comb of 3 m", comb(40, 600, 3_000), nil, nil, 1900),
		refused("would take more than", good("comb with teeth of 5 m, 6 mm apart", comb(40, 6, 5_000), nil, nil, 1900)),
		good("spiral", spiral(8, 3_000, 60), nil, nil, 1900),
		good("narrow spiral", spiral(20, 300, 60), nil, nil, 1900),
		slack(7, good("300 overlapping circles", wide, nil, scattered(300, 15_000, 5_000, 5), 1900)),
		good("300 overlapping rings", wide, ringsOf(scattered(300, 15_000, 5_000, 5), 7), nil, 1900),
		good("100 overlapping rings of 50 corners", wide, ringsOf(scattered(100, 10_000, 6_000, 6), 50), nil, 1900),
		good("250 times the same circle", wide, nil, repeated(250, planar.Circle{RadiusMM: 1000}), 1900),
		good("250 times the same ring", wide, slices.Repeat([]planar.Ring{square(0, 0, 1000)}, 250), nil, 1900),
		good("250 rings, each a millimetre wider", wide, nested(250), nil, 1900),
		good("250 circles through one point", wide, nil, posts(250, 3_000, 3_000), 1900),
		good("250 circles that nearly meet in one point", wide, nil, posts(250, 3_000, 2_990), 1900),
		good("60 wedges that meet in a point", wide, wedges(60), nil, 1900),
		good("10,000 vertices", star(planar.Point{}, 10_000, 600_000, 0.0001, 3), nil, nil, 1900),
		good("10,000 posts in a grid", field, nil, grid(100, 4_000, 100), 1900),
		good("10,000 posts", field, nil, scattered(10_000, 200_000, 200, 9), 1900),
		good("16,000 vertices", star(planar.Point{}, 16_000, 16_000_000, 0.3/16_000, 3), nil, nil, 1250),
		slack(1037, good("posts beside a huge circle", square(0, 0, 9_000_000), nil, append(posts(100, 3_000, 40), planar.Circle{Centre: planar.Point{E: -8_500_000}, RadiusMM: 8_450_000}), 1900)),
	}
}

type crowdedSketch struct {
	fenceSketch
	slackMM uint16
	refused string
}

func TestCrowdedFencesKeepWithinTheBounds(t *testing.T) {
	for _, k := range crowded() {
		t.Run(k.name, func(t *testing.T) {
			began := time.Now()
			f, _, err := BuildFence(region(k.boundary), regions(k.rings), k.circles, k.reach)
			took := time.Since(began)
			assert.Less(t, took, 10*time.Second)
			if k.refused != "" {
				require.ErrorContains(t, err, k.refused)
				return
			}
			require.NoError(t, err)
			parts := len(k.boundary) + len(k.circles)
			for _, ring := range k.rings {
				parts += len(ring)
			}
			most := f.MarginInstructions()
			t.Logf("%d ms: %d edges and circles, %d bytes (%d each), at most %d instructions", took.Milliseconds(), parts, f.FlashBytes(), f.FlashBytes()/parts, most)
			assert.LessOrEqual(t, f.FlashBytes(), MaxFenceBytes(parts))
			assert.LessOrEqual(t, most, MaxMarginInstructions)
			assert.Equal(t, k.slackMM, f.SlackMM)
			assert.GreaterOrEqual(t, f.ExactWithinMM, k.reach+f.SlackMM)

			// Around the corners of cells, where what was left out would show; at random; and
			// near vertices and posts.
			o := newFenceOracle(k.boundary, k.rings, k.circles)
			r := rand.New(rand.NewPCG(7, 0))
			within := func(n int32) int32 { return r.Int32N(2*n+1) - n }
			cells := f.leaves()
			points := min(12_000, 40_000_000/(parts+1))
			for i := range points {
				var at Point
				switch i % 4 {
				case 0, 1:
					c := cells[r.IntN(len(cells))]
					at = boardPoint(c.corners()[r.IntN(4)])
					if i%8 < 2 {
						at = Point{int32(c.corner.E + r.Int64N(c.side())), int32(c.corner.N + r.Int64N(c.side()))}
					}
				case 2:
					e := f.Edges[r.IntN(len(f.Edges))]
					near := int32(1) << r.IntN(13)
					at = Point{e.EastMM + within(near), e.NorthMM + within(near)}
				case 3:
					at = Point{within(6_000), within(6_000)}
					if len(f.Circles) > 0 {
						c, near := f.Circles[r.IntN(len(f.Circles))], int32(1)<<r.IntN(13)
						at = Point{c.EastMM + within(c.RadiusMM+near), c.NorthMM + within(c.RadiusMM+near)}
					}
				}
				requireMargin(t, &f, o, at)
			}
		})
	}
}

// leaves are the cells that are not cut.
func (f *FenceTable) leaves() (cells []cell) {
	var walk func(group uint32, c cell)
	walk = func(group uint32, c cell) {
		for quarter, word := range f.Nodes[4*group : 4*group+4] {
			if q := c.quarter(quarter); word < nodeLeaf {
				walk(uint32(word), q)
			} else {
				cells = append(cells, q)
			}
		}
	}
	walk(0, cell{planar.Point{E: int64(f.WestMM), N: int64(f.SouthMM)}, int(f.RootLog2)})
	return cells
}

// loops answers from all edges and circles, one after the other.
type loops struct {
	rings   []planar.Ring // the boundary first
	circles []planar.Circle
}

// inside counts the edges that a ray to the east meets, on whole numbers; on tells of a
// point on an edge.
func inside(ring planar.Ring, p planar.Point) (in, on bool) {
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		cross := (b.E-a.E)*(p.N-a.N) - (b.N-a.N)*(p.E-a.E)
		if cross == 0 && min(a.E, b.E) <= p.E && p.E <= max(a.E, b.E) && min(a.N, b.N) <= p.N && p.N <= max(a.N, b.N) {
			return false, true
		}
		if (a.N > p.N) != (b.N > p.N) && (cross > 0) == (b.N > a.N) {
			in = !in
		}
	}
	return in, false
}

func (l loops) margin(p planar.Point) (mm float64, allowed bool) {
	allowed, mm = true, math.Inf(1)
	for i, ring := range l.rings {
		in, on := inside(ring, p)
		allowed = allowed && !on && in == (i == 0)
		for k, a := range ring {
			b := ring[(k+1)%len(ring)]
			dE, dN, pE, pN := float64(b.E-a.E), float64(b.N-a.N), float64(p.E-a.E), float64(p.N-a.N)
			part := min(max((pE*dE+pN*dN)/(dE*dE+dN*dN), 0), 1)
			mm = min(mm, math.Hypot(pE-part*dE, pN-part*dN))
		}
	}
	for _, c := range l.circles {
		dE, dN := p.E-c.Centre.E, p.N-c.Centre.N
		allowed = allowed && dE*dE+dN*dN > c.RadiusMM*c.RadiusMM
		mm = min(mm, math.Hypot(float64(dE), float64(dN))-float64(c.RadiusMM))
	}
	return mm, allowed
}

// Layouts of all that is awkward at once: clusters, equal distances, things that touch,
// share corners, lie within each other or stick out. Every one keeps what is promised.
func TestRandomCrowdsAgainstPlainLoops(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 0))
	refused, allowedPoints := 0, 0
	const layouts = 150
	for i := range layouts {
		half := []int64{300, 3_000, 30_000, 3_000_000}[i%4]
		boundary := star(planar.Point{}, 3+r.IntN(60), float64(half), 0.6*r.Float64(), r.Uint64())
		if region(boundary) == nil {
			boundary = square(0, 0, half)
		}
		l := loops{rings: []planar.Ring{boundary}}
		place := func() planar.Point {
			return planar.Point{E: r.Int64N(2*half) - half, N: r.Int64N(2*half) - half}
		}
		for range r.IntN(6) {
			middle, size := place(), 1+r.Int64N(half/2)
			switch r.IntN(5) {
			case 0: // posts on a circle
				l.circles = append(l.circles, posts(1+r.IntN(60), float64(size), 1+r.Int64N(size/10+1))...)
			case 1: // a heap of posts
				for range r.IntN(60) {
					at := planar.Point{E: middle.E + r.Int64N(size+1), N: middle.N + r.Int64N(size+1)}
					l.circles = append(l.circles, planar.Circle{Centre: at, RadiusMM: r.Int64N(size/4 + 1)})
				}
			case 2: // rings around one place
				for k := range r.IntN(12) {
					if ring := star(middle, 3+r.IntN(12), float64(size)*(1+float64(k)/20), 0.3, r.Uint64()); region(ring) != nil {
						l.rings = append(l.rings, ring)
					}
				}
			case 3: // neighbours that share walls
				for k := range int64(r.IntN(8)) {
					l.rings = append(l.rings, square(middle.E+2*k*size/8, middle.N, max(size/8, 1)))
				}
			case 4: // circles that touch in a point
				for k := range int64(r.IntN(9)) {
					l.circles = append(l.circles, planar.Circle{Centre: planar.Point{E: middle.E + k*size/9, N: middle.N}, RadiusMM: k * size / 9})
				}
			}
		}
		for k, c := range l.circles { // "posts" are around the origin
			if c.Centre.E > 20_000_000 || c.RadiusMM > 20_000_000 {
				l.circles[k] = planar.Circle{}
			}
		}
		f, _, err := BuildFence(region(boundary), regions(l.rings[1:]), l.circles, uint16(1+r.IntN(6_000)))
		if err != nil {
			require.ErrorContains(t, err, "too intricate")
			refused++
			continue
		}
		require.LessOrEqual(t, f.MarginInstructions(), MaxMarginInstructions)
		cells := f.leaves()
		for k := range 1_500 {
			c := cells[r.IntN(len(cells))]
			at := boardPoint(c.corners()[r.IntN(4)])
			if k%2 == 0 {
				at = Point{int32(c.corner.E + r.Int64N(c.side())), int32(c.corner.N + r.Int64N(c.side()))}
			}
			exact, allowed := l.margin(planar.Point{E: int64(at.EastMM), N: int64(at.NorthMM)})
			if allowed {
				allowedPoints++
			}
			requirePromise(t, &f, at, allowed, exact)
		}
	}
	t.Logf("%d of %d layouts refused; %d points allowed", refused, layouts, allowedPoints)
	assert.Less(t, refused, layouts/10)
	assert.Greater(t, allowedPoints, 30*layouts)
}

// The same by GEOS, which answers of the whole geometry in one.
func TestCrowdedFencesAgainstGEOS(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 0))
	ring := func(p planar.Ring) string {
		var corners []string
		for _, v := range append(slices.Clone(p), p[0]) {
			corners = append(corners, fmt.Sprintf("%d %d", v.E, v.N))
		}
		return strings.Join(corners, ",")
	}
	for _, k := range []fenceSketch{
		{"overlapping rings", square(0, 0, 20_000), ringsOf(scattered(80, 15_000, 4_000, 5), 7), nil, 1900},
		{"vertices on a circle", star(planar.Point{}, 300, 3_000, 0, 3), nil, nil, 1900},
		{"wedges", square(0, 0, 9_000), wedges(40), nil, 3000},
		{"spiral", spiral(5, 1_500, 40), nil, nil, 1900},
	} {
		f, _, err := BuildFence(region(k.boundary), regions(k.rings), nil, k.reach)
		require.NoError(t, err)
		lines := []string{"(" + ring(k.boundary) + ")"}
		var polygons []string
		for _, o := range k.rings {
			lines = append(lines, "("+ring(o)+")")
			polygons = append(polygons, "POLYGON(("+ring(o)+"))")
		}
		var at []Point
		var points []string
		cells := f.leaves()
		for range 3_000 {
			c := cells[r.IntN(len(cells))]
			p := Point{int32(c.corner.E + r.Int64N(c.side())), int32(c.corner.N + r.Int64N(c.side()))}
			at, points = append(at, p), append(points, fmt.Sprintf("POINT(%d %d)", p.EastMM, p.NorthMM))
		}
		within := tooltest.GeosBools(t, "contains", []string{"POLYGON((" + ring(k.boundary) + "))"}, points)[0]
		distances := tooltest.GeosDistances(t, "nearestPoints", []string{"MULTILINESTRING(" + strings.Join(lines, ",") + ")"}, points)[0]
		struck := make([]bool, len(points))
		if len(polygons) > 0 {
			for _, row := range tooltest.GeosBools(t, "intersects", polygons, points) {
				for i, s := range row {
					struck[i] = struck[i] || s
				}
			}
		}
		allowedPoints := 0
		for i, p := range at {
			allowed := within[i] && !struck[i]
			if allowed {
				allowedPoints++
			}
			requirePromise(t, &f, p, allowed, distances[i])
		}
		t.Logf("%s: %d of %d points allowed", k.name, allowedPoints, len(at))
		assert.Greater(t, allowedPoints, 300)
	}
}
