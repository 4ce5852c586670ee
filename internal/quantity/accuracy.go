// Accuracies that are given with a probability, as receivers and maps give them: 5 cm
// (95 %, radial). A mission reckons with one standard deviation per axis, σ, and this is
// the one place where the one becomes the other. Errors are taken to be normal, the same
// in both axes and independent, as everywhere in a mission.
//
//	radial     within a circle:   P(r ≤ R) = 1 - exp(-R²/2σ²)   σ = R / √(-2 ln(1-p))
//	per axis   within ±R:         P(|x| ≤ R) = erf(R/σ√2)       σ = R / z, erf(z/√2) = p
//
// The first is Rayleigh's distribution, of which p = 50 % is the circular error probable;
// the second the two-sided quantile of the normal one, of which p = 68.27 % is σ itself.
package quantity

import (
	"fmt"
	"math"
	"math/big"
	"regexp"

	"merestone/internal/elementary"
)

// Manner says within what an error keeps.
type Manner string

// The manners.
const (
	Radial  Manner = "radial"   // a circle around the true place
	PerAxis Manner = "per axis" // a band along one axis, or of one figure
)

// Accuracy is a quantity that an error exceeds with a small probability alone.
type Accuracy struct {
	Value       int64  // in the small unit of its dimension
	Probability Ratio  // that the error is within it
	Manner      Manner // none is per axis, of what has one axis
	written     string // the value with its unit
}

// The probabilities that are read: beyond them the quotient says nothing of the middle of a
// distribution, where its σ is.
const (
	leastProbability = 10 * Percent
	mostProbability  = 9_999 * Percent / 100
)

// accuracy is a quantity with, in parentheses, a probability and a manner.
var accuracy = regexp.MustCompile(`^ *([^()]*[^() ]) *\( *([0-9]{1,3}(?:\.[0-9]{1,4})?) ?%(?: *,)?(?: *(radial|per axis))? *\) *$`)

// IsAccuracy reports whether a text has the form of an accuracy with its probability.
func IsAccuracy(text string) bool { return accuracy.MatchString(text) }

// ParseAccuracy reads an accuracy. Its manner may be left out and is "" then.
func ParseAccuracy(text string, d Dimension) (Accuracy, error) {
	part := accuracy.FindStringSubmatch(text)
	if part == nil {
		return Accuracy{}, &Fault{Message: fmt.Sprintf("%q is no accuracy with its probability", shorten(text)), Remedy: "write it as 5 cm (95 % radial)"}
	}
	value, err := Parse(part[1], d)
	if err != nil {
		return Accuracy{}, err
	}
	percentage, ok := new(big.Rat).SetString(part[2])
	if !ok {
		return Accuracy{}, &Fault{Message: fmt.Sprintf("%q is not a decimal number", part[2])}
	}
	a := Accuracy{Value: value, Probability: Ratio(roundRat(percentage.Mul(percentage, big.NewRat(int64(Percent), 1)))), Manner: Manner(part[3]), written: part[1]}
	if a.Probability < leastProbability || a.Probability > mostProbability {
		return Accuracy{}, &Fault{Message: fmt.Sprintf("a probability of %s is out of what is reckoned with, from %s to %s", a.Probability, leastProbability, mostProbability)}
	}
	return a, nil
}

// Factor is how many standard deviations per axis an accuracy is.
func (a Accuracy) Factor() float64 {
	p := float64(a.Probability) / 1e6
	if a.Manner == Radial {
		return RadialFactor(p)
	}
	return normalQuantile(p)
}

// StandardDeviation is that of one axis, in the small unit of the value's dimension. It is
// rounded up, by less than one of that unit: never smaller than what was said. The factor
// is right to 1e-12 of itself, which the division is given, too.
func (a Accuracy) StandardDeviation() int64 {
	return int64(math.Ceil(float64(a.Value) / a.Factor() * (1 + 1e-12)))
}

// Formula says how it was worked out.
func (a Accuracy) Formula() string {
	if a.Manner == Radial {
		return fmt.Sprintf("%s / √(-2 ln(1 - %s))", a.written, trimmed(int64(a.Probability), 6))
	}
	return fmt.Sprintf("%s / %.4f, within which a normal error is in %s", a.written, a.Factor(), a.Probability)
}

// String is the accuracy as it is to be written: without the comma, which within braces and
// in a table would end it.
func (a Accuracy) String() string {
	if a.Manner == "" {
		return fmt.Sprintf("%s (%s)", a.written, a.Probability)
	}
	return fmt.Sprintf("%s (%s %s)", a.written, a.Probability, a.Manner)
}

// With is the same accuracy in another manner.
func (a Accuracy) With(m Manner) Accuracy {
	a.Manner = m
	return a
}

// RadialFactor is k such that a two-dimensional normal error of one standard
// deviation per axis has a length of at most k with the given probability.
func RadialFactor(confidence float64) float64 {
	return math.Sqrt(-2 * elementary.Log(1-confidence))
}

// normalQuantile is z with erf(z/√2) = p, by halving: p grows with z, and half of the
// interval 0 to 8 is left out 60 times, to less than 1e-16.
func normalQuantile(p float64) float64 {
	low, high := 0.0, 8.0
	for range 60 {
		middle := (low + high) / 2
		if withinNormal(middle) < p {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// withinNormal is erf(z/√2), the probability that a normal error is within z standard
// deviations, by the series
//
//	erf(z/√2) = √(2/π) e^(-z²/2) (z + z³/3 + z⁵/(3·5) + z⁷/(3·5·7) + ...)
//
// (NIST Digital Library of Mathematical Functions, 7.6.2), of which all terms are
// positive, so that none takes digits from another.
func withinNormal(z float64) float64 {
	term := z
	sum := term
	for n := 3.0; term > sum*1e-17; n += 2 {
		term = float64(term * (z * z / n))
		sum += term
	}
	return math.Sqrt(2/math.Pi) * elementary.Exp(-z*z/2) * sum
}
