// Rule geometry.leg-obstacle: legs do not pass through obstacles.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

func legObstacleRule() Rule {
	return newRule("geometry.leg-obstacle", diag.Error, "legs do not pass through obstacles", func(v *view) []diag.Finding {
		var findings []diag.Finding
		report := func(s plan.Source, what string, struck []int) {
			for _, o := range struck {
				f := at(s, "%s obstacle %s", what, v.Fence.Obstacles[o].Name)
				f.Remedy = "add a waypoint that leads around it"
				f.Related = []diag.Related{{At: v.Fence.Obstacles[o].At, Message: "the obstacle"}}
				findings = append(findings, f)
			}
		}
		for i, l := range v.Route.Legs {
			report(l.Source, "leg "+l.Name+" passes through", v.legs[i].Struck)
		}
		if len(v.Route.Legs) == 0 { // a lone waypoint has no leg that would tell
			for i, w := range v.Route.Waypoints {
				report(w.Source, "waypoint "+v.Survey.Marks[w.Mark].Name+" is in", v.places[i].Struck)
			}
		}
		return findings
	})
}

// place is a mark as a segment of no length.
func place(m plan.Mark) planar.Segment { return planar.Segment{A: m.Point, B: m.Point} }
