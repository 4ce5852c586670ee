// Rules slope.rolls, slope.bound, slope.tilt and slope.taped: the ground that the rover
// has to come to rest on.
package check

import (
	"fmt"
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/motion"
	"merestone/internal/words"
)

// percent is a slope in words.
func percent(slope float64) words.Percent { return words.Percent(math.Round(slope*10_000) / 10_000) }

// way is which way ground goes.
func way(downhill float64) string {
	if downhill < 0 {
		return "rises"
	}
	return "falls"
}

// slopeSource is where the steepest ground was written: site.slope, or the leg.
func slopeSource(v *view) (diag.Source, any) {
	if v.Route.Slope.Said || v.Route.Slope.Leg < 0 || v.Route.Slope.Leg >= len(v.Route.Legs) {
		return v.Site.Source, diag.The(diag.Key, "site.slope")
	}
	return v.Route.Legs[v.Route.Slope.Leg].Source, v.Subject(diag.Leg, v.Route.Slope.Leg)
}

// steepestPlace is the leg that is the steepest, or the site where that is said of all.
func (v *view) steepestPlace() diag.Subject {
	if leg := v.Route.Slope.Leg; !v.Route.Slope.Said && leg >= 0 && leg < len(v.Route.Legs) {
		return v.Subject(diag.Leg, leg)
	}
	return diag.The(diag.Site, "")
}

// rollsRule refuses ground on which gravity has as much of the rover as friction, with
// the spread that one roll-out differs from another by: once let go it would not come
// to rest, and left at rest it would roll off.
func rollsRule() Rule {
	return newRule("slope.rolls", diag.Error, "the rover comes to rest on the steepest ground", func(v *view, report func(diag.Finding)) {
		slope := v.Route.Slope.Steepest
		holds := v.Machine.Rover.Coast.Steepest()
		_, err := v.WorstRollout()
		if holds == 0 {
			return // on the level neither: the board's tables cannot hold it, and plan says so
		}
		// Two ways to work out the same, a rounding apart.
		if v.keeps(limit{diag.Error, "slope to come to rest on", words.Percentage}, v.steepestPlace(), holds, slope) && err == nil {
			return
		}
		source, what := slopeSource(v)
		f := at(source, "the ground falls or rises by %s (%s), and by its coast the rover comes to rest on %s at most, where friction is the least that may be expected", percent(slope), what, percent(holds))
		f.Numbers = []diag.Number{{Name: "slope", Value: slope}, {Name: "holds", Value: holds}}
		f.Remedy = "drive where it is less steep, fit a brake that closes without power, or tape the coast on a slope: rover.coast with downhill"
		report(f)
	})
}

// slopeBoundRule wants site.slope to bound the legs, too.
func slopeBoundRule() Rule {
	return newRule("slope.bound", diag.Error, "no leg is steeper than site.slope", func(v *view, report func(diag.Finding)) {
		if !v.Route.Slope.Said {
			return
		}
		var same alike
		for i, l := range v.Route.Legs {
			// Its ends are rounded to whole millimetres, so that a leg of just that slope may be
			// up to sqrt(2) mm too short, and seem steeper.
			least := math.Abs(l.Downhill) * l.LengthMM / (l.LengthMM + math.Sqrt2)
			if !l.HasSlope || v.keeps(limit{diag.Error, "site.slope", words.Percentage}, v.Subject(diag.Leg, i), v.Route.Slope.Steepest, least) {
				continue
			}
			if !same.told(l.Downhill, v.Subject(diag.Leg, i)) {
				f := at(l.Source, "%s %s by %s by the heights of its marks, and site.slope says that the ground nowhere falls or rises by more than %s", v.Subject(diag.Leg, i), way(l.Downhill), percent(math.Abs(l.Downhill)), percent(v.Route.Slope.Steepest))
				f.About = []diag.Subject{v.Subject(diag.Leg, i)}
				f.Numbers = []diag.Number{{Name: "slope", Value: l.Downhill}, {Name: "bound", Value: v.Route.Slope.Steepest}}
				f.Remedy = "put the heights right, or raise site.slope"
				same.add(f, math.Abs(l.Downhill))
			}
		}
		same.report(report, "; so it is with %s", "; too steep are also %s")
	})
}

// tiltRule asks how steep the ground is where the rover may tilt by more than the slope
// that it stops on: a part of that tilt may be the ground's.
func tiltRule() Rule {
	return newRule("slope.tilt", diag.Error, "where the rover tilts much, the mission says how steep the ground is", func(v *view, report func(diag.Finding)) {
		tilt := elementary.Tan(v.Machine.Rover.TiltDeg * math.Pi / 180)
		holds := v.Machine.Rover.Coast.Steepest()
		if v.Route.Slope.Said || holds == 0 || v.keeps(limit{diag.Error, "tilt, were it slope", words.Percentage}, diag.The(diag.Rover, ""), holds, tilt) {
			return
		}
		f := at(v.Machine.Rover.Source, "the rover tilts by up to %.4g deg, which is ground that falls by %s, and by its coast it comes to rest on %s at most", v.Machine.Rover.TiltDeg, percent(tilt), percent(holds))
		f.About = []diag.Subject{diag.The(diag.Rover, "")}
		f.Numbers = []diag.Number{{Name: "tilt", Value: tilt}, {Name: "holds", Value: holds}}
		f.Remedy = "write site.slope, the steepest ground along the route, where the tilt comes of bumps and not of the ground"
		report(f)
	})
}

// tapedShare is the part of the braking that gravity may take before a roll-out taped on
// the level says too little of the slope. Common practice, no source.
const tapedShare = 1.0 / 3

// tapedRule asks for a roll-out on the slope, or from a second speed, where gravity
// takes much of the braking: one run on the level does not tell how much of it was
// friction, which holds on a slope, and how much drag, which is gone at rest.
func tapedRule() Rule {
	return newRule("slope.taped", diag.Warning, "where it is steep, the coast was taped on a slope", func(v *view, report func(diag.Finding)) {
		slope, coast := v.Route.Slope.Steepest, v.Machine.Rover.Coast
		holds := coast.Steepest()
		if slope == 0 || coast.Speeds() > 1 || steepest(coast) >= slope/2 {
			return
		}
		if _, err := v.WorstRollout(); err != nil {
			return // slope.rolls
		}
		if v.keeps(limit{diag.Warning, "slope, taped level", words.Percentage}, v.steepestPlace(), tapedShare*holds, slope) {
			return
		}
		source, what := slopeSource(v)
		f := at(source, "the ground falls or rises by %s (%s), which takes more than a third of the braking that the coast tells of; taped from one speed on the level, it does not tell how much of that is friction and how much drag, which is none at rest", percent(slope), what)
		f.Numbers = []diag.Number{{Name: "slope", Value: slope}, {Name: "holds", Value: holds}}
		f.Remedy = fmt.Sprintf("tape a roll-out down a slope of at least %s, or one more from a slow speed, and write it under rover.coast", percent(slope/2))
		report(f)
	})
}

// steepest is the steepest fall that a run was taped on.
func steepest(coast motion.Coast) float64 {
	most := 0.0
	for _, r := range coast {
		most = max(most, r.Fall)
	}
	return most
}
