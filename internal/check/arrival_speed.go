// Rule arrival.speed: leg speeds are speeds the rover can hold.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// speedRule makes one finding of all legs with the same fault and speed: most
// often they have it from one key of the mission.
func speedRule() Rule {
	return newRule("arrival.speed", diag.Error, "leg speeds are speeds the rover can hold", func(v *view, report func(diag.Finding)) {
		type group struct {
			fault       int
			speedMMPerS int64
		}
		const tooSlow, tooFast, notMeasured = 1, 2, 3
		var order []group
		legs := map[group][]diag.Subject{}
		first := map[group]diag.Source{}
		for i, l := range v.Route.Legs {
			fault := 0
			switch {
			case l.SpeedMMPerS < v.Machine.Rover.MinimumMMPerS:
				fault = tooSlow
			case l.SpeedMMPerS > v.Machine.Rover.CruiseMMPerS:
				fault = tooFast
			case l.SpeedMMPerS > v.Machine.Rover.Coast.FastestMMPerS():
				fault = notMeasured
			default:
				continue
			}
			g := group{fault, l.SpeedMMPerS}
			if len(legs[g]) == 0 {
				order = append(order, g)
				first[g] = l.Source
			}
			legs[g] = append(legs[g], v.Subject(diag.Leg, i))
		}
		for _, g := range order {
			f := at(first[g], "%s is to be driven at %s, ", legs[g][0], words.MMPerS(g.speedMMPerS))
			if len(legs[g]) > 1 {
				f = at(first[g], "legs %s are to be driven at %s, ", diag.Names(legs[g], ", "), words.MMPerS(g.speedMMPerS))
			}
			f.Numbers = []diag.Number{{Name: "speed", Value: plan.Metres(g.speedMMPerS), Unit: "m/s"}}
			limit := words.MMPerS(0)
			switch g.fault {
			case tooSlow:
				limit = words.MMPerS(v.Machine.Rover.MinimumMMPerS)
				f.Add("below the rover's minimum of %s", limit)
				f.Remedy = fmt.Sprintf("drive at %s or more", limit)
			case tooFast:
				limit = words.MMPerS(v.Machine.Rover.CruiseMMPerS)
				f.Add("above the rover's cruise of %s", limit)
				f.Remedy = fmt.Sprintf("drive at %s or less, or raise rover.speed.cruise and measure the coast from there", limit)
			case notMeasured:
				limit = words.MMPerS(v.Machine.Rover.Coast.FastestMMPerS())
				f.Severity = diag.Warning
				f.Add("faster than the %s from which the coast was measured", limit)
				f.Remedy = "measure the coast from the highest speed; until then it is reckoned to grow with the square of the speed"
			}
			f.Numbers = append(f.Numbers, diag.Number{Name: "limit", Value: plan.Metres(int64(limit)), Unit: "m/s"})
			report(f)
		}
	})
}
