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
		{"one loop, what the clock hides, and the step", Reaction{LoopMS: 10}, 10 + 1 + 1},
		{"the output's delay", Reaction{LoopMS: 10, OutputDelayMS: 15}, 10 + 1 + 1 + 15},
		{"the contact chatters first", Reaction{BounceMS: 5, LoopMS: 10, OutputDelayMS: 15}, 5 + 10 + 1 + 1 + 15},
		{"a filter of 1 ms is over at the next sample", Reaction{FilterMS: 1, LoopMS: 10}, 10 + 10 + 1 + 1},
		{"a filter: its time, and a loop until somebody looks", Reaction{FilterMS: 20, LoopMS: 10}, 10 + 20 + 10 + 1},
		{"a radio link before the contact", Reaction{RadioMS: 400, BounceMS: 5, LoopMS: 10}, 400 + 5 + 10 + 1 + 1},
		{"all", Reaction{RadioMS: 400, BounceMS: 5, FilterMS: 20, LoopMS: 10, OutputDelayMS: 15}, 400 + 5 + 10 + 20 + 10 + 1 + 15},
	} {
		got, err := tt.r.HoldMS()
		require.NoError(t, err, tt.name)
		assert.Equal(t, tt.wantMS, got, tt.name)
	}
}

func TestReactionToAFix(t *testing.T) {
	r := Reaction{RadioMS: 999, BounceMS: 999, FilterMS: 999, LoopMS: 20, OutputDelayMS: 15}
	assert.Equal(t, int64(80+20+100+20+1+1+15), r.FixMS(80, 100), "latency, loop, interval, loop, clock, step, relay; nothing of the holds")
}

// ticks are so many to the millisecond: instants are whole ticks, the clock's readings
// whole milliseconds.
const ticks = 4

// game is a contact that moves just after the sample at instant 0, played against every
// sequence of samples that the clock lets pass and every reading of the chattering
// contact.
type game struct {
	r     Reaction
	phase int64              // ticks from a millisecond of the clock to instant 0
	worst map[[2]int64]int64 // the latest instant of the end, by instant and count
}

// latest is the latest instant at which stop is concluded, of a filter that has counted
// so many milliseconds of stop, 1 at the first sample of it.
func (g *game) latest(now, counted int64) int64 {
	at := [2]int64{now, counted}
	if worst, known := g.worst[at]; known {
		return worst
	}
	worst := int64(0)
	for next := now + 1; (next+g.phase)/ticks-(now+g.phase)/ticks <= g.r.LoopMS; next++ {
		elapsed := (next+g.phase)/ticks - (now+g.phase)/ticks
		readings := []bool{true}
		if next < ticks*g.r.BounceMS {
			readings = []bool{true, false}
		}
		for _, stop := range readings {
			count := counted
			switch {
			case !stop:
				count = max(count-elapsed, 0)
			case count == 0:
				count = 1
			default:
				count += elapsed
			}
			end := next
			if count <= g.r.FilterMS || !stop {
				end = g.latest(next, count)
			}
			worst = max(worst, end)
		}
	}
	g.worst[at] = worst
	return worst
}

// The bound is never reached, and not a millisecond of it is wasted.
func TestReactionAgainstEverySamplingPattern(t *testing.T) {
	for loop := int64(1); loop <= 3; loop++ {
		for filter := int64(0); filter <= 6; filter++ {
			for bounce := int64(0); bounce <= 3; bounce++ {
				r := Reaction{BounceMS: bounce, FilterMS: filter, LoopMS: loop}
				bound, err := r.HoldMS()
				require.NoError(t, err)
				worst := int64(0)
				for phase := range int64(ticks) {
					g := game{r: r, phase: phase, worst: map[[2]int64]int64{}}
					worst = max(worst, g.latest(0, 0))
				}
				worst += ticks * StepMS
				assert.Less(t, worst, ticks*bound, "%+v", r)
				assert.GreaterOrEqual(t, worst, ticks*(bound-1), "%+v", r)
			}
		}
	}
}

func TestReactionRefusesNonsense(t *testing.T) {
	for _, r := range []Reaction{
		{}, {LoopMS: -1}, {LoopMS: maxMS + 1},
		{LoopMS: 1, FilterMS: -1}, {LoopMS: 1, BounceMS: -1}, {LoopMS: 1, RadioMS: -1}, {LoopMS: 1, RadioMS: maxMS + 1}, {LoopMS: 1, OutputDelayMS: maxMS + 1},
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
