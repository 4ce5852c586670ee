// The Makefile's lists of systems and packages are whole: nothing is left out of
// them silently.
package hosts

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// variable is the words of a variable of the Makefile.
func variable(t *testing.T, name string) []string {
	text, err := os.ReadFile("../Makefile")
	require.NoError(t, err)
	joined := strings.ReplaceAll(string(text), "\\\n", " ")
	m := regexp.MustCompile(`(?m)^` + name + ` = (.*)$`).FindStringSubmatch(joined)
	require.NotNil(t, m, name)
	return strings.Fields(m[1])
}

// withTests are the packages of patterns that have tests.
func withTests(t *testing.T, patterns ...string) []string {
	c := exec.Command("go", append([]string{"list", "-f", "{{if or .TestGoFiles .XTestGoFiles}}{{.ImportPath}}{{end}}"}, patterns...)...)
	c.Dir = ".."
	out, err := c.Output()
	require.NoError(t, err)
	return strings.Fields(string(out))
}

func TestMostPackagesAreTestedIn32Bits(t *testing.T) {
	listed := variable(t, "TESTS_64_ONLY")
	not := withTests(t, listed...)
	assert.Len(t, not, len(listed), "each has tests")
	assert.LessOrEqual(t, len(not), 14)
	c := exec.Command("make", "-n", "test-32")
	c.Dir = ".."
	said, err := c.Output()
	require.NoError(t, err)
	run := 0
	for _, name := range withTests(t, "./...") {
		there := regexp.MustCompile(`\s` + regexp.QuoteMeta(name) + `(\s|$)`).Match(said)
		assert.NotEqual(t, slices.Contains(not, name), there, "%s is tested in 32 bits, or is said not to be", name)
		if there {
			run++
		}
	}
	assert.Greater(t, run, 20)
}

func TestWhatIsNotRepeatedIn32BitsIsThere(t *testing.T) {
	skipped := variable(t, "SKIPPED_32")
	for _, name := range skipped {
		c := exec.Command("grep", "-rlE", "--include=*_test.go", "^func "+name+`\(`, "../gen", "../internal", "../spec")
		out, err := c.Output()
		require.NoError(t, err, name)
		assert.Len(t, strings.Fields(string(out)), 1, "%s: one test has this name", name)
		assert.Regexp(t, `/(guidance|gen|circuit|diff|figures|verify|spec|check|planar|plan|pipeline|yaml|nmea|simplify|interchange)/`, string(out), name)
	}
	assert.LessOrEqual(t, len(skipped), 40)
}

// What compiles for one processor compiles for all of as many bits: no file is for some alone.
func TestNoFileIsForOneProcessor(t *testing.T) {
	processor := regexp.MustCompile(`(?m)_(386|amd64|arm|arm64|riscv64)(_test)?\.go$|^//go:build .*\b(386|amd64|arm|arm64|riscv64)\b`)
	files := 0
	require.NoError(t, filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".go" {
			return err
		}
		files++
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.False(t, processor.MatchString(path) || processor.Match(text), path)
		return nil
	}))
	assert.Greater(t, files, 300)
	assert.True(t, processor.MatchString("a_arm64_test.go") && processor.MatchString("//go:build linux && 386") && !processor.MatchString("farm.go"))
}

func TestTheSystems(t *testing.T) {
	assert.Subset(t, variable(t, "SYSTEMS"), []string{
		"windows/amd64", "windows/arm64", "windows/386", "darwin/amd64", "darwin/arm64", "freebsd/amd64", "freebsd/arm64",
		"linux/amd64", "linux/arm64", "linux/riscv64", "linux/386", "linux/arm",
	})
	out, err := exec.Command("go", "tool", "dist", "list").Output()
	require.NoError(t, err)
	assert.Subset(t, strings.Fields(string(out)), variable(t, "SYSTEMS"))
	assert.Subset(t, variable(t, "SYSTEMS"), variable(t, "VETTED"))
	readme, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	vetted := map[string]bool{"linux": true} // by make lint
	for _, s := range variable(t, "VETTED") {
		system, _, _ := strings.Cut(s, "/")
		vetted[system] = true
	}
	for _, s := range variable(t, "SYSTEMS") {
		assert.True(t, vetted[strings.Split(s, "/")[0]], "no test is compiled for %s", s)
		system, processor, _ := strings.Cut(s, "/")
		named := map[string]string{"windows": "Windows", "darwin": "macOS", "freebsd": "FreeBSD", "linux": "Linux"}[system]
		assert.Regexp(t, `(?m)^\| `+named+` \|.*\b`+processor+`\b`, string(readme), "the README names %s", s)
	}
}
