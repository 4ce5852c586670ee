// One measurement: where it leads, how that moves with all that it hangs on, and whether
// first order is enough.
package measured

import (
	"fmt"
	"math"
)

// Form is a way to measure a place from others.
type Form interface {
	// settle readies a form that has to weigh its readings against each other, and gives
	// the place.
	settle(n *Net, bases []Place, readings []Reading) (Form, Vector, error)
	// at is the place by bases and values of the readings; false where there is none.
	at(bases []Vector, values []float64) (Vector, bool)
	// slopes are how the place p moves with each base and with each reading.
	slopes(bases []Vector, values []float64, p Vector) (byBase []Matrix, byReading []Vector)
}

// Reading is a value that was read, in millimetres or radians, and its input. Several
// readings may have one input, as bearings by one compass have its declination.
type Reading struct {
	Value float64
	Input int
}

// Limits of what is carried.
const (
	// MostInputs is how many inputs a place may hang on: a chain of some fifty marks, each
	// from the one before. It bounds the memory of 100 000 marks by a quarter of a gigabyte.
	MostInputs = 100
	// MostDeparture is how far the place may be, where the inputs are off by as much as
	// they hardly ever are, from where first order has it, as a part of the uncertainty
	// itself: a quarter, added as the root of the sum of squares, makes that sqrt(1 + 1/16) as
	// long, 3 % more.
	MostDeparture = 0.25
)

// ErrTooMany is that of a place that hangs on more than MostInputs.
type ErrTooMany struct{ Inputs int }

func (e ErrTooMany) Error() string {
	return fmt.Sprintf("it hangs on %d measured quantities", e.Inputs)
}

// ErrWeak is that of a place to which first order is no guide. Departure is by how much,
// as a part of its uncertainty; infinite where there may be no such place.
type ErrWeak struct {
	StdMM     float64 // one standard deviation by first order, along the major axis
	Departure float64
}

func (e ErrWeak) Error() string {
	return fmt.Sprintf("it departs by %.2f of its uncertainty", e.Departure)
}

// Measure works out a place by a form. The factor says how many standard deviations an
// input is off at most, to the eye of the test of first order: each input of the bases
// and of the readings in turn is moved by so much up and down, the place is worked out
// anew, and how far that is from where the slopes have it is added up as root of sum of
// squares. What moves all bases alike moves the place with them and departs from nothing.
func (n *Net) Measure(form Form, bases []Place, readings []Reading, factor float64) (Place, error) {
	form, p, err := form.settle(n, bases, readings)
	if err != nil {
		return Place{}, err
	}
	places, values := make([]Vector, len(bases)), make([]float64, len(readings))
	for i, b := range bases {
		places[i] = b.Vector
	}
	for i, r := range readings {
		values[i] = r.Value
	}
	byBase, byReading := form.slopes(places, values, p)
	out := Place{Vector: p}
	for i, b := range bases {
		out.Terms = combine(out.Terms, b.Terms, Same(), byBase[i])
	}
	for i, r := range readings {
		out.Terms = combine(out.Terms, []Term{{r.Input, byReading[i]}}, Same(), Same())
	}
	if len(out.Terms) > MostInputs {
		return Place{}, ErrTooMany{len(out.Terms)}
	}
	major := n.Covariance(out, out, nil).Ellipse().Major
	departure := n.departure(form, bases, readings, out, factor) / float64(factor*major)
	if !(departure <= MostDeparture) || !finite(out) {
		return Place{}, ErrWeak{major, departure}
	}
	return out, nil
}

func finite(p Place) bool {
	for _, t := range p.Terms {
		if math.IsNaN(t.By.East+t.By.North) || math.IsInf(t.By.East+t.By.North, 0) {
			return false
		}
	}
	return !math.IsNaN(p.East + p.North)
}

// departure is how far the place is from first order, in millimetres.
func (n *Net) departure(form Form, bases []Place, readings []Reading, p Place, factor float64) float64 {
	places, values := make([]Vector, len(bases)), make([]float64, len(readings))
	squares := 0.0
	for _, term := range p.Terms {
		worst := 0.0
		for _, off := range [...]float64{factor * n.std[term.Input], -factor * n.std[term.Input]} {
			for i, b := range bases {
				places[i] = b.Vector.along(b.by(term.Input), off)
			}
			for i, r := range readings {
				values[i] = r.Value
				if r.Input == term.Input {
					values[i] += off
				}
			}
			q, ok := form.at(places, values)
			if !ok {
				return math.Inf(1)
			}
			worst = max(worst, q.minus(p.Vector.along(term.By, off)).length())
		}
		squares += float64(worst * worst)
	}
	return math.Sqrt(squares)
}

// by is how a place moves with an input.
func (p Place) by(input int) Vector {
	for _, t := range p.Terms {
		if t.Input == input {
			return t.By
		}
	}
	return Vector{}
}

// combine adds two lists of terms, each turned by a matrix: the chain rule.
func combine(a, b []Term, byA, byB Matrix) []Term {
	sum := make([]Term, 0, len(a)+len(b))
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		switch {
		case j == len(b) || i < len(a) && a[i].Input < b[j].Input:
			sum = append(sum, Term{a[i].Input, byA.apply(a[i].By)})
			i++
		case i == len(a) || b[j].Input < a[i].Input:
			sum = append(sum, Term{b[j].Input, byB.apply(b[j].By)})
			j++
		default:
			sum = append(sum, Term{a[i].Input, byA.apply(a[i].By).plus(byB.apply(b[j].By))})
			i++
			j++
		}
	}
	return sum
}
