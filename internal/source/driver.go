// What git gives to the programs that it calls: contents, with little or nothing
// of where they are from. The marks_file must be of the same revision, so that is
// looked up.
package source

import (
	"io"
	"os"
	"path/filepath"
	"strings"

	"merestone/spec"
)

// Driver reads the arguments of git's external diff driver: path, old-file,
// old-hex, old-mode, new-file, new-hex, new-mode, and for a renamed file the new
// path and a remark. Git runs it from the top of the working tree.
func Driver(args []string) (before, after Source, err error) {
	oldPath, newPath := args[0], args[0]
	if len(args) == 9 {
		newPath = args[7]
	}
	if before, err = driverSide("a/", oldPath, args[1], args[2], true); err == nil {
		after, err = driverSide("b/", newPath, args[4], args[5], false)
	}
	return before, after, err
}

// driverSide reads one side for the driver. Its marks_file is that of the
// revision which the contents are from, as far as the history tells, else the
// one that is staged, else the one in the working tree.
func driverSide(prefix, path, file, hash string, old bool) (Source, error) {
	s := Source{Name: prefix + path, Path: path, Absent: isNull(file)}
	if s.Absent {
		return s, nil
	}
	given, err := onDisk(file)
	if err != nil {
		return Source{}, err
	}
	s.Text, s.Open = given.Text, beside(path)
	if filepath.ToSlash(filepath.Clean(file)) != path { // a copy of what git has
		if rev, ok := holding(hash, path, old); ok {
			s.Open = revisionOpener(rev, path)
		} else {
			s.Open = firstOf(revisionOpener("", path), s.Open)
		}
	}
	return s, nil
}

// isNull says that a file is what git gives for one that does not exist. That is
// /dev/null on every system (external diffs in gitdiffcore, from memory); a shell
// of Windows between git and this program may turn it into that system's own.
func isNull(file string) bool { return file == "/dev/null" || strings.EqualFold(file, os.DevNull) }

// Textconv reads the file that git gives to a textconv filter. That may be a
// temporary copy; where it came from is then looked up by its contents.
func Textconv(file string, in io.Reader) (Source, error) {
	s, err := File(file, in)
	if err != nil {
		return Source{}, err
	}
	if rev, path, ok := find(s.Text); ok {
		committed := revisionOpener(rev, path)
		s.Open = firstOf(s.Open, committed)
		if filepath.IsAbs(file) || strings.Contains(filepath.ToSlash(file), "/git-blob-") {
			s.Name, s.Path, s.Open = path, path, committed
		}
	}
	return s, nil
}

func firstOf(first, second spec.Opener) spec.Opener {
	return func(name string) ([]byte, error) {
		if text, err := first(name); err == nil {
			return text, nil
		}
		return second(name)
	}
}
