// Rules: waypoints can be reached within their tolerance, turns can be driven,
// speeds are the rover's, and stale fixes are noticed in time.
package check

import (
	"fmt"
	"math"

	"merestone/internal/diag"
	"merestone/internal/plan"
)

func toleranceRule() Rule {
	return newRule("arrival.tolerance", diag.Error, "every waypoint can be reached within its tolerance", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for i, w := range v.Waypoints {
			in := v.Arriving(i)
			if in == nil || w.Arrival.ClosestMM <= w.ToleranceMM {
				continue
			}
			a := w.Arrival
			f := at(w.Source, "waypoint %s: an arrival tolerance of %s cannot be met at %.2f m/s; the closest is %s (position %.3f + timing %.3f + coast %.3f, at %g %%)",
				v.Marks[w.Mark].Name, metres(w.ToleranceMM), plan.Metres(in.SpeedMMPerS), metresUp(a.ClosestMM),
				plan.Metres(a.PositionMM), plan.Metres(a.TimingMM), plan.Metres(a.CoastMM), v.Confidence*100)
			f.Numbers = []diag.Number{metre("tolerance", float64(w.ToleranceMM)), metre("closest", float64(a.ClosestMM)), {Name: "highest speed", Value: plan.Metres(a.HighestMMPerS), Unit: "m/s"}}
			switch {
			case a.HighestMMPerS == 0:
				f.Remedy = fmt.Sprintf("widen the tolerance to at least %s, or survey the mark better: no speed meets it", metresUp(a.ClosestMM))
			case a.HighestMMPerS < v.Rover.MinimumMMPerS:
				f.Remedy = fmt.Sprintf("widen the tolerance to at least %s: it would take %.2f m/s, below the rover's minimum of %.2f m/s", metresUp(a.ClosestMM), plan.Metres(a.HighestMMPerS), plan.Metres(v.Rover.MinimumMMPerS))
			default:
				f.Remedy = fmt.Sprintf("drive this leg at %.2f m/s or less, or widen the tolerance to at least %s", plan.Metres(a.HighestMMPerS), metresUp(a.ClosestMM))
			}
			findings = append(findings, f)
		}
		return findings
	})
}

// turnRule: a rover that cannot turn on the spot cuts a corner of θ by
// R·(1/cos(θ/2) - 1), the external distance of a circular curve (road and rail
// surveying). The waypoint counts as reached only within its tolerance.
func turnRule() Rule {
	return newRule("arrival.turn", diag.Error, "turns pass within the arrival tolerance", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for _, w := range v.Waypoints {
			if w.Stops && v.Rover.TurnRadiusMM == 0 || w.TurnDeg == 0 || v.Rover.TurnRadiusMM == 0 {
				continue
			}
			half := math.Abs(w.TurnDeg) / 2 * math.Pi / 180
			cut := math.Inf(1)
			if half < math.Pi/2-1e-9 {
				cut = float64(v.Rover.TurnRadiusMM) * (1/math.Cos(half) - 1)
			}
			if cut <= float64(w.ToleranceMM) {
				continue
			}
			f := at(w.Source, "waypoint %s: a turn of %.0f deg with a radius of %s passes %.2f m from the mark, beyond the tolerance of %s",
				v.Marks[w.Mark].Name, math.Abs(w.TurnDeg), metres(v.Rover.TurnRadiusMM), min(cut, 1e9)/1000, metres(w.ToleranceMM))
			f.Remedy = "split the turn over several waypoints, or widen the tolerance"
			f.Numbers = []diag.Number{metre("passes at", min(cut, 1e9)), metre("tolerance", float64(w.ToleranceMM)), {Name: "turn", Value: w.TurnDeg, Unit: "deg"}}
			findings = append(findings, f)
		}
		return findings
	})
}

func speedRule() Rule {
	return newRule("arrival.speed", diag.Error, "leg speeds are speeds the rover can hold", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for _, l := range v.Legs {
			switch {
			case l.SpeedMMPerS < v.Rover.MinimumMMPerS:
				f := at(l.Source, "leg %s is to be driven at %.2f m/s, below the rover's minimum of %.2f m/s", l.Name, plan.Metres(l.SpeedMMPerS), plan.Metres(v.Rover.MinimumMMPerS))
				f.Remedy = fmt.Sprintf("drive it at %.2f m/s or more", plan.Metres(v.Rover.MinimumMMPerS))
				findings = append(findings, f)
			case l.SpeedMMPerS > v.Rover.CruiseMMPerS:
				f := at(l.Source, "leg %s is to be driven at %.2f m/s, above the rover's cruise of %.2f m/s", l.Name, plan.Metres(l.SpeedMMPerS), plan.Metres(v.Rover.CruiseMMPerS))
				f.Remedy = "raise rover.speed.cruise only after measuring the coast from that speed"
				findings = append(findings, f)
			case l.SpeedMMPerS > v.Rover.CoastFromMMPerS:
				f := at(l.Source, "leg %s is driven at %.2f m/s, faster than the %.2f m/s from which the coast was measured", l.Name, plan.Metres(l.SpeedMMPerS), plan.Metres(v.Rover.CoastFromMMPerS))
				f.Severity = diag.Warning
				f.Remedy = "measure the coast from the highest speed; it grows with the square of the speed"
				findings = append(findings, f)
			}
		}
		return findings
	})
}

// staleRule: the watchdog must outlast the ordinary gap between fixes, and the
// rover drives blind until it acts.
func staleRule() Rule {
	return newRule("arrival.stale", diag.Error, "the watchdog on fixes neither trips by itself nor too late", func(v *view) []diag.Finding {
		r := v.Receiver
		if least := r.FixIntervalMS + r.LatencyMS + v.Timing.LoopMS; r.StaleAfterMS < least {
			f := diag.Finding{At: v.ReceiverSource.At, Message: fmt.Sprintf("receiver.stale_after of %d ms is shorter than one fix interval, the latency and one loop together, %d ms: the drive would stop all the time", r.StaleAfterMS, least)}
			f.Remedy = fmt.Sprintf("write %d ms or more", least)
			return []diag.Finding{f}
		}
		blind := int64(0)
		for _, l := range v.Legs {
			blind = max(blind, (l.SpeedMMPerS*r.StaleAfterMS+999)/1000)
		}
		const tooFarMM = 1000 // common practice, no source
		if blind <= tooFarMM {
			return nil
		}
		f := diag.Finding{At: v.ReceiverSource.At, Severity: diag.Warning, Message: fmt.Sprintf("when fixes stop coming the rover drives on for %s before the watchdog cuts the drive", metresUp(blind))}
		f.Remedy = "shorten receiver.stale_after or drive slower"
		f.Numbers = []diag.Number{metre("driven blind", float64(blind))}
		return []diag.Finding{f}
	})
}
