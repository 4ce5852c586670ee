// One stay on the mark without a long gap: a window. Its fixes in the local frame, what was
// left out of them, and how the receiver received.
package occupy

import (
	"fmt"
	"math"
	"time"

	"merestone/internal/geodesy"
	"merestone/internal/measured"
	"merestone/internal/nmea"
	"merestone/internal/statistics"
	"merestone/internal/words"
)

// Window is a stay on the mark.
type Window struct {
	From, Until time.Time
	Dated       bool
	// Seen are the fixes of accepted qualities that were kept, Used those of them that the
	// mean is of.
	Seen, Used int
	Sifted     Sifted
	Estimate   Estimate
	Reception  Reception
	log        *Log
	fixes      []fix
	points     []statistics.Point // in the frame, in millimetres
}

// Reception is how the receiver received over a window.
type Reception struct {
	Qualities [qualities]int
	// FewestSatellites is -1 and the others are zero where no fix says them.
	FewestSatellites int
	LargestHDOP      float64
	OldestCorrection time.Duration
	// Repeated is how long one and the same fix was given at most.
	Repeated time.Duration
}

// newWindow puts fixes into the frame.
func newWindow(frame geodesy.Frame, l *Log, fixes []fix) Window {
	last := len(fixes) - 1
	w := Window{From: fixes[0].at, Until: fixes[last].at, Dated: fixes[last].dated, Seen: len(fixes), log: l, fixes: fixes}
	w.Reception.FewestSatellites = -1
	same := fixes[0]
	for _, f := range fixes {
		local := frame.ToLocal(geodesy.Geodetic{Latitude: f.latitude, Longitude: f.longitude, HeightM: frame.Origin().HeightM})
		w.points = append(w.points, statistics.Point{East: local.EastM * 1000, North: local.NorthM * 1000})
		w.Reception.add(f)
		if f.latitude != same.latitude || f.longitude != same.longitude || f.heightMM != same.heightMM {
			same = f
		}
		w.Reception.Repeated = max(w.Reception.Repeated, f.at.Sub(same.at))
	}
	return w
}

func (r *Reception) add(f fix) {
	r.Qualities[f.quality]++
	if f.satellites >= 0 && (r.FewestSatellites < 0 || int(f.satellites) < r.FewestSatellites) {
		r.FewestSatellites = int(f.satellites)
	}
	r.LargestHDOP = math.Max(r.LargestHDOP, float64(f.hdop))
	r.OldestCorrection = max(r.OldestCorrection, f.age)
}

// fixedScatterMM is the scatter of the fixed solutions that are used, along its longest axis; zero
// where they are too few to see it. That of others, taken by --accept, may be honest metres.
func (w *Window) fixedScatterMM() float64 {
	var points []statistics.Point
	var weights []float64
	var mean statistics.Point
	for _, i := range w.Sifted.used {
		if w.fixes[i].quality == nmea.Fixed {
			points, weights = append(points, w.points[i]), append(weights, 1)
			mean.East += w.points[i].East
			mean.North += w.points[i].North
		}
	}
	n := float64(len(points))
	if n < fewest {
		return 0
	}
	return covariance(points, weights, statistics.Point{East: mean.East / n, North: mean.North / n}).Ellipse().Major
}

// DurationS is how long the window is, in seconds.
func (w *Window) DurationS() float64 { return w.Until.Sub(w.From).Seconds() }

// Times says when a window was, in UTC.
func (w Window) Times() string {
	from, until := w.From.UTC(), w.Until.UTC()
	first, last := time.TimeOnly, time.TimeOnly
	if w.Dated {
		first = time.DateTime
	}
	if w.Dated && from.Format(time.DateOnly) != until.Format(time.DateOnly) {
		last = time.DateTime
	}
	return fmt.Sprintf("%s to %s UTC", from.Format(first), until.Format(last))
}

// Accepted says of which quality the fixes of a window are.
func (w Window) Accepted() string {
	var parts []string
	for q, n := range w.Reception.Qualities {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%s %s", QualityName(nmea.Quality(q)), share(int64(n), int64(w.Seen))))
		}
	}
	return words.And(parts)
}

// Worth says as how many independent fixes a window is worth, or why that is not known.
func (w Window) Worth() string {
	if e := w.Estimate; e.Floor != "" {
		return e.Floor
	}
	return fmt.Sprintf("%.0f independent fixes", w.Estimate.Independent)
}

// Comment says when a window was and what its mean rests on, on one short line.
func (w Window) Comment() string {
	fixes := words.Count(w.Seen, "fix", "fixes")
	if w.Used < w.Seen {
		fixes = fmt.Sprintf("%d of %s", w.Used, fixes)
	}
	if w.Reception.Qualities[nmea.Fixed] < w.Seen {
		fixes += " (" + w.Accepted() + ")"
	}
	rests := w.Estimate.Short
	if rests == "" {
		rests = fmt.Sprintf("%.0f independent", w.Estimate.Independent)
	}
	return fmt.Sprintf("occupied %s: %s, %s", w.Times(), fixes, rests)
}

// Log is the name of the log that the window is in.
func (w Window) Log() string { return w.log.Name }

// share is a part of a number in words.
func share(n, of int64) string {
	if of == 0 {
		return "0 %"
	}
	percent := 100 * float64(n) / float64(of)
	if n < of && percent > 99.9 {
		return "over 99.9 %"
	}
	return fmt.Sprintf("%.3g %%", percent)
}

// QualityName is a quality as it is said, and as it is asked for.
func QualityName(q nmea.Quality) string {
	return [...]string{"none", "single", "differential", "pps", "fixed", "float", "estimated", "manual", "simulated"}[q]
}

// covariance is that of points about a place, by weights that sum up to total.
func covariance(points []statistics.Point, weights []float64, about statistics.Point) measured.Matrix {
	var m measured.Matrix
	total := 0.0
	for i, p := range points {
		east, north := p.East-about.East, p.North-about.North
		m.EastByEast += float64(weights[i] * east * east)
		m.EastByNorth += float64(weights[i] * east * north)
		m.NorthByNorth += float64(weights[i] * north * north)
		total += weights[i]
	}
	return scaled(measured.Matrix{EastByEast: m.EastByEast, EastByNorth: m.EastByNorth, NorthByEast: m.EastByNorth, NorthByNorth: m.NorthByNorth}, 1/total)
}

// scaled is a matrix times a number.
func scaled(m measured.Matrix, by float64) measured.Matrix {
	return measured.Matrix{EastByEast: float64(m.EastByEast * by), EastByNorth: float64(m.EastByNorth * by), NorthByEast: float64(m.NorthByEast * by), NorthByNorth: float64(m.NorthByNorth * by)}
}

// alike is the covariance of independent errors of one variance in both axes.
func alike(variance float64) measured.Matrix {
	v := float64(variance)
	return measured.Matrix{EastByEast: v, NorthByNorth: v}
}
