// The rules as a whole: in order, and proof against plans of which
// parts are missing.
package check

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

func TestASoundYardHasNotesOnly(t *testing.T) {
	var got []string
	for _, f := range All(yard(t)) {
		got = append(got, f.Severity.String()+" "+string(f.Rule))
	}
	assert.Equal(t, []string{
		"note magnetic.declination", "note precision.conversion", "note holds.stopping",
		"note holds.single-fault", "note holds.single-fault",
	}, got)
}

// A finding is no graver than its rule's usual severity promises, unless the page
// says so: only these rules are errors at times that are usually less.
func TestSeverityOfRules(t *testing.T) {
	for _, r := range Rules() {
		assert.NotZero(t, r.Severity, r.ID)
		assert.Regexp(t, `^[a-z]+\.[a-z-]+$`, r.ID)
		assert.NotEmpty(t, r.Title)
	}
}

// messy is a yard with something wrong in most rules' view.
func messy(t *testing.T) *plan.Plan {
	p := yard(t, func(s *site) {
		s.route = []string{"A", "B", "C", "D", "C", "A", "A"}
		s.move("B", 29000, 5000)
		s.move("S1", 9000, 5100)
		s.boundary = append(s.boundary, "F5")
		s.move("F5", 4000, 10000)
		s.obstacles[0].reflects, s.obstacles[1].reflects = true, true
		s.obstacles[0].heightMM, s.obstacles[1].heightMM = 5000, 5000
	})
	p.Survey.Base = plan.Base{Source: line(5), Position: "averaged", StdMM: 500}
	for i := range p.Survey.Marks {
		p.Survey.Marks[i].Resolution = 10_000
	}
	return p
}

func TestAllIsSortedAndDeterministic(t *testing.T) {
	first := All(messy(t))
	require.Greater(t, len(first), 10)
	sorted := slices.Clone(first)
	diag.Sort(sorted)
	assert.Equal(t, sorted, first)
	for range 20 {
		require.Equal(t, first, All(messy(t)))
	}
	for _, f := range first {
		assert.NotZero(t, f.Severity)
		assert.NotEmpty(t, f.Rule)
		assert.NotContains(t, f.Message()+f.Remedy, "\n")
		assert.NotContains(t, f.Message()+f.Remedy, "%!")
	}
}

func TestIncompletePlansDoNotPanic(t *testing.T) {
	for name, change := range map[string]func(*plan.Plan){
		"nothing at all": func(p *plan.Plan) {
			*p = plan.Plan{Site: plan.Site{Source: line(1)}, Machine: plan.Machine{Receiver: plan.Receiver{Source: line(2)}}, Holds: plan.Holds{Source: line(4)}, Fence: fence.New(fence.Part{Source: line(200)}, nil)}
		},
		"no boundary":            func(p *plan.Plan) { p.Fence.Boundary = fence.Part{Source: line(200)} },
		"no route":               func(p *plan.Plan) { p.Route.Waypoints, p.Route.Legs = nil, nil },
		"waypoints without legs": func(p *plan.Plan) { p.Route.Legs = nil },
		"no base":                func(p *plan.Plan) { p.Survey.Base = plan.Base{} },
		"no holds":               func(p *plan.Plan) { p.Holds.List, p.Holds.Faults = nil, circuit.Table{} },
		"holds without a table":  func(p *plan.Plan) { p.Holds.Faults = circuit.Table{} },
		"a hold without channels": func(p *plan.Plan) {
			p.Holds.List[0].Circuit.Channels = nil
			p.Holds.Faults, p.Holds.FaultsErr = circuit.Analyse(p.Board.Inputs.Electrical, circuits(p.Holds.List), p.Holds.Path)
		},
		"a ring of one":    func(p *plan.Plan) { p.Fence.Boundary.Vertices = p.Fence.Boundary.Vertices[:1] },
		"obstacle of none": func(p *plan.Plan) { p.Fence.Obstacles[1].Vertices = nil },
		"obstacle of zero": func(p *plan.Plan) { p.Fence.Obstacles = append(p.Fence.Obstacles, fence.Part{Source: line(203)}) },
		"no obstacles":     func(p *plan.Plan) { p.Fence.Obstacles = nil },
		"no rover":         func(p *plan.Plan) { p.Machine.Rover = plan.Rover{} },
		"no receiver":      func(p *plan.Plan) { p.Machine.Receiver = plan.Receiver{Source: line(2)} },
		"no confidence":    func(p *plan.Plan) { p.Confidence = 0 },
		"certainty": func(p *plan.Plan) {
			p.Confidence = 1
			p.Survey.Base = plan.Base{Source: line(5), Position: "averaged", StdMM: 1}
		},
		"uncertainty none":  func(p *plan.Plan) { p.Survey.Marks[0].StdMM = math.NaN() },
		"a tape to itself":  func(p *plan.Plan) { p.Survey.Tapes = []plan.Tape{{Source: line(500), From: 0, To: 0, MeasuredMM: 5}} },
		"far out of bounds": func(p *plan.Plan) { p.Fence.Boundary.Vertices[0] = planar.Point{E: math.MaxInt64, N: 0} },
	} {
		t.Run(name, func(t *testing.T) {
			p := messy(t)
			change(p)
			refence(p)
			assert.NotPanics(t, func() {
				for _, f := range All(p) {
					assert.NotContains(t, f.Message()+f.Remedy, "%!")
				}
			})
		})
	}
}

// Random small plans: All never panics, and what it says of geometry agrees with
// a plain reading of the plan: an outside waypoint, a struck obstacle and a
// clearance are not told of the same leg at once.
func TestRandomPlans(t *testing.T) {
	base := yard(t)
	rapid.Check(t, func(rt *rapid.T) {
		p := randomPlan(rt, base)
		findings := All(p)
		require.Equal(rt, findings, All(p))
		for i, l := range p.Route.Legs {
			outside, struck, near := !p.Fence.Boundary.Region().Covers(l.Segment), false, false
			tooNear := func(distance func(planar.Segment) int64) bool {
				return distance(l.Line.Segment) < l.Line.TotalMM || l.Join.Needed && distance(l.Join.Segment) < l.Join.TotalMM
			}
			for _, o := range p.Fence.Obstacles {
				if o.IsCircle {
					struck, near = struck || o.Circle.FloorDistanceMM(l.Segment) < 0, near || tooNear(o.Circle.FloorDistanceMM)
				}
				for _, e := range o.Vertices.Edges() {
					struck, near = struck || e.Intersects(l.Segment), near || tooNear(e.FloorDistanceMM)
				}
				struck = struck || !o.IsCircle && o.Region().Contains(l.Segment.A) != planar.Outside
			}
			for _, e := range p.Fence.Boundary.Vertices.Edges() {
				near = near || tooNear(e.FloorDistanceMM)
			}
			name := fmt.Sprintf("leg %d", i)
			said := map[diag.ID]bool{}
			for _, f := range findings {
				leg := p.Subject(diag.Leg, i)
				if f.About[0] == leg || (f.Rule == "geometry.leg-obstacle" || f.Rule == "geometry.clearance") && slices.Contains(f.About, leg) {
					said[f.Rule] = true
				}
			}
			ends := p.Fence.Boundary.Region().Contains(l.Segment.A) != planar.Outside && p.Fence.Boundary.Region().Contains(l.Segment.B) != planar.Outside
			require.Equal(rt, outside && ends, said["geometry.leg-outside"], name)
			require.Equal(rt, struck, said["geometry.leg-obstacle"], name)
			require.Equal(rt, near && !outside && !struck, said["geometry.clearance"], name)
		}
	})
}

// randomPlan puts a route of random marks and random obstacles into the yard.
func randomPlan(rt *rapid.T, base *plan.Plan) *plan.Plan {
	p := *base
	p.Survey.Marks, p.Route.Waypoints, p.Route.Legs, p.Fence.Obstacles = nil, nil, nil, nil
	at := func(e, n int64) planar.Point {
		return planar.Point{E: rapid.Int64Range(-e/8, e+e/8).Draw(rt, "E"), N: rapid.Int64Range(-n/8, n+n/8).Draw(rt, "N")}
	}
	mark := func(point planar.Point) int {
		p.Survey.Marks = append(p.Survey.Marks, plan.Mark{Source: line(100 + len(p.Survey.Marks)), Name: fmt.Sprintf("M%d", len(p.Survey.Marks)), Point: point, StdMM: 10, Resolution: 1})
		return len(p.Survey.Marks) - 1
	}
	mark(planar.Point{}) // of the fence
	p.Fence.Boundary = ringOf(line(200), "", []planar.Point{{E: 0, N: 0}, {E: 15000, N: rapid.Int64Range(-9000, 9000).Draw(rt, "bay")}, {E: 30000, N: 0}, {E: 30000, N: 20000}, {E: 0, N: 20000}}...)
	for i := range rapid.IntRange(0, 4).Draw(rt, "obstacles") {
		o := fence.Part{Source: line(201 + i), Name: fmt.Sprintf("thing %d", i), IsCircle: rapid.Bool().Draw(rt, "circle")}
		centre := at(30000, 20000)
		if o.IsCircle {
			o.Circle = planar.Circle{Centre: centre, RadiusMM: rapid.Int64Range(1, 3000).Draw(rt, "radius")}
			o.Marks = []fence.Mark{{Name: "centre"}}
		} else {
			wide, deep := rapid.Int64Range(1, 9000).Draw(rt, "wide"), rapid.Int64Range(1, 9000).Draw(rt, "deep")
			o = ringOf(o.Source, o.Name, centre, planar.Point{E: centre.E + wide, N: centre.N}, planar.Point{E: centre.E, N: centre.N + deep})
		}
		o.HeightMM = rapid.Int64Range(0, 3000).Draw(rt, "height")
		o.Reflects = rapid.Bool().Draw(rt, "reflects")
		p.Fence.Obstacles = append(p.Fence.Obstacles, o)
	}
	refence(&p)
	for i := range rapid.IntRange(0, 6).Draw(rt, "waypoints") {
		w := base.Route.Waypoints[0]
		w.Source, w.Mark = line(300+i), mark(at(30000, 20000))
		p.Route.Waypoints = append(p.Route.Waypoints, w)
		if i == 0 {
			continue
		}
		a, b := p.Survey.Marks[p.Route.Waypoints[i-1].Mark], p.Survey.Marks[w.Mark]
		l := base.Route.Legs[0]
		l.Source, l.From, l.To, l.Name = w.Source, i-1, i, a.Name+"–"+b.Name
		l.Segment = planar.Segment{A: a.Point, B: b.Point}
		l.LengthMM = math.Hypot(float64(b.Point.E-a.Point.E), float64(b.Point.N-a.Point.N))
		p.Route.Legs = append(p.Route.Legs, l)
	}
	p.Machine.Rover.CrossTrackMM = rapid.Int64Range(1, 3000).Draw(rt, "cross-track")
	p.Stretches()
	return &p
}

// 20 000 legs within a fence of 20 000 vertices around 2 000 obstacles: done in
// seconds if cost grows near-linearly, and not within the test run if any rule
// compares everything with everything (4e8 pairs of leg and edge alone).
func TestLargeMission(t *testing.T) {
	p := yard(t)
	grow(p)
	findings := All(p)
	byRule := map[diag.ID]int{}
	for _, f := range findings {
		byRule[f.Rule]++
	}
	assert.Equal(t, 2, byRule["site.sky"], "2000 posts are tall: near the wall it is a warning, elsewhere a note")
	assert.Zero(t, byRule["geometry.ring"])
	assert.Zero(t, byRule["geometry.leg-outside"])
	assert.Equal(t, 1, byRule["geometry.clearance"], "ten posts stand too near, two to a leg: one finding names the five")
}

// grow replaces the yard by a lane up and down a site of 4 km by 2 km.
func grow(p *plan.Plan) {
	w, l := p.Route.Waypoints[0], p.Route.Legs[0]
	p.Survey.Marks, p.Route.Waypoints, p.Route.Legs, p.Fence.Obstacles = nil, nil, nil, nil
	mark := func(e, n int64) int {
		p.Survey.Marks = append(p.Survey.Marks, plan.Mark{Source: line(len(p.Survey.Marks) + 1000), Name: fmt.Sprintf("M%d", len(p.Survey.Marks)), Point: planar.Point{E: e, N: n}, StdMM: 10, Resolution: 1})
		return len(p.Survey.Marks) - 1
	}
	// A fence in zigzag along the south, plain on the other sides.
	var corners []planar.Point
	for i := range int64(19_998) {
		corners = append(corners, planar.Point{E: i * 200, N: -3000 - 1000*(i%2)})
	}
	p.Fence.Boundary = ringOf(line(200), "", append(corners, planar.Point{E: 20_000 * 200, N: 2_003_000}, planar.Point{E: -1000, N: 2_003_000})...)
	p.Fence.Boundary.HeightMM, p.Fence.Boundary.Reflects = 2000, true
	// 200 lanes of 100 legs, 10 m apart, each leg 40 m long.
	for i := range int64(20_001) {
		lane, along := i/100, i%100
		if lane%2 == 1 {
			along = 99 - along
		}
		w.Source, w.Mark = line(100_000+int(i)), mark(20_000+along*40_000, lane*10_000)
		p.Route.Waypoints = append(p.Route.Waypoints, w)
	}
	for i := 1; i < len(p.Route.Waypoints); i++ {
		a, b := p.Survey.Marks[p.Route.Waypoints[i-1].Mark], p.Survey.Marks[p.Route.Waypoints[i].Mark]
		l.Source, l.From, l.To, l.Name = p.Route.Waypoints[i].Source, i-1, i, a.Name+"–"+b.Name
		l.Segment = planar.Segment{A: a.Point, B: b.Point}
		l.LengthMM = math.Hypot(float64(b.Point.E-a.Point.E), float64(b.Point.N-a.Point.N))
		p.Route.Legs = append(p.Route.Legs, l)
	}
	// 10 rows of 200 posts between the lanes, the first ten too near to one.
	for i := range int64(2000) {
		row, along := i/200, i%200
		e, n := 25_000+along*20_000, row*200_000+5_000
		if row == 0 && along < 10 {
			n = 500 + yardLegStandoff - 1 // a radius and one millimetre less than the standoff
		}
		o := ringOf(line(int(i)+201), fmt.Sprintf("post %d", i), planar.Point{E: e - 500, N: n - 500}, planar.Point{E: e + 500, N: n - 500}, planar.Point{E: e, N: n + 500})
		if i%2 == 0 {
			o = fence.Part{Source: line(int(i) + 201), Name: o.Name, IsCircle: true, Circle: planar.Circle{Centre: planar.Point{E: e, N: n}, RadiusMM: 500}, Reflects: true, Marks: []fence.Mark{{Name: "centre"}}}
		}
		o.HeightMM = 3000
		p.Fence.Obstacles = append(p.Fence.Obstacles, o)
	}
	refence(p)
}
