// The plan and the board must speak of the same drive: stopping, cut and margin
// as the board's own functions give them.
package plan_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/board"
	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/guidance"
	"merestone/internal/motion"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

func TestPlanAndBoardAgreeOnEveryLeg(t *testing.T) {
	for name, p := range examples(t) {
		board, receiver := p.Board.Tables.Rover, p.Machine.Receiver
		require.Equal(t, len(p.Route.Legs), p.Board.Tables.LegCount(), name)
		for i, l := range p.Route.Legs {
			own := p.Board.Tables.Legs[i]
			speed := uint32(l.SpeedMMPerS)
			stopping := int64(board.StoppingMM(&own, speed, uint32(receiver.FixIntervalMS)))
			assert.GreaterOrEqual(t, l.Stopping.TotalMM, stopping, "%s %s", name, l.Name)
			if p.Board.Timing.HoldMS <= p.Board.Timing.FixMS {
				assert.LessOrEqual(t, l.Stopping.TotalMM, stopping+3, "%s %s: and no more than its roundings", name, l.Name)
			}
			assert.Equal(t, int64(board.CutMM(&own, speed, uint32(receiver.FixIntervalMS/2))), l.CutMM, "%s %s", name, l.Name)
			// By the formula: latency, waiting for the step, half an interval, half
			// a loop, relay, clock and step, then v²/2(a − g·sin α), which holds the motor's lag.
			r := p.Machine.Rover
			ms := receiver.LatencyMS + p.Board.Timing.LoopMS + receiver.FixIntervalMS/2 + p.Board.Timing.LoopMS/2 + p.Board.Timing.OutputDelayMS + motion.ClockMS + motion.StepMS
			v := float64(l.SpeedMMPerS)
			run := r.Coast[0]
			braking := float64(run.FromMMPerS*run.FromMMPerS) / (2 * float64(run.DistanceMM))
			formula := v*float64(ms)/1000 + v*v/(2*(braking-9806.65*math.Sin(math.Atan(l.Downhill))))
			assert.InDelta(t, formula, l.CutMM, 2, "%s %s", name, l.Name)

			bearing := guidance.BearingCdeg(own.UnitEastQ30, own.UnitNorthQ30)
			assert.InDelta(t, 0, math.Remainder(l.BearingDeg-float64(bearing)/100, 360), 0.01)
			end := p.Board.Tables.Legs[i+1]
			assert.InDelta(t, l.LengthMM, p.Board.Tables.Leg(uint16(i)).Track(guidance.Point{EastMM: end.EastMM, NorthMM: end.NorthMM}).AlongMM, 0.6)
			assert.Equal(t, p.Route.Waypoints[l.To].Stops, end.Dwell != guidance.PassThrough)
			assert.Equal(t, p.Route.Waypoints[l.To].ToleranceMM, int64(end.ToleranceMM))
			assert.Equal(t, p.Route.Waypoints[l.From].ToleranceMM, int64(own.ToleranceMM))
		}
		assert.NoError(t, validate(p), name)
	}
}

func validate(p *plan.Plan) error {
	m := p.Board.Tables
	m.Record = guidance.Record{Format: guidance.RecordFormat, Mission: p.Mission, Tool: "test"}
	return m.Validate()
}

// drive asks the board for its margin every few centimetres along a leg, as far
// off the line as it lets the rover go, and tells the least spare over what its
// guard asks for with a fix of one interval's age.
func drive(fence guidance.FenceTable, p *plan.Plan, l plan.Leg, own guidance.Leg) int64 {
	rover := p.Board.Tables.Rover
	need := int64(rover.KeepMM(&own, rover.StoppingMM(&own, uint32(own.SpeedMMPerS), uint32(p.Machine.Receiver.FixIntervalMS))))
	spare := int64(math.MaxInt64)
	d := l.Segment.B.Sub(l.Segment.A)
	east, north := float64(d.E)/l.LengthMM, float64(d.N)/l.LengthMM
	const stepMM = 25
	for along := 0.0; ; along = math.Min(along+stepMM, l.LengthMM) {
		off := float64(rover.CrossTrackMM)
		if along < float64(own.JoinMM) {
			off = float64(own.JoinCrossMM)
		}
		for _, cross := range []float64{-off, 0, off} {
			at := guidance.Point{
				EastMM:  own.EastMM + int32(math.Round(along*east+cross*north)),
				NorthMM: own.NorthMM + int32(math.Round(along*north-cross*east)),
			}
			spare = min(spare, int64(fence.MarginMM(at))-need)
		}
		if along == l.LengthMM {
			return spare
		}
	}
}

// A mission that passes geometry.clearance does not trip the board's fence guard
// in ordinary driving.
func TestExamplesDoNotTripTheFenceGuard(t *testing.T) {
	for name, p := range examples(t) {
		require.NotEqual(t, diag.Error, diag.Worst(check.All(p)), name)
		for i, l := range p.Route.Legs {
			assert.GreaterOrEqual(t, drive(p.Board.Tables.Fence, p, l, p.Board.Tables.Legs[i]), int64(0), "%s %s", name, l.Name)
		}
	}
}

// The same where it is tight: any rover, any direction, and a fence around the
// leg that keeps its standoff to the millimetre. A fence 10 mm nearer trips the
// guard, so that the standoff is not merely generous: this is only so where the
// leg's off-line part is what the board allows all along.
func TestALegAtItsStandoffDoesNotTripTheFenceGuard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speed := rapid.Int64Range(50, 3000).Draw(t, "mm/s")
		from := rapid.Int64Range(200, 3000).Draw(t, "from")
		p := yard(t,
			edit{"cruise: 0.60 m/s, minimum: 0.20 m/s", fmt.Sprintf("cruise: %d mm/s, minimum: 50 mm/s", speed)},
			edit{"cross_track: 8 cm", fmt.Sprintf("cross_track: %d mm\n  motor_lag: %d ms", rapid.Int64Range(1, 400).Draw(t, "cross"), rapid.Int64Range(1, 400).Draw(t, "lag"))},
			edit{"coast: {from: 0.60 m/s, distance: 0.30 m}", fmt.Sprintf("coast: {from: %d mm/s, distance: %d mm}", from, rapid.Int64Range(1, from).Draw(t, "coast"))},
			edit{"fix_rate: 10 Hz", fmt.Sprintf("fix_rate: %d Hz", rapid.Int64Range(1, 20).Draw(t, "Hz"))},
			edit{"arrival_tolerance: 30 cm", fmt.Sprintf("arrival_tolerance: %d mm", rapid.Int64Range(1, 500).Draw(t, "tolerance"))},
		)
		a := planar.Point{E: rapid.Int64Range(-1000, 1000).Draw(t, "E"), N: rapid.Int64Range(-1000, 1000).Draw(t, "N")}
		d := planar.Vector{E: rapid.Int64Range(-9000, 9000).Draw(t, "dE"), N: rapid.Int64Range(-9000, 9000).Draw(t, "dN")}
		if d.Norm2() < 1000*1000 {
			t.Skip("too short for a leg")
		}
		l := p.Route.Legs[0]
		l.Segment = planar.Segment{A: a, B: planar.Point{E: a.E + d.E, N: a.N + d.N}}
		l.LengthMM = math.Hypot(float64(d.E), float64(d.N))
		own, err := guidance.NewLeg(l.Segment.A, l.Segment.B)
		require.NoError(t, err)
		given := p.Board.Tables.Legs[0]
		own.SpeedMMPerS, own.JoinMM, own.JoinCrossMM, own.FenceAllowanceMM = given.SpeedMMPerS, given.JoinMM, given.JoinCrossMM, given.FenceAllowanceMM
		own.Coast, own.CoastBound = given.Coast, given.CoastBound

		fence := func(standoffMM int64) guidance.FenceTable {
			ring := around(l.Segment, standoffMM)
			nearest := int64(math.MaxInt64)
			for _, e := range ring.Edges() {
				nearest = min(nearest, e.FloorDistanceMM(l.Segment))
			}
			require.GreaterOrEqual(t, nearest, standoffMM)
			require.LessOrEqual(t, nearest, standoffMM+5, "tight")
			region, faults := planar.NewRegion(ring)
			require.Empty(t, faults)
			table, _, err := guidance.BuildFence(region, nil, nil, p.Board.Tables.Fence.ExactWithinMM)
			require.NoError(t, err)
			return table
		}
		standoff := max(l.Line.TotalMM, l.Join.TotalMM) // at its beginning, all along
		require.GreaterOrEqual(t, drive(fence(standoff), p, l, own), int64(0))
		if p.Board.Timing.HoldMS <= p.Board.Timing.FixMS {
			require.Negative(t, drive(fence(standoff-20), p, l, own))
		}
	})
}

// around is a rectangle around a segment, each side the given distance away or a
// few millimetres more.
func around(s planar.Segment, mm int64) planar.Ring {
	d := s.Vector()
	length := math.Sqrt(float64(d.Norm2()))
	grow := float64(mm) + 2
	east, north := float64(d.E)/length*grow, float64(d.N)/length*grow
	corner := func(p planar.Point, along, right float64) planar.Point {
		return planar.Point{
			E: p.E + int64(math.Round(along*east+right*north)),
			N: p.N + int64(math.Round(along*north-right*east)),
		}
	}
	return planar.Ring{corner(s.A, -1, 1), corner(s.B, 1, 1), corner(s.B, 1, -1), corner(s.A, -1, -1)}
}

// What goes to the board is rounded to the side that protects.
func TestBoardGetsWhatTheMissionSays(t *testing.T) {
	p := yard(t, edit{"fix_rate: 10 Hz", "fix_rate: 3 Hz"}, edit{"latency: 80 ms", "latency: 80.2 ms"},
		edit{"from: 0.60 m/s, distance: 0.30 m", "from: 0.6009 m/s, distance: 0.3001 m"},
		edit{"arrival_tolerance: 30 cm", "arrival_tolerance: 300.9 mm"})
	r := p.Board.Tables.Rover
	assert.Equal(t, uint16(334), r.FixIntervalMS)
	assert.Equal(t, uint16(81+20+1), r.LatencyMS, "and one loop, waiting for the step, and what the clock hides")
	assert.Equal(t, uint16(20+1), r.OutputDelayMS, "and the step")
	assert.Equal(t, uint16(20), r.LoopMS, "what the board compares with")
	assert.Equal(t, motion.Coast{{FromMMPerS: 600, DistanceMM: 301}}, p.Machine.Rover.Coast)
	assert.Equal(t, uint16(301), p.Board.Tables.Legs[0].Coast)
	assert.Equal(t, uint16(300), p.Board.Tables.Legs[1].ToleranceMM)
	assert.Equal(t, uint16(81+3*334), r.StaleAfterMS, "usual")
	assert.Equal(t, board.QualityFixed, r.RequiredQuality)
	assert.Greater(t, r.SettleMS, uint16(1000*2*300/600), "2d/v, and more")
	require.Len(t, p.Board.Tables.Holds, 4)
	for _, h := range p.Board.Tables.Holds[:2] {
		assert.Equal(t, board.HoldToRun, h.Kind)
		assert.Equal(t, uint8(0), h.RunLevel, "closed to ground")
	}
	for _, h := range p.Board.Tables.Holds[2:] {
		assert.Equal(t, board.EmergencyStop, h.Kind)
		assert.Equal(t, uint8(0), h.RunLevel, "closed to ground until pressed")
		assert.True(t, h.Latched)
	}
	assert.Equal(t, uint16(200), p.Board.Tables.Holds[0].DiscrepancyMS)
	assert.Zero(t, p.Board.Tables.Holds[1].DiscrepancyMS)
}
