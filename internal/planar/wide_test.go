package planar

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestIsqrt(t *testing.T) {
	for _, c := range []struct{ x, want uint64 }{
		{0, 0}, {1, 1}, {2, 1}, {3, 1}, {4, 2}, {8, 2}, {9, 3},
		{1<<52 - 1, 1<<26 - 1}, {1 << 52, 1 << 26},
		{1<<53 + 1, 94906265},
		{94906267*94906267 - 1, 94906266}, // rounds up to the square
		{94906267 * 94906267, 94906267},   // rounds down from it
		{math.MaxUint64, math.MaxUint32},
		{math.MaxUint32 * math.MaxUint32, math.MaxUint32},
		{math.MaxUint32*math.MaxUint32 - 1, math.MaxUint32 - 1},
	} {
		assert.Equal(t, c.want, Isqrt(c.x), "Isqrt(%d)", c.x)
	}
}

// Both against math/big's square root, most of all just at and just below
// squares, where a floor goes wrong.
func TestIsqrtAgainstBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		root := rapid.Uint64().Draw(t, "root") >> rapid.IntRange(0, 63).Draw(t, "shift")
		x := new(big.Int).SetUint64(root)
		x.Mul(x, x)
		x.Add(x, big.NewInt(rapid.Int64Range(-2, 2).Draw(t, "off")))
		if x.Sign() < 0 {
			x.SetInt64(0)
		}
		want := new(big.Int).Sqrt(x).Uint64()
		lo := new(big.Int).And(x, new(big.Int).SetUint64(math.MaxUint64)).Uint64()
		hi := new(big.Int).Rsh(x, 64).Uint64()
		assert.Equal(t, want, Isqrt128(hi, lo))
		if hi == 0 {
			assert.Equal(t, want, Isqrt(lo))
		}

		hi, lo = rapid.Uint64().Draw(t, "hi"), rapid.Uint64().Draw(t, "lo")
		x.SetUint64(hi).Lsh(x, 64).Or(x, new(big.Int).SetUint64(lo))
		assert.Equal(t, x.Sqrt(x).Uint64(), Isqrt128(hi, lo))
	})
	assert.Equal(t, uint64(math.MaxUint64), Isqrt128(math.MaxUint64, math.MaxUint64))
}
