package motion

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestReactionToAHold(t *testing.T) {
	for _, tt := range []struct {
		name   string
		r      Reaction
		wantMS int64
	}{
		{"no debounce: one loop", Reaction{LoopMS: 10}, 10},
		{"debounce: a loop to see it, the debounce, a loop to act", Reaction{DebounceMS: 20, LoopMS: 10}, 40},
		{"output delay is added", Reaction{DebounceMS: 20, LoopMS: 10, OutputDelayMS: 15}, 55},
		{"bounce comes before everything", Reaction{ContactBounceMS: 5, DebounceMS: 20, LoopMS: 10}, 45},
	} {
		got, err := tt.r.HoldMS()
		require.NoError(t, err, tt.name)
		assert.Equal(t, tt.wantMS, got, tt.name)
	}
}

func TestReactionToAFix(t *testing.T) {
	r := Reaction{DebounceMS: 999, LoopMS: 20, OutputDelayMS: 15}
	assert.Equal(t, int64(80+20+100+20+15), r.FixMS(80, 100), "latency, loop, interval, loop, relay; no debounce")
}

// longest plays a debounce that starts over at each change against every
// sequence of sampling intervals up to LoopMS and every reading of the
// chattering contact, in whole milliseconds, and returns the latest time at
// which stop is concluded. The contact starts to move just after a sample at
// time 0.
func longest(r Reaction, nowMS, stopSinceMS int64) int64 {
	worst := int64(0)
	for step := int64(1); step <= r.LoopMS; step++ {
		now := nowMS + step
		readings := []bool{true}
		if now < r.ContactBounceMS {
			readings = []bool{true, false}
		}
		for _, stop := range readings {
			since := stopSinceMS
			switch {
			case !stop:
				since = -1
			case since < 0:
				since = now
			}
			end := now
			if since < 0 || now-since < r.DebounceMS {
				end = longest(r, now, since)
			}
			worst = max(worst, end)
		}
	}
	return worst
}

// The bound is never exceeded, and not a millisecond is wasted: in whole
// milliseconds the worst sequence reaches it, less the one millisecond by which
// a sample may come just too early to count.
func TestReactionAgainstEverySamplingPattern(t *testing.T) {
	for loop := int64(1); loop <= 3; loop++ {
		for debounce := int64(0); debounce <= 6; debounce++ {
			for bounce := int64(0); bounce <= 3; bounce++ {
				r := Reaction{ContactBounceMS: bounce, DebounceMS: debounce, LoopMS: loop}
				bound, err := r.HoldMS()
				require.NoError(t, err)
				got := longest(r, 0, -1)
				early := int64(0)
				if debounce > 0 {
					early++
				}
				if bounce > 0 {
					early++
				}
				assert.LessOrEqual(t, got, bound, "%+v", r)
				assert.GreaterOrEqual(t, got, bound-early, "%+v", r)
			}
		}
	}
}

func TestReactionRefusesNonsense(t *testing.T) {
	for _, r := range []Reaction{
		{}, {LoopMS: -1}, {LoopMS: maxMS + 1},
		{LoopMS: 1, DebounceMS: -1}, {LoopMS: 1, ContactBounceMS: -1}, {LoopMS: 1, OutputDelayMS: maxMS + 1},
	} {
		_, err := r.HoldMS()
		assert.Error(t, err, "%+v", r)
	}
}

func TestStopping(t *testing.T) {
	coast := level(t, Run{600, 450, 0})
	for _, c := range []struct {
		name  string
		drive Drive
		want  Stopping
	}{
		{"at the measured speed: 600 × 0.055 = 33, and 450", Drive{Coast: coast, HoldMS: 55, FixMS: 40},
			Stopping{SpeedMMPerS: 600, ReactionMS: 55, ReactionMM: 33, CoastMM: 450, TotalMM: 483, FromHoldMM: 483}},
		{"the slower of hold and fix", Drive{Coast: coast, HoldMS: 40, FixMS: 55},
			Stopping{SpeedMMPerS: 600, ReactionMS: 55, ReactionMM: 33, CoastMM: 450, TotalMM: 483, FromHoldMM: 474}},
		{"at half speed: 16.5, and half of 450", Drive{Coast: coast, HoldMS: 55},
			Stopping{SpeedMMPerS: 300, ReactionMS: 55, ReactionMM: 17, CoastMM: 225, TotalMM: 242, FromHoldMM: 242}},
		{"at double speed: four times the coast", Drive{Coast: coast, HoldMS: 55},
			Stopping{SpeedMMPerS: 1200, ReactionMS: 55, ReactionMM: 66, CoastMM: 1800, TotalMM: 1866, FromHoldMM: 1866}},
		{"one part in a thousand rounds up", Drive{Coast: coast, HoldMS: 1},
			Stopping{SpeedMMPerS: 1, ReactionMS: 1, ReactionMM: 1, CoastMM: 1, TotalMM: 2, FromHoldMM: 2}},
		{"standing still", Drive{Coast: coast, HoldMS: 1000}, Stopping{ReactionMS: 1000}},
	} {
		assert.Equal(t, c.want, c.drive.Stopping(c.want.SpeedMMPerS), c.name)
	}
	assert.Equal(t, int64(2250), Stopping{SpeedMMPerS: 600, CoastMM: 450}.CoastMS(), "2·450/600 = 1.5 s, and half as much again")
	assert.Zero(t, Stopping{}.CoastMS())
}

// The formula in floating point: never below it, never a millimetre above.
func TestTheSquareLawNeverFlatters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Int64Range(0, maxMMPerS).Draw(t, "speed")
		ms := rapid.Int64Range(0, maxMS).Draw(t, "reaction")
		c := Run{rapid.Int64Range(1, maxMMPerS).Draw(t, "from"), rapid.Int64Range(0, maxCoastMM).Draw(t, "coast"), 0}
		rollout, err := Coast{c}.On(0)
		if err != nil {
			t.Skip("it does not come to rest")
		}
		got := rollout.LikelyMM(v)
		ratio := float64(v) / float64(c.FromMMPerS)
		for _, pair := range [][2]float64{{float64(got), float64(c.DistanceMM) * ratio * ratio}, {float64(TravelMM(v, ms)), float64(v) * float64(ms) / 1000}} {
			slack := 1e-12*pair[1] + 1e-6
			require.GreaterOrEqual(t, pair[0], pair[1]-slack)
			require.Less(t, pair[0], pair[1]+1+slack)
		}
	})
}

func TestCoastsRefuseNonsense(t *testing.T) {
	for _, c := range []Coast{nil, {{0, 450, 0}}, {{600, -1, 0}}, {{600, maxCoastMM + 1, 0}}, {{maxMMPerS + 1, 1, 0}}, {{600, 450, 0}, {0, 1, 0}}} {
		_, err := c.On(0)
		assert.Error(t, err, "%+v", c)
	}
}
