// Rule precision.conversion: the board's conversion of fixes is bounded.
package check

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/words"
)

// conversionRule states the proved bound of the board's conversion beside what
// degrees in single precision would have cost at this place.
func conversionRule() Rule {
	return newRule("precision.conversion", diag.Note, "the board's conversion of fixes is bounded", func(v *view, report func(diag.Finding)) {
		if v.Board.Tables.Conversion.BoundUM == 0 {
			return // not fitted; precision.bound says why
		}
		bound := float64(v.Board.Tables.Conversion.BoundUM) / 1000
		north, east := geodesy.Float32DegreesErrorM(v.Site.Origin.Latitude, v.Site.Origin.Longitude)
		single := elementary.Hypot(north, east) * 1000
		f := at(v.Site.Source, "fixes are converted on the board to within %.2f mm (proved over the fence and 100 m around); degrees in single precision would cost up to %.0f mm here", bound, single)
		f.About = []diag.Subject{diag.The(diag.Site, "")}
		f.Numbers = []diag.Number{metre("bound", bound), metre("single precision", single)}
		least := int64(math.MaxInt64)
		for _, w := range v.Route.Waypoints {
			least = min(least, w.ToleranceMM)
		}
		if !v.keeps(limit{diag.Warning, "conversion error", words.Millimetre}, diag.The(diag.Site, ""), float64(least)/10, bound) {
			f.Severity = diag.Warning
			f.Add("; that is more than a tenth of the least arrival tolerance, %s", words.MM(least))
			f.Remedy = "move the origin to the middle of the site"
		}
		report(f)
	})
}
