// The text printer: one finding as file:line:col, the message, the source line
// with a caret under what is meant, what to do, and the other places involved,
// each with its own line and caret. Neither a name nor a value of a hostile file moves
// the cursor or forges a line: in sentences what does not show is written out, and in
// the source line it is a space, one for one, so that carets stand where they should.
package diag

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode"

	"golang.org/x/text/width"

	"merestone/internal/words"
)

// Sources holds the bytes of every file that findings point into, by the file
// name used in Position.
type Sources map[string][]byte

// maxSourceLine is how much of a source line is shown, in characters.
const maxSourceLine = 160

// WriteText prints findings for a person. With colour, severity words and
// carets are set off by ANSI codes; nothing is said by colour alone.
func WriteText(w io.Writer, findings []Finding, sources Sources, colour bool) error {
	var out bytes.Buffer
	read := map[string]*lines{}
	for name, text := range sources {
		read[name] = linesOf(text)
	}
	for _, f := range findings {
		fmt.Fprintf(&out, "%s: %s: %s [%s]\n", place(f.At), paint(f.Severity.String(), f.Severity, colour), words.Visible(f.Message()), f.Rule)
		excerpt(&out, "", f.At, f.Severity, read, colour)
		if f.Remedy != "" {
			fmt.Fprintf(&out, "    do: %s\n", words.Visible(f.Remedy))
		}
		shown := f.At
		for _, r := range f.Related {
			fmt.Fprintf(&out, "    see %s: %s\n", place(r.At), words.Visible(r.Message))
			if r.At != shown { // the same carets again would say nothing
				excerpt(&out, "    ", r.At, Note, read, colour)
			}
			shown = r.At
		}
	}
	_, err := w.Write(out.Bytes())
	return err
}

func place(p Position) string {
	if p.Line == 0 {
		return words.Visible(p.File)
	}
	return fmt.Sprintf("%s:%d:%d", words.Visible(p.File), p.Line, p.Column)
}

// excerpt prints the source line and a caret line.
func excerpt(out *bytes.Buffer, indent string, at Position, s Severity, sources map[string]*lines, colour bool) {
	file, ok := sources[at.File]
	if !ok {
		return
	}
	start, end, ok := file.line(at.Line)
	if !ok {
		return
	}
	piece, column := file.around(start, end, max(at.Column, 1))
	before, meant, after := window(piece, column, max(at.Width, 1))
	pad, carets := cells(before), max(cells(meant), 1)
	fmt.Fprintf(out, "%s%6d | %s\n", indent, at.Line, string(before)+string(meant)+string(after))
	fmt.Fprintf(out, "%s       | %s%s\n", indent, strings.Repeat(" ", pad), paint(strings.Repeat("^", carets), s, colour))
}

// window is the part of a line that is shown, with what is meant in the middle. A
// long line is shown from shortly before the fault, and never taken apart as a whole.
func window(line string, column, width int) (before, meant, after []rune) {
	skip := 0
	if column > maxSourceLine {
		skip = column - 40
	}
	n := 0
	for _, r := range line {
		switch n++; {
		case n <= skip:
		case n > skip+maxSourceLine:
			return before, meant, after
		case n < column:
			before = append(before, words.VisibleRune(r))
		case n < column+width:
			meant = append(meant, words.VisibleRune(r))
		default:
			after = append(after, words.VisibleRune(r))
		}
	}
	return before, meant, after
}

// cells is how many columns of a terminal a text takes.
func cells(text []rune) int {
	n := 0
	for _, r := range text {
		kind := width.LookupRune(r).Kind()
		switch {
		case unicode.Is(unicode.Mn, r):
		case kind == width.EastAsianWide || kind == width.EastAsianFullwidth:
			n += 2
		default:
			n++
		}
	}
	return n
}

func paint(text string, s Severity, colour bool) string {
	if !colour {
		return text
	}
	code := map[Severity]string{Error: "1;31", Warning: "1;33", Note: "1;36"}[s]
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}
