// Marks in the mission itself.
package insert

import (
	"fmt"
	"slices"
	"strings"

	"merestone/internal/yaml"
	"merestone/spec"
)

// marks enters those that do not stand in the marks_file; which do is left for table.
func (w *work) marks() error {
	p, err := newPage(w.mission)
	if err != nil {
		return err
	}
	_, block := key(p.root, "marks")
	there := map[string][2]*yaml.Node{} // with its value; of two of one name the first
	if block != nil && block.Kind == yaml.Mapping {
		for i := len(block.Within) - 2; i >= 0; i -= 2 {
			there[block.Within[i].Text] = [2]*yaml.Node(block.Within[i : i+2])
		}
	}
	var fresh []Mark
	for _, m := range w.change.Marks {
		was, known := w.was[m.Name]
		if known && was.Measured != nil {
			return w.measured(was)
		}
		nodes, written := there[m.Name]
		switch {
		case written:
			err = w.renew(p, block, nodes[0], nodes[1], m)
		case known && w.before.Where(was.Path).File != p.file:
			w.inTable = append(w.inTable, m)
		case known:
			err = fmt.Errorf("%s: the mark %q stands elsewhere, and comes in by an alias; write it out, or change it by hand", at(p.file, w.before.Where(was.Path).Line), m.Name)
		default:
			fresh = append(fresh, m)
		}
		if err != nil {
			return err
		}
	}
	if len(fresh) > 0 {
		if err := w.fresh(p, block, fresh); err != nil {
			return err
		}
	}
	return p.done(w.mission)
}

// measured refuses a mark that follows from others: with coordinates of its own it would be
// another kind of mark.
func (w *work) measured(m spec.Mark) error {
	place := w.before.Where(m.Path)
	if m.Path != "marks."+m.Name {
		return fmt.Errorf("%s: the mark %q is one of a row or ring, which gives its place; take it for a mark of its own under another name", at(place.File, place.Line), m.Name)
	}
	return fmt.Errorf("%s: the mark %q is measured from others, which gives its place; take these keys out first, or use another name", at(place.File, place.Line), m.Name)
}

// renew gives a mark that is there new values.
func (w *work) renew(p *page, block, k, v *yaml.Node, m Mark) error {
	w.shares(block, v)
	p.comment(k, m.Comment)
	switch {
	case open(v):
		w.set(p, k, v, tree{keys: keysOf(m.Keys)}, false)
		return nil
	case v.Kind == yaml.Alias: // what it has beside these keys stays
		from := p.offset(v.At)
		all := tree{keys: keysOf(m.Keys)}.inline(int(v.At.Column))
		p.put(from, p.end(v), "{<<: *"+v.Text+", "+all[1:])
		return nil
	case v.Kind != yaml.Mapping:
		return fmt.Errorf("%s: the mark %q is no block of keys; mend it first", at(p.file, int(k.At.Line)), m.Name)
	}
	if len(v.Within) == 0 {
		p.add(v, keysOf(m.Keys), p.indent())
		return nil
	}
	var more []Key
	for _, wanted := range m.Keys {
		if kept, _ := key(v, wanted.Name); kept == nil {
			more = append(more, wanted)
		}
	}
	for _, wanted := range m.Keys {
		kept, value := key(v, wanted.Name)
		switch {
		case kept == nil:
		case value.Kind == yaml.Mapping || value.Kind == yaml.List:
			return fmt.Errorf("%s: the key %s of the mark %q holds no single value; mend it first", at(p.file, int(kept.At.Line)), wanted.Name, m.Name)
		default:
			last := value == v.Within[len(v.Within)-1]
			w.set(p, kept, value, tree{text: wanted.Text}, last && len(more) > 0)
		}
	}
	if len(more) > 0 {
		p.add(v, keysOf(more), p.indent())
	}
	return nil
}

// comment puts comments above the line of a mark, in place of those of an earlier visit.
func (p *page) comment(k *yaml.Node, lines []string) {
	number := int(k.At.Line)
	alone := strings.TrimSpace(p.text[p.starts[number-1]:p.offset(k.At)]) == ""
	outdated, fresh := visits(number, p.line, lines)
	for _, above := range outdated {
		if alone {
			p.put(p.starts[above-1], p.starts[above], "")
		}
	}
	p.putComment(number, fresh)
}

// visits compares comments with those that stand above a line: the numbers of lines that begin
// with the same word as one of them and are of an earlier visit, and those comments that
// do not stand there yet.
func visits(number int, line func(int) string, comments []string) (outdated []int, fresh []string) {
	fresh = slices.Clone(comments)
	for above := number - 1; above > 0; above-- {
		said, is := strings.CutPrefix(strings.Trim(line(above), " \r"), "# ")
		if !is {
			break
		}
		if i := slices.Index(fresh, said); i >= 0 {
			fresh = slices.Delete(fresh, i, i+1)
		} else if slices.ContainsFunc(comments, func(c string) bool { return firstWord(c) == firstWord(said) }) {
			outdated = append(outdated, above)
		}
	}
	return outdated, fresh
}

func firstWord(text string) string {
	word, _, _ := strings.Cut(text, " ")
	return word
}

// fresh puts new marks behind those that are there, in their style.
func (w *work) fresh(p *page, block *yaml.Node, marks []Mark) error {
	s := p.styleOf(block)
	var all []pair
	for _, m := range marks {
		k := pair{key: m.Name, value: tree{keys: keysOf(m.Keys), lines: s.lines}, comment: m.Comment}
		if s.column > 0 && !s.lines {
			k.gap = s.column - int(block.At.Column) - len(yaml.Write(m.Name)) - 1
		}
		all = append(all, k)
	}
	if block != nil && block.Kind == yaml.Mapping && len(block.Within) > 0 {
		w.shares(block)
		p.add(block, all, s.indent)
		return nil
	}
	return w.enter(p, p.root, "marks", all)
}

// style is how the marks of a block are written.
type style struct {
	lines  bool // each key on a line of its own
	indent int  // of these
	column int  // in which the braces stand one below the other; 0 where they do not
}

func (p *page) styleOf(block *yaml.Node) style {
	s := style{indent: p.indent()}
	if block == nil || block.Kind != yaml.Mapping {
		return s
	}
	for i := len(block.Within) - 1; i > 0; i -= 2 {
		if v := block.Within[i]; v.Kind == yaml.Mapping && len(v.Within) > 0 {
			if s.lines = !p.isFlow(v) && v.At.Line > block.Within[i-1].At.Line; s.lines {
				s.indent = int(v.At.Column - block.Within[i-1].At.Column)
			}
			break
		}
	}
	if s.lines || p.isFlow(block) {
		return s
	}
	// The braces of marks on neighbouring lines, of which one stands farther off than it must.
	wide := false
	for i := len(block.Within) - 1; i > 0; i -= 2 {
		k, v := block.Within[i-1], block.Within[i]
		if v.Kind != yaml.Mapping || v.Anchor != "" || v.At.Line != k.At.Line || s.column != 0 && int(v.At.Column) != s.column {
			break
		}
		s.column = int(v.At.Column)
		wide = wide || v.At.Column > k.At.Column+k.At.Width+2
		if i > 1 && block.Within[i-3].At.Line != k.At.Line-1 {
			break
		}
	}
	if !wide {
		s.column = 0
	}
	return s
}
