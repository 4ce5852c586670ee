// Rule arrival.coast: the coast was measured at the speeds of the legs.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// coastRule reminds that the cut reckons with a roll-out of d·v²/v0². Drag that
// grows with speed (a motor that is dragged along, grease) makes the coast from a
// lower speed longer than that, at most d·v/v0: see motion.Coast.BoundMM. The
// standoffs hold that; an arrival tolerance may not.
func coastRule() Rule {
	return newRule("arrival.coast", diag.Note, "the coast was measured at the speeds of the legs", func(v *view, report func(diag.Finding)) {
		coast := v.Machine.Rover.Coast()
		var worst diag.Finding
		most, legs := int64(0), 0
		var slower, expected int64
		for i, w := range v.Route.Waypoints {
			in := v.Arriving(i)
			if in == nil || !w.Stops {
				continue
			}
			bound, err1 := coast.BoundMM(in.SpeedMMPerS)
			likely, err2 := coast.AtMM(in.SpeedMMPerS)
			if err1 != nil || err2 != nil {
				continue
			}
			// What the tolerance has left along the line, beyond the budget.
			further := bound - likely
			if further == 0 || w.Arrival.ClosestMM+further <= w.ToleranceMM {
				continue
			}
			legs++
			if further > most {
				most, slower, expected = further, in.SpeedMMPerS, likely
				worst = at(w.Source, "the coast was measured from %s, and %s stops from %s: with drag that grows with speed the rover rolls up to %s further than v² says, past what the arrival tolerance of %s leaves",
					words.MMPerS(v.Machine.Rover.CoastFromMMPerS), v.Subject(diag.Leg, in.From), words.MMPerS(in.SpeedMMPerS), words.MM(further), words.MM(w.ToleranceMM))
				worst.About = []diag.Subject{diag.The(diag.Rover, ""), v.Subject(diag.Leg, in.From), v.Subject(diag.Waypoint, i)}
				worst.Numbers = []diag.Number{metre("further", float64(further)), metre("closest", float64(w.Arrival.ClosestMM)), metre("tolerance", float64(w.ToleranceMM))}
			}
		}
		if legs == 0 {
			return
		}
		if legs > 1 {
			worst.Add("; and so at %d more waypoints", legs-1)
		}
		worst.Remedy = fmt.Sprintf("tape the coast from %v as well: where it is longer than the %v that v² says, write a greater arrival_tolerance there, or drive that leg at the %v of rover.coast",
			words.MMPerS(slower), words.MM(expected), words.MMPerS(v.Machine.Rover.CoastFromMMPerS))
		report(worst)
	})
}
