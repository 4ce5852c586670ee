// Package measured works out places that were measured from others, with their
// uncertainty: by east and north, by bearing and distance, by two distances or more, by
// chainage and offset from a line. It is geometry of the plane; where the plane lies on
// the Earth, and what a place is for, others know.
//
// Uncertainty is carried by the law of propagation (JCGM 100:2008, the GUM, 5.1.2 and
// 5.2.2, from memory): every quantity x_i that was measured on its own is an input with
// a standard deviation u_i, and a place p = f(x_1, x_2, ...) has to first order
//
//	δp = Σ c_i δx_i,  c_i = ∂f/∂x_i,  cov(p, q) = Σ c_i u_i² d_iᵀ
//
// for another place q with the slopes d_i on the same inputs. A place keeps the slopes on
// all inputs that it hangs on, by way of whatever other places: so two that were measured
// from one mark, or by one compass, are known to move together, and the covariance of any
// two is exact to first order.
//
//	measured.go  inputs, places, covariance
//	measure.go   one measurement: its place, its slopes, whether first order will do
//	form.go      the forms of measurement, each with its slopes in closed form
//	tapes.go     distances from several marks: least squares and the test of fit
//	ellipse.go   the ellipse of a covariance
package measured

import "merestone/internal/elementary"

// Vector is a place or a way in the plane, in millimetres, or either by the unit of an
// input.
type Vector struct{ East, North float64 }

func (a Vector) plus(b Vector) Vector  { return Vector{a.East + b.East, a.North + b.North} }
func (a Vector) minus(b Vector) Vector { return Vector{a.East - b.East, a.North - b.North} }
func (a Vector) times(factor float64) Vector {
	return Vector{float64(a.East * factor), float64(a.North * factor)}
}
func (a Vector) dot(b Vector) float64             { return float64(a.East*b.East) + float64(a.North*b.North) }
func (a Vector) length() float64                  { return elementary.Hypot(a.East, a.North) }
func (a Vector) right() Vector                    { return Vector{a.North, -a.East} } // a quarter turn clockwise
func (a Vector) along(b Vector, k float64) Vector { return a.plus(b.times(k)) }

// Matrix turns one vector into another: East = EastByEast·e + EastByNorth·n, and so on.
type Matrix struct{ EastByEast, EastByNorth, NorthByEast, NorthByNorth float64 }

// Same is the matrix that changes nothing.
func Same() Matrix { return Matrix{EastByEast: 1, NorthByNorth: 1} }

func (m Matrix) apply(v Vector) Vector {
	return Vector{
		float64(m.EastByEast*v.East) + float64(m.EastByNorth*v.North),
		float64(m.NorthByEast*v.East) + float64(m.NorthByNorth*v.North),
	}
}

// outer is a bᵀ.
func outer(a, b Vector) Matrix {
	return Matrix{float64(a.East * b.East), float64(a.East * b.North), float64(a.North * b.East), float64(a.North * b.North)}
}

func (m Matrix) transposed() Matrix {
	return Matrix{m.EastByEast, m.NorthByEast, m.EastByNorth, m.NorthByNorth}
}

func (m Matrix) scaled(k float64) Matrix {
	return Matrix{float64(m.EastByEast * k), float64(m.EastByNorth * k), float64(m.NorthByEast * k), float64(m.NorthByNorth * k)}
}

// after is the matrix that does first o, then m.
func (m Matrix) after(o Matrix) Matrix {
	a, b := m.apply(Vector{o.EastByEast, o.NorthByEast}), m.apply(Vector{o.EastByNorth, o.NorthByNorth})
	return Matrix{a.East, b.East, a.North, b.North}
}

// inverse is of a matrix that has one, as those of the ground have.
func (m Matrix) inverse() Matrix {
	d := float64(m.EastByEast*m.NorthByNorth) - float64(m.EastByNorth*m.NorthByEast)
	return Matrix{m.NorthByNorth / d, -m.EastByNorth / d, -m.NorthByEast / d, m.EastByEast / d}
}

// Term is how a place moves with an input.
type Term struct {
	Input int
	By    Vector // millimetres by the unit of the input
}

// Place is a place in the plane, with its terms in the order of their inputs.
type Place struct {
	Vector
	Terms []Term
}

// Moving is a place that moves with one more input.
func (p Place) Moving(input int, by Vector) Place {
	p.Terms = combine(p.Terms, []Term{{input, by}}, Same(), Same())
	return p
}

// Net holds the inputs of all places. Its zero value is empty.
type Net struct{ std []float64 }

// Input adds a quantity that was measured on its own, by its standard deviation.
func (n *Net) Input(std float64) int {
	n.std = append(n.std, std)
	return len(n.std) - 1
}

// Covariance is that of two places: EastByNorth is cov(a.East, b.North). Only inputs that
// are counted add to it; nil counts all.
func (n *Net) Covariance(a, b Place, counted func(input int) bool) Matrix {
	var sum Matrix
	for i, j := 0, 0; i < len(a.Terms) && j < len(b.Terms); {
		s, t := a.Terms[i], b.Terms[j]
		switch {
		case s.Input < t.Input:
			i++
		case s.Input > t.Input:
			j++
		default:
			if counted == nil || counted(s.Input) {
				u := n.std[s.Input]
				x, y := s.By.times(u), t.By.times(u)
				sum.EastByEast += float64(x.East * y.East)
				sum.EastByNorth += float64(x.East * y.North)
				sum.NorthByEast += float64(x.North * y.East)
				sum.NorthByNorth += float64(x.North * y.North)
			}
			i++
			j++
		}
	}
	return sum
}

// Between is one standard deviation of the distance between two places.
func (n *Net) Between(a, b Place) float64 {
	way := b.minus(a.Vector)
	d := way.length()
	apart := Place{Terms: combine(b.Terms, a.Terms, Same(), Matrix{EastByEast: -1, NorthByNorth: -1})}
	covariance := n.Covariance(apart, apart, nil)
	if d == 0 {
		return covariance.Ellipse().Major
	}
	return deviation(way.times(1/d), covariance)
}
