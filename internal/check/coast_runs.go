// Rule coast.runs: the roll-outs do not contradict each other.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/words"
)

// runsRule warns of roll-outs of which one must have been taped wrong, or on other
// ground: from a higher speed the rover rolls farther, and not more than with the
// square of the speed (motion.Rollout). What the spread of one roll-out may do is
// allowed for. The bound holds the longer one whichever is right.
func runsRule() Rule {
	return newRule("coast.runs", diag.Warning, "the roll-outs agree with each other", func(v *view, report func(diag.Finding)) {
		level, err := v.Machine.Rover.Coast.On(0)
		if err != nil {
			return
		}
		by := level.Contradiction()
		if len(v.Machine.Rover.Coast) < 2 || v.keeps(limit{diag.Warning, "roll-outs that differ", words.Percentage}, diag.The(diag.Rover, ""), runsAgree, by) {
			return
		}
		f := at(v.Machine.Rover.Source, "one of the %d roll-outs is %s shorter than another one lets expect: from a higher speed a rover rolls farther, and by no more than the square of the speed", len(v.Machine.Rover.Coast), words.Percent(ceilPercent(by/(1+by))))
		f.About = []diag.Subject{diag.The(diag.Rover, "")}
		f.Numbers = []diag.Number{{Name: "contradiction", Value: by}}
		f.Remedy = "tape them again on the same ground, and look at the unit of each; until then the longer one is reckoned with"
		report(f)
	})
}

// runsAgree is by how much two roll-outs of one rover may differ: twice the spread of
// one. Common practice, no source.
const runsAgree = 0.30

func ceilPercent(part float64) float64 { return float64(int64(part*100)+1) / 100 }
