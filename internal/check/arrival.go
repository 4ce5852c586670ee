// Rules: waypoints can be reached within their tolerance, turns can be driven,
// speeds are the rover's, and stale fixes are noticed in time.
package check

import (
	"fmt"
	"math"

	"merestone/internal/circuit"
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
			if v.halfDigitMM(v.Marks[w.Mark]) > float64(w.ToleranceMM) {
				continue // precision.decimals has said why
			}
			a := w.Arrival
			f := at(w.Source, "waypoint %s: an arrival tolerance of %s cannot be met at %s; the closest is %s (position %s; along the line timing %s and coast %s, across it steering %s; at %s)",
				v.Marks[w.Mark].Name, metres(w.ToleranceMM), speed(in.SpeedMMPerS), metres(a.ClosestMM),
				thousandths(a.PositionMM), thousandths(a.TimingMM), thousandths(a.CoastMM), thousandths(a.SteeringMM), percent(v.Confidence))
			f.Numbers = []diag.Number{metre("tolerance", float64(w.ToleranceMM)), metre("closest", float64(a.ClosestMM)), {Name: "highest speed", Value: plan.Metres(a.HighestMMPerS), Unit: "m/s"}}
			widen := "widen the tolerance to at least " + metres(a.ClosestMM)
			switch {
			case a.HighestMMPerS <= 0:
				f.Remedy = widen + ", or survey the mark better: no speed meets it"
			case a.HighestMMPerS < v.Rover.MinimumMMPerS:
				f.Remedy = fmt.Sprintf("%s: it would take %s, below the rover's minimum of %s", widen, speed(a.HighestMMPerS), speed(v.Rover.MinimumMMPerS))
			default:
				f.Remedy = fmt.Sprintf("drive this leg at %s or less, or %s", speed(a.HighestMMPerS), widen)
			}
			findings = append(findings, f)
		}
		return findings
	})
}

// turnRule is for rovers that cannot turn on the spot.
//
// An arc of radius R that begins on the arriving leg, a before the mark, is, after
// turning by α of the whole turn θ,
//
//	R·(cos(θ-α) - cos θ) - a·sin θ
//
// wide of the next leg's line (plane geometry), most at its end, α = θ. The next
// leg's standoff holds the larger of cross-track allowance and tolerance.
//
// Stopped at, the arc begins on the mark: a = 0. Driven through, the board turns
// to the next leg when a fix lies within the tolerance, and the rover has then
// gone on for as long as a fix takes to act: a = tolerance - v·t at the latest.
// Turning as early as the tolerance lets cuts the corner by no more than that.
func turnRule() Rule {
	return newRule("arrival.turn", diag.Error, "turns keep within the next leg's standoff", func(v *view) []diag.Finding {
		if v.Rover.TurnRadiusMM == 0 {
			return nil
		}
		var findings []diag.Finding
		radius := float64(v.Rover.TurnRadiusMM)
		for i, w := range v.Waypoints {
			in, out := v.Arriving(i), v.Leaving(i)
			if i == 0 || in == nil || out == nil || in.LengthMM == 0 || out.LengthMM == 0 {
				continue // the rover is placed at the start; geometry.zero-leg has the rest
			}
			turn := math.Abs(w.TurnDeg)
			f := at(w.Source, "waypoint %s: ", v.Marks[w.Mark].Name)
			f.Numbers = []diag.Number{metre("tolerance", float64(w.ToleranceMM)), {Name: "turn", Value: w.TurnDeg, Unit: "deg"}}
			if !w.Stops && turn > turnedBackDeg {
				f.Message += fmt.Sprintf("a turn of %.0f deg with a radius of %s cannot be driven through", turn, metres(v.Rover.TurnRadiusMM))
				f.Remedy = "lead the route around in a loop of several waypoints"
				findings = append(findings, f)
				continue
			}
			early, how, slower := 0.0, "setting off from rest", ""
			if !w.Stops {
				early = float64(w.ToleranceMM) - float64(in.SpeedMMPerS*v.Timing.FixMS)/1000
				how, slower = "driven through at "+speed(in.SpeedMMPerS), "drive the arriving leg slower, "
			}
			sin, cos := math.Sincos(turn * math.Pi / 180)
			swing, room := radius*(1-cos)-early*sin, max(v.Rover.CrossTrackMM, w.ToleranceMM)
			if swing <= float64(room)+hairMM {
				continue
			}
			f.Message += fmt.Sprintf("%s, a turn of %.0f deg with a radius of %s swings %s wide of leg %s, beyond the %s that its standoff holds",
				how, turn, metres(v.Rover.TurnRadiusMM), metres(ceilMM(swing-hairMM)), out.Name, metres(room))
			f.Remedy = slower + "split the turn over several waypoints, or widen the tolerance"
			f.Numbers = append(f.Numbers, metre("swings", swing))
			findings = append(findings, f)
		}
		return findings
	})
}

// hairMM is taken off computed lengths before they are compared or rounded up,
// so that an exact 1000 mm that the floats make 1000.0000000001 stays one.
const hairMM = 1e-6

// turnedBackDeg is the turn beyond which the tangent of half of it means nothing:
// at 175 degrees a curve already takes 23 times its radius of each leg.
const turnedBackDeg = 175

// speedRule makes one finding of all legs with the same fault and speed: most
// often they have it from one key of the mission.
func speedRule() Rule {
	return newRule("arrival.speed", diag.Error, "leg speeds are speeds the rover can hold", func(v *view) []diag.Finding {
		type group struct {
			fault       int
			speedMMPerS int64
		}
		const tooSlow, tooFast, notMeasured = 1, 2, 3
		var order []group
		legs := map[group][]string{}
		first := map[group]plan.Source{}
		for _, l := range v.Legs {
			fault := 0
			switch {
			case l.SpeedMMPerS < v.Rover.MinimumMMPerS:
				fault = tooSlow
			case l.SpeedMMPerS > v.Rover.CruiseMMPerS:
				fault = tooFast
			case l.SpeedMMPerS > v.Rover.CoastFromMMPerS:
				fault = notMeasured
			default:
				continue
			}
			g := group{fault, l.SpeedMMPerS}
			if len(legs[g]) == 0 {
				order = append(order, g)
				first[g] = l.Source
			}
			legs[g] = append(legs[g], l.Name)
		}
		var findings []diag.Finding
		for _, g := range order {
			what := "leg " + legs[g][0] + " is to be driven at "
			if len(legs[g]) > 1 {
				what = "legs " + some(legs[g]) + " are to be driven at "
			}
			f := at(first[g], "%s%s, ", what, speed(g.speedMMPerS))
			f.Numbers = []diag.Number{{Name: "speed", Value: plan.Metres(g.speedMMPerS), Unit: "m/s"}}
			limit := int64(0)
			switch g.fault {
			case tooSlow:
				limit = v.Rover.MinimumMMPerS
				f.Message += "below the rover's minimum of " + speed(limit)
				f.Remedy = "drive at " + speed(limit) + " or more"
			case tooFast:
				limit = v.Rover.CruiseMMPerS
				f.Message += "above the rover's cruise of " + speed(limit)
				f.Remedy = "drive at " + speed(limit) + " or less, or raise rover.speed.cruise and measure the coast from there"
			case notMeasured:
				limit = v.Rover.CoastFromMMPerS
				f.Severity = diag.Warning
				f.Message += "faster than the " + speed(limit) + " from which the coast was measured"
				f.Remedy = "measure the coast from the highest speed; until then it is reckoned to grow with the square of the speed"
			}
			f.Numbers = append(f.Numbers, diag.Number{Name: "limit", Value: plan.Metres(limit), Unit: "m/s"})
			findings = append(findings, f)
		}
		return findings
	})
}

// staleRule: the watchdog must outlast the ordinary gap between fixes. Until it
// acts the rover drives blind, by its last steering command, for
//
//	speed·(stale_after + loop + output delay),
//
// of which the standoff holds speed·reaction. The rest must be to spare.
func staleRule() Rule {
	return newRule("arrival.stale", diag.Error, "the watchdog on fixes neither trips by itself nor too late", func(v *view) []diag.Finding {
		r := v.Receiver
		if least := r.FixIntervalMS + r.LatencyMS + v.Timing.LoopMS; r.StaleAfterMS < least {
			f := at(v.ReceiverSource, "receiver.stale_after of %d ms is shorter than one fix interval, the latency and one loop together, %d ms: the drive would stop all the time", r.StaleAfterMS, least)
			f.Remedy = fmt.Sprintf("write %d ms or more", least)
			f.Numbers = []diag.Number{{Name: "stale after", Value: float64(r.StaleAfterMS) / 1000, Unit: "s"}, {Name: "least", Value: float64(least) / 1000, Unit: "s"}}
			return []diag.Finding{f}
		}
		blindMS := r.StaleAfterMS + v.Timing.LoopMS + v.Timing.OutputDelayMS
		blind := func(speedMMPerS int64) int64 { return (speedMMPerS*blindMS + 999) / 1000 }
		more := func(speedMMPerS int64) int64 {
			return blind(speedMMPerS) - (speedMMPerS*max(v.Timing.HoldMS, v.Timing.FixMS)+999)/1000
		}
		missing := v.lacking(false, more)
		if missing.mm == 0 {
			return nil
		}
		fastest := int64(0)
		for _, l := range v.Legs {
			fastest = max(fastest, l.SpeedMMPerS)
		}
		f := at(v.ReceiverSource, "when fixes stop coming the rover drives on for up to %s before the watchdog cuts the drive, and then coasts; the clearance between %s is %s too small for that",
			metres(blind(fastest)), missing.between, metres(missing.mm))
		f.Severity = diag.Warning
		f.Remedy = "write a shorter receiver.stale_after, drive slower, or move the leg away"
		f.Numbers = []diag.Number{metre("driven blind", float64(blind(fastest))), metre("lacking", float64(missing.mm))}
		return []diag.Finding{f}
	})
}

// coastRule reminds that the cut reckons with a roll-out of d·v²/v0². Drag that
// grows with speed (a motor that is dragged along, grease) makes the coast from a
// lower speed longer than that, at most d·v/v0: see circuit.Coast.BoundMM. The
// standoffs hold that; an arrival tolerance may not.
func coastRule() Rule {
	return newRule("arrival.coast", diag.Note, "the coast was measured at the speeds of the legs", func(v *view) []diag.Finding {
		coast := circuit.Coast{FromMMPerS: v.Rover.CoastFromMMPerS, DistanceMM: v.Rover.CoastMM}
		var worst diag.Finding
		most, legs := int64(0), 0
		for i, w := range v.Waypoints {
			in := v.Arriving(i)
			if in == nil || !w.Stops {
				continue
			}
			bound, err1 := coast.BoundMM(in.SpeedMMPerS)
			likely, err2 := coast.AtMM(in.SpeedMMPerS)
			if err1 != nil || err2 != nil {
				continue
			}
			// What the tolerance has left along the line, beyond the budget.
			further := bound - likely
			if further == 0 || w.Arrival.ClosestMM+further <= w.ToleranceMM {
				continue
			}
			legs++
			if further > most {
				most = further
				worst = at(w.Source, "the coast was measured from %s, and leg %s stops from %s: with drag that grows with speed the rover rolls up to %s further than v² says, past what the arrival tolerance of %s leaves",
					speed(v.Rover.CoastFromMMPerS), in.Name, speed(in.SpeedMMPerS), metres(further), metres(w.ToleranceMM))
				worst.Numbers = []diag.Number{metre("further", float64(further)), metre("closest", float64(w.Arrival.ClosestMM)), metre("tolerance", float64(w.ToleranceMM))}
			}
		}
		if legs == 0 {
			return nil
		}
		if legs > 1 {
			worst.Message += fmt.Sprintf("; and so at %d more waypoints", legs-1)
		}
		worst.Remedy = "measure the coast from the slower speed as well, and write the pair that rolls furthest for its speed"
		return []diag.Finding{worst}
	})
}
