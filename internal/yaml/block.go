// A document, and within it blocks of keys and lists by their indentation: chapters
// 8 and 9 of YAML 1.2.2.
package yaml

import "strings"

// document reads the one document of the text.
func (r *reader) document() *Node {
	r.skip()
	if r.peek() == '%' {
		r.readDirective()
	}
	if r.mark("---") {
		r.forward(3)
		if !r.skip() && r.peek() != 0 {
			r.fail(Syntax, r.word(), "something stands behind --- on its line", "start a new line behind ---")
		}
	} else if r.directive > 0 {
		r.fail(Syntax, r.here(1), "behind the directive comes no line ---", "write --- on a line of its own behind it, or take the directive out")
	}
	switch {
	case r.peek() == 0 || r.mark("..."):
		r.fail(Empty, Place{}, "the file is empty: it holds no keys", "start with the line mission: NAME")
		return nil
	case r.mark("---"):
		r.failSecond()
		return nil
	}
	root := r.block(0)
	switch {
	case r.mark("..."):
		r.forward(3)
		if r.skip(); r.peek() != 0 {
			r.failSecond()
		}
	case r.mark("---"):
		r.failSecond()
	case r.peek() != 0:
		r.failIndent()
	}
	return root
}

func (r *reader) failSecond() {
	r.fail(SeveralDocuments, r.word(), "a second YAML document begins here; a mission file holds one", "put each mission into a file of its own")
}

// readDirective reads %YAML 1.2, the only directive that means anything here: it
// says what is true anyhow.
func (r *reader) readDirective() {
	line := untilAny(r.text[r.pos:], "\n")
	before, _, _ := strings.Cut(line, " #")
	if strings.TrimRight(before, " \t") != "%YAML 1.2" || r.column != 1 {
		r.fail(Syntax, r.restOfLine(), "of the directives of YAML there is %YAML 1.2 alone", "take it out, or write %YAML 1.2")
		return
	}
	r.pos += len(line)
	r.directive = r.pos
	r.skip()
	if r.peek() == '%' {
		r.fail(Syntax, r.restOfLine(), "a second directive stands here", "take it out")
	}
}

// again is the text for the second reader, which takes offence at %YAML 1.2 and at
// tabs in blank lines: spaces stand in place of the directive and of tabs. Where they
// are allowed, in comments and at the end of lines, either means nothing.
func (r *reader) again() []byte {
	text := []byte(r.text)
	for i, c := range text {
		if c == '\t' || i < r.directive && c != '\n' {
			text[i] = ' '
		}
	}
	return text
}

// isDash reports whether an entry of a list begins here.
func (r *reader) isDash() bool { return r.peek() == '-' && blank(r.after(1)) }

// block reads the node that begins here on a line of its own, or behind a dash: a
// block of keys, a list, or a single value. The block around it is at the column
// outer. The reader stands at what follows then.
func (r *reader) block(outer int32) *Node {
	switch {
	case r.isDash():
		return r.list()
	case r.peek() == '&':
		return r.anchored(outer)
	}
	n := r.single(false)
	if r.colon(false, false) {
		return r.mapping(n)
	}
	r.endOfValue(n, outer, true)
	return n
}

// anchored reads a block with an anchor before it.
func (r *reader) anchored(outer int32) *Node {
	name, at := r.anchorName()
	newLine := r.skip()
	var n *Node
	switch {
	case r.ended() || newLine && r.column <= outer:
		r.failAnchor(at)
		return r.node(Null, at)
	case r.peek() == '&': // not by block: a file of anchors would go as deep
		r.fail(Syntax, r.word(), "a value has two anchors", "take one of them out")
	}
	if newLine {
		n = r.block(outer)
	} else {
		n = r.single(false)
		if r.isDash() || r.colon(false, false) {
			r.fail(Syntax, at, "an anchor stands before a key", "start a new line behind the anchor, or write the block in braces")
		}
		r.endOfValue(n, outer, false)
	}
	r.give(n, name, at)
	return n
}

// give puts an anchor on a node.
func (r *reader) give(n *Node, name string, at Place) {
	switch {
	case r.fault != nil:
	case n.Anchor != "":
		r.fail(Syntax, at, "a value has two anchors", "take one of them out")
	case n.Kind == Alias:
		r.fail(Syntax, at, "an anchor stands before an alias", "use the anchor that the alias names")
	}
	n.Anchor = name
	r.anchors[name] = true
}

func (r *reader) failAnchor(at Place) {
	r.fail(Syntax, at, "an anchor stands before nothing", "write the value behind it, or take it out")
}

// mapping reads a block of keys, of which the first has been read with its colon.
func (r *reader) mapping(key *Node) *Node {
	column := key.At.Column
	n := r.node(Mapping, key.At)
	outer := r.outer
	if !r.enter(key.At) {
		return n
	}
	r.outer = column
	from := len(r.within)
	for {
		r.checkKey(key)
		value := r.value(column)
		r.within = append(r.within, key, value)
		if r.ended() || r.column < column {
			break
		}
		if r.column > column {
			r.failIndent()
			break
		}
		key = r.key()
	}
	r.close(n, from)
	r.outer = outer
	r.leave()
	return n
}

// checkKey wants a key to be a single word.
func (r *reader) checkKey(key *Node) {
	switch {
	case key.Kind != Scalar && (key.Kind != Null || key.Text == ""):
		r.fail(Syntax, key.At, "a key must be a single word", "write KEY: VALUE")
	case !key.Quoted && r.fault == nil && r.failDash(key.At, key.Text): // no key begins so
	case !key.Quoted && beforeBracket(key.Text) >= 0:
		colon := beforeBracket(key.Text)
		at := Place{key.At.Line, key.At.Column + characters(key.Text[:colon]), 1}
		r.fail(Syntax, at, "no space stands behind this colon", "put a space behind it").mendSpace(true, Place{at.Line, at.Column + 1, 0})
	case key.At.Width > maxKey:
		r.fail(Syntax, key.At, "this key has more than 1024 characters", "look for a colon that should not be there")
	}
}

// beforeBracket is where a colon stands directly before a bracket or brace, or -1. The
// standard has it as part of a key, and whoever writes it means otherwise.
func beforeBracket(text string) int {
	return max(strings.Index(text, ":{"), strings.Index(text, ":["))
}

// key reads a key with its colon.
func (r *reader) key() *Node {
	if r.isDash() {
		r.fail(Syntax, r.here(1), "an entry of a list stands where a key is due", "indent the list deeper than the keys around it, or write the key")
	}
	if r.peek() == '&' {
		r.fail(Syntax, r.word(), "an anchor stands before a key", "put it before the value, behind the colon")
	}
	at, line := r.restOfLine(), untilAny(r.text[r.pos:], "\n")
	n := r.single(false)
	if !r.colon(false, false) {
		r.failLine(at, line, "this line is not a key with a value", "write KEY: VALUE, with a space after the colon")
	}
	return n
}

// colon goes over the colon behind a key, if there is one: it ends a key before
// white space, and behind a key in quotation marks within brackets before anything
// (YAML 1.2.2, 7.4.2). Before the signs of brackets it ends one, too, by the standard,
// and libraries differ: it is refused there.
func (r *reader) colon(inFlow, quoted bool) bool {
	spaces := 0
	for r.after(spaces) == ' ' {
		spaces++
	}
	if r.after(spaces) != ':' {
		return false
	}
	next := r.after(spaces + 1)
	switch {
	case blank(next) || inFlow && quoted:
	case inFlow && flowSign(next):
		r.forward(spaces)
		r.fail(Syntax, r.here(1), "no space stands behind this colon", "put a space behind it")
		return false
	default:
		return false
	}
	r.forward(spaces + 1)
	return true
}

// value reads what stands behind the colon of a key in a column, on its line or
// below.
func (r *reader) value(column int32) *Node {
	at := r.here(1)
	anchor, anchorAt := "", Place{}
	newLine := r.skip()
	if !newLine && r.peek() == '&' {
		anchor, anchorAt = r.anchorName()
		newLine = r.skip()
	}
	var n *Node
	switch {
	case r.ended() || newLine && (r.column < column || r.column == column && !r.isDash()):
		if anchor != "" {
			r.failAnchor(anchorAt)
		}
		return r.node(Null, at)
	case newLine && r.column == column: // a list may begin in the column of its key
		n = r.list()
	case newLine:
		n = r.block(column)
	case r.isDash():
		r.fail(Syntax, r.here(1), "a list cannot begin on the line of its key", "start a new line before the dash")
		return r.node(Null, at)
	default:
		n = r.single(false)
		r.endOfValue(n, column, false)
	}
	if anchor != "" {
		r.give(n, anchor, anchorAt)
	}
	return n
}

// list reads entries that begin with dashes in one column.
func (r *reader) list() *Node {
	column := r.column
	n := r.node(List, r.here(1))
	outer := r.outer
	if !r.enter(n.At) {
		return n
	}
	r.outer = column
	from := len(r.within)
	for {
		item := r.entry(column)
		r.within = append(r.within, item)
		if r.ended() || r.column < column || r.column == column && !r.isDash() {
			break
		}
		if r.column > column {
			r.failIndent()
			break
		}
	}
	r.close(n, from)
	r.outer = outer
	r.leave()
	return n
}

// entry reads what stands behind a dash in a column.
func (r *reader) entry(column int32) *Node {
	at := r.here(1)
	r.forward(1)
	if newLine := r.skip(); r.ended() || newLine && r.column <= column {
		return r.node(Null, at)
	}
	return r.block(column)
}

// endOfValue wants nothing to follow a single value on its line, and the lines
// below not to go on with it: they are indented no deeper than the column of the
// block that it stands in. First says that it is the first on its line.
func (r *reader) endOfValue(n *Node, outer int32, first bool) {
	column := r.column
	newLine := r.skip()
	switch {
	case r.ended() || newLine && r.column <= outer:
	case !newLine && r.peek() == ':':
		r.fail(Syntax, n.At, "this key stands on the line of another value", "start a new line before it; a text with a colon goes into quotation marks")
	case !newLine && (r.peek() == ']' || r.peek() == '}'):
		r.fail(Syntax, r.here(1), "this bracket closes nothing", "take it out, or open it before").mendWithout(false, r.here(1))
	case !newLine && r.peek() == ',':
		r.fail(Syntax, r.here(1), "a comma stands behind a value on its line", "take it out: commas separate within brackets and braces alone").mendWithout(blank(r.after(1)), r.here(1))
	case !newLine && n.Quoted:
		r.fail(Syntax, r.word(), "something stands behind a value on its line", "take the quotation marks off, or put them around all of it; a mark within single ones is written twice, and within double ones behind a backslash")
	case !newLine:
		r.fail(Syntax, r.word(), "something stands behind a value on its line", "put a value with several words of this kind into quotation marks")
	case first && n.Kind == Scalar && !n.Quoted && n.At.Column == r.column:
		n.At.Width = column - n.At.Column
		r.failLine(n.At, n.Text, "this line is not a key with a value", "write KEY: VALUE, with a space after the colon")
	default:
		r.failIndent()
	}
}

// failIndent says of a line that it belongs to nothing before it.
func (r *reader) failIndent() {
	line := untilAny(r.text[r.pos:], "\n")
	if key, _, is := strings.Cut(line+" ", ": "); is && !r.isDash() && !tightDash(line) && !flowSign(r.peek()) {
		r.fail(Syntax, r.here(max(characters(key), 1)), "this key is not in the column of the keys that it belongs to", "keys of one block begin in the same column; it may be the line above that does not")
		return
	}
	r.failLine(r.restOfLine(), line, "this line belongs to nothing before it", "an entry of a list begins with a dash and a space; a value stands on one line; keys of one block, and dashes of one list, begin in the same column")
}
