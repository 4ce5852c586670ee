// The sum of spherical harmonics that turns the model's coefficients into a
// field vector: WMM technical report, section 1.2. In short: the geodetic
// position becomes a geocentric one (latitude φ′ and distance r), the harmonics
// are summed there, and the vector is turned back into the local north, east
// and down.
package magnetic

import (
	"math"

	"merestone/internal/elementary"
)

// WGS 84 in metres: semi-major axis and flattening; and the model's reference
// radius, which is its own and not the ellipsoid's. WMM technical report,
// section 1.2.
const (
	semiMajorM       = 6_378_137.0
	flattening       = 1 / 298.257223563
	referenceRadiusM = 6_371_200.0
)

// vector is a field, in nT, or its change, in nT a year, along three axes.
type vector struct {
	north, east, down float64
}

// field returns the field and its yearly change at a geodetic position in
// radians and metres, in the local geodetic axes.
func (m model) field(latitude, longitude, heightM, year float64) (now, rate vector) {
	geocentric, radiusM := geocentric(latitude, heightM)
	p := newHarmonics(geocentric, longitude, radiusM)
	g, h := m.at(year)
	turn := geocentric - latitude
	return p.sum(&g, &h).tilt(turn), p.sum(&m.gDot, &m.hDot).tilt(turn)
}

// geocentric returns the geocentric latitude in radians and the distance from
// the earth's centre in metres of a geodetic latitude and height.
func geocentric(latitude, heightM float64) (latitudePrime, radiusM float64) {
	const e2 = flattening * (2 - flattening)
	sin, cos := elementary.Sincos(latitude)
	curvature := semiMajorM / math.Sqrt(1-float64(e2*sin*sin))
	p := (curvature + heightM) * cos
	z := (float64(curvature*(1-e2)) + heightM) * sin
	return elementary.Atan2(z, p), elementary.Hypot(p, z)
}

// tilt turns a vector from geocentric north and down to geodetic ones; turn is
// the geocentric less the geodetic latitude.
func (v vector) tilt(turn float64) vector {
	sin, cos := elementary.Sincos(turn)
	return vector{
		north: float64(v.north*cos) - float64(v.down*sin),
		east:  v.east,
		down:  float64(v.north*sin) + float64(v.down*cos),
	}
}

// harmonics holds all that the sums need at one place, for each degree n and
// order m.
type harmonics struct {
	// p is the Schmidt semi-normalised associated Legendre function of sin φ′
	// and dp its derivative with respect to φ′.
	p, dp gauss
	// pByCos is p/cos φ′ for m > 0, which the east component needs. It is
	// carried by a recursion of its own, so that no place is a special case:
	// at a pole p and cos φ′ both vanish, but their ratio does not.
	pByCos gauss
	// radial is (a/r)^(n+2).
	radial [degree + 1]float64
	// cos and sin are those of m times the longitude.
	cos, sin [degree + 1]float64
}

// newHarmonics evaluates the functions at a geocentric latitude and a longitude
// in radians and a distance in metres. With s = sin φ′, c = cos φ′:
//
//	P(0,0) = 1, P(1,1) = c, P(n,n) = √((2n-1)/2n) c P(n-1,n-1)
//	√(n²-m²) P(n,m) = (2n-1) s P(n-1,m) - √((n-1)²-m²) P(n-2,m)
//
// (the standard recursion with the Schmidt norm worked in; from memory, and
// proved by the values checked in the tests). The derivatives follow by the
// product rule, the ratios P/c by leaving one c out.
func newHarmonics(latitudePrime, longitude, radiusM float64) harmonics {
	var f harmonics
	s, c := elementary.Sincos(latitudePrime)
	for m := range f.cos {
		f.sin[m], f.cos[m] = elementary.Sincos(float64(m) * longitude)
	}
	for n := range f.radial {
		f.radial[n] = elementary.Power(referenceRadiusM/radiusM, n+2)
	}
	f.p[0][0] = 1
	for n := 1; n <= degree; n++ {
		// The diagonal, n = m.
		norm := 1.0
		if n > 1 {
			norm = math.Sqrt(float64(2*n-1) / float64(2*n))
		}
		f.p[n][n] = norm * c * f.p[n-1][n-1]
		f.dp[n][n] = norm * (float64(c*f.dp[n-1][n-1]) - float64(s*f.p[n-1][n-1]))
		f.pByCos[n][n] = norm * f.p[n-1][n-1]
		for m := 0; m < n; m++ {
			a := float64(2*n - 1)
			b := math.Sqrt(float64((n-1)*(n-1) - m*m)) // 0 while n-2 < m
			before := max(n-2, 0)
			d := math.Sqrt(float64(n*n - m*m))
			f.p[n][m] = (float64(a*s*f.p[n-1][m]) - float64(b*f.p[before][m])) / d
			f.dp[n][m] = (float64(a*(float64(c*f.p[n-1][m])+float64(s*f.dp[n-1][m]))) - float64(b*f.dp[before][m])) / d
			if m > 0 {
				f.pByCos[n][m] = (float64(a*s*f.pByCos[n-1][m]) - float64(b*f.pByCos[before][m])) / d
			}
		}
	}
	return f
}

// sum returns the field of coefficients g and h in geocentric axes,
// or its yearly change when given those of the change.
func (f *harmonics) sum(g, h *gauss) vector {
	var v vector
	for n := 1; n <= degree; n++ {
		var north, east, down float64
		for m := 0; m <= n; m++ {
			inPhase := float64(g[n][m]*f.cos[m]) + float64(h[n][m]*f.sin[m])
			quadrature := float64(g[n][m]*f.sin[m]) - float64(h[n][m]*f.cos[m])
			north -= float64(inPhase * f.dp[n][m])
			east += float64(float64(m) * quadrature * f.pByCos[n][m])
			down -= float64(float64(n+1) * inPhase * f.p[n][m])
		}
		v.north += float64(f.radial[n] * north)
		v.east += float64(f.radial[n] * east)
		v.down += float64(f.radial[n] * down)
	}
	return v
}
