package statistics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Cases that are known in closed form.
func TestGeometricMedian(t *testing.T) {
	for _, c := range []struct {
		name   string
		points []Point
		want   Point
	}{
		{"none", nil, Point{}},
		{"one", []Point{{3, 4}}, Point{3, 4}},
		{"all the same", []Point{{3, 4}, {3, 4}, {3, 4}}, Point{3, 4}},
		{"on a line: the middle one", []Point{{0, 0}, {1, 0}, {100, 0}}, Point{1, 0}},
		{"the diagonals of a quadrangle cross there", []Point{{0, 0}, {4, 0}, {4, 4}, {0, 4}}, Point{2, 2}},
		{"of another quadrangle", []Point{{0, 0}, {6, 0}, {6, 2}, {0, 6}}, Point{36.0 / 8, 12.0 / 8}},
		// Fermat's point of an equilateral triangle is its centre.
		{"equilateral", []Point{{0, 0}, {2, 0}, {1, math.Sqrt(3)}}, Point{1, math.Sqrt(3) / 3}},
		// With a corner of 120 degrees or more it is that corner.
		{"an obtuse corner", []Point{{0, 0}, {10, 1}, {-10, 1}}, Point{0, 0}},
		{"more than half at one place", []Point{{5, 5}, {5, 5}, {5, 5}, {900, 0}, {0, 700}}, Point{5, 5}},
		// The far one only pulls: (3+√3)/6 of the diagonal, by setting its derivative to zero.
		{"a square, and a wrong value far away", []Point{{0, 0}, {1, 0}, {0, 1}, {1, 1}, {1e9, 1e9}}, Point{(3 + math.Sqrt(3)) / 6, (3 + math.Sqrt(3)) / 6}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := GeometricMedian(c.points)
			assert.InDelta(t, c.want.East, got.East, 1e-5)
			assert.InDelta(t, c.want.North, got.North, 1e-5)
		})
	}
}

// It turns and moves with the points, no step to any side makes the sum smaller, and it does
// not hang on their order.
func TestGeometricMedianProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Float64Range(-100, 100)
		var points, turned []Point
		sin, cos := math.Sincos(rapid.Float64Range(0, 7).Draw(t, "angle"))
		turn := func(p Point) Point {
			return Point{p.East*cos - p.North*sin + 50, p.East*sin + p.North*cos - 20}
		}
		for range rapid.IntRange(3, 30).Draw(t, "points") {
			p := Point{coordinate.Draw(t, "east"), coordinate.Draw(t, "north")}
			points = append(points, p)
			turned = append(turned, turn(p))
		}
		sum := func(at Point) float64 {
			total := 0.0
			for _, p := range points {
				total += p.distance(at)
			}
			return total
		}
		at := GeometricMedian(points)
		least := sum(at)
		// Points on a line have a stretch of medians, so it is the sums that are compared; where
		// they are nearly on one the steps end before the sum is the smallest, by little.
		slack := 1e-3 * (1 + least)
		for _, side := range []Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			for _, by := range []float64{1e-3, 0.1, 10} {
				assert.LessOrEqual(t, least, sum(Point{at.East + by*side.East, at.North + by*side.North})+slack)
			}
		}
		back := GeometricMedian(turned)
		east, north := back.East-50, back.North+20
		assert.InDelta(t, least, sum(Point{east*cos + north*sin, -east*sin + north*cos}), slack)
		order := rapid.Permutation(points).Draw(t, "order")
		assert.InDelta(t, least, sum(GeometricMedian(order)), slack)
	})
}

func TestMedian(t *testing.T) {
	assert.Equal(t, 2.0, Median([]float64{3, 1, 2}))
	assert.Equal(t, 2.5, Median([]float64{4, 1, 3, 2}))
	assert.True(t, math.IsNaN(Median(nil)))
	assert.InDelta(t, math.Sqrt(2*math.Ln2), RayleighMedian, 1e-15)
	assert.Equal(t, 5.0, MedianDistance([]Point{{3, 4}, {0, 1}, {6, 8}}, Point{}))
}
