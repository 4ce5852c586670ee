// A slow, exact reference for the frame: the textbook form of IOGP method 9837
// in 320-bit arithmetic, so that cancellation does not matter. It shares no
// formula and no float64 with the code it judges.
package geodesy

import "math/big"

const referenceBits = 320

func bigInt(n int64) *big.Float { return new(big.Float).SetPrec(referenceBits).SetInt64(n) }
func bigOf(x float64) *big.Float {
	return new(big.Float).SetPrec(referenceBits).SetFloat64(x)
}
func add(a, b *big.Float) *big.Float { return new(big.Float).Add(a, b) }
func sub(a, b *big.Float) *big.Float { return new(big.Float).Sub(a, b) }
func mul(a, b *big.Float) *big.Float { return new(big.Float).Mul(a, b) }
func quo(a, b *big.Float) *big.Float { return new(big.Float).Quo(a, b) }

// bigPi is π by Machin's formula, 16 arctan(1/5) - 4 arctan(1/239).
var bigPi = sub(mul(bigInt(16), bigArctanInverse(5)), mul(bigInt(4), bigArctanInverse(239)))

func bigArctanInverse(n int64) *big.Float {
	sum, power := bigInt(0), quo(bigInt(1), bigInt(n))
	for k := int64(0); k < 160; k++ {
		term := quo(power, bigInt(2*k+1))
		if k%2 == 1 {
			term.Neg(term)
		}
		sum = add(sum, term)
		power = quo(power, bigInt(n*n))
	}
	return sum
}

func bigRadians(n Nanodegree) *big.Float {
	return quo(mul(bigInt(int64(n)), bigPi), bigInt(int64(halfTurn)))
}

// bigSinCos sums the power series; with |x| ≤ π the 80th term is below 2^-600.
func bigSinCos(x *big.Float) (sin, cos *big.Float) {
	sin, cos = bigInt(0), bigInt(0)
	term := bigInt(1)
	for k := int64(0); k < 80; k++ {
		signed := new(big.Float).Set(term)
		if k%4 >= 2 {
			signed.Neg(signed)
		}
		if k%2 == 0 {
			cos = add(cos, signed)
		} else {
			sin = add(sin, signed)
		}
		term = quo(mul(term, x), bigInt(k+1))
	}
	return sin, cos
}

// referenceToLocal is ToLocal by geocentric coordinates.
func referenceToLocal(origin, point Geodetic) (east, north, up *big.Float) {
	// f = 1e9 / 298257223563 exactly.
	f := quo(bigInt(1_000_000_000), bigInt(298_257_223_563))
	e2 := mul(f, sub(bigInt(2), f))
	geocentric := func(g Geodetic) (x, y, z *big.Float) {
		sinLat, cosLat := bigSinCos(bigRadians(g.Latitude))
		sinLon, cosLon := bigSinCos(bigRadians(g.Longitude))
		w := new(big.Float).Sqrt(sub(bigInt(1), mul(e2, mul(sinLat, sinLat))))
		n := quo(bigInt(6378137), w)
		h := bigOf(g.HeightM)
		p := mul(add(n, h), cosLat)
		return mul(p, cosLon), mul(p, sinLon), mul(add(mul(n, sub(bigInt(1), e2)), h), sinLat)
	}
	x0, y0, z0 := geocentric(origin)
	x, y, z := geocentric(point)
	dx, dy, dz := sub(x, x0), sub(y, y0), sub(z, z0)
	sinLat, cosLat := bigSinCos(bigRadians(origin.Latitude))
	sinLon, cosLon := bigSinCos(bigRadians(origin.Longitude))
	outward := add(mul(cosLon, dx), mul(sinLon, dy)) // away from the axis, in the origin's meridian
	east = sub(mul(cosLon, dy), mul(sinLon, dx))
	north = sub(mul(cosLat, dz), mul(sinLat, outward))
	up = add(mul(cosLat, outward), mul(sinLat, dz))
	return east, north, up
}

// differs is |value - exact| as a float64.
func differs(value float64, exact *big.Float) float64 {
	d, _ := sub(bigOf(value), exact).Float64()
	if d < 0 {
		return -d
	}
	return d
}
