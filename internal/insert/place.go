// Where in a text keys and values go: behind what is there, in the way that is written in.
package insert

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"merestone/internal/yaml"
)

// indent is by how much blocks are indented in this file.
func (p *page) indent() int {
	if p.isFlow(p.root) {
		return 2
	}
	for i := 1; i < len(p.root.Within); i += 2 {
		if v := p.root.Within[i]; v.Kind == yaml.Mapping && v.At.Line > p.root.Within[i-1].At.Line && !p.isFlow(v) {
			return int(v.At.Column - p.root.At.Column)
		}
	}
	return 2
}

// enter puts keys into the block that is the value of a key, and makes the block where there
// is none.
func (w *work) enter(p *page, parent *yaml.Node, name string, keys []pair) error {
	k, v := key(parent, name)
	switch {
	case k == nil:
		p.add(parent, []pair{{key: name, value: tree{keys: keys, lines: true}}}, p.indent())
	case open(v) || v.Kind == yaml.Mapping && len(v.Within) == 0:
		w.fill(p, parent, k, v, tree{keys: keys, lines: true})
	case v.Kind == yaml.Mapping:
		w.shares(v)
		p.add(v, keys, p.indent())
	case v.Kind == yaml.Alias:
		return fmt.Errorf("%s: the block %s stands elsewhere, by the alias *%s; write it out, or enter this by hand", at(p.file, int(k.At.Line)), name, v.Text)
	default:
		return fmt.Errorf("%s: %s is no block of keys; mend it first", at(p.file, int(k.At.Line)), name)
	}
	return nil
}

// fill puts a block or a list in place of a value that is open or empty: in lines below the
// key where that is possible, else in braces or brackets behind it.
func (w *work) fill(p *page, parent, k, v *yaml.Node, t tree) {
	if p.isFlow(parent) {
		p.putComment(int(k.At.Line), pair{value: t}.remarks())
		w.set(p, k, v, t, false)
		return
	}
	w.shares(v)
	if !nothing(v) {
		from := p.offset(v.At)
		p.put(len(strings.TrimRight(p.text[:from], " ")), p.end(v), "")
	}
	column := int(k.At.Column) + p.indent()
	p.putBehind(p.restOfBlock(p.end(v), int(k.At.Column)), t.block(column, p.indent()))
}

// set puts a value in the place of another, behind its key. Last says that more is put
// behind it.
func (w *work) set(p *page, k, v *yaml.Node, t tree, last bool) {
	w.shares(v)
	from, to := p.offset(v.At), p.end(v)
	column := int(v.At.Column)
	switch {
	case v.At == k.At: // a key in braces without a colon
		p.put(p.end(k), p.end(k), ": "+t.inline(column+1))
	case nothing(v):
		p.put(from, from, " "+t.inline(column+1))
	case v.Kind == yaml.Scalar && t.keys == nil && t.entries == nil:
		if v.Text != t.text {
			p.replace(from, to, quotedAs(p.text[from], t.text), last)
		}
	default:
		p.replace(from, to, t.inline(column), last)
	}
}

// quotedAs writes a text within the quotation marks that another one had, if any.
func quotedAs(mark byte, text string) string {
	switch mark {
	case '"':
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(text) + `"`
	case '\'':
		return "'" + strings.ReplaceAll(text, "'", "''") + "'"
	}
	return yaml.Write(text)
}

// follows is what comes behind a value on its line: a comma, space, and something else.
var follows = regexp.MustCompile(`^( *,)?( +)[^ ]`)

// longLine is one that nobody keeps columns in.
const longLine = 1_000

// replace puts a text in place of another. What follows on the line stays in its column,
// where that is a column of the line above or below, too.
func (p *page) replace(from, to int, text string, last bool) {
	number, column := p.position(to)
	wider := utf8.RuneCountInString(text) - utf8.RuneCountInString(p.text[from:to])
	line := p.line(number)
	rest := line[to-p.starts[number-1]:]
	found := follows.FindStringSubmatch(rest)
	if found != nil && wider != 0 && !last && len(line) < longLine {
		next := column + len(found[1]) + len(found[2])
		if begins(p.line(number-1), next) || begins(p.line(number+1), next) {
			p.put(from, to+len(found[1])+len(found[2]), text+found[1]+strings.Repeat(" ", max(len(found[2])-wider, 1)))
			return
		}
	}
	p.put(from, to, text)
}

// begins reports whether something begins in a column of a line.
func begins(line string, column int) bool {
	runes := []rune(line)
	return column >= 2 && column <= len(runes) && runes[column-1] != ' ' && runes[column-2] == ' '
}

// add puts keys behind the last one of a block.
func (p *page) add(n *yaml.Node, keys []pair, indent int) {
	if p.isFlow(n) {
		p.addInside(n, 2, len(keys), func(i, column int) (comment []string, text string) {
			return keys[i].remarks(), keys[i].inline(column)
		})
		return
	}
	var lines []string
	for _, k := range keys {
		lines = append(lines, k.block(int(n.At.Column), indent)...)
	}
	end := p.lastEnd(n)
	if n == p.root {
		k := n.Within[len(n.Within)-2]
		if rover, v := key(n, "rover"); rover != nil { // what it drives on comes behind what drives
			k, end = rover, max(p.end(rover), p.end(v))
		}
		line := p.restOfBlock(end, int(n.At.Column))
		if before := int(k.At.Line) - 1; before > 0 && strings.TrimSpace(p.line(before)) == "" || line+1 < len(p.starts) && strings.TrimSpace(p.line(line+1)) == "" {
			lines = append([]string{""}, lines...)
		}
	}
	p.putBehind(p.restOfBlock(end, int(n.At.Column)), lines)
}

// addInside puts so many pieces behind the last one within braces or brackets: on lines of
// their own where the last one is. Each piece of the tree takes so many nodes.
func (p *page) addInside(n *yaml.Node, nodes, count int, piece func(i, column int) (comment []string, text string)) {
	if len(n.Within) == 0 {
		p.putInside(p.offset(n.At)+1, "", count, piece)
		return
	}
	first := func(i int) int { return p.lineOf(p.offset(n.Within[i].At)) }
	last := len(n.Within) - nodes
	before := int(n.At.Line)
	if last >= nodes {
		before = first(last - nodes)
	}
	end, closing := p.lastEnd(n), p.closing(n)
	separator := ", "
	if p.text[end-1] == ':' { // behind which a comma would belong to the key
		separator = " , "
	}
	line := p.lineOf(end)
	bare, _, _ := strings.Cut(p.text[end:min(closing, p.starts[line-1]+len(p.line(line)))], "#")
	bare = strings.TrimSpace(bare)
	comma := strings.Contains(strings.Trim(withoutComments(p.text[end:closing]), " "), ",")
	switch {
	case first(last) == before || comma && bare != ",":
		p.putInside(end, separator, count, piece)
		return
	case !comma:
		p.put(end, end, strings.TrimRight(separator, " "))
	}
	column := int(n.Within[last].At.Column)
	margin := strings.Repeat(" ", column-1)
	var lines []string
	for i := range count {
		comment, text := piece(i, column)
		for _, c := range comment {
			lines = append(lines, margin+"# "+c)
		}
		if i < count-1 || comma {
			text += ","
		}
		lines = append(lines, strings.Split(margin+text, "\n")...)
	}
	if p.lineOf(closing) == line {
		text := "\n" + strings.Join(lines, "\n")
		if comma {
			end = p.closing(n)
		}
		p.put(end, end, text)
		return
	}
	p.putBehind(line, lines)
}

// putInside puts pieces in one after the other, on the line that is there; comments above it.
func (p *page) putInside(offset int, separator string, count int, piece func(i, column int) (comment []string, text string)) {
	line, column := p.position(offset)
	var out strings.Builder
	for i := range count {
		out.WriteString(separator)
		comment, text := piece(i, column+utf8.RuneCountInString(out.String()))
		out.WriteString(text)
		separator = ", "
		p.putComment(line, comment)
	}
	p.put(offset, offset, out.String())
}

// putComment puts comments above a line, as deep as it.
func (p *page) putComment(line int, comment []string) {
	text := p.line(line)
	margin := text[:len(text)-len(strings.TrimLeft(text, " "))]
	for _, c := range comment {
		p.put(p.starts[line-1], p.starts[line-1], margin+"# "+c+"\n")
	}
}

// withoutComments is what stands between values without the comments in it.
func withoutComments(between string) string {
	var out strings.Builder
	for line := range strings.Lines(between) {
		bare, _, _ := strings.Cut(line, "#")
		out.WriteString(bare + " ")
	}
	return out.String()
}
