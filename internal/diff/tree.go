// Causes and effects. A cause is something that a person changed; it is known by
// a key. An effect is a number that came out differently; whoever finds one
// names the causes that it can have had, and it is put under the first of those
// that are there.
package diff

import (
	"cmp"
	"slices"
	"strings"

	"merestone/internal/figures"
	"merestone/internal/plan"
)

// section is the place of a change in the report: that of its block in the
// mission file.
type section int

const (
	missionSection section = iota
	siteSection
	baseSection
	receiverSection
	roverSection
	markSection
	tapeSection
	routeSection
	fenceSection
	holdSection
	pathSection
	boardSection
	commissioningSection
	limitSection // what is worked out for the mission as a whole
	findingSection
)

// order sorts changes. It is the same for a comparison made backwards, so that
// an effect with several causes is put under the same one.
type order struct {
	section section
	index   int    // the lesser of the two places in the plans' lists
	name    string // the lesser of the two names
	rank    int    // of several changes of one thing
}

func (a order) compare(b order) int {
	return cmp.Or(
		cmp.Compare(a.section, b.section), cmp.Compare(a.index, b.index),
		strings.Compare(a.name, b.name), cmp.Compare(a.rank, b.rank),
	)
}

// key names a cause: what, and which of its sort.
type key struct {
	what string
	id   int
}

// node is a change under construction.
type node struct {
	change  Change
	order   order
	effects []*node
}

// builder collects the changes between two plans.
type builder struct {
	old, new *plan.Plan
	more     map[string]Kind
	blocks   map[string]figures.Block // by key
	nodes    []*node                  // the changes at the top
	causes   map[key]*node

	markIDs  pairing // marks
	leanedOn [2]map[int]bool
	// knownOtherwise: marks that are measured from others have other uncertainties.
	knownOtherwise bool
	obstacleIDs    pairing
	overheadIDs    pairing
	holdIDs        pairing
	routes         *routes
	grounds        grounds
	legKinds       map[int]Kind    // of the surplus of legs on both routes, by their place in the new
	slackMM        int64           // what rounding alone may make of a surplus
	clearances     [2][]*clearance // of the legs of old and new, where worked out
	sameFence      bool
	apart          bool // the two sites are too far from each other for one frame
}

func newBuilder(before, after *plan.Plan) *builder {
	b := &builder{old: before, new: after, more: map[string]Kind{}, legKinds: map[int]Kind{}, blocks: map[string]figures.Block{}, causes: map[key]*node{}}
	for _, d := range directions() {
		b.more[d.name] = d.more
	}
	for _, block := range figures.Blocks() {
		b.blocks[block.Key] = block
	}
	return b
}

// plan is that of one side: 0 the old, 1 the new.
func (b *builder) plan(side int) *plan.Plan { return [2]*plan.Plan{b.old, b.new}[side] }

// cause records a change that a person made. A second change of the same key
// (a pin and a debounce of one hold) is a change of its own; effects go under
// the one that comes first in the report.
func (b *builder) cause(k key, o order, c Change) *node {
	n := &node{change: c, order: o}
	b.nodes = append(b.nodes, n)
	b.alias(k, n)
	return n
}

// alias makes a cause known by one more key.
func (b *builder) alias(k key, n *node) {
	if n == nil {
		return
	}
	if first := b.causes[k]; first == nil || n.order.compare(first.order) < 0 {
		b.causes[k] = n
	}
}

// present lists the first of those of the keys that are causes, in order, each once.
func (b *builder) present(keys ...key) []*node {
	var found []*node
	for _, k := range keys {
		if n := b.causes[k]; n != nil {
			found = append(found, n)
		}
	}
	return firstCauses(found)
}

// onOneSide records a thing that only one of the missions has: one more of the
// named quantity, or one less.
func (b *builder) onOneSide(name string, k key, o order, q pair, subject, said, path string) *node {
	c := Change{Kind: b.appears(name, q.old >= 0, q.new >= 0), Subject: subject, What: "added", After: said, Path: path}
	if q.new < 0 {
		c.What, c.Before, c.After = "removed", said, ""
	}
	return b.cause(k, o, c)
}

// only is the plan that has a thing of one side, and its index there.
func (b *builder) only(q pair) (*plan.Plan, int) {
	if q.new < 0 {
		return b.old, q.old
	}
	return b.new, q.new
}

// maxAlso is how many further causes an effect names, and maxCauses how many are kept of
// a list: one more, to tell that there are others.
const (
	maxAlso   = 3
	maxCauses = 1 + maxAlso + 1
)

// effect puts a change under the first of its causes, or at the top when it has
// none.
func (b *builder) effect(o order, c Change, causes []*node) *node {
	n := &node{change: c, order: o}
	if len(causes) == 0 {
		b.nodes = append(b.nodes, n)
		return n
	}
	for i, other := range causes[1:] {
		if i == maxAlso {
			n.change.Also = append(n.change.Also, "others")
			break
		}
		n.change.Also = append(n.change.Also, other.change.Subject+" "+other.change.What)
	}
	causes[0].effects = append(causes[0].effects, n)
	return n
}

// merge joins lists of causes that are in order, each node once, and keeps the first of
// them: an effect names no more, and lists that grow with the mission would be merged for
// each of its legs.
func merge(lists ...[]*node) []*node {
	var only []*node
	filled := 0
	for _, l := range lists {
		if len(l) > 0 {
			only = l
			filled++
		}
	}
	if filled < 2 {
		return only
	}
	return firstCauses(slices.Concat(lists...))
}

// firstCauses sorts causes, takes each once, and keeps the first.
func firstCauses(all []*node) []*node {
	slices.SortStableFunc(all, func(a, b *node) int { return a.order.compare(b.order) })
	var first []*node
	for _, n := range all {
		if len(first) == maxCauses {
			break
		}
		if !slices.Contains(first, n) {
			first = append(first, n)
		}
	}
	return first
}

// tree is the finished list.
func (b *builder) tree() []Change { return finished(b.nodes) }

func finished(nodes []*node) []Change {
	slices.SortStableFunc(nodes, func(a, b *node) int { return a.order.compare(b.order) })
	changes := make([]Change, len(nodes))
	for i, n := range nodes {
		changes[i] = n.change
		if len(n.effects) > 0 {
			changes[i].Effects = finished(n.effects)
		}
	}
	return changes
}
