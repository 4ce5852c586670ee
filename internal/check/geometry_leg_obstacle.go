// Rule geometry.leg-obstacle: legs do not pass through obstacles.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

// legObstacleRule makes one finding of the obstacles on a leg, and of legs through the
// same obstacles.
func legObstacleRule() Rule {
	return newRule("geometry.leg-obstacle", diag.Error, "legs do not pass through obstacles", func(v *view, report func(diag.Finding)) {
		var same alike
		for i, l := range v.Route.Legs {
			struck := v.legs[i].Struck
			if len(struck) == 0 || same.told(fmt.Sprint(struck), v.Subject(diag.Leg, i)) {
				continue
			}
			through := diag.List{By: ", "}
			var related []diag.Related
			for _, o := range struck {
				through.Items = append(through.Items, v.RingSubject(o))
				if len(related) < few {
					related = append(related, diag.Related{At: v.Fence.Obstacles[o].At, Message: "the obstacle"})
				}
			}
			f := at(l.Source, "%s passes through %s", v.Subject(diag.Leg, i), through)
			f.Remedy = "add a waypoint that leads around it"
			f.Related = related
			same.add(f, float64(len(struck)))
		}
		same.report(report, "; so it is with %s", "; through these or others pass %s")
	})
}

// place is a mark as a segment of no length.
func place(m plan.Mark) planar.Segment { return planar.Segment{A: m.Point, B: m.Point} }
