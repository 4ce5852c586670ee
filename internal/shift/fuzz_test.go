// Occupations from anywhere: what is found is finite and of the mission's marks, and a
// shift that is not refused is of all control marks, as good as the mission was proved
// with, and one that the board takes.
package shift

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/guidance"
	"merestone/internal/missiontest"
)

func FuzzReadOccupations(f *testing.F) {
	p := missiontest.Resolve(f, missiontest.Example(f, "walnut-grove"))
	board := p.Board.Tables
	board.Record.Format = guidance.RecordFormat
	const header = "name,latitude,longitude,uncertainty\n"
	for _, text := range []string{
		header + "K1,45.301173011,6.123349017,1 cm\nK2,45.301713561,6.124183304,1 cm\n",
		header + "K1,45.301173011,6.123349017,\nK1,45.301173015,6.123349012,\nK1,45.301173018,6.123349019,\n",
		header + "K1,45.301173011,6.123349017,1 cm\nK1,45.301173011,6.123349017,2 cm\nBASE,45°18'05.0688612\"N,6.123300048,3 mm\n",
		header + "K1,90,180,1 cm\nK2,-90,-180,1 cm\n", header + "K1,0,0,1000 km\n", header + "K1,45.3,6.1,0 m\n", header + "K1,45.3,6.1,-1 m\n", header + "X,45.3,6.1,1 m\n", header + "K1,45.3,6.1,1e300 m\n",
		header + strings.Repeat("K1,45.301173011,6.123349017,\n", 12), header + "K1,45.301173008,6.123349004,0.000001 m\nK2,45.301713561,6.124183304,0.000001 m\nF1,45.3012,6.1234,1000 km\n",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		lines := strings.Count(text, "\n") + 1
		for _, q := range []Request{{}, {OtherMarks: true}, {OtherMarks: true, EstimateVariance: true}} {
			q.Name, q.Fixes = "today.csv", strings.NewReader(text)
			found, err := Find(p, q)
			if err != nil {
				require.NotEmpty(t, err.Error())
				require.Less(t, len(err.Error()), 100*(len(text)+1_000))
				return
			}
			for _, f := range found.Findings {
				assert.True(t, f.At.Line >= 0 && f.At.Line <= lines)
				require.NotContains(t, f.Message()+f.Remedy, "%!")
				require.NotContains(t, f.Message()+f.Remedy, "NaN")
			}
			s := found.Solution
			seen := map[string]bool{}
			for _, r := range s.Residuals {
				require.False(t, seen[r.Name], "each mark once")
				seen[r.Name] = true
			}
			for _, v := range []float64{s.EastMM, s.NorthMM, s.RotationRad, found.AchievedMM, found.PlannedMM} {
				require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v", s)
			}
			require.True(t, s.EastStdMM > 0 && s.NorthStdMM > 0, "%+v", s)
			require.False(t, s.Rotated, "the mission asks for no rotation")
			if found.Refused() {
				continue
			}
			// What is not refused the board takes, and the drive may rest on it.
			require.True(t, q.OtherMarks || seen["K1"] && seen["K2"] && len(seen) == 2)
			require.True(t, seen["K1"] && seen["K2"])
			require.LessOrEqual(t, found.AchievedMM, found.PlannedMM+0.01)
			require.LessOrEqual(t, math.Hypot(s.MovedEastMM, s.MovedNorthMM), p.BaseShiftMM()*1.01)
			var state guidance.State
			require.True(t, board.Start(&state, 0))
			require.True(t, board.SetShift(&state, found.Board.SiteShift(board.Record.Digest, 20260510)))
		}
	})
}
