// The path to the motors: parts added, removed, opened by something else; and the record
// of commissioning, which a person is to look at.
package diff

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"merestone/internal/plan"
	"merestone/internal/words"
)

func (b *builder) drivePath() {
	names := func(p *plan.Plan, ids []int) (names, places []string) {
		for i, part := range p.Holds.Path.Parts {
			names = append(names, part.Name)
			places = append(places, fmt.Sprint(part.Kind, openers(p, i, ids)))
		}
		return names, places
	}
	oldNames, oldPlaces := names(b.old, b.holdIDs.oldID)
	newNames, newPlaces := names(b.new, b.holdIDs.newID)
	parts := match(oldNames, newNames, oldPlaces, newPlaces)
	for id, q := range parts.pairs {
		o := order{section: pathSection, index: q.index()}
		if q.both() {
			b.part(id, o, q)
			continue
		}
		p, i := b.only(q)
		part := p.Holds.Path.Parts[i]
		o.name = part.Name
		said := fmt.Sprintf("%v, opened by %s, off in %s", part.Kind, words.And(p.Openers(i)), words.Milli.Words(float64(part.OffMS)))
		b.alias(key{"drive_path", 0}, b.onOneSide("drive_path", key{"drive_path", id + 1}, o, q, "part "+part.Name, said, p.Holds.Parts[i].Path))
	}
	if parts.reordered() {
		b.cause(key{"drive_path.order", 0}, order{section: pathSection, index: math.MaxInt}, Change{Subject: "drive path", What: "order in the list", Before: list(oldNames), After: list(newNames), Path: "drive_path"})
	}
}

// openers is what opens a part, holds by their ids: one that is renamed is the same.
func openers(p *plan.Plan, part int, ids []int) []string {
	holds := p.Holds.Path.Parts[part].Holds
	list := p.Openers(part)
	list = list[:len(list)-len(holds)]
	for _, i := range holds {
		list = append(list, fmt.Sprint(ids[i]))
	}
	slices.Sort(list)
	return list
}

func (b *builder) part(id int, o order, q pair) {
	x, y := b.old.Holds.Path.Parts[q.old], b.new.Holds.Path.Parts[q.new]
	subject, path := "part "+y.Name, b.new.Holds.Parts[q.new].Path
	o.name = lesser(x.Name, y.Name)
	if x.Name != y.Name {
		b.cause(key{"drive_path.name", id}, o, Change{Subject: "part " + x.Name, What: "renamed", Before: x.Name, After: y.Name, Path: path})
	}
	was, is := openers(b.old, q.old, b.holdIDs.oldID), openers(b.new, q.new, b.holdIDs.newID)
	for i, opener := range slices.Compact(slices.Sorted(slices.Values(slices.Concat(was, is)))) {
		before, after := slices.Contains(was, opener), slices.Contains(is, opener)
		if before == after {
			continue
		}
		o.rank = 1 + i
		b.cause(key{"drive_path[].opened_by", 0}, o, Change{
			Kind: b.appears("drive_path[].opened_by", before, after), Subject: subject, What: "opened by " + b.opener(opener),
			Before: words.YesNo(before), After: words.YesNo(after), Path: path + ".opened_by",
		})
	}
	for rank, f := range b.blocks["drive_path[]"].Figures {
		if o.rank = 100 + rank; !f.Apart {
			b.figure(o, subject, path, f, q.old, q.new)
		}
	}
}

// opener is the name of what opens a part: of a hold that is renamed one of its two,
// the same one in a comparison made backwards.
func (b *builder) opener(named string) string {
	for id, q := range b.holdIDs.pairs {
		if fmt.Sprint(id) != named {
			continue
		}
		if q.both() {
			return lesser(b.old.Holds.List[q.old].Circuit.Name, b.new.Holds.List[q.new].Circuit.Name)
		}
		p, i := b.only(q)
		return p.Holds.List[i].Circuit.Name
	}
	return named
}

func (b *builder) commissioning() {
	was, is := b.old.Commissioning, b.new.Commissioning
	o := order{section: commissioningSection}
	if was.Said != is.Said {
		q, said := pair{0, -1}, was
		if is.Said {
			q, said = pair{-1, 0}, is
		}
		b.onOneSide("commissioning", key{"commissioning", 0}, o, q, "commissioning", fmt.Sprintf("done on %s", said.Date.Format("2006-01-02")), said.Path)
		return
	}
	b.block(o, b.blocks["commissioning"])
	for i, name := range []string{"commissioning.stopping[]", "commissioning.coast[]"} {
		o.index, o.rank = 1+i, 0
		block, path := b.blocks[name], strings.TrimSuffix(name, "[]")
		if before, after := block.Items(b.old), block.Items(b.new); len(before) != len(after) {
			b.cause(key{path, 0}, o, Change{Kind: b.appears("commissioning", false, true), Subject: "commissioning", What: block.Noun + "s", Path: path, Before: fmt.Sprint(len(before)), After: fmt.Sprint(len(after))})
			continue
		}
		b.ranked(o, block, path)
	}
}
