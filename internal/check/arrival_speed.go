// Rule arrival.speed: leg speeds are speeds the rover can hold.
package check

import (
	"fmt"
	"math"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

func speedRule() Rule {
	return newRule("arrival.speed", diag.Error, "leg speeds are speeds the rover can hold", func(v *view, report func(diag.Finding)) {
		var slow, fast, notMeasured alike
		rover := v.Machine.Rover
		for i, l := range v.Route.Legs {
			leg, speed := v.Subject(diag.Leg, i), l.SpeedMMPerS
			tell := func(to *alike, severity diag.Severity, limitMMPerS int64, what, remedy string) {
				if to.told(speed, leg) {
					return
				}
				f := at(l.Source, "%s is to be driven at %s, "+what, leg, words.MMPerS(speed), words.MMPerS(limitMMPerS))
				f.Severity, f.Remedy = severity, remedy
				if severity == diag.Error {
					f.Want(words.MMPerS(limitMMPerS).String(), v.Route.Waypoints[l.To].Path+".speed", "route.speed")
				}
				f.Numbers = []diag.Number{{Name: "speed", Value: plan.Metres(speed), Unit: "m/s"}, {Name: "limit", Value: plan.Metres(limitMMPerS), Unit: "m/s"}}
				to.add(f, math.Abs(float64(speed-limitMMPerS)))
			}
			keeps := func(severity diag.Severity, name string, has, needs int64) bool {
				return v.chosen(limit{severity, name, words.PerSecond}, leg, float64(has), float64(needs))
			}
			switch measured := rover.Coast.FastestMMPerS(); {
			case !keeps(diag.Error, "minimum speed", speed, rover.MinimumMMPerS):
				tell(&slow, diag.Error, rover.MinimumMMPerS, "below the rover's minimum of %s", fmt.Sprintf("drive at %s or more", words.MMPerS(rover.MinimumMMPerS)))
			case !keeps(diag.Error, "cruise speed", rover.CruiseMMPerS, speed):
				tell(&fast, diag.Error, rover.CruiseMMPerS, "above the rover's cruise of %s", fmt.Sprintf("drive at %s or less, or raise rover.speed.cruise and measure the coast from there", words.MMPerS(rover.CruiseMMPerS)))
			case !keeps(diag.Warning, "speed of a taped coast", measured, speed):
				tell(&notMeasured, diag.Warning, measured, "faster than the %s from which the coast was measured", "measure the coast from the highest speed; until then it is reckoned to grow with the square of the speed")
			}
		}
		for _, a := range []*alike{&slow, &fast, &notMeasured} {
			a.report(report, "; so it is with %s", "; so it is, at other speeds too, with %s")
		}
	})
}
