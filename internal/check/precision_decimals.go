// Rule precision.decimals: marks are written finely enough for their use.
package check

import (
	"cmp"
	"math"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// decimalsRule: half of the last written digit, on the ground, is how far a
// mark can be from where it was recorded, along each axis.
func decimalsRule() Rule {
	return newRule("precision.decimals", diag.Warning, "marks are written finely enough for their use", func(v *view, report func(diag.Finding)) {
		least := map[int]int64{} // least tolerance by mark
		for _, w := range v.Route.Waypoints {
			if t, ok := least[w.Mark]; !ok || w.ToleranceMM < t {
				least[w.Mark] = w.ToleranceMM
			}
		}
		const remedy = "write all the decimals that the receiver gives: 9 decimals of a degree are 0.1 mm, 7 are 1 cm"
		numbers := func(halfMM float64, m plan.Mark) []diag.Number {
			return []diag.Number{metre("half of the last digit", halfMM), metre("uncertainty", m.StdMM)}
		}
		half := v.halfDigitMM
		type figures struct {
			resolution  geodesy.Nanodegree
			toleranceMM int64
		}
		var same alike
		var coarse []int
		for i, m := range v.Survey.Marks {
			tolerance, visited := least[i]
			switch {
			case visited && !v.keeps(limit{diag.Error, "last digit, tolerance", words.Millimetre}, v.Subject(diag.Mark, i), float64(tolerance), half(m)):
				if same.told(figures{m.Resolution, tolerance}, v.Subject(diag.Mark, i)) {
					continue
				}
				f := at(m.Source, "%s is written to ±%s by its last digit, coarser than its arrival tolerance of %s", v.Subject(diag.Mark, i), words.MM(ceilMM(half(m))), words.MM(tolerance))
				f.Severity, f.Remedy, f.Numbers = diag.Error, remedy, numbers(half(m), m)
				same.add(f, half(m)/float64(tolerance))
			case !v.keeps(limit{diag.Warning, "last digit, uncertainty", words.Millimetre}, v.Subject(diag.Mark, i), max(m.StdMM, 1), half(m)):
				coarse = append(coarse, i)
			}
		}
		same.report(report, "; so are %s", "; by other figures so are %s")
		if len(coarse) == 0 {
			return
		}
		marks := v.Survey.Marks
		slices.SortStableFunc(coarse, func(a, b int) int { return cmp.Compare(marks[b].Resolution, marks[a].Resolution) })
		worst := marks[coarse[0]]
		f := at(worst.Source, "%s is written to ±%s by its last digit, coarser than its uncertainty of %.3f m", v.Subject(diag.Mark, coarse[0]), words.MM(ceilMM(half(worst))), worst.StdMM/1000)
		f.Remedy, f.Numbers = remedy, numbers(half(worst), worst)
		if len(coarse) > 1 {
			var others []diag.Subject
			for _, i := range coarse[1:] {
				others = append(others, v.Subject(diag.Mark, i))
			}
			f.Add("; so are %s", diag.Names(others, ", "))
		}
		report(f)
	})
}

// halfDigitMM is how far a mark can be from where it was recorded, by its last
// written digit.
func (v *view) halfDigitMM(m plan.Mark) float64 {
	return float64(m.Resolution) / 2 / float64(geodesy.Degree) * millimetresPerDegree(v.Site.Origin.Latitude)
}

// millimetresPerDegree is the length of a degree on the ground, along the
// meridian or along the parallel, whichever is longer: near the equator a degree
// of longitude is, by 0.7 %, elsewhere one of latitude.
func millimetresPerDegree(latitude geodesy.Nanodegree) float64 {
	parallel := geodesy.PrimeVerticalRadius(latitude) * elementary.Cos(latitude.Degrees()*math.Pi/180)
	return max(geodesy.MeridianRadius(latitude), parallel) * 1000 * math.Pi / 180
}
