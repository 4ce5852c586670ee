// Places and widths that a few wrong values do not move.
package statistics

import (
	"math"
	"slices"

	"merestone/internal/elementary"
)

// Point is a place in the plane.
type Point struct{ East, North float64 }

// distance is that to another place.
func (p Point) distance(o Point) float64 { return elementary.Hypot(p.East-o.East, p.North-o.North) }

// GeometricMedian is the place whose distances to all points have the smallest sum. It
// turns with the points, and stays near the most of them until half are elsewhere.
//
// By Weiszfeld's steps, each the mean of the points weighted by 1/distance, as mended by
// Vardi and Zhang (2000, PNAS 97(4), 1423) for a step that begins at a point: with the pull
// R of the others there and η points at the place, it moves by the part 1 - η/|R| of such a
// step, or not at all where η is more. Towards a point the steps become ever smaller, so the
// nearest is tried in the end.
func GeometricMedian(points []Point) Point {
	if len(points) == 0 {
		return Point{}
	}
	at := centreOf(points)
	// The width is what a step is small against; wrong values far away do not make it large.
	width := MedianDistance(points, at)
	for range 1000 {
		// A step from just beside a point would hardly leave it: what is nearer counts as there.
		step := medianStep(points, at, 1e-6*width)
		at = Point{at.East + step.East, at.North + step.North}
		if elementary.Hypot(step.East, step.North) <= 1e-9*width {
			break
		}
	}
	nearest := points[0]
	for _, p := range points {
		if p.distance(at) < nearest.distance(at) {
			nearest = p
		}
	}
	if medianStep(points, nearest, 1e-6*width) == (Point{}) {
		return nearest
	}
	return at
}

// medianStep is the next step from a place, and none from where the median is.
func medianStep(points []Point, at Point, near float64) Point {
	var pull Point
	weights, here := 0.0, 0.0
	for _, p := range points {
		d := p.distance(at)
		if d <= near {
			here++
			continue
		}
		weights += 1 / d
		pull.East += (p.East - at.East) / d
		pull.North += (p.North - at.North) / d
	}
	strength := elementary.Hypot(pull.East, pull.North)
	if strength <= here || weights == 0 {
		return Point{}
	}
	part := (1 - here/strength) / weights
	return Point{part * pull.East, part * pull.North}
}

// centreOf is where the search begins: the medians of both axes.
func centreOf(points []Point) Point {
	var east, north []float64
	for _, p := range points {
		east = append(east, p.East)
		north = append(north, p.North)
	}
	return Point{Median(east), Median(north)}
}

// MedianDistance is the median of the distances from a place.
func MedianDistance(points []Point, from Point) float64 {
	distances := make([]float64, len(points))
	for i, p := range points {
		distances[i] = p.distance(from)
	}
	return Median(distances)
}

// RayleighMedian is the median of the distance of a normal error with one standard
// deviation per axis: 1 - exp(-r²/2) = 1/2 at r = √(2 ln 2). A median distance over it is
// the standard deviation per axis, whatever a few wrong values are.
const RayleighMedian = 1.1774100225154747

// Median is the middle of values, of an even number the mean of the two in the middle. It
// sorts them.
func Median(values []float64) float64 {
	n := len(values)
	if n == 0 {
		return math.NaN()
	}
	slices.Sort(values)
	return (values[(n-1)/2] + values[n/2]) / 2
}
