// Control marks that were occupied with receivers' logs: internal/occupy makes a place of
// each, with an uncertainty that slow errors are in, and its findings are those of the shift.
package shift

import (
	"time"

	"merestone/internal/board"
	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/nmea"
	"merestone/internal/occupy"
	"merestone/internal/plan"
)

// Asked is how the logs of a mark are read: fixes with the quality with which the rover may
// drive, as the uncertainty that the mission states is of them.
func Asked(p *plan.Plan, mark string) occupy.Options {
	o := occupy.Options{Mark: mark, Accept: []nmea.Quality{nmea.Fixed}, Centring: occupy.UsualCentring, Today: true}
	if p.Machine.Receiver.Required < board.QualityFixed {
		o.Accept = append(o.Accept, nmea.Float)
	}
	return o
}

// findByLogs finds the shift by what logs say of the marks. Where one of them says nothing
// of use, there is no shift.
func findByLogs(p *plan.Plan, q Request) (Result, error) {
	var means []Mean
	places := map[string]diag.Position{}
	var findings []diag.Finding
	for _, r := range q.Occupied {
		findings = append(findings, r.Findings...)
		places[r.Mark] = diag.Position{File: r.Logs[0].Name}
		means = append(means, meanOf(p, r))
	}
	j := newJudgement(p, q.Name, means)
	j.all, j.places, j.findings = p.Survey.Base.At, places, findings
	if diag.Worst(findings) != diag.Error {
		return findBy(p, q, j)
	}
	j.marks(q.OtherMarks)
	diag.Sort(j.findings)
	return Result{Findings: j.findings, Occupied: q.Occupied}, nil
}

// meanOf is what logs say of a mark, at the origin's height as the board takes fixes. Its
// uncertainty is the larger of both axes, along the longest axis of its ellipse.
func meanOf(p *plan.Plan, r occupy.Result) Mean {
	m := Mean{Name: r.Mark}
	if r.Refused() {
		return m
	}
	local := p.Site.Frame.ToLocal(geodesy.Geodetic{Latitude: r.Place.Latitude, Longitude: r.Place.Longitude, HeightM: p.Site.Origin.HeightM})
	m.EastMM, m.NorthMM, m.StdMM = local.EastM*1000, local.NorthM*1000, r.Covariance.Ellipse().Major
	for _, w := range r.Windows {
		m.Fixes += w.Used
	}
	return m
}

// Days are the first and the last instant of occupations; dated says that all of them have
// said their day.
func Days(occupied []occupy.Result) (first, last time.Time, dated bool) {
	dated = true
	for _, r := range occupied {
		for _, w := range r.Windows {
			dated = dated && w.Dated
			if first.IsZero() || w.From.Before(first) {
				first = w.From
			}
			if w.Until.After(last) {
				last = w.Until
			}
		}
	}
	return first, last, dated && !first.IsZero()
}
