// Factors of ellipses, and the smallest shift that a test sees.
package statistics

import (
	"math"

	"merestone/internal/elementary"
)

// EllipseFactor is what the ellipse of one standard deviation of a mean is multiplied by to
// hold the true place with a probability, where the covariance was estimated from as many
// independent values: Hotelling's √(2(n-1)/(n-2) F), F the quantile with 2 and n - 2
// degrees of freedom. As F with two has the tail (1 + 2F/ν)^(-ν/2), that is
//
//	√((n-1) ((1-p)^(-2/(n-2)) - 1))
//
// in closed form; for many values √(-2 ln(1-p)). It takes n above 2.
func EllipseFactor(n, probability float64) float64 {
	return math.Sqrt((n - 1) * (elementary.Exp(-2/(n-2)*elementary.Log(1-probability)) - 1))
}

// SmallestShift is how many standard deviations two places must be apart so that a test of
// their difference in two dimensions, at a level, tells it with a probability: √λ of the
// noncentral chi-squared distribution with two degrees of freedom whose tail beyond the
// critical value -2 ln(1 - level) is that probability. Found by halving.
func SmallestShift(level, probability float64) float64 {
	critical := -2 * elementary.Log(1-level)
	low, high := 0.0, 40.0
	for range 60 {
		middle := (low + high) / 2
		if 1-noncentral(critical, float64(middle*middle)) < probability {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// noncentral is the probability of at most x, of the noncentral chi-squared distribution
// with two degrees of freedom and noncentrality λ: a mixture by Poisson's distribution,
//
//	Σ_j e^(-λ/2) (λ/2)^j/j! · P(χ² with 2+2j degrees ≤ x),
//	P(χ² with 2m degrees ≤ x) = 1 - e^(-x/2) Σ_{i<m} (x/2)^i/i!
//
// (Abramowitz and Stegun 26.4.25 and 26.4.4, from memory). Terms beyond j = λ/2 by twelve of
// its standard deviations are below 1e-16.
func noncentral(x, lambda float64) float64 {
	half := x / 2
	last := int(float64(lambda/2)+float64(12*math.Sqrt(lambda/2))) + 40
	poisson := elementary.Exp(-lambda / 2)
	term := elementary.Exp(-half)
	tail := term // e^(-x/2) Σ_{i≤j} (x/2)^i/i!
	sum := 0.0
	for j := 0; j <= last; j++ {
		sum += float64(poisson * (1 - tail))
		poisson *= lambda / 2 / float64(j+1)
		term = float64(term * (half / float64(j+1)))
		tail += term
	}
	return sum
}
