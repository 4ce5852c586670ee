package planar

// The outside check: GEOS, the geometry engine of most geographic software, by
// its command geosop (Debian package geos-bin, 3.11.1-1). It answers in floating
// point, but decides which side of a line a point is on in extended precision,
// which is exact for whole numbers of this size; so every yes and no must agree.
//
// geosop prints a distance with six figures only. The points between which the
// distance lies can be had in full (nearestPoints as WKB), so the distance is
// taken from both: the printed one to its six figures, that between the points
// to 1e-9 of itself and what rounding a coordinate to float64 does (one unit in
// the last place of 2e7 mm is 3.7e-9 mm, twice, each way: 2e-8 mm).

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

func (p Point) wkt() string { return fmt.Sprintf("POINT(%d %d)", p.E, p.N) }

func (s Segment) wkt() string {
	if s.A == s.B {
		return s.A.wkt()
	}
	return fmt.Sprintf("LINESTRING(%d %d,%d %d)", s.A.E, s.A.N, s.B.E, s.B.N)
}

func (r Ring) wkt() string {
	var b strings.Builder
	for _, p := range r {
		fmt.Fprintf(&b, "%d %d,", p.E, p.N)
	}
	return fmt.Sprintf("POLYGON((%s%d %d))", b.String(), r[0].E, r[0].N)
}

func wkts[T interface{ wkt() string }](list []T) []string {
	var texts []string
	for _, x := range list {
		texts = append(texts, x.wkt())
	}
	return texts
}

func sameDistance(t *testing.T, want, got float64, detail ...any) {
	t.Helper()
	require.InDelta(t, want, got, 1e-9*want+2e-8, detail...)
}

func TestSegmentsAgainstGEOS(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 41))
	// Each grid against itself: coarse, so that many pairs touch or overlap; the
	// whole site on a coarse grid; and any millimetre of the site.
	for _, g := range []struct{ side, scale int64 }{{3, 1}, {8, 1}, {8, 5_000_000}, {2 * MaxCoordinate, 1}} {
		var a, b []Segment
		for range 100 {
			a = append(a, gridSegment(g.side, g.scale, rng))
			b = append(b, gridSegment(g.side, g.scale, rng))
		}
		meets := tooltest.GeosBools(t, "intersects", wkts(a), wkts(b))
		relate := tooltest.Geosop(t, "txt", "relate", wkts(a), wkts(b))
		printed := tooltest.GeosFloats(t, "distance", wkts(a), wkts(b))
		full := tooltest.GeosDistances(t, "nearestPoints", wkts(a), wkts(b))
		seen := map[Crossing]int{}
		for i, s := range a {
			for j, u := range b {
				kind := s.Crossing(u)
				seen[kind]++
				require.Equal(t, meets[i][j], s.Intersects(u), "%v and %v", s, u)
				if s.A != s.B && u.A != u.B {
					require.Equal(t, crossingOf(relate[i][j]), kind, "%v and %v are %s", s, u, relate[i][j])
				}
				d := s.DistanceMM(u)
				require.InDelta(t, printed[i][j], d, 5.1e-6*d, "%v and %v", s, u)
				sameDistance(t, full[i][j], d, "%v and %v", s, u)
			}
		}
		t.Logf("grid of %d steps of %d mm: %v", g.side, g.scale, seen)
	}
}

// crossingOf reads a DE-9IM matrix of two lines: its first digit is the
// dimension of what their interiors have in common (0 a point, 1 a stretch).
func crossingOf(matrix string) Crossing {
	switch {
	case matrix[0] == '1':
		return Overlap
	case matrix[0] == '0':
		return Proper
	case matrix[1] != 'F' || matrix[3] != 'F' || matrix[4] != 'F':
		return Touch
	}
	return Apart
}

func TestRingFaultsAgainstGEOS(t *testing.T) {
	rng := rand.New(rand.NewPCG(42, 42))
	rings := []Ring{
		notched,
		{{0, 0}, {10, 10}, {10, 0}, {0, 10}}, // a bow-tie
		{{0, 0}, {1, 1}, {1, 0}, {0, 1}},     // one crossing off the grid
		{{0, 0}, {5, 5}, {10, 0}, {10, 10}, {5, 5}, {0, 10}},           // joined at a vertex
		{{0, 0}, {10, 0}, {10, 10}, {5, 0}, {0, 10}},                   // a vertex on an edge
		{{0, 0}, {20, 0}, {10, 0}, {10, 10}},                           // a spike outward
		{{0, 0}, {10, 0}, {10, 10}, {5, 10}, {5, 4}, {5, 10}, {0, 10}}, // and inward
		{{0, 0}, {3, 1}, {6, 2}},                                       // on one line
		{{0, 0}, {10, 0}, {10, 0}, {0, 10}},                            // a vertex twice running
		fence(5_000, 1.9e7, rng),
		star(5_000, 1.9e7),
		comb(5_000, Vector{1.4e7, -1.4e7}, Vector{1.4e7, 1.4e7}),
		spiral(5_000, 20, 1.9e7),
	}
	for _, r := range rings[len(rings)-4:] { // with two vertices exchanged
		r = append(Ring{}, r...)
		r[7], r[2007] = r[2007], r[7]
		rings = append(rings, r)
	}
	for range 1500 {
		rings = append(rings, gridRing(3+rng.IntN(6), 4, 1, rng), gridRing(4+rng.IntN(8), 400, 100_000, rng))
		if r := soundGridRing(8+rng.IntN(12), 7, 5_000_000, rng); r != nil {
			rings = append(rings, r)
			i := rng.IntN(len(r))
			r = append(Ring{}, r...)
			r[i] = gridPoint(7, 5_000_000, rng)
			rings = append(rings, r)
		}
	}
	valid := slices.Concat(tooltest.GeosBools(t, "isValid", wkts(rings), nil)...)
	areas := slices.Concat(tooltest.GeosFloats(t, "area", wkts(rings), nil)...)
	sound := 0
	for i, r := range rings {
		faults := r.faults()
		real := 0
		for _, f := range faults {
			if f.Kind != ZeroLengthEdge { // GEOS lets a vertex be given twice running
				real++
			}
		}
		require.Equal(t, valid[i], real == 0, "%.500v has %v", r, faults)
		require.InDelta(t, areas[i], math.Abs(float64(r.SignedArea2()))/2, 5.1e-6*areas[i])
		if valid[i] {
			sound++
		}
	}
	t.Logf("%d rings, %d of them sound", len(rings), sound)
	assert.Greater(t, sound, 700)
	assert.Greater(t, len(rings)-sound, 700)
}

func TestRegionsAgainstGEOS(t *testing.T) {
	rng := rand.New(rand.NewPCG(43, 43))
	type field struct {
		ring     Ring
		points   []Point
		segments []Segment
	}
	var fields []field
	for _, r := range []Ring{ // large, asked about places all over and close to the ring
		fence(2_000, 1.9e7, rng), star(400, 1.9e7), spiral(800, 6, 1.9e7),
		comb(400, Vector{1.4e7, -1.4e7}, Vector{1.4e7, 1.4e7}),
	} {
		f := field{ring: r}
		near := func() Point {
			p := r[rng.IntN(len(r))]
			return p.Add(Vector{rng.Int64N(7) - 3, rng.Int64N(7) - 3})
		}
		for range 150 {
			e := r.Edge(rng.IntN(len(r)))
			f.points = append(f.points, near(), gridPoint(2*MaxCoordinate, 1, rng), e.A)
			f.segments = append(f.segments, Segment{near(), near()}, e,
				Segment{near(), gridPoint(2*MaxCoordinate, 1, rng)})
			short := near()
			f.segments = append(f.segments, Segment{short, short.Add(Vector{rng.Int64N(2001) - 1000, rng.Int64N(2001) - 1000})})
		}
		fields = append(fields, f)
	}
	for len(fields) < 40 { // small, where everything lies on everything
		r := soundGridRing(8+rng.IntN(12), 7, 4_000_000, rng)
		if r == nil {
			continue
		}
		f := field{ring: r}
		for range 100 {
			f.points = append(f.points, gridPoint(7, 4_000_000, rng))
			f.segments = append(f.segments, gridSegment(7, 4_000_000, rng))
		}
		fields = append(fields, f)
	}
	seen := map[Location]int{}
	covered := 0
	for _, f := range fields {
		require.Empty(t, f.ring.faults())
		polygon, g := []string{f.ring.wkt()}, newRegion(f.ring)

		inside := tooltest.GeosBools(t, "covers", polygon, wkts(f.points))[0]
		contains := tooltest.GeosBools(t, "contains", polygon, wkts(f.points))[0]
		for i, p := range f.points {
			want := Outside
			if inside[i] {
				want = OnEdge
			}
			if contains[i] {
				want = Inside
			}
			seen[want]++
			require.Equal(t, want, g.Contains(p), "%v in %.500v", p, f.ring)
			require.Equal(t, want, f.ring.Contains(p), "%v in %.500v", p, f.ring)
		}

		whole := tooltest.GeosBools(t, "covers", polygon, wkts(f.segments))[0]
		prepared := tooltest.GeosBools(t, "coversPrep", polygon, wkts(f.segments))[0]
		meets := tooltest.GeosBools(t, "intersects", polygon, wkts(f.segments))[0]
		printed := tooltest.GeosFloats(t, "distancePrep", polygon, wkts(f.segments))[0]
		full := tooltest.GeosDistances(t, "nearestPointsPrep", polygon, wkts(f.segments))[0]
		for i, s := range f.segments {
			require.Equal(t, whole[i], g.Covers(s), "%v in %.500v", s, f.ring)
			require.Equal(t, prepared[i], covers(s, f.ring.Edges(), f.ring.contains), "%v in %.500v", s, f.ring)
			if whole[i] {
				covered++
			}
			d := 0.0
			if !meets[i] {
				_, _, d = g.Edges().Nearest(s)
			}
			require.InDelta(t, printed[i], d, 5.1e-6*d, "%v and %.500v", s, f.ring)
			sameDistance(t, full[i], d, "%v and %.500v", s, f.ring)
		}
	}
	t.Logf("points: %v, segments covered: %d", seen, covered)
	assert.Greater(t, seen[Inside], 500)
	assert.Greater(t, seen[OnEdge], 500)
	assert.Greater(t, seen[Outside], 500)
	assert.Greater(t, covered, 1000)
}
