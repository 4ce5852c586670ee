// One plan's rover on another plan's route: what is compared of two versions of a
// route is then the route alone, with the same fence, survey, machine and board.
package plan

import (
	"math"
	"slices"

	"merestone/internal/planar"
)

// Driving is the plan with the route of another one, as far as its stretches: the other's
// waypoints, tolerances, dwells, legs and speeds, between the places that they have in
// the other. The ground stays as steep as it is. Both are in the same frame.
func (p *Plan) Driving(other *Plan) *Plan {
	q, marks := *p, len(p.Survey.Marks)
	q.Survey.Marks = slices.Concat(p.Survey.Marks, other.Survey.Marks)
	q.Route = other.Route
	q.Route.Slope, q.Route.Line.Source = p.Route.Slope, p.Route.Line.Source
	q.Route.Legs, q.Route.Waypoints = slices.Clone(other.Route.Legs), slices.Clone(other.Route.Waypoints)
	for i := range q.Route.Waypoints {
		w := &q.Route.Waypoints[i]
		w.Mark += marks
		w.Stops = q.stopsAt(i)
	}
	if table := &q.Board.Tables.Rover; table.LookAheadMM > 0 {
		table.LookAheadMM = uint16(min(q.Machine.Rover.lookAheadMM(q.TopSpeedMMPerS()), math.MaxUint16))
	}
	q.Stretches()
	return &q
}

// On is what a leg needs and has on a part of it.
func (p *Plan) On(leg int, part planar.Segment) Stretch {
	line := p.Route.Legs[leg].Line
	return p.stretch(part, line.OffLineMM, line.StoppingMM, line.ReachMM)
}

// Around is what the rover needs and has at a waypoint itself, on its way to it or, at
// the start, from it, and as it turns there: of the two the one with less to spare. It
// is not needed where no leg meets the waypoint.
func (p *Plan) Around(waypoint int) Stretch {
	w, leg := p.Route.Waypoints[waypoint], p.Meeting(waypoint)
	if leg == nil {
		return Stretch{}
	}
	at := p.Survey.Marks[w.Mark].Point
	s := p.stretch(planar.Segment{A: at, B: at}, max(leg.Line.OffLineMM, w.ToleranceMM), leg.Line.StoppingMM, leg.Line.ReachMM)
	if w.Pivot.Needed && w.Pivot.SpareMM() < s.SpareMM() {
		return w.Pivot
	}
	return s
}
