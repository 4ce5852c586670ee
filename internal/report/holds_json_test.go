// The holds for programs: what the table says, member by member.
package report_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/circuit"
	"merestone/internal/missiontest"
	"merestone/internal/report"
)

func TestHoldsForPrograms(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"))
	member, ok := report.Holds(p)
	require.True(t, ok)
	assert.Equal(t, "holds", member.Name)
	text, err := json.Marshal(member.Value)
	require.NoError(t, err)
	assert.NotContains(t, string(text), "null", "lists may be empty, and are there")
	var got struct {
		Picture    []string
		Thresholds struct {
			Low  int64 `json:"low_below_mv"`
			High int64 `json:"high_above_mv"`
		}
		Faults []struct {
			With, Fault, Test string
			Run, Stop         []struct {
				Level string
				Least int64 `json:"least_mv"`
				Most  int64 `json:"most_mv"`
			}
		}
		Tests []struct{ ID, Do, Must string }
		Keep  struct {
			Holder   int64 `json:"holder_mm"`
			Reaction int64 `json:"reaction_mm"`
			Coast    int64 `json:"coast_mm"`
			Walker   int64 `json:"walker_mm"`
			Total    int64 `json:"total_mm"`
		} `json:"distance_to_keep"`
	}
	require.NoError(t, json.Unmarshal(text, &got))
	faults := circuit.Count(p.Holds.Faults.Rows).Faults
	assert.Len(t, got.Faults, faults)
	ids := map[string]bool{"": true}
	for _, s := range got.Tests {
		ids[s.ID] = true
	}
	byWritten := 0
	for _, f := range got.Faults {
		assert.True(t, ids[f.Test], "%s is found by a step that is not there", f.Fault)
		if f.Test != "" {
			byWritten++
		}
		for _, r := range append(f.Run, f.Stop...) {
			assert.LessOrEqual(t, r.Least, r.Most)
			if r.Level == "low" {
				assert.Less(t, r.Most, got.Thresholds.Low)
			}
			if r.Level == "high" {
				assert.Greater(t, r.Least, got.Thresholds.High)
			}
		}
		if f.With == "drive path" {
			assert.Empty(t, f.Run, "what lies behind the pins is not read")
		}
	}
	assert.Positive(t, byWritten)
	k := got.Keep
	assert.Equal(t, k.Total, k.Holder+k.Reaction+k.Coast+k.Walker, "the parts make the whole")
	assert.True(t, strings.HasPrefix(got.Picture[0], p.Holds.List[0].Circuit.Name))

	p.Holds.List = nil
	_, ok = report.Holds(p)
	assert.False(t, ok)
}
