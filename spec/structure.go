// The tokens of a mission file, before the YAML library builds a tree of them.
//
// The library (goccy/go-yaml) recurses once for every level of nesting and once
// for every key of a block, and its cost grows with the square of the number of
// keys in one block and of empty values; a Go program cannot recover from an
// exhausted stack. So the tokens, which it makes in linear time without
// recursion, are counted first. Measured on one core: 10,000 keys in a block
// take 0.9 s, 40,000 take 8.5 s.
package spec

import "github.com/goccy/go-yaml/token"

const (
	maxTokens      = 1_200_000 // 65,000 waypoints with all their keys have 1,170,000; the tree of more would take over 1 GiB
	maxBlockKeys   = 10_000    // keys in one block that is not in braces
	maxEmptyValues = 1_000     // keys and list entries without a value
	maxInARow      = 16        // anchors, tags and question marks before one value
)

// level is one open block, list or pair of brackets.
type level struct {
	column int // of its keys or dashes; 0 for brackets
	list   bool
	keys   int
}

// structure counts what the library's cost and recursion depend on.
type structure struct {
	d       *decoder
	levels  []level
	flow    int // how many of the levels are brackets
	empties int
	inARow  int
}

// bounded reports whether the tokens are within the limits, and says so if not.
func (d *decoder) bounded(tokens token.Tokens) bool {
	s := structure{d: d}
	for i, t := range tokens {
		if !s.next(tokens, i, t) {
			return false
		}
	}
	return true
}

func (s *structure) next(tokens token.Tokens, i int, t *token.Token) bool {
	switch t.Type {
	case token.AnchorType, token.TagType, token.MappingKeyType:
		s.inARow++
	case token.CommentType:
	default:
		if i == 0 || tokens[i-1].Type != token.AnchorType { // not the name of an anchor
			s.inARow = 0
		}
	}
	switch t.Type {
	case token.SequenceStartType, token.MappingStartType:
		s.levels = append(s.levels, level{list: t.Type == token.SequenceStartType})
		s.flow++
	case token.CollectEntryType:
		s.loneKey(tokens, i)
	case token.SequenceEndType, token.MappingEndType:
		s.loneKey(tokens, i)
		s.closeBrackets()
	case token.SequenceEntryType:
		s.enter(t.Position.Column, true)
	case token.MappingValueType:
		if i > 0 {
			s.enter(keyColumn(tokens, i), false)
		}
	case token.DocumentHeaderType, token.DocumentEndType:
		s.levels, s.flow = s.levels[:0], 0
	}
	if emptyAfter(tokens, i) {
		s.empties++
	}
	return s.check(t)
}

// loneKey counts a key without colon and value in braces, as in {a, b}, that
// ends before tokens[i].
func (s *structure) loneKey(tokens token.Tokens, i int) {
	if s.flow == 0 || s.levels[len(s.levels)-1].list || i < 2 {
		return
	}
	switch tokens[i-2].Type {
	case token.MappingStartType, token.CollectEntryType:
		s.empties++
	}
}

func (s *structure) closeBrackets() {
	for s.flow > 0 {
		last := s.levels[len(s.levels)-1]
		s.levels = s.levels[:len(s.levels)-1]
		if last.column == 0 {
			s.flow--
			return
		}
	}
}

// enter notes a key or a dash at a column: it belongs to the open block there,
// or opens one.
func (s *structure) enter(column int, list bool) {
	if s.flow > 0 {
		return
	}
	for len(s.levels) > 0 {
		top := s.levels[len(s.levels)-1]
		if top.column < column || top.column == column && (top.list == list || list) {
			break
		}
		s.levels = s.levels[:len(s.levels)-1]
	}
	if n := len(s.levels); n == 0 || s.levels[n-1].column < column || s.levels[n-1].list != list {
		s.levels = append(s.levels, level{column: column, list: list})
	}
	s.levels[len(s.levels)-1].keys++
}

func (s *structure) check(t *token.Token) bool {
	switch {
	case len(s.levels) > maxNesting || s.inARow > maxInARow:
		s.d.fail(ruleTooDeep, s.d.tokenPosition(t), "a mission needs no more than eight levels; look for a bracket that is not closed", "blocks and lists lie more than %d deep within each other", maxNesting)
	case s.flow == 0 && len(s.levels) > 0 && !s.levels[len(s.levels)-1].list && s.levels[len(s.levels)-1].keys > maxBlockKeys:
		s.d.fail(ruleTooLarge, s.d.tokenPosition(t), "put long lists of marks into a marks_file", "this block has more than %d keys", maxBlockKeys)
	case s.empties > maxEmptyValues:
		s.d.fail(ruleTooLarge, s.d.tokenPosition(t), "write the values, or take the keys out", "more than %d keys and list entries have no value", maxEmptyValues)
	default:
		return true
	}
	return false
}

// keyColumn is where the key before the colon at tokens[i] begins.
func keyColumn(tokens token.Tokens, i int) int {
	key := i - 1
	for key > 0 && tokens[key-1].Position.Line == tokens[key].Position.Line {
		switch tokens[key-1].Type {
		case token.AnchorType, token.TagType, token.AliasType, token.MappingKeyType:
			key--
			continue
		}
		break
	}
	return tokens[key].Position.Column
}

// emptyAfter reports whether tokens[i] is one after which the library puts a
// value of its own, because none was written.
func emptyAfter(tokens token.Tokens, i int) bool {
	t := tokens[i]
	if i+1 == len(tokens) {
		return false
	}
	next := tokens[i+1]
	switch t.Type {
	case token.MappingValueType:
		switch next.Type {
		case token.CollectEntryType, token.MappingEndType, token.SequenceEndType:
			return true
		}
		if i == 0 {
			return false
		}
		column := keyColumn(tokens, i)
		return next.Position.Line > t.Position.Line &&
			(next.Position.Column < column || next.Position.Column == column && next.Type != token.SequenceEntryType)
	case token.SequenceEntryType:
		return next.Position.Line > t.Position.Line && next.Position.Column <= t.Position.Column
	}
	return false
}
