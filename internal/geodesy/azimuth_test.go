// Bearings against true north, judged by PROJ: the direction between two points
// of one frame, seen from the frame of the first of them.
package geodesy

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

// For each origin and each point P of its frame, points Q one kilometre off P
// at known bearings are carried by PROJ from the origin's frame to geocentric
// coordinates and on into the frame at P, where their azimuth is read off. A
// kilometre and PROJ's 1e-9 m give the azimuth to some 1e-11 radian.
func TestTrueAzimuthAgainstCct(t *testing.T) {
	const reach = 1000.0
	for _, origin := range origins(30) {
		frame := mustFrame(t, origin)
		o := columns(origin)
		for _, at := range []Local{{0, 0, 0}, {20_000, 0, -31}, {-14_000, 14_000, 100}, {300, -19_000, 0}, {-40, -25, 3}} {
			atLine := fmt.Sprintf("%.3f %.3f %.3f", at.EastM, at.NorthM, at.UpM)
			backward := "+proj=pipeline +step +inv +proj=topocentric +ellps=WGS84 +lon_0=" + o[1] + " +lat_0=" + o[0] + " +h_0=" + o[2]
			xyz := tooltest.Numbers(t, []string{atLine}, "cct", append([]string{"-d", "9"}, strings.Fields(backward)...)...)[0]

			var bearings []float64
			input := []string{atLine}
			for i := range 8 {
				bearing := float64(i)*math.Pi/4 + 0.03
				sin, cos := math.Sincos(bearing)
				bearings = append(bearings, bearing)
				input = append(input, fmt.Sprintf("%.12f %.12f %.12f", at.EastM+reach*sin, at.NorthM+reach*cos, at.UpM))
			}
			onward := backward + fmt.Sprintf(" +step +proj=topocentric +ellps=WGS84 +X_0=%.9f +Y_0=%.9f +Z_0=%.9f", xyz[0], xyz[1], xyz[2])
			rows := tooltest.Numbers(t, input, "cct", append([]string{"-d", "9"}, strings.Fields(onward)...)...)
			for i, bearing := range bearings {
				want := math.Atan2(rows[i+1][0]-rows[0][0], rows[i+1][1]-rows[0][1])
				got := frame.TrueAzimuth(at, bearing)
				require.GreaterOrEqual(t, got, 0.0)
				require.Less(t, got, 2*math.Pi)
				require.InDelta(t, 0, math.Remainder(got-want, 2*math.Pi), 1e-10, "origin %v at %v bearing %g", origin, at, bearing)
			}
		}
	}
}

// True azimuth = bearing + convergence, but for the tilt of the horizons: the
// inequality in ConvergenceRad's comment, and its sharpness to a factor of two.
func TestConvergenceIsOneAngleForAllBearings(t *testing.T) {
	worst := 0.0
	for _, origin := range origins(4) {
		frame := mustFrame(t, origin)
		for i := range 12 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 6)
			for _, distance := range []float64{100, 2000, 20_000} {
				at := Local{sin * distance, cos * distance, 0}
				bound := distance / 6.33e6 * distance / 6.33e6 / 2
				for j := range 24 {
					bearing := float64(j) * math.Pi / 12
					rest := math.Remainder(frame.TrueAzimuth(at, bearing)-bearing-frame.ConvergenceRad(at), 2*math.Pi)
					require.LessOrEqual(t, math.Abs(rest), bound+1e-14, "origin %v at %v bearing %g", origin, at, bearing)
					worst = max(worst, (math.Abs(rest)-1e-14)/bound)
				}
			}
		}
	}
	assert.Greater(t, worst, 0.5)
}

func TestConvergence(t *testing.T) {
	for _, c := range []struct {
		name     string
		latitude string
		at       Local
		degrees  float64 // Δλ sin φ, worked by hand from N cos φ
		within   float64
	}{
		{"none at the origin", "45", Local{0, 0, 0}, 0, 0},
		{"none on the origin's meridian", "45", Local{0, 15_000, 0}, 0, 1e-13},
		{"east in the north: positive", "45", Local{20_000, 0, 0}, 0.1794, 0.0005},
		{"west in the north: negative", "45", Local{-20_000, 0, 0}, -0.1794, 0.0005},
		{"east in the south: negative", "-45", Local{20_000, 0, 0}, -0.1794, 0.0005},
		{"none at the equator", "0", Local{20_000, 0, 0}, 0, 1e-13},
		{"the meridian turned right round beyond the pole", "89.9", Local{0, 15_000, 0}, 180, 1e-9},
		{"an eighth turn: as far east as the pole is north", "89.9", Local{11_169.4, 0, 0}, 45, 0.001},
	} {
		t.Run(c.name, func(t *testing.T) {
			frame := mustFrame(t, Geodetic{degrees(t, c.latitude), 0, 0})
			assert.InDelta(t, c.degrees, frame.ConvergenceRad(c.at)*180/math.Pi, c.within)
		})
	}
}

func TestPositiveTurn(t *testing.T) {
	for _, c := range [][2]float64{
		{0, 0}, {1, 1}, {-1, 2*math.Pi - 1}, {-math.Pi, math.Pi},
		{-1e-20, 0}, // plus 2π it rounds to 2π, which is outside [0, 2π)
	} {
		assert.Equal(t, c[1], positiveTurn(c[0]))
	}
}

// What it is for: the true azimuth of a leg drawn in the frame is the azimuth
// that GeodSolve gives for the line between its marks. Allowed: the (d/R)² of
// TrueAzimuth's comment and as much again for the tilt; nanodegrees, 0.1 mm in
// the leg's 400 m; and the twist of the normals, e² h / 2R, because the geodesic
// runs on the ellipsoid and the leg at height.
func TestTrueAzimuthOfLegsAgainstGeodSolve(t *testing.T) {
	const leg = 400.0
	for _, origin := range origins(30) {
		frame := mustFrame(t, origin)
		var input []string
		var got, within []float64
		for i := range 8 {
			for _, distance := range []float64{0, 1000, 20_000} {
				sin, cos := math.Sincos(float64(i) * 0.8)
				east, north := sin*distance, cos*distance
				bearing := float64(i)*0.7 + 0.2
				sin, cos = math.Sincos(bearing)
				a := frame.AtHeight(east, north, origin.HeightM)
				b := frame.AtHeight(east+leg*sin, north+leg*cos, origin.HeightM)
				input = append(input, lineInput(a, b))
				got = append(got, frame.TrueAzimuth(frame.ToLocal(a), bearing))
				tilt := (distance + leg) / 6.33e6
				within = append(within, 2*tilt*tilt+1e-4/leg*1.5+eccentricitySquared*math.Abs(origin.HeightM)/(2*6.33e6))
			}
		}
		for i, row := range tooltest.Numbers(t, input, "GeodSolve", "-i", "-p", "9") {
			rest := math.Remainder(got[i]-row[0]*math.Pi/180, 2*math.Pi)
			require.InDelta(t, 0, rest, within[i], "origin %v %s", origin, input[i])
		}
	}
}

// ConvergenceRad is the meridian convergence at a point of the frame in radians,
// in (-π, π]: the true azimuth of the frame's north. It is positive where the
// frame's north lies east of true north, which is the usual sign for grids, so
//
//	true azimuth = bearing in the frame + convergence
//
// This is exact for a bearing of zero. For other bearings the two sides differ,
// since the horizons at the origin and at the point are tilted to each other,
// by at most (d/R)²/2 radians, R = 6.33e6 m: 5e-6 (one second) at 20 km.
// TrueAzimuth has no such error.
func (f Frame) ConvergenceRad(at Local) float64 {
	azimuth := f.TrueAzimuth(at, 0)
	if azimuth > math.Pi {
		azimuth -= 2 * math.Pi
	}
	return azimuth
}
