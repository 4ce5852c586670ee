// Clearances: how far a leg or a waypoint is from the nearest part of the fence,
// on the board's integers, exact and rounded down to the millimetre.
package diff

import (
	"slices"

	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// noPart means no part of the fence.
const noPart = -2

// boundaryPart is the boundary as a part of the fence; obstacles are numbered
// from 0.
const boundaryPart = -1

// clearance is a distance from the fence. The greater is the safer; outside the
// boundary or through an obstacle it is below zero.
type clearance struct {
	known bool
	mm    int64 // -1: outside or through
	part  int
	ends  [2]int // marks of the nearest edge, or twice the centre's; -1 for none
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

// fence is the fence of one plan, indexed.
type fence struct {
	plan      *plan.Plan
	sound     bool // every ring free of faults
	boundary  *planar.Region
	rings     []ringObstacle
	edges     []fenceEdge
	edgeIndex *planar.Index

	circles       []int // obstacle numbers
	circleIndex   *planar.Index
	largestRadius int64
}

type fenceEdge struct {
	part, edge int
	segment    planar.Segment
}

// ringObstacle is an obstacle's ring with its box, which spares most legs the
// question whether they are inside it.
type ringObstacle struct {
	obstacle                 int
	region                   *planar.Region
	west, south, east, north int64
}

func newFence(p *plan.Plan) *fence {
	f := &fence{plan: p, sound: true}
	f.boundary = f.ring(boundaryPart, p.Fence.Boundary.Vertices)
	var centres []planar.Segment
	for i, o := range p.Fence.Obstacles {
		if o.IsCircle {
			f.circles = append(f.circles, i)
			centres = append(centres, planar.Segment{A: o.Circle.Centre, B: o.Circle.Centre})
			f.largestRadius = max(f.largestRadius, o.Circle.RadiusMM)
			continue
		}
		if g := f.ring(i, o.Vertices); g != nil {
			r := ringObstacle{obstacle: i, region: g, west: planar.MaxCoordinate, south: planar.MaxCoordinate, east: -planar.MaxCoordinate, north: -planar.MaxCoordinate}
			for _, v := range o.Vertices {
				r.west, r.east = min(r.west, v.E), max(r.east, v.E)
				r.south, r.north = min(r.south, v.N), max(r.north, v.N)
			}
			f.rings = append(f.rings, r)
		}
	}
	segments := make([]planar.Segment, len(f.edges))
	for i, e := range f.edges {
		segments[i] = e.segment
	}
	f.edgeIndex = planar.NewIndex(segments)
	f.circleIndex = planar.NewIndex(centres)
	return f
}

func (f *fence) ring(part int, vertices planar.Ring) *planar.Region {
	if len(vertices.Faults()) > 0 {
		f.sound = false
		return nil
	}
	for i := range vertices {
		f.edges = append(f.edges, fenceEdge{part, i, vertices.Edge(i)})
	}
	return planar.NewRegion(vertices)
}

// of is the clearance of a segment; not known while a ring has faults.
func (f *fence) of(s planar.Segment) clearance {
	if !f.sound {
		return clearance{part: noPart, ends: [2]int{-1, -1}}
	}
	c := clearance{known: true, part: noPart, ends: [2]int{-1, -1}}
	within := int64(4 * planar.MaxCoordinate) // more than any distance here
	if id, mm, _ := f.edgeIndex.Nearest(s); id >= 0 {
		e := f.edges[id]
		c.mm, c.part, c.ends = mm, e.part, f.marksOf(e)
		within = mm + 1 // distances are rounded down
	}
	if id, mm, _ := f.circleIndex.Nearest(s); id >= 0 {
		// The circle with the nearest centre bounds how far the centre of the
		// nearest circle can be.
		within = min(within, mm+1)
		for _, id := range f.circleIndex.Within(s, within+f.largestRadius) {
			o := f.circles[id]
			circle := f.plan.Fence.Obstacles[o].Circle
			if d := circle.FloorDistanceMM(s); c.part == noPart || d < c.mm || d == c.mm && c.part >= 0 && o < c.part {
				c.mm, c.part = d, o
				c.ends = [2]int{f.plan.Fence.Obstacles[o].Centre, f.plan.Fence.Obstacles[o].Centre}
			}
		}
	}
	// A circle that is entered has a distance below zero, minus the depth.
	if c.mm < 0 || f.through(s) {
		c.mm = -1
	}
	return c
}

// through reports whether a segment leaves the boundary or meets the ring of an
// obstacle. Touching a ring obstacle counts as entering, as it does for the
// checks; touching the boundary from within is a clearance of zero.
func (f *fence) through(s planar.Segment) bool {
	if f.boundary != nil && !f.boundary.Covers(s) {
		return true
	}
	for _, r := range f.rings {
		apart := max(s.A.E, s.B.E) < r.west || min(s.A.E, s.B.E) > r.east || max(s.A.N, s.B.N) < r.south || min(s.A.N, s.B.N) > r.north
		if !apart && r.region.Meets(s) {
			return true
		}
	}
	return false
}

// marksOf are the marks at the ends of an edge.
func (f *fence) marksOf(e fenceEdge) [2]int {
	ring := f.plan.Fence.Boundary.Marks
	if e.part >= 0 {
		ring = f.plan.Fence.Obstacles[e.part].Marks
	}
	if len(ring) == 0 {
		return [2]int{-1, -1}
	}
	return [2]int{ring[e.edge], ring[(e.edge+1)%len(ring)]}
}

// name says in words which part of the fence a clearance is measured to.
func (f *fence) name(c clearance) string {
	switch {
	case !c.known || c.part == noPart:
		return ""
	case c.part == boundaryPart:
		return "boundary " + f.plan.Survey.Marks[c.ends[0]].Name + "–" + f.plan.Survey.Marks[c.ends[1]].Name
	default:
		return "obstacle " + f.plan.Fence.Obstacles[c.part].Name
	}
}

// indexFences prepares both fences.
func (b *builder) indexFences() {
	b.sameFence = sameFence(b.old, b.new)
	for side, p := range []*plan.Plan{b.old, b.new} {
		b.fences[side] = newFence(p)
		b.clearances[side], b.worked[side] = make([]clearance, len(p.Route.Legs)), make([]bool, len(p.Route.Legs))
	}
}

// clear is the clearance of a leg of one side, worked out once.
func (b *builder) clear(side, leg int) clearance {
	if !b.worked[side][leg] {
		b.clearances[side][leg], b.worked[side][leg] = b.fences[side].of(b.fences[side].plan.Route.Legs[leg].Segment), true
	}
	return b.clearances[side][leg]
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

// atPoint is a mark as a segment of no length.
func atPoint(m plan.Mark) planar.Segment { return planar.Segment{A: m.Point, B: m.Point} }
