// A small reader of C: comments are left out, and every definition of the form
//
//	static const TYPE NAME[N] = { ... };
//
// becomes a tree of values. It reads what gen writes, by this version and by
// others, and refuses what it does not understand.
package verify

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// value is a number, a text, a name, or a list in braces.
type value struct {
	kind   valueKind
	number int64
	text   string // of a text or a name
	list   []value
}

type valueKind uint8

const (
	numberValue valueKind = iota
	textValue
	nameValue
	listValue
)

// definition is one constant of the header.
type definition struct {
	ctype, name string
	value       value
}

// maxDepth bounds braces within braces.
const maxDepth = 16

// definitions reads all constants of a header.
func definitions(text []byte) ([]definition, error) {
	all, err := tokenise(string(text))
	if err != nil {
		return nil, err
	}
	r := &reader{tokens: slices.DeleteFunc(all, isDirective)}
	var found []definition
	for r.more() {
		if !r.take("static") {
			r.at++
			continue
		}
		if !r.take("const") {
			continue
		}
		d := definition{ctype: r.next(), name: r.next()}
		if r.take("[") {
			for r.more() && !r.take("]") {
				r.at++
			}
		}
		if !r.take("=") {
			continue // a declaration or a function
		}
		if d.value, err = r.value(0); err != nil {
			return nil, fmt.Errorf("%s: %w", d.name, err)
		}
		if !r.take(";") {
			return nil, fmt.Errorf("%s: it does not end in a semicolon", d.name)
		}
		found = append(found, d)
	}
	return found, nil
}

// directives are the preprocessor's lines of a text.
func directives(tokens []string) []string {
	return slices.DeleteFunc(slices.Clone(tokens), func(t string) bool { return !isDirective(t) })
}

func isDirective(token string) bool { return token[0] == '#' }

// enumerators reads the constants of all enums of the form NAME = NUMBER.
func enumerators(tokens []string) map[string]int64 {
	found := map[string]int64{}
	r := &reader{tokens: tokens}
	for r.more() {
		if !r.take("enum") {
			r.at++
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
				found[name] = n
			}
		}
	}
	return found
}

// tokenise splits a text into names, numbers, texts (which keep their opening
// quote), single characters, and the preprocessor's lines as one token each.
func tokenise(text string) ([]string, error) {
	if err := linesAsWritten(text); err != nil {
		return nil, err
	}
	var tokens []string
	lineStart := true
	for i := 0; i < len(text); {
		c := text[i]
		switch {
		case c == '\n':
			lineStart = true
			i++
			continue
		case c == ' ' || c == '\t' || c == '\r':
			i++
			continue
		case strings.HasPrefix(text[i:], "/*"):
			end := strings.Index(text[i+2:], "*/")
			if end < 0 {
				return nil, errors.New("a comment does not end")
			}
			i += 2 + end + 2
			continue
		case strings.HasPrefix(text[i:], "//"), c == '#' && lineStart:
			line, _, _ := strings.Cut(text[i:], "\n")
			i += len(line)
			if c == '#' {
				if line, i = cutComment(text, line, i); i < 0 {
					return nil, errors.New("a comment does not end")
				}
				tokens = append(tokens, strings.Join(strings.Fields(line), " "))
			}
			continue
		}
		lineStart = false
		switch {
		case strings.HasPrefix(text[i:], "%:"):
			return nil, errors.New("%: stands for #, which the preprocessor reads")
		case c == '"':
			end := strings.IndexAny(text[i+1:], "\"\\\n")
			if end < 0 || text[i+1+end] != '"' {
				return nil, errors.New("a text has no end, or an escape in it")
			}
			tokens = append(tokens, text[i:i+1+end])
			i += end + 2
		case wordByte(c):
			j := i
			for j < len(text) && wordByte(text[j]) {
				j++
			}
			tokens = append(tokens, text[i:j])
			i = j
		default:
			tokens = append(tokens, text[i:i+1])
			i++
		}
	}
	return tokens, nil
}

// linesAsWritten refuses a text whose lines a compiler would not read as they stand
// here: it joins a line that ends in a backslash with the next (C11, 5.1.1.2, phase
// 2), a backslash can be written ??/ (5.2.1.1), gcc joins over spaces behind it, and
// to some compilers a carriage return ends a line, and so a comment. In a comment all
// of these would hide a table's row from one of the two.
func linesAsWritten(text string) error {
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(strings.TrimSuffix(line, "\n"), "\r")
		switch {
		case strings.Contains(line, "\r"):
			return errors.New("a carriage return stands without a line feed")
		case strings.HasSuffix(strings.TrimRight(line, " \t\v\f"), "\\"):
			return errors.New("a line goes on in the next")
		}
		for _, third := range "=/'()!<>-" {
			if strings.Contains(line, "??"+string(third)) {
				return fmt.Errorf("??%c stands for another character", third)
			}
		}
	}
	return nil
}

// cutComment ends a preprocessor's line before a comment and moves on to where
// that begins.
func cutComment(text, line string, end int) (string, int) {
	at := strings.Index(line, "/*")
	if at < 0 {
		return line, end
	}
	if !strings.Contains(text[end-len(line)+at:], "*/") {
		return "", -1
	}
	return line[:at], end - len(line) + at
}

func wordByte(c byte) bool {
	return c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

type reader struct {
	tokens []string
	at     int
}

func (r *reader) more() bool { return r.at < len(r.tokens) }

func (r *reader) next() string {
	if !r.more() {
		return ""
	}
	r.at++
	return r.tokens[r.at-1]
}

func (r *reader) take(token string) bool {
	if r.more() && r.tokens[r.at] == token {
		r.at++
		return true
	}
	return false
}

func (r *reader) value(depth int) (value, error) {
	if depth > maxDepth {
		return value{}, errors.New("too many braces within each other")
	}
	t := r.next()
	switch {
	case t == "":
		return value{}, errors.New("it ends too soon")
	case t == "{":
		return r.listOf(depth)
	case t[0] == '"':
		return value{kind: textValue, text: t[1:]}, nil
	case t == "(" || t == "-" || t == "INT64_C" || t[0] >= '0' && t[0] <= '9':
		r.at--
		n, err := r.sum(depth)
		return value{kind: numberValue, number: n}, err
	case wordByte(t[0]):
		return value{kind: nameValue, text: t}, nil
	default:
		return value{}, fmt.Errorf("%q is not expected", t)
	}
}

func (r *reader) listOf(depth int) (value, error) {
	out := value{kind: listValue}
	for !r.take("}") {
		v, err := r.value(depth + 1)
		if err != nil {
			return value{}, err
		}
		out.list = append(out.list, v)
		if !r.take(",") && (!r.more() || r.tokens[r.at] != "}") {
			return value{}, errors.New("a comma is missing in a list")
		}
	}
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
