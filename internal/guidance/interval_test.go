package guidance

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func wide(x float64) *big.Float { return new(big.Float).SetPrec(300).SetFloat64(x) }

func requireContains(t *testing.T, a interval, x *big.Float, what string) {
	t.Helper()
	if wide(a.lo).Cmp(x) > 0 || wide(a.hi).Cmp(x) < 0 {
		require.Fail(t, "not enclosed", "%s: [%g, %g] does not contain %s", what, a.lo, a.hi, x.Text('g', 30))
	}
}

// Each operation on intervals encloses that on any numbers in them, computed in
// 300 bits.
func TestIntervalsEnclose(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 0))
	number := func() float64 { return (r.Float64() - 0.5) * math.Ldexp(1, r.IntN(80)-40) }
	random := func() (interval, float64) {
		x, y := number(), number()
		a := interval{min(x, y), max(x, y)}
		return a, min(max(a.lo+r.Float64()*(a.hi-a.lo), a.lo), a.hi)
	}
	for range 50_000 {
		a, x := random()
		b, y := random()
		requireContains(t, a.add(b), new(big.Float).Add(wide(x), wide(y)), "sum")
		requireContains(t, a.sub(b), new(big.Float).Sub(wide(x), wide(y)), "difference")
		requireContains(t, a.mul(b), new(big.Float).Mul(wide(x), wide(y)), "product")
		if b.lo > 0 || b.hi < 0 {
			requireContains(t, a.div(b), new(big.Float).Quo(wide(x), wide(y)), "quotient")
		}
		if a.lo > 0 {
			requireContains(t, a.sqrt(), new(big.Float).Sqrt(wide(x)), "root")
		}
	}
}

// Sine and cosine of 1 and 0.5 to 30 digits, from memory and checked with bc -l.
func TestSineAndCosineEnclose(t *testing.T) {
	for _, c := range []struct {
		x        float64
		sin, cos string
	}{
		{0, "0", "1"},
		{1, "0.841470984807896506652502321630", "0.540302305868139717400936607443"},
		{-0.5, "-0.479425538604203000273287935216", "0.877582561890372716116281582603"},
	} {
		sin, cos := exactly(c.x).sinCos()
		for _, p := range []struct {
			got  interval
			want string
		}{{sin, c.sin}, {cos, c.cos}} {
			want, _, err := big.ParseFloat(p.want, 10, 300, big.ToNearestEven)
			require.NoError(t, err)
			requireContains(t, p.got, want, p.want)
			assert.Less(t, p.got.hi-p.got.lo, 1e-14)
		}
	}
	for x := -1.6; x < 1.6; x += 0.01 {
		around := interval{x - 0.003, x + 0.003}
		sin, cos := around.sinCos()
		for _, y := range []float64{x - 0.003, x, x + 0.002} {
			assert.True(t, sin.lo <= math.Sin(y) && math.Sin(y) <= sin.hi, "%g", y)
			assert.True(t, cos.lo <= math.Cos(y) && math.Cos(y) <= cos.hi, "%g", y)
		}
	}
}

// The series of 1/sqrt(1+x) at 0 is the binomial series 1 - x/2 + 3x²/8 - 5x³/16
// + 35x⁴/128 - ...
func TestSeriesOfAPower(t *testing.T) {
	s := make(series, 5)
	s[0], s[1] = exactly(1), exactly(1)
	for k, want := range []float64{1, -0.5, 3.0 / 8, -5.0 / 16, 35.0 / 128} {
		got := s.inverseRoot()[k]
		assert.True(t, got.lo <= want && want <= got.hi, "x^%d: %v", k, got)
		assert.Less(t, got.hi-got.lo, 1e-14)
	}
	sin, cos := sinCosSeries(exactly(0), 6)
	for k, want := range [][2]float64{{0, 1}, {1, 0}, {0, -0.5}, {-1.0 / 6, 0}, {0, 1.0 / 24}, {1.0 / 120, 0}} {
		assert.InDelta(t, want[0], sin[k].middle(), 1e-15)
		assert.InDelta(t, want[1], cos[k].middle(), 1e-15)
	}
}
