package guidance

// Rules, "Holds": when a contact counts as stop and as run, two channels, latches, reset.

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/board"
)

// feed gives the gate's samples one by one: 1 for run.
func (r *rig) feed(samples string) *rig {
	for _, sample := range samples {
		if r.press(); sample == '0' {
			r.set(r.all &^ gate)
		}
		r.step(stepMS)
	}
	return r
}

func TestStopAtTheFirstSample(t *testing.T) {
	for _, c := range []struct {
		name    string
		opened  uint16
		reasons Reasons
	}{
		{"hold-to-run", thumb, Released}, {"interlock", gate, InterlockOpen},
		{"first channel", stopA, Emergency | ResetNeeded}, {"second channel", stopB, Emergency | ResetNeeded},
		{"all", 15, Emergency | ResetNeeded | InterlockOpen | Released},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t).start().set(15 &^ c.opened).step(1)
			r.is(Stopped, c.reasons)
			assert.Equal(t, c.reasons, r.out.StoppedBy)
		})
	}
}

// The gate has a filter of 100 ms; turns of the loop are 20 ms. It is an integrator:
// what reads run counts down as fast as what reads stop counts up.
func TestFilter(t *testing.T) {
	for _, c := range []struct {
		samples string
		want    Phase
	}{
		{"0", Driving}, {"00000", Driving},
		{"000000", Stopped}, // 100 ms after the first sample that shows it
		{"0000100", Driving},
		{"00001000", Stopped},
		{"0000011111100000", Driving}, // counted down to nothing
		{"010101010101010101010101010101", Driving},
		{"001001001001001001", Stopped}, // two thirds of the time open
	} {
		r := newRig(t, func(m *Mission) { m.Holds[3].FilterMS = 100 }).start().feed(c.samples)
		assert.Equal(t, c.want, r.out.Phase, c.samples)
		assert.Equal(t, c.want == Driving, r.out.DriveEnable, c.samples)
	}
	t.Run("a late step is no filter's", func(t *testing.T) {
		r := newRig(t, func(m *Mission) { m.Holds[3].FilterMS = 60_000 }).start()
		r.set(r.all&^gate).step(51).is(Stopped, InterlockOpen|LateStep)
	})
	t.Run("no start while one is counting", func(t *testing.T) {
		r := newRig(t, func(m *Mission) { m.Holds[3].FilterMS = 100 })
		r.set(r.all &^ thumb &^ gate).step(stepMS)
		r.press().step(stepMS).step(stepMS).is(Driving, 0) // counted down again
	})
}

// Debouncing is of going to run alone: the gate debounces 40 ms.
func TestDebounce(t *testing.T) {
	r := newRig(t).start().set(stopA|stopB|thumb).wait(300).is(Stopped, InterlockOpen|LetGoFirst)
	r.feed("1101101").is(Stopped, InterlockOpen|LetGoFirst)
	r.feed("1").is(Stopped, InterlockOpen|LetGoFirst)
	r.feed("1").is(Waiting, LetGoFirst).feed("0").is(Stopped, InterlockOpen|LetGoFirst)
}

// Nothing counts as steady across a step that came late.
func TestLateStepWhileWaiting(t *testing.T) {
	t.Run("debounce", func(t *testing.T) {
		r := newRig(t).set(stopA | stopB).wait(300).release().step(stepMS)
		r.step(60_000).is(Stopped, InterlockOpen|Released|LateStep)
		r.step(stepMS).is(Stopped, InterlockOpen|Released)
		r.step(stepMS).is(Waiting, Released)
	})
	t.Run("press of the hold-to-run", func(t *testing.T) {
		r := newRig(t).press().step(stepMS)
		r.step(51).is(Stopped, Released|LateStep)
		r.step(stepMS).is(Waiting, LetGoFirst) // nobody saw when it was pressed
	})
	t.Run("release", func(t *testing.T) {
		r := newRig(t).start().release().wait(100).step(51).wait(180)
		r.press().wait(200).is(Waiting, LetGoFirst)
	})
	t.Run("start button", func(t *testing.T) {
		r := newRig(t, buttonAlone)
		r.in.StartRequest = true
		r.wait(200).step(51).wait(2000).is(Waiting, 0)
	})
	t.Run("reset button", func(t *testing.T) {
		for _, late := range []string{"while pressed", "at letting go"} {
			r := newRig(t).start().set(thumb | gate).wait(300).release().wait(200)
			r.in.ResetRequest = true
			r.wait(400)
			if late == "while pressed" {
				r.step(51).wait(400)
			}
			r.in.ResetRequest = false
			r.events = 0
			r.step(51).wait(240).had(EventResetRefused)
			r.is(Stopped, ResetNeeded|Released)
			r.reset(360).is(Waiting, Released)
		}
	})
}

func TestEmergencyStopNeedsADeliberateReset(t *testing.T) {
	pressed := func(t *testing.T) *rig {
		r := newRig(t).start()
		r.set(thumb|gate).wait(400).is(Stopped, Emergency|ResetNeeded|LetGoFirst)
		r.events = 0
		return r
	}
	t.Run("released, then reset", func(t *testing.T) {
		r := pressed(t).release().wait(200).is(Stopped, ResetNeeded|Released)
		r.reset(360).is(Waiting, Released).had(EventReset) // and it starts nothing
		r.wait(3000).is(Waiting, Released).start()
	})
	t.Run("acts on letting go", func(t *testing.T) {
		r := pressed(t).release().wait(200)
		r.in.ResetRequest = true
		r.wait(60_000).is(Stopped, ResetNeeded|Released).had(0)
		r.in.ResetRequest = false
		r.wait(20).is(Waiting, Released).had(EventReset)
	})
	t.Run("too short a press", func(t *testing.T) {
		pressed(t).release().wait(200).reset(280).is(Stopped, ResetNeeded|Released).had(EventResetRefused)
	})
	t.Run("while still pressed", func(t *testing.T) {
		r := pressed(t).reset(500).wait(200).is(Stopped, Emergency|ResetNeeded|LetGoFirst).had(EventResetRefused)
		r.release().wait(500).is(Stopped, ResetNeeded|Released).had(0)
	})
	t.Run("begun while still pressed", func(t *testing.T) {
		r := pressed(t)
		r.in.ResetRequest = true
		r.wait(500).release().wait(1000)
		r.in.ResetRequest = false
		r.wait(220).is(Stopped, ResetNeeded|Released).had(EventResetRefused)
		r.reset(400).is(Waiting, Released)
	})
	t.Run("jammed since power-up", func(t *testing.T) {
		r := powerUp(t)
		r.in.ResetRequest = true
		r.set(0).wait(300).release().wait(3000)
		r.in.ResetRequest = false
		r.wait(100).is(Stopped, ResetNeeded|Released)
	})
	t.Run("with nothing to reset", func(t *testing.T) {
		newRig(t).wait(240).reset(400).is(Waiting, Released).had(EventResetRefused)
		r := newRig(t).start()
		r.reset(400).is(Driving, 0).had(EventResetRefused)
	})
	t.Run("never in the step of a start", func(t *testing.T) {
		for before, started := range []bool{true, false, false, false} { // steps from the press to the reset
			r := pressed(t).release().wait(300)
			r.in.ResetRequest = true
			r.wait(400)
			if before > 0 {
				r.press().wait(uint32(before) * stepMS)
			}
			r.in.ResetRequest = false
			r.press().step(stepMS)
			assert.NotZero(t, r.out.Events&EventReset, "%d steps", before)
			assert.Zero(t, r.out.Events&EventStarted, "%d steps", before)
			assert.False(t, r.out.DriveEnable)
			r.wait(2000)
			assert.Equal(t, started, r.out.DriveEnable, "an act before the reset or in its step is lost")
			assert.Equal(t, !started, r.events&EventStartRefused != 0)
		}
	})
}

func TestTwoChannels(t *testing.T) {
	t.Run("one stays closed", func(t *testing.T) {
		r := newRig(t).start()
		r.set(r.all&^stopA).wait(300).is(Stopped, Emergency|ResetNeeded|LetGoFirst)
		r.wait(20).is(Stopped, Emergency|ResetNeeded|ChannelsDiffer|LetGoFirst)
		// Both back in run is not enough: the second has not shown that it opens.
		r.release().wait(200).reset(400).is(Stopped, ResetNeeded|ChannelsDiffer|Released)
		r.set(stopB | gate).wait(200).set(gate).wait(200).release().wait(200)
		r.reset(400).is(Waiting, Released)
	})
	t.Run("a little apart", func(t *testing.T) {
		r := newRig(t).start()
		r.set(r.all &^ stopA).wait(200).set(thumb | gate).wait(2000).set(r.all &^ stopB).wait(200).release().wait(200)
		r.is(Stopped, ResetNeeded|Released).reset(400).is(Waiting, Released)
	})
	t.Run("one comes back, the other was never seen to stop", func(t *testing.T) {
		r := newRig(t).start()
		r.set(r.all&^stopA).wait(100).press().wait(100).is(Stopped, ResetNeeded|ChannelsDiffer|LetGoFirst)
	})
	t.Run("and the same after a reset of a fault", func(t *testing.T) {
		r := newRig(t, buttonAlone) // no contact that is in stop between the two
		fault := func() {
			r.set(r.all&^stopA).wait(100).press().wait(100).is(Stopped, ResetNeeded|ChannelsDiffer)
		}
		fault()
		r.set(thumb).wait(200).press().wait(200).reset(400).is(Waiting, 0)
		fault()
	})
}

// A circuit that may be released without latching needs no reset.
func TestOnlyWhatLatchesNeedsAReset(t *testing.T) {
	r := newRig(t, func(m *Mission) {
		m.Holds = append(m.Holds, Hold{Pin: 9, DebounceMS: 10, Kind: board.Interlock, RunLevel: 1, Latched: true})
	}).start()
	r.set(r.all&^gate).wait(100).is(Stopped, InterlockOpen|LetGoFirst)
	r.press().wait(200).is(Waiting, LetGoFirst).start()
	r.set(r.all&^second).wait(100).is(Stopped, InterlockOpen|ResetNeeded|LetGoFirst)
	r.press().wait(200).is(Stopped, ResetNeeded|LetGoFirst).reset(360).is(Waiting, LetGoFirst).start()
}
