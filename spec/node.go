// The YAML tree as the readers of keys see it: scalars with their literal text,
// blocks, lists; anchors, aliases and merge keys resolved; every node with its
// position in the source.
package spec

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"merestone/internal/diag"
	"merestone/internal/yaml"
)

type kind uint8

const (
	nullKind kind = iota
	scalarKind
	mappingKind
	listKind
	brokenKind // reported already, not to be complained of again
)

// node is one value. Nodes are shared where aliases stand for them and never
// change once built.
type node struct {
	kind    kind
	text    string // of a scalar: as written, quotation marks taken off
	quoted  bool
	at      diag.Position
	entries []entry  // of a mapping, in the order written
	items   []*node  // of a list
	again   []string // keys of a mapping that are written twice
	several bool     // some of these in a row: an entry of the list around it is lost
	lost    bool     // keys that << should have brought in are not here

	size    int // nodes in all, aliased ones counted each time
	aliased int // how many of these lie within aliases
	aliases int // aliases followed
}

type entry struct{ key, value *node }

// what says what a node is, for messages.
func (n *node) what() string {
	switch n.kind {
	case mappingKind:
		return "a block of keys"
	case listKind:
		return "a list"
	case nullKind:
		return "nothing"
	}
	return "the single value " + quote(n.text)
}

// noSpace is the remedy for a key and its value with no space behind the colon, where they
// stand alone: by YAML 1.2 that is a text.
func noSpace(n *node, keys []key) string {
	name, value, found := strings.Cut(n.text, ":")
	if _, known := findKey(keys, name); !found || !known || n.kind != scalarKind || n.quoted {
		return ""
	}
	return "write " + name + ": " + value + ", with a space after the colon"
}

// quote shows a text in a message: short, and without characters that a
// terminal would obey.
func quote(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) > most {
		text = string([]rune(text)[:most-3]) + "..."
	}
	return fmt.Sprintf("%q", text)
}

// tree reads the text, and resolves its aliases.
func (d *decoder) tree(text string) (*node, bool) {
	document, out, ok := d.read(text)
	if !ok {
		return nil, false
	}
	b := builder{d: d, anchors: map[string]*node{}}
	root := b.build(document.Root)
	if root.kind == brokenKind || d.found(ruleTooManyAliases) {
		return nil, false // the rest would be complaints about what was cut off
	}
	if len(out) > 0 {
		d.torn = true
		if root.kind != mappingKind {
			return nil, false
		}
		root.leave(d, out)
	}
	return root, true
}

// failFault records a fault of the notation.
func (d *decoder) failFault(fault *yaml.Fault) {
	rule := map[yaml.FaultKind]diag.ID{
		yaml.Syntax: ruleYAMLSyntax, yaml.Tab: ruleTab, yaml.Tag: ruleTag, yaml.Empty: ruleEmptyFile,
		yaml.SeveralDocuments: ruleSeveralDocuments, yaml.TooDeep: ruleTooDeep, yaml.TooLarge: ruleTooLarge,
	}[fault.Kind]
	f := d.fail(rule, d.position(fault.At), fault.Remedy, "%s", fault.Message)
	if fault.Fix != nil {
		d.offer(f, fault.Fix.Certain, fault.Fix.Does, diag.Replace(d.position(fault.Fix.At), fault.Fix.Text))
	}
	if fault.Open.Line > 0 {
		f.Related = []diag.Related{{At: d.position(fault.Open), Message: "what is open here begins there"}}
	}
}

// position is a place in the mission file; the zero place is the file.
func (d *decoder) position(at yaml.Place) diag.Position {
	if at.Line == 0 {
		return diag.Position{File: d.file}
	}
	return diag.Position{File: d.file, Line: int(at.Line), Column: int(at.Column), Width: int(at.Width)}
}

// builder turns the tree as it is written into one without aliases.
type builder struct {
	d       *decoder
	anchors map[string]*node // nil while the anchored value is being built
	merged  int              // keys that << has brought in so far
}

func (b *builder) build(from *yaml.Node) *node {
	if from.Anchor != "" {
		b.anchors[from.Anchor] = nil
	}
	n := b.plain(from)
	if from.Anchor != "" {
		b.anchors[from.Anchor] = n
	}
	return n
}

// plain builds a node without regard to its anchor: an alias means the latest
// anchor of its name before it.
func (b *builder) plain(from *yaml.Node) *node {
	switch from.Kind {
	case yaml.Mapping:
		return b.mapping(from)
	case yaml.Alias:
		return b.alias(from)
	case yaml.List:
		n := &node{kind: listKind, at: b.d.position(from.At), size: 1, items: make([]*node, 0, len(from.Within))}
		for i, within := range from.Within {
			from.Within[i] = nil // each is built once, and two trees of a large file are a lot
			item := b.build(within)
			n.items = append(n.items, item)
			n.tally(item)
		}
		b.count(n)
		return n
	case yaml.Null:
		return &node{at: b.d.position(from.At), size: 1, text: from.Text}
	}
	return &node{kind: scalarKind, text: from.Text, quoted: from.Quoted, at: b.d.position(from.At), size: 1}
}

// tally adds what lies within a node to the counts of the node around it.
// Counts stay small: count cuts nodes off before they exceed the limits.
func (n *node) tally(within *node) {
	n.size += within.size
	n.aliased += within.aliased
	n.aliases += within.aliases
}

func (b *builder) mapping(from *yaml.Node) *node {
	n := &node{kind: mappingKind, at: b.d.position(from.At), size: 1, entries: make([]entry, 0, len(from.Within)/2)}
	written := make(map[string]*node, len(from.Within)/2)
	var merged []*node
	var again []entry // keys written before, in a row
	for pair := range slices.Chunk(from.Within, 2) {
		if !pair[0].Quoted && pair[0].Text == mergeKey {
			sources, ok := b.mergeSources(pair[0], pair[1])
			merged, n.lost = append(merged, sources...), n.lost || !ok
			continue
		}
		key, value := b.build(pair[0]), b.build(pair[1])
		clear(pair)
		key.kind = scalarKind // a key may be written null or ~
		if written[key.text] != nil {
			again = append(again, entry{key, value})
			n.again = append(n.again, key.text)
			n.several = n.several || len(again) > 1
			continue
		}
		again = b.duplicates(n, again, written)
		written[key.text] = key
		n.put(key, value)
	}
	b.duplicates(n, again, written)
	b.merge(n, merged, written)
	b.count(n)
	return n
}

// merge puts the keys of other blocks into one, those that are not written in it.
// They are counted as they are copied, against one total for the file.
func (b *builder) merge(n *node, merged []*node, written map[string]*node) {
	for _, source := range merged {
		n.aliases += source.aliases
		n.aliased += source.aliased
		if b.merged += len(source.entries); b.merged > maxAliasedNodes {
			b.tooMany(n)
			return
		}
		for _, e := range source.entries {
			if _, twice := written[e.key.text]; !twice {
				written[e.key.text] = e.key
				n.put(e.key, e.value)
			}
		}
	}
}

// duplicates reports keys that are in the block already. Several in a row are one
// slip: the dash that begins the next entry of a list is missing.
func (b *builder) duplicates(n *node, again []entry, written map[string]*node) (none []entry) {
	if len(again) == 0 {
		return nil
	}
	second := again[0]
	f := b.d.fail(ruleDuplicateKey, second.key.at, "take one of the two out", "the key %s is already in this block", quote(second.key.text))
	f.Related = []diag.Related{{At: written[second.key.text].at, Message: "the first one"}}
	if len(again) > 1 {
		var keys []*node
		for _, e := range again {
			keys = append(keys, e.key)
		}
		f.Phrase = diag.Say("the keys %s are already in this block", quoted(keys))
		f.Remedy = "begin the second entry of the list with a dash and its first key, or take one of each out"
		return nil
	}
	for _, first := range n.entries {
		if first.key != written[second.key.text] {
			continue
		}
		same := first.value.kind == scalarKind && second.value.kind == scalarKind && first.value.text == second.value.text && first.value.quoted == second.value.quoted
		b.d.takeOutKey(f, same, second)
		if !same {
			b.d.takeOutKey(f, false, first)
		}
	}
	return nil
}

// quoted lists keys as they are written.
func quoted(keys []*node) diag.List {
	list := diag.List{By: ", "}
	for _, key := range keys {
		list.Items = append(list.Items, quote(key.text))
	}
	return list
}

func (n *node) put(key, value *node) {
	n.entries = append(n.entries, entry{key, value})
	n.size++
	n.tally(value)
}

// mergeKey brings in the keys of other blocks: the merge key of YAML 1.1
// (yaml.org/type/merge.html), which most tools read in YAML 1.2 too.
const mergeKey = "<<"

// mergeSources are the blocks whose keys a merge key brings in, the foremost first;
// false where it is not known which they are.
func (b *builder) mergeSources(key, from *yaml.Node) (sources []*node, ok bool) {
	value := b.build(from)
	sources = []*node{value}
	if value.kind == listKind {
		sources = value.items
	}
	for _, source := range sources {
		if source.kind == brokenKind {
			return nil, false
		}
		if source.kind != mappingKind {
			b.d.fail(ruleWrongType, b.d.position(key.At), "write <<: *NAME with the anchor of a block", "<< brings in the keys of a block, and this is %s", source.what())
			return nil, false
		}
	}
	return sources, true
}

func (b *builder) alias(from *yaml.Node) *node {
	b.d.aliased = true
	name, at := from.Text, b.d.position(from.At)
	value, known := b.anchors[name]
	switch {
	case !known:
		var names []string
		if !b.d.found(ruleUnknownAnchor) { // once is enough: there may be many, of many anchors
			names = slices.Sorted(maps.Keys(b.anchors))
		}
		f := b.d.fail(ruleUnknownAnchor, at, "write the anchor &NAME before the value it should stand for", "the alias %s refers to no anchor before it", quote("*"+name))
		if best, ok := b.d.nearest(name, names); ok {
			f.Remedy = "write *" + best
			b.d.offer(f, false, f.Remedy, diag.Replace(at, "*"+best))
		}
		return &node{kind: brokenKind, at: at, size: 1}
	case value == nil:
		b.d.fail(ruleUnknownAnchor, at, "write the value out", "the alias %s lies within the value that it stands for", quote("*"+name))
		return &node{kind: brokenKind, at: at, size: 1}
	}
	followed := *value
	followed.aliases++
	followed.aliased = value.size
	b.count(&followed)
	return &followed
}

// count refuses aliases that stand for more than any mission needs (a "billion
// laughs" file). The nodes are shared, so nothing has been copied yet; what is
// over the limit is cut off, and the finding is made once.
func (b *builder) count(n *node) {
	if n.aliases > maxAliases || n.aliased > maxAliasedNodes {
		b.tooMany(n)
	}
}

func (b *builder) tooMany(n *node) {
	if !b.d.found(ruleTooManyAliases) {
		b.d.fail(ruleTooManyAliases, n.at, "write the values out, or put marks into a marks_file", "aliases stand for more than %d values here, or for more than %d keys and entries", maxAliases, maxAliasedNodes)
	}
	*n = node{kind: brokenKind, at: n.at, size: 1}
}

// found reports whether a rule has been broken already.
func (d *decoder) found(rule diag.ID) bool {
	return d.findings.broken[rule]
}
