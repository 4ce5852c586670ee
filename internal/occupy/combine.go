// Several windows of one mark: whether they agree, and one place from them.
//
// Two windows agree where their difference d is what their covariances let expect:
//
//	dᵀ (C₁+C₂)⁻¹ d ≤ -2 ln α
//
// the quantile of the chi-squared distribution with two degrees of freedom. The covariances
// are stated wide enough for it, by Hotelling's factor. Each log is a setting up of its own:
// between windows of two logs the error of centring and of the pole is in the difference twice,
// and between those of one log it is not. α is 5 %, shared among all pairs. A shift that such a test tells in
// 95 of 100 cases is larger than k standard deviations, k from the noncentral distribution.
//
// The place is the mean with the weights C⁻¹, its covariance (Σ C⁻¹)⁻¹: that of independent
// windows. Those that follow each other within `apart` share their slow errors: their mean
// is held to be known no better than the worst of them. So it is done with the windows of
// each log, then the error of setting up is added, and then with the logs.
package occupy

import (
	"math"
	"time"

	"merestone/internal/elementary"
	"merestone/internal/measured"
	"merestone/internal/statistics"
)

// Difference is between two windows.
type Difference struct {
	First, Second       int // of the windows
	EastMM, NorthMM     float64
	Statistic, Critical float64
	// SmallestMM is the smallest shift that would have been told, with 95 %, along the axis in
	// which that is hardest.
	SmallestMM float64
}

// Rejected says that the windows are not of one place.
func (d Difference) Rejected() bool { return d.Statistic > d.Critical }

// place is one place, of a window or of several, and when it was occupied.
type place struct {
	east, north, up, upStd float64
	hasUp                  bool
	covariance             measured.Matrix
	from, until            time.Time
}

// combine makes one place of windows in order of time, with what is not known of the setting up.
func combine(windows []Window, setUp measured.Matrix) place {
	var logs []*Log
	of := map[*Log][]place{}
	for _, w := range windows {
		if of[w.log] == nil {
			logs = append(logs, w.log)
		}
		e := w.Estimate
		of[w.log] = append(of[w.log], place{e.East, e.North, e.Up, e.UpStd, e.HasUp, e.Covariance, w.From, w.Until})
	}
	var all []place
	for _, l := range logs {
		p := inTime(of[l])
		p.covariance = p.covariance.Plus(setUp)
		all = append(all, p)
	}
	return inTime(all)
}

// inTime is the mean of places in order of time, of which those that are near each other in
// time share their slow errors.
func inTime(places []place) place {
	var all, near []place
	for i, p := range places {
		if i > 0 && p.from.Sub(places[i-1].until) >= apart {
			all = append(all, together(near))
			near = nil
		}
		near = append(near, p)
	}
	m := mean(append(all, together(near)))
	m.from, m.until = places[0].from, places[len(places)-1].until
	return m
}

// mean is that of independent places.
func mean(places []place) place {
	var m place
	var weight measured.Matrix
	var east, north, up, upWeight float64
	for _, p := range places {
		w := inverse(p.covariance)
		weight = weight.Plus(w)
		east += float64(w.EastByEast*p.east) + float64(w.EastByNorth*p.north)
		north += float64(w.NorthByEast*p.east) + float64(w.NorthByNorth*p.north)
		if p.hasUp {
			m.hasUp = true
			up += p.up / (p.upStd * p.upStd)
			upWeight += 1 / (p.upStd * p.upStd)
		}
	}
	m.covariance = inverse(weight)
	m.east = float64(m.covariance.EastByEast*east) + float64(m.covariance.EastByNorth*north)
	m.north = float64(m.covariance.NorthByEast*east) + float64(m.covariance.NorthByNorth*north)
	if m.hasUp {
		m.up, m.upStd = up/upWeight, 1/math.Sqrt(upWeight)
	}
	return m
}

// together is the mean of places that share their slow errors.
func together(places []place) place {
	m := mean(places)
	worst := places[0]
	for _, p := range places {
		if p.covariance.Ellipse().Major > worst.covariance.Ellipse().Major {
			worst = p
		}
		m.upStd = math.Max(m.upStd, p.upStd)
	}
	m.covariance = worst.covariance
	return m
}

// inverse is that of a covariance, which is never singular here: each has the rounding of
// coordinates in it, or a floor.
func inverse(m measured.Matrix) measured.Matrix {
	determinant := float64(m.EastByEast*m.NorthByNorth) - float64(m.EastByNorth*m.NorthByEast)
	return scaled(measured.Matrix{EastByEast: m.NorthByNorth, EastByNorth: -m.EastByNorth, NorthByEast: -m.NorthByEast, NorthByNorth: m.EastByEast}, 1/determinant)
}

// worstDifference is that of the two windows that agree worst.
func worstDifference(windows []Window, setUp measured.Matrix) Difference {
	var worst Difference
	pairs := len(windows) * (len(windows) - 1) / 2
	if pairs == 0 {
		return worst
	}
	level := 1 - (1-confidence)/float64(pairs)
	smallest := statistics.SmallestShift(level, confidence)
	for i := range windows {
		for k := range i {
			a, b := windows[k].Estimate, windows[i].Estimate
			c := a.Covariance.Plus(b.Covariance)
			if windows[k].log != windows[i].log {
				c = c.Plus(setUp).Plus(setUp)
			}
			w := inverse(c)
			d := Difference{First: k, Second: i, EastMM: b.East - a.East, NorthMM: b.North - a.North}
			d.Statistic = float64(d.EastMM*(float64(w.EastByEast*d.EastMM)+float64(w.EastByNorth*d.NorthMM))) +
				float64(d.NorthMM*(float64(w.NorthByEast*d.EastMM)+float64(w.NorthByNorth*d.NorthMM)))
			d.Critical = -2 * elementary.Log(1-level)
			d.SmallestMM = smallest * c.Ellipse().Major
			if i == 1 || d.Statistic > worst.Statistic {
				worst = d
			}
		}
	}
	return worst
}
