// Marks that are measured from others: which keys go together, and the marks that rows
// and rings stand for. Whether the measurements lead anywhere is for internal/plan.
package spec

import (
	"fmt"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// Form is how a mark is given.
type Form uint8

// The forms.
const (
	Surveyed Form = iota // by latitude and longitude
	InFrame              // east and north from the origin
	Step                 // east and north from a mark
	Ray                  // by bearing and distance
	Tapes                // by distances from marks
	Beside               // by chainage and offset from a line
)

// Form is told by what is written.
func (m Mark) Form() Form {
	switch by := m.Measured; {
	case by == nil:
		return Surveyed
	case len(by.Tapes) > 0:
		return Tapes
	case by.Chainage != nil:
		return Beside
	case by.Bearing != nil || by.MagneticBearing != nil:
		return Ray
	case by.From == "":
		return InFrame
	default:
		return Step
	}
}

// leansOn are the names of the marks that a mark is measured from; one that was not read is
// empty.
func (m Mark) leansOn() (names []string) {
	switch by := m.Measured; m.Form() {
	case Tapes:
		for _, tape := range by.Tapes {
			names = append(names, tape.From)
		}
	case Beside:
		names = []string{by.From, by.Towards}
	case Ray, Step:
		names = []string{by.From}
	}
	return names
}

// written reports whether a mark is measured.
func (by Measurement) written() bool {
	return len(by.Tapes) > 0 || by.Chainage != nil || by.Bearing != nil || by.MagneticBearing != nil || by.East != nil && by.North != nil
}

// FromOthers reports whether a mark lies where others have it: no antenna stood on it.
func (f Form) FromOthers() bool { return f > InFrame }

// measurementForm is a form as it is written: keys that give it away, keys that it needs
// beside these, and keys that may be written.
type measurementForm struct {
	by                 string // "a bearing and a distance"
	signs, needs, mays []string
}

func measurementForms() []measurementForm {
	return []measurementForm{
		{"latitude and longitude", []string{"latitude", "longitude"}, nil, []string{"height", "uncertainty", "setup", "same_as"}},
		{"east and north", []string{"east", "north"}, []string{"uncertainty"}, []string{"from", "height", "setup", "same_as"}},
		{"a bearing and a distance", []string{"bearing"}, []string{"from", "bearing_uncertainty", "distance", "distance_uncertainty"}, []string{"height"}},
		{"a magnetic bearing and a distance", []string{"magnetic_bearing"}, []string{"from", "bearing_uncertainty", "distance", "distance_uncertainty"}, []string{"date", "height"}},
		{"tapes", []string{"tapes"}, []string{"side"}, []string{"height"}},
		{"chainage along a line", []string{"chainage"}, []string{"from", "towards", "uncertainty"}, []string{"right", "height"}},
	}
}

// formCheck has what the check of every mark needs.
type formCheck struct {
	*decoder
	forms []measurementForm
	keys  []string // of a mark
}

// check wants the keys of one form, all of them, and says in one finding what is wrong
// with that.
func (d formCheck) check(name, path string, by Measurement) {
	if d.unread[path] {
		return
	}
	var there []string
	for _, key := range d.keys {
		if _, ok := d.places[join(path, key)]; ok {
			there = append(there, key)
		}
	}
	written := func(key string) bool { return slices.Contains(there, key) }
	mark, forms := diag.The(diag.Mark, name), d.forms
	var said []measurementForm
	for _, f := range forms {
		if slices.ContainsFunc(f.signs, written) {
			said = append(said, f)
		}
	}
	tell := func(rule diag.ID, remedy, format string, args ...any) {
		d.fail(rule, d.where(path), remedy, format, args...)
	}
	switch len(said) {
	case 0:
		if likely, ok := likeliest(forms, written); ok {
			said = []measurementForm{likely}
			break
		}
		tell(ruleMissingKey, "add latitude and longitude, or measure it from other marks: east and north, a bearing and a distance, tapes, or chainage along a line", "the %s has no place", mark)
		return
	case 1:
	default:
		tell(ruleEitherOr, "take out what is not meant", "the %s is given by %s and by %s", mark, said[0].by, said[1].by)
		return
	}
	form := said[0]
	var missing, strange []string
	for _, key := range slices.Concat(form.signs, form.needs) {
		if !written(key) {
			missing = append(missing, key)
		}
	}
	for _, key := range there {
		if !slices.Contains(slices.Concat(form.signs, form.needs, form.mays), key) {
			strange = append(strange, key)
		}
	}
	if written("from") && form.by == "east and north" { // of another mark: the set-up is that mark's
		for _, key := range []string{"setup", "same_as"} {
			if written(key) {
				strange = append(strange, key)
			}
		}
	}
	if len(missing) > 0 {
		tell(ruleMissingKey, "add "+words.And(missing), "the %s is given by %s and has no %s", mark, form.by, words.And(missing))
	}
	if len(strange) > 0 {
		tell(ruleUnknownKey, "take it out, or what else says where the mark is", "the %s is given by %s, with no use for %s", mark, form.by, words.And(strange))
	}
	switch {
	case by.From != "" && by.From == by.Towards:
		d.failKey(ruleSameMark, join(path, "towards"), "write the mark at its other end", "the line runs from %s to itself", quote(by.From))
	case len(by.Tapes) > 1 && by.Tapes[0].From != "" && by.Tapes[0].From == by.Tapes[1].From:
		d.failKey(ruleSameMark, join(path, "tapes[1].from"), "begin the list with tapes from two different marks", "the first two tapes of the %s are both from %s", mark, quote(by.Tapes[0].From))
	}
}

// likeliest is the form of which most keys are written, where no key gives one away.
func likeliest(forms []measurementForm, written func(string) bool) (best measurementForm, ok bool) {
	most := 0
	for _, f := range forms[2:] {
		n := 0
		for _, key := range f.needs {
			if key != "uncertainty" && key != "from" && written(key) {
				n++
			}
		}
		if n > most {
			best, most = f, n
		}
	}
	return best, most > 0
}

// expand adds the marks of rows and rings.
func (d *decoder) expand(to *Mission) {
	for _, r := range to.Rows {
		d.lists[r.Name] = true
	}
	for _, r := range to.Rings {
		d.lists[r.Name] = true
	}
	for i, r := range to.Rows {
		path := fmt.Sprintf("rows[%d]", i)
		if !d.goodLine(path, r.Name, r.From, r.Towards) || r.Count == 0 {
			d.marksLost = d.marksLost || r.Name == "" || r.Count == 0
		}
		d.doubtRead(path)
		for n := range r.Count {
			chainage := r.First + quantity.Length(n)*r.Step
			d.corner(to, path, r.Name, n+1, r.From, r.Towards, chainage, or(r.Right), r.Uncertainty)
		}
	}
	for i, r := range to.Rings {
		path := fmt.Sprintf("rings[%d]", i)
		if !d.goodLine(path, r.Name, r.From, r.Towards) {
			d.marksLost = d.marksLost || r.Name == ""
		}
		d.doubtRead(path)
		if r.Name != "" && len(r.Widths) == 0 { // told of where they stand
			for n := range 4 {
				d.know(fmt.Sprintf("%s%d", r.Name, n+1), d.where(path))
			}
		}
		for n, c := range r.corners() {
			d.corner(to, path, r.Name, n+1, c.from, c.towards, c.chainage, c.right, r.Uncertainty)
		}
	}
}

// goodLine reports whether a row or ring has a name, and a line between two marks.
func (d *decoder) goodLine(path, name, from, towards string) bool {
	if from != "" && from == towards {
		d.failKey(ruleSameMark, path+".towards", "write the mark at its other end", "the line runs from %s to itself", quote(from))
	}
	return name != "" && from != "" && towards != ""
}

func or(l *quantity.Length) quantity.Length {
	if l == nil {
		return 0
	}
	return *l
}

// corner is one mark of a row or ring: its place in the file is that of the whole.
func (d *decoder) corner(to *Mission, path, name string, number int, from, towards string, chainage, right quantity.Length, uncertainty *quantity.Length) {
	if name == "" || d.found(ruleTooManyMarks) {
		return
	}
	full := fmt.Sprintf("%s%d", name, number)
	at := &node{kind: scalarKind, text: full, at: d.where(path)}
	places := d.places[path] // addMark would move it
	if !d.addMark(full, at, path) {
		d.doubt(path, join("marks", full))
		d.places[path] = places
		return
	}
	d.places[path] = places
	to.Marks = append(to.Marks, Mark{Name: full, Path: path, Uncertainty: uncertainty,
		Measured: &Measurement{From: from, Towards: towards, Chainage: &chainage, Right: &right}})
}

// corner of a ring, beside the line from one of its two marks towards the other.
type corner struct {
	from, towards   string
	chainage, right quantity.Length
}

// corners are those of a ring, in order around: along the line, then across it. Where the
// side reaches from mark to mark, the corners at its far end are measured from that mark.
func (r Ring) corners() []corner {
	if len(r.Widths) == 0 {
		return nil
	}
	near, far := r.Widths[0], r.Widths[len(r.Widths)-1]
	if r.Side == Left {
		near, far = -near, -far
	}
	start, beside := or(r.Chainage), or(r.Right)
	there := func(across quantity.Length) corner {
		if r.Length == nil {
			return corner{r.Towards, r.From, 0, -beside - across}
		}
		return corner{r.From, r.Towards, start + *r.Length, beside + across}
	}
	return []corner{{r.From, r.Towards, start, beside}, there(0), there(far), {r.From, r.Towards, start, beside + near}}
}

// checkSamePoints refuses same_as of a mark that is measured from others: no antenna
// stood on it, so that it ties no set-ups.
func (d *decoder) checkSamePoints(to *Mission) {
	measured := map[string]bool{}
	for _, m := range to.Marks {
		if m.Form().FromOthers() {
			measured[m.Name] = true
		}
	}
	for _, m := range to.Marks {
		if measured[m.SameAs] {
			d.failKey(ruleUnknownMark, join(m.Path, "same_as"), "name a mark that was surveyed from another set-up", "%s names the %s, which is measured from others: it ties no set-ups", keyOf(join(m.Path, "same_as")), diag.The(diag.Mark, m.SameAs))
			d.doubt(join(m.Path, "same_as"))
		}
	}
}
