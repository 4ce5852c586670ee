// What is put into a text: keys with values, written in lines or in braces.
package insert

import (
	"slices"
	"strings"

	"merestone/internal/yaml"
)

// mostColumns is how wide a line of names may become before it is folded.
const mostColumns = 96

// tree is a value on its way into the text: a text, keys or entries.
type tree struct {
	text    string
	keys    []pair
	entries []tree
	lines   bool // keys and entries on lines of their own, where the place allows it
}

type pair struct {
	key     string
	value   tree
	comment []string
	gap     int // spaces behind the colon; 0 for one
}

func texts(all []string) (entries []tree) {
	for _, text := range all {
		entries = append(entries, tree{text: text})
	}
	return entries
}

// keysOf are the keys of a mark.
func keysOf(keys []Key) (all []pair) {
	for _, k := range keys {
		all = append(all, pair{key: k.Name, value: tree{text: k.Text}})
	}
	return all
}

// inline is a value in one piece or in brackets, of which the first character comes to stand
// in a column: long lists are folded under it, where there is room for that.
func (t tree) inline(column int) string {
	switch {
	case t.keys != nil:
		var all []string
		at := column + 1
		for _, k := range t.keys {
			text := k.inline(at)
			at += len(text) + 2
			all = append(all, text)
		}
		return "{" + strings.Join(all, ", ") + "}"
	case t.entries == nil:
		return yaml.Write(t.text)
	}
	var out strings.Builder
	out.WriteString("[")
	at := column + 1
	for i, e := range t.entries {
		text := e.inline(at)
		if i > 0 && at+2+len(text) > mostColumns && column <= mostColumns/2 {
			out.WriteString(",\n" + strings.Repeat(" ", column))
			at = column + 1
		} else if i > 0 {
			out.WriteString(", ")
			at += 2
		}
		out.WriteString(text)
		at += len(text)
	}
	return out.String() + "]"
}

func (k pair) inline(column int) string {
	name := yaml.Write(k.key) + ":" + strings.Repeat(" ", max(k.gap, 1))
	return name + k.value.inline(column+len(name))
}

// remarks are the comments of a key and of all within its value, which go above the line where
// all of that stands on one.
func (k pair) remarks() []string {
	all := slices.Clone(k.comment)
	for _, within := range k.value.keys {
		all = append(all, within.remarks()...)
	}
	return all
}

// block is a key with its value in lines, of which the first begins in a column, counted
// from 1; what lies within is indented by so many spaces more.
func (k pair) block(column, indent int) []string {
	margin := strings.Repeat(" ", column-1)
	comments := k.comment
	if !k.value.lines {
		comments = k.remarks()
	}
	var lines []string
	for _, c := range comments {
		lines = append(lines, margin+"# "+c)
	}
	if !k.value.lines {
		return append(lines, strings.Split(margin+k.inline(column), "\n")...)
	}
	lines = append(lines, margin+yaml.Write(k.key)+":")
	return append(lines, k.value.block(column+indent, indent)...)
}

// block are the keys, or the entries behind dashes, in lines.
func (t tree) block(column, indent int) []string {
	var lines []string
	for _, k := range t.keys {
		lines = append(lines, k.block(column, indent)...)
	}
	for _, e := range t.entries {
		dash := strings.Repeat(" ", column-1) + "- "
		if e.lines {
			of := e.block(column+2, indent)
			of[0] = dash + of[0][len(dash):]
			lines = append(lines, of...)
		} else {
			lines = append(lines, strings.Split(dash+e.inline(column+2), "\n")...)
		}
	}
	return lines
}
