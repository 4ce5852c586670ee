// The YAML tree as the readers of keys see it: scalars with their literal text,
// blocks, lists; anchors, aliases and merge keys resolved; every node with its
// position in the source.
package spec

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	yaml "github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"merestone/internal/diag"
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
	lines   bool // a scalar in block style: | or >
	at      diag.Position
	entries []entry // of a mapping, in the order written
	items   []*node // of a list

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

// quote shows a text in a message: short, and without characters that a
// terminal would obey.
func quote(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) > most {
		text = string([]rune(text)[:most-3]) + "..."
	}
	return fmt.Sprintf("%q", text)
}

// tree parses the text with the YAML library and resolves its aliases. The
// library stops at its first syntax error; so does tree.
func (d *decoder) tree(text string) (root *node, ok bool) {
	defer func() {
		if trouble := recover(); trouble != nil {
			d.fail(ruleYAMLSyntax, diag.Position{File: d.file}, "write it in plainer YAML: without tags, directives and unusual keys", "this YAML could not be understood")
			root, ok = nil, false
		}
	}()
	tokens := lexer.Tokenize(text)
	if len(tokens) > maxTokens {
		d.fail(ruleTooLarge, d.tokenPosition(tokens[len(tokens)-1]), "put long lists of marks into a marks_file", "the file holds more than %d words and signs", maxTokens)
		return nil, false
	}
	if bad := tokens.InvalidToken(); bad != nil {
		d.syntax(bad.Error, bad, tokens)
		return nil, false
	}
	if !d.bounded(tokens) {
		return nil, false
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		var fault yaml.Error
		if errors.As(err, &fault) {
			d.syntax(fault.GetMessage(), fault.GetToken(), tokens)
		} else {
			d.syntax(err.Error(), nil, tokens)
		}
		return nil, false
	}
	body := d.onlyDocument(file)
	if body == nil {
		return nil, false
	}
	b := builder{d: d, anchors: map[string]*node{}}
	root = b.build(body, 0)
	if root.kind == brokenKind || d.found(ruleTooManyAliases) || d.found(ruleTooDeep) {
		return nil, false // the rest would be complaints about what was cut off
	}
	return root, true
}

// onlyDocument is the body of the one document of the file.
func (d *decoder) onlyDocument(file *ast.File) ast.Node {
	var documents []*ast.DocumentNode
	for _, document := range file.Docs {
		if _, directive := document.Body.(*ast.DirectiveNode); !directive {
			documents = append(documents, document)
		}
	}
	if len(documents) > 1 {
		at := diag.Position{File: d.file}
		if start := documents[1].Start; start != nil {
			at = d.tokenPosition(start)
		}
		d.fail(ruleSeveralDocuments, at, "put each mission into a file of its own", "the file holds %d YAML documents; a mission file holds one", len(documents))
		return nil
	}
	if len(documents) == 0 || documents[0].Body == nil {
		d.fail(ruleEmptyFile, diag.Position{File: d.file}, "start with the line mission: NAME", "the file is empty: it holds no keys")
		return nil
	}
	return documents[0].Body
}

// tokenPosition is where a token stands. Its width is that of its first line.
func (d *decoder) tokenPosition(t *token.Token) diag.Position {
	if t == nil || t.Position == nil {
		return diag.Position{File: d.file}
	}
	written := strings.TrimLeft(t.Origin, " \n")
	if end := strings.IndexByte(written, '\n'); end >= 0 {
		written = written[:end]
	}
	return d.within(diag.Position{
		File: d.file, Line: t.Position.Line, Column: t.Position.Column,
		Width: utf8.RuneCountInString(strings.TrimRight(written, " ")),
	})
}

// builder turns the library's tree into nodes.
type builder struct {
	d       *decoder
	anchors map[string]*node // nil while the anchored value is being built
}

func (b *builder) build(from ast.Node, depth int) *node {
	if depth > maxNesting {
		at := b.d.tokenPosition(from.GetToken())
		b.d.fail(ruleTooDeep, at, "a mission needs no more than eight levels", "blocks and lists lie more than %d deep within each other", maxNesting)
		return &node{kind: brokenKind, at: at, size: 1}
	}
	switch from := from.(type) {
	case *ast.MappingNode:
		return b.mapping(from, depth)
	case *ast.SequenceNode:
		n := &node{kind: listKind, at: b.d.tokenPosition(from.Start), size: 1}
		for _, value := range from.Values {
			item := b.build(value, depth+1)
			n.items = append(n.items, item)
			n.tally(item)
		}
		b.count(n)
		return n
	case *ast.AnchorNode:
		return b.anchor(from, depth)
	case *ast.AliasNode:
		return b.alias(from)
	case *ast.LiteralNode:
		return &node{kind: scalarKind, text: from.Value.Value, lines: true, at: b.d.tokenPosition(from.Start), size: 1}
	case *ast.TagNode:
		b.d.fail(ruleTag, b.d.tokenPosition(from.Start), "take the tag "+quote(from.Start.Value)+" out", "a mission file has no use for YAML tags")
		return b.build(from.Value, depth+1)
	case *ast.MappingKeyNode:
		return b.build(from.Value, depth+1)
	case *ast.NullNode:
		return &node{at: b.d.tokenPosition(from.Token), size: 1, text: from.Token.Value}
	case nil:
		return &node{at: diag.Position{File: b.d.file}, size: 1}
	}
	return b.scalar(from)
}

// scalar takes the literal text of the token, so that numbers are read as they
// were written and never pass through a float.
func (b *builder) scalar(from ast.Node) *node {
	t := from.GetToken()
	if t == nil {
		return &node{at: diag.Position{File: b.d.file}, size: 1}
	}
	return &node{
		kind: scalarKind, text: t.Value, at: b.d.tokenPosition(t), size: 1,
		quoted: t.Type == token.SingleQuoteType || t.Type == token.DoubleQuoteType,
	}
}

// tally adds what lies within a node to the counts of the node around it.
// Counts stay small: count cuts nodes off before they exceed the limits.
func (n *node) tally(within *node) {
	n.size += within.size
	n.aliased += within.aliased
	n.aliases += within.aliases
}

func (b *builder) mapping(from *ast.MappingNode, depth int) *node {
	n := &node{kind: mappingKind, at: b.d.tokenPosition(from.Start), size: 1}
	written := map[string]*node{}
	var merged, again []*node // again: keys written before, in a row
	for i, pair := range from.Values {
		if _, merge := pair.Key.(*ast.MergeKeyNode); merge {
			merged = append(merged, b.mergeSources(pair, depth)...)
			continue
		}
		key := b.build(pair.Key, depth+1)
		value := b.build(pair.Value, depth+1)
		if i == 0 && !from.IsFlowStyle {
			n.at = key.at
		}
		if key.kind == nullKind && key.text != "" {
			key.kind = scalarKind // a key written null or ~
		}
		if key.kind != scalarKind || key.lines {
			b.d.fail(ruleWrongType, key.at, "", "a key must be a single word; this one is %s", key.what())
			continue
		}
		if written[key.text] != nil {
			again = append(again, key)
			continue
		}
		again = b.duplicates(again, written)
		written[key.text] = key
		n.put(key, value)
	}
	b.duplicates(again, written)
	for _, source := range merged {
		n.aliases += source.aliases
		n.aliased += source.aliased
		for _, e := range source.entries {
			if _, twice := written[e.key.text]; !twice {
				written[e.key.text] = e.key
				n.put(e.key, e.value)
			}
		}
	}
	b.count(n)
	return n
}

// duplicates reports keys that are in the block already. Several in a row are one
// slip: the dash that begins the next entry of a list is missing.
func (b *builder) duplicates(again []*node, written map[string]*node) (none []*node) {
	if len(again) == 0 {
		return nil
	}
	f := b.d.fail(ruleDuplicateKey, again[0].at, "take one of the two out", "the key %s is already in this block", quote(again[0].text))
	f.Related = []diag.Related{{At: written[again[0].text].at, Message: "the first one"}}
	if len(again) > 1 {
		f.Phrase = diag.Say("the keys %s are already in this block", quoted(again))
		f.Remedy = "begin the second entry of the list with a dash and its first key, or take one of each out"
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

// mergeSources are the blocks whose keys a merge key (<<) brings in, the
// foremost first.
func (b *builder) mergeSources(pair *ast.MappingValueNode, depth int) []*node {
	value := b.build(pair.Value, depth+1)
	sources := []*node{value}
	if value.kind == listKind {
		sources = value.items
	}
	for _, source := range sources {
		if source.kind == brokenKind {
			return nil
		}
		if source.kind != mappingKind {
			b.d.fail(ruleWrongType, b.d.tokenPosition(pair.Key.GetToken()), "write <<: *NAME with the anchor of a block", "<< brings in the keys of a block, and this is %s", source.what())
			return nil
		}
	}
	return sources
}

// anchor builds the value and remembers it by name; an alias means the latest
// anchor of its name before it.
func (b *builder) anchor(from *ast.AnchorNode, depth int) *node {
	name := from.Name.GetToken().Value
	b.anchors[name] = nil
	value := b.build(from.Value, depth+1)
	b.anchors[name] = value
	return value
}

func (b *builder) alias(from *ast.AliasNode) *node {
	name := from.Value.GetToken().Value
	at := b.d.tokenPosition(from.Value.GetToken())
	at.Column, at.Width = max(at.Column-1, 1), at.Width+1 // with the star
	value, known := b.anchors[name]
	switch {
	case !known:
		names := slices.Sorted(maps.Keys(b.anchors))
		b.d.fail(ruleUnknownAnchor, at, suggest(name, names, "*", "write the anchor &NAME before the value it should stand for"), "the alias %s refers to no anchor before it", quote("*"+name))
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
	if n.aliases <= maxAliases && n.aliased <= maxAliasedNodes {
		return
	}
	if !b.d.found(ruleTooManyAliases) {
		b.d.fail(ruleTooManyAliases, n.at, "write the values out, or put marks into a marks_file", "aliases stand for more than %d values here, or for more than %d keys and entries", maxAliases, maxAliasedNodes)
	}
	*n = node{kind: brokenKind, at: n.at, size: 1}
}

// syntaxWords puts the library's words for syntax errors into those of this
// project, with what to do.
var syntaxWords = []struct{ theirs, ours, remedy string }{
	{"',' or ']' must be specified", "a list in brackets is not closed, or a comma is missing", "put a comma between the entries and ] after the last"},
	{"',' or '}' must be specified", "a block in braces is not closed, or a comma is missing", "put a comma between the keys and } after the last"},
	{"sequence end token ']' not found", "this list in brackets is not closed", "put ] after the last entry"},
	{"could not find flow mapping end token '}'", "this block in braces is not closed", "put } after the last key"},
	{"could not find '[' character", "this ] closes no list", "take it out, or put [ before the first entry"},
	{"could not find '{' character", "this } closes no block", "take it out, or put { before the first key"},
	{"could not find end character of double-quoted text", "this quotation mark is not closed", `put " after the text`},
	{"could not find end character of single-quoted text", "this quotation mark is not closed", "put ' after the text"},
	{"mapping value is not allowed in this context", "this key is indented deeper than the keys before it, or stands on the line of another value", "keys of one block begin in the same column; a text with a colon goes into quotation marks"},
	{"value is not allowed in this context", "a value cannot stand here", "keys of one block begin in the same column"},
	{"non-map value is specified", "this line is not a key with a value", "write KEY: VALUE, with a space after the colon"},
	{"is a reserved character", "a value cannot begin with this character", "put the value into quotation marks"},
	{"block sequence entries are not allowed", "a list cannot begin on the line of its key", "start a new line before the dash"},
	{"unexpected key name", "a key cannot stand here", "write each key on a line of its own, with a colon and a space after it"},
	{"tab", "a tab stands where YAML wants spaces", "put spaces in place of the tab"},
	{"unknown escape character", "a backslash in double quotation marks is followed by a character that means nothing", "use single quotation marks, or write two backslashes"},
}

func (d *decoder) syntax(message string, t *token.Token, tokens token.Tokens) {
	words, remedy := "this is not valid YAML: "+message, ""
	for _, w := range syntaxWords {
		if strings.Contains(message, w.theirs) {
			words, remedy = w.ours, w.remedy
			break
		}
	}
	at := d.tokenPosition(t)
	if strings.HasPrefix(message, "mapping value is not allowed") {
		at = d.lastLine(t, at)
	}
	var related []diag.Related
	if open := openBracket(tokens, t); open != nil && strings.Contains(message, "must be specified") {
		related = append(related, diag.Related{At: d.tokenPosition(open), Message: "what is open here begins there"})
	}
	d.fail(ruleYAMLSyntax, at, remedy, "%s", words).Related = related
}

// lastLine is where the last line of a text of several lines begins. A key that
// is indented too deep becomes part of the value before it; it, not the value,
// is what cannot stand where it does.
func (d *decoder) lastLine(t *token.Token, at diag.Position) diag.Position {
	lines := strings.Split(strings.Trim(t.Origin, " \n"), "\n")
	if len(lines) == 1 {
		return at
	}
	last := lines[len(lines)-1]
	word := strings.TrimLeft(last, " ")
	return d.within(diag.Position{
		File: d.file, Line: at.Line + len(lines) - 1,
		Column: utf8.RuneCountInString(last) - utf8.RuneCountInString(word) + 1, Width: utf8.RuneCountInString(word),
	})
}

// openBracket is the innermost bracket or brace that is open before a token.
func openBracket(tokens token.Tokens, until *token.Token) *token.Token {
	var open token.Tokens
	for _, t := range tokens {
		switch t.Type {
		case token.SequenceStartType, token.MappingStartType:
			open = append(open, t)
		case token.SequenceEndType, token.MappingEndType:
			open = open[:max(len(open)-1, 0)]
		}
		if t == until {
			break
		}
	}
	if len(open) == 0 {
		return nil
	}
	return open[len(open)-1]
}

// found reports whether a rule has been broken already.
func (d *decoder) found(rule diag.ID) bool {
	return d.findings.broken[rule]
}
