// Rule geometry.leg-outside: legs and waypoints lie within the boundary.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/fence"
)

func legOutsideRule() Rule {
	return newRule("geometry.leg-outside", diag.Error, "legs and waypoints lie within the boundary", func(v *view, report func(diag.Finding)) {
		var outside []diag.Finding
		for i, w := range v.Route.Waypoints {
			if !v.places[i].Outside {
				continue
			}
			f := at(w.Source, "%s is outside the %s", v.Subject(diag.Waypoint, i), v.RingSubject(fence.Boundary))
			f.Remedy = "move the mark or the boundary; check the mark's coordinates for exchanged digits"
			f.Related = []diag.Related{{At: v.Survey.Marks[w.Mark].At, Message: "the mark"}, {At: v.Fence.Boundary.At, Message: "the boundary"}}
			outside = append(outside, f)
		}
		v.manyOutside(report, outside, "%d of %d waypoints are outside the %s: %s", len(v.Route.Waypoints))
		for i, l := range v.Route.Legs {
			if !v.legs[i].Outside || v.places[l.From].Outside || v.places[l.To].Outside {
				continue // outside waypoints are reported above
			}
			f := at(l.Source, "%s leaves the %s between its ends", v.Subject(diag.Leg, i), v.RingSubject(fence.Boundary))
			if met := v.Fence.Boundary.Region().Edges().Crossing(l.Segment); len(met) > 0 {
				edge := fence.Edge{Part: fence.Boundary, Number: met[0]}
				f.Add(", across %s", v.EdgeSubject(edge))
				f.Related = []diag.Related{{At: v.Fence.Where(edge), Message: v.part(edge).String()}}
			}
			f.Remedy = "add a waypoint that leads around the corner"
			report(f)
		}
	})
}

// fewOutside are so many that each may be a slip of its own. Of more, the boundary
// is the cause.
const fewOutside = 3

// manyOutside reports things outside the boundary, many of them as one.
func (v *view) manyOutside(report func(diag.Finding), each []diag.Finding, format string, of int) {
	if len(each) <= fewOutside {
		for _, f := range each {
			report(f)
		}
		return
	}
	var things []diag.Subject
	var related []diag.Related
	for _, f := range each {
		things = append(things, f.About[0])
		if len(related) < fewOutside {
			related = append(related, diag.Related{At: f.At, Message: f.About[0].String()})
		}
	}
	f := at(v.Fence.Boundary.Source, format, len(each), of, v.RingSubject(fence.Boundary), diag.Names(things, ", "))
	f.Remedy = "check the marks of the boundary for exchanged digits, and their order"
	f.Related = related
	report(f)
}
