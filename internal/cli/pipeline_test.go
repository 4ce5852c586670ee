// Every command finds the same wrong with the same bytes, wherever they come
// from: a file, standard input or a revision of git.
package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// committed is a copy of the examples in a git repository.
func committed(t *testing.T) string {
	t.Helper()
	top := t.TempDir()
	t.Setenv("GIT_CONFIG_GLOBAL", os.DevNull)
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	for _, variable := range []string{"GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE"} { // as a hook has them
		t.Setenv(variable, "")
		require.NoError(t, os.Unsetenv(variable))
	}
	require.NoError(t, os.CopyFS(filepath.Join(top, "examples"), os.DirFS("../../examples")))
	for _, args := range [][]string{{"init", "-q"}, {"add", "-A"}, {"-c", "user.name=surveyor", "-c", "user.email=surveyor@example.org", "commit", "-q", "-m", "all"}} {
		c := exec.Command("git", args...)
		c.Dir = top
		out, err := c.CombinedOutput()
		require.NoErrorf(t, err, "git %q: %s", args, out)
	}
	return top
}

// byCheck are the findings of a report as JSON, in the words of a diff.
func byCheck(t *testing.T, report string) []string {
	t.Helper()
	var r struct {
		Findings []struct{ Rule, Severity, Message string }
	}
	require.NoError(t, json.Unmarshal([]byte(report), &r), report)
	var found []string
	for _, f := range r.Findings {
		if f.Rule == "mission.waiting" {
			continue // which is of the run
		}
		found = append(found, f.Severity+" "+f.Rule+": "+f.Message)
	}
	slices.Sort(found)
	return found
}

// byDiff are the findings that appeared or disappeared in a diff as JSON.
func byDiff(t *testing.T, report, what string) []string {
	t.Helper()
	var r struct {
		Changes []struct{ Subject, What, Before, After string }
	}
	require.NoError(t, json.Unmarshal([]byte(report), &r), report)
	var found []string
	for _, c := range r.Changes {
		if c.What == what {
			found = append(found, c.Subject+": "+c.Before+c.After)
		}
	}
	slices.Sort(found)
	return found
}

func TestEveryCommandFindsTheSame(t *testing.T) {
	missions := examples(t)
	top := committed(t)
	empty := filepath.Join(top, "empty.yaml")
	require.NoError(t, os.WriteFile(empty, nil, 0o644))
	header := filepath.Join(top, "any.h")
	require.NoError(t, os.WriteFile(header, []byte("int any;\n"), 0o644))
	_, ofEmpty, _ := run("check", empty, "--format", "json")
	refused := 0
	for i, mission := range missions {
		name := strings.TrimPrefix(mission, "../../")
		t.Run(name, func(t *testing.T) {
			t.Chdir(filepath.Join(top, filepath.Dir(name)))
			const file = "mission.yaml"
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			piped := func(args ...string) (int, string, string) {
				var out, err bytes.Buffer
				status := Run(args, bytes.NewReader(text), &out, &err)
				return status, out.String(), strings.ReplaceAll(err.String(), "<stdin>", file)
			}

			status, report, _ := run("check", file, "--format", "json")
			want := byCheck(t, report)
			pipedStatus, pipedReport, _ := piped("check", "-", "--format", "json")
			assert.Equal(t, status, pipedStatus)
			assert.Equal(t, report, strings.ReplaceAll(pipedReport, "<stdin>", file))

			args := []string{file}
			if i%6 == 0 { // it takes its time, and what differs between missions is not in it
				args = append(args, "-")
				requireDiffsFind(t, name, empty, want, byCheck(t, ofEmpty), piped)
			}

			// What makes something of a mission prints them as check does, and
			// refuses it where check does.
			_, printed, _ := run("check", file)
			isRefused := status == exitFindings
			if isRefused {
				refused++
			}
			for _, arg := range args {
				status, headers, stderr := piped("compile", arg, "-o", "-")
				findings := strings.TrimSuffix(stderr, last(stderr, ": refused ("))
				assert.True(t, strings.HasPrefix(printed, findings), "%s\n%s", printed, findings)
				assert.Equal(t, isRefused, status == exitFindings)
				assert.Equal(t, isRefused, headers == "", "a refused mission has no header")

				if i%2 > 0 {
					continue
				}
				_, _, stderr = piped("verify", header, arg)
				assert.Equal(t, isRefused, strings.Contains(stderr, "it compiles to no header"))
				if isRefused {
					assert.Equal(t, findings, strings.TrimSuffix(stderr, last(stderr, "merestone: ")))
				}

				status, _, stderr = piped("shift", arg, "no-such-file.csv")
				assert.Equal(t, isRefused, status == exitFindings)
				if isRefused {
					assert.Equal(t, findings, strings.TrimSuffix(stderr, last(stderr, ": refused (")))
				}
			}
		})
	}
	assert.Greater(t, refused, 50)
	assert.Less(t, refused, len(missions))
}

// requireDiffsFind wants diff, in all its ways, to find in the mission of this folder
// what check did.
func requireDiffsFind(t *testing.T, name, empty string, want, ofEmpty []string, piped func(...string) (int, string, string)) {
	const file = "mission.yaml"
	// On both sides of a diff, with a side that has no finding but its own; and
	// nothing is left of them where both sides are the same.
	for _, arg := range []string{file, "-", "HEAD:" + name} {
		_, out, stderr := piped("diff", empty, arg, "--format", "json")
		assert.Equal(t, want, byDiff(t, out, "appeared"), "%s: %s", arg, stderr)
		assert.Equal(t, ofEmpty, byDiff(t, out, "disappeared"))
	}
	_, out, _ := run("diff", "HEAD:./"+file, empty, "--format", "json")
	assert.Equal(t, want, byDiff(t, out, "disappeared"))
	for _, sides := range [][]string{{":./" + file, "-"}, {"--git", "HEAD", file}} {
		status, out, stderr := piped(append([]string{"diff"}, sides...)...)
		assert.Equal(t, exitClean, status, "%s%s", out, stderr)
		assert.Contains(t, out, ": no difference\n")
	}
	const none = "0000000000000000000000000000000000000000"
	_, out, _ = run("diff", "--driver", "--format", "json", file, os.DevNull, ".", ".", file, none, "100644")
	assert.Equal(t, want, byDiff(t, out, "appeared"))
	for _, arg := range []string{file, "-"} {
		_, out, _ = piped("diff", "--textconv", arg)
		var lines []string
		for _, line := range strings.Split(out, "\n") {
			if severity, _, _ := strings.Cut(line, " "); slices.Contains([]string{"error", "warning", "note"}, severity) {
				lines = append(lines, line)
			}
		}
		assert.Equal(t, want, lines)
	}
}

// last is the last line of a text where it has a phrase in it, else nothing.
func last(text, phrase string) string {
	line := text[strings.LastIndex(strings.TrimSuffix(text, "\n"), "\n")+1:]
	if strings.Contains(line, phrase) {
		return line
	}
	return ""
}
