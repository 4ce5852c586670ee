package guidance

// Rules, "Starting" and "Start-up test": the drive comes on by an act alone, of hold
// circuits whose contacts have all been seen to open.

import (
	"math/bits"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
)

func TestStartingNeedsAnAct(t *testing.T) {
	t.Run("pressed since power-up does not start", func(t *testing.T) {
		r := powerUp(t).set(thumb).wait(300).press().wait(200).reset(360).is(Waiting, LetGoFirst)
		require.NotZero(t, r.events&EventStartRefused)
		r.wait(5000).is(Waiting, LetGoFirst).start()
	})
	t.Run("pressed before there is a fix does not, when the fix comes", func(t *testing.T) {
		r := powerUp(t)
		r.holding = false
		r.try().is(Stopped, NoFix|Released)
		r.press().wait(300).is(Stopped, NoFix|LetGoFirst).had(EventStartRefused | EventTried)
		r.holding = true
		r.wait(3000).is(Waiting, LetGoFirst).had(0)
		r.start()
	})
	t.Run("not at the start", func(t *testing.T) {
		r := newRig(t, freeJumps).to(0, 252).wait(300).is(Stopped, NotAtStart|Released)
		r.press().wait(300).is(Stopped, NotAtStart|LetGoFirst).had(EventStartRefused | EventTried)
		newRig(t, freeJumps).to(0, 248).start()
	})
	t.Run("while another contact is open", func(t *testing.T) {
		r := newRig(t).set(stopA|stopB|thumb).wait(300).is(Stopped, InterlockOpen|LetGoFirst).had(EventStartRefused | EventTried)
		r.press().wait(3000).is(Waiting, LetGoFirst).had(0)
		r.start()
	})
	t.Run("while another contact is about to open", func(t *testing.T) {
		r := newRig(t, func(m *Mission) { m.Holds[3].FilterMS = 100 })
		r.press().step(stepMS)
		r.set(r.all &^ gate).step(stepMS)
		r.is(Waiting, 0).had(EventStartRefused | EventTried)
		r.press().wait(1000).is(Waiting, LetGoFirst).had(0)
	})
	t.Run("a state of zeros never drives", func(t *testing.T) {
		r := newRig(t)
		r.state = State{}
		r.press().wait(500)
		assert.Equal(t, Output{Reasons: BadMission, StoppedBy: BadMission, MarginMM: -1, FixAgeMS: never}, r.out)
	})
}

func TestStartButton(t *testing.T) {
	r := powerUp(t, buttonAlone)
	r.in.StartRequest = true // jammed since power-up
	r.try().wait(3000).is(Waiting, 0)
	r.in.StartRequest = false
	r.step(stepMS).is(Waiting, 0).had(0).wait(200).is(Waiting, 0).had(EventStartRefused)

	r.in.StartRequest = true
	r.wait(300).is(Waiting, 0).wait(20).is(Driving, 0).had(EventStarted)
	r.wait(3000).had(0)
	r.set(r.all&^thumb).wait(100).is(Stopped, InterlockOpen) // the gate is at the thumb's bit
	r.press().wait(2000).is(Waiting, 0).had(EventStopped)    // the button is still pressed
	r.in.StartRequest = false
	r.wait(100).had(0) // the press was one that started

	for _, c := range []struct {
		name    string
		ms      uint32
		starts  bool
		refused bool
	}{{"too short", 280, false, true}, {"long enough", 320, true, false}} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t, buttonAlone)
			r.in.StartRequest = true
			r.wait(c.ms)
			r.in.StartRequest = false
			r.step(stepMS)
			assert.Equal(t, c.starts, r.events&EventStarted != 0)
			assert.Equal(t, c.refused, r.events&EventStartRefused != 0)
		})
	}
	t.Run("is nothing beside a hold-to-run", func(t *testing.T) {
		r := newRig(t)
		r.in.StartRequest = true
		r.wait(2000).is(Waiting, Released).had(0)
		r.in.StartRequest = false
		r.wait(240).is(Waiting, Released).had(EventStartRefused)
	})
}

// What the operator did to the hold-to-run circuits since power-up, and whether the
// next press of all of them starts.
func TestEachHoldToRunIsLetGo(t *testing.T) {
	const other = stopA | stopB | gate
	for _, c := range []struct {
		name   string
		change func(*Mission)
		done   func(r *rig)
		starts bool
		hint   Reasons
	}{
		{"one, let go", nil, func(r *rig) { r.release().wait(300) }, true, 0},
		{"one, let go for less than release_ms", nil, func(r *rig) { r.start().release().wait(180).is(Waiting, Released) }, false, LetGoFirst},
		{"one, let go for release_ms", nil, func(r *rig) { r.start().release().wait(220) }, true, 0},
		{"one, open for one sample", nil, func(r *rig) { r.start().release().step(stepMS) }, false, LetGoFirst},
		{"two, both let go", twoThumbs, func(r *rig) { r.release().wait(300) }, true, 0},
		{"two, one jammed since the last drive", twoThumbs, func(r *rig) { r.start().set(other | thumb).wait(1000) }, false, LetGoFirst},
		{"two, the other jammed since the last drive", twoThumbs, func(r *rig) { r.start().set(other | second).wait(1000) }, false, LetGoFirst},
		{"two, let go one after the other", twoThumbs, func(r *rig) { r.start().set(other | thumb).wait(300).set(other | second).wait(300) }, true, 0},
		{"two channels, both let go", twoChannelThumb, func(r *rig) { r.start().release().wait(300) }, true, 0},
		{"two channels, one never seen open", twoChannelThumb, func(r *rig) { r.start().set(r.all &^ thumb).wait(260) }, false, LetGoFirst | ChannelsDiffer | ResetNeeded},
		{"two channels, the second never seen open", twoChannelThumb, func(r *rig) { r.start().set(r.all &^ gate).wait(260) }, false, LetGoFirst | ChannelsDiffer | ResetNeeded},
	} {
		t.Run(c.name, func(t *testing.T) {
			var changes []func(*Mission)
			if c.change != nil {
				changes = append(changes, c.change)
			}
			r := newRig(t, changes...)
			c.done(r)
			r.press().wait(200)
			assert.Equal(t, c.starts, r.out.Phase == Driving, "%v", r.out.Reasons)
			assert.Equal(t, c.hint, r.out.Reasons)
			if !c.starts {
				r.wait(5000)
				assert.False(t, r.out.DriveEnable)
				assert.Equal(t, c.hint, r.out.Reasons, "and not by itself later")
			}
		})
	}
	t.Run("two, one jammed since power-up", func(t *testing.T) {
		for _, jammed := range []uint16{thumb, second} {
			r := powerUp(t, twoThumbs).set(jammed).wait(300).set(stopA | stopB | gate | jammed).wait(200).reset(360)
			r.press().wait(300).is(Waiting, LetGoFirst)
			assert.Equal(t, jammed, r.out.Untried)
			r.start()
		}
	})
}

func TestLooseWireStartsNothing(t *testing.T) {
	r := newRig(t).start()
	r.release().step(stepMS)
	r.press().wait(3000).is(Waiting, LetGoFirst).had(EventStopped | EventStartRefused)
	for range 20 {
		r.release().step(stepMS).press().wait(60).is(Waiting, LetGoFirst).had(EventStartRefused)
	}
	r.start()

	// An act that was lost uses up that the contacts were let go.
	r = newRig(t).set(stopA | stopB | thumb).wait(300).had(EventStartRefused | EventTried)
	r.press().wait(200).is(Waiting, LetGoFirst)
	r.release().step(stepMS)
	r.press().wait(1000).is(Waiting, LetGoFirst).had(EventStartRefused)
	r.start()
}

func TestEveryContactIsTried(t *testing.T) {
	for i, name := range []string{"first channel of the emergency stop", "second channel", "hold-to-run", "gate"} {
		t.Run(name+" not opened", func(t *testing.T) {
			kept := uint16(1) << i
			r := powerUp(t).set(kept).wait(300).release().set(stopA | stopB | gate | kept&thumb).wait(1000).reset(360)
			assert.Equal(t, kept|thumb, r.out.Untried)
			r.press().wait(300)
			assert.Equal(t, kept, r.out.Untried)
			assert.NotEqual(t, Driving, r.out.Phase)
			assert.Equal(t, kept != thumb, r.out.Reasons&Untried != 0, "%v", r.out.Reasons)
			assert.NotZero(t, r.out.Reasons&LetGoFirst)
		})
		t.Run(name+" opened for less than release_ms", func(t *testing.T) {
			r := powerUp(t).set(0).wait(300).set(stopA | stopB | thumb | gate).wait(200).reset(360)
			require.Zero(t, r.out.Untried)
			r = powerUp(t).set(0).wait(180).press().wait(1000).reset(360)
			assert.Equal(t, r.all, r.out.Untried)
		})
	}
	t.Run("told one by one", func(t *testing.T) {
		r := powerUp(t).set(0).wait(300).is(Stopped, Emergency|InterlockOpen|ResetNeeded|Untried|Released).had(0)
		r.set(gate).wait(60).had(EventTried)
		assert.EqualValues(t, stopA|stopB|thumb, r.out.Untried)
		r.set(gate | stopA | stopB).wait(60).had(EventTried)
		assert.EqualValues(t, thumb, r.out.Untried)
	})
	t.Run("once a day is enough", func(t *testing.T) {
		r := newRig(t).start().release().wait(300)
		assert.Zero(t, r.out.Untried)
		r.start()
	})
}

// A latched stop that was there when Start was called is there after it.
func TestStartKeepsWhatTheHoldsHaveComeTo(t *testing.T) {
	r := newRig(t, freeJumps, shiftNeeded)
	require.True(t, r.m.SetShift(&r.state, r.today(1_000, -2_000, 0)))
	r.to(-1_000, 2_000).start()
	r.set(r.all&^stopA).wait(400).is(Stopped, Emergency|ResetNeeded|ChannelsDiffer|LetGoFirst)
	r.in.ResetRequest = true
	before := r.state

	require.True(t, r.m.Start(&r.state, 1))
	assert.EqualValues(t, 1, r.state.leg)
	assert.Equal(t, before.latched, r.state.latched)
	assert.Equal(t, before.faults, r.state.faults)
	assert.Equal(t, before.tried, r.state.tried)
	assert.Equal(t, before.opened, r.state.opened)
	assert.Equal(t, before.shift, r.state.shift)
	assert.Equal(t, before.holdsRun, r.state.holdsRun)
	assert.Equal(t, before.countMS, r.state.countMS)
	assert.Equal(t, before.timeMS, r.state.timeMS)
	require.True(t, r.m.Start(&r.state, 0))
	r.in.ResetRequest = false
	r.wait(1000)
	assert.Equal(t, Emergency|ResetNeeded|ChannelsDiffer|LetGoFirst, r.out.Reasons)
	r.set(0).wait(400).release().wait(200).reset(360).start()

	t.Run("a hold-to-run that is kept pressed starts no other lap", func(t *testing.T) {
		r := newRig(t).start()
		require.True(t, r.m.Start(&r.state, 0))
		r.wait(2000).is(Waiting, LetGoFirst).had(0).start()
	})
	t.Run("buttons that are kept pressed act no more", func(t *testing.T) {
		r := newRig(t, buttonAlone)
		r.in.StartRequest = true
		r.wait(340).is(Driving, 0)
		require.True(t, r.m.Start(&r.state, 0))
		r.wait(2000).is(Waiting, 0)
	})
	t.Run("the fixes of the lap before do not count", func(t *testing.T) {
		r := newRig(t).start()
		require.True(t, r.m.Start(&r.state, 0))
		r.holding = false
		r.release().step(stepMS).is(Stopped, NoFix|Released)
	})
}

func TestRefusedStart(t *testing.T) {
	refusals := map[string]func(r *rig) bool{
		"another format":  func(r *rig) bool { m := *r.m; m.Record.Format++; return m.Start(&r.state, 0) },
		"no such leg":     func(r *rig) bool { return r.m.Start(&r.state, 4) },
		"too many holds":  func(r *rig) bool { m := *r.m; m.Holds = make([]Hold, board.MaxHolds+1); return m.Start(&r.state, 0) },
		"leg beyond 2^15": func(r *rig) bool { return r.m.Start(&r.state, 0xFFFF) },
	}
	for name, refused := range refusals {
		t.Run(name, func(t *testing.T) {
			r := newRig(t).start().set(thumb|gate).wait(100).is(Stopped, Emergency|ResetNeeded|LetGoFirst)
			require.False(t, refused(r))
			for _, levels := range []uint16{0, r.all &^ thumb, r.all} {
				r.set(levels).wait(400).is(Stopped, BadMission)
			}
			require.True(t, r.m.Start(&r.state, 0))
			r.release().wait(400).is(Stopped, ResetNeeded|Released) // no latch is lost
			r.reset(360).start()
		})
		t.Run(name+", of a state of zeros", func(t *testing.T) {
			r := newRig(t)
			r.state = State{}
			require.False(t, refused(r))
			r.press().wait(400).is(Stopped, BadMission)
		})
	}
}

func TestStateOfAnotherMission(t *testing.T) {
	other := func(m *Mission) *Mission {
		o := *m
		o.Record.Digest[1] ^= 1
		return &o
	}
	t.Run("does not drive", func(t *testing.T) {
		r := newRig(t).start()
		mission := r.m
		r.m = other(r.m)
		r.step(stepMS).is(Stopped, BadMission)
		r.m = mission
		r.step(stepMS).is(Waiting, LetGoFirst)
		r.wait(400).is(Waiting, LetGoFirst) // until an act
		r.release().wait(400).start()
	})
	for _, c := range []struct {
		name         string
		change       func(o *Mission)
		cause        uint16 // levels that stop
		wantLatched  uint16
		wantedFaults uint8
	}{
		{"a latched stop latches all that latch", nil, thumb | gate, stopA | stopB, 0},
		{"a fault is one of all pairs", nil, thumb | gate | stopB, stopA | stopB, 1},
		{"nothing latches: all are", func(o *Mission) { o.Holds = []Hold{o.Holds[2], o.Holds[3]} }, thumb | gate | stopB, 3, 0},
		{"nothing was latched", nil, stopA | stopB | gate, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t).start().set(c.cause).wait(400)
			require.Equal(t, Stopped == r.out.Phase, c.wantLatched != 0)
			o := other(r.m)
			if c.change != nil {
				c.change(o)
			}
			require.True(t, o.Start(&r.state, 0))
			assert.Equal(t, c.wantLatched, r.state.latched)
			assert.Equal(t, c.wantedFaults, r.state.faults)
			assert.Zero(t, r.state.tried, "the tests are to be made again")
			assert.Zero(t, r.state.shift)
		})
	}
}

// Each bit of what the seal is over, changed by itself while driving.
func TestDamagedStateNeverDrives(t *testing.T) {
	driving := newRig(t).start()
	members := []struct {
		name string
		bits int
		flip func(s *State, bit int)
		want Reasons
	}{
		{"phase", 8, func(s *State, bit int) { s.phase ^= 1 << bit }, BadState},
		{"leg", 16, func(s *State, bit int) { s.leg ^= 1 << bit }, BadState},
		{"flags", 16, func(s *State, bit int) { s.flags ^= 1 << bit }, BadState | BadMission},
		{"latched", 16, func(s *State, bit int) { s.latched ^= 1 << bit }, BadState},
		{"tried", 16, func(s *State, bit int) { s.tried ^= 1 << bit }, BadState},
		{"faults", 8, func(s *State, bit int) { s.faults ^= 1 << bit }, BadState},
		{"seal", 32, func(s *State, bit int) { s.seal ^= 1 << bit }, BadState},
		{"mission_word", 32, func(s *State, bit int) { s.missionWord ^= 1 << bit }, BadMission},
		{"format", 8, func(s *State, bit int) { s.format ^= 1 << bit }, BadMission},
	}
	for _, c := range members {
		for bit := range c.bits {
			for _, from := range []*rig{driving, newRig(t)} {
				r := *from
				c.flip(&r.state, bit)
				r.release().wait(400).press().wait(400)
				require.Equal(t, Stopped, r.out.Phase, "%s, bit %d", c.name, bit)
				require.Equal(t, 1, bits.OnesCount32(uint32(r.out.Reasons)))
				require.NotZero(t, r.out.Reasons&c.want, "%s, bit %d: %v", c.name, bit, r.out.Reasons)
				_, known := r.state.Remember(20260510)
				require.False(t, known)
				require.False(t, r.m.SetShift(&r.state, r.today(0, 0, 0)))
			}
		}
	}
}
