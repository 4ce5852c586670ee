// Package source is where the bytes of a mission come from: a file, standard
// input, or a revision of git; and with them the files that the mission names,
// such as its marks_file, from the same place. It reads and decides nothing about
// what it has read.
//
//	source.go  a Source, and the arguments of the command line that name one
//	file.go    files and standard input
//	git.go     revisions, by the git program
//	driver.go  what git gives to a diff driver and to a textconv filter
package source

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"merestone/spec"
)

// Source is one mission as it was found.
type Source struct {
	Name string      // for people: a file, <stdin>, or REV:PATH
	Path string      // that findings point into, and beside which the files lie that it names
	Text []byte      // at most spec.MaxFileBytes+1, enough to see that it is too large
	Open spec.Opener // of the files that it names
	// Absent says that there is no such file on this side of a comparison; there
	// is nothing but the name then.
	Absent bool
}

// FileOrRevision reads what the command line names for a comparison: a mission
// file, - for in, or REV:PATH. A file of that name goes before a revision.
func FileOrRevision(arg string, in io.Reader) (Source, error) {
	rev, path, isRevision := splitRevision(arg)
	if _, err := os.Stat(arg); isRevision && err != nil {
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
		if err != nil {
			return before, after, fmt.Errorf("cannot tell where this is: %w", err)
		}
		if path, err = filepath.Rel(here, path); err != nil {
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
