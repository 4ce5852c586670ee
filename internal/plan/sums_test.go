package plan_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/motion"
	"merestone/internal/plan"
)

// The yard, with pencil and paper. Receiver and marks 10 mm each axis, 95 %:
// k = 2.44775. Every position adds 0.71 mm for whole millimetres and 0.71 mm for
// the board's conversion.
//
//	on the board      2.44775·sqrt(10² + 10²) + 0.71 + 0.71             = 36.03 →  37 mm
//	standoff          the same, and 6 mm slack of the table, 1 mm cross = 43.03 →  44 mm
//	fix to power off  80 latency + 20 + 100 interval + 20 + 2 + 20 relay = 242 ms
//	hold to power off 20 bounce + 20 loop + 2 + 20 relay                 =  62 ms
//	stopping          0.6 · 242 + 300·1.15                               = 490.2 mm
//	cut               0.6 · (80 + 20 + 50 + 10 + 2 + 20) + 300           = 409.2 mm
//
// The 2 ms are what the clock hides and what a step takes (motion.ClockMS, StepMS).
//
// The board holds a leg's coasts in whole millimetres: at the leg's own speed they are exact.
func TestYardByHand(t *testing.T) {
	p := yard(t)
	require.Len(t, p.Route.Legs, 3)
	l := p.Route.Legs[0]
	assert.Equal(t, int64(242), p.Board.Timing.FixMS)
	assert.Equal(t, int64(62), p.Board.Timing.HoldMS)
	assert.Equal(t, motion.Stopping{SpeedMMPerS: 600, ReactionMS: 242, ReactionMM: 146, CoastMM: 345, TotalMM: 491, FromHoldMM: 383}, l.Stopping)
	assert.Equal(t, int64(410), l.CutMM)
	assert.Equal(t, uint16(37), p.Board.Tables.Legs[0].FenceAllowanceMM)
	rover := p.Board.Tables.Rover
	assert.Equal(t, [3]uint16{250, 250, 200}, [3]uint16{rover.FrontMM, rover.BackMM, rover.HalfWidthMM})
	assert.Equal(t, uint16(6), p.Board.Tables.Fence.SlackMM)
	// hypot(491 + 250, 200) = 767.5 mm.
	assert.Equal(t, plan.Standoff{PositionMM: 44, OffLineMM: 80, StoppingMM: 491, ReachMM: 768, TotalMM: 892}, l.Line.Standoff)
	// The rover may rest 300 mm off the mark, the receiver may read 53 mm more (see
	// line_test.go), and one for the point where it is on its line: 0.6 · 242 ms and four
	// look-aheads of 600 mm further on.
	assert.Equal(t, plan.Standoff{PositionMM: 44, OffLineMM: 354, StoppingMM: 491, ReachMM: 768, TotalMM: 1166}, l.Join.Standoff)
	assert.Equal(t, plan.Joining{CrossMM: 353, OffMM: 353, AwayMM: 353, LeadMM: 146, WayMM: 146 + 2400}, l.Joining)
	assert.Equal(t, [2]uint16{353, 146 + 2400}, [2]uint16{p.Board.Tables.Legs[0].JoinCrossMM, p.Board.Tables.Legs[0].JoinMM})
	// Half the diagonal of 0.40 m by 0.50 m is 320.2 mm.
	b := waypoint(t, p, "B")
	assert.Equal(t, plan.Standoff{PositionMM: 44, OffLineMM: 300, ReachMM: 321, TotalMM: 665}, b.Pivot.Standoff)
	assert.Equal(t, b.Pivot.Standoff, waypoint(t, p, "A").Pivot.Standoff, "whoever sets it down there may set it facing anyhow")
	assert.False(t, waypoint(t, p, "D").Pivot.Needed, "nobody turns at the end")
	// Timing 0.6 · (50 + 30), coast 15 % of 300.
	assert.Equal(t, plan.Arrival{PositionMM: 37, TimingMM: 48, CoastMM: 45, SteeringMM: 80, ClosestMM: 160, HighestMMPerS: b.Arrival.HighestMMPerS}, b.Arrival)

	assert.InDelta(t, 20000, l.LengthMM, 1)
	assert.InDelta(t, 20.000, l.GroundM, 0.001)
	assert.InDelta(t, 90, l.BearingDeg, 0.01)
	assert.InDelta(t, 20000, p.Route.Legs[2].LengthMM, 1)
	assert.InDelta(t, 270, p.Route.Legs[2].BearingDeg, 0.01)
}

// What each part of a mission adds, against the yard as it is.
func TestEachPartHasItsShare(t *testing.T) {
	const k = 2.447747
	up := func(x float64) int64 { return int64(math.Ceil(x)) }
	rest := 0.7072 + float64(yard(t).Board.Tables.Conversion.BoundUM)/1000
	antenna := edit{"  cross_track: 8 cm\n", "  cross_track: 8 cm\n  tilt: 4 deg\n  heading_uncertainty: 3 deg\n  antenna: {forward: 30 cm, right: -40 cm, height: 55 cm}\n"}
	averaged := edit{"position: entered, uncertainty: 1 mm", "position: averaged, averaged_for: 4 h, uncertainty: 80 cm, control_marks: [A, C]"}
	for _, c := range []struct {
		name     string
		edits    []edit
		position int64 // at waypoint B
		body     int64 // of leg A-B
	}{
		{"as it is", nil, up(k*math.Sqrt(200) + rest), 200},
		// Arm hypot(300, 400) = 500 mm by 3 deg in radians; 550 mm by sin 4 deg.
		{"antenna off the middle", []edit{antenna}, up(k*math.Sqrt(200+math.Pow(500*3*math.Pi/180, 2)) + 550*math.Sin(4*math.Pi/180) + rest), 600},
		// Two control marks, each with the receiver's 10 mm and its own 10 mm:
		// 1/sqrt(2/(2·10²)) = 10 mm; and the shift is in whole millimetres.
		{"control marks", []edit{averaged}, up(k*math.Sqrt(300) + rest + 0.7072), 200},
		// What is entered is used: two set-ups of 2 cm each, sqrt(2)·20 mm.
		{"entered", []edit{{"uncertainty: 1 mm", "uncertainty: 2 cm"}}, up(k*math.Sqrt(200+800) + rest), 200},
		{"network", []edit{{"mark: BASE, position: entered, uncertainty: 1 mm", "position: network, uncertainty: 2 cm"}}, up(k*math.Sqrt(200+800) + rest), 200},
		{"float", []edit{{"required: fixed", "required: float"}}, up(k*math.Sqrt(400*400+100) + rest), 200},
		{"poor fence mark, no matter at a waypoint", []edit{{"25.914133155, uncertainty: 1 cm", "25.914133155, uncertainty: 9 cm"}}, up(k*math.Sqrt(200) + rest), 200},
		{"half-widths are rounded up", []edit{{"width: 0.40 m", "width: 0.401 m"}}, up(k*math.Sqrt(200) + rest), 201},
	} {
		p := yard(t, c.edits...)
		assert.Equal(t, c.position, waypoint(t, p, "B").Budget.TotalMM, c.name)
		assert.Equal(t, c.body, p.Machine.Rover.HalfWidthMM, c.name)
	}
	poor := yard(t, edit{"25.914133155, uncertainty: 1 cm", "25.914133155, uncertainty: 9 cm"})
	coarse := up(k*math.Sqrt(100+8100) + rest + 7)
	assert.Equal(t, coarse, poor.Route.Legs[1].Line.PositionMM, "F2 is an end of the edge that leaves the least")
	assert.Equal(t, int64(44), poor.Route.Legs[0].Line.PositionMM, "the shed does, and its marks are good")
	for _, l := range poor.Board.Tables.Legs[:poor.Board.Tables.LegCount()] {
		assert.Equal(t, uint16(coarse-7), l.FenceAllowanceMM, "there is room for more than is needed")
	}
}

func TestBaseShift(t *testing.T) {
	averaged := edit{"position: entered, uncertainty: 1 mm", "position: averaged, averaged_for: 4 h, uncertainty: 80 cm"}
	assert.InDelta(t, 3.4616, yard(t).BaseShiftMM(), 0.0001, "of the pillar")
	// 2.44775 · sqrt(2) · 800 mm.
	p := yard(t, averaged)
	assert.InDelta(t, 2769.3, p.BaseShiftMM(), 0.1)
	assert.Equal(t, uint16(5539), p.Board.Tables.Rover.MaxShiftMM, "twice that is taken without question")
	assert.Equal(t, uint16(1000), yard(t).Board.Tables.Rover.MaxShiftMM)
}

// The coast is held to be longer than v² says below the speed that it was
// measured at, and to grow with the square above.
func TestStoppingAtOtherSpeeds(t *testing.T) {
	for _, c := range []struct {
		speed               string
		reaction, coast, mm int64
	}{
		{"0.30 m/s", 73, 173, 246},
		{"0.45 m/s", 109, 259, 368},
		{"0.60 m/s", 146, 345, 491},
	} {
		p := yard(t, edit{"  closed: false\n", "  closed: false\n  speed: " + c.speed + "\n"})
		s := p.Route.Legs[0].Stopping
		assert.Equal(t, [3]int64{c.reaction, c.coast, c.mm}, [3]int64{s.ReactionMM, s.CoastMM, s.TotalMM}, c.speed)
	}
	p := yard(t, edit{"cruise: 0.60 m/s", "cruise: 1.20 m/s"})
	assert.Equal(t, int64(1380), p.Route.Legs[0].Stopping.CoastMM, "four times 300, and 15 %")
	assert.Equal(t, int64(291), p.Route.Legs[0].Stopping.ReactionMM)
	p = yard(t, edit{"  cross_track: 8 cm\n", "  cross_track: 8 cm\n  motor_lag: 150 ms\n"})
	assert.Equal(t, int64(345), p.Route.Legs[0].Stopping.CoastMM, "the lag is in what was taped")
	assert.Equal(t, int64(410), p.Route.Legs[0].CutMM)
	slow := yard(t, edit{"debounce: 20 ms\n    discrepancy: 200 ms\n    stop_category: 0\n  - name", "debounce: 400 ms\n    discrepancy: 200 ms\n    stop_category: 0\n  - name"})
	assert.Equal(t, int64(442), slow.Route.Legs[0].Stopping.ReactionMS, "a slow hold outlasts the fix")
}

func TestTurnsAndStops(t *testing.T) {
	type corner struct {
		mark  string
		turn  float64
		stops bool
	}
	route := "waypoints: [A, B, C, D]"
	steered := edit{"turn_radius: 0 m", "turn_radius: 0.3 m"}
	closed := edit{"closed: false", "closed: true"}
	for _, c := range []struct {
		name  string
		edits []edit
		want  []corner
	}{
		{"turning on the spot means stopping", nil, []corner{{"A", 0, false}, {"B", -90, true}, {"C", -90, true}, {"D", 0, true}}},
		{"steered round corners", []edit{steered}, []corner{{"A", 0, false}, {"B", -90, false}, {"C", -90, false}, {"D", 0, true}}},
		{"the other way round", []edit{{route, "waypoints: [D, C, B, A]"}}, []corner{{"C", 90, true}, {"B", 90, true}}},
		{"closed: back to A, and stop there", []edit{closed, steered}, []corner{{"A", -90, true}, {"B", -90, false}, {"D", -90, false}}},
		{"a dwell is a stop", []edit{steered, {route, "waypoints: [A, {mark: B, dwell: 2 s}, C, D]"}}, []corner{{"B", -90, true}, {"C", -90, false}}},
		{"there and back", []edit{{route, "waypoints: [A, B, A]"}}, []corner{{"B", 180, true}}},
	} {
		p := yard(t, c.edits...)
		for _, w := range c.want {
			got := waypoint(t, p, w.mark)
			if math.Abs(w.turn) == 180 {
				assert.InDelta(t, 180, math.Abs(got.TurnDeg), 0.01, c.name)
			} else {
				assert.InDelta(t, w.turn, got.TurnDeg, 0.01, "%s: %s", c.name, w.mark)
			}
			assert.Equal(t, w.stops, got.Stops, "%s: %s", c.name, w.mark)
		}
	}
}

func TestClosedRouteHasOneLegMore(t *testing.T) {
	p := yard(t, edit{"closed: false", "closed: true"}, edit{"waypoints: [A, B, C, D]", "waypoints: [{mark: A, speed: 0.3 m/s}, B, C, D]"})
	require.Len(t, p.Route.Legs, 4)
	last := p.Route.Legs[3]
	assert.Equal(t, "D–A", last.Name)
	assert.Equal(t, p.Route.Legs[0].Segment.A, last.Segment.B)
	assert.Equal(t, int64(300), last.SpeedMMPerS, "the speed of A is that of the leg that ends there")
	assert.Equal(t, &p.Route.Legs[3], p.Arriving(0))
	assert.Equal(t, &p.Route.Legs[0], p.Leaving(0))
	assert.True(t, p.Board.Tables.Closed)

	open := yard(t)
	assert.Nil(t, open.Arriving(0))
	assert.Nil(t, open.Leaving(3))
}
