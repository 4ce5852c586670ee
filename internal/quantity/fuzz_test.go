// Quantities as people write them, against a second reading: a pattern and a fraction.
package quantity

import (
	"errors"
	"math/big"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// dimensions with what writes a value of each.
func dimensions() []struct {
	of   Dimension
	text func(int64) string
} {
	return []struct {
		of   Dimension
		text func(int64) string
	}{
		{Length(0).Dimension(), func(v int64) string { return Length(v).String() }},
		{Speed(0).Dimension(), func(v int64) string { return Speed(v).String() }},
		{Duration(0).Dimension(), func(v int64) string { return Duration(v).String() }},
		{Angle(0).Dimension(), func(v int64) string { return Angle(v).String() }},
		{Frequency(0).Dimension(), func(v int64) string { return Frequency(v).String() }},
		{Voltage(0).Dimension(), func(v int64) string { return Voltage(v).String() }},
		{Resistance(0).Dimension(), func(v int64) string { return Resistance(v).String() }},
		{Ratio(0).Dimension(), func(v int64) string { return Ratio(v).String() }},
		{Size(0).Dimension(), func(v int64) string { return Size(v).String() }},
	}
}

// units are the small units in one of each symbol: the SI brochure's prefixes, and
// km/h, that is 10^9 µm in 3600 s.
func inSmall(symbol string) *big.Rat {
	return map[string]*big.Rat{
		"mm": big.NewRat(1e3, 1), "cm": big.NewRat(1e4, 1), "m": big.NewRat(1e6, 1), "km": big.NewRat(1e9, 1),
		"mm/s": big.NewRat(1e3, 1), "cm/s": big.NewRat(1e4, 1), "m/s": big.NewRat(1e6, 1), "km/h": big.NewRat(1e9, 3600),
		"ms": big.NewRat(1e6, 1), "s": big.NewRat(1e9, 1), "min": big.NewRat(6e10, 1), "h": big.NewRat(3.6e12, 1),
		"deg": big.NewRat(1e9, 1), "Hz": big.NewRat(1e6, 1), "V": big.NewRat(1e6, 1), "mV": big.NewRat(1e3, 1),
		"ohm": big.NewRat(1e3, 1), "kohm": big.NewRat(1e6, 1), "Mohm": big.NewRat(1e9, 1), "%": big.NewRat(1e4, 1),
		"B": big.NewRat(1, 1), "kB": big.NewRat(1e3, 1), "MB": big.NewRat(1e6, 1), "KiB": big.NewRat(1024, 1), "MiB": big.NewRat(1048576, 1),
	}[symbol]
}

var pattern = regexp.MustCompile(`(?s)^([+-]?)([0-9]*)(\.?)([0-9]*)(.*)$`)

// reading is the second reading: the exact value, whether there is one.
func reading(text string, d Dimension) (*big.Rat, bool) {
	m := pattern.FindStringSubmatch(strings.Trim(text, " "))
	if m == nil || m[2]+m[4] == "" || len(m[1]+m[2]+m[3]+m[4]) > 40 {
		return nil, false
	}
	symbol := strings.Trim(m[5], " ")
	unit := inSmall(symbol)
	if unit == nil || !strings.Contains(" "+strings.Join(d.Units(), " ")+" ", " "+symbol+" ") {
		return nil, false
	}
	digits, ok := new(big.Int).SetString(m[2]+m[4], 10)
	if !ok {
		return nil, false
	}
	value := new(big.Rat).SetFrac(digits, new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(len(m[4]))), nil))
	if m[1] == "-" {
		value.Neg(value)
	}
	return value.Mul(value, unit), true
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"1.5 m", "1,5 m", "-0 m", "010 m", "0x10 m", "1e3 m", "1_000 m", "+.5 cm", "5. km", ".", "-.", "3.6 km/h", "1 km/h", "95%", "1\t2 m", "1 \u00a0m", "\ufeff1 m",
		"1 µm", "1 K", "1 m\n", strings.Repeat("9", 40) + " m", strings.Repeat("0", 41) + " m", "0.0000005 m", "-0.0000005 m", "0.00000049 m", "1000000000000000000 ms", "١ m", "1 m m", "1 m/s", "+-1 m", "0\nm"} {
		for i := range dimensions() {
			f.Add(text, uint8(i))
		}
	}
	f.Fuzz(func(t *testing.T, text string, which uint8) {
		d := dimensions()[int(which)%len(dimensions())]
		got, err := Parse(text, d.of)
		exact, ok := reading(text, d.of)
		if err != nil {
			var fault *Fault
			require.True(t, errors.As(err, &fault))
			require.Zero(t, got)
			require.NotEmpty(t, fault.Message)
			require.Less(t, len(fault.Message)+len(fault.Remedy), 1000)
			require.True(t, !utf8.ValidString(text) || utf8.ValidString(fault.Message+fault.Remedy), "%q: a message is text: %q", text, fault.Message)
			if ok { // beyond what is held, or below half a unit
				size := new(big.Rat).Abs(exact)
				require.True(t, size.Cmp(big.NewRat(limit, 1)) > 0 || size.Sign() > 0 && size.Cmp(big.NewRat(1, 2)) < 0, "%q: %v", text, err)
			}
			return
		}
		require.True(t, ok, "%q is read as %d", text, got)
		off := new(big.Rat).Sub(exact, big.NewRat(got, 1))
		require.LessOrEqual(t, off.Abs(off).Cmp(big.NewRat(1, 2)), 0, "%q is read as %d", text, got)
		again, err := Parse(d.text(got), d.of)
		require.NoError(t, err)
		require.Equal(t, got, again)
	})
}
