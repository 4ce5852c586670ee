// Coasts on slopes and coasts of several runs, in closed forms and by integrating the
// law step by step.
package motion

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// on is the law on ground that falls so: gravity takes a part of the friction.
func (l law) on(fall float64) law { return law{l.a - Gravity/1000*math.Sin(math.Atan(fall)), l.b, l.c} }

// A rover that coasts 450 mm from 600 mm/s brakes by 0.4 m/s², and gravity takes
// 0.0980665 m/s² a percent: at 4.08 % nothing is left. By hand, 0.6²/2(0.4 − g·s).
func TestTheCoastOnASlope(t *testing.T) {
	coast := Coast{{600, 450, 0}}
	for _, c := range []struct {
		sine float64
		want int64 // 0: it does not come to rest
	}{
		{0, 450}, {0.01, 597}, {0.02, 883}, {0.03, 1_700}, {-0.01, 362}, {-0.04, 228}, {0.0405, 57_035}, {0.041, 0}, {0.5, 0},
	} {
		r, err := coast.On(c.sine)
		if c.want == 0 {
			assert.ErrorContains(t, err, "of braking on ground that falls by", "%v", c.sine)
			continue
		}
		require.NoError(t, err)
		assert.InDelta(t, c.want, r.LikelyMM(600), 1, "%v", c.sine)
		assert.InDelta(t, c.want, r.BoundMM(600), 1, "%v", c.sine)
		assert.InDelta(t, float64(c.want)/4, r.LikelyMM(300), 1, "%v", c.sine)
		assert.InDelta(t, float64(c.want)/2, r.BoundMM(300), 1, "%v", c.sine)
		truth, _ := law{a: 0.4}.on(c.sine).roll(0.6, 0)
		assert.InDelta(t, truth*1000, r.LikelyMM(600), 1.01, "%v", c.sine)
	}
	// 0.4/1.15 = 0.3478 and the least deceleration 0.002, over g.
	assert.InDelta(t, 0.03526, Sine(coast.Steepest()), 1e-5)
	_, err := coast.WorstOn(0.0352)
	require.NoError(t, err)
	_, err = coast.WorstOn(0.0353)
	assert.Error(t, err)
}

// On level ground the spread makes 15 % of the length, on a slope more.
func TestTheSpread(t *testing.T) {
	coast := Coast{{600, 450, 0}}
	for _, c := range []struct {
		sine              float64
		best, likely, bad int64
	}{
		{0, 392, 450, 518},      // 450/1.15, 450·1.15 = 517.5
		{0.02, 682, 883, 1_187}, // 0.18/(0.46 − 0.19613), 0.18/(0.4 − ...), 0.18/(0.34783 − ...)
	} {
		for want, of := range map[int64]func(float64) (Rollout, error){c.best: coast.BestOn, c.likely: coast.On, c.bad: coast.WorstOn} {
			r, err := of(c.sine)
			require.NoError(t, err)
			assert.InDelta(t, want, r.LikelyMM(600), 1, "%v", c)
		}
	}
}

// A run on a slope says the same as the run that the rover would have made on the
// level.
func TestARunOnASlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, v := rapid.Float64Range(0.2, 5).Draw(t, "a"), anySpeed(t, "v")
		taped := rapid.Float64Range(-0.2, 0.8*a/9.80665).Draw(t, "taped")
		asked := rapid.Float64Range(-0.2, 0.8*a/9.80665).Draw(t, "asked")
		run := measured(law{a: a}.on(taped), v)
		run.Fall = taped
		if run.DistanceMM > maxCoastMM || run.DistanceMM < 300 {
			t.Skip("further than a coast can be, or so short that the millimetre of the tape counts")
		}
		r, err := Coast{run}.On(asked)
		if err != nil {
			t.Skip("a millimetre of tape makes it roll")
		}
		truth := law{a: a}.on(asked).distance(v) * 1000
		// A millimetre of tape in the run is that part of its braking, and so more
		// of what is left of it.
		slack := 1 / float64(run.DistanceMM) * (a + 9.80665*0.2) / (a - 9.80665*asked)
		require.InEpsilon(t, truth+2, float64(r.LikelyMM(int64(math.Round(v*1000))))+2, slack+0.002+2/truth)
	})
}

// With several runs of one law on the level the bound passes through all of them, and
// is exceeded at no speed.
func TestSeveralRuns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "runs")
		top := anySpeed(t, "top")
		l := anyLaw(t, top, 6)
		l.c = min(l.c, l.a/(top*top))
		var coast Coast
		for range n {
			run := measured(l, math.Ceil(rapid.Float64Range(0.2, 1).Draw(t, "part")*top*1000)/1000)
			if run.DistanceMM > maxCoastMM {
				t.Skip("further than a coast can be")
			}
			coast = append(coast, run)
		}
		r, err := coast.On(0)
		if err != nil {
			t.Skip("it hardly brakes")
		}
		for _, run := range coast {
			bound := r.BoundMM(run.FromMMPerS)
			require.GreaterOrEqual(t, bound, run.DistanceMM)
			// A millimetre of the tape at a slow speed is more at a faster one.
			rounding := 2.0
			for _, other := range coast {
				ratio := max(1, float64(run.FromMMPerS)/float64(other.FromMMPerS))
				rounding += ratio * ratio
			}
			require.LessOrEqual(t, float64(bound), float64(run.DistanceMM)+rounding, "the bound passes through what was measured")
		}
		v := rapid.Int64Range(1, int64(top*1000)).Draw(t, "v")
		truth := l.distance(float64(v)/1000) * 1000
		if l.b > 0 || l.c > 0 {
			truth, _ = l.roll(float64(v)/1000, 0)
			truth *= 1000
		}
		require.GreaterOrEqual(t, r.Bound(v), truth-0.05) // 1e-3 of the tape, times 25
		// More runs never make the bound longer than fewer did, but for the tape.
		single, err := coast[:1].On(0)
		require.NoError(t, err)
		rounding := 2.0
		for _, run := range coast {
			ratio := max(1, top*1000/float64(run.FromMMPerS))
			rounding += ratio * ratio
		}
		require.LessOrEqual(t, float64(r.BoundMM(v)), float64(single.BoundMM(v))+rounding)
	})
}

// Runs that contradict each other are all held.
func TestRunsThatContradict(t *testing.T) {
	for _, c := range []struct {
		name     string
		runs     Coast
		at, want int64
		raised   float64
	}{
		{"one", Coast{{600, 450, 0}}, 300, 225, 0},
		{"two that agree with friction", Coast{{600, 450, 0}, {300, 113, 0}}, 300, 113, 0},
		{"two with drag", Coast{{600, 450, 0}, {300, 150, 0}}, 300, 150, 0},
		{"two with drag, in between", Coast{{600, 450, 0}, {300, 150, 0}}, 450, 338, 0}, // min(450·0.75, 150·2.25)
		{"the same speed twice", Coast{{600, 450, 0}, {600, 500, 0}}, 600, 500, 0.111},
		{"the slower rolls too far", Coast{{600, 450, 0}, {300, 400, 0}}, 600, 800, 0.778},
		{"the slower rolls too short", Coast{{600, 450, 0}, {300, 50, 0}}, 300, 113, 1.25},
	} {
		r, err := c.runs.On(0)
		require.NoError(t, err)
		assert.Equal(t, c.want, r.BoundMM(c.at), c.name)
		assert.InDelta(t, c.raised, r.Contradiction(), 0.01, c.name)
		for _, run := range c.runs {
			assert.GreaterOrEqual(t, r.BoundMM(run.FromMMPerS), run.DistanceMM, c.name)
		}
	}
}

// The likely coast passes through the mean of what was measured at each speed.
func TestLikelyOfSeveralRuns(t *testing.T) {
	r := level(t, Run{600, 450, 0}, Run{600, 470, 0}, Run{300, 150, 0})
	for v, want := range map[int64]int64{0: 0, 150: 38, 300: 150, 600: 460, 1200: 1840, 450: 280} { // 450: 150 + (202500−90000)/270000·310 = 279.2
		assert.Equal(t, want, r.LikelyMM(v), "%d", v)
	}
}

// What one run on the level does not tell: where drag does most of the braking, the
// rover never comes to rest on a slope that friction as strong as the whole would hold
// easily. It is why slope.taped asks for a run on the slope.
func TestOneRunOnTheLevelSaysLittleOfSlopes(t *testing.T) {
	viscous, sine := law{a: 0.03, b: 1}, 0.01
	_, err := Coast{measured(viscous, 0.6)}.WorstOn(sine)
	require.NoError(t, err)
	assert.Negative(t, viscous.on(sine).a, "gravity has more than the friction")
	// A run at walking pace tells.
	_, err = Coast{measured(viscous, 0.6), measured(viscous, 0.05)}.WorstOn(sine)
	assert.Error(t, err)
}
