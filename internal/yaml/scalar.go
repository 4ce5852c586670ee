// Single values: plain ones, those in quotation marks, aliases, and the names of
// anchors: sections 7.1 and 7.3 of YAML 1.2.2. Each stands on one line.
package yaml

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// single reads a value in one piece: a scalar, an alias, brackets or braces.
func (r *reader) single(inFlow bool) *Node {
	c, next := r.peek(), r.after(1)
	alone := blank(next) || inFlow && flowSign(next)
	switch {
	case c == 0:
		return r.node(Null, r.here(1))
	case c == '"' || c == '\'':
		return r.quoted()
	case c == '[' || c == '{':
		return r.flow()
	case c == '*':
		name, at := r.anchorName()
		n := r.node(Alias, at)
		n.Text = name
		r.strayed = r.strayed || !r.anchors[name]
		return n
	case c == '!':
		r.fail(Tag, r.word(), "a mission file has no use for YAML tags", "take the tag out").mendWithout(false, r.word())
	case c == '|' || c == '>':
		r.fail(Syntax, r.here(1), "a text in block style stands here, and nothing in a mission has a use for one", "write the value on one line")
	case c == ']' || c == '}':
		r.fail(Syntax, r.here(1), "this bracket closes nothing", "take it out, or open it before").mendWithout(false, r.here(1))
	case c == '?' && alone:
		r.fail(Syntax, r.here(1), "a question mark for a key stands here, and a mission has no use for one", "write KEY: VALUE")
	case c == ':' && alone:
		r.fail(Syntax, r.here(1), "no key stands before this colon", "write KEY: VALUE")
	case c == '-' && alone:
		r.fail(Syntax, r.here(1), "a dash stands where no list can begin", "start a new line before the dash, or write the list in brackets")
	case inFlow && c == ':': // libraries differ in what it means there
		r.fail(Syntax, r.here(1), "a value within brackets cannot begin with this character", "put the value into quotation marks")
	case c == '&': // one before it has been read
		r.fail(Syntax, r.word(), "a value has two anchors", "take one of them out")
	case strings.IndexByte(",%@`#", c) >= 0:
		r.fail(Syntax, r.here(1), "a value cannot begin with this character", "put the value into quotation marks")
	default:
		return r.plain(inFlow)
	}
	return r.node(Null, r.here(1))
}

// plain reads a value without quotation marks. It ends with the line, before a
// comment, before a colon that makes it a key, and within brackets before their
// signs.
func (r *reader) plain(inFlow bool) *Node {
	n := r.node(Scalar, r.here(1))
	start, end := r.pos, r.pos // of what is neither white space
	column := r.column
	for i := r.pos; ; i++ {
		c, next := byte(0), byte(0)
		if i < len(r.text) {
			c = r.text[i]
		}
		if i+1 < len(r.text) {
			next = r.text[i+1]
		}
		if c == 0 || c == '\n' || c == '#' && i > start && (r.text[i-1] == ' ' || r.text[i-1] == '\t') ||
			c == ':' && (blank(next) || inFlow && flowSign(next)) || inFlow && flowSign(c) {
			break
		}
		if c != ' ' && c != '\t' {
			end = i + 1
		}
	}
	n.Text = r.text[start:end]
	if tab := strings.IndexByte(n.Text, '\t'); tab >= 0 {
		at := Place{r.line, column + characters(n.Text[:tab]), 1}
		r.failTab(at).mend(false, at, " ", "put a space in its place") // or none: 1 and 8 may be 18
		return n
	}
	if question := strings.IndexByte(n.Text, '?'); inFlow && question >= 0 { // libraries differ in what it means there
		r.fail(Syntax, Place{r.line, column + characters(n.Text[:question]), 1}, "a question mark stands in a value within brackets", "put the value into quotation marks")
		return n
	}
	n.At.Width = max(characters(n.Text), 1)
	r.pos, r.column = end, column+n.At.Width
	switch n.Text {
	case "~", "null", "Null", "NULL": // YAML 1.2.2, 10.3.2: the core schema
		n.Kind = Null
	}
	return n
}

// quoted reads a value in quotation marks.
func (r *reader) quoted() *Node {
	mark, rest := r.peek(), r.text[r.pos+1:]
	n := r.node(Scalar, r.here(1)) // which is a fault where there are too many
	n.Quoted = true
	if r.fault != nil {
		return n
	}
	length, plain := closingMark(rest, mark)
	if length < 0 {
		at := r.restOfLine()
		r.fail(Syntax, at, "this quotation mark is not closed on its line", "put "+string(mark)+" after the text")
		return n
	}
	inner := rest[:length]
	if tab := strings.IndexByte(inner, '\t'); tab >= 0 {
		r.failTab(Place{r.line, r.column + 1 + characters(inner[:tab]), 1})
		return n
	}
	n.Text = inner
	switch {
	case plain:
	case mark == '\'':
		n.Text = strings.ReplaceAll(inner, "''", "'")
	default:
		text, bad := unescape(inner)
		if bad >= 0 {
			r.fail(Syntax, Place{r.line, r.column + 1 + characters(inner[:bad]), 2}, "a backslash in double quotation marks is followed by what means nothing", "use single quotation marks, or write two backslashes")
			return n
		}
		n.Text = text
	}
	n.At.Width = characters(inner) + 2
	r.pos += length + 2
	r.column += n.At.Width
	return n
}

// closingMark is how many bytes stand before the closing mark, -1 if there is none
// on the line, and whether they mean what is written.
func closingMark(rest string, mark byte) (length int, plain bool) {
	plain = true
	for i := 0; i < len(rest); i++ {
		switch {
		case rest[i] == '\n':
			return -1, false
		case mark == '"' && rest[i] == '\\' && i+1 < len(rest) && rest[i+1] != '\n':
			plain = false
			i++
		case rest[i] == mark && mark == '\'' && i+1 < len(rest) && rest[i+1] == mark:
			plain = false
			i++
		case rest[i] == mark:
			return i, plain
		}
	}
	return -1, false
}

// unescape resolves the escapes of double quotation marks (YAML 1.2.2, 5.7); bad
// is where one stands that means nothing, or -1.
func unescape(text string) (out string, bad int) {
	const letters, meanings = `0abtnvfre "/\N_LP`, "\x00\a\b\t\n\v\f\r\x1b \"/\\\u0085\u00a0\u2028\u2029"
	meaning := []rune(meanings)
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		if text[i] != '\\' {
			b.WriteByte(text[i])
			continue
		}
		at := i
		i++
		if letter := strings.IndexByte(letters, text[i]); letter >= 0 {
			b.WriteRune(meaning[letter])
			continue
		}
		digits := map[byte]int{'x': 2, 'u': 4, 'U': 8}[text[i]]
		if digits == 0 || i+digits >= len(text) {
			return "", at
		}
		code, err := strconv.ParseUint(text[i+1:i+1+digits], 16, 32)
		if err != nil || code > utf8.MaxRune || !utf8.ValidRune(rune(code)) {
			return "", at
		}
		b.WriteRune(rune(code))
		i += digits
	}
	return b.String(), -1
}

// anchorName reads the name behind & or *. YAML allows almost anything in one; here
// it is letters, digits, - and _, so that nothing behind it can be taken for a part.
func (r *reader) anchorName() (string, Place) {
	length := 0
	for c := r.after(1); c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_'; c = r.after(1 + length) {
		length++
	}
	next := r.after(1 + length)
	if length == 0 || !blank(next) && !(r.peek() == '*' && flowSign(next)) {
		r.fail(Syntax, r.word(), "the name of an anchor or alias has letters, digits, - and _", "write &NAME before the value, and *NAME where it is meant again")
		return "", Place{}
	}
	name, at := r.text[r.pos+1:r.pos+1+length], r.here(int32(length)+1)
	if r.peek() == '&' {
		r.anchors[name] = false
	}
	r.forward(1 + length)
	return name, at
}
