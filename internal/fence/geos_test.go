// The outside check: GEOS, by its command geosop (Debian package geos-bin), on
// random fences of rings and circles that nest, touch, overlap, share corners and
// stick out. It knows nothing of this project; every answer to ten thousand
// segments must be the same.
//
// Distances are taken between the two points that GEOS finds nearest, in float64.
// On a grid of 50 by 50 a squared distance is a fraction with a denominator q of at
// most 5000, so that a distance d < 71 that is no whole number is at least
// 1/(2·q·d) > 1e-6 away from one, and two that differ are further apart than
// float64 can be wrong. Scaled up, both gaps grow.
package fence

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/planar"
	"merestone/internal/tooltest"
)

func wkt(points ...planar.Point) string {
	var words []string
	for _, p := range points {
		words = append(words, fmt.Sprintf("%d %d", p.E, p.N))
	}
	return strings.Join(words, ",")
}

func wktSegment(s planar.Segment) string {
	if s.A == s.B {
		return "POINT(" + wkt(s.A) + ")"
	}
	return "LINESTRING(" + wkt(s.A, s.B) + ")"
}

func wktPolygon(r planar.Ring) string {
	return "POLYGON((" + wkt(append(slices.Clone(r), r[0])...) + "))"
}

const gridSide = 50

// randomFence is a fence on a grid of gridSide by gridSide, times a scale.
func randomFence(rng *rand.Rand, scale int64) (boundary Part, obstacles []Part) {
	point := func(least, most int64) planar.Point {
		return planar.Point{E: scale * (least + rng.Int64N(most-least+1)), N: scale * (least + rng.Int64N(most-least+1))}
	}
	// Points in the order of their bearings from the middle, if that makes a ring.
	sound := func(name string, line, corners int, least, most int64, shared []planar.Point) Part {
		for {
			var points []planar.Point
			for len(points) < corners {
				if name == "F" { // room in the middle
					if p := point(least, most); p.Sub(planar.Point{E: gridSide / 2 * scale, N: gridSide / 2 * scale}).Norm2() > 300*scale*scale {
						points = append(points, p)
					}
					continue
				}
				if len(shared) > 0 && rng.IntN(4) == 0 {
					points = append(points, shared[rng.IntN(len(shared))])
				} else {
					points = append(points, point(least, most))
				}
			}
			var middle planar.Vector
			for _, p := range points {
				middle.E, middle.N = middle.E+p.E/int64(corners), middle.N+p.N/int64(corners)
			}
			bearing := func(p planar.Point) float64 { return math.Atan2(float64(p.N-middle.N), float64(p.E-middle.E)) }
			slices.SortFunc(points, func(a, b planar.Point) int { return int(math.Copysign(1, bearing(a)-bearing(b))) })
			if rng.IntN(2) == 0 {
				slices.Reverse(points)
			}
			if _, faults := planar.NewRegion(points); len(faults) == 0 {
				return ring(name, line, points...)
			}
		}
	}
	boundary = sound("F", 1, 5+rng.IntN(9), 0, gridSide, nil)
	corners := slices.Clone(boundary.Vertices)
	for i := range 2 + rng.IntN(7) {
		name, line := fmt.Sprintf("thing %d.", i), 2+i
		if rng.IntN(3) == 0 {
			c := point(5, 45)
			if len(corners) > 0 && rng.IntN(3) == 0 {
				c = corners[rng.IntN(len(corners))]
			}
			obstacles = append(obstacles, circle(name, line, c.E, c.N, scale*(1+rng.Int64N(6))))
			continue
		}
		o := sound(name, line, 3+rng.IntN(4), 3, 47, corners)
		if rng.IntN(3) > 0 { // small ones too
			from := rng.Int64N(30)
			o = sound(name, line, 3+rng.IntN(3), from, from+12, corners)
		}
		corners = append(corners, o.Vertices...)
		obstacles = append(obstacles, o)
	}
	return boundary, obstacles
}

// outsideView is what GEOS says of one fence and many segments.
type outsideView struct {
	names   []string    // of every edge and circle, rings first as listed, then circles
	parts   []int       //
	mm      [][]float64 // of each of them from every segment
	covered []bool      // by the boundary
	struck  map[int][]bool
}

func look(t *testing.T, boundary Part, obstacles []Part, segments []string) outsideView {
	v := outsideView{struck: map[int][]bool{}}
	var edges []string
	add := func(n int, p Part, what string) {
		for i, m := range p.Marks {
			next := p.Marks[(i+1)%len(p.Marks)]
			v.names, v.parts = append(v.names, what+" edge "+m.Name+"–"+next.Name), append(v.parts, n)
			edges = append(edges, wktSegment(p.Vertices.Edge(i)))
		}
	}
	add(Boundary, boundary, "boundary")
	v.covered = tooltest.GeosBools(t, "covers", []string{wktPolygon(boundary.Vertices)}, segments)[0]
	for n, o := range obstacles {
		if !o.IsCircle {
			add(n, o, "obstacle "+o.Name)
			v.struck[n] = tooltest.GeosBools(t, "intersects", []string{wktPolygon(o.Vertices)}, segments)[0]
		}
	}
	rings := len(edges)
	for n, o := range obstacles {
		if o.IsCircle {
			v.names, v.parts = append(v.names, "obstacle "+o.Name), append(v.parts, n)
			edges = append(edges, "POINT("+wkt(o.Circle.Centre)+")")
		}
	}
	v.mm = tooltest.GeosDistances(t, "nearestPoints", edges, segments)
	for i, row := range v.mm[rings:] {
		n := v.parts[rings+i]
		for j := range row {
			row[j] -= float64(obstacles[n].Circle.RadiusMM)
			v.struck[n] = append(v.struck[n], row[j] < -hair)
		}
	}
	return v
}

// hair is what float64 may be off at the distances here, in millimetres.
const hair = 1e-7

func floorMM(d float64) int64 { return int64(math.Floor(d + hair)) }

func TestAgainstGEOS(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 17))
	seen := map[string]int{}
	for i := range 40 {
		scale := []int64{1, 1000, 400_000}[i%3]
		boundary, obstacles := randomFence(rng, scale)
		f := New(boundary, obstacles)
		require.True(t, f.Sound())
		var segments []planar.Segment
		var texts []string
		for range 260 {
			grid := func() planar.Point {
				return planar.Point{E: scale * (rng.Int64N(gridSide+5) - 2), N: scale * (rng.Int64N(gridSide+5) - 2)}
			}
			s := planar.Segment{A: grid(), B: grid()}
			switch rng.IntN(4) {
			case 0:
				s.B = s.A
			case 1: // a short one
				s.B = planar.Point{E: s.A.E + scale*(rng.Int64N(9)-4), N: s.A.N + scale*(rng.Int64N(9)-4)}
			}
			segments, texts = append(segments, s), append(texts, wktSegment(s))
		}
		v := look(t, boundary, obstacles, texts)
		for j, s := range segments {
			requireAsSeen(t, &f, v, j, s, rng.Int64N(8*scale), seen)
		}
		requireCovers(t, &f, seen)
	}
	t.Log(seen)
	for _, c := range []string{"outside", "struck", "struck two", "clear", "near a circle", "near a ring", "equally near", "meets", "covers", "does not cover"} {
		assert.Greater(t, seen[c], 30, c)
	}
}

func requireAsSeen(t *testing.T, f *Fence, v outsideView, j int, s planar.Segment, within int64, seen map[string]int) {
	t.Helper()
	// The nearest: rings before circles at one whole millimetre, the nearer ring
	// first, then the first listed.
	best := 0
	var near []int
	ties := 0
	for k, row := range v.mm {
		d, b := row[j], v.mm[best][j]
		round, bestRound := !strings.Contains(v.names[k], " edge "), !strings.Contains(v.names[best], " edge ")
		switch {
		case round && floorMM(d) < floorMM(b), !round && !bestRound && d < b-hair:
			best = k
		}
		if floorMM(d) < within {
			near = append(near, v.parts[k])
		}
	}
	for k := range v.mm {
		if math.Abs(v.mm[k][j]-v.mm[best][j]) < hair && v.parts[k] != v.parts[best] {
			ties = 1
		}
	}
	seen["equally near"] += ties
	edge, mm, ok := f.Nearest(s, Anywhere)
	require.True(t, ok)
	require.Equal(t, floorMM(v.mm[best][j]), mm, "%v", s)
	require.Equal(t, v.names[best], f.Name(edge), "%v", s)
	if edge.Number == Round {
		seen["near a circle"]++
	} else {
		seen["near a ring"]++
	}
	if mm == 0 {
		seen["meets"]++
	}
	edge, least, ok := f.Nearest(s, within)
	require.Equal(t, mm < within, ok)
	if ok {
		require.Equal(t, v.names[best], f.Name(edge))
		require.Equal(t, mm, least)
	}
	slices.Sort(near)
	require.Equal(t, slices.Compact(near), f.Within(s, within), "%v within %d", s, within)

	var struck []int
	for n := range f.Obstacles {
		if v.struck[n][j] {
			struck = append(struck, n)
		}
	}
	p := f.Passage(s)
	require.Equal(t, !v.covered[j], p.Outside, "%v", s)
	require.Equal(t, struck, p.Struck, "%v", s)
	clear := v.covered[j] && len(struck) == 0
	require.Equal(t, clear, p.Clear())
	switch {
	case p.Outside:
		seen["outside"]++
	case len(struck) > 1:
		seen["struck two"]++
	case len(struck) == 1:
		seen["struck"]++
	default:
		seen["clear"]++
	}
}

// requireCovers asks of every two parts whether the one covers the other.
func requireCovers(t *testing.T, f *Fence, seen map[string]int) {
	t.Helper()
	// Of every part its area, its line (the centre of a circle) and its vertices; and
	// a centre, which of a ring is any point, and the area of a circle any area.
	var parts []*Part
	var areas, lines, centres []string
	vertices := map[int][]string{}
	for _, p := range f.Parts() {
		area, line, centre := "POLYGON((-9 -9,-8 -9,-9 -8,-9 -9))", "POINT("+wkt(p.Circle.Centre)+")", "POINT("+wkt(p.Circle.Centre)+")"
		if !p.IsCircle {
			closed := wkt(append(slices.Clone(p.Vertices), p.Vertices[0])...)
			area, line = "POLYGON(("+closed+"))", "LINESTRING("+closed+")"
		}
		for _, v := range p.Vertices {
			vertices[len(parts)] = append(vertices[len(parts)], "POINT("+wkt(v)+")")
		}
		parts, areas, lines, centres = append(parts, p), append(areas, area), append(lines, line), append(centres, centre)
	}
	covers := tooltest.GeosBools(t, "covers", areas, areas)
	holds := tooltest.GeosBools(t, "covers", areas, centres)
	apart := tooltest.GeosDistances(t, "nearestPoints", lines, centres)
	for i, p := range parts {
		for j, q := range parts {
			got := p.Covers(q)
			seen[map[bool]string{true: "covers", false: "does not cover"}[got]]++
			switch {
			case p.IsCircle && q.IsCircle:
				require.Equal(t, apart[i][j]+float64(q.Circle.RadiusMM) < float64(p.Circle.RadiusMM)+hair, got)
			case p.IsCircle:
				farthest := slices.Max(tooltest.GeosDistances(t, "nearestPoints", centres[i:i+1], vertices[j])[0])
				require.Equal(t, farthest < float64(p.Circle.RadiusMM)+hair, got)
			case q.IsCircle:
				require.Equal(t, holds[i][j] && apart[i][j] > float64(q.Circle.RadiusMM)-hair, got)
			default:
				require.Equal(t, covers[i][j], got)
			}
		}
	}
}
