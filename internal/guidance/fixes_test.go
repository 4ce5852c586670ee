package guidance

// Rules, "Fixes", "Fence and line" and "Time": every reason stops, and what makes one.

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/planar"
)

func TestEveryReasonStops(t *testing.T) {
	for _, c := range []struct {
		name    string
		cause   func(r *rig)
		within  uint32 // ms
		reasons Reasons
	}{
		{"hold-to-run released", func(r *rig) { r.release() }, 20, Released},
		{"emergency stop pressed", func(r *rig) { r.set(thumb | gate) }, 20, Emergency | ResetNeeded},
		{"one channel of it", func(r *rig) { r.set(15 &^ stopB) }, 20, Emergency | ResetNeeded},
		{"interlock opened", func(r *rig) { r.set(15 &^ gate) }, 20, InterlockOpen},
		{"interlock and emergency stop", func(r *rig) { r.set(thumb | stopB) }, 20, InterlockOpen | Emergency | ResetNeeded},
		{"fixes end", func(r *rig) { r.holding = false }, 920, StaleFix},
		{"poor fixes", func(r *rig) { r.m.Rover.RequiredQuality = 5 }, 920, PoorFix}, // none is so good
		{"outside the fence", func(r *rig) { r.to(3_500, -15_001) }, 200, OutsideFence | OffLine},
		{"on the fence", func(r *rig) { r.to(3_500, -15_000) }, 200, OutsideFence | OffLine},
		{"fix in another country", func(r *rig) { r.fix(board.QualityFixed); r.in.LongitudeNdeg += 1e9 }, 20, OutOfDomain},
		{"fix of nonsense", func(r *rig) { r.fix(board.QualityFixed); r.in.LatitudeNdeg = math.MinInt64 }, 20, OutOfDomain},
		{"off the line", func(r *rig) { r.to(4_000, 152) }, 200, OffLine},
		{"past the waypoint", func(r *rig) { r.to(8_010, 260) }, 200, OffLine | PassedBy},
		{"past the waypoint, on its line", func(r *rig) { r.to(8_253, 0) }, 200, PassedBy},
		{"back", func(r *rig) { r.to(3_096, 0) }, 200, WrongWay},
		{"a jump", func(r *rig) { r.m.Rover.JumpMM = 150; r.to(4_000, 0) }, 200, FixJumped},
		{"a fix that stands", func(r *rig) { r.in.SpeedKnown, r.in.SpeedMMPerS = true, 600 }, 2000, FixStands},
		{"a late step", func(r *rig) { r.in.TimeMS += 31 }, 20, LateStep},
		{"a damaged state", func(r *rig) { r.state.leg = 1 }, 20, BadState},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t, freeJumps).start()
			r.to(3_500, 0).wait(200).is(Driving, 0)
			c.cause(r)
			passed := uint32(0)
			for r.out.Phase == Driving && passed < 5000 {
				r.step(stepMS)
				passed += stepMS
			}
			r.is(Stopped, c.reasons)
			assert.LessOrEqual(t, passed, c.within, "time to stop")
			assert.Equal(t, c.reasons, r.out.StoppedBy)
			if c.reasons == BadState {
				r.release().wait(400).press().wait(400).is(Stopped, BadState)
				return
			}
			assert.NotZero(t, r.events&EventStopped)
			assert.Equal(t, c.reasons&PassedBy != 0, r.events&EventMissed != 0)

			// The cause goes away: nothing moves by itself.
			r.m.Rover.RequiredQuality = board.QualityFixed
			r.holding, r.in.SpeedKnown = true, false
			held := uint16(15)
			if c.reasons&Released != 0 {
				held &^= thumb // pressing it anew would be the act
			}
			r.to(3_500, 0).set(held).wait(10_000)
			require.NotEqual(t, Driving, r.out.Phase)
			require.False(t, r.out.DriveEnable)
			assert.Equal(t, c.reasons, r.out.StoppedBy, "the cause is remembered")
			if c.reasons&ResetNeeded != 0 {
				require.NotZero(t, r.out.Reasons&ResetNeeded)
				r.set(0).wait(300).release().wait(300).is(Stopped, r.out.Reasons&ChannelsDiffer|ResetNeeded|Released).reset(360)
			}
			r.start()
		})
	}
}

// Below required_quality, and above what there is, a fix is none.
func TestQuality(t *testing.T) {
	for quality := range 256 {
		r := newRig(t)
		r.holding = false
		r.to(1, 0).fix(board.Quality(quality))
		r.step(stepMS)
		assert.Equal(t, quality == 4, r.out.At.EastMM == 1, "quality %d", quality)

		r = newRig(t, func(m *Mission) { m.Rover.RequiredQuality = board.QualityDifferential })
		r.holding = false
		r.to(1, 0).fix(board.Quality(quality))
		r.step(stepMS)
		assert.Equal(t, quality >= 2 && quality <= 4, r.out.At.EastMM == 1, "quality %d", quality)
	}
	want := [256]board.Quality{ // NMEA 0183, GGA: 4 is fixed, 5 float; from memory
		1: board.QualityStandalone, 2: board.QualityDifferential, 3: board.QualityStandalone,
		4: board.QualityFixed, 5: board.QualityFloat, 6: board.QualityNone, 7: board.QualityNone, 8: board.QualityNone,
	}
	for digit := range 256 {
		assert.Equal(t, want[digit], QualityFromGGA(uint8(digit)), "digit %d", digit)
	}
}

func TestPoorFixesAreNotUsed(t *testing.T) {
	r := newRig(t).start().glide(3_000, 0)
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
	r.wait(1000).is(Waiting, LetGoFirst).had(EventStopped)
}

// The rover's latency is 120 ms; a fix is stale 700 ms after that.
func TestLateFixes(t *testing.T) {
	// late gives one fix of an age, after so long without one.
	late := func(t *testing.T, waitMS, ageMS uint32) *rig {
		r := newRig(t).start().glide(600, 0)
		r.holding = false
		r.wait(waitMS).to(700, 0).fix(board.QualityFixed)
		r.in.FixAgeMS = ageMS
		return r.step(stepMS)
	}
	for _, c := range []struct {
		waitMS, ageMS uint32
		used          bool
		wantAge       uint32
	}{
		{200, 0, true, 0}, {200, 119, true, 0}, {200, 120, true, 0}, // usual
		{200, 121, true, 1}, {200, 300, true, 180},
		{180, 117 + 200, true, 197},  // 3 ms younger than the last
		{180, 120 + 200, false, 200}, // holds for the same instant as the last, so it is the same
		{180, 121 + 200, false, 200}, // for one before that
		{660, 117 + 680, true, 677},  // about to be stale
		{660, 121 + 700, false, 680}, // stale at once
		{660, 1 << 31, false, 680},
		{660, math.MaxUint32, false, 680},
	} {
		r := late(t, c.waitMS, c.ageMS)
		require.Equal(t, Driving, r.out.Phase, "%+v: %v", c, r.out.Reasons)
		assert.Equal(t, c.used, r.out.At.EastMM == 700, "%+v", c)
		assert.Equal(t, c.wantAge, r.out.FixAgeMS, "%+v", c)
	}
	t.Run("its age goes on", func(t *testing.T) {
		r := late(t, 200, 120+200)
		r.wait(500).is(Driving, 0).step(stepMS).is(Stopped, StaleFix)
	})
	t.Run("stale at once, and no fix before it", func(t *testing.T) {
		for ageMS, want := range map[uint32]Reasons{120 + 700: Released, 121 + 700: NoFix | Released} {
			r := powerUp(t)
			r.holding = false
			r.try().fix(board.QualityFixed)
			r.in.FixAgeMS = ageMS
			r.step(stepMS)
			assert.Equal(t, want, r.out.Reasons, "%d ms", ageMS)
			assert.Equal(t, want&NoFix == 0, r.out.Located)
		}
	})
	t.Run("a receiver that is ever further behind stops", func(t *testing.T) {
		r := newRig(t).start()
		r.holding = false
		for age := uint32(120); r.out.Phase == Driving; age += 100 {
			require.Less(t, age, uint32(2000))
			r.fix(board.QualityFixed)
			r.in.FixAgeMS = age
			r.wait(200)
		}
		r.is(Stopped, StaleFix|LetGoFirst)
	})
	t.Run("what is too late is not poor", func(t *testing.T) {
		r := newRig(t).start()
		r.holding = false
		r.wait(500).fix(board.QualityFloat)
		r.step(stepMS).fix(board.QualityFixed)
		r.in.FixAgeMS = 5000
		r.wait(200)
		assert.Equal(t, StaleFix, r.out.StoppedBy)
	})
}

func TestJumps(t *testing.T) {
	// 900 mm/s are the fastest of the rover's speeds: 180 mm in 200 ms, and 150 mm.
	for _, c := range []struct {
		e      int64
		driven uint32 // measured speed, 0 for none
		jumps  bool
	}{{329, 0, false}, {332, 0, true}, {-329, 0, false}, {-332, 0, true}, {347, 1000, false}, {352, 1000, true}} {
		r := newRig(t, func(m *Mission) { m.Rover.RetreatMM = 5_000 }).start().glide(2_100, 0)
		r.in.SpeedKnown, r.in.SpeedMMPerS = c.driven != 0, c.driven
		r.to(2_100+c.e, 0).wait(200)
		assert.Equal(t, c.jumps, r.out.StoppedBy&FixJumped != 0, "%+v: %v", c, r.out.Reasons)
	}
	t.Run("a reason for stale_after_ms", func(t *testing.T) {
		r := newRig(t).start().glide(2_100, 0).to(2_600, 0).until(Stopped, 300)
		held := uint32(0)
		for ; r.out.Reasons&FixJumped != 0; held += stepMS {
			r.step(stepMS)
		}
		assert.EqualValues(t, 700, held)
		r.start()
	})
	t.Run("pushed by hand, no faster than 2 m/s", func(t *testing.T) {
		r := newRig(t).to(0, 545).wait(400)
		require.Zero(t, r.out.Reasons&FixJumped)
		r.to(0, 545+552).wait(400)
		require.NotZero(t, r.out.Reasons&FixJumped)
	})
	t.Run("the longer no fix came, the further it may be", func(t *testing.T) {
		r := newRig(t).start().glide(2_100, 0)
		r.holding = false
		r.wait(580).to(2_100+900*600/1000+148, 0)
		r.holding = true
		r.step(stepMS).is(Driving, 0)
	})
}

func TestStandsStill(t *testing.T) {
	stop := func(t *testing.T, speed uint32, known bool) (*rig, uint32) {
		r := newRig(t).start()
		r.in.SpeedKnown, r.in.SpeedMMPerS = known, speed
		passed := uint32(0)
		for ; r.out.Phase == Driving && passed < 20_000; passed += stepMS {
			r.step(stepMS)
		}
		return r, passed
	}
	// 1000 mm rolled, then the next fix.
	r, passed := stop(t, 600, true)
	assert.Equal(t, FixStands, r.out.StoppedBy)
	assert.InDelta(t, 1000*1000/600, passed, 220)
	r, passed = stop(t, 100, true)
	assert.Equal(t, FixStands, r.out.StoppedBy)
	assert.InDelta(t, 10_000, passed, 220)
	r, _ = stop(t, 0, true)
	assert.Equal(t, Driving, r.out.Phase, "wheels that do not turn")
	r, _ = stop(t, 600, false)
	assert.Equal(t, Driving, r.out.Phase, "not told without a measured speed")

	// A fix that moves along is not meant, nor a rover that stands.
	r = newRig(t)
	r.in.SpeedKnown, r.in.SpeedMMPerS = true, 600
	r.start().glide(6_900, 0).is(Driving, 0)
	r.release().wait(5000).is(Waiting, Released)
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
		r.state.phase, r.state.flags = Driving, r.state.flags|flagBegun // the start would refuse what driving stops
		r.state.holdsRun, r.state.seal = r.all, r.state.sealOf()
		r.in.SpeedKnown, r.in.SpeedMMPerS = c.known, c.speed
		r.fix(board.QualityFixed)
		r.press().wait(190)
		assert.Equal(t, c.drives, r.out.DriveEnable, "margin %d mm, speed %d mm/s known %v: %v", c.marginMM, c.speed, c.known, r.out.Reasons)
		if !c.drives {
			assert.NotZero(t, r.out.StoppedBy&FenceNear)
			r.release().wait(300)
			assert.NotZero(t, r.out.Reasons&FenceNear, "and no start from there")
		}
	}
}

// Beside its line: as far as join_cross_mm before join_mm, then cross_track_mm.
func TestLine(t *testing.T) {
	for _, c := range []struct {
		e, n  int64
		stops bool
	}{{2_900, 268, false}, {2_900, 272, true}, {2_900, -268, false}, {2_900, -272, true}, {3_100, 148, false}, {3_100, 152, true}} {
		r := newRig(t, freeJumps).start().to(c.e, c.n).wait(200)
		assert.Equal(t, c.stops, r.out.StoppedBy == OffLine, "%+v: %v", c, r.out.Reasons)
		assert.Equal(t, !c.stops, r.out.DriveEnable, "%+v", c)
	}
}

func TestTime(t *testing.T) {
	t.Run("a late step stops", func(t *testing.T) {
		r := newRig(t).start().step(50).is(Driving, 0).step(51).is(Stopped, LateStep)
		r.step(stepMS).is(Waiting, LetGoFirst).start()
	})
	t.Run("a clock that goes backwards stops", func(t *testing.T) {
		r := newRig(t).start()
		r.holding = false
		r.in.TimeMS -= 40
		r.step(stepMS).is(Stopped, LateStep|StaleFix)
	})
	t.Run("a fix does not become young again", func(t *testing.T) {
		r := newRig(t).start()
		r.holding = false
		r.wait(2000).is(Stopped, StaleFix|LetGoFirst)
		for range 20 { // 2^32 ms and more, in steps of ten days
			r.step(864_000_000).is(Stopped, StaleFix|LetGoFirst|LateStep)
		}
		assert.EqualValues(t, uint32(math.MaxUint32), r.out.FixAgeMS)
	})
	t.Run("the first step comes after none", func(t *testing.T) {
		r := powerUp(t)
		r.in.TimeMS = 3_000_000_000
		r.step(0)
		assert.Zero(t, r.out.Reasons&LateStep)
	})
}

// Two boards with the same story and clocks that differ: no output differs.
func TestOnlyDifferencesOfTheClockCount(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 0))
	offsets := []uint32{1, 1 << 31, math.MaxUint32, math.MaxUint32 - 4_000} // the last wraps on the way
	for range 20 {
		offsets = append(offsets, random.Uint32())
	}
	story := func(offset uint32) (outputs []Output) {
		r := powerUp(t)
		r.in.TimeMS = offset
		turn := func(ms uint32, then func()) {
			then()
			for passed := uint32(0); passed < ms; passed += stepMS {
				outputs = append(outputs, r.step(stepMS).out)
			}
		}
		turn(300, func() { r.set(0) })
		turn(200, func() { r.release() })
		turn(400, func() { r.in.ResetRequest = true })
		turn(100, func() { r.in.ResetRequest = false })
		turn(2000, func() { r.press() })
		turn(20, func() { r.in.TimeMS += 31 }) // late
		turn(300, func() { r.release() })
		turn(1000, func() { r.press() })
		turn(1000, func() { r.holding = false })
		return outputs
	}
	want := story(0)
	events := Events(0)
	for i := range want {
		events |= want[i].Events
	}
	require.Equal(t, EventTried|EventReset|EventStarted|EventStopped, events)
	for _, offset := range offsets {
		require.Equal(t, want, story(offset), "clock ahead by %d ms", offset)
	}
}

func TestReasonsInWords(t *testing.T) {
	assert.Equal(t, "none", Reasons(0).String())
	assert.Equal(t, "emergency stop, reset needed", (Emergency | ResetNeeded).String())
	assert.Equal(t, "not at the start", NotAtStart.String())
	assert.Equal(t, "stopped, missed", (EventStopped | EventMissed).String())
	assert.Equal(t, "none", Events(0).String())
	assert.Equal(t, "dwelling", Dwelling.String())
	assert.Equal(t, "unknown", Phase(6).String())
}
