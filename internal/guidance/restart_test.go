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
		r := newRig(t, byButton)
		r.set(0).wait(300).set(r.all).wait(100).reset(360)
		r.in.StartRequest = true
		r.wait(200)
		require.True(t, r.m.Start(&r.state, 0))
		r.wait(2_000)
		assert.Equal(t, Waiting, r.out.Phase)
	})
}

// byButton has no hold-to-run.
func byButton(m *Mission) { m.Holds[2] = m.Holds[3]; m.Holds = m.Holds[:3] }

func TestAJammedButtonThatShakesIsNotLetGo(t *testing.T) {
	t.Run("start", func(t *testing.T) {
		r := newRig(t, byButton)
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
