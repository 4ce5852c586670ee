// What a person, or a program that writes YAML, probably did where a line makes no
// sense: the faults say that first, as the sign that is wrong is often one that cannot
// be seen, or stands a line above.
package yaml

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// failLine says of a line that is neither key nor entry what it probably should have
// been, or else what is given.
func (r *reader) failLine(at Place, line, message, remedy string) {
	switch {
	case strings.HasPrefix(line, "<<<<<<<"), strings.HasPrefix(line, "======="), strings.HasPrefix(line, ">>>>>>>"), strings.HasPrefix(line, "|||||||"):
		r.fail(Syntax, at, "this line was left behind by a merge", "decide between the two versions below and above, and take the lines that the merge has put in out")
	case r.failDash(at, line):
	case colonOf(line) > 0:
		colon := Place{at.Line, at.Column + int32(colonOf(line)) - 1, 1}
		r.fail(Syntax, colon, "no space stands behind this colon", "put a space behind it").mendSpace(true, Place{colon.Line, colon.Column + 1, 0})
	default:
		r.fail(Syntax, at, message, remedy)
	}
}

// failDash says of a line that begins an entry of a list, but not with a dash and a space,
// that it should, and reports whether it is one.
func (r *reader) failDash(at Place, line string) bool {
	_, size := utf8.DecodeRuneInString(line)
	first, rest := line[:size], line[size:]
	switch {
	case tightDash(line):
		number := digit(rest[0]) || rest[0] == '.' // then it may be a sign
		r.fail(Syntax, at, "no space stands behind this dash", "write - ENTRY, with a space behind the dash").mendSpace(!number, Place{at.Line, at.Column + 1, 0})
	case strings.Contains("–—•*+", first) && strings.HasPrefix(rest, " "):
		plain := first != "*" && first != "+" // which YAML has a use for, or numbers
		r.fail(Syntax, at, "this character begins no entry of a list", "write - ENTRY, with a plain dash and a space").mend(plain, Place{at.Line, at.Column, 1}, "-", "write -")
	default:
		return false
	}
	return true
}

// tightDash reports a line that begins with a dash and no space behind it.
func tightDash(line string) bool {
	return len(line) > 1 && line[0] == '-' && !blank(line[1]) && line[1] != '-'
}

// colonOf is how many characters a line has up to and with a colon that would be that of a
// key, had it a space behind it; 0 where there is none.
func colonOf(line string) int { return max(len(tightKey.FindString(line))-1, 0) }

var tightKey = regexp.MustCompile(`^[a-z_]+:[A-Za-z0-9.+-]`)

// failUnclosed says that there is no comma or bracket where one is due. After is what
// was read last within, and line the one on which it stands.
func (r *reader) failUnclosed(n, after *Node, line int32) {
	what, remedy := "a list in brackets is not closed, or a comma is missing", "put a comma between the entries and ] after the last"
	if n.Kind == Mapping {
		what, remedy = "a block in braces is not closed, or a comma is missing", "put a comma between the keys and } after the last"
		goesOn := after != nil && after.Kind == Scalar && !after.Quoted && r.line > line && r.column > r.outer
		if rest := untilAny(r.text[r.pos:], ",\n[]{}\"'"); goesOn && rest != "" && !strings.Contains(rest+" ", ": ") {
			what, remedy = "this line goes on with the value of the line before, and a value stands on one line", "write it behind the rest of its value; a program that writes YAML breaks lines at a width that can be set"
		}
	}
	at := r.here(max(characters(untilAny(r.text[r.pos:], " \t\n,:[]{}")), 1))
	r.fail(Syntax, at, what, remedy).Open = n.At
}

// noSpace names what looks like a space and is none, where a fault of the notation
// stands on its line or on the one below: pasted from a web page, it cannot be seen.
func noSpace(text string, fault *Fault) *Fault {
	if fault.Kind != Syntax || fault.At.Line == 0 {
		return fault
	}
	number, above, aboveNumber := int32(0), "", int32(0)
	for line := range strings.Lines(text) {
		number++
		if number < fault.At.Line {
			if content := strings.TrimSpace(line); content != "" && content[0] != '#' {
				above, aboveNumber = line, number
			}
			continue
		}
		for _, l := range []struct {
			text   string
			number int32
		}{{above, aboveNumber}, {line, number}} {
			if column, r := firstNoSpace(l.text); column > 0 {
				at := Place{l.number, column, 1}
				named := &Fault{Kind: Syntax, At: at, Message: fmt.Sprintf("the character U+%04X here looks like a space, or like nothing, and is none", r), Remedy: "put a plain space in its place, or take it out"}
				if unicode.Is(unicode.Zs, r) {
					named.mend(true, at, " ", "put a plain space in its place")
				} else {
					named.mendWithout(true, at)
				}
				return named
			}
		}
		break
	}
	return fault
}

// firstNoSpace finds a character that does not show, other than spaces, tabs and line
// ends, before a comment.
func firstNoSpace(line string) (column int32, r rune) {
	before := rune(' ')
	for _, r := range line {
		column++
		switch {
		case r == '#' && before == ' ':
			return 0, 0
		case r > 0x7f && unicode.In(r, unicode.Zs, unicode.Cf):
			return column, r
		}
		before = r
	}
	return 0, 0
}
