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

// Against math/big's square root, most of all just at and just below squares,
// where a floor goes wrong.
func TestIsqrtAgainstBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		root := uint64(rapid.Uint32().Draw(t, "root")) >> rapid.IntRange(0, 31).Draw(t, "shift")
		for _, x := range []uint64{
			root*root + uint64(rapid.Int64Range(-2, 2).Draw(t, "off")), // may wrap around 0, to the largest
			rapid.Uint64().Draw(t, "any"),
		} {
			assert.Equal(t, new(big.Int).Sqrt(new(big.Int).SetUint64(x)).Uint64(), Isqrt(x), x)
		}
	})
}
