// From the grid of the Universal Transverse Mercator to latitude and longitude.
//
// The inverse of the transverse Mercator projection by the series of Krüger in the third
// flattening n = f/(2-f), to the sixth order: C. F. F. Karney, "Transverse Mercator with an
// accuracy of a few nanometers", Journal of Geodesy 85 (2011), 475-485, equations (7) to
// (9), (11), (14), (15) and (19) to (21), and (36) for the coefficients. Those are from
// memory, and held by a test to 1e-6 m of PROJ, all over the zones; a wrong digit of any of
// them that matters there would show.
//
// The grid: 60 zones of 6° from 180° W, the scale 0.9996 on the middle meridian of each,
// 500 km added to the east and, south of the equator, 10,000 km to the north (NGA.SIG.0012,
// from memory). Here it is that of WGS 84 and of no other datum.
package geodesy

import (
	"errors"
	"fmt"
	"math"

	"merestone/internal/elementary"
)

// Zone is a zone of the UTM grid on one side of the equator.
type Zone struct {
	Number int // 1 to 60
	South  bool
}

// Limits of what is taken for a place in a zone, in metres: a zone is at most 668 km wide, at the equator,
// and places that belong to a neighbouring one are often given in it.
const (
	minEastingM, maxEastingM = 100_000, 900_000
	maxNorthingM             = 10_000_000
)

// ParseZone reads a zone as "33N" or "33S": N and S are the two sides of the equator.
func ParseZone(text string) (Zone, error) {
	var z Zone
	var letter byte
	if n, err := fmt.Sscanf(text, "%d%c", &z.Number, &letter); n != 2 || err != nil || text != fmt.Sprintf("%d%c", z.Number, letter) && text != fmt.Sprintf("%02d%c", z.Number, letter) || letter != 'N' && letter != 'S' {
		return Zone{}, fmt.Errorf("a zone of UTM is written as 33N, or 33S south of the equator, but is %q", shorten(text))
	}
	if z.Number < 1 || z.Number > 60 {
		return Zone{}, fmt.Errorf("the zones of UTM are 1 to 60, and there is no %d", z.Number)
	}
	z.South = letter == 'S'
	return z, nil
}

// String names the zone so that S cannot be taken for a band of latitude.
func (z Zone) String() string {
	side := "northern"
	if z.South {
		side = "southern"
	}
	return fmt.Sprintf("zone %d, %s hemisphere", z.Number, side)
}

// MiddleMeridian is that of the zone: -180° + 6°·number - 3°.
func (z Zone) MiddleMeridian() Nanodegree { return Nanodegree(6*z.Number-183) * Degree }

// InGrid reports whether numbers can be easting and northing of a zone.
func InGrid(eastingM, northingM float64) bool {
	return eastingM >= minEastingM && eastingM <= maxEastingM && northingM >= 0 && northingM <= maxNorthingM
}

// FromUTM is the place of an easting and a northing, in metres, rounded to nanodegrees.
func FromUTM(z Zone, eastingM, northingM float64) (latitude, longitude Nanodegree, err error) {
	if !InGrid(eastingM, northingM) {
		return 0, 0, errors.New("no place of a zone: an easting lies from 100 to 900 km, a northing from 0 to 10,000 km")
	}
	lat, lon := z.unproject(eastingM, northingM)
	if math.Abs(lat) > math.Pi/2*84/90 {
		return 0, 0, errors.New("it would lie north or south of 84 degrees, where the grid ends")
	}
	return Nanodegree(math.RoundToEven(lat / radiansPerNanodegree)),
		wrapTurn(z.MiddleMeridian() + Nanodegree(math.RoundToEven(lon/radiansPerNanodegree))), nil
}

// unproject gives the latitude, and the longitude from the middle meridian, in radians.
//
//	ξ = N/(k0 A), η = E/(k0 A)
//	ξ' = ξ - Σ βj sin 2jξ cosh 2jη,  η' = η - Σ βj cos 2jξ sinh 2jη
//	tan χ = sin ξ' / √(sinh²η' + cos²ξ'),  tan λ = sinh η' / cos ξ'
//
// and the latitude from the conformal latitude χ.
func (z Zone) unproject(eastingM, northingM float64) (latitude, longitude float64) {
	const scale, falseEasting, falseNorthing = 0.9996, 500_000, 10_000_000
	if z.South {
		northingM -= falseNorthing
	}
	n := flattening / (2 - flattening)
	radius := SemiMajorAxisM / (1 + n) * polynomial(n*n, 1, 1.0/4, 1.0/64, 1.0/256)
	xi, eta := northingM/(scale*radius), (eastingM-falseEasting)/(scale*radius)
	xiOf, etaOf := xi, eta
	for j, beta := range krueger(n) {
		twice := float64(2 * (j + 1))
		sin, cos := elementary.Sincos(twice * xi)
		sinh, cosh := hyperbolic(twice * eta)
		xiOf -= float64(beta * sin * cosh)
		etaOf -= float64(beta * cos * sinh)
	}
	sin, cos := elementary.Sincos(xiOf)
	sinh, _ := hyperbolic(etaOf)
	return elementary.Atan2(tangentOf(sin/elementary.Hypot(sinh, cos)), 1), elementary.Atan2(sinh, cos)
}

// krueger are the coefficients β1 to β6, equation (36).
func krueger(n float64) [6]float64 {
	return [...]float64{
		n * polynomial(n, 1.0/2, -2.0/3, 37.0/96, -1.0/360, -81.0/512, 96199.0/604800),
		n * n * polynomial(n, 1.0/48, 1.0/15, -437.0/1440, 46.0/105, -1118711.0/3870720),
		n * n * n * polynomial(n, 17.0/480, -37.0/840, -209.0/4480, 5569.0/90720),
		n * n * n * n * polynomial(n, 4397.0/161280, -11.0/504, -830251.0/7257600),
		n * n * n * n * n * polynomial(n, 4583.0/161280, -108847.0/3991680),
		n * n * n * n * n * n * 20648693.0 / 638668800,
	}
}

// polynomial is c0 + c1·x + c2·x² ...
func polynomial(x float64, coefficients ...float64) float64 {
	sum := 0.0
	for i := len(coefficients) - 1; i >= 0; i-- {
		sum = coefficients[i] + float64(x*sum)
	}
	return sum
}

// tangentOf is the tangent τ of the latitude whose conformal latitude has the tangent τ',
// equations (7) to (9) solved for τ by Newton's method, (19) to (21):
//
//	τ' = τ√(1+σ²) - σ√(1+τ²),  σ = sinh(e·atanh(e·τ/√(1+τ²)))
//
// Its error squares at each step, from at most e² at the first: four are enough for 1e-16.
func tangentOf(conformal float64) float64 {
	e := math.Sqrt(eccentricitySquared)
	tau := conformal / (1 - eccentricitySquared)
	for range 5 {
		secant := elementary.Hypot(1, tau)
		ratio := e * tau / secant
		sigma, _ := hyperbolic(e * (elementary.Log((1+ratio)/(1-ratio)) / 2))
		is := float64(tau*elementary.Hypot(1, sigma)) - float64(sigma*secant)
		slope := (1 + float64((1-eccentricitySquared)*tau*tau)) / ((1 - eccentricitySquared) * secant)
		tau += float64((conformal - is) / elementary.Hypot(1, is) * slope)
	}
	return tau
}

// hyperbolic gives sinh x and cosh x for |x| < 20. Near zero, where eˣ - e⁻ˣ loses digits,
// sinh is its series up to x^11/11!, of which the next term is below 1e-16 of x.
func hyperbolic(x float64) (sinh, cosh float64) {
	up := elementary.Exp(x)
	down := 1 / up
	if math.Abs(x) < 0.5 {
		z := float64(x * x)
		return x * polynomial(z, 1, 1.0/6, 1.0/120, 1.0/5040, 1.0/362880, 1.0/39916800), (up + down) / 2
	}
	return (up - down) / 2, (up + down) / 2
}
