// Level distances on the ground in the coordinates of a frame: what a tape that is held
// level and a bearing against the meridian say, as metres east and north of the frame.
//
// Three things stand between the two. The ground lies above or below the origin's height,
// at which marks are drawn: by (R+h0)/(R+h), 8e-6 of a distance on ground 50 m higher. The
// meridian is not parallel to the origin's: azimuth.go. And the plumb lines are not
// either, so that a distance towards the origin is drawn shorter by the cosine of the
// angle between them: (d/R)²/2, 5e-6 at 20 km.
package geodesy

import "merestone/internal/elementary"

// Plane turns metres on the ground, east and north by the meridian of a place, into
// metres of the frame: east = EastByEast·e + EastByNorth·n, and so on.
type Plane struct{ EastByEast, EastByNorth, NorthByEast, NorthByNorth float64 }

// Level is the plane of the ground around a place of the frame, at an ellipsoidal height.
//
// With φ and Δλ those of the place and φ0 the origin's latitude, the columns are the unit
// vectors east and north at the place seen in the frame (the rows of turn in frame.go,
// read downwards), scaled by (N+h0)/(N+h) and (M+h0)/(M+h): the same angle, seen from
// the Earth's axis or its centre of curvature, spans less at the lower of two heights.
//
// It is exact at the place. Over a distance s the ground bends away from it by s²/2R,
// which tilts that into the plane by s²/2R·d/R at the distance d from the origin: 0.25 mm
// for 1 km at 20 km.
func (f Frame) Level(at Local, heightM float64) Plane {
	dLat, dLon, _ := f.solve(at)
	sinD, cosD := elementary.Sincos(dLat)
	sinLat := float64(f.sinLat*cosD) + float64(f.cosLat*sinD)
	cosLat := float64(f.cosLat*cosD) - float64(f.sinLat*sinD)
	sinLon, cosLon := elementary.Sincos(dLon)
	east := (primeVerticalRadius(sinLat) + f.origin.HeightM) / (primeVerticalRadius(sinLat) + heightM)
	north := (meridianRadius(sinLat) + f.origin.HeightM) / (meridianRadius(sinLat) + heightM)
	return Plane{
		EastByEast: cosLon * east, EastByNorth: -sinLat * sinLon * north,
		NorthByEast: sinLon * f.sinLat * east, NorthByNorth: (float64(sinLat*f.sinLat*cosLon) + float64(cosLat*f.cosLat)) * north,
	}
}
