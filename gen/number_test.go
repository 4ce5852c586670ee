package gen

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/geodesy"
)

func TestDegreesAreWrittenWithEveryDigit(t *testing.T) {
	for n, text := range map[geodesy.Nanodegree]string{
		0: "0.000000000", 1: "0.000000001", -1: "-0.000000001", 45_301_200_000: "45.301200000", -180_000_000_000: "-180.000000000",
	} {
		assert.Equal(t, text, nineDecimals(n))
	}
}
