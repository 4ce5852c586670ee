// Rule: every leg and waypoint keeps its standoff from the fence. Decided
// exactly on the board's integers; the clearance in the message is rounded down
// and the need rounded up.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

func clearanceRule() Rule {
	return newRule("geometry.clearance", diag.Error, "legs and waypoints keep their standoff from the fence", func(v *view) []diag.Finding {
		var findings []diag.Finding
		short := make([]bool, len(v.Waypoints)) // a leg there is too near by itself
		for _, l := range v.Legs {
			if f, ok := v.tooNear("leg "+l.Name+" passes", l.Source, l.Segment, l.Standoff, "half-width", "cross-track"); ok {
				short[l.From], short[l.To] = true, true
				findings = append(findings, f)
			}
		}
		for i, w := range v.Waypoints {
			m := v.Marks[w.Mark]
			f, ok := v.tooNear("waypoint "+m.Name+" is", w.Source, place(m), w.Standoff, "half-diagonal", "arrival")
			if ok && !short[i] {
				findings = append(findings, f)
			}
		}
		return findings
	})
}

func (v *view) tooNear(what string, source plan.Source, s planar.Segment, need plan.Standoff, body, offLine string) (diag.Finding, bool) {
	if !v.fence.sound() || v.outside(s) || len(v.struck(s)) > 0 {
		return diag.Finding{}, false // reported by their own rules
	}
	n, ok := v.fence.nearestWithin(v.Plan, s, need.TotalMM)
	if !ok {
		return diag.Finding{}, false
	}
	f := at(source, "%s %s from %s; it needs %s (%s %.2f + position %.2f + %s %.2f + stopping %.2f)",
		what, metres(n.floorMM), v.fence.name(v.Plan, n), metresUp(need.TotalMM),
		body, plan.Metres(need.BodyMM), plan.Metres(need.PositionMM), offLine, plan.Metres(need.OffLineMM), plan.Metres(need.StoppingMM))
	f.Remedy = fmt.Sprintf("move it %s away, or drive slower there: stopping takes %s of the need", metresUp(need.TotalMM-n.floorMM), metresUp(need.StoppingMM))
	f.Numbers = []diag.Number{
		metre("clearance", float64(n.floorMM)), metre("standoff", float64(need.TotalMM)),
		metre(body, float64(need.BodyMM)), metre("position", float64(need.PositionMM)),
		metre(offLine, float64(need.OffLineMM)), metre("stopping", float64(need.StoppingMM)),
	}
	f.Related = []diag.Related{{At: v.fence.where(v.Plan, n).At, Message: v.fence.name(v.Plan, n)}}
	return f, true
}
