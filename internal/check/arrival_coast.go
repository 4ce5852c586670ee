// Rule arrival.coast: the coast was measured at the speeds of the legs.
package check

import (
	"fmt"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// coastRule reminds that the cut reckons with v² from one measured roll-out to the
// next and below the slowest. Drag that grows with speed (a motor that is dragged
// along, grease) makes the coast from a lower speed longer than that, at most d·v/v0:
// see motion.Rollout.Bound. The standoffs hold that; an arrival tolerance may not. With
// two speeds measured the two are near each other, and there is nothing to remind of.
func coastRule() Rule {
	return newRule("arrival.coast", diag.Note, "the coast was measured at the speeds of the legs", func(v *view, report func(diag.Finding)) {
		var worst diag.Finding
		most := int64(0)
		var slower int64
		var places []diag.Subject
		for i, w := range v.Route.Waypoints {
			in := v.Arriving(i)
			if in == nil || !w.Stops || v.Machine.Rover.Coast.Speeds() > 1 {
				continue
			}
			coast, err := v.LikelyRollout(in)
			if err != nil {
				continue // slope.rolls
			}
			// What the tolerance has left along the line, beyond the budget.
			further := coast.BoundMM(in.SpeedMMPerS) - coast.LikelyMM(in.SpeedMMPerS)
			if further == 0 || v.keeps(limit{diag.Note, "tolerance, with drag", words.Millimetre}, v.Subject(diag.Waypoint, i), float64(w.ToleranceMM), float64(w.Arrival.ClosestMM+further)) {
				continue
			}
			places = append(places, v.Subject(diag.Waypoint, i))
			if further > most {
				most, slower = further, in.SpeedMMPerS
				worst = at(w.Source, "the coast was measured from %s, and %s stops from %s: with drag that grows with speed the rover rolls up to %s further than v² says, past what the arrival tolerance of %s leaves",
					words.MMPerS(v.Machine.Rover.Coast.FastestMMPerS()), v.Subject(diag.Leg, in.From), words.MMPerS(in.SpeedMMPerS), words.MM(further), words.MM(w.ToleranceMM))
				worst.About = []diag.Subject{diag.The(diag.Rover, ""), v.Subject(diag.Leg, in.From), v.Subject(diag.Waypoint, i)}
				worst.Numbers = []diag.Number{metre("further", float64(further)), metre("closest", float64(w.Arrival.ClosestMM)), metre("tolerance", float64(w.ToleranceMM))}
			}
		}
		if len(places) == 0 {
			return
		}
		if others := slices.DeleteFunc(places, func(s diag.Subject) bool { return slices.Contains(worst.About, s) }); len(others) > 0 {
			worst.Add("; so it is at %s", diag.Names(others, ", "))
		}
		worst.Remedy = fmt.Sprintf("tape the roll-out from %v as well, and write both under rover.coast", words.MMPerS(slower))
		report(worst)
	})
}
