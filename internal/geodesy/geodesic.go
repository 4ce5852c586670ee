// Distances: the geodesic on the ellipsoid, and the distance along the ground.
//
// Source of the geodesic: the formulae of Vincenty, "Direct and inverse solutions of
// geodesics on the ellipsoid with application of nested equations", Survey
// Review XXIII, 176 (1975). Its series stop at f³, good for far less than a
// micrometre at 100 km. Its weakness, points nearly opposite on the globe, is
// outside what is asked here and is refused.
package geodesy

import (
	"fmt"
	"math"
)

// MaxGeodesicM is the longest line, in metres, that Geodesic answers for.
const MaxGeodesicM = 100_000

// Geodesic gives the length in metres of the shortest line on the ellipsoid
// between two points (heights are not used), and its true azimuths at a and at
// b in radians, clockwise from north in [0, 2π). Both look forward, from a
// towards b and beyond. For a point and itself all are zero. Lines longer than
// MaxGeodesicM are an error.
func Geodesic(a, b Geodetic) (distanceM, azimuth1Rad, azimuth2Rad float64, err error) {
	if a.Latitude == b.Latitude && wrapTurn(a.Longitude-b.Longitude) == 0 {
		return 0, 0, 0, nil
	}
	line, ok := inverse(a, b)
	if !ok || line.distance > MaxGeodesicM {
		return 0, 0, 0, fmt.Errorf("the points %s %s and %s %s are more than %d km apart",
			a.Latitude, a.Longitude, b.Latitude, b.Longitude, MaxGeodesicM/1000)
	}
	return line.distance, line.azimuth1, line.azimuth2, nil
}

type geodesicLine struct{ distance, azimuth1, azimuth2 float64 }

// inverse is Vincenty's inverse solution, with his letters: U the reduced
// latitude, L the difference of longitude, λ that on the auxiliary sphere, σ the
// arc on it, α the azimuth at the equator, σm the arc to the line's middle.
//
// As in the frame, differences are formed first: his
// cos U1 sin U2 - sin U1 cos U2 cos λ becomes
// sin(U2-U1) + 2 sin U1 cos U2 sin²(λ/2), with
// tan(U2-U1) = (1-f) sin(φ2-φ1) / (cos φ1 cos φ2 + (1-f)² sin φ1 sin φ2),
// so that a line of one metre has an azimuth as good as a long one.
func inverse(a, b Geodetic) (geodesicLine, bool) {
	sin1, cos1 := a.Latitude.sinCos()
	sin2, cos2 := b.Latitude.sinCos()
	const q = 1 - flattening
	r1, r2 := math.Hypot(q*sin1, cos1), math.Hypot(q*sin2, cos2)
	sinU1, cosU1 := q*sin1/r1, cos1/r1
	sinU2, cosU2 := q*sin2/r2, cos2/r2
	sinDU := q * math.Sin((b.Latitude - a.Latitude).Radians()) / (r1 * r2)

	l := wrapTurn(b.Longitude - a.Longitude).Radians()
	lambda := l
	for range 50 {
		sinL, cosL := math.Sincos(lambda)
		sinHalf := math.Sin(lambda / 2)
		x := cosU2 * sinL
		y := sinDU + 2*sinU1*cosU2*sinHalf*sinHalf
		sinSigma := math.Hypot(x, y)
		cosSigma := sinU1*sinU2 + cosU1*cosU2*cosL
		sigma := math.Atan2(sinSigma, cosSigma)
		sinAlpha := cosU1 * cosU2 * sinL / sinSigma
		cos2Alpha := 1 - sinAlpha*sinAlpha
		cos2SigmaM := 0.0 // along the equator the term has the factor cos²α = 0
		if cos2Alpha > 1e-18 {
			cos2SigmaM = cosSigma - 2*sinU1*sinU2/cos2Alpha
		}
		c := flattening / 16 * cos2Alpha * (4 + flattening*(4-3*cos2Alpha))
		next := l + (1-c)*flattening*sinAlpha*
			(sigma+c*sinSigma*(cos2SigmaM+c*cosSigma*(2*cos2SigmaM*cos2SigmaM-1)))
		settled := math.Abs(next-lambda) <= 1e-14*math.Abs(next)
		lambda = next
		if !settled {
			continue
		}

		u2 := cos2Alpha * (SemiMajorAxisM*SemiMajorAxisM - semiMinorAxisM*semiMinorAxisM) / (semiMinorAxisM * semiMinorAxisM)
		bigA := 1 + u2/16384*(4096+u2*(-768+u2*(320-175*u2)))
		bigB := u2 / 1024 * (256 + u2*(-128+u2*(74-47*u2)))
		dSigma := bigB * sinSigma * (cos2SigmaM + bigB/4*(cosSigma*(2*cos2SigmaM*cos2SigmaM-1)-
			bigB/6*cos2SigmaM*(4*sinSigma*sinSigma-3)*(4*cos2SigmaM*cos2SigmaM-3)))
		// At b: -sin U1 cos U2 + cos U1 sin U2 cos λ, again as a difference.
		return geodesicLine{
			distance: semiMinorAxisM * bigA * (sigma - dSigma),
			azimuth1: positiveTurn(math.Atan2(x, y)),
			azimuth2: positiveTurn(math.Atan2(cosU1*sinL, sinDU-2*cosU1*sinU2*sinHalf*sinHalf)),
		}, true
	}
	return geodesicLine{}, false
}

// GroundDistance is the distance in metres between the plumb points of a and b
// along the ground at one ellipsoidal height: what a tape reads that is held
// level, length by length, along the line, at that height. The points' own
// heights are not used: a tape laid down a slope reads more.
//
// It is the geodesic of length s carried up by heightM along the normals. An
// element ds at azimuth α grows by heightM times the normal curvature there:
//
//	S = s (1 + h/R_α),   1/R_α = cos²α/M + sin²α/N   (Euler's formula)
//
// with M, N, α at the middle of the line. It is the surveyor's reduction to the
// ellipsoid s = S·R/(R+h) read the other way (for example NOAA Manual NOS NGS 5,
// State Plane Coordinate System of 1983, section 4.2). The ellipsoid distance
// alone is too short by 16 mm in 1 km at 100 m, 78 mm at 500 m. Left out are the
// twist of the normals, (h e² cos²φ / 2R)²/2 < 4e-12 of the length at 5000 m,
// and the change of R along the line, below 1e-5 m at 100 km and 5000 m.
//
// Points farther apart than MaxGeodesicM give NaN.
func GroundDistance(a, b Geodetic, heightM float64) float64 {
	s, azimuth1, azimuth2, err := Geodesic(a, b)
	if err != nil {
		return math.NaN()
	}
	sin1, _ := a.Latitude.sinCos()
	sin2, _ := b.Latitude.sinCos()
	curvature := (normalCurvature(sin1, azimuth1) + normalCurvature(sin2, azimuth2)) / 2
	return s * (1 + heightM*curvature)
}

// normalCurvature is 1/R_α in 1/metre by Euler's formula.
func normalCurvature(sinLatitude, azimuth float64) float64 {
	sin, cos := math.Sincos(azimuth)
	return cos*cos/meridianRadius(sinLatitude) + sin*sin/primeVerticalRadius(sinLatitude)
}
