package guidance

// The proved bound of the conversion against the geodesy package, which is itself
// checked against PROJ and GeographicLib.

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/geodesy"
)

func box(reachMM int64) Domain { return Domain{-reachMM, -reachMM, reachMM, reachMM} }

// samples is the number of fixes tried at each site.
const samples = 1_000_000

// worstError is the largest distance, in micrometres, between the conversion and
// the geodesy package. A quarter of the fixes lie on the rim of the domain.
func worstError(t testing.TB, frame geodesy.Frame, c *Conversion, n int, seed uint64) float64 {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 0))
	worst := 0.0
	for i := range n {
		latitude := c.SouthNdeg + r.Int64N(int64(c.LatitudeSpanNdeg)+1)
		longitude := c.WestNdeg + r.Int64N(int64(c.LongitudeSpanNdeg)+1)
		switch i % 16 {
		case 0:
			latitude = c.SouthNdeg
		case 1:
			latitude = c.SouthNdeg + int64(c.LatitudeSpanNdeg)
		case 2:
			longitude = c.WestNdeg
		case 3:
			longitude = c.WestNdeg + int64(c.LongitudeSpanNdeg)
		}
		longitude = wrapTurn(longitude)
		got, ok := c.Local(latitude, longitude)
		if !ok {
			require.True(t, ok, "refused within the domain: %d %d", latitude, longitude)
		}
		want := frame.ToLocal(geodesy.Geodetic{
			Latitude: geodesy.Nanodegree(latitude), Longitude: geodesy.Nanodegree(longitude), HeightM: frame.Origin().HeightM,
		})
		worst = max(worst, math.Hypot(float64(got.EastMM)-want.EastM*1000, float64(got.NorthMM)-want.NorthM*1000))
	}
	return worst * 1000
}

func TestConversionIsWithinItsBound(t *testing.T) {
	for _, c := range []struct {
		latitude, longitude, heightM float64
		reachMM                      int64
		limitUM                      uint32
	}{
		{0, 0, 0, 1_100_000, 1000},
		{45.3012, 6.1234, 412.6, 1_100_000, 1000},
		{-33.9, -70.7, 2500, 1_100_000, 1000},
		{60.5, -179.999, 10, 1_100_000, 1000},
		{80, 20, 0, 1_100_000, 1000},
		{-80, 179.9, 3000, 1_100_000, 1000},
		{0.0001, 179.9999, 0, 20_100_000, 2000},
		{45.3012, 6.1234, 412.6, 20_100_000, 2000},
		{-52, -72, -100, 20_100_000, 2000},
		{80, -180, 0, 20_100_000, 2000},
		{-80, 20, 3000, 20_100_000, 2000},
		{85.9, 20, 0, 1_100_000, 1000},
		{86, 20, 0, 1_100_000, 1000}, // where east[1] begins to decide the scale
		{-88, 20, 2800, 1_100_000, 1000},
		{89, 20, 0, 1_100_000, 1000},
		{-89, -179.9, 2800, 1_100_000, 1000},
		{89, 20, 0, 2_000_000, 1000},
		{-89, 20, 2800, 2_000_000, 1000},
		{89.8, 20, 0, 350_000, 1000},
	} {
		t.Run(fmt.Sprintf("latitude %g, %d m", c.latitude, c.reachMM/1000), func(t *testing.T) {
			frame, err := geodesy.NewFrame(degrees(c.latitude, c.longitude, c.heightM))
			require.NoError(t, err)
			conversion, err := FitConversion(frame, box(c.reachMM))
			require.NoError(t, err)
			worst := worstError(t, frame, &conversion, samples, 1)
			t.Logf("degree %d, bound %d µm, worst of %d samples %.1f µm", conversion.Degree, conversion.BoundUM, samples, worst)
			assert.LessOrEqual(t, conversion.BoundUM, c.limitUM, "the bound required")
			assert.LessOrEqual(t, worst, float64(conversion.BoundUM), "the bound proved")
			assert.LessOrEqual(t, float64(conversion.BoundUM), 3*worst, "the bound is loose")

			// All of the box that was asked for is in the domain.
			for _, e := range []float64{-1, -0.3, 0, 0.7, 1} {
				for _, n := range []float64{-1, -0.6, 0, 0.2, 1} {
					reach := float64(c.reachMM) / 1000
					g := frame.AtHeight(e*reach, n*reach, c.heightM)
					at, ok := conversion.Local(int64(g.Latitude), int64(g.Longitude))
					assert.True(t, ok, "%g %g", e, n)
					assert.InDelta(t, e*reach*1000, at.EastMM, 1.1)
					assert.InDelta(t, n*reach*1000, at.NorthMM, 1.1)
				}
			}
		})
	}
}

// A site well off its origin, as when the origin is a corner.
func TestConversionOfAnUnevenDomain(t *testing.T) {
	frame, err := geodesy.NewFrame(degrees(63.2, 10.4, 50))
	require.NoError(t, err)
	c, err := FitConversion(frame, Domain{-100_000, -100_000, 19_000_000, 8_000_000})
	require.NoError(t, err)
	worst := worstError(t, frame, &c, samples/4, 2)
	assert.LessOrEqual(t, worst, float64(c.BoundUM))
	assert.LessOrEqual(t, c.BoundUM, uint32(2000))
	_, ok := c.Local(int64(frame.Origin().Latitude)-2_000_000, int64(frame.Origin().Longitude))
	assert.False(t, ok, "220 m south of the origin")
}

// The bound is a statement about these very coefficients: any other does worse.
// This shows that the tests above could fail.
func TestConversionBoundFailsWithAWrongCoefficient(t *testing.T) {
	frame, err := geodesy.NewFrame(degrees(45.3012, 6.1234, 412.6))
	require.NoError(t, err)
	c, err := FitConversion(frame, box(20_100_000))
	require.NoError(t, err)
	for i, change := range []int32{64, 4096, 65536, 16_000_000, 65536, 16_000_000} {
		wrong := c
		wrong.East[i] += change
		assert.Greater(t, worstError(t, frame, &wrong, 20_000, 3), float64(c.BoundUM), "east %d", i)
	}
	for i, change := range []int32{64, 4096, 65536, 4096, 65536, 16_000_000, 16_000_000} {
		wrong := c
		wrong.North[i] += change
		assert.Greater(t, worstError(t, frame, &wrong, 20_000, 3), float64(c.BoundUM), "north %d", i)
	}
}

func TestFixesOutsideTheDomain(t *testing.T) {
	m := saltPan().mission(t) // across the meridian of 180 degrees
	c := &m.Conversion
	north := c.SouthNdeg + int64(c.LatitudeSpanNdeg)
	east := c.WestNdeg + int64(c.LongitudeSpanNdeg)
	inside := func(latitude, longitude int64) bool { _, ok := c.Local(latitude, longitude); return ok }
	for _, f := range []struct {
		latitude, longitude int64
		want                bool
	}{
		{c.SouthNdeg, c.WestNdeg, true},
		{north, east, true},
		{c.SouthNdeg - 1, c.WestNdeg, false},
		{c.SouthNdeg, c.WestNdeg - 1, false},
		{north + 1, east, false},
		{north, east + 1, false},
		{north, east - 360_000_000_000, true}, // the other name of the same meridian
		{north, east - 360_000_000_000 + 1, false},
		{c.OriginLatitudeNdeg, -180_000_000_000, true},
		{c.OriginLatitudeNdeg, 180_000_000_000, true},
		{c.OriginLatitudeNdeg, -179_900_000_000, true},
		{c.OriginLatitudeNdeg, 0, false},
		{-c.OriginLatitudeNdeg, c.OriginLongitudeNdeg, false},
		{math.MinInt64, math.MinInt64, false},
		{math.MaxInt64, math.MaxInt64, false},
		{c.OriginLatitudeNdeg, math.MinInt64, false},
		{math.MaxInt64, c.OriginLongitudeNdeg, false},
	} {
		assert.Equal(t, f.want, inside(f.latitude, f.longitude), "%d %d", f.latitude, f.longitude)
	}
}

func TestDomainsRefused(t *testing.T) {
	for name, c := range map[string]struct {
		latitude float64
		domain   Domain
		want     string
	}{
		"no area":              {45, Domain{-1000, 0, 1000, 0}, "area"},
		"without its origin":   {45, Domain{1000, 1000, 2000, 2000}, "origin"},
		"too large":            {45, box(20_600_000), "20500 m"},
		"too wide at latitude": {84, box(20_000_000), "degrees of longitude"},
		"over the pole":        {89.9, box(11_500_000), "degrees of longitude"},
		"too wide near a pole": {89.95, box(1_000_000), "degrees of longitude"},
	} {
		t.Run(name, func(t *testing.T) {
			frame, err := geodesy.NewFrame(degrees(c.latitude, 10, 0))
			require.NoError(t, err)
			_, err = FitConversion(frame, c.domain)
			require.ErrorContains(t, err, c.want)
		})
	}
}

// Coefficients that could overflow are found, each on its line.
func TestOverflowIsFound(t *testing.T) {
	frame, err := geodesy.NewFrame(degrees(45.3012, 6.1234, 412.6))
	require.NoError(t, err)
	c, err := FitConversion(frame, box(20_100_000))
	require.NoError(t, err)
	_, err = c.trace()
	require.NoError(t, err)
	for name, spoil := range map[string]func(c *Conversion){
		"east[0]":              func(c *Conversion) { c.East[0] = math.MaxInt32 },
		"east[2]":              func(c *Conversion) { c.East[2], c.East[3] = math.MaxInt32, math.MaxInt32 },
		"north[0]":             func(c *Conversion) { c.North[0], c.North[1] = math.MaxInt32, 1<<30 },
		"north[3]":             func(c *Conversion) { c.North[3], c.North[4] = math.MinInt32, 1<<30 },
		"u reaches":            func(c *Conversion) { c.SouthFromOriginNdeg = math.MaxInt32 },
		"v reaches":            func(c *Conversion) { c.LongitudeSpanNdeg = math.MaxUint32 },
		"conversion: east rea": func(c *Conversion) { c.EastShift = 1 },
	} {
		t.Run(name, func(t *testing.T) {
			spoilt := c
			spoil(&spoilt)
			_, err := spoilt.trace()
			require.ErrorContains(t, err, name)
		})
	}
}
