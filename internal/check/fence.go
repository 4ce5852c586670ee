// The fence as the geometry rules see it: its edges indexed, so that the cost
// for all legs together grows near-linearly with the size of the mission.
package check

import (
	"merestone/internal/plan"
	"merestone/internal/planar"
)

// fence is the boundary and the obstacles, indexed. Rings with faults have no
// region: rules that need one pass over them, and ringRule reports them.
type fence struct {
	faults    map[int][]planar.RingFault // by ring: -1 the boundary, else the obstacle
	boundary  *planar.Region             // nil when it has faults
	obstacles []*planar.Region           // nil for circles and rings with faults

	edges     []fenceEdge
	edgeIndex *planar.Index // over edges

	circles       []int         // obstacles that are circles
	circleIndex   *planar.Index // over their centres
	largestRadius int64
}

// fenceEdge is one edge of the boundary (ring -1) or of an obstacle.
type fenceEdge struct {
	ring, edge int
	segment    planar.Segment
}

const boundaryRing = -1

func newFence(p *plan.Plan) *fence {
	f := &fence{faults: map[int][]planar.RingFault{}, obstacles: make([]*planar.Region, len(p.Obstacles))}
	f.boundary = f.addRing(boundaryRing, p.Boundary.Vertices)
	var centres []planar.Segment
	for i, o := range p.Obstacles {
		if o.IsCircle {
			f.circles = append(f.circles, i)
			centres = append(centres, planar.Segment{A: o.Circle.Centre, B: o.Circle.Centre})
			f.largestRadius = max(f.largestRadius, o.Circle.RadiusMM)
			continue
		}
		f.obstacles[i] = f.addRing(i, o.Vertices)
	}
	segments := make([]planar.Segment, len(f.edges))
	for i, e := range f.edges {
		segments[i] = e.segment
	}
	f.edgeIndex = planar.NewIndex(segments)
	f.circleIndex = planar.NewIndex(centres)
	return f
}

func (f *fence) addRing(ring int, vertices planar.Ring) *planar.Region {
	if faults := vertices.Faults(); len(faults) > 0 {
		f.faults[ring] = faults
		return nil
	}
	for i := range vertices {
		f.edges = append(f.edges, fenceEdge{ring, i, vertices.Edge(i)})
	}
	return planar.NewRegion(vertices)
}

// sound reports whether the boundary can be reckoned with.
func (f *fence) sound() bool { return f.boundary != nil }

// neighbour is a part of the fence near a leg.
type neighbour struct {
	edge     int // index of fence.edges, -1 for a circle
	obstacle int // obstacle number, boundaryRing for the boundary
	floorMM  int64
}

// nearest is the part of the fence that comes nearest to a segment, if any is
// nearer than within millimetres.
func (f *fence) nearest(s planar.Segment, within int64) (neighbour, bool) {
	found := neighbour{floorMM: within}
	ok := false
	if id, mm, _ := f.edgeIndex.Nearest(s); id >= 0 && planar.SegmentDistanceLess(f.edges[id].segment, s, within) {
		found, ok = neighbour{edge: id, obstacle: f.edges[id].ring, floorMM: mm}, true
	}
	return found, ok
}

// circlesNear lists the round obstacles that come within less than mm of s.
func (f *fence) circlesNear(p *plan.Plan, s planar.Segment, mm int64) []int {
	var near []int
	for _, id := range f.circleIndex.Within(s, mm+f.largestRadius) {
		if o := f.circles[id]; planar.CircleDistanceLess(p.Obstacles[o].Circle, s, mm) {
			near = append(near, o)
		}
	}
	return near
}

// nearestWithin is nearest over edges and circles together.
func (f *fence) nearestWithin(p *plan.Plan, s planar.Segment, mm int64) (neighbour, bool) {
	found, ok := f.nearest(s, mm)
	for _, o := range f.circlesNear(p, s, mm) {
		if d := p.Obstacles[o].Circle.FloorDistanceMM(s); !ok || d < found.floorMM {
			found, ok = neighbour{edge: -1, obstacle: o, floorMM: d}, true
		}
	}
	return found, ok
}

// name says in words which part of the fence is meant, with the marks at the
// ends of an edge.
func (f *fence) name(p *plan.Plan, n neighbour) string {
	if n.edge < 0 {
		return "obstacle " + p.Obstacles[n.obstacle].Name
	}
	e := f.edges[n.edge]
	ring, what := p.Boundary, "boundary"
	if e.ring != boundaryRing {
		ring, what = p.Obstacles[e.ring].Ring, "obstacle "+p.Obstacles[e.ring].Name
	}
	return what + " edge " + edgeName(p, ring, e.edge)
}

func edgeName(p *plan.Plan, ring plan.Ring, i int) string {
	return p.Marks[ring.Marks[i]].Name + "–" + p.Marks[ring.Marks[(i+1)%len(ring.Marks)]].Name
}

// where is the source of the part of the fence.
func (f *fence) where(p *plan.Plan, n neighbour) plan.Source {
	if n.obstacle == boundaryRing {
		return p.Boundary.Source
	}
	return p.Obstacles[n.obstacle].Source
}
