// Rule geometry.short-leg: legs are long enough for coast and turns.
package check

import (
	"fmt"
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/words"
)

// shortLegRule: a leg must hold the distance at which drive is cut, and the
// tangents of the turns at its ends. A turn of radius R through the angle θ
// leaves one leg and joins the next R·tan(θ/2) from the corner (circular curve
// of road and rail surveying).
func shortLegRule() Rule {
	return newRule("geometry.short-leg", diag.Error, "legs are long enough for coast and turns", func(v *view, report func(diag.Finding)) {
		tangent := func(i int) float64 {
			w := v.Route.Waypoints[i]
			turn := math.Abs(w.TurnDeg)
			if w.Stops || v.Machine.Rover.Pivots || turn > turnedBackDeg {
				return 0 // arrival.turn refuses to turn right back
			}
			return float64(v.Machine.Rover.TurnRadiusMM) * elementary.Tan(turn/2*math.Pi/180)
		}
		var short alike
		for i, l := range v.Route.Legs {
			if l.LengthMM == 0 {
				continue
			}
			cut := 0.0
			if v.Route.Waypoints[l.To].Stops {
				cut = float64(l.CutMM)
			}
			turns := tangent(l.From) + tangent(l.To)
			if need := cut + turns; !v.keeps(limit{diag.Error, "length of a leg", words.Millimetre}, v.Subject(diag.Leg, i), l.LengthMM, need-hairMM) {
				f := at(l.Source, "%s is %s long; it needs %s (cut distance %.3f + turns %.3f)",
					v.Subject(diag.Leg, i), words.MM(int64(l.LengthMM)), words.MM(ceilMM(need-hairMM)), cut/1000, turns/1000)
				f.Remedy = "lengthen it, or leave a waypoint out"
				if highest := v.HighestCut(i, l.LengthMM-turns+hairMM); highest >= max(v.Machine.Rover.MinimumMMPerS, 1) {
					f.Remedy = fmt.Sprintf("drive this leg at %s or less, %s", words.MMPerS(highest), f.Remedy)
				} else if turns > cut {
					f.Remedy += ": the turns take the most of it"
				}
				f.Numbers = []diag.Number{metre("length", l.LengthMM), metre("cut distance", cut), metre("turns", turns)}
				if !short.told([3]float64{l.LengthMM, cut, turns}, v.Subject(diag.Leg, i)) {
					short.add(f, need-l.LengthMM)
				}
			}
		}
		short.report(report, "; so it is with %s", "; too short are also %s")
	})
}
