package geodesy

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWritten(t *testing.T) {
	for _, text := range []string{
		"45.3012", "-45.3", "45", "0.000000001", `45°18'04.4412"N`, `45°18'04"S`, `0°00'00.00001"N`, `90°00'00.0000"S`,
		`45°18.07402'N`, `45°18'N`, `0°59'59.9999"N`, `89°59'59.99999"S`, `12°00.0000001'N`,
	} {
		c, err := ParseLatitude(text)
		require.NoError(t, err)
		assert.Equal(t, text, c.Written("NS"))
	}
	c, err := ParseLongitude(`179°59'59.9999"W`)
	require.NoError(t, err)
	assert.Equal(t, `179°59'59.9999"W`, c.Written("EW"))
}

// Whatever was written reads back to the same value and the same coarseness.
func TestWhatIsWrittenReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		degrees, minutes := rapid.IntRange(0, 179).Draw(t, "degrees"), rapid.IntRange(0, 59).Draw(t, "minutes")
		seconds, digits := rapid.Int64Range(0, 59_999_999).Draw(t, "millionths"), rapid.IntRange(0, 9).Draw(t, "digits")
		letter := rapid.SampledFrom([]string{"E", "W"}).Draw(t, "letter")
		number := fmt.Sprintf("%02d.%06d000", seconds/1_000_000, seconds%1_000_000)[:3+digits]
		if digits == 0 {
			number = number[:2]
		}
		text := fmt.Sprintf("%d°%02d'%s\"%s", degrees, minutes, number, letter)
		if rapid.Bool().Draw(t, "minutes alone") {
			text = fmt.Sprintf("%d°%s'%s", degrees, number, letter)
		}
		c, err := ParseLongitude(text)
		require.NoError(t, err)
		again, err := ParseLongitude(c.Written("EW"))
		require.NoError(t, err)
		assert.Equal(t, c.Value, again.Value, "%s as %s", text, c.Written("EW"))
		if c.Resolution > 1 && !(c.Value == 0) {
			assert.Equal(t, c.Resolution, again.Resolution, "%s as %s", text, c.Written("EW"))
		}
	})
}
