package circuit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestStoppingTime(t *testing.T) {
	tests := []struct {
		name   string
		r      Reaction
		wantMS int64
	}{
		{"no debounce: one loop", Reaction{LoopMS: 10}, 10},
		{"debounce: a loop to see it, the debounce, a loop to act", Reaction{DebounceMS: 20, LoopMS: 10}, 40},
		{"output delay is added", Reaction{DebounceMS: 20, LoopMS: 10, OutputDelayMS: 15}, 55},
		{"bounce comes before everything", Reaction{ContactBounceMS: 5, DebounceMS: 20, LoopMS: 10}, 45},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.r.StoppingTimeMS()
			require.NoError(t, err)
			assert.Equal(t, tt.wantMS, got)
		})
	}
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
func TestStoppingTimeAgainstEverySamplingPattern(t *testing.T) {
	for loop := int64(1); loop <= 3; loop++ {
		for debounce := int64(0); debounce <= 6; debounce++ {
			for bounce := int64(0); bounce <= 3; bounce++ {
				r := Reaction{ContactBounceMS: bounce, DebounceMS: debounce, LoopMS: loop}
				bound, err := r.StoppingTimeMS()
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

func TestStoppingTimeRefusesNonsense(t *testing.T) {
	for _, r := range []Reaction{
		{}, {LoopMS: -1}, {LoopMS: maxMS + 1},
		{LoopMS: 1, DebounceMS: -1}, {LoopMS: 1, ContactBounceMS: -1}, {LoopMS: 1, OutputDelayMS: maxMS + 1},
	} {
		_, err := r.StoppingTimeMS()
		assert.Error(t, err, "%+v", r)
	}
}

func TestStoppingDistance(t *testing.T) {
	coast := Coast{FromMMPerS: 600, DistanceMM: 450}
	tests := []struct {
		name               string
		speed, reaction    int64
		wantMM, wantBounds int64
	}{
		{"at the measured speed: 600 × 0.055 = 33, and 450", 600, 55, 483, 483},
		{"at half speed: 17 and a quarter of 450, each rounded up; bound: half of 450", 300, 55, 17 + 113, 17 + 225},
		{"at double speed: four times the coast", 1200, 55, 66 + 1800, 66 + 1800},
		{"one part in a thousand rounds up", 1, 1, 1 + 1, 1 + 1},
		{"standing still", 0, 1000, 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := StoppingDistanceMM(tt.speed, tt.reaction, coast)
			require.NoError(t, err)
			assert.Equal(t, tt.wantMM, got)
			got, err = StoppingDistanceBoundMM(tt.speed, tt.reaction, coast)
			require.NoError(t, err)
			assert.Equal(t, tt.wantBounds, got)
		})
	}
}

// The formula in floating point: never below it, never two millimetres above.
func TestStoppingDistanceNeverFlatters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Int64Range(0, maxMMPerS).Draw(t, "speed")
		ms := rapid.Int64Range(0, maxMS).Draw(t, "reaction")
		c := Coast{rapid.Int64Range(1, maxMMPerS).Draw(t, "from"), rapid.Int64Range(0, maxCoastMM).Draw(t, "coast")}
		got, err := StoppingDistanceMM(v, ms, c)
		require.NoError(t, err)
		ratio := float64(v) / float64(c.FromMMPerS)
		want := float64(v)*float64(ms)/1000 + float64(c.DistanceMM)*ratio*ratio
		slack := 1e-12 * want
		require.GreaterOrEqual(t, float64(got), want-slack)
		require.Less(t, float64(got), want+2+slack)
	})
}

// Coasts worked out by integrating u/(a + b·u) numerically (Simpson's rule, 2000
// intervals) for any mix of friction a and drag b.
func TestCoastBoundHoldsForFrictionAndDrag(t *testing.T) {
	integral := func(v, a, b float64) float64 {
		const n = 2000
		h := v / n
		sum := 0.0
		for i := 0; i <= n; i++ {
			u := h * float64(i)
			weight := 2.0
			switch {
			case i == 0 || i == n:
				weight = 1
			case i%2 == 1:
				weight = 4
			}
			sum += weight * u / (a + b*u)
		}
		return sum * h / 3
	}
	// The quadratic law alone would flatter: the test must be able to fail.
	flattered := false
	for _, a := range []float64{10, 100, 400, 2000} { // mm/s²
		for _, b := range []float64{0, 0.1, 1, 10} { // 1/s
			for _, from := range []int64{200, 600, 1500} {
				measured := integral(float64(from), a, b)
				c := Coast{from, int64(math.Ceil(measured))}
				if c.DistanceMM > maxCoastMM {
					continue
				}
				for v := int64(50); v <= 3000; v += 50 {
					truth := integral(float64(v), a, b)
					bound, err := c.BoundMM(v)
					require.NoError(t, err)
					require.GreaterOrEqual(t, float64(bound), truth-1e-6, "a %g, b %g, from %d, at %d", a, b, from, v)
					at, err := c.AtMM(v)
					require.NoError(t, err)
					flattered = flattered || float64(at) < truth-1
				}
			}
		}
	}
	require.True(t, flattered)
}

func TestDistancesRefuseNonsense(t *testing.T) {
	good := Coast{600, 450}
	for _, tt := range []struct {
		v, ms int64
		c     Coast
	}{
		{-1, 0, good}, {maxMMPerS + 1, 0, good}, {1, -1, good}, {1, 10*maxMS + 1, good},
		{1, 1, Coast{0, 450}}, {1, 1, Coast{600, -1}}, {1, 1, Coast{600, maxCoastMM + 1}}, {1, 1, Coast{maxMMPerS + 1, 1}},
	} {
		_, err := StoppingDistanceMM(tt.v, tt.ms, tt.c)
		assert.Error(t, err, "%+v", tt)
		_, err = StoppingDistanceBoundMM(tt.v, tt.ms, tt.c)
		assert.Error(t, err, "%+v", tt)
	}
}
