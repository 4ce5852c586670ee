// One fault is told once: one slip in the yard's mission, and every error of
// resolving and checking it. Beside slips stand others that look alike and are two
// faults, which are both told.
package check

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/spec"
)

func TestOneFaultIsToldOnce(t *testing.T) {
	for _, c := range []struct {
		name  string
		edits [][2]string
		want  []string // what the errors are about, mainly, and the rule
	}{
		{"the output is the pin of a hold, which is an input", [][2]string{{"drive_enable: 8", "drive_enable: 24"}}, []string{
			"hold mushroom button: holds.pin",
		}},
		{"the output is an input of no hold", [][2]string{{"28]\n", "28, 8]\n"}}, []string{"pin 8: holds.pin"}},
		{"two corners exchanged, so that two pairs of edges cross", [][2]string{{"boundary: [F1, F2, F3, F4]", "boundary: [F1, S1, F2, S2, F3, F4]"}, {"boundary: [F1, S1, F2, S2", "boundary: [F1, S2, F2, S1"}, {"    - {name: shed, ring: [S1, S2, S3, S4]}\n", ""}}, []string{
			"boundary: geometry.ring",
		}},
		{"a corner is nowhere near", [][2]string{{"F3:   {latitude: 51.620579753, longitude: 25.914133157", "F3:   {latitude: 51.620402000, longitude: 25.913710000"}}, []string{
			"boundary: geometry.leg-outside", "obstacle well: geometry.obstacle-outside", "obstacle shed: geometry.obstacle-outside",
		}},
		{"an origin of another place", [][2]string{{"origin: {latitude: 51.6", "origin: {latitude: 52.6"}}, []string{"site: geometry.extent"}},
		{"two marks beyond the site", [][2]string{{"C:    {latitude: 51.6", "C:    {latitude: 52.6"}, {"D:    {latitude: 51.6", "D:    {latitude: 52.6"}}, []string{
			"mark C: geometry.extent", "mark D: geometry.extent",
		}},
		{"a mark beyond the site, and beyond the meridian of 180 degrees from it", [][2]string{{"C:    {latitude: 51.620534815, longitude: 25", "C:    {latitude: 51.620534815, longitude: -155"}}, []string{
			"mark C: geometry.extent",
		}},
		{"two wires of one hold that break alike", [][2]string{{"contact: normally-open\n    wired_to: ground\n    pull: up\n    series_resistor: 330 ohm\n    second_channel: {pin: 28, contact: normally-open, wired_to: ground, pull: up, series_resistor: 330 ohm}\n    common_cause: {cable: false, connector: false, supply: true, actuator: true}\n", "contact: normally-closed\n    wired_to: ground\n    pull: up\n"}, {"thumb switch, mushroom button]", "mushroom button]"}}, []string{
			"hold thumb switch: holds.wire-break",
		}},
		{"two marks are outside", [][2]string{{"C:    {latitude: 51.620534815", "C:    {latitude: 51.620634815"}, {"D:    {latitude: 51.620534816", "D:    {latitude: 51.620634816"}}, []string{
			"waypoint C: geometry.leg-outside", "waypoint D: geometry.leg-outside",
		}},
		{"a receiver too poor for every waypoint", [][2]string{{"required: fixed", "required: float"}, {"float: 40 cm", "float: 12 cm"}}, []string{"waypoint B: arrival.tolerance", "rover: line.cross-track"}},
		{"two tolerances too small", [][2]string{{"waypoints: [A, B, C, D]", "waypoints: [A, {mark: B, arrival_tolerance: 9 cm}, C, {mark: D, arrival_tolerance: 8 cm}]"}}, []string{
			"waypoint B: arrival.tolerance", "waypoint D: arrival.tolerance",
		}},
		{"a watchdog shorter than the time between fixes", [][2]string{{"  latency: 80 ms\n", "  latency: 80 ms\n  stale_after: 50 ms\n"}}, []string{"receiver: arrival.stale"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, findings := plan.Resolve(mission(t, c.edits...))
			if p != nil {
				findings = append(findings, All(p)...)
			}
			got, said := []string{}, []string{}
			for _, f := range findings {
				if f.Severity == diag.Error {
					got, said = append(got, f.About[0].String()+": "+string(f.Rule)), append(said, f.Message())
				}
			}
			assert.ElementsMatch(t, c.want, got, "%q", said)
		})
	}
}

// mission reads the yard's mission file with pieces of its text replaced.
func mission(t *testing.T, changes ...[2]string) *spec.Mission {
	t.Helper()
	text, err := os.ReadFile("../../examples/refused/base.yaml")
	require.NoError(t, err)
	for _, c := range changes {
		require.Contains(t, string(text), c[0])
		text = []byte(strings.Replace(string(text), c[0], c[1], 1))
	}
	parsed := spec.Parse("yard.yaml", text, nil)
	require.Empty(t, parsed.Findings)
	return parsed.Mission
}
