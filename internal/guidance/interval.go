package guidance

// Interval arithmetic on float64, rounded outwards: the result of an operation on
// intervals contains the result of the operation on any numbers in them. This is
// what makes the bound of the conversion a proof and not an estimate. IEEE 754
// rounds +, -, *, / and the square root to the nearest, so that one step to the
// next float64 on either side encloses the true value (Moore, Interval Analysis).

import "math"

type interval struct{ lo, hi float64 }

func exactly(x float64) interval { return interval{x, x} }

func outward(lo, hi float64) interval {
	return interval{math.Nextafter(lo, math.Inf(-1)), math.Nextafter(hi, math.Inf(1))}
}

func (a interval) neg() interval           { return interval{-a.hi, -a.lo} }
func (a interval) add(b interval) interval { return outward(a.lo+b.lo, a.hi+b.hi) }
func (a interval) sub(b interval) interval { return a.add(b.neg()) }

func (a interval) mul(b interval) interval {
	p, q, r, s := a.lo*b.lo, a.lo*b.hi, a.hi*b.lo, a.hi*b.hi
	return outward(min(p, q, r, s), max(p, q, r, s))
}

// div is a/b; b must not contain 0.
func (a interval) div(b interval) interval {
	p, q, r, s := a.lo/b.lo, a.lo/b.hi, a.hi/b.lo, a.hi/b.hi
	return outward(min(p, q, r, s), max(p, q, r, s))
}

// sqrt needs a ≥ 0.
func (a interval) sqrt() interval { return outward(math.Sqrt(a.lo), math.Sqrt(a.hi)) }

// power is a to the n-th; the even powers of an interval around 0 are taken as
// products, which is wider than need be and still contains them.
func (a interval) power(n int) interval {
	result := exactly(1)
	for range n {
		result = result.mul(a)
	}
	return result
}

// times2 is a·2^n, exact for the sizes that occur here.
func (a interval) times2(n int) interval {
	return interval{math.Ldexp(a.lo, n), math.Ldexp(a.hi, n)}
}

// magnitude is the largest |x| in a.
func (a interval) magnitude() float64 { return max(math.Abs(a.lo), math.Abs(a.hi)) }

// middle is a number in a, near the middle.
func (a interval) middle() float64 { return a.lo + float64((a.hi-a.lo)/2) }

// piInterval encloses pi: math.Pi is rounded down from 3.14159265358979323846.
func piInterval() interval { return interval{math.Pi, math.Nextafter(math.Pi, 4)} }

// sinCos encloses sine and cosine of every angle in a (radians, within ±2) by
// their Taylor series. The terms alternate and shrink from the second on
// (|a| ≤ 2), so the rest is no larger than the first term left out: 2^26/26!,
// below 2e-19.
func (a interval) sinCos() (sin, cos interval) {
	const terms = 26
	term := exactly(1) // a^k/k!
	for k := range terms {
		signed := term
		if k&2 != 0 {
			signed = term.neg()
		}
		if k&1 == 0 {
			cos = cos.add(signed)
		} else {
			sin = sin.add(signed)
		}
		term = term.mul(a).div(exactly(float64(k + 1)))
	}
	rest := term.magnitude()
	sin = sin.add(interval{-rest, rest})
	cos = cos.add(interval{-rest, rest})
	return sin, cos
}

// series are Taylor coefficients: s[k] encloses the k-th derivative, divided by
// k!, of a function at every point of some interval. With a single point these
// are the coefficients of its Taylor polynomial; with an interval that contains
// the expansion point, s[n] gives Lagrange's remainder of the polynomial of
// degree n-1.
type series []interval

func (s series) mul(t series) series {
	product := make(series, len(s))
	for k := range s {
		for i := range k + 1 {
			product[k] = product[k].add(s[i].mul(t[k-i]))
		}
	}
	return product
}

func (s series) scale(a interval) series {
	scaled := make(series, len(s))
	for k := range s {
		scaled[k] = s[k].mul(a)
	}
	return scaled
}

func (s series) add(t series) series {
	sum := make(series, len(s))
	for k := range s {
		sum[k] = s[k].add(t[k])
	}
	return sum
}

// inverseRoot is the series of 1/sqrt(s). From y = s^a follows s y' = a s' y, and
// by comparing coefficients
//
//	y_k = 1/(k s_0) · Σ_{j=1..k} (a j - (k-j)) s_j y_{k-j}
//
// (automatic differentiation of powers, e.g. Griewank and Walther, Evaluating
// Derivatives), here with a = -1/2.
func (s series) inverseRoot() series {
	y := make(series, len(s))
	y[0] = exactly(1).div(s[0].sqrt())
	for k := 1; k < len(s); k++ {
		var sum interval
		for j := 1; j <= k; j++ {
			factor := exactly(float64(-0.5*float64(j)) - float64(k-j))
			sum = sum.add(factor.mul(s[j]).mul(y[k-j]))
		}
		y[k] = sum.div(exactly(float64(k)).mul(s[0]))
	}
	return y
}

// sinCosSeries are the series of sine and cosine over the angles in a.
func sinCosSeries(a interval, n int) (sin, cos series) {
	s, c := a.sinCos()
	cycle := [4]interval{s, c, s.neg(), c.neg()}
	sin, cos = make(series, n), make(series, n)
	factorial := exactly(1)
	for k := range n {
		if k > 0 {
			factorial = factorial.mul(exactly(float64(k)))
		}
		sin[k] = cycle[k%4].div(factorial)
		cos[k] = cycle[(k+1)%4].div(factorial)
	}
	return sin, cos
}
