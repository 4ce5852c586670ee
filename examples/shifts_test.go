// The occupations of one day on the walnut grove's control marks, good and bad: each bad
// one is refused, or doubted, by the rule that stands beside it.
package examples

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/missiontest"
	"merestone/internal/shift"
)

// Occupied are the files of occupations, and for each the rule by which it is refused,
// or doubted; empty where nothing is to be said.
func Occupied() []struct {
	File string
	Rule diag.ID
	Only diag.Severity
} {
	type row = struct {
		File string
		Rule diag.ID
		Only diag.Severity
	}
	return []row{
		{"today", "", 0}, {"simulated", "", 0},
		{"disagree", "shift.fit", diag.Error},
		{"missing", "shift.missing-mark", diag.Error},
		{"other", "shift.other-mark", diag.Error},
		{"uncertain", "shift.uncertainty", diag.Error},
		{"beyond", "shift.bound", diag.Error},
		{"turned", "shift.rotation", diag.Warning},
		{"few", "shift.occupation", diag.Warning},
	}
}

func occupied(t *testing.T, file string) shift.Result {
	t.Helper()
	fixes, err := os.Open(filepath.Join("shifts", file+".csv"))
	require.NoError(t, err)
	defer fixes.Close()
	found, err := shift.Find(missiontest.Resolve(t, "walnut-grove/mission.yaml"), shift.Request{Name: "shifts/" + file + ".csv", Fixes: fixes})
	require.NoError(t, err)
	return found
}

func TestOccupations(t *testing.T) {
	listed := map[string]bool{}
	for _, c := range Occupied() {
		t.Run(c.File, func(t *testing.T) {
			listed[c.File+".csv"], listed[c.File+".want.txt"] = true, c.Rule != ""
			found := occupied(t, c.File)
			assert.Equal(t, c.Only == diag.Error, found.Refused())
			if c.Rule == "" {
				assert.Empty(t, found.Findings)
				return
			}
			assert.Equal(t, []diag.ID{c.Rule}, rules(found.Findings, c.Only))
			want := filepath.Join("shifts", c.File+".want.txt")
			got := printed(t, found.Findings, nil)
			if *update {
				require.NoError(t, os.WriteFile(want, []byte(got), 0o644))
			}
			text, err := os.ReadFile(want)
			require.NoError(t, err)
			assert.Equal(t, string(text), got)
		})
	}
	there, err := os.ReadDir("shifts")
	require.NoError(t, err)
	for _, f := range there {
		assert.True(t, listed[f.Name()] || f.Name() == "README.md", f.Name())
	}
	shown := map[diag.ID]bool{}
	for _, c := range Occupied() {
		shown[c.Rule] = true
	}
	for _, rule := range shift.Rules() {
		assert.True(t, shown[rule.ID] && strings.HasPrefix(string(rule.ID), "shift."), "no occupations for the rule %s", rule.ID)
	}
}
