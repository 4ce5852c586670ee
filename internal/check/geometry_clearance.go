// Rule: every leg and waypoint keeps its standoff from the fence. Decided
// exactly on the board's integers; the clearance is rounded down to whole
// millimetres, the parts of the standoff are whole and rounded up.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

func clearanceRule() Rule {
	return newRule("geometry.clearance", diag.Error, "legs and waypoints keep their standoff from the fence", func(v *view) []diag.Finding {
		if !v.fence.sound() {
			return nil
		}
		var findings []diag.Finding
		said := make([][]neighbour, len(v.Route.Waypoints)) // by a leg that begins or ends there
		for i, l := range v.Route.Legs {
			f, n, ok := v.tooNear(diag.Say("%s passes", v.Subject(diag.Leg, i)), l.Source, l.Segment, v.legs[i], l.Standoff, "half-width", v.offLine(l.Standoff))
			if ok {
				said[l.From], said[l.To] = append(said[l.From], n), append(said[l.To], n)
				findings = append(findings, f)
			}
		}
		for i, w := range v.Route.Waypoints {
			f, n, ok := v.tooNear(diag.Say("%s is", v.Subject(diag.Waypoint, i)), w.Source, place(v.Survey.Marks[w.Mark]), v.places[i], w.Standoff, "half-diagonal", v.offLine(w.Standoff))
			for _, other := range said[i] {
				ok = ok && (other.edge != n.edge || other.obstacle != n.obstacle)
			}
			if ok {
				findings = append(findings, f)
			}
		}
		return findings
	})
}

func (v *view) tooNear(what diag.Phrase, source plan.Source, s planar.Segment, p passage, need plan.Standoff, body, offLine string) (diag.Finding, neighbour, bool) {
	if !p.clear() {
		return diag.Finding{}, neighbour{}, false // reported by their own rules
	}
	n, ok := v.fence.nearest(v.Plan, s, need.TotalMM)
	if !ok {
		return diag.Finding{}, neighbour{}, false
	}
	f := at(source, "%s %s from %s; it needs %s (%s %s + position %s + %s %s + stopping %s)",
		what, words.MM(n.floorMM), v.fence.part(v.Plan, n), words.MM(need.TotalMM),
		body, words.BareMM(need.BodyMM), words.BareMM(need.PositionMM), offLine, words.BareMM(need.OffLineMM), words.BareMM(need.StoppingMM))
	f.Remedy = fmt.Sprintf("move it %s away", words.MM(need.TotalMM-n.floorMM))
	if need.StoppingMM > 0 {
		f.Remedy += fmt.Sprintf(", or drive slower there: stopping takes %s of the need", words.MM(need.StoppingMM))
	}
	f.Numbers = []diag.Number{
		metre("clearance", float64(n.floorMM)), metre("standoff", float64(need.TotalMM)),
		metre("body", float64(need.BodyMM)), metre("position", float64(need.PositionMM)),
		metre("off line", float64(need.OffLineMM)), metre("stopping", float64(need.StoppingMM)),
	}
	f.Related = []diag.Related{{At: v.fence.where(v.Plan, n).At, Message: v.fence.part(v.Plan, n).String()}}
	return f, n, true
}

// offLine names the part of a standoff that is the larger of the two: how far
// off the leg's line the rover may be steered, or how far off a mark it may stop.
func (v *view) offLine(s plan.Standoff) string {
	if s.OffLineMM > v.Machine.Rover.CrossTrackMM {
		return "arrival"
	}
	return "cross-track"
}
