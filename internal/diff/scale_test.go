package diff

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
	"merestone/spec"
)

// largeInOrder is a mission of waypoints up and down a field of trees, visited in some
// order and called by a letter and a number, with a fence of many corners.
func largeInOrder(t testing.TB, order []int, letter, speed, coast string, offset func(i int) float64) *plan.Plan {
	t.Helper()
	n := len(order)
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
		at(fmt.Sprintf("%s%d", letter, i), float64(row)+offset(i), float64(column))
	}
	for _, i := range order {
		fmt.Fprintf(&route, "    - %s%d\n", letter, i)
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

// pathological are pairs of missions of n waypoints that have little in order: the first
// and, by name, what became of it.
func pathological(t testing.TB, n int) (*plan.Plan, map[string]*plan.Plan) {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	with := func(edit func(order []int)) *plan.Plan {
		edited := slices.Clone(order)
		edit(edited)
		return largeInOrder(t, edited, "M", "0.60 m/s", "0.45 m", still)
	}
	random := rand.New(rand.NewPCG(13, 1))
	return with(func([]int) {}), map[string]*plan.Plan{
		"swapped in pairs": with(func(o []int) {
			for i := 0; i+1 < len(o); i += 2 {
				o[i], o[i+1] = o[i+1], o[i]
			}
		}),
		"shuffled": with(func(o []int) { random.Shuffle(len(o), func(i, j int) { o[i], o[j] = o[j], o[i] }) }),
		"shuffled in tens": with(func(o []int) {
			for i := 0; i < len(o); i += 10 {
				random.Shuffle(min(10, len(o)-i), func(j, k int) { o[i+j], o[i+k] = o[i+k], o[i+j] })
			}
		}),
		"reversed":                  with(slices.Reverse[[]int]),
		"reversed but for its ends": with(func(o []int) { slices.Reverse(o[1 : len(o)-1]) }),
		"rotated":                   with(func(o []int) { copy(o, append(slices.Clone(o[len(o)/3:]), o[:len(o)/3]...)) }),
		"every second one later": with(func(o []int) { // evens, then odds
			for i := range o {
				o[i] = 2 * i % len(o)
				if 2*i >= len(o) {
					o[i] = 2*(i-(len(o)+1)/2) + 1
				}
			}
		}),
		"renamed":           largeInOrder(t, order, "N", "0.60 m/s", "0.45 m", still),
		"renamed and moved": largeInOrder(t, order, "N", "0.60 m/s", "0.45 m", everySecond),
		"moved, and slower": largeInOrder(t, order, "M", "0.50 m/s", "0.50 m", everySecond),
		"halved":            largeInOrder(t, order[:n/2], "M", "0.60 m/s", "0.45 m", still),
	}
}

// Four times the mission takes four times the memory, and a logarithm more, whatever
// became of it. How long it takes, BenchmarkCompare says.
func TestNothingIsQuadratic(t *testing.T) {
	small, fewer := pathological(t, 1_500)
	large, more := pathological(t, 6_000)
	for name := range more {
		quarter, whole := allocated(small, fewer[name]), allocated(large, more[name])
		t.Logf("%s: for 1 500 waypoints %d kB, for 6 000 %d kB", name, quarter>>10, whole>>10)
		assert.Less(t, float64(whole), 5.5*float64(quarter), name)
	}
}

// BenchmarkCompare compares the largest missions, each with itself and with what
// became of it, and writes what it finds.
func BenchmarkCompare(b *testing.B) {
	first, others := pathological(b, 65_000)
	others["the same"] = first
	for name, other := range others {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := WriteText(io.Discard, compare(mission{plan: first}, mission{plan: other})); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func allocated(a, b *plan.Plan) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	compare(mission{plan: a}, mission{plan: b})
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}
