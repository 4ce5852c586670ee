// Lists in brackets and blocks in braces: section 7.4 of YAML 1.2.2. They may run
// over several lines, each indented deeper than the block around them.
package yaml

import "strings"

// flow reads a list in brackets or a block in braces.
func (r *reader) flow() *Node {
	open := r.here(1)
	n, closing := r.node(List, open), byte(']')
	if r.peek() == '{' {
		n.Kind, closing = Mapping, '}'
	}
	if !r.enter(open) {
		return n
	}
	r.forward(1)
	from := len(r.within)
	for r.inside(n) && r.peek() != closing {
		if r.peek() == ',' {
			r.fail(Syntax, r.here(1), "nothing stands before this comma", "take it out, or write what is due before it").mendWithout(false, r.here(1))
		}
		if n.Kind == Mapping {
			key, value := r.flowPair(n)
			r.within = append(r.within, key, value)
		} else {
			entry := r.flowEntry(n)
			r.within = append(r.within, entry)
		}
		line := r.line
		if !r.inside(n) || r.peek() == closing {
			break
		}
		if r.peek() != ',' {
			r.failUnclosed(n, r.within[len(r.within)-1], line)
			break
		}
		r.forward(1)
	}
	r.close(n, from)
	r.forward(1)
	r.leave()
	return n
}

// inside goes to what comes next within a bracket or brace.
func (r *reader) inside(n *Node) bool {
	newLine := r.skip()
	switch {
	case r.fault != nil:
		return false
	case r.peek() == 0:
		what, remedy := "this list in brackets is not closed", "put ] after the last entry"
		if n.Kind == Mapping {
			what, remedy = "this block in braces is not closed", "put } after the last key"
		}
		r.fail(Syntax, n.At, what, remedy)
		return false
	case newLine && r.column <= r.outer && (r.peek() == ']' || r.peek() == '}'):
		f := r.fail(Syntax, r.here(1), "this bracket is not indented deeper than the block that it stands in", "put a space before it")
		f.Open = n.At
		f.mend(true, Place{r.line, 1, 0}, strings.Repeat(" ", int(r.outer-r.column+1)), "indent it")
		return false
	case newLine && (r.column <= r.outer || r.mark("---") || r.mark("...")):
		r.failUnclosed(n, nil, 0)
		return false
	}
	return true
}

// flowPair reads a key and its value within braces.
func (r *reader) flowPair(around *Node) (key, value *Node) {
	if r.peek() == '&' {
		r.fail(Syntax, r.word(), "an anchor stands before a key", "put it before the value, behind the colon")
	}
	start := r.pos
	key = r.single(true)
	r.checkKey(key)
	if !r.colon(true, key.Quoted) {
		if start >= 2 && digit(r.text[start-2]) && r.text[start-1] == ',' && digit(r.text[start]) {
			comma := Place{key.At.Line, key.At.Column - 1, 1}
			const said = "a comma ends a value within braces, and this one stands within a number"
			if maybeThousands(r.text, start) && strings.HasPrefix(r.text[start+3:], ".") { // 1,450.00
				r.fail(Syntax, comma, said, "take it out").mend(true, comma, "", "take it out")
			} else {
				r.fail(Syntax, comma, said, "write a decimal point in its place").mend(!maybeThousands(r.text, start), comma, ".", "write a decimal point")
			}
		}
		if r.fault == nil && !key.Quoted && hasColon(key.Text) {
			f := r.fail(Syntax, key.At, "this is not a key with a value", "write KEY: VALUE, with a space after the colon")
			if n := colonOf(key.Text); n > 0 {
				f.mendSpace(true, Place{key.At.Line, key.At.Column + int32(n), 0})
			}
		}
		return key, r.node(Null, key.At)
	}
	at := r.here(1)
	if !r.inside(around) || r.peek() == ',' || r.peek() == '}' {
		return key, r.node(Null, at)
	}
	return key, r.flowValue(around)
}

// maybeThousands reports whether the digits behind a comma, which begin at a byte, may be a
// group of three: 1,000 is a thousand, or one.
func maybeThousands(text string, at int) bool {
	behind := 0
	for at+behind < len(text) && digit(text[at+behind]) {
		behind++
	}
	before := 0
	for at-2-before >= 0 && digit(text[at-2-before]) {
		before++
	}
	return behind == 3 && before <= 3 && text[at-1-before] != '0'
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

func hasColon(text string) bool { return untilAny(text, ":") != text }

// flowEntry reads an entry of a list in brackets.
func (r *reader) flowEntry(around *Node) *Node {
	n := r.flowValue(around)
	if r.fault == nil && r.colon(true, n.Quoted) {
		r.fail(Syntax, n.At, "a key stands among the entries of a list in brackets", "put the key and its value into braces: {KEY: VALUE}").Open = around.At
	}
	return n
}

// flowValue reads a value within brackets, perhaps with an anchor.
func (r *reader) flowValue(around *Node) *Node {
	if r.peek() != '&' {
		return r.single(true)
	}
	name, at := r.anchorName()
	if !r.inside(around) || r.peek() == ',' || r.peek() == ']' || r.peek() == '}' {
		r.failAnchor(at)
	}
	n := r.single(true)
	r.give(n, name, at)
	return n
}
