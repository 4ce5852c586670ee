// Questions to a fence, all decided exactly on whole millimetres.
package fence

import (
	"slices"

	"merestone/internal/planar"
)

// Anywhere is further than any place is from any other.
const Anywhere = 4 * planar.MaxCoordinate

// Nearest is the edge that comes nearest to a segment, if any comes nearer than
// withinMM, and its distance rounded down to whole millimetres. Below zero it is
// how deep the segment enters a circle; it does not tell the inside of a ring
// from the outside, see Passage.
//
// Of edges at the same whole millimetre those of rings come before circles,
// among rings the nearer, and then the first as listed.
func (f *Fence) Nearest(s planar.Segment, withinMM int64) (e Edge, floorMM int64, ok bool) {
	if id, mm := f.index.NearestWithin(s, withinMM); id >= 0 {
		e, withinMM, ok = f.edges[id], mm, true
	}
	id, mm := f.centres.NearestWithin(s, withinMM+f.largestRadius)
	if id < 0 {
		return e, withinMM, ok
	}
	// The circle around the nearest centre bounds how far away the nearest circle
	// can be, and so how far its centre.
	bound := min(withinMM, mm-f.Obstacles[f.circles[id]].Circle.RadiusMM+1)
	for _, id := range f.centres.Within(s, bound+f.largestRadius) {
		o := f.circles[id]
		if mm := f.Obstacles[o].Circle.FloorDistanceMM(s); mm < withinMM {
			e, withinMM, ok = Edge{o, Round}, mm, true
		}
	}
	return e, withinMM, ok
}

// circlesNear lists, in order, the round obstacles that come within less than mm
// of s.
func (f *Fence) circlesNear(s planar.Segment, mm int64) []int {
	var near []int
	for _, id := range f.centres.Within(s, mm+f.largestRadius) {
		if o := f.circles[id]; planar.CircleDistanceLess(f.Obstacles[o].Circle, s, mm) {
			near = append(near, o)
		}
	}
	return near
}

// Within lists, in order, the parts that come within less than mm of s.
func (f *Fence) Within(s planar.Segment, mm int64) []int {
	parts := f.circlesNear(s, mm)
	for _, id := range f.index.Within(s, mm) {
		parts = append(parts, f.edges[id].Part)
	}
	slices.Sort(parts)
	return slices.Compact(parts)
}

// Passage is how a segment lies with regard to the fence.
type Passage struct {
	// Outside: it leaves the boundary somewhere, which is sound. Touching it from
	// within is not leaving it.
	Outside bool
	// Struck are the obstacles that it meets, in order. Touching a ring is meeting
	// it; a circle must be entered.
	Struck []int
}

// Clear reports whether the segment is on ground that may be entered, so that it
// makes sense to ask for its clearance.
func (p Passage) Clear() bool { return !p.Outside && len(p.Struck) == 0 }

// Passage says how a segment lies with regard to the fence.
func (f *Fence) Passage(s planar.Segment) Passage {
	p := Passage{Struck: f.circlesNear(s, 0)}
	meetsBoundary := false
	for _, id := range f.index.Crossing(s) {
		if n := f.edges[id].Part; n == Boundary {
			meetsBoundary = true
		} else {
			p.Struck = append(p.Struck, n)
		}
	}
	if g := f.Boundary.region; g != nil {
		// Where it meets no edge, one end speaks for all.
		p.Outside = g.Contains(s.A) == planar.Outside || meetsBoundary && !g.Covers(s)
	}
	if f.widestMM == 0 { // no obstacle has a ring
		return p
	}
	// A segment wholly within a ring crosses none of its edges, but a line due east
	// from its start does, and no further away than that ring is wide.
	east := planar.Point{E: min(s.A.E+f.widestMM, planar.MaxCoordinate), N: s.A.N}
	for _, id := range f.index.Crossing(planar.Segment{A: s.A, B: east}) {
		if n := f.edges[id].Part; n != Boundary && f.Obstacles[n].region.Contains(s.A) != planar.Outside {
			p.Struck = append(p.Struck, n)
		}
	}
	slices.Sort(p.Struck)
	p.Struck = slices.Compact(p.Struck)
	return p
}

// Covers reports whether all of q is in p or on its edge: of rings with faults
// that is not so, but a ring is in a circle when its vertices are.
func (p *Part) Covers(q *Part) bool {
	switch {
	case !p.IsCircle && q.IsCircle:
		return p.region != nil && p.region.CoversCircle(q.Circle)
	case !p.IsCircle:
		return p.region != nil && q.region != nil && p.region.CoversRing(q.Vertices)
	case q.IsCircle:
		spare := p.Circle.RadiusMM - q.Circle.RadiusMM
		return spare >= 0 && q.Circle.Centre.Sub(p.Circle.Centre).Norm2() <= spare*spare
	}
	for _, v := range q.Vertices {
		if v.Sub(p.Circle.Centre).Norm2() > p.Circle.RadiusMM*p.Circle.RadiusMM {
			return false
		}
	}
	return len(q.Vertices) > 0
}
