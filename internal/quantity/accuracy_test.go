package quantity

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Per axis: the two-sided quantiles of the normal distribution as Python's
// statistics.NormalDist has them, inv_cdf((1+p)/2). Radial: the square roots of the
// quantiles of chi-square with two degrees of freedom, which are -2 ln(1-p); of 50 %, 90 %,
// 95 % and 99 % printed tables have 1.386, 4.605, 5.991 and 9.210 (from memory).
func TestFactors(t *testing.T) {
	for _, c := range []struct {
		percentage      float64
		perAxis, radial float64
	}{
		{10, 0.12566134685507413, 0.4590436050264207},
		{50, 0.6744897501960817, 1.1774100225154747},
		{68, 0.9944578832097535, 1.5095921854516636},
		{68.27, 1.0000217133229994, 1.5151947600179898},
		{90, 1.6448536269514715, 2.145966026289347},
		{95, 1.9599639845400536, 2.447746830680816},
		{99, 2.5758293035489, 3.0348542587702925},
		{99.73, 2.999976992703401, 3.4393323497364663},
		{99.99, 3.8905918864125826, 4.291932052578462},
	} {
		a := Accuracy{Probability: Ratio(math.Round(c.percentage * float64(Percent)))}
		assert.InEpsilon(t, c.perAxis, a.With(PerAxis).Factor(), 1e-12, c.percentage)
		assert.InEpsilon(t, c.radial, a.With(Radial).Factor(), 1e-12, c.percentage)
	}
	for percentage, chiSquare := range map[Ratio]float64{50: 1.386, 90: 4.605, 95: 5.991, 99: 9.210} {
		factor := Accuracy{Probability: percentage * Percent, Manner: Radial}.Factor()
		assert.InDelta(t, chiSquare, factor*factor, 0.0006)
	}
}

func TestParseAccuracy(t *testing.T) {
	for _, c := range []struct {
		text    string
		um      int64
		written string
	}{
		// 50000 / 2.447746830680816 = 20426.95, and / 1.9599639845400536 = 25510.67.
		{"5 cm (95 %, radial)", 20427, "5 cm (95 % radial)"},
		{"5 cm (95 % radial)", 20427, "5 cm (95 % radial)"},
		{"5cm(95%,radial)", 20427, "5cm (95 % radial)"},
		{"5 cm (95 %, per axis)", 25511, "5 cm (95 % per axis)"},
		{"5 cm (50 %, radial)", 42467, "5 cm (50 % radial)"}, // 50000 / 1.1774100225154747 = 42466.09
		{"1 m (68.27 %, per axis)", 999979, "1 m (68.27 % per axis)"},
		{"5 cm (95 %)", 25511, "5 cm (95 %)"}, // as per axis, where there is one axis
	} {
		a, err := ParseAccuracy(c.text, Length(0).Dimension())
		require.NoError(t, err, c.text)
		assert.Equal(t, c.um, a.StandardDeviation(), c.text)
		assert.Equal(t, c.written, a.String())
	}
	for _, text := range []string{"5 cm", "5 cm 95 %", "5 (95 %, radial)", "5 cm (0 %, radial)", "5 cm (9.9 %, radial)", "5 cm (100 %, radial)", "5 cm (99.995 %, radial)", "5 cm (95 %, square)", "(95 %, radial)", "5 cm (95 %, radial) x", "5 s (95 % radial)"} {
		_, err := ParseAccuracy(text, Length(0).Dimension())
		assert.Error(t, err, text)
	}
}

// The deviation is never smaller than the quotient, and by less than a small unit larger.
func TestDeviationsAreRoundedUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Accuracy{
			Value:       rapid.Int64Range(1, 1_000_000_000).Draw(t, "value"),
			Probability: Ratio(rapid.Int64Range(int64(leastProbability), int64(mostProbability)).Draw(t, "probability")),
			Manner:      rapid.SampledFrom([]Manner{Radial, PerAxis}).Draw(t, "manner"),
		}
		exact, got := float64(a.Value)/a.Factor(), float64(a.StandardDeviation())
		require.GreaterOrEqual(t, got, exact)
		require.Less(t, got, exact+1+exact*1e-11)
	})
}

// Of normal errors with that deviation so many are within the accuracy as was said: to four
// standard deviations of a count of 100,000.
func TestAccuraciesAgainstDraws(t *testing.T) {
	draws := rand.New(rand.NewPCG(7, 11))
	const n = 100_000
	for _, a := range []Accuracy{
		{Value: 50_000, Probability: 50 * Percent, Manner: Radial}, {Value: 50_000, Probability: 95 * Percent, Manner: Radial},
		{Value: 50_000, Probability: 68 * Percent, Manner: PerAxis}, {Value: 50_000, Probability: 95 * Percent, Manner: PerAxis},
	} {
		within, sigma := 0, float64(a.StandardDeviation())
		for range n {
			x, y := draws.NormFloat64()*sigma, draws.NormFloat64()*sigma
			if a.Manner == PerAxis {
				y = 0
			}
			if math.Hypot(x, y) <= float64(a.Value) {
				within++
			}
		}
		p := float64(a.Probability) / 1e6
		assert.InDelta(t, p*n, within, 4*math.Sqrt(n*p*(1-p)), a.Manner)
	}
}
