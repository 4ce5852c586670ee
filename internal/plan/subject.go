// The things of a plan, as findings speak of them.
package plan

import (
	"merestone/internal/diag"
	"merestone/internal/fence"
)

// LegSubject is leg i.
func (p *Plan) LegSubject(i int) diag.Subject {
	return diag.Subject{Kind: diag.Leg, Name: p.Route.Legs[i].Name, Index: i}
}

// WaypointSubject is waypoint i, by the name of its mark.
func (p *Plan) WaypointSubject(i int) diag.Subject {
	return diag.Subject{Kind: diag.Waypoint, Name: p.Survey.Marks[p.Route.Waypoints[i].Mark].Name, Index: i}
}

// MarkSubject is mark i.
func (p *Plan) MarkSubject(i int) diag.Subject {
	return diag.Subject{Kind: diag.Mark, Name: p.Survey.Marks[i].Name, Index: i}
}

// TapeSubject is tape i, by the marks at its ends.
func (p *Plan) TapeSubject(i int) diag.Subject {
	t := p.Survey.Tapes[i]
	return diag.Subject{Kind: diag.Tape, Name: p.Survey.Marks[t.From].Name + "–" + p.Survey.Marks[t.To].Name, Index: i}
}

// HoldSubject is hold i.
func (p *Plan) HoldSubject(i int) diag.Subject {
	return diag.Subject{Kind: diag.Hold, Name: p.Holds.List[i].Circuit.Name, Index: i}
}

// RingSubject is a part of the fence: the boundary or an obstacle.
func (p *Plan) RingSubject(part int) diag.Subject {
	if part == fence.Boundary {
		return diag.The(diag.Boundary, "")
	}
	return diag.Subject{Kind: diag.Obstacle, Name: p.Fence.Obstacles[part].Name, Index: part}
}

// EdgeSubject is an edge of a ring, by the marks at its ends.
func (p *Plan) EdgeSubject(e fence.Edge) diag.Subject {
	return diag.Subject{Kind: diag.Edge, Name: p.Fence.Part(e.Part).EdgeName(e.Number), Index: e.Number, Ring: e.Part}
}

// VertexSubject is the mark at a vertex of a ring.
func (p *Plan) VertexSubject(v fence.Vertex) diag.Subject {
	return diag.Subject{Kind: diag.Mark, Name: p.Fence.Part(v.Part).Marks[v.Number].Name, Index: p.Fence.Part(v.Part).Marks[v.Number].Number}
}
