// Rule geometry.short-leg: legs are long enough for coast and turns.
package check

import (
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
			if w.Stops || v.Machine.Rover.TurnRadiusMM == 0 || turn > turnedBackDeg {
				return 0 // arrival.turn refuses to turn right back
			}
			return float64(v.Machine.Rover.TurnRadiusMM) * elementary.Tan(turn/2*math.Pi/180)
		}
		for i, l := range v.Route.Legs {
			if l.LengthMM == 0 {
				continue
			}
			cut := 0.0
			if v.Route.Waypoints[l.To].Stops {
				cut = float64(l.CutMM)
			}
			turns := tangent(l.From) + tangent(l.To)
			if need := cut + turns; l.LengthMM < need-hairMM {
				f := at(l.Source, "%s is %s long; it needs %s (cut distance %.3f + turns %.3f)",
					v.Subject(diag.Leg, i), words.MM(int64(l.LengthMM)), words.MM(ceilMM(need-hairMM)), cut/1000, turns/1000)
				f.Remedy = "drive this leg slower, lengthen it, or leave a waypoint out"
				f.Numbers = []diag.Number{metre("length", l.LengthMM), metre("cut distance", cut), metre("turns", turns)}
				report(f)
			}
		}
	})
}
