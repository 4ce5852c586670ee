// Text by the width of a terminal: how many columns it takes, and how a line that is
// too long goes on.
package words

import (
	"strings"
	"unicode"

	"golang.org/x/text/width"
)

// UsualColumns is how wide text for people is where nothing says how wide it may be.
const UsualColumns = 80

// Cells is how many columns of a terminal a text takes. Wide and full-width characters
// of East Asian scripts take two (Unicode, UAX 11), accents that stand over the character
// before none, and codes that set colours none.
func Cells(text string) int {
	n, code := 0, false
	for _, r := range text {
		switch {
		case r == '\x1b':
			code = true
		case code:
			code = r != 'm'
		default:
			n += RuneCells(r)
		}
	}
	return n
}

// RuneCells is how many columns a character takes that shows.
func RuneCells(r rune) int {
	if r < 0x300 { // the common case, in a table looked up for each character of a file
		return 1
	}
	kind := width.LookupRune(r).Kind()
	switch {
	case unicode.Is(unicode.Mn, r):
		return 0
	case kind == width.EastAsianWide || kind == width.EastAsianFullwidth:
		return 2
	default:
		return 1
	}
}

// hangBy is by how much a line that goes on is set in more than where it began.
const hangBy = 4

// Fold breaks a line at spaces into lines of at most so many columns. It goes on under its
// last column where it has columns, which two spaces set apart, and else set in by a
// little. A word that is longer stands alone and whole, so that a path can be copied; a
// number stays with its unit. A line that fits is left as it is.
func Fold(line string, columns int) []string {
	if Cells(line) <= columns {
		return []string{line}
	}
	return foldWith(line, strings.Repeat(" ", hang(line, columns)), columns)
}

// Wrap breaks running text into lines of at most so many columns, however it was spaced.
func Wrap(text string, columns int) []string {
	return foldWith(strings.Join(strings.Fields(text), " "), "", columns)
}

// FoldAll folds every line of a text.
func FoldAll(text string, columns int) string {
	var out strings.Builder
	for i, line := range strings.Split(text, "\n") {
		if i > 0 {
			out.WriteByte('\n')
		}
		out.WriteString(strings.Join(Fold(line, columns), "\n"))
	}
	return out.String()
}

// hang is how far a line that is too long is set in where it goes on.
func hang(line string, columns int) int {
	indent := len(line) - len(strings.TrimLeft(line, " "))
	at := indent + hangBy
	for i := indent; ; {
		gap := strings.Index(line[i:], "  ")
		if gap < 0 {
			return at
		}
		i += gap
		for i < len(line) && line[i] == ' ' {
			i++
		}
		column := Cells(line[:i])
		if column > columns/2 {
			return at
		}
		at = column
	}
}

func foldWith(line, before string, columns int) []string {
	var lines []string
	begin, fits := 0, 0 // of the line that is being filled; where the last word that fits ends
	prefix := ""
	used := 0 // columns of prefix and of line[begin:fits]
	for at := 0; at < len(line); {
		end := nextBreak(line, at)
		more := Cells(line[fits:end])
		if fits > begin && used+more > columns {
			lines = append(lines, prefix+line[begin:fits])
			prefix = before
			begin = end - len(strings.TrimLeft(line[fits:end], " "))
			fits, used = begin, Cells(prefix)
			more = Cells(line[fits:end])
		}
		used += more
		fits, at = end, end
	}
	return append(lines, strings.TrimRight(prefix+line[begin:], " "))
}

// nextBreak is where the word at a place ends, and what must stay on its line.
func nextBreak(line string, at int) int {
	for {
		for at < len(line) && line[at] == ' ' {
			at++
		}
		space := strings.IndexByte(line[at:], ' ')
		if space < 0 {
			return len(line)
		}
		at += space
		if at == 0 || line[at-1] < '0' || line[at-1] > '9' || !isUnit(line[at+1:]) {
			return at
		}
	}
}

// isUnit reports whether a text begins with a unit.
func isUnit(text string) bool {
	word, _, _ := strings.Cut(text, " ")
	switch strings.TrimRight(word, ".,;:)]") {
	case "m", "mm", "m/s", "ms", "s", "%", "deg", "V", "ohm", "kB", "B", "µA":
		return true
	}
	return false
}
