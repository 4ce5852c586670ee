// Rule holds.dwell: a rover that waits does not leave by itself.
package check

import (
	"slices"

	"merestone/internal/board"
	"merestone/internal/diag"
	"merestone/internal/plan"
)

// dwellRule: somebody who sees a rover stand goes up to it. Where nobody holds a
// switch, it drives off when its dwell is over; common practice, no source.
func dwellRule() Rule {
	return newRule("holds.dwell", diag.Warning, "a rover that waits does not leave by itself", func(v *view, report func(diag.Finding)) {
		waits := v.leavesByItself()
		if len(waits) == 0 {
			return
		}
		f := at(v.Route.Waypoints[waits[0].Index].Source, "the rover drives with nobody holding a switch: there is no hold-to-run, and it stands still and then leaves by itself at %s", diag.Names(waits, ", "))
		f.About = waits
		f.Remedy = "add a hold-to-run, or end the mission where the rover is to be approached; whoever walks up to one that stands must know that it goes on"
		f.Numbers = []diag.Number{{Name: "waypoints", Value: float64(len(waits)), Unit: "1"}}
		report(f)
	})
}

// leavesByItself are the waypoints at which the rover waits and goes on with nobody
// holding a switch. Where there is no emergency stop either, holds.none refuses.
func (v *view) leavesByItself() []diag.Subject {
	held := func(kind board.HoldKind) bool {
		return slices.ContainsFunc(v.Holds.List, func(h plan.Hold) bool { return h.Circuit.Kind == kind })
	}
	if held(board.HoldToRun) || !held(board.EmergencyStop) {
		return nil
	}
	var waits []diag.Subject
	for i, w := range v.Route.Waypoints {
		if w.DwellMS > 0 && v.Leaving(i) != nil {
			waits = append(waits, v.Subject(diag.Waypoint, i))
		}
	}
	return waits
}
