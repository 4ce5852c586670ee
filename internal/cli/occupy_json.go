// What merestone occupy prints for programs. Members may be added.
package cli

import (
	"time"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/measured"
	"merestone/internal/nmea"
	"merestone/internal/occupy"
	"merestone/internal/version"
)

type occupyShape struct {
	Mark         string           `json:"mark"`
	Latitude     string           `json:"latitude"` // in degrees, exactly
	Longitude    string           `json:"longitude"`
	HeightM      *float64         `json:"height_m"`
	HeightStdM   *float64         `json:"height_std_m"`
	UncertaintyM float64          `json:"uncertainty_m"`
	Ellipse      ellipseShape     `json:"ellipse"`
	YAML         string           `json:"yaml"`
	Logs         []logShape       `json:"logs"`
	Windows      []windowShape    `json:"windows"`
	Difference   *differenceShape `json:"difference"`
}

type ellipseShape struct {
	MajorM     float64 `json:"major_m"`
	MinorM     float64 `json:"minor_m"`
	BearingDeg float64 `json:"bearing_deg"`
}

type logShape struct {
	Log       string           `json:"log"`
	SHA256    string           `json:"sha256"`
	Fixes     int64            `json:"fixes"`
	KeptEvery int64            `json:"kept_every"`
	Qualities map[string]int64 `json:"qualities"`
}

type windowShape struct {
	Log            string       `json:"log"`
	From           string       `json:"from"`
	Until          string       `json:"until"`
	Seen           int          `json:"seen"`
	Used           int          `json:"used"`
	Walked         int          `json:"walked"`
	Outliers       int          `json:"outliers"`
	Weighted       bool         `json:"weighted"`
	Independent    *float64     `json:"independent"`
	FadesS         *float64     `json:"fades_s"`
	Floor          string       `json:"floor"`
	EastM          float64      `json:"east_m"`
	NorthM         float64      `json:"north_m"`
	Scatter        ellipseShape `json:"scatter"`
	ReceiverM      *float64     `json:"receiver_m"`
	CovarianceM2   [3]float64   `json:"covariance_m2"`
	DriftM         *float64     `json:"drift_m"`
	Satellites     *int         `json:"satellites"`
	HDOP           *float64     `json:"hdop"`
	CorrectionAgeS *float64     `json:"correction_age_s"`
}

type differenceShape struct {
	First          int     `json:"first"`
	Second         int     `json:"second"`
	EastM          float64 `json:"east_m"`
	NorthM         float64 `json:"north_m"`
	Statistic      float64 `json:"statistic"`
	Critical       float64 `json:"critical"`
	SmallestShiftM float64 `json:"smallest_shift_m"`
}

// known is a number, or null where it is zero: nothing is known of it then.
func known(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

func ellipseOf(e measured.Ellipse) ellipseShape {
	return ellipseShape{e.Major / 1000, e.Minor / 1000, degrees(e.BearingRad)}
}

func (a app) occupyJSON(r occupy.Result, setup string) error {
	report := diag.Report{Tool: tool, Version: version.Tool, Mission: "", Findings: r.Findings, More: []diag.Member{{Name: "occupy"}}}
	if !r.Refused() {
		report.More[0].Value = shapeOf(r, setup)
	}
	return diag.WriteJSON(a.data, report)
}

// shapeOf is a mark that is made.
func shapeOf(r occupy.Result, setup string) occupyShape {
	shape := occupyShape{
		Mark: r.Mark, Latitude: r.Place.Latitude.String(), Longitude: r.Place.Longitude.String(),
		UncertaintyM: float64(r.UncertaintyMM()) / 1000, Ellipse: ellipseOf(r.Ellipse()), YAML: r.YAML(setup),
		Logs: []logShape{}, Windows: []windowShape{},
	}
	if r.HasHeight {
		std := r.UpStdMM / 1000
		shape.HeightM, shape.HeightStdM = &r.Place.HeightM, &std
	}
	for _, l := range r.Logs {
		one := logShape{l.Name, l.Digest, l.Fixes, l.Every, map[string]int64{}}
		for q, n := range l.Qualities {
			if n > 0 {
				one.Qualities[occupy.QualityName(nmea.Quality(q))] = n
			}
		}
		shape.Logs = append(shape.Logs, one)
	}
	for _, w := range r.Windows {
		e := w.Estimate
		one := windowShape{
			Log: w.Log(), From: w.From.UTC().Format(time.RFC3339Nano), Until: w.Until.UTC().Format(time.RFC3339Nano),
			Seen: w.Seen, Used: w.Used, Walked: w.Sifted.Walked, Outliers: w.Sifted.Outliers,
			Weighted: e.Weighted, Independent: known(e.Independent), FadesS: known(e.FadesS), Floor: e.Floor,
			EastM: (e.East - r.EastMM) / 1000, NorthM: (e.North - r.NorthMM) / 1000, Scatter: ellipseOf(e.Scatter.Ellipse()), ReceiverM: known(e.ReceiverMM / 1000),
			CovarianceM2: [3]float64{e.Covariance.EastByEast / 1e6, e.Covariance.EastByNorth / 1e6, e.Covariance.NorthByNorth / 1e6},
			HDOP:         known(w.Reception.LargestHDOP), CorrectionAgeS: known(w.Reception.OldestCorrection.Seconds()),
		}
		if len(e.Drift.Slope) == 2 {
			drift := elementary.Hypot(e.Drift.Slope[0], e.Drift.Slope[1]) * w.DurationS() / 1000
			one.DriftM = &drift
		}
		if w.Reception.FewestSatellites >= 0 {
			one.Satellites = &w.Reception.FewestSatellites
		}
		shape.Windows = append(shape.Windows, one)
	}
	if d := r.Difference; r.Compared {
		shape.Difference = &differenceShape{d.First, d.Second, d.EastMM / 1000, d.NorthMM / 1000, d.Statistic, d.Critical, d.SmallestMM / 1000}
	}
	return shape
}
