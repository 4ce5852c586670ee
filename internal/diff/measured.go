// Marks that are measured from others: changes of how, rows and rings of them, and the
// marks that follow those they are measured from, told together.
//
// Where such a mark comes to lie, and how well it is known there, is judged by the legs
// and the fence that use it, under the change that moved it.
package diff

import (
	"fmt"
	"math"
	"slices"

	"merestone/internal/plan"
	"merestone/internal/words"
)

// givenOtherwise records that a mark is given in another form: surveyed before and taped
// now, say. Which of the two is right only a person can tell.
func (b *builder) givenOtherwise(id int, o order, q pair) {
	before, after := b.old.Survey.Marks[q.old], b.new.Survey.Marks[q.new]
	c := Change{Kind: b.judge("mark.form", 0, 1), Subject: "mark " + after.Name, What: "given", Before: formWords(b.old, before), After: formWords(b.new, after), Path: after.Path}
	b.cause(key{"mark", id}, o, c)
}

// formWords say how a mark is given.
func formWords(p *plan.Plan, m plan.Mark) string {
	form := map[plan.Form]string{
		plan.Surveyed: "by latitude and longitude", plan.InFrame: "by east and north from the origin", plan.Step: "by east and north",
		plan.Ray: "by bearing and distance", plan.Tapes: "by tapes", plan.Beside: "by chainage along a line",
	}[m.Measured.Form]
	if !m.Measured.Form.FromOthers() {
		return form
	}
	var names []string
	for _, from := range m.Measured.From {
		names = append(names, p.Survey.Marks[from].Name)
	}
	return form + " from " + words.Few(names, ", ")
}

// formless are the figures of a mark that say the same in whatever form it is given.
func formless(key string) bool {
	return slices.Contains([]string{"marks.NAME.height", "marks.NAME.uncertainty", "marks.NAME.setup", "marks.NAME.same_as", "marks.NAME.last_digit"}, key)
}

// lines compares rows and rings, matched by their names. Their marks come and go with
// them.
func (b *builder) lines() {
	listed := [2]map[string][]int{{}, {}} // ids of the marks of each row and ring, by its path
	for side, ids := range [2][]int{b.markIDs.oldID, b.markIDs.newID} {
		for i, m := range b.plan(side).Survey.Marks {
			if path := m.Measured.Listed; path != "" {
				listed[side][path] = append(listed[side][path], ids[i])
			}
		}
	}
	for sort, noun := range []string{"row", "ring"} {
		block := b.blocks[noun+"s[]"]
		items := [2][]string{}
		for side := range items {
			for _, item := range block.Items(b.plan(side)) {
				items[side] = append(items[side], item.Name)
			}
		}
		none := func(side int) []string { return make([]string, len(items[side])) }
		for _, q := range match(items[0], items[1], none(0), none(1)).pairs {
			p, i := b.only(q)
			item := block.Items(p)[i]
			o := order{section: markSection, index: math.MaxInt32, name: item.Name, rank: 100 * sort}
			path := fmt.Sprintf("%ss[%d]", noun, item.Index)
			known := func(side int, path string, n *node) {
				for _, id := range listed[side][path] {
					b.alias(key{"mark", id}, n)
				}
			}
			if !q.both() {
				side := 1
				if q.new < 0 {
					side = 0
				}
				n := b.onOneSide(noun, key{noun, 0}, o, q, noun+" "+item.Name, words.Plural(len(listed[side][path]), "mark"), path)
				known(side, path, n)
				continue
			}
			was := block.Items(b.old)[q.old].Index
			for rank, f := range block.Figures {
				o.rank = 100*sort + rank
				if n := b.figure(o, noun+" "+item.Name, path, f, was, item.Index); n != nil {
					known(0, fmt.Sprintf("%ss[%d]", noun, was), n)
					known(1, path, n)
				}
			}
		}
	}
}

// following are the marks that follow one cause.
type following struct {
	names         []string
	causes        []*node
	order         order
	farthest      *Move
	before, after float64 // one standard deviation of the worst
}

// leastFollowM is less than the board can tell.
const leastFollowM = 0.0005

// followers tells of marks that came to lie elsewhere, or are known otherwise, because
// what they are measured from changed: those of one cause together. What uses them finds
// that cause under their names.
func (b *builder) followers() {
	marks := b.new.Survey.Marks
	roots := map[int][]*node{} // of marks of the new mission
	var rootsOf func(i int) []*node
	rootsOf = func(i int) []*node { // no deeper than measured.MostInputs lets marks hang on each other
		if known, ok := roots[i]; ok {
			return known
		}
		found := b.present(key{"mark", b.markIDs.newID[i]})
		for _, from := range marks[i].Measured.From {
			found = merge(found, rootsOf(from))
		}
		roots[i] = found
		return found
	}
	whole := b.present(key{"site.origin", 0}, key{"site.origin.height", 0}, key{"site.date", 0}, key{"base.position", 0}, key{"base.uncertainty", 0},
		key{"base.control_marks", 0}, key{"marks.NAME.setup", 0}, key{"marks.NAME.same_as", 0}, key{"marks.NAME.uncertainty", 0}, key{"marks.NAME.last_digit", 0}, key{"receiver.uncertainty.fixed", 0})
	groups := map[*node]*following{}
	var inOrder []*following
	causeOf := map[int]*node{}
	for id, q := range b.markIDs.pairs {
		if !q.both() || marks[q.new].Measured.Form == plan.Surveyed {
			continue
		}
		before, after := b.old.Survey.Marks[q.old], marks[q.new]
		move := b.moved(before.Geodetic, after.Geodetic)
		other := before.StdMM != after.StdMM
		if move.DistanceM < leastFollowM && !other {
			continue
		}
		b.knownOtherwise = b.knownOtherwise || other
		causes := rootsOf(q.new)
		if len(causes) == 0 {
			causes = whole
		}
		var first *node
		if len(causes) > 0 {
			first = causes[0]
			causeOf[id] = first
		}
		g := groups[first]
		itself := first != nil && first.change.Subject == "mark "+after.Name
		if g == nil || itself {
			g = &following{causes: causes, order: order{section: markSection, index: q.index(), name: lesser(before.Name, after.Name), rank: 90}}
			if inOrder = append(inOrder, g); !itself {
				groups[first] = g
			}
		}
		g.causes = merge(g.causes, causes)
		g.names = append(g.names, after.Name)
		g.before, g.after = max(g.before, before.StdMM), max(g.after, after.StdMM)
		if move.DistanceM >= leastFollowM && (g.farthest == nil || move.DistanceM > g.farthest.DistanceM) {
			g.farthest = move
		}
	}
	for id, n := range causeOf {
		b.alias(key{"mark", id}, n)
	}
	for _, g := range inOrder {
		b.tellFollowers(g)
	}
}

func (b *builder) tellFollowers(g *following) {
	subject, itself := "mark "+g.names[0], false
	if len(g.names) > 1 {
		subject = "marks " + words.Few(words.Runs(g.names), ", ")
	} else if len(g.causes) > 0 {
		itself = g.causes[0].change.Subject == subject
	}
	if g.farthest != nil {
		what := "follow by up to"
		switch {
		case itself:
			what = "moved"
		case len(g.names) == 1:
			what = "follows by"
		}
		b.effect(g.order, Change{Subject: subject, What: what, Move: g.farthest}, g.causes)
	}
	// In whole tenths of a millimetre, which a decimal shows without a rest.
	tenths := words.Unit{Name: words.Millimetre.Name, Scale: 1e-4, Decimals: words.Millimetre.Decimals}
	if x, y := math.Round(10*g.before), math.Round(10*g.after); x != y {
		g.order.rank++
		b.measure(g.order, subject, "known to at worst, one standard deviation", tenths, x, y, g.causes)
	}
}
