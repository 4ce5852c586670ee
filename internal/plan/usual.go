// Keys that are not written, so that what is usual stands in their place, although
// a bound that safety rests on reckons with them: nobody has measured that for this
// machine. What is usual and the stricter choice (a turn radius of 0, no stated
// height of an obstacle) is no such key.
package plan

import (
	"fmt"

	"merestone/internal/words"
)

// Usual is a key that is not written, what is reckoned with, and in which figures.
type Usual struct{ Path, Value, In string }

// usual looks for such keys.
func (r *resolver) usual() {
	absent := func(path string, counts bool, in, format string, args ...any) {
		if counts && !r.m.Written(path) {
			r.p.Usual = append(r.p.Usual, Usual{Path: path, In: in, Value: fmt.Sprintf(format, args...)})
		}
	}
	p := r.p
	rover, held := p.Machine.Rover, len(p.Holds.List) > 0
	absent("confidence", true, "in every bound on a position", "%v", words.Percent(p.Confidence))
	absent("receiver.stale_after", true, "how far the rover drives without fixes", "%d ms", p.Machine.Receiver.StaleAfterMS)
	absent("rover.motor_lag", true, "what the steering needs of cross_track", "none")
	absent("rover.antenna", true, "the room that the body takes, position", "above the middle")
	absent("rover.turning_centre", rover.Pivots, "the room that a turn on the spot takes", "the middle")
	absent("rover.heading_uncertainty", true, "what the steering needs of cross_track; position, by the antenna's lever arm", "0 deg")
	absent("rover.tilt", rover.AntennaHeightMM != 0, "position, by the antenna's height", "0 deg")
	absent("board.loop", true, "stopping distance, cut, reaction of the holds", "%d ms", p.Board.Timing.LoopMS)
	absent("board.logic", held, "levels at the pins in the table of faults", "that of a 3.3 V board at worst")

	// Of marks that something is measured against, told together.
	unsaid, seen := 0, map[int]bool{}
	count := func(mark int) {
		if !seen[mark] && r.m.Marks[mark].Uncertainty == nil && r.p.Survey.Marks[mark].Measured.Form == Surveyed {
			unsaid++
		}
		seen[mark] = true
	}
	for _, w := range p.Route.Waypoints {
		count(w.Mark)
	}
	for _, m := range p.Fence.Marks() {
		count(m.Number)
	}
	if unsaid > 0 {
		p.Usual = append(p.Usual, Usual{Path: "marks.NAME.uncertainty", In: "clearance, arrival",
			Value: fmt.Sprintf("of %s, that of a fixed solution", words.Plural(unsaid, "mark"))})
	}
}
