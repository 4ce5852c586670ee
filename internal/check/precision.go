// Rules: the board's conversion is close enough, marks are written finely
// enough, and marks' heights do not spoil distances.
package check

import (
	"cmp"
	"math"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/plan"
)

// conversionRule states the proved bound of the board's conversion beside what
// degrees in single precision would have cost at this place.
func conversionRule() Rule {
	return newRule("precision.conversion", diag.Note, "the board's conversion of fixes is bounded", func(v *view) []diag.Finding {
		if v.Guidance.Conversion.BoundUM == 0 {
			return nil // not fitted; precision.bound says why
		}
		bound := float64(v.Guidance.Conversion.BoundUM) / 1000
		north, east := geodesy.Float32DegreesErrorM(v.Origin.Latitude, v.Origin.Longitude)
		single := math.Hypot(north, east) * 1000
		f := at(v.SiteSource, "fixes are converted on the board to within %.2f mm (proved over the fence and 100 m around); degrees in single precision would cost up to %.0f mm here", bound, single)
		f.Numbers = []diag.Number{metre("bound", bound), metre("single precision", single)}
		least := int64(math.MaxInt64)
		for _, w := range v.Waypoints {
			least = min(least, w.ToleranceMM)
		}
		if bound*10 > float64(least) {
			f.Severity = diag.Warning
			f.Message += "; that is more than a tenth of the least arrival tolerance, " + metres(least)
			f.Remedy = "move the origin to the middle of the site"
		}
		return []diag.Finding{f}
	})
}

// decimalsRule: half of the last written digit, on the ground, is how far a
// mark can be from where it was recorded, along each axis.
func decimalsRule() Rule {
	return newRule("precision.decimals", diag.Warning, "marks are written finely enough for their use", func(v *view) []diag.Finding {
		least := map[int]int64{} // least tolerance by mark
		for _, w := range v.Waypoints {
			if t, ok := least[w.Mark]; !ok || w.ToleranceMM < t {
				least[w.Mark] = w.ToleranceMM
			}
		}
		const remedy = "write all the decimals that the receiver gives: 9 decimals of a degree are 0.1 mm, 7 are 1 cm"
		numbers := func(halfMM float64, m plan.Mark) []diag.Number {
			return []diag.Number{metre("half of the last digit", halfMM), metre("uncertainty", m.StdMM)}
		}
		half := v.halfDigitMM
		var findings []diag.Finding
		var coarse []plan.Mark
		for i, m := range v.Marks {
			tolerance, visited := least[i]
			switch {
			case visited && half(m) > float64(tolerance):
				f := at(m.Source, "mark %s is written to %s by its last digit, coarser than its arrival tolerance of %s", m.Name, plusMinus(half(m)), metres(tolerance))
				f.Severity, f.Remedy, f.Numbers = diag.Error, remedy, numbers(half(m), m)
				findings = append(findings, f)
			case half(m) > max(m.StdMM, 1):
				coarse = append(coarse, m)
			}
		}
		if len(coarse) == 0 {
			return findings
		}
		slices.SortStableFunc(coarse, func(a, b plan.Mark) int { return cmp.Compare(b.Resolution, a.Resolution) })
		worst := coarse[0]
		f := at(worst.Source, "mark %s is written to %s by its last digit, coarser than its uncertainty of %.3f m", worst.Name, plusMinus(half(worst)), worst.StdMM/1000)
		f.Remedy, f.Numbers = remedy, numbers(half(worst), worst)
		if len(coarse) > 1 {
			var names []string
			for _, m := range coarse[1:] {
				names = append(names, m.Name)
			}
			f.Message += "; so are " + some(names)
		}
		return append(findings, f)
	})
}

// halfDigitMM is how far a mark can be from where it was recorded, by its last
// written digit.
func (v *view) halfDigitMM(m plan.Mark) float64 {
	return float64(m.Resolution) / 2 / float64(geodesy.Degree) * millimetresPerDegree(v.Origin.Latitude)
}

// millimetresPerDegree is the length of a degree on the ground, along the
// meridian or along the parallel, whichever is longer: near the equator a degree
// of longitude is, by 0.7 %, elsewhere one of latitude.
func millimetresPerDegree(latitude geodesy.Nanodegree) float64 {
	parallel := geodesy.PrimeVerticalRadius(latitude) * math.Cos(latitude.Degrees()*math.Pi/180)
	return max(geodesy.MeridianRadius(latitude), parallel) * 1000 * math.Pi / 180
}

func plusMinus(halfMM float64) string { return "±" + metres(ceilMM(halfMM)) }

// heightRule: a mark is drawn at the origin's height; one Δh above it and d away
// comes out d·Δh/R too near, with R the Earth's radius. The rover's fixes come
// out just so, but distances taped on the ground do not.
func heightRule() Rule {
	return newRule("precision.height", diag.Warning, "marks are near the origin's height", func(v *view) []diag.Finding {
		const tooMuchMM = 10 // common practice, no source
		var worst diag.Finding
		worstMM := 0.0
		for _, m := range v.Marks {
			if !m.HasHeight {
				continue
			}
			rise := m.Geodetic.HeightM - v.Origin.HeightM
			distance := math.Hypot(float64(m.Point.E), float64(m.Point.N))
			mm := math.Abs(distance * rise / geodesy.MeridianRadius(v.Origin.Latitude))
			if mm <= worstMM {
				continue
			}
			worstMM = mm
			where, how := "above", "more"
			if rise < 0 {
				where, how = "below", "less"
			}
			worst = at(m.Source, "mark %s is %.1f m %s the origin and %.0f m from it, a distance that is %.0f mm %s on the ground than in the plan", m.Name, math.Abs(rise), where, distance/1000, mm, how)
		}
		if worstMM <= tooMuchMM {
			return nil
		}
		worst.Remedy = "give the origin the mean height of the site"
		worst.Numbers = []diag.Number{metre("effect", worstMM)}
		return []diag.Finding{worst}
	})
}
