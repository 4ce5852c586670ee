// Rule geometry.leg-outside: legs and waypoints lie within the boundary.
package check

import (
	"merestone/internal/diag"
)

func legOutsideRule() Rule {
	return newRule("geometry.leg-outside", diag.Error, "legs and waypoints lie within the boundary", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for i, w := range v.Route.Waypoints {
			if !v.places[i].outside {
				continue
			}
			m := v.Survey.Marks[w.Mark]
			f := at(w.Source, "%s is outside the %s", v.WaypointSubject(i), v.RingSubject(boundaryRing))
			f.Remedy = "move the mark or the boundary; check the mark's coordinates for exchanged digits"
			f.Related = []diag.Related{{At: m.At, Message: "the mark"}, {At: v.Fence.Boundary.At, Message: "the boundary"}}
			findings = append(findings, f)
		}
		for i, l := range v.Route.Legs {
			if !v.legs[i].outside || v.places[l.From].outside || v.places[l.To].outside {
				continue // outside waypoints are reported above
			}
			f := at(l.Source, "%s leaves the %s between its ends", v.LegSubject(i), v.RingSubject(boundaryRing))
			for _, id := range v.fence.edgeIndex.Crossing(l.Segment) {
				if e := v.fence.edges[id]; e.ring == boundaryRing {
					f.Add(", across %s", v.EdgeSubject(e.ring, e.edge))
					break
				}
			}
			f.Remedy = "add a waypoint that leads around the corner"
			f.Related = []diag.Related{{At: v.Fence.Boundary.At, Message: "the boundary"}}
			findings = append(findings, f)
		}
		return findings
	})
}
