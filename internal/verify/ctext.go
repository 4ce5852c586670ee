// A small reader of C: comments are left out, and every definition of the form
//
//	static const TYPE NAME[N] = { ... };
//
// becomes a tree of values. It reads what gen writes, by this version and by
// others, and refuses what it does not understand.
//
// A text is gone through piece by piece, first for its limits and then for what it
// says, so that no text takes more than the tree of the largest header that there
// is, see maxValues; and each piece is looked at once.
package verify

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// What a header may be. The largest that gen writes has its longest lines 65,000
// times for the legs and 100,000 times for the marks in its comment, a fence of
// 16,383 edges and 10,000 circles, and as much of search structure as is accepted
// (guidance.MaxFenceBytes): 51 MB and 2.8 million values, of which a row of a leg
// has 21. TestLargestHeader adds them up.
const (
	maxHeaderBytes = 51 << 20
	maxValues      = 3_000_000 // numbers, names, texts and lists
	maxDefinitions = 100       // of constants; a header has 7
	maxDirectives  = 100       // lines of the preprocessor; a header has 4
	maxToken       = 1_000     // bytes of a name, a text or a line of the preprocessor
	maxDepth       = 16        // braces within braces
)

// value is a number, a text, a name, or a list in braces.
type value struct {
	kind   valueKind
	length uint32 // of a list
	number int64  // of a text, a name or a list: where it begins in the tree
}

type valueKind uint8

const (
	numberValue valueKind = iota
	textValue
	nameValue
	listValue
)

// tree holds what values stand for.
type tree struct {
	values []value // those of one list side by side
	texts  []string
}

func (t *tree) list(v value) []value {
	if v.kind != listValue {
		return nil
	}
	return t.values[v.number : v.number+int64(v.length)]
}

// text is that of a text or a name, empty for any other value.
func (t *tree) text(v value) string {
	if v.kind != textValue && v.kind != nameValue {
		return ""
	}
	return t.texts[v.number]
}

// definition is one constant of the header.
type definition struct {
	ctype, name string
	value       value
}

// definitions reads all constants of a header.
func definitions(text string) (*tree, []definition, error) {
	values, err := withinLimits(text)
	if err != nil {
		return nil, nil, err
	}
	r := newReader(text, false)
	r.values = make([]value, 0, values)
	var found []definition
	for r.more() {
		if !r.take("static") {
			r.next()
			continue
		}
		if !r.take("const") {
			continue
		}
		d := definition{ctype: r.next(), name: r.next()}
		if r.take("[") {
			for r.more() && !r.take("]") {
				r.next()
			}
		}
		if !r.take("=") {
			continue // a declaration or a function
		}
		if d.value, err = r.value(0); err != nil {
			return nil, nil, fmt.Errorf("%s: %w", d.name, err)
		}
		if !r.take(";") {
			return nil, nil, fmt.Errorf("%s: it does not end in a semicolon", d.name)
		}
		if len(found) == maxDefinitions {
			return nil, nil, fmt.Errorf("it has more than %d constants", maxDefinitions)
		}
		found = append(found, d)
	}
	return &r.tree, found, r.tokens.err
}

// withinLimits goes through a text once: an error says why it is no header. It
// returns how many values there are at most.
func withinLimits(text string) (values int, err error) {
	if len(text) > maxHeaderBytes {
		return 0, fmt.Errorf("it is larger than any header, %d MiB", maxHeaderBytes>>20)
	}
	if err := asRead(text); err != nil {
		return 0, err
	}
	lines := 0
	tokens := tokeniser{text: text}
	for t := tokens.next(); t != ""; t = tokens.next() {
		switch {
		case len(t) > maxToken:
			return 0, fmt.Errorf("a name, a text or a line of the preprocessor has more than %d bytes", maxToken)
		case isDirective(t):
			lines++
		case t[0] == '{' || t[0] == '"' || wordByte(t[0]):
			values++
		}
		if values > maxValues {
			return 0, fmt.Errorf("it has more than %d values and names", maxValues)
		}
		if lines > maxDirectives {
			return 0, fmt.Errorf("it has more than %d lines of the preprocessor", maxDirectives)
		}
	}
	return values, tokens.err
}

// directives are the preprocessor's lines of a text.
func directives(text string) (found []string) {
	tokens := tokeniser{text: text}
	for t := tokens.next(); t != ""; t = tokens.next() {
		if isDirective(t) {
			found = append(found, t)
		}
	}
	return found
}

func isDirective(token string) bool { return token[0] == '#' }

// enumerators reads the constants of all enums of the form NAME = NUMBER; only
// those of some names where only is not nil.
func enumerators(text string, only map[string]int64) map[string]int64 {
	found := map[string]int64{}
	r := newReader(text, true)
	for r.more() {
		if !r.take("enum") {
			r.next()
			continue
		}
		r.next() // its name
		if !r.take("{") {
			continue
		}
		for r.more() && !r.take("}") {
			name := r.next()
			if !r.take("=") {
				continue
			}
			if n, err := r.sum(0); err == nil {
				if _, due := only[name]; due || only == nil {
					found[name] = n
				}
			}
		}
	}
	return found
}

// tokeniser splits a text into names, numbers, texts (which keep their opening
// quote), single characters, and the preprocessor's lines as one token each.
type tokeniser struct {
	text    string
	at      int
	midLine bool // whether something of the line was read
	err     error
}

func (l *tokeniser) fail(message string) string {
	l.err, l.at = errors.New(message), len(l.text)
	return ""
}

// next is the next token, empty at the end or after an error.
func (l *tokeniser) next() string {
	for l.at < len(l.text) {
		rest := l.text[l.at:]
		switch c := rest[0]; {
		case c == '\n':
			l.midLine = false
			l.at++
			continue
		case c == ' ' || c == '\t' || c == '\r':
			l.at++
			continue
		case strings.HasPrefix(rest, "/*"):
			end := strings.Index(rest[2:], "*/")
			if end < 0 {
				return l.fail("a comment does not end")
			}
			l.at += 2 + end + 2
			continue
		case strings.HasPrefix(rest, "//*"):
			// To a compiler of C90 no comment begins with two strokes (C99 brought it):
			// x //* */ 2 is x / 2 to it, and x to all others.
			return l.fail("//* begins a comment to some compilers, and a division to others")
		case strings.HasPrefix(rest, "//"):
			line, _, _ := strings.Cut(rest, "\n")
			l.at += len(line)
			continue
		case c == '#' && !l.midLine:
			return l.directive()
		}
		l.midLine = true
		end := 1
		switch c := rest[0]; {
		case digraph(rest):
			return l.fail(rest[:2] + " stands for another character")
		case c == '"':
			end = strings.IndexAny(rest[1:], "\"\\\n")
			if end < 0 || rest[1+end] != '"' {
				return l.fail("a text has no end, or an escape in it")
			}
			l.at += end + 2
			return rest[:1+end]
		case wordByte(c):
			for end < len(rest) && wordByte(rest[end]) {
				end++
			}
		}
		l.at += end
		return rest[:end]
	}
	return ""
}

// directive is a line of the preprocessor up to a comment in it, with single
// spaces. Behind that comment the line ends: to a compiler a comment is one space,
// however many lines it has, and what follows it belongs to the directive.
func (l *tokeniser) directive() string {
	rest := l.text[l.at:]
	line, _, _ := strings.Cut(rest, "\n")
	code := line
	if comment := strings.Index(line, "/*"); comment >= 0 {
		end := strings.Index(line[comment+2:], "*/")
		if end < 0 {
			if !strings.Contains(rest[comment+2:], "*/") {
				return l.fail("a comment does not end")
			}
			return l.fail("a line of the preprocessor goes on in a comment")
		}
		if strings.Trim(line[comment+2+end+2:], " \t\r") != "" {
			return l.fail("a line of the preprocessor goes on behind a comment")
		}
		code = line[:comment]
	}
	l.at += len(line)
	if len(code) > maxToken {
		return code // as it is: the limit is the reason to refuse it
	}
	return strings.Join(strings.Fields(code), " ")
}

// asRead refuses a text that a compiler would not read as it stands here, and every
// character that no header of merestone has. A compiler joins a line that ends in a
// backslash with the next (C11, 5.1.1.2, phase 2), a backslash can be written ??/
// (5.2.1.1), gcc joins over spaces behind it, and to some compilers a carriage return
// ends a line, and so a comment. In a comment all of these would hide a table's row
// from one of the two. What other characters do depends on the compiler and on the
// character set that it takes the file for.
func asRead(text string) error {
	number := 0
	for line := range strings.Lines(text) {
		number++
		line = strings.TrimSuffix(strings.TrimSuffix(line, "\n"), "\r")
		at := func(what string) error { return fmt.Errorf("line %d: %s", number, what) }
		if strings.HasSuffix(strings.TrimRight(line, " \t\v\f"), "\\") {
			return at("a line goes on in the next")
		}
		for i := range len(line) {
			switch c := line[i]; {
			case c == '\r':
				return at("a carriage return stands without a line feed")
			case c == 0:
				return at("it has a zero byte")
			case c < ' ' && c != '\t' || c == 0x7f:
				return at(fmt.Sprintf("it has the control character 0x%02x", c))
			case c > 0x7f:
				return at("it has a character that is not ASCII")
			}
		}
	}
	for rest := text; ; {
		at := strings.Index(rest, "??")
		if at < 0 {
			return nil
		}
		rest = strings.TrimLeft(rest[at:], "?") // of a row of them the last two count
		if rest != "" && strings.IndexByte("=/'()!<>-", rest[0]) >= 0 {
			return fmt.Errorf("??%c stands for another character", rest[0])
		}
	}
}

// digraph: the text begins with two characters that stand for one (C11, 6.4.6).
func digraph(text string) bool {
	if len(text) < 2 {
		return false
	}
	switch text[:2] {
	case "%:", "<:", ":>", "<%", "%>":
		return true
	default:
		return false
	}
}

func wordByte(c byte) bool {
	return c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

// reader reads tokens, one ahead, and gathers the values in a tree.
type reader struct {
	tokens     tokeniser
	directives bool   // whether they are read as tokens, or left out
	token      string // the next; empty at the end
	tree
	open []value // of lists that have not ended yet
}

func newReader(text string, directives bool) *reader {
	r := &reader{tokens: tokeniser{text: text}, directives: directives}
	r.next()
	return r
}

func (r *reader) more() bool { return r.token != "" }

func (r *reader) next() string {
	t := r.token
	r.token = r.tokens.next()
	for !r.directives && r.token != "" && isDirective(r.token) {
		r.token = r.tokens.next()
	}
	return t
}

func (r *reader) take(token string) bool {
	if r.token == token {
		r.next()
		return true
	}
	return false
}

func (r *reader) value(depth int) (value, error) {
	if depth > maxDepth {
		return value{}, errors.New("too many braces within each other")
	}
	switch t := r.token; {
	case t == "":
		return value{}, errors.New("it ends too soon")
	case t == "{":
		r.next()
		return r.listOf(depth)
	case t[0] == '"':
		return r.textOf(textValue, r.next()[1:]), nil
	case t == "(" || t == "-" || t == "INT64_C" || t[0] >= '0' && t[0] <= '9':
		n, err := r.sum(depth)
		return value{kind: numberValue, number: n}, err
	case wordByte(t[0]):
		return r.textOf(nameValue, r.next()), nil
	default:
		return value{}, fmt.Errorf("%q is not expected", t)
	}
}

func (r *reader) textOf(kind valueKind, text string) value {
	r.texts = append(r.texts, text)
	return value{kind: kind, number: int64(len(r.texts) - 1)}
}

func (r *reader) listOf(depth int) (value, error) {
	begin := len(r.open)
	for !r.take("}") {
		v, err := r.value(depth + 1)
		if err != nil {
			return value{}, err
		}
		r.open = append(r.open, v)
		if !r.take(",") && r.token != "}" {
			return value{}, errors.New("a comma is missing in a list")
		}
	}
	out := value{kind: listValue, number: int64(len(r.values)), length: uint32(len(r.open) - begin)}
	r.values, r.open = append(r.values, r.open[begin:]...), r.open[:begin]
	return out, nil
}

// sum reads a number or a difference: the most negative int32 has no literal in
// C and is written (-2147483647 - 1).
func (r *reader) sum(depth int) (int64, error) {
	n, err := r.term(depth)
	for err == nil {
		var m int64
		switch {
		case r.take("-"):
			m, err = r.term(depth)
			n -= m
		case r.take("+"):
			m, err = r.term(depth)
			n += m
		default:
			return n, nil
		}
	}
	return n, err
}

func (r *reader) term(depth int) (int64, error) {
	if depth > maxDepth {
		return 0, errors.New("too many brackets within each other")
	}
	switch {
	case r.take("-"):
		n, err := r.term(depth + 1)
		return -n, err
	case r.take("INT64_C"), r.take("("):
		r.take("(")
		n, err := r.sum(depth + 1)
		if err == nil && !r.take(")") {
			err = errors.New("a bracket is missing")
		}
		return n, err
	}
	t := r.next()
	n, err := strconv.ParseInt(strings.TrimRight(t, "uUlL"), 0, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is no number", t)
	}
	return n, nil
}
