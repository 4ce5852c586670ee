package planar

// The exact integer square root.

import "math"

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
