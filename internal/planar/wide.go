package planar

// Products wider than 64 bits and exact integer square roots.
//
// The widest number of the package is the square of a triangle's cross product,
// (1.6e15)^2 = 2.56e30 < 2^102, which divided by a squared length gives back a
// squared distance below 2^52: see distance.go.

import (
	"math"
	"math/bits"
)

// Isqrt is the largest r with r*r <= x, exact for every uint64.
//
// The float64 estimate is never too small and at most one too large. Rounding
// to float64 and math.Sqrt, which rounds correctly, both keep order. So with
// r the root sought, r^2 <= x < (r+1)^2 leaves the estimate between those of r^2
// and of (r+1)^2. Rounding moves k^2 by at most 2^-53 of itself, its root by
// 2^-54, a quarter of the spacing of float64 there: the estimate for k^2 is k.
func Isqrt(x uint64) uint64 {
	r := uint64(math.Sqrt(float64(x)))
	if r > math.MaxUint32 || r*r > x { // beyond MaxUint32 r*r would overflow
		r--
	}
	return r
}

// Isqrt128 is the largest r with r*r <= hi*2^64 + lo, exact for every value.
//
// Newton's step r -> (r + x/r) / 2 from a start at or above the root falls
// strictly until it reaches the floor of the root (Cohen, A Course in
// Computational Algebraic Number Theory, algorithm 1.7.1). The quotient is
// taken with bits.Div64, which needs hi < r: true, because r >= sqrt(x) >
// sqrt(hi*2^64) >= hi whenever hi < 2^64.
func Isqrt128(hi, lo uint64) uint64 {
	if hi == 0 {
		return Isqrt(lo)
	}
	// Start: (isqrt(hi)+1) * 2^32 > sqrt(x). At isqrt(hi) = 2^32-1 the product
	// is 2^64, and the largest uint64 is still at or above the floor of the root.
	r := uint64(math.MaxUint64)
	if top := Isqrt(hi) + 1; top <= math.MaxUint32 {
		r = top << 32
	}
	for {
		if hi >= r { // only for r = MaxUint64 and hi = MaxUint64: the root is r
			return r
		}
		q, _ := bits.Div64(hi, lo, r)
		if q >= r {
			return r
		}
		r = q + (r-q)/2
	}
}
