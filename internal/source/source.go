// Package source is where the bytes of a mission come from: a file, standard
// input, or a revision of git; and with them the files that the mission names,
// such as its marks_file, from the same place. It reads and decides nothing about
// what it has read.
//
//	source.go    a Source, of a file or standard input
//	open.go      opening what a user names without waiting for ever
//	git.go       running git, and what a revision is
//	objects.go   git's store: trees, the files in them, links
//	revision.go  missions of revisions and of the index, along renames
//	driver.go    what git gives to a diff driver and to a textconv filter
//	history.go   which marks_file goes with what git gives
//	data.go      what is no mission, such as receivers' logs, unpacked where it is packed
package source

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"merestone/internal/words"
	"merestone/spec"
)

// Source is one mission as it was found.
type Source struct {
	Name string      // for people: a file, <stdin>, or REV:PATH
	Path string      // that findings point into, and beside which the files lie that it names; with forward slashes
	Text []byte      // at most spec.MaxFileBytes+1, enough to see that it is too large
	Open spec.Opener // of the files that it names
	// Absent says that there is no such file on this side of a comparison; there
	// is nothing but the name then.
	Absent bool
	untold *error  // what Untold says
	beside *string // what Beside says
}

// Beside says, once the files of a mission that git handed over were read, where they were
// found: commits that nothing leads to any more are not looked through, so that a person
// is to see which one was meant. It is empty for any other mission.
func (s Source) Beside() string {
	if s.beside == nil {
		return ""
	}
	return *s.beside
}

// Untold says, once the mission was read, that a file which it names was not opened
// because there is more than one that may be meant, or none that is known to be.
func (s Source) Untold() error {
	if s.untold == nil {
		return nil
	}
	return *s.untold
}

// stdinName stands for a mission read from standard input in findings. The files
// that it names lie in the current folder; and so they do where the shell hands
// over an open pipe or file by its number, as <(command) does: /dev/fd/63.
const stdinName = "<stdin>"

// File reads a mission file, or in for "-".
func File(path string, in io.Reader) (Source, error) {
	if path != "-" {
		return onDisk(path)
	}
	text, err := readLimited(in, spec.MaxFileBytes)
	if err != nil {
		return Source{}, fmt.Errorf("cannot read standard input: %w", words.PlainCause(err))
	}
	return Source{Name: stdinName, Path: stdinName, Text: text, Open: beside(stdinName)}, nil
}

func onDisk(path string) (Source, error) {
	text, err := readFile(path)
	if err != nil {
		return Source{}, fmt.Errorf("cannot read %s: %w", path, words.PlainCause(err))
	}
	name, at := filepath.ToSlash(path), path // findings read the same on every system
	if n, ok := strings.CutPrefix(path, "/dev/fd/"); ok {
		name, at = "<fd "+n+">", stdinName
	} else if path == "/dev/stdin" {
		name, at = stdinName, stdinName
	}
	return Source{Name: name, Path: name, Text: text, Open: beside(at)}, nil
}

func readFile(path string) ([]byte, error) {
	file, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return readLimited(file, spec.MaxFileBytes)
}

// readLimited reads just enough for the parser to see that a file is too large.
func readLimited(r io.Reader, limit int64) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, limit+1))
}

// beside opens the files that a mission names. They must be regular files,
// because a mission must not make the tool wait on a pipe, and within the
// mission's folder even by way of links, because findings quote what is in them
// and a mission may come from a stranger.
func beside(mission string) spec.Opener {
	folder := filepath.Dir(mission)
	return func(name string) ([]byte, error) {
		text, err := within(folder, name)
		return text, words.PlainCause(err)
	}
}

func within(folder, name string) ([]byte, error) {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	name = filepath.FromSlash(name)
	info, err := root.Stat(name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errors.New("it is not a regular file")
	}
	file, err := root.OpenFile(name, os.O_RDONLY|doNotWait, 0)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if info, err = file.Stat(); err == nil && !info.Mode().IsRegular() { // it was, a moment ago
		err = errors.New("it is not a regular file")
	}
	if err != nil {
		return nil, err
	}
	return readLimited(file, spec.MaxMarksFileBytes)
}
