package guidance

// The vectors of the twin tests reach every line of the header's functions, so that
// "equal" was said of all of them.

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

func TestVectorsReachEveryLine(t *testing.T) {
	const blocks = "400"
	reached := map[int]bool{}
	texts := map[int]string{}
	line := regexp.MustCompile(`^\s*([0-9#=*-]+):\s*(\d+):(.*)$`)
	for _, sketch := range sketches() {
		folder := writeC(t, sketch.mission(t))
		command(t, folder, "gcc", "-std=c99", "-O0", "--coverage", "-c", "host.c")
		command(t, folder, "gcc", "--coverage", "-o", "host", "host.o")
		command(t, folder, "./host", "0", blocks)
		command(t, folder, "./host", "null")
		command(t, folder, "gcov", "host.gcda")
		report, err := os.ReadFile(filepath.Join(folder, "merestone_guidance.h.gcov"))
		require.NoError(t, err)
		for _, text := range strings.Split(string(report), "\n") {
			parts := line.FindStringSubmatch(text)
			if parts == nil || parts[1] == "-" {
				continue
			}
			number, err := strconv.Atoi(parts[2])
			require.NoError(t, err)
			texts[number] = parts[3]
			if !strings.HasPrefix(parts[1], "#") && !strings.HasPrefix(parts[1], "=") {
				reached[number] = true
			}
		}
	}
	require.Greater(t, len(texts), 300, "lines with code")
	for number, text := range texts {
		assert.True(t, reached[number], "line %d: %s", number, strings.TrimSpace(text))
	}
	t.Logf("%d lines with code", len(texts))
}
