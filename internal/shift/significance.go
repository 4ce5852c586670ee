// The statistical tests. Each compares a weighted sum of squares, which by the
// stated uncertainties follows a chi-squared distribution if there is nothing to
// be found, with the value that it exceeds with probability 1 - confidence.
//
// When the variance is estimated from the residuals, the sum is divided by it
// first, and the ratio follows an F distribution.
package shift

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Test is the outcome of one statistical test.
type Test struct {
	// Made is false where there is too little redundancy; all else is zero then.
	Made bool
	// Statistic is what was observed, Critical the value above which the
	// hypothesis "there is nothing" is rejected.
	Statistic, Critical float64
	// PValue is the probability of a statistic as large, if there is nothing.
	PValue float64
	// DegreesOfFreedom are those of the chi-squared distribution or, when
	// DenominatorDegrees is not zero, of the F distribution with that many in
	// the denominator.
	DegreesOfFreedom, DenominatorDegrees int
	// Rejected says that there is something.
	Rejected bool
}

// judge holds how tests are made.
type judge struct {
	confidence float64
	// estimate asks for the variance to be taken from the residuals.
	estimate bool
}

// estimates tells whether the variance of a fit is taken from its residuals: if
// asked for, and if there are any.
func (j judge) estimates(f rigid) bool { return j.estimate && f.referenceVariance() > 0 }

// scale is the factor on all standard deviations of a fit.
func (j judge) scale(f rigid) float64 {
	if j.estimates(f) {
		return math.Sqrt(f.referenceVariance())
	}
	return 1
}

// against tests a sum of squares with some degrees of freedom against the stated
// uncertainties, or against the variance of the fit.
func (j judge) against(sum float64, degrees int, f rigid) Test {
	if j.estimates(f) {
		return fTest(sum/float64(degrees)/f.referenceVariance(), degrees, f.redundancy(), j.confidence)
	}
	return chiSquaredTest(sum, degrees, j.confidence)
}

// model tests all residuals of a fit against the stated uncertainties, from
// above only: residuals that are small do no harm.
func (j judge) model(f rigid) Test {
	if f.redundancy() == 0 {
		return Test{}
	}
	return chiSquaredTest(f.omega, f.redundancy(), j.confidence)
}

func chiSquaredTest(statistic float64, degrees int, confidence float64) Test {
	d := distuv.ChiSquared{K: float64(degrees)}
	return finish(Test{
		Statistic:        statistic,
		Critical:         d.Quantile(confidence),
		DegreesOfFreedom: degrees,
	}, d.Survival)
}

func fTest(statistic float64, numerator, denominator int, confidence float64) Test {
	d := distuv.F{D1: float64(numerator), D2: float64(denominator)}
	return finish(Test{
		Statistic:          statistic,
		Critical:           d.Quantile(confidence),
		DegreesOfFreedom:   numerator,
		DenominatorDegrees: denominator,
	}, d.Survival)
}

func finish(t Test, survival func(float64) float64) Test {
	// A difference of two equal sums may come out a rounding below zero.
	t.Statistic = math.Max(t.Statistic, 0)
	t.Made = true
	t.PValue = survival(t.Statistic)
	t.Rejected = t.Statistic > t.Critical
	return t
}
