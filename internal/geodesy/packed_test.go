// Degrees and minutes in one number: facts, and beside the reader of the notations for
// people, which reckons with fractions of any length.
package geodesy

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestDegreesAndMinutesInOneNumber(t *testing.T) {
	for _, c := range []struct {
		fact, latitude string
		letter         byte
		want           Nanodegree
		form, inRange  bool
	}{
		{"7.038 minutes are 0.1173 degrees", "4807.038", 'N', 48_117_300_000, true, true},
		{"41575030040.5: a tie goes to the even one", "4134.50180243", 'N', 41_575_030_040, true, true},
		{"a tie below an odd one", "4134.50180249", 'N', 41_575_030_042, true, true}, // ...041.5
		{"a tie, south", "4134.50180243", 'S', -41_575_030_040, true, true},
		{"zeros leave it a tie", "4134.5018024300000000", 'N', 41_575_030_040, true, true},
		{"the least bit more is none", "4134.50180243000000000000000001", 'N', 41_575_030_041, true, true},
		{"the least bit less is none", "4134.50180242999999999999999999", 'N', 41_575_030_040, true, true},
		{"no decimals", "4530", 'S', -45_500_000_000, true, true},
		{"a point alone", "4530.", 'N', 45_500_000_000, true, true},
		{"the equator", "0000.0", 'S', 0, true, true},
		{"the pole", "9000.000", 'N', 90_000_000_000, true, true},
		{"beyond the pole by less than is rounded", "9000.00000000000001", 'N', 0, true, false},
		{"91 degrees", "9100.0", 'N', 0, true, false},
		{"60 minutes", "4560.0", 'N', 0, true, false},
		{"no minutes", "45", 'N', 0, false, false},
		{"nothing", "", 'N', 0, false, false},
		{"three digits of degrees", "04530.0", 'N', 0, false, false},
		{"the letter of the other axis", "4530.0", 'E', 0, false, false},
		{"a small letter", "4530.0", 'n', 0, false, false},
		{"no letter", "4530.0", 0, 0, false, false},
		{"a sign", "-530.0", 'N', 0, false, false},
		{"two points", "4530.0.0", 'N', 0, false, false},
		{"a letter after the ninth decimal", "4530.0000000000x", 'N', 0, false, false},
	} {
		got, form, inRange := PackedLatitude([]byte(c.latitude), c.letter)
		assert.Equal(t, []any{c.want, c.form, c.inRange}, []any{got, form, inRange}, c.fact)
	}
	got, form, inRange := PackedLongitude([]byte("18000.0"), 'W')
	assert.Equal(t, []any{-180 * Degree, true, true}, []any{got, form, inRange})
	_, form, inRange = PackedLongitude([]byte("1800.0"), 'W')
	assert.False(t, form || inRange, "two digits of degrees for a longitude")
}

func TestPackedIsWhatTheNotationForPeopleSays(t *testing.T) {
	ties := 0
	rapid.Check(t, func(t *rapid.T) {
		degrees, minutes := rapid.IntRange(0, 181).Draw(t, "degrees"), rapid.IntRange(0, 61).Draw(t, "minutes")
		decimals := rapid.StringMatching(`[0-9]{0,12}`).Draw(t, "decimals")
		if rapid.Bool().Draw(t, "near a tie") { // 30 units of 1e-9 minute are half a nanodegree
			decimals = rapid.StringMatching(`[0-9]{7}[0369](0|00|001|1)?`).Draw(t, "near")
			ties++
		}
		number := fmt.Sprintf("%02d", minutes)
		if decimals != "" {
			number += "." + decimals
		}
		for _, axis := range []struct {
			packed  func([]byte, byte) (Nanodegree, bool, bool)
			written func(string) (Coordinate, error)
			letter  byte
			digits  int
		}{{PackedLatitude, ParseLatitude, "NS"[degrees%2], 2}, {PackedLongitude, ParseLongitude, "EW"[degrees%2], 3}} {
			whole := fmt.Sprintf("%0*d", axis.digits, degrees)
			got, form, inRange := axis.packed([]byte(whole+number), axis.letter)
			want, err := axis.written(whole + "°" + number + "'" + string(axis.letter))
			if len(whole) > axis.digits {
				require.False(t, form)
				continue
			}
			require.True(t, form)
			require.Equal(t, err == nil, inRange, "%v", err)
			require.Equal(t, want.Value, got)
		}
	})
	require.Positive(t, ties)
	require.Zero(t, testing.AllocsPerRun(100, func() { PackedLatitude([]byte("4134.50180243"), 'N') }))
}

func BenchmarkPackedLatitude(b *testing.B) {
	number := []byte("4134.50180243")
	for b.Loop() {
		PackedLatitude(number, 'N')
	}
}
