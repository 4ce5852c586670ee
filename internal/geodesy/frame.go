// The local frame of a site: metres east, north and up from an origin on
// WGS 84. East and north span the plane that touches the ellipsoid's parallel
// surface at the origin; up is the ellipsoid's normal there.
//
// This is the geographic to topocentric conversion of IOGP Guidance Note 7-2
// (EPSG method 9837). It is exact geometry in both directions: no projection,
// no series. Away from the origin the ground falls below the plane, by
// d²/(2·6.4e6) metres (31 m at 20 km), and the meridians converge (azimuth.go).
package geodesy

import (
	"errors"
	"fmt"
	"math"

	"merestone/internal/elementary"
)

// Geodetic is a point by latitude, longitude (east positive) and ellipsoidal
// height in metres.
type Geodetic struct {
	Latitude, Longitude Nanodegree
	HeightM             float64
}

// Local is a point, or a displacement, in a Frame, in metres.
type Local struct{ EastM, NorthM, UpM float64 }

// Frame is a local east-north-up frame. The zero Frame is of no use; make one
// with NewFrame. A Frame is a small value and never changes.
type Frame struct {
	origin         Geodetic
	sinLat, cosLat float64 // of the origin
	primeVertical  float64 // N at the origin, metres
	axisDistance   float64 // (N+h) cos φ at the origin: metres from the Earth's axis
}

// Limits of a frame's origin.
const (
	// PoleLimitM is how near a pole an origin may be, in metres. Nearer than
	// this east and north turn by 0.057° or more for each metre walked
	// sideways, and bearings mean little to a person in the field.
	PoleLimitM = 1000
	// MinHeightM and MaxHeightM bound an origin's ellipsoidal height in metres:
	// a little more than the dry land of the Earth. They catch heights written
	// in the wrong unit.
	MinHeightM = -1000
	MaxHeightM = 10000
)

// NewFrame makes the frame at an origin. It refuses an origin within PoleLimitM
// of a pole, a latitude beyond ±90°, a longitude beyond ±180°, and a height
// that is not a number or not between MinHeightM and MaxHeightM.
func NewFrame(origin Geodetic) (Frame, error) {
	switch {
	case origin.Latitude < -quarterTurn || origin.Latitude > quarterTurn:
		return Frame{}, fmt.Errorf("origin: latitude %s is not from -90 to 90 degrees", origin.Latitude)
	case origin.Longitude < -halfTurn || origin.Longitude > halfTurn:
		return Frame{}, fmt.Errorf("origin: longitude %s is not from -180 to 180 degrees", origin.Longitude)
	case math.IsNaN(origin.HeightM):
		return Frame{}, errors.New("origin: the height is not a number")
	case origin.HeightM < MinHeightM || origin.HeightM > MaxHeightM:
		return Frame{}, fmt.Errorf("origin: height %g m is not from %d to %d m; ellipsoidal height in metres is meant",
			origin.HeightM, MinHeightM, MaxHeightM)
	}
	// The meridian at the pole has the radius of curvature a²/b, and within a
	// kilometre of it the radius changes by less than 1 part in 1e9.
	poleDistance := Nanodegree(int64(quarterTurn)-int64(origin.Latitude.magnitude())).Radians() * SemiMajorAxisM * SemiMajorAxisM / semiMinorAxisM
	if poleDistance < PoleLimitM {
		return Frame{}, fmt.Errorf("origin: latitude %s is %.0f m from a pole; a local frame needs at least %d m, for east and north to have a use",
			origin.Latitude, poleDistance, PoleLimitM)
	}
	sin, cos := origin.Latitude.sinCos()
	n := primeVerticalRadius(sin)
	return Frame{
		origin: origin, sinLat: sin, cosLat: cos,
		primeVertical: n, axisDistance: (n + origin.HeightM) * cos,
	}, nil
}

// Origin is the point that NewFrame was given.
func (f Frame) Origin() Geodetic { return f.origin }

// ToLocal converts a point to the frame. The longitude difference is taken the
// short way round, so a site may lie across the antimeridian.
func (f Frame) ToLocal(point Geodetic) Local {
	// Differences first, in exact integers: a site is a few kilometres of a
	// 6400 km radius, so subtracting computed coordinates would throw away the
	// leading three to six digits of each.
	dLat := (point.Latitude - f.origin.Latitude).Radians()
	dLon := wrapTurn(point.Longitude - f.origin.Longitude).Radians()
	sinLat, cosLat := point.Latitude.sinCos()
	return f.forward(dLat, dLon, sinLat, cosLat, point.HeightM)
}

// forward is method 9837 written in differences. With the origin's meridian as
// the x axis, N the prime vertical radius, and index 0 for the origin, the
// textbook form is
//
//	p = (N+h) cos φ            distance from the axis
//	z = (N(1-e²)+h) sin φ      height above the equator
//	east  = p sin Δλ
//	north = -sin φ0 (p cos Δλ - p0) + cos φ0 (z - z0)
//	up    =  cos φ0 (p cos Δλ - p0) + sin φ0 (z - z0)
//
// where p - p0 and z - z0 subtract numbers of 6.4e6 m, each with an error of
// about 1e-9 m. The same, by cos Δλ = 1 - 2 sin²(Δλ/2) and the sum formulae:
//
//	north = (N+h) sin Δφ - e² cos φ0 D + 2 p sin φ0 sin²(Δλ/2)
//	up    = (h-h0) + (N-N0) - 2 (N+h) sin²(Δφ/2) - e² sin φ0 D - 2 p cos φ0 sin²(Δλ/2)
//	D     = N sin φ - N0 sin φ0 = N (sin φ - sin φ0) + sin φ0 (N - N0)
//	sin φ - sin φ0 = 2 cos((φ+φ0)/2) sin(Δφ/2)
//	N - N0 = a (W0-W)/(W W0) = N N0 e² (sin φ - sin φ0)(sin φ + sin φ0) / (a (W + W0))
//
// in which each term is a product of factors known to a few units in the last
// place, and is itself no larger than the site. So the error is a few units in
// the last place of the result's size and not of the Earth's radius.
func (f Frame) forward(dLat, dLon, sinLat, cosLat, height float64) Local {
	sinHalfLat, cosHalfLat := elementary.Sincos(dLat / 2)
	sinHalfLon := elementary.Sin(dLon / 2)
	w, w0 := curvatureRoot(sinLat), curvatureRoot(f.sinLat)
	n, n0 := SemiMajorAxisM/w, f.primeVertical

	cosMiddle := float64(f.cosLat*cosHalfLat) - float64(f.sinLat*sinHalfLat) // cos((φ+φ0)/2)
	dSin := 2 * cosMiddle * sinHalfLat
	dN := n * n0 * eccentricitySquared * dSin * (sinLat + f.sinLat) / (SemiMajorAxisM * (w + w0))
	d := float64(n*dSin) + float64(f.sinLat*dN)
	p := float64((n + height) * cosLat)
	sagitta := 2 * p * sinHalfLon * sinHalfLon // p - p cos Δλ

	return Local{
		EastM:  p * elementary.Sin(dLon),
		NorthM: float64((n+height)*elementary.Sin(dLat)) - float64(eccentricitySquared*f.cosLat*d) + float64(f.sinLat*sagitta),
		UpM: (height - f.origin.HeightM) + dN - float64(2*(n+height)*sinHalfLat*sinHalfLat) -
			float64(eccentricitySquared*f.sinLat*d) - float64(f.cosLat*sagitta),
	}
}

// AtHeight is the point of given ellipsoidal height whose plan position in the
// frame is east, north (metres): where a vertical in the sense of the origin
// meets the surface of that height. This is how a plan drawn in the frame is
// put on the ground, which away from the origin lies below the frame's plane.
// Latitude and longitude are rounded to the nearest nanodegree; the height is as
// asked.
func (f Frame) AtHeight(eastM, northM, heightM float64) Geodetic {
	up := f.upAtHeight(eastM, northM, heightM)
	dLat, dLon, _ := f.solve(Local{eastM, northM, up})
	return f.offset(dLat, dLon, heightM)
}

// upAtHeight finds the up coordinate of the surface of a given ellipsoidal
// height at a plan position. It starts from the sphere's drop d²/2R and repeats
// up += heightM - height(up). As d(height)/d(up) is the cosine of the angle
// between the two normals, 1 - (d/R)²/2, each step shrinks the error by
// (d/R)²/2: 5e-6 at 20 km, so that three steps do and the bound of eight is
// never reached there.
func (f Frame) upAtHeight(eastM, northM, heightM float64) float64 {
	const enough = 1e-9 // metres
	up := heightM - f.origin.HeightM - (float64(eastM*eastM)+float64(northM*northM))/(2*SemiMajorAxisM)
	for range 8 {
		_, _, height := f.solve(Local{eastM, northM, up})
		up += heightM - height
		if math.Abs(heightM-height) < enough {
			break
		}
	}
	return up
}

// solve is the inverse of forward, not rounded to nanodegrees: differences of
// latitude and longitude from the origin in radians, and the height in metres.
//
// The longitude is direct: tan Δλ = east / (p cos Δλ), whose denominator is
// p0 - north sin φ0 + up cos φ0. Its rounding, a few 2^-53 of p0, reaches the
// position multiplied by sin Δλ, which makes it a few 2^-53 of east. The latitude starts from the closed form
// for a point on the ellipsoid, tan φ = z / (p (1-e²)), wrong by at most
// e² h sin 2φ / 2 metres (35 m at 10 km height), and is then improved by
// Newton's method on forward itself, so that it inherits forward's precision:
// the remaining error vector is turned into north and up at the point and
// divided by M+h. Newton's error squares: 35 m, 2e-4 m, below 1e-13 m.
func (f Frame) solve(local Local) (dLat, dLon, height float64) {
	x := f.axisDistance - float64(local.NorthM*f.sinLat) + float64(local.UpM*f.cosLat)
	z := float64((float64(f.primeVertical*(1-eccentricitySquared))+f.origin.HeightM)*f.sinLat) + float64(local.NorthM*f.cosLat) + float64(local.UpM*f.sinLat)
	dLon = elementary.Atan2(local.EastM, x)

	start := elementary.Atan2(z, elementary.Hypot(x, local.EastM)*(1-eccentricitySquared))
	dLat = start - f.origin.Latitude.Radians()
	height = f.origin.HeightM + local.UpM
	for range 4 {
		sinD, cosD := elementary.Sincos(dLat)
		sinLat := float64(f.sinLat*cosD) + float64(f.cosLat*sinD)
		cosLat := float64(f.cosLat*cosD) - float64(f.sinLat*sinD)
		got := f.forward(dLat, dLon, sinLat, cosLat, height)
		miss := f.turn(Local{local.EastM - got.EastM, local.NorthM - got.NorthM, local.UpM - got.UpM}, sinLat, cosLat, dLon)
		dLat += miss.NorthM / (meridianRadius(sinLat) + height)
		height += miss.UpM
	}
	return dLat, dLon, height
}

// turn expresses a displacement of the frame in east, north, up at the point of
// given latitude (its sine and cosine) and longitude difference Δλ. The rows are
// the scalar products of the unit vectors at the two places.
func (f Frame) turn(v Local, sinLat, cosLat, dLon float64) Local {
	sinLon, cosLon := elementary.Sincos(dLon)
	return Local{
		EastM: float64(v.EastM*cosLon) + float64(v.NorthM*sinLon*f.sinLat) - float64(v.UpM*sinLon*f.cosLat),
		NorthM: float64(-v.EastM*sinLat*sinLon) + float64(v.NorthM*(float64(sinLat*f.sinLat*cosLon)+float64(cosLat*f.cosLat))) +
			float64(v.UpM*(float64(cosLat*f.sinLat)-float64(sinLat*f.cosLat*cosLon))),
		UpM: float64(v.EastM*cosLat*sinLon) + float64(v.NorthM*(float64(sinLat*f.cosLat)-float64(cosLat*f.sinLat*cosLon))) +
			float64(v.UpM*(float64(cosLat*f.cosLat*cosLon)+float64(sinLat*f.sinLat))),
	}
}

// offset adds differences in radians to the origin and rounds to nanodegrees.
func (f Frame) offset(dLat, dLon, height float64) Geodetic {
	latitude := f.origin.Latitude + Nanodegree(math.RoundToEven(dLat/radiansPerNanodegree))
	longitude := f.origin.Longitude + Nanodegree(math.RoundToEven(dLon/radiansPerNanodegree))
	return Geodetic{
		Latitude:  latitude,
		Longitude: wrapTurn(longitude),
		HeightM:   height,
	}
}
