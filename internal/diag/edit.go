// Remedies as changes of text: what an editor, or merestone check --fix, puts into a
// file. Fixes say in which places, so that whoever follows one touches nothing else:
// comments, order and line ends stay.
package diag

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"unicode/utf8"
)

// Fix is one way to follow a finding's remedy. Several of one finding are alternatives.
type Fix struct {
	Does string // in a few words, for a person to choose by: "write 12.3444 m"
	// Certain says that what is written can mean this alone, and that nothing which the
	// rover drives by is changed by it. All others are for a person to choose.
	Certain bool
	Edits   []Edit // all to be made together; none overlaps another
}

// Edit puts a text in place of what stands in a file from one place up to, and without,
// another. Lines and columns are those of Position. Where both places are one, it puts
// the text in before what stands there. A line end in the text is a line feed, whatever
// the file has: Apply writes that of the file.
type Edit struct {
	File                             string
	Line, Column, EndLine, EndColumn int
	Text                             string
}

// Replace is an edit that puts a text in place of what a position means.
func Replace(at Position, text string) Edit {
	return Edit{at.File, at.Line, at.Column, at.Line, at.Column + at.Width, text}
}

// Offer adds a way to follow the remedy.
func (f *Finding) Offer(certain bool, does string, edits ...Edit) {
	f.Fixes = append(f.Fixes, Fix{Does: does, Certain: certain, Edits: edits})
}

// doubtful reports a fix that is said to be certain beside others, or has no edits, or
// one without a place.
func (f Finding) doubtful() bool {
	return slices.ContainsFunc(f.Fixes, func(fix Fix) bool {
		return fix.Certain && len(f.Fixes) > 1 || fix.Does == "" || len(fix.Edits) == 0 ||
			slices.ContainsFunc(fix.Edits, func(e Edit) bool { return e.File == "" || e.Line < 1 || e.Column < 1 })
	})
}

// Certain gathers the edits of the certain fixes among findings that one file can take
// at once. What would touch a place that another one changes is left for the next time.
func Certain(findings []Finding) []Edit {
	var all []Edit
	for _, f := range findings {
		for _, fix := range f.Fixes {
			if fix.Certain && !meets(all, fix.Edits) {
				all = append(all, fix.Edits...)
			}
		}
	}
	slices.SortStableFunc(all, compareEdits)
	return all
}

// CountCertain counts the findings that have a certain fix.
func CountCertain(findings []Finding) int {
	n := 0
	for _, f := range findings {
		if len(f.Fixes) == 1 && f.Fixes[0].Certain {
			n++
		}
	}
	return n
}

func compareEdits(a, b Edit) int {
	return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
}

// meets reports whether one of the edits overlaps or touches another that is taken.
func meets(taken, edits []Edit) bool {
	return slices.ContainsFunc(edits, func(e Edit) bool {
		return slices.ContainsFunc(taken, func(t Edit) bool { return t.touches(e) })
	})
}

// touches reports whether two edits share a place, their ends included.
func (e Edit) touches(o Edit) bool {
	before := func(line, column, otherLine, otherColumn int) bool {
		return line < otherLine || line == otherLine && column < otherColumn
	}
	return e.File == o.File && !before(e.EndLine, e.EndColumn, o.Line, o.Column) && !before(o.EndLine, o.EndColumn, e.Line, e.Column)
}

// Apply makes the edits of one file in its text, which may begin with a byte order mark.
// They may come in any order. It is an error if one is of a place that the text does not
// have, or overlaps another.
func Apply(text []byte, edits []Edit) ([]byte, error) {
	edits = slices.SortedStableFunc(slices.Values(edits), compareEdits)
	body := bytes.TrimPrefix(text, []byte("\ufeff"))
	out := bytes.Clone(text[:len(text)-len(body)])
	ends := "\n"
	if first := bytes.IndexByte(body, '\n'); first > 0 && body[first-1] == '\r' {
		ends = "\r\n"
	}
	file := linesOf(body)
	done := 0
	for _, e := range edits {
		from, ok := file.offset(e.Line, e.Column)
		to, ok2 := file.offset(e.EndLine, e.EndColumn)
		if !ok || !ok2 || to < from || from < done {
			return nil, fmt.Errorf("no text from %d:%d to %d:%d that is not changed yet", e.Line, e.Column, e.EndLine, e.EndColumn)
		}
		out = append(out, body[done:from]...)
		out = append(out, bytes.ReplaceAll([]byte(e.Text), []byte("\n"), []byte(ends))...)
		done = to
	}
	return append(out, body[done:]...), nil
}

// offset is where a place is in the text: at most behind the last character of its line.
func (l *lines) offset(line, column int) (int, bool) {
	at, end, ok := l.line(line)
	if !ok || column < 1 {
		return 0, false
	}
	for ; column > 1; column-- {
		if at >= end {
			return 0, false
		}
		_, size := utf8.DecodeRune(l.text[at:])
		at += size
	}
	return at, true
}
