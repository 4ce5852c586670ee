// Rule: every leg and waypoint keeps its standoff from the fence. Decided
// exactly on the board's integers; the clearance is rounded down to whole
// millimetres, the parts of the standoff are whole and rounded up.
package check

import (
	"fmt"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

func clearanceRule() Rule {
	return newRule("geometry.clearance", diag.Error, "legs and waypoints keep their standoff from the fence", func(v *view, report func(diag.Finding)) {
		if !v.Fence.Boundary.Sound() {
			return
		}
		said := make([][]fence.Edge, len(v.Route.Waypoints)) // by a leg that begins or ends there
		for i, l := range v.Route.Legs {
			f, n, ok := v.tooNear(diag.Say("%s passes", v.Subject(diag.Leg, i)), l.Source, l.Segment, v.legs[i], l.Standoff, "half-width", v.offLine(l.Standoff))
			if ok {
				said[l.From], said[l.To] = append(said[l.From], n), append(said[l.To], n)
				report(f)
			}
		}
		for i, w := range v.Route.Waypoints {
			f, n, ok := v.tooNear(diag.Say("%s is", v.Subject(diag.Waypoint, i)), w.Source, place(v.Survey.Marks[w.Mark]), v.places[i], w.Standoff, "half-diagonal", v.offLine(w.Standoff))
			if ok && !slices.Contains(said[i], n) {
				report(f)
			}
		}
	})
}

func (v *view) tooNear(what diag.Phrase, source diag.Source, s planar.Segment, p fence.Passage, need plan.Standoff, body, offLine string) (diag.Finding, fence.Edge, bool) {
	if !p.Clear() {
		return diag.Finding{}, fence.Edge{}, false // reported by their own rules
	}
	edge, clearance, ok := v.Fence.Nearest(s, need.TotalMM)
	if !ok {
		return diag.Finding{}, fence.Edge{}, false
	}
	f := at(source, "%s %s from %s; it needs %s (%s %s + position %s + %s %s + stopping %s)",
		what, words.MM(clearance), v.part(edge), words.MM(need.TotalMM),
		body, words.BareMM(need.BodyMM), words.BareMM(need.PositionMM), offLine, words.BareMM(need.OffLineMM), words.BareMM(need.StoppingMM))
	f.Remedy = fmt.Sprintf("move it %s away", words.MM(need.TotalMM-clearance))
	if need.StoppingMM > 0 {
		f.Remedy += fmt.Sprintf(", or drive slower there: stopping takes %s of the need", words.MM(need.StoppingMM))
	}
	f.Numbers = []diag.Number{
		metre("clearance", float64(clearance)), metre("standoff", float64(need.TotalMM)),
		metre("body", float64(need.BodyMM)), metre("position", float64(need.PositionMM)),
		metre("off line", float64(need.OffLineMM)), metre("stopping", float64(need.StoppingMM)),
	}
	f.Related = []diag.Related{{At: v.Fence.Where(edge), Message: v.part(edge).String()}}
	return f, edge, true
}

// offLine names the part of a standoff that is the larger of the two: how far
// off the leg's line the rover may be steered, or how far off a mark it may stop.
func (v *view) offLine(s plan.Standoff) string {
	if s.OffLineMM > v.Machine.Rover.CrossTrackMM {
		return "arrival"
	}
	return "cross-track"
}
