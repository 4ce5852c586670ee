package tooltest

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Cost is what one run took of the machine.
type Cost struct {
	// CPU is what its threads computed, user and system time together. A loaded
	// machine makes a run wait, and hardly makes it compute more.
	CPU time.Duration
	// Peak is the most memory that it held at a time, in bytes of RAM.
	Peak int64
}

// The variables by which a test binary is told to be the run that is measured.
const (
	measuredTest   = "MERESTONE_MEASURED_TEST"
	measuredFolder = "MERESTONE_MEASURED_FOLDER"
)

// Measured runs do on an input in a process of its own, so that neither other
// tests nor the making of the input count, and returns what do said and what it
// took. The process is the test binary again with the test that is running, which
// comes here once more: whatever the test does before it calls Measured happens in
// both, so make the input within makeInput, and call Measured once in a test or
// subtest.
//
// The peak is VmHWM of /proc/self/status, that of the process alone. Not
// rusage.Maxrss: Linux keeps that across exec (getrusage(2), "Notes"), and a child
// that did nothing read as the 407 MB that its parent held.
func Measured(t *testing.T, makeInput func() []byte, do func(input []byte) string) (said string, cost Cost) {
	t.Helper()
	if os.Getenv(measuredTest) == t.Name() {
		beMeasured(t, os.Getenv(measuredFolder), do)
	}
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "input"), makeInput(), 0o600))
	binary, err := os.Executable()
	require.NoError(t, err)
	var pattern []string
	for _, level := range strings.Split(t.Name(), "/") {
		pattern = append(pattern, "^"+regexp.QuoteMeta(level)+"$")
	}
	const patience = 2 * time.Minute // far beyond any limit, so that a run without end ends
	ctx, stop := context.WithTimeout(context.Background(), patience)
	defer stop()
	c := exec.CommandContext(ctx, binary, "-test.run", strings.Join(pattern, "/"), "-test.count=1")
	// Memory is measured as users have it, whatever the tests run with.
	c.Env = append(os.Environ(), measuredTest+"="+t.Name(), measuredFolder+"="+folder, "GOGC=100")
	var out bytes.Buffer
	c.Stdout, c.Stderr = &out, &out
	require.NoErrorf(t, c.Run(), "the measured run: %.2000s", out.String())
	said = string(measuredFile(t, folder, "said"))
	peak, err := strconv.ParseInt(string(measuredFile(t, folder, "peak")), 10, 64)
	require.NoError(t, err)
	return said, Cost{CPU: c.ProcessState.UserTime() + c.ProcessState.SystemTime(), Peak: peak}
}

// beMeasured is the measured run. It ends the process.
func beMeasured(t *testing.T, folder string, do func([]byte) string) {
	said := do(measuredFile(t, folder, "input"))
	status, err := os.ReadFile("/proc/self/status")
	require.NoError(t, err)
	found := regexp.MustCompile(`(?m)^VmHWM:\s+(\d+) kB$`).FindSubmatch(status)
	require.NotNil(t, found, "no VmHWM in /proc/self/status: peak memory is measured on Linux")
	kib, err := strconv.ParseInt(string(found[1]), 10, 64)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "said"), []byte(said), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "peak"), []byte(strconv.FormatInt(kib<<10, 10)), 0o600))
	os.Exit(0)
}

func measuredFile(t *testing.T, folder, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(folder, name))
	require.NoErrorf(t, err, "the measured run did not come to Measured with the same test name")
	return data
}
