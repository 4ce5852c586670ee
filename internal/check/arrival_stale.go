// Rule arrival.stale: the watchdog on fixes neither trips by itself nor too late.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/motion"
	"merestone/internal/words"
)

// staleRule: the watchdog must outlast the ordinary gap between fixes. Until it
// acts the rover drives blind, by its last steering command, for
//
//	speed·(stale_after + loop + 2 ms + output delay),
//
// the clock's millisecond and the step's in it (motion.ClockMS, motion.StepMS),
// of which the standoff holds speed·reaction. The rest must be to spare.
func staleRule() Rule {
	return newRule("arrival.stale", diag.Error, "the watchdog on fixes neither trips by itself nor too late", func(v *view, report func(diag.Finding)) {
		r := v.Machine.Receiver
		least := r.FixIntervalMS + r.LatencyMS + v.Board.Timing.LoopMS
		if !v.keeps(limit{diag.Error, "stale_after", words.Milli}, diag.The(diag.Receiver, ""), float64(r.StaleAfterMS), float64(least)) {
			f := at(v.Machine.Receiver.Source, "receiver.stale_after of %d ms is shorter than one fix interval, the latency and one loop together, %d ms: the drive would stop all the time", r.StaleAfterMS, least)
			f.About = []diag.Subject{diag.The(diag.Receiver, "")}
			f.Remedy = fmt.Sprintf("write %d ms or more", least)
			f.Want(fmt.Sprintf("%d ms", least), "receiver.stale_after")
			f.Numbers = []diag.Number{{Name: "stale after", Value: float64(r.StaleAfterMS) / 1000, Unit: "s"}, {Name: "least", Value: float64(least) / 1000, Unit: "s"}}
			report(f)
			return
		}
		blindMS := r.StaleAfterMS + v.Board.Timing.LoopMS + motion.ClockMS + motion.StepMS + v.Board.Timing.OutputDelayMS
		blind := func(speedMMPerS int64) int64 { return (speedMMPerS*blindMS + 999) / 1000 }
		more := func(speedMMPerS int64) int64 {
			return blind(speedMMPerS) - (speedMMPerS*max(v.Board.Timing.HoldMS, v.Board.Timing.FixMS)+999)/1000
		}
		missing := v.lacking(limit{diag.Warning, "clearance, driven blind", words.Millimetre}, false, more)
		if missing.mm == 0 {
			return
		}
		fastest := int64(0)
		for _, l := range v.Route.Legs {
			fastest = max(fastest, l.SpeedMMPerS)
		}
		f := at(v.Machine.Receiver.Source, "when fixes stop coming the rover drives on for up to %s before the watchdog cuts the drive, and then coasts; the clearance between %s is %s too small for that",
			words.MM(blind(fastest)), missing.between, words.MM(missing.mm))
		f.About = append([]diag.Subject{diag.The(diag.Receiver, "")}, f.About...)
		f.Severity = diag.Warning
		f.Remedy = "write a shorter receiver.stale_after, drive slower, or move the leg away"
		f.Numbers = []diag.Number{metre("driven blind", float64(blind(fastest))), metre("lacking", float64(missing.mm))}
		report(f)
	})
}
