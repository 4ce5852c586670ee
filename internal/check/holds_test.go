// Holds: that they are there, their pins, categories and stopping distance.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/motion"
	"merestone/internal/plan"
)

// withHolds is the yard with its holds and board changed.
func withHolds(t *testing.T, change func(*plan.Plan)) *plan.Plan {
	t.Helper()
	p := yard(t)
	change(p)
	p.Holds.Faults, p.Holds.FaultsErr = circuit.Analyse(p.Board.Inputs.Electrical, circuits(p.Holds.List), p.Holds.Path)
	return p
}

func TestNoHold(t *testing.T) {
	const rule = "holds.none"
	assert.Empty(t, messages(yard(t), rule))
	kinds := func(kinds ...board.HoldKind) *plan.Plan {
		p := yard(t)
		p.Holds.List = p.Holds.List[:len(kinds)]
		for i, k := range kinds {
			p.Holds.List[i].Circuit.Kind = k
		}
		return p
	}
	nobody := []string{"error: nobody can stop the rover: the mission has neither a hold-to-run nor an emergency stop"}
	assert.Equal(t, nobody, messages(kinds(), rule))
	assert.Equal(t, nobody, messages(kinds(board.Interlock), rule))
	assert.Equal(t, []string{"warning: the rover drives with nobody holding a switch: there is an emergency stop but no hold-to-run"}, messages(kinds(board.EmergencyStop), rule))
	assert.Equal(t, []string{"note: there is a hold-to-run but no emergency stop on the rover itself"}, messages(kinds(board.HoldToRun, board.Interlock), rule))
}

func TestPin(t *testing.T) {
	const rule = "holds.pin"
	pin := func(p *plan.Plan, to int) { p.Holds.List[0].Circuit.Channels[0].Pin = to }
	for _, c := range []struct {
		fact   string
		change func(*plan.Plan)
		want   []string
	}{
		{"sound", func(*plan.Plan) {}, []string{}},
		{"two holds on one pin", func(p *plan.Plan) { pin(p, 24) }, []string{"error: hold mushroom button reads pin 24, which hold thumb switch reads already"}},
		{"both channels on one pin", func(p *plan.Plan) { pin(p, 28) }, []string{"error: hold thumb switch reads pin 28, which hold thumb switch reads already"}},
		{"the output", func(p *plan.Plan) { pin(p, 8) }, []string{"error: hold thumb switch reads pin 8, which is the output drive_enable"}},
		{"not an input", func(p *plan.Plan) { pin(p, 23) }, []string{"error: hold thumb switch reads pin 23, which is not one of board.input_pins [22 24 26 28]"}},
		{"no pull-up in the board", func(p *plan.Plan) { p.Board.Inputs.PullUp = false }, []string{
			"error: hold thumb switch relies on an internal pull-up, which board.pulls does not list; so it is with mushroom button",
		}},
		{"an external one in its place", func(p *plan.Plan) {
			p.Board.Inputs.PullUp = false
			for i := range p.Holds.List {
				for j := range p.Holds.List[i].Circuit.Channels {
					p.Holds.List[i].Circuit.Channels[j].PullOhm = 10_000
				}
			}
		}, []string{}},
		{"no pull-down in the board", func(p *plan.Plan) {
			p.Board.Inputs.PullDown = false
			p.Holds.List[0].Circuit.Channels = []circuit.Channel{{Pin: 22, WiredTo: circuit.Supply, Pull: circuit.PullDown}}
		}, []string{"error: hold thumb switch relies on an internal pull-down, which board.pulls does not list"}},
		{"no pull-down, and none asked for", func(p *plan.Plan) { p.Board.Inputs.PullDown = false }, []string{}},
		{"the output listed as an input", func(p *plan.Plan) { p.Board.Inputs.Pins = append(p.Board.Inputs.Pins, 8) }, []string{"error: board.input_pins lists pin 8, which is the output drive_enable"}},
		{"two figures that cannot be modelled", func(p *plan.Plan) {
			p.Holds.List[0].Circuit.Channels[0].PullOhm, p.Holds.List[0].Circuit.Channels[0].Pull = 4700, circuit.PullNone
			p.Board.Inputs.Electrical.SupplyMV = -1
		}, []string{
			"error: board: logic.low_below, high_above: are 990 and 2310 mV; needed: 0 < low ≤ high < supply (-1 mV)",
			"error: board: logic.supply: is -1 mV, must be positive",
			"error: hold thumb switch: pull_resistor: gives a resistor of 4700 Ω but no direction",
		}},
	} {
		t.Run(c.fact, func(t *testing.T) { assert.ElementsMatch(t, c.want, messages(withHolds(t, c.change), rule)) })
	}
}

func TestCategory(t *testing.T) {
	const rule = "holds.category"
	with := func(categories ...int) *plan.Plan {
		return withHolds(t, func(p *plan.Plan) {
			for i, c := range categories {
				p.Holds.List[i].StopCategory = c
			}
		})
	}
	const does = "the board takes the drive's power away at once, which is category 0, and the stopping distance is proved for that; a ramp is not in it"
	const ramp = " is of stop category 1, a stop under control and power off after it: " + does
	const powered = " is of stop category 2, which leaves the drive powered: " + does
	for _, c := range []struct {
		fact       string
		categories []int
		want       []string
	}{
		{"power off at once", []int{0, 0}, []string{}},
		{"a hold-to-run with a ramp", []int{1, 0}, []string{"error: hold thumb switch" + ramp}},
		{"an emergency stop with a ramp", []int{0, 1}, []string{"error: hold mushroom button" + ramp}},
		{"a hold-to-run that leaves the power on", []int{2, 0}, []string{"error: hold thumb switch" + powered}},
		{"an emergency stop that leaves the power on", []int{0, 2}, []string{"error: hold mushroom button" + powered}},
		{"one of each", []int{1, 2}, []string{"error: hold thumb switch" + ramp, "error: hold mushroom button" + powered}},
		{"two alike are told once", []int{1, 1}, []string{"error: hold thumb switch" + ramp + "; so it is with mushroom button"}},
	} {
		p := with(c.categories...)
		assert.Equal(t, c.want, messages(p, rule), c.fact)
		require.NoError(t, p.Holds.FaultsErr, "the wiring is the same: %s", c.fact)
	}
}

func TestStopping(t *testing.T) {
	p := yard(t)
	p.Route.Legs[1].SpeedMMPerS, p.Route.Legs[1].Stopping = 601, motion.Stopping{SpeedMMPerS: 601, CoastMM: 301, FromHoldMM: 350}
	f := one(t, p, "holds.stopping")
	// 350 and 601 in the holder's second; 1600 mm/s in 1000 + 80 + 3·301/601 = 2582 ms
	assert.Equal(t, "from letting go of a hold to rest: 80 ms until the drive is without power, then a longest coast of 0.301 m: a stopping distance of 0.35 m at 0.601 m/s (leg B–C). "+
		"The distance to keep is 5.083 m: the rover's 0.601 m in the holder's 1000 ms, 0.049 m in the 80 ms and 0.301 m of coast, and 4.132 m by somebody who walks towards it at 1.60 m/s for those and the 1502 ms until it rests", f.Message())
	assert.Equal(t, "while it can drive, nobody in front of it at any distance, and nobody within 5.083 m of it on any side; who runs, falls or is not seen is not in that figure", f.Remedy)
	for name, want := range map[string]float64{
		"reaction": 0.08, "coast": 0.301, "stopping distance": 0.35, "holder": 0.601, "during the reaction": 0.049,
		"time of the coast": 1.502, "somebody who walks": 4.132, "distance to keep": 5.083,
	} {
		assert.Equal(t, want, number(t, f, name), name)
	}
	// Not the fastest leg but the one that asks for the most.
	p.Route.Legs[0].Stopping.CoastMM, p.Route.Legs[0].Stopping.FromHoldMM = 900, 948
	assert.Contains(t, one(t, p, "holds.stopping").Message(), "(leg A–B)")
	assert.Equal(t, "note", f.Severity.String())
	p.Holds.List = nil
	assert.Empty(t, messages(p, "holds.stopping"))
}
