// Rule site.reflection: legs keep away from what reflects satellite signals.
package check

import (
	"slices"

	"merestone/internal/diag"
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
		near := map[int][]diag.Subject{}
		for i, l := range v.Route.Legs {
			rings := slices.DeleteFunc(v.fence.circlesNear(v.Plan, l.Segment, nearMM), func(o int) bool { return !reflects(o) })
			for _, id := range index.Within(l.Segment, nearMM) {
				rings = append(rings, v.fence.edges[edges[id]].ring)
			}
			slices.Sort(rings)
			for _, ring := range slices.Compact(rings) {
				near[ring] = append(near[ring], v.Subject(diag.Leg, i))
			}
		}
		var findings []diag.Finding
		for ring := boundaryRing; ring < len(v.Fence.Obstacles); ring++ {
			legs := near[ring]
			if len(legs) == 0 {
				continue
			}
			format := "%s reflects satellite signals and is within %s of %d legs: %s"
			if len(legs) == 1 {
				format = "%s reflects satellite signals and is within %s of %d leg: %s"
			}
			if ring == boundaryRing {
				format = "the " + format
			}
			f := at(v.Ring(ring).Source, format, v.RingSubject(ring), words.MM(nearMM), len(legs), diag.Names(legs, ", "))
			f.Remedy = "watch the fix there on a first drive by hand; a fixed solution can still be wrong beside metal"
			f.Numbers = []diag.Number{{Name: "legs", Value: float64(len(legs)), Unit: "1"}}
			findings = append(findings, f)
		}
		return findings
	})
}
