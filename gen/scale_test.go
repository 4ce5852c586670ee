// Large missions: writing grows with the number of legs, not with its square.
package gen_test

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/plan"
	"merestone/spec"
)

// rows is the yard with a fence of 1 km by 1 km and legs up and down in it.
func rows(t testing.TB, legs int) *plan.Plan {
	t.Helper()
	m := yardMission(t, edit{"  obstacles:\n    - {name: well, centre: W, radius: 0.8 m}\n    - {name: shed, ring: [S1, S2, S3, S4]}\n", ""})
	frame := yard(t).Site.Frame
	place := func(mark *spec.Mark, east, north float64) {
		g := frame.AtHeight(east, north, frame.Origin().HeightM)
		mark.Latitude.Value, mark.Longitude.Value = g.Latitude, g.Longitude
	}
	corners := map[string][2]float64{"F1": {-100, -100}, "F2": {900, -100}, "F3": {900, 900}, "F4": {-100, 900}}
	var pattern spec.Mark
	for i := range m.Marks {
		if c, ok := corners[m.Marks[i].Name]; ok {
			place(&m.Marks[i], c[0], c[1])
		}
		if m.Marks[i].Name == "A" {
			pattern = m.Marks[i]
		}
	}
	side := int(math.Ceil(math.Sqrt(float64(legs + 1))))
	m.Route.Waypoints = nil
	for i := range legs + 1 {
		column, row := i/side, i%side
		if column%2 == 1 {
			row = side - 1 - row
		}
		mark := pattern
		mark.Name = fmt.Sprintf("R%05d", i)
		place(&mark, float64(column)*5, float64(row)*5)
		m.Marks = append(m.Marks, mark)
		m.Route.Waypoints = append(m.Route.Waypoints, spec.Waypoint{Mark: mark.Name})
	}
	p, findings := plan.Resolve(m)
	require.Empty(t, findings)
	require.Equal(t, legs, p.Board.Tables.LegCount())
	return p
}

// Four times the legs take about four times the memory; a square would be sixteen.
// How long they take, BenchmarkFiles says.
func TestTwentyThousandLegs(t *testing.T) {
	allocated := func(p *plan.Plan) float64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		files, err := gen.Files(p, "test")
		runtime.ReadMemStats(&after)
		require.NoError(t, err)
		require.Equal(t, len(p.Route.Legs)+1, strings.Count(string(files[0].Data), "u}, /* R")+strings.Count(string(files[0].Data), "u}  /* R"), "a row for every leg, and one for the end")
		return float64(after.TotalAlloc - before.TotalAlloc)
	}
	few, many := allocated(rows(t, 5_000)), allocated(rows(t, 20_000))
	assert.Less(t, many, 6*few)
}

func BenchmarkFiles(b *testing.B) {
	for _, legs := range []int{5_000, 20_000} {
		p := rows(b, legs)
		b.Run(fmt.Sprint(legs), func(b *testing.B) {
			for b.Loop() {
				_, err := gen.Files(p, "test")
				require.NoError(b, err)
			}
		})
	}
}
