// A shift between its mission and its board.
package shift

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/guidance"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
)

func grove(t *testing.T) *plan.Plan {
	t.Helper()
	p := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"))
	require.True(t, p.Complete(), p.Incomplete)
	return p
}

// What is refused here is what the board's own function refuses, to the
// millimetre; and what is far beyond an int32, too.
func TestTheBoardsLimitsAreThoseOfItsTwin(t *testing.T) {
	p := grove(t)
	board := p.Board.Tables
	board.Record.Format = guidance.RecordFormat
	limit := float64(board.Rover.MaxShiftMM)
	angle := math.Asin(guidance.MaxRotationQ30 / float64(1<<30))
	step := 1 / float64(1<<30)
	answers := map[bool]int{}
	for _, east := range []float64{0, limit, limit + 0.4, limit + 0.6, -limit, -limit - 0.4, -limit - 0.6} {
		for _, north := range []float64{0, limit + 0.4, limit + 0.6, -limit - 0.4, -limit - 0.6} {
			for _, rotation := range []float64{0, angle, angle + step, -angle, -angle - step} {
				b := forBoard(Solution{EastMM: east, NorthMM: north, RotationRad: rotation})
				var s guidance.State
				require.True(t, board.Start(&s, 0))
				takes := board.SetShift(&s, b.SiteShift(board.Record.Digest, 20260510))
				assert.Equal(t, takes, b.taken(p), "%v", b)
				answers[takes]++
			}
		}
	}
	assert.NotZero(t, answers[true])
	assert.NotZero(t, answers[false])

	b := forBoard(Solution{EastMM: 1 << 32, NorthMM: -12_000_000_000})
	assert.Equal(t, Board{EastMM: 1 << 32, NorthMM: -12_000_000_000}, b)
	assert.False(t, b.taken(p))
}

// find finds the shift of some fixes on the walnut grove's marks.
func find(t *testing.T, p *plan.Plan, fixes string) (Result, error) {
	t.Helper()
	return Find(p, Request{Name: "today.csv", Fixes: strings.NewReader(fixes)})
}

// Fixes are read as the mission's own marks are: on a mark's own coordinates
// nothing is left but the rounding of the mark to whole millimetres.
func TestOccupationsOfAMission(t *testing.T) {
	p := grove(t)
	found, err := find(t, p, "name,latitude,longitude,uncertainty\nK1,45.301173008,6.123349004,1 cm\nK2,\"45°18'06.1688196\"\"N\",6.124183304,12 mm\n")
	require.NoError(t, err)
	assert.Empty(t, found.Findings)
	assert.InDelta(t, 0, found.Solution.EastMM, 0.51)
	assert.InDelta(t, 0, found.Solution.NorthMM, 0.51)
	for i, r := range found.Solution.Residuals {
		assert.Equal(t, []string{"K1", "K2"}[i], r.Name)
		assert.InDelta(t, math.Hypot(10, []float64{10, 12}[i]), r.StdMM, 1e-3) // and the last digit's 0.03 mm
	}
	for text, want := range map[string]string{
		"": "the file is empty",
		"name,latitude,longitude,uncertainty\nK1,95.3,6.1,1 cm\n":                                           "mark K1: latitude",
		"name,latitude,longitude,uncertainty\nK1,45.3,6.1,1\n":                                              "mark K1: 1 has no unit",
		"name,latitude,longitude,uncertainty\nK1,45.301173008,6.123349004,1 cm\nK9,45.301173008,6.1,1 cm\n": "line 3: mark K9 is not a mark of the mission",
	} {
		_, err := find(t, p, text)
		assert.ErrorContains(t, err, want)
	}
}
