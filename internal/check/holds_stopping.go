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
		t := v.Board.Timing
		f := at(v.Holds.Source, "from letting go of a hold to rest: %d ms until the drive is without power, then a longest coast of %s: a stopping distance of %s at %s (%s). The distance to keep is %s: the rover's %s in the holder's %d ms, %s in the %d ms and %s of coast, and %s by somebody who walks towards it at %s for those and the %d ms until it rests",
			t.HoldMS, words.MM(s.CoastMM), words.MM(s.FromHoldMM), words.MMPerS(s.SpeedMMPerS), v.Subject(diag.Leg, keep.Leg),
			words.MM(keep.TotalMM), words.MM(keep.HolderMM), int64(plan.HolderMS), words.MM(keep.ReactionMM), t.HoldMS, words.MM(keep.CoastMM), words.MM(keep.WalkMM), words.MMPerS(plan.WalkMMPerS), keep.RestMS)
		f.About = append([]diag.Subject{diag.The(diag.Holds, "")}, f.About...)
		f.Remedy = fmt.Sprintf("while it can drive, nobody in front of it at any distance, and nobody within %s of it on any side; who runs, falls or is not seen is not in that figure", words.MM(keep.TotalMM))
		f.Numbers = []diag.Number{
			{Name: "reaction", Value: float64(t.HoldMS) / 1000, Unit: "s"}, metre("coast", float64(s.CoastMM)), metre("stopping distance", float64(s.FromHoldMM)),
			metre("holder", float64(keep.HolderMM)), metre("during the reaction", float64(keep.ReactionMM)),
			{Name: "time of the coast", Value: float64(keep.RestMS) / 1000, Unit: "s"}, metre("somebody who walks", float64(keep.WalkMM)),
			metre("distance to keep", float64(keep.TotalMM)),
		}
		report(f)
	})
}
