// Missions out of git: a file of a revision together with the marks_file of the
// same revision, by the git program. Nothing is checked out and nothing written.
package source

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"

	"merestone/spec"
)

// FileOrRevision reads what the command line names for a comparison: a mission
// file, - for in, or REV:PATH. A file of that name goes before a revision.
func FileOrRevision(arg string, in io.Reader) (Source, error) {
	rev, path, isRevision := splitRevision(arg)
	if _, err := os.Stat(arg); isRevision && err != nil && !filepath.IsAbs(arg) { // C:\mission.yaml is of no revision C
		return revision(rev, path)
	}
	return File(arg, in)
}

// Between reads one mission file at both ends of REV1..REV2, or in REV and as it
// is now.
func Between(revisions, mission string, in io.Reader) (before, after Source, err error) {
	path := mission
	if filepath.IsAbs(path) {
		here, err := os.Getwd()
		if err == nil {
			path, err = filepath.Rel(here, path)
		}
		if err != nil {
			return before, after, fmt.Errorf("cannot find %s from here: %w", mission, err)
		}
	}
	path = fromHere(path)
	if !strings.Contains(revisions, "..") {
		if before, err = revision(revisions, path); err == nil {
			after, err = File(mission, in)
		}
		return before, after, err
	}
	from, to, err := revisionRange(revisions)
	if err != nil {
		return before, after, fmt.Errorf("cannot read --git %s: %w", revisions, err)
	}
	if before, err = revision(from, path); err == nil {
		after, err = revision(to, path)
	}
	return before, after, err
}

// splitRevision splits REV:PATH, with either slash on Windows, at the first colon
// outside braces, so that
// HEAD@{12:00}:mission.yaml is understood. An empty REV is the index, as git has
// it. ok is false when there is no colon, or no path after it.
func splitRevision(arg string) (rev, file string, ok bool) {
	depth := 0
	for i, r := range arg {
		switch {
		case r == '{':
			depth++
		case r == '}':
			depth--
		case r == ':' && depth == 0:
			return arg[:i], filepath.ToSlash(arg[i+1:]), i+1 < len(arg)
		}
	}
	return "", "", false
}

// revision reads a mission of a revision.
func revision(rev, file string) (Source, error) {
	text, err := blob(rev, file, spec.MaxFileBytes)
	if err != nil {
		return Source{}, fmt.Errorf("cannot read %s:%s: %w", rev, file, err)
	}
	return Source{Name: rev + ":" + strings.TrimPrefix(file, "./"), Path: file, Text: text, Open: revisionOpener(rev, file)}, nil
}

// blob reads a file of a revision: of the index where rev is empty. The path is
// from the top of the repository, or from the current folder when it begins with
// ./ or ../, as git has it. At most limit+1 bytes are read.
func blob(rev, file string, limit int64) ([]byte, error) {
	if strings.HasPrefix(rev, "-") {
		return nil, fmt.Errorf("%q is not a revision", rev)
	}
	return runGit("", limit, "cat-file", "blob", rev+":"+file)
}

// revisionOpener opens the files that a mission of a revision names, out of the
// same revision.
func revisionOpener(rev, mission string) spec.Opener {
	fromHere := strings.HasPrefix(mission, "./") || strings.HasPrefix(mission, "../")
	return func(name string) ([]byte, error) {
		file := path.Join(path.Dir(mission), name)
		if fromHere && !strings.HasPrefix(file, "../") {
			file = "./" + file
		}
		return blob(rev, file, spec.MaxMarksFileBytes)
	}
}

// revisionRange reads REV1..REV2, where an empty one is HEAD, or REV1...REV2, which
// begins where the two parted.
func revisionRange(text string) (from, to string, err error) {
	if a, b, ok := strings.Cut(text, "..."); ok {
		a, b = cmp.Or(a, "HEAD"), cmp.Or(b, "HEAD")
		if strings.HasPrefix(a, "-") || strings.HasPrefix(b, "-") {
			return "", "", fmt.Errorf("%q is not a range of revisions", text)
		}
		out, err := runGit("", 1<<10, "merge-base", a, b)
		return strings.TrimSpace(string(out)), b, err
	}
	a, b, ok := strings.Cut(text, "..")
	if !ok {
		return "", "", fmt.Errorf("%q is not a range of revisions; write REV1..REV2", text)
	}
	return cmp.Or(a, "HEAD"), cmp.Or(b, "HEAD"), nil
}

// holding finds a revision in which the file has the contents with this hash,
// among the commits of HEAD: the last one when newest is asked for, before the
// file was changed again, else the first, in which it got those contents. On
// another branch than HEAD's own, where they were merged away, that is the last
// one, too. A diff driver is told hashes and no revisions, and the
// marks_file must be of the same one. ok is false when HEAD's history does not
// have it, as for contents that are only in the index or on another branch.
func holding(hash, file string, newest bool) (rev string, ok bool) {
	if strings.Trim(hash, "0") == "" {
		return "", false
	}
	for i, c := range history("-c", "--max-count=10000", "HEAD", "--", ":(top,literal)"+file) {
		switch {
		case newest && strings.HasPrefix(c.before, hash):
			return c.commit + "^", true
		case newest && i == 0 && strings.HasPrefix(c.after, hash):
			return "HEAD", true
		case strings.HasPrefix(c.after, hash):
			return c.commit, true
		}
	}
	return "", false
}

// find looks for contents in the history of HEAD and names a revision and a path
// that have them. A textconv filter is given contents and nothing else.
func find(text []byte) (rev, file string, ok bool) {
	out, err := runGit(string(text), 1<<10, "hash-object", "--stdin")
	if err != nil {
		return "", "", false
	}
	hash := strings.TrimSpace(string(out))
	for _, c := range history("-m", "--find-object="+hash, "HEAD") {
		if c.after == hash {
			return c.commit, c.file, true
		}
	}
	return "", "", false
}

// change is a commit that gave a file other contents than in its first parent;
// before and after are their hashes.
type change struct{ commit, before, after, file string }

// maxHistoryBytes bounds what is read of git's answer: a change takes some 200 bytes,
// so that is 20,000 changes of a mission, and far less than what it is split into
// may take.
const maxHistoryBytes = 4 << 20

// history lists the changes that git log finds by some arguments, newest first;
// none where it finds out nothing. Merges are of -c where they changed the file
// themselves, or of -m where they differ from any parent. What a user may have
// configured for log is set back.
func history(args ...string) []change {
	out, err := runGit("", maxHistoryBytes, append([]string{"log", "--raw", "-z", "--format=%H", "--no-abbrev", "--root",
		"--no-renames", "--no-follow", "--no-relative", "--no-show-signature"}, args...)...)
	if err != nil {
		return nil
	}
	return changesOf(out)
}

// changesOf reads git's answer: for each commit its hash, and for each file in it a
// line of modes, hashes, both of each parent and then of the commit, and letters,
// then the file's name; each ended by a zero.
func changesOf(out []byte) []change {
	var changes []change
	commit, fields := "", strings.Split(string(out), "\x00")
	for i := 0; i+1 < len(fields); i++ { // what follows the last zero was cut off
		words := strings.Fields(fields[i])
		switch {
		case len(words) == 1:
			commit = words[0]
		case len(words) >= 5 && i+2 < len(fields):
			i++
			changes = append(changes, change{commit, words[len(words)/2], words[len(words)-2], fields[i]})
		}
	}
	return changes
}

// runGit runs git with a text on its standard input and returns at most limit+1
// bytes of its output.
func runGit(text string, limit int64, args ...string) ([]byte, error) {
	c := exec.Command("git", args...)
	c.Stdin = strings.NewReader(text)
	var complaint beginning
	c.Stderr = &complaint
	pipe, err := c.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := c.Start(); err != nil {
		return nil, fmt.Errorf("git cannot be run: %w", err)
	}
	out, err := io.ReadAll(io.LimitReader(pipe, limit+1))
	if int64(len(out)) > limit { // enough to see that it is too large
		_ = c.Process.Kill()
		_ = c.Wait()
		return out, nil
	}
	if wait := c.Wait(); wait != nil {
		first, _, _ := strings.Cut(strings.TrimSpace(string(complaint)), "\n")
		if first == "" {
			first = wait.Error()
		}
		return nil, errors.New(strings.TrimPrefix(first, "fatal: "))
	}
	return out, err
}

// beginning keeps the beginning of what is written to it.
type beginning []byte

// Write takes all.
func (b *beginning) Write(p []byte) (int, error) {
	const most = 4096
	*b = append(*b, p[:min(len(p), most-len(*b))]...)
	return len(p), nil
}

// fromHere writes a path as git takes it from the current folder.
func fromHere(file string) string {
	file = path.Clean(filepath.ToSlash(file))
	if strings.HasPrefix(file, "../") {
		return file
	}
	return "./" + file
}
