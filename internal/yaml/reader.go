// Going forward through the text: white space, comments, line ends, the marks of
// documents. The first fault ends the reading: it moves the reader to the end of
// the text, where every loop ends.
package yaml

import (
	"slices"
	"strings"
)

type reader struct {
	text         string
	pos          int   // of the next byte
	line, column int32 // of the next character, from 1
	outer        int32 // the column of the innermost block or list around, 0 for none
	depth        int
	nodes        int
	directive    int             // where the line of the directive ends
	within       []*Node         // what has been read of the nodes that are open
	anchors      map[string]bool // whether the value of each is complete
	strayed      bool
	fault        *Fault
}

// fail records a fault, if it is the first.
func (r *reader) fail(kind FaultKind, at Place, message, remedy string) *Fault {
	f := &Fault{Kind: kind, At: at, Message: message, Remedy: remedy}
	if r.fault == nil {
		r.fault = f
	}
	r.pos = len(r.text)
	return f
}

// node makes a node, and counts it.
func (r *reader) node(kind Kind, at Place) *Node {
	if r.nodes++; r.nodes > MaxNodes {
		r.fail(TooLarge, at, "the file holds more than 300000 keys and values", "put long lists of marks into a marks_file")
	}
	return &Node{Kind: kind, At: at}
}

// close puts what was read since there were so many nodes into one.
func (r *reader) close(n *Node, from int) {
	n.Within = slices.Clone(r.within[from:])
	r.within = r.within[:from]
}

// enter counts a level of nesting, and leave takes it back.
func (r *reader) enter(at Place) bool {
	if r.depth++; r.depth > MaxDepth {
		r.fail(TooDeep, at, "blocks and lists lie more than 32 deep within each other", "a mission needs no more than eight levels; look for a bracket that is not closed")
		return false
	}
	return true
}

func (r *reader) leave() { r.depth-- }

// peek is the next byte, 0 at the end: no text that is read holds a NUL.
func (r *reader) peek() byte { return r.after(0) }

// after is the byte behind the next n.
func (r *reader) after(n int) byte {
	if r.pos+n >= len(r.text) {
		return 0
	}
	return r.text[r.pos+n]
}

// here is the place of the next characters.
func (r *reader) here(width int32) Place { return Place{r.line, r.column, width} }

// forward goes over bytes that are one character each; behind a fault it stays.
func (r *reader) forward(bytes int) {
	r.pos = min(r.pos+bytes, len(r.text))
	r.column += int32(bytes)
}

// word is the place of what stands here, up to the next white space. It looks
// through as much of the line, so it is for faults alone.
func (r *reader) word() Place { return r.here(max(characters(untilAny(r.text[r.pos:], " \t\n")), 1)) }

// restOfLine is the place of all that stands here on the line, without what ends it.
func (r *reader) restOfLine() Place {
	return r.here(max(characters(strings.TrimRight(untilAny(r.text[r.pos:], "\n"), " \t")), 1))
}

func untilAny(text, ends string) string {
	if i := strings.IndexAny(text, ends); i >= 0 {
		return text[:i]
	}
	return text
}

// characters counts those of a text in UTF-8: every byte but the continuations.
func characters(text string) int32 {
	n := int32(0)
	for i := range len(text) {
		if text[i]&0xc0 != 0x80 {
			n++
		}
	}
	return n
}

// skip goes over white space, comments and line ends to what comes next, and
// reports whether a line ended on the way. Tabs may stand before a line end and
// before a comment, and nowhere else.
func (r *reader) skip() (newLine bool) {
	for {
		tab := Place{}
		for c := r.peek(); c == ' ' || c == '\t'; c = r.peek() {
			if c == '\t' && tab.Line == 0 {
				tab = r.here(1)
			}
			r.forward(1)
		}
		switch c := r.peek(); {
		case c == '\n':
			r.pos++
			r.line, r.column, newLine = r.line+1, 1, true
		case c == '#' && r.pos > 0 && !blank(r.text[r.pos-1]):
			r.fail(Syntax, r.here(1), "a # begins a comment only behind a space", "put a space before the #, or the value into quotation marks").mendSpace(false, r.here(1))
		case c == '#':
			r.pos += len(untilAny(r.text[r.pos:], "\n"))
		case c != 0 && tab.Line > 0:
			r.failTab(tab).mend(true, tab, " ", "put a space in its place")
		default:
			return newLine
		}
	}
}

func (r *reader) failTab(at Place) *Fault {
	return r.fail(Tab, at, "a tab stands here, and not in a comment or at the end of a line", "put a space in its place, or take it out")
}

// blank reports white space and line ends; 0 is the end of the text.
func blank(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == 0 }

// flowSign reports the signs that end a plain value within brackets.
func flowSign(c byte) bool { return c == ',' || c == '[' || c == ']' || c == '{' || c == '}' }

// mark reports whether a line here is the mark --- or ... of a document.
func (r *reader) mark(sign string) bool {
	return r.column == 1 && strings.HasPrefix(r.text[r.pos:], sign) && blank(r.after(len(sign)))
}

// ended reports the end of the document.
func (r *reader) ended() bool {
	return r.peek() == 0 || r.mark("---") || r.mark("...")
}
