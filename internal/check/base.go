// Rule: a base that averages its own position anew moves the whole mission, and
// the fence clearance must absorb that unless control marks are occupied.
package check

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

func baseShiftRule() Rule {
	return newRule("base.shift", diag.Error, "a base set up anew cannot carry the rover over its fence", func(v *view) []diag.Finding {
		shift := int64(math.Ceil(v.BaseShiftMM()))
		if shift == 0 || len(v.Base.ControlMarks) > 0 || !v.fence.sound() {
			return nil
		}
		lack, where, spare := int64(0), "", int64(math.MaxInt64)
		look := func(name string, s planar.Segment, standoff int64) {
			if v.outside(s) || len(v.struck(s)) > 0 {
				return
			}
			n, near := v.fence.nearestWithin(v.Plan, s, standoff+shift)
			if !near {
				return
			}
			left := n.floorMM - standoff
			if left < 0 {
				return // geometry.clearance has said so
			}
			spare = min(spare, left)
			if short := shift - left; short > lack {
				lack, where = short, name+" and "+v.fence.name(v.Plan, n)
			}
		}
		for _, l := range v.Legs {
			look("leg "+l.Name, l.Segment, l.Standoff.TotalMM)
		}
		for _, w := range v.Waypoints {
			m := v.Marks[w.Mark]
			look("waypoint "+m.Name, place(m), w.Standoff.TotalMM)
		}
		f := at(v.Base.Source, "the base averages its position anew, so the whole mission may come up %s away (%g %%, two averages of %.2f m each)",
			metresUp(shift), v.Confidence*100, v.Base.StdMM/1000)
		f.Numbers = []diag.Number{metre("shift", float64(shift)), metre("lacking", float64(lack))}
		f.Remedy = "name base.control_marks and occupy one before each drive, or enter the base's coordinates instead of averaging them (position: entered)"
		if lack == 0 {
			f.Severity = diag.Warning
			f.Message += "; the fence clearance absorbs it, the arrival tolerances do not"
			return []diag.Finding{f}
		}
		f.Message += "; between " + where + " the clearance is " + metresUp(lack) + " short of that"
		return []diag.Finding{f}
	})
}

// place is a segment of no length.
func place(m plan.Mark) planar.Segment { return planar.Segment{A: m.Point, B: m.Point} }
