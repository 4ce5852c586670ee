package planar

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Each line of the table of bounds in point.go, tried at the corners of the
// site, where every one of them is reached.
func TestBoundsAtTheCornersOfTheSite(t *testing.T) {
	const m = MaxCoordinate
	corners := []Point{{-m, -m}, {m, -m}, {m, m}, {-m, m}}
	var diff, cross, dot, norm2, triangle int64
	for _, a := range corners {
		for _, b := range corners {
			u := b.Sub(a)
			diff = max(diff, u.E, u.N)
			norm2 = max(norm2, u.Norm2())
			for _, c := range corners {
				triangle = max(triangle, u.Cross(c.Sub(a)))
				for _, d := range corners {
					cross = max(cross, u.Cross(d.Sub(c)))
					dot = max(dot, u.Dot(d.Sub(c)))
				}
			}
		}
	}
	assert.Equal(t, int64(40_000_000), diff)
	assert.Less(t, diff, int64(1)<<26)
	assert.Equal(t, int64(3_200_000_000_000_000), cross)
	assert.Equal(t, int64(3_200_000_000_000_000), dot)
	assert.Equal(t, int64(3_200_000_000_000_000), norm2)
	assert.Less(t, cross, int64(1)<<52)
	assert.Equal(t, int64(1_600_000_000_000_000), triangle)
	assert.Less(t, triangle, int64(1)<<51)
	assert.Less(t, norm2, int64(maxDistanceMM)*maxDistanceMM)
	assert.Greater(t, norm2, int64(maxDistanceMM-1)*(maxDistanceMM-1))
}

func TestOrientation(t *testing.T) {
	const m = MaxCoordinate
	for _, c := range []struct {
		fact    string
		a, b, c Point
		want    int
	}{
		{"left turn", Point{0, 0}, Point{10, 0}, Point{10, 1}, 1},
		{"right turn", Point{0, 0}, Point{10, 0}, Point{10, -1}, -1},
		{"straight on", Point{0, 0}, Point{10, 0}, Point{20, 0}, 0},
		{"straight back", Point{0, 0}, Point{10, 0}, Point{5, 0}, 0},
		{"no direction", Point{3, 3}, Point{3, 3}, Point{7, 9}, 0},
		{"one millimetre off a 56 km diagonal", Point{-m, -m}, Point{m, m}, Point{m - 1, m}, 1},
		{"off by the smallest triangle there is", Point{-m, -m}, Point{m, m - 1}, Point{1 - m, 1 - m}, 1},
	} {
		assert.Equal(t, c.want, Orientation(c.a, c.b, c.c), c.fact)
		assert.Equal(t, -c.want, Orientation(c.b, c.a, c.c), c.fact+", reversed")
	}
}
