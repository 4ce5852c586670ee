// Rule arrival.turn: turns keep within the next leg's standoff.
package check

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/words"
)

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
// gone on for as long as a fix takes to act, and the motors take to follow: a =
// tolerance - v·t at the latest. The board steers the antenna: one to the outer side of
// the turn swings in a larger circle, and one at the rear begins so much later. What the board reads off that swing by the receiver's
// noise and the antenna's tilt comes on top, as plan.Line has them: it stops a rover that
// it believes beyond.
// Turning as early as the tolerance lets cuts the corner by no more than that.
func turnRule() Rule {
	return newRule("arrival.turn", diag.Error, "turns keep within the next leg's standoff", func(v *view, report func(diag.Finding)) {
		if v.Machine.Rover.TurnRadiusMM == 0 {
			return
		}
		radius := float64(v.Machine.Rover.TurnRadiusMM)
		for i, w := range v.Route.Waypoints {
			in, out := v.Arriving(i), v.Leaving(i)
			if i == 0 || in == nil || out == nil || in.LengthMM == 0 || out.LengthMM == 0 {
				continue // the rover is placed at the start; geometry.zero-leg has the rest
			}
			turn := math.Abs(w.TurnDeg)
			f := at(w.Source, "%s: ", v.Subject(diag.Waypoint, i))
			f.Numbers = []diag.Number{metre("tolerance", float64(w.ToleranceMM)), {Name: "turn", Value: w.TurnDeg, Unit: "deg"}}
			if !w.Stops && turn > turnedBackDeg {
				f.Add("a turn of %.0f deg with a radius of %s cannot be driven through", turn, words.MM(v.Machine.Rover.TurnRadiusMM))
				f.Remedy = "lead the route around in a loop of several waypoints"
				report(f)
				continue
			}
			early, how, slower := 0.0, diag.Say("setting off from rest"), ""
			if !w.Stops {
				early = float64(w.ToleranceMM) - float64(in.SpeedMMPerS*(v.Board.Timing.FixMS+v.Machine.Rover.MotorLagMS))/1000
				how, slower = diag.Say("driven through at %s", words.MMPerS(in.SpeedMMPerS)), "drive the arriving leg slower, "
			}
			sin, cos := elementary.Sincos(turn * math.Pi / 180)
			outer := float64(v.Machine.Rover.AntennaRightMM) // of a turn to the left
			if w.TurnDeg > 0 {
				outer = -outer
			}
			swing := float64((radius+outer)*(1-cos)) - float64((early+float64(v.Machine.Rover.AntennaForwardMM))*sin) + float64(v.Route.Line.NoiseMM+v.Route.Line.TiltMM)
			room := max(v.Machine.Rover.CrossTrackMM, w.ToleranceMM)
			if swing <= float64(room)+hairMM {
				continue
			}
			f.Add("%s, a turn of %.0f deg with a radius of %s swings %s wide of %s, beyond the %s that its standoff holds",
				how, turn, words.MM(v.Machine.Rover.TurnRadiusMM), words.MM(ceilMM(swing-hairMM)), v.Subject(diag.Leg, out.From), words.MM(room))
			f.Remedy = slower + "split the turn over several waypoints, or widen the tolerance"
			f.Numbers = append(f.Numbers, metre("swings", swing))
			report(f)
		}
	})
}

// hairMM is taken off computed lengths before they are compared or rounded up,
// so that an exact 1000 mm that the floats make 1000.0000000001 stays one.
const hairMM = 1e-6

// turnedBackDeg is the turn beyond which the tangent of half of it means nothing:
// at 175 degrees a curve already takes 23 times its radius of each leg.
const turnedBackDeg = 175
