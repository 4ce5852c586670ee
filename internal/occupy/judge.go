// The judgement of an occupation: whether a mark may be made of it. Errors keep it from that.
package occupy

import (
	"time"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/nmea"
	"merestone/internal/words"
)

// The limits of the judgement. Common practice, no source, where nothing else is said.
const (
	// fewest is how many fixes there must be: with n the scatter is good to 1/√(2n) of itself.
	fewest = 10
	// mostRefused is the part of a log's sentences that may be broken before it is a warning,
	// mostOthers that of fixes of other qualities, and mostWalked that of the walk.
	mostRefused, mostOthers, mostWalked = 0.01, 0.1, 0.25
	// stillMM is by how much fixed solutions of an antenna that stands may scatter, and how far
	// apart two fixes of one time may be that are of one antenna: of receivers that write GGA
	// twice, or times without fractions.
	stillMM = 100
	// longestRepeated is how long a receiver may give one fix without a doubt.
	longestRepeated = 5 * time.Second
	// driftLevel is the probability by chance below which a drift is told.
	driftLevel = 0.01
	// oldest corrections, fewestSatellites and largest HDOP without a doubt.
	oldest           = 10 * time.Second
	fewestSatellites = 6
	largestHDOP      = 3.0
	// secondAfter is when a mark is to be occupied again: satellites stand elsewhere then. As
	// the guidance notes of a national survey association for network receivers advise: two
	// windows of about 3 minutes, at least 45 minutes apart (issue 2, April 2012).
	secondAfter = 45 * time.Minute
)

// judgement collects findings about one mark.
type judgement struct {
	options  Options
	visits   int // windows of which a place is made
	findings []diag.Finding
}

func (j *judgement) sorted() []diag.Finding {
	diag.Sort(j.findings)
	return j.findings
}

func (j *judgement) mark() diag.Subject { return diag.The(diag.Mark, j.options.Mark) }

// tell adds a finding about the log that it points to, and the mark.
func (j *judgement) tell(rule diag.ID, severity diag.Severity, log, remedy string, numbers []diag.Number, format string, args ...any) {
	f := diag.New(diag.Position{File: log}, format, args...)
	f.Rule, f.Severity, f.Remedy, f.Numbers = rule, severity, remedy, numbers
	if len(f.About) == 0 {
		f.About = []diag.Subject{j.mark()}
	}
	j.findings = append(j.findings, f)
}

func count(name string, n int64) diag.Number {
	return diag.Number{Name: name, Value: float64(n), Unit: "1"}
}

func seconds(name string, d time.Duration) diag.Number {
	return diag.Number{Name: name, Value: d.Seconds(), Unit: "s"}
}

func metres(name string, mm float64) diag.Number {
	return diag.Number{Name: name, Value: mm / 1000, Unit: "m"}
}

// logs judges what was read, before anything is made of it.
func (j *judgement) logs(logs []*Log) {
	for _, l := range logs {
		taken, refused := l.Counts.Sentences()
		if refused > 0 {
			severity, remedy := diag.Note, ""
			if float64(refused) > mostRefused*float64(taken+refused) {
				severity, remedy = diag.Warning, "look whether the line to the receiver loses bytes, or two programs write into one log"
			}
			j.tell(ruleLog, severity, l.Name, remedy, []diag.Number{count("refused", refused), count("taken", taken)},
				"%d refused of %s: %s", refused, words.Plural(int(taken+refused), "sentence"), l.Counts.Refusals())
		}
		switch accepted := l.accepted(j.options.Accept); {
		case float64(l.Elsewhere) > mostRefused*float64(accepted):
			j.tell(ruleLog, diag.Error, l.Name, "log one receiver alone", []diag.Number{count("elsewhere", l.Elsewhere), count("accepted", accepted)},
				"%s are of the time of another, at another place (first at %s UTC): two receivers write into the log", words.Count(int(l.Elsewhere), "fix", "fixes"), l.ElsewhereAt.UTC().Format(time.TimeOnly))
		case float64(l.AtOnce) > mostRefused*float64(accepted):
			j.tell(ruleLog, diag.Note, l.Name, "", []diag.Number{count("at once", l.AtOnce), count("accepted", accepted)},
				"%s are of the time of another: the first of each time is used", words.Count(int(l.AtOnce), "fix", "fixes"))
		}
		if l.Older > 0 {
			j.tell(ruleLog, diag.Warning, l.Name, "give logs that were put one behind the other each by itself", []diag.Number{count("older", l.Older)},
				"%s older than one before, and left out: time goes back in the log", words.Count(int(l.Older), "fix is", "fixes are"))
		}
		if l.EndsEarly {
			j.tell(ruleLog, diag.Warning, l.Name, "look whether it was copied in full, and whether the logger lost its power", nil, "the packed log ends early: all that is there was read")
		}
		j.quality(l)
		if l.Every > 1 {
			j.tell(ruleLog, diag.Note, l.Name, "choose a part of it with --from and --until, if all of its fixes are to be used", []diag.Number{count("every", l.Every)},
				"the log is long: one fix of %d is used, evenly over all of it", l.Every)
		}
	}
}

// quality judges of which quality the fixes of a log are.
func (j *judgement) quality(l *Log) {
	accepted, there := l.accepted(j.options.Accept), l.others(j.options.Accept)
	var asked []string
	for _, q := range j.options.Accept {
		asked = append(asked, QualityName(q))
	}
	numbers := []diag.Number{count("accepted", accepted), count("fixes", l.Fixes)}
	switch others := l.Fixes - accepted; {
	case l.Fixes == 0:
		if o := j.options; o.From != o.Until {
			midnight := time.Time{}
			j.tell(ruleFew, diag.Error, l.Name, "give --from and --until in UTC; --from is later than --until for a part that goes over midnight", numbers,
				"there is no fix in the log from %s to %s UTC", midnight.Add(o.From).Format(time.TimeOnly), midnight.Add(o.Until).Format(time.TimeOnly))
			return
		}
		j.tell(ruleFew, diag.Error, l.Name, "look whether the receiver writes GGA", numbers, "there is no fix in the log")
	case accepted == 0:
		j.tell(ruleQuality, diag.Error, l.Name, "wait until the receiver has a fixed solution, and occupy the mark again; --accept takes others, with what they are worth", numbers,
			"none of %s is %s: there are %s", words.Count(int(l.Fixes), "fix", "fixes"), words.And(asked), words.And(there))
	case others > 0:
		severity, remedy := diag.Note, ""
		if float64(others) > mostOthers*float64(l.Fixes) {
			severity, remedy = diag.Warning, "occupy the mark under open sky: a receiver that loses its solution may find a wrong one"
		}
		j.tell(ruleQuality, severity, l.Name, remedy, numbers, "%s of %s are left out, as they are not %s: %s",
			share(others, l.Fixes), words.Count(int(l.Fixes), "fix", "fixes"), words.And(asked), words.And(there))
	}
	for _, q := range j.options.Accept {
		if n := l.Qualities[q]; q != nmea.Fixed && n > 0 {
			j.tell(ruleQuality, diag.Warning, l.Name, "occupy the mark again with a fixed solution; until then do not lean on its uncertainty", []diag.Number{count(QualityName(q), n)},
				"%s used, as asked: they may all be off alike by decimetres or metres, which their scatter does not show", words.Count(int(n), QualityName(q)+" fix is", QualityName(q)+" fixes are"))
		}
	}
}

// enough leaves out windows of too few fixes, where there are others: what is left of a log
// after a gap. Where there are none, there is no mark.
func (j *judgement) enough(windows []Window) []Window {
	var out []Window
	for _, w := range windows {
		if w.Seen >= fewest {
			out = append(out, w)
		}
	}
	severity, so := diag.Warning, "and left out"
	if len(out) == 0 {
		severity, so = diag.Error, "and there are no others"
	}
	for _, w := range windows {
		if w.Seen < fewest {
			j.tell(ruleFew, severity, w.log.Name, "occupy the mark for longer, or choose with --from and --until what was meant", []diag.Number{count("fixes", int64(w.Seen))},
				"%s, %s, are too few to see how they scatter, %s: %d are the least", words.Count(w.Seen, "fix", "fixes"), w.Times(), so, fewest)
		}
	}
	return out
}

// window sifts the fixes of a window, makes its mean, and judges both.
func (j *judgement) window(w *Window, originMM float64) {
	log := w.log.Name
	w.Sifted = sift(w.points)
	s := w.Sifted
	j.sifted(w)
	if s.TwoPlaces || s.TooMany {
		return
	}
	w.Used = len(s.used)
	if w.Used < fewest {
		j.tell(ruleFew, diag.Error, log, "occupy the mark for longer", []diag.Number{count("fixes", int64(w.Used))},
			"%s, %s, are left, too few to see how they scatter: %d are the least", words.Count(w.Used, "fix", "fixes"), w.Times(), fewest)
		return
	}
	w.Estimate = w.estimate(s.used, s.grain, originMM)
	if e := w.Estimate.Scatter.Ellipse(); e.Major == 0 {
		j.tell(ruleRepeated, diag.Error, log, "log what the receiver measures, not what it holds: look for a setting that holds the position still", []diag.Number{count("fixes", int64(w.Used))},
			"all %s, %s, are the same: the receiver repeats one", words.Count(w.Used, "fix", "fixes"), w.Times())
		return
	}
	if scatter := w.fixedScatterMM(); scatter > stillMM {
		j.tell(ruleWalked, diag.Error, log, "choose with --from and --until when the antenna stood on the mark", []diag.Number{metres("scatter", scatter)},
			"fixed solutions, %s, scatter by %s: the antenna did not stand still", w.Times(), words.MM(upMM(scatter)))
		return
	}
	j.doubts(w)
}

// sifted judges the fixes that do not belong.
func (j *judgement) sifted(w *Window) {
	s, log := w.Sifted, w.log.Name
	if s.Walked > 0 {
		severity, remedy := diag.Note, ""
		if float64(s.Walked) > mostWalked*float64(w.Seen) {
			severity, remedy = diag.Warning, "choose with --from and --until when the antenna stood on the mark"
		}
		j.tell(ruleWalked, severity, log, remedy, []diag.Number{count("walked", int64(s.Walked)), metres("farthest", s.WalkedMM)},
			"%s at the beginning or end of %s are on the way, up to %s off, and left out", words.Count(s.Walked, "fix", "fixes"), w.Times(), words.MM(upMM(s.WalkedMM)))
	}
	numbers := []diag.Number{count("outliers", int64(s.Outliers)), count("fixes", int64(w.Seen)), metres("limit", s.LimitMM), metres("farthest", s.OutlierMM)}
	switch {
	case s.TwoPlaces:
		j.tell(ruleTwoPlaces, diag.Error, log, "occupy the mark again: one place has a wrong fix; if it is known which time was right, choose it with --from and --until",
			[]diag.Number{metres("apart", s.ApartMM), {Name: "share", Value: s.OtherShare, Unit: "1"}},
			"the fixes, %s, are at two places, %s apart, with %.0f %% of them at the rarer one: the mean of both would be neither", w.Times(), words.MM(upMM(s.ApartMM)), 100*s.OtherShare)
	case s.TooMany:
		j.tell(ruleOutliers, diag.Error, log, "occupy the mark again, under open sky and with the antenna still", numbers,
			"%s of %s, %s, are more than %s from the middle of the others, up to %s: too many to be left out", share(int64(s.Outliers), int64(w.Seen)), words.Count(w.Seen, "fix", "fixes"), w.Times(), words.MM(upMM(s.LimitMM)), words.MM(upMM(s.OutlierMM)))
	case s.Outliers > 0:
		j.tell(ruleOutliers, diag.Note, log, "", numbers,
			"%s of %s, %s, are more than %s from the middle of the others, up to %s, and left out", share(int64(s.Outliers), int64(w.Seen)), words.Count(w.Seen, "fix", "fixes"), w.Times(), words.MM(upMM(s.LimitMM)), words.MM(upMM(s.OutlierMM)))
	}
}

// doubts judges the mean of a window, and how the receiver received.
func (j *judgement) doubts(w *Window) {
	log, e, r := w.log.Name, w.Estimate, w.Reception
	if r.Repeated > longestRepeated {
		j.tell(ruleRepeated, diag.Warning, log, "look whether the receiver holds its position still, or writes too few digits", []diag.Number{seconds("repeated", r.Repeated)},
			"one and the same fix is given for %s: it scatters less than it measures", minutes(r.Repeated.Seconds()))
	}
	if e.Floor != "" {
		remedy := "occupy the mark for longer, or again at another hour"
		if j.visits > 1 {
			remedy = "occupy the mark for longer, if it is to be known better"
		}
		if r.Qualities[nmea.Fixed] < w.Seen {
			remedy = "occupy the mark with a fixed solution"
		}
		j.tell(ruleShort, diag.Note, log, remedy, []diag.Number{{Name: "independent", Value: e.Independent, Unit: "1"}, {Name: "window", Value: w.DurationS(), Unit: "s"}},
			"%s: the uncertainty is set by %s", e.Floor, e.By)
	}
	if e.Drift.PValue < driftLevel {
		drift := elementary.Hypot(e.Drift.Slope[0], e.Drift.Slope[1]) * w.DurationS()
		j.tell(ruleDrift, diag.Warning, log, "look whether the antenna sank or turned, or the base moved, and occupy the mark again", []diag.Number{metres("drift", drift), {Name: "probability", Value: e.Drift.PValue, Unit: "1"}},
			"the fixes drift by %s over %s, more than their errors make by chance (probability %.2g)", words.MM(upMM(drift)), minutes(w.DurationS()), e.Drift.PValue)
	}
	var bad []string
	var numbers []diag.Number
	if r.OldestCorrection > oldest {
		bad = append(bad, "corrections up to "+minutes(r.OldestCorrection.Seconds())+" old")
		numbers = append(numbers, seconds("correction age", r.OldestCorrection))
	}
	if r.FewestSatellites >= 0 && r.FewestSatellites < fewestSatellites {
		bad = append(bad, "as few as "+words.Plural(r.FewestSatellites, "satellite"))
		numbers = append(numbers, count("satellites", int64(r.FewestSatellites)))
	}
	if r.LargestHDOP > largestHDOP {
		bad = append(bad, "an HDOP of up to "+words.Decimal(words.Round(r.LargestHDOP, 1), 1))
		numbers = append(numbers, diag.Number{Name: "HDOP", Value: r.LargestHDOP, Unit: "1"})
	}
	if len(bad) > 0 {
		j.tell(ruleReception, diag.Warning, log, "occupy the mark again, at an hour with more satellites, and look how the corrections come in", numbers,
			"the receiver had %s, %s", words.And(bad), w.Times())
	}
}

// occupations judges the windows together.
func (j *judgement) occupations(windows []Window, d Difference) {
	if len(windows) == 1 {
		if j.options.Today {
			return
		}
		j.tell(ruleOnce, diag.Note, windows[0].log.Name, "occupy it again 45 minutes later or more, after setting up anew, and give both logs", nil,
			"%s was occupied once: what a wrong fix, a reflection, the base or the pole did to all of it is in no figure here", j.mark())
		return
	}
	a, b := windows[d.First], windows[d.Second]
	distance := elementary.Hypot(d.EastMM, d.NorthMM)
	if d.Rejected() {
		remedy := "occupy the mark a third time: one of the two was a wrong fix, another mark, or a pole out of plumb"
		switch {
		case a.log == b.log: // of which setting up counts once, and not between its parts
			remedy = "cut the log in two where it pauses, if the antenna was set up anew there, so that setting up counts for each; or " + remedy
		case j.options.PlumbRad == 0:
			remedy = "say how upright the pole stood (--pole, --plumb), which is in no figure yet; or " + remedy
		}
		j.tell(ruleDisagree, diag.Error, b.log.Name, remedy,
			[]diag.Number{metres("difference", distance), {Name: "statistic", Value: d.Statistic, Unit: "1"}, {Name: "critical", Value: d.Critical, Unit: "1"}},
			"the occupations %s and %s are %s apart, more than their uncertainties let expect: %.2f, and %.2f is allowed", a.Times(), b.Times(), words.MM(upMM(distance)), d.Statistic, d.Critical)
	}
	last := windows[len(windows)-1]
	longest := max(last.From.Sub(windows[0].Until), 0)
	if longest < secondAfter && !j.options.Today {
		j.tell(ruleOnce, diag.Note, last.log.Name, "occupy it once more, 45 minutes later or more", []diag.Number{seconds("between", longest)},
			"the occupations of %s are at most %s apart: the satellites stand much as they stood, and reflections are as they were", j.mark(), minutes(longest.Seconds()))
	}
}

// height judges the height of the mark.
func (j *judgement) height(r Result) {
	log := r.Windows[0].log.Name
	switch h := r.Place.HeightM; {
	case j.options.Today: // nothing is made of heights
	case !r.HasHeight:
		j.tell(ruleHeight, diag.Warning, log, "have the receiver write altitude and geoid separation in GGA; without a height the mark has that of the origin", nil,
			"the fixes have no ellipsoidal height, which is altitude and geoid separation together")
	case h < geodesy.MinHeightM || h > geodesy.MaxHeightM:
		j.tell(ruleHeight, diag.Error, log, "look at altitude and separation in GGA, and at --pole", []diag.Number{metres("height", h*1000)},
			"a height of %.0f m is none on the Earth's land", h)
	}
}
