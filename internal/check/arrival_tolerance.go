// Rule arrival.tolerance: every waypoint can be reached within its tolerance.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

func toleranceRule() Rule {
	return newRule("arrival.tolerance", diag.Error, "every waypoint can be reached within its tolerance", func(v *view, report func(diag.Finding)) {
		type figures struct {
			toleranceMM, speedMMPerS int64
			arrival                  plan.Arrival
		}
		var same alike
		for i, w := range v.Route.Waypoints {
			in := v.Arriving(i)
			if in == nil {
				continue
			}
			if v.halfDigitMM(v.Survey.Marks[w.Mark]) > float64(w.ToleranceMM) {
				continue // precision.decimals says why it cannot be met
			}
			if v.keeps(limit{diag.Error, "arrival tolerance", words.Millimetre}, v.Subject(diag.Waypoint, i), float64(w.ToleranceMM), float64(w.Arrival.ClosestMM)) {
				continue
			}
			a := w.Arrival
			if same.told(figures{w.ToleranceMM, in.SpeedMMPerS, a}, v.Subject(diag.Waypoint, i)) {
				continue
			}
			f := at(w.Source, "%s: an arrival tolerance of %s cannot be met at %s; the closest is %s (position %s; along the line timing %s and coast error %s, across it steering %s; at %s)",
				v.Subject(diag.Waypoint, i), words.MM(w.ToleranceMM), words.MMPerS(in.SpeedMMPerS), words.MM(a.ClosestMM),
				words.BareMM(a.PositionMM), words.BareMM(a.TimingMM), words.BareMM(a.CoastMM), words.BareMM(a.SteeringMM), words.Percent(v.Confidence))
			f.Numbers = []diag.Number{metre("tolerance", float64(w.ToleranceMM)), metre("closest", float64(a.ClosestMM)), {Name: "highest speed", Value: plan.Metres(a.HighestMMPerS), Unit: "m/s"}}
			widen := "widen the tolerance to at least " + words.MM(a.ClosestMM).String()
			switch {
			case a.SteeringMM > v.Machine.Rover.CrossTrackMM:
				f.Remedy = fmt.Sprintf("lengthen %v, or ask for a closer arrival where it begins: at its end the rover is not on its line yet, by %s", v.Subject(diag.Leg, in.From), words.MM(a.SteeringMM))
			case a.HighestMMPerS <= 0:
				f.Remedy = widen + ": no speed meets it, and " + largestOf(w) + " takes the most"
			case a.HighestMMPerS < v.Machine.Rover.MinimumMMPerS:
				f.Remedy = fmt.Sprintf("%s: it would take %s, below the rover's minimum of %s", widen, words.MMPerS(a.HighestMMPerS), words.MMPerS(v.Machine.Rover.MinimumMMPerS))
			default:
				f.Remedy = fmt.Sprintf("drive this leg at %s or less, or %s", words.MMPerS(a.HighestMMPerS), widen)
			}
			if a.SteeringMM <= v.Machine.Rover.CrossTrackMM {
				f.Want(words.MM(a.ClosestMM).String(), w.Path+".arrival_tolerance", "route.arrival_tolerance")
			}
			same.add(f, float64(a.ClosestMM-w.ToleranceMM))
		}
		same.report(report, "; so it is at %s", "; by other figures so it is at %s")
	})
}

// largestOf names what takes the most of an arrival that no speed makes close enough.
func largestOf(w plan.Waypoint) string {
	if w.Arrival.SteeringMM > w.Arrival.PositionMM {
		return "the steering (rover.cross_track)"
	}
	return "the error of position, most of it " + w.Budget.Largest().Name + ","
}
