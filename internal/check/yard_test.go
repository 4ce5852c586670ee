// The yard that the tests of all rules drive in, built as a plan by hand: its
// figures are round, so that a case can be one millimetre off.
//
//	20 F4 ------------------------------ F3
//	15      D <------------------ C
//	11         [shed]             ^
//	10                  (well)    |
//	 9         [shed]             |
//	 5      A ------------------> B
//	 0 F1 ------------------------------ F2
//	  0     5   9  12      19    25     30  metres
package check

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/geodesy"
	"merestone/internal/magnetic"
	"merestone/internal/motion"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

// site is what a case may change before the plan is made of it.
type site struct {
	points    map[string]planar.Point // mm
	boundary  []string
	obstacles []sketch
	route     []string
	closed    bool
	radiusMM  int64 // turn radius of the rover
}

// sketch is a ring, or a circle around a mark where radiusMM is not zero.
type sketch struct {
	name     string
	radiusMM int64
	marks    []string
	heightMM int64
	reflects bool
}

func (s *site) move(mark string, e, n int64) { s.points[mark] = planar.Point{E: e, N: n} }

// names in a fixed order, so that marks are numbered alike in every run.
func (s *site) names() []string {
	var names []string
	seen := map[string]bool{}
	add := func(list ...string) {
		for _, n := range list {
			if !seen[n] {
				seen[n] = true
				names = append(names, n)
			}
		}
	}
	add(s.route...)
	add(s.boundary...)
	for _, o := range s.obstacles {
		add(o.marks...)
	}
	return names
}

// What every leg and waypoint of the yard needs, in millimetres.
const (
	yardReach            = 755 // hypot(132 + 345 + 250, 200): reaction, coast with its spread, front; half-width
	yardLegStandoff      = 37 + 80 + yardReach
	yardStartStandoff    = 37 + 301 + yardReach // until the rover is on its line
	yardWaypointStandoff = 37 + 300 + 321       // turning on the spot
	yardClosest          = 37 + 36 + 45
	yardCut              = 396
)

// yard makes the plan, with each change made to the site first.
func yard(t *testing.T, changes ...func(*site)) *plan.Plan {
	t.Helper()
	s := &site{
		points: map[string]planar.Point{
			"A": {E: 5000, N: 5000}, "B": {E: 25000, N: 5000}, "C": {E: 25000, N: 15000}, "D": {E: 5000, N: 15000},
			"F1": {E: 0, N: 0}, "F2": {E: 30000, N: 0}, "F3": {E: 30000, N: 20000}, "F4": {E: 0, N: 20000},
			"W":  {E: 19000, N: 10000},
			"S1": {E: 9000, N: 9000}, "S2": {E: 12000, N: 9000}, "S3": {E: 12000, N: 11000}, "S4": {E: 9000, N: 11000},
		},
		boundary:  []string{"F1", "F2", "F3", "F4"},
		obstacles: []sketch{{name: "well", marks: []string{"W"}, radiusMM: 800}, {name: "shed", marks: []string{"S1", "S2", "S3", "S4"}}},
		route:     []string{"A", "B", "C", "D"},
	}
	for _, change := range changes {
		change(s)
	}
	p := s.plan(t)
	p.Holds.List, p.Board.Inputs = soundHolds()
	p.Holds.Faults, p.Holds.FaultsErr = circuit.Analyse(p.Board.Inputs.Electrical, circuits(p.Holds.List), p.Holds.Path)
	require.NoError(t, p.Holds.FaultsErr)
	p.Commissioning = soundRecord(p.Holds.Faults)
	return p
}

// soundRecord is one of which nothing is missing.
func soundRecord(faults circuit.Table) plan.Commissioning {
	june := func(day int) time.Time { return time.Date(2026, 6, day, 0, 0, 0, 0, time.UTC) }
	c := plan.Commissioning{Source: line(9), Said: true, Date: june(1), RepeatBy: june(30), Stopping: []plan.StoppingRun{{FromMMPerS: 600, TimeMS: 1500, DistanceMM: 350, MostMS: 1805, MostMM: 393}}}
	for _, s := range faults.Tests {
		c.Passed = append(c.Passed, s.ID)
	}
	return c
}

func (s *site) plan(t *testing.T) *plan.Plan {
	t.Helper()
	date := time.Date(2026, 6, 15, 0, 0, 0, 0, time.UTC)
	field, err := magnetic.At(51.6204, 25.9137, 168, date)
	require.NoError(t, err)
	p := &plan.Plan{
		Source: line(8), ConfidenceSource: line(9), Mission: "yard", Confidence: 0.95,
		Site: plan.Site{
			Source: line(1), Date: date, Magnetic: plan.Magnetic{Field: field},
			Origin: geodesy.Geodetic{Latitude: 51_620_400_000, Longitude: 25_913_700_000, HeightM: 168},
		},
		Machine: plan.Machine{
			Receiver: plan.Receiver{Source: line(2), FixIntervalMS: 100, LatencyMS: 80, StaleAfterMS: 380, StdMM: 10, FixedStdMM: 10},
			Rover: plan.Rover{
				Source:  line(6),
				WidthMM: 400, LengthMM: 500, CruiseMMPerS: 600, MinimumMMPerS: 200, Coast: motion.Coast{{FromMMPerS: 600, DistanceMM: 300}},
				TurnRadiusMM: s.radiusMM, CrossTrackMM: 80,
				Body: plan.Body{FrontMM: 250, BackMM: 250, HalfWidthMM: 200, PivotMM: 321, Pivots: true},
			},
		},
		Route: plan.Route{Closed: s.closed},
		Holds: plan.Holds{Source: line(4), Path: soundPath(), PathAt: line(8), Parts: []diag.Source{line(402), line(403)}},
		Board: plan.Board{Timing: plan.Timing{LoopMS: 20, OutputDelayMS: 20, HoldMS: 80, FixMS: 220}},
	}
	if s.radiusMM > 200 {
		p.Machine.Rover.Body.Pivots, p.Machine.Rover.Body.PivotMM = false, 0
	}
	p.Errors = []plan.Part{{Name: "receiver", StdMM: 10}, {Name: "conversion on the board", Nature: plan.Limit, BoundMM: 0.71}}
	p.Board.Tables.Conversion.BoundUM = 710
	byName := map[string]int{}
	for i, name := range s.names() {
		byName[name] = i
		p.Survey.Marks = append(p.Survey.Marks, plan.Mark{Source: line(100 + i), Name: name, Point: s.points[name], StdMM: 10, OwnStdMM: 10, Resolution: 1, SameAs: -1, Geodetic: geodesy.Geodetic{HeightM: 168}})
	}
	part := func(at int, o sketch) fence.Part {
		out := fence.Part{Source: line(at), Name: o.name, IsCircle: o.radiusMM > 0, HeightMM: o.heightMM, Reflects: o.reflects}
		for i, n := range o.marks {
			out.Marks = append(out.Marks, fence.Mark{Number: byName[n], Name: n, At: entry(at, i)})
			if !out.IsCircle {
				out.Vertices = append(out.Vertices, s.points[n])
			}
		}
		if out.IsCircle {
			out.Circle = planar.Circle{Centre: s.points[o.marks[0]], RadiusMM: o.radiusMM}
		}
		return out
	}
	p.Fence.Boundary = part(200, sketch{marks: s.boundary})
	for i, o := range s.obstacles {
		p.Fence.Obstacles = append(p.Fence.Obstacles, part(201+i, o))
	}
	refence(p)
	for i, name := range s.route {
		p.Route.Waypoints = append(p.Route.Waypoints, plan.Waypoint{
			Source: line(300 + i), Mark: byName[name], ToleranceMM: 300,
			Arrival: plan.Arrival{PositionMM: 37, TimingMM: 36, CoastMM: 45, ClosestMM: yardClosest, HighestMMPerS: 1200},
			Stops:   s.radiusMM <= 200 || i == len(s.route)-1,
		})
	}
	n := len(p.Route.Waypoints)
	for i := range p.Route.Waypoints {
		to := i + 1
		if to == n {
			if !s.closed || n < 2 {
				break
			}
			to = 0
		}
		a, b := p.Survey.Marks[p.Route.Waypoints[i].Mark], p.Survey.Marks[p.Route.Waypoints[to].Mark]
		d := b.Point.Sub(a.Point)
		p.Route.Legs = append(p.Route.Legs, plan.Leg{
			Source: p.Route.Waypoints[to].Source, From: i, To: to, Name: a.Name + "–" + b.Name,
			Segment: planar.Segment{A: a.Point, B: b.Point}, LengthMM: math.Hypot(float64(d.E), float64(d.N)),
			BearingDeg: math.Atan2(float64(d.E), float64(d.N)) * 180 / math.Pi, SpeedMMPerS: 600, CutMM: yardCut,
			Stopping: motion.Stopping{SpeedMMPerS: 600, ReactionMS: 220, ReactionMM: 132, CoastMM: 300, TotalMM: 432, FromHoldMM: 348},
		})
	}
	for i := range p.Route.Waypoints {
		if in, out := p.Arriving(i), p.Leaving(i); in != nil && out != nil {
			p.Route.Waypoints[i].TurnDeg = math.Remainder(out.BearingDeg-in.BearingDeg, 360)
		}
	}
	p.Stretches()
	return p
}

// refence looks at the parts of the fence anew, after they were changed.
func refence(p *plan.Plan) {
	p.Fence = fence.New(p.Fence.Boundary, p.Fence.Obstacles)
	p.Stretches()
}

// ringOf makes a part of a list of vertices, whose marks it names by their number.
func ringOf(source diag.Source, name string, vertices ...planar.Point) fence.Part {
	out := fence.Part{Source: source, Name: name, Vertices: vertices}
	for i := range vertices {
		out.Marks = append(out.Marks, fence.Mark{Name: fmt.Sprint(i + 1), At: entry(source.At.Line, i)})
	}
	return out
}

// entry is the place of entry i of a ring that is listed on a line.
func entry(at, i int) diag.Position {
	return diag.Position{File: "yard.yaml", Line: at, Column: 11 + 4*i, Width: 2}
}

// line is a source, by a line number that says what it is of: 1 to 4 site,
// receiver, route and holds; 5 base, 6 rover, 7 board, 8 mission, 9 confidence; 100 marks, 200 boundary
// and obstacles, 300 waypoints, 400 holds, 500 tapes.
func line(n int) diag.Source {
	return diag.Source{At: diag.Position{File: "yard.yaml", Line: n, Column: 1, Width: 1}}
}

// soundHolds are a thumb switch and a mushroom button of two channels each.
func soundHolds() ([]plan.Hold, plan.Inputs) {
	two := func(contact circuit.Contact, pins ...int) []circuit.Channel {
		var list []circuit.Channel
		for _, pin := range pins {
			list = append(list, circuit.Channel{Pin: pin, Contact: contact, WiredTo: circuit.Ground, Pull: circuit.PullUp})
		}
		return list
	}
	electrical := circuit.DefaultBoard()
	electrical.Outputs = []circuit.Output{{Name: "drive_enable", Pin: 8, EnablesDrive: true}}
	return []plan.Hold{
			{Source: line(400), DebounceMS: 20, Circuit: circuit.Circuit{Name: "thumb switch", Kind: board.HoldToRun, Channels: two(circuit.NormallyOpen, 22, 28), DiscrepancyMS: 200}},
			{Source: line(401), DebounceMS: 20, Circuit: circuit.Circuit{Name: "mushroom button", Kind: board.EmergencyStop, Channels: two(circuit.NormallyClosed, 24, 26), DiscrepancyMS: 200}},
		}, plan.Inputs{
			Source: line(7), Pins: []int{22, 24, 26, 28}, PullUp: true, PullDown: true, DriveEnable: 8, Electrical: electrical,
		}
}

// soundPath is opened by the board in two places, and by a pole of each hold in one.
func soundPath() circuit.Path {
	return circuit.Path{Parts: []circuit.Part{
		{Name: "main relay", Kind: circuit.Relay, Enable: true, Holds: []int{0, 1}, OffMS: 20},
		{Name: "motor driver", Kind: circuit.Semiconductor, Enable: true, OffMS: 2, PulledOff: true},
	}}
}

func circuits(holds []plan.Hold) []circuit.Circuit {
	var list []circuit.Circuit
	for _, h := range holds {
		list = append(list, h.Circuit)
	}
	return list
}

// of lists the findings of one rule.
func of(p *plan.Plan, rule diag.ID) []diag.Finding {
	var list []diag.Finding
	for _, f := range All(p) {
		if f.Rule == rule {
			list = append(list, f)
		}
	}
	return list
}

// messages of the findings of one rule, each with its severity before it.
func messages(p *plan.Plan, rule diag.ID) []string {
	list := []string{}
	for _, f := range of(p, rule) {
		list = append(list, f.Severity.String()+": "+f.Message())
	}
	return list
}

// number is one of a finding's numbers.
func number(t *testing.T, f diag.Finding, name string) float64 {
	t.Helper()
	for _, n := range f.Numbers {
		if n.Name == name {
			return n.Value
		}
	}
	require.Fail(t, "no such number", "%q in %v", name, f.Numbers)
	return 0
}

// one is the only finding of a rule.
func one(t *testing.T, p *plan.Plan, rule diag.ID) diag.Finding {
	t.Helper()
	list := of(p, rule)
	require.Len(t, list, 1, "%s: %v", rule, messages(p, rule))
	return list[0]
}
