package quantity

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestMeant(t *testing.T) {
	length, speed, duration := Length(0).Dimension(), Speed(0).Dimension(), Duration(0).Dimension()
	resistance, voltage, size, angle, frequency := Resistance(0).Dimension(), Voltage(0).Dimension(), Size(0).Dimension(), Angle(0).Dimension(), Frequency(0).Dimension()
	for _, c := range []struct {
		text string
		of   Dimension
		want string // readings, the certain one with an exclamation mark
	}{
		// Feet of 0.3048 m and inches of 25.4 mm: 40 ft 6 in = 486 in = 12.3444 m.
		{"40 ft 6 in", length, "12.3444 m"},
		{"40'6\"", length, "12.3444 m"},
		{"40' 6\"", length, "12.3444 m"},
		{"40′6″", length, "12.3444 m"},
		{"40.5 ft", length, "12.3444 m"},
		{"40 feet 6 inches", length, "12.3444 m"},
		{"-3 in", length, "-0.0762 m"},
		{"6 1/2 in", length, "0.1651 m"},
		{"1/2 in", length, "0.0127 m"},
		{"1 yd", length, "0.9144 m"},
		{"1 mile", length, "1609.344 m"},
		{"6 in 40 ft", length, ""},
		{"1/0 in", length, ""},
		{"1 m 20 cm", length, "1.2 m"},
		{"250 um", length, "0.25 mm"},
		{"1 mph", speed, "0.44704 m/s"},
		{"2 kt", speed, "3.704 km/h"}, // which is exact, and metres a second are not
		{"1 ft/s", speed, "0.3048 m/s"},
		{"30 m/min", speed, "0.5 m/s"},
		{"1 min 30 s", duration, "90 s"},
		{"500 us", duration, "0.5 ms"},
		{"2 days", duration, "48 h"},
		// Decimal signs and exponents.
		{"4,5 m", length, "4.5 m!"},
		{"4,5m", length, "4.5m!"},
		{"1,000 m", length, "1000 m | 1.000 m"},
		{"1,000,000 m", length, "1000000 m"},
		{"4.2e-1 m", length, "0.42 m!"},
		{"42E-2m", length, "0.42 m!"},
		{"1e3 mm", length, "1000 mm!"},
		{"1e99 mm", length, ""},
		// Units in other letters. A prefix is never taken for another one.
		{"5 M", length, "5 m!"},
		{"5 CM", length, "5 cm!"},
		{"5 MM", length, "5 mm!"},
		{"5 Mm", length, "5 mm"},
		{"5 Km", length, "5 km!"},
		{"80 MS", duration, "80 ms!"},
		{"80 Ms", duration, "80 ms"},
		{"0.4 M/S", speed, "0.4 m/s!"},
		{"2 KM/H", speed, "2 km/h!"},
		{"2 kph", speed, "2 km/h!"},
		{"5 HZ", frequency, "5 Hz!"},
		{"5 kHz", frequency, "5000 Hz"},
		{"5 mHz", frequency, ""},
		{"3.3 v", voltage, "3.3 V!"},
		{"3 MV", voltage, "3 mV"},
		{"4 mohm", resistance, "4 Mohm"},
		{"4 OHM", resistance, "4 ohm!"},
		{"4 Ω", resistance, "4 ohm!"},
		{"4 kΩ", resistance, "4 kohm!"},
		{"4k7", resistance, "4.7 kohm"},
		{"330R", resistance, "330 ohm"},
		{"10k", resistance, "10 kohm"},
		{"4 KB", size, "4 kB!"},
		{"4 kb", size, "4 kB"},
		{"4 mB", size, "4 MB"},
		{"30°", angle, "30 deg!"},
		{"30 degrees", angle, "30 deg!"},
		{"5 metres", length, "5 m!"},
		{"5 m.", length, "5 m!"},
		{"5", length, "5 m"},
		{"5 °F", length, ""},
		{"ft", length, ""},
		{"", length, ""},
		{"5 m 3", length, ""},
		{strings.Repeat("9", 100) + " ft", length, ""},
	} {
		t.Run(c.text+" as "+c.of.Name, func(t *testing.T) {
			var got []string
			for _, m := range Meant(c.text, c.of) {
				text := m.Text
				if m.Certain {
					text += "!"
				}
				got = append(got, text)
			}
			assert.Equal(t, c.want, strings.Join(got, " | "))
		})
	}
}

// Feet and inches against inches as a fraction: 254/10000 m each.
func TestFeetAndInchesAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		feet, inches, sixteenths := rapid.Int64Range(0, 5000).Draw(t, "feet"), rapid.Int64Range(0, 11).Draw(t, "inches"), rapid.Int64Range(1, 15).Draw(t, "sixteenths")
		meant := Meant(fmt.Sprintf("%d ft %d %d/16 in", feet, inches, sixteenths), Length(0).Dimension())
		require.Len(t, meant, 1)
		got, ok := new(big.Rat).SetString(strings.TrimSuffix(meant[0].Text, " m"))
		require.True(t, ok)
		assert.Zero(t, got.Cmp(big.NewRat(((feet*12+inches)*16+sixteenths)*254, 16*10000)))
	})
}

// Whatever is written: Meant does not panic, what it offers is read, and a certain reading
// is the only one.
func TestMeantIsRead(t *testing.T) {
	dimensions := []Dimension{Length(0).Dimension(), Speed(0).Dimension(), Duration(0).Dimension(), Resistance(0).Dimension(), Size(0).Dimension(), Ratio(0).Dimension()}
	pieces := []string{"1", "40", "0", ".", ",", " ", "-", "/", "e", "E-1", "ft", "in", "'", "\"", "m", "M", "k", "R", "°", "kt", "min", "s", "000", "5", "Ω", "%"}
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 8).Draw(t, "text"), "")
		d := rapid.SampledFrom(dimensions).Draw(t, "dimension")
		meant := Meant(text, d)
		for _, m := range meant {
			_, err := Parse(m.Text, d)
			require.NoError(t, err, m.Text)
			require.True(t, !m.Certain || len(meant) == 1, text)
		}
	})
}
