// How wide text is: what is taken from the terminal and the environment, and that every
// command keeps to it.
package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/words"
)

func TestColumns(t *testing.T) {
	for _, c := range []struct {
		fact        string
		environment string
		terminal    int
		want        int
	}{
		{"no terminal", "", 0, 80},
		{"as wide as the terminal", "", 101, 101},
		{"a narrow one", "", 40, 60},
		{"a wide one: longer lines are hard to read", "", 240, 120},
		{"the environment goes before", "70", 101, 70},
		{"without a terminal, too", "100", 0, 100},
		{"no less than places take", "20", 0, 60},
		{"as wide as is wanted", "1000", 101, 1000},
		{"nonsense is nothing", "wide", 101, 101},
		{"nor is zero", "0", 0, 80},
		{"nor less", "-5", 90, 90},
	} {
		assert.Equal(t, c.want, columns(c.environment, c.terminal), c.fact)
	}
	file, err := os.Open("terminal.go")
	require.NoError(t, err)
	defer file.Close()
	assert.Zero(t, terminalColumns(file), "a file is no terminal")
}

// Every line of text for people fits, on any width, but for a word that is longer. What a
// table needs it has on 80 columns.
func TestTextFitsTheTerminal(t *testing.T) {
	examples, err := filepath.Glob("../../examples/*/mission.yaml")
	require.NoError(t, err)
	refused, err := filepath.Glob("../../examples/refused/*/mission.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, refused)
	header := filepath.Join(t.TempDir(), "out")
	status, _, _ := run("compile", examples[2], "-o", header)
	require.Equal(t, exitClean, status)
	for columns, lines := range map[string][][]string{
		"60": {{"check", refused[3]}, {"explain", "arrival.turn"}, {"explain", "geometry.clearance"}, {"no such command, and a long name of what there is not at all"},
			{"diff", examples[0], examples[1]}, {"compile", refused[0], "-o", header}, {"shift", examples[2], filepath.Join(filepath.Dir(examples[2]), "occupations.csv")}},
		"80": {{"check", "--full", examples[0]}, {"check", "--full", examples[1]}, {"check", "--full", examples[2]}, {"check", refused[0]}, {"check", refused[5]}, {"explain"},
			{"explain", "holds.stopping"}, {"explain", "plausible.default"}, {"help"}, {"help", "check"}, {"help", "prove"}, {"help", "shift"}, {"diff", examples[1], examples[2]},
			{"verify", filepath.Join(header, "walnut_grove_rows_mission.h"), examples[2]}, {"verify", filepath.Join(header, "walnut_grove_rows_mission.h"), examples[0]}},
		"132": {{"check", examples[0]}, {"check", refused[1]}, {"explain", "arrival.turn"}},
	} {
		for _, args := range lines {
			t.Setenv("COLUMNS", columns)
			most := map[string]int{"60": 60, "80": 80, "132": 132}[columns]
			_, out, stderr := run(args...)
			widest := 0
			for line := range strings.Lines(out + stderr) {
				line = strings.TrimSuffix(line, "\n")
				cells := words.Cells(line)
				widest = max(widest, cells)
				wide := most
				if args[0] == "explain" && len(args) > 1 || strings.Contains(strings.TrimLeft(line, " "), "   ") {
					wide = max(most, words.UsualColumns) // headings and code of a page, and tables
				}
				assert.True(t, cells <= wide || strings.HasPrefix(line, "|") || len(strings.Fields(line)) <= 2, "%d columns of %s, %v: %s", cells, columns, args, line)
			}
			assert.Greater(t, widest, most/2, "%v prints something", args)
		}
	}
}
