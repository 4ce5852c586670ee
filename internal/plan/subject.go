// The things of a plan, as findings speak of them.
package plan

import (
	"strconv"

	"merestone/internal/diag"
)

// Subject is entry i of the plan's list of a kind, by the name that people know it
// by: a waypoint by its mark, a tape by the marks at its ends.
func (p *Plan) Subject(kind diag.Kind, i int) diag.Subject {
	s := diag.Subject{Kind: kind, Index: i}
	switch kind {
	case diag.Leg:
		s.Name = p.Route.Legs[i].Name
	case diag.Waypoint:
		s.Name = p.Survey.Marks[p.Route.Waypoints[i].Mark].Name
	case diag.Mark:
		s.Name = p.Survey.Marks[i].Name
	case diag.Tape:
		s.Name = p.Survey.Marks[p.Survey.Tapes[i].From].Name + "–" + p.Survey.Marks[p.Survey.Tapes[i].To].Name
	case diag.Hold:
		s.Name = p.Holds.List[i].Circuit.Name
	case diag.Obstacle:
		s.Name = p.Fence.Obstacles[i].Name
	}
	return s
}

// RingSubject is the obstacle of an index, or the boundary for diag.BoundaryRing.
func (p *Plan) RingSubject(ring int) diag.Subject {
	if ring == diag.BoundaryRing {
		return diag.The(diag.Boundary, "")
	}
	return p.Subject(diag.Obstacle, ring)
}

// Ring is the ring of an obstacle, or the boundary's.
func (p *Plan) Ring(ring int) Ring {
	if ring == diag.BoundaryRing {
		return p.Fence.Boundary
	}
	return p.Fence.Obstacles[ring].Ring
}

// EdgeSubject is edge i of a ring, by the marks at its ends.
func (p *Plan) EdgeSubject(ring, i int) diag.Subject {
	next := (i + 1) % max(len(p.Ring(ring).Vertices), 1)
	return diag.Subject{Kind: diag.Edge, Name: p.VertexSubject(ring, i).Name + "–" + p.VertexSubject(ring, next).Name, Index: i, Ring: ring}
}

// VertexSubject is the mark at vertex i of a ring, or the vertex by its number
// where a plan made by hand has no marks.
func (p *Plan) VertexSubject(ring, i int) diag.Subject {
	if marks := p.Ring(ring).Marks; i >= 0 && i < len(marks) {
		return p.Subject(diag.Mark, marks[i])
	}
	return diag.The(diag.Mark, strconv.Itoa(i+1))
}
