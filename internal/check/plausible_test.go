// Figures that are likely slips, defaults, and a rover that leaves by itself. The
// limits are common practice, no source.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/plan"
)

// Each limit: just on it and just beyond it. The yard itself is ordinary.
func TestFiguresAtTheirLimits(t *testing.T) {
	const rule = "plausible.figure"
	assert.Empty(t, messages(yard(t), rule))
	for _, c := range []struct {
		fact   string
		passes func(p *plan.Plan)
		fails  func(p *plan.Plan)
		want   string
	}{
		// 600² / 2·36 = 5000
		{"a rough coast", func(p *plan.Plan) { p.Machine.Rover.Coast[0].DistanceMM = 36 }, func(p *plan.Plan) { p.Machine.Rover.Coast[0].DistanceMM = 35 },
			"warning: rover.coast: 0.035 m from 0.60 m/s is a deceleration of 5.1 m/s², more than the 5.0 m/s² that a roll-out without brakes is taken for"},
		{"a narrow rover", func(p *plan.Plan) { p.Machine.Rover.WidthMM = 50 }, func(p *plan.Plan) { p.Machine.Rover.WidthMM = 49 },
			"warning: rover.width of 0.049 m is less than 0.05 m"},
		{"a fine receiver", func(p *plan.Plan) { p.Machine.Receiver.FixedStdMM = 3 }, func(p *plan.Plan) { p.Machine.Receiver.FixedStdMM = 2.9 },
			"warning: receiver.uncertainty.fixed of 2.9 mm is better than 3 mm"},
		{"float and fixed exchanged", func(p *plan.Plan) { p.Machine.Receiver.FloatStdMM = 10 }, func(p *plan.Plan) { p.Machine.Receiver.FloatStdMM = 9.9 },
			"warning: receiver.uncertainty.float of 9.9 mm is better than that of a fixed solution, 10.0 mm"},
		{"late fixes", func(p *plan.Plan) { p.Machine.Receiver.StaleAfterMS = 5000 }, func(p *plan.Plan) { p.Machine.Receiver.StaleAfterMS = 5001 },
			"warning: receiver.stale_after is 5001 ms, more than 5000 ms"},
		{"a slow contact", func(p *plan.Plan) { p.Holds.List[1].DebounceMS = 100 }, func(p *plan.Plan) { p.Holds.List[1].DebounceMS = 101 },
			"warning: holds[1].debounce of hold mushroom button is 101 ms, more than 100 ms"},
		{"a slow filter", func(p *plan.Plan) { p.Holds.List[0].FilterMS = 50 }, func(p *plan.Plan) { p.Holds.List[0].FilterMS = 51 },
			"warning: holds[0].stop_filter of hold thumb switch is 51 ms, more than 50 ms"},
		{"a slow output", func(p *plan.Plan) { p.Holds.Path.Parts[0].OffMS = 200 }, func(p *plan.Plan) { p.Holds.Path.Parts[0].OffMS = 201 },
			"warning: drive_path[0].off_delay of 201 ms is more than 200 ms"},
		{"bounds that hold too seldom", func(p *plan.Plan) { p.Confidence = 0.9 }, func(p *plan.Plan) { p.Confidence = 0.8999 },
			"warning: confidence of 89.99 % is less than 90 %"},
		{"a short average",
			func(p *plan.Plan) {
				p.Survey.Base = plan.Base{Source: line(5), Position: "averaged", AveragedForS: 4 * 3600, StdMM: 100}
			},
			func(p *plan.Plan) {
				p.Survey.Base = plan.Base{Source: line(5), Position: "averaged", AveragedForS: 4 * 3600, StdMM: 99}
			},
			"warning: base.uncertainty of 99 mm is less than 100 mm, and the base averages its position for less than a day: such averages are off by some decimetres to metres from one day to the next"},
		{"a long average, and none",
			func(p *plan.Plan) {
				p.Survey.Base = plan.Base{Source: line(5), Position: "averaged", AveragedForS: 24 * 3600, StdMM: 10}
			},
			func(p *plan.Plan) {
				p.Survey.Base = plan.Base{Source: line(5), Position: "averaged", StdMM: 10} // how long is not said
			},
			"warning: base.uncertainty of 10 mm is less than 100 mm, and the base averages its position for less than a day: such averages are off by some decimetres to metres from one day to the next"},
	} {
		p := yard(t)
		c.passes(p)
		assert.Empty(t, messages(p, rule), c.fact)
		p = yard(t)
		c.fails(p)
		assert.Equal(t, []string{c.want}, messages(p, rule), c.fact)
		f := one(t, p, rule)
		assert.NotEmpty(t, f.Remedy, c.fact)
	}
	// 600² / 2·18.354 mm = 9807: one g.
	p := yard(t)
	p.Machine.Rover.Coast[0].DistanceMM = 19
	assert.Equal(t, "warning", one(t, p, rule).Severity.String())
	p.Machine.Rover.Coast[0].DistanceMM = 18
	assert.Equal(t, []string{"error: rover.coast: 0.018 m from 0.60 m/s is a deceleration of 10.0 m/s², more than the 5.0 m/s² that a roll-out without brakes is taken for; it is more than 1 g, which no wheel can do"}, messages(p, rule))
	p.Survey.Base = plan.Base{StdMM: 1, Position: "entered"}
	assert.Len(t, messages(p, rule), 1)
}

func TestDefaultsAreTold(t *testing.T) {
	const rule = "plausible.default"
	p := yard(t)
	assert.Empty(t, messages(p, rule))
	p.Usual = []plan.Usual{{Path: "confidence", Value: "95 %", In: "in every bound"}}
	assert.Equal(t, []string{"note: not written, and reckoned with as usual: confidence 95 % (in every bound)"}, messages(p, rule))
	p.Usual = append(p.Usual, plan.Usual{Path: "board.loop", Value: "20 ms", In: "stopping"})
	assert.Equal(t, []string{"note: not written, and reckoned with as usual: confidence 95 % (in every bound); board.loop 20 ms (stopping)"}, messages(p, rule))
}

func TestARoverThatLeavesByItself(t *testing.T) {
	const rule = "holds.dwell"
	with := func(run bool, dwells ...int) *plan.Plan {
		p := yard(t)
		if !run {
			p.Holds.List = p.Holds.List[1:]
		}
		for _, i := range dwells {
			p.Route.Waypoints[i].DwellMS = 1
		}
		return p
	}
	assert.Empty(t, messages(with(false), rule), "it does not wait")
	assert.Empty(t, messages(with(true, 1, 2), rule), "somebody holds a switch")
	assert.Empty(t, messages(with(false, 3), rule), "at the end it stays")
	f := one(t, with(false, 1, 2), rule)
	assert.Equal(t, "the rover drives with nobody holding a switch: there is no hold-to-run, and it stands still and then leaves by itself at B, C", f.Message())
	assert.Equal(t, "warning", f.Severity.String())
	assert.Equal(t, 301, f.At.Line)
	assert.Empty(t, messages(with(false, 1), "holds.none"), "that is said once")
	assert.Len(t, messages(with(false), "holds.none"), 1)
	p := with(false, 1)
	p.Holds.List = nil
	assert.Empty(t, messages(p, rule), "refused by holds.none")
	assert.Len(t, messages(p, "holds.none"), 1)
}
