// Missions out of git: a file of a revision, or of the index, together with the
// marks_file of the same revision or index. Nothing is checked out and nothing
// written, so a bare repository does as well.
package source

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"merestone/internal/words"
	"merestone/spec"
)

// FileOrRevision reads what the command line names: a mission file, - for in, or
// REV:PATH, where an empty REV is the index. A file of that name goes before a
// revision; where there are both, neither is picked.
func FileOrRevision(arg string, in io.Reader) (Source, error) {
	rev, file, isRevision := splitRevision(arg)
	if !isRevision || filepath.IsAbs(arg) || strings.ContainsFunc(rev, unicode.IsControl) { // C:\mission.yaml is of no revision C
		return File(arg, in)
	}
	if _, err := os.Lstat(arg); err != nil {
		return revision(rev, file)
	}
	if _, err := revision(rev, file); err == nil {
		return Source{}, fmt.Errorf("cannot read %s: there is a file of that name, and git has %s; write ./%s for the file, or a revision's hash", arg, arg, arg)
	}
	return File(arg, in)
}

// splitRevision splits REV:PATH, with either slash on Windows, at the first colon
// outside braces, so that HEAD@{12:00}:mission.yaml is understood. An empty REV is
// the index, as git has it. ok is false when there is no colon, or no path after it.
func splitRevision(arg string) (rev, file string, ok bool) {
	at := outsideBraces(arg, ":")
	if at < 0 || at+1 == len(arg) {
		return "", "", false
	}
	return arg[:at], filepath.ToSlash(arg[at+1:]), true
}

// revision reads a mission of a revision, or of the index where rev is empty.
func revision(rev, name string) (Source, error) {
	s, err := found(rev, name)
	if err != nil {
		return Source{}, fmt.Errorf("cannot read %s:%s: %w", rev, name, err)
	}
	return s, nil
}

func found(rev, name string) (Source, error) {
	store, err := openObjects()
	if err != nil {
		return Source{}, err
	}
	defer store.close()
	in, file, err := opened(store, rev, name)
	if err == nil {
		file, err = fromTop(file)
	}
	if err != nil {
		return Source{}, err
	}
	text, err := in.read(".", file, spec.MaxFileBytes)
	if err != nil {
		return Source{}, err
	}
	if rev == "" && (in.stage != "0" || hasStage(file)) {
		rev = ":" + in.stage
	}
	return Source{Name: rev + ":" + file, Path: file, Text: text, Open: in.opener(file)}, nil
}

// opener opens the files that a mission in a folder names. It asks a running git of
// its own, since nobody says when a mission has been read.
func (f folder) opener(mission string) spec.Opener {
	return func(name string) ([]byte, error) {
		store, err := openObjects()
		if err != nil {
			return nil, err
		}
		defer store.close()
		in := f.again(store)
		root, err := in.besides(mission)
		if err != nil {
			return nil, err
		}
		return in.read(root, path.Join(root, name), spec.MaxMarksFileBytes)
	}
}

// besides is the folder in which the files lie that a mission names.
func (f folder) besides(mission string) (string, error) {
	_, root, err := f.follow(".", path.Dir(mission))
	return root, err
}

// read reads a file under root.
func (f folder) read(root, file string, limit int64) ([]byte, error) {
	e, err := f.file(root, file)
	if err != nil {
		return nil, err
	}
	return f.store.contents(e, limit)
}

// opened is what a revision's paths are looked up in: its tree, or the index. There,
// 2:PATH is stage 2 of a path that is not merged, as git has it.
func opened(store *objects, rev, file string) (folder, string, error) {
	if rev == "" {
		stage := "0"
		if hasStage(file) {
			stage, file = file[:1], file[2:]
		}
		return ofIndex(store, stage), file, nil
	}
	tree, err := treeOf(rev)
	return ofTree(store, rev, tree), file, err
}

func hasStage(file string) bool {
	return len(file) > 2 && file[1] == ':' && file[0] >= '0' && file[0] <= '3'
}

// again is the same folder, read by another running git.
func (f folder) again(store *objects) folder {
	if f.tree != "" {
		return ofTree(store, f.name, f.tree)
	}
	return ofIndex(store, f.stage)
}

// ofIndex looks into one stage of the index: 0 is what is merged, the others are the
// sides of a merge that is not done.
func ofIndex(store *objects, stage string) folder {
	name := "the index"
	if stage != "0" {
		name = "stage " + stage + " of the index"
	}
	find := func(file string) (entry, error) {
		if file == "." {
			return entry{mode: modeFolder}, nil
		}
		var stages []string
		listed, _, err := staged(literally(file))
		for _, one := range listed {
			switch {
			case one.file != file:
				if len(stages) == 0 {
					return entry{mode: modeFolder}, err
				}
			case one.stage == stage:
				return one.entry, err
			default:
				stages = append(stages, one.stage)
			}
		}
		switch {
		case err != nil || len(stages) == 0:
			return entry{}, err
		case stage == "0":
			return entry{}, unmerged(fmt.Sprintf("%s is not merged; the index has %s of it: name one, such as :%s:%s", file, words.Plural(len(stages), "stage"), stages[len(stages)-1], file))
		case slices.Contains(stages, "0"):
			return entry{}, fmt.Errorf("%s is merged and has no stage %s in the index; name the revision, such as HEAD:%s", file, stage, file)
		}
		return entry{}, nil
	}
	alike := func(file string) string {
		if others, _, err := staged(":(top,literal,icase)" + file); err == nil && len(others) > 0 {
			return others[0].file
		}
		return ""
	}
	return folder{name: name, stage: stage, store: store, find: find, alike: alike}
}

// unmerged is the error of a path that has stages in place of one file.
type unmerged string

func (u unmerged) Error() string { return string(u) }

// literally is a path as git takes it from the top, no character of it special.
func literally(file string) string { return ":(top,literal)" + file }

// stagedFile is an entry of the index.
type stagedFile struct {
	entry
	stage, file string
}

// maxIndexBytes bounds what is read of the index: of a folder the beginning is enough.
const maxIndexBytes = 1 << 20

// staged lists what the index has under a path, in the order of paths and stages;
// whole says that this is all.
func staged(paths string) (files []stagedFile, whole bool, err error) {
	out, err := runGit("", maxIndexBytes, "ls-files", "-s", "-z", "--full-name", "--", paths)
	return stagedIn(out), len(out) <= maxIndexBytes, err
}

// stagedIn reads git's answer: mode, hash, stage, a tab and the path, ended by a zero.
func stagedIn(out []byte) (files []stagedFile) {
	fields := strings.Split(string(out), "\x00")
	for _, field := range fields[:len(fields)-1] { // what follows the last zero was cut off
		head, file, ok := strings.Cut(field, "\t")
		if words := strings.Fields(head); ok && len(words) == 3 {
			files = append(files, stagedFile{entry{words[0], words[1]}, words[2], file})
		}
	}
	return files
}

// fromTop is a path from the top of the repository: as it is, or from the current
// folder when it begins with ./ or ../, as git has it.
func fromTop(file string) (string, error) {
	prefix := ""
	if file == "." || file == ".." || strings.HasPrefix(file, "./") || strings.HasPrefix(file, "../") {
		out, err := runGit("", 1<<16, "rev-parse", "--show-prefix")
		if err != nil {
			return file, err
		}
		prefix = strings.TrimSuffix(string(out), "\n")
	}
	at := path.Join(prefix, file)
	switch {
	case path.IsAbs(file):
		return file, fmt.Errorf("%s is not a path from the top of the repository; write it without the first slash", file)
	case at == ".." || strings.HasPrefix(at, "../"):
		return file, fmt.Errorf("%s is outside of the repository", file)
	}
	return at, nil
}

// ofHere is where in the repository a file of the working tree is, or would be.
func ofHere(mission string) (string, error) {
	if !filepath.IsAbs(mission) {
		mission = path.Clean(filepath.ToSlash(mission))
		if !strings.HasPrefix(mission, "../") {
			mission = "./" + mission
		}
		return fromTop(mission)
	}
	out, err := runGit("", 1<<16, "rev-parse", "--show-toplevel")
	if err != nil {
		return "", err
	}
	top := filepath.FromSlash(strings.TrimSuffix(string(out), "\n"))
	// The folder without links, as git has it; of what is gone the part that is there.
	there, gone := filepath.Dir(mission), filepath.Base(mission)
	for there != filepath.Dir(there) {
		if real, err := filepath.EvalSymlinks(there); err == nil {
			there = real
			break
		}
		there, gone = filepath.Dir(there), filepath.Join(filepath.Base(there), gone)
	}
	at, err := filepath.Rel(top, filepath.Join(there, gone))
	if at = filepath.ToSlash(at); err == nil && (at == ".." || strings.HasPrefix(at, "../")) {
		err = fmt.Errorf("%s is outside of the repository", mission)
	}
	return at, err
}

// Between reads one mission at both ends of REV1..REV2, or in REV and as it is now.
// Where only one end has a file of that name, and git finds that the other has it
// under another, it is read under that one.
func Between(revisions, mission string, in io.Reader) (before, after Source, err error) {
	file, err := ofHere(mission)
	if err != nil {
		return before, after, fmt.Errorf("cannot find %s in the repository: %w", mission, err)
	}
	from, to := revisions, ""
	if outsideBraces(revisions, "..") >= 0 {
		if from, to, err = revisionRange(revisions); err != nil {
			return before, after, fmt.Errorf("cannot read --git %s: %w", revisions, err)
		}
	} else if after, err = File(mission, in); err != nil {
		return before, after, err
	}
	was, is, err := names(from, to, file)
	if err != nil {
		return before, after, fmt.Errorf("cannot read %s in --git %s: %w", mission, revisions, err)
	}
	if before, err = revision(from, was); err == nil && to != "" {
		after, err = revision(to, is)
	}
	return before, after, err
}

// names are those of a file in two revisions; to is empty for what is here now.
func names(from, to, file string) (was, is string, err error) {
	older, before, err := has(from, file)
	newer, after := "", true
	if err == nil && to != "" {
		newer, after, err = has(to, file)
	}
	switch {
	case err != nil || before && after:
		return file, file, err
	case !before && !after:
		return file, file, fmt.Errorf("there is no %s in %s, nor in %s", file, from, to)
	}
	found, err := renames(older, newer)
	if err != nil {
		return file, file, err
	}
	for _, r := range found {
		if !before && r.is == file || !after && r.was == file {
			return r.was, r.is, nil
		}
	}
	if before {
		return file, file, fmt.Errorf("there is no %s in %s, and none that it was renamed to", file, to)
	}
	return file, file, fmt.Errorf("there is no %s in %s, and none that was renamed to it by %s", file, from, cmp.Or(to, "now, as far as the index knows"))
}

// has says whether a revision has anything at a path, and which tree it has.
func has(rev, file string) (tree string, there bool, err error) {
	if tree, err = treeOf(rev); err != nil {
		return "", false, err
	}
	store, err := openObjects()
	if err != nil {
		return "", false, err
	}
	defer store.close()
	_, _, err = ofTree(store, rev, tree).follow(".", file)
	if errors.As(err, new(missing)) {
		return tree, false, nil
	}
	return tree, true, err
}

// rename is a file that has another name in the newer of two trees.
type rename struct{ was, is string }

// maxRenames is how many files each side may have under new names for git to look
// for those of them that changed as well; it compares each with each.
const maxRenames = "2000"

// renames lists those between two trees; newer is empty for the index.
func renames(older, newer string) ([]rename, error) {
	ask := []string{"diff-tree", "-r", "--raw", "-z", "-M", "-l" + maxRenames, "--diff-filter=R", older, newer}
	if newer == "" {
		ask = []string{"diff-index", "--cached", "--raw", "-z", "-M", "-l" + maxRenames, "--diff-filter=R", older, "--"}
	}
	out, err := runGit("", maxHistoryBytes, ask...)
	return renamesIn(out), err
}

// renamesIn reads git's answer: for each a line of modes, hashes, and R with how
// alike they are, and both names, each ended by a zero.
func renamesIn(out []byte) (found []rename) {
	fields := strings.Split(string(out), "\x00")
	for i := 0; i+3 < len(fields); i += 3 {
		found = append(found, rename{fields[i+1], fields[i+2]})
	}
	return found
}
