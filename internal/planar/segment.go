package planar

// Segment is the straight line from A to B, both ends included. A and B may be
// the same point; the segment is then that point.
type Segment struct{ A, B Point }

// Crossing says how two segments meet.
type Crossing uint8

const (
	// Apart: no point in common.
	Apart Crossing = iota
	// Touch: exactly one point in common, and it is an end of at least one of
	// the two.
	Touch
	// Proper: exactly one point in common, and it is an end of neither.
	Proper
	// Overlap: a stretch of positive length in common.
	Overlap
)

// Vector is the vector from A to B.
func (s Segment) Vector() Vector { return s.B.Sub(s.A) }

// Reversed is the same segment driven the other way.
func (s Segment) Reversed() Segment { return Segment{s.B, s.A} }

// HasPoint reports whether p lies on the segment, ends included.
func (s Segment) HasPoint(p Point) bool {
	return boxOf(s).hasPoint(p) && Orientation(s.A, s.B, p) == 0
}

// Intersects reports whether the two have any point in common. Touching
// counts.
func (s Segment) Intersects(t Segment) bool { return s.Crossing(t) != Apart }

// Crossing says how the two meet.
func (s Segment) Crossing(t Segment) Crossing {
	if !boxOf(s).meets(boxOf(t)) {
		return Apart
	}
	// On which side of s the ends of t lie, and the reverse.
	tA, tB := Orientation(s.A, s.B, t.A), Orientation(s.A, s.B, t.B)
	sA, sB := Orientation(t.A, t.B, s.A), Orientation(t.A, t.B, s.B)
	if tA*tB < 0 && sA*sB < 0 {
		return Proper
	}
	if tA == 0 && tB == 0 && sA == 0 && sB == 0 {
		return s.crossingOnOneLine(t)
	}
	if tA == 0 && boxOf(s).hasPoint(t.A) || tB == 0 && boxOf(s).hasPoint(t.B) ||
		sA == 0 && boxOf(t).hasPoint(s.A) || sB == 0 && boxOf(t).hasPoint(s.B) {
		return Touch
	}
	return Apart
}

// crossingOnOneLine is Crossing for four points that lie on one line. Both
// segments are compared by their shadow on the axis along which that line runs
// further; on that axis different points have different shadows.
func (s Segment) crossingOnOneLine(t Segment) Crossing {
	b := boxOf(s).union(boxOf(t))
	along := func(p Point) int64 { return p.E }
	if b.maxN-b.minN > b.maxE-b.minE {
		along = func(p Point) int64 { return p.N }
	}
	lo := max(min(along(s.A), along(s.B)), min(along(t.A), along(t.B)))
	hi := min(max(along(s.A), along(s.B)), max(along(t.A), along(t.B)))
	switch {
	case lo < hi:
		return Overlap
	case lo == hi:
		return Touch
	}
	return Apart
}

// box is an upright rectangle, edges included.
//
// golang/geo's r2.Rect could hold it (whole numbers below 2^53 are exact in
// float64), but every comparison here has an integer on its other side; one
// number type leaves nothing to argue about.
type box struct{ minE, minN, maxE, maxN int64 }

func boxOf(s Segment) box {
	return box{
		min(s.A.E, s.B.E), min(s.A.N, s.B.N),
		max(s.A.E, s.B.E), max(s.A.N, s.B.N),
	}
}

func (b box) union(c box) box {
	return box{
		min(b.minE, c.minE), min(b.minN, c.minN),
		max(b.maxE, c.maxE), max(b.maxN, c.maxN),
	}
}

func (b box) meets(c box) bool {
	return b.minE <= c.maxE && c.minE <= b.maxE && b.minN <= c.maxN && c.minN <= b.maxN
}

func (b box) hasPoint(p Point) bool {
	return b.minE <= p.E && p.E <= b.maxE && b.minN <= p.N && p.N <= b.maxN
}
