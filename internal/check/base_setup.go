// Rule: marks that were surveyed from several set-ups of the base fit together.
package check

import (
	"slices"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/plan"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

func setupRule() Rule {
	return newRule("base.setup", diag.Error, "set-ups of the base from which marks were surveyed are tied by points that they share", func(v *view, report func(diag.Finding)) {
		s := &v.Survey
		if len(s.Setups) == 0 {
			return
		}
		v.sameSetup(report)
		if !s.Base.Averaged() {
			return
		}
		v.sharedPoints(report)
		if len(s.Base.ControlMarks) > 0 {
			v.untied(report)
		}
	})
}

// setupName names a set-up.
func setupName(s plan.Setup) string {
	if s.Name == "" {
		return "the set-up without a name"
	}
	return "set-up " + s.Name
}

// sameSetup tells of marks that are the same point and from the same set-up.
func (v *view) sameSetup(report func(diag.Finding)) {
	s := &v.Survey
	for i, m := range s.Marks {
		if m.SameAs < 0 || s.Marks[m.SameAs].Setup != m.Setup {
			continue
		}
		var f diag.Finding
		if m.SameAs == i {
			f = at(diag.Source{At: m.At}, "%s is said to be the same point as itself", v.Subject(diag.Mark, i))
		} else {
			f = at(diag.Source{At: m.At}, "%s is said to be the same point as %s, and both were surveyed from %s", v.Subject(diag.Mark, i), v.Subject(diag.Mark, m.SameAs), setupName(s.Setups[m.Setup]))
		}
		f.Remedy = "write the mark of another set-up under same_as, and under setup from which this one was surveyed"
		report(f)
	}
}

// sharedPoints tells of points by which two set-ups are farther apart than the base
// lets expect, or by which they are apart otherwise than by others.
func (v *view) sharedPoints(report func(diag.Finding)) {
	s := &v.Survey
	factor := quantity.RadialFactor(v.Confidence)
	// keeps asks for both limits, and for the severity where the lower is passed.
	keeps := func(what string, at diag.Subject, off, allowed float64) (kept bool, severity diag.Severity) {
		severity = diag.Warning
		if !v.keeps(limit{diag.Error, what + ", blunder", words.Millimetre}, at, 2*allowed, off) {
			severity = diag.Error
		}
		return v.keeps(limit{diag.Warning, what, words.Millimetre}, at, allowed, off), severity
	}
	firsts := map[[2]int]int{} // of every two set-ups, the first point
	for i, shared := range s.Shared {
		from, to := v.Subject(diag.Mark, shared.From), v.Subject(diag.Mark, shared.To)
		off := elementary.Hypot(shared.EastMM, shared.NorthMM)
		allowed := float64(factor * elementary.Hypot(v.SetupsStdMM(), shared.StdMM))
		if kept, severity := keeps("shared point", to, off, allowed); !kept {
			f := at(diag.Source{At: s.Marks[shared.To].At}, "%s is said to be the same point as %s and is %s from it; two set-ups of the base let expect %s at most (%s, %s each)",
				to, from, words.MM(ceilMM(off)), words.MM(ceilMM(allowed)), words.Percent(v.Confidence), words.MM(ceilMM(s.Base.StdMM)))
			f.Severity = severity
			f.Numbers = []diag.Number{metre("apart", off), metre("allowed", allowed)}
			f.Remedy = "look whether both were the same point; else base.uncertainty is too small, or one of the two was set up on a wrong mark"
			f.Related = []diag.Related{{At: s.Marks[shared.From].At, Message: from.String()}}
			report(f)
		}
		// Against the first point of the same two set-ups.
		first, there := firsts[v.setupsOf(shared)]
		if !there {
			firsts[v.setupsOf(shared)] = i
			continue
		}
		other, sign := s.Shared[first], 1.0
		if s.Marks[other.From].Setup != s.Marks[shared.From].Setup {
			sign = -1
		}
		off = elementary.Hypot(shared.EastMM-float64(sign*other.EastMM), shared.NorthMM-float64(sign*other.NorthMM))
		allowed = float64(factor * elementary.Hypot(shared.StdMM, other.StdMM))
		if kept, severity := keeps("two shared points", to, off, allowed); !kept {
			f := at(diag.Source{At: s.Marks[shared.To].At}, "by %s and %s the two set-ups are otherwise apart than by %s and %s: by %s more, where %s is allowed (%s)",
				from, diag.Name(to), diag.Name(v.Subject(diag.Mark, other.From)), diag.Name(v.Subject(diag.Mark, other.To)), words.MM(ceilMM(off)), words.MM(ceilMM(allowed)), words.Percent(v.Confidence))
			f.Severity = severity
			f.Numbers = []diag.Number{metre("apart", off), metre("allowed", allowed)}
			f.Remedy = "occupy these points again: one is another point than it is taken for, or was surveyed badly"
			f.Related = []diag.Related{{At: s.Marks[other.To].At, Message: v.Subject(diag.Mark, other.To).String()}}
			report(f)
		}
	}
}

// setupsOf are the two set-ups of a point, the lesser first.
func (v *view) setupsOf(s plan.Shared) [2]int {
	a, b := v.Survey.Marks[s.From].Setup, v.Survey.Marks[s.To].Setup
	return [2]int{min(a, b), max(a, b)}
}

// untied tells of set-ups that are not tied to that of the control marks. Where these
// are of several themselves, today's shift cannot be told from what is between them.
func (v *view) untied(report func(diag.Finding)) {
	s := &v.Survey
	home := slices.IndexFunc(s.Base.ControlMarks, func(m int) bool { return s.Setups[s.Marks[m].Setup].Tied })
	if home < 0 {
		return
	}
	with := v.Subject(diag.Mark, s.Base.ControlMarks[home])
	told := map[int]bool{}
	tell := func(source diag.Source, severity diag.Severity, setup int, f diag.Finding) {
		f.Severity = severity
		f.Numbers = []diag.Number{metre("between set-ups", v.SetupsStdMM())}
		f.Remedy = "occupy a mark of the one from the other, too, and write it with same_as; or survey the marks of both from one set-up"
		told[setup] = true
		report(f)
	}
	for i, m := range s.Base.ControlMarks {
		of := s.Marks[m].Setup
		if s.Setups[of].Tied || told[of] {
			continue
		}
		source := v.controlAt(i)
		tell(source, diag.Error, of, at(source, "control %s was surveyed from %s, which shares no point with that of control %s: %s per axis stand between the two, and no shift of today fits both",
			v.Subject(diag.Mark, m), setupName(s.Setups[of]), with, words.MM(ceilMM(v.SetupsStdMM()))))
	}
	setups, marks := v.UsedSetups()
	for i, of := range setups {
		if s.Setups[of].Tied || told[of] {
			continue
		}
		source := s.Marks[marks[i]].Source
		tell(source, diag.Warning, of, at(source, "%s was surveyed from %s, which shares no point with that of control %s: %s per axis stand between them, in every bound for marks of the one",
			v.Subject(diag.Mark, marks[i]), setupName(s.Setups[of]), with, words.MM(ceilMM(v.SetupsStdMM()))))
	}
}
