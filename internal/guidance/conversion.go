package guidance

// The conversion from fixes to the local frame: its coefficients, its scales, and
// the proof of its bound.
//
// The exact conversion at the height h of the frame's origin is, with φ the
// latitude, v the longitude less that of the origin, index 0 for the origin
// (IOGP Guidance Note 7-2, methods 9836 and 9837),
//
//	p(φ) = (N+h) cos φ         z(φ) = (N(1-e²)+h) sin φ        N = a/sqrt(1-e² sin²φ)
//	east  = p(φ) sin v
//	north = -sin φ0 (p(φ) cos v - p(φ0)) + cos φ0 (z(φ) - z(φ0))
//
// Expanded in u = φ - φ0 and v this is a polynomial and a remainder. The board
// evaluates the leading terms in integers:
//
//	east:  v u^0..3, v³ u^0..1        north: u^1..3, v² u^0..2, v⁴
//
// The error is then the sum of three things, each bounded for every fix of the
// domain and not only for those tried:
//
//   - the terms left out: Taylor coefficients and Lagrange's remainder by
//     interval arithmetic (interval.go), the alternating series of sine and
//     cosine by their first term left out;
//   - the rounding of the coefficients to integers: the difference of the two,
//     exactly;
//   - the rounding of the products: each high word is too small by less than 1
//     unit. These errors are carried through the following products as
//     intervals. Since they all go one way, the constant coefficients are raised
//     by the middle of the interval, which halves them at no cost.

import (
	"errors"
	"fmt"
	"math"

	"merestone/internal/board"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
)

// Domain is a box of the local frame in millimetres, all of which must be
// converted: fenced area, largest standoff, and 100 m.
type Domain struct{ WestMM, SouthMM, EastMM, NorthMM int64 }

const (
	ndegPerTurn = 360_000_000_000
	// goodBoundUM: the polynomial of least degree with a bound no larger than
	// this is chosen. Rounding to whole millimetres alone is sqrt(0.5²+0.5²) mm =
	// 708 µm.
	goodBoundUM = 730
	maxDegree   = 4
	// seriesTerms: Taylor coefficients up to u^6, and the remainder in u^7.
	seriesTerms = 8
)

// monomial is a term u^u v^v.
type monomial struct{ u, v int }

// The terms of the conversion, in the order of Conversion.East and North.
var (
	eastTerms  = [6]monomial{{0, 1}, {1, 1}, {2, 1}, {3, 1}, {0, 3}, {1, 3}}
	northTerms = [7]monomial{{1, 0}, {2, 0}, {3, 0}, {0, 2}, {1, 2}, {2, 2}, {0, 4}}
)

func (m monomial) degree() int { return m.u + m.v }

// FitConversion computes the conversion of a site and proves its bound. The
// domain is covered by a range of latitudes and longitudes, for all of which the
// bound holds.
//
// It returns an error for a domain that is empty or does not contain the origin,
// reaches beyond board.MaxReachMM, comes too near a pole, or is too wide for 32-bit
// differences of longitude (±1.07 degrees; ±20 km stay within it up to 80 degrees of
// latitude).
func FitConversion(frame geodesy.Frame, domain Domain) (Conversion, error) {
	if err := domain.check(); err != nil {
		return Conversion{}, err
	}
	c, err := coverDomain(frame, domain)
	if err != nil {
		return Conversion{}, err
	}
	exact := expand(frame.Origin(), c)
	best := Conversion{}
	for degree := 1; degree <= maxDegree; degree++ {
		fitted, err := c.withCoefficients(exact, degree)
		if err != nil {
			return Conversion{}, err
		}
		if best.BoundUM == 0 || fitted.BoundUM < best.BoundUM {
			best = fitted
		}
		if best.BoundUM <= goodBoundUM {
			break
		}
	}
	return best, nil
}

func (d Domain) check() error {
	const limit = board.MaxReachMM
	switch {
	case d.WestMM > 0 || d.EastMM < 0 || d.SouthMM > 0 || d.NorthMM < 0 || d.WestMM == d.EastMM || d.SouthMM == d.NorthMM:
		return errors.New("the domain of the conversion must have an area and contain the origin")
	case d.WestMM < -limit || d.EastMM > limit || d.SouthMM < -limit || d.NorthMM > limit:
		return fmt.Errorf("the domain of the conversion reaches beyond %d m from the origin", limit/1000)
	}
	return nil
}

// coverDomain finds the latitudes and longitudes that the domain spans, by walking
// its rim (which has the extremes) in steps, and adds a centimetre or so for what
// lies between the steps: a rim of 40 km walked in 128 steps of 312 m bends by no
// more than 312²/(8·R·cos φ) m, 1.1 cm at 80 degrees.
func coverDomain(frame geodesy.Frame, d Domain) (Conversion, error) {
	const steps, slack = 128, 1_000 // ndeg: 11 cm of latitude, 2 cm of longitude at 80 degrees
	origin := frame.Origin()
	var south, north, west, east int64
	visit := func(eastMM, northMM float64) {
		g := frame.AtHeight(eastMM/1000, northMM/1000, origin.HeightM)
		latitude := int64(g.Latitude - origin.Latitude)
		longitude := wrapTurn(int64(g.Longitude - origin.Longitude))
		south, north = min(south, latitude), max(north, latitude)
		west, east = min(west, longitude), max(east, longitude)
	}
	for i := range steps + 1 {
		t := float64(i) / steps
		e := float64(d.WestMM) + float64(t*float64(d.EastMM-d.WestMM))
		n := float64(d.SouthMM) + float64(t*float64(d.NorthMM-d.SouthMM))
		visit(e, float64(d.SouthMM))
		visit(e, float64(d.NorthMM))
		visit(float64(d.WestMM), n)
		visit(float64(d.EastMM), n)
	}
	visit(0, float64(d.SouthMM)) // where a parallel comes nearest to the rim
	visit(0, float64(d.NorthMM))
	south, north, west, east = south-slack, north+slack, west-slack, east+slack

	const limit = math.MaxInt32
	switch {
	case east-west > limit || -west > limit || east > limit:
		return Conversion{}, fmt.Errorf("the domain spans %.3f degrees of longitude, more than %.3f; at latitude %s it must be narrower",
			float64(east-west)/1e9, float64(limit)/1e9, origin.Latitude)
	case int64(origin.Latitude)+north > ndegPerTurn/4 || int64(origin.Latitude)+south < -ndegPerTurn/4:
		return Conversion{}, errors.New("the domain of the conversion reaches over a pole")
	}
	return Conversion{
		OriginLatitudeNdeg:  int64(origin.Latitude),
		OriginLongitudeNdeg: int64(origin.Longitude),
		SouthNdeg:           int64(origin.Latitude) + south,
		WestNdeg:            wrapTurn(int64(origin.Longitude) + west),
		LatitudeSpanNdeg:    uint32(north - south),
		LongitudeSpanNdeg:   uint32(east - west),
		SouthFromOriginNdeg: int32(south),
		WestFromOriginNdeg:  int32(west),
	}, nil
}

// wrapTurn brings a difference of longitudes to -180 up to, but not including,
// 180 degrees.
func wrapTurn(ndeg int64) int64 {
	for ndeg < -ndegPerTurn/2 {
		ndeg += ndegPerTurn
	}
	for ndeg >= ndegPerTurn/2 {
		ndeg -= ndegPerTurn
	}
	return ndeg
}

// reach are the largest |u| and |v| of the domain in nanodegrees.
func (c *Conversion) reach() (u, v float64) {
	north := int64(c.SouthFromOriginNdeg) + int64(c.LatitudeSpanNdeg)
	east := int64(c.WestFromOriginNdeg) + int64(c.LongitudeSpanNdeg)
	return float64(max(-int64(c.SouthFromOriginNdeg), north)), float64(max(-int64(c.WestFromOriginNdeg), east))
}

// expansion is the exact conversion as polynomials in nanodegrees with values in
// millimetres. A rest bounds everything that has no coefficient.
type expansion struct {
	east, north         map[monomial]interval
	eastRest, northRest float64
}

// expand computes the Taylor coefficients about the origin.
func expand(origin geodesy.Geodetic, c Conversion) expansion {
	radian := piInterval().div(exactly(180e9)) // per nanodegree
	latitude := radian.mul(exactly(float64(origin.Latitude)))
	reachU, reachV := c.reach()
	u := radian.mul(exactly(reachU))
	v := radian.mul(exactly(reachV))
	around := latitude.add(interval{-u.hi, u.hi})

	p, z := axisSeries(latitude, origin.HeightM)
	pRest, zRest := axisSeries(around, origin.HeightM)
	sin, cos := latitude.sinCos()
	const top = seriesTerms - 1 // degree of the remainder

	e := expansion{east: map[monomial]interval{}, north: map[monomial]interval{}}
	// sin v = v - v³/6 + v⁵/120 - ..., cos v = 1 - v²/2 + v⁴/24 - v⁶/720 + ...
	sine := map[int]interval{1: exactly(1), 3: exactly(-1).div(exactly(6)), 5: exactly(1).div(exactly(120))}
	cosine := map[int]interval{0: exactly(1), 2: exactly(-0.5), 4: exactly(1).div(exactly(24))}
	for k := range top {
		for j, s := range sine {
			e.east[monomial{k, j}] = p[k].mul(s)
		}
		for j, s := range cosine {
			term := p[k].mul(s).mul(sin).neg()
			if j == 0 {
				term = term.add(z[k].mul(cos))
			}
			e.north[monomial{k, j}] = term
		}
	}
	delete(e.north, monomial{0, 0}) // the origin itself, taken off exactly

	// What is beyond: p and z beyond u^6 by Lagrange, sine beyond v^5 and cosine
	// beyond v^4 by the next term of the alternating series; |sin v| ≤ |v|,
	// |cos v| ≤ 1.
	size := func(a interval, n int) float64 { return a.power(n).hi }
	pWhole := exactly(0)
	for k := range top {
		pWhole = pWhole.add(exactly(p[k].magnitude()).mul(exactly(size(u, k))))
	}
	pBeyond := float64(pRest[top].magnitude() * size(u, top))
	zBeyond := float64(zRest[top].magnitude() * size(u, top))
	const roundUp = 1 + 1e-12 // for the few roundings of these last sums
	e.eastRest = (pWhole.hi*size(v, 7)/5040 + float64(pBeyond*v.hi)) * roundUp
	e.northRest = (float64(sin.magnitude()*(pWhole.hi*size(v, 6)/720+pBeyond)) + float64(cos.magnitude()*zBeyond)) * roundUp

	// From radians and metres to nanodegrees and millimetres.
	for _, terms := range []map[monomial]interval{e.east, e.north} {
		for m, coefficient := range terms {
			terms[m] = coefficient.mul(radian.power(m.degree())).mul(exactly(1000))
		}
	}
	e.eastRest *= 1000
	e.northRest *= 1000
	return e
}

// axisSeries are the series of p and z in metres over the latitudes given.
func axisSeries(latitude interval, heightM float64) (p, z series) {
	flattening := exactly(1).div(interval{
		math.Nextafter(geodesy.InverseFlattening, 0), math.Nextafter(geodesy.InverseFlattening, 1000),
	}) // the decimal constant lies within
	eccentricity := flattening.mul(exactly(2).sub(flattening)) // squared
	sin, cos := sinCosSeries(latitude, seriesTerms)
	root := sin.mul(sin).scale(eccentricity.neg())
	root[0] = root[0].add(exactly(1))
	n := root.inverseRoot().scale(exactly(geodesy.SemiMajorAxisM))

	height := make(series, seriesTerms)
	height[0] = exactly(heightM)
	p = n.add(height).mul(cos)
	z = n.scale(exactly(1).sub(eccentricity)).add(height).mul(sin)
	return p, z
}

// withCoefficients rounds the coefficients up to a degree to the board's integers
// and bounds the error.
func (c Conversion) withCoefficients(exact expansion, degree int) (Conversion, error) {
	c.Degree = uint16(degree)
	c.EastShift = shiftFor(exact.east, eastTerms[:], degree)
	c.NorthShift = shiftFor(exact.north, northTerms[:], degree)
	for i, term := range eastTerms {
		if term.degree() <= degree {
			c.East[i] = quantise(exact.east[term], scaleLog2(term, c.EastShift))
		}
	}
	for i, term := range northTerms {
		if term.degree() <= degree {
			c.North[i] = quantise(exact.north[term], scaleLog2(term, c.NorthShift))
		}
	}
	// The rounding of the products does not depend on the constant coefficients,
	// which are raised by its middle.
	t, err := c.trace()
	if err != nil {
		return Conversion{}, err
	}
	c.East[0] -= int32(math.Round(t.byEast.err.middle()))
	c.North[0] -= int32(math.Round(t.byNorth.err.middle()))
	c.North[3] -= int32(math.Round(t.bySquare.err.middle()))
	if t, err = c.trace(); err != nil {
		return Conversion{}, err
	}

	const toNearest = 0.5 // mm, the last rounding of each axis
	east := toNearest + exact.eastRest + c.deviation(exact.east, eastTerms[:], c.East[:], c.EastShift,
		map[monomial]interval{eastTerms[0]: t.byEast.err})
	// In north, w = v²/2^32 was itself rounded down, by up to 1.
	square := math.Ldexp(t.bySquare.value.magnitude(), -32-int(c.NorthShift))
	north := toNearest + exact.northRest + square + c.deviation(exact.north, northTerms[:], c.North[:], c.NorthShift,
		map[monomial]interval{northTerms[0]: t.byNorth.err, northTerms[3]: t.bySquare.err})
	bound := float64(elementary.Hypot(east, north) * 1000)
	const evaluation = 0.001 // µm: the roundings of the last sums in float64, 1e-12 of them
	if !(bound < 1e9) {
		return Conversion{}, errors.New("the conversion cannot be bounded over this domain")
	}
	c.BoundUM = uint32(math.Ceil(bound + evaluation))
	return c, nil
}

// scaleLog2 is the binary logarithm of the scale of a coefficient: 32 + shift for
// the last product, and 32 for each product (mere_high) before it.
func scaleLog2(term monomial, shift uint8) int { return 32*term.degree() + int(shift) }

// shiftFor is the largest shift that keeps every coefficient up to a degree, at its
// scale, below 2^31 - 2^8; at least 1. In most places that of the last product
// decides: at the equator 0.111 mm a nanodegree gives 2, and 0.0193 east at 80 degrees
// gives 4. Beyond 85.99 degrees the change of east with latitude does, which does not
// vanish towards the pole as east[0] does: 1.9e-12 at 89 degrees gives 5, and
// east[0] alone would give 8.
func shiftFor(exact map[monomial]interval, terms []monomial, degree int) uint8 {
	fits := func(shift uint8) bool {
		for _, term := range terms {
			if term.degree() <= degree && math.Ldexp(exact[term].magnitude(), scaleLog2(term, shift)) >= math.MaxInt32-255 {
				return false
			}
		}
		return true
	}
	shift := uint8(1)
	for shift < 16 && fits(shift+1) {
		shift++
	}
	return shift
}

// quantise rounds to the nearest integer. A coefficient that does not fit is
// caught by trace, since then its square with the domain does not either; here it
// is only kept from wrapping.
func quantise(coefficient interval, scaleLog2 int) int32 {
	value := math.Round(math.Ldexp(coefficient.middle(), scaleLog2))
	return int32(min(max(value, math.MinInt32), math.MaxInt32))
}

// deviation bounds, in millimetres, the distance between the exact polynomial and
// that with the rounded coefficients, over the domain: the sum of |difference of
// coefficients| times the largest size of the term. Errors of evaluation, in units
// of a coefficient, are added to their coefficient's.
func (c *Conversion) deviation(exact map[monomial]interval, terms []monomial, rounded []int32, shift uint8,
	evaluation map[monomial]interval) float64 {
	u, v := c.reach()
	held := map[monomial]int32{}
	for i, term := range terms {
		held[term] = rounded[i]
	}
	sum := 0.0
	for term, coefficient := range exact {
		scale := -scaleLog2(term, shift)
		difference := exactly(float64(held[term])).times2(scale).sub(coefficient)
		difference = difference.add(evaluation[term].times2(scale))
		sum += float64(difference.magnitude() * elementary.Power(u, term.u) * elementary.Power(v, term.v))
	}
	return sum
}

// tracked is a number of the board's evaluation over the whole domain: the range
// of its value, and the range of its error, which is its value less what it would
// be without rounding.
type tracked struct{ value, err interval }

// trail follows Conversion.Local with ranges in place of numbers.
type trail struct {
	byEast, byNorth, bySquare tracked
	overflow                  error
}

func (t *trail) check(what string, value interval, limit float64) {
	if t.overflow == nil && !(value.lo >= -limit && value.hi <= limit-1) {
		t.overflow = fmt.Errorf("conversion: %s reaches %g, beyond ±%g", what, value.magnitude(), limit)
	}
}

// high is mere_high: the product in 64 bits, of which the high word, rounded down,
// is kept.
//
//	a b - a' b' = (a - a') b + a' (b - b')
func (t *trail) high(what string, a, b tracked) tracked {
	product := a.value.mul(b.value)
	t.check(what+" (product)", product, 1<<63)
	down := interval{-1, 0}
	unrounded := a.value.sub(a.err)
	return tracked{
		value: product.times2(-32).add(down),
		err:   a.err.mul(b.value).add(unrounded.mul(b.err)).times2(-32).add(down),
	}
}

// plus adds a coefficient.
func (t *trail) plus(what string, coefficient int32, a tracked) tracked {
	sum := tracked{a.value.add(exactly(float64(coefficient))), a.err}
	t.check(what, sum.value, 1<<31)
	return sum
}

// trace follows the evaluation over the whole domain. It returns an error when an
// intermediate result could overflow, or the outcome be beyond MaxDomainMM.
func (c *Conversion) trace() (trail, error) {
	t := &trail{}
	u := tracked{value: interval{float64(c.SouthFromOriginNdeg),
		float64(int64(c.SouthFromOriginNdeg) + int64(c.LatitudeSpanNdeg))}}
	v := tracked{value: interval{float64(c.WestFromOriginNdeg),
		float64(int64(c.WestFromOriginNdeg) + int64(c.LongitudeSpanNdeg))}}
	t.check("u", u.value, 1<<31)
	t.check("v", v.value, 1<<31)
	w := t.high("w", v, v)
	w.value.lo = 0 // a square

	a := t.plus("east[2]", c.East[2], t.high("east[3] u", constant(c.East[3]), u))
	a = t.plus("east[1]", c.East[1], t.high("east[2] u", a, u))
	a = t.plus("east[0]", c.East[0], t.high("east[1] u", a, u))
	b := t.plus("east[4]", c.East[4], t.high("east[5] u", constant(c.East[5]), u))
	t.byEast = t.sum("east", a, t.high("east[4] w", b, w))

	a = t.plus("north[1]", c.North[1], t.high("north[2] u", constant(c.North[2]), u))
	t.byNorth = t.plus("north[0]", c.North[0], t.high("north[1] u", a, u))
	b = t.plus("north[4]", c.North[4], t.high("north[5] u", constant(c.North[5]), u))
	b = t.plus("north[3]", c.North[3], t.high("north[4] u", b, u))
	t.bySquare = t.sum("north", b, t.high("north[6] w", constant(c.North[6]), w))

	// The last products, their sum, and the rounding to millimetres.
	east := t.byEast.value.mul(v.value)
	north := t.byNorth.value.mul(u.value).add(t.bySquare.value.mul(w.value))
	t.check("east, last product", east, 1<<62)
	t.check("north, last sum", north, 1<<62)
	t.check("east, rounding", east.times2(-32).add(exactly(math.Ldexp(1, int(c.EastShift)-1))), 1<<31)
	t.check("north, rounding", north.times2(-32).add(exactly(math.Ldexp(1, int(c.NorthShift)-1))), 1<<31)
	t.check("east", east.times2(-32-int(c.EastShift)), MaxDomainMM)
	t.check("north", north.times2(-32-int(c.NorthShift)), MaxDomainMM)
	return *t, t.overflow
}

func constant(coefficient int32) tracked { return tracked{value: exactly(float64(coefficient))} }

func (t *trail) sum(what string, a, b tracked) tracked {
	sum := tracked{a.value.add(b.value), a.err.add(b.err)}
	t.check(what, sum.value, 1<<31)
	return sum
}
