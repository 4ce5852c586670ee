// Facts of the trade, each as a check value over a whole mission: the yard with a
// change or two, and what is said of it. Common practice, no source.
package examples

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
)

// said is how a rule judges a mission: "error", "warning", "note", or nothing.
func said(t *testing.T, rule string, changes ...Change) string {
	t.Helper()
	worst := diag.Severity(0)
	for _, f := range changed(t, changes...).Findings {
		require.NotEqual(t, "spec.", string(f.Rule)[:5], f.Message())
		if string(f.Rule) == rule {
			worst = max(worst, f.Severity)
		}
	}
	if worst == 0 {
		return ""
	}
	return worst.String()
}

func TestFactsOfTheTrade(t *testing.T) {
	tape := func(uncertainty string) Change {
		return written("tape:\n  - {from: F1, to: F2, measured: 30.00 m, uncertainty: 2 cm}", "tape:\n  - {from: P, to: Q, measured: 17.80 m, uncertainty: "+uncertainty+"}")
	}
	eighteen := []Change{moved("P", 4, 2), moved("Q", 22, 2)} // 18.0 m
	float := func(tolerance string) []Change {
		return []Change{written("required: fixed", "required: float"), written("arrival_tolerance: 30 cm", "arrival_tolerance: "+tolerance)}
	}
	// A house of two storeys, 6.5 m high and 12 m long, north of the yard's last leg.
	house := func(metres float64) []Change {
		return []Change{
			moved("F3", 30, 80), moved("F4", 0, 80),
			moved("S1", 6, 15+metres), moved("S2", 18, 15+metres), moved("S3", 18, 25+metres), moved("S4", 6, 25+metres),
			written(yardShed, yardShed+", height: 6.5 m"),
		}
	}
	over := func(kind string) Change {
		return written("date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: yard, kind: "+kind+", ring: [F1, F2, F3, F4], height: 6 m}")
	}
	compass := func(distance string) Change {
		return written("cross_track: 8 cm", "cross_track: 8 cm\n  compass: {from_antenna: "+distance+"}")
	}
	averaged := func(howLong, uncertainty string) Change {
		return written(yardBase, "base: {mark: BASE, position: averaged, averaged_for: "+howLong+", uncertainty: "+uncertainty+"}")
	}
	for _, c := range []struct {
		fact, rule, want string
		changes          []Change
	}{
		{"17.8 m by a tape of 2 cm where coordinates of 1 cm say 18.0 m", "tape.distance", "error", append(eighteen, tape("2 cm"))},
		{"by a tape of 5 cm", "tape.distance", "error", append(eighteen, tape("5 cm"))},
		{"by a tape of a decimetre", "tape.distance", "", append(eighteen, tape("11 cm"))},
		{"and by a good tape, from a mark that is honest about decimetres", "tape.distance", "", []Change{coarse("P", 4, 2), moved("Q", 22, 2), tape("2 cm")}},

		{"float solutions under trees, tolerance of centimetres", "arrival.tolerance", "error", float("5 cm")},
		{"of decimetres", "arrival.tolerance", "error", float("90 cm")},
		{"of more than a metre", "arrival.tolerance", "", float("1.2 m")},
		{"a fixed solution in the open, of decimetres", "arrival.tolerance", "", nil},

		{"3 m from a house of two storeys", "site.sky", "warning", house(3)},
		{"15 m from it the sky is open, but for a note", "site.sky", "note", house(15)},
		{"22 m from it", "site.sky", "note", house(22)},
		{"30 m from it", "site.sky", "", house(30)},
		{"a crane 40 m high and 1 m wide, 19 m away: 3 degrees of the horizon", "site.sky", "note", []Change{written("radius: 0.8 m", "radius: 0.5 m, height: 40 m"), moved("A", 4, 14)}},
		{"leaves over all the yard", "site.sky", "warning", []Change{over("canopy")}},
		{"a roof over all the yard", "site.sky", "error", []Change{over("roof")}},
		{"a roof over the yard for who drives on float solutions", "site.sky", "error", []Change{over("roof"), written("required: fixed", "required: float"), written("arrival_tolerance: 30 cm", "arrival_tolerance: 1.2 m")}},
		{"float solutions under leaves, tolerance of centimetres", "arrival.tolerance", "error", append(float("5 cm"), over("canopy"))},
		{"of more than a metre, which is honest", "site.sky", "note", append(float("1.2 m"), over("canopy"))},

		{"a compass 10 cm from the antenna", "magnetic.compass", "warning", []Change{compass("10 cm")}},
		{"99 cm", "magnetic.compass", "warning", []Change{compass("99 cm")}},
		{"1 m", "magnetic.compass", "", []Change{compass("1 m")}},

		{"a base that averages for minutes, a metre off from day to day, 4 m from the fence", "base.shift", "warning", []Change{averaged("10 min", "40 cm")}},
		{"that calls itself centimetres sure", "plausible.figure", "warning", []Change{averaged("10 min", "2 cm")}},
		{"after four hours, too", "plausible.figure", "warning", []Change{averaged("4 h", "2 cm")}},
		{"honest about it", "plausible.figure", "", []Change{averaged("4 h", "40 cm")}},
		{"a base whose coordinates are entered", "base.shift", "", nil},
	} {
		assert.Equal(t, c.want, said(t, c.rule, c.changes...), "%s (%s)", c.fact, c.rule)
	}
}

// coarse is a mark of which only five decimals are written, a metre apart.
func coarse(name string, acrossM, alongM float64) Change {
	p := at(name, acrossM, alongM)
	p.Decimals = 5
	return Change{Mark: p}
}

// The figures behind them: how far, and by how much.
func TestFiguresOfTheTrade(t *testing.T) {
	figure := func(rule, name string, changes ...Change) float64 {
		t.Helper()
		for _, f := range changed(t, changes...).Findings {
			for _, n := range f.Numbers {
				if string(f.Rule) == rule && n.Name == name {
					return n.Value
				}
			}
		}
		require.Fail(t, "not said", "%s: %s", rule, name)
		return 0
	}
	// Degrees in single precision have six to seven digits: decimetres to half a
	// metre at mid latitudes, where longitudes are below 128.
	for _, latitude := range []int64{31, 40, 51, 59} {
		for _, longitude := range []int64{17, 77, 101, -120} {
			lost := figure("precision.conversion", "single precision", Change{Origin: geodesy.Geodetic{
				Latitude: geodesy.Nanodegree(latitude * 1e9), Longitude: geodesy.Nanodegree(longitude * 1e9), HeightM: 168}})
			assert.Greater(t, lost, 0.1, "%d %d", latitude, longitude)
			assert.Less(t, lost, 0.5, "%d %d", latitude, longitude)
		}
	}
	// Arrivals on a float solution of 40 cm are about a metre off.
	m := changed(t, written("required: fixed", "required: float"))
	closest := float64(m.Plan.Route.Waypoints[1].Arrival.ClosestMM) / 1000
	assert.InDelta(t, 1.1, closest, 0.2)
	// Two averages of 40 cm differ by about a metre.
	assert.InDelta(t, 1.3, figure("base.shift", "shift", written(yardBase, strings.Replace(yardBase, "position: entered, uncertainty: 1 mm", "position: averaged, averaged_for: 4 h, uncertainty: 40 cm", 1))), 0.3)
}
