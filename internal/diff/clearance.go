// Clearances: how far a leg or a waypoint is from the nearest part of the fence,
// on the board's integers, exact and rounded down to the millimetre.
package diff

import (
	"slices"

	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// clearance is a distance from the fence. The greater is the safer; outside the
// boundary or through an obstacle it is below zero.
type clearance struct {
	known bool
	mm    int64 // -1: outside or through
	edge  fence.Edge
}

func (c clearance) words() string {
	switch {
	case !c.known:
		return "not known"
	case c.mm < 0:
		return "outside"
	default:
		return words.Millimetre.Words(float64(c.mm))
	}
}

// clearanceOf is the clearance of a segment; not known while a ring has faults.
func clearanceOf(p *plan.Plan, s planar.Segment) clearance {
	if !p.Fence.Sound() {
		return clearance{}
	}
	c := clearance{known: true}
	c.edge, c.mm, _ = p.Fence.Nearest(s, fence.Anywhere)
	if c.mm > 0 {
		s.B = s.A // it meets nothing, so that one end speaks for all
	}
	if c.mm < 0 || !p.Fence.Passage(s).Clear() {
		c.mm = -1
	}
	return c
}

// from says in words which part of the fence a clearance is measured to.
func (c clearance) from(p *plan.Plan) string {
	switch {
	case !c.known || c.mm < 0:
		return ""
	case c.edge.Part == fence.Boundary:
		return " from boundary " + p.Fence.Boundary.EdgeName(c.edge.Number)
	default:
		return " from " + p.Fence.PartName(c.edge.Part)
	}
}

// prepareClearances makes room for the clearances of all legs.
func (b *builder) prepareClearances() {
	b.sameFence = sameFence(b.old, b.new)
	for side := range b.clearances {
		b.clearances[side] = make([]*clearance, len(b.plan(side).Route.Legs))
	}
}

// clear is the clearance of a leg of one side, worked out once.
func (b *builder) clear(side, leg int) clearance {
	if b.clearances[side][leg] == nil {
		p := b.plan(side)
		c := clearanceOf(p, p.Route.Legs[leg].Segment)
		b.clearances[side][leg] = &c
	}
	return *b.clearances[side][leg]
}

// sameFence reports whether two fences are the same numbers; a segment then has
// the same clearance from both.
func sameFence(p, q *plan.Plan) bool {
	if !slices.Equal(p.Fence.Boundary.Vertices, q.Fence.Boundary.Vertices) || len(p.Fence.Obstacles) != len(q.Fence.Obstacles) {
		return false
	}
	for i, o := range p.Fence.Obstacles {
		r := q.Fence.Obstacles[i]
		if o.IsCircle != r.IsCircle || o.Circle != r.Circle || !slices.Equal(o.Vertices, r.Vertices) {
			return false
		}
	}
	return true
}
