package planar

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestCrossing(t *testing.T) {
	const m = MaxCoordinate
	seg := func(aE, aN, bE, bN int64) Segment { return Segment{Point{aE, aN}, Point{bE, bN}} }
	for _, c := range []struct {
		fact string
		s, t Segment
		want Crossing
	}{
		{"an X", seg(0, 0, 10, 10), seg(0, 10, 10, 0), Proper},
		{"a plus", seg(0, 5, 10, 5), seg(5, 0, 5, 10), Proper},
		{"a T: an end in the middle of the other", seg(0, 0, 10, 0), seg(5, 0, 5, 7), Touch},
		{"an L: end on end", seg(0, 0, 10, 0), seg(10, 0, 10, 7), Touch},
		{"a V", seg(0, 0, 10, 0), seg(0, 0, 10, 3), Touch},
		{"end on end, straight on", seg(0, 0, 10, 0), seg(10, 0, 20, 0), Touch},
		{"a gap of a millimetre before the T", seg(0, 0, 10, 0), seg(5, 1, 5, 7), Apart},
		{"parallel, a millimetre apart", seg(0, 0, 10, 0), seg(0, 1, 10, 1), Apart},
		{"on one line with a gap", seg(0, 0, 10, 0), seg(11, 0, 20, 0), Apart},
		{"on one upright line with a gap", seg(0, 0, 0, 10), seg(0, 11, 0, 20), Apart},
		{"on one line, sharing a millimetre", seg(0, 0, 10, 0), seg(9, 0, 20, 0), Overlap},
		{"on one upright line, sharing a stretch", seg(0, 0, 0, 10), seg(0, 4, 0, 20), Overlap},
		{"on one slanting line, one within the other", seg(0, 0, 30, 10), seg(3, 1, 27, 9), Overlap},
		{"the same segment", seg(1, 2, 3, 5), seg(1, 2, 3, 5), Overlap},
		{"folded back", seg(0, 0, 10, 0), seg(10, 0, 4, 0), Overlap},
		{"the boxes meet, the segments do not", seg(0, 0, 10, 10), seg(6, 5, 10, 0), Apart},
		{"the line of one meets the other beyond its end", seg(0, 0, 4, 4), seg(0, 10, 10, 0), Apart},
		{"a point on a segment", seg(0, 0, 10, 10), seg(4, 4, 4, 4), Touch},
		{"a point at the end of a segment", seg(0, 0, 10, 10), seg(10, 10, 10, 10), Touch},
		{"a point on the line beyond the end", seg(0, 0, 10, 10), seg(11, 11, 11, 11), Apart},
		{"a point beside a segment", seg(0, 0, 10, 10), seg(4, 5, 4, 5), Apart},
		{"a point on itself", seg(4, 5, 4, 5), seg(4, 5, 4, 5), Touch},
		{"two points", seg(4, 5, 4, 5), seg(4, 6, 4, 6), Apart},
		{"the diagonals of the site", seg(-m, -m, m, m), seg(-m, m, m, -m), Proper},
		{"a diagonal missed by the least possible", seg(-m, -m, m, m-1), seg(0, 0, -m, m), Apart},
		{"a diagonal reached by the least possible", seg(-m, -m, m, m-1), seg(0, -1, -m, m), Proper},
	} {
		for _, s := range []Segment{c.s, c.s.Reversed()} {
			for _, u := range []Segment{c.t, c.t.Reversed()} {
				assert.Equal(t, c.want, s.Crossing(u), c.fact)
				assert.Equal(t, c.want, u.Crossing(s), c.fact+", exchanged")
				assert.Equal(t, c.want != Apart, s.Intersects(u), c.fact)
			}
		}
	}
}

func TestHasPoint(t *testing.T) {
	s := Segment{Point{-30, -10}, Point{30, 10}}
	for _, c := range []struct {
		fact string
		p    Point
		want bool
	}{
		{"its start", Point{-30, -10}, true},
		{"its end", Point{30, 10}, true},
		{"its middle", Point{0, 0}, true},
		{"a whole point on it", Point{3, 1}, true},
		{"beside it", Point{3, 2}, false},
		{"beyond its end", Point{33, 11}, false},
	} {
		assert.Equal(t, c.want, s.HasPoint(c.p), c.fact)
	}
}
