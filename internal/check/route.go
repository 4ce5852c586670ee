// Rules: legs have a length, are not driven twice without need, and are long
// enough for the rover's coast and turns.
package check

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/planar"
)

func zeroLegRule() Rule {
	return newRule("geometry.zero-leg", diag.Error, "every leg has a length", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for _, l := range v.Legs {
			if l.Segment.A == l.Segment.B {
				f := at(l.Source, "leg %s has no length: both waypoints are at the same place", l.Name)
				f.Remedy = "take one of the two out of the route"
				if v.Closed && l.To == 0 {
					f.Remedy = "a closed route returns to its first waypoint by itself; take the last one out"
				}
				findings = append(findings, f)
			}
		}
		return findings
	})
}

// duplicateLegRule makes one finding of all, since out and back is often meant.
func duplicateLegRule() Rule {
	return newRule("geometry.duplicate-leg", diag.Warning, "no leg is driven twice", func(v *view) []diag.Finding {
		var driven []string
		var f diag.Finding
		first := map[planar.Segment]int{}
		for i, l := range v.Legs {
			if l.Segment.A == l.Segment.B {
				continue
			}
			how := "again"
			j, seen := first[l.Segment]
			if !seen {
				if j, seen = first[l.Segment.Reversed()]; seen {
					how = "back again"
				}
			}
			if seen {
				if len(driven) == 0 {
					f = at(l.Source, "leg %s drives leg %s %s", l.Name, v.Legs[j].Name, how)
					f.Remedy = "nothing, if that is meant"
					f.Related = []diag.Related{{At: v.Legs[j].At, Message: "leg " + v.Legs[j].Name}}
				}
				driven = append(driven, l.Name)
				continue
			}
			first[l.Segment] = i
		}
		switch {
		case len(driven) == 0:
			return nil
		case len(driven) > 1:
			f.Message += "; driven before are also " + some(driven[1:])
		}
		f.Numbers = []diag.Number{{Name: "legs driven before", Value: float64(len(driven)), Unit: "1"}}
		return []diag.Finding{f}
	})
}

// shortLegRule: a leg must hold the distance at which drive is cut, and the
// tangents of the turns at its ends. A turn of radius R through the angle θ
// leaves one leg and joins the next R·tan(θ/2) from the corner (circular curve
// of road and rail surveying).
func shortLegRule() Rule {
	return newRule("geometry.short-leg", diag.Error, "legs are long enough for coast and turns", func(v *view) []diag.Finding {
		var findings []diag.Finding
		tangent := func(i int) float64 {
			w := v.Waypoints[i]
			turn := math.Abs(w.TurnDeg)
			if w.Stops || v.Rover.TurnRadiusMM == 0 || turn > turnedBackDeg {
				return 0 // arrival.turn refuses to turn right back
			}
			return float64(v.Rover.TurnRadiusMM) * math.Tan(turn/2*math.Pi/180)
		}
		for _, l := range v.Legs {
			if l.LengthMM == 0 {
				continue
			}
			cut := 0.0
			if v.Waypoints[l.To].Stops {
				cut = float64(l.CutMM)
			}
			turns := tangent(l.From) + tangent(l.To)
			if need := cut + turns; l.LengthMM < need-hairMM {
				f := at(l.Source, "leg %s is %s long; it needs %s (cut distance %.3f + turns %.3f)",
					l.Name, metres(int64(l.LengthMM)), metres(ceilMM(need-hairMM)), cut/1000, turns/1000)
				f.Remedy = "drive this leg slower, lengthen it, or leave a waypoint out"
				f.Numbers = []diag.Number{metre("length", l.LengthMM), metre("cut distance", cut), metre("turns", turns)}
				findings = append(findings, f)
			}
		}
		return findings
	})
}
