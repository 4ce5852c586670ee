// Bearings of the local frame against true north.
//
// The frame's north is the meridian at the origin. At a point east or west of
// it the meridian points elsewhere, since meridians meet at the pole: the angle
// is the meridian convergence, close to Δλ sin φ. It is 0.18° at 20 km east of
// an origin at 45°, which is 6 cm in 20 m.
package geodesy

import (
	"math"

	"merestone/internal/elementary"
)

// TrueAzimuth is the true azimuth at a point of the frame, in radians clockwise
// from the meridian there, in [0, 2π), of the direction whose bearing in the
// frame is bearingRad (clockwise from the frame's north). The direction, level
// in the frame, is projected on the horizon of the point. At a pole it has no
// meaning.
//
// A leg between marks of one height is not quite level in the frame: it follows
// the ground's fall away from the origin, by d/R. Its true azimuth is that of
// its plan bearing to within (d/R)² radians more (1e-5 at 20 km).
func (f Frame) TrueAzimuth(at Local, bearingRad float64) float64 {
	sin, cos := elementary.Sincos(bearingRad)
	dLat, dLon, _ := f.solve(at)
	sinD, cosD := elementary.Sincos(dLat)
	there := f.turn(Local{EastM: sin, NorthM: cos}, float64(f.sinLat*cosD)+float64(f.cosLat*sinD), float64(f.cosLat*cosD)-float64(f.sinLat*sinD), dLon)
	return positiveTurn(elementary.Atan2(there.EastM, there.NorthM))
}

// positiveTurn brings an angle of (-2π, 2π) into [0, 2π).
func positiveTurn(rad float64) float64 {
	if rad < 0 {
		rad += 2 * math.Pi
	}
	if rad >= 2*math.Pi { // a tiny negative angle rounds up to the full turn
		rad = 0
	}
	return rad
}
