// What a mean is worth, beside closed forms, beside another program, and by simulation.
package statistics

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

// fading is a series of unit errors that fade as e^(-t/T), a Gauss-Markov process, with
// white noise on top.
type fading struct {
	rng        *rand.Rand
	keep, gain float64
	white      float64
	now        [2]float64
}

func newFading(rng *rand.Rand, fadesS, intervalS, white float64) *fading {
	keep := math.Exp(-intervalS / fadesS)
	return &fading{rng, keep, math.Sqrt(1 - keep*keep), white, [2]float64{rng.NormFloat64(), rng.NormFloat64()}}
}

// next is the next error.
func (f *fading) next() (east, north float64) {
	out := f.now
	for axis := range f.now {
		f.now[axis] = f.keep*f.now[axis] + f.gain*f.rng.NormFloat64()
		if f.white > 0 {
			out[axis] += f.white * f.rng.NormFloat64()
		}
	}
	return out[0], out[1]
}

// The variance of the mean of n values whose correlation falls by φ from each to the next,
// in full: s²/n (1 + 2 Σ (1 - k/n) φ^k).
func meanVariance(n int, phi float64) float64 {
	sum := 1.0
	power := 1.0
	for k := 1; k < n; k++ {
		power *= phi
		sum += 2 * (1 - float64(k)/float64(n)) * power
	}
	return sum / float64(n)
}

// The closed form that the next test is against, at the figures of docs/occupy.md: a minute of
// errors that fade in 30 s, at 5 Hz, is worth 1.76 independent fixes, ten minutes 10.5.
func TestClosedForm(t *testing.T) {
	phi := math.Exp(-0.2 / 30)
	assert.InDelta(t, 1.76, 1/meanVariance(300, phi), 0.005)
	assert.InDelta(t, 10.5, 1/meanVariance(3000, phi), 0.05)
}

// Of 200 series the mean of the estimated variance is that of the closed form or somewhat
// more, as the sequence sums what is positive by chance, and that of a single value is
// right; with gaps, too.
func TestWorthAgainstClosedForms(t *testing.T) {
	const times = 200
	for _, c := range []struct {
		name                  string
		fadesS, everyS, lastS float64
		keep                  func(i int) bool
		want                  float64
	}{
		{"independent", 0.01, 1, 399, nil, 1.0 / 400},
		{"ten minutes at 10 s", 10, 1, 600, nil, meanVariance(600, math.Exp(-1.0/10))},
		{"half an hour at 30 s", 30, 1, 1800, nil, meanVariance(1800, math.Exp(-1.0/30))},
		// Two parts far apart are as good as twice one of them.
		{"a gap", 10, 1, 1800, func(i int) bool { return i <= 600 || i > 1200 }, meanVariance(600, math.Exp(-1.0/10)) / 2},
		// Of every ten fixes five in a row are missing, which hardly takes anything away.
		{"half of them missing", 10, 1, 1200, func(i int) bool { return i%10 < 5 }, meanVariance(1200, math.Exp(-1.0/10))},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(5, 6))
			var variance, single float64
			for range times {
				s := NewSeries(2, c.everyS, c.lastS)
				f := newFading(rng, c.fadesS, c.everyS, 0)
				for i := 0; float64(i)*c.everyS <= c.lastS; i++ {
					east, north := f.next()
					if c.keep == nil || c.keep(i) {
						s.Add(float64(i)*c.everyS, 1, east, north)
					}
				}
				worth := s.Worth()
				require.True(t, worth.Known)
				variance += worth.Variance / times
				single += worth.Single / times
			}
			assert.Greater(t, variance/c.want, 0.95)
			assert.Less(t, variance/c.want, 1.25)
			assert.InEpsilon(t, 1, single, 0.05)
		})
	}
}

// R's package coda fits an autoregressive process to the series, another way altogether
// (spectrum0.ar). For φ = 0.9 and n values the truth is n (1-φ)/(1+φ).
func TestWorthBesideCoda(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	const n = 20_000
	var input []string
	s := newSeries(1, 1, n-1, 2_000) // slots of ten values, so that it finds what hangs together by itself
	value := rng.NormFloat64()
	for i := range n {
		s.Add(float64(i), 1, value)
		input = append(input, strconv.FormatFloat(value, 'g', -1, 64))
		value = 0.9*value + math.Sqrt(1-0.81)*rng.NormFloat64()
	}
	said := tooltest.Output(t, strings.Join(input, "\n"), "Rscript", "--vanilla", "-e",
		`x <- scan(file("stdin"), quiet=TRUE); cat(coda::effectiveSize(x), "\n")`)
	coda := tooltest.Floats(t, said)[0]
	ours := s.Worth().Independent
	truth := n * 0.1 / 1.9
	t.Logf("truth %.1f, coda %.1f, here %.1f", truth, coda, ours)
	assert.InEpsilon(t, truth, coda, 0.15)
	assert.InEpsilon(t, truth, ours, 0.15)
	assert.InEpsilon(t, coda, ours, 0.15)
}

// What cannot be told is not said.
func TestNothingIsKnownOfTooLittle(t *testing.T) {
	for _, c := range []struct {
		name   string
		values []float64
	}{
		{"one value", []float64{1}},
		{"two values", []float64{1, 2}},
		{"equal values", []float64{3, 3, 3, 3, 3, 3}},
		{"a straight line", []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}},
	} {
		s := NewSeries(1, 1, float64(len(c.values)-1))
		for i, v := range c.values {
			s.Add(float64(i), 1, v)
		}
		assert.Equal(t, Worth{}, s.Worth(), c.name)
	}
}

func TestMeanIsWeighted(t *testing.T) {
	s := NewSeries(2, 1, 3)
	s.Add(0, 1, 10, 0)
	s.Add(3, 3, 20, 4)
	assert.Equal(t, []float64{17.5, 3}, s.Mean())
	assert.Equal(t, 2.0, s.CoveredS())
}
