// Rule holds.stopping: the stopping time and distance from letting go.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// stoppingRule states how long and how far the rover goes on after a hold is
// let go, at its fastest leg.
func stoppingRule() Rule {
	return newRule("holds.stopping", diag.Note, "the stopping time and distance from letting go", func(v *view, report func(diag.Finding)) {
		if len(v.Holds.List) == 0 || len(v.Route.Legs) == 0 {
			return
		}
		fastest := 0
		for i, l := range v.Route.Legs {
			if l.SpeedMMPerS > v.Route.Legs[fastest].SpeedMMPerS {
				fastest = i
			}
		}
		s := v.Route.Legs[fastest].Stopping
		f := at(v.Holds.Source, "from letting go of a hold to rest: %d ms until the drive is without power, then a coast of %s; %s in all at %s (%s)",
			v.Board.Timing.HoldMS, words.MM(s.CoastMM), words.MM(s.FromHoldMM), words.MMPerS(s.SpeedMMPerS), v.Subject(diag.Leg, fastest))
		f.About = append([]diag.Subject{diag.The(diag.Holds, "")}, f.About...)
		f.Remedy = fmt.Sprintf("keep everybody at least %s ahead of its front, and more for the holder's own reaction and for a person who walks towards it", words.MM(s.FromHoldMM))
		f.Numbers = []diag.Number{{Name: "reaction", Value: float64(v.Board.Timing.HoldMS) / 1000, Unit: "s"}, metre("coast", float64(s.CoastMM)), metre("stopping distance", float64(s.FromHoldMM))}
		report(f)
	})
}
