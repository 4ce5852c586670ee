// The geofence in the local frame, and the domain of the board's conversion.
package plan

import (
	"fmt"

	"merestone/internal/board"
	"merestone/internal/planar"
	"merestone/spec"
)

func (r *resolver) fence() {
	g := r.m.Geofence
	r.p.Fence.Boundary = r.ring("geofence.boundary", g.Boundary)
	r.p.Fence.Boundary.HeightMM = mmOf(g.BoundaryHeight, 0)
	r.p.Fence.Boundary.Reflects = g.BoundaryReflects
	for i, o := range g.Obstacles {
		r.obstacle(fmt.Sprintf("geofence.obstacles[%d]", i), o)
	}
}

func (r *resolver) obstacle(path string, o spec.Obstacle) {
	out := Obstacle{Name: o.Name, IsCircle: len(o.Ring) == 0}
	if out.IsCircle {
		out.Ring = Ring{Source: r.source(path)}
		centre, ok := r.mark(o.Centre)
		if !ok {
			return
		}
		out.Centre = centre
		out.Circle = planar.Circle{Centre: r.p.Survey.Marks[centre].Point, RadiusMM: o.Radius.CeilMM()}
	} else {
		out.Ring = r.ring(path, o.Ring)
	}
	out.HeightMM, out.Reflects = mmOf(o.Height, 0), o.Reflects
	r.p.Fence.Obstacles = append(r.p.Fence.Obstacles, out)
}

func (r *resolver) ring(path string, names []string) Ring {
	ring := Ring{Source: r.source(path)}
	for _, name := range names {
		if i, ok := r.mark(name); ok {
			ring.Marks = append(ring.Marks, i)
			ring.Vertices = append(ring.Vertices, r.p.Survey.Marks[i].Point)
		}
	}
	return ring
}

// domainMarginMM is added around the fence and the largest standoff: the rover
// can be that far outside, carried or lost, and still be told where it is.
const domainMarginMM = 100_000

// domain boxes the origin, the fence and the route, with room for the largest
// standoff (bounded here by ten coasts, since standoffs need the conversion's
// bound, which needs the domain) and 100 m more, as far as the board reaches.
func (r *resolver) domain() {
	d := &r.p.Board.Domain // from the origin outwards, since the conversion is expanded there
	marks := r.p.fenceMarks()
	for _, w := range r.m.Route.Waypoints {
		if m, ok := r.mark(w.Mark); ok {
			marks = append(marks, m)
		}
	}
	for _, m := range marks {
		p := r.p.Survey.Marks[m].Point
		d.WestMM, d.EastMM = min(d.WestMM, p.E), max(d.EastMM, p.E)
		d.SouthMM, d.NorthMM = min(d.SouthMM, p.N), max(d.NorthMM, p.N)
	}
	margin := domainMarginMM + 10*r.p.Machine.Rover.CoastMM
	d.WestMM, d.SouthMM = max(d.WestMM-margin, -board.MaxReachMM), max(d.SouthMM-margin, -board.MaxReachMM)
	d.EastMM, d.NorthMM = min(d.EastMM+margin, board.MaxReachMM), min(d.NorthMM+margin, board.MaxReachMM)
}
