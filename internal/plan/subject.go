// The things of a plan, as findings speak of them.
package plan

import (
	"merestone/internal/diag"
	"merestone/internal/fence"
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

// RingSubject is a part of the fence: the boundary or an obstacle.
func (p *Plan) RingSubject(part int) diag.Subject {
	if part == fence.Boundary {
		return diag.The(diag.Boundary, "")
	}
	return p.Subject(diag.Obstacle, part)
}

// EdgeSubject is an edge of a ring, by the marks at its ends.
func (p *Plan) EdgeSubject(e fence.Edge) diag.Subject {
	return diag.Subject{Kind: diag.Edge, Name: p.Fence.Part(e.Part).EdgeName(e.Number), Index: e.Number, Ring: e.Part}
}

// VertexSubject is the mark at a vertex of a ring.
func (p *Plan) VertexSubject(v fence.Vertex) diag.Subject {
	m := p.Fence.Part(v.Part).Marks[v.Number]
	return diag.Subject{Kind: diag.Mark, Name: m.Name, Index: m.Number}
}
