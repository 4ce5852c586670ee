// Marks of the fence know their entries in the mission's lists, and the entries of
// the board's table the marks that they are of.
package plan_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/planar"
)

func TestMarksOfTheFenceKnowTheirEntries(t *testing.T) {
	p := yard(t)
	at := func(line, column, width int) diag.Position {
		return diag.Position{File: yardFile, Line: line, Column: column, Width: width}
	}
	f := &p.Fence
	assert.Equal(t, []diag.Position{at(50, 14, 2), at(50, 18, 2), at(50, 22, 2), at(50, 26, 2)},
		[]diag.Position{f.Boundary.Marks[0].At, f.Boundary.Marks[1].At, f.Boundary.Marks[2].At, f.Boundary.Marks[3].At})
	well, shed := f.Obstacles[0], f.Obstacles[1]
	assert.Equal(t, []string{"geofence.boundary", "geofence.obstacles[0]", "geofence.obstacles[1]"}, []string{f.Boundary.Path, well.Path, shed.Path})
	assert.Equal(t, at(52, 28, 1), well.Marks[0].At, "centre: W")
	assert.Equal(t, at(53, 35, 2), shed.Marks[2].At, "S3")
	for _, m := range f.Marks() {
		assert.Equal(t, p.Survey.Marks[m.Number].Name, m.Name)
	}
}

func TestEntriesOfTheBoardsFenceKnowTheirMarks(t *testing.T) {
	for fact, e := range map[string]edit{
		"as it is":                     {"boundary: [F1, F2, F3, F4]", "boundary: [F1, F2, F3, F4]"},
		"the other way round":          {"boundary: [F1, F2, F3, F4]", "boundary: [F3, F2, F1, F4]"},
		"an obstacle between":          {"    - {name: well, centre: W, radius: 0.8 m}\n", "    - {name: hut, ring: [W, S2, S3]}\n    - {name: well, centre: W, radius: 0.8 m}\n"},
		"the shed the other way round": {"ring: [S1, S2, S3, S4]", "ring: [S2, S1, S4, S3]"},
	} {
		p := yard(t, e)
		require.Len(t, p.Board.Vertices, len(p.Board.Tables.Fence.Edges), fact)
		for i, edge := range p.Board.Tables.Fence.Edges {
			v := p.Board.Vertices[i]
			mark := p.Fence.Part(v.Part).Marks[v.Number]
			assert.Equal(t, planar.Point{E: int64(edge.EastMM), N: int64(edge.NorthMM)}, p.Survey.Marks[mark.Number].Point, "%s: entry %d", fact, i)
		}
	}
}
