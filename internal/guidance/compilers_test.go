package guidance

// The header as compilers, linkers and analysers see it.

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// warnings are the flags under which the header must be clean.
var warnings = []string{"-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wsign-conversion", "-Wshadow", "-Wundef", "-Wredundant-decls", "-Wmissing-declarations", "-Werror"}

// writeAlone adds a source for each function of the header that calls it alone and
// includes the header twice, and one that calls none.
func writeAlone(t *testing.T, folder string) []string {
	t.Helper()
	const include = "#include \"merestone_guidance.h\"\n#include \"merestone_guidance.h\"\n"
	text := header(t)
	sources := map[string]string{"alone.c": include + "typedef int alone_t;\n"}
	for _, name := range publicFunctions(text) {
		f := regexp.MustCompile(`static inline ([^;]*?)(\b` + name + `)(\([^;]*\));`).FindStringSubmatch(text)
		require.NotNil(t, f, name)
		var names []string
		for _, parameter := range regexp.MustCompile(`\w+[,)]`).FindAllString(f[3], -1) {
			names = append(names, parameter[:len(parameter)-1])
		}
		call := name + "(" + strings.Join(names, ", ") + ");"
		if f[1] != "void " {
			call = "return " + call
		}
		alone := f[1] + "alone_" + name + f[3]
		sources[name+".c"] = include + alone + ";\n" + alone + "\n{\n    " + call + "\n}\n"
	}
	for name, source := range sources {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(source), 0o644))
	}
	return slices.Sorted(maps.Keys(sources))
}

func TestCompilersAreSilent(t *testing.T) {
	folder := writeC(t, orchard().mission(t))
	alone := writeAlone(t, folder)
	arm := []string{"-mcpu=cortex-m3", "-mthumb"}
	for _, c := range []struct {
		compiler, standard string
		options            []string
		links              bool
	}{
		{"gcc", "c99", nil, true},
		{"gcc", "c11", nil, true},
		{"g++", "c++17", nil, true},
		{"clang", "c99", nil, true},
		{"clang", "c11", nil, true},
		{"clang++", "c++17", nil, true},
		{"arm-none-eabi-gcc", "c99", arm, false},
		{"arm-none-eabi-gcc", "c11", arm, false},
		{"arm-none-eabi-g++", "c++17", arm, false},
		{"riscv64-unknown-elf-gcc", "c99", []string{"-march=rv32imac", "-mabi=ilp32", "-ffreestanding"}, false},
	} {
		t.Run(c.compiler+" "+c.standard, func(t *testing.T) {
			args := append([]string{"-std=" + c.standard, "-O1"}, append(c.options, warnings...)...)
			if strings.HasSuffix(c.compiler, "++") {
				args = append(args, "-x", "c++")
			}
			args = args[:len(args):len(args)]
			command(t, folder, c.compiler, append(append(args, "-O0", "-c"), alone...)...)
			if !c.links {
				command(t, folder, c.compiler, append(args, "-c", "use.c", "both.c")...)
				return
			}
			command(t, folder, c.compiler, append(args, "-o", "both", "use.c", "both.c")...)
			command(t, folder, "./both")
		})
	}
}

// footprint is what the functions take on the emulated board's processor.
type footprint struct {
	text, constants int
	stack           map[string]int
	undefined       []string
}

func measure(t *testing.T, folder, optimisation string) footprint {
	t.Helper()
	command(t, folder, "arm-none-eabi-gcc", "-std=c99", "-mcpu=cortex-m3", "-mthumb", optimisation, "-fstack-usage", "-c", "-o", "use.o", "use.c")
	f := footprint{stack: map[string]int{}}
	for _, line := range strings.Split(command(t, folder, "arm-none-eabi-size", "-A", "use.o"), "\n") {
		fields := strings.Fields(line)
		if len(fields) < 2 {
			continue
		}
		size, _ := strconv.Atoi(fields[1])
		switch {
		case strings.HasPrefix(fields[0], ".text"):
			f.text += size
		case strings.HasPrefix(fields[0], ".rodata"):
			f.constants += size
		case strings.HasPrefix(fields[0], ".data"), strings.HasPrefix(fields[0], ".bss"):
			assert.Zero(t, size, "the header has a variable in %s", fields[0])
		}
	}
	usage, err := os.ReadFile(filepath.Join(folder, "use.su"))
	require.NoError(t, err)
	for _, line := range strings.Split(strings.TrimSpace(string(usage)), "\n") {
		fields := strings.Split(line, "\t")
		require.Len(t, fields, 3, line)
		require.Equal(t, "static", fields[2], "the stack frame has a fixed size")
		name := fields[0][strings.LastIndex(fields[0], ":")+1:]
		f.stack[name], err = strconv.Atoi(fields[1])
		require.NoError(t, err)
	}
	for _, line := range strings.Split(command(t, folder, "arm-none-eabi-nm", "-u", "use.o"), "\n") {
		if fields := strings.Fields(line); len(fields) == 2 {
			f.undefined = append(f.undefined, fields[1])
		}
	}
	return f
}

// Nothing of the C library but what any compiler may call for initialisers: in
// particular no floating point and no 64-bit division.
func TestFootprint(t *testing.T) {
	folder := writeC(t, orchard().mission(t))
	said := regexp.MustCompile(`stack (\d+) bytes at most\s[* ]*\((\d+) with -Os\)`).FindStringSubmatch(header(t))
	require.NotNil(t, said)
	for i, c := range []struct {
		optimisation    string
		code, constants int
	}{
		{"-O2", 12 * 1024, 704},
		{"-Os", 8 * 1024, 704},
	} {
		t.Run(c.optimisation, func(t *testing.T) {
			f := measure(t, folder, c.optimisation)
			for _, symbol := range f.undefined {
				assert.Contains(t, []string{"memset", "memcpy"}, symbol, "the object needs a library")
				assert.NotRegexp(t, `^__aeabi_[df]`, symbol)
			}
			// The largest of the functions that a firmware calls, which do not call one
			// another, and all others together bound the deepest call: there is no
			// recursion.
			called, deepest := 0, 0
			names := make([]string, 0, len(f.stack))
			for name, bytes := range f.stack {
				if strings.HasPrefix(name, "use_") {
					called = max(called, bytes)
				} else {
					deepest += bytes
				}
				names = append(names, name)
			}
			deepest += called
			sort.Strings(names)
			for _, name := range names {
				t.Logf("stack of %-32s %4d bytes", name, f.stack[name])
			}
			t.Logf("code %d bytes, constants %d bytes, of the stack at most %d bytes", f.text, f.constants, deepest)
			assert.LessOrEqual(t, f.text, c.code, "code")
			assert.LessOrEqual(t, f.constants, c.constants, "constants")
			stack, err := strconv.Atoi(said[i+1])
			require.NoError(t, err)
			assert.LessOrEqual(t, deepest, stack, "stack: the header says less")
		})
	}
}

// The record is in the image whatever the compiler and the linker leave out, even
// if nothing else of the mission is used.
func TestRecordIsInEveryImage(t *testing.T) {
	m := orchard().mission(t)
	folder := writeC(t, m)
	source := "#include \"board.h\"\n#include \"mission.h\"\nint main(void) { static mere_state_t state; return mere_start(&MISSION, &state, 0u) ? 0 : 1; }\n"
	require.NoError(t, os.WriteFile(filepath.Join(folder, "record.c"), []byte(source), 0o644))
	want := append([]byte(Magic+"\x00"), RecordFormat, 0, 0, 0)
	want = append(want, m.Record.Digest[:]...)
	want = append(want, m.Record.Mission...)
	for _, c := range []struct {
		board   emulated
		options []string
	}{
		{boards[0], []string{"-O2"}},
		{boards[0], []string{"-O3", "-fwhole-program"}},
		{boards[0], []string{"-Os", "-flto", "-ffunction-sections", "-fdata-sections", "-Wl,--gc-sections"}},
		{boards[1], []string{"-Os", "-ffunction-sections", "-fdata-sections", "-Wl,--gc-sections"}},
	} {
		c.board.build(t, folder, append(c.options, "-std=c99", "-o", "record.elf", "record.c")...)
		command(t, folder, strings.Replace(c.board.compiler[0], "-gcc", "-objcopy", 1), "-O", "binary", "record.elf", "record.bin")
		for _, name := range []string{"record.elf", "record.bin"} {
			image, err := os.ReadFile(filepath.Join(folder, name))
			require.NoError(t, err)
			assert.Equal(t, 1, bytes.Count(image, want), "%s %s %v", c.board.name, name, c.options)
		}
	}
}

func TestCppcheckIsSilent(t *testing.T) {
	folder := writeC(t, orchard().mission(t))
	for _, language := range []string{"--std=c99", "--std=c11", "--std=c++17"} {
		args := []string{"--enable=all", "--inconclusive", "--error-exitcode=1", "--quiet", language,
			"--suppress=missingIncludeSystem", // the system's headers are not what is checked
			"--suppress=unusedFunction",       // a header's functions are used elsewhere
		}
		if language == "--std=c++17" {
			args = append(args, "--language=c++")
		}
		assert.Empty(t, command(t, folder, "cppcheck", append(args, "use.c")...), language)
	}
}

func TestClangTidyIsSilent(t *testing.T) {
	folder := writeC(t, orchard().mission(t))
	checks := "-*,bugprone-*,cert-*," +
		// Coordinates come in pairs of one type, in the order of the trade: east and
		// north, latitude and longitude, speed and time. The names carry the units.
		"-bugprone-easily-swappable-parameters"
	out := command(t, folder, "clang-tidy", "--quiet", "--warnings-as-errors=*", "--header-filter=.*", "--checks="+checks, "use.c", "--", "-std=c99", "-I.")
	assert.NotContains(t, out, "warning:")
}

// The rules of MISRA C:2012 that the header departs from are those that it says it
// does. The addon's checks of initialisers (rules 9.x) are left out: those of the
// packaged version stop with an error on nested structs.
func TestMisraDeparturesAreDeclared(t *testing.T) {
	folder := writeC(t, orchard().mission(t))
	// With stand-ins for the two system headers, which cppcheck does not read: it has
	// to know the types.
	stand := filepath.Join(folder, "system")
	require.NoError(t, os.Mkdir(stand, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(stand, "stdint.h"), []byte("typedef signed char int8_t;\ntypedef unsigned char uint8_t;\ntypedef short int16_t;\n"+
		"typedef unsigned short uint16_t;\ntypedef int int32_t;\ntypedef unsigned int uint32_t;\ntypedef long long int64_t;\ntypedef unsigned long long uint64_t;\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(stand, "stdbool.h"), []byte("#define bool _Bool\n#define true 1\n#define false 0\n"), 0o644))
	command(t, folder, "cppcheck", "--dump", "--std=c99", "--quiet", "--platform=unix32", "-Isystem", "use.c")
	addons, err := filepath.Glob("/usr/lib/*/cppcheck/addons")
	require.NoError(t, err)
	addons = append(addons, "/usr/share/cppcheck/addons")
	script := fmt.Sprintf(`import sys
sys.path[:0] = %s
import misra_9
misra_9.misra_9_x = lambda *a, **k: None
import misra
sys.argv = ["misra.py", "--cli", "use.c.dump"]
misra.main()`, strings.ReplaceAll(fmt.Sprintf("%q", addons), `" "`, `", "`))
	found := map[string]bool{}
	cmd := exec.Command("python3", "-c", script)
	cmd.Dir = folder
	out, _ := cmd.Output() // its status tells of findings
	for _, line := range strings.Split(string(out), "\n") {
		var finding struct{ File, ErrorID string }
		if json.Unmarshal([]byte(line), &finding) == nil && filepath.Base(finding.File) == "merestone_guidance.h" {
			found[strings.TrimPrefix(finding.ErrorID, "c2012-")] = true
		}
	}
	header, err := os.ReadFile(filepath.Join(folder, "merestone_guidance.h"))
	require.NoError(t, err)
	declared := map[string]bool{}
	for _, line := range regexp.MustCompile(`(?m)^ \* - Rules? [^:]*:`).FindAll(header, -1) {
		for _, rule := range regexp.MustCompile(`\d+\.\d+`).FindAll(line, -1) {
			declared[string(rule)] = true
		}
	}
	require.NotEmpty(t, found, "%s", out)
	for rule := range found {
		assert.True(t, declared[rule], "departs from rule %s and does not say so", rule)
	}
	for rule := range declared {
		assert.True(t, found[rule] || rule[:2] == "2.", "says that it departs from rule %s and does not", rule)
	}
}
