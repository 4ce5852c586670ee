// Rule site.reflection: legs keep away from what reflects satellite signals.
package check

import (
	"slices"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// reflectionRule: signals reflected by metal fences and walls spoil fixes near
// them; within about 3 m it is worth a look. Common practice, no source.
func reflectionRule() Rule {
	return newRule("site.reflection", diag.Warning, "legs keep away from what reflects satellite signals", func(v *view) []diag.Finding {
		const nearMM = 3000
		reflects := func(ring int) bool {
			if ring == boundaryRing {
				return v.Fence.Boundary.Reflects
			}
			return v.Fence.Obstacles[ring].Reflects
		}
		var edges []int
		var segments []planar.Segment
		for i, e := range v.fence.edges {
			if reflects(e.ring) {
				edges, segments = append(edges, i), append(segments, e.segment)
			}
		}
		index := planar.NewIndex(segments)
		near := map[int][]string{}
		for _, l := range v.Route.Legs {
			rings := slices.DeleteFunc(v.fence.circlesNear(v.Plan, l.Segment, nearMM), func(o int) bool { return !reflects(o) })
			for _, id := range index.Within(l.Segment, nearMM) {
				rings = append(rings, v.fence.edges[edges[id]].ring)
			}
			slices.Sort(rings)
			for _, ring := range slices.Compact(rings) {
				near[ring] = append(near[ring], l.Name)
			}
		}
		var findings []diag.Finding
		report := func(ring int, s plan.Source, what string) {
			legs := near[ring]
			if len(legs) == 0 {
				return
			}
			f := at(s, "%s reflects satellite signals and is within %s of %s: %s", what, words.MM(nearMM), words.Plural(len(legs), "leg"), words.Few(legs, ", "))
			f.Remedy = "watch the fix there on a first drive by hand; a fixed solution can still be wrong beside metal"
			f.Numbers = []diag.Number{{Name: "legs", Value: float64(len(legs)), Unit: "1"}}
			findings = append(findings, f)
		}
		report(boundaryRing, v.Fence.Boundary.Source, "the boundary")
		for i, o := range v.Fence.Obstacles {
			report(i, o.Source, "obstacle "+o.Name)
		}
		return findings
	})
}
