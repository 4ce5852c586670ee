// Rule: a base that averages its own position anew moves the whole mission, and
// the fence clearance must absorb that unless control marks are occupied.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/words"
)

func baseShiftRule() Rule {
	return newRule("base.shift", diag.Error, "a base set up anew cannot carry the rover over its fence", func(v *view, report func(diag.Finding)) {
		shift := ceilMM(v.BaseShiftMM())
		if shift == 0 || !v.Survey.Base.Averaged() || v.Survey.Base.LeansOnShift() {
			return
		}
		missing := v.lacking(limit{diag.Error, "clearance, base's shift", words.Millimetre}, true, func(int64) int64 { return shift })
		f := at(v.Survey.Base.Source, "the base averages its position anew, so the whole mission may come up %s away (%s, two averages of %s each)",
			words.MM(shift), words.Percent(v.Confidence), words.MM(ceilMM(v.Survey.Base.StdMM)))
		f.About = []diag.Subject{diag.The(diag.Base, "")}
		f.Numbers = []diag.Number{metre("shift", float64(shift)), metre("lacking", float64(missing.mm))}
		f.Remedy = "name base.control_marks and occupy one before each drive, or enter the base's coordinates instead of averaging them (position: entered)"
		switch {
		case missing.mm > 0:
			f.Add("; between %s the clearance is %s short of standoff and shift together", missing.between, words.MM(missing.mm))
		case missing.judged:
			f.Severity = diag.Warning
			f.Add("; the fence clearance absorbs it, and the rover stops as far from its marks")
		default: // other findings stop the mission; whether the clearance suffices is open
			f.Severity = diag.Warning
		}
		report(f)
	})
}
