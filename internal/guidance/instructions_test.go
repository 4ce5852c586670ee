package guidance

// Instructions on the emulated Cortex-M3: the budgets, and what the header says of
// each function. These are counts and not times: they are the same on every run.
//
// go test -run TestInstructions -v prints them beside the usual way in double
// precision; so does go test -bench Board.

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type instructions struct{ worst, mean, runs int }

// countInstructions runs testdata/bench.c on the orchard. It returns the counts by
// name, in the order printed, and the size of the state.
func countInstructions(t testing.TB, optimisation string) (counts map[string]instructions, names []string, stateBytes int) {
	t.Helper()
	folder := writeC(t, orchard().mission(t))
	boards[0].build(t, folder, "-std=c99", optimisation, "-o", "bench.elf", "bench.c")
	lines := boards[0].run(t, folder, "bench.elf", "-icount", "shift=8")
	state := lines[len(lines)-1]
	stateBytes, err := strconv.Atoi(strings.TrimPrefix(state, "state "))
	require.NoError(t, err, state)
	for _, line := range lines[:len(lines)-1] {
		names = append(names, strings.Fields(line)[0])
	}
	return readCounts(t, lines[:len(lines)-1]), names, stateBytes
}

// readCounts reads lines of name, worst, mean, runs.
func readCounts(t testing.TB, lines []string) map[string]instructions {
	t.Helper()
	counts := map[string]instructions{}
	for _, line := range lines {
		var name string
		var c instructions
		_, err := fmt.Sscan(line, &name, &c.worst, &c.mean, &c.runs)
		require.NoError(t, err, line)
		counts[name] = c
	}
	return counts
}

func TestInstructions(t *testing.T) {
	counts, names, stateBytes := countInstructions(t, "-O2")
	t.Logf("%-28s %8s %8s %8s", "instructions", "worst", "mean", "runs")
	for _, name := range names {
		c := counts[name]
		t.Logf("%-28s %8d %8d %8d", name, c.worst, c.mean, c.runs)
		require.Positive(t, c.mean, name)
	}

	// The budgets.
	assert.LessOrEqual(t, counts["fix"].worst, 100, "fix to local")
	assert.LessOrEqual(t, counts["step-anywhere"].worst, 1530, "whole step")
	assert.LessOrEqual(t, counts["step-driving-with-fix"].worst, 1250, "whole step")
	assert.LessOrEqual(t, counts["step-driving-with-fix"].mean, 940, "whole step, typically")
	assert.LessOrEqual(t, counts["step-driving-without-fix"].mean, 510, "without a fix")
	assert.LessOrEqual(t, stateBytes, 176, "state")

	// What it was measured against: thousands, in both functions.
	assert.Greater(t, counts["double-distance"].mean, 20*counts["fix"].worst)
	assert.Greater(t, counts["double-bearing"].mean, 20*counts["bearing"].worst)

	// What the header says.
	header, err := os.ReadFile(filepath.Join("..", "..", "templates", "merestone_guidance.h"))
	require.NoError(t, err)
	for _, c := range []struct {
		says, function string
		measured       int
	}{
		{`Instructions: (\d+)\.`, "mere_local_from_fix", counts["fix"].worst},
		{`Instructions: (\d+)\.`, "mere_track", counts["track"].worst},
		{`Instructions: (\d+)\.`, "mere_bearing", counts["bearing"].worst},
		{`Instructions: (\d+)\.`, "mere_length", counts["length"].worst},
		{`typically (\d+)\.`, "mere_fence_margin", counts["margin"].mean},
		{`typically (\d+) with a fix`, "mere_step", counts["step-driving-with-fix"].mean},
	} {
		text := regexp.MustCompile(c.says + `[^/]*\*/\nstatic inline \w+ ` + c.function + `\(`).FindSubmatch(header)
		require.NotNil(t, text, "%s: %s", c.function, c.says)
		said, err := strconv.Atoi(string(text[1]))
		require.NoError(t, err)
		assert.LessOrEqual(t, c.measured, said, c.function)
		assert.GreaterOrEqual(t, c.measured, said*9/10, "%s: the header says too much", c.function)
	}
}

func BenchmarkBoard(b *testing.B) {
	for _, optimisation := range []string{"-O2", "-Os"} {
		counts, names, _ := countInstructions(b, optimisation)
		for _, name := range names {
			b.Run(optimisation+"/"+name, func(b *testing.B) {
				b.ReportMetric(0, "ns/op")
				b.ReportMetric(float64(counts[name].worst), "worst-instructions")
				b.ReportMetric(float64(counts[name].mean), "mean-instructions")
			})
		}
	}
}
