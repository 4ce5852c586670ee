package guidance

// The C header against its Go twin on the host: ten million vectors and more,
// under the address and undefined-behaviour sanitizers.

import (
	"bufio"
	"fmt"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// hostVectors is the number of vectors over all missions.
const hostVectors = 10_500_000

func command(t testing.TB, folder, name string, args ...string) string {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Dir = folder
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s %s\n%s", name, strings.Join(args, " "), out)
	return string(out)
}

// sanitized compiles a program under the address and undefined-behaviour sanitizers.
func sanitized(t testing.TB, folder, program string) {
	t.Helper()
	command(t, folder, "gcc", "-std=c99", "-O1", "-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all",
		"-Wall", "-Wextra", "-Werror", "-o", program, program+".c", "-lm")
}

// lineByLine starts a program that prints a line for each block from 0 on. The first
// function gives the next of them, the second waits for the program's end.
func lineByLine(t testing.TB, folder, program string, blocks uint32) (next func() string, ended func()) {
	t.Helper()
	cmd := exec.Command(filepath.Join(folder, program), "0", fmt.Sprint(blocks))
	var stderr strings.Builder
	cmd.Stderr = &stderr
	pipe, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(pipe)
	next = func() string {
		require.True(t, lines.Scan(), "%s ended early: %s", program, &stderr)
		return lines.Text()
	}
	return next, func() { require.NoError(t, cmd.Wait(), "%s", &stderr) }
}

func TestTwinOnHost(t *testing.T) {
	missions := sketches()
	blocks := uint32(hostVectors/blockVectors/len(missions) + 1)
	var seen sights
	for _, sketch := range missions {
		t.Run(sketch.name, func(t *testing.T) {
			m := sketch.mission(t)
			folder := writeC(t, m)
			sanitized(t, folder, "host")
			command(t, folder, "./host", "null")
			next, ended := lineByLine(t, folder, "host", blocks)
			v := newVectors(m)
			for block := range blocks {
				want := v.block(block)
				got, err := strconv.ParseUint(next(), 16, 64)
				require.NoError(t, err)
				if got != want {
					requireSameTrace(t, folder, m, block)
				}
			}
			ended()
			t.Logf("%d vectors, equal; steps by phase %v", blocks*blockVectors, v.seen.phases)
			seen.add(v.seen)
		})
	}
	// The vectors reached everything.
	require.Equal(t, Reasons(1<<reasonCount-1), seen.reasons)
	require.Equal(t, Events(1<<eventCount-1), seen.events)
	for phase, steps := range seen.phases {
		require.Greater(t, steps, 1000, "steps in phase %v", Phase(phase))
	}
}

// requireSameTrace fails with the first vector of a block that C and Go disagree
// about.
func requireSameTrace(t testing.TB, folder string, m *Mission, block uint32) {
	t.Helper()
	c := strings.Split(command(t, folder, "./host", "trace", fmt.Sprint(block)), "\n")
	v := newVectors(m)
	v.trace = &strings.Builder{}
	v.block(block)
	for i, line := range strings.Split(v.trace.String(), "\n") {
		require.Equal(t, line, c[i], "block %d, vector %d: Go is expected, C is actual", block, i)
	}
	require.Fail(t, "digests differ but traces do not", "block %d", block)
}
