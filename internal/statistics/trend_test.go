package statistics

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Errors that fade slowly pass for a drift by chance alone, to whoever takes each value for
// independent. Of 300 series without one, at most a few in a hundred are told at 1 %, and of
// as many with one nearly all.
func TestTrend(t *testing.T) {
	const times = 300
	for _, c := range []struct {
		name   string
		fadesS float64
		drift  float64 // over half an hour
		least  int
		most   int
	}{
		{"none, 1 s", 1, 0, 0, 9},
		{"none, 10 s", 10, 0, 0, 9},
		{"none, 30 s", 30, 0, 0, 9},
		{"two standard deviations, 10 s", 10, 2, 280, times},
		{"four standard deviations, 30 s", 30, 4, 280, times},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(11, 12))
			told := 0
			for range times {
				f := newFading(rng, c.fadesS, 2, 0)
				s := NewSeries(2, 2, 1800)
				for i := 0.0; i <= 1800; i += 2 {
					east, north := f.next()
					s.Add(i, 1, east+c.drift*i/1800, north)
				}
				if s.Trend().PValue < 0.01 {
					told++
				}
			}
			assert.GreaterOrEqual(t, told, c.least)
			assert.LessOrEqual(t, told, c.most)
		})
	}
}

// A line without errors has its slope, and no test.
func TestSlope(t *testing.T) {
	s := NewSeries(2, 1, 50)
	for i := 0.0; i <= 50; i++ {
		s.Add(i, 1, 3*i-7, -0.5*i)
	}
	trend := s.Trend()
	assert.InDeltaSlice(t, []float64{3, -0.5}, trend.Slope, 1e-12)
	assert.Equal(t, 1.0, trend.PValue)
}
