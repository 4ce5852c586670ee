// Package planar is exact plane geometry on whole millimetres: which side of a
// line a point is on, whether two segments meet, whether a ring is sound,
// whether a leg stays inside a fence, and how far one thing is from another.
//
// Every yes-or-no answer is exact: it is decided in integers, never in floating
// point, so a fence that is one millimetre too near is found one millimetre too
// near. Floating point appears only in numbers for people to read (DistanceMM).
//
// # Frame and range
//
// Coordinates are millimetres east (E) and north (N) of the site origin. Each
// must satisfy |coordinate| <= MaxCoordinate = 20 km. The bounds that follow
// from it, S = 2*MaxCoordinate = 4.0e7 being the widest difference:
//
//	difference of two coordinates  |d| <= S       = 4.0e7  < 2^26
//	Vector.Dot, Vector.Cross       |x| <= 2*S^2   = 3.2e15 < 2^52
//	squared length                  x  <= 2*S^2   = 3.2e15 < 2^52
//	cross product of a triangle    |x| <= S^2     = 1.6e15 < 2^51
//	distance between two points     x  <= S*sqrt2 < 5.66e7 < 2^26
//
// The cross product of a triangle, Orientation's, is twice the area of a triangle
// inside a square of side S, so at most the area of the square.
// TestBoundsAtTheCornersOfTheSite tries to break each of them. Points outside
// the range are the caller's to refuse (Point.InRange, or NewRegion, which
// lists them); for them the other functions may answer wrongly or panic.
//
// # Files
//
//	point.go     points, vectors, the orientation of three points
//	segment.go   segments: how two of them meet
//	ring.go      rings: containment, area, what is inside what
//	faults.go    rings: everything that can be wrong with one
//	sweep.go     rings: whether one meets itself, for faults.go
//	distance.go  exact squared distances and their comparison with millimetres
//	index.go     many segments at once: nearest, within, crossing
//	region.go    a ring with its index: containment and cover in about log n
//	root.go      the integer square root
package planar

import (
	"cmp"

	"merestone/internal/board"
)

// MaxCoordinate is the largest absolute coordinate, in millimetres, for which
// the package's answers are proved: 20 km either side of the site origin.
const MaxCoordinate = board.MaxCoordinateMM

// Point is a place in the local frame, in millimetres east and north of the
// site origin.
type Point struct{ E, N int64 }

// Vector is the difference of two points, in millimetres.
type Vector struct{ E, N int64 }

// InRange reports whether both coordinates are within MaxCoordinate, the range
// for which the package's answers are proved.
func (p Point) InRange() bool {
	return -MaxCoordinate <= p.E && p.E <= MaxCoordinate &&
		-MaxCoordinate <= p.N && p.N <= MaxCoordinate
}

// Sub is the vector from q to p.
func (p Point) Sub(q Point) Vector { return Vector{p.E - q.E, p.N - q.N} }

// Dot is the inner product, in square millimetres: positive when the two point
// the same way, zero when they are at right angles.
func (v Vector) Dot(w Vector) int64 { return v.E*w.E + v.N*w.N }

// Cross is the outer product, in square millimetres: positive when w is to the
// left of v, zero when they are parallel.
func (v Vector) Cross(w Vector) int64 { return v.E*w.N - v.N*w.E }

// Norm2 is the squared length, in square millimetres.
func (v Vector) Norm2() int64 { return v.Dot(v) }

// Orientation is +1 when a, b, c turn left (counter-clockwise seen from above,
// east to the right and north up), -1 when they turn right, 0 when they lie on
// one line.
func Orientation(a, b, c Point) int { return sign(b.Sub(a).Cross(c.Sub(a))) }

func sign(x int64) int { return cmp.Compare(x, 0) }
