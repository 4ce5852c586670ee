// The mean of a window, what it is worth, and the floor of short ones.
//
// Errors of a receiver fade over seconds to minutes: a thousand fixes may be worth ten. How
// many, internal/statistics estimates from how they hang together in time, and the
// covariance of the mean is that of a single fix over it, made larger along an axis in which
// errors fade more slowly than the scatter of single fixes tells. It is stated such that an
// ellipse of normal errors, k = 2.4477 standard deviations for 95 %, is that of Hotelling
// for as many values as the covariance rests on: what is estimated from few is larger by
// EllipseFactor/k. A mission reckons with normal errors, and is right to, then.
//
// A short window cannot know how slowly its errors fade: errors that fade over more than its
// length look like a place and a little scatter. So below a stated length, and below a
// stated number of independent fixes, no small error is said. What is said is the largest of
//
//   - the scatter s of a single fix along its longest axis;
//
//   - what the mean would be uncertain by if all that scatter were of errors that fade over
//     `slowest`, T. In a window of length L they have the variance of the mean, as part of
//     that of a single fix,
//
//     V = 2/a² (a - 1 + e^(-a)),  a = L/T
//
//     and show s² = (1 - V) σ² of it: so s √(V/(1-V)), which is s √(3T/L) for a short one;
//
//   - what the receiver says of itself (GST);
//
//   - of fixes that are not fixed, what such fixes are usually off by,
//
// each taken as from the fewest independent values with which a window is not short. The
// tests simulate windows of 30 s to 30 min of errors that fade in 1 s to 300 s, with noise
// on top and without. Errors that fade over more than `slowest` are in no figure here.
//
// What is stated at 95 % holds over all windows of a kind, short ones and others. Of a kind
// of which most are short, those few that pass for long by chance hold less: that they pass
// is the chance that their errors looked fast. docs/occupy.md has the figures.
package occupy

import (
	"fmt"
	"math"
	"slices"
	"time"

	"merestone/internal/elementary"
	"merestone/internal/measured"
	"merestone/internal/nmea"
	"merestone/internal/statistics"
)

const (
	// slowest is over what time the slowest errors fade that are reckoned with: those of
	// reflected signals do over some minutes (common practice, no source).
	slowest = 5 * time.Minute
	// apart is from when on what is measured is independent: e^(-3) of slowest is left. A
	// window that is shorter is short, and windows that are nearer are not independent.
	apart = 3 * slowest
	// enough is how many independent fixes a window must be worth. Windows of errors that fade
	// over a tenth of it or more seem to be worth as many less than once in a hundred times, by
	// simulation.
	enough = 20
)

// Estimate is the mean of a window. Lengths are in millimetres, in the frame.
type Estimate struct {
	East, North float64
	// Scatter is the covariance of a single fix, as it shows in the window.
	Scatter measured.Matrix
	// Independent is how many independent fixes the mean is worth and FadesS the time in
	// which errors fade; zero where that is not known.
	Independent, FadesS float64
	// Floor says why the window is short; empty where it is not. Short is the same in two words
	// or three, and By says what its floor is.
	Floor, Short, By string
	// Covariance is that of the mean, see above. What is not known of the setting up is not in it.
	Covariance measured.Matrix
	// ReceiverMM is what the receiver says of itself, per axis; zero where it says nothing.
	ReceiverMM float64
	// Weighted says that fixes were weighted by that.
	Weighted bool
	Drift    statistics.Trend // per second; tested where the window is long enough
	// Up is above the height of the frame's origin, and UpStd one standard deviation of it.
	HasUp     bool
	Up, UpStd float64
}

// estimate makes the mean of the fixes that are used.
func (w *Window) estimate(used []int, grain, originMM float64) Estimate {
	weights, weighted := w.weights(used)
	e := Estimate{Weighted: weighted, ReceiverMM: w.receiver(used)}
	interval := w.intervalS(used)
	series := statistics.NewSeries(2, interval, w.secondsAt(used[len(used)-1]))
	points := make([]statistics.Point, len(used))
	for k, i := range used {
		points[k] = w.points[i]
		series.Add(w.secondsAt(i), weights[k], points[k].East, points[k].North)
	}
	mean := series.Mean()
	e.East, e.North = mean[0], mean[1]
	e.Scatter = covariance(points, weights, statistics.Point{East: e.East, North: e.North})
	worth := series.Worth()
	covered := w.coveredS(series, used)
	e.Floor, e.Short = w.short(worth, covered)
	if worth.Known {
		e.Independent, e.FadesS = worth.Independent, worth.TimeS
	}
	if e.Floor == "" {
		single := (e.Scatter.EastByEast + e.Scatter.NorthByNorth) / 2
		widened := statistics.EllipseFactor(worth.Basis, confidence) / radial95()
		e.Covariance = scaled(larger(scaled(e.Scatter, worth.Variance/single), worth.Mean), widened*widened)
	} else {
		var floor float64
		floor, e.By = floorOf(e.Scatter.Ellipse().Major, e.ReceiverMM, w.usualMM(), covered)
		e.Covariance = alike(floor * floor)
	}
	e.Drift.PValue = 1
	if covered >= apart.Seconds() { // also where the window is short, as a drift makes it
		e.Drift = series.Trend()
	}
	// Coordinates are written in steps: their rounding is as of a uniform error, step²/12.
	e.Covariance = e.Covariance.Plus(alike(grain * grain / 12))
	w.estimateUp(&e, used, weights, originMM)
	return e
}

// larger is a covariance A, made larger where another one, B of the same trace, is: by the
// positive part of D = B - A. As the trace of D is zero its eigenvalues are ±δ, and the positive
// part is (D + δ)/2. So errors that fade slowly along one axis, and are small beside noise
// along the other, are not shared out by the scatter of single fixes.
func larger(a measured.Matrix, b [3]float64) measured.Matrix {
	east, cross, north := b[0]-a.EastByEast, b[1]-a.EastByNorth, b[2]-a.NorthByNorth
	delta := elementary.Hypot((east-north)/2, cross)
	return a.Plus(scaled(measured.Matrix{EastByEast: east + delta, EastByNorth: cross, NorthByEast: cross, NorthByNorth: north + delta}, 0.5))
}

// short says why a window is short, or nothing. One with fixes that are not fixed is short
// however long it is: what they are off by together does not show in it.
func (w *Window) short(worth statistics.Worth, coveredS float64) (why, short string) {
	switch {
	case w.Reception.Qualities[nmea.Fixed] < w.Seen:
		return "fixes that are not fixed may all be off alike", "not fixed"
	case coveredS < apart.Seconds():
		return fmt.Sprintf("%s of fixes are less than %s", minutes(coveredS), minutes(apart.Seconds())), "a short window"
	case !worth.Known || worth.Basis < enough: // of the slow errors beside noise, whatever all fixes are worth
		return fmt.Sprintf("in %s the slow errors come and go fewer than %d times", minutes(coveredS), enough), "slow errors"
	}
	return "", ""
}

// floorOf is the standard deviation per axis that is said of a short window, and which of the
// four it is.
func floorOf(scatter, receiver, usual, coveredS float64) (floor float64, by string) {
	a := coveredS / slowest.Seconds()
	v := float64(2 / (a * a) * (a - 1 + elementary.Exp(-a)))
	slow := scatter * math.Sqrt(v/(1-v))
	floor, by = scatter, "the scatter of a single fix"
	if slow > floor {
		floor, by = slow, fmt.Sprintf("errors that fade in %s, as large as the scatter may hide", minutes(slowest.Seconds()))
	}
	if receiver > floor {
		floor, by = receiver, "the receiver's own standard deviation"
	}
	if usual > floor {
		floor, by = usual, "what fixes of that quality are usually off by"
	}
	return floor * statistics.EllipseFactor(enough, confidence) / radial95(), by
}

// usualMM is what the poorest quality that is used is usually off by, one standard deviation
// per axis (common practice, no source): fixes that are not fixed may scatter by millimetres,
// and all be off alike by much more. Zero of fixed ones.
func (w *Window) usualMM() (most float64) {
	for q, n := range w.Reception.Qualities {
		mm := 0.0
		switch nmea.Quality(q) {
		case nmea.Fixed:
		case nmea.Float:
			mm = 300
		case nmea.Differential, nmea.PPS:
			mm = 1000
		case nmea.Single:
			mm = 2000
		default: // estimated, manual, simulated: not measured
			mm = 10_000
		}
		if n > 0 {
			most = max(most, mm)
		}
	}
	return most
}

// minutes is a time in words.
func minutes(seconds float64) string {
	whole := int64(math.Round(min(max(seconds, 0), 1e12)))
	switch {
	case whole < 60:
		return fmt.Sprintf("%d s", whole)
	case whole%60 == 0:
		return fmt.Sprintf("%d min", whole/60)
	default:
		return fmt.Sprintf("%d min %d s", whole/60, whole%60)
	}
}

// estimateUp makes the mean of the heights that there are.
func (w *Window) estimateUp(e *Estimate, used []int, weights []float64, originMM float64) {
	series := statistics.NewSeries(1, w.intervalS(used), w.secondsAt(used[len(used)-1]))
	n, sum, total := 0, 0.0, 0.0
	square := 0.0
	var heights []int64
	for k, i := range used {
		f := w.fixes[i]
		if !f.hasHeight {
			continue
		}
		heights = append(heights, f.heightMM)
		up := float64(f.heightMM) - originMM
		series.Add(w.secondsAt(i), weights[k], up)
		sum += float64(weights[k] * up)
		square += float64(weights[k] * up * up)
		total += weights[k]
		n++
	}
	if n < fewest {
		return
	}
	e.HasUp = true
	e.Up = sum / total
	worth := series.Worth()
	covered := w.coveredS(series, used)
	if why, _ := w.short(worth, covered); why == "" {
		e.UpStd = math.Sqrt(worth.Variance) * statistics.EllipseFactor(worth.Basis, confidence) / radial95()
	} else {
		receiver := rms(used, func(i int) float64 { return float64(w.fixes[i].upStd) })
		scatter := math.Sqrt(max(square/total-float64(e.Up*e.Up), 0))
		e.UpStd, _ = floorOf(scatter, receiver, w.usualMM(), covered)
	}
	// As of coordinates: and heights that are written in decimetres may be all the same.
	e.UpStd = elementary.Hypot(e.UpStd, heightStep(heights)/math.Sqrt(12))
}

// heightStep is the step in which heights are written, in millimetres: the largest power of
// ten, up to a metre, of which all that they differ by are multiples; where they do not
// differ, they themselves.
func heightStep(heights []int64) float64 {
	from := heights[0]
	if slices.Min(heights) == slices.Max(heights) {
		from = 0
	}
	step := int64(1000)
	for _, h := range heights {
		for (h-from)%step != 0 {
			step /= 10
		}
	}
	return float64(step)
}

// secondsAt is when a fix was, from the beginning of the window.
func (w *Window) secondsAt(i int) float64 { return w.fixes[i].at.Sub(w.From).Seconds() }

// intervalS is the usual time between fixes: the median.
func (w *Window) intervalS(used []int) float64 {
	var between []float64
	for k := 1; k < len(used); k++ {
		between = append(between, w.secondsAt(used[k])-w.secondsAt(used[k-1]))
	}
	return statistics.Median(between)
}

// coveredS is how long there were fixes, in seconds: of the last slot no more than they go on.
func (w *Window) coveredS(series *statistics.Series, used []int) float64 {
	return min(series.CoveredS(), w.secondsAt(used[len(used)-1])+w.intervalS(used))
}

// weights are those of the used fixes, by what the receiver says of itself, where it says so
// of each: 1/σ², the sum of both axes, so that they do not hang on where north is. None is
// worth more than four times the middle one, or less than a quarter: a model of the receiver's
// is not to leave one fix to decide.
func (w *Window) weights(used []int) (weights []float64, weighted bool) {
	weights = make([]float64, len(used))
	for k, i := range used {
		weights[k] = 1
		f := w.fixes[i]
		if !(f.eastStd > 0 && f.northStd > 0) {
			for k := range weights {
				weights[k] = 1
			}
			return weights, false
		}
	}
	for k, i := range used {
		east, north := float64(w.fixes[i].eastStd), float64(w.fixes[i].northStd)
		weights[k] = 1 / (float64(east*east) + float64(north*north))
	}
	middle := statistics.Median(slices.Clone(weights))
	for k := range weights {
		weights[k] = min(max(weights[k]/middle, 0.25), 4)
	}
	return weights, true
}

// receiver is what the receiver says of itself along the longer axis: the root of the mean
// square. Fixes of which it says nothing are left out.
func (w *Window) receiver(used []int) float64 {
	return math.Max(
		rms(used, func(i int) float64 { return float64(w.fixes[i].eastStd) }),
		rms(used, func(i int) float64 { return float64(w.fixes[i].northStd) }))
}

func rms(used []int, of func(int) float64) float64 {
	sum, n := 0.0, 0
	for _, i := range used {
		if v := of(i); v > 0 {
			sum += float64(v * v)
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return math.Sqrt(sum / float64(n))
}
