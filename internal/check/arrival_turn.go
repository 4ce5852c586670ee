// Rule arrival.turn: turns keep clear of the fence where they are.
package check

import (
	"fmt"
	"math"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// turnRule is for rovers that cannot turn on the spot. How far an arc swings wide of
// the next leg is plan.Joining's; here it is held against the fence beside the
// beginning of that leg. Where there would not be room without the turn either,
// geometry.clearance speaks.
func turnRule() Rule {
	return newRule("arrival.turn", diag.Error, "turns keep clear of the fence where they are", func(v *view, report func(diag.Finding)) {
		if v.Machine.Rover.Pivots {
			return
		}
		radius := words.MM(v.Machine.Rover.TurnRadiusMM)
		var back, wide alike
		for i, w := range v.Route.Waypoints {
			in, out := v.Arriving(i), v.Leaving(i)
			if in == nil || out == nil || in.LengthMM == 0 || out.LengthMM == 0 {
				continue // the rover is placed at the start; geometry.zero-leg has the rest
			}
			turn := math.Abs(w.TurnDeg)
			f := at(w.Source, "%s: ", v.Subject(diag.Waypoint, i))
			f.Numbers = []diag.Number{metre("tolerance", float64(w.ToleranceMM)), {Name: "turn", Value: w.TurnDeg, Unit: "deg"}}
			if !w.Stops && !v.keeps(limit{diag.Error, "turn driven through", words.Degree}, v.Subject(diag.Waypoint, i), turnedBackDeg, turn) {
				f.Add("a turn of %.0f deg with a radius of %s cannot be driven through", turn, radius)
				f.Remedy = "lead the route around in a loop of several waypoints"
				if !back.told(words.Degree.Words(math.Round(turn)), v.Subject(diag.Waypoint, i)) {
					back.add(f, turn)
				}
				continue
			}
			if !v.legs[i].Clear() || out.Joining.TurnMM == 0 || !out.Join.Needed || !out.Join.Clear() && !v.turnAlone(i) {
				continue // no arc, or for another rule
			}
			if v.keeps(limit{diag.Error, "clearance in a turn", words.Millimetre}, v.Subject(diag.Waypoint, i), float64(out.Join.ClearanceMM), float64(out.Join.TotalMM)) {
				continue
			}
			how, slower := diag.Say("setting off from rest"), ""
			if !w.Stops {
				how = diag.Say("driven through at %s", words.MMPerS(in.SpeedMMPerS))
				if highest := v.HighestTurn(i); highest >= max(v.Machine.Rover.MinimumMMPerS, 1) {
					slower = fmt.Sprintf("drive the leg before it at %s or less, ", words.MMPerS(highest))
				}
			}
			if highest := v.HighestClear(i); slower == "" && highest >= max(v.Machine.Rover.MinimumMMPerS, 1) {
				slower = fmt.Sprintf("drive %v at %s or less, ", v.Subject(diag.Leg, i), words.MMPerS(highest))
			}
			join := out.Join
			f.Add("%s, a turn of %.0f deg with a radius of %s may end %s wide of %s, the arrival tolerance included. That leg begins %s from %s; for the turn, the error of position and the body until rest it needs %s",
				how, turn, radius, words.MM(out.Joining.CrossMM), v.Subject(diag.Leg, out.From), words.MM(join.ClearanceMM), v.part(join.Edge), words.MM(join.TotalMM))
			f.Remedy = slower + "split the turn over several waypoints, or move it " + words.MM(-join.SpareMM()).String() + " away"
			f.Numbers = append(f.Numbers, metre("swings", float64(out.Joining.TurnMM)), metre("clearance", float64(join.ClearanceMM)), metre("standoff", float64(join.TotalMM)))
			f.Related = []diag.Related{{At: v.Fence.Where(join.Edge), Message: v.part(join.Edge).String()}}
			figures := struct {
				turn float64
				plan.Standoff
				clearance int64
			}{math.Round(w.TurnDeg), join.Standoff, join.ClearanceMM}
			if !wide.told(figures, v.Subject(diag.Waypoint, i)) {
				wide.add(f, float64(-join.SpareMM()))
			}
		}
		back.report(report, "; nor can it at %s", "; nor can others at %s")
		wide.report(report, "; so it is at %s", "; too wide are the turns at %s as well")
	})
}

// turnAlone reports whether a leg lacks room at its beginning for the arc onto it, and
// for nothing else.
func (v *view) turnAlone(leg int) bool {
	l := v.Route.Legs[leg]
	return !v.Machine.Rover.Pivots && v.legs[leg].Clear() && l.Line.Clear() && !l.Join.Clear() && l.Join.SpareMM()+l.Joining.TurnMM >= 0
}

// hairMM is taken off computed lengths before they are compared or rounded up,
// so that an exact 1000 mm that the floats make 1000.0000000001 stays one.
const hairMM = 1e-6

// turnedBackDeg is the turn beyond which the tangent of half of it means nothing:
// at 175 degrees a curve already takes 23 times its radius of each leg.
const turnedBackDeg = 175
