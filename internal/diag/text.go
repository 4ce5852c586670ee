// The text printer: one finding as file:line:col, the message, the source line
// with a caret under what is meant, what to do, and the other places involved,
// each with its own line and caret. Text is folded at the width of the terminal; of a
// source line that is wider the part about the caret is shown. Columns of a place are
// characters; on the terminal wide ones of East Asian scripts take two columns, and so do
// their carets. Neither a name nor a value of a hostile file moves the cursor or forges a
// line: in sentences what does not show is written out, and in the source line it is a
// space, one for one, so that carets stand where they should.
package diag

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"merestone/internal/words"
)

// Sources holds the bytes of every file that findings point into, by the file
// name used in Position.
type Sources map[string][]byte

// Terminal is where text for people is printed: so many columns wide, 0 for
// words.UsualColumns; with Colours, severity words and carets are set off by ANSI codes.
// Nothing is said by colour alone.
type Terminal struct {
	Columns int
	Colours bool
}

// Wide is how many columns text may take.
func (t Terminal) Wide() int {
	if t.Columns <= 0 {
		return words.UsualColumns
	}
	return t.Columns
}

// WriteText prints findings for a person. The first line of a finding begins with its
// place, its severity and its message, as editors look for them; the message goes on in
// lines that are set in.
func WriteText(w io.Writer, findings []Finding, sources Sources, on Terminal) error {
	out := textPrinter{terminal: on, files: map[string]*lines{}}
	for name, text := range sources {
		out.files[name] = linesOf(text)
	}
	for _, f := range findings {
		out.line("%s: %s: %s [%s]", place(f.At), out.paint(f.Severity.String(), f.Severity), words.Visible(f.Message()), f.Rule)
		out.excerpt("", f.At, f.Severity)
		if f.Remedy != "" {
			out.line("    do: %s", words.Visible(f.Remedy))
		}
		shown := f.At
		for _, r := range f.Related {
			out.line("    see %s: %s", place(r.At), words.Visible(r.Message))
			if r.At != shown { // the same carets again would say nothing
				out.excerpt("    ", r.At, Note)
			}
			shown = r.At
		}
	}
	_, err := w.Write(out.Bytes())
	return err
}

type textPrinter struct {
	bytes.Buffer
	terminal Terminal
	files    map[string]*lines
}

// line prints a line, and folds it.
func (out *textPrinter) line(format string, args ...any) {
	for _, line := range words.Fold(fmt.Sprintf(format, args...), out.terminal.Wide()) {
		fmt.Fprintln(out, line)
	}
}

func place(p Position) string {
	if p.Line == 0 {
		return words.Visible(p.File)
	}
	return fmt.Sprintf("%s:%d:%d", words.Visible(p.File), p.Line, p.Column)
}

// leastExcerpt is how much of a source line is shown on the narrowest terminal.
const leastExcerpt = 20

// excerpt prints the source line and a caret line.
func (out *textPrinter) excerpt(indent string, at Position, s Severity) {
	file, ok := out.files[at.File]
	if !ok {
		return
	}
	start, end, ok := file.line(at.Line)
	if !ok {
		return
	}
	number := fmt.Sprintf("%s%6d | ", indent, at.Line)
	room := max(out.terminal.Wide()-len(number), leastExcerpt)
	piece := file.around(start, end, max(at.Column, 1), 2*room)
	w := window(piece, max(at.Width, 1), room)
	fmt.Fprintln(out, number+w.text)
	fmt.Fprintf(out, "%s| %s%s\n", strings.Repeat(" ", len(number)-len("| ")), strings.Repeat(" ", w.before), out.paint(strings.Repeat("^", w.meant), s))
}

// shown is so much of a source line as there is room for: the text, and how many columns
// it has before what is meant and of that.
type shown struct {
	text          string
	before, meant int
}

// cut stands for what is left out of a line.
const cut = "…"

// window shows a line whole where there is room. Else what is meant is in it, or as much
// of it as there is room for, from its beginning; of what is before, a third of the room
// that is left, or more where little is behind.
func window(p piece, width, room int) shown {
	line := []rune(p.text)
	for i, r := range line {
		line[i] = words.VisibleRune(r)
	}
	at := min(p.column-1, len(line))
	to := min(at+width, len(line))
	before, meant, behind := cells(line[:at]), cells(line[at:to]), cells(line[to:])
	left, right := p.cutBefore, p.cutBehind
	if !left && !right && before+meant+behind <= room {
		return shown{string(line), before, max(meant, 1)}
	}
	spare := max(room-meant-2, 0) // with a sign at either end
	first, used := at, 0
	for ahead := max(spare/3, spare-behind); first > 0 && used+words.RuneCells(line[first-1]) <= ahead; first-- {
		used += words.RuneCells(line[first-1])
	}
	for first < at && words.RuneCells(line[first]) == 0 { // an accent without what it stands over
		first++
	}
	w, out := shown{before: used}, ""
	if left = left || first > 0; left {
		out, w.before, room = cut, w.before+1, room-1
	}
	if right = right || used+meant+behind > room; right {
		room--
	}
	last, used := first, 0
	for ; last < len(line) && used+words.RuneCells(line[last]) <= room; last++ {
		used += words.RuneCells(line[last])
	}
	w.text, w.meant = out+string(line[first:last]), cells(line[at:max(min(to, last), at)])
	if right {
		w.text += cut
		if to > last {
			w.meant++ // the sign stands for the rest of it
		}
	}
	w.meant = max(w.meant, 1)
	return w
}

// cells is how many columns characters take that show.
func cells(text []rune) int {
	n := 0
	for _, r := range text {
		n += words.RuneCells(r)
	}
	return n
}

func (out *textPrinter) paint(text string, s Severity) string {
	if !out.terminal.Colours {
		return text
	}
	code := map[Severity]string{Error: "1;31", Warning: "1;33", Note: "1;36"}[s]
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}
