// Package mend makes the certain changes that findings offer in the files of a mission:
// those of what can mean one thing alone, a decimal comma or a unit in capitals. It reads
// the mission again after each round, since a fault of the notation hides what follows it,
// until nothing certain is left. What it changes it changes within lines: comments, order,
// line ends and all else stay. It writes nothing.
//
//	mend.go   the rounds
//	diff.go   what was changed, line by line
package mend

import (
	"fmt"
	"maps"
	"path"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/pipeline"
	"merestone/internal/source"
	"merestone/spec"
)

// mostRounds bounds the work. A round makes all changes that do not touch each other.
const mostRounds = 100

// File is one file that was changed.
type File struct {
	Name   string // from the folder of the mission; that of the mission itself is ""
	Shown  string // as findings name it
	Before []byte
	After  []byte
	Edits  int
	from   []int // of each line of After the line of Before that it is, or changed
}

// Result is a mission with all certain changes made.
type Result struct {
	Files   []File           // changed, the mission first, then by name
	Mission pipeline.Mission // as it is then
}

// Edits is how many changes were made.
func (r Result) Edits() int {
	n := 0
	for _, f := range r.Files {
		n += f.Edits
	}
	return n
}

// Mend takes a source through the stages, and makes the certain changes.
func Mend(s source.Source) (Result, error) {
	w := work{source: s, files: map[string]*File{s.Path: NewFile("", s.Path, s.Text)}}
	for range mostRounds {
		mission := pipeline.Load(w.current())
		edits := diag.Certain(mission.Findings)
		if len(edits) == 0 {
			return w.result(mission), nil
		}
		for _, name := range slices.Sorted(maps.Keys(w.files)) {
			if err := w.files[name].Make(slices.DeleteFunc(slices.Clone(edits), func(e diag.Edit) bool { return e.File != name })); err != nil {
				return Result{}, err
			}
		}
	}
	return w.result(pipeline.Load(w.current())), nil
}

// work are the files of a mission as far as they were read, by the names in findings.
type work struct {
	source source.Source
	files  map[string]*File
}

// current is the source with all changes so far.
func (w *work) current() source.Source {
	s := w.source
	s.Text = w.files[s.Path].After
	s.Open = func(name string) ([]byte, error) {
		shown := spec.FileBeside(w.source.Path, path.Clean(name))
		if f := w.files[shown]; f != nil {
			return f.After, nil
		}
		text, err := w.source.Open(name)
		if err == nil {
			w.files[shown] = NewFile(path.Clean(name), shown, text)
		}
		return text, err
	}
	return s
}

func (w *work) result(m pipeline.Mission) Result {
	r := Result{Mission: m}
	for _, name := range slices.Sorted(maps.Keys(w.files)) {
		switch f := w.files[name]; {
		case f.Edits == 0:
		case f.Name == "":
			r.Files = slices.Insert(r.Files, 0, *f)
		default:
			r.Files = append(r.Files, *f)
		}
	}
	return r
}

// NewFile is a file of a mission before anything is changed in it.
func NewFile(name, shown string, text []byte) *File {
	f := &File{Name: name, Shown: shown, Before: text, After: text}
	for i := range linesOf(text) {
		f.from = append(f.from, i)
	}
	return f
}

// Make makes edits, which do not overlap.
func (f *File) Make(edits []diag.Edit) error {
	if len(edits) == 0 {
		return nil
	}
	after, err := diag.Apply(f.After, edits)
	if err != nil {
		return fmt.Errorf("cannot change %s: %w", f.Shown, err)
	}
	f.follow(edits)
	f.After = after
	f.Edits += len(edits)
	return nil
}

// Changed says of each line of After whether it is none of Before.
func (f *File) Changed() []bool {
	before, after := linesOf(f.Before), linesOf(f.After)
	is := make([]bool, len(after))
	for i, from := range f.from {
		is[i] = from == changed || before[from] != after[i]
	}
	return is
}
