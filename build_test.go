// docs/build.md is true: each build on the page is taken off it and run, with the tool
// that it is for, through what happens to a mission.
package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/depfile"
)

// A firmware that does nothing but hold its mission.
const firmwareOfThePage = `#include "walnut_grove_rows_mission.h"
static mere_state_t state;
int main(void)
{
    mere_start(&walnut_grove_rows_mission, &state, 0u);
    return (int)state.phase;
}
`

// program builds merestone, once for all tests that run it as a build does.
func program(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "merestone")
	out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
	require.NoError(t, err, "%s", out)
	return path
}

// builder is a tool of the page, with how it is called.
type builder struct {
	name      string
	files     map[string]string // the files that it needs, and the language of their block on the page
	configure []string
	build     []string
	out       string // the folder of what is made
	headers   string // within it
	object    string // within it
	// verifiesAgain says that it verifies where the mission was touched, though the headers
	// are the same: in the others firmware.elf hangs on what is linked alone.
	verifiesAgain bool
	// heals says that it makes a header anew that somebody edited: Ninja takes what it read
	// of the depfile to be older than the header.
	heals bool
	// remembers says that it goes on looking for a file that the mission no longer names,
	// and compiles the mission each time where that is gone, but no C; and that it does not
	// miss a header that is gone.
	remembers bool
}

func builders() []builder {
	cmake := func(name, generator string) builder {
		return builder{name: name, files: map[string]string{"CMakeLists.txt": "cmake"}, configure: []string{"cmake", "-G", generator, "-S", ".", "-B", "out"},
			build: []string{"cmake", "--build", "out"}, out: "out", headers: "gen", object: "CMakeFiles/linked.dir/main.c.o"}
	}
	onMake := cmake("CMake for Make", "Unix Makefiles")
	onMake.remembers = true
	return []builder{
		{name: "Make", files: map[string]string{"Makefile": "make"}, build: []string{"make", "-j8"}, out: ".", headers: "gen", object: "main.o"},
		cmake("CMake for Ninja", "Ninja"),
		onMake,
		{name: "Meson", files: map[string]string{"meson.build": "meson", "verified.sh": "sh"}, configure: []string{"meson", "setup", "out"},
			build: []string{"ninja", "-C", "out"}, out: "out", headers: ".", object: "linked.p/main.c.o", verifiesAgain: true, heals: true},
		{name: "Ninja", files: map[string]string{"build.ninja": "ninja", "verified.sh": "sh"}, build: []string{"ninja"}, out: ".", headers: "gen", object: "main.o", verifiesAgain: true, heals: true},
	}
}

// yard is a folder in which one builder works.
type yard struct {
	t *testing.T
	builder
	folder string
	env    []string
}

// run runs a command and gives what it printed.
func (y yard) run(command []string) (string, error) {
	c := exec.Command(command[0], command[1:]...)
	c.Dir, c.Env = y.folder, y.env
	out, err := c.CombinedOutput()
	return string(out), err
}

func (y yard) path(name ...string) string {
	return filepath.Join(append([]string{y.folder}, name...)...)
}
func (y yard) made(name ...string) string { return y.path(append([]string{y.out}, name...)...) }
func (y yard) header() string             { return y.made(y.headers, "walnut_grove_rows_mission.h") }

func (y yard) read(path string) string {
	y.t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(y.t, err)
	return string(text)
}

// edit replaces a passage of a file. File systems tell times apart that lie some
// milliseconds from each other.
func (y yard) edit(path, from, to string) {
	y.t.Helper()
	text := y.read(path)
	require.Contains(y.t, text, from)
	time.Sleep(20 * time.Millisecond)
	require.NoError(y.t, os.WriteFile(path, []byte(strings.Replace(text, from, to, 1)), 0o644))
}

// happened is what a build did.
type happened struct {
	compiled int    // how often merestone compile was called
	header   bool   // whether the mission's header has other bytes
	c        bool   // whether the C was compiled
	firmware string // "old", "new" or "none"
	failed   bool
}

// build builds, and looks at what came of it.
func (y yard) build() (happened, string) {
	y.t.Helper()
	time.Sleep(20 * time.Millisecond)
	stamp := func(path string) time.Time {
		info, err := os.Stat(path)
		if err != nil {
			return time.Time{}
		}
		return info.ModTime()
	}
	header, _ := os.ReadFile(y.header()) // none yet before the first build
	object, elf := stamp(y.made(y.object)), stamp(y.made("firmware.elf"))
	require.NoError(y.t, os.WriteFile(y.path("calls"), nil, 0o644))
	said, err := y.run(y.builder.build)
	after, _ := os.ReadFile(y.header())
	h := happened{
		compiled: strings.Count(y.read(y.path("calls")), "compile\n"),
		header:   string(after) != string(header),
		c:        stamp(y.made(y.object)) != object,
		firmware: "old", failed: err != nil,
	}
	switch now := stamp(y.made("firmware.elf")); {
	case now.IsZero():
		h.firmware = "none"
	case now != elf:
		h.firmware = "new"
	}
	return h, said
}

// builds wants something of a build.
func (y yard) builds(what string, want happened) string {
	y.t.Helper()
	got, said := y.build()
	require.Equal(y.t, want, got, "%s\n%s", what, said)
	return said
}

func TestBuildsOfThePage(t *testing.T) {
	page, err := os.ReadFile("docs/build.md")
	require.NoError(t, err)
	merestone := program(t)
	for _, b := range builders() {
		t.Run(b.name, func(t *testing.T) {
			t.Parallel()
			y := yard{t: t, builder: b, folder: t.TempDir()}
			tools := t.TempDir()
			// It counts its calls, and is of whatever version the file beside it says.
			require.NoError(t, os.WriteFile(filepath.Join(tools, "merestone"), []byte("#!/bin/sh\necho \"$1\" >> '"+y.path("calls")+"'\n"+
				"if [ \"$1\" = version ] && [ -e '"+tools+"/version' ]; then exec cat '"+tools+"/version'; fi\n"+
				"if [ \"$1\" = verify ] && rm '"+tools+"/kill' 2>/dev/null; then kill -9 $PPID; exit 1; fi\nexec '"+merestone+"' \"$@\"\n"), 0o755))
			y.env = append(os.Environ(), "PATH="+tools+":"+os.Getenv("PATH"), "MAKEFLAGS=")
			for name, language := range b.files {
				block := regexp.MustCompile("(?s)\n```" + language + "\n(.*?\n)```\n").FindSubmatch(page)
				require.NotNil(t, block, language)
				require.NoError(t, os.WriteFile(y.path(name), block[1], 0o644))
			}
			require.NoError(t, os.WriteFile(y.path("main.c"), []byte(firmwareOfThePage), 0o644))
			require.NoError(t, os.CopyFS(y.path("grove"), os.DirFS("examples/walnut-grove")))
			if b.configure != nil {
				out, err := y.run(b.configure)
				require.NoError(t, err, out)
			}
			mission, marks := y.path("grove", "mission.yaml"), y.path("grove", "trees.csv")
			const tree, moved = "T11,45.301266220,", "T11,45.301266320,"

			nothing := happened{firmware: "old"}
			all := happened{compiled: 1, header: true, c: true, firmware: "new"}
			refused := happened{compiled: 1, firmware: "old", failed: true}
			mended := happened{compiled: 1, firmware: "old"}
			if b.verifiesAgain {
				mended.firmware = "new"
			}
			y.builds("the first", all)
			first := y.read(y.header())
			y.edit(marks, tree, moved)
			y.builds("a tree was surveyed anew", all)
			y.builds("nothing has changed since", nothing)

			require.NoError(t, os.Chtimes(marks, time.Now(), time.Now()))
			y.builds("the marks_file has a new time, and nothing else", happened{compiled: 1, firmware: "old"})
			y.builds("nothing has changed since", nothing)

			before := y.read(y.header())
			y.edit(mission, "mission: ", "colour: red\nmission: ")
			assert.Contains(t, y.builds("the mission is wrong", refused), "spec.unknown-key")
			y.builds("it is still wrong", refused)
			assert.Equal(t, before, y.read(y.header()))
			y.edit(mission, "colour: red\n", "")
			y.builds("it is mended", mended)
			y.builds("nothing has changed since", nothing)

			y.edit(marks, moved, "T11,north,")
			y.builds("the marks_file is wrong", refused)
			y.edit(marks, "T11,north,", moved)
			y.builds("it is mended", happened{compiled: 1, firmware: "old"})

			y.edit(y.header(), " 500u,", " 900u,")
			if b.heals {
				y.builds("somebody edited the header", all)
				// Without what it read before, Ninja 1.11 overlooked that the marks_file is newer.
				y.builds("it compiles once more", happened{compiled: 1, firmware: "old"})
			} else {
				edited := y.read(y.header())
				assert.Contains(t, y.builds("somebody edited the header", happened{c: true, firmware: "none", failed: true}), "edited")
				y.builds("it is still edited", happened{firmware: "none", failed: true})
				assert.Equal(t, edited, y.read(y.header()))
				y.edit(mission, "mission: ", "mission: ")
				y.builds("the mission is touched", all)
			}
			assert.Equal(t, before, y.read(y.header()))
			y.builds("nothing has changed since", nothing)

			require.NoError(t, os.Remove(y.header()))
			if b.remembers {
				assert.Contains(t, y.builds("the header was removed", happened{firmware: "old", failed: true}), "No such file")
				require.NoError(t, os.Remove(y.made("gen", "mission.stamp")))
			}
			y.builds("the header was removed", all)
			y.builds("nothing has changed since", nothing)

			copied := y.path("walnut_grove_rows_mission.h")
			require.NoError(t, os.WriteFile(copied, []byte(first), 0o644))
			y.edit(y.path("main.c"), "phase", "leg")
			assert.Contains(t, y.builds("the compiler finds a copy of an old header", happened{c: true, firmware: "none", failed: true}), "another plan")
			require.NoError(t, os.Remove(copied))
			y.edit(y.path("main.c"), "leg", "phase")
			y.builds("it is removed", happened{c: true, firmware: "new"})

			// Killed at once, Make has no time to remove what it began.
			require.NoError(t, os.WriteFile(filepath.Join(tools, "kill"), nil, 0o644))
			y.edit(y.path("main.c"), "phase", "leg")
			y.builds("it is killed while it verifies", happened{c: true, firmware: "none", failed: true})
			y.builds("the next verifies", happened{firmware: "new"})

			require.NoError(t, os.Rename(marks, y.path("grove", "felled.csv")))
			assert.Contains(t, y.builds("the marks_file is gone", refused), `there is no file "trees.csv"`)
			y.edit(mission, "marks_file: trees.csv", "marks_file: felled.csv")
			y.builds("the mission names another", mended)
			if b.remembers {
				nothing.compiled = 1
			}
			y.builds("nothing has changed since", nothing)
			y.edit(y.path("grove", "felled.csv"), moved, tree)
			y.builds("a tree of that one was surveyed anew", all)

			require.NoError(t, os.WriteFile(filepath.Join(tools, "version"), []byte("another\n"), 0o644))
			y.builds("another version of merestone", happened{compiled: 1, firmware: "old"})
			y.builds("nothing has changed since", nothing)
		})
	}
}

// CMake reads a depfile itself and hands it on to Make or Ninja in words of its own. Names
// that it takes wrong, with $ or # or a colon, lose nothing: it works too often, or stops.
func TestCMakeReadsDepfiles(t *testing.T) {
	sources := []string{"one two  three.csv", "mission (1).yaml", "é日\u00a0ß.csv", "!+,-.@_{}~.csv", "feature%2Fnew/m.yaml", "-x", "@MISSION@", "{}", "100%"}
	for _, generator := range []string{"Ninja", "Unix Makefiles"} {
		t.Run(generator, func(t *testing.T) {
			t.Parallel()
			folder := t.TempDir()
			write := func(name, text string) {
				require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(folder, name)), 0o755))
				require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644))
			}
			works := func(command ...string) string {
				write("ran", "")
				time.Sleep(20 * time.Millisecond)
				c := exec.Command("cmake", command...)
				c.Dir, c.Env = folder, append(os.Environ(), "MAKEFLAGS=")
				out, err := c.CombinedOutput()
				require.NoError(t, err, "%s", out)
				ran, err := os.ReadFile(filepath.Join(folder, "ran"))
				require.NoError(t, err)
				return string(ran)
			}
			write("mission", "")
			lists, all, numbers := "cmake_minimum_required(VERSION 3.20)\nproject(names NONE)\n", "", ""
			for i, source := range sources {
				write(source, "")
				stamp := fmt.Sprintf("%d.stamp", i)
				rule, err := depfile.Rule([]string{stamp}, []string{folder + "/mission", folder + "/" + source})
				require.NoError(t, err)
				write(fmt.Sprintf("%d.d", i), string(rule))
				lists += fmt.Sprintf("add_custom_command(OUTPUT %d.stamp COMMAND cp ../%[1]d.d %[1]d.d && echo %[1]d >> ../ran && touch %[1]d.stamp DEPFILE %[1]d.d DEPENDS ../mission)\n", i)
				all += " " + stamp
				numbers += fmt.Sprintln(i)
			}
			write("CMakeLists.txt", lists+"add_custom_target(all_of_them ALL DEPENDS"+all+")\n")
			works("-G", generator, "-S", ".", "-B", "out")
			sorted := func(ran string) []string {
				lines := strings.Fields(ran)
				slices.Sort(lines)
				return lines
			}
			assert.Equal(t, sorted(numbers), sorted(works("--build", "out")))
			assert.Empty(t, works("--build", "out"))
			for _, source := range sources {
				require.NoError(t, os.Chtimes(filepath.Join(folder, source), time.Now(), time.Now()))
			}
			assert.Equal(t, sorted(numbers), sorted(works("--build", "out")))
			assert.Empty(t, works("--build", "out"))
		})
	}
}
