// Running git. Every question goes to a command that is made for programs, so that
// nothing which a user has configured for people (colours, renames, quoting, paths
// relative to a folder, other programs to show differences) changes an answer; paths
// come and go as they are, ended by a zero; and nothing that a user names is ever
// read as an option.
package source

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"unicode"
)

// gitCommand is git with the settings under which its answers mean what they say
// here: messages in English, path specifications taken as they are written, no
// program that watches files, and nothing written, not even to refresh the index.
func gitCommand(args ...string) *exec.Cmd {
	c := exec.Command("git", append([]string{"-c", "core.fsmonitor=false", "-c", "core.warnAmbiguousRefs=true"}, args...)...)
	c.Env = append(os.Environ(), "LC_ALL=C", "GIT_OPTIONAL_LOCKS=0",
		"GIT_LITERAL_PATHSPECS=0", "GIT_GLOB_PATHSPECS=0", "GIT_NOGLOB_PATHSPECS=0", "GIT_ICASE_PATHSPECS=0")
	return c
}

// runGit runs git with a text on its standard input and returns at most limit+1
// bytes of its output.
func runGit(text string, limit int64, args ...string) ([]byte, error) {
	out, _, err := askGit(text, limit, args...)
	return out, err
}

// askGit is runGit for who wants to hear what git says beside its answer.
func askGit(text string, limit int64, args ...string) (out []byte, said string, err error) {
	c := gitCommand(args...)
	c.Stdin = strings.NewReader(text)
	var complaint beginning
	c.Stderr = &complaint
	pipe, err := c.StdoutPipe()
	if err != nil {
		return nil, "", err
	}
	if err := c.Start(); err != nil {
		return nil, "", notRun(err)
	}
	out, err = io.ReadAll(io.LimitReader(pipe, limit+1))
	if int64(len(out)) > limit { // enough to see that it is too large
		_ = c.Process.Kill()
		_ = c.Wait()
		return out, string(complaint), nil
	}
	if wait := c.Wait(); wait != nil {
		return nil, string(complaint), errors.New(cmp.Or(complaint.reason(), wait.Error()))
	}
	return out, string(complaint), err
}

// notRun is why git did not start.
func notRun(err error) error {
	if errors.Is(err, exec.ErrNotFound) {
		return errors.New("git cannot be run: there is no program git in the folders of PATH")
	}
	return fmt.Errorf("git cannot be run: %w", err)
}

// beginning keeps the beginning of what is written to it.
type beginning []byte

// Write takes all.
func (b *beginning) Write(p []byte) (int, error) {
	const most = 4096
	*b = append(*b, p[:min(len(p), most-len(*b))]...)
	return len(p), nil
}

// reason is the line in which git says why it gave up: that of the last word, since
// traces and warnings may stand before it.
func (b beginning) reason() string {
	lines := strings.Split(strings.TrimSpace(string(b)), "\n")
	for _, prefix := range []string{"fatal: ", "error: "} {
		for _, line := range lines {
			if reason, ok := strings.CutPrefix(line, prefix); ok {
				return reason
			}
		}
	}
	return lines[0]
}

// treeOf finds the tree of a revision. What git would take by a guess (one of two
// revisions of a name, the oldest that a log has for an earlier time) is refused.
func treeOf(rev string) (string, error) {
	if rev == "" || strings.HasPrefix(rev, "-") || strings.ContainsFunc(rev, unicode.IsControl) {
		return "", fmt.Errorf("%q is not a revision", rev)
	}
	out, said, err := askGit("", 1<<10, "rev-parse", "--verify", "--end-of-options", rev+"^{tree}")
	for line := range strings.Lines(said) {
		_, warning, _ := strings.Cut(strings.TrimSpace(line), ": ")
		switch {
		case strings.HasSuffix(warning, "is ambiguous") || strings.HasSuffix(warning, "is ambiguous."):
			return "", fmt.Errorf("%q is ambiguous, more than one revision is called so; write refs/tags/%s, refs/heads/%s or a whole hash", rev, rev, rev)
		case strings.Contains(warning, "only goes back to") || strings.Contains(warning, "has gap after"):
			return "", fmt.Errorf("%q is not known for certain: %s", rev, warning)
		}
	}
	if err != nil && err.Error() == "Needed a single revision" {
		return "", fmt.Errorf("there is no revision %q%s", rev, ifShallow("; this clone is shallow and has only the end of the history"))
	}
	return strings.TrimSpace(string(out)), err
}

// ifShallow is a text where the history of this clone is cut off, else nothing.
func ifShallow(text string) string {
	if out, err := runGit("", 1<<10, "rev-parse", "--is-shallow-repository"); err == nil && strings.TrimSpace(string(out)) == "true" {
		return text
	}
	return ""
}

// revisionRange reads REV1..REV2, where an empty one is HEAD, or REV1...REV2, which
// begins where the two parted.
func revisionRange(text string) (from, to string, err error) {
	at := outsideBraces(text, "..")
	if at < 0 {
		return "", "", fmt.Errorf("%q is not a range of revisions; write REV1..REV2", text)
	}
	from, to = cmp.Or(text[:at], "HEAD"), text[at+2:]
	dots, three := strings.CutPrefix(to, ".")
	if to = cmp.Or(dots, "HEAD"); three {
		from, err = parting(from, to)
	}
	return from, to, err
}

// parting is the commit at which two revisions parted. Where there are several
// (each side has merged the other), or where the history at hand ends before it is
// sure that there is no later one, none is picked.
func parting(a, b string) (string, error) {
	for _, rev := range []string{a, b} {
		if _, err := treeOf(rev); err != nil {
			return "", err
		}
	}
	cut := ifShallow("; this clone is shallow: fetch more of the history (git fetch --unshallow)")
	out, err := runGit("", 1<<16, "merge-base", "--all", "--end-of-options", a, b)
	bases := strings.Fields(string(out))
	switch {
	case len(bases) == 0 && err != nil && !strings.HasPrefix(err.Error(), "exit status"):
		return "", err
	case len(bases) == 0:
		return "", fmt.Errorf("%s and %s have no commit in common%s", a, b, cut)
	case len(bases) > 1:
		return "", fmt.Errorf("%s and %s parted at %d commits, since each has merged the other; name one: %s", a, b, len(bases), strings.Join(bases, ", "))
	case cut != "" && cutOff(bases[0], a, b):
		return "", fmt.Errorf("where %s and %s parted cannot be told%s", a, b, cut)
	}
	return bases[0], nil
}

// cutOff says that a shallow clone's history ends between a base and one of two
// revisions: there may be a later base beyond that end.
func cutOff(base, a, b string) bool {
	name, err := runGit("", 1<<12, "rev-parse", "--git-path", "shallow")
	if err != nil {
		return true
	}
	ends, err := readFile(strings.TrimSuffix(string(name), "\n"))
	if err != nil {
		return true
	}
	since, err := runGit("", maxHistoryBytes, "rev-list", "--end-of-options", a, b, "^"+base)
	return err != nil || len(since) > maxHistoryBytes ||
		slices.ContainsFunc(strings.Fields(string(since)), func(commit string) bool { return strings.Contains(string(ends), commit) })
}

// outsideBraces is where a mark first stands outside braces, which are git's own, as
// in HEAD@{12:00} or HEAD^{/see ../notes}; -1 for nowhere.
func outsideBraces(text, mark string) int {
	depth := 0
	for i := range len(text) {
		switch {
		case text[i] == '{':
			depth++
		case text[i] == '}':
			depth--
		case depth == 0 && strings.HasPrefix(text[i:], mark):
			return i
		}
	}
	return -1
}
