package planar

// Exact distances. A squared distance between a point and a segment is a
// fraction: with s from A to B, w = P - A and u = B - A,
//
//	P beyond an end:   |P - end|^2               a whole number
//	P abreast of s:    (u x w)^2 / (u . u)       a fraction
//
// and the squared distance between two segments is 0 when they meet and
// otherwise the smallest of the four distances from an end of one to the other.
// Squared holds such a fraction as a whole part and a proper remainder. That
// form needs 128 bits only once, when it is made, and then compares with a
// whole number of millimetres by its whole part alone:
//
//	d < m  <=>  d^2 < m^2  <=>  floor(d^2) < m^2           (m^2 is whole)
//	floor(d) = isqrt(floor(d^2))
//	d < m  <=>  floor(d) < m
//
// By the last line a verdict and the rounded-down distance reported with it
// never contradict each other.
//
// Bounds, S = 2*MaxCoordinate: (u x w)^2 <= (S^2)^2 = 2.56e30 < 2^102, two
// words; quotient (u x w)^2/(u.u) <= |w|^2 <= 2*S^2 < 2^52, one word, so
// bits.Div64 cannot overflow.

import (
	"cmp"
	"math"
	"math/bits"
)

// Squared is an exact squared distance in square millimetres. The zero value
// is the distance 0.
type Squared struct {
	whole    uint64 // floor of the value, < 2^52
	num, den uint64 // the rest, num/den with num < den < 2^52; num = den = 0 when there is none
}

// maxDistanceMM is above every distance between two points in range:
// S*sqrt(2) = 56 568 542.5 mm.
const maxDistanceMM = 56_568_543

func squaredWhole(x int64) Squared { return Squared{whole: uint64(x)} }

// squaredRatio is cross^2 / norm2. The caller sees to it that the quotient is
// a squared distance (see the bounds above) and norm2 > 0.
func squaredRatio(cross, norm2 int64) Squared {
	c, d := magnitude(cross), uint64(norm2)
	hi, lo := bits.Mul64(c, c)
	q, r := bits.Div64(hi, lo, d)
	if r == 0 {
		return Squared{whole: q}
	}
	return Squared{whole: q, num: r, den: d}
}

func magnitude(x int64) uint64 {
	if x < 0 {
		return uint64(-x)
	}
	return uint64(x)
}

// Cmp is -1, 0 or +1 as d is less than, equal to or greater than e, exactly.
func (d Squared) Cmp(e Squared) int {
	switch {
	case d.whole != e.whole:
		return cmp.Compare(d.whole, e.whole)
	case d.num == 0 || e.num == 0:
		return cmp.Compare(d.num, e.num)
	}
	// d.num/d.den against e.num/e.den: products of two numbers below 2^52.
	dHi, dLo := bits.Mul64(d.num, e.den)
	eHi, eLo := bits.Mul64(e.num, d.den)
	return cmp.Or(cmp.Compare(dHi, eHi), cmp.Compare(dLo, eLo))
}

// Less reports whether the distance is less than mm millimetres, exactly. No
// distance is less than zero or a negative threshold.
func (d Squared) Less(mm int64) bool {
	switch {
	case mm <= 0:
		return false
	case mm >= maxDistanceMM:
		return true
	}
	return d.whole < uint64(mm*mm) // mm^2 < 2^52
}

// FloorMM is the distance rounded down to whole millimetres, exactly: the
// number to report as a clearance, since it never flatters.
func (d Squared) FloorMM() int64 { return int64(Isqrt(d.whole)) }

// CeilMM is the distance rounded up to whole millimetres, exactly.
func (d Squared) CeilMM() int64 {
	r := Isqrt(d.whole)
	if r*r < d.whole || d.num > 0 {
		r++
	}
	return int64(r)
}

// MM is the distance in millimetres as the nearest few float64 allow (relative
// error below 1e-15). It is never below FloorMM, nor above CeilMM.
func (d Squared) MM() float64 {
	v := float64(d.whole) // exact: whole < 2^53
	if d.num > 0 {
		v += float64(d.num) / float64(d.den)
	}
	return math.Sqrt(v)
}

// SquaredToPoint is the exact squared distance from p to the nearest point of
// the segment.
func (s Segment) SquaredToPoint(p Point) Squared {
	u, w := s.Vector(), p.Sub(s.A)
	along, norm2 := u.Dot(w), u.Norm2()
	switch {
	case along <= 0: // also when A = B
		return squaredWhole(w.Norm2())
	case along >= norm2:
		return squaredWhole(p.Sub(s.B).Norm2())
	}
	return squaredRatio(u.Cross(w), norm2)
}

// SquaredTo is the exact squared distance between the nearest points of the
// two segments, 0 when they meet.
func (s Segment) SquaredTo(t Segment) Squared {
	if s.Intersects(t) {
		return Squared{}
	}
	d := s.SquaredToPoint(t.A)
	for _, e := range [...]Squared{s.SquaredToPoint(t.B), t.SquaredToPoint(s.A), t.SquaredToPoint(s.B)} {
		if e.Cmp(d) < 0 {
			d = e
		}
	}
	return d
}

// SegmentDistanceLess reports whether s and t come within less than mm
// millimetres of each other, exactly. Segments that meet are at distance 0.
func SegmentDistanceLess(s, t Segment, mm int64) bool { return s.SquaredTo(t).Less(mm) }

// FloorDistanceMM is the distance between the two segments rounded down to
// whole millimetres, exactly: a reported clearance must never flatter.
func (s Segment) FloorDistanceMM(t Segment) int64 { return s.SquaredTo(t).FloorMM() }

// DistanceMM is the distance between the two segments in millimetres, rounded
// to float64, for people to read. Decide with SegmentDistanceLess instead.
func (s Segment) DistanceMM(t Segment) float64 { return s.SquaredTo(t).MM() }

// Circle is the disc of all points at most RadiusMM from Centre. The radius is
// not negative.
type Circle struct {
	Centre   Point
	RadiusMM int64
}

// CircleDistanceLess reports whether s comes within less than mm millimetres
// of the disc, exactly: distance from centre to s < radius + mm. A segment that
// only touches the circle is at distance 0, which is not less than 0.
func CircleDistanceLess(c Circle, s Segment, mm int64) bool {
	reach := c.RadiusMM + mm
	if mm > 0 && reach < mm { // overflowed
		reach = math.MaxInt64
	}
	return s.SquaredToPoint(c.Centre).Less(reach)
}

// FloorDistanceMM is the distance from the circle's edge to the segment,
// rounded down to whole millimetres, exactly. It is negative when the segment
// enters the circle: then minus how deep.
func (c Circle) FloorDistanceMM(s Segment) int64 {
	// The radius is whole, so rounding down before or after taking it off is
	// the same.
	return s.SquaredToPoint(c.Centre).FloorMM() - c.RadiusMM
}
