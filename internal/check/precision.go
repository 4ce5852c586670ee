// Rules: the board's conversion is close enough, marks are written finely
// enough, and marks' heights do not spoil distances.
package check

import (
	"math"

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
		f := at(plan.Source{At: v.Rover.At}, "fixes are converted on the board to within %.2f mm (proved over the fence and 100 m around); degrees in single precision would cost up to %.0f mm here", bound, single)
		f.At = v.siteAt()
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

func (v *view) siteAt() diag.Position { return v.SiteSource.At }

// decimalsRule: half of the last written digit, on the ground, is how far a
// mark can be from where it was recorded.
func decimalsRule() Rule {
	return newRule("precision.decimals", diag.Warning, "marks are written finely enough for their use", func(v *view) []diag.Finding {
		var findings []diag.Finding
		least := map[int]int64{} // least tolerance by mark
		for _, w := range v.Waypoints {
			if t, ok := least[w.Mark]; !ok || w.ToleranceMM < t {
				least[w.Mark] = w.ToleranceMM
			}
		}
		for i, m := range v.Marks {
			// Along the meridian a degree is longest, so this bounds both.
			half := float64(m.Resolution) / 2 * 1e-9 * math.Pi / 180 * geodesy.MeridianRadius(v.Origin.Latitude) * 1000
			tolerance, visited := least[i]
			f := at(m.Source, "")
			f.Remedy = "write all the decimals that the receiver gives: 9 decimals of a degree are 0.1 mm, 7 are 1 cm"
			f.Numbers = []diag.Number{metre("half of the last digit", half), metre("uncertainty", m.StdMM)}
			switch {
			case visited && half > float64(tolerance):
				f.Severity = diag.Error
				f.Message = "mark " + m.Name + " is written to " + resolution(half) + ", coarser than its arrival tolerance of " + metres(tolerance)
			case half > max(m.StdMM, 1):
				f.Message = "mark " + m.Name + " is written to " + resolution(half) + ", coarser than its uncertainty of " + metres(int64(m.StdMM))
			default:
				continue
			}
			findings = append(findings, f)
		}
		return findings
	})
}

func resolution(halfMM float64) string {
	return "±" + metresUp(int64(math.Ceil(halfMM))) + " by its last digit"
}

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
			if mm > worstMM {
				worstMM = mm
				worst = at(m.Source, "mark %s is %.1f m %s the origin, so distances to it in the plan are off by up to %.0f mm", m.Name, math.Abs(rise), aboveBelow(rise), mm)
			}
		}
		if worstMM <= tooMuchMM {
			return nil
		}
		worst.Remedy = "give the origin the mean height of the site"
		worst.Numbers = []diag.Number{metre("effect", worstMM)}
		return []diag.Finding{worst}
	})
}

func aboveBelow(rise float64) string {
	if rise < 0 {
		return "below"
	}
	return "above"
}
