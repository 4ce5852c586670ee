// Rule arrival.tolerance: every waypoint can be reached within its tolerance.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/plan"
)

func toleranceRule() Rule {
	return newRule("arrival.tolerance", diag.Error, "every waypoint can be reached within its tolerance", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for i, w := range v.Waypoints {
			in := v.Arriving(i)
			if in == nil || w.Arrival.ClosestMM <= w.ToleranceMM {
				continue
			}
			if v.halfDigitMM(v.Marks[w.Mark]) > float64(w.ToleranceMM) {
				continue // precision.decimals has said why
			}
			a := w.Arrival
			f := at(w.Source, "waypoint %s: an arrival tolerance of %s cannot be met at %s; the closest is %s (position %s; along the line timing %s and coast %s, across it steering %s; at %s)",
				v.Marks[w.Mark].Name, metres(w.ToleranceMM), speed(in.SpeedMMPerS), metres(a.ClosestMM),
				thousandths(a.PositionMM), thousandths(a.TimingMM), thousandths(a.CoastMM), thousandths(a.SteeringMM), percent(v.Confidence))
			f.Numbers = []diag.Number{metre("tolerance", float64(w.ToleranceMM)), metre("closest", float64(a.ClosestMM)), {Name: "highest speed", Value: plan.Metres(a.HighestMMPerS), Unit: "m/s"}}
			widen := "widen the tolerance to at least " + metres(a.ClosestMM)
			switch {
			case a.HighestMMPerS <= 0:
				f.Remedy = widen + ", or survey the mark better: no speed meets it"
			case a.HighestMMPerS < v.Rover.MinimumMMPerS:
				f.Remedy = fmt.Sprintf("%s: it would take %s, below the rover's minimum of %s", widen, speed(a.HighestMMPerS), speed(v.Rover.MinimumMMPerS))
			default:
				f.Remedy = fmt.Sprintf("drive this leg at %s or less, or %s", speed(a.HighestMMPerS), widen)
			}
			findings = append(findings, f)
		}
		return findings
	})
}
