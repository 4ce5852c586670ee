// Package insert enters marks, rings and a route into the text of a mission, as a person
// would who edits it by hand: comments, order, quotation marks, indentation and line ends
// stay, and what is new looks like what stands beside it. A mark that is there already gets
// new values for the keys that are given; its others stay.
//
// Nothing is taken on trust. What comes out is read again, as is a small mission that holds
// the new values alone, and the two must agree: each mark says what was asked, and all else
// in the mission is what it was. A change for which that is not so is refused (same.go).
//
//	insert.go  what is asked, and the steps
//	page.go    a text with its tree: where nodes begin and end, edits
//	place.go   where in a text something goes, in the way that is written in
//	tree.go    what is put in, in blocks or in braces
//	marks.go   marks in the mission
//	table.go   marks in the marks_file
//	lists.go   the fence's rings and the route
//	same.go    whether the change did what was asked, and nothing else
package insert

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/mend"
	"merestone/internal/source"
	"merestone/internal/words"
	"merestone/spec"
)

// Key is a key of a mark with its value, as text: {"height", "412.60 m"}.
type Key struct{ Name, Text string }

// Mark is a mark to be entered: a new one, or new values for one that is there.
type Mark struct {
	Name string
	Keys []Key // of a mark that an antenna stood on: latitude, longitude, height, uncertainty, setup, same_as
	// Comment is put on lines of its own above the mark, without its #. Each takes the place of
	// a comment there that begins with the same word: what was said of an earlier visit. (Where
	// several marks stand on one line, comments above it may be of another, and stay.)
	Comment []string
}

// Obstacle is a ring of marks around an obstacle: a new one, or a new ring for one of that
// name that has a ring.
type Obstacle struct {
	Name string
	Ring []string
}

// Change is what is to be entered, all of it or nothing.
type Change struct {
	Marks     []Mark
	Boundary  []string // marks around the site in place of those that are there; nil to leave it
	Obstacles []Obstacle
	Route     []string // marks visited in place of those that are there; nil to leave it
}

// Into makes a change in the files of a mission: the mission itself, which is named "", and
// its marks_file. None is written. An error says what is in the way, and where.
func Into(s source.Source, c Change) ([]mend.File, error) {
	if err := c.sound(); err != nil {
		return nil, err
	}
	c.Marks = slices.Clone(c.Marks)
	for i, m := range c.Marks {
		c.Marks[i].Comment = nil
		for _, said := range m.Comment { // on one line each, whatever name of a file is in it
			c.Marks[i].Comment = append(c.Marks[i].Comment, words.Visible(said))
		}
	}
	asked, err := c.asked()
	if err != nil {
		return nil, err
	}
	before := spec.Parse(s.Path, s.Text, s.Open)
	if before.Mission == nil {
		return nil, fmt.Errorf("%s cannot be read well enough to enter anything: %s; mend it first", s.Name, firstError(before.Findings))
	}
	w := work{was: byName(before.Mission.Marks), change: c, asked: asked, source: s, before: before.Mission, findings: before.Findings, mission: mend.NewFile("", s.Path, s.Text)}
	for _, step := range []func() error{w.marks, w.table, w.boundary, w.obstacles, w.route} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	if err := w.proved(); err != nil {
		return nil, err
	}
	var files []mend.File
	for _, f := range []*mend.File{w.mission, w.csv} {
		if f != nil && f.Edits > 0 {
			files = append(files, *f)
		}
	}
	return files, nil
}

// sound refuses a change that says something twice, or nothing that a mark can say.
func (c Change) sound() error {
	names := map[string]bool{}
	for _, m := range c.Marks {
		if names[m.Name] {
			return fmt.Errorf("the mark %q is to be entered twice", m.Name)
		}
		names[m.Name] = true
		keys := map[string]bool{}
		for _, k := range m.Keys {
			if _, known := surveyed(spec.Mark{}, k.Name); !known || keys[k.Name] {
				return fmt.Errorf("the mark %q: the key %q is to be entered, which is no key of a mark that was surveyed, or is there twice", m.Name, k.Name)
			}
			keys[k.Name] = true
		}
		if len(m.Keys) == 0 {
			return fmt.Errorf("the mark %q is to be entered without any key", m.Name)
		}
	}
	obstacles := map[string]bool{}
	for _, o := range c.Obstacles {
		if obstacles[o.Name] {
			return fmt.Errorf("the obstacle %q is to be entered twice", o.Name)
		}
		obstacles[o.Name] = true
	}
	return nil
}

// work is one change on its way.
type work struct {
	change   Change
	asked    map[string]spec.Mark // the marks as they are to read, of which the given keys count
	source   source.Source
	before   *spec.Mission
	was      map[string]spec.Mark // its marks
	findings []diag.Finding       // in it
	mission  *mend.File
	csv      *mend.File // the marks_file; nil as long as nothing of it is to be changed
	inTable  []Mark     // those that stand in it
	shared   []string   // anchors of what was changed, which aliases may stand for elsewhere
}

func byName(marks []spec.Mark) map[string]spec.Mark {
	all := make(map[string]spec.Mark, len(marks))
	for _, m := range marks {
		all[m.Name] = m
	}
	return all
}

// opener opens the files that the mission names, as they are by now.
func (w *work) opener(name string) ([]byte, error) {
	if w.csv != nil && path.Clean(name) == w.csv.Name {
		return w.csv.After, nil
	}
	return w.source.Open(name)
}

// at names a place of a file for a person.
func at(file string, line int) string { return fmt.Sprintf("%s:%d", file, line) }

// sorted are names for a message.
func sorted(names []string) string {
	return strings.Join(slices.Compact(slices.Sorted(slices.Values(names))), ", ")
}
