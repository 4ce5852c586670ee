// Package source is where the bytes of a mission come from: a file, standard
// input, or a revision of git; and with them the files that the mission names,
// such as its marks_file, from the same place. It reads and decides nothing about
// what it has read.
//
//	source.go  a Source, of a file or standard input
//	git.go     revisions, by the git program
//	driver.go  what git gives to a diff driver and to a textconv filter
package source

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

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
}

// stdinName stands for a mission read from standard input in findings. The files
// that it names lie in the current folder.
const stdinName = "<stdin>"

// File reads a mission file, or in for "-".
func File(path string, in io.Reader) (Source, error) {
	if path != "-" {
		return onDisk(path)
	}
	text, err := readLimited(in, spec.MaxFileBytes)
	if err != nil {
		return Source{}, fmt.Errorf("cannot read standard input: %w", PlainCause(err))
	}
	return Source{Name: stdinName, Path: stdinName, Text: text, Open: beside(stdinName)}, nil
}

func onDisk(path string) (Source, error) {
	text, err := readFile(path)
	if err != nil {
		return Source{}, fmt.Errorf("cannot read %s: %w", path, PlainCause(err))
	}
	slashed := filepath.ToSlash(path) // so that findings read the same on every system
	return Source{Name: slashed, Path: slashed, Text: text, Open: beside(path)}, nil
}

func readFile(path string) ([]byte, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, errors.New("it is a folder; name the mission file in it")
	}
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
		return text, PlainCause(err)
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
	file, err := root.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return readLimited(file, spec.MaxMarksFileBytes)
}

// PlainCause drops the system call and the path from an error of package os,
// which messages name in their own words.
func PlainCause(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}
