// Rule geometry.duplicate-leg: no leg is driven twice.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/planar"
)

// duplicateLegRule makes one finding of all, since out and back is often meant.
func duplicateLegRule() Rule {
	return newRule("geometry.duplicate-leg", diag.Warning, "no leg is driven twice", func(v *view, report func(diag.Finding)) {
		var driven []diag.Subject
		var f diag.Finding
		first := map[planar.Segment]int{}
		for i, l := range v.Route.Legs {
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
					f = at(l.Source, "%s drives %s %s", v.Subject(diag.Leg, i), v.Subject(diag.Leg, j), how)
					f.Remedy = "nothing, if that is meant"
					f.Related = []diag.Related{{At: v.Route.Legs[j].At, Message: v.Subject(diag.Leg, j).String()}}
				}
				driven = append(driven, v.Subject(diag.Leg, i))
				continue
			}
			first[l.Segment] = i
		}
		switch {
		case len(driven) == 0:
			return
		case len(driven) > 1:
			f.Add("; driven before are also %s", diag.Names(driven[1:], ", "))
		}
		f.Numbers = []diag.Number{{Name: "legs driven before", Value: float64(len(driven)), Unit: "1"}}
		report(f)
	})
}
