// Rule holds.stopping: the stopping time and distance from letting go.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// stoppingRule states how long and how far the rover goes on after a hold is
// let go, on the leg that asks for the most, and what that makes of the distance to
// keep. It calls no distance safe.
func stoppingRule() Rule {
	return newRule("holds.stopping", diag.Note, "the stopping time and distance from letting go", func(v *view, report func(diag.Finding)) {
		if len(v.Holds.List) == 0 || len(v.Route.Legs) == 0 {
			return
		}
		keep := v.KeepAway()
		s := v.Route.Legs[keep.Leg].Stopping
		f := at(v.Holds.Source, "from letting go of a hold to rest: %d ms until the drive is without power, then a coast of %s; %s in all at %s (%s). With the holder's %s s before it and somebody who walks towards it at %s until it rests, the distance to keep is %s",
			v.Board.Timing.HoldMS, words.MM(s.CoastMM), words.MM(s.FromHoldMM), words.MMPerS(s.SpeedMMPerS), v.Subject(diag.Leg, keep.Leg),
			fmt.Sprint(plan.HolderMS/1000), words.MMPerS(plan.WalkMMPerS), words.MM(keep.TotalMM))
		f.About = append([]diag.Subject{diag.The(diag.Holds, "")}, f.About...)
		f.Remedy = fmt.Sprintf("while it can drive, nobody in front of it at any distance, and nobody within %s of it on any side; who runs, falls or is not seen is not in that figure", words.MM(keep.TotalMM))
		f.Numbers = []diag.Number{{Name: "reaction", Value: float64(v.Board.Timing.HoldMS) / 1000, Unit: "s"}, metre("coast", float64(s.CoastMM)), metre("stopping distance", float64(s.FromHoldMM)), metre("distance to keep", float64(keep.TotalMM))}
		report(f)
	})
}
