package guidance

// Restarts that nobody asked for, stops that nobody saw, and arrivals that were none: what
// a reader of the header found by sequences of his own.

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
)

func TestAPressThatNoStepSawStartsNothing(t *testing.T) {
	t.Run("before mere_start", func(t *testing.T) {
		r := newRig(t).start().release().wait(400).press()
		require.True(t, r.m.Start(&r.state, 0))
		r.to(0, 0).step(5_000).wait(2_000).is(Waiting, LetGoFirst)
		r.start()
	})
	t.Run("while no step ran", func(t *testing.T) {
		r := newRig(t).start().release().wait(400).press().step(5_000).wait(2_000).is(Waiting, LetGoFirst)
		r.start()
	})
	t.Run("of the button, before mere_start", func(t *testing.T) {
		r := newRig(t, buttonAlone)
		r.set(0).wait(300).set(r.all).wait(100).reset(360)
		r.in.StartRequest = true
		r.wait(200)
		require.True(t, r.m.Start(&r.state, 0))
		r.wait(2_000)
		assert.Equal(t, Waiting, r.out.Phase)
	})
}

func TestAJammedButtonThatShakesIsNotLetGo(t *testing.T) {
	t.Run("start", func(t *testing.T) {
		r := newRig(t, buttonAlone)
		r.set(0).wait(300).set(r.all).wait(100).reset(360)
		r.in.StartRequest = true
		r.wait(400)
		require.Equal(t, Driving, r.out.Phase, "%v", r.out.Reasons)
		r.holding = false
		r.wait(2_000).is(Stopped, StaleFix)
		r.holding = true
		for range 20 {
			r.in.StartRequest = false
			r.step(stepMS)
			r.in.StartRequest = true
			r.wait(600).is(Waiting, 0)
		}
		r.in.StartRequest = false
		r.wait(240)
		r.in.StartRequest = true
		r.wait(400).is(Driving, 0)
	})
	t.Run("reset", func(t *testing.T) {
		r := newRig(t).start()
		r.in.ResetRequest = true
		r.set(thumb | gate).wait(400).release().wait(400)
		for range 20 {
			r.in.ResetRequest = false
			r.step(stepMS)
			r.in.ResetRequest = true
			r.wait(700).is(Stopped, ResetNeeded|Released)
		}
	})
}

func TestAJumpIsNoArrivalAtAWaypointPassed(t *testing.T) {
	r := newRig(t)
	require.True(t, r.m.Start(&r.state, 1)) // towards C, which is passed
	r.glide(8_000, 0).start().glide(8_000, 4_000)
	r.to(8_000, 7_900).wait(200)
	assert.Equal(t, Stopped, r.out.Phase)
	assert.NotZero(t, r.out.Reasons&FixJumped)
	assert.EqualValues(t, 1, r.out.Leg)
	assert.Zero(t, r.events&EventArrived)
}

func TestAFixFromNowhereLeavesTheJumpTestOn(t *testing.T) {
	r := newRig(t).start().glide(3_000, 0)
	r.fix(board.QualityFixed)
	r.in.LatitudeNdeg = 0
	r.step(stepMS).is(Stopped, OutOfDomain)
	r.to(9_000, 0).wait(200)
	assert.NotZero(t, r.out.Reasons&FixJumped, "%v", r.out.Reasons)
}

func TestStopsWhileAStartWasRefusedAreLatched(t *testing.T) {
	r := newRig(t).start().release().wait(400)
	require.False(t, r.m.Start(&r.state, 99))
	r.set(thumb | gate).wait(400).release().wait(400)
	require.True(t, r.m.Start(&r.state, 0))
	r.wait(400)
	assert.NotZero(t, r.out.Reasons&ResetNeeded)
}

// Each bit of the masks and of the shift is under the seal.
func TestTheSealCoversMasksAndShift(t *testing.T) {
	r := newRig(t).start()
	sound := r.state
	for bit := range 16 {
		for _, of := range []*uint16{&r.state.holdsAll, &r.state.holdsLevel, &r.state.holdsToRun, &r.state.holdsEmergency} {
			*of ^= 1 << bit
			require.False(t, r.state.sound())
			r.state = sound
		}
	}
	for bit := range 32 {
		for _, of := range []*int32{&r.state.shift.EastMM, &r.state.shift.NorthMM, &r.state.shift.SineQ30, &r.state.shift.CosineQ30} {
			*of ^= 1 << bit
			require.False(t, r.state.sound())
			r.state = sound
		}
	}
	require.True(t, r.state.sound())
}

// The two starts that need no act wait while a filter may be about to stop.
func TestNothingComesOnWhileAFilterCounts(t *testing.T) {
	filtered := func(m *Mission) { m.Holds[2].FilterMS = 100 }
	t.Run("at the end of a dwell", func(t *testing.T) {
		r := newRig(t, filtered).start()
		r.glide(7_800, 0).until(Dwelling, 60_000)
		for r.state.timerMS > stepMS {
			r.step(stepMS)
		}
		r.release()
		for range 15 {
			r.step(stepMS)
			require.False(t, r.out.DriveEnable, "on while the hold-to-run is let go")
		}
		r.is(Waiting, Released)
	})
	t.Run("a spike only puts it off", func(t *testing.T) {
		r := newRig(t, filtered).start()
		r.glide(7_800, 0).until(Dwelling, 60_000)
		for r.state.timerMS > stepMS {
			r.step(stepMS)
		}
		r.release().step(stepMS).is(Dwelling, 0).press().wait(100).is(Driving, 0)
		assert.NotZero(t, r.events&EventDeparted)
	})
	t.Run("at rest short of the mark", func(t *testing.T) {
		r := newRig(t, filtered).start()
		r.glide(7_500, 0).until(Coasting, 2_000)
		r.events = 0
		for r.state.look != lookShort { // the first of two fixes
			r.step(stepMS)
		}
		for r.sinceFix < 200-stepMS {
			r.step(stepMS)
		}
		r.release().step(stepMS).step(stepMS)
		require.Equal(t, Coasting, r.out.Phase)
		assert.Zero(t, r.events&EventShort)
		r.press().until(Driving, 1_000)
		assert.NotZero(t, r.events&EventShort)
	})
}

// That both channels stopped once vouches for no later time.
func TestProofOfAnEarlierStopHidesNoLaterFault(t *testing.T) {
	r := newRig(t).start().release()
	apart := func() { r.set(stopB | gate).wait(60).set(stopA | stopB | gate).wait(100) }
	apart()
	r.is(Stopped, ChannelsDiffer|ResetNeeded|Released)
	r.set(gate).wait(300).set(stopA | stopB | gate).wait(100) // both: proof
	apart()
	r.reset(600)
	assert.NotZero(t, r.out.Reasons&ChannelsDiffer, "the newest fault was not proved gone")
	r.set(gate).wait(300).set(stopA | stopB | gate).wait(100).reset(600)
	assert.Zero(t, r.out.Reasons&ChannelsDiffer, "%v", r.out.Reasons)
}

func TestStopsWhileAStartWasRefusedGoToAnotherMission(t *testing.T) {
	r := newRig(t).start().release().wait(400)
	memory, ok := r.state.Remember(7)
	require.True(t, ok)
	require.False(t, r.m.Start(&r.state, 99))
	other := *r.m
	other.Record.Digest[0] ^= 1
	require.True(t, other.Start(&r.state, 0))
	memory.MissionWord = other.word()
	memory.Check = memory.checkOf()
	require.True(t, other.Recall(&r.state, &memory, 7))
	r.m = &other
	r.wait(400)
	assert.NotZero(t, r.out.Reasons&ResetNeeded)
	r.press().wait(400)
	assert.False(t, r.out.DriveEnable)
}

// A fix that tells its age is taken once, young or old.
func TestAFixToldTwiceIsTakenOnce(t *testing.T) {
	latency := uint32(yard(t).Rover.LatencyMS)
	for _, age := range []uint32{1, 10, latency / 2, latency, latency + 1, latency + 40} {
		r := newRig(t)
		r.holding = false
		tell := func(age uint32) bool {
			r.fix(board.QualityFixed)
			r.in.FixAgeMS = age
			before := r.state.fixAgeMS
			r.step(stepMS)
			return r.state.fixAgeMS != before+stepMS
		}
		require.True(t, tell(age), "%d ms", age)
		for again := range uint32(3) {
			assert.False(t, tell(age+(again+1)*stepMS), "%d ms, again", age)
		}
		require.True(t, tell(age), "%d ms, a new one", age)
		assert.False(t, tell(age+stepMS+90), "older than the last")
		r.fix(board.QualityFixed)
		r.in.FixAgeMS = 0 // does not tell
		r.step(stepMS)
		assert.Zero(t, r.state.fixAgeMS)
	}
}

// A step that was none stops what was under way, and a damaged state stays one.
func TestAStepThatWasNoneTakesAnAct(t *testing.T) {
	t.Run("with other tables", func(t *testing.T) {
		r := newRig(t).start()
		other := *r.m
		other.Record.Digest[0] ^= 1
		other.Step(&r.state, &r.in, &r.out)
		r.step(stepMS)
		r.is(Waiting, LetGoFirst)
		assert.Equal(t, BadMission, r.out.StoppedBy)
	})
	t.Run("in a dwell, which is dwelt anew", func(t *testing.T) {
		r := newRig(t).start()
		r.glide(7_800, 0).until(Dwelling, 60_000)
		other := *r.m
		other.Record.Digest[0] ^= 1
		other.Step(&r.state, &r.in, &r.out)
		r.release().wait(400).press().wait(100)
		assert.Equal(t, Dwelling, r.out.Phase)
	})
	t.Run("with a bit that comes back", func(t *testing.T) {
		for bit := range 16 {
			r := newRig(t).start()
			r.state.leg ^= 1 << bit
			r.step(stepMS / 2)
			require.False(t, r.out.DriveEnable)
			r.state.leg ^= 1 << bit
			r.step(stepMS / 2)
			require.False(t, r.out.DriveEnable)
			require.Equal(t, BadState, r.out.Reasons)
			r.release().wait(400).press().wait(400)
			require.Equal(t, BadState, r.out.Reasons, "until a start")
			require.True(t, r.m.Start(&r.state, 0))
		}
	})
}

// After every press, also one that acted, the button must be let go for release_ms.
func TestAResetThatActedIsLetGoToo(t *testing.T) {
	r := newRig(t).start().release()
	r.set(gate).wait(300).set(stopA | stopB | gate).wait(100)
	r.in.ResetRequest = true
	r.wait(600)
	r.in.ResetRequest = false
	r.step(stepMS)
	require.NotZero(t, r.out.Events&EventReset)
	r.set(gate).step(stepMS).set(stopA | stopB | gate)
	r.in.ResetRequest = true
	r.wait(600)
	r.in.ResetRequest = false
	r.wait(100)
	assert.NotZero(t, r.out.Reasons&ResetNeeded, "let go for one sample only")
}

// Begun, a leg is driven from anywhere on it, and not from far behind it.
func TestNoStartFromBehindALegThatWasBegun(t *testing.T) {
	r := newRig(t, freeJumps).start()
	r.m.Rover.JumpMM = 50
	behind := int64(r.m.Legs[0].ToleranceMM) + 50 + int64(r.m.Rover.RetreatMM)
	r.release().wait(400)
	r.m.Rover.JumpMM = 60_000
	r.to(-behind, 0).wait(400)
	r.m.Rover.JumpMM = 50
	r.step(stepMS).is(Waiting, Released)
	r.to(-behind-1, 0).wait(400).is(Stopped, OffLine|Released)
	r.to(-behind, 0).wait(400).start()
}

// What another lap changes of the memory is told, so that a power cycle does not go back.
func TestANewLapIsToldToTheMemory(t *testing.T) {
	r := newRig(t).start().release().wait(400)
	require.True(t, r.m.Start(&r.state, 2))
	r.step(stepMS)
	assert.True(t, r.out.MemoryDue)
	r.step(stepMS)
	assert.False(t, r.out.MemoryDue)
	require.True(t, r.m.Start(&r.state, 2))
	r.step(stepMS)
	assert.False(t, r.out.MemoryDue, "as it was")
}
