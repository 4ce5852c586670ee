// The harmonic sum step by step, and the coefficient file's reader.
package magnetic

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The technical report's worked example (table 3b: 2027.5, 100 km, 80 S, 240 E,
// ten decimals), as quoted in a public implementation's tests.
func TestReportWorkedExample(t *testing.T) {
	m, err := embeddedModel()
	require.NoError(t, err)
	latitude, longitude := -80*math.Pi/180, 240*math.Pi/180

	latitudePrime, radiusM := geocentric(latitude, 100_000)
	assert.InDelta(t, -1.3951289589, latitudePrime, 5e-11)
	assert.InDelta(t, 6457402.3484473705, radiusM, 5e-9)

	g, h := m.at(2027.5)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"g 1 0", g[1][0], -29321.8}, {"g 1 1", g[1][1], -1386.55}, {"g 2 0", g[2][0], -2585.6},
		{"g 2 1", g[2][1], 2938.1}, {"g 2 2", g[2][2], 1629.3},
		{"h 1 1", h[1][1], 4491.65}, {"h 2 1", h[2][1], -3202.85}, {"h 2 2", h[2][2], -845.35},
	} {
		assert.InDelta(t, c.want, c.got, 5e-11, c.name)
	}

	p := newHarmonics(latitudePrime, longitude, radiusM)
	prime := p.sum(&g, &h)
	// Sums of terms as large as 3e4 nT in double precision: good to about
	// 90 × 3e4 × 1e-16, so the printed ten decimals are met to a few 1e-10.
	const tolerance = 3e-10
	assert.InDelta(t, 5928.0241392588, prime.north, tolerance)
	assert.InDelta(t, 14760.1359757868, prime.east, tolerance)
	assert.InDelta(t, -49324.4273570284, prime.down, tolerance)

	now, rate := m.field(latitude, longitude, 100_000, 2027.5)
	assert.InDelta(t, 5983.9760496518, now.north, tolerance)
	assert.InDelta(t, 14760.1359757868, now.east, tolerance)
	assert.InDelta(t, -49317.6706154255, now.down, tolerance)
	assert.InDelta(t, 30.5553533530, rate.north, tolerance)
	assert.InDelta(t, -8.0494228995, rate.east, tolerance)
	assert.InDelta(t, 89.2174069382, rate.down, tolerance)

	f := elements(now, rate)
	assert.InDelta(t, 51825.6907172314, f.TotalNT, tolerance)
	assert.InDelta(t, 15927.0079860130, f.HorizontalNT, tolerance)
	assert.InDelta(t, 1.1856308407, f.DeclinationDeg*math.Pi/180, 5e-11)
	assert.InDelta(t, -1.2584221541, f.InclinationDeg*math.Pi/180, 5e-11)
	assert.InDelta(t, -0.0019677910, f.AnnualChangeDeg*math.Pi/180, 5e-11)
}

// At the geographic poles east and north turn with the longitude one arrives
// by, and the field there must be the limit of the field nearby.
func TestPolesAreNoSpecialCase(t *testing.T) {
	for _, pole := range []float64{90, -90} {
		for _, longitude := range []float64{0, 77, 200} {
			at, err := atYear(pole, longitude, 0, 2026.5)
			require.NoError(t, err)
			near, err := atYear(pole*(1-1e-9), longitude, 0, 2026.5) // 1 cm away
			require.NoError(t, err)
			assert.InDelta(t, near.DeclinationDeg, at.DeclinationDeg, 1e-6, "%v %v", pole, longitude)
			assert.InDelta(t, near.HorizontalNT, at.HorizontalNT, 1e-3, "%v %v", pole, longitude)
			assert.InDelta(t, near.AnnualChangeDeg, at.AnnualChangeDeg, 1e-6, "%v %v", pole, longitude)
		}
	}
}

// Closed forms of a few Schmidt functions (from any textbook; worked by hand):
// P(2,0) = (3s²-1)/2, P(2,1) = √3 s c, P(2,2) = √3/2 c², P(3,1) = √6/4 c (5s²-1).
func TestLegendreClosedForms(t *testing.T) {
	for _, latitude := range []float64{-1.5, -0.4, 0, 0.9, math.Pi / 2} {
		s, c := math.Sincos(latitude)
		f := newHarmonics(latitude, 0, referenceRadiusM)
		for _, v := range []struct {
			name      string
			got, want float64
		}{
			{"P20", f.p[2][0], (3*s*s - 1) / 2},
			{"P21", f.p[2][1], math.Sqrt(3) * s * c},
			{"P22", f.p[2][2], math.Sqrt(3) / 2 * c * c},
			{"P31", f.p[3][1], math.Sqrt(6) / 4 * c * (5*s*s - 1)},
			{"dP20", f.dp[2][0], 3 * s * c},
			{"dP22", f.dp[2][2], -math.Sqrt(3) * s * c},
			{"P21/c", f.pByCos[2][1], math.Sqrt(3) * s},
			{"P31/c", f.pByCos[3][1], math.Sqrt(6) / 4 * (5*s*s - 1)},
		} {
			assert.InDelta(t, v.want, v.got, 1e-14, "%s at %v", v.name, latitude)
		}
	}
}

// Schmidt's norm: for each degree the squares of all orders sum to 1 anywhere
// (the addition theorem at zero distance).
func TestSchmidtNorm(t *testing.T) {
	f := newHarmonics(0.7123, 0, referenceRadiusM)
	for n := 1; n <= degree; n++ {
		sum := 0.0
		for m := 0; m <= n; m++ {
			sum += f.p[n][m] * f.p[n][m]
		}
		assert.InDelta(t, 1, sum, 1e-13, "degree %d", n)
	}
}

func TestDamagedCoefficientFileIsRefused(t *testing.T) {
	replace := func(old, new string) string {
		require.Contains(t, coefficientFile, old)
		return strings.Replace(coefficientFile, old, new, 1)
	}
	row := "  5  3    -138.7    -122.9        0.6        0.4\n"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", `line 1: "" is not the header`},
		{"another model", replace("WMM-2025", "WMM-2020"), "is not the header of WMM-2025"},
		{"another epoch", replace("2025.0", "2020.0"), `line 1: epoch "2020.0", want 2025.0`},
		{"a row missing", replace(row, ""), "is not six numbers beginning with 5 3"},
		{"a row twice", replace(row, row+row), "is not six numbers beginning with 5 4"},
		{"a column missing", replace("-138.7    -122.9", "-138.7"), "line 19: "},
		{"a letter for a digit", replace("-138.7", "-l38.7"), `parsing "-l38.7"`},
		{"cut at a line", coefficientFile[:strings.Index(coefficientFile, "\n 12  3")], "ends before degree 12, order 3"},
		{"no closing line", strings.ReplaceAll(coefficientFile, "9999", ""), "want the closing line of nines"},
	} {
		_, err := parseModel(c.text)
		assert.ErrorContains(t, err, c.want, c.name)
	}
}
