// Names that try to act on the terminal, or to forge a line of output, given to every
// command wherever one takes a name. Each run is compared with the same run under an
// honest name: the same status, and the same lines but for the name, written out.
package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// honest is the name that hostile ones are compared with.
const honest = "honest"

// hostile are names of files. A file system takes any byte but / and zero.
func hostile() []string {
	return []string{
		"a\x1b]0;title\x07", "a\x1b[2J\x1b[H", "a\u009b31mb", "a\bb\x7f\v\fc",
		"a\nmission.yaml: compiled (0 errors, 0 warnings, 0 notes)\n", "a\r\nb", "a\tb", "a\u2028b\u2029c\u0085d",
		"a\u202egpj.b", "\u2066a\u2069", "\u200ea\u200f\u061c", "a\u200bb\u200d\ufeff\u2060", "a\u00a0b\u3000c", "\xff\xfe", "a\xe2\x80",
	}
}

// wanted is what may stand in text for people.
func wanted(t *testing.T, text, of string) {
	t.Helper()
	require.True(t, utf8.ValidString(text), "%s: %q", of, text)
	for _, r := range text {
		if r != '\n' && (unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Bidi_Control) || r == '\u00a0' || r == '\u3000') {
			t.Fatalf("%s: %U in %q", of, r, text)
		}
	}
}

// stage is a folder with everything that commands take, under one name, in a git
// repository; it becomes the current folder.
func stage(t *testing.T, name string) {
	t.Helper()
	t.Chdir(t.TempDir())
	grove, err := os.ReadFile(filepath.Join(groveFolder, "mission.yaml"))
	require.NoError(t, err)
	trees, err := os.ReadFile(filepath.Join(groveFolder, "trees.csv"))
	require.NoError(t, err)
	put := func(file, text string) { require.NoError(t, os.WriteFile(file, []byte(text), 0o644)) }
	put("trees.csv", string(trees))
	put(name+".yaml", string(grove))
	put(name+"-looser.yaml", strings.Replace(string(grove), "arrival_tolerance:", "arrival_tolerance: 31 cm #", 1))
	put(name+"-refused.yaml", strings.Replace(string(grove), "trees.csv", "no.csv", 1)+"\nfoo: 1\n")
	put(name+"-broken.yaml", "a: [")
	put(name+".csv", "name,latitude,longitude,uncertainty\nK1,45.301177508,6.123394,1 m\nK9,45,6,1 cm\nK1,x,6,\n")
	put(name+"-marks.csv", "name,lat,lon\nK1,45.30118,6.1234\nK9,45.30119,6.1235\n")
	put(name+".bin", "\x00\x01 no mission")
	put(name+".txt", "no header\n")
	log := k1(8)
	log.Fixes = 30
	put(name+".nmea", string(log.Text()))
	require.NoError(t, os.Mkdir("bin", 0o755)) // with an analyser that only repeats what it is given
	require.NoError(t, os.WriteFile("bin/frama-c", []byte("#!/bin/sh\nfolder=${PWD%/proof}\nprintf '<%s>' \"${folder##*/}\"\nexit 1\n"), 0o755))
	here, err := os.Getwd()
	require.NoError(t, err)
	t.Setenv("PATH", filepath.Join(here, "bin")+string(os.PathListSeparator)+os.Getenv("PATH"))
	require.NoError(t, os.Mkdir(name, 0o755))
	require.NoError(t, os.Mkdir(name+"-taken", 0o755))
	require.NoError(t, os.Mkdir(filepath.Join(name+"-taken", "merestone_guidance.h"), 0o755))
	for _, args := range [][]string{{"init", "-q"}, {"add", "-A"}, {"-c", "user.name=surveyor", "-c", "user.email=surveyor@example.org", "commit", "-q", "-m", "all"}} {
		out, err := exec.Command("git", args...).CombinedOutput()
		require.NoErrorf(t, err, "git %q: %s", args, out)
	}
}

// groveFolder is set before the tests change their folder.
var groveFolder, _ = filepath.Abs("../../examples/walnut-grove")

// withName are command lines with a NAME in them, in an order in which one can use
// what another wrote.
func withName() []string {
	return []string{
		"NAME", "NAME NAME", "--NAME", "-NAME", "help NAME", "help help NAME", "version NAME", "schema NAME", "completion NAME", "--version=NAME",
		"explain NAME", "explain NAME NAME", "explain --NAME",
		"check NAME.yaml", "check NAME.yaml --full --strict", "check NAME-refused.yaml", "check NAME-broken.yaml", "check NAME", "check no-NAME.yaml",
		"check NAME.yaml NAME.yaml", "check NAME.yaml --format NAME", "check NAME.yaml --full=NAME", "check NAME.yaml/NAME", "check NAME.csv", "check NAME.bin",
		"new yard -o NAME-new.yaml", "new yard -o NAME-new.yaml", "new yard -o NAME-new.yaml --force", "new yard -o NAME.yaml/x", "new yard --width NAME",
		"figures NAME.yaml", "figures NAME-refused.yaml", "figures no-NAME.yaml",
		"compile NAME.yaml", "compile NAME.yaml -o NAME/out", "compile NAME.yaml -o NAME/out", "compile NAME.yaml -o NAME.csv", "compile NAME.yaml -o NAME.csv/x",
		"compile NAME.yaml -o NAME-taken", "compile NAME-refused.yaml -o NAME", "compile no-NAME.yaml -o NAME", "compile NAME.yaml -o -",
		"shift NAME.yaml NAME.csv", "shift NAME.yaml no-NAME.csv", "shift NAME.yaml NAME", "shift NAME-refused.yaml NAME.csv", "shift NAME.yaml NAME.csv -o NAME",
		"shift NAME.yaml NAME.csv -o NAME.h", "shift NAME.yaml NAME.bin", "shift NAME NAME NAME",
		"import NAME.csv", "import NAME.txt", "import NAME.bin", "import NAME", "import no-NAME.csv", "import NAME-marks.csv --into NAME.yaml --dry-run", "import NAME-marks.csv --into no-NAME.yaml",
		"import NAME-marks.csv --as route --only NAME", "export NAME.yaml --format NAME", "export NAME.yaml --format csv -o NAME.yaml", "export NAME.yaml --format csv -o NAME.csv",
		"export NAME.yaml --format gpx -o NAME.gpx", "export NAME-refused.yaml --format kml -o NAME.kml", "export no-NAME.yaml --format kml",
		"occupy NAME.nmea", "occupy NAME.nmea --mark K1 --into NAME.yaml --dry-run", "occupy NAME.csv", "occupy NAME", "occupy no-NAME.nmea",
		"occupy NAME.nmea NAME.nmea", "occupy NAME.nmea --mark B --into NAME", "occupy NAME.nmea --accept NAME",
		"diff NAME.yaml NAME-looser.yaml", "diff NAME.yaml NAME-looser.yaml --format markdown", "diff NAME.yaml NAME.yaml", "diff NAME.yaml NAME-refused.yaml",
		"diff NAME.yaml NAME-looser.yaml --refuse-looser", "diff NAME.yaml no-NAME.yaml", "diff NAME.yaml --format NAME", "diff NAME.yaml NAME.yaml NAME.yaml",
		"diff HEAD:NAME.yaml NAME-looser.yaml", "diff HEAD:no-NAME.yaml NAME.yaml", "diff NAME:NAME.yaml NAME.yaml", "diff --git NAME NAME.yaml",
		"diff --git NAME..HEAD NAME.yaml", "diff --git HEAD..HEAD NAME.yaml", "diff --git HEAD no-NAME.yaml", "diff --textconv NAME-refused.yaml", "diff --textconv NAME.yaml",
		"diff --driver NAME", "diff --driver NAME.yaml /dev/null . . NAME.yaml 0000000000000000000000000000000000000000 100644", "diff --driver NAME NAME",
		"verify NAME/out/walnut_grove_rows_mission.h NAME.yaml", "verify NAME/out/walnut_grove_rows_mission.h", "verify NAME/out/walnut_grove_rows_mission.h NAME-looser.yaml",
		"verify NAME.bin", "verify NAME.bin NAME.yaml", "verify NAME.txt NAME.yaml", "verify NAME.txt", "verify NAME", "verify NAME.txt NAME-refused.yaml",
		"verify NAME.txt no-NAME.yaml", "verify NAME NAME NAME", "verify NAME.txt --format NAME",
		"prove NAME.yaml -o NAME/proof", "prove NAME-refused.yaml -o NAME/proof", "prove no-NAME.yaml", "prove NAME.yaml -o NAME.csv", "prove NAME.yaml --within NAME",
	}
}

func TestHostileNames(t *testing.T) {
	t.Setenv("GIT_CONFIG_GLOBAL", os.DevNull)
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	lines := withName()
	own := len(lines)
	tried := map[string]bool{}
	for _, line := range lines {
		tried[strings.Fields(line)[0]] = true
	}
	for _, c := range commands() {
		if c.HasParent() {
			assert.True(t, tried[c.Name()], "no line tries %s with a hostile name", c.Name())
		}
		// Whatever a command takes: every flag with the name for its value, and arguments.
		path := strings.Fields(c.CommandPath())[1:]
		more := []string{"--NAME", "--help=NAME"}
		c.Flags().VisitAll(func(f *pflag.Flag) { // each with arguments or without: both of all take their time
			more = append(more, "--"+f.Name+"=NAME"+[]string{"", " NAME.yaml NAME.csv"}[len(more)%2])
		})
		for n := range 4 {
			more = append(more, strings.TrimSpace(strings.Repeat("NAME ", n)))
		}
		for _, args := range more {
			lines = append(lines, strings.Join(append(path, args), " "))
		}
	}
	type result struct {
		status   int
		out, err string
	}
	runAll := func(name string, lines []string) []result {
		stage(t, name)
		results := make([]result, len(lines))
		for i, line := range lines {
			var args []string
			for _, word := range strings.Fields(line) {
				args = append(args, strings.ReplaceAll(word, "NAME", name))
			}
			r := &results[i]
			r.status, r.out, r.err = run(args...)
		}
		return results
	}
	want := runAll(honest, lines)
	for k, name := range hostile() {
		t.Run(strconv.QuoteToASCII(name), func(t *testing.T) {
			lines := lines
			if k%3 > 0 { // all flags of all commands take their time: every third name
				lines = lines[:own]
			}
			for i, got := range runAll(name, lines) {
				of := lines[i]
				wanted(t, got.out, of)
				wanted(t, got.err, of)
				if of == "new NAME" || of == "new yard --width NAME" || strings.HasPrefix(of, "occupy --mark=NAME") || strings.HasPrefix(of, "occupy --setup=NAME") {
					continue // what is no name, or no width, is told by what it is
				}
				// git words its own answers, with names and hashes in its own way, and Markdown
				// has more to escape.
				byGit := strings.Contains(of, "--git") || strings.Contains(of, "no-NAME") || strings.Contains(of, "NAME:") || strings.Contains(of, "--textconv") || strings.Contains(of, "markdown")
				for _, text := range [][2]string{{want[i].out, got.out}, {want[i].err, got.err}} {
					if byGit || strings.HasPrefix(of, "--") || strings.HasPrefix(of, "-N") || strings.Contains(of, " --NAME") {
						assert.Equal(t, strings.Count(text[0], "\n"), strings.Count(text[1], "\n"), "%s: %q", of, text[1])
						continue
					}
					assert.Equal(t, text[0], strings.ReplaceAll(text[1], words.Visible(name), honest), of)
				}
				assert.Equal(t, want[i].status, got.status, "%s: %s", of, got.err)
			}
		})
	}
}

// Programs get the name that it is, as far as their format can hold it.
func TestHostileNamesInData(t *testing.T) {
	for _, name := range hostile() {
		t.Run(strconv.QuoteToASCII(name), func(t *testing.T) {
			stage(t, name)
			_, out, _ := run("check", name+"-refused.yaml", "--format", "json")
			var report struct{ Mission string }
			require.NoError(t, json.Unmarshal([]byte(out), &report))
			assert.Equal(t, strings.ToValidUTF8(name+"-refused.yaml", "\ufffd"), mended(report.Mission))

			_, out, _ = run("check", name+"-refused.yaml", "--format", "sarif")
			var log struct {
				Runs []struct {
					Results []struct {
						Locations []struct {
							PhysicalLocation struct{ ArtifactLocation struct{ URI string } }
						}
					}
				}
			}
			require.NoError(t, json.Unmarshal([]byte(out), &log))
			require.NotEmpty(t, log.Runs[0].Results)
			uri := log.Runs[0].Results[0].Locations[0].PhysicalLocation.ArtifactLocation.URI
			for _, r := range uri {
				require.True(t, r > ' ' && r < 0x7f, "%q", uri)
			}
			back, err := url.Parse(uri)
			require.NoError(t, err)
			assert.Equal(t, name+"-refused.yaml", strings.TrimPrefix(back.Path, "./")) // before a colon, RFC 3986 4.2

			for _, args := range [][]string{{"diff", name + ".yaml", name + "-looser.yaml"}, {"verify", name + ".bin"}} {
				_, out, _ := run(append(args, "--format", "json")...)
				assert.True(t, json.Valid([]byte(out)), "%q", out)
			}
		})
	}
}

// mended is a text with each run of replacement characters as one.
func mended(text string) string {
	for strings.Contains(text, "\ufffd\ufffd") {
		text = strings.ReplaceAll(text, "\ufffd\ufffd", "\ufffd")
	}
	return text
}

// What a mission file, a marks_file, a file of fixes or a header holds, in each place
// where the language takes a text.
func TestHostileContents(t *testing.T) {
	t.Setenv("GIT_CONFIG_GLOBAL", os.DevNull)
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	stage(t, honest)
	grove, err := os.ReadFile(honest + ".yaml")
	require.NoError(t, err)
	_, header, _ := run("compile", honest+".yaml", "-o", "-")
	require.NotEmpty(t, header)
	for _, name := range hostile() {
		var quoted string // as YAML writes any text: JSON is YAML, but for bytes that are no text
		if text, err := json.Marshal(name); utf8.ValidString(name) && err == nil {
			quoted = strings.NewReplacer("\u2028", `\u2028`, "\ufeff", `\ufeff`, "\u009b", `\u009b`, "\u0085", `\u0085`, "\x7f", `\u007f`).Replace(string(text))
		} else {
			quoted = `"` + name + `"`
		}
		for i, mission := range []string{
			strings.Replace(string(grove), "walnut-grove-rows", quoted, 1),
			strings.Replace(string(grove), "trees.csv", quoted, 1),
			strings.Replace(string(grove), "K1", quoted, 1),
			strings.ReplaceAll(string(grove), "K1", quoted),
			strings.Replace(string(grove), "K1", name, 1),
			string(grove) + quoted + ": " + quoted + "\n",
			"mission: &x " + quoted + "\nroute: *" + name + "\n",
			"mission: !" + name + " x\n",
			name,
			"# " + name + "\n" + string(grove),
		} {
			require.NoError(t, os.WriteFile("m.yaml", []byte(mission), 0o644))
			for _, line := range []string{"check m.yaml", "compile m.yaml -o -", "diff honest.yaml m.yaml", "diff --textconv m.yaml"} { // the others print by the same
				_, out, err := run(strings.Fields(line)...)
				wanted(t, out, fmt.Sprintf("%s, %d of %q", line, i, name))
				wanted(t, err, fmt.Sprintf("%s, %d of %q", line, i, name))
			}
		}
		for _, marks := range []string{name, name + ",latitude\n", "name,latitude,longitude\n" + name + ",45,6\nA,\"" + name + "\",6\n"} {
			require.NoError(t, os.WriteFile("trees.csv", []byte(marks), 0o644))
			_, out, err := run("check", honest+".yaml")
			wanted(t, out+err, fmt.Sprintf("marks %q", marks))
		}
		require.NoError(t, os.WriteFile("trees.csv", []byte(committedFile(t, "trees.csv")), 0o644))
		for _, fixes := range []string{name, name + ",latitude\n", "name,latitude,longitude\n" + name + ",45,6\nK1,\"" + name + "\",6\nK1,45,6\n"} {
			require.NoError(t, os.WriteFile("fixes.csv", []byte(fixes), 0o644))
			_, out, err := run("shift", honest+".yaml", "fixes.csv")
			wanted(t, out+err, fmt.Sprintf("fixes %q", fixes))
		}
		for _, text := range []string{name, strings.ReplaceAll(header, "walnut-grove-rows", name), strings.Replace(header, " = {", " = {"+name, 1), strings.ReplaceAll(header, "0.1.0", name)} {
			require.NoError(t, os.WriteFile("h.h", []byte(text), 0o644))
			for _, args := range [][]string{{"verify", "h.h"}, {"verify", "h.h", honest + ".yaml"}} {
				_, out, err := run(args...)
				wanted(t, out, fmt.Sprintf("%q of %q", args, name))
				wanted(t, err, fmt.Sprintf("%q of %q", args, name))
			}
		}
	}
}

// committedFile is a file as it was committed.
func committedFile(t *testing.T, name string) string {
	t.Helper()
	out, err := exec.Command("git", "show", "HEAD:"+name).Output()
	require.NoError(t, err)
	return string(out)
}

// What completion scripts call is cobra's own, and complains on the standard error of
// the process.
func TestHostileNamesInCompletion(t *testing.T) {
	for _, name := range hostile() {
		r, w, err := os.Pipe()
		require.NoError(t, err)
		kept := os.Stderr
		os.Stderr = w
		_, _, stderr := run("__complete", "check", "--"+name, "x")
		_, _, more := run("__completeNoDesc", name, name)
		os.Stderr = kept
		require.NoError(t, w.Close())
		own, err := io.ReadAll(r)
		require.NoError(t, err)
		assert.Contains(t, string(own), "unknown flag")
		wanted(t, string(own)+stderr+more, "completion")
	}
}

func TestOnlyItsOwnColoursPass(t *testing.T) {
	const text = "\x1b[1;31merror\x1b[0m \x1b[2J\x1b[31;5m\x1b]0;t\x07\u202e\n\x1b[1;33m\tb"
	for colours, want := range map[bool]string{
		true:  "\x1b[1;31merror\x1b[0m " + `\x1b[2J\x1b[31;5m\x1b]0;t\a\u202e` + "\n\x1b[1;33m" + `\tb`,
		false: `\x1b[1;31merror\x1b[0m \x1b[2J\x1b[31;5m\x1b]0;t\a\u202e` + "\n" + `\x1b[1;33m\tb`,
	} {
		var out bytes.Buffer
		n, err := textWriter{&out, diag.Terminal{Columns: 1 << 20, Colours: colours}}.Write([]byte(text))
		require.NoError(t, err)
		assert.Equal(t, len(text), n)
		assert.Equal(t, want, out.String())
	}
}
