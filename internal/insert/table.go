// Marks in the marks_file: new values in the fields of their lines.
package insert

import (
	"bytes"
	"fmt"
	"path"
	"slices"
	"unicode/utf8"

	"merestone/internal/diag"
	"merestone/internal/mend"
	"merestone/spec"
)

// table gives the marks that stand in the marks_file new values. Where the table has no
// column for one, that is refused: a column more would be one of all marks.
func (w *work) table() error {
	if len(w.inTable) == 0 {
		return nil
	}
	name := path.Clean(w.before.MarksFile)
	text, err := w.source.Open(name)
	if err != nil {
		return fmt.Errorf("cannot read %s: %w", w.before.MarksFile, err)
	}
	w.csv = mend.NewFile(name, spec.FileBeside(w.source.Path, name), text)
	lines := bytes.Split(bytes.TrimPrefix(text, []byte("\ufeff")), []byte{'\n'})
	fields := func(number int) []spec.Field {
		cut, _ := spec.Fields(string(bytes.TrimRight(lines[number-1], "\r")))
		return cut
	}
	header := headerOf(lines)
	var columns []string
	for _, f := range fields(header) {
		columns = append(columns, f.Text)
	}
	var edits []diag.Edit
	for _, m := range w.inTable {
		line := w.before.Where("marks." + m.Name).Line
		row := fields(line)
		put := func(line, column, endLine, endColumn int, text string) {
			edits = append(edits, diag.Edit{File: w.csv.Shown, Line: line, Column: column, EndLine: endLine, EndColumn: endColumn, Text: text})
		}
		outdated, comments := visits(line, func(n int) string { return string(lines[n-1]) }, m.Comment)
		for _, above := range outdated {
			put(above, 1, above+1, 1, "")
		}
		for _, c := range comments {
			put(line, 1, line, 1, "# "+c+"\n")
		}
		for _, k := range m.Keys {
			i := slices.Index(columns, k.Name)
			if i < 0 || i >= len(row) {
				return fmt.Errorf("%s: the mark %q stands in this table, which has no column %s (%s); add the column, or take the mark out of the table",
					at(w.csv.Shown, line), m.Name, k.Name, at(w.csv.Shown, header))
			}
			if f := row[i]; f.Text != k.Text {
				field := spec.WriteField(k.Text)
				if f.Width != utf8.RuneCountInString(f.Text) && field == k.Text { // it was in quotation marks
					field = `"` + field + `"`
				}
				put(line, f.Column, line, f.Column+f.Width, field)
			}
		}
	}
	return w.csv.Make(edits)
}

// headerOf is the line that names the columns: the first that is neither blank nor a comment.
func headerOf(lines [][]byte) int {
	for i, line := range lines {
		if bare := bytes.Trim(line, " \t\r"); len(bare) > 0 && line[0] != '#' {
			return i + 1
		}
	}
	return 1
}
