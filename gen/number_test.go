package gen

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/geodesy"
)

// ISO/IEC 9899:2011, 6.4.4.1: a constant has no sign, and 2147483648 is no int on
// a 32-bit target, so that -2147483648 would be of a wider type.
func TestNumbersAreLiteralsOfTheirType(t *testing.T) {
	for value, text := range map[int64]string{
		0: "0", -1: "-1", 20_000_000: "20000000", math.MaxInt32: "2147483647", math.MinInt32 + 1: "-2147483647", math.MinInt32: "(-2147483647 - 1)",
	} {
		assert.Equal(t, text, number(value))
	}
	assert.Equal(t, "INT64_C(-180000000000)", header{}.Wide(-180_000_000_000))
	assert.Equal(t, "4294967295u", unsigned(uint32(math.MaxUint32)))
}

func TestDegreesAreWrittenWithEveryDigit(t *testing.T) {
	for n, text := range map[geodesy.Nanodegree]string{
		0: "0.000000000", 1: "0.000000001", -1: "-0.000000001", 45_301_200_000: "45.301200000", -180_000_000_000: "-180.000000000",
	} {
		assert.Equal(t, text, nineDecimals(n))
	}
}
