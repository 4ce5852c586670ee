package guidance

// The state machine's rules, one by one, as the C header's section "Rules" has them.

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/geodesy"
	"merestone/internal/planar"
)

// Bits of the yard's holds, in the order of OrderHolds.
const (
	stopA = 1 << iota
	stopB
	thumb
	gate
	allRun = stopA | stopB | thumb | gate
)

// yard is a square with a route of four legs: stop and dwell at B, pass C, stop at
// D, end at E.
func yard() sketch {
	return sketch{
		name: "yard", origin: degrees(45.3012, 6.1234, 412.6), reachMM: 200_000,
		boundary:    square(5_000, 5_000, 20_000),
		waypoints:   []planar.Point{{E: 0, N: 0}, {E: 8_000, N: 0}, {E: 8_000, N: 8_000}, {E: 0, N: 8_000}, {E: 0, N: 3_000}},
		toleranceMM: 250, crossTrackMM: 150, stopEach: 99, backMM: 350,
		circuits: [][]Hold{
			{{Pin: 22, DebounceMS: 20, Kind: board.HoldToRun, RunLevel: 1}},
			{
				{Pin: 24, DebounceMS: 10, DiscrepancyMS: 300, Kind: board.EmergencyStop, RunLevel: 1, Latched: true, StopCategory: 0},
				{Pin: 25, DebounceMS: 10, Kind: board.EmergencyStop, RunLevel: 1, Latched: true, StopCategory: 0},
			},
			{{Pin: 26, DebounceMS: 40, Kind: board.Interlock, RunLevel: 1, StopCategory: 1}},
		},
	}
}

// rig is a board on a bench: time passes and fixes come as the test says.
type rig struct {
	t     *testing.T
	m     *Mission
	frame geodesy.Frame
	state State
	in    Input
	out   Output
	// holding repeats the fix at a place every 200 ms.
	holding  bool
	at       planar.Point
	sinceFix uint32
	events   Events // since last asked
}

const stepMS = 20

func newRig(t *testing.T, change func(*Mission)) *rig {
	m := yard().mission(t)
	m.Legs[0].StopAtEnd, m.Legs[0].DwellMS = true, 2000
	m.Legs[2].StopAtEnd = true
	if change != nil {
		change(m)
	}
	require.NoError(t, m.Validate())
	frame, err := geodesy.NewFrame(degrees(45.3012, 6.1234, 412.6))
	require.NoError(t, err)
	r := &rig{t: t, m: m, frame: frame}
	require.True(t, m.Start(&r.state, 0))
	r.in.TimeMS = math.MaxUint32 - 1500 // wraps in every test
	r.in.HoldLevels = allRun &^ thumb
	r.holding = true
	return r
}

func (r *rig) fix(quality board.Quality) {
	g := r.frame.AtHeight(float64(r.at.E)/1000, float64(r.at.N)/1000, r.frame.Origin().HeightM)
	r.in.FixNew, r.in.Quality = true, quality
	r.in.LatitudeNdeg, r.in.LongitudeNdeg = int64(g.Latitude), int64(g.Longitude)
	r.sinceFix = 0
}

// step is one turn of the loop, some milliseconds after the one before.
func (r *rig) step(ms uint32) {
	r.in.TimeMS += ms
	r.sinceFix += ms
	if r.holding && r.sinceFix >= 200 {
		r.fix(board.QualityFixed)
	}
	r.m.Step(&r.state, &r.in, &r.out)
	r.in.FixNew = false
	r.events |= r.out.Events
	assert.Equal(r.t, r.out.DriveEnable, r.out.SpeedLimitMMPerS > 0)
	assert.Equal(r.t, r.out.Phase == Stopped || r.out.Phase == Waiting, r.out.StopCategory != NoStop)
	if r.out.DriveEnable {
		require.Zero(r.t, r.out.Reasons, "drives in spite of: %v", r.out.Reasons)
		require.Equal(r.t, Driving, r.out.Phase)
	}
}

// wait lets time pass in turns of the loop.
func (r *rig) wait(ms uint32) *rig {
	for passed := uint32(0); passed < ms; passed += stepMS {
		r.step(stepMS)
	}
	return r
}

func (r *rig) set(levels uint16) *rig { r.in.HoldLevels = levels; return r }
func (r *rig) to(e, n int64) *rig     { r.at = planar.Point{E: e, N: n}; return r }

// start brings the rig to driving, from anywhere that allows it.
func (r *rig) start() *rig {
	r.t.Helper()
	r.set(allRun &^ thumb).wait(400).set(allRun).wait(100)
	require.Equal(r.t, Driving, r.out.Phase, "%v", r.out.Reasons)
	r.events = 0
	return r
}

func (r *rig) is(phase Phase, reasons Reasons) *rig {
	r.t.Helper()
	require.Equal(r.t, phase, r.out.Phase, "phase; reasons are %v", r.out.Reasons)
	require.Equal(r.t, reasons, r.out.Reasons, "want %v, got %v", reasons, r.out.Reasons)
	return r
}

func (r *rig) had(events Events) *rig {
	r.t.Helper()
	require.Equal(r.t, events, r.events, "want %v, got %v", events, r.events)
	r.events = 0
	return r
}

func TestStartingNeedsAnAct(t *testing.T) {
	t.Run("pressing starts", func(t *testing.T) {
		r := newRig(t, nil).wait(300).is(Waiting, Released)
		r.set(allRun).wait(20).is(Waiting, Released) // not yet debounced
		r.wait(20).is(Driving, 0).had(EventStarted)
		assert.True(t, r.out.DriveEnable)
	})
	t.Run("pressed since power-up does not", func(t *testing.T) {
		r := newRig(t, nil).set(allRun).wait(5000).is(Waiting, 0).had(0)
		r.set(allRun&^thumb).wait(100).set(allRun).wait(100).is(Driving, 0)
	})
	t.Run("pressed before there is a fix does not, when the fix comes", func(t *testing.T) {
		r := newRig(t, nil)
		r.holding = false
		r.wait(300).is(Stopped, NoFix|Released)
		r.set(allRun).wait(300).is(Stopped, NoFix).had(EventStartRefused)
		r.holding = true
		r.wait(3000).is(Waiting, 0).had(0)
	})
	t.Run("not at the start", func(t *testing.T) {
		newRig(t, nil).to(0, 252).wait(300).is(Stopped, NotAtStart|Released).
			set(allRun).wait(300).is(Stopped, NotAtStart).had(EventStartRefused)
		newRig(t, nil).to(0, 248).start()
	})
	t.Run("while another contact is about to open", func(t *testing.T) {
		r := newRig(t, nil).wait(300).set(allRun)
		r.step(stepMS)
		r.set(allRun &^ gate)
		r.step(stepMS)
		r.is(Waiting, 0).had(EventStartRefused)
		r.set(allRun).wait(1000).is(Waiting, 0).had(0)
	})
	t.Run("without hold-to-run, by the start button", func(t *testing.T) {
		noThumb := func(m *Mission) { m.Holds[2] = m.Holds[3]; m.Holds = m.Holds[:3] }
		r := newRig(t, noThumb)
		r.in.StartRequest = true
		r.set(allRun).wait(3000).is(Waiting, 0).had(0) // jammed since power-up
		r.in.StartRequest = false
		r.wait(100)
		r.in.StartRequest = true
		r.wait(280).is(Waiting, 0).wait(60).is(Driving, 0).had(EventStarted)
		r.wait(3000).had(0)
		r.set(allRun &^ thumb) // the gate is at the thumb's bit now
		r.wait(100).is(Stopped, InterlockOpen)
		r.set(allRun).wait(2000).is(Waiting, 0) // the button is still pressed
		r.in.StartRequest = false
		r.wait(100)
		r.in.StartRequest = true
		r.wait(340).is(Driving, 0)
	})
	t.Run("a state of zeros never drives", func(t *testing.T) {
		r := newRig(t, nil)
		r.state = State{}
		r.set(allRun).wait(500)
		assert.Equal(t, Output{Reasons: BadMission, StoppedBy: BadMission, MarginMM: -1}, Output{Reasons: r.out.Reasons, StoppedBy: r.out.StoppedBy, MarginMM: r.out.MarginMM})
	})
	t.Run("another format never drives", func(t *testing.T) {
		m := yard().mission(t)
		var s State
		m.Record.Format++
		assert.False(t, m.Start(&s, 0))
		m.Record.Format--
		assert.False(t, m.Start(&s, 4), "there are legs 0 to 3")
		assert.True(t, m.Start(&s, 3))
	})
}

func TestEveryReasonStops(t *testing.T) {
	for _, c := range []struct {
		name     string
		cause    func(r *rig)
		within   uint32 // ms
		reasons  Reasons
		category uint8
	}{
		{"hold-to-run released", func(r *rig) { r.set(allRun &^ thumb) }, 40, Released, 0},
		{"emergency stop pressed", func(r *rig) { r.set(allRun &^ (stopA | stopB)) }, 40, Emergency | ResetNeeded, 0},
		{"one channel of it", func(r *rig) { r.set(allRun &^ stopB) }, 40, Emergency | ResetNeeded, 0},
		{"interlock opened, category 1", func(r *rig) { r.set(allRun &^ gate) }, 60, InterlockOpen, 1},
		{"interlock and emergency stop, the lower category", func(r *rig) { r.m.Holds[3].DebounceMS = 10; r.set(allRun &^ (gate | stopA)) }, 40, InterlockOpen | Emergency | ResetNeeded, 0},
		{"fixes end", func(r *rig) { r.holding = false }, 920, StaleFix, 0},
		{"outside the fence", func(r *rig) { r.to(0, -15_001) }, 200, OutsideFence | OffLine, 0},
		{"on the fence", func(r *rig) { r.to(0, -15_000) }, 200, OutsideFence | OffLine, 0},
		{"fix in another country", func(r *rig) { r.fix(board.QualityFixed); r.in.LongitudeNdeg += 1e9 }, 20, OutOfDomain, 0},
		{"fix of nonsense", func(r *rig) { r.fix(board.QualityFixed); r.in.LatitudeNdeg = math.MinInt64 }, 20, OutOfDomain, 0},
		{"off the line", func(r *rig) { r.to(4_000, 152) }, 200, OffLine, 0},
		{"past the waypoint", func(r *rig) { r.to(8_010, 260) }, 200, OffLine | PassedBy, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t, nil).start()
			r.to(3_500, 0).wait(200).is(Driving, 0)
			c.cause(r)
			passed := uint32(0)
			for r.out.Phase == Driving && passed < 5000 {
				r.step(stepMS)
				passed += stepMS
			}
			r.is(Stopped, c.reasons)
			assert.LessOrEqual(t, passed, c.within, "time to stop")
			assert.Equal(t, c.category, r.out.StopCategory)
			assert.Equal(t, c.reasons, r.out.StoppedBy)
			assert.NotZero(t, r.events&EventStopped)
			assert.Equal(t, c.reasons&PassedBy != 0, r.events&EventMissed != 0)

			// The cause goes away: nothing moves by itself.
			r.holding = true
			held := uint16(allRun)
			if c.reasons&Released != 0 {
				held &^= thumb // pressing it anew would be the act
			}
			r.to(3_500, 0).set(held).wait(10_000)
			require.NotEqual(t, Driving, r.out.Phase)
			require.False(t, r.out.DriveEnable)
			assert.Equal(t, c.reasons, r.out.StoppedBy, "the cause is remembered")
			if c.reasons&ResetNeeded == 0 {
				r.is(Waiting, c.reasons&Released).start()
			} else {
				r.is(Stopped, ResetNeeded)
			}
		})
	}
}

func TestPoorFixesAreNotUsed(t *testing.T) {
	r := newRig(t, nil).start().to(3_000, 0).wait(200)
	r.holding = false
	r.to(9_000, 9_000) // where a poor fix would be wrong
	for range 3 {
		r.fix(board.QualityFloat)
		r.wait(200).is(Driving, 0)
		assert.EqualValues(t, 3_000, r.out.At.EastMM)
	}
	r.fix(board.QualityFloat)
	r.wait(120).is(Stopped, PoorFix)
	r.to(3_000, 0)
	r.holding = true
	r.wait(1000).is(Waiting, 0).had(EventStopped)
}

func TestFenceStopsBeforeItIsReached(t *testing.T) {
	// Leg 0 runs east along north = 0; the fence is moved to just beside it.
	for _, c := range []struct {
		marginMM int64
		known    bool
		speed    uint32
		drives   bool
	}{
		// Coast at most 550 mm from 600 mm/s, reaction 120 + 190 + 50 + 20 ms: 778 mm to
		// rest, the front 280 mm ahead, 210 mm aside of that, allowance 80 mm. A rover
		// slower than its leg is still gaining speed.
		{1185, false, 0, true},
		{1030, false, 0, false},
		{1030, true, 600, false},
		{1185, true, 0, true},
		{1030, true, 0, false},
		{1030, true, 300, false},
		{1185, true, 300, true},
		{2000, true, 70_000, false},
	} {
		r := newRig(t, func(m *Mission) {
			ring := planar.Ring{{E: -9_000, N: -c.marginMM}, {E: 20_000, N: -c.marginMM}, {E: 20_000, N: 20_000}, {E: -9_000, N: 20_000}}
			fence, _, err := BuildFence(region(ring), nil, nil, 2500)
			require.NoError(t, err)
			m.Fence = fence
		})
		r.state.phase, r.state.flags = Driving, flagBegun // the start would refuse what driving stops
		r.in.SpeedKnown, r.in.SpeedMMPerS = c.known, c.speed
		r.to(3_000, 0).fix(board.QualityFixed)
		r.set(allRun).wait(190)
		assert.Equal(t, c.drives, r.out.DriveEnable, "margin %d mm, speed %d mm/s known %v: %v", c.marginMM, c.speed, c.known, r.out.Reasons)
		if !c.drives {
			assert.Equal(t, FenceNear, r.out.StoppedBy)
			r.set(allRun &^ thumb).wait(300)
			assert.NotZero(t, r.out.Reasons&FenceNear, "and no start from there")
		}
	}
}

func TestEmergencyStopNeedsADeliberateReset(t *testing.T) {
	pressed := func(t *testing.T) *rig {
		r := newRig(t, nil).start()
		r.set(allRun&^(stopA|stopB)).wait(400).is(Stopped, Emergency|ResetNeeded)
		r.events = 0
		return r
	}
	reset := func(r *rig, ms uint32) *rig {
		r.in.ResetRequest = true
		r.wait(ms)
		r.in.ResetRequest = false
		return r.wait(20)
	}
	t.Run("released, then reset", func(t *testing.T) {
		r := pressed(t).set(allRun).wait(200).is(Stopped, ResetNeeded)
		reset(r, 360).is(Waiting, 0).had(EventReset) // and it starts nothing
		r.wait(3000).is(Waiting, 0)
		r.start()
	})
	t.Run("reset acts on letting go", func(t *testing.T) {
		r := pressed(t).set(allRun).wait(200)
		r.in.ResetRequest = true
		r.wait(60_000).is(Stopped, ResetNeeded).had(0)
		r.in.ResetRequest = false
		r.wait(20).is(Waiting, 0).had(EventReset)
	})
	t.Run("too short a press", func(t *testing.T) {
		r := pressed(t).set(allRun).wait(200)
		reset(r, 280).is(Stopped, ResetNeeded).had(0)
	})
	t.Run("reset while still pressed", func(t *testing.T) {
		r := pressed(t)
		reset(r, 500).is(Stopped, Emergency|ResetNeeded)
		r.set(allRun).wait(500).is(Stopped, ResetNeeded).had(0)
	})
	t.Run("a reset that began while still pressed does not count", func(t *testing.T) {
		r := pressed(t)
		r.in.ResetRequest = true
		r.wait(500).set(allRun).wait(1000)
		r.in.ResetRequest = false
		r.wait(100).is(Stopped, ResetNeeded).had(0)
		reset(r, 400).is(Waiting, 0)
	})
	t.Run("jammed since power-up", func(t *testing.T) {
		r := newRig(t, nil)
		r.in.ResetRequest = true
		r.start()
		r.set(allRun &^ stopA &^ stopB).wait(200).set(allRun).wait(3000)
		r.in.ResetRequest = false
		r.wait(100).is(Stopped, ResetNeeded)
	})
	t.Run("pressed at power-up", func(t *testing.T) {
		r := newRig(t, nil).set(gate).wait(300).is(Stopped, Emergency|ResetNeeded|Released)
		r.set(allRun&^thumb).wait(300).is(Stopped, ResetNeeded|Released)
	})
}

func TestTwoChannels(t *testing.T) {
	reset := func(r *rig) *rig {
		r.in.ResetRequest = true
		r.wait(400)
		r.in.ResetRequest = false
		return r.wait(20)
	}
	t.Run("one stays closed", func(t *testing.T) {
		r := newRig(t, nil).start()
		r.set(allRun&^stopA).wait(320).is(Stopped, Emergency|ResetNeeded)
		r.wait(60).is(Stopped, Emergency|ResetNeeded|ChannelsDiffer)
		// Both back in run is not enough: the second has not shown that it opens.
		r.set(allRun).wait(200)
		reset(r).is(Stopped, ResetNeeded|ChannelsDiffer)
		r.set(allRun &^ stopA).wait(200).set(allRun &^ (stopA | stopB)).wait(200).set(allRun).wait(200)
		reset(r).is(Waiting, 0)
	})
	t.Run("a little apart", func(t *testing.T) {
		r := newRig(t, nil).start()
		r.set(allRun &^ stopA).wait(200).set(allRun &^ (stopA | stopB)).wait(2000).set(allRun &^ stopB).wait(200).set(allRun).wait(200)
		r.is(Stopped, ResetNeeded)
		reset(r).is(Waiting, 0)
	})
}

func TestDebounce(t *testing.T) {
	// The gate debounces 40 ms; turns of the loop are 20 ms.
	pattern := func(t *testing.T, levels string) Phase {
		r := newRig(t, nil).start()
		for _, level := range levels {
			if level == '1' {
				r.set(allRun)
			} else {
				r.set(allRun &^ gate)
			}
			r.step(stepMS)
		}
		return r.out.Phase
	}
	for levels, want := range map[string]Phase{
		"0":               Driving,
		"00":              Driving,
		"000":             Stopped, // 40 ms after the first sample that shows it
		"001111001111001": Driving,
		"010101010101":    Driving, // open half of the time
		"001001001":       Stopped, // open two thirds of the time
		"0001":            Stopped,
	} {
		assert.Equal(t, want, pattern(t, levels), levels)
	}
	// Back to run takes 40 ms without interruption.
	r := newRig(t, nil).start().set(allRun&^gate).wait(100).is(Stopped, InterlockOpen)
	for _, level := range "1101101" {
		if r.set(allRun &^ gate); level == '1' {
			r.set(allRun)
		}
		r.step(stepMS)
		r.is(Stopped, InterlockOpen)
	}
	r.set(allRun).step(stepMS)
	r.step(stepMS)
	r.is(Waiting, 0)
}

func TestTime(t *testing.T) {
	t.Run("a late step stops", func(t *testing.T) {
		r := newRig(t, nil).start()
		r.step(50)
		r.is(Driving, 0)
		r.step(51)
		r.is(Stopped, LateStep)
		r.step(20)
		r.is(Waiting, 0)
	})
	t.Run("a clock that goes backwards stops", func(t *testing.T) {
		r := newRig(t, nil).start()
		r.in.TimeMS -= 40
		r.step(20)
		r.is(Stopped, LateStep|StaleFix)
	})
	t.Run("a fix does not become young again", func(t *testing.T) {
		r := newRig(t, nil).start()
		r.holding = false
		r.wait(2000).is(Stopped, StaleFix)
		for range 20 { // 2^32 ms and more, in steps of ten days
			r.step(864_000_000)
			require.Equal(t, StaleFix, r.out.Reasons)
		}
		assert.EqualValues(t, uint32(math.MaxUint32), r.out.FixAgeMS)
	})
	t.Run("the wrap is nothing special", func(t *testing.T) {
		r := newRig(t, nil)
		r.in.TimeMS = math.MaxUint32 - 600
		r.start()
		before := r.in.TimeMS
		r.wait(1000).is(Driving, 0).had(0)
		require.Less(t, r.in.TimeMS, before)
	})
}

// today is a site shift of the rig's plan.
func (r *rig) today(east, north, sine int32) *SiteShift {
	return &SiteShift{Digest: r.m.Record.Digest, Day: 20260510, EastMM: east, NorthMM: north, SineQ30: sine}
}

func TestSiteShift(t *testing.T) {
	t.Run("moves the fixes", func(t *testing.T) {
		r := newRig(t, nil)
		require.True(t, r.m.SetShift(&r.state, r.today(1_000, -2_000, 0)))
		r.to(-1_000, 2_000).start() // today's fixes of the start
		assert.Equal(t, Point{0, 0}, r.out.At)
	})
	t.Run("turns them first", func(t *testing.T) {
		r := newRig(t, nil)
		const angle = 0.9 * math.Pi / 180
		require.True(t, r.m.SetShift(&r.state, r.today(100, 50, int32(math.Round(math.Sin(angle)*(1<<30))))))
		r.to(10_000, 4_000).wait(300)
		assert.InDelta(t, 10_000*math.Cos(angle)-4_000*math.Sin(angle)+100, r.out.At.EastMM, 1.4)
		assert.InDelta(t, 10_000*math.Sin(angle)+4_000*math.Cos(angle)+50, r.out.At.NorthMM, 1.4)
	})
	t.Run("limits", func(t *testing.T) {
		r := newRig(t, nil)
		for _, c := range []struct {
			east, north, sine int32
			want              bool
		}{
			{3_000, -3_000, MaxRotationQ30, true}, {3_001, 0, 0, false}, {0, -3_001, 0, false},
			{math.MinInt32, 0, 0, false}, {0, math.MaxInt32, 0, false}, {0, 0, MaxRotationQ30 + 1, false}, {0, 0, -MaxRotationQ30 - 1, false}, {0, 0, math.MinInt32, false},
		} {
			assert.Equal(t, c.want, r.m.SetShift(&r.state, r.today(c.east, c.north, c.sine)), "%+v", c)
		}
	})
	t.Run("not while driving, and then a new fix is needed", func(t *testing.T) {
		r := newRig(t, nil).start()
		assert.False(t, r.m.SetShift(&r.state, r.today(1, 1, 0)))
		r.set(allRun&^thumb).wait(100).is(Waiting, Released)
		require.True(t, r.m.SetShift(&r.state, r.today(1, 1, 0)))
		r.holding = false
		r.step(stepMS)
		r.is(Stopped, NoFix|Released)
	})
	t.Run("not of another plan, by any of its bits", func(t *testing.T) {
		for i := range 256 {
			r := newRig(t, nil)
			shift := r.today(500, 0, 0)
			shift.Digest[i/8] ^= 1 << (i % 8)
			require.False(t, r.m.SetShift(&r.state, shift))
			require.Zero(t, r.state.shift)
		}
	})
	t.Run("none, and zero", func(t *testing.T) {
		needed := func(m *Mission) { m.Rover.ShiftNeeded = true }
		r := newRig(t, needed)
		r.set(allRun&^thumb).wait(400).set(allRun).wait(100).is(Stopped, NoShift)
		require.NotZero(t, r.events&EventStartRefused)

		other := r.today(0, 0, 0)
		other.Digest[31]++
		require.False(t, r.m.SetShift(&r.state, other))
		r.set(allRun&^thumb).wait(400).set(allRun).wait(100).is(Stopped, NoShift)

		require.True(t, r.m.SetShift(&r.state, r.today(0, 0, 0)))
		r.start()              // zero is a shift
		newRig(t, nil).start() // and where none is needed, none is asked for
	})
	t.Run("graver than what is said of places", func(t *testing.T) {
		r := newRig(t, func(m *Mission) { m.Rover.ShiftNeeded = true })
		r.to(90_000, 0).wait(400).is(Stopped, NoShift|OutsideFence|NotAtStart|Released)
		require.Less(t, NoShift, OutsideFence)
	})
	t.Run("another lap keeps it, a start does not", func(t *testing.T) {
		r := newRig(t, func(m *Mission) { m.Rover.ShiftNeeded = true })
		require.True(t, r.m.SetShift(&r.state, r.today(1_000, -2_000, 0)))
		r.to(-1_000, 2_000).start()
		shift := r.state.shift

		require.True(t, r.m.StartLap(&r.state, 0))
		require.Equal(t, shift, r.state.shift)
		r.holding = false
		r.step(stepMS)
		r.holding = true
		require.NotZero(t, r.out.Reasons&NoFix, "the fixes of the lap before do not count")
		r.start()
		assert.Equal(t, Point{0, 0}, r.out.At)

		assert.False(t, r.m.StartLap(&r.state, uint16(len(r.m.Legs))), "there is no such leg")
		assert.Zero(t, r.state.shift)
		assert.True(t, r.m.StartLap(&r.state, 0))
		assert.Zero(t, r.state.shift, "the state before never started")

		require.True(t, r.m.SetShift(&r.state, r.today(1, 1, 0)))
		require.True(t, r.m.Start(&r.state, 0))
		r.set(allRun&^thumb).wait(400).is(Stopped, NoShift|NotAtStart|Released)

		fresh := State{}
		require.True(t, r.m.StartLap(&fresh, 0))
		assert.Zero(t, fresh.shift)
	})
	t.Run("before a start", func(t *testing.T) {
		m := yard().mission(t)
		assert.False(t, m.SetShift(&State{}, &SiteShift{Digest: m.Record.Digest}), "a start would clear it")
	})
	t.Run("cosine", func(t *testing.T) {
		m := yard().mission(t)
		var s State
		require.True(t, m.Start(&s, 0))
		for sine := int32(-MaxRotationQ30); sine <= MaxRotationQ30; sine += 9_973 {
			require.True(t, m.SetShift(&s, &SiteShift{Digest: m.Record.Digest, SineQ30: sine}))
			x := float64(sine) / (1 << 30)
			require.InDelta(t, math.Sqrt(1-x*x)*(1<<30), s.shift.CosineQ30, 1.6)
		}
	})
}

// cart is a simple rover: it goes where it is steered at the speed limit while
// driven, and slows down evenly when not, as the slope of each leg has it.
type cart struct {
	e, n, bearing, speed float64
}

func (c *cart) move(out *Output, ms float64, on Leg) {
	deceleration := (1 << 32) / (2 * float64(on.CoastSquareQ32))
	if out.DriveEnable {
		c.speed = min(c.speed+600*ms/1000, float64(out.SpeedLimitMMPerS))
		c.bearing = float64(out.BearingCdeg) * math.Pi / 18000
	} else {
		c.speed = max(c.speed-deceleration*ms/1000, 0)
	}
	sin, cos := math.Sincos(c.bearing)
	c.e += c.speed * ms / 1000 * sin
	c.n += c.speed * ms / 1000 * cos
}

// drive lets the cart drive until it stops or something happens; it returns the
// events in order, without those of a start.
func (r *rig) drive(c *cart, limitMS int, until func() bool) []Events {
	var happened []Events
	for i := 0; i < limitMS; i += stepMS {
		c.move(&r.out, stepMS, r.m.Legs[r.out.Leg])
		r.to(int64(math.Round(c.e)), int64(math.Round(c.n)))
		if r.in.SpeedKnown {
			r.in.SpeedMMPerS = uint32(math.Round(c.speed))
		}
		r.step(stepMS)
		if r.out.Events != 0 {
			happened = append(happened, r.out.Events)
		}
		if until() {
			break
		}
	}
	return happened
}

func TestRouteIsDrivenToItsEnd(t *testing.T) {
	for _, known := range []bool{false, true} {
		r := newRig(t, nil)
		r.m.Rover.LatencyMS = 0 // the rig's fixes are not late
		r.in.SpeedKnown = known
		r.start()
		c := &cart{}
		var rest []float64 // distance from the mark, at rest, where the route stops
		started := r.out.Leg
		happened := r.drive(c, 120_000, func() bool {
			if r.out.Events&EventDeparted != 0 {
				mark := r.m.Legs[r.out.Leg]
				rest = append(rest, math.Hypot(c.e-float64(mark.StartEastMM), c.n-float64(mark.StartNorthMM)))
			}
			return r.out.Phase == Finished
		})
		require.Zero(t, started)
		require.Equal(t, []Events{
			EventArrived, EventDeparted, // B, with its dwell
			EventArrived,                // C, passing
			EventArrived, EventDeparted, // D, a stop
			EventArrived | EventFinished, // E
		}, happened, "speed known %v", known)
		for _, d := range rest {
			assert.Less(t, d, 60.0, "mm from the mark at rest, speed known %v", known)
		}
		r.drive(c, 10_000, func() bool { return false })
		assert.Less(t, math.Hypot(c.e, c.n-3_000), 60.0, "mm from the last mark at rest, speed known %v", known)
		r.start0refused()
	}
}

// start0refused: a finished mission does not start again by pressing.
func (r *rig) start0refused() {
	r.set(allRun &^ thumb).wait(300).set(allRun).wait(300)
	assert.Equal(r.t, Finished, r.out.Phase)
	assert.False(r.t, r.out.DriveEnable)
}

func TestDwellIsCountedAtRest(t *testing.T) {
	r := newRig(t, nil).start().to(7_900, 0)
	passed := 0
	for r.out.Phase != Dwelling && passed < 2000 {
		r.step(stepMS)
		passed += stepMS
	}
	r.is(Dwelling, 0)
	dwelt := uint32(0)
	for r.out.Phase == Dwelling {
		require.False(t, r.out.DriveEnable)
		r.step(stepMS)
		dwelt += stepMS
	}
	assert.InDelta(t, 2000+1600, dwelt, stepMS, "dwell and settling")
	r.is(Driving, 0)
	assert.EqualValues(t, 1, r.out.Leg)
}

func TestReleaseDuringTheDwell(t *testing.T) {
	r := newRig(t, nil).start().to(7_900, 0).wait(600).is(Dwelling, 0)
	r.set(allRun&^thumb).wait(100).is(Waiting, Released).wait(10_000).is(Waiting, Released)
	assert.EqualValues(t, 0, r.out.Leg, "the dwell is not over")
	r.events = 0
	r.set(allRun).wait(100)
	r.is(Dwelling, 0).had(EventStarted | EventArrived) // again, and in full
	r.wait(3_500).is(Dwelling, 0).wait(200).is(Driving, 0)
}

func TestRestingShortOfTheTolerance(t *testing.T) {
	// The rover stops dead where the drive is cut.
	r := newRig(t, nil).start().to(7_450, 0).wait(300)
	require.Equal(t, Driving, r.out.Phase)
	require.False(t, r.out.DriveEnable, "cut 550 mm before the mark")
	r.wait(1_300).had(0)
	r.wait(200).had(EventShort)
	assert.True(t, r.out.DriveEnable, "goes on")
	r.to(7_700, 0).wait(1000)
	assert.True(t, r.out.DriveEnable, "until it is within the tolerance")
	r.to(7_751, 0).wait(200).is(Dwelling, 0).had(EventArrived)
}

func TestMissedAndBroughtBack(t *testing.T) {
	r := newRig(t, func(m *Mission) {
		m.Legs[1].CrossTrackMM, m.Legs[1].JoinCrossMM = 600, 600
		m.Legs[1].StartToleranceMM = 250
	})
	require.True(t, r.m.Start(&r.state, 1))
	r.to(8_000, 0).start()
	r.to(8_300, 4_000).wait(200).is(Driving, 0)
	r.to(8_300, 8_010).wait(200).is(Stopped, PassedBy).had(EventStopped | EventMissed)
	r.set(allRun&^thumb).wait(100).set(allRun).wait(100).is(Stopped, PassedBy).had(EventStartRefused)
	r.set(allRun&^thumb).to(8_300, 7_000).wait(300).is(Waiting, Released)
	r.set(allRun).wait(100).is(Driving, 0)
	r.to(8_200, 8_010).wait(200) // abeam, within
	assert.EqualValues(t, 2, r.out.Leg)
}

func TestArrivalFacts(t *testing.T) {
	leg, err := NewLeg(planar.Point{E: 0, N: 0}, planar.Point{E: 10_000, N: 0})
	require.NoError(t, err)
	leg.EndToleranceMM = 200
	for _, c := range []struct {
		e, n int32
		stop bool
		cut  bool
		want Arrival
	}{
		{9_799, 0, false, false, UnderWay}, {9_800, 0, false, false, Arrived}, {9_859, 141, false, false, Arrived}, {9_858, 142, false, false, UnderWay},
		{10_000, 200, false, false, Arrived}, {10_000, 201, false, false, Missed}, {10_000, -201, false, false, Missed},
		{10_900, 150, false, false, Arrived}, {10_900, 250, false, false, Missed}, {9_990, 5_000, false, false, UnderWay},
		{9_900, 0, true, false, UnderWay}, {9_900, 0, true, true, Arrived}, {10_000, 0, true, false, Arrived}, {9_700, 0, true, true, UnderWay},
		{10_100, 300, true, true, Missed}, {-5_000, 0, false, false, UnderWay},
	} {
		leg.StopAtEnd = c.stop
		at := Point{c.e, c.n}
		assert.Equal(t, c.want, leg.Arrival(at, leg.Track(at), c.cut), "%+v", c)
	}
}

func TestReasonsInWords(t *testing.T) {
	assert.Equal(t, "none", Reasons(0).String())
	assert.Equal(t, "emergency stop, reset needed", (Emergency | ResetNeeded).String())
	assert.Equal(t, "not at the start", NotAtStart.String())
	assert.Equal(t, "stopped, missed", (EventStopped | EventMissed).String())
	assert.Equal(t, "dwelling", Dwelling.String())
}
