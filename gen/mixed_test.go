// Headers of two ages beside each other, as a run leaves them that is killed between
// two files.
package gen_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/guidance"
	"merestone/internal/missiontest"
)

// The guidance header stands behind what includes it, so that it is the first to be
// put into its place.
func TestTheGuidanceHeaderIsLast(t *testing.T) {
	files, err := gen.Files(missiontest.Resolve(t, missiontest.Examples(t)[0]), "test")
	require.NoError(t, err)
	require.Len(t, files, 2)
	assert.Equal(t, gen.GuidanceHeader, files[1].Name)
	assert.Contains(t, string(files[0].Data), fmt.Sprintf("#include %q", files[1].Name))
	assert.NotContains(t, string(files[1].Data), "#include \"")
}

// Of two record formats, neither mix compiles, whichever is the newer: it fails at
// the line that checks the format.
func TestHeadersOfTwoFormatsDoNotCompile(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Examples(t)[0])
	files, err := gen.Files(p, "test")
	require.NoError(t, err)
	ofFormat := func(i, format int) string {
		old := map[int]string{0: fmt.Sprintf("(MERE_RECORD_FORMAT == %d)", guidance.RecordFormat), 1: fmt.Sprintf("MERE_RECORD_FORMAT = %d,", guidance.RecordFormat)}[i]
		require.Equal(t, 1, strings.Count(string(files[i].Data), old))
		return strings.Replace(string(files[i].Data), old, strings.Replace(old, fmt.Sprint(guidance.RecordFormat), fmt.Sprint(format), 1), 1)
	}
	const now, next = guidance.RecordFormat, guidance.RecordFormat + 1
	for _, c := range []struct {
		mission, guidance int
		compiles          bool
	}{{now, now, true}, {next, next, true}, {next, now, false}, {now, next, false}} {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, files[0].Name), []byte(ofFormat(0, c.mission)), 0o644))
		require.NoError(t, os.WriteFile(filepath.Join(dir, files[1].Name), []byte(ofFormat(1, c.guidance)), 0o644))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "use.c"), fmt.Appendf(nil, "#include %q\n", files[0].Name), 0o644))
		gcc := exec.Command("gcc", "-std=c99", "-c", "use.c", "-o", "use.o")
		gcc.Dir = dir
		out, err := gcc.CombinedOutput()
		if c.compiles {
			require.NoError(t, err, string(out))
			continue
		}
		require.Error(t, err, "mission of format %d, guidance of %d", c.mission, c.guidance)
		assert.Contains(t, string(out), p.Identifier+"_check_format")
	}
}
