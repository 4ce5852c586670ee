// Rule line.cross-track: the cross-track allowance holds what the line needs.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/words"
)

// crossTrackRule refuses an allowance on which the board stops a rover that drives as it
// should. What the line needs is plan.Line; the simulated drives of internal/drivetest
// try it from both sides.
func crossTrackRule() Rule {
	return newRule("line.cross-track", diag.Error, "the cross-track allowance holds what receiver, heading and steering need", func(v *view, report func(diag.Finding)) {
		line, allowed := v.Route.Line, v.Machine.Rover.CrossTrackMM
		if len(v.Route.Legs) == 0 {
			return
		}
		leg := v.Subject(diag.Leg, line.Leg)
		if !line.Unsteady && v.keeps(limit{diag.Error, "cross_track", words.Millimetre}, leg, float64(allowed), float64(line.LeastMM)) {
			return
		}
		if line.Unsteady {
			f := at(line.Source, "no cross_track holds the rover at %s: it is turned against an error %d ms after it, by a heading of which one standard deviation is %.4g deg, and swings about its line",
				words.MMPerS(v.TopSpeedMMPerS()), line.LateMS, v.Machine.Rover.HeadingStdDeg)
			f.About = append([]diag.Subject{diag.The(diag.Rover, "")}, f.About...)
			f.Numbers = []diag.Number{{Name: "late", Value: float64(line.LateMS) / 1000, Unit: "s"}, {Name: "heading", Value: v.Machine.Rover.HeadingStdDeg, Unit: "deg"}}
			f.Remedy = "lessen the largest of receiver.latency, the fix interval, rover.motor_lag and rover.heading_uncertainty, or drive slower than 0.3 m/s"
			report(f)
			return
		}
		f := at(line.Source, "a cross_track of %s does not hold the %s that the line needs: the board would stop the rover as too far from it (receiver %s over %d fixes + heading %s + tilt %s + rest of the start of %s %s + rounding %s; at %s)",
			words.MM(allowed), words.MM(line.LeastMM),
			words.BareMM(line.NoiseMM), line.Readings, words.BareMM(line.HeadingMM), words.BareMM(line.TiltMM), leg, words.BareMM(line.StartMM), words.BareMM(line.RoundingMM), words.Percent(v.Confidence))
		f.About = append([]diag.Subject{diag.The(diag.Rover, "")}, f.About...)
		f.Numbers = []diag.Number{
			metre("cross-track", float64(allowed)), metre("least", float64(line.LeastMM)),
			metre("receiver", float64(line.NoiseMM)), metre("heading", float64(line.HeadingMM)),
			metre("tilt", float64(line.TiltMM)), metre("start", float64(line.StartMM)),
		}
		largest, how := int64(0), ""
		for _, part := range []struct {
			mm  int64
			how string
		}{
			{line.NoiseMM, "use a better receiver"},
			{line.HeadingMM, "measure the heading better, or drive slower: the board steers a second ahead"},
			{line.TiltMM, "lower the antenna"},
			{line.StartMM, "ask for a closer arrival at the leg's start, or make receiver and motors less late"},
		} {
			if part.mm > largest {
				largest, how = part.mm, part.how
			}
		}
		f.Remedy = "allow at least " + words.MM(line.LeastMM).String() + ", or " + how + ": that part is " + words.MM(largest).String()
		f.Want(words.MM(line.LeastMM).String(), "rover.cross_track")
		report(f)
	})
}
