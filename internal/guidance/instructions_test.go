package guidance

// Instructions on the emulated Cortex-M3: the budgets, and what the header says of
// each function. These are counts and not times: they are the same on every run.
//
// go test -run TestInstructions -v prints them beside the usual way in double
// precision; so does go test -bench Board.

import (
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
	counts = map[string]instructions{}
	for _, line := range boards[0].run(t, folder, "bench.elf", "-icount", "shift=8") {
		fields := strings.Fields(line)
		var values []int
		for _, field := range fields[1:] {
			value, err := strconv.Atoi(field)
			require.NoError(t, err, line)
			values = append(values, value)
		}
		if fields[0] == "state" {
			stateBytes = values[0]
			continue
		}
		require.Len(t, values, 3, line)
		counts[fields[0]] = instructions{values[0], values[1], values[2]}
		names = append(names, fields[0])
	}
	return counts, names, stateBytes
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
	assert.LessOrEqual(t, counts["step-anywhere"].worst, 1420, "whole step")
	assert.LessOrEqual(t, counts["step-driving-with-fix"].worst, 1150, "whole step")
	assert.LessOrEqual(t, counts["step-driving-with-fix"].mean, 860, "whole step, typically")
	assert.LessOrEqual(t, counts["step-driving-without-fix"].mean, 470, "without a fix")
	assert.LessOrEqual(t, stateBytes, 168, "state")

	// What it was measured against: thousands, in both functions.
	assert.Greater(t, counts["double-distance"].mean, 20*counts["fix"].worst)
	assert.Greater(t, counts["double-bearing"].mean, 20*counts["bearing"].worst)

	// What the header says.
	header, err := os.ReadFile(filepath.Join("..", "..", "templates", "merestone_guidance.h"))
	require.NoError(t, err)
	said := regexp.MustCompile(`Instructions: (\d+)[^/]*\*/\nstatic inline \w+ (mere_\w+)\(`).FindAllSubmatch(header, -1)
	measured := map[string]string{
		"mere_local_from_fix": "fix", "mere_track": "track", "mere_bearing": "bearing", "mere_length": "length",
		"mere_fence_margin": "margin", "mere_step": "step-anywhere",
	}
	require.Len(t, said, len(measured))
	for _, s := range said {
		limit, err := strconv.Atoi(string(s[1]))
		require.NoError(t, err)
		worst := counts[measured[string(s[2])]].worst
		assert.LessOrEqual(t, worst, limit, "%s", s[2])
		assert.GreaterOrEqual(t, worst, limit*9/10, "%s: the header says too much", s[2])
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
