// The fence as the geometry rules see it: its edges indexed, so that the cost
// for all legs together grows near-linearly with the size of the mission.
package check

import (
	"slices"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

// fence is the boundary and the obstacles, indexed. Rings with faults have no
// region and no edges here: rules pass over them, and ringRule reports them.
type fence struct {
	faults    map[int][]planar.RingFault // by ring: -1 the boundary, else the obstacle
	boundary  *planar.Region             // nil when it has faults
	obstacles []*planar.Region           // nil for circles and rings with faults

	edges     []fenceEdge
	edgeIndex *planar.Index // over edges
	// ringIndex is over the edges of obstacles alone, ringEdges their places in
	// edges; widestMM is the east-west extent of the widest of them.
	ringEdges []int
	ringIndex *planar.Index
	widestMM  int64

	circles       []int         // obstacles that are circles
	circleIndex   *planar.Index // over their centres
	largestRadius int64
}

// fenceEdge is one edge of the boundary (ring -1) or of an obstacle.
type fenceEdge struct {
	ring, edge int
	segment    planar.Segment
}

const boundaryRing = diag.BoundaryRing

func newFence(p *plan.Plan) *fence {
	f := &fence{faults: map[int][]planar.RingFault{}, obstacles: make([]*planar.Region, len(p.Fence.Obstacles))}
	f.boundary = f.addRing(boundaryRing, p.Fence.Boundary.Vertices)
	var centres []planar.Segment
	for i, o := range p.Fence.Obstacles {
		if o.IsCircle {
			f.circles = append(f.circles, i)
			centres = append(centres, planar.Segment{A: o.Circle.Centre, B: o.Circle.Centre})
			f.largestRadius = max(f.largestRadius, o.Circle.RadiusMM)
			continue
		}
		f.obstacles[i] = f.addRing(i, o.Vertices)
	}
	all := make([]planar.Segment, len(f.edges))
	var rings []planar.Segment
	for i, e := range f.edges {
		all[i] = e.segment
		if e.ring != boundaryRing {
			f.ringEdges = append(f.ringEdges, i)
			rings = append(rings, e.segment)
		}
	}
	f.edgeIndex = planar.NewIndex(all)
	f.ringIndex = planar.NewIndex(rings)
	f.circleIndex = planar.NewIndex(centres)
	return f
}

func (f *fence) addRing(ring int, vertices planar.Ring) *planar.Region {
	if faults := vertices.Faults(); len(faults) > 0 {
		f.faults[ring] = faults
		return nil
	}
	west, east := vertices[0].E, vertices[0].E
	for i, p := range vertices {
		west, east = min(west, p.E), max(east, p.E)
		f.edges = append(f.edges, fenceEdge{ring, i, vertices.Edge(i)})
	}
	if ring != boundaryRing {
		f.widestMM = max(f.widestMM, east-west)
	}
	return planar.NewRegion(vertices)
}

// sound reports whether the boundary can be reckoned with.
func (f *fence) sound() bool { return f.boundary != nil }

// passage is how a leg or a waypoint lies with regard to the fence.
type passage struct {
	outside bool  // it leaves a sound boundary somewhere
	struck  []int // the obstacles that it meets, in ascending order
}

// clear reports whether it makes sense to ask for a clearance.
func (p passage) clear() bool { return !p.outside && len(p.struck) == 0 }

func (f *fence) passage(p *plan.Plan, s planar.Segment) passage {
	return passage{outside: f.sound() && !f.boundary.Covers(s), struck: f.struck(p, s)}
}

func (f *fence) struck(p *plan.Plan, s planar.Segment) []int {
	struck := f.circlesNear(p, s, 0)
	for _, id := range f.ringIndex.Crossing(s) {
		struck = append(struck, f.edges[f.ringEdges[id]].ring)
	}
	// A leg wholly within a ring crosses none of its edges, but a line due east
	// from its start does, and no further away than that ring is wide.
	ray := planar.Segment{A: s.A, B: planar.Point{E: min(s.A.E+f.widestMM, planar.MaxCoordinate), N: s.A.N}}
	for _, id := range f.ringIndex.Crossing(ray) {
		ring := f.edges[f.ringEdges[id]].ring
		if f.obstacles[ring].Contains(s.A) != planar.Outside {
			struck = append(struck, ring)
		}
	}
	slices.Sort(struck)
	return slices.Compact(struck)
}

// neighbour is a part of the fence near a leg.
type neighbour struct {
	edge     int // index of fence.edges, -1 for a circle
	obstacle int // obstacle number, boundaryRing for the boundary
	floorMM  int64
}

// circlesNear lists the round obstacles that come within less than mm of s.
func (f *fence) circlesNear(p *plan.Plan, s planar.Segment, mm int64) []int {
	var near []int
	for _, id := range f.circleIndex.Within(s, mm+f.largestRadius) {
		if o := f.circles[id]; planar.CircleDistanceLess(p.Fence.Obstacles[o].Circle, s, mm) {
			near = append(near, o)
		}
	}
	return near
}

// nearest is the part of the fence that comes nearest to a segment, if any comes
// nearer than mm.
func (f *fence) nearest(p *plan.Plan, s planar.Segment, mm int64) (neighbour, bool) {
	found, ok := neighbour{}, false
	if id, floor, _ := f.edgeIndex.Nearest(s); id >= 0 && floor < mm { // d < m if and only if floor(d) < m
		found, ok = neighbour{edge: id, obstacle: f.edges[id].ring, floorMM: floor}, true
	}
	for _, o := range f.circlesNear(p, s, mm) {
		if d := p.Fence.Obstacles[o].Circle.FloorDistanceMM(s); !ok || d < found.floorMM {
			found, ok = neighbour{edge: -1, obstacle: o, floorMM: d}, true
		}
	}
	return found, ok
}

// part says which part of the fence is meant, an edge by its ring and the marks
// at its ends.
func (f *fence) part(p *plan.Plan, n neighbour) diag.Phrase {
	if n.edge < 0 {
		return diag.Say("%s", p.RingSubject(n.obstacle))
	}
	e := f.edges[n.edge]
	return diag.Say("%s %s", p.RingSubject(e.ring), p.EdgeSubject(e.ring, e.edge))
}

// where is the source of the part of the fence.
func (f *fence) where(p *plan.Plan, n neighbour) plan.Source {
	if n.obstacle == boundaryRing {
		return p.Fence.Boundary.Source
	}
	return p.Fence.Obstacles[n.obstacle].Source
}

// lack is what is missing between clearance and standoff when the standoff is
// made larger.
type lack struct {
	mm      int64       // the most that is missing anywhere, 0 when nothing is
	between diag.Phrase // "leg A–B and obstacle well"
	// judged is false when something could not be looked at: the boundary is at
	// fault, or a leg leaves it or strikes an obstacle.
	judged bool
}

// lacking asks every leg and waypoint for its standoff and extra millimetres
// more; extra is told the speed at which it is driven, or arrived at (0 for the
// first waypoint of an open route).
//
// What lacks its standoff as it is, is counted too where withShort says so.
func (v *view) lacking(withShort bool, extra func(speedMMPerS int64) int64) lack {
	worst := lack{judged: v.fence.sound()}
	if !worst.judged {
		return worst
	}
	look := func(what diag.Subject, s planar.Segment, p passage, need plan.Standoff, more int64) {
		if !p.clear() {
			worst.judged = false
			return
		}
		n, near := v.fence.nearest(v.Plan, s, need.TotalMM+more)
		if more <= 0 || !near || n.floorMM < need.TotalMM && !withShort {
			return
		}
		if short := need.TotalMM + more - n.floorMM; short > worst.mm {
			worst.mm, worst.between = short, diag.Say("%s and %s", what, v.fence.part(v.Plan, n))
		}
	}
	for i, l := range v.Route.Legs {
		look(v.Subject(diag.Leg, i), l.Segment, v.legs[i], l.Standoff, extra(l.SpeedMMPerS))
	}
	for i, w := range v.Route.Waypoints {
		arriving := int64(0)
		if in := v.Arriving(i); in != nil {
			arriving = in.SpeedMMPerS
		}
		look(v.Subject(diag.Waypoint, i), place(v.Survey.Marks[w.Mark]), v.places[i], w.Standoff, extra(arriving))
	}
	return worst
}
