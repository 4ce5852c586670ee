// Distances: the geodesic on the ellipsoid, and the distance along the ground.
//
// The geodesic is Bessel's: its image on the auxiliary sphere of reduced
// latitudes is a great circle, and its length and the two longitudes are tied to
// the arc on that sphere by two integrals (in the form of Karney, "Algorithms
// for geodesics", Journal of Geodesy 87, 2013, equations 7 and 8). Textbooks
// expand the integrals in series of the flattening, for lines of any length. The
// lines here are short, so the integrals are taken numerically over the arc,
// which is simpler and has no truncated flattening in it.
package geodesy

import (
	"fmt"
	"math"

	"merestone/internal/elementary"
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
	line := inverse(a, b)
	if line.distance > MaxGeodesicM {
		return 0, 0, 0, fmt.Errorf("the points %s %s and %s %s are more than %d km apart",
			a.Latitude, a.Longitude, b.Latitude, b.Longitude, MaxGeodesicM/1000)
	}
	return line.distance, line.azimuth1, line.azimuth2, nil
}

type geodesicLine struct{ distance, azimuth1, azimuth2 float64 }

// inverse solves for the geodesic. On the auxiliary sphere β is the reduced
// latitude, tan β = (1-f) tan φ, λ the difference of longitude there, L that on
// the ellipsoid, σ the arc between the points, α the azimuth and α0 that at the
// equator, sin α0 = sin α1 cos β1. With e'² = e²/(1-e²) and
//
//	g(t) = (1 + e'² sin² β(t))^(1/2),   sin β(t) = sin β1 cos t + cos β1 cos α1 sin t
//
// along the arc t from 0 to σ,
//
//	distance = b ∫ g dt,    λ = L + f sin α0 ∫ (2-f) / (1 + (1-f) g) dt
//
// (Karney writes cos α0 sin σ for sin β, counting σ from the equator; counted
// from the first point, lines along the equator need no special case.) The
// second is solved by repetition from λ = L; it converges by a factor of about
// f each time, so seven steps reach 2^-53.
//
// As in the frame, differences are formed first, so that a line of one metre
// has an azimuth as good as a long one: the great circle's
// cos β1 sin β2 - sin β1 cos β2 cos λ is taken as
// sin(β2-β1) + 2 sin β1 cos β2 sin²(λ/2), with
// sin(β2-β1) = (1-f) sin(φ2-φ1) / (r1 r2), r = ((1-f)² sin²φ + cos²φ)^(1/2).
//
// For far points, where the repetition or the rule of three points would not do,
// the distance is rough; it is still far, which is all that Geodesic asks.
func inverse(a, b Geodetic) geodesicLine {
	const q = 1 - flattening
	sin1, cos1 := a.Latitude.sinCos()
	sin2, cos2 := b.Latitude.sinCos()
	r1, r2 := elementary.Hypot(q*sin1, cos1), elementary.Hypot(q*sin2, cos2)
	sinB1, cosB1 := q*sin1/r1, cos1/r1
	sinB2, cosB2 := q*sin2/r2, cos2/r2
	sinDB := q * elementary.Sin((b.Latitude - a.Latitude).Radians()) / (r1 * r2)
	l := wrapTurn(b.Longitude - a.Longitude).Radians()

	lambda := l
	var line geodesicLine
	for range 7 {
		sinL, cosL := elementary.Sincos(lambda)
		sinHalf := elementary.Sin(lambda / 2)
		east := cosB2 * sinL // sin α1 sin σ
		north := sinDB + float64(2*sinB1*cosB2*sinHalf*sinHalf)
		sinSigma := elementary.Hypot(east, north)
		sigma := elementary.Atan2(sinSigma, float64(sinB1*sinB2)+float64(cosB1*cosB2*cosL))
		if sinSigma == 0 { // a pole, written with two longitudes
			return geodesicLine{}
		}
		sinA1, cosA1 := east/sinSigma, north/sinSigma
		length, longitude := geodesicIntegrals(sinB1, cosB1*cosA1, sigma)
		lambda = l + float64(flattening*sinA1*cosB1*longitude)
		line = geodesicLine{
			distance: semiMinorAxisM * length,
			azimuth1: positiveTurn(elementary.Atan2(east, north)),
			azimuth2: positiveTurn(elementary.Atan2(cosB1*sinL, sinDB-float64(2*cosB1*sinB2*sinHalf*sinHalf))),
		}
	}
	return line
}

// geodesicIntegrals takes both integrals of inverse by the Gauss-Legendre rule
// of three points. Its error, (σ/2)^7/15750 times the sixth derivative (at most
// 2^5 e'² ≈ 0.2), is below 1e-19 for the
// σ ≤ 0.016 of MaxGeodesicM: nothing in float64.
func geodesicIntegrals(sinB1, cosB1cosA1, sigma float64) (length, longitude float64) {
	const (
		middleWeight = 8.0 / 9
		outerWeight  = 5.0 / 9
		ePrime2      = eccentricitySquared / (1 - eccentricitySquared)
	)
	node := math.Sqrt(0.6)
	for _, point := range [...]struct{ at, weight float64 }{{-node, outerWeight}, {0, middleWeight}, {node, outerWeight}} {
		sinT, cosT := elementary.Sincos(sigma / 2 * (1 + point.at))
		sinB := float64(sinB1*cosT) + float64(cosB1cosA1*sinT)
		g := math.Sqrt(1 + float64(ePrime2*sinB*sinB))
		length += float64(point.weight * g)
		longitude += point.weight * (2 - flattening) / (1 + float64((1-flattening)*g))
	}
	return sigma / 2 * length, sigma / 2 * longitude
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
// with the mean of 1/R_α at the two ends. It is the surveyor's reduction to the
// ellipsoid, s = S·R/(R+h), read the other way (NOAA Manual NOS NGS 5, State
// Plane Coordinate System of 1983, on the reduction of measured distances). The
// ellipsoid distance alone is too short by 16 mm in 1 km at 100 m height and by
// 78 mm at 500 m. Left out are the twist of the normals, which lengthens the
// line by (h e² cos²φ / 2R)²/2 < 4e-12 of itself at 5000 m, and the curvature's
// change along the line, s³ h e²/(6R³) < 3e-7 m at 20 km and 3e-5 m at 100 km,
// both at 5000 m.
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
	return s * (1 + float64(heightM*curvature))
}

// normalCurvature is 1/R_α in 1/metre by Euler's formula.
func normalCurvature(sinLatitude, azimuth float64) float64 {
	sin, cos := elementary.Sincos(azimuth)
	return cos*cos/meridianRadius(sinLatitude) + sin*sin/primeVerticalRadius(sinLatitude)
}
