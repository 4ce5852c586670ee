// Rewriting testdata/golden.txt with the tool that made it.
package magnetic

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite testdata/golden.txt (installs two npm packages in a temporary folder)")

// rewriteGolden also checks that the embedded coefficients are the packages'.
func rewriteGolden(t *testing.T) {
	t.Helper()
	dir := t.TempDir()
	install := exec.Command("npm", "install", "--no-audit", "--no-fund", "--ignore-scripts",
		"--prefix", dir, "geomagnetism@0.2.0", "magvar@2.2.0")
	out, err := install.CombinedOutput()
	require.NoError(t, err, "%s", out)

	run := func(mode string) []byte {
		cmd := exec.Command("node", "testdata/tables.mjs", mode, dir)
		var stderr bytes.Buffer
		cmd.Stderr = &stderr
		out, err := cmd.Output()
		require.NoError(t, err, "%s", stderr.String())
		return out
	}
	require.Equal(t, coefficientFile, string(run("cof")), "WMM.COF is not what the packages carry")
	require.NoError(t, os.WriteFile("testdata/golden.txt", run("golden"), 0o644))
}
