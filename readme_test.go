// The README's blocks that show what the program prints are what it prints:
// `go test . -run README -update` rewrites them.
package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/cli"
	"merestone/spec"
)

var update = flag.Bool("update", false, "rewrite the README's blocks")

// printed runs the program and returns what it wrote to either stream.
func printed(t *testing.T, status int, args ...string) string {
	t.Helper()
	t.Setenv("COLUMNS", "") // as wide as where there is no terminal
	var out bytes.Buffer
	require.Equal(t, status, cli.Run(args, strings.NewReader(""), &out, &out), out.String())
	return out.String()
}

// block puts text between the marker comments of a name.
func block(t *testing.T, readme, name, text string) string {
	t.Helper()
	begin, end := "<!-- "+name+":begin -->\n", "<!-- "+name+":end -->"
	before, rest, ok := strings.Cut(readme, begin)
	require.True(t, ok, "the README has no block %s", name)
	_, after, ok := strings.Cut(rest, end)
	require.True(t, ok, "the README's block %s has no end", name)
	return before + begin + text + end + after
}

func fenced(language, text string) string { return "```" + language + "\n" + text + "```\n" }

// smallMission is the small mission of the README.
func smallMission(t *testing.T) string {
	t.Helper()
	written, err := os.ReadFile("README.md")
	require.NoError(t, err)
	_, rest, begins := strings.Cut(string(written), "<!-- small:begin -->\n```yaml\n")
	mission, _, ends := strings.Cut(rest, "```\n<!-- small:end -->")
	require.True(t, begins && ends)
	return mission
}

// The small mission of the README is whole: it compiles as it stands, and nothing is said
// against it but that nobody has tried the machine.
func TestREADMEsSmallMission(t *testing.T) {
	mission := smallMission(t)
	lines := strings.Count(mission, "\n")
	assert.True(t, 20 <= lines && lines <= 40, "%d lines", lines)
	folder := t.TempDir()
	path := filepath.Join(folder, "mission.yaml")
	require.NoError(t, os.WriteFile(path, []byte(mission), 0o644))
	said := printed(t, 0, "check", path)
	assert.Contains(t, said, "[commissioning.record]")
	assert.Contains(t, said, ": 0 errors, 1 warning, ")
	printed(t, 0, "compile", path, "-o", filepath.Join(folder, "out"))
	assert.FileExists(t, filepath.Join(folder, "out", "yard_mission.h"))
}

func TestREADMEShowsWhatIsPrinted(t *testing.T) {
	written, err := os.ReadFile("README.md")
	require.NoError(t, err)

	header := printed(t, 0, "compile", "examples/walnut-grove/mission.yaml", "-o", "-")
	start := strings.Index(header, " * LEGS")
	require.Positive(t, start)
	stop := strings.Index(header[start:], " * HOLDS")
	require.Positive(t, stop)
	holds := header[start+stop:]
	end := strings.Index(holds, " * MEMORY")
	require.Positive(t, end)
	table := strings.Index(header, "/* Of the waypoint: east")
	require.Positive(t, table)
	rows := strings.SplitN(header[table:], "\n", 8)
	excerpt := header[start:start+stop] + " * ...\n */\n" + strings.Join(rows[:7], "\n") + "\n    ...\n"

	refused := "$ merestone check examples/refused/clearance-boundary/mission.yaml\n"
	shown := false // the notes are left out, and the lines that go with them
	for _, line := range strings.SplitAfter(printed(t, 1, "check", "examples/refused/clearance-boundary/mission.yaml"), "\n") {
		if strings.HasPrefix(line, "examples/") || line == "\n" {
			shown = strings.Contains(line, ": error: ")
		}
		if shown {
			refused += line
		}
	}
	require.Contains(t, refused, "geometry.clearance")

	want := block(t, string(written), "excerpt", fenced("c", excerpt))
	want = block(t, want, "holds", fenced("c", " * ...\n"+holds[:end]+" * ...\n"))
	want = block(t, want, "refused", fenced("", refused))
	want = block(t, want, "reference", spec.Reference())
	if *update {
		require.NoError(t, os.WriteFile("README.md", []byte(want), 0o644))
		return
	}
	assert.Equal(t, want, string(written), "run: go test . -run README -update")
}
