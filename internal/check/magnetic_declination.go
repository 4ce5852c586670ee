// Rule magnetic.declination: the magnetic declination is known and steady enough.
package check

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/magnetic"
	"merestone/internal/words"
)

func declinationRule() Rule {
	return newRule("magnetic.declination", diag.Note, "the magnetic declination is known and steady enough", func(v *view, report func(diag.Finding)) {
		about := []diag.Subject{diag.The(diag.Site, "")}
		m := v.Site.Magnetic
		if m.Err != nil {
			// An error for a rover with a compass: a declination of nothing would be
			// taken for one of 0. Others only go without magnetic bearings.
			f := at(v.Site.Source, "no magnetic declination: %v", m.Err)
			f.About = about
			f.Remedy = "nothing, if the date is right: the rover has no compass; magnetic bearings are left out"
			if v.Machine.Rover.HasCompass {
				f.Severity = diag.Error
				f.Remedy = "correct site.date; for later years use a version of merestone with the model of those years"
			}
			report(f)
			return
		}
		d := m.Field.DeclinationDeg
		f := at(v.Site.Source, "magnetic declination %.2f deg %s on %04d-%02d-%02d, standard deviation %.2f deg, changing by %+.2f deg a year (World Magnetic Model 2025)",
			math.Abs(d), eastWest(d), v.Site.Date.Year(), int(v.Site.Date.Month()), v.Site.Date.Day(), m.Field.DeclinationUncertaintyDeg, m.Field.AnnualChangeDeg)
		f.About = about
		f.Numbers = []diag.Number{{Name: "declination", Value: d, Unit: "deg"}, {Name: "uncertainty", Value: m.Field.DeclinationUncertaintyDeg, Unit: "deg"}, {Name: "horizontal field", Value: m.Field.HorizontalNT, Unit: "nT"}}
		// Where the zone of reliable compasses begins.
		strong := v.keeps(limit{diag.Warning, "magnetic field", words.Unit{Name: "nT", Scale: 1}}, diag.The(diag.Site, ""), m.Field.HorizontalNT, magnetic.CautionHorizontalNT)
		if !strong || m.Field.Zone() != magnetic.Reliable {
			f.Severity = diag.Warning
			f.Add("; the horizontal field is only %.0f nT, near a magnetic pole", m.Field.HorizontalNT)
			f.Remedy = "do not steer by a magnetic compass here"
		}
		report(f)
	})
}

func eastWest(deg float64) string {
	if deg < 0 {
		return "west"
	}
	return "east"
}
