// The command line as a user types it: each script of testdata/script runs the
// program in a folder of its own, with the walnut grove of the examples in it.
package cli

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
)

// unfolded is so many columns that no sentence is folded: tests look for sentences. What
// is folded, and where, is in terminal_test.go.
const unfolded = "2000"

func TestMain(m *testing.M) {
	if filepath.Base(os.Args[0]) != tool { // which a script runs
		os.Setenv("COLUMNS", unfolded)
	}
	testscript.Main(m, map[string]func(){
		"merestone": Main,
	})
}

func TestScripts(t *testing.T) {
	examples, err := filepath.Abs("../../examples")
	require.NoError(t, err)
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       *update,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "snippet": snippet},
		Condition: func(name string) (bool, error) {
			if name != "root" {
				return false, fmt.Errorf("unknown condition %q", name)
			}
			return os.Geteuid() == 0, nil
		},
		Setup: func(e *testscript.Env) error {
			e.Setenv("COLUMNS", unfolded)
			e.Setenv("VERSIONS", filepath.Join(filepath.Dir(examples), "docs", "versions.md"))
			return os.CopyFS(filepath.Join(e.WorkDir, "grove"), os.DirFS(filepath.Join(examples, "walnut-grove")))
		},
	})
}

// exits is the script command `exits STATUS PROGRAM ARGS...`: like exec, but it
// wants one exit status.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS PROGRAM ARGS...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var status *exec.ExitError
		if !errors.As(err, &status) {
			ts.Fatalf("%v", err)
		}
		got = status.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// snippet is the script command `snippet FILE HEADING`: it writes the lines that
// docs/versions.md shows in the first block under a heading.
func snippet(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: snippet FILE HEADING")
	}
	page, err := os.ReadFile(ts.Getenv("VERSIONS"))
	ts.Check(err)
	_, section, ok := strings.Cut(string(page), "# "+args[1]+"\n")
	_, block, begins := strings.Cut(section, "```sh\n")
	block, _, ends := strings.Cut(block, "```\n")
	if !ok || !begins || !ends {
		ts.Fatalf("docs/versions.md shows nothing under %q", args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(block), 0o755))
}
