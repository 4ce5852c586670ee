// Rule site.reflection: legs keep away from what reflects satellite signals.
package check

import (
	"slices"

	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/words"
)

// reflectionRule: signals reflected by metal fences and walls spoil fixes near
// them; within about 3 m it is worth a look. Common practice, no source.
func reflectionRule() Rule {
	return newRule("site.reflection", diag.Warning, "legs keep away from what reflects satellite signals", func(v *view, report func(diag.Finding)) {
		const nearMM = 3000
		reflects := func(p fence.Part) bool { return p.Reflects }
		if !reflects(v.Fence.Boundary) && !slices.ContainsFunc(v.Fence.Obstacles, reflects) {
			return
		}
		near := map[int][]diag.Subject{} // legs by part
		for i, l := range v.Route.Legs {
			for _, n := range v.Fence.Within(l.Segment, nearMM) {
				near[n] = append(near[n], v.Subject(diag.Leg, i))
			}
		}
		for n, part := range v.Fence.Parts() {
			legs := near[n]
			if len(legs) == 0 || !reflects(*part) {
				continue
			}
			format := "%s reflects satellite signals and is within %s of %d legs: %s"
			if len(legs) == 1 {
				format = "%s reflects satellite signals and is within %s of %d leg: %s"
			}
			if n == fence.Boundary {
				format = "the " + format
			}
			f := at(part.Source, format, v.RingSubject(n), words.MM(nearMM), len(legs), diag.Names(legs, ", "))
			f.Remedy = "watch the fix there on a first drive by hand; a fixed solution can still be wrong beside metal"
			f.Numbers = []diag.Number{{Name: "legs", Value: float64(len(legs)), Unit: "1"}}
			report(f)
		}
	})
}
