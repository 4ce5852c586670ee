// A text with its tree: where nodes begin and end in it, and the edits to be made.
package insert

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"merestone/internal/diag"
	"merestone/internal/mend"
	"merestone/internal/yaml"
	"merestone/spec"
)

// page is the text of a mission with line feeds alone, and without its byte order mark:
// lines and columns are those of the file.
type page struct {
	file   string // as positions name it
	text   string
	starts []int // of lines
	root   *yaml.Node
	edits  []edit
}

// edit is a text in place of what stands between two offsets.
type edit struct {
	from, to int
	text     string
}

func newPage(f *mend.File) (*page, error) {
	text := strings.ReplaceAll(string(bytes.TrimPrefix(f.After, []byte("\ufeff"))), "\r\n", "\n")
	document, fault := yaml.Read(text)
	if fault != nil {
		return nil, fmt.Errorf("%s: %w", at(f.Shown, int(fault.At.Line)), fault)
	}
	p := &page{file: f.Shown, text: text, starts: []int{0}, root: document.Root}
	for i := range len(text) {
		if text[i] == '\n' {
			p.starts = append(p.starts, i+1)
		}
	}
	return p, nil
}

// done makes the edits in the file.
func (p *page) done(f *mend.File) error {
	var edits []diag.Edit
	for _, e := range p.edits {
		line, column := p.position(e.from)
		endLine, endColumn := p.position(e.to)
		edits = append(edits, diag.Edit{File: p.file, Line: line, Column: column, EndLine: endLine, EndColumn: endColumn, Text: e.text})
	}
	return f.Make(edits)
}

func (p *page) put(from, to int, text string) { p.edits = append(p.edits, edit{from, to, text}) }

// offset is where a place is in the text.
func (p *page) offset(at yaml.Place) int {
	return p.forward(p.starts[at.Line-1], int(at.Column)-1)
}

// forward goes over so many characters.
func (p *page) forward(from, characters int) int {
	for ; characters > 0; characters-- {
		_, size := utf8.DecodeRuneInString(p.text[from:])
		from += size
	}
	return from
}

// position is the line and the column of an offset, from 1.
func (p *page) position(offset int) (line, column int) {
	line = p.lineOf(offset)
	return line, utf8.RuneCountInString(p.text[p.starts[line-1]:offset]) + 1
}

func (p *page) lineOf(offset int) int {
	i, found := slices.BinarySearch(p.starts, offset)
	if !found {
		i--
	}
	return i + 1
}

// line is the text of a line, counted from 1, without its end; empty behind the last.
func (p *page) line(n int) string {
	if n < 1 || n > len(p.starts) {
		return ""
	}
	line, _, _ := strings.Cut(p.text[p.starts[n-1]:], "\n")
	return line
}

// isFlow reports whether a block or list stands in braces or brackets.
func (p *page) isFlow(n *yaml.Node) bool {
	c := p.text[p.offset(n.At)]
	return c == '{' || c == '['
}

// nothing reports a value of which nothing is written.
func nothing(n *yaml.Node) bool { return n.Kind == yaml.Null && n.Text == "" }

// open reports a value that is still to be filled in: nothing, a word for it, a gap.
func open(n *yaml.Node) bool {
	return n.Kind == yaml.Null || n.Kind == yaml.Scalar && !n.Quoted && n.Text == spec.Gap
}

// end is behind a node: behind its last character, or its closing brace.
func (p *page) end(n *yaml.Node) int {
	from := p.offset(n.At)
	switch {
	case nothing(n):
		return from
	case n.Kind != yaml.Mapping && n.Kind != yaml.List:
		return p.forward(from, int(n.At.Width))
	case p.isFlow(n):
		return p.closing(n) + 1
	}
	return p.lastEnd(n)
}

// lastEnd is behind the last key, value or entry within a node.
func (p *page) lastEnd(n *yaml.Node) int {
	last := n.Within[len(n.Within)-1]
	end := p.end(last)
	if n.Kind == yaml.Mapping {
		end = max(end, p.end(n.Within[len(n.Within)-2]))
	} else if nothing(last) && !p.isFlow(n) {
		end++ // its dash
	}
	return end
}

// closing is where the closing brace of a node is: behind its last entry there are spaces,
// comments and a comma at most.
func (p *page) closing(n *yaml.Node) int {
	at := p.offset(n.At) + 1
	if len(n.Within) > 0 {
		at = p.lastEnd(n)
	}
	for {
		switch p.text[at] {
		case '}', ']':
			return at
		case '#':
			at += strings.IndexByte(p.text[at:], '\n')
		default: // white space, a comma, the colon behind a key without a value
			at++
		}
	}
}

// key finds a key of a block, and its value.
func key(n *yaml.Node, name string) (k, value *yaml.Node) {
	for pair := range slices.Chunk(n.Within, 2) {
		if pair[0].Text == name && (pair[0].Quoted || name != "<<") {
			return pair[0], pair[1]
		}
	}
	return nil, nil
}

// restOfBlock is the line behind which lines can be put that follow what ends at an offset in
// a block of keys in a column: comments that stand deeper than the keys belong to what is
// above them, as those do that go on with a remark.
func (p *page) restOfBlock(end, column int) int {
	line := p.lineOf(end)
	for line < len(p.starts) {
		next := p.line(line + 1)
		bare := strings.TrimLeft(next, " ")
		if !strings.HasPrefix(bare, "#") || len(next)-len(bare) < column {
			break
		}
		line++
	}
	return line
}

// putBehind puts whole lines behind a line, counted from 1.
func (p *page) putBehind(line int, lines []string) {
	text := strings.Join(lines, "\n")
	if line < len(p.starts) {
		p.put(p.starts[line], p.starts[line], text+"\n")
		return
	}
	p.put(len(p.text), len(p.text), "\n"+text) // the last line has no end
}

// shares notes an anchor: where aliases stand for what it names, they change with it.
func (w *work) shares(nodes ...*yaml.Node) {
	for _, n := range nodes {
		if n.Anchor != "" {
			w.shared = append(w.shared, n.Anchor)
		}
	}
}
