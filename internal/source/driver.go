// What git gives to the programs that it calls: contents, with little or nothing
// of where they are from. The marks_file must be of the same revision, so that is
// looked up.
package source

import (
	"bytes"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// NotCompared is the error of something that git hands over and that is no mission.
type NotCompared struct{ Path, What string }

func (n NotCompared) Error() string { return n.Path + ": it is " + n.What }

// Driver reads the arguments of git's external diff driver: path, old-file,
// old-hex, old-mode, new-file, new-hex, new-mode, and for a renamed file the new
// path and a remark. Git runs it from the top of the working tree, with paths from
// there, or from the folder of --relative.
func Driver(args []string) (before, after Source, err error) {
	oldPath, newPath := args[0], args[0]
	if len(args) == 9 {
		newPath = args[7]
	}
	if before, err = driverSide("a/", oldPath, args[1], args[2], args[3]); err == nil {
		after, err = driverSide("b/", newPath, args[4], args[5], args[6])
	}
	return before, after, err
}

// driverSide reads one side for the driver.
func driverSide(prefix, file, contents, hash, mode string) (Source, error) {
	s := Source{Name: prefix + file, Path: file, Absent: isNull(contents)}
	switch {
	case s.Absent:
		return s, nil
	case mode == modeLink:
		return Source{}, NotCompared{file, "a symbolic link"}
	case mode == modeSubmodule:
		return Source{}, NotCompared{file, "a submodule"}
	}
	given, err := onDisk(contents)
	if err != nil {
		return Source{}, err
	}
	s.Text, s.Open = given.Text, beside(contents)
	switch known := strings.Trim(hash, "0") != ""; {
	case isCopy(contents) || known && filepath.IsAbs(contents):
		(&missionBlob{hashes: []string{hash}, path: file}).give(&s)
	case known: // the file in the working tree, which has the same contents
		(&missionBlob{hashes: []string{hash}, path: path.Clean(filepath.ToSlash(contents)), exact: true, here: s.Open}).give(&s)
	}
	return s, nil
}

// isNull says that a file is what git gives for one that does not exist. That is
// /dev/null on every system (external diffs in gitdiffcore, from memory); a shell
// of Windows between git and this program may turn it into that system's own.
func isNull(file string) bool { return file == "/dev/null" || strings.EqualFold(file, os.DevNull) }

// isCopy says that a file is one that git made of what it has stored, in a folder of
// its own (git's source, tempfile and diff; from memory).
func isCopy(file string) bool {
	return strings.HasPrefix(path.Base(path.Dir(filepath.ToSlash(file))), "git-blob-")
}

// ofOldCopy is the last name of what a git before version 2.37 has copied so: six
// letters, a line and the name, in the folder for temporary files (from memory).
func ofOldCopy(file string) (name string, ok bool) {
	letters, name, _ := strings.Cut(filepath.Base(file), "_")
	return name, name != "" && len(letters) == 6 && filepath.Dir(file) == filepath.Clean(os.TempDir())
}

// Textconv reads the file that git gives to a textconv filter: the one in the working
// tree, or a copy of what is stored. Of neither does git say which revision is meant.
// Nothing is looked up for a mission that names no file.
func Textconv(file string, in io.Reader) (Source, error) {
	s, err := File(file, in)
	if err != nil || file == "-" {
		return s, err
	}
	plain, m := s.Open, missionBlob{path: filepath.Base(file)}
	if isCopy(file) {
		s.Name, s.Path = m.path, m.path
	}
	m.give(&s)
	known := s.Open
	s.Open = func(name string) ([]byte, error) {
		if !isCopy(file) {
			at, err := ofHere(file)
			old, isOld := ofOldCopy(file)
			switch {
			case err == nil:
				m.path, m.exact, m.here = at, true, plain
			case isOld:
				m.path = old
			default: // it is of no repository, or there is no git
				return plain(name)
			}
		}
		var err error
		if m.hashes, err = stored(s.Text, file); err != nil {
			return nil, err
		}
		return known(name)
	}
	return s, nil
}

// stored are the hashes under which git may have a text that it hands over: as it is,
// with the line ends of other systems, and as it is converted when this file is added.
func stored(text []byte, file string) (hashes []string, err error) {
	ways := [][]string{{"hash-object", "--stdin"}}
	if !isCopy(file) && !filepath.IsAbs(file) {
		ways = append(ways, []string{"hash-object", "--stdin", "--path=" + filepath.ToSlash(file)})
	}
	for i, way := range append(ways, ways[0]) {
		if i == len(ways) {
			text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
		}
		out, err := runGit(string(text), 1<<10, way...)
		if err != nil {
			return nil, err
		}
		hashes = append(hashes, strings.TrimSpace(string(out)))
	}
	return hashes, nil
}
