// How long the drive takes where nothing comes between.
//
// The board drives a leg of length L at its speed v, and the motors follow with a lag τ:
// from the speed u with which the rover comes onto the leg, the speed nears v as exp(−t/τ),
// and it is behind by τ·(v − u) in all. Where the rover stops, the drive is cut so that the
// coast d to expect ends on the mark; half a loop and the output's delay before its power
// is gone, when the rover still drives:
//
//	travel = L/v + τ·(1 − u/v)                        where it drives through
//	travel = (L − d)/v + τ·(1 − u/v) − loop/2 − delay    where it stops
//
// The lag after the cut is in the coast. Then the board waits for settle_ms, and for two
// fixes in a row that hold for instants after that (templates/merestone_guidance.h,
// "Arriving"). The first is half a fix interval off, on the average, both come with the
// latency, and half a loop goes by until a step takes them:
//
//	stop = settle_ms + latency + 3/2·interval + loop/2
//
// Left out is what a mission does not say: how fast the rover turns on the spot, or goes
// slower in a turn; arcs that cut a corner or swing wide of it; roll-outs that end short of
// the tolerance; stops by a hold, a fence or fixes that do not come.
package plan

import "math"

// LegTime is how long one leg takes, in milliseconds.
type LegTime struct {
	TravelMS int64 // from setting off, or from coming onto it, to the cut or to the next leg
	StopMS   int64 // from the cut until it is seen where the rover rests; 0 where it drives through
	DwellMS  int64 // at the waypoint in which it ends
	UntilMS  int64 // since the start, with all before
}

// Duration is how long the drive takes.
type Duration struct {
	Legs                      []LegTime
	TravelMS, StopMS, DwellMS int64 // of all
	TotalMM                   int64 // driven along all legs
	// Turns is how many turns on the spot there are, with TurnDeg degrees together: what
	// they take is not in it.
	Turns   int
	TurnDeg float64
}

// TotalMS is how long the drive takes in all.
func (d Duration) TotalMS() int64 { return d.TravelMS + d.StopMS + d.DwellMS }

// Duration reckons how long the drive takes.
func (p *Plan) Duration() Duration {
	var d Duration
	total := 0.0
	stopMS := int64(p.Board.Tables.Rover.SettleMS) + p.Machine.Receiver.LatencyMS + (3*p.Machine.Receiver.FixIntervalMS+p.Board.Timing.LoopMS)/2
	for i, l := range p.Route.Legs {
		from, to := p.Route.Waypoints[l.From], p.Route.Waypoints[l.To]
		one := LegTime{}
		if v := float64(l.SpeedMMPerS); v > 0 {
			before := 0.0
			if in := p.Arriving(l.From); in != nil && i > 0 && !from.Stops {
				before = float64(in.SpeedMMPerS)
			}
			way, early := l.LengthMM, 0.0
			if to.Stops {
				way -= l.CoastMM
				early = float64(float64(p.Board.Timing.LoopMS)/2) + float64(p.Board.Timing.OutputDelayMS)
			}
			ms := float64(way/v*1000) + float64(float64(p.Machine.Rover.MotorLagMS)*(1-before/v)) - early
			one.TravelMS = int64(math.Round(max(ms, 0)))
		}
		if to.Stops {
			one.StopMS = stopMS
		}
		if i < len(p.Route.Legs)-1 {
			one.DwellMS = to.DwellMS
		}
		if i > 0 && p.Machine.Rover.Pivots && from.Stops && from.TurnDeg != 0 {
			d.Turns++
			d.TurnDeg += math.Abs(from.TurnDeg)
		}
		d.TravelMS, d.StopMS, d.DwellMS = d.TravelMS+one.TravelMS, d.StopMS+one.StopMS, d.DwellMS+one.DwellMS
		one.UntilMS = d.TotalMS()
		total += l.LengthMM
		d.Legs = append(d.Legs, one)
	}
	d.TotalMM = int64(math.Round(total))
	return d
}
