// Changes of what a mission says of itself, figure by figure: name, site, base,
// receiver, rover, board. The figures, their words and their directions are
// those of internal/figures; here is only what is compared as a whole.
package diff

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"merestone/internal/figures"
	"merestone/internal/motion"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// figure compares one figure of a thing that is number i in the old plan's list
// and number j in the new one's. It is nil when the figure is the same.
func (b *builder) figure(o order, subject, path string, f figures.Figure, i, j int) *node {
	before, after := f.Value(b.old, i), f.Value(b.new, j)
	if f.Equal(before, after) {
		return nil
	}
	c := Change{Kind: f.Judge(before, after), Subject: subject, What: f.What, Before: f.Words(before), After: f.Words(after), Path: path}
	if before.Said && after.Said && before.Word+after.Word == "" {
		c.Number = number(f.Unit, before.Number, after.Number)
	}
	return b.cause(key{f.Key, 0}, o, c)
}

// block compares the figures of one block of keys.
func (b *builder) block(o order, block figures.Block) {
	if len(block.Items(b.old)) == 0 || len(block.Items(b.new)) == 0 {
		return
	}
	for rank, f := range block.Figures {
		if o.rank = rank; !f.Apart {
			b.figure(o, block.Noun, f.Key, f, 0, 0)
		}
	}
}

// inputs compares every block of keys, and what belongs to some beside.
func (b *builder) inputs() {
	sections := map[string]section{"": missionSection, "site": siteSection, "base": baseSection, "receiver": receiverSection, "rover": roverSection, "board": boardSection}
	for name, s := range sections {
		b.block(order{section: s}, b.blocks[name])
	}
	b.site()
	b.base(order{section: baseSection})
	b.controlMarks(order{section: baseSection})
	b.coast()
}

// coast compares the roll-outs: each with that of the same rank where they are of the
// same speeds on the same slopes, or where there is one, or else all of them by how far the rover rolls at its speeds. A roll-out more
// may make that less, since the bound is tighter between two speeds, or more.
func (b *builder) coast() {
	block := b.blocks["rover.coast[]"]
	o := order{section: roverSection, index: 1}
	was, is := b.old.Machine.Rover.Coast, b.new.Machine.Rover.Coast
	if len(was) == 1 && len(is) == 1 || slices.Equal(measuredAt(block, b.old), measuredAt(block, b.new)) {
		b.ranked(o, block, "rover.coast")
		return
	}
	b.cause(key{"rover.coast", 0}, o, Change{
		Kind: b.rolls(), Subject: "rover", What: "roll-outs", Path: "rover.coast", Before: runs(b.old.Machine.Rover.Coast), After: runs(b.new.Machine.Rover.Coast),
	})
}

// measuredAt is from what speeds and on what slopes the roll-outs were measured, in the
// order of the ranks.
func measuredAt(block figures.Block, p *plan.Plan) []motion.Run {
	var list []motion.Run
	for _, item := range block.Items(p) {
		run := p.Machine.Rover.Coast[item.Index]
		list = append(list, motion.Run{FromMMPerS: run.FromMMPerS, Fall: run.Fall})
	}
	return list
}

// ranked compares the entries of a list of as many, each with that of the same rank.
func (b *builder) ranked(o order, block figures.Block, path string) {
	was, is := block.Items(b.old), block.Items(b.new)
	for i := range was {
		for rank, f := range block.Figures {
			o.rank = len(block.Figures)*i + rank
			b.figure(o, block.Noun+" "+was[i].Name, fmt.Sprintf("%s[%d]", path, is[i].Index), f, was[i].Index, is[i].Index)
		}
	}
}

// rolls judges the roll-outs by the bound, and where that is the same by what is expected:
// a rover that is only expected to roll less has its drive cut later, and no clearance is
// the less for it, so that is to be looked at.
func (b *builder) rolls() Kind {
	if kind := b.rolled(motion.Coast.WorstOn, motion.Rollout.BoundMM); kind != Neutral {
		return kind
	}
	if b.rolled(motion.Coast.On, motion.Rollout.LikelyMM) == Loosens {
		return Look
	}
	return Neutral
}

// rolled compares how far the rover rolls at ten speeds up to the higher cruise, and at
// those that the roll-outs were measured at, on level ground and on the steepest: less at
// any is leaned on.
func (b *builder) rolled(on func(c motion.Coast, fall float64) (motion.Rollout, error), mm func(r motion.Rollout, mmPerS int64) int64) Kind {
	was, is := b.old.Machine.Rover.Coast, b.new.Machine.Rover.Coast
	top := max(b.old.Machine.Rover.CruiseMMPerS, b.new.Machine.Rover.CruiseMMPerS)
	var speeds []int64
	for tenth := int64(1); tenth <= 10; tenth++ {
		speeds = append(speeds, top*tenth/10)
	}
	for _, run := range slices.Concat(was, is) {
		speeds = append(speeds, run.FromMMPerS)
	}
	steepest := max(b.old.Route.Slope.Steepest, b.new.Route.Slope.Steepest)
	kind := Neutral
	for _, fall := range []float64{-steepest, 0, steepest} {
		before, err1 := on(was, fall)
		after, err2 := on(is, fall)
		if err1 != nil || err2 != nil {
			continue // it would not come to rest there, which is an error
		}
		for _, v := range speeds {
			switch cmp.Compare(mm(after, v), mm(before, v)) {
			case -1:
				return Loosens
			case 1:
				kind = Tightens
			}
		}
	}
	return kind
}

// runs are roll-outs in words.
func runs(coast motion.Coast) string {
	var list []string
	for _, r := range coast {
		said := fmt.Sprintf("%s from %s", words.MM(r.DistanceMM), words.MMPerS(r.FromMMPerS))
		if r.Fall != 0 {
			said += " down " + words.Percentage.Words(r.Fall)
		}
		list = append(list, said)
	}
	return words.And(list)
}

func (b *builder) site() {
	before, after := b.old.Site.Origin, b.new.Site.Origin
	if before.Latitude != after.Latitude || before.Longitude != after.Longitude {
		b.cause(key{"site.origin", 0}, order{section: siteSection}, Change{
			Subject: "site", What: "origin moved", Path: "site.origin", Before: coordinates(before), After: coordinates(after), Move: b.moved(before, after),
		})
	}
	if n := b.causes[key{"site.date", 0}]; n != nil {
		n.change.Number = plainDays(b.old.Site.Date, b.new.Site.Date)
	}
	b.declination()
}

func plainDays(before, after time.Time) *Number {
	days := after.Sub(before).Hours() / 24
	return &Number{Before: 0, After: days, Delta: days, Unit: "d"}
}

// declination follows from origin and date.
func (b *builder) declination() {
	said := func(m plan.Magnetic) string {
		if m.Err != nil {
			return "not known: " + m.Err.Error()
		}
		return fmt.Sprintf("%.2f deg", m.Field.DeclinationDeg)
	}
	before, after := said(b.old.Site.Magnetic), said(b.new.Site.Magnetic)
	if before == after {
		return
	}
	c := Change{Subject: "site", What: "declination", Before: before, After: after}
	if b.old.Site.Magnetic.Err == nil && b.new.Site.Magnetic.Err == nil {
		hundredths := func(deg float64) float64 { return words.Round(deg, 2) }
		c.Number = number(words.Degree, hundredths(b.old.Site.Magnetic.Field.DeclinationDeg), hundredths(b.new.Site.Magnetic.Field.DeclinationDeg))
	}
	b.effect(order{section: siteSection, rank: 10}, c, b.present(key{"site.origin", 0}, key{"site.origin.height", 0}, key{"site.date", 0}))
}

// base compares where it stands. A mark that is only renamed is the same one.
func (b *builder) base(o order) {
	id := func(p *plan.Plan, ids []int) int {
		if m := p.Survey.Base.Mark; m >= 0 {
			return ids[m]
		}
		return -1
	}
	if id(b.old, b.markIDs.oldID) == id(b.new, b.markIDs.newID) {
		return
	}
	for _, f := range b.blocks["base"].Figures {
		if f.Key == "base.mark" {
			b.figure(o, "base", f.Key, f, 0, 0)
		}
	}
}

// controlMarks have the ids of their marks as places, so that a renamed mark is
// the same control mark.
func (b *builder) controlMarks(o order) {
	const name = "base.control_marks"
	marks := func(p *plan.Plan, ids []int) (names, places []string) {
		for _, m := range p.Survey.Base.ControlMarks {
			names = append(names, p.Survey.Marks[m].Name)
			places = append(places, fmt.Sprint(ids[m]))
		}
		return names, places
	}
	was, oldPlaces := marks(b.old, b.markIDs.oldID)
	is, newPlaces := marks(b.new, b.markIDs.newID)
	o.rank = 10
	for _, q := range match(was, is, oldPlaces, newPlaces).pairs {
		if !q.both() {
			p, i := b.only(q)
			o.name = p.Survey.Marks[p.Survey.Base.ControlMarks[i]].Name
			b.onOneSide(name, key{name, 0}, o, q, "control mark "+o.name, "occupied before a drive", name)
		}
	}
}
