package report_test

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/missiontest"
	"merestone/internal/report"
	"merestone/internal/words"
)

// No line is wider than a terminal of 80 columns, whatever example is printed, and none
// wider than the terminal where that is wider: of the figures nothing is cut.
func TestReportsFitTheTerminal(t *testing.T) {
	for _, name := range []string{"walnut-grove", "running-track", "salt-pan", "warned/sky-canopy"} {
		r := examined(t, name)
		for _, columns := range []int{0, 80, 120} {
			r.Columns = columns
			var out bytes.Buffer
			require.NoError(t, r.Full(&out))
			widest := 0
			for line := range strings.Lines(out.String()) {
				line = strings.TrimSuffix(line, "\n")
				widest = max(widest, words.Cells(line))
				assert.Equal(t, strings.TrimRight(line, " "), line)
			}
			most := max(columns, words.UsualColumns)
			assert.LessOrEqual(t, widest, most, "%s on %d columns", name, columns)
			assert.Greater(t, widest, most-10, "what fits is not folded")
		}
	}
}

// A name as long as a mission may have stands on a line of its own.
func TestLongNamesStandAboveTheirFigures(t *testing.T) {
	r := examined(t, "walnut-grove")
	long := strings.Repeat("long name ", 5) + "of a leg"
	r.Plan.Route.Legs[1].ID = long
	var out bytes.Buffer
	require.NoError(t, r.Short(&out))
	assert.Contains(t, out.String(), "\n  "+long+"\n             29.000   16.26      13.3  -1.00   0.30\n")
}

// What is left is never shown as more than it is, and the leg that is nearest to being
// refused is named with its limit.
func TestReserves(t *testing.T) {
	r := examined(t, "walnut-grove")
	r.Reserves = []diag.Reserve{
		{Rule: "a", Severity: diag.Error, Limit: "clearance", At: r.Plan.Subject(diag.Leg, 2), Has: 1999, Needs: 1000, Unit: words.Millimetre},
		{Rule: "b", Severity: diag.Error, Limit: "arrival tolerance", At: r.Plan.Subject(diag.Waypoint, 3), Has: 500, Needs: 400, Unit: words.Millimetre},
		{Rule: "c", Severity: diag.Error, Limit: "cruise speed", At: r.Plan.Subject(diag.Leg, 0), Has: 600, Needs: 600, Unit: words.PerSecond, Chosen: true},
		{Rule: "d", Severity: diag.Warning, Limit: "hidden sky", At: r.Plan.Subject(diag.Waypoint, 1), Has: 0.1, Needs: 0.2, Unit: words.Percentage},
		{Rule: "e", Severity: diag.Warning, Limit: "a tape", At: r.Plan.Subject(diag.Tape, 0), Has: 0, Needs: 0, Unit: words.Millimetre},
	}
	section := func(write func(io.Writer) error) string {
		var out bytes.Buffer
		require.NoError(t, write(&out))
		_, after, found := strings.Cut(out.String(), "RESERVES\n")
		require.True(t, found)
		text, _, _ := strings.Cut(after, "\n\n")
		return text
	}
	const nearest = `  nearest to being refused is leg P1–L1N at its end, waypoint L1N, by arrival
      tolerance: 0.100 m left of 0.500 m (20 %)
`
	const table = `  limit              least is left at    has  needs   left          %
  arrival tolerance  waypoint L1N      0.500  0.400  0.100  m      20
  clearance          leg P1–L1N        1.999  1.000  0.999  m      49
  cruise speed       leg START–L1S      0.60   0.60   0.00  m/s   set
  hidden sky *       waypoint L1S       10.0   20.0  -10.0  %    -100
`
	const legend = `  Has: what there is, or is allowed. Needs: what is needed or taken of it. Left:
  the one less the other, and in % of what there is; below zero the rule
  refuses. *: it warns, or is told in a note. Set: both are written in the
  mission.`
	assert.Equal(t, nearest+table+"  and 1 more limit that warns, kept (--full)\n"+legend, section(r.Short))
	refused := r
	refused.Reserves = []diag.Reserve{{Severity: diag.Error, Limit: "clearance", At: r.Plan.Subject(diag.Leg, 2), Has: 1000, Needs: 1001, Unit: words.Millimetre}}
	assert.Contains(t, section(refused.Short), "  farthest beyond a limit is leg P1–L1N, by clearance: it has 1.000 m and needs\n      1.001 m\n")
	assert.Equal(t, nearest+table+"  a tape *           tape F1–F2        0.000  0.000  0.000  m       0\n"+legend, section(r.Full))
}

func TestDriveAndReservesForPrograms(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "running-track"))
	_, reserves := check.Examine(p)
	for _, m := range []diag.Member{report.Drive(p), diag.Reserves(reserves), diag.Reserves(nil)} {
		text, err := json.Marshal(m.Value)
		require.NoError(t, err)
		assert.NotContains(t, string(text), "null", m.Name)
	}
	text, err := json.Marshal(report.Drive(p).Value)
	require.NoError(t, err)
	var got struct {
		Total    float64 `json:"total_s"`
		Distance float64 `json:"distance_m"`
		Legs     []struct {
			Leg     string
			TravelS float64 `json:"travel_s"`
			StopS   float64 `json:"stop_s"`
			DwellS  float64 `json:"dwell_s"`
			UntilS  float64 `json:"until_s"`
		}
	}
	require.NoError(t, json.Unmarshal(text, &got))
	sum := 0.0
	for i, l := range got.Legs {
		sum += l.TravelS + l.StopS + l.DwellS
		assert.Equal(t, p.Route.Legs[i].ID, l.Leg)
		assert.InDelta(t, sum, l.UntilS, 1e-6)
	}
	assert.InDelta(t, sum, got.Total, 1e-6)
	assert.Len(t, got.Legs, 18)
	assert.InDelta(t, 427.2, got.Distance, 0.1)
}
