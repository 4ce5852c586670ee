// The WGS 84 ellipsoid: its defining constants and its radii of curvature.
//
// Source of the constants: NGA.STND.0036, World Geodetic System 1984, table of
// defining parameters (semi-major axis a, reciprocal flattening 1/f); the same
// two numbers stand in the EPSG Dataset as ellipsoid 7030. All else is derived
// from them.
package geodesy

import "math"

const (
	// SemiMajorAxisM is the equatorial radius a of WGS 84 in metres.
	SemiMajorAxisM = 6378137.0
	// InverseFlattening is 1/f of WGS 84.
	InverseFlattening = 298.257223563

	flattening     = 1 / InverseFlattening
	semiMinorAxisM = SemiMajorAxisM * (1 - flattening)
	// eccentricitySquared is e² = f(2-f).
	eccentricitySquared = flattening * (2 - flattening)
)

// MeridianRadius is the radius of curvature M, in metres, of the ellipsoid in
// the north-south direction at a latitude:
//
//	M = a (1-e²) / (1 - e² sin²φ)^(3/2)
//
// (IOGP Guidance Note 7-2, where it is called ρ.) A degree of latitude is
// M·π/180 long at that place.
func MeridianRadius(latitude Nanodegree) float64 {
	sin, _ := latitude.sinCos()
	return meridianRadius(sin)
}

// PrimeVerticalRadius is the radius of curvature N, in metres, of the ellipsoid
// in the east-west direction at a latitude:
//
//	N = a / (1 - e² sin²φ)^(1/2)
//
// (IOGP Guidance Note 7-2, where it is called ν.) A degree of longitude is
// N cos φ·π/180 long at that place.
func PrimeVerticalRadius(latitude Nanodegree) float64 {
	sin, _ := latitude.sinCos()
	return primeVerticalRadius(sin)
}

func meridianRadius(sinLatitude float64) float64 {
	w := curvatureRoot(sinLatitude)
	return SemiMajorAxisM * (1 - eccentricitySquared) / (w * w * w)
}

func primeVerticalRadius(sinLatitude float64) float64 {
	return SemiMajorAxisM / curvatureRoot(sinLatitude)
}

// curvatureRoot is W = (1 - e² sin²φ)^(1/2).
func curvatureRoot(sinLatitude float64) float64 {
	return math.Sqrt(1 - float64(eccentricitySquared*sinLatitude*sinLatitude))
}

// Float32DegreesErrorM gives the worst rounding, in metres north and east on
// the ellipsoid, that storing these two angles as degrees in IEEE 754 binary32
// costs.
//
// Derivation: binary32 has a 24-bit significand. A value x with
// 2^k ≤ |x| < 2^(k+1) has neighbours 2^(k-23) apart, and rounding to the
// nearest moves it by at most half of that:
//
//	|float32(x) - x| ≤ 2^(k-24) degrees
//
// which is π/180·M metres per degree northwards and π/180·N·cos φ eastwards.
// At 45° that is 1.9e-6° (0.21 m); for longitudes from 128° on, 7.6e-6°
// (0.85 m at the equator). An angle of zero is stored exactly and costs
// nothing. At ellipsoidal height h the numbers grow by h/6.4e6 (0.02 % at
// 1000 m), which is left out.
func Float32DegreesErrorM(latitude, longitude Nanodegree) (northM, eastM float64) {
	sin, cos := latitude.sinCos()
	northM = float32HalfSpacing(latitude.Degrees()) * math.Pi / 180 * meridianRadius(sin)
	eastM = float32HalfSpacing(longitude.Degrees()) * math.Pi / 180 * primeVerticalRadius(sin) * cos
	return northM, eastM
}

// float32HalfSpacing is 2^(k-24) for 2^k ≤ |x| < 2^(k+1), and 0 for 0. The
// smallest non-zero angle, 1e-9, is far above binary32's subnormals.
func float32HalfSpacing(x float64) float64 {
	if x == 0 {
		return 0
	}
	_, exponent := math.Frexp(x) // |x| = m·2^exponent with 0.5 ≤ m < 1, so k = exponent-1
	return math.Ldexp(1, exponent-25)
}
