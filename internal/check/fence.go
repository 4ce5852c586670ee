// What is lacking to the fence when every standoff is made larger: for the rules
// that weigh something which may move or carry the rover anywhere.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/plan"
)

// part says which part of the fence is meant, an edge by its ring and the marks at
// its ends.
func (v *view) part(e fence.Edge) diag.Phrase {
	if e.Number == fence.Round {
		return diag.Say("%s", v.RingSubject(e.Part))
	}
	return diag.Say("%s %s", v.RingSubject(e.Part), v.EdgeSubject(e))
}

// lack is what is missing between clearance and standoff when the standoff is
// made larger.
type lack struct {
	mm      int64       // the most that is missing anywhere, 0 when nothing is
	between diag.Phrase // "leg A–B and obstacle well"
	// judged is false when something could not be looked at: the boundary is at
	// fault, or a leg leaves it or strikes an obstacle.
	judged bool
}

// lacking asks every leg and waypoint for its standoff and extra millimetres
// more; extra is told the speed at which it is driven, or arrived at (0 for the
// first waypoint of an open route).
//
// What lacks its standoff as it is, is counted too where withShort says so.
func (v *view) lacking(l limit, withShort bool, extra func(speedMMPerS int64) int64) lack {
	worst := lack{judged: v.Fence.Boundary.Sound()}
	if !worst.judged {
		return worst
	}
	look := func(what diag.Subject, p fence.Passage, s plan.Stretch, more int64) {
		if !p.Clear() {
			worst.judged = false
			return
		}
		if more <= 0 || !s.Needed || !s.Clear() && !withShort {
			return
		}
		if v.keeps(l, what, float64(s.ClearanceMM), float64(s.TotalMM+more)) {
			return
		}
		if short := more - s.SpareMM(); short > worst.mm {
			worst.mm, worst.between = short, diag.Say("%s and %s", what, v.part(s.Edge))
		}
	}
	for i, l := range v.Route.Legs {
		look(v.Subject(diag.Leg, i), v.legs[i], l.Line, extra(l.SpeedMMPerS))
		look(v.Subject(diag.Leg, i), v.legs[i], l.Join, extra(l.SpeedMMPerS))
	}
	for i, w := range v.Route.Waypoints {
		arriving := int64(0)
		if in := v.Arriving(i); in != nil {
			arriving = in.SpeedMMPerS
		}
		look(v.Subject(diag.Waypoint, i), v.places[i], w.Pivot, extra(arriving))
	}
	return worst
}
