package planar

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestDistance(t *testing.T) {
	const m = MaxCoordinate
	seg := func(aE, aN, bE, bN int64) Segment { return Segment{Point{aE, aN}, Point{bE, bN}} }
	for _, c := range []struct {
		fact        string
		s, t        Segment
		floor, ceil int64
		mm          float64
	}{
		{"parallel", seg(0, 0, 10, 0), seg(0, 7, 10, 7), 7, 7, 7},
		{"end to end, 3-4-5", seg(0, 0, 10, 0), seg(13, 4, 20, 9), 5, 5, 5},
		{"end to end, sqrt 2", seg(0, 0, 10, 0), seg(11, 1, 20, 9), 1, 2, math.Sqrt2},
		{"abreast of the middle", seg(0, 0, 10, 0), seg(5, 3, 5, 9), 3, 3, 3},
		{"abreast of a slanting line: 1/sqrt 2", seg(0, 0, 10, 10), seg(5, 6, 2, 9), 0, 1, math.Sqrt2 / 2},
		{"abreast of a 3-4-5 line: whole", seg(0, 0, 40, 30), seg(17, 19, 14, 23), 5, 5, 5},
		{"abreast of a 3-4-5 line: 24/5", seg(0, 0, 40, 30), seg(16, 18, 13, 22), 4, 5, 4.8},
		{"crossing", seg(0, 0, 10, 10), seg(0, 10, 10, 0), 0, 0, 0},
		{"touching", seg(0, 0, 10, 0), seg(5, 0, 5, 7), 0, 0, 0},
		{"overlapping", seg(0, 0, 10, 0), seg(5, 0, 15, 0), 0, 0, 0},
		{"on one line with a gap", seg(0, 0, 10, 0), seg(13, 0, 20, 0), 3, 3, 3},
		{"point and segment", seg(0, 0, 10, 0), seg(4, -6, 4, -6), 6, 6, 6},
		{"point and point", seg(1, 1, 1, 1), seg(4, 5, 4, 5), 5, 5, 5},
		{"point and itself", seg(1, 1, 1, 1), seg(1, 1, 1, 1), 0, 0, 0},
		{"the corners of the site", seg(-m, -m, -m, -m), seg(m, m, m, m), 56_568_542, 56_568_543, math.Sqrt2 * 2 * m},
		// The least distance of a point from a line it is not on:
		// cross product 1 over the length of the longest segment.
		{"the least there is", seg(-m, -m, m, m-1), seg(1-m, 1-m, 1-m, 1-m), 0, 1, 1 / math.Hypot(2*m, 2*m-1)},
	} {
		for _, s := range []Segment{c.s, c.s.Reversed()} {
			for _, u := range []Segment{c.t, c.t.Reversed()} {
				for _, d := range []Squared{s.SquaredTo(u), u.SquaredTo(s)} {
					assert.Equal(t, c.floor, d.FloorMM(), c.fact)
					assert.Equal(t, c.ceil, d.CeilMM(), c.fact)
					assert.InDelta(t, c.mm, d.MM(), 1e-9*c.mm, c.fact)
				}
				assert.Equal(t, c.floor, s.FloorDistanceMM(u), c.fact)
				assert.InDelta(t, c.mm, s.DistanceMM(u), 1e-9*c.mm, c.fact)
			}
		}
	}
}

// Thresholds on both sides of a distance. "Less" is strict: a clearance equal to
// the standoff is enough.
func TestDistanceLess(t *testing.T) {
	const m = MaxCoordinate
	p := Point{16, 18} // 24/5 = 4.8 mm from the line below
	slanting := Segment{Point{0, 0}, Point{40, 30}}
	flat := Segment{Point{0, 0}, Point{10, 0}}
	far := Segment{Point{-m, -m}, Point{-m, -m}}
	for _, c := range []struct {
		fact string
		p    Point
		s    Segment
		mm   int64
		want bool
	}{
		{"4.8 < 5", p, slanting, 5, true},
		{"4.8 < 4 is false", p, slanting, 4, false},
		{"3 < 3 is false", Point{5, 3}, flat, 3, false},
		{"3 < 4", Point{5, 3}, flat, 4, true},
		{"5 < 5 is false, beyond an end", Point{13, 4}, flat, 5, false},
		{"5 < 6, beyond an end", Point{13, 4}, flat, 6, true},
		{"0 < 0 is false", Point{5, 0}, flat, 0, false},
		{"0 < 1", Point{5, 0}, flat, 1, true},
		{"0 < -1 is false", Point{5, 0}, flat, -1, false},
		{"no distance is below the least integer", Point{5, 0}, flat, math.MinInt64, false},
		{"every distance is below the largest", Point{m, m}, far, math.MaxInt64, true},
		{"56 568 542.49 < 56 568 543", Point{m, m}, far, 56_568_543, true},
		{"56 568 542.49 < 56 568 542 is false", Point{m, m}, far, 56_568_542, false},
	} {
		assert.Equal(t, c.want, SegmentDistanceLess(Segment{c.p, c.p}, c.s, c.mm), c.fact)
		assert.Equal(t, c.want, CircleDistanceLess(Circle{c.p, 0}, c.s, c.mm), c.fact)
		if 0 <= c.mm && c.mm <= maxDistanceMM { // the threshold shared between radius and standoff
			assert.Equal(t, c.want, CircleDistanceLess(Circle{c.p, c.mm}, c.s, 0), c.fact)
			assert.Equal(t, c.want, CircleDistanceLess(Circle{c.p, c.mm + 7}, c.s, -7), c.fact)
		}
	}
}

func TestCircle(t *testing.T) {
	wall := Segment{Point{0, 0}, Point{40, 30}}
	for _, c := range []struct {
		fact  string
		c     Circle
		floor int64
	}{
		{"4.8 less 3", Circle{Point{16, 18}, 3}, 1},
		{"4.8 less 4", Circle{Point{16, 18}, 4}, 0},
		{"4.8 less 5: entered, rounded away from clear", Circle{Point{16, 18}, 5}, -1},
		{"5 less 5: touched", Circle{Point{17, 19}, 5}, 0},
		{"through the centre", Circle{Point{20, 15}, 9}, -9},
		{"abreast of an end", Circle{Point{-3, -4}, 2}, 3},
	} {
		assert.Equal(t, c.floor, c.c.FloorDistanceMM(wall), c.fact)
	}
	assert.True(t, CircleDistanceLess(Circle{Point{16, 18}, math.MaxInt64}, wall, math.MaxInt64), "no overflow")
	assert.False(t, CircleDistanceLess(Circle{Point{16, 18}, 1}, wall, math.MinInt64), "no overflow")
}

func TestSquaredCmp(t *testing.T) {
	// In ascending order: whole numbers, fractions between them, and two
	// fractions that float64 cannot tell apart.
	const d = 3_199_999_999_999_999
	ascending := []Squared{
		{},
		{num: 1, den: d},
		{num: d / 2, den: d},
		{num: d/2 + 1, den: d},
		{num: d - 2, den: d - 1},
		{num: d - 1, den: d},
		{whole: 1},
		{whole: 1, num: 1, den: 2},
		{whole: 2},
		{whole: 3_200_000_000_000_000},
	}
	for i, x := range ascending {
		for j, y := range ascending {
			assert.Equal(t, sign(int64(i-j)), x.Cmp(y), "%v and %v", x, y)
		}
	}
	assert.Equal(t, 0, Squared{num: 1, den: 3}.Cmp(Squared{num: 2, den: 6}), "equal in value, not in form")
}
