// The ellipse of a covariance: how well a place is known, in each direction.
package measured

import (
	"math"

	"merestone/internal/elementary"
)

// Ellipse is one standard deviation along the two axes in which errors are independent:
// in the direction of the major axis the place is known least.
type Ellipse struct {
	Major, Minor float64
	BearingRad   float64 // of the major axis, clockwise from north, in [0, π)
}

// Ellipse is that of the covariance of a place. With a = var(east), c = var(north) and
// b = cov(east, north), the variances along the axes are the eigenvalues
//
//	(a+c)/2 ± sqrt(((a-c)/2)² + b²),  tan 2θ = 2b / (c - a)
//
// with θ clockwise from north (variance along a direction, turned to where it is largest).
func (m Matrix) Ellipse() Ellipse {
	half, split := float64((m.EastByEast+m.NorthByNorth)/2), float64((m.NorthByNorth-m.EastByEast)/2)
	root := elementary.Hypot(split, m.EastByNorth)
	bearing := elementary.Atan2(m.EastByNorth, split) / 2
	if root == 0 {
		bearing = 0
	}
	if bearing < 0 {
		bearing += math.Pi
	}
	return Ellipse{math.Sqrt(half + root), math.Sqrt(max(half-root, 0)), bearing}
}

// Excess is a covariance without that of equal errors along both axes, which stand
// elsewhere, as far as anything is left along the axes of what remains.
func (m Matrix) Excess(variance float64) Matrix {
	m.EastByEast -= variance
	m.NorthByNorth -= variance
	half, split := float64((m.EastByEast+m.NorthByNorth)/2), float64((m.NorthByNorth-m.EastByEast)/2)
	root := elementary.Hypot(split, m.EastByNorth)
	switch {
	case half-root >= 0:
		return m
	case half+root <= 0:
		return Matrix{}
	}
	// One axis is left: its eigenvalue times the outer product of its direction.
	sin, cos := elementary.Sincos(elementary.Atan2(m.EastByNorth, split) / 2)
	v := half + root
	return Matrix{v * sin * sin, v * sin * cos, v * sin * cos, v * cos * cos}
}

// Plus adds the covariance of independent errors.
func (m Matrix) Plus(o Matrix) Matrix {
	return Matrix{m.EastByEast + o.EastByEast, m.EastByNorth + o.EastByNorth, m.NorthByEast + o.NorthByEast, m.NorthByNorth + o.NorthByNorth}
}

// deviation is one standard deviation along a unit vector u: sqrt(uᵀ C u).
func deviation(u Vector, covariance Matrix) float64 {
	return math.Sqrt(max(u.dot(covariance.apply(u)), 0))
}
