// Which files go with contents that git hands over without saying where they are
// from. The same mission may stand beside other marks in another revision, so all
// that the repository knows is looked through: the index, and every commit that a
// branch, a tag, a stash, the log of one or a fetch leads to. What is the same wherever those
// contents are, is told; where there is a choice, none is made.
package source

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"merestone/internal/words"
	"merestone/spec"
)

// missionBlob is a mission as git hands it over.
type missionBlob struct {
	// hashes of what git may have stored for it: one, or several where it converts
	// line ends and the like.
	hashes []string
	// path is that from the top where it is exact, else the end of it: git takes the
	// folder off with --relative, and leaves a textconv filter the last name alone.
	path  string
	exact bool
	// here opens the files beside it in the working tree, where it may be from there.
	here spec.Opener
}

// maxHistoryBytes bounds what is read of git's answer: a change takes some 200 bytes,
// so that is 20,000 changes of a mission, and far less than what it is split into
// may take.
const maxHistoryBytes = 4 << 20

// version is one version of a file beside a mission, and where that is so.
type version struct {
	entry
	where string
}

// give makes a source open its files by where the contents are from.
func (m *missionBlob) give(s *Source) {
	s.untold, s.beside = new(error), new(string)
	s.Open = func(name string) ([]byte, error) {
		text, where, err := m.open(name)
		if where != "" {
			*s.beside = name + " as in " + where
		}
		if errors.As(err, new(untold)) {
			*s.untold = err
		}
		return text, err
	}
}

// open reads the file of a name beside the mission: the one version that there is.
func (m *missionBlob) open(name string) (text []byte, where string, err error) {
	store, err := openObjects()
	if err != nil {
		return nil, "", m.untold(err.Error())
	}
	defer store.close()
	versions, err := m.versions(store, name)
	if err != nil {
		return nil, "", m.untold(err.Error())
	}
	switch {
	case len(versions) == 0 && m.here != nil:
		text, err = m.here(name)
		return text, "the working tree", err
	case len(versions) == 0:
		return nil, "", m.untold("no revision that this repository knows has it, nor has the index")
	case len(versions) > 1:
		return nil, "", m.untold(versions[0].where + " and " + versions[1].where + " differ in it")
	}
	only, missing := versions[0], versions[0].mode == ""
	if !missing {
		if text, err = store.contents(only.entry, spec.MaxMarksFileBytes); err != nil {
			return nil, "", err
		}
	}
	switch {
	case m.here != nil:
		now, err := m.here(name)
		if (err != nil) != missing || !sameLines(now, text) {
			return nil, "", m.untold("the working tree and " + only.where + " differ in it")
		}
		return now, "the working tree and " + only.where, err
	case missing:
		return nil, only.where, fmt.Errorf("there is none in %s", only.where)
	}
	return text, only.where, nil
}

// sameLines compares texts of which one may have been checked out with line ends of
// another system.
func sameLines(a, b []byte) bool {
	return bytes.Equal(bytes.ReplaceAll(a, []byte("\r\n"), []byte("\n")), bytes.ReplaceAll(b, []byte("\r\n"), []byte("\n")))
}

// untold is the error of a file that may be one or another.
type untold string

func (u untold) Error() string { return string(u) }

// untold says why. It has the hash in it, so that the two sides of a comparison do
// not say the same.
func (m *missionBlob) untold(why string) error {
	return untold(fmt.Sprintf("which one goes with this mission (blob %.12s) cannot be told: %s; name the revisions, as in merestone diff --git REV1..REV2 MISSION", m.hashes[0], why))
}

// versions lists the versions of a file beside the mission, each once.
func (m *missionBlob) versions(store *objects, name string) ([]version, error) {
	found := map[entry]version{}
	missions, whole, err := staged(m.at(m.path))
	if err == nil && !whole {
		err = errors.New("the index is too long to be looked through")
	}
	if err != nil {
		return nil, err
	}
	commits, paths, err := m.history(name)
	if err != nil {
		return nil, err
	}
	for _, one := range missions {
		if slices.Contains(m.hashes, one.hash) && one.stage == "0" {
			paths[one.file] = true
		}
	}
	names := slices.Sorted(maps.Keys(paths))
	look := func(in folder) error {
		for _, file := range names {
			mission, err := in.find(file)
			if err != nil && !errors.As(err, new(unmerged)) {
				return err
			}
			if !slices.Contains(m.hashes, mission.hash) || !mission.isFile() {
				continue
			}
			beside, err := in.find(path.Join(path.Dir(file), name))
			if beside.mode == "" && err == nil {
				_, beside, err = in.barrier(path.Join(path.Dir(file), name))
			}
			switch {
			case err != nil:
				return err
			case beside.mode != "" && !beside.isFile(): // what a link leads to has a history of its own
				return fmt.Errorf("in %s it is no file, or behind a link", in.name)
			}
			key := entry{hash: beside.hash}
			if _, ok := found[key]; !ok {
				found[key] = version{beside, in.name}
			}
		}
		return nil
	}
	if err := look(ofIndex(store, "0")); err != nil {
		return nil, err
	}
	for _, commit := range commits {
		if err := look(ofTree(store, "commit "+commit[:min(len(commit), 12)], commit+"^{tree}")); err != nil {
			return nil, err
		}
	}
	return slices.SortedFunc(maps.Values(found), func(a, b version) int { return strings.Compare(a.where, b.where) }), nil
}

// at writes a path from the top, or the end of one, as git takes it.
func (m *missionBlob) at(file string) string {
	if m.exact {
		return literally(file)
	}
	var quoted strings.Builder
	for i := range len(file) {
		if strings.IndexByte(`*?[\`, file[i]) >= 0 {
			quoted.WriteByte('\\')
		}
		quoted.WriteByte(file[i])
	}
	return ":(top,glob)**/" + quoted.String()
}

// history lists the commits that changed the mission or the file beside it, and the
// paths at which the mission was. Every other commit has both as one of these has
// them: git leaves out those that are, in these paths, like one of their parents.
func (m *missionBlob) history(name string) (commits []string, paths map[string]bool, err error) {
	mission, beside := m.at(m.path), m.at(path.Join(path.Dir(m.path), name))
	noted, err := notedCommits()
	if err != nil {
		return nil, nil, err
	}
	list, err := runGit(noted, maxHistoryBytes, "rev-list", "--all", "--reflog", "--full-history", "--ignore-missing", "--stdin", "--", mission, beside)
	if err != nil {
		return nil, nil, err
	}
	changed, err := runGit(string(list), maxHistoryBytes, "diff-tree", "--stdin", "-r", "-m", "--root", "--raw", "-z", "--no-abbrev", "--no-renames", "--", mission)
	if err != nil {
		return nil, nil, err
	}
	if len(list) > maxHistoryBytes || len(changed) > maxHistoryBytes {
		return nil, nil, errors.New("its history is too long to be looked through")
	}
	paths = map[string]bool{}
	for _, c := range changesOf(changed) {
		if slices.Contains(m.hashes, c.before) || slices.Contains(m.hashes, c.after) {
			paths[c.file] = true
		}
	}
	return strings.Fields(string(list)), paths, nil
}

// notedCommits are those that git notes outside of branches and their logs, one a line:
// what was fetched without a branch to keep it (FETCH_HEAD), what is being merged or
// picked. Each is in a file of its own, NAME_HEAD, a hash at the beginning of each line
// (gitrevisions(7); git's documentation of fetch). Another file of such a name may have
// anything in it; what is no hash is left out.
func notedCommits() (string, error) {
	out, err := runGit("", 1<<16, "rev-parse", "--absolute-git-dir")
	if err != nil {
		return "", err
	}
	folder := strings.TrimSuffix(string(out), "\n")
	files, err := os.ReadDir(folder)
	if err != nil {
		return "", words.PlainCause(err)
	}
	var noted strings.Builder
	for _, f := range files {
		if !f.Type().IsRegular() || !strings.HasSuffix(f.Name(), "_HEAD") {
			continue
		}
		text, err := readFile(filepath.Join(folder, f.Name()))
		if err != nil {
			return "", words.PlainCause(err)
		}
		if len(text) > spec.MaxFileBytes {
			return "", fmt.Errorf("%s is too long to be looked through", f.Name())
		}
		for line := range strings.Lines(string(text)) {
			hash := line[:len(line)-len(strings.TrimLeft(line, "0123456789abcdef"))]
			if len(hash) == 40 || len(hash) == 64 { // SHA-1, SHA-256
				noted.WriteString(hash + "\n")
			}
		}
	}
	return noted.String(), nil
}

// change is other contents of a file in a commit; before and after are their hashes.
type change struct{ commit, before, after, file string }

// changesOf reads git's answer: for each commit its hash, and for each file in it a
// line of modes, hashes and a letter, then the file's name; each ended by a zero.
func changesOf(out []byte) []change {
	var changes []change
	commit, fields := "", strings.Split(string(out), "\x00")
	for i := 0; i+1 < len(fields); i++ { // what follows the last zero was cut off
		words := strings.Fields(fields[i])
		switch {
		case len(words) == 1:
			commit = words[0]
		case len(words) == 5 && i+2 < len(fields):
			i++
			changes = append(changes, change{commit, words[2], words[3], fields[i]})
		}
	}
	return changes
}
