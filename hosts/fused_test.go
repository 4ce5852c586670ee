// No product is fused with a sum. Go may compute x*y + z with a single rounding
// (language specification, "Floating-point operators"), and does on arm64,
// riscv64, s390x, ppc64le and amd64 from v3 on. The last bit then differs from
// machine to machine, and a length on the edge of rounding by a millimetre. An
// explicit float64(x*y) forbids it. Here the compiler is asked where it fuses.
package hosts

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The compiler's listing: place in the source, a tab, the instruction.
var fusedIn = map[string]*regexp.Regexp{
	"arm64":   regexp.MustCompile(`\(([^()]+)\)\tFN?M(?:ADD|SUB)[SD]\b`),
	"riscv64": regexp.MustCompile(`\(([^()]+)\)\tFN?M(?:ADD|SUB)[SD]\b`),
}

func TestNothingIsFused(t *testing.T) {
	for arch, fused := range fusedIn {
		text := listing(t, arch, "..", "merestone/...")
		require.Greater(t, strings.Count(text, "FMUL"), 100, "%s: the listing shows the arithmetic", arch)
		places := map[string]bool{}
		for _, m := range fused.FindAllStringSubmatch(text, -1) {
			places[m[1]] = true
		}
		for place := range places {
			t.Errorf("%s: a product is fused with a sum: write float64(x*y) in %s", arch, place)
		}
		// It can be seen where it is.
		folder := t.TempDir()
		require.NoError(t, os.WriteFile(folder+"/go.mod", []byte("module fused\n"), 0o644))
		require.NoError(t, os.WriteFile(folder+"/f.go", []byte("package fused\n\nfunc F(x, y, z float64) float64 { return x*y + z }\n\nfunc G(x, y, z float64) float64 { return x*y - z }\n"), 0o644))
		assert.Len(t, fused.FindAllString(listing(t, arch, folder, "fused"), -1), 2, arch)
	}
}

// listing is what the compiler makes of the packages of a module.
func listing(t *testing.T, arch, folder, packages string) string {
	t.Helper()
	c := exec.Command("go", "build", "-gcflags="+packages+"=-S", "-o", os.DevNull, ".")
	c.Dir = folder
	c.Env = append(os.Environ(), "CGO_ENABLED=0", "GOARCH="+arch)
	out, err := c.CombinedOutput()
	require.NoError(t, err, "%s", out)
	return string(out)
}
