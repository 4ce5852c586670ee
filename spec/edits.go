// Remedies as changes of the text that was read: a value in place of another, a key, an
// entry of a list or a line taken out. What is offered touches nothing else, and is
// written as the notation of its file needs it.
package spec

import (
	"bytes"
	"regexp"
	"strings"
	"unicode/utf8"

	"merestone/internal/diag"
	"merestone/internal/yaml"
)

// mayOffer bounds the work on what was probably meant: of a file that is wrong everywhere
// not everything is printed, and not everything is worked out.
func (d *decoder) mayOffer() bool {
	d.offered++
	return d.offered <= maxSearched
}

// put offers a text in place of the value of a node. What aliases stand for is in several
// places at once, and what is right in one is for a person to see.
func (d *decoder) put(f *diag.Finding, n *node, certain bool, text string) {
	if n.kind == scalarKind && n.at.Width > 0 && (n.text != "" || n.quoted) {
		d.offer(f, certain, "write "+text, diag.Replace(n.at, d.notation(n.at, text)))
	}
}

// offer adds edits to a finding.
func (d *decoder) offer(f *diag.Finding, certain bool, does string, edits ...diag.Edit) {
	f.Offer(certain && !d.aliased, diag.OneLine(does), edits...)
}

// notation writes a text as a value of the file that a place is in.
func (d *decoder) notation(at diag.Position, text string) string {
	if at.File != d.file {
		return WriteField(text)
	}
	return yaml.Write(text)
}

// WriteField writes a text as a field of a marks_file.
func WriteField(text string) string {
	if strings.Contains(text, ",") || strings.HasPrefix(text, `"`) {
		return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	return text
}

// line is a line of a file, without what ends it, and whether it has an end.
func (d *decoder) line(file string, number int) (text string, ended bool) {
	c := &d.reached
	if c.file != file || number < c.line {
		*c = reached{file: file, line: 1}
	}
	rest := d.sources[file][c.offset:]
	for ; c.line < number; c.line++ {
		end := bytes.IndexByte(rest, '\n')
		if end < 0 {
			return "", false
		}
		rest = rest[end+1:]
		c.offset += end + 1
	}
	line, _, ended := bytes.Cut(rest, []byte{'\n'})
	return strings.TrimSuffix(string(line), "\r"), ended
}

// reached is how far the lines of a file were counted.
type reached struct {
	file         string
	line, offset int
}

// around is what stands on its line before a place, and behind it.
func (d *decoder) around(from, to diag.Position) (before, behind string, ok bool) {
	if from.Line != to.Line || from.File != to.File || from.Line == 0 {
		return "", "", false
	}
	line, _ := d.line(from.File, from.Line)
	start, end := byteOf(line, from.Column), byteOf(line, to.Column+to.Width)
	if start < 0 || end < start {
		return "", "", false
	}
	return line[:start], line[end:], true
}

// byteOf is where a column of a line is, or -1.
func byteOf(line string, column int) int {
	at := 0
	for ; column > 1; column-- {
		if at >= len(line) {
			return -1
		}
		_, size := utf8.DecodeRuneInString(line[at:])
		at += size
	}
	return at
}

// dashed is what stands before an entry of a list that has a line of its own.
var dashed = regexp.MustCompile(`^ *- +$`)

// without is the edit that takes out what stands from one place to the end of another on
// its line: with its line where nothing else is on that, or with its comma within brackets
// and braces. It is false where a comment, or the first key behind a dash, would go with it.
func (d *decoder) without(from, to diag.Position) (diag.Edit, bool) {
	before, behind, ok := d.around(from, to)
	if !ok {
		return diag.Edit{}, false
	}
	edit := diag.Edit{File: from.File, Line: from.Line, Column: from.Column, EndLine: from.Line, EndColumn: to.Column + to.Width}
	left, right := strings.TrimRight(before, " "), strings.TrimLeft(behind, " ")
	switch {
	case right == "" && (left == "" || dashed.MatchString(before) && !strings.Contains(d.written(from, to), ":")):
		_, ended := d.line(from.File, from.Line)
		edit.Column, edit.EndLine, edit.EndColumn = 1, from.Line+1, 1
		return edit, ended
	case strings.HasSuffix(left, ",") && (right == "" || strings.ContainsRune(",]}", rune(right[0]))):
		edit.Column -= utf8.RuneCountInString(before) - utf8.RuneCountInString(left) + 1
		return edit, strings.Trim(left, " ,") != "" // else the comma belongs to the line above
	case strings.HasSuffix(left, "[") || strings.HasSuffix(left, "{"):
		if after, comma := strings.CutPrefix(right, ","); comma {
			edit.EndColumn += utf8.RuneCountInString(behind) - utf8.RuneCountInString(strings.TrimLeft(after, " "))
			return edit, strings.TrimLeft(after, " ") != "" && !strings.HasPrefix(strings.TrimLeft(after, " "), "#")
		}
	}
	return diag.Edit{}, false
}

// written is what stands from one place to the end of another on its line.
func (d *decoder) written(from, to diag.Position) string {
	line, _ := d.line(from.File, from.Line)
	start, end := byteOf(line, from.Column), byteOf(line, to.Column+to.Width)
	if start < 0 || end < start {
		return ""
	}
	return line[start:end]
}

// takeOut offers to take out what stands from one place to the end of another.
func (d *decoder) takeOut(f *diag.Finding, certain bool, from, to diag.Position) {
	if edit, ok := d.without(from, to); ok && d.mayOffer() {
		d.offer(f, certain, "take out "+quote(d.written(from, to)), edit)
	}
}

// takeOutKey offers to take out a key with its value, which is a single one on its line.
func (d *decoder) takeOutKey(f *diag.Finding, certain bool, e entry) {
	switch e.value.kind {
	case scalarKind:
		d.takeOut(f, certain, e.key.at, e.value.at)
	case nullKind:
		to := e.key.at
		to.Width++ // the colon
		if strings.HasSuffix(d.written(e.key.at, to), ":") {
			d.takeOut(f, certain, e.key.at, to)
		}
	}
}

// takeOutAt offers to take out a key by the place of its value, where it stands right before
// it.
func (d *decoder) takeOutAt(f *diag.Finding, path, key string) {
	to := d.where(path)
	before, _, ok := d.around(to, to)
	if left := strings.TrimRight(before, " "); ok && strings.HasSuffix(left, key+":") {
		from := to
		from.Column -= utf8.RuneCountInString(before) - utf8.RuneCountInString(left) + len(key) + 1
		d.takeOut(f, false, from, to)
	}
}

// inBrackets reports whether a value stands among the entries of brackets on its line.
func (d *decoder) inBrackets(at diag.Position) bool {
	before, _, ok := d.around(at, at)
	left := strings.TrimRight(before, " ")
	return ok && at.File == d.file && (strings.HasSuffix(left, "[") || strings.HasSuffix(left, ",") && strings.Contains(left, "["))
}
