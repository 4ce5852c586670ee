// Rules: control marks are marks that a rover can be put on, each tells something of
// its own, and they stand apart.
package check

import (
	"math"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// controlAt is where an entry of base.control_marks was written.
func (v *view) controlAt(i int) diag.Source {
	if b := v.Survey.Base; i < len(b.ControlAt) {
		return b.ControlAt[i]
	}
	return v.Survey.Base.Source
}

// maxSame is how far a chain of marks that are the same point is followed: more set-ups
// than anybody surveys from.
const maxSame = 100

// samePoint is the mark that a mark says it is, by way of others, too: the least number
// of those that are the same point.
func (v *view) samePoint(mark int) int {
	least := mark
	for range maxSame {
		m := v.Survey.Marks[mark]
		if m.SameAs < 0 || m.SameAs >= len(v.Survey.Marks) || m.SameAs == mark {
			break
		}
		mark = m.SameAs
		least = min(least, mark)
	}
	return least
}

func controlMarksRule() Rule {
	return newRule("base.control-marks", diag.Error, "control marks are marks that the rover can be put on, each once", func(v *view, report func(diag.Finding)) {
		base := v.Survey.Base
		centres := v.Fence.RoundCentres()
		again := map[int][]int{} // the entries of a mark, by its number
		var order []int
		for i, m := range base.ControlMarks {
			if len(again[m]) == 0 {
				order = append(order, m)
			}
			again[m] = append(again[m], i)
		}
		points := map[int]int{} // the first mark of a point
		places := map[planar.Point]int{}
		for _, m := range order {
			mark := v.Subject(diag.Mark, m)
			tell := func(entry int, remedy, format string, args ...any) {
				f := at(v.controlAt(entry), format, args...)
				f.Remedy = remedy
				report(f)
			}
			entries := again[m]
			if n := len(entries); n > 1 {
				tell(entries[1], "list it once; occupied twice it tells no more of where it is", "control %s is listed %d times", mark, n)
			}
			if m == base.Mark {
				tell(entries[0], "name a mark on which the rover can stand, some way off", "control %s is the mark of the base itself, and says of no shift", mark)
			}
			if v.Survey.Marks[m].Measured.Form.FromOthers() {
				tell(entries[0], "name a mark that was surveyed", "control %s is measured from other marks, and a receiver has told of none of it: what it says of a shift is theirs", mark)
			}
			if o, ok := centres[m]; ok {
				tell(entries[0], "name a mark on which the rover can stand", "control %s is the centre of %s, where the rover must not be", mark, v.Subject(diag.Obstacle, o))
			}
			point := v.samePoint(m)
			if first, ok := points[point]; ok {
				tell(entries[0], "list one of them; the other tells no more of where it is", "control %s is the same point as control %s", mark, v.Subject(diag.Mark, first))
				continue
			}
			points[point] = m
			if other, ok := places[v.Survey.Marks[m].Point]; ok {
				tell(entries[0], "list one of them; the other tells no more of where it is", "control %s has the coordinates of control %s", mark, v.Subject(diag.Mark, other))
				continue
			}
			places[v.Survey.Marks[m].Point] = m
		}
		if base.Rotation && len(base.ControlMarks) > 0 {
			if std := v.ControlAngleStd(); !(std <= plan.MaxAngleStd) {
				f := at(base.Source, "control marks tell no rotation, which %s asks for", diag.The(diag.Key, "base.rotation"))
				if !math.IsInf(std, 0) && !math.IsNaN(std) {
					f.Add(": they stand too close together, and it would be known to %.1f deg only", std*180/math.Pi)
				}
				f.About = append([]diag.Subject{diag.The(diag.Base, "")}, f.About...)
				f.Remedy = "name two control marks or more, as far apart as the site is wide, or take base.rotation out"
				report(f)
			}
		}
	})
}

// apart are the control marks that differ.
func (v *view) apart() []int {
	marks := slices.Clone(v.Survey.Base.ControlMarks)
	slices.Sort(marks)
	return slices.Compact(marks)
}

func controlNearRule() Rule {
	return newRule("base.control-near", diag.Warning, "control marks stand apart", func(v *view, report func(diag.Finding)) {
		marks := v.apart()
		var near []diag.Subject
		first, second, least := 0, 0, math.Inf(1)
		for _, m := range marks {
			nearest, apart := m, math.Inf(1)
			for _, other := range marks {
				d := v.Survey.Marks[m].Point.Sub(v.Survey.Marks[other].Point)
				if mm := elementary.Hypot(float64(d.E), float64(d.N)); other != m && mm < apart {
					nearest, apart = other, mm
				}
			}
			if nearest == m || v.keeps(limit{diag.Warning, "control marks apart", words.Millimetre}, v.Subject(diag.Mark, m), apart, plan.ControlNearMM) {
				continue
			}
			near = append(near, v.Subject(diag.Mark, m))
			if apart < least {
				first, second, least = m, nearest, apart
			}
		}
		if len(near) == 0 {
			return
		}
		entry := max(slices.Index(v.Survey.Base.ControlMarks, first), slices.Index(v.Survey.Base.ControlMarks, second))
		f := at(v.controlAt(entry), "control marks %s and %s are %s apart; marks nearer to each other than %s count as one", diag.Name(v.Subject(diag.Mark, first)), diag.Name(v.Subject(diag.Mark, second)),
			words.MM(int64(least)), words.MM(plan.ControlNearMM))
		if len(near) > 2 {
			f.Add("; %d control marks are as near to another: %s", len(near), diag.Names(near, ", "))
		}
		f.Numbers = []diag.Number{metre("apart", math.Floor(least))}
		f.Remedy = "choose marks at the ends of the site, each with its own view of the sky"
		report(f)
	})
}
