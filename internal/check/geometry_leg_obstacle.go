// Rule geometry.leg-obstacle: legs do not pass through obstacles.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

func legObstacleRule() Rule {
	return newRule("geometry.leg-obstacle", diag.Error, "legs do not pass through obstacles", func(v *view, report func(diag.Finding)) {
		for i, l := range v.Route.Legs {
			for _, o := range v.legs[i].Struck {
				f := at(l.Source, "%s passes through %s", v.Subject(diag.Leg, i), v.RingSubject(o))
				f.Remedy = "add a waypoint that leads around it"
				f.Related = []diag.Related{{At: v.Fence.Obstacles[o].At, Message: "the obstacle"}}
				report(f)
			}
		}
	})
}

// place is a mark as a segment of no length.
func place(m plan.Mark) planar.Segment { return planar.Segment{A: m.Point, B: m.Point} }
