// Package missiontest reads missions for tests: the examples, and others with a
// passage or two of their text replaced.
package missiontest

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
	"merestone/spec"
)

// Edit replaces the first text by the second.
type Edit = [2]string

// Changed is a text after edits. What an edit replaces must be there exactly once.
func Changed(t require.TestingT, text string, edits ...Edit) string {
	for _, e := range edits {
		require.Equal(t, 1, strings.Count(text, e[0]), "passage %q", e[0])
		text = strings.Replace(text, e[0], e[1], 1)
	}
	return text
}

// Text is a file after edits.
func Text(t require.TestingT, path string, edits ...Edit) string {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return Changed(t, string(text), edits...)
}

// Parse parses a text as that of a file; it must have no findings.
func Parse(t require.TestingT, path, text string) *spec.Mission {
	beside := func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(filepath.Dir(path), name)) }
	parsed := spec.Parse(path, []byte(text), beside)
	require.Empty(t, parsed.Findings, path)
	return parsed.Mission
}

// Resolve resolves a file after edits; it must have no findings but those of check.
func Resolve(t require.TestingT, path string, edits ...Edit) *plan.Plan {
	p, findings := plan.Resolve(Parse(t, path, Text(t, path, edits...)))
	require.Empty(t, findings, path)
	return p
}

// Example is the file of an example, by its folder; seen from that of the test.
func Example(t require.TestingT, folder string) string {
	top := "."
	for !there(filepath.Join(top, "go.mod")) {
		require.Less(t, len(top), 20, "no go.mod above")
		top = filepath.Join(top, "..")
	}
	return filepath.Join(top, "examples", folder, "mission.yaml")
}

func there(file string) bool {
	_, err := os.Stat(file)
	return err == nil
}

// Examples are the files of all examples that can be driven.
func Examples(t require.TestingT) []string {
	paths, err := filepath.Glob(Example(t, "*"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(paths), 3)
	return paths
}
