// Parse against folders: each under testdata/cases has a mission.yaml, perhaps a
// marks.csv, and in want.txt every finding as it is printed. Folders whose name
// begins with "good" have none. After a change of words,
//
//	go test ./spec -run TestCases -update
//
// rewrites want.txt, and the difference is for review.
package spec

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

var update = flag.Bool("update", false, "rewrite want.txt of every case")

// within opens files of a folder.
func within(folder string) Opener {
	return func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(folder, filepath.FromSlash(name))) }
}

// folders lists the folders with a mission that match a pattern.
func folders(t *testing.T, pattern string) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(pattern, "mission.yaml"))
	require.NoError(t, err)
	require.NotEmpty(t, found)
	for i, file := range found {
		found[i] = filepath.Dir(file)
	}
	return found
}

func parseFolder(t *testing.T, folder string) Result {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, "mission.yaml"))
	require.NoError(t, err)
	return Parse("mission.yaml", text, within(folder))
}

func printed(t *testing.T, r Result) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, diag.WriteText(&out, r.Findings, r.Sources, diag.Terminal{}))
	return out.String()
}

func TestCases(t *testing.T) {
	for _, folder := range folders(t, "testdata/cases/*") {
		t.Run(filepath.Base(folder), func(t *testing.T) {
			got := printed(t, parseFolder(t, folder))
			file := filepath.Join(folder, "want.txt")
			if strings.HasPrefix(filepath.Base(folder), "good") {
				assert.Empty(t, got)
				return
			}
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			assert.NotEmpty(t, got)
			assert.Equal(t, string(want), got)
		})
	}
}
