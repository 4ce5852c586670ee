// Package occupy makes a mark from the logs of a receiver that stood on it: where it is,
// how well that is known, and whether a mark may be made of it at all.
//
// The files, in the order in which data flows:
//
//	read.go      the fixes of a log: which are kept, and what is counted of the others
//	window.go    one stay on the mark without a long gap
//	sift.go      fixes that are left out, and fixes at two places
//	estimate.go  the mean of a window, what it is worth, and the floor of short ones
//	combine.go   several windows: whether they agree, and one place from them
//	judge.go     findings; rules.go lists the rules
//	occupy.go    all of it in order, and what comes of it
//
// Horizontal places are in the local frame about the first fix, in millimetres, with all
// fixes at its height, as the board takes fixes; heights are averaged by themselves.
//
// The receiver's own standard deviations (GST) weight fixes against each other and are a
// floor. They are never the answer: they are a model of the receiver's, and published
// examples of them contradict themselves.
package occupy

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/measured"
	"merestone/internal/nmea"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// Fixes are those of a log, in order; io.EOF ends them.
type Fixes interface{ Next() (nmea.Fix, error) }

// Options are what is asked for.
type Options struct {
	Mark string // its name
	// Accept are the qualities of the fixes that are used.
	Accept []nmea.Quality
	// From and Until choose the fixes of a part of each day, by time since midnight, UTC.
	// From is later than Until where the part goes over midnight; equal takes all.
	From, Until time.Duration
	// Pole is the height of the antenna above the mark, and PlumbRad one standard deviation
	// per axis of how far from upright it stood.
	Pole     quantity.Length
	PlumbRad float64
	// Centring is one standard deviation per axis of how far from the middle of the mark the
	// antenna, or the tip of its pole, was set up.
	Centring quantity.Length
	// Today says that no mark is made, but what today's base says of one: nothing is asked
	// of its height, nor a second occupation at another hour.
	Today bool
}

// Result is a mark and what is to be said of it.
type Result struct {
	Mark    string
	Logs    []*Log
	Windows []Window // in order of time
	// Place is the mark's; it is of no use where the result is refused.
	Place geodesy.Geodetic
	// EastMM and NorthMM are the same in the frame of the windows.
	EastMM, NorthMM float64
	// HasHeight says that Place has a height, and UpStdMM is one standard deviation of it.
	HasHeight bool
	UpStdMM   float64
	// Covariance is that of the place, such that an ellipse of it holds the true place as
	// often as one of a normal error, at 95 %: see estimate.go.
	Covariance measured.Matrix
	// Difference is that of the windows that agree worst; Compared says that there is one.
	Difference Difference
	Compared   bool
	Findings   []diag.Finding
	options    Options
}

// Refused says that no mark may be made.
func (r Result) Refused() bool { return diag.Worst(r.Findings) == diag.Error }

// UncertaintyMM is one standard deviation in each axis as a mission takes it: along the
// axis in which the place is known least, and so for every direction. Rounded up.
func (r Result) UncertaintyMM() int64 { return upMM(r.Covariance.Ellipse().Major) }

// upMM is millimetres rounded up, at least one.
func upMM(mm float64) int64 { return int64(math.Ceil(max(min(mm, 1e12), 1))) }

// Ellipse is that which holds the true place with 95 %.
func (r Result) Ellipse() measured.Ellipse { return ellipse95(r.Covariance) }

func ellipse95(m measured.Matrix) measured.Ellipse {
	e := m.Ellipse()
	e.Major *= radial95()
	e.Minor *= radial95()
	return e
}

// radial95 is how many standard deviations per axis hold 95 % of normal errors.
func radial95() float64 { return quantity.RadialFactor(confidence) }

// confidence is that of all that is stated.
const confidence = 0.95

// Occupy makes a mark of logs. Its errors are those of logs that cannot be taken together;
// all else is a finding.
func Occupy(logs []*Log, o Options) (Result, error) {
	r := Result{Mark: o.Mark, Logs: logs, options: o}
	j := &judgement{options: o}
	j.logs(logs)
	frame, ok, err := frameOf(logs)
	if err != nil || !ok {
		r.Findings = j.sorted()
		return r, err
	}
	for _, l := range logs {
		for _, part := range l.parts() {
			r.Windows = append(r.Windows, newWindow(frame, l, part))
		}
	}
	slices.SortStableFunc(r.Windows, func(a, b Window) int { return cmp.Compare(a.From.UnixNano(), b.From.UnixNano()) })
	if err := overlap(r.Windows); err != nil {
		return r, err
	}
	r.Windows = j.enough(r.Windows)
	j.visits = len(r.Windows)
	for i := range r.Windows {
		j.window(&r.Windows[i], frame.Origin().HeightM*1000)
	}
	if diag.Worst(j.findings) != diag.Error {
		r.put(frame, combine(r.Windows, settingUp(o)))
		j.occupations(r.Windows, r.Difference)
		j.height(r)
	}
	r.Findings = j.sorted()
	return r, nil
}

// put puts the place of the windows on the ground.
func (r *Result) put(frame geodesy.Frame, p place) {
	origin := frame.Origin()
	r.EastMM, r.NorthMM = p.east, p.north
	r.Place = frame.AtHeight(p.east/1000, p.north/1000, origin.HeightM)
	r.Place.HeightM = 0
	if p.hasUp {
		r.HasHeight, r.UpStdMM = true, p.upStd
		r.Place.HeightM = origin.HeightM + p.up/1000 - r.options.Pole.Metres()
	}
	r.Covariance = p.covariance
	r.Difference, r.Compared = worstDifference(r.Windows, settingUp(r.options)), len(r.Windows) > 1
}

// frameOf is the local frame about the first fix.
func frameOf(logs []*Log) (frame geodesy.Frame, ok bool, err error) {
	for _, l := range logs {
		if len(l.fixes) == 0 {
			continue
		}
		f := l.fixes[0]
		at := geodesy.Geodetic{Latitude: f.latitude, Longitude: f.longitude}
		if f.hasHeight {
			at.HeightM = min(max(float64(f.heightMM)/1000, geodesy.MinHeightM), geodesy.MaxHeightM) // what is beyond is told of the mark
		}
		frame, err = geodesy.NewFrame(at)
		if err != nil {
			err = fmt.Errorf("the first fix of %s: %w", l.Name, err)
		}
		return frame, err == nil, err
	}
	return geodesy.Frame{}, false, nil
}

// overlap refuses windows of the same time: one receiver cannot have stood twice.
func overlap(windows []Window) error {
	for i := 1; i < len(windows); i++ {
		a, b := windows[i-1], windows[i]
		if a.log.Digest != "" && a.log.Digest == b.log.Digest && a.log != b.log {
			return fmt.Errorf("%s and %s are the same log", a.log.Name, b.log.Name)
		}
		if a.Dated && b.Dated && b.From.Before(a.Until) {
			return fmt.Errorf("%s and %s are of the same time, %s: no receiver stands on a mark twice at once", a.log.Name, b.log.Name, b.From.UTC().Format(time.TimeOnly))
		}
		if a.Dated != b.Dated {
			return errors.New("of the logs, one says the day and another does not (RMC, ZDA): which came first is not known")
		}
	}
	return nil
}

// YAML are the lines to paste under marks: what the mark rests on as comments, and the mark.
func (r Result) YAML(setup string) string {
	var b strings.Builder
	for _, line := range r.Comments() {
		b.WriteString("  # " + line + "\n")
	}
	fmt.Fprintf(&b, "  %s: {", r.Mark)
	for i, k := range r.Keys(setup) {
		if i > 0 {
			b.WriteString(", ")
		}
		value := k.Value
		if k.Name == "setup" { // in quotation marks, as a name may look like a number
			value = strconv.Quote(value)
		}
		b.WriteString(k.Name + ": " + value)
	}
	b.WriteString("}\n")
	return b.String()
}

// Key is a key of the mark, as a mission has it.
type Key struct{ Name, Value string }

// Keys are those of the mark. Coordinates have nine decimals, as many as a mission keeps.
func (r Result) Keys(setup string) []Key {
	keys := []Key{{"latitude", nineDecimals(r.Place.Latitude)}, {"longitude", nineDecimals(r.Place.Longitude)}}
	if r.HasHeight {
		keys = append(keys, Key{"height", fmt.Sprintf("%.3f m", r.Place.HeightM)})
	}
	keys = append(keys, Key{"uncertainty", fmt.Sprintf("%d mm", r.UncertaintyMM())})
	if setup != "" {
		keys = append(keys, Key{"setup", setup})
	}
	return keys
}

// nineDecimals writes an angle with all nine.
func nineDecimals(n geodesy.Nanodegree) string {
	whole, part, _ := strings.Cut(n.String(), ".")
	return whole + "." + part + strings.Repeat("0", 9-len(part))
}

// Comments say what the mark rests on, a line each.
func (r Result) Comments() []string {
	var lines []string
	for _, w := range r.Windows {
		lines = append(lines, w.Comment())
	}
	for _, l := range r.Logs {
		kept := ""
		if l.Every > 1 {
			kept = fmt.Sprintf(" (one fix of %d)", l.Every)
		}
		if others := l.others(r.options.Accept); len(others) > 0 {
			kept += " without " + words.And(others)
		}
		lines = append(lines, fmt.Sprintf("log %s%s, SHA-256 %s", words.Visible(l.Name), kept, l.Digest))
	}
	// A line in any case: in a mission it takes the place of that of an earlier visit.
	switch {
	case r.options.Pole != 0:
		lines = append(lines, fmt.Sprintf("pole of %s taken off the height", r.options.Pole))
	case r.HasHeight && !r.options.Today:
		lines = append(lines, "pole not given: the height is the antenna's")
	}
	return lines
}

// UsualCentring is that of a hand that sets a tip into a mark with care (common practice, no
// source).
const UsualCentring = 2 * quantity.Millimetre

// settingUp is what is not known of how the antenna was set up, in each axis: the pole's
// height times the angle, and the centring.
func settingUp(o Options) measured.Matrix {
	std := elementary.Hypot(o.Pole.Millimetres()*elementary.Tan(o.PlumbRad), o.Centring.Millimetres())
	return alike(std * std)
}
