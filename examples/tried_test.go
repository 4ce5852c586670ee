// The record of the commissioning in the missions here: the names of the steps that were
// passed follow from the wiring, and change with every word of a step.
package examples

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/pipeline"
	"merestone/internal/source"
)

// passed is the list of steps in a mission.
var passed = regexp.MustCompile(`(?s)\n  passed: \[.*?\]\n`)

// wiring is what a mission says from its holds on.
func wiring(mission string) string { return mission[strings.Index(mission, "\nholds:"):] }

// tried is a mission of which every step of the written test was passed: of the wiring that
// it has. One of which no test can be made has passed none.
func tried(t *testing.T, mission string) string {
	t.Helper()
	require.Len(t, passed.FindAllString(mission, -1), 1)
	name := filepath.ToSlash(filepath.Join(t.TempDir(), "mission.yaml"))
	require.NoError(t, os.WriteFile(name, []byte(mission), 0o644))
	return withPassed(t, name, mission)
}

// withPassed writes the steps of the mission of a file into its text.
func withPassed(t *testing.T, name, text string) string {
	t.Helper()
	s, err := source.File(name, nil)
	require.NoError(t, err)
	list := "[]"
	if m := pipeline.Load(s); m.Plan != nil && len(m.Plan.Holds.Faults.Tests) > 0 {
		const perLine = 10
		list = "["
		for i, step := range m.Plan.Holds.Faults.Tests {
			switch {
			case i > 0 && i%perLine == 0:
				list += ",\n           "
			case i > 0:
				list += ", "
			}
			list += step.ID
		}
		list += "]"
	}
	return passed.ReplaceAllLiteralString(text, "\n  passed: "+list+"\n")
}

func writeTried(t *testing.T, mission string) {
	t.Helper()
	text, err := os.ReadFile(filepath.FromSlash(mission))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.FromSlash(mission), []byte(withPassed(t, mission, string(text))), 0o644))
}
