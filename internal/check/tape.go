// Rule: distances taped on the ground agree with the coordinates.
//
// The difference has the variance of its parts; along the line each mark adds
// its own (one axis): σ² = σ_tape² + σ_from² + σ_to². A normal error in one
// dimension stays within √2·erf⁻¹(p)·σ with probability p: 1.96 for 95 %.
// Three times σ (99.7 %) is taken for a blunder, not for chance; common
// practice in surveying, no source.
package check

import (
	"math"

	"merestone/internal/diag"
)

func tapeRule() Rule {
	return newRule("tape.distance", diag.Error, "taped distances agree with the coordinates", func(v *view) []diag.Finding {
		factor := math.Sqrt2 * math.Erfinv(v.Confidence)
		var findings []diag.Finding
		for _, t := range v.Tapes {
			a, b := v.Marks[t.From], v.Marks[t.To]
			// A tape held level reads the ground distance, one laid down the
			// slope the slope distance; either is accepted.
			low, high := math.Min(t.GroundMM, t.SlopeMM), math.Max(t.GroundMM, t.SlopeMM)
			computed := math.Max(low, math.Min(t.MeasuredMM, high))
			off := t.MeasuredMM - computed
			sigma := math.Sqrt(t.StdMM*t.StdMM + a.StdMM*a.StdMM + b.StdMM*b.StdMM)
			allowed := factor * sigma
			if math.Abs(off) <= allowed {
				continue
			}
			f := at(t.Source, "tape %s–%s reads %.3f m where the coordinates say %.3f m along the ground: %+.0f mm, %.1f times the combined uncertainty of %.0f mm (%.0f mm allowed at %g %%)",
				a.Name, b.Name, t.MeasuredMM/1000, computed/1000, off, math.Abs(off)/sigma, sigma, allowed, v.Confidence*100)
			f.Numbers = []diag.Number{metre("taped", t.MeasuredMM), metre("computed", computed), metre("difference", off), metre("combined uncertainty", sigma)}
			f.Remedy = "tape it again and occupy both marks again; look for a misread metre, a sagging tape, or a float solution taken for fixed"
			if math.Abs(off) <= 3*sigma {
				f.Severity = diag.Warning
			}
			f.Related = []diag.Related{{At: a.At, Message: "mark " + a.Name}, {At: b.At, Message: "mark " + b.Name}}
			findings = append(findings, f)
		}
		return findings
	})
}
