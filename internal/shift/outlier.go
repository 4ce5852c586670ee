// The search for a mark that does not fit: taken for another one, disturbed
// since it was surveyed, or occupied badly.
//
// Each mark in turn is supposed to be wrong in both coordinates. The fit without
// it then has a smaller sum of squares, and by the stated uncertainties the drop
// follows a chi-squared distribution with two degrees of freedom (data snooping,
// with the two coordinates of a mark taken together). As n marks are tried, each
// is tried at the confidence c^(1/n), so that a search among good marks finds
// one with probability 1-c at most, not n times as often.
package shift

import (
	"math"
	"slices"
)

// residuals returns each mark's residual and, with three marks or more, its
// outlier test. With two, leaving out one leaves nothing to check the other by.
func residuals(occupations []Occupation, f rigid, j judge) []Residual {
	out := make([]Residual, len(occupations))
	each := math.Pow(j.confidence, 1/float64(len(occupations)))
	for i, o := range occupations {
		v := f.residual(o)
		out[i] = Residual{
			Name: o.Name, EastMM: v.east, NorthMM: v.north,
			StdMM: o.StdMM, Redundancy: f.redundancyOf(o),
		}
		if len(occupations) < 3 {
			continue
		}
		others, ok := refit(without(occupations, i), f.rotated)
		if !ok {
			continue // the others lie too close together to carry the rotation
		}
		out[i].OutlierTest = chiSquaredTest(f.omega-others.omega, 2, each)
	}
	return out
}

// refit fits the same kind of shift to other occupations.
func refit(occupations []Occupation, rotated bool) (rigid, bool) {
	if rotated {
		return fitRotation(occupations)
	}
	return fitTranslation(occupations), true
}

// without returns the occupations but one.
func without(occupations []Occupation, leave int) []Occupation {
	return slices.Concat(occupations[:leave], occupations[leave+1:])
}

// worst names the mark with the largest outlier statistic, if it is rejected.
func worst(residuals []Residual) string {
	name, largest := "", 0.0
	for _, r := range residuals {
		if r.OutlierTest.Rejected && r.OutlierTest.Statistic > largest {
			name, largest = r.Name, r.OutlierTest.Statistic
		}
	}
	return name
}

// otherSuspects names the marks besides the worst that are rejected too.
func otherSuspects(residuals []Residual, worst string) []string {
	var names []string
	for _, r := range residuals {
		if r.OutlierTest.Rejected && r.Name != worst {
			names = append(names, r.Name)
		}
	}
	return names
}

// rotationHingesOn names the marks without which the rotation is no longer
// significant while the other marks agree under a mere translation: an error at
// such a mark passes for a rotation. It takes three marks or more.
func rotationHingesOn(occupations []Occupation, j judge) []string {
	var names []string
	if len(occupations) < 3 {
		return nil
	}
	for i := range occupations {
		rest := without(occupations, i)
		translation := fitTranslation(rest)
		rotation, ok := fitRotation(rest)
		if !ok {
			continue
		}
		turned := j.against(translation.omega-rotation.omega, 1, rotation)
		if !turned.Rejected && !j.model(translation).Rejected {
			names = append(names, occupations[i].Name)
		}
	}
	return names
}
