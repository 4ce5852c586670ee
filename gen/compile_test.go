// The written headers are read by real compilers: every example, as C and as
// C++, under the strictest flags, and every value printed from two translation
// units must be the plan's.
package gen_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/guidance"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
)

// strict are the flags of DEVELOPERS.md; a warning is an error.
var strict = []string{"-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wsign-conversion", "-Wshadow", "-Wundef", "-Werror"}

// write puts the headers of a plan into a new folder.
func write(t *testing.T, p *plan.Plan) string {
	t.Helper()
	dir := t.TempDir()
	files, err := gen.Files(p, "test")
	require.NoError(t, err)
	for _, f := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644))
	}
	return dir
}

func run(t *testing.T, dir string, name string, args ...string) string {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	require.NoErrorf(t, err, "%s %s\n%s", name, strings.Join(args, " "), out)
	return string(out)
}

func TestHeadersCompileUnderStrictFlags(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		dir := write(t, p)
		compileStrictly(t, dir, fmt.Sprintf("#include \"%s_mission.h\"\n#include \"%s_mission.h\"\nint main(void) { return %s_mission.closed == 2u; }\n", p.Identifier, p.Identifier, p.Identifier))
	}
}

// compileStrictly compiles a source in a folder of headers with every compiler, as
// C and as C++.
func compileStrictly(t *testing.T, dir, source string) {
	t.Helper()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "once.c"), []byte(source), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "once.cpp"), []byte(source), 0o644))
	for _, c := range []struct {
		compiler, file string
		flags          []string
	}{
		{"gcc", "once.c", []string{"-std=c99"}},
		{"gcc", "once.c", []string{"-std=c11"}},
		{"g++", "once.cpp", []string{"-std=c++17"}},
		{"clang", "once.c", []string{"-std=c99"}},
		{"clang", "once.c", []string{"-std=c11"}},
		{"clang++", "once.cpp", []string{"-std=c++17"}},
		{"arm-none-eabi-gcc", "once.c", []string{"-std=c99", "-mcpu=cortex-m3", "-mthumb"}},
		{"arm-none-eabi-gcc", "once.c", []string{"-std=c11", "-mcpu=cortex-m3", "-mthumb", "-O2"}},
	} {
		args := append(append(c.flags, strict...), "-c", c.file, "-o", os.DevNull)
		run(t, dir, c.compiler, args...)
	}
}

var may10 = time.Date(2026, 5, 10, 0, 0, 0, 0, time.UTC)

// The header of a site shift, used as its comment says: all compilers take it,
// included twice and beside the mission's, and the board takes its numbers.
func TestShiftHeaderCompilesAndTheBoardTakesIt(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		dir := write(t, p)
		limit := int64(p.Board.Tables.Rover.MaxShiftMM)
		header, err := gen.ShiftHeader(p, gen.Shift{Day: may10, EastMM: limit, NorthMM: -limit, SineQ30: -guidance.MaxRotationQ30}, "test")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "site_shift.h"), header, 0o644))
		include := fmt.Sprintf("#include \"site_shift.h\"\n#include \"%s_mission.h\"\n#include \"site_shift.h\"\n", p.Identifier)
		compileStrictly(t, dir, include+strings.ReplaceAll(`static mere_state_t state;
int main(void)
{
    if (!mere_start(&MISSION_mission, &state, 0u)) {
        return 1;
    }
    if (MISSION_shift.day != 20260510u) {
        return 2;
    }
    return mere_set_shift(&MISSION_mission, &state, &MISSION_shift) ? 0 : 3;
}
`, "MISSION", p.Identifier))
		run(t, dir, "gcc", "-std=c99", "once.c", "-o", "once")
		run(t, dir, "./once")

		// The same of a mission that is another by one figure: its shift is refused.
		other := *p
		other.Machine.Receiver.LatencyMS++
		header, err = gen.ShiftHeader(&other, gen.Shift{Day: may10}, "test")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "site_shift.h"), header, 0o644))
		run(t, dir, "gcc", "-std=c99", "once.c", "-o", "once")
		refused := exec.Command("./once")
		refused.Dir = dir
		require.Error(t, refused.Run())
		assert.Equal(t, 3, refused.ProcessState.ExitCode())
	}
}

func TestHeadersPassCppcheck(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		dir := write(t, p)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "once.c"), []byte(fmt.Sprintf("#include \"%s_mission.h\"\nint main(void) { return %s_mission.closed == 2u; }\n", p.Identifier, p.Identifier)), 0o644))
		run(t, dir, "cppcheck", "--error-exitcode=1", "--enable=warning,performance,portability", "--std=c99", "--inline-suppr", "--quiet", "once.c")
	}
}

func TestEveryValueReadInTwoTranslationUnitsIsThePlans(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		dir := write(t, p)
		board, err := gen.Board(p, "test")
		require.NoError(t, err)
		header := fmt.Sprintf("#include \"%s_mission.h\"\n", p.Identifier)
		one := header + printer("print_one", p.Identifier+"_mission")
		two := header + printer("print_two", p.Identifier+"_mission")
		main := "void print_one(void); void print_two(void); int main(void) { print_one(); print_two(); return 0; }\n"
		for name, text := range map[string]string{"one.c": one, "two.c": two, "main.c": main} {
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
		}
		run(t, dir, "gcc", "-std=c99", "-Wall", "-Wextra", "-Werror", "one.c", "two.c", "main.c", "-o", "both")
		want := expected(board)
		assert.Equal(t, want+want, run(t, dir, "./both"), path)
	}
}

func TestSameInputSameBytes(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		a, err := gen.Files(missiontest.Resolve(t, path), "test")
		require.NoError(t, err)
		b, err := gen.Files(missiontest.Resolve(t, path), "test")
		require.NoError(t, err)
		for i := range a {
			assert.True(t, bytes.Equal(a[i].Data, b[i].Data), a[i].Name)
			assert.NotContains(t, string(a[i].Data), "\r")
			for _, c := range a[i].Data {
				require.Less(t, c, byte(0x80), "%s holds a byte that is not ASCII", a[i].Name)
			}
		}
	}
}
