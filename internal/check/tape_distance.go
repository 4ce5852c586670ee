// Rule: distances taped on the ground agree with the coordinates.
//
// The difference has the variance of its parts; along the line each mark adds
// its own (one axis), and the step s of its last written digit adds s²/12 (an
// even distribution over one step):
//
//	σ² = σ_tape² + σ_from² + s_from²/12 + σ_to² + s_to²/12
//
// and, between marks of two set-ups of the base, what stands between those. Where a mark
// was measured from others the two may hang on the same, and the plan has worked out how
// well their distance is known.
// A normal error in one dimension stays within √2·erf⁻¹(p)·σ with probability
// p: 1.96 for 95 %. Three times σ (99.7 %) is taken for a blunder, not for
// chance; common practice in surveying, no source.
package check

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/words"
)

func tapeRule() Rule {
	return newRule("tape.distance", diag.Error, "taped distances agree with the coordinates", func(v *view, report func(diag.Finding)) {
		factor := math.Sqrt2 * math.Erfinv(v.Confidence)
		perDegree := millimetresPerDegree(v.Site.Origin.Latitude)
		var doubtful, wrong alike
		for i, t := range v.Survey.Tapes {
			a, b := v.Survey.Marks[t.From], v.Survey.Marks[t.To]
			stepA := float64(a.Resolution) / float64(geodesy.Degree) * perDegree
			stepB := float64(b.Resolution) / float64(geodesy.Degree) * perDegree
			sigma := math.Sqrt(float64(t.StdMM*t.StdMM) + float64(a.OwnStdMM*a.OwnStdMM) + float64(b.OwnStdMM*b.OwnStdMM) + float64(t.SetupsStdMM*t.SetupsStdMM) + (float64(stepA*stepA)+float64(stepB*stepB))/12)
			if t.PlacesStdMM > 0 {
				sigma = elementary.Hypot(t.StdMM, t.PlacesStdMM)
			}
			// A tape held level reads the ground distance, one laid down the
			// slope the slope distance; either, and what lies between, is
			// accepted.
			low, high := min(t.GroundMM, t.SlopeMM), max(t.GroundMM, t.SlopeMM)
			off := t.MeasuredMM - max(low, min(t.MeasuredMM, high))
			allowed := factor * sigma
			chance := v.keeps(limit{diag.Error, "taped distance, blunder", words.Millimetre}, v.Subject(diag.Tape, i), max(3*sigma, allowed), math.Abs(off))
			if v.keeps(limit{diag.Warning, "taped distance", words.Millimetre}, v.Subject(diag.Tape, i), allowed, math.Abs(off)) {
				continue
			}
			computed := diag.Say("%.3f m", low/1000)
			if high-low >= 1 {
				computed = diag.Say("%.3f m held level and %.3f m down the slope", low/1000, high/1000)
			}
			f := at(t.Source, "%s reads %.3f m where the coordinates say %s: %+.0f mm, %.1f times the combined uncertainty of %.0f mm (%.0f mm allowed at %s)",
				v.Subject(diag.Tape, i), t.MeasuredMM/1000, computed, off, math.Abs(off)/sigma, sigma, allowed, words.Percent(v.Confidence))
			f.About = append(f.About, v.Subject(diag.Mark, t.From), v.Subject(diag.Mark, t.To))
			f.Numbers = []diag.Number{metre("taped", t.MeasuredMM), metre("computed level", t.GroundMM), metre("computed down the slope", t.SlopeMM), metre("difference", off), metre("combined uncertainty", sigma)}
			f.Remedy = "tape it again and occupy both marks again; look for a misread metre, a sagging tape, or a float solution taken for fixed"
			f.Related = []diag.Related{{At: a.At, Message: v.Subject(diag.Mark, t.From).String()}, {At: b.At, Message: v.Subject(diag.Mark, t.To).String()}}
			to := &wrong
			if chance {
				f.Severity, to = diag.Warning, &doubtful
			}
			to.add(f, math.Abs(off)/sigma)
		}
		const others = "; so many tapes have one cause, an unit or a mark: off are also %s"
		doubtful.report(report, "", others)
		wrong.report(report, "", others)
	})
}
