package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
		want int64
	}{
		{"0.42 m", Length(0).Dimension(), 420_000},
		{"42cm", Length(0).Dimension(), 420_000},
		{"  420   mm ", Length(0).Dimension(), 420_000},
		{"1.5 km", Length(0).Dimension(), 1_500_000_000},
		{"-3 m", Length(0).Dimension(), -3_000_000},
		{"+.5 m", Length(0).Dimension(), 500_000},
		{"5. m", Length(0).Dimension(), 5_000_000},
		{"0.6 m/s", Speed(0).Dimension(), 600_000},
		{"3.6 km/h", Speed(0).Dimension(), 1_000_000},
		{"1 km/h", Speed(0).Dimension(), 277_778}, // 277777.7 rounds up
		{"-1 km/h", Speed(0).Dimension(), -277_778},
		{"250 ms", Duration(0).Dimension(), 250_000_000},
		{"4 h", Duration(0).Dimension(), 14_400_000_000_000},
		{"2.5 deg", Angle(0).Dimension(), 2_500_000_000},
		{"5 Hz", Frequency(0).Dimension(), 5_000_000},
		{"3.3 V", Voltage(0).Dimension(), 3_300_000},
		{"40 kohm", Resistance(0).Dimension(), 40_000_000},
		{"95 %", Ratio(0).Dimension(), 950_000},
		{"64 kB", Size(0).Dimension(), 64_000},
		{"64 KiB", Size(0).Dimension(), 65_536},
		{"0.5 MiB", Size(0).Dimension(), 524_288},
		{"300 B", Size(0).Dimension(), 300},
	} {
		got, err := Parse(c.text, c.dim)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.want, got, c.text)
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, message, remedy string }{
		{"0.42", "0.42 has no unit, and a length needs one", "write 0.42 m (units: cm, km, m, mm)"},
		{"0.42 ft", `"ft" is not a unit of length`, "use one of cm, km, m, mm"},
		{"wide", `"wide" is not a length`, "write a decimal number and a unit, such as 1.5 m"},
		{"", `"" is not a length`, "write a decimal number and a unit, such as 1.5 m"},
		{"NaN m", `"NaN m" is not a length`, "write a decimal number and a unit, such as 1.5 m"},
		{".inf", `".inf" is not a length`, "write a decimal number and a unit, such as 1.5 m"},
		{"1e3 m", `"e3 m" is not a unit of length`, "use one of cm, km, m, mm"},
		{"1.2.3 m", `"1.2.3 m" is not a length`, "write a decimal number and a unit, such as 1.5 m"},
		{"9999999999999 km", "9999999999999 km is too large for a length", ""},
		{"0.0000001 m", "0.0000001 m is too small to be told from zero", ""},
	} {
		_, err := Parse(c.text, Length(0).Dimension())
		var fault *Fault
		require.ErrorAs(t, err, &fault, c.text)
		assert.Equal(t, c.message, fault.Message)
		assert.Equal(t, c.remedy, fault.Remedy)
	}
}

func TestRoundingDirections(t *testing.T) {
	for _, c := range []struct {
		value              Length
		nearest, ceil, flo int64
	}{
		{420_000, 420, 420, 420},
		{420_001, 420, 421, 420},
		{420_500, 421, 421, 420},
		{-420_500, -421, -420, -421},
		{-420_001, -420, -420, -421},
		{0, 0, 0, 0},
	} {
		assert.Equal(t, c.nearest, c.value.MM(), c.value)
		assert.Equal(t, c.ceil, c.value.CeilMM(), c.value)
		assert.Equal(t, c.flo, c.value.FloorMM(), c.value)
	}
	assert.EqualValues(t, 121, Duration(120_000_001).CeilMS())
	assert.EqualValues(t, 278, Speed(277_778).MMPerSecond())
}

// Every quantity's own writing reads back as the same quantity.
func FuzzLengthString(f *testing.F) {
	for _, v := range []int64{0, 1, -1, 420_000, 1_000_000, -999_999, 999_999_999_999} {
		f.Add(v)
	}
	f.Fuzz(func(t *testing.T, v int64) {
		if v > limit || v < -limit {
			return
		}
		got, err := Parse(Length(v).String(), Length(0).Dimension())
		require.NoError(t, err)
		require.Equal(t, v, got)
	})
}

// A decimal that a tape or a data sheet gives is the float nearest to it, and not
// one beside it.
func TestMillimetresAreExact(t *testing.T) {
	for text, mm := range map[string]float64{
		"2.3 cm": 23, "1.001 m": 1001, "41.27 m": 41270, "0.15 mm": 0.15, "-0.009 mm": -0.009, "0.0000123 km": 12.3, "1 km": 1e6, "0 m": 0,
	} {
		um, err := Parse(text, Length(0).Dimension())
		require.NoError(t, err, text)
		assert.Equal(t, mm, Length(um).Millimetres(), text)
	}
	assert.NotEqual(t, 1001.0, Length(1_001_000).Metres()*1000, "by way of metres it is rounded twice")
}

func TestFloats(t *testing.T) {
	assert.InDelta(t, 0.42, Length(420_000).Metres(), 1e-15)
	assert.InDelta(t, 0.95, Ratio(950_000).Fraction(), 1e-15)
	assert.False(t, math.Signbit(Length(0).Metres()))
}

func TestPeriodsAreRoundedUp(t *testing.T) {
	for rate, ms := range map[Frequency]int64{0: 0, -1: 0, 1: 1e9, 100_000: 10_000, 3e6: 334, 5e6: 200, 5_080_000: 197, 9e6: 112, 10e6: 100, 100e6: 10, 1e9: 1, 2e9: 1} {
		assert.Equal(t, ms, rate.CeilPeriodMS(), "%v", rate)
	}
}
