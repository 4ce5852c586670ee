// The path to the motors, radio links and commissioning, as the plan takes them over.
package plan_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/circuit"
	"merestone/internal/motion"
	"merestone/internal/plan"
)

const (
	yardRelay  = "{name: main relay, kind: relay, opened_by: [drive_enable, mushroom button], off_delay: 20 ms, coil_diode: true}"
	yardDriver = "{name: motor driver, kind: semiconductor, opened_by: [drive_enable], off_delay: 2 ms, pulled_off: true}"
)

func TestTheDrivePath(t *testing.T) {
	p := yard(t)
	assert.Equal(t, circuit.Path{Parts: []circuit.Part{
		{Name: "main relay", Kind: circuit.Relay, Enable: true, Holds: []int{1}, OffMS: 20, CoilDiode: true},
		{Name: "motor driver", Kind: circuit.Semiconductor, Enable: true, OffMS: 2, PulledOff: true},
	}}, p.Holds.Path)
	assert.Equal(t, "drive_path[1]", p.Holds.Parts[1].Path)
	assert.Equal(t, "drive_path", p.Holds.PathAt.Path)

	p = yard(t,
		edit{"  loop: 20 ms\n", "  loop: 20 ms\n  watchdog: 99.1 ms\n  covered: a second processor\n"},
		edit{yardDriver, yardDriver + "\n  - {name: poles, kind: contact, opened_by: [mushroom button, thumb switch], off_delay: 1 s, covered: tried each day}"},
		edit{yardRelay, "{name: main relay, kind: relay, opened_by: [watchdog, thumb switch], off_delay: 20 ms, coil_diode: false}"})
	assert.Equal(t, circuit.Path{WatchdogMS: 100, Covered: "a second processor", Parts: []circuit.Part{
		{Name: "main relay", Kind: circuit.Relay, Watchdog: true, Holds: []int{0}, OffMS: 20},
		{Name: "motor driver", Kind: circuit.Semiconductor, Enable: true, OffMS: 2, PulledOff: true},
		{Name: "poles", Kind: circuit.Pole, Holds: []int{0, 1}, OffMS: 1000, Covered: "tried each day"},
	}}, p.Holds.Path)
}

// The board reckons with the slowest of the parts that drive_enable opens, wherever it
// stands, and with no other; a hold with its radio link beside.
func TestReactionsOfThePath(t *testing.T) {
	slowerDriver := edit{"off_delay: 2 ms", "off_delay: 31.2 ms"}
	notTheRelay := edit{"[drive_enable, mushroom button]", "[mushroom button]"}
	radio := func(keys string) edit {
		return edit{"    stop_category: 0\n  - name", "    stop_category: 0\n    radio: " + keys + "\n  - name"}
	}
	for _, c := range []struct {
		name         string
		edits        []edit
		output, hold int64 // 20 bounce + 20 loop + 1 clock + 1 step + output
	}{
		{"the relay is the slower", nil, 20, 62},
		{"the driver is, rounded up", []edit{slowerDriver}, 32, 74},
		{"the relay is not opened by the board", []edit{notTheRelay}, 2, 44},
		{"a radio that is slower without a link", []edit{radio("{delay: 80 ms, loss_of_signal: 400 ms}")}, 20, 462},
		{"a radio that is slower with one", []edit{radio("{delay: 80.5 ms, loss_of_signal: 40 ms}")}, 20, 143},
	} {
		p := yard(t, c.edits...)
		assert.Equal(t, c.output, p.Board.Timing.OutputDelayMS, c.name)
		assert.Equal(t, c.hold, p.Board.Timing.HoldMS, c.name)
	}
	assert.Equal(t, int64(400), yard(t, radio("{delay: 80 ms, loss_of_signal: 400 ms}")).Holds.List[0].RadioMS)
}

// A hold stops the drive by the board and by its pole; each may be the one that is left, so
// the slower counts. By hand: 20 ms of bounce and the part's time, against 62 ms by the board.
func TestThePoleMayBeTheSlowerWay(t *testing.T) {
	pole := func(ms int) plan.Timing {
		return yard(t, edit{"drive_path:\n", fmt.Sprintf("drive_path:\n  - {name: pole, kind: contact, opened_by: [mushroom button], off_delay: %d ms}\n", ms)}).Board.Timing
	}
	usual := yard(t).Board.Timing
	assert.Equal(t, int64(62), usual.HoldMS)
	for ms, want := range map[int]int64{5: 62, 42: 62, 43: 63, 200: 220} {
		assert.Equal(t, want, pole(ms).HoldMS, "%d ms", ms)
		assert.Equal(t, usual.OutputDelayMS, pole(ms).OutputDelayMS, "the board does not open it")
		assert.Equal(t, usual.FixMS, pole(ms).FixMS)
	}
}

// A stop that was measured is rounded against what is claimed.
func TestCommissioningIsTakenOver(t *testing.T) {
	assert.False(t, yard(t).Commissioning.Said)
	p := yard(t, edit{"  loop: 20 ms\n", `  loop: 20 ms
commissioning:
  date: 2027-01-20
  repeat_by: 2027-07-20
  stopping: {from: 0.5999 m/s, time: 1400.2 ms, distance: 80.01 cm, downhill: -1 %}
  coast: [{from: 0.60 m/s, distance: 30 cm}, {from: 0.30 m/s, distance: 8 cm}]
  passed: [T01-3fa2, T02-90c1]
`})
	got := p.Commissioning
	assert.Equal(t, "commissioning", got.Path)
	assert.Equal(t, time.Date(2027, 1, 20, 0, 0, 0, 0, time.UTC), got.Date)
	assert.Equal(t, time.Date(2027, 7, 20, 0, 0, 0, 0, time.UTC), got.RepeatBy)
	require.Len(t, got.Stopping, 1)
	run := got.Stopping[0]
	assert.Equal(t, []any{int64(599), int64(1401), int64(801), -0.01}, []any{run.FromMMPerS, run.TimeMS, run.DistanceMM, run.Fall})
	assert.Equal(t, motion.Coast{{FromMMPerS: 600, DistanceMM: 300}, {FromMMPerS: 300, DistanceMM: 80}}, got.Coast)
	assert.Equal(t, []string{"T01-3fa2", "T02-90c1"}, got.Passed)
}

// A stop that took longer, or went farther, than the plan expects at most adds its delay to
// the output's, and so to every stop. Worked out by hand for the level yard: the coast of
// 0.30 m from 0.60 m/s is bounded by 345 mm in 3·345/0.6 = 1725 ms.
func TestAMeasuredStopThatIsLaterCounts(t *testing.T) {
	const record = "  loop: 20 ms\ncommissioning:\n  date: 2027-01-20\n  repeat_by: 2027-07-20\n  passed: [T-0000]\n"
	with := func(format string, args ...any) *plan.Plan {
		return yard(t, edit{"  loop: 20 ms\n", record + fmt.Sprintf(format, args...)})
	}
	usual := yard(t).Board.Timing
	most := usual.HoldMS + 1725
	way := 345 + (600*usual.HoldMS+999)/1000
	for _, c := range []struct {
		fact         string
		ms, mm, late int64
	}{
		{"as expected at most", most, way, 0},
		{"sooner and shorter", most - 500, way - 100, 0},
		{"later", most + 70, way, 70},
		{"farther, by 30 mm at 0.6 m/s", most, way + 30, 50},
		{"both: the worse", most + 20, way + 30, 50},
	} {
		got := with("  stopping: {from: 0.60 m/s, time: %d ms, distance: %d mm}\n", c.ms, c.mm).Board.Timing
		assert.Equal(t, c.late, got.LateMS, c.fact)
		assert.Equal(t, usual.OutputDelayMS+c.late, got.OutputDelayMS, c.fact)
		assert.Equal(t, usual.HoldMS+c.late, got.HoldMS, c.fact)
		assert.Equal(t, usual.FixMS+c.late, got.FixMS, c.fact)
	}
	// A coast that was longer joins those of the rover, and may be why.
	longer := with("  stopping: {from: 0.60 m/s, time: %d ms, distance: %d mm}\n  coast: {from: 0.60 m/s, distance: 40 cm}\n", most+70, way+30)
	assert.Zero(t, longer.Board.Timing.LateMS)
	assert.Greater(t, longer.Route.Legs[0].Stopping.CoastMM, yard(t).Route.Legs[0].Stopping.CoastMM)
}

func TestUnusedKeysOfThePath(t *testing.T) {
	shared := []edit{
		{"wired_to: ground, pull: up}\n    common_cause: {cable: false, connector: false, supply: false, actuator: false}\n    debounce: 20 ms\n    discrepancy: 200 ms\n    stop_category: 0\n  - name",
			"wired_to: ground, pull: up, return_wire: black}\n    common_cause: {cable: false, connector: false, supply: false, actuator: false}\n    debounce: 20 ms\n    discrepancy: 200 ms\n    stop_category: 0\n  - name"},
	}
	for _, c := range []struct {
		name  string
		edits []edit
		want  []string
	}{
		{"nothing", nil, nil},
		{"a watchdog that opens nothing", []edit{{"  loop: 20 ms\n", "  loop: 20 ms\n  watchdog: 100 ms\n"}}, []string{"board.watchdog"}},
		{"a watchdog that opens the relay", []edit{{"  loop: 20 ms\n", "  loop: 20 ms\n  watchdog: 100 ms\n"}, {"mushroom button]", "mushroom button, watchdog]"}}, nil},
		{"a wire of one contact", shared, []string{"holds[0].second_channel.return_wire"}},
		{"a wire of two", append(shared, edit{"    pin: 22\n", "    pin: 22\n    return_wire: black\n"}), nil},
	} {
		var got []string
		for _, u := range yard(t, c.edits...).Unused {
			got = append(got, u.Path)
		}
		assert.Equal(t, c.want, got, c.name)
	}
}
