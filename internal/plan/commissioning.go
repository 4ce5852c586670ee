// The record of the machine's first tests: what was measured is set against what is
// reckoned with, and the worse of the two counts.
package plan

import (
	"math"
	"slices"

	"merestone/internal/motion"
)

// commissioning takes over what was written. A stop that was measured counts against what
// is claimed of the machine: its speed is rounded down, its time and distance up.
func (r *resolver) commissioning() {
	in := r.m.Commissioning
	if in == nil {
		return
	}
	out := Commissioning{
		Source: r.source("commissioning"), Said: true, Date: midnight(in.Date), RepeatBy: midnight(in.RepeatBy),
		Coast: coastOf(in.Coast), Passed: in.Passed,
	}
	for _, s := range in.Stopping {
		out.Stopping = append(out.Stopping, StoppingRun{FromMMPerS: int64(s.From) / 1000, TimeMS: s.Time.CeilMS(), DistanceMM: s.Distance.CeilMM(), Fall: s.Downhill.Fraction()})
	}
	r.p.Commissioning = out
}

// measured compares the stops that were taped and timed with what is expected of them at
// most. One that took longer or went farther shows a delay that is in nobody's data sheet:
// it counts from there on as part of the output's delay, in every stop.
func (r *resolver) measured(t *Timing) {
	runs := r.p.Commissioning.Stopping
	for i := range runs {
		run := &runs[i]
		rollout, err := r.p.Machine.Rover.Coast.WorstOn(run.Fall)
		if err != nil || run.FromMMPerS <= 0 {
			continue // the rules of the coast tell it
		}
		s := motion.Drive{Coast: rollout, HoldMS: t.HoldMS}.Stopping(run.FromMMPerS)
		run.MostMS, run.MostMM = t.HoldMS+s.CoastMS(), s.FromHoldMM
		byWay := int64(math.Ceil(float64(run.DistanceMM-run.MostMM) * 1000 / float64(run.FromMMPerS)))
		t.LateMS = max(t.LateMS, run.TimeMS-run.MostMS, byWay)
	}
	t.OutputDelayMS += t.LateMS
	t.HoldMS += t.LateMS
}

// PassedSteps counts the steps of the written test, and those that the record says were
// passed.
func (p *Plan) PassedSteps() (passed, steps int) {
	for _, s := range p.Holds.Faults.Tests {
		if slices.Contains(p.Commissioning.Passed, s.ID) {
			passed++
		}
	}
	return passed, len(p.Holds.Faults.Tests)
}
