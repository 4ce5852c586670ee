package guidance

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/motion"
	"merestone/internal/planar"
)

func TestNewLegFacts(t *testing.T) {
	const one = 1 << 30
	for _, c := range []struct {
		end                 planar.Point
		unitEast, unitNorth int32
	}{
		{planar.Point{E: 0, N: 1_000}, 0, one},
		{planar.Point{E: 1_000, N: 0}, one, 0},
		{planar.Point{E: 0, N: -7}, 0, -one},
		{planar.Point{E: -5_000_000, N: 0}, -one, 0},
		{planar.Point{E: 3, N: 4}, 644_245_094, 858_993_459},
		{planar.Point{E: 1, N: 1}, 759_250_125, 759_250_125},
		{planar.Point{E: -1, N: 20_000_000}, -54, one},
		{planar.Point{E: -20_000_000, N: 20_000_000}, -759_250_125, 759_250_125},
	} {
		leg, err := NewLeg(planar.Point{}, c.end)
		require.NoError(t, err)
		assert.Equal(t, []int32{c.unitEast, c.unitNorth}, []int32{leg.UnitEastQ30, leg.UnitNorthQ30}, "%v", c.end)
	}
	_, err := NewLeg(planar.Point{E: 5, N: 5}, planar.Point{E: 5, N: 5})
	require.ErrorContains(t, err, "coincide")
	_, err = NewLeg(planar.Point{}, planar.Point{E: 20_000_001, N: 5})
	require.ErrorContains(t, err, "beyond")
}

func randomPoint(r *rand.Rand, limit int64) planar.Point {
	limit = limit>>r.IntN(20) + 1
	return planar.Point{E: r.Int64N(2*limit+1) - limit, N: r.Int64N(2*limit+1) - limit}
}

// The unit vector is the nearest of all in Q30, in 200 bits, and its bearing good to
// a centidegree.
func TestNewLegIsNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 0))
	for range 20_000 {
		a, b := randomPoint(r, board.MaxCoordinateMM-1), randomPoint(r, board.MaxCoordinateMM-1)
		if a == b {
			continue
		}
		leg, err := NewLeg(a, b)
		require.NoError(t, err)
		east, north := b.E-a.E, b.N-a.N
		length := new(big.Float).SetPrec(200).Sqrt(new(big.Float).SetPrec(200).SetInt64(east*east + north*north))
		for component, got := range map[int64]int32{east: leg.UnitEastQ30, north: leg.UnitNorthQ30} {
			if east == north && got != leg.UnitEastQ30 {
				continue
			}
			exact := new(big.Float).SetPrec(200).SetInt64(component)
			exact.Quo(exact.Mul(exact, big.NewFloat(1<<30)), length)
			off, _ := exact.Sub(exact, new(big.Float).SetInt64(int64(got))).Float64()
			require.LessOrEqual(t, math.Abs(off), 0.5, "%v to %v", a, b)
		}
		require.LessOrEqual(t, angleApart(trueBearing(int32(east), int32(north)), float64(BearingCdeg(leg.UnitEastQ30, leg.UnitNorthQ30))), 1.0)
		leg.SpeedMMPerS = 1
		require.NoError(t, leg.check(LastWaypoint(b), &Rover{}))
	}
}

// Along, cross and to go within the 0.6 mm that the header states.
func TestTrackIsWithinItsBound(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 0))
	worst := 0.0
	for range 200_000 {
		a, b, p := randomPoint(r, board.MaxCoordinateMM-1), randomPoint(r, board.MaxCoordinateMM-1), randomPoint(r, MaxDomainMM)
		if a == b {
			continue
		}
		leg, err := NewLeg(a, b)
		require.NoError(t, err)
		end := LastWaypoint(b)
		got := Span{&leg, &end}.Track(Point{int32(p.E), int32(p.N)})
		u, w := b.Sub(a), p.Sub(a)
		length := math.Sqrt(float64(u.Norm2()))
		along, cross := float64(u.Dot(w))/length, -float64(u.Cross(w))/length // integers first: exact
		worst = max(worst, math.Abs(along-float64(got.AlongMM)), math.Abs(cross-float64(got.CrossMM)), math.Abs(length-along-float64(got.ToGoMM)))
	}
	t.Logf("worst error along or across %.3f mm", worst)
	assert.LessOrEqual(t, worst, 0.6)
}

func TestSteering(t *testing.T) {
	leg, err := NewLeg(planar.Point{}, planar.Point{E: 0, N: 10_000})
	require.NoError(t, err)
	for _, c := range []struct {
		along, cross int32
		want         uint32
	}{
		{5_000, 0, 0},
		{5_000, 1_000, 31_500},  // right of the line: to the left
		{5_000, -1_000, 4_500},  // left of it: to the right
		{9_500, 500, 31_500},    // no further than the end
		{10_000, 300, 27_019},   // abeam: straight to it, but for a millimetre
		{12_000, -300, 8_981},   // beyond
		{-4_000, 1_000, 31_500}, // before the start
	} {
		assert.InDelta(t, c.want, leg.SteerCdeg(Track{c.along, c.cross, 10_000 - c.along}, 1_000), 1, "%+v", c)
	}
}

// Coasts against the motion package, which computes them exactly.
func TestCoastAgreesWithTheStoppingTimes(t *testing.T) {
	r := Rover{LatencyMS: 100, FixIntervalMS: 200, LoopMS: 50, OutputDelayMS: 15, StaleAfterMS: 500, LookAheadMM: 1, RequiredQuality: board.QualityStandalone}
	for _, c := range []struct{ coast, from, bound int64 }{{450, 600, 450}, {0, 600, 0}, {3_000, 2_000, 3_000}, {1, 20_000, 1}, {60_000, 20_000, 60_000}, {20, 10, 20}, {300, 600, 450}} {
		leg := Leg{SpeedMMPerS: uint16(c.from)}
		require.NoError(t, r.SetUnits(float64(max(c.coast, c.bound)), 0))
		require.NoError(t, leg.SetCoast(&r, float64(c.coast), float64(c.bound)))
		// From twice the leg's speed three times the coast: less than v², more than v.
		top, far := 2*c.from, 3*c.bound
		if top > 65_535 {
			continue
		}
		require.NoError(t, r.SetCoast(uint16(top), float64(far)))
		for speed := int64(0); speed < 65_536; speed += 131 {
			fast := min(speed, 4*c.from) // beyond, the board gives no more
			expected := (c.coast*fast*fast + c.from*c.from - 1) / (c.from * c.from)
			bound := (c.bound*speed + c.from - 1) / c.from
			if speed >= c.from {
				bound = min((c.bound*speed*speed+c.from*c.from-1)/(c.from*c.from), (far*speed+top-1)/top)
			}
			if speed > top {
				bound = (far*speed*speed + top*top - 1) / (top * top)
			}
			got, gotBound := int64(r.ExpectedCoastMM(&leg, uint32(speed))), int64(r.BoundCoastMM(&leg, uint32(speed)))
			require.True(t, got >= expected && got <= expected+2+expected>>12, "%+v at %d: %d, exactly %d", c, speed, got, expected)
			require.True(t, gotBound >= bound && gotBound <= bound+2+bound>>12, "%+v at %d: bound %d, exactly %d", c, speed, gotBound, bound)
			require.Equal(t, motion.TravelMM(speed, 100+30+50+15)+gotBound, int64(r.StoppingMM(&leg, uint32(speed), 30)))
			require.Equal(t, motion.TravelMM(speed, 100+30+25+15)+got, int64(r.CutMM(&leg, uint32(speed), 30)))
		}
	}
}

func TestCoastsRefused(t *testing.T) {
	for _, c := range []struct {
		speed           uint16
		expected, bound float64
		want            string
	}{
		{0, 1, 1, "a coast from 0 mm/s"},
		{10, 25, 25, ""},
		{10, 65_535, 65_535, ""},
		{10, 65_536, 1, "does not fit its unit of 1 mm"},
		{10, 1, 65_536, "does not fit its unit of 1 mm"},
		{10, -1, 0, "does not fit"},
		{10, math.NaN(), 1, "does not fit"},
		{10, 1, math.Inf(1), "does not fit"},
		{1, 0.001, 0.001, ""}, // small speeds have small coasts
	} {
		leg := Leg{SpeedMMPerS: c.speed}
		err := leg.SetCoast(&Rover{CoastUnitMM: 1}, c.expected, c.bound)
		if c.want == "" {
			assert.NoError(t, err)
		} else {
			assert.ErrorContains(t, err, c.want)
		}
	}
}

func TestRoversRefused(t *testing.T) {
	sound := orchard().mission(t).Rover
	for want, spoil := range map[string]func(r *Rover){
		"a coast from 0":         func(r *Rover) { r.CoastTopMMPerS = 0 },
		"coast is too long":      func(r *Rover) { r.CoastTopSquareQ32 = 1<<30 + 1 },
		"loop time of 0":         func(r *Rover) { r.LoopMS = 0 },
		"would be stale":         func(r *Rover) { r.StaleAfterMS = r.FixIntervalMS - 1 },
		"add up to":              func(r *Rover) { r.StaleAfterMS, r.LatencyMS = 60_000, 6_000 },
		"longer than a minute":   func(r *Rover) { r.ResetPressMS = 60_001 },
		"no look-ahead":          func(r *Rover) { r.LookAheadMM = 0 },
		"a release of":           func(r *Rover) { r.ReleaseMS = 60_001 },
		"a unit of 0 mm":         func(r *Rover) { r.CoastUnitMM = 0 },
		"a unit of 1025 mm":      func(r *Rover) { r.CoastUnitMM = 1025 },
		"no unit for dwells":     func(r *Rover) { r.DwellUnitMS = 0 },
		"site shift":             func(r *Rover) { r.MaxShiftMM = 60_001 },
		"required quality":       func(r *Rover) { r.RequiredQuality = board.QualityNone },
		"fixes come every 0 ms ": func(r *Rover) { r.FixIntervalMS = 0 },
	} {
		r := sound
		spoil(&r)
		assert.ErrorContains(t, r.Check(), want)
	}
}

func TestOrderHolds(t *testing.T) {
	one := Hold{Pin: 1, Kind: board.HoldToRun}
	two := []Hold{{Pin: 2, Kind: board.EmergencyStop, Latched: true, DiscrepancyMS: 100}, {Pin: 3, Kind: board.EmergencyStop, Latched: true}}
	three := Hold{Pin: 4, Kind: board.Interlock}
	holds, of, err := OrderHolds([][]Hold{{one}, two, {three}})
	require.NoError(t, err)
	pins := []uint16{}
	for _, h := range holds {
		pins = append(pins, h.Pin)
	}
	assert.Equal(t, []uint16{2, 3, 1, 4}, pins)
	assert.Equal(t, []int{1, 1, 0, 2}, of)
	assert.True(t, holds[0].TwoChannels)
	assert.False(t, holds[1].TwoChannels)

	for want, circuits := range map[string][][]Hold{
		"one or two":              {{one}, {}},
		"circuit 2: 3 channels":   {{one}, {one, one, one}},
		"not latched":             {{{Kind: board.EmergencyStop}}},
		"run level 2":             {{{Kind: board.Interlock, RunLevel: 2}}},
		"kind 3":                  {{{Kind: 3}}},
		"without a discrepancy":   {{{Kind: board.Interlock}, {Kind: board.Interlock}}},
		"differ in kind":          {{{Kind: board.Interlock, DiscrepancyMS: 5}, {Kind: board.HoldToRun}}},
		"more than a minute":      {{{Kind: board.Interlock, DebounceMS: 60_001}}},
		"17 hold contacts":        {{one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}, {one}},
		"hold contact 1 (pin 77)": {{{Pin: 77, Kind: 9}}},
		"circuit 1: 0 channels":   {{}},
		"differ in kind or latch": {{{Kind: board.Interlock, DiscrepancyMS: 5, Latched: true}, {Kind: board.Interlock}}},
	} {
		_, _, err := OrderHolds(circuits)
		assert.ErrorContains(t, err, want)
	}
}

func TestMissionsRefused(t *testing.T) {
	for want, spoil := range map[string]func(m *Mission){
		"record: format 0":                       func(m *Mission) { m.Record.Format = 0 },
		"less than 64 bytes":                     func(m *Mission) { m.Record.Mission = string(make([]byte, 64)) },
		"less than 32 bytes":                     func(m *Mission) { m.Record.Tool = "a\x00b" },
		"0 legs":                                 func(m *Mission) { m.Legs = nil },
		"leg 1: leg: the two ends coincide":      func(m *Mission) { m.Legs[1].EastMM, m.Legs[1].NorthMM = m.Legs[0].EastMM, m.Legs[0].NorthMM },
		"does not belong to its ends":            func(m *Mission) { m.Legs[1].UnitEastQ30++ },
		"a speed of 0":                           func(m *Mission) { m.Legs[1].SpeedMMPerS = 0 },
		"last leg does not stop":                 func(m *Mission) { m.Legs[8].Dwell = PassThrough },
		"last waypoint's entry is that of a leg": func(m *Mission) { m.Legs[8].SpeedMMPerS = 1 },
		"closed route ends where it does not":    func(m *Mission) { m.Closed = true },
		"east shift 0":                           func(m *Mission) { m.Conversion.EastShift = 0 },
		"conversion: east":                       func(m *Mission) { m.Conversion.East[0] = math.MaxInt32 },
		"search structure is malformed":          func(m *Mission) { m.Fence = FenceTable{} },
		"less allowed before the line is joined": func(m *Mission) { m.Legs[0].JoinCrossMM = m.Rover.CrossTrackMM - 1 },
		"hold contact 1":                         func(m *Mission) { m.Holds[0].Kind = 7 },
	} {
		m := orchard().mission(t)
		spoil(m)
		assert.ErrorContains(t, m.Validate(), want)
	}
}
