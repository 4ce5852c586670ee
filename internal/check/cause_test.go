// One cause is one finding: a mission of 60 waypoints in which one thing is wrong
// everywhere, for every rule that looks at each leg, waypoint, mark, tape or hold.
package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/plan"
)

const many = 60

// wide is the yard's mission with a route of 60 waypoints, 5 m apart and up and down by
// turns, in a fence that is wide enough.
type wide struct {
	mark      func(i int) string // what a mark says beside its place
	waypoint  func(i int) string // a waypoint beside its mark
	east      func(i int) float64
	north     func(i int) float64
	decimals  int
	extra     string // under marks
	boundary  string
	obstacles string
	tapes     string
	edits     [][2]string
}

// near are places in degrees, by metres east and north of the yard's origin.
func near(east, north float64, decimals int) string {
	return fmt.Sprintf("latitude: %.*f, longitude: %.*f", decimals, 51.6204+north/111_260, decimals, 25.9137+east/69_230)
}

func (w wide) changes() [][2]string {
	nothing := func(int) string { return "" }
	if w.mark == nil {
		w.mark = nothing
	}
	if w.waypoint == nil {
		w.waypoint = nothing
	}
	if w.north == nil {
		w.north = func(i int) float64 { return 50 + 20*float64(i%2) }
	}
	if w.east == nil {
		w.east = func(i int) float64 { return 50 + 5*float64(i) }
	}
	if w.decimals == 0 {
		w.decimals = 9
	}
	if w.boundary == "" {
		w.boundary = "B1, B2, B3, B4"
	}
	var marks, route strings.Builder
	for i := range many {
		fmt.Fprintf(&marks, "  P%d: {%s%s}\n", i, near(w.east(i), w.north(i), w.decimals), w.mark(i))
		fmt.Fprintf(&route, "    - {mark: P%d%s}\n", i, w.waypoint(i))
	}
	for i, c := range [][2]float64{{0, -50}, {400, -50}, {400, 200}, {0, 200}} {
		fmt.Fprintf(&marks, "  B%d: {%s}\n", i+1, near(c[0], c[1], 9))
	}
	return append([][2]string{
		{"marks:\n", "marks:\n" + marks.String() + w.extra},
		{"  waypoints: [A, B, C, D]\n", "  waypoints:\n" + route.String()},
		{"boundary: [F1, F2, F3, F4]", "boundary: [" + w.boundary + "]"},
		{"    - {name: well, centre: W, radius: 0.8 m}\n    - {name: shed, ring: [S1, S2, S3, S4]}\n", "    - {name: well, centre: W, radius: 0.8 m}\n" + w.obstacles},
		{"tape:\n", "tape:\n" + w.tapes},
	}, w.edits...)
}

// each is a text for every i.
func each(n int, format func(i int) string) string {
	var out strings.Builder
	for i := range n {
		out.WriteString(format(i))
	}
	return out.String()
}

func TestOneCauseIsOneFinding(t *testing.T) {
	posts := func(north float64, more string) wide {
		return wide{
			extra: each(many, func(i int) string {
				return fmt.Sprintf("  T%d: {%s}\n", i, near(52.5+5*float64(i), north, 9))
			}),
			obstacles: each(many, func(i int) string {
				return fmt.Sprintf("    - {name: post %d, centre: T%d, radius: 10 cm%s}\n", i, i, more)
			}),
		}
	}
	holds := func(second string) [][2]string {
		return [][2]string{{"holds:\n", "holds:\n" + each(6, func(i int) string {
			return fmt.Sprintf("  - {name: bumper %d, kind: interlock, pin: %d, contact: normally-closed, wired_to: ground, pull: up%s}\n", i, 40+i, second)
		})}, {"[22, 24, 26, 28]", "[22, 24, 26, 28, 40, 41, 42, 43, 44, 45]"}}
	}
	for _, c := range []struct {
		cause string
		rule  diag.ID
		with  wide
		wants int // findings of the rule
		names int // things that they are about, at least
	}{
		{"nothing", "arrival.tolerance", wide{}, 0, 0},
		{"all marks with too few decimals", "precision.decimals", wide{decimals: 4}, 1, many},
		{"each with another tolerance, below that", "precision.decimals", wide{decimals: 4, waypoint: func(i int) string { return fmt.Sprintf(", arrival_tolerance: %d mm", 300+i) }}, 1, many},
		{"all marks poorly surveyed", "arrival.tolerance", wide{mark: func(int) string { return ", uncertainty: 2 m" }}, 1, many - 1},
		{"all marks poorly surveyed, each by another figure", "arrival.tolerance", wide{mark: func(i int) string { return fmt.Sprintf(", uncertainty: %d cm", 100+i) }}, 1, many - 1},
		{"all legs too fast", "arrival.speed", wide{edits: [][2]string{{"arrival_tolerance: 30 cm", "arrival_tolerance: 30 cm\n  speed: 0.70 m/s"}}}, 1, many - 1},
		{"each by another speed", "arrival.speed", wide{waypoint: func(i int) string { return fmt.Sprintf(", speed: %d mm/s", 700+i) }}, 1, many - 1},
		{"too slow, each by another speed", "arrival.speed", wide{waypoint: func(i int) string { return fmt.Sprintf(", speed: %d mm/s", 20+i) }}, 1, many - 1},
		{"all legs slower than the coast", "arrival.coast", wide{edits: [][2]string{{"arrival_tolerance: 30 cm", "arrival_tolerance: 15 cm\n  speed: 0.20 m/s"}}}, 1, many - 1},
		{"each leg steeper than said, by its own figure", "slope.bound", wide{mark: func(i int) string { return fmt.Sprintf(", height: %.2f m", 168+0.5*float64(i%2)+0.01*float64(i)) }, edits: [][2]string{{"date: 2026-06-15", "date: 2026-06-15\n  slope: 1 %"}}}, 1, many - 1},
		{"all heights above sea level", "precision.height", wide{mark: func(int) string { return ", height: 1168 m" }}, 1, 1},
		{"an obstacle across all legs", "geometry.leg-obstacle", wide{
			extra: each(4, func(i int) string {
				return fmt.Sprintf("  L%d: {%s}\n", i, near([]float64{30, 390, 390, 30}[i], []float64{58, 58, 62, 62}[i], 9))
			}),
			obstacles: "    - {name: lake, ring: [L0, L1, L2, L3]}\n",
		}, 1, many},
		{"a wide rover beside posts", "geometry.clearance", wide{extra: posts(54, "").extra, obstacles: posts(54, "").obstacles, edits: [][2]string{{"width: 0.40 m", "width: 7.00 m"}}, north: func(i int) float64 { return 50 + float64(i%2) }}, 1, many - 1},
		{"a receiver that is metres off", "geometry.clearance", wide{extra: posts(54, "").extra, obstacles: posts(54, "").obstacles, edits: [][2]string{{"fixed: 1 cm", "fixed: 1 m"}}, north: func(i int) float64 { return 50 + float64(i%2) }}, 1, many - 1},
		{"each leg at another speed, all too near", "geometry.clearance", wide{extra: posts(50.85, "").extra, obstacles: posts(50.85, "").obstacles, waypoint: func(i int) string { return fmt.Sprintf(", speed: %d mm/s", 400+i) }, north: func(i int) float64 { return 50 + 0.1*float64(i%2) }}, 1, many - 1},
		{"a car that swings wide of every corner", "arrival.turn", wide{edits: [][2]string{{"turn_radius: 0 m", "turn_radius: 90 m"}}}, 1, many - 2},
		{"legs too short for the turns", "geometry.short-leg", wide{edits: [][2]string{{"turn_radius: 0 m", "turn_radius: 30 m"}}}, 1, many - 1},
		{"each leg too short, by its own figure", "geometry.short-leg", wide{edits: [][2]string{{"turn_radius: 0 m", "turn_radius: 30 m"}}, east: func(i int) float64 { return 50 + 5*float64(i) + 0.01*float64(i*i%7) }}, 1, many - 1},
		{"an obstacle on each leg", "geometry.leg-obstacle", posts(60, ""), 1, many - 1},
		{"the boundary misses all waypoints", "geometry.leg-outside", wide{boundary: "F1, F2, F3, F4"}, 1, many},
		{"all waypoints at one place", "geometry.zero-leg", wide{east: func(int) float64 { return 50 }, north: func(int) float64 { return 50 }}, 1, many - 1},
		{"to and fro", "geometry.duplicate-leg", wide{east: func(i int) float64 { return 50 + 5*float64(i%2) }, decimals: 9}, 1, many - 2},
		{"the boundary has a bay between all", "geometry.leg-outside", wide{
			extra: each(4, func(i int) string {
				return fmt.Sprintf("  L%d: {%s}\n", i, near([]float64{0, 390, 390, 0}[i], []float64{58, 58, 62, 62}[i], 9))
			}),
			boundary: "B1, B2, B3, B4, L3, L2, L1, L0",
		}, 1, many - 1},
		{"a dwell everywhere and nobody who holds a switch", "holds.dwell", wide{waypoint: func(int) string { return ", dwell: 5 s" }, edits: [][2]string{{"kind: hold-to-run", "kind: interlock"}}}, 1, many - 2},
		{"a roof over all", "site.sky", wide{edits: [][2]string{{"date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: hall, kind: roof, ring: [B1, B2, B3, B4], height: 9 m}"}}}, 1, 2*many - 1},
		{"a low hall", "site.headroom", wide{edits: [][2]string{{"date: 2026-06-15", "date: 2026-06-15\n  overhead:\n    - {name: hall, kind: roof, ring: [B1, B2, B3, B4], height: 9 m, headroom: 20 cm}"}, {"cross_track: 8 cm", "cross_track: 8 cm\n  antenna: {forward: 0 m, right: 0 m, height: 60 cm}"}}}, 1, many - 1},
		{"a tree beside each leg", "site.sky", posts(62, ", height: 9 m"), 1, many},
		{"posts of metal", "site.reflection", posts(62, ", reflects: true"), 1, many},
		{"60 tapes with a wrong unit", "tape.distance", wide{tapes: each(many-1, func(i int) string {
			return fmt.Sprintf("  - {from: P%d, to: P%d, measured: %.2f m, uncertainty: 2 cm}\n", i, i+1, 67+0.01*float64(i))
		})}, 1, many - 1},
		{"holds with a slow debounce", "plausible.figure", wide{edits: holds(", debounce: 150 ms, stop_category: 0")}, 1, 6},
		{"with debounces of their own", "plausible.figure", wide{edits: slices.Concat(holds(", debounce: 150 ms, stop_category: 0"), [][2]string{{"normally-closed, wired_to: ground, pull: up, debounce: 150 ms, stop_category: 0}\n  - {name: bumper 1", "normally-closed, wired_to: ground, pull: up, debounce: 160 ms, stop_category: 0}\n  - {name: bumper 1"}})}, 2, 6},
		{"holds of category 2", "holds.category", wide{edits: holds(", debounce: 20 ms, stop_category: 2")}, 1, 6},
		{"holds with a key that nothing uses", "keys.unused", wide{edits: holds(", debounce: 20 ms, discrepancy: 200 ms, stop_category: 0")}, 1, 6},
		{"holds whose pull the board lacks", "holds.pin", wide{edits: append(holds(", debounce: 20 ms, stop_category: 0"), [2]string{"board:\n", "board:\n  pulls: [down]\n"})}, 1, 8},
		{"holds on pins that are no inputs", "holds.pin", wide{edits: holds(", debounce: 20 ms, stop_category: 0")[:1]}, 1, 6},
		{"holds of one contact, beside the two that are sound but for shorts", "holds.single-fault", wide{edits: holds(", debounce: 20 ms, stop_category: 0")}, 1 + 2 + 1, 6}, // and the drive path, which they have no pole in
		{"holds that read one pin", "holds.pin", wide{edits: [][2]string{{"holds:\n", "holds:\n" + each(6, func(i int) string {
			return fmt.Sprintf("  - {name: bumper %d, kind: interlock, pin: 40, contact: normally-closed, wired_to: ground, pull: up, debounce: 20 ms, stop_category: 0}\n", i)
		})}, {"[22, 24, 26, 28]", "[22, 24, 26, 28, 40]"}}}, 1, 6},
		{"rings all listed crosswise", "geometry.ring", wide{
			extra: each(40, func(i int) string {
				return fmt.Sprintf("  R%d: {%s}\n", i, near(100+5*float64(i/4)+[]float64{0, 1, 0, 1}[i%4], 100+[]float64{0, 0, 1, 1}[i%4], 9))
			}),
			obstacles: each(10, func(i int) string {
				return fmt.Sprintf("    - {name: bed %d, ring: [R%d, R%d, R%d, R%d]}\n", i, 4*i, 4*i+3, 4*i+1, 4*i+2)
			}),
		}, 1, 10},
		{"control marks that are centres of posts", "base.control-marks", wide{extra: posts(62, "").extra, obstacles: posts(62, "").obstacles, edits: [][2]string{{"uncertainty: 1 mm}", "uncertainty: 1 mm, control_marks: [T0, T1, T2, T3, T4, T5]}"}}}, 1, 6},
		{"control marks that are listed twice", "base.control-marks", wide{edits: [][2]string{{"uncertainty: 1 mm}", "uncertainty: 1 mm, control_marks: [P0, P1, P2, P3, P4, P0, P1, P2, P3, P4]}"}}}, 1, 5},
		{"parts that open slowly", "plausible.figure", wide{edits: [][2]string{{"drive_path:\n", "drive_path:\n" + each(6, func(i int) string {
			return fmt.Sprintf("  - {name: contactor %d, kind: relay, opened_by: [mushroom button], off_delay: %d ms, coil_diode: false}\n", i, 300+i)
		})}}}, 1, 6},
		{"stops that all took longer", "commissioning.stopping", wide{edits: [][2]string{{"stopping: [{from: 0.60 m/s, time: 1.1 s, distance: 0.35 m, downhill: 0 %}]", "stopping: [" + each(9, func(i int) string {
			return fmt.Sprintf("{from: 0.%d m/s, time: %d.1 s, distance: 0.9 m}, ", 60-i, 5+i)
		}) + "{from: 0.60 m/s, time: 1.1 s, distance: 0.35 m, downhill: 0 %}]"}}}, 1, 1},
		{"marks said to be points of their own set-up", "base.setup", wide{mark: func(i int) string { return fmt.Sprintf(", same_as: P%d", (i+1)%many) }}, 1, many},
		{"holds whose wire breaks", "holds.wire-break", wide{edits: [][2]string{{"holds:\n", "holds:\n" + each(6, func(i int) string {
			return fmt.Sprintf("  - {name: bumper %d, kind: interlock, pin: %d, contact: normally-open, wired_to: ground, pull: up, debounce: 20 ms, stop_category: 0}\n", i, 40+i)
		})}, {"[22, 24, 26, 28]", "[22, 24, 26, 28, 40, 41, 42, 43, 44, 45]"}}}, 1, 6},
	} {
		t.Run(c.cause+" "+string(c.rule), func(t *testing.T) {
			p, findings := plan.Resolve(mission(t, c.with.changes()...))
			require.NotNil(t, p, "%v", findings)
			byRule, named := map[diag.ID]int{}, map[diag.Subject]bool{}
			for _, f := range append(findings, All(p)...) {
				byRule[f.Rule]++
				if f.Rule != c.rule {
					continue
				}
				for _, s := range f.About {
					named[s] = true
				}
			}
			var said []string
			if byRule[c.rule] != c.wants {
				said = messages(p, c.rule)
			}
			assert.Equal(t, c.wants, byRule[c.rule], "%s", strings.Join(said, "\n"))
			assert.GreaterOrEqual(t, len(named), c.names)
			for rule, n := range byRule {
				if rule != "geometry.clearance" && rule != "geometry.short-leg" && rule != "arrival.turn" {
					assert.LessOrEqual(t, n, 2*few, "%s", rule)
				}
			}
		})
	}
}
