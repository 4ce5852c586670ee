// The things of a plan, as findings speak of them.
package plan

import (
	"strconv"

	"merestone/internal/diag"
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

// RingSubject is the obstacle of an index, or the boundary for diag.BoundaryRing.
func (p *Plan) RingSubject(ring int) diag.Subject {
	if ring == diag.BoundaryRing {
		return diag.The(diag.Boundary, "")
	}
	return diag.Subject{Kind: diag.Obstacle, Name: p.Fence.Obstacles[ring].Name, Index: ring}
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
		return p.MarkSubject(marks[i])
	}
	return diag.The(diag.Mark, strconv.Itoa(i+1))
}
