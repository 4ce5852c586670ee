// The ellipsoid's radii, and what binary32 degrees cost, against GeodSolve.
package geodesy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

// Closed values: at the equator M = b²/a and N = a, at the pole both are a²/b.
func TestRadiiAtEquatorAndPole(t *testing.T) {
	const a, b = 6378137.0, 6356752.314245179 // b as EPSG and NGA.STND.0036 give it, to 1e-4 m and beyond
	assert.InDelta(t, b, semiMinorAxisM, 1e-8)
	assert.InDelta(t, b*b/a, MeridianRadius(0), 1e-8)
	assert.InDelta(t, a, PrimeVerticalRadius(0), 1e-8)
	for _, pole := range []Nanodegree{90 * Degree, -90 * Degree} {
		assert.InDelta(t, a*a/b, MeridianRadius(pole), 1e-8)
		assert.InDelta(t, a*a/b, PrimeVerticalRadius(pole), 1e-8)
	}
}

// A short arc of meridian by GeodSolve is M·Δφ; a short line due east, N cos φ·Δλ.
func TestRadiiAgainstGeodSolve(t *testing.T) {
	const arc = Degree / 500 // 222 m: its series' next term is below 1e-8 of it
	var input []string
	var latitudes []Nanodegree
	for latitude := -88 * Degree; latitude <= 88*Degree; latitude += 8 * Degree {
		latitudes = append(latitudes, latitude)
		input = append(input, fmt.Sprintf("%s 0 %s 0", latitude-arc/2, latitude+arc/2))
		input = append(input, fmt.Sprintf("%s 0 %s %s", latitude, latitude, arc))
	}
	rows := tooltest.Numbers(t, input, "GeodSolve", "-i", "-p", "9")
	for i, latitude := range latitudes {
		assert.InEpsilon(t, rows[2*i][2]/arc.Radians(), MeridianRadius(latitude), 1e-8)
		_, cos := latitude.sinCos()
		assert.InEpsilon(t, rows[2*i+1][2]/arc.Radians(), PrimeVerticalRadius(latitude)*cos, 1e-6)
	}
}

func TestFloat32DegreesError(t *testing.T) {
	for _, c := range []struct {
		latitude, longitude string
		halfLat, halfLon    float64 // degrees
	}{
		{"45.3012", "6.1234", 1.0 / (1 << 19), 1.0 / (1 << 22)},
		{"-45.3012", "-6.1234", 1.0 / (1 << 19), 1.0 / (1 << 22)},
		{"63.999999999", "128", 1.0 / (1 << 19), 1.0 / (1 << 17)},
		{"64", "127.999999999", 1.0 / (1 << 18), 1.0 / (1 << 18)},
		{"0.5", "180", 1.0 / (1 << 25), 1.0 / (1 << 17)},
		{"0", "0", 0, 0},
	} {
		latitude, longitude := degrees(t, c.latitude), degrees(t, c.longitude)
		north, east := Float32DegreesErrorM(latitude, longitude)
		_, cos := latitude.sinCos()
		assert.InDelta(t, c.halfLat*math.Pi/180*MeridianRadius(latitude), north, 1e-12)
		assert.InDelta(t, c.halfLon*math.Pi/180*PrimeVerticalRadius(latitude)*cos, east, 1e-12)
	}
}

// The bound against the conversion itself: no angle is moved by more, and angles
// close to half way between two neighbours are moved by nearly as much.
func TestFloat32DegreesErrorIsTheWorst(t *testing.T) {
	r := rand.New(rand.NewPCG(32, 1))
	moved := func(n Nanodegree) float64 { return math.Abs(float64(float32(n.Degrees())) - n.Degrees()) }
	for range 200_000 {
		n := Nanodegree(r.Int64N(int64(fullTurn))) - halfTurn
		if r.IntN(2) == 0 {
			n /= Nanodegree(1 + r.Int64N(1e9)) // small angles too
		}
		require.LessOrEqual(t, moved(n), float32HalfSpacing(n.Degrees())*(1+1e-8), n)
	}
	for _, text := range []string{"45.3012", "-6.1234", "151.2", "0.9", "1.1"} {
		x := float32(degrees(t, text).Degrees())
		middle := (float64(x) + float64(math.Nextafter32(x, 1000))) / 2
		n := Nanodegree(math.Round(middle * 1e9))
		assert.Greater(t, moved(n), float32HalfSpacing(n.Degrees())*0.9, text)
	}
}

// And on the ground, by GeodSolve: from the place to the place as binary32 keeps
// it is no more than the two errors together.
func TestFloat32DegreesErrorAgainstGeodSolve(t *testing.T) {
	r := rand.New(rand.NewPCG(32, 2))
	var input []string
	var bounds []float64
	for range 2000 {
		latitude := Nanodegree(r.Int64N(int64(178*Degree))) - 89*Degree
		longitude := Nanodegree(r.Int64N(int64(fullTurn))) - halfTurn
		north, east := Float32DegreesErrorM(latitude, longitude)
		bounds = append(bounds, math.Hypot(north, east))
		input = append(input, fmt.Sprintf("%s %s %.12f %.12f", latitude, longitude,
			float32(latitude.Degrees()), float32(longitude.Degrees())))
	}
	worst := 0.0
	for i, row := range tooltest.Numbers(t, input, "GeodSolve", "-i", "-p", "6") {
		require.LessOrEqual(t, row[2], bounds[i]*(1+1e-6), input[i])
		worst = max(worst, row[2]/bounds[i])
	}
	assert.Greater(t, worst, 0.9, "the bound is far from what happens")
}
