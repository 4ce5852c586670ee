// Rule geometry.obstacle-outside: obstacles lie within the boundary.
package check

import (
	"merestone/internal/diag"
)

func obstacleOutsideRule() Rule {
	return newRule("geometry.obstacle-outside", diag.Error, "obstacles lie within the boundary", func(v *view) []diag.Finding {
		if !v.fence.sound() {
			return nil
		}
		var findings []diag.Finding
		for i, o := range v.Fence.Obstacles {
			inside := true
			switch {
			case o.IsCircle:
				inside = v.fence.boundary.CoversCircle(o.Circle)
			case v.fence.obstacles[i] != nil:
				inside = v.fence.boundary.CoversRing(o.Vertices)
			}
			if !inside {
				f := at(o.Source, "%s reaches outside the %s", v.RingSubject(i), v.RingSubject(boundaryRing))
				f.Remedy = "draw the boundary around the obstacle, or cut it out of the boundary instead"
				f.Related = []diag.Related{{At: v.Fence.Boundary.At, Message: "the boundary"}}
				findings = append(findings, f)
			}
		}
		return v.manyOutside(findings, "%d of %d obstacles reach outside the %s: %s", len(v.Fence.Obstacles))
	})
}
