package yaml

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// compact writes a tree on one line.
func compact(n *Node) string {
	text := ""
	switch n.Kind {
	case Null:
		text = "null"
	case Alias:
		text = "*" + n.Text
	case Scalar:
		text = n.Text
		if n.Quoted {
			text = fmt.Sprintf("%q", n.Text)
		}
	case List:
		var entries []string
		for _, within := range n.Within {
			entries = append(entries, compact(within))
		}
		text = "[" + strings.Join(entries, ", ") + "]"
	case Mapping:
		var pairs []string
		for i := 0; i < len(n.Within); i += 2 {
			pairs = append(pairs, compact(n.Within[i])+": "+compact(n.Within[i+1]))
		}
		text = "{" + strings.Join(pairs, ", ") + "}"
	}
	if n.Anchor != "" {
		text = "&" + n.Anchor + " " + text
	}
	return text
}

func TestRead(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"a: b", "{a: b}"},
		{"# c\n\na:   b   # c\n", "{a: b}"},
		{"a: b\t# c\n\t\nc: d\t\n", "{a: b, c: d}"}, // tabs that mean nothing
		{"a: b\t#\tc\n", "{a: b}"},
		{"a:\n  b: c\n  d:\ne:", "{a: {b: c, d: null}, e: null}"},
		{"a:\n- b\n- c\nd: e", "{a: [b, c], d: e}"},
		{"a:\n  - b\n  - c: d\n    e: f\n  -\n  - - g\n    - h", "{a: [b, {c: d, e: f}, null, [g, h]]}"},
		{"- a\n-\n  b: c", "[a, {b: c}]"},
		{"a: [b, [c], {d: e, f}, ]", "{a: [b, [c], {d: e, f: null}]}"},
		{"a: [b, # c\n  d\n  ]", "{a: [b, d]}"},
		{"{\na: b,\nc: [d\n]\n}", "{a: b, c: [d]}"}, // in no block: any column
		{`a: "b\u0041\\\"" # c`, `{a: "bA\\\""}`},
		{"a: 'it''s'", `{a: "it's"}`},
		{`"a": b`, `{"a": b}`},
		{`{"a":1,'b':2}`, `{"a": 1, "b": 2}`},
		{"a b: c d", "{a b: c d}"},
		{"a: b:c#d", "{a: b:c#d}"},
		{"a: 12:30", "{a: 12:30}"},
		{"a: -1", "{a: -1}"},
		{"a : b", "{a: b}"},
		{"a: ~\nb: null\nc: Null\nd: NULL\ne: nULL", "{a: null, b: null, c: null, d: null, e: nULL}"},
		{"null: a", "{null: a}"},
		{"a: &x b\nc: *x", "{a: &x b, c: *x}"},
		{"a: &x\n  b: c\nd: [*x, *x]", "{a: &x {b: c}, d: [*x, *x]}"},
		{"a:\n  - &x {b: c}\n  - &y\n    d: e", "{a: [&x {b: c}, &y {d: e}]}"},
		{"a: &x\n- b", "{a: &x [b]}"},
		{"<<: *x", "{<<: *x}"},
		{"a: [1,2,22]\nb: {c: 1,2: d}", "{a: [1, 2, 22], b: {c: 1, 2: d}}"},
		{"%YAML 1.2\n---\na: b\n...\n# c\n", "{a: b}"},
		{"--- # c\na: b", "{a: b}"},
		{"a: \u00a0b", "{a: \u00a0b}"}, // a no-break space is no white space
		{"45°18'04.4412\"N: 1", `{45°18'04.4412"N: 1}`},
	} {
		document, fault := Read(c.text)
		require.Nil(t, fault, c.text)
		assert.Equal(t, c.want, compact(document.Root), c.text)
	}
}

// What is refused, where, and in what words. The caret is given as the text that it
// stands under.
func TestReadRefuses(t *testing.T) {
	for _, c := range []struct {
		name, text, at, under, message string
		kind                           FaultKind
	}{
		{"a tab within a value", "a: 1\t8 cm", "1:5", "\t", "a tab stands here", Tab},
		{"a tab within a number", "pin: 2\t2", "1:7", "\t", "a tab stands here", Tab},
		{"a tab within a name in brackets", "[A, F\t1]", "1:6", "\t", "a tab stands here", Tab},
		{"a tab within a key", "a\tb: c", "1:2", "\t", "a tab stands here", Tab},
		{"a tab behind a colon", "a:\tb", "1:3", "\t", "a tab stands here", Tab},
		{"a tab behind a dash", "-\ta", "1:2", "\t", "a tab stands here", Tab},
		{"a tab before a colon", "a\t: b", "1:2", "\t", "a tab stands here", Tab},
		{"a tab in quotation marks", "a: \"b\tc\"", "1:6", "\t", "a tab stands here", Tab},
		{"a tab as indentation", "a:\n\tb: c", "2:1", "\t", "a tab stands here", Tab},
		{"a tab before a comma", "[a\t, b]", "1:3", "\t", "a tab stands here", Tab},
		{"no space behind a colon", "a:\n  b:c\n  d: e", "2:4", ":", "no space stands behind this colon", Syntax},
		{"no space behind the first colon", "a:b\nc: d", "1:2", ":", "no space stands behind this colon", Syntax},
		{"no space behind a colon in braces", "{radius:0.8 m}", "1:2", "radius:0.8 m", "this is not a key with a value", Syntax},
		{"a colon before a comma", "{a:, b: c}", "1:3", ":", "no space stands behind this colon", Syntax},
		{"a comma before the first key", "{, name: x}", "1:2", ",", "nothing stands before this comma", Syntax},
		{"two commas", "[a,, b]", "1:4", ",", "nothing stands before this comma", Syntax},
		{"an empty question mark", "?", "1:1", "?", "a question mark for a key", Syntax},
		{"a question mark for a key", "? key : v", "1:1", "?", "a question mark for a key", Syntax},
		{"a question mark in brackets", "[a, ?b]", "1:5", "?", "a question mark stands in a value", Syntax},
		{"a closing bracket in column 1", "a: [b,\n  c\n]", "3:1", "]", "this bracket is not indented deeper", Syntax},
		{"an entry in column 1", "a: [b,\nc]", "2:1", "c", "a list in brackets is not closed", Syntax},
		{"an entry in column 1 behind an anchor", "a: [b, &x\nc]", "2:1", "c", "a list in brackets is not closed", Syntax},
		{"no space before a comment", "[A, B,#C\n]", "1:7", "#", "a # begins a comment only behind a space", Syntax},
		{"no space before a comment behind quotation marks", "a: 'b'#c", "1:7", "#", "a # begins a comment only behind a space", Syntax},
		{"a quoted text over two lines", "a: \"b\nc\"", "1:4", "\"b", "this quotation mark is not closed on its line", Syntax},
		{"a plain text over two lines", "a: b\n  c", "2:3", "c", "this line belongs to nothing before it", Syntax},
		{"a value in braces over two lines", "{a: 4.7\n kohm, b: c}", "2:2", "kohm", "this line goes on with the value of the line before", Syntax},
		{"a value in braces over two lines at the end", "a: {b: 4.7\n  kohm}", "2:3", "kohm", "this line goes on with the value of the line before", Syntax},
		{"a comma missing at the end of a line", "a: {b: c\n  d: e, f: g}", "2:3", "d", "a block in braces is not closed, or a comma is missing", Syntax},
		{"a brace not closed before the next key", "a: {b: c\nd: e", "2:1", "d", "a block in braces is not closed, or a comma is missing", Syntax},
		{"a decimal comma in braces", "{a: 0,60 m/s, b: c}", "1:6", ",", "a comma ends a value within braces", Syntax},
		{"a decimal comma in the last number", "{a: 0,6}", "1:6", ",", "a comma ends a value within braces", Syntax},
		{"no space behind the dash", "a:\n  - b\n  -c", "3:3", "-c", "no space stands behind this dash", Syntax},
		{"no space behind the first dash", "a:\n  -b\n  -c", "2:3", "-b", "no space stands behind this dash", Syntax},
		{"no space behind the one dash", "a:\n  -b\n  c: d", "2:3", "-b", "no space stands behind this dash", Syntax},
		{"another bullet", "a:\n  - b\n  – c", "3:3", "– c", "this character begins no entry", Syntax},
		{"a star for the second dash", "a:\n  - b\n  * c", "3:3", "* c", "this character begins no entry", Syntax},
		{"a merge", "a: b\n<<<<<<< c\nd: e\n", "2:1", "<<<<<<< c", "this line was left behind by a merge", Syntax},
		{"a no-break space behind a colon", "a:\n  b:\u00a0c\n  d: e", "2:5", "\u00a0", "the character U+00A0 here", Syntax},
		{"no-break spaces as indentation, a line above", "a:\n  b: c\n\u00a0\u00a0d: e\n  f: g", "3:1", "\u00a0", "the character U+00A0 here", Syntax},
		{"a character that does not show", "a: b\nc\u200b d", "2:2", "\u200b", "the character U+200B here", Syntax},
		{"a no-break space in a comment is none of it", "a: b # \u00a0\n c", "2:2", "c", "this line belongs to nothing", Syntax},
		{"a bracket too many", "a: {b: c}}", "1:10", "}", "this bracket closes nothing", Syntax},
		{"a comma behind a value", "a: {b: c},", "1:10", ",", "a comma stands behind a value", Syntax},
		{"no space between a key and its braces", "a:\n  B:{c: d, e: f}", "2:4", ":", "no space stands behind this colon", Syntax},
		{"braces without a dash", "a:\n  - {b: c}\n  {b: d}", "3:3", "{b: d}", "this line belongs to nothing before it", Syntax},
		{"a text in block style", "a: |\n  b", "1:4", "|", "a text in block style", Syntax},
		{"a folded text", "- >-\n  b", "1:3", ">", "a text in block style", Syntax},
		{"an anchor before nothing", "{a: &x, b: c}", "1:5", "&x,", "the name of an anchor", Syntax},
		{"an anchor before nothing at the end", "a: &x", "1:4", "&x", "an anchor stands before nothing", Syntax},
		{"an anchor before a key", "- &x a: b", "1:3", "&x", "an anchor stands before a key", Syntax},
		{"an anchor before an alias", "a: &x *y", "1:4", "&x", "an anchor stands before an alias", Syntax},
		{"two anchors", "a: &x &y b", "1:7", "&y", "a value has two anchors", Syntax},
		{"an alias for a key", "*a : b", "1:1", "*a", "a key must be a single word", Syntax},
		{"an alias with a colon", "a: *b:c", "1:4", "*b:c", "the name of an anchor or alias", Syntax},
		{"a list for a key", "[a]: b", "1:1", "[", "a key must be a single word", Syntax},
		{"a key among entries", "[a: b]", "1:2", "a", "a key stands among the entries", Syntax},
		{"a key on the line of a value", "a: b: c", "1:4", "b", "this key stands on the line of another value", Syntax},
		{"a list on the line of its key", "a: - b", "1:4", "-", "a list cannot begin on the line of its key", Syntax},
		{"text behind quotation marks", "a: 'b' c", "1:8", "c", "something stands behind a value", Syntax},
		{"no key", ": b", "1:1", ":", "no key stands before this colon", Syntax},
		{"a key too deep", "a:\n  b: c\n   d: e", "3:4", "d", "this key is not in the column", Syntax},
		{"a key not deep enough", "a:\n   b: c\n  d: e", "3:3", "d", "this key is not in the column", Syntax},
		{"a key among dashes", "a:\n  - b\n  c: d", "3:3", "c", "this key is not in the column", Syntax},
		{"a dash among keys", "a: b\n- c", "2:1", "-", "an entry of a list stands where a key is due", Syntax},
		{"a list that is not closed", "a: [b", "1:4", "[", "this list in brackets is not closed", Syntax},
		{"a block that is not closed", "a: {b: [c]", "1:4", "{", "this block in braces is not closed", Syntax},
		{"a bracket that closes nothing", "a: ]", "1:4", "]", "this bracket closes nothing", Syntax},
		{"the wrong bracket", "a: [b}", "1:6", "}", "a list in brackets is not closed, or a comma", Syntax},
		{"a missing comma", "{a: b\n  c: d}", "2:3", "c", "a block in braces is not closed, or a comma", Syntax},
		{"a backslash that means nothing", `a: "b\qc"`, "1:6", `\q`, "a backslash in double quotation marks", Syntax},
		{"half a surrogate", `a: "\ud83d"`, "1:5", `\u`, "a backslash in double quotation marks", Syntax},
		{"a reserved character", "a: @b", "1:4", "@", "a value cannot begin with this character", Syntax},
		{"a tag", "a: !!str b", "1:4", "!!str", "a mission file has no use for YAML tags", Tag},
		{"another version", "%YAML 1.1\n---\na: b", "1:1", "%YAML 1.1", "of the directives", Syntax},
		{"another directive", "%TAG ! x:\n---\na: b", "1:1", "%TAG ! x:", "of the directives", Syntax},
		{"a second directive", "%YAML 1.2\n%YAML 1.2\n---\na: b", "2:1", "%YAML 1.2", "a second directive", Syntax},
		{"a directive without ---", "%YAML 1.2\na: b", "2:1", "a", "behind the directive comes no line ---", Syntax},
		{"a key behind ---", "--- a: b", "1:5", "a:", "something stands behind ---", Syntax},
		{"a second document", "a: b\n---\nc: d", "2:1", "---", "a second YAML document", SeveralDocuments},
		{"a second block of directives", "a: b\n...\n%YAML 1.2\n---\nc: d", "3:1", "%YAML", "a second YAML document", SeveralDocuments},
		{"text behind the end", "a: b\n... c", "2:5", "c", "a second YAML document", SeveralDocuments},
		{"nothing", "# a\n", "0:0", "", "the file is empty", Empty},
		{"nothing but marks", "---\n...\n", "0:0", "", "the file is empty", Empty},
		{"too deep", strings.Repeat("[", 33), "1:33", "[", "more than 32 deep", TooDeep},
		{"too deep by dashes", strings.Repeat("- ", 33), "1:65", "-", "more than 32 deep", TooDeep},
		{"a long key", strings.Repeat("k", 1025) + ": a", "1:1", strings.Repeat("k", 1025), "more than 1024 characters", Syntax},
	} {
		t.Run(c.name, func(t *testing.T) {
			document, fault := Read(c.text)
			require.NotNil(t, fault, "%+v", document.Root)
			assert.Contains(t, fault.Message, c.message)
			assert.NotEmpty(t, fault.Remedy)
			assert.Equal(t, c.kind, fault.Kind)
			assert.Equal(t, c.at, fmt.Sprintf("%d:%d", fault.At.Line, fault.At.Column))
			assert.Equal(t, c.under, under(c.text, fault.At))
		})
	}
}

// under is what stands at a place.
func under(text string, at Place) string {
	if at.Line == 0 {
		return ""
	}
	line := []rune(strings.Split(text, "\n")[at.Line-1])
	return string(line[at.Column-1 : min(int(at.Column-1+at.Width), len(line))])
}

// A difference between the two readers refuses the text. No text is known that makes
// one, so the tree is changed in place of it.
func TestDoubt(t *testing.T) {
	const text = "a: &x 18 cm\nb: [c, \"d\"]\ne: ~\n"
	for _, c := range []struct {
		name   string
		change func(root *Node)
		why    string
	}{
		{"digits joined", func(root *Node) { root.Within[1].Text = "118 cm" }, `as "18 cm"`},
		{"another key", func(root *Node) { root.Within[0].Text = "b" }, `as "a"`},
		{"another place", func(root *Node) { root.Within[2].At.Line = 3 }, "at line 2, column 1"},
		{"an anchor lost", func(root *Node) { root.Within[1].Anchor = "" }, `with the anchor "x"`},
		{"an entry lost", func(root *Node) { root.Within[3].Within = root.Within[3].Within[:1] }, "with 2 keys, values or entries in place of 1"},
		{"quotation marks lost", func(root *Node) { root.Within[3].Within[1].Quoted = false }, "with other quotation marks"},
		{"nothing taken for a word", func(root *Node) { root.Within[5].Kind = Scalar }, "as another kind of value"},
	} {
		document, fault := Read(text)
		require.Nil(t, fault)
		require.Nil(t, document.Doubt())
		c.change(document.Root)
		doubt := document.Doubt()
		require.NotNil(t, doubt, c.name)
		assert.Contains(t, doubt.Message, c.why, c.name)
	}
}

// FuzzRead: whatever the text, every value has its place, and a plain one is what
// stands there, letter for letter. What is read must not depend on a library's whims.
func FuzzRead(f *testing.F) {
	for _, text := range append(seeds(), missions(f)...) {
		f.Add(text)
	}
	for _, piece := range pieces() {
		f.Add("a: b" + piece + "c\n")
	}
	f.Fuzz(func(t *testing.T, text string) {
		if strings.ContainsAny(text, "\x00\r\u0085\u2028\u2029\ufeff") || strings.ToValidUTF8(text, "") != text {
			return // refused before
		}
		document, fault := Read(text)
		if fault != nil {
			require.NotEmpty(t, fault.Message)
			require.NotEmpty(t, fault.Remedy)
			if fault.At.Line > 0 {
				under(text, fault.At) // panics where the place is outside
			}
			return
		}
		lines := strings.Split(text, "\n")
		var walk func(n *Node)
		walk = func(n *Node) {
			line := []rune(lines[n.At.Line-1])
			written := string(line[n.At.Column-1 : min(int(n.At.Column-1+n.At.Width), len(line))])
			switch {
			case n.Kind == Scalar && !n.Quoted, n.Kind == Null && n.Text != "":
				require.Equal(t, n.Text, written)
				require.NotContains(t, n.Text, "\t")
			case n.Kind == Alias:
				require.Equal(t, "*"+n.Text, written)
			}
			for _, within := range n.Within {
				walk(within)
			}
		}
		walk(document.Root)
	})
}
