package geodesy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

// The same places by PROJ, all over the zones and as far beside them as is taken.
func TestUTMAgainstPROJ(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, z := range []Zone{{1, false}, {31, false}, {33, true}, {60, true}} {
		var input []string
		var grid [][2]float64
		for range 500 {
			e, n := minEastingM+float64(random.Float64()*(maxEastingM-minEastingM)), float64(random.Float64()*9_300_000)
			if z.South {
				n = maxNorthingM - n
			}
			grid = append(grid, [2]float64{e, n})
			input = append(input, fmt.Sprintf("%.6f %.6f 0", e, n))
		}
		args := []string{"-I", "-d", "14", "+proj=utm", "+ellps=WGS84", fmt.Sprintf("+zone=%d", z.Number)}
		if z.South {
			args = append(args, "+south")
		}
		worst := 0.0
		for i, theirs := range tooltest.Numbers(t, input, "cct", args...) {
			lat, lon := z.unproject(math.Round(grid[i][0]*1e6)/1e6, math.Round(grid[i][1]*1e6)/1e6)
			north := (lat*180/math.Pi - theirs[1]) * math.Pi / 180 * SemiMajorAxisM
			middle := z.MiddleMeridian().Degrees()
			east := math.Remainder(lon*180/math.Pi+middle-theirs[0], 360) * math.Pi / 180 * math.Cos(lat) * SemiMajorAxisM
			worst = max(worst, math.Hypot(north, east))
		}
		t.Logf("%s: %.1e m at most", z, worst)
		assert.Less(t, worst, 1e-6, z.String())
	}
}

func TestUTM(t *testing.T) {
	// The middle meridian on the equator, and a quarter of the meridian by its length:
	// 10001965.729 m (WGS 84, from memory), times the scale.
	lat, lon, err := FromUTM(Zone{31, false}, 500_000, 0)
	require.NoError(t, err)
	assert.Equal(t, Nanodegree(0), lat)
	assert.Equal(t, 3*Degree, lon)
	latitude, _ := Zone{31, false}.unproject(500_000, 10_001_965.729*0.9996)
	assert.InDelta(t, math.Pi/2, latitude, 1e-9)
	for text, want := range map[string]Zone{"33N": {33, false}, "1S": {1, true}, "01S": {1, true}} {
		z, err := ParseZone(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, z, text)
	}
	for _, text := range []string{"", "33", "N", "33T", "33n", "0N", "61N", "33N ", "+3N", "003N", "3 3N"} {
		_, err := ParseZone(text)
		assert.Error(t, err, text)
	}
	for _, c := range [][2]float64{{99_999, 5e6}, {900_001, 5e6}, {5e5, -1}, {5e5, 10_000_001}, {math.NaN(), 5e6}, {5e5, math.Inf(1)}, {5e5, 9_400_000}} {
		_, _, err := FromUTM(Zone{33, false}, c[0], c[1])
		assert.Error(t, err, c)
	}
}
