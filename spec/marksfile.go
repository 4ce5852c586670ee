// The marks_file: a table of marks as comma-separated values.
//
//	# surveyed 2026-05-02
//	name,latitude,longitude,height,uncertainty,setup,same_as
//	A,45.30120000,6.12340000,412.60 m,2 cm,may,
//	B,45°18'04.4412"N,6°07'24.2400"E,,2 cm,may,
//	B2,45.30123367,6.12339980,,2 cm,june,B
//
// RFC 4180 with these limits, so that every error has one clear place: a record
// is one line, and a quotation mark only counts at the start of a field. Spaces and
// tabs around a field that has none are not part of it; no other kind of space is
// taken off, since what looks like a space may be a digit lost. Lines that begin with
// # are comments, and blank lines are nothing. All but the first three are optional,
// the columns may come in any order, and columns of other names are not read, which a
// note says. The values are read as those of the same keys
// under marks.
//
// Reading takes memory for the marks and for the findings that are printed, whatever
// the file holds: a line is taken apart up to a length and a number of fields, and
// nothing is read behind the last mark that a mission may have.
package spec

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"merestone/internal/diag"
	"merestone/internal/words"
)

const (
	maxMarksLine   = 4_000 // bytes; the longest useful line has some 250
	maxMarksFields = 20    // of a line; there are seven columns
	around         = " \t" // what may stand around a field without quotation marks
)

// readMarksFile adds the marks of the marks_file to the mission.
func (d *decoder) readMarksFile(to *Mission) {
	if to.MarksFile == "" {
		return
	}
	d.marksLost = !d.marksOfFile(to) || d.marksLost
	d.doubts.told() // of each line, and of all by marksLost
}

// marksOfFile reports whether every line of the file could be taken apart, so
// that the names of its marks are known.
func (d *decoder) marksOfFile(to *Mission) bool {
	at := d.where("marks_file")
	if !d.insideFolder(to.MarksFile, at) {
		return false
	}
	name := d.beside(to.MarksFile)
	if name == path.Clean(d.file) {
		d.fail(ruleBadFile, at, "write the name of a CSV file", "marks_file is the mission file itself")
		return false
	}
	if d.open == nil {
		d.fail(ruleBadFile, at, "write the marks under marks", "a marks_file cannot be read here")
		return false
	}
	text, err := d.open(path.Clean(to.MarksFile))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		d.fail(ruleBadFile, at, "put it there, or correct its name", "there is no file %s in the folder of the mission", quote(to.MarksFile))
		return false
	case err != nil:
		d.fail(ruleBadFile, at, "", "the file %s cannot be read: %v", quote(to.MarksFile), err)
		return false
	}
	if message, remedy := binary(text); message != "" {
		d.sources[name] = nil // nothing to show
		d.fail(ruleNotText, diag.Position{File: name}, remedy, "%s", message)
		return false
	}
	if !d.characters(name, text, MaxMarksFileBytes, "take out the marks that the mission does not use") {
		return false
	}
	table := marksTable{d: d, file: name, to: to}
	table.keys = surveyedKeys(&table.mark)
	return table.read(d.sources[name])
}

// insideFolder refuses names that could lead out of the mission's folder.
func (d *decoder) insideFolder(name string, at diag.Position) bool {
	fault := ""
	switch {
	case slices.Contains(strings.Split(name, "/"), ".."):
		fault = "leads out of the folder of the mission"
	case strings.ContainsAny(name, "\\:\x00\n"):
		fault = "has a character in it that is not the same on every system"
	case path.IsAbs(name):
		fault = "is an absolute path"
	case strings.HasSuffix(name, "/") || path.Clean(name) == ".":
		fault = "is a folder"
	default:
		return true
	}
	d.fail(ruleBadFile, at, "put the file into the folder of the mission, and write its name with forward slashes", "marks_file %s %s", quote(name), fault)
	return false
}

// marksTable reads one CSV file.
type marksTable struct {
	d       *decoder
	file    string
	to      *Mission
	columns []string // what each column is called; nil before the header
	name    int      // the column of the names
	guessed bool     // a column has another name than it should, and was read by what it seems to be
	header  diag.Position
	rows    int

	mark Mark  // the one that keys read into
	keys []key // of a mark
}

// read goes through the lines. A bad line is reported and left out; without a
// good header there is nothing to go on with. It reports whether every line
// could be taken apart into fields.
func (t *marksTable) read(text []byte) (whole bool) {
	number, read := 0, 0
	whole = true
	for bytesOfLine := range bytes.Lines(text) {
		number++
		read += len(bytesOfLine)
		bytesOfLine = bytes.TrimRight(bytesOfLine, "\r\n")
		if len(bytes.Trim(bytesOfLine, around)) == 0 || bytesOfLine[0] == '#' {
			continue
		}
		if t.columns != nil {
			if t.rows++; t.rows > maxMarks {
				t.d.tooManyMarks(diag.Position{File: t.file, Line: number, Column: 1, Width: 1})
			}
			if t.d.found(ruleTooManyMarks) {
				return false
			}
		}
		fields, ok := t.split(bytesOfLine, number)
		switch {
		case t.columns == nil:
			if !ok || !t.readHeader(string(bytesOfLine), fields, number, text[read:]) {
				return false
			}
		case ok:
			t.readRow(fields, number)
		default:
			whole = false
		}
	}
	switch {
	case t.columns == nil:
		t.d.fail(ruleBadCSV, diag.Position{File: t.file}, usualHeader+", and write a line for each mark below it", "the file is empty: it has no header and no marks")
	case t.rows == 0:
		t.d.fail(ruleBadCSV, t.header, "write a line for each mark, or take marks_file out of the mission", "the file has a header and no marks")
	}
	return whole && t.rows > 0
}

// split cuts a line at its commas. Fields are scalars, as YAML has them, so that
// the same readers serve for both. Of too many fields there is one more than may be.
func (t *marksTable) split(whole []byte, number int) ([]*node, bool) {
	if len(whole) > maxMarksLine {
		at := diag.Position{File: t.file, Line: number, Column: 1, Width: utf8.RuneCount(whole[:maxMarksLine])}
		t.d.fail(ruleBadCSV, at, "write each mark on a line of its own", "this line is longer than %d bytes, and is not read", maxMarksLine)
		return nil, false
	}
	cut, closed := Fields(string(whole))
	if last := cut[len(cut)-1]; !closed {
		at := diag.Position{File: t.file, Line: number, Column: last.Column, Width: last.Width}
		t.d.fail(ruleBadCSV, at, `close it with ", and write "" for a quotation mark within`, "a quotation mark at the start of a field is not closed before the next comma or the end of the line")
		return nil, false
	}
	fields := make([]*node, len(cut))
	for i, f := range cut {
		fields[i] = &node{kind: scalarKind, text: f.Text, at: diag.Position{File: t.file, Line: number, Column: f.Column, Width: max(f.Width, 1)}}
	}
	return fields, true
}

// Field is one field of a line of a marks_file: what it says, and where it is written,
// counted in characters from 1, with its quotation marks and without the space around it.
type Field struct {
	Text          string
	Column, Width int
}

// Fields cuts a line at its commas. Of more than may be there is one more. It is false where
// a quotation mark is not closed; the last field is what begins with it then.
func Fields(line string) (fields []Field, ok bool) {
	column := 1
	for rest := line; ; {
		field := Field{Column: column}
		var written string
		if after, found := strings.CutPrefix(rest, `"`); found {
			text, length, ok := unquote(after)
			if !ok {
				field.Width = utf8.RuneCountInString(rest)
				return append(fields, field), false
			}
			field.Text, written = text, rest[:1+length]
			field.Width = utf8.RuneCountInString(written)
		} else {
			written, _, _ = strings.Cut(rest, ",")
			field.Text = strings.Trim(written, around)
			field.Column += utf8.RuneCountInString(written) - utf8.RuneCountInString(strings.TrimLeft(written, around))
			field.Width = utf8.RuneCountInString(field.Text)
		}
		fields = append(fields, field)
		if len(written) == len(rest) || len(fields) > maxMarksFields {
			return fields, true
		}
		rest = rest[len(written)+1:]
		column += utf8.RuneCountInString(written) + 1
	}
}

// unquote reads a quoted field behind its first quotation mark: its text, and
// how many bytes it takes with the closing mark.
func unquote(rest string) (text string, length int, ok bool) {
	var out strings.Builder
	for {
		before, after, found := strings.Cut(rest[length:], `"`)
		if !found {
			return "", 0, false
		}
		out.WriteString(before)
		length += len(before) + 1
		if strings.HasPrefix(after, `"`) {
			out.WriteByte('"')
			length++
			continue
		}
		return out.String(), length, after == "" || after[0] == ','
	}
}

func (t *marksTable) readRow(fields []*node, number int) {
	if len(fields) != len(t.columns) {
		last := fields[len(fields)-1]
		at := diag.Position{File: t.file, Line: number, Column: 1, Width: last.at.Column + last.at.Width - 1}
		remedy := "leave a field empty between two commas if there is nothing to write"
		if last := fields[len(fields)-1]; len(fields) == len(t.columns)+1 && last.text == "" {
			remedy = "take the comma at the end of the line out"
		} else if len(fields) > len(t.columns) {
			remedy = "put fields with commas in them into quotation marks; decimals are written with a point"
		}
		count := words.Count(len(fields), "field", "fields")
		if len(fields) > maxMarksFields {
			count = fmt.Sprintf("more than %d fields", maxMarksFields)
		}
		t.d.fail(ruleBadCSV, at, remedy, "this line has %s, and the header has %d", count, len(t.columns)).Related = []diag.Related{{At: t.header, Message: "the header"}}
		if t.name < len(fields) {
			t.d.know(fields[t.name].text, fields[t.name].at)
			t.d.doubt(join("marks", fields[t.name].text))
		} else {
			t.d.marksLost = true
		}
		return
	}
	name := fields[t.name]
	t.mark = Mark{Name: name.text, Path: join("marks", name.text)}
	if !t.d.addMark(t.mark.Name, name, t.mark.Path) {
		t.d.doubt(t.mark.Path)
		return
	}
	t.unswap(fields)
	for i, column := range t.columns {
		k, isKey := findKey(t.keys, column)
		switch f := fields[i]; {
		case !isKey:
		case f.text != "":
			at := join(t.mark.Path, column)
			t.d.places[at] = f.at
			t.d.readKey(k, f, at)
			t.d.doubtRead(at)
		case k.required:
			t.d.fail(ruleEmptyValue, f.at, "write it: "+k.value.words, "the %s has no %s", diag.The(diag.Mark, t.mark.Name), column)
			t.d.doubt(join(t.mark.Path, column))
		}
	}
	if t.guessed {
		t.d.doubt(t.mark.Path)
	}
	t.to.Marks = append(t.to.Marks, apart(t.mark, Measurement{}))
}

// apart is a mark with fields of its own: the keys read all marks into the same.
func apart(m Mark, by Measurement) Mark {
	m.Height, m.Uncertainty = copied(m.Height), copied(m.Uncertainty)
	if by.written() {
		by.East, by.North, by.Distance, by.DistanceUncertainty = copied(by.East), copied(by.North), copied(by.Distance), copied(by.DistanceUncertainty)
		by.Bearing, by.MagneticBearing, by.BearingUncertainty = copied(by.Bearing), copied(by.MagneticBearing), copied(by.BearingUncertainty)
		by.Chainage, by.Right, by.Date = copied(by.Chainage), copied(by.Right), copied(by.Date)
		m.Measured = &by
	}
	return m
}

// unswap puts a latitude and a longitude that changed places where they belong.
func (t *marksTable) unswap(fields []*node) {
	i, k := slices.Index(t.columns, "latitude"), slices.Index(t.columns, "longitude")
	if isSwapped(fields[i], fields[k]) {
		t.d.noteSwap(fields[i], fields[k], t.mark.Path)
		fields[i], fields[k] = fields[k], fields[i]
	}
}

func copied[T any](of *T) *T {
	if of == nil {
		return nil
	}
	to := *of
	return &to
}
