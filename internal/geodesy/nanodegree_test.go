// The exact angle: writing, converting, wrapping.
package geodesy

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNanodegreeString(t *testing.T) {
	for want, n := range map[string]Nanodegree{
		"0":                     0,
		"45.3012":               45_301_200_000,
		"-6.1":                  -6_100_000_000,
		"0.000000001":           1,
		"-0.000000001":          -1,
		"180":                   180_000_000_000,
		"-179.999999999":        -179_999_999_999,
		"10.01":                 10_010_000_000,
		"9223372036.854775807":  math.MaxInt64,
		"-9223372036.854775808": math.MinInt64,
	} {
		assert.Equal(t, want, n.String())
	}
}

func TestNanodegreeConversions(t *testing.T) {
	for _, c := range []struct {
		n                Nanodegree
		degrees, radians float64
	}{
		{0, 0, 0},
		{45_301_200_000, 45.3012, 45.3012 * math.Pi / 180},
		{-90 * Degree, -90, -math.Pi / 2},
		{180 * Degree, 180, math.Pi},
		{1, 1e-9, math.Pi / 180e9},
	} {
		assert.Equal(t, c.degrees, c.n.Degrees())
		assert.InEpsilon(t, 1+c.radians, 1+c.n.Radians(), 1e-15)
	}
}

// Radians has a relative error of at most 2^-52, sine and cosine of a latitude
// one of at most 4·2^-53, judged in 320-bit arithmetic.
func TestRadiansAndSinCosBounds(t *testing.T) {
	const u = 1.0 / (1 << 53)
	r := rand.New(rand.NewPCG(1, 1))
	var worstRadians, worstSinCos float64
	for i := range 3000 {
		n := Nanodegree(r.Int64N(int64(quarterTurn)) + 1)
		switch i % 5 {
		case 0:
			n = quarterTurn - Nanodegree(r.Int64N(2000)+1) // within 0.2 m of the pole
		case 1:
			n = Nanodegree(r.Int64N(2000) + 1)
		case 2:
			n = quarterTurn/2 + Nanodegree(r.Int64N(20)-10)
		}
		if r.IntN(2) == 0 {
			n = -n
		}
		exact := bigRadians(n)
		wantSin, wantCos := bigSinCos(exact)
		sin, cos := n.sinCos()
		worstRadians = max(worstRadians, differs(n.Radians(), exact)/math.Abs(n.Radians())/u)
		worstSinCos = max(worstSinCos, differs(sin, wantSin)/math.Abs(sin)/u, differs(cos, wantCos)/math.Abs(cos)/u)
	}
	t.Logf("radians %.2fu, sine and cosine %.2fu", worstRadians, worstSinCos)
	assert.LessOrEqual(t, worstRadians, 2.0)
	assert.LessOrEqual(t, worstSinCos, 4.0)

	for _, pole := range []Nanodegree{quarterTurn, -quarterTurn} {
		sin, cos := pole.sinCos()
		assert.Equal(t, 1.0, math.Abs(sin))
		assert.Equal(t, 0.0, cos)
	}
}

func TestWrapTurn(t *testing.T) {
	for _, c := range []struct{ n, want Nanodegree }{
		{0, 0},
		{180 * Degree, 180 * Degree},
		{-180 * Degree, 180 * Degree},
		{180*Degree + 1, -180*Degree + 1},
		{-180*Degree - 1, 180*Degree - 1},
		{359 * Degree, -1 * Degree},
		{360 * Degree, 0},
		{-360 * Degree, 0},
		{540 * Degree, 180 * Degree},
	} {
		assert.Equal(t, c.want, wrapTurn(c.n), c.n)
	}
}

func TestCrossesAntimeridian(t *testing.T) {
	for _, c := range []struct {
		name       string
		longitudes []string
		want       bool
	}{
		{"no point", nil, false},
		{"one point", []string{"180"}, false},
		{"a site in the east", []string{"6.1", "6.2", "6.15"}, false},
		{"about the prime meridian", []string{"-0.01", "0.02"}, false},
		{"up to the antimeridian", []string{"179.98", "180"}, false},
		{"across it", []string{"179.98", "-179.99"}, true},
		{"written on both sides, though only touching", []string{"180", "-179.99"}, true},
		{"the same meridian by both names", []string{"-180", "180"}, true},
		{"half a turn is no site, and not across", []string{"-90", "90"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			var longitudes []Nanodegree
			for _, text := range c.longitudes {
				longitudes = append(longitudes, degrees(t, text))
			}
			require.Equal(t, c.want, CrossesAntimeridian(longitudes...))
		})
	}
}
