// What every command and every rule must have, and the parts of the command
// line that a script cannot reach.
package cli

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/pipeline"
)

var update = flag.Bool("update", false, "rewrite docs/commands.md")

// run runs one command line with nothing on standard input.
func run(args ...string) (status int, stdout, stderr string) {
	var out, err bytes.Buffer
	status = Run(args, strings.NewReader(""), &out, &err)
	return status, out.String(), err.String()
}

func commands() []*cobra.Command {
	var a app
	root := a.root()
	root.InitDefaultHelpCmd()
	return append([]*cobra.Command{root}, root.Commands()...)
}

func TestEveryCommandHasAManualPage(t *testing.T) {
	for _, c := range commands() {
		t.Run(c.Name(), func(t *testing.T) {
			args := []string{"help"}
			if c.HasParent() {
				args = append(args, c.Name())
			}
			status, page, stderr := run(args...)
			require.Equal(t, exitClean, status, stderr)
			assert.Empty(t, stderr)

			last := -1
			for _, heading := range []string{"NAME", "SYNOPSIS", "DESCRIPTION", "OPTIONS", "EXIT STATUS", "EXAMPLES"} {
				at := strings.Index("\n"+page, "\n"+heading+"\n    ")
				assert.Greater(t, at, last, "%s is missing, empty or out of order", heading)
				last = at
			}
			assert.Contains(t, page[last:], "    merestone ", "an example")
			c.Flags().VisitAll(func(f *pflag.Flag) { assert.Contains(t, page, "--"+f.Name) })
			for line := range strings.Lines(page) {
				assert.LessOrEqual(t, utf8.RuneCountInString(line), 81, "%q is too wide for a terminal", line)
				assert.Equal(t, strings.TrimRight(line, " \n"), strings.TrimRight(line, "\n"), "spaces at the end of %q", line)
			}
			if c.HasParent() {
				_, root, _ := run("help")
				assert.Contains(t, root, "    "+c.Name()+" ", "listed in the manual page of the program")
			}
		})
	}
}

func TestEveryRuleHasAPage(t *testing.T) {
	id := regexp.MustCompile(`^[a-z]+\.[a-z][a-z0-9-]*$`)
	seen := map[diag.ID]bool{}
	for _, r := range pipeline.Rules() {
		t.Run(string(r.ID), func(t *testing.T) {
			assert.Regexp(t, id, r.ID)
			assert.False(t, seen[r.ID], "two rules of one id")
			seen[r.ID] = true
			assert.NotZero(t, r.Severity)
			assert.NotEmpty(t, r.Title)
			assert.Greater(t, len(strings.TrimSpace(r.Help)), 80, "a page, not a placeholder")
			status, page, stderr := run("explain", string(r.ID))
			assert.Equal(t, exitClean, status)
			assert.Empty(t, stderr)
			assert.Contains(t, page, string(r.ID))
			assert.Contains(t, strings.Join(strings.Fields(page), " "), strings.Join(strings.Fields(r.Help), " "), "however it is folded")
		})
	}
	assert.Greater(t, len(seen), 1)
}

// Every finding of every example bears the id of a rule that explain knows, and
// points into a file that was read.
func TestFindingsOfTheExamples(t *testing.T) {
	known := map[string]bool{}
	for _, r := range pipeline.Rules() {
		known[string(r.ID)] = true
	}
	schema, err := jsonschema.NewCompiler().Compile("../diag/testdata/sarif-schema-2.1.0.json")
	require.NoError(t, err)
	for _, path := range examples(t) {
		t.Run(path, func(t *testing.T) {
			status, text, stderr := run("check", path, "--format", "json")
			assert.Empty(t, stderr)
			var report struct {
				Tool, Version, Mission string
				Findings               []struct {
					Rule, Severity, Message string
					At                      diag.Position
				}
				Counts map[string]int
			}
			require.NoError(t, json.Unmarshal([]byte(text), &report))
			assert.Equal(t, path, report.Mission)
			counts := map[string]int{"error": 0, "warning": 0, "note": 0}
			last := diag.Position{}
			for _, f := range report.Findings {
				if f.At.File == last.File { // by place, so that the same mission prints the same report
					assert.GreaterOrEqual(t, f.At.Line, last.Line)
				}
				last = f.At
				assert.True(t, known[f.Rule], "rule %q of the finding %q", f.Rule, f.Message)
				assert.NotEmpty(t, f.Message)
				assert.NotContains(t, f.Message, "\n")
				source, err := os.ReadFile(f.At.File)
				require.NoError(t, err)
				if f.At.Line > 0 {
					lines := strings.Split(string(source), "\n")
					require.LessOrEqual(t, f.At.Line, len(lines))
					assert.LessOrEqual(t, f.At.Column, utf8.RuneCountInString(lines[f.At.Line-1])+1)
				}
				counts[f.Severity]++
			}
			assert.Equal(t, counts, report.Counts)
			assert.Equal(t, counts["error"] > 0, status == exitFindings, "exit status %d", status)

			sarifStatus, text, _ := run("check", path, "--format", "sarif")
			assert.Equal(t, status, sarifStatus)
			value, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
			require.NoError(t, err)
			assert.NoError(t, schema.Validate(value))

			strict, _, _ := run("check", path, "--strict")
			assert.Equal(t, counts["error"]+counts["warning"] > 0, strict == exitFindings, "strict: exit status %d", strict)
		})
	}
}

// examples are all mission files of the examples, the refused ones too.
func examples(t *testing.T) []string {
	t.Helper()
	var paths []string
	for _, pattern := range []string{"*/mission.yaml", "*/*/mission.yaml"} {
		found, err := filepath.Glob(filepath.Join("../../examples", pattern))
		require.NoError(t, err)
		paths = append(paths, found...)
	}
	require.NotEmpty(t, paths)
	return paths
}

func TestNearestRule(t *testing.T) {
	for id, want := range map[string]string{
		"geometry.clearence":  `; did you mean "geometry.clearance"?`,
		"Geometry.Clearance":  `; did you mean "geometry.clearance"?`,
		"geometri.leg-outsid": `; did you mean "geometry.leg-outside"?`,
		"clearance":           `; did you mean "geometry.clearance"?`,
		"spec.tug":            `; did you mean "spec.tag"?`,
		"colour":              `; 'merestone explain' lists them all`,
		"":                    `; 'merestone explain' lists them all`,
	} {
		status, _, stderr := run("explain", id)
		assert.Equal(t, exitTrouble, status)
		assert.Contains(t, stderr, fmt.Sprintf("merestone explain: there is no rule %q%s\nSee ", id, want))
	}
}

// docs/commands.md is the manual pages for a browser.
func TestCommandsPage(t *testing.T) {
	var page strings.Builder
	page.WriteString("# Commands\n\nThe manual pages that `merestone help COMMAND` prints; `make docs` writes this file.\n")
	for _, c := range commands() {
		args := []string{"help"}
		if c.HasParent() {
			args = append(args, c.Name())
		}
		_, text, _ := run(args...)
		fmt.Fprintf(&page, "\n## %s\n\n```text\n%s```\n", c.CommandPath(), text)
	}
	const path = "../../docs/commands.md"
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(page.String()), 0o644))
	}
	committed, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.True(t, page.String() == string(committed), "docs/commands.md is not what the help texts are now: run make golden")
}
