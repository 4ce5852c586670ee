// Rule geometry.leg-outside: legs and waypoints lie within the boundary.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/fence"
)

func legOutsideRule() Rule {
	return newRule("geometry.leg-outside", diag.Error, "legs and waypoints lie within the boundary", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for i, w := range v.Route.Waypoints {
			if !v.places[i].Outside {
				continue
			}
			m := v.Survey.Marks[w.Mark]
			f := at(w.Source, "%s is outside the %s", v.WaypointSubject(i), v.RingSubject(fence.Boundary))
			f.Remedy = "move the mark or the boundary; check the mark's coordinates for exchanged digits"
			f.Related = []diag.Related{{At: m.At, Message: "the mark"}, {At: v.Fence.Boundary.At, Message: "the boundary"}}
			findings = append(findings, f)
		}
		for i, l := range v.Route.Legs {
			if !v.legs[i].Outside || v.places[l.From].Outside || v.places[l.To].Outside {
				continue // outside waypoints are reported above
			}
			f := at(l.Source, "%s leaves the %s between its ends", v.LegSubject(i), v.RingSubject(fence.Boundary))
			if met := v.Fence.Boundary.Region().Edges().Crossing(l.Segment); len(met) > 0 {
				edge := fence.Edge{Part: fence.Boundary, Number: met[0]}
				f.Add(", across %s", v.EdgeSubject(edge))
				f.Related = []diag.Related{{At: v.Fence.Where(edge), Message: v.part(edge).String()}}
			}
			f.Remedy = "add a waypoint that leads around the corner"
			findings = append(findings, f)
		}
		return findings
	})
}
