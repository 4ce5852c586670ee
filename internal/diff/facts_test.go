package diff

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

// One edit of the walnut grove at a time, what is said of it, and which way it
// goes. The kinds are written down from the principles at the top of
// direction.go, by hand.
func TestEveryEditIsSaidAndJudged(t *testing.T) {
	cases := []struct {
		from, to      string
		subject, what string
		kind          Kind
	}{
		{"mission: walnut-grove-rows", "mission: walnut-grove-lanes", "mission", "name", Neutral},
		{"confidence: 95 %", "confidence: 99 %", "mission", "confidence", Tightens},
		{"date: 2026-05-10", "date: 2026-06-10", "site", "date", Neutral},
		{"origin: {latitude: 45.301200000", "origin: {latitude: 45.301210000", "site", "origin moved", Neutral},
		{"height: 412.60 m}\n", "height: 412.70 m}\n", "site", "height of the origin", Neutral},

		{"averaged_for: 4 h", "averaged_for: 2 h", "base", "averaged for", Loosens},
		{"uncertainty: 0.8 m", "uncertainty: 0.5 m", "base", "uncertainty", Loosens},
		{"position: averaged", "position: entered", "base", "position", Loosens},
		{"control_marks: [K1, K2]", "control_marks: [K1]", "control mark K2", "removed", Loosens},
		{"mark: BASE", "mark: K1", "base", "mark", Look},

		{"fix_rate: 5 Hz", "fix_rate: 10 Hz", "receiver", "time between fixes", Tightens},
		{"latency: 120 ms", "latency: 100 ms", "receiver", "latency", Loosens},
		{"stale_after: 1 s", "stale_after: 900 ms", "receiver", "fix counts as stale after", Tightens},
		{"fixed: 2 cm", "fixed: 15 mm", "receiver", "uncertainty, fixed", Loosens},
		{"float: 40 cm", "float: 50 cm", "receiver", "uncertainty, float", Tightens},
		{"fixed: 2 cm, float: 40 cm", "fixed: 2 cm", "receiver", "uncertainty, float", Look},
		{"required: fixed", "required: float", "receiver", "required solution", Loosens},

		{"width: 0.42 m", "width: 0.44 m", "rover", "width", Tightens},
		{"length: 0.60 m", "length: 0.58 m", "rover", "length", Loosens},
		{"cruise: 0.60 m/s", "cruise: 0.55 m/s", "rover", "cruise speed", Tightens},
		{"minimum: 0.25 m/s", "minimum: 0.20 m/s", "rover", "minimum speed", Loosens},
		{"distance: 0.45 m", "distance: 0.40 m", "roll-out 1", "coast", Loosens},
		{"coast: {from: 0.60 m/s", "coast: {from: 0.70 m/s", "roll-out 1", "speed that the coast was measured from", Loosens},
		{"distance: 0.45 m}", "distance: 0.45 m, downhill: 1 %}", "roll-out 1", "fall of the ground along the coast", Loosens},
		{"coast: {from: 0.60 m/s, distance: 0.45 m}", "coast: [{from: 0.60 m/s, distance: 0.45 m}, {from: 0.30 m/s, distance: 0.15 m}]", "rover", "roll-outs", Loosens},
		{"coast: {from: 0.60 m/s, distance: 0.45 m}", "coast: [{from: 0.60 m/s, distance: 0.45 m}, {from: 0.60 m/s, distance: 0.50 m}]", "rover", "roll-outs", Tightens},
		{"date: 2026-05-10", "date: 2026-05-10\n  slope: 1.2 %", "site", "steepest ground", Tightens},
		{"turn_radius: 0 m", "turn_radius: 20 cm", "rover", "turn radius", Tightens},
		{"cross_track: 8 cm", "cross_track: 10 cm", "rover", "cross-track allowance", Loosens},
		{"motor_lag: 150 ms", "motor_lag: 200 ms", "rover", "motor lag", Tightens},
		{"heading_uncertainty: 3 deg", "heading_uncertainty: 2 deg", "rover", "heading uncertainty", Loosens},
		{"tilt: 4 deg", "tilt: 5 deg", "rover", "tilt", Tightens},
		{"forward: 10 cm", "forward: 20 cm", "rover", "antenna forward of the middle", Look},
		{"forward: 10 cm", "forward: -12 cm", "rover", "antenna forward of the middle", Look},
		{"height: 55 cm", "height: 50 cm", "rover", "antenna height", Loosens},
		{"height: 55 cm}\n", "height: 55 cm}\n  compass: {from_antenna: 40 cm}\n", "rover", "compass from the antenna", Neutral},

		{"{latitude: 45.301233110, longitude: 6.123466805, height: 412.65 m, uncertainty: 2 cm}", "{latitude: 45.301233110, longitude: 6.123466805, height: 412.65 m, uncertainty: 1 cm}", "mark START", "uncertainty", Loosens},
		{"latitude: 45.301233110", "latitude: 45.30123311", "mark START", "last written digit", Tightens},
		{"measured: 40.01 m", "measured: 40.00 m", "tape F1–F2", "measured", Look},
		{"measured: 40.01 m, uncertainty: 2 cm", "measured: 40.01 m, uncertainty: 5 cm", "tape F1–F2", "uncertainty", Loosens},
		{"  - {from: P1, to: P2, measured: 8.94 m, uncertainty: 1 cm}\n", "", "tape P1–P2", "removed", Loosens},

		{"arrival_tolerance: 40 cm\n", "arrival_tolerance: 45 cm\n", "waypoint L1S", "arrival tolerance", Loosens},
		{"{mark: P1, arrival_tolerance: 30 cm, speed: 0.30 m/s", "{mark: P1, arrival_tolerance: 30 cm, speed: 0.35 m/s", "leg L1S–P1", "speed", Loosens},
		{"{mark: P1, arrival_tolerance: 30 cm, speed: 0.30 m/s, dwell: 20 s}", "{mark: P1, arrival_tolerance: 30 cm, speed: 0.30 m/s, dwell: 30 s}", "waypoint P1", "dwell", Neutral},

		{"boundary_height: 1.2 m", "boundary_height: 1.4 m", "boundary", "height", Tightens},
		{"boundary_reflects: false", "boundary_reflects: true", "boundary", "reflects satellite signals", Neutral},
		{"boundary: [F1, F2, F3, F4]", "boundary: [F1, F2, F3, F4, BASE]", "boundary", "corners", Neutral},
		{"    - {name: tree 2-4, centre: T24, radius: 40 cm, height: 7 m}\n", "", "obstacle tree 2-4", "removed", Loosens},
		{"    - {name: tree 2-4,", "    - {name: bee hive, centre: P1, radius: 40 cm}\n    - {name: tree 2-4,", "obstacle bee hive", "added", Tightens},
		{"centre: T24, radius: 40 cm", "centre: T24, radius: 39 cm", "obstacle tree 2-4", "radius", Loosens},
		{"centre: T24, radius: 40 cm, height: 7 m", "centre: T24, radius: 40 cm, height: 6 m", "obstacle tree 2-4", "height", Loosens},

		{"debounce: 20 ms\n    stop_category: 0\n  - name", "debounce: 20 ms\n    stop_category: 1\n  - name", "hold thumb switch", "stop category", Loosens},
		{"debounce: 20 ms\n    stop_category: 0\n  - name", "debounce: 25 ms\n    stop_category: 0\n  - name", "hold thumb switch", "debounce", Loosens},
		{"debounce: 20 ms\n    stop_category: 0\n  - name", "debounce: 20 ms\n    stop_filter: 5 ms\n    stop_category: 0\n  - name", "hold thumb switch", "stop filter", Loosens},
		{"kind: hold-to-run", "kind: interlock", "hold thumb switch", "duty of hold-to-run", Loosens},
		{"kind: hold-to-run", "kind: interlock", "hold thumb switch", "duty of interlock", Tightens},
		{"discrepancy: 200 ms", "discrepancy: 100 ms", "hold mushroom button", "discrepancy time", Tightens},
		{"    stop_category: 0\n  - name", "    stop_category: 0\n    radio: {delay: 80 ms, loss_of_signal: 400 ms}\n  - name", "hold thumb switch", "radio, from letting go to the contact", Loosens},
		{"    stop_category: 0\n  - name", "    stop_category: 0\n    radio: {delay: 80 ms, loss_of_signal: 400 ms}\n  - name", "hold thumb switch", "radio, from the loss of the link to the contact", Loosens},
		{"cable: false", "cable: true", "hold mushroom button", "two channels with one cable", Tightens},
		{"connector: false", "connector: true", "hold mushroom button", "two channels with one connector", Tightens},
		{"supply: false", "supply: true", "hold mushroom button", "two channels with one supply", Tightens},
		{"actuator: false", "actuator: true", "hold mushroom button", "two channels with one actuator", Tightens},
		{"    second_channel: {pin: 26, contact: normally-closed, wired_to: ground, pull: up}\n    common_cause: {cable: false, connector: false, supply: false, actuator: false}\n", "", "hold mushroom button", "channels", Loosens},
		{"pin: 26, contact", "pin: 28, contact", "hold mushroom button", "second channel, pin", Look},

		{"loop: 20 ms", "loop: 25 ms", "board", "longest time between two turns of the loop", Loosens},
		{"watchdog: 100 ms", "watchdog: 200 ms", "board", "watchdog", Loosens},
		{"watchdog: 100 ms", "watchdog: 100 ms\n  covered: by a second processor", "board", "drive_enable held on, covered", Loosens},

		{"off_delay: 15 ms", "off_delay: 10 ms", "part main relay", "delay until it is off", Loosens},
		{"coil_diode: true", "coil_diode: false", "part main relay", "diode across the coil", Neutral},
		{"pulled_off: true", "pulled_off: false", "part motor driver", "pulled off", Loosens},
		{"pulled_off: true", "pulled_off: true, covered: tried each day", "part motor driver", "its failure covered", Loosens},
		{"[drive_enable, thumb switch, ", "[drive_enable, ", "part main relay", "opened by thumb switch", Loosens},
		{"[drive_enable, thumb switch, mushroom button, watchdog]", "[drive_enable, thumb switch, mushroom button]", "part main relay", "opened by watchdog", Loosens},
		{"[drive_enable], off_delay", "[drive_enable, watchdog], off_delay", "part motor driver", "opened by watchdog", Tightens},
		{"  - {name: motor driver, kind: semiconductor, opened_by: [drive_enable], off_delay: 2 ms, pulled_off: true}\n", "", "part motor driver", "removed", Loosens},
		{"main relay, kind: relay, opened_by: [drive_enable, thumb switch, mushroom button, watchdog], off_delay: 15 ms, coil_diode: true", "main relay, kind: semiconductor, opened_by: [drive_enable, thumb switch, mushroom button, watchdog], off_delay: 15 ms, pulled_off: true", "part main relay", "kind", Look},
		{"\nboard:\n", "\ncommissioning: {date: 2026-05-01, repeat_by: 2026-11-01, stopping: {from: 1 m/s, time: 1 s, distance: 1 m}}\nboard:\n", "commissioning", "added", Look},
		{"drive_enable: 8", "drive_enable: 9", "board", "drive enable pin", Look},
		{"supply: 3.3 V", "supply: 3.2 V", "board", "logic, supply", Neutral},
	}
	text := example(t, "grove")
	before := resolve("grove", text)
	require.NotNil(t, before.plan)
	require.True(t, before.plan.Complete())
	for _, c := range cases {
		t.Run(c.subject+" "+c.what, func(t *testing.T) {
			after := resolve("grove", edit(t, text, c.from, c.to))
			r := compare(before, after)
			found := find(r.Changes, c.subject, c.what)
			require.Len(t, found, 1, printed(t, r))
			assert.Equal(t, c.kind, found[0].Kind, printed(t, r))
			back := find(compare(after, before).Changes, c.subject, backwards(c.what))
			require.Len(t, back, 1)
			assert.Equal(t, c.kind.Reverse(), back[0].Kind, "backwards")
		})
	}
}

// A part and a hold that are renamed are the same ones, and open what they did.
func TestRenamedPartsOpenAsBefore(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	for _, c := range []struct{ from, to, subject string }{
		{"motor driver", "bridge", "part motor driver"},
		{"thumb switch", "grip", "hold thumb switch"},
	} {
		r := compare(before, resolve("grove", strings.ReplaceAll(text, c.from, c.to)))
		require.Len(t, r.Changes, 1, printed(t, r))
		assert.Equal(t, [2]string{c.subject, "renamed"}, [2]string{r.Changes[0].Subject, r.Changes[0].What})
	}
}

// The record of commissioning is compared, run by run where there are as many.
func TestCommissioningIsCompared(t *testing.T) {
	const record = "\ncommissioning:\n  date: 2026-05-01\n  repeat_by: 2026-11-01\n  stopping: [{from: 1 m/s, time: 1 s, distance: 1 m}]\n  coast: {from: 1 m/s, distance: 80 cm}\n  passed: [T01, T02]\nboard:\n"
	text := edit(t, example(t, "grove"), "\nboard:\n", record)
	before := resolve("grove", text)
	require.NotNil(t, before.plan)
	for _, c := range []struct{ from, to, subject, what string }{
		{"date: 2026-05-01", "date: 2026-05-02", "commissioning", "date"},
		{"repeat_by: 2026-11-01", "repeat_by: 2026-12-01", "commissioning", "to be repeated by"},
		{"[T01, T02]", "[T01]", "commissioning", "tests passed"},
		{"time: 1 s", "time: 1.1 s", "measured stop 1", "time to rest"},
		{"distance: 80 cm", "distance: 81 cm", "measured roll-out 1", "coast"},
		{"distance: 1 m}]", "distance: 1 m}, {from: 0.5 m/s, time: 1 s, distance: 0.4 m}]", "commissioning", "measured stops"},
		{"  coast: {from: 1 m/s, distance: 80 cm}\n", "", "commissioning", "measured roll-outs"},
	} {
		r := compare(before, resolve("grove", edit(t, text, c.from, c.to)))
		found := find(r.Changes, c.subject, c.what)
		require.Len(t, found, 1, printed(t, r))
		assert.Equal(t, Look, found[0].Kind)
	}
}

// backwards is what is said of the change made backwards.
func backwards(what string) string {
	switch {
	case what == "added":
		return "removed"
	case what == "removed":
		return "added"
	case what == "appeared":
		return "disappeared"
	case what == "disappeared":
		return "appeared"
	case strings.HasPrefix(what, "takes in"):
		return "gives up" + strings.TrimPrefix(what, "takes in")
	case strings.HasPrefix(what, "gives up"):
		return "takes in" + strings.TrimPrefix(what, "gives up")
	default:
		return what
	}
}

// The thumb switch wired so that one fault more leaves the drive running: a
// contact that closes to the supply against no pull floats when it opens.
func TestHoldMadeFailUnsafe(t *testing.T) {
	text := edit(t, example(t, "grove"), "[drive_enable, thumb switch, ", "[drive_enable, ")
	before := resolve("grove", text)
	const from = "pin: 22\n    contact: normally-open\n    wired_to: ground\n    pull: up"
	for _, c := range []struct {
		to, subject, what string
	}{
		{"pin: 22\n    contact: normally-open\n    wired_to: supply\n    pull: down", "hold thumb switch", "at the fault: pin 22 stuck high"},
		{"pin: 22\n    contact: normally-closed\n    wired_to: ground\n    pull: up", "hold thumb switch", "at the fault: signal wire open, pin 22"},
	} {
		r := compare(before, resolve("grove", edit(t, text, from, c.to)))
		worse := find(r.Changes, c.subject, c.what)
		require.Len(t, worse, 1, printed(t, r))
		assert.Equal(t, Loosens, worse[0].Kind)
		assert.True(t, r.Looser())
	}
}

// The same mission written otherwise: order of keys, units, quoting, comments,
// the notation of angles.
func TestSpellingMakesNoDifference(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	for _, c := range [][2]string{
		{"width: 0.42 m", "width: 42 cm"},
		{"width: 0.42 m", "width: 420 mm # as built"},
		{"width: 0.42 m\n  length: 0.60 m", "length: 600 mm\n  width: 0.42 m"},
		{"averaged_for: 4 h", "averaged_for: 240 min"},
		{"mark: BASE", "mark: 'BASE'"},
		{"  closed: false\n", ""},
		{"fix_rate: 5 Hz", "fix_rate: 5.0 Hz # so the data sheet"},
		{"{mark: P1, arrival_tolerance: 30 cm, speed: 0.30 m/s, dwell: 20 s}", "{dwell: 20000 ms, speed: 30 cm/s, arrival_tolerance: 0.3 m, mark: \"P1\"}"},
		{"origin: {latitude: 45.301200000", "origin: {latitude: 45°18'04.32\"N"},
		{"site:\n", "# moved up\n\nsite:\n"},
	} {
		after := resolve("grove", edit(t, text, c[0], c[1]))
		require.False(t, after.plan == nil || !after.plan.Complete(), "%q: %v", c[1], after.findings)
		assert.Equal(t, []Change{}, compare(before, after).Changes, "%q", c[1])
		assert.Equal(t, canonicalText(t, before), canonicalText(t, after), "%q: canonical text", c[1])
	}
}

func canonicalText(t *testing.T, m mission) string {
	var out strings.Builder
	require.NoError(t, WriteCanonical(&out, m.plan, m.findings))
	return out.String()
}

// A renamed mark is renamed, not moved, and nothing follows from it.
func TestRenamedMark(t *testing.T) {
	text := example(t, "grove")
	renamed := strings.NewReplacer("P2:", "Q7:", "to: P2", "to: Q7", "mark: P2", "mark: Q7").Replace(text)
	r := compare(resolve("grove", text), resolve("grove", renamed))
	require.GreaterOrEqual(t, len(r.Changes), 1, printed(t, r))
	assert.Equal(t, "neutral   mark P2 renamed Q7, not moved", strings.Split(printed(t, r), "\n")[2])
	assert.Empty(t, find(r.Changes, "mark Q7", "moved"))
	assert.Zero(t, r.Count(Loosens)+r.Count(Tightens), printed(t, r))
	assert.Len(t, r.Changes, 1, printed(t, r))
}

// Findings are matched by what they are about, and not by how they read. Each case
// is one that the names alone would get wrong.
func TestFindingsAreMatchedByWhatTheyAreAbout(t *testing.T) {
	text := example(t, "grove")
	named := func(name string) string {
		return strings.NewReplacer("P2:", name+":", "to: P2", "to: "+name, "mark: P2", "mark: "+name).Replace(text)
	}
	wide := func(tree string) string {
		return edit(t, text, "centre: "+tree+", radius: 40 cm", "centre: "+tree+", radius: 3.2 m")
	}
	slow := func(marks ...string) string {
		slowed := text
		for _, m := range marks {
			slowed = edit(t, slowed, "{mark: "+m+", arrival_tolerance: 30 cm, speed: 0.30 m/s", "{mark: "+m+", arrival_tolerance: 30 cm, speed: 0.24 m/s")
		}
		return slowed
	}
	tall := edit(t, text, "    - {name: tree 2-4,", "    - {name: bee hive, centre: T24, radius: 20 cm, height: 2 m, reflects: true}\n    - {name: tree 2-4,")
	for _, c := range []struct {
		name          string
		before, after string
		want          map[string]int // changes by what is said of findings
	}{
		{"a mark that is called as a word of the messages is renamed", named("from"), named("Q7"), map[string]int{}},
		{"a mark of two words is renamed", named("gate post"), named("Q7"), map[string]int{}},
		{"an obstacle is renamed, and is one of those said", tall, strings.Replace(tall, "bee hive", "hive", 1), map[string]int{}},
		{"a hold is renamed", text, strings.ReplaceAll(text, "thumb switch", "2nd grip"), map[string]int{}},
		{"another tree, told apart by the figures of its name, is too near", wide("T34"), wide("T24"), map[string]int{"appeared": 3, "disappeared": 2}},
		{"the same tree is nearer still", wide("T34"), strings.Replace(wide("T34"), "radius: 3.2 m", "radius: 3.3 m", 1), map[string]int{}},
		{"a third leg is too slow, as two were", slow("P1", "P2"), slow("P1", "P2", "P3"), map[string]int{"says": 2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			before, after := resolve("grove", c.before), resolve("grove", c.after)
			require.NotNil(t, before.plan)
			require.NotNil(t, after.plan)
			r := compare(before, after)
			got := map[string]int{}
			for _, change := range r.Changes {
				for _, f := range append(before.findings, after.findings...) {
					if change.Subject == fmt.Sprintf("%v %s", f.Severity, f.Rule) {
						got[change.What]++
						break
					}
				}
			}
			assert.Equal(t, c.want, got, printed(t, r))
		})
	}
}

// A mark moved by a known amount, which cct (PROJ) measures between the two
// coordinates in the topocentric frame of the site.
func TestMarkMovedWithItsEffects(t *testing.T) {
	text := example(t, "grove")
	r := compare(resolve("grove", text), resolve("grove", edit(t, text,
		"P2:    {latitude: 45.301408736, longitude: 6.123751873", "P2:    {latitude: 45.301408887, longitude: 6.123755946")))
	at := tooltest.Topocentric(t, []string{"45.3012", "6.1234", "412.6"}, [][]string{{"45.301408736", "6.123751873", "412.6"}, {"45.301408887", "6.123755946", "412.6"}})
	east, north := at[1][0]-at[0][0], at[1][1]-at[0][1]
	moved := find(r.Changes, "mark P2", "moved")
	require.Len(t, moved, 1)
	assert.InDelta(t, math.Hypot(east, north), moved[0].Move.DistanceM, 2e-5)
	assert.InDelta(t, math.Atan2(east, north)*180/math.Pi, moved[0].Move.BearingDeg, 0.01)
	for _, leg := range []string{"leg L2N–P2", "leg P2–L2S"} {
		for _, what := range []string{"length", "bearing", "clearance"} {
			assert.Len(t, find(moved[0].Effects, leg, what), 1, "%s %s", leg, what)
		}
	}
	assert.Contains(t, printed(t, r), "mark P2 moved 0.32 m on bearing 087 deg")
}

func TestRoutes(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	cases := []struct {
		from, to string
		want     string // a line of the report
	}{
		{"    - L2N\n", "", "waypoint L2N removed between L1N and P2"},
		{"    - START\n", "", "waypoint START removed at the start, before L1S"},
		{"    - END\n", "", "waypoint END removed at the end, after L3N"},
		{"    - L2S\n    - L3S\n", "    - L3S\n    - L2S\n", "waypoint L2S, order: between P2 and L3S → between L3S and P3"},
		{"    - L2N\n", "    - K1\n", "route between L1N and P2, visits: L2N → K1"},
		{"    - L3N\n    - END\n", "    - L3N\n    - END\n    - L3N\n", "waypoint L3N added at the end, after END"},
		{"closed: false", "closed: true", "route, closed: no → yes"},
	}
	for _, c := range cases {
		r := compare(before, resolve("grove", edit(t, text, c.from, c.to)))
		assert.Contains(t, printed(t, r), "neutral   "+c.want+"\n")
	}
}

func TestReversedRoute(t *testing.T) {
	text := example(t, "grove")
	from := strings.Index(text, "    - START\n")
	to := strings.Index(text, "\ngeofence:")
	lines := strings.Split(strings.TrimRight(text[from:to], "\n"), "\n")
	var kept []string
	for i := len(lines) - 1; i >= 0; i-- {
		if strings.HasPrefix(lines[i], "    - ") {
			kept = append(kept, lines[i])
		}
	}
	reversed := text[:from] + strings.Join(kept, "\n") + "\n" + text[to:]
	r := compare(resolve("grove", text), resolve("grove", reversed))
	assert.Len(t, find(r.Changes, "route", "driven the other way"), 1, printed(t, r))
	assert.Empty(t, find(r.Changes, "leg L1S–P1", "removed"))
}

// Missions that do not parse, or resolve only in part, or not at all.
func TestIncompleteMissions(t *testing.T) {
	text := example(t, "grove")
	whole := resolve("grove", text)
	none := mission{}
	assert.False(t, compare(none, none).Same(), "nothing is known of either")
	assert.True(t, compare(whole, none).Unproved())
	assert.Len(t, compare(whole, none).Changes, 1+len(whole.findings))
	for _, c := range [][2]string{
		{"cruise: 0.60 m/s", "cruise: 0.60"},
		{"confidence: 95 %", "confidance: 95 %"},
		{"boundary: [F1, F2, F3, F4]", "boundary: [F1, F3, F2, F4]"},
		{"boundary: [F1, F2, F3, F4]", "boundary: [F1, F2]"},
		{"    - L1N\n", "    - NOWHERE\n"},
		{"marks_file: trees.csv", "marks_file: gone.csv"},
		{"site:\n", "sites:\n"},
		{"holds:\n", "hold:\n"},
		{"receiver:\n", "receivers:\n"},
		{"pin: 24\n", "pin: 22\n"},
		{"latitude: 45.301233110", "latitude: 46.301233110"},
		{"- {mark: P1", "- {mark: L1S}\n    - {mark: P1"},
	} {
		broken := resolve("grove", edit(t, text, c[0], c[1]))
		for _, r := range []Result{compare(whole, broken), compare(broken, whole)} {
			assert.False(t, r.Same(), "%q", c[1])
			found := 0
			for _, change := range r.Changes {
				if change.What == "appeared" || change.What == "disappeared" {
					found++
				}
			}
			assert.NotZero(t, found, "%q: findings that appeared or disappeared\n%s", c[1], printed(t, r))
		}
		assert.Empty(t, compare(broken, broken).Changes, "%q", c[1])
		assert.True(t, compare(broken, broken).Same(), "the same bytes")
		assert.True(t, compare(broken, broken).Unproved())
		assert.NotEmpty(t, compare(broken, broken).Errors, "%q", c[1])
		again := resolve("grove", edit(t, text, c[0], c[1])+"\n# said twice\n")
		if r := compare(broken, again); broken.plan == nil || !broken.plan.Complete() {
			assert.False(t, r.Same(), "%q: other bytes that do not resolve", c[1])
			assert.NotZero(t, r.Count(Look), "%q", c[1])
		}
	}
}

// Legs are compared although a fence has faults, or none is there.
func TestLegsWithoutAFence(t *testing.T) {
	text := example(t, "grove")
	moved := edit(t, text, "END:   {latitude: 45.301653460", "END:   {latitude: 45.301663460")
	for _, boundary := range []string{"boundary: [F1, F3, F2, F4]", "boundary: [F1, F2]", "boundary: [F1, F1, F1]", "boundary: [NOWHERE, F2, F3]"} {
		broken := edit(t, moved, "boundary: [F1, F2, F3, F4]", boundary)
		for _, r := range []Result{compare(resolve("grove", text), resolve("grove", broken)), compare(resolve("grove", broken), resolve("grove", text)), compare(resolve("grove", edit(t, text, "boundary: [F1, F2, F3, F4]", boundary)), resolve("grove", broken))} {
			assert.NotEmpty(t, find(r.Changes, "leg L3N–END", "length"), boundary)
			assert.True(t, r.Unproved(), boundary)
		}
	}
}

// Legs that come and go with a waypoint are judged part by part against those that they
// replace; at the ends of a route, against the worst of the rest.
func TestReplacedLegsAreJudged(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	for _, c := range []struct {
		from, to      string
		subject, what string
		kind          Kind
	}{
		{"    - L2N\n", "", "leg L1N–P2 in place of L2N–P2", "surplus", Loosens}, // across the rows
		{"    - L2N\n", "", "leg L1N–P2 in place of L1N–L2N", "speed", Tightens},
		{"    - L2N\n", "    - K1\n", "leg L1N–K1 in place of L1N–L2N", "surplus", Loosens}, // outside the fence
		{"    - END\n", "    - END\n    - K2\n", "legs added", "least surplus", Loosens},
		{"    - END\n", "    - END\n    - {mark: L3N, speed: 0.9 m/s}\n", "legs added", "highest speed", Loosens},
		{"    - END\n", "    - END\n    - {mark: L3N, arrival_tolerance: 60 cm}\n", "waypoint L3N", "widest arrival tolerance", Loosens},
		{"    - {mark: P2, arrival_tolerance: 30 cm, speed: 0.30 m/s, dwell: 20 s}\n", "", "leg L2N–L2S in place of L2N–P2", "speed", Loosens}, // it was slow to P2
	} {
		after := resolve("grove", edit(t, text, c.from, c.to))
		r := compare(before, after)
		found := find(r.Changes, c.subject, c.what)
		require.Len(t, found, 1, printed(t, r))
		assert.Equal(t, c.kind, found[0].Kind)
		back := compare(after, before)
		assert.Equal(t, r.Count(Loosens), back.Count(Tightens))
	}
	// More of the same at the end is no worse than what was there, but was not there.
	r := compare(before, resolve("grove", edit(t, text, "    - END\n", "    - END\n    - L3N\n")))
	assert.Zero(t, r.Count(Loosens)+r.Count(Tightens), printed(t, r))
	assert.Equal(t, 1, r.Count(Look), printed(t, r))
}

// What is overhead is judged by how much of the sky it hides.
func TestOverheadAreasAreJudged(t *testing.T) {
	text := example(t, "grove")
	const line = "    - {name: lime, kind: canopy, centre: T24, radius: 2 m, height: 7 m, headroom: 1.6 m}\n"
	const ring = "    - {name: lime, kind: canopy, ring: [T11, T12, T22, T21], height: 7 m}\n"
	with := func(lines string) mission {
		return resolve("grove", edit(t, text, "\nbase:\n", "\n  overhead:\n"+lines+"\nbase:\n"))
	}
	none := resolve("grove", text)
	for _, c := range []struct {
		before, after mission
		what          string
		kind          Kind
	}{
		{none, with(line), "added", Tightens},
		{with(line), with(strings.Replace(line, "canopy", "roof", 1)), "kind", Tightens},
		{with(line), with(strings.Replace(line, "2 m", "3 m", 1)), "radius", Tightens},
		{with(line), with(strings.Replace(line, "7 m", "6 m", 1)), "height", Loosens},
		{with(line), with(strings.Replace(line, ", headroom: 1.6 m", "", 1)), "headroom", Tightens},
		{with(line), with(strings.Replace(line, "1.6 m", "1.7 m", 1)), "headroom", Loosens},
		{with(line), with(strings.Replace(line, "lime", "elm", 1)), "renamed", Neutral},
		{with(line), with(strings.Replace(line, "T24", "T25", 1)), "centre", Neutral},
		{with(line), with(strings.Replace(line, "T24", "T25", 1)), "takes in ground", Tightens},
		{with(line), with(strings.Replace(line, "T24", "T25", 1)), "gives up ground", Loosens},
		{with(ring), with(line), "shape", Neutral},
		{with(ring), with(strings.Replace(ring, "T22, T21", "T32, T31", 1)), "corners", Neutral},
	} {
		r := compare(c.before, c.after)
		found := find(r.Changes, "overhead area lime", c.what)
		require.Len(t, found, 1, "%s: %s", c.what, printed(t, r))
		assert.Equal(t, c.kind, found[0].Kind, "%s: %s", c.what, printed(t, r))
		back := compare(c.after, c.before)
		assert.Equal(t, r.Count(Loosens), back.Count(Tightens), c.what)
		assert.Equal(t, r.Count(Tightens), back.Count(Loosens), c.what)
	}
	more := compare(with(ring), with(strings.Replace(ring, "T22, T21", "T32, T31", 1)))
	assert.Equal(t, 1, more.Count(Tightens), printed(t, more))
	assert.Zero(t, more.Count(Loosens), printed(t, more))
}

// Round obstacles around another mark, 8 mm from the old one, and of another
// radius: what one circle covers of the other decides.
func TestGroundOfRoundObstacles(t *testing.T) {
	text := edit(t, example(t, "grove"), "  START:", "  NEAR: {latitude: 45.301453363, longitude: 6.123717296}\n  START:")
	before := resolve("grove", text)
	for _, c := range []struct {
		to           string
		takes, gives int
	}{
		{"centre: NEAR, radius: 40 cm", 1, 1},
		{"centre: NEAR, radius: 20 cm", 0, 1},
		{"centre: NEAR, radius: 60 cm", 1, 0},
		{"centre: T24, radius: 60 cm", 0, 0}, // the radius itself is judged
		{"ring: [P1, P2, T24]", 1, 1},
		{"ring: [F1, F2, F3, F4]", 1, 0},
	} {
		r := compare(before, resolve("grove", edit(t, text, "centre: T24, radius: 40 cm", c.to)))
		takes, gives := find(r.Changes, "obstacle tree 2-4", "takes in ground"), find(r.Changes, "obstacle tree 2-4", "gives up ground")
		assert.Len(t, takes, c.takes, "%s\n%s", c.to, printed(t, r))
		assert.Len(t, gives, c.gives, "%s\n%s", c.to, printed(t, r))
		for _, x := range takes {
			assert.Equal(t, Tightens, x.Kind)
		}
		for _, x := range gives {
			assert.Equal(t, Loosens, x.Kind)
		}
	}
}

// A second channel rewired: its own faults have other outcomes, the first
// channel's have the old ones.
func TestFaultsOfOneChannel(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	after := resolve("grove", edit(t, text, "{pin: 26, contact: normally-closed, wired_to: ground, pull: up}", "{pin: 26, contact: normally-closed, wired_to: supply, pull: down}"))
	for want, r := range map[string]Result{
		"still stops, found at the next demand → shorts the supply, found at once": compare(before, after),
		"shorts the supply, found at once → still stops, found at the next demand": compare(after, before),
	} {
		var said []string
		for _, c := range r.Changes {
			for _, e := range c.Effects {
				said = append(said, e.What+": "+e.Before+" → "+e.After)
			}
		}
		assert.Contains(t, said, "at the fault: signal wire shorted to ground, pin 26: "+want, printed(t, r))
		for _, s := range said {
			assert.Contains(t, s, "26", "of the first channel alone")
		}
	}
}
