// The record of the machine's first tests, as plain numbers.
package plan

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
