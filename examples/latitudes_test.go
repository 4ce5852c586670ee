// The yard drawn at every kind of latitude: it compiles wherever there is a frame,
// up to near the poles, with the same standoffs.
package examples

import (
	"fmt"
	"os"
	"path"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/pipeline"
	"merestone/internal/source"
)

// changed is the yard with changes, taken through every stage.
func changed(t *testing.T, changes ...Change) pipeline.Mission {
	t.Helper()
	text, err := os.ReadFile(base)
	require.NoError(t, err)
	c := Case{Folder: "changed", Rule: "none", Change: changes}
	drawn, _ := c.Layout()
	mission, err := c.Mission(withMarks(t, string(text), drawn))
	require.NoError(t, err)
	name := path.Join(t.TempDir(), "mission.yaml")
	require.NoError(t, os.WriteFile(name, []byte(mission), 0o644))
	s, err := source.File(name, nil)
	require.NoError(t, err)
	return pipeline.Load(s)
}

func TestTheYardCompilesAtEveryLatitude(t *testing.T) {
	for _, degrees := range []float64{0, 0.001, 30, 60, 80, 85.98, 86, 87, 88, 89, 89.5, 89.8} {
		for _, sign := range []float64{1, -1} {
			at := geodesy.Geodetic{Latitude: geodesy.Nanodegree(sign * degrees * 1e9), Longitude: 25_913_700_000, HeightM: 168}
			m := changed(t, Change{Origin: at})
			require.Empty(t, only(m.Findings, diag.Error), "%g", sign*degrees)
			_, err := gen.Files(m.Plan, "test")
			require.NoError(t, err, "%g", sign*degrees)
			assert.LessOrEqual(t, m.Plan.Board.Tables.Conversion.BoundUM, uint32(800), "%g", sign*degrees)
			assert.Equal(t, "0.893", fmt.Sprintf("%.3f", float64(m.Plan.Route.Legs[0].Line.TotalMM)/1000), "%g", sign*degrees)
		}
	}
}
