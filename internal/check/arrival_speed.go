// Rule arrival.speed: leg speeds are speeds the rover can hold.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// speedRule makes one finding of all legs with the same fault and speed: most
// often they have it from one key of the mission.
func speedRule() Rule {
	return newRule("arrival.speed", diag.Error, "leg speeds are speeds the rover can hold", func(v *view) []diag.Finding {
		type group struct {
			fault       int
			speedMMPerS int64
		}
		const tooSlow, tooFast, notMeasured = 1, 2, 3
		var order []group
		legs := map[group][]string{}
		first := map[group]plan.Source{}
		for _, l := range v.Route.Legs {
			fault := 0
			switch {
			case l.SpeedMMPerS < v.Machine.Rover.MinimumMMPerS:
				fault = tooSlow
			case l.SpeedMMPerS > v.Machine.Rover.CruiseMMPerS:
				fault = tooFast
			case l.SpeedMMPerS > v.Machine.Rover.CoastFromMMPerS:
				fault = notMeasured
			default:
				continue
			}
			g := group{fault, l.SpeedMMPerS}
			if len(legs[g]) == 0 {
				order = append(order, g)
				first[g] = l.Source
			}
			legs[g] = append(legs[g], l.Name)
		}
		var findings []diag.Finding
		for _, g := range order {
			what := "leg " + legs[g][0] + " is to be driven at "
			if len(legs[g]) > 1 {
				what = "legs " + words.Few(legs[g], ", ") + " are to be driven at "
			}
			f := at(first[g], "%s%s, ", what, words.MMPerS(g.speedMMPerS))
			f.Numbers = []diag.Number{{Name: "speed", Value: plan.Metres(g.speedMMPerS), Unit: "m/s"}}
			limit := int64(0)
			switch g.fault {
			case tooSlow:
				limit = v.Machine.Rover.MinimumMMPerS
				f.Message += "below the rover's minimum of " + words.MMPerS(limit).String()
				f.Remedy = "drive at " + words.MMPerS(limit).String() + " or more"
			case tooFast:
				limit = v.Machine.Rover.CruiseMMPerS
				f.Message += "above the rover's cruise of " + words.MMPerS(limit).String()
				f.Remedy = "drive at " + words.MMPerS(limit).String() + " or less, or raise rover.speed.cruise and measure the coast from there"
			case notMeasured:
				limit = v.Machine.Rover.CoastFromMMPerS
				f.Severity = diag.Warning
				f.Message += "faster than the " + words.MMPerS(limit).String() + " from which the coast was measured"
				f.Remedy = "measure the coast from the highest speed; until then it is reckoned to grow with the square of the speed"
			}
			f.Numbers = append(f.Numbers, diag.Number{Name: "limit", Value: plan.Metres(limit), Unit: "m/s"})
			findings = append(findings, f)
		}
		return findings
	})
}
