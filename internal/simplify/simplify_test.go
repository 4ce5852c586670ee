package simplify_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/planar"
	"merestone/internal/simplify"
)

// walked is a track along corners with a fix every step, and noise.
func walked(r *rand.Rand, corners []planar.Point, step, noise float64) []planar.Point {
	var track []planar.Point
	for i := 1; i < len(corners); i++ {
		a, b := corners[i-1], corners[i]
		length := math.Hypot(float64(b.E-a.E), float64(b.N-a.N))
		for along := 0.0; along < length; along += step {
			f := along / length
			track = append(track, planar.Point{
				E: a.E + int64(math.Round(f*float64(b.E-a.E)+noise*r.NormFloat64())),
				N: a.N + int64(math.Round(f*float64(b.N-a.N)+noise*r.NormFloat64())),
			})
		}
	}
	return track
}

var square = []planar.Point{{E: 0, N: 0}, {E: 50_000, N: 0}, {E: 50_000, N: 50_000}, {E: 0, N: 50_000}, {E: 0, N: 0}}

func TestFirst(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	o := simplify.Options{Tolerance: 100, NotKnown: 30, MostGap: 6000}
	for _, kind := range []simplify.Kind{simplify.Boundary, simplify.Obstacle} {
		for _, step := range []float64{5000, 200, 4} {
			track := walked(r, square, step, 10)
			began := time.Now()
			result, err := simplify.Ring(track, kind, o)
			require.NoError(t, err)
			t.Log(time.Since(began), result.Points, result.Rows(), result.Lost()/(0.130*200))
		}
	}
	route, err := simplify.Route(walked(r, square, 200, 10), o)
	require.NoError(t, err)
	t.Log(route.Rows(), route.Points)
	assert.NoError(t, err)
}
