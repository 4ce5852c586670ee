// Rule plausible.figure: figures are such as rovers have.
//
// The limits are common practice, no source, but the one that is an error: without
// brakes no wheel decelerates by more than about 1 g, since friction with the ground
// does not exceed the weight by much (mechanics; standard gravity 9.80665 m/s², ISO
// 80000-3, from memory). Each limit is on the side on which a slip flatters: a coast
// too short, a body too narrow, an uncertainty too small, a delay that is driven on.
// The language already refuses what cannot be at all.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/motion"
	"merestone/internal/words"
)

const (
	roughDecelerationMMPerS2 = 5_000
	gravityMMPerS2           = 9_807
	narrowMM                 = 50
	fineFixMM                = 3.0
	slowDebounceMS           = 100
	slowFilterMS             = 50
	slowOffMS                = 200
	slowStaleMS              = 5_000
	lowConfidence            = 0.90
	fineAverageMM            = 100.0
	longAverageS             = 24 * 3600
)

func figureRule() Rule {
	return newRule("plausible.figure", diag.Warning, "figures are such as rovers have", func(v *view, report func(diag.Finding)) {
		tell := func(source diag.Source, key, remedy, format string, args ...any) *diag.Finding {
			about := diag.The(diag.Key, key)
			f := at(source, "%s"+format, append([]any{about}, args...)...)
			f.Remedy = remedy
			return &f
		}
		usual := func(of diag.Kind, figure string, unit words.Unit, has, needs float64) bool {
			return v.keeps(limit{diag.Warning, "usual " + figure, unit}, diag.The(of, ""), has, needs)
		}
		millimetre := words.Unit{Name: "mm", Scale: 1, Decimals: 1}
		rover, receiver := v.Machine.Rover, v.Machine.Receiver

		// v²/2d: the strongest of the runs. What gravity adds on a slope is far below either
		// limit.
		strongest, most := motion.Run{}, 0.0
		for _, run := range rover.Coast {
			if a := float64(run.FromMMPerS*run.FromMMPerS) / float64(2*max(run.DistanceMM, 1)); a > most {
				strongest, most = run, a
			}
		}
		braking, coast := words.Unit{Name: "m/s²", Scale: 1e-3, Decimals: 1}, diag.The(diag.Key, "rover.coast")
		d := strongest.DistanceMM
		possible := d <= 0 || v.keeps(limit{diag.Error, "roll-out below 1 g", braking}, coast, gravityMMPerS2, most)
		if d > 0 && !v.keeps(limit{diag.Warning, "roll-out deceleration", braking}, coast, roughDecelerationMMPerS2, most) {
			f := tell(rover.Source, "rover.coast", "tape the roll-out again, with the drive cut and no brake; check the units of both",
				": %v from %v is a deceleration of %.1f m/s², more than the %.1f m/s² that a roll-out without brakes is taken for", words.MM(d), words.MMPerS(strongest.FromMMPerS), most/1000, roughDecelerationMMPerS2/1000.0)
			if !possible {
				f.Severity = diag.Error
				f.Add("; it is more than 1 g, which no wheel can do")
			}
			f.Numbers = []diag.Number{{Name: "deceleration", Value: most / 1000, Unit: "m/s2"}}
			report(*f)
		}
		if rover.WidthMM > 0 && !usual(diag.Rover, "width", words.Millimetre, float64(rover.WidthMM), narrowMM) {
			report(*tell(rover.Source, "rover.width", "check the unit; the width counts with all that sticks out", " of %v is less than %v", words.MM(rover.WidthMM), words.MM(narrowMM)))
		}
		if receiver.FixedStdMM > 0 && !usual(diag.Receiver, "fixed uncertainty", millimetre, receiver.FixedStdMM, fineFixMM) {
			report(*tell(receiver.Source, "receiver.uncertainty.fixed", "write the standard deviation per axis that fixes of the moving rover have; data sheets promise what an antenna on a pillar reaches",
				" of %.1f mm is better than %.0f mm", receiver.FixedStdMM, fineFixMM))
		}
		if receiver.FloatStdMM > 0 && !usual(diag.Receiver, "float uncertainty", millimetre, receiver.FloatStdMM, receiver.FixedStdMM) {
			report(*tell(receiver.Source, "receiver.uncertainty.float", "look whether the two were exchanged; a float solution is some decimetres off",
				" of %.1f mm is better than that of a fixed solution, %.1f mm", receiver.FloatStdMM, receiver.FixedStdMM))
		}
		if !usual(diag.Receiver, "stale_after", words.Milli, slowStaleMS, float64(receiver.StaleAfterMS)) {
			report(*tell(receiver.Source, "receiver.stale_after", "write the age at which a fix is too old to drive by; the rover drives on blind until then",
				" is %d ms, more than %d ms", receiver.StaleAfterMS, slowStaleMS))
		}
		var slow, filtered alike
		for i, h := range v.Holds.List {
			if !usual(diag.Holds, "debounce", words.Milli, slowDebounceMS, float64(h.DebounceMS)) && !slow.told(h.DebounceMS, v.Subject(diag.Hold, i)) {
				f := tell(h.Source, fmt.Sprintf("holds[%d].debounce", i), "contacts come to rest within some 20 ms; the rover is taken to drive on meanwhile",
					" of %s is %d ms, more than %d ms", v.Subject(diag.Hold, i), h.DebounceMS, slowDebounceMS)
				slow.add(*f, float64(h.DebounceMS))
			}
		}
		slow.report(report, "; so is that of %s", "; too long are also %s")
		for i, h := range v.Holds.List {
			if !usual(diag.Holds, "stop_filter", words.Milli, slowFilterMS, float64(h.FilterMS)) && !filtered.told(h.FilterMS, v.Subject(diag.Hold, i)) {
				f := tell(h.Source, fmt.Sprintf("holds[%d].stop_filter", i), "find what disturbs the wire: a shield, a filter of resistor and capacitor at the pin, or a way apart from the motors' leads; every stop waits for this filter",
					" of %s is %d ms, more than %d ms", v.Subject(diag.Hold, i), h.FilterMS, slowFilterMS)
				filtered.add(*f, float64(h.FilterMS))
			}
		}
		filtered.report(report, "; so is that of %s", "; too long are also %s")
		for i, part := range v.Holds.Path.Parts {
			if !usual(diag.Holds, "off_delay", words.Milli, slowOffMS, float64(part.OffMS)) {
				report(*tell(v.Holds.Parts[i], fmt.Sprintf("drive_path[%d].off_delay", i), "measure it: relays and contactors drop out in 10 to 100 ms", " of %d ms is more than %d ms", part.OffMS, slowOffMS))
			}
		}
		if v.Confidence > 0 && !usual(diag.Site, "confidence", words.Percentage, v.Confidence, lowConfidence) {
			report(*tell(v.ConfidenceSource, "confidence", "write 95 % or more: every bound on a position is exceeded as often as it leaves open",
				" of %s is less than %s", words.Percent(v.Confidence), words.Percent(lowConfidence)))
		}
		if b := v.Survey.Base; b.Averaged() && b.AveragedForS < longAverageS && !usual(diag.Base, "uncertainty", millimetre, b.StdMM, fineAverageMM) {
			report(*tell(b.Source, "base.uncertainty", "write what one average differs from the next day's by, or enter the base's position",
				" of %.0f mm is less than %.0f mm, and the base averages its position for less than a day: such averages are off by some decimetres to metres from one day to the next", b.StdMM, fineAverageMM))
		}
	})
}
