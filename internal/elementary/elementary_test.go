package elementary

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const bits = 260

func number(x float64) *big.Float { return new(big.Float).SetPrec(bits).SetFloat64(x) }

// units is how far got is from what is right, in units of got's last place.
func units(got float64, want *big.Float) float64 {
	off := new(big.Float).Sub(number(got), want)
	spacing := math.Nextafter(math.Abs(got), math.Inf(1)) - math.Abs(got)
	f, _ := off.Quo(off, number(spacing)).Float64()
	return math.Abs(f)
}

// bigSincos sums Taylor's series of both.
func bigSincos(x *big.Float) (sin, cos *big.Float) {
	sin, cos = number(0), number(0)
	term := number(1)
	for k := range 200 {
		switch k % 4 {
		case 0:
			cos.Add(cos, term)
		case 1:
			sin.Add(sin, term)
		case 2:
			cos.Sub(cos, term)
		case 3:
			sin.Sub(sin, term)
		}
		term.Mul(term, x).Quo(term, number(float64(k+1)))
	}
	return sin, cos
}

func TestSincos(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	worst := 0.0
	check := func(x float64) {
		sin, cos := Sincos(x)
		wantSin, wantCos := bigSincos(number(x))
		worst = max(worst, units(sin, wantSin), units(cos, wantCos))
		require.Less(t, worst, 2.0, "%v", x)
		assert.Equal(t, []float64{sin, cos, sin / cos}, []float64{Sin(x), Cos(x), Tan(x)})
		oddSin, evenCos := Sincos(-x)
		assert.Equal(t, []float64{-sin, cos}, []float64{oddSin, evenCos})
	}
	for range 5_000 {
		check((r.Float64() - 0.5) * 4 * math.Pi)
		check(math.Exp(-40 * r.Float64()))
	}
	for k := range 40 { // near the multiples of an eighth of a turn, where one of the two vanishes or series meet
		x := float64(k-20) * math.Pi / 4
		for range 20 {
			check(x)
			x = math.Nextafter(x, 100)
		}
	}
	sin, cos := Sincos(0)
	assert.Equal(t, []float64{0, 1}, []float64{sin, cos})
	t.Logf("at most %.2f units", worst)
}

// An angle a is right where sin(a - true) = (x sin a' ...): y cos a - x sin a over the
// length, which is the error of a to first order and far beyond.
func TestAtan2(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	worst := 0.0
	check := func(y, x float64) {
		a := Atan2(y, x)
		sin, cos := bigSincos(number(a))
		off := new(big.Float).Sub(new(big.Float).Mul(number(y), cos), new(big.Float).Mul(number(x), sin))
		square := new(big.Float).Add(new(big.Float).Mul(number(x), number(x)), new(big.Float).Mul(number(y), number(y)))
		off.Quo(off, square.Sqrt(square))
		worst = max(worst, units(a, off.Add(off, number(a))))
		require.Less(t, worst, 2.0, "%v %v", y, x)
		assert.Equal(t, -a, Atan2(-y, x))
		assert.InDelta(t, math.Atan2(y, x), a, 1e-15)
	}
	for range 5_000 {
		check(r.NormFloat64(), r.NormFloat64())
		check(r.NormFloat64()*math.Exp(-30*r.Float64()), r.NormFloat64())
		check(float64(r.IntN(2001)-1000), float64(r.IntN(2001)-1000)+0.5)
	}
	zero := math.Copysign(0, -1)
	for _, v := range [][2]float64{{0, 0}, {0, zero}, {zero, 0}, {zero, zero}, {0, 1}, {0, -1}, {zero, -1}, {1, 0}, {-1, 0}, {1, 1}, {1, -1}, {-1, -1}, {3, 3}} {
		assert.Equal(t, math.Atan2(v[0], v[1]), Atan2(v[0], v[1]), "%v", v)
		assert.Equal(t, math.Signbit(math.Atan2(v[0], v[1])), math.Signbit(Atan2(v[0], v[1])), "%v", v)
	}
	t.Logf("at most %.2f units", worst)
}

func TestInversesLogarithmAndPower(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 5_000 {
		x := 2*r.Float64() - 1
		for _, angle := range []float64{Asin(x), math.Pi/2 - Acos(x)} { // by a step of Newton's
			sin, cos := bigSincos(number(angle))
			off, _ := sin.Sub(number(x), sin).Quo(sin, cos).Float64()
			require.Less(t, math.Abs(off), 7e-16, "%v", x)
		}
		v := math.Exp(40 * x)
		assert.InEpsilon(t, 1+math.Abs(math.Log(v)), 1+math.Abs(Log(v)), 5e-16, "%v", v)
		assert.InEpsilon(t, math.Pow(v, 7), Power(v, 7), 2e-15)
	}
	for x, want := range map[float64]float64{1: 0, 2: math.Ln2, 0.5: -math.Ln2} {
		assert.Equal(t, want, Log(x))
	}
	assert.Equal(t, []float64{math.Pi / 2, -math.Pi / 2, 0, math.Pi}, []float64{Asin(1), Asin(-1), Acos(1), Acos(-1)})
	assert.Equal(t, 1.0, Power(0, 0))
}

// Whole lengths are exact, which those of the standard library are not everywhere:
// 12·sqrt(1 + (5/12)²) may come out beyond 13.
func TestHypotOfWholeLengths(t *testing.T) {
	seen := 0
	for m := int64(2); m < 300; m++ {
		for n := int64(1); n < m; n++ {
			assert.Equal(t, float64(m*m+n*n), Hypot(float64(m*m-n*n), float64(2*m*n)))
			seen++
		}
	}
	assert.Greater(t, seen, 40_000)
	assert.InDelta(t, math.Hypot(1.1, 2.3), Hypot(1.1, 2.3), 1e-15)
}
