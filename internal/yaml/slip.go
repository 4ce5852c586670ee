// What a person, or a program that writes YAML, probably did where a line makes no
// sense: the faults say that first, as the sign that is wrong is often one that cannot
// be seen, or stands a line above.
package yaml

import (
	"fmt"
	"strings"
	"unicode"
)

// failLine says of a line that is neither key nor entry what it probably should have
// been, or else what is given.
func (r *reader) failLine(at Place, line, message, remedy string) {
	first, rest := line, ""
	for i := range line {
		if i > 0 {
			first, rest = line[:i], line[i:]
			break
		}
	}
	switch {
	case strings.HasPrefix(line, "<<<<<<<"), strings.HasPrefix(line, "======="), strings.HasPrefix(line, ">>>>>>>"), strings.HasPrefix(line, "|||||||"):
		message, remedy = "this line was left behind by a merge", "decide between the two versions below and above, and take the lines that the merge has put in out"
	case first == "-" && rest != "" && !blank(rest[0]):
		message, remedy = "no space stands behind this dash", "write - ENTRY, with a space behind the dash"
	case strings.Contains("–—•*+", first) && strings.HasPrefix(rest, " "):
		message, remedy = "this character begins no entry of a list", "write - ENTRY, with a plain dash and a space"
	}
	r.fail(Syntax, at, message, remedy)
}

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
				return &Fault{Kind: Syntax, At: Place{l.number, column, 1}, Message: fmt.Sprintf("the character U+%04X here looks like a space, or like nothing, and is none", r), Remedy: "put a plain space in its place, or take it out"}
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
