// Reserves: a rule that has a limit asks by keeps whether the limit is kept, and goes by
// the answer. What it asked is noted, so that a finding and what is left of its limit are
// one comparison and cannot disagree.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/words"
)

// limit is what a rule compares.
type limit struct {
	severity diag.Severity // of the finding once it is passed
	name     string        // in a few words
	unit     words.Unit    // in which both sides are kept
}

// reserves are the limits that a rule asked about, in the order in which it asked first.
type reserves struct {
	list   []diag.Reserve
	number map[limit]int
}

// keeps reports whether there is no less than is needed, and notes where the least is left.
func (v *view) keeps(l limit, at diag.Subject, has, needs float64) bool {
	return v.note(l, diag.Reserve{At: at, Has: has, Needs: needs})
}

// chosen is keeps for two figures that are both written in the mission, and may well be
// the same.
func (v *view) chosen(l limit, at diag.Subject, has, needs float64) bool {
	return v.note(l, diag.Reserve{At: at, Has: has, Needs: needs, Chosen: true})
}

func (v *view) note(l limit, one diag.Reserve) bool {
	one.Severity, one.Limit, one.Unit = l.severity, l.name, l.unit
	r := &v.asked
	i, known := r.number[l]
	switch {
	case !known:
		if r.number == nil {
			r.number = map[limit]int{}
		}
		r.number[l] = len(r.list)
		r.list = append(r.list, one)
	case one.Left() < r.list[i].Left():
		r.list[i] = one
	}
	return one.Kept()
}
