// Which way each quantity loosens safety: the figures that a mission says, each
// with its direction in internal/figures, and the quantities here, which are
// worked out or are there or not. docs/versions.md prints both, and a test holds
// them together.
//
// Numbers that are worked out from the figures (standoffs, stopping distances,
// cut distances, budgets, findings) are shown under their cause and are neutral:
// they are judged there. A wider rover needs more standoff, and so does a faster
// one; the first tightens and the second loosens. The one exception is the
// clearance of a path that moved: it is judged itself, since a mark may move
// either way. Where only the fence moved, the ground that it gives or takes is
// judged, and the clearance is neutral: an obstacle added leaves less clearance
// and forbids more.
package diff

import "merestone/internal/figures"

// direction says what more of a quantity does; less does the opposite. For
// things that are there or not, and yes-or-no values, "more" is being there, and
// yes.
type direction struct {
	name string // as in the mission language, or the word of the trade
	more Kind
	why  string
}

// directions are those of the figures, and then the others.
func directions() []direction {
	var list []direction
	for _, b := range figures.Blocks() {
		for _, f := range b.Figures {
			if f.Key != "base.control_marks" { // judged by being there, below
				list = append(list, direction{f.Key, f.More, f.Why})
			}
		}
	}
	return append(list, []direction{
		{"rover.coast", Neutral, "roll-outs more or less, or at other speeds or slopes, are judged by how far the rover rolls by them: a lesser bound loosens, a lesser expectation is to be looked at"},
		{"base.control_marks", Tightens, "one more check of the shift before a drive"},
		{"overhead", Tightens, "less of the sky counts as hidden where there is none"},
		{"overhead.ground", Tightens, "less of the sky counts as hidden when it shrinks"},
		{"mark", Neutral, "judged by the legs and the fence that use it; one that ties two set-ups as `same_as`"},
		{"mark.form", Look, "surveyed before and measured from others now, or the other way round: which is right only a person can tell"},
		{"row", Neutral, "judged by the legs and the fence that use its marks"},
		{"ring", Neutral, "judged by the legs and the fence that use its marks"},
		{"mark.leaned_on", Look, "the base, a control mark or one that ties two set-ups: every drive moves with it, against the ground"},
		{"tape", Tightens, "one more check of the coordinates"},
		{"waypoint", Neutral, "judged by the legs that come and go with it"},
		{"leg", Look, "one that came leads over ground that was not driven over, as does one that was moved out of its corridor; one that went does not"},
		{"leg.surplus", Tightens, "the route has more room than it needs; where only the fence moved, the ground is judged"},
		{"leg.clearance", Tightens, "in place of the surplus, where a mission has errors or the sites are too far apart for one frame"},
		{"boundary.ground", Loosens, "the rover may go where it might not before"},
		{"obstacle", Tightens, "the rover must stay out of more ground"},
		{"obstacle.ground", Tightens, "the rover must stay out of more ground"},
		{"hold", Tightens, "one more way to stop the drive"},
		{"hold.duty", Tightens, "the circuit does this duty"},
		{"hold.channel", Tightens, "a fault of one channel is seen by the other"},
		{"hold.table", Tightens, "what single faults do is known"},
		{"drive_path", Tightens, "one more part that can open"},
		{"commissioning", Look, "a record of what was measured: a later stop, and its roll-outs, count"},
		{"hold.fault", Loosens, "a single fault has a worse outcome, in the order of the fault table"},
	}...)
}

// judge is the kind of a change of the named quantity from before to after. A
// name that the table does not have is a mistake in this package, which the
// tests find; it counts as loosening, so that it is looked at.
func (b *builder) judge(name string, before, after float64) Kind {
	if more, ok := b.more[name]; ok {
		return more.Of(before, after)
	}
	return Loosens
}

// appears is judge for a thing that is there or not.
func (b *builder) appears(name string, before, after bool) Kind {
	return b.judge(name, truth(before), truth(after))
}

func truth(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
