// Package figures is the one list of what a mission says: every figure with the
// key of the language that it comes from, its unit, its value in a plan, what is
// usual where it is not written, and what more of it does to safety.
//
// `merestone diff` compares by it, `merestone figures` and git's textconv print
// it, and the digest that every header carries is taken of it. A key that is
// added to the language is added here once, and is then compared, printed and
// digested; a test walks all keys of the language and holds that.
//
//	figures.go  what a figure is
//	list.go     the list
//	text.go     the canonical text and its digest
package figures

import (
	"slices"
	"strings"

	"merestone/internal/plan"
	"merestone/internal/words"
)

// Effect is what a change does to safety.
type Effect uint8

// The effects. Look is that of a change which has no sign: more of it is neither safer
// nor less safe, and yet the drive may be another, so that a person is to look at it.
const (
	Neutral Effect = iota
	Tightens
	Look
	Loosens
)

// String is the effect as printed.
func (e Effect) String() string { return [...]string{"neutral", "tightens", "look at", "loosens"}[e] }

// MarshalText writes the word, for JSON.
func (e Effect) MarshalText() ([]byte, error) { return []byte(e.String()), nil }

// Reverse is the effect of the change made backwards.
func (e Effect) Reverse() Effect { return [...]Effect{Neutral, Loosens, Look, Tightens}[e] }

// Of is the effect of a change from before to after of a quantity of which more
// has the effect e.
func (e Effect) Of(before, after float64) Effect {
	switch {
	case after > before:
		return e
	case after < before:
		return e.Reverse()
	default:
		return Neutral
	}
}

// Block is a group of figures: one block of keys, or the entries of a list.
type Block struct {
	Key     string // in the language: "rover", "holds[]"
	Noun    string // in a report: "rover", "hold"
	Figures []Figure
	// Items are the things of the block: one for a block of keys, none where the
	// mission does not speak of it.
	Items func(p *plan.Plan) []Item
}

// Item is one thing of a block. Index is its place in the plan's list.
type Item struct {
	Name  string // unique within the block, empty for a block of keys
	Index int
}

// Figure is one thing that a mission says.
type Figure struct {
	Key  string // in the language: "holds[].debounce"
	What string // in a report: "debounce"
	Unit words.Unit
	More Effect // what more of it does
	Why  string
	// Apart: a place, a ring or an order, which diff compares as a whole.
	Apart bool
	// Magnitude: judged by its size, whichever its sign.
	Magnitude bool
	Inferred  bool // what stands where it is not said has its Number too, and is judged

	get   func(p *plan.Plan, i int) Value
	usual func(p *plan.Plan) Value // nil when there is none
	name  string                   // of a list's figure, behind the item's name
}

// Value is what a mission says of one figure. The zero Value says nothing.
type Value struct {
	Said   bool
	Number float64  // in the kept unit; of words that have an order, their rank
	Word   string   // in place of a number
	List   []string // of several words, each on a line of its own
}

// Value is that of an item, whether written or usual.
func (f Figure) Value(p *plan.Plan, item int) Value { return f.get(p, item) }

// Words writes a value.
func (f Figure) Words(v Value) string {
	switch {
	case !v.Said:
		return "not said"
	case v.List != nil:
		return strings.Join(v.List, ", ")
	case v.Word != "":
		return v.Word
	default:
		return f.Unit.Words(v.Number)
	}
}

// Judge is what a change of the figure does to safety. Where one side says nothing
// there is nothing to compare: the figure may come back as another in the next change.
func (f Figure) Judge(before, after Value) Effect {
	switch {
	case f.Equal(before, after) || f.More == Neutral:
		return Neutral
	case f.More == Look || (!before.Said || !after.Said) && !f.Inferred:
		return Look
	}
	x, y := before.Number, after.Number
	if f.Magnitude {
		x, y = max(x, -x), max(y, -y)
	}
	if x == y && before.Word != after.Word {
		return Look // one for another of its kind
	}
	return f.More.Of(x, y)
}

// Equal reports whether two values say the same.
func (Figure) Equal(a, b Value) bool {
	if !a.Said && !b.Said {
		return true
	}
	return a.Said == b.Said && a.Number == b.Number && a.Word == b.Word && slices.Equal(a.List, b.List)
}
