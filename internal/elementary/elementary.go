// Package elementary has the functions of calculus that the standard library rounds
// differently from one processor to the next, by a unit or two in the last place:
// there a product may be fused with a sum, or a function be written in assembly.
// A mission must give the same bytes everywhere, so here every step is one that
// IEEE 754 rounds in one way: +, -, *, /, the square root, and float64(x*y) where a
// product meets a sum, which the language forbids to fuse.
//
// The results are within two units in the last place (elementary_test.go, against
// 200 bits). Arguments are those of a site: angles of a few turns, lengths whose
// squares are far from overflow.
package elementary

import "math"

// π/2 in parts: the first two have 33 bits, so that their products with the number
// of quarter turns are exact up to 2^20 of them (Cody and Waite's reduction).
const (
	quarterHigh   = 0x1.921fb544p+00
	quarterMiddle = 0x1.0b4611a6p-34
	quarterLow    = 0x1.3198a2e037073p-69
)

// Sincos is the sine and the cosine of an angle in radians, |x| < 2^20.
func Sincos(x float64) (sin, cos float64) {
	k := math.RoundToEven(x / (math.Pi / 2))
	high := x - float64(k*quarterHigh)
	middle := float64(k * quarterMiddle)
	y := high - middle
	// What the subtraction lost (exact, by Knuth's two-sum), and the last part.
	back := high - y
	rest := (back - middle) + ((high - (y + back)) - float64(k*quarterLow))
	s, c := sineNearZero(y, rest), cosineNearZero(y, rest)
	switch int64(k) & 3 {
	case 0:
		return s, c
	case 1:
		return c, -s
	case 2:
		return -s, -c
	default:
		return -c, s
	}
}

// sineNearZero is sin(x + rest) for |x| ≤ π/4 by Taylor's series; the first term
// left out, x^19/19!, is below 1e-18 of x.
func sineNearZero(x, rest float64) float64 {
	z := float64(x * x)
	sum := horner(z, 1.0/355687428096000, -1.0/1307674368000, 1.0/6227020800, -1.0/39916800, 1.0/362880, -1.0/5040, 1.0/120)
	// x - x³/6 + ..., the small terms first.
	cubic := float64(x * z)
	tail := float64(cubic*float64(z*sum)) + float64(rest*(1-float64(z/2)))
	return x + (tail - float64(cubic/6))
}

// cosineNearZero is cos(x + rest) for |x| ≤ π/4; the first term left out,
// x^18/18!, is below 3e-18.
func cosineNearZero(x, rest float64) float64 {
	z := float64(x * x)
	sum := horner(z, 1.0/20922789888000, -1.0/87178291200, 1.0/479001600, -1.0/3628800, 1.0/40320, -1.0/720, 1.0/24)
	half := float64(z / 2)
	w := 1 - half
	return w + (((1 - w) - half) + (float64(float64(z*z)*sum) - float64(x*rest)))
}

// horner is a polynomial, its highest coefficient first.
func horner(z float64, coefficients ...float64) float64 {
	sum := 0.0
	for _, c := range coefficients {
		sum = float64(sum*z) + c
	}
	return sum
}

// Sin is the sine of an angle in radians.
func Sin(x float64) float64 {
	sin, _ := Sincos(x)
	return sin
}

// Cos is the cosine of an angle in radians.
func Cos(x float64) float64 {
	_, cos := Sincos(x)
	return cos
}

// Tan is the tangent of an angle in radians.
func Tan(x float64) float64 {
	sin, cos := Sincos(x)
	return sin / cos
}

// Atan2 is the angle, from -π to π, of the point with these ordinate and abscissa.
func Atan2(y, x float64) float64 {
	a, b := math.Abs(y), math.Abs(x)
	var angle float64
	switch {
	case a == 0 && !math.Signbit(x): // of 0 and 0 as well, as C has it
		return y
	case a == 0:
		return math.Copysign(math.Pi, y)
	case a <= b:
		angle = atan(a, b)
		if x < 0 {
			angle = math.Pi - (angle - piRest)
		}
	case x < 0:
		angle = math.Pi/2 + (atan(b, a) + piRest/2)
	default:
		angle = math.Pi/2 - (atan(b, a) - piRest/2)
	}
	return math.Copysign(angle, y)
}

// piRest is π - math.Pi rounded to float64.
const piRest = 0x1.1a62633145c07p-53

// atan is the arctangent of a/b, 0 ≤ a ≤ b, 0 < b. With c the nearest eighth to a/b,
//
//	atan(a/b) = atan c + atan t,   t = (a - c b) / (b + c a),   |t| ≤ 1/16
//
// and the series of atan t up to t^15/15; the next term is below 1e-21 of t.
func atan(a, b float64) float64 {
	i := math.RoundToEven(8 * (a / b))
	c := i / 8
	// c is an eighth, so that these products are c's three bits longer than a and b.
	t := (a - float64(c*b)) / (b + float64(c*a))
	z := float64(t * t)
	sum := horner(z, -1.0/15, 1.0/13, -1.0/11, 1.0/9, -1.0/7, 1.0/5, -1.0/3)
	near := t + float64(float64(t*z)*sum)
	eighths := [...]float64{0, 0.12435499454676144, 0.24497866312686414, 0.35877067027057225, 0.46364760900080615,
		0.5585993153435624, 0.6435011087932844, 0.7188299996216245, 0.7853981633974483} // atan(i/8), rounded
	return eighths[int(i)] + near
}

// Asin is the angle whose sine is x, |x| ≤ 1.
func Asin(x float64) float64 { return Atan2(x, math.Sqrt((1-x)*(1+x))) }

// Acos is the angle whose cosine is x, |x| ≤ 1.
func Acos(x float64) float64 { return Atan2(math.Sqrt((1-x)*(1+x)), x) }

// Hypot is the length of the vector (x, y). It is exact where that length is a whole
// number and the squares are below 2^53, so that a length of 13 is never 14 when it
// is rounded up.
func Hypot(x, y float64) float64 { return math.Sqrt(float64(x*x) + float64(y*y)) }

// Log is the natural logarithm of x > 0: with x = m·2^k, 1/√2 ≤ m < √2, and
// s = (m-1)/(m+1), |s| < 0.172,
//
//	log x = k log 2 + 2 (s + s³/3 + s⁵/5 + ...)
//
// up to s^21/21; the next term is below 1e-18 of s.
func Log(x float64) float64 {
	m, k := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m, k = 2*m, k-1
	}
	s := (m - 1) / (m + 1)
	z := float64(s * s)
	sum := horner(z, 2.0/21, 2.0/19, 2.0/17, 2.0/15, 2.0/13, 2.0/11, 2.0/9, 2.0/7, 2.0/5, 2.0/3)
	return float64(float64(k)*math.Ln2) + (float64(2*s) + float64(float64(s*z)*sum))
}

// Power is x to a small whole exponent n ≥ 0, by repeated multiplication.
func Power(x float64, n int) float64 {
	result := 1.0
	for range n {
		result *= x
	}
	return result
}
