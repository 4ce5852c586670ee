// Rule geometry.zero-leg: every leg has a length.
package check

import "merestone/internal/diag"

func zeroLegRule() Rule {
	return newRule("geometry.zero-leg", diag.Error, "every leg has a length", func(v *view, report func(diag.Finding)) {
		for i, l := range v.Route.Legs {
			if l.Segment.A == l.Segment.B {
				f := at(l.Source, "%s has no length: both waypoints are at the same place", v.Subject(diag.Leg, i))
				f.Remedy = "take one of the two out of the route"
				if v.Route.Closed && l.To == 0 {
					f.Remedy = "a closed route returns to its first waypoint by itself; take the last one out"
				}
				report(f)
			}
		}
	})
}
