package diff

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
	"merestone/spec"
)

// large is a mission of n waypoints up and down a field of trees, with a fence
// of many corners.
func large(t testing.TB, n int, speed, coast string, offset func(i int) float64) *plan.Plan {
	t.Helper()
	base := example(t, "grove")
	head := base[:strings.Index(base, "marks:\n")]
	tail := base[strings.Index(base, "holds:\n"):]
	var marks, csv, route strings.Builder
	fmt.Fprintf(&csv, "name,latitude,longitude,height,uncertainty\n")
	side := int(math.Sqrt(float64(n)))
	const step = 40e-6 // degrees: some 4.4 m by 3.1 m
	at := func(name string, row, column float64) {
		fmt.Fprintf(&csv, "%s,%.9f,%.9f,,2 cm\n", name, 45.2962+row*step, 6.1184+column*step)
	}
	for i := range n {
		row, column := i/side, i%side
		if row%2 == 1 {
			column = side - 1 - column
		}
		at(fmt.Sprintf("M%d", i), float64(row)+offset(i), float64(column))
		fmt.Fprintf(&route, "    - M%d\n", i)
	}
	const corners = 400
	var boundary []string
	middle := float64(side) / 2
	for i := range corners {
		angle := 2 * math.Pi * float64(i) / corners
		at(fmt.Sprintf("F%d", i), middle+float64(side)*math.Sin(angle), middle+float64(side)*math.Cos(angle))
		boundary = append(boundary, fmt.Sprintf("F%d", i))
	}
	var obstacles strings.Builder
	for i := range 400 {
		at(fmt.Sprintf("T%d", i), float64(i%20)*float64(side)/20+0.5, float64(i/20)*float64(side)/20+0.5)
		fmt.Fprintf(&obstacles, "    - {name: tree %d, centre: T%d, radius: 10 cm}\n", i, i)
	}
	fmt.Fprintf(&marks, "marks:\n  BASE: {latitude: 45.301408017, longitude: 6.123300048, uncertainty: 1 cm}\n  K1: {latitude: 45.301173008, longitude: 6.123349004, uncertainty: 1 cm}\n  K2: {latitude: 45.301713561, longitude: 6.124183304, uncertainty: 1 cm}\nmarks_file: marks.csv\n")
	text := head + marks.String() + "route:\n  closed: false\n  arrival_tolerance: 40 cm\n  waypoints:\n" + route.String() +
		"geofence:\n  boundary: [" + strings.Join(boundary, ", ") + "]\n  obstacles:\n" + obstacles.String() + tail
	text = edit(t, text, "cruise: 0.60 m/s", "cruise: "+speed)
	text = edit(t, text, "distance: 0.45 m", "distance: "+coast)
	parsed := spec.Parse("mission.yaml", []byte(text), func(string) ([]byte, error) { return []byte(csv.String()), nil })
	require.Empty(t, parsed.Findings)
	p, findings := plan.Resolve(parsed.Mission)
	require.Empty(t, findings)
	require.Len(t, p.Route.Waypoints, n)
	return p
}

func still(int) float64 { return 0 }

// everySecond moves every second mark by some 0.4 m.
func everySecond(i int) float64 { return 0.1 * float64(i%2) }

// Four times the mission takes four times the memory, whatever differs. How long
// it takes, BenchmarkCompare says.
func TestScale(t *testing.T) {
	small, smallMoved := large(t, 5_000, "0.60 m/s", "0.45 m", still), large(t, 5_000, "0.50 m/s", "0.50 m", everySecond)
	same, moved := large(t, 20_000, "0.60 m/s", "0.45 m", still), large(t, 20_000, "0.50 m/s", "0.50 m", everySecond)
	assert.True(t, compare(mission{plan: same}, mission{plan: same}).Same())
	assert.False(t, compare(mission{plan: same}, mission{plan: halvesExchanged(same)}).Same())

	quarter, whole := allocated(small, smallMoved), allocated(same, moved)
	t.Logf("allocated for 5 000 waypoints %d MB, for 20 000 %d MB", quarter>>20, whole>>20)
	assert.Less(t, float64(whole), 5*float64(quarter), "four times the mission, four times the memory")
	assert.Less(t, whole, uint64(400<<20))

	r := compare(mission{plan: same}, mission{plan: moved})
	assert.False(t, r.Same())
	out := printed(t, r)
	assert.Less(t, strings.Count(out, "\n"), 120_000)
}

func halvesExchanged(p *plan.Plan) *plan.Plan {
	shuffled, half := *p, len(p.Route.Waypoints)/2
	shuffled.Route.Waypoints = append(append([]plan.Waypoint{}, p.Route.Waypoints[half:]...), p.Route.Waypoints[:half]...)
	return &shuffled
}

// BenchmarkCompare compares missions of 5 000 and 20 000 waypoints: the same, one
// with every second mark moved and figures that change what follows on every leg,
// and one with its halves exchanged.
func BenchmarkCompare(b *testing.B) {
	for _, n := range []int{5_000, 20_000} {
		same, moved := large(b, n, "0.60 m/s", "0.45 m", still), large(b, n, "0.50 m/s", "0.50 m", everySecond)
		for _, c := range []struct {
			name string
			with *plan.Plan
		}{{"same", same}, {"moved", moved}, {"exchanged", halvesExchanged(same)}} {
			b.Run(fmt.Sprintf("%s/%d", c.name, n), func(b *testing.B) {
				for b.Loop() {
					compare(mission{plan: same}, mission{plan: c.with})
				}
			})
		}
	}
}

func allocated(a, b *plan.Plan) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	compare(mission{plan: a}, mission{plan: b})
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}
