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
// math.Sqrt is correctly rounded, but x itself may have been rounded on its way
// to float64 (above 2^53), so the estimate can be off by one either way. The
// two loops put it right; each runs at most once or twice.
func Isqrt(x uint64) uint64 {
	r := uint64(math.Sqrt(float64(x)))
	for r > math.MaxUint32 || r*r > x { // r > MaxUint32 would overflow r*r
		r--
	}
	for r < math.MaxUint32 && (r+1)*(r+1) <= x {
		r++
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
