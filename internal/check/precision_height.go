// Rule precision.height: marks are near the origin's height.
package check

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/words"
)

// heightRule: a mark is drawn at the origin's height; one Δh above it and d away
// comes out d·Δh/R too near, with R the Earth's radius. The rover's fixes come
// out just so, but distances taped on the ground do not.
func heightRule() Rule {
	return newRule("precision.height", diag.Warning, "marks are near the origin's height", func(v *view, report func(diag.Finding)) {
		const tooMuchMM = 10 // common practice, no source
		var worst diag.Finding
		worstMM := 0.0
		for i, m := range v.Survey.Marks {
			if !m.HasHeight {
				continue
			}
			rise := m.Geodetic.HeightM - v.Site.Origin.HeightM
			distance := elementary.Hypot(float64(m.Point.E), float64(m.Point.N))
			mm := math.Abs(distance * rise / geodesy.MeridianRadius(v.Site.Origin.Latitude))
			kept := v.keeps(limit{diag.Warning, "height of a mark", words.Millimetre}, v.Subject(diag.Mark, i), tooMuchMM, mm)
			if kept || mm <= worstMM {
				continue
			}
			worstMM = mm
			where, how := "above", "more"
			if rise < 0 {
				where, how = "below", "less"
			}
			worst = at(m.Source, "%s is %.1f m %s the origin and %.0f m from it, a distance that is %.0f mm %s on the ground than in the plan", v.Subject(diag.Mark, i), math.Abs(rise), where, distance/1000, mm, how)
		}
		if worstMM == 0 {
			return
		}
		worst.Remedy = "give the origin the mean height of the site"
		worst.Numbers = []diag.Number{metre("effect", worstMM)}
		report(worst)
	})
}
