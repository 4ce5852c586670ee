package planar

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A field with a notch from the north whose tip is at (50, 40):
//
//	(0,100)      (40,100) (60,100)   (100,100)
//	   +------------+        +-----------+
//	   |             \      /            |
//	   |                \/ (50,40)       |
//	   +---------------------------------+
//	(0,0)                             (100,0)
var notched = Ring{{0, 0}, {100, 0}, {100, 100}, {60, 100}, {50, 40}, {40, 100}, {0, 100}}

func TestContains(t *testing.T) {
	for _, c := range []struct {
		fact string
		p    Point
		want Location
	}{
		{"well inside", Point{20, 20}, Inside},
		{"level with the notch's tip, west of it", Point{20, 40}, Inside},
		{"level with the notch's tip, east of it", Point{80, 40}, Inside},
		{"in the notch", Point{50, 60}, Outside},
		{"on the notch's tip", Point{50, 40}, OnEdge},
		{"a millimetre below the tip", Point{50, 39}, Inside},
		{"a millimetre above the tip", Point{50, 41}, Outside},
		{"on a slanting edge", Point{55, 70}, OnEdge},
		{"on a corner", Point{100, 100}, OnEdge},
		{"on an edge running west", Point{80, 100}, OnEdge},
		{"on the southern edge", Point{30, 0}, OnEdge},
		{"on the line of an edge, beyond it", Point{50, 100}, Outside},
		{"on the line of the southern edge, west of it", Point{-1, 0}, Outside},
		{"level with the top, west of it", Point{-1, 100}, Outside},
		{"east of everything", Point{101, 50}, Outside},
		{"the far corner of the site", Point{-MaxCoordinate, -MaxCoordinate}, Outside},
	} {
		backwards := slices.Clone(notched)
		slices.Reverse(backwards)
		for start := range notched { // whichever vertex is first, whichever way round
			turned := slices.Concat(notched[start:], notched[:start])
			assert.Equal(t, c.want, turned.Contains(c.p), c.fact)
		}
		assert.Equal(t, c.want, backwards.Contains(c.p), c.fact+", clockwise")
		assert.Equal(t, c.want, newRegion(notched).Contains(c.p), c.fact+", by the index")
	}
}

func TestCovers(t *testing.T) {
	for _, c := range []struct {
		fact string
		a, b Point
		want bool
	}{
		{"inside", Point{10, 10}, Point{90, 30}, true},
		{"from inside to outside", Point{10, 10}, Point{110, 10}, false},
		{"outside", Point{110, 10}, Point{120, 10}, false},
		{"along an edge", Point{10, 0}, Point{90, 0}, true},
		{"a whole edge", Point{0, 0}, Point{100, 0}, true},
		{"along an edge and past its end", Point{10, 0}, Point{101, 0}, false},
		{"from edge to edge through the inside", Point{0, 20}, Point{100, 30}, true},
		{"past the notch's tip, touching it", Point{10, 40}, Point{90, 40}, true},
		{"past the notch's tip a millimetre too far in", Point{10, 41}, Point{90, 41}, false},
		{"over the notch from corner to corner, all outside", Point{40, 100}, Point{60, 100}, false},
		{"over the notch, along edges on both sides", Point{10, 100}, Point{90, 100}, false},
		{"both ends on edges, the middle in the notch", Point{45, 70}, Point{55, 70}, false},
		{"along the notch's edge to its tip and on inside", Point{60, 100}, Point{45, 10}, true},
		{"along the notch's edge, the whole of it", Point{60, 100}, Point{50, 40}, true},
		{"through a corner to the outside", Point{90, 90}, Point{110, 110}, false},
		{"into a corner", Point{90, 90}, Point{100, 100}, true},
		{"touching a corner from outside", Point{90, 110}, Point{110, 90}, false},
		{"a point inside", Point{10, 10}, Point{10, 10}, true},
		{"a point on an edge", Point{10, 0}, Point{10, 0}, true},
		{"a point outside", Point{10, -1}, Point{10, -1}, false},
	} {
		g := newRegion(notched)
		for _, s := range []Segment{{c.a, c.b}, {c.b, c.a}} {
			assert.Equal(t, c.want, covers(s, notched.Edges(), notched.contains), c.fact)
			assert.Equal(t, c.want, g.Covers(s), c.fact+", by the index")
		}
	}
}

func TestRegion(t *testing.T) {
	g := newRegion(notched)

	assert.True(t, g.CoversRing(Ring{{10, 10}, {90, 10}, {50, 40}}), "a ring that touches the tip from inside")
	assert.False(t, g.CoversRing(Ring{{10, 10}, {90, 10}, {50, 41}}))
	assert.False(t, g.CoversRing(Ring{{45, 90}, {55, 90}, {50, 95}}), "a ring in the notch")

	assert.True(t, g.CoversCircle(Circle{Point{20, 20}, 20}), "a circle that touches two edges")
	assert.False(t, g.CoversCircle(Circle{Point{20, 20}, 21}))
	assert.False(t, g.CoversCircle(Circle{Point{50, 90}, 1}), "a circle in the notch")
	assert.True(t, g.CoversCircle(Circle{Point{50, 40}, 0}), "a circle without size, on the tip")
}

func TestSignedArea(t *testing.T) {
	const m = MaxCoordinate
	site := Ring{{-m, -m}, {m, -m}, {m, m}, {-m, m}}
	// The site walked round k times: a ring that no fence is, but the widest sum
	// there can be for its number of vertices.
	around := func(k int) Ring { return slices.Repeat(site, k) }
	const site2 = int64(3_200_000_000_000_000)
	for _, c := range []struct {
		fact string
		r    Ring
		want int64
	}{
		{"a triangle of half a square millimetre", Ring{{0, 0}, {1, 0}, {0, 1}}, 1},
		{"the same, clockwise", Ring{{0, 0}, {0, 1}, {1, 0}}, -1},
		{"the notched field", notched, 2 * (100*100 - 60*20/2)},
		{"the whole site", site, site2},
		{"no vertices", nil, 0},
		{"one vertex", Ring{{3, 4}}, 0},
		{"there and back", Ring{{0, 0}, {9, 3}}, 0},
		{"a bow-tie with equal loops", Ring{{0, 0}, {4, 4}, {4, 0}, {0, 4}}, 0},
		{"the site 2882 times: the last that fits", around(2882), 2882 * site2},
		{"the site 2883 times: past int64, held there", around(2883), math.MaxInt64},
		{"the site 8000 times: past uint64", around(8000), math.MaxInt64},
	} {
		assert.Equal(t, c.want, c.r.SignedArea2(), c.fact)
		assert.Equal(t, c.want > 0, c.r.IsCounterClockwise(), c.fact)

		backwards := slices.Clone(c.r)
		slices.Reverse(backwards)
		want := -c.want
		if c.want == math.MaxInt64 {
			want = math.MinInt64
		}
		assert.Equal(t, want, backwards.SignedArea2(), c.fact+", the other way round")
	}
}
