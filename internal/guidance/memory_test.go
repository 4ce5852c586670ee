package guidance

// Rules, "Power cycle": what is remembered goes on, and nothing else is taken for it.

import (
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	monday  = 20260511
	tuesday = 20260512
)

// powerCycle switches the board off and on; what it remembered is all that stays.
func (r *rig) powerCycle(day uint32) *rig {
	r.t.Helper()
	memory, ok := r.state.Remember(monday)
	require.True(r.t, ok)
	r.state = State{}
	require.True(r.t, r.m.Start(&r.state, 0))
	require.True(r.t, r.m.Recall(&r.state, &memory, day))
	return r
}

func TestPowerCycle(t *testing.T) {
	t.Run("a latched stop is still one", func(t *testing.T) {
		r := newRig(t).start().set(thumb | gate).wait(400)
		r.powerCycle(monday).release().wait(400).is(Stopped, ResetNeeded|Released)
		r.reset(360).is(Waiting, Released).start()
	})
	t.Run("so is a fault, and to clear it both channels are to stop", func(t *testing.T) {
		r := newRig(t).start().set(15 &^ stopA).wait(400)
		r.powerCycle(monday)
		r.set(15 &^ thumb).wait(400).reset(360)
		r.is(Stopped, ChannelsDiffer|ResetNeeded|Released)
		r.set(0).wait(300).release().wait(200).reset(360).is(Waiting, Released).start()
	})
	t.Run("whatever the channels did before it was recalled", func(t *testing.T) {
		r := newRig(t).start().set(15 &^ stopA).wait(400)
		memory, ok := r.state.Remember(monday)
		require.True(t, ok)
		r.state = State{}
		require.True(t, r.m.Start(&r.state, 0))
		r.set(0).wait(300)
		require.True(t, r.m.Recall(&r.state, &memory, monday))
		r.release().wait(400).reset(360).is(Stopped, ChannelsDiffer|ResetNeeded|Released)
	})
	t.Run("it goes on from anywhere on its leg", func(t *testing.T) {
		r := newRig(t).start().glide(4_000, 0).powerCycle(monday).release().wait(400).is(Waiting, Released)
		r.start().wait(20)
		assert.True(t, r.out.DriveEnable)
		r = newRig(t).start().glide(4_000, 0).powerCycle(monday).to(4_000, 152)
		r.release().wait(400).is(Stopped, OffLine|Released)
		r.press().wait(100)
		assert.False(t, r.out.DriveEnable, "but not off its line")
	})
	t.Run("but not before it was begun", func(t *testing.T) {
		r := newRig(t).powerCycle(monday).to(4_000, 0).release().wait(400).is(Stopped, NotAtStart|Released)
		r.press().wait(100)
		assert.False(t, r.out.DriveEnable)
	})
	t.Run("the leg that it was on", func(t *testing.T) {
		r := newRig(t).start().glide(7_500, 0).glide(8_000, 0).until(Dwelling, 3000).powerCycle(monday)
		r.release().wait(400).is(Waiting, Released)
		assert.EqualValues(t, 1, r.out.Leg)
	})
	t.Run("the act is not remembered", func(t *testing.T) {
		r := newRig(t).start().powerCycle(monday).wait(3000).is(Waiting, LetGoFirst)
		assert.False(t, r.out.DriveEnable)
		r.start()
	})
	for _, c := range []struct {
		name            string
		tested, powered uint32
		again           bool
	}{
		{"the same day", monday, monday, false}, {"the next day", monday, tuesday, true},
		{"a day that is not known", 0, 0, true}, {"today not known", monday, 0, true}, {"that day not known", 0, monday, true},
	} {
		t.Run("the test, "+c.name, func(t *testing.T) {
			r := newRig(t)
			memory, ok := r.state.Remember(c.tested)
			require.True(t, ok)
			r.state = State{}
			require.True(t, r.m.Start(&r.state, 0))
			require.True(t, r.m.Recall(&r.state, &memory, c.powered))
			r.release().wait(400)
			assert.Equal(t, c.again, r.out.Reasons&Untried != 0)
			assert.Equal(t, c.again, r.out.Untried&^thumb != 0)
		})
	}
	t.Run("what the new board has latched is not lost", func(t *testing.T) {
		r := newRig(t)
		memory, ok := r.state.Remember(monday)
		require.True(t, ok)
		r.start().set(thumb | gate).wait(400)
		require.True(t, r.m.Recall(&r.state, &memory, monday))
		r.release().wait(400).is(Stopped, ResetNeeded|Released)
	})
}

// bytes are the 20 that a firmware stores, little-endian.
func (m *Memory) bytes() (b [20]byte) {
	binary.LittleEndian.PutUint32(b[0:], m.MissionWord)
	binary.LittleEndian.PutUint32(b[4:], m.Day)
	binary.LittleEndian.PutUint16(b[8:], m.Leg)
	binary.LittleEndian.PutUint16(b[10:], m.Latched)
	binary.LittleEndian.PutUint16(b[12:], m.Tried)
	b[14] = m.Faults
	b[15] = uint8(m.Progress)
	binary.LittleEndian.PutUint32(b[16:], m.Check)
	return b
}

func memoryOf(b [20]byte) *Memory {
	return &Memory{
		MissionWord: binary.LittleEndian.Uint32(b[0:]), Day: binary.LittleEndian.Uint32(b[4:]),
		Leg: binary.LittleEndian.Uint16(b[8:]), Latched: binary.LittleEndian.Uint16(b[10:]), Tried: binary.LittleEndian.Uint16(b[12:]),
		Faults: b[14], Progress: Progress(b[15]), Check: binary.LittleEndian.Uint32(b[16:]),
	}
}

func TestMemoryThatIsNoneIsRefused(t *testing.T) {
	r := newRig(t).start().set(thumb | gate).wait(400)
	memory, ok := r.state.Remember(monday)
	require.True(t, ok)
	r.state = State{}
	require.True(t, r.m.Start(&r.state, 0))
	fresh := r.state
	refused := func(memory *Memory, what string, args ...any) {
		t.Helper()
		require.Falsef(t, r.m.Recall(&r.state, memory, monday), what, args...)
		require.Equal(t, fresh, r.state)
	}

	for bit := range 160 {
		b := memory.bytes()
		b[bit/8] ^= 1 << (bit % 8)
		refused(memoryOf(b), "bit %d", bit)
	}
	for _, fill := range []byte{0x00, 0xFF, 0xAA, 0x55} {
		var b [20]byte
		for i := range b {
			b[i] = fill
		}
		refused(memoryOf(b), "blank: %02x", fill)
	}
	changed := func(change func(m *Memory)) *Memory {
		m := memory
		change(&m)
		m.Check = m.checkOf()
		return &m
	}
	refused(changed(func(m *Memory) { m.MissionWord++ }), "another mission")
	refused(changed(func(m *Memory) { m.Leg = 4 }), "there are legs 0 to 3")

	require.True(t, r.m.Recall(&r.state, &memory, monday))
	assert.Equal(t, memory.Latched, r.state.latched)

	// Only of a state that stands, and that is one.
	require.False(t, r.m.Recall(&State{}, &memory, monday))
	_, ok = (&State{}).Remember(monday)
	require.False(t, ok)
	driving := newRig(t).start()
	require.False(t, driving.m.Recall(&driving.state, &memory, monday))
	other := *r.m
	other.Record.Digest[0] ^= 1
	require.False(t, other.Recall(&r.state, &memory, monday))
}

// A state with a blank mission word: a blank memory is none of its either.
func TestBlankMemoryOfABlankDigest(t *testing.T) {
	r := powerUp(t, func(m *Mission) { m.Record.Digest = [32]byte{} })
	require.False(t, r.m.Recall(&r.state, &Memory{}, monday))
}
