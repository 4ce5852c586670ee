// Rule geometry.zero-leg: every leg has a length.
package check

import "merestone/internal/diag"

func zeroLegRule() Rule {
	return newRule("geometry.zero-leg", diag.Error, "every leg has a length", func(v *view, report func(diag.Finding)) {
		var same alike
		for i, l := range v.Route.Legs {
			if l.Segment.A != l.Segment.B {
				continue
			}
			remedy := "take one of the two out of the route"
			if v.Route.Closed && l.To == 0 {
				remedy = "a closed route returns to its first waypoint by itself; take the last one out"
			}
			if same.told(remedy, v.Subject(diag.Leg, i)) {
				continue
			}
			f := at(l.Source, "%s has no length: both waypoints are at the same place", v.Subject(diag.Leg, i))
			f.Remedy = remedy
			same.add(f, 0)
		}
		same.report(report, "; so it is with %s", "; so it is with %s")
	})
}
