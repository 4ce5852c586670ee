package guidance

// Rules, "Site shift": what moves today's fixes onto the mission's marks.

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// today is a site shift of the rig's plan.
func (r *rig) today(east, north, sine int32) *SiteShift {
	return &SiteShift{Digest: r.m.Record.Digest, Day: 20260510, EastMM: east, NorthMM: north, SineQ30: sine}
}

// shiftNeeded is a yard that was checked with a site shift.
func shiftNeeded(m *Mission) { m.Rover.ShiftNeeded = true }

func TestSiteShift(t *testing.T) {
	t.Run("moves the fixes", func(t *testing.T) {
		r := newRig(t, freeJumps)
		require.True(t, r.m.SetShift(&r.state, r.today(1_000, -2_000, 0)))
		r.to(-1_000, 2_000).start() // today's fixes of the start
		assert.Equal(t, Point{0, 0}, r.out.At)
	})
	t.Run("turns them first", func(t *testing.T) {
		r := newRig(t)
		const angle = 0.9 * math.Pi / 180
		require.True(t, r.m.SetShift(&r.state, r.today(100, 50, int32(math.Round(math.Sin(angle)*(1<<30))))))
		r.to(10_000, 4_000).wait(300)
		assert.InDelta(t, 10_000*math.Cos(angle)-4_000*math.Sin(angle)+100, r.out.At.EastMM, 1.4)
		assert.InDelta(t, 10_000*math.Sin(angle)+4_000*math.Cos(angle)+50, r.out.At.NorthMM, 1.4)
	})
	t.Run("limits", func(t *testing.T) {
		r := newRig(t)
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
		r := newRig(t).start()
		assert.False(t, r.m.SetShift(&r.state, r.today(1, 1, 0)))
		r.release().wait(100).is(Waiting, Released)
		require.True(t, r.m.SetShift(&r.state, r.today(1, 1, 0)))
		r.holding = false
		r.step(stepMS)
		r.is(Stopped, NoFix|Released)
	})
	t.Run("not of another plan, by any of its bits", func(t *testing.T) {
		for i := range 256 {
			r := powerUp(t)
			shift := r.today(500, 0, 0)
			shift.Digest[i/8] ^= 1 << (i % 8)
			require.False(t, r.m.SetShift(&r.state, shift))
			require.Zero(t, r.state.shift)
		}
	})
	t.Run("none, and zero", func(t *testing.T) {
		r := newRig(t, shiftNeeded)
		r.release().wait(400).press().wait(100).is(Stopped, NoShift|LetGoFirst)
		require.NotZero(t, r.events&EventStartRefused)

		other := r.today(0, 0, 0)
		other.Digest[31]++
		require.False(t, r.m.SetShift(&r.state, other))
		r.release().wait(400).press().wait(100).is(Stopped, NoShift|LetGoFirst)

		require.True(t, r.m.SetShift(&r.state, r.today(0, 0, 0)))
		r.start()         // zero is a shift
		newRig(t).start() // and where none is needed, none is asked for
	})
	t.Run("graver than what is said of places", func(t *testing.T) {
		r := powerUp(t, shiftNeeded).to(90_000, 0).try()
		r.is(Stopped, NoShift|OutsideFence|NotAtStart|Released)
		require.Less(t, NoShift, OutsideFence)
	})
	t.Run("cleared, by hand or with another plan's start", func(t *testing.T) {
		r := newRig(t, shiftNeeded)
		require.True(t, r.m.SetShift(&r.state, r.today(0, 0, 0)))
		r.wait(400).is(Waiting, Released).start()
		require.False(t, r.state.ClearShift(), "not while driving")
		r.release().wait(400).is(Waiting, Released)
		require.True(t, r.state.ClearShift())
		require.Zero(t, r.state.shift)
		r.holding = false
		r.step(stepMS).is(Stopped, NoShift|NoFix|Released)
		require.False(t, (&State{}).ClearShift(), "not before a start")
	})
	t.Run("before a start", func(t *testing.T) {
		m := yard(t)
		assert.False(t, m.SetShift(&State{}, &SiteShift{Digest: m.Record.Digest}), "a start would clear it")
	})
	t.Run("cosine", func(t *testing.T) {
		m := yard(t)
		var s State
		require.True(t, m.Start(&s, 0))
		for sine := int32(-MaxRotationQ30); sine <= MaxRotationQ30; sine += 9_973 {
			require.True(t, m.SetShift(&s, &SiteShift{Digest: m.Record.Digest, SineQ30: sine}))
			x := float64(sine) / (1 << 30)
			require.InDelta(t, math.Sqrt(1-x*x)*(1<<30), s.shift.CosineQ30, 1.6)
		}
	})
}
