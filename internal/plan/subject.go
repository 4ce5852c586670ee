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

// SourceOf is where a thing was written; false of what is in no list that is known by its
// things.
func (p *Plan) SourceOf(s diag.Subject) (diag.Source, bool) {
	switch s.Kind {
	case diag.Leg:
		return p.Route.Legs[s.Index].Source, true
	case diag.Waypoint:
		return p.Route.Waypoints[s.Index].Source, true
	case diag.Mark:
		return p.Survey.Marks[s.Index].Source, true
	case diag.Tape:
		return p.Survey.Tapes[s.Index].Source, true
	case diag.Hold:
		return p.Holds.List[s.Index].Source, true
	case diag.Obstacle:
		return p.Fence.Obstacles[s.Index].Source, true
	case diag.Canopy, diag.Roof:
		return p.Site.Overhead[s.Index].Source, true
	}
	return diag.Source{}, false
}

// OverheadSubject is an area with something overhead, by what that is.
func (p *Plan) OverheadSubject(i int) diag.Subject {
	s := diag.Subject{Kind: diag.Canopy, Name: p.Site.Overhead[i].Name, Index: i}
	if p.Site.Overhead[i].Roof {
		s.Kind = diag.Roof
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
