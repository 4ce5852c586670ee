// No product is fused with a sum. Go may compute x*y + z with a single rounding
// (language specification, "Floating-point operators"), and does on arm64,
// riscv64, s390x, ppc64le and amd64 from v3 on. The last bit then differs from
// machine to machine, and a length on the edge of rounding by a millimetre. An
// explicit float64(x*y) forbids it. Here the compiler is asked where it fuses.
package hosts

import (
	"os"
	"os/exec"
	"path/filepath"
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

// The functions of the standard library that do not give the same bits everywhere,
// and where they may stand all the same: what they give is compared with measured
// figures and printed with a few digits.
var (
	uneven  = regexp.MustCompile(`\b(?:math\.(?:Sin|Cos|Sincos|Tan|Asin|Acos|Atan|Atan2|Sinh|Cosh|Tanh|Asinh|Acosh|Atanh|Exp|Exp2|Expm1|Log|Log2|Log10|Log1p|Pow|Cbrt|Hypot|Erf|Erfc|Erfinv|Erfcinv|Gamma|Lgamma)\(|cmplx\.|distuv\.)`)
	allowed = map[string]string{
		"../internal/check/tape_distance.go": "math.Erfinv(", // the factor of a confidence, times an uncertainty
		"../internal/measured/tapes.go":      "math.Erfc(",   // with what probability tapes fit worse
		"../internal/shift/outlier.go":       "math.Pow(",    // a confidence shared among marks
		"../internal/shift/significance.go":  "distuv.",      // critical values of tests
	}
)

func TestFunctionsWithTheSameBitsAreUsed(t *testing.T) {
	files := 0
	for _, pattern := range []string{"../internal/*/*.go", "../gen/*.go", "../spec/*.go"} {
		found, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, file := range found {
			if strings.HasSuffix(file, "_test.go") || strings.Contains(file, "/tooltest/") || strings.Contains(file, "/drivetest/") {
				continue
			}
			files++
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			except, listed := allowed[file]
			uses := 0
			for _, name := range uneven.FindAllString(string(text), -1) {
				uses++
				assert.True(t, listed && name == except, "%s uses %s...: take it from internal/elementary", file, name)
			}
			assert.True(t, !listed || except == "" || uses > 0, "%s no longer needs its exception", file)
		}
	}
	assert.Greater(t, files, 150)
	assert.True(t, uneven.MatchString("x := math.Atan2(y, x)"))
}
