// Bearings and level distances in a frame, against the geodesic by GeodSolve, and at
// height against the ground distance.
package geodesy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

// ray is where a bearing and a level distance lead from a point, as a plan draws it.
func ray(f Frame, from Geodetic, azimuth, distance, height float64) Local {
	drawn := from
	drawn.HeightM = f.Origin().HeightM
	at := f.ToLocal(drawn)
	sin, cos := math.Sincos(azimuth)
	p := f.Level(at, height)
	return Local{
		EastM:  at.EastM + (p.EastByEast*sin+p.EastByNorth*cos)*distance,
		NorthM: at.NorthM + (p.NorthByEast*sin+p.NorthByNorth*cos)*distance,
	}
}

// On the ellipsoid itself a level distance is the geodesic: the direct problem. What the
// plane at the mark leaves out is s²/2R·d/R, 1 mm for 2 km at 20 km from the origin.
func TestLevelAgainstGeodSolve(t *testing.T) {
	r := rand.New(rand.NewPCG(1986, 14))
	type line struct {
		frame             Frame
		azimuth, distance float64
		from              Geodetic
		allowed           float64
	}
	var lines []line
	var input []string
	for _, origin := range origins(2) {
		origin.HeightM = 0
		if math.Abs(origin.Latitude.Degrees()) > 80 {
			continue // where the board's conversion ends
		}
		frame := mustFrame(t, origin)
		for range 4 {
			away := 20_000 * r.Float64()
			from := near(origin, away, r.Float64()*2*math.Pi, 0)
			azimuth := math.Round(r.Float64()*360e6) / 1e6
			distance := math.Round(math.Exp(r.Float64()*math.Log(2_000))*1e4) / 1e4
			lines = append(lines, line{frame, azimuth * math.Pi / 180, distance, from, 0.0003 + distance*distance*away/(2*6.35e6*6.35e6)})
			input = append(input, fmt.Sprintf("%s %s %.6f %.4f", from.Latitude, from.Longitude, azimuth, distance))
		}
	}
	worst := 0.0
	for i, output := range tooltest.Lines(t, input, "GeodSolve", "-p", "9") {
		l := lines[i]
		want := l.frame.ToLocal(geodeticOf(t, append(strings.Fields(output)[:2:2], "0")))
		got := ray(l.frame, l.from, l.azimuth, l.distance, 0)
		off := math.Hypot(got.EastM-want.EastM, got.NorthM-want.NorthM)
		assert.LessOrEqual(t, off, l.allowed, input[i])
		worst = max(worst, off)
	}
	require.Greater(t, len(lines), 150)
	t.Logf("%d lines, at worst %.2f mm", len(lines), worst*1000)
}

// At other heights, the ground distance and the azimuth are what was measured. The azimuth
// is that of the geodesic below: seen from the height h of a mark, the normals at its two
// ends are askew by e² s cos²φ sin 2α/2R, which at 3200 m and 500 m is up to 0.9 mm.
func TestLevelAtHeights(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1887))
	for _, origin := range origins(5) {
		if math.Abs(origin.Latitude.Degrees()) > 80 {
			continue
		}
		origin.HeightM = 3000 * r.Float64()
		frame := mustFrame(t, origin)
		from := near(origin, 15_000*r.Float64(), r.Float64()*2*math.Pi, origin.HeightM)
		height := origin.HeightM + 400*(r.Float64()-0.5)
		azimuth, distance := r.Float64()*2*math.Pi, 1+500*r.Float64()
		to := ray(frame, from, azimuth, distance, height)
		there := frame.AtHeight(to.EastM, to.NorthM, origin.HeightM)
		assert.InDelta(t, distance, GroundDistance(from, there, height), 0.0005)
		_, back, _, err := Geodesic(from, there)
		require.NoError(t, err)
		assert.InDelta(t, 0, math.Sin(back-azimuth)*distance, 0.001)
	}
}
