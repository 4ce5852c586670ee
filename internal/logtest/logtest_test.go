// The logs have the noise that they are said to have.
package logtest

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Over 200 stretches of as many correlation times each, the variance and the correlation of
// the errors are those of the process: var s², and e^(-dt/T) from one fix to the next.
func TestNoiseIsGaussMarkov(t *testing.T) {
	l := Log{Seed: 4, Latitude: 45_301_200_000, Longitude: 6_123_400_000, HeightM: 400, From: time.Date(2026, 5, 10, 8, 0, 0, 0, time.UTC), Every: time.Second, Fixes: 40_000,
		StdMM: [3]float64{5, 8, 12}, TimeConstant: 10 * time.Second, Order: []string{}}
	epochs := l.Epochs()
	for axis, value := range []func(Epoch) float64{func(e Epoch) float64 { return e.EastMM }, func(e Epoch) float64 { return e.NorthMM }, func(e Epoch) float64 { return e.UpMM }} {
		var square, product float64
		for i, e := range epochs[1:] {
			square += float64(value(e) * value(e))
			product += float64(value(e) * value(epochs[i]))
		}
		// 40,000 s are worth 40,000/(2·10) independent squares at the least: 3.2 % one σ.
		std := math.Sqrt(square / float64(len(epochs)-1))
		assert.InEpsilon(t, l.StdMM[axis], std, 0.07, "axis %d", axis)
		assert.InDelta(t, math.Exp(-0.1), product/square, 0.02, "axis %d", axis)
	}
	// The first fix is of the stationary law, too, and not at the mark.
	sum := 0.0
	for seed := range uint64(400) {
		l.Seed, l.Fixes = seed, 1
		first := l.Epochs()[0].EastMM
		sum += float64(first * first)
	}
	assert.InEpsilon(t, 5, math.Sqrt(sum/400), 0.15, "400 squares are good to 3.5 %")
}

// What is written is the place that is said, in each axis by itself, to half a digit.
func TestPlacesAreWritten(t *testing.T) {
	for _, c := range []struct {
		degrees  float64
		digits   int
		decimals int
		number   string
		letter   string
	}{
		{45_301_200_000, 2, 8, "4518.07200000", "N"},
		{-6_123_400_000, 3, 4, "00607.4040", "S"},
		{59_999_999_999, 2, 3, "6000.000", "N"}, // carries into the degrees
		{0, 3, 5, "00000.00000", "N"},
	} {
		number, letter := packed(c.degrees, c.digits, c.decimals, "NS")
		assert.Equal(t, []string{c.number, c.letter}, []string{number, letter})
	}
	assert.Equal(t, "$GPGGA,,,,,,0,,,,,,,,*66", Sentence("GPGGA,,,,,,0,,,,,,,,"), "a known sentence of a receiver without a fix")
}

// Damage is to as many lines as are said, the same for the same seed.
func TestDamage(t *testing.T) {
	log := Log{Fixes: 400, Latitude: 45_301_200_000, Longitude: 6_123_400_000}.Text()
	require.Equal(t, 2000, strings.Count(string(log), "\n"))
	once, broken := Damage(log, 1, 10)
	again, _ := Damage(log, 1, 10)
	assert.Equal(t, once, again)
	assert.NotEqual(t, log, once)
	assert.InDelta(t, 200, broken, 60, "4.5 σ of 2000 draws")
	same, broken := Damage(log, 1, 1<<30)
	assert.Equal(t, log, same)
	assert.Zero(t, broken)
}
