// Reading and writing angles: tables of what is read, what is refused and with
// which words, GeoConvert of GeographicLib as the outside judge, and fuzzing.
package geodesy

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

func TestParseLatitude(t *testing.T) {
	for _, c := range []struct {
		text              string
		value, resolution Nanodegree
	}{
		// decimal degrees
		{"45.3012", 45_301_200_000, 100_000},
		{"+45.30120000", 45_301_200_000, 10},
		{"-6.1234", -6_123_400_000, 100_000},
		{"45", 45_000_000_000, 1_000_000_000},
		{"0", 0, 1_000_000_000},
		{"-0", 0, 1_000_000_000},
		{"-0.0", 0, 100_000_000},
		{"007.5", 7_500_000_000, 100_000_000},
		{"90", 90_000_000_000, 1_000_000_000},
		{"-90.000000000", -90_000_000_000, 1},
		{"0.1", 100_000_000, 100_000_000}, // no binary fraction is exact here
		{"0.3", 300_000_000, 100_000_000},
		{"12.345678901", 12_345_678_901, 1},
		// more than nine decimals: rounded half to even
		{"0.0000000005", 0, 1},
		{"0.0000000015", 2, 1},
		{"0.0000000025", 2, 1},
		{"-0.0000000015", -2, 1},
		{"0.00000000250000000000000000000000000000001", 3, 1},
		{"89.9999999999", 90_000_000_000, 1},
		// degrees, minutes, seconds
		{`45°18'04.4412"N`, 45_301_233_667, 28}, // 45 + 18/60 + 4.4412/3600 = 45.30123366666…
		{`45°18′04.4412″N`, 45_301_233_667, 28},
		{`45°18'04.4412"S`, -45_301_233_667, 28},
		{`45°18.07402'N`, 45_301_233_667, 167}, // 1e-5 minute is 166.67 nanodegrees
		{`45°18'N`, 45_300_000_000, 16_666_667},
		{`45°18'4"N`, 45_301_111_111, 277_778},
		{`45°N`, 45_000_000_000, 1_000_000_000},
		{`45.3012°N`, 45_301_200_000, 100_000},
		{`45.3012°S`, -45_301_200_000, 100_000},
		{`0°S`, 0, 1_000_000_000},
		{`90°00'00.0000"S`, -90_000_000_000, 28},
		{`0°59'59.9999"N`, 999_999_972, 28}, // 1 - 1e-4/3600 = 0.99999997222…
		{`0°00'00.0000036"N`, 1, 1},         // exactly one nanodegree
		{`0°00'00.0000018"N`, 0, 1},         // half of one: to even
		{`0°00'00.0000054"N`, 2, 1},         // one and a half: to even
	} {
		t.Run(c.text, func(t *testing.T) {
			got, err := ParseLatitude(c.text)
			require.NoError(t, err)
			assert.Equal(t, Coordinate{c.value, c.resolution}, got)
		})
	}
}

func TestParseLongitude(t *testing.T) {
	for _, c := range []struct {
		text              string
		value, resolution Nanodegree
	}{
		{"6.12340000", 6_123_400_000, 10},
		{"180", 180_000_000_000, 1_000_000_000},
		{"-180", -180_000_000_000, 1_000_000_000},
		{"180.000000000000", 180_000_000_000, 1},
		{`180°W`, -180_000_000_000, 1_000_000_000},
		{`6°07'24.24"E`, 6_123_400_000, 2_778},
		{`006°07'24.24"W`, -6_123_400_000, 2_778},
		{`179°59'59.9999"W`, -179_999_999_972, 28},
	} {
		t.Run(c.text, func(t *testing.T) {
			got, err := ParseLongitude(c.text)
			require.NoError(t, err)
			assert.Equal(t, Coordinate{c.value, c.resolution}, got)
		})
	}
}

func TestRefusedLatitudes(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", `latitude "": nothing is written; write decimal degrees (45.3012) or degrees, minutes, seconds (45°18'04.4412"N)`},
		{"91", `latitude "91": a latitude lies from -90 to 90 degrees (are latitude and longitude swapped?)`},
		{"-90.000000001", `a latitude lies from -90 to 90 degrees (are`},
		{"90.0000000001", `a latitude lies from -90 to 90 degrees`}, // though it would round to 90
		{`90°00'00.0001"N`, `a latitude lies from -90 to 90 degrees`},
		{"453012000", `a latitude lies from -90 to 90 degrees`},
		{"NaN", `"N" is not read`},
		{"Inf", `"I" is not read`},
		{"-Inf", `"I" is not read`},
		{"nan", `"n" is not read`},
		{"4.53e1", `an exponent is not read; write the degrees out: 45.3012`},
		{"4.53E1", `an exponent is not read`},
		{"0x2d", `"x" is not read; write 45.3012 or 45°18'04.4412"N`},
		{"4_5", `"_" is not read`},
		{"45.", `the point wants a digit on both sides`},
		{".5", `write a digit before the point: 0.5`},
		{"-", `a number is missing; write 45.3012 or`},
		{"--5", `a sign comes once, first`},
		{"4-5", `a sign comes once, first`},
		{"1.2.3", `only one point a number`},
		{"45,3012", `has a comma in place of the decimal point; write 45.3012`},
		{"\u221245.3", `has a typographic minus sign; write -45.3`},
		{"45 °N", `has a space; write 45°N`},
		{"4 5", `has a space; write 45.3012 or 45°18'04.4412"N`}, // and not 45
		{"45 18 04", `has a space; write 45.3012 or 45°18'04.4412"N`},
		{`45°18’04”N`, `has a quotation mark in place of the minute sign; write 45°18'04"N`},
		{`45°18'04''N`, `has two minute signs in place of the second sign; write 45°18'04"N`},
		{`45º18'N`, `has an ordinal sign in place of the degree sign; write 45°18'N`},
		{"45:18:04", `":" is not read`},
		{"45.3012N", `has no ° after the degrees; write 45.3012°N`},
		{`45°18'04.4412N`, `has no " after the seconds; write 45°18'04.4412"N`},
		{`45°18N`, `has no ' after the minutes; write 45°18'N`},
		{`45°18'04.4412"`, `has no hemisphere; end it in N or S, without a sign: 45°18'04.4412"N`},
		{`-45°18'04"`, `has no hemisphere; end it in N or S, without a sign: 45°18'04"N`},
		{`45°18'04`, `has no " after the seconds; write 45°18'04"N`},
		{"45°", `has no hemisphere; end it in N or S`},
		{`N45°`, `the hemisphere letter N comes last: 45°18'04.4412"N`},
		{`45°n`, `write the hemisphere as a capital: N`},
		{`-45°N`, `has both a sign and N; write one of them: 45°N or 45.3012`},
		{`+45°18'S`, `has both a sign and S; write one of them: 45°18'S or -45.3012`},
		{`6°07'24"E`, `E is a hemisphere of a longitude; a latitude ends in N or S (are the two swapped?)`},
		{`45°60'N`, `minutes must be below 60; carry the rest over`},
		{`45°59'60.0"N`, `seconds must be below 60`},
		{`45°018'N`, `minutes 018 have more than two digits before the point`},
		{`45.5°30'N`, `only the last number may have decimals`},
		{`45°18.5'04"N`, `only the last number may have decimals`},
		{`45°18'04"04'N`, `"0" is not read`},
		{`45'N`, `"'" is not read`},
		{`°N`, `"°" is not read`},
		{"N", `a number is missing`},
		{"45.3\n", `"\n" is not read`},
		{"\xff", `not valid UTF-8`},
		{strings.Repeat("1", 65), `longer than 64 bytes`},
		{"٤٥", `"٤" is not read`}, // digits of another script
	} {
		t.Run(c.text, func(t *testing.T) {
			got, err := ParseLatitude(c.text)
			require.ErrorContains(t, err, c.want)
			assert.Zero(t, got)
		})
	}
}

func TestRefusedLongitudes(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"180.000000001", `longitude "180.000000001": a longitude lies from -180 to 180 degrees`},
		{"-181", `a longitude lies from -180 to 180 degrees`},
		{`180°00'00.0001"W`, `a longitude lies from -180 to 180 degrees`},
		{`45°18'04"N`, `N is a hemisphere of a latitude; a longitude ends in E or W (are the two swapped?)`},
		{`6°07'24"`, `end it in E or W`},
		{`6E`, `has no ° after the degrees; write 6°E`},
	} {
		t.Run(c.text, func(t *testing.T) {
			_, err := ParseLongitude(c.text)
			require.ErrorContains(t, err, c.want)
		})
	}
}

func TestFormatDMS(t *testing.T) {
	for _, c := range []struct {
		n                   Nanodegree
		latitude, longitude string
	}{
		{0, `0°00'00.0000"N`, `0°00'00.0000"E`},
		{45_301_233_667, `45°18'04.4412"N`, `45°18'04.4412"E`},
		{-6_123_400_000, `6°07'24.2400"S`, `6°07'24.2400"W`},
		{90 * Degree, `90°00'00.0000"N`, `90°00'00.0000"E`},
		{-1, `0°00'00.0000"N`, `0°00'00.0000"E`}, // rounds to zero, which has no south
		{-14, `0°00'00.0001"S`, `0°00'00.0001"W`},
		{999_999_986, `0°59'59.9999"N`, `0°59'59.9999"E`}, // 3599.99995 s less a little
		{999_999_987, `1°00'00.0000"N`, `1°00'00.0000"E`}, // carries through both
	} {
		assert.Equal(t, c.latitude, FormatLatitudeDMS(c.n))
		assert.Equal(t, c.longitude, FormatLongitudeDMS(c.n))
	}
	assert.Equal(t, `180°00'00.0000"W`, FormatLongitudeDMS(-180*Degree))
}

// GeoConvert of GeographicLib reads what FormatDMS writes, and reads random
// degrees, minutes and seconds as the parsers do, to the nanodegree.
func TestAnglesAgainstGeoConvert(t *testing.T) {
	r := rand.New(rand.NewPCG(6709, 1))
	var input []string
	var values [][2]Nanodegree
	for range 400 {
		latitude := fmt.Sprintf(`%d°%02d'%02d.%0*d"%c`, r.IntN(90), r.IntN(60), r.IntN(60), 1+r.IntN(6), r.IntN(10), "NS"[r.IntN(2)])
		longitude := fmt.Sprintf(`%d°%02d.%0*d'%c`, r.IntN(180), r.IntN(60), 1+r.IntN(7), r.IntN(10), "EW"[r.IntN(2)])
		lat, err := ParseLatitude(latitude)
		require.NoError(t, err)
		lon, err := ParseLongitude(longitude)
		require.NoError(t, err)
		input = append(input, latitude+" "+longitude)
		values = append(values, [2]Nanodegree{lat.Value, lon.Value})

		lat.Value = Nanodegree(r.Int64N(int64(halfTurn))) - quarterTurn
		lon.Value = Nanodegree(r.Int64N(int64(fullTurn))) - halfTurn
		input = append(input, FormatLatitudeDMS(lat.Value)+" "+FormatLongitudeDMS(lon.Value))
		latBack, err := ParseLatitude(FormatLatitudeDMS(lat.Value))
		require.NoError(t, err)
		lonBack, err := ParseLongitude(FormatLongitudeDMS(lon.Value))
		require.NoError(t, err)
		values = append(values, [2]Nanodegree{latBack.Value, lonBack.Value})
	}
	for i, row := range tooltest.Numbers(t, input, "GeoConvert", "-g", "-p", "9") {
		require.InDelta(t, row[0]*1e9, float64(values[i][0]), 0.501, input[i])
		require.InDelta(t, row[1]*1e9, float64(values[i][1]), 0.501, input[i])
	}
}

func FuzzParseLatitude(f *testing.F) {
	fuzzAxis(f, ParseLatitude, FormatLatitudeDMS, quarterTurn)
}

func FuzzParseLongitude(f *testing.F) {
	fuzzAxis(f, ParseLongitude, FormatLongitudeDMS, halfTurn)
}

// fuzzAxis: whatever is read is in range; decimals are read as exact fractions
// say; writing as decimal degrees and reading again is exact; writing as degrees,
// minutes, seconds and reading again is within 14 nanodegrees (half of 1e-4
// second, 13.9); a refusal gives no value and quotes the text.
func fuzzAxis(f *testing.F, parse func(string) (Coordinate, error), formatDMS func(Nanodegree) string, limit Nanodegree) {
	for _, seed := range []string{
		"45.3012", "-6.1234", "+0.0000000015", "180", `45°18'04.4412"N`, `45°18.07402'S`, `6°E`, `6°07′24.24″W`,
		"", "NaN", "1e9", `-45°N`, "45,5", "°", `0°59'59.99999999999"N`, " 5", "−5",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := parse(text)
		if err != nil {
			require.Zero(t, got)
			require.NotEmpty(t, err.Error())
			return
		}
		require.LessOrEqual(t, got.Value.magnitude(), uint64(limit))
		require.Positive(t, got.Resolution)

		if exact, ok := new(big.Rat).SetString(text); ok {
			exact.Mul(exact, new(big.Rat).SetInt64(int64(Degree)))
			exact.Sub(exact, new(big.Rat).SetInt64(int64(got.Value)))
			require.LessOrEqual(t, exact.Abs(exact).Cmp(big.NewRat(1, 2)), 0, text)
		}

		again, err := parse(got.Value.String())
		require.NoError(t, err)
		require.Equal(t, got.Value, again.Value)

		dms, err := parse(formatDMS(got.Value))
		require.NoError(t, err)
		require.LessOrEqual(t, (dms.Value - got.Value).magnitude(), uint64(14))
		require.Equal(t, formatDMS(got.Value), formatDMS(dms.Value))
	})
}
