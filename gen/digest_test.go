// The digest names the drive: it changes when the drive does, and not when only
// the way of writing does.
package gen_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/figures"
	"merestone/internal/plan"
)

func digest(t *testing.T, p *plan.Plan) [32]byte {
	t.Helper()
	return figures.Digest(p)
}

func TestDigestChangesWithTheDrive(t *testing.T) {
	was := digest(t, yard(t))
	seen := map[[32]byte]string{was: "as it was"}
	for name, e := range map[string]edit{
		"a coordinate by 1 cm":    {"B:    {latitude: 51.620444938", "B:    {latitude: 51.620445028"},
		"a corner of the fence":   {"F3:   {latitude: 51.620579753", "F3:   {latitude: 51.620579853"},
		"a corner of the shed":    {"S3:   {latitude: 51.620498865", "S3:   {latitude: 51.620498765"},
		"a radius":                {"radius: 0.8 m", "radius: 0.81 m"},
		"the tolerance":           {"arrival_tolerance: 30 cm", "arrival_tolerance: 31 cm"},
		"the order of waypoints":  {"waypoints: [A, B, C, D]", "waypoints: [D, C, B, A]"},
		"one waypoint less":       {"waypoints: [A, B, C, D]", "waypoints: [A, B, C]"},
		"closed":                  {"closed: false", "closed: true"},
		"a dwell":                 {"waypoints: [A, B, C, D]", "waypoints: [A, {mark: B, dwell: 1 s}, C, D]"},
		"a speed":                 {"waypoints: [A, B, C, D]", "waypoints: [A, {mark: B, speed: 0.5 m/s}, C, D]"},
		"the coast":               {"distance: 0.30 m", "distance: 0.31 m"},
		"the cross-track":         {"cross_track: 8 cm", "cross_track: 9 cm"},
		"the width":               {"width: 0.40 m", "width: 0.42 m"},
		"the receiver":            {"fixed: 1 cm", "fixed: 2 cm"},
		"the required quality":    {"required: fixed", "required: float"},
		"the latency":             {"latency: 80 ms", "latency: 81 ms"},
		"the loop":                {"loop: 20 ms", "loop: 21 ms"},
		"a pin":                   {"second_channel: {pin: 26", "second_channel: {pin: 27"},
		"a contact and its pull":  {"second_channel: {pin: 28, contact: normally-open, wired_to: ground, pull: up}", "second_channel: {pin: 28, contact: normally-open, wired_to: supply, pull: down}"},
		"a debounce":              {"debounce: 20 ms\n    discrepancy: 200 ms\n    stop_category: 0\n\ndrive_path", "debounce: 21 ms\n    discrepancy: 200 ms\n    stop_category: 0\n\ndrive_path"},
		"a stop filter":           {"stop_category: 0\n\ndrive_path", "stop_filter: 1 ms\n    stop_category: 0\n\ndrive_path"},
		"a stop category":         {"stop_category: 0\n\ndrive_path", "stop_category: 1\n\ndrive_path"},
		"what opens a part":       {"opened_by: [drive_enable, mushroom button]", "opened_by: [drive_enable]"},
		"the delay of a part":     {"off_delay: 2 ms", "off_delay: 3 ms"},
		"a part less":             {"  - {name: motor driver, kind: semiconductor, opened_by: [drive_enable], off_delay: 2 ms, pulled_off: true}\n", ""},
		"a semiconductor's pull":  {", pulled_off: true", ""},
		"a relay's diode":         {"coil_diode: true", "coil_diode: false"},
		"a radio link":            {"    stop_category: 0\n  - name", "    stop_category: 0\n    radio: {delay: 80 ms, loss_of_signal: 90 ms}\n  - name"},
		"a watchdog":              {"  loop: 20 ms\n", "  loop: 20 ms\n  watchdog: 100 ms\n"},
		"commissioning":           {"  loop: 20 ms\n", "  loop: 20 ms\ncommissioning: {date: 2026-01-20, repeat_by: 2026-07-20, stopping: {from: 1 m/s, time: 1 s, distance: 1 m}}\n"},
		"the name of a hold":      {"name: thumb switch", "name: thumb"},
		"the name of an obstacle": {"name: well", "name: pit"},
		"the name of the mission": {"mission: yard\n", "mission: yard-b\n"},
		"a tape":                  {"measured: 30.00 m", "measured: 30.01 m"},
		"the day":                 {"date: 2026", "date: 2027"},
		"the origin's height":     {"height: 168.00 m", "height: 468.00 m"},
	} {
		edits := []edit{e}
		if name == "a pin" {
			edits = append(edits, edit{"input_pins: [22, 24, 26, 28]", "input_pins: [22, 24, 27, 28]"})
		}
		d := digest(t, yard(t, edits...))
		assert.Empty(t, seen[d], "%s", name)
		seen[d] = name
	}
}

func TestDigestDoesNotChangeWithTheWriting(t *testing.T) {
	was := digest(t, yard(t))
	for name, edits := range map[string][]edit{
		"comments":     {{"mission: yard\n", "# a comment\nmission: yard # another\n"}},
		"units":        {{"arrival_tolerance: 30 cm", "arrival_tolerance: 0.300 m"}, {"latency: 80 ms", "latency: 0.08 s"}, {"width: 0.40 m", "width: 400 mm"}},
		"order":        {{"  width: 0.40 m\n  length: 0.50 m\n", "  length: 0.50 m\n  width: 0.40 m\n"}, {"fix_rate: 10 Hz\n  latency: 80 ms\n", "latency: 80 ms\n  fix_rate: 10 Hz\n"}},
		"flow style":   {{"waypoints: [A, B, C, D]", "waypoints:\n    - A\n    - B\n    - {mark: C}\n    - D"}},
		"notation":     {{"A:    {latitude: 51.620444939", "A:    {latitude: 51°37'13.6017804\"N"}},
		"usual values": {{"off_delay: 2 ms, pulled_off: true", "off_delay: 0.002 s, pulled_off: true"}, {"[drive_enable, mushroom button]", "[mushroom button, drive_enable]"}, {"fix_rate: 10 Hz", "fix_rate: 10 Hz\n  stale_after: 380 ms"}, {"mission: yard\n", "mission: yard\nconfidence: 95 %\n"}},
		"order of marks": {{"  W:    {latitude: 51.620489877, longitude: 25.913974332, uncertainty: 1 cm}\n", ""},
			{"  BASE: {lat", "  W:    {latitude: 51.620489877, longitude: 25.913974332, uncertainty: 1 cm}\n  BASE: {lat"}},
	} {
		assert.Equal(t, was, digest(t, yard(t, edits...)), name)
	}
}

// Another version of the tool writes its name and nothing else.
func TestVersionIsInTheHeaderAndNotInTheDigest(t *testing.T) {
	p := yard(t)
	one, err := gen.Files(p, "1.0.0")
	require.NoError(t, err)
	two, err := gen.Files(p, "2.0.0-rc1")
	require.NoError(t, err)
	assert.NotEqual(t, string(one[0].Data), string(two[0].Data))
	assert.Equal(t, strings.ReplaceAll(string(one[0].Data), "1.0.0", "2.0.0-rc1"), string(two[0].Data))
	a, err := gen.Board(p, "1.0.0")
	require.NoError(t, err)
	assert.Equal(t, digest(t, p), a.Record.Digest)
}
