// Hold circuits: added, removed, rewired; and what the single-fault table says
// of them then.
package diff

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/plan"
	"merestone/internal/words"
)

func (b *builder) holds() {
	names := func(p *plan.Plan) (names, places []string) {
		for _, h := range p.Holds.List {
			names = append(names, h.Circuit.Name)
			places = append(places, fmt.Sprint(h.Circuit.Kind, pinsOf(h)))
		}
		return names, places
	}
	oldNames, oldPlaces := names(b.old)
	newNames, newPlaces := names(b.new)
	b.holdIDs = match(oldNames, newNames, oldPlaces, newPlaces)
	for id, q := range b.holdIDs.pairs {
		o := order{section: holdSection, index: q.index()}
		if q.both() {
			b.hold(id, o, q)
			continue
		}
		p, i := b.only(q)
		h := p.Holds.List[i]
		o.name = h.Circuit.Name
		b.alias(key{"hold", 0}, b.onOneSide("hold", key{"hold", id + 1}, o, q, "hold "+o.name, holdWords(h), h.Path))
	}
	if b.holdIDs.reordered() {
		b.cause(key{"hold.order", 0}, order{section: holdSection, index: math.MaxInt}, Change{Subject: "holds", What: "order in the list", Before: list(oldNames), After: list(newNames), Path: "holds"})
	}
	b.drivePath()
	b.faults()
}

func pinsOf(h plan.Hold) []int {
	var out []int
	for _, c := range h.Circuit.Channels {
		out = append(out, c.Pin)
	}
	return out
}

func holdWords(h plan.Hold) string {
	var pins []string
	for _, pin := range slices.Sorted(slices.Values(pinsOf(h))) {
		pins = append(pins, fmt.Sprint(pin))
	}
	noun := "pin"
	if len(pins) > 1 {
		noun = "pins"
	}
	return fmt.Sprintf("%v, %s %s", h.Circuit.Kind, noun, strings.Join(pins, ", "))
}

func (b *builder) hold(id int, o order, q pair) {
	before, after := b.old.Holds.List[q.old], b.new.Holds.List[q.new]
	x, y := before.Circuit, after.Circuit
	o.name = lesser(x.Name, y.Name)
	subject, path := "hold "+y.Name, after.Path
	k := key{"hold", id + 1}
	if x.Name != y.Name {
		b.cause(key{"hold.name", id}, o, Change{Subject: "hold " + x.Name, What: "renamed", Before: x.Name, After: y.Name, Path: path})
	}
	if x.Kind != y.Kind {
		o.rank = 1
		n := b.cause(k, o, Change{Subject: subject, What: "kind", Before: x.Kind.String(), After: y.Kind.String(), Path: path})
		b.effect(o, Change{Kind: b.appears("hold.duty", true, false), Subject: subject, What: "duty of " + x.Kind.String(), Before: "yes", After: "no"}, []*node{n})
		o.name = "~" // after the duty that is lost
		b.effect(o, Change{Kind: b.appears("hold.duty", false, true), Subject: subject, What: "duty of " + y.Kind.String(), Before: "no", After: "yes"}, []*node{n})
		o.name = lesser(x.Name, y.Name)
	}
	o.rank = 2
	n, m := len(x.Channels), len(y.Channels)
	if n != m {
		c := judged(b, "hold.channel", subject, "channels", words.Plain, n, m)
		c.Path = path
		b.cause(k, o, c)
	}
	for rank, f := range b.blocks["holds[]"].Figures {
		o.rank = 3 + rank
		second := strings.Contains(f.Key, "second_channel") || f.Key == "holds[].discrepancy" || strings.HasPrefix(f.Key, "holds[].common_cause.")
		if f.Apart || second && n != m {
			continue // the number of channels has been judged
		}
		change := b.figure(o, subject, path, f, q.old, q.new)
		if f.Unit != words.Milli && f.Key != "holds[].stop_category" { // the wiring
			b.alias(k, change)
		}
	}
}

// faults compares the single-fault tables, fault by fault: outcomes that got
// worse are what a hold made fail-unsafe looks like. Faults that only one table
// has come and go with channels and circuits, which were judged.
func (b *builder) faults() {
	said := func(err error) string {
		if err != nil {
			return "cannot be worked out: " + strings.ReplaceAll(err.Error(), "\n", "; ")
		}
		return "worked out"
	}
	if before, after := said(b.old.Holds.FaultsErr), said(b.new.Holds.FaultsErr); before != after {
		b.cause(key{"hold.table", 0}, order{section: holdSection, index: math.MaxInt, rank: 1}, Change{
			Kind: b.appears("hold.table", b.old.Holds.FaultsErr == nil, b.new.Holds.FaultsErr == nil), Subject: "holds", What: "single-fault table", Before: before, After: after,
		})
	}
	if b.old.Holds.FaultsErr != nil || b.new.Holds.FaultsErr != nil {
		return
	}
	was := map[string]circuit.Row{}
	for _, r := range b.old.Holds.Faults.Rows {
		was[faultKey(r, b.old, b.holdIDs.oldID)] = r
	}
	for i, after := range b.new.Holds.Faults.Rows {
		before, ok := was[faultKey(after, b.new, b.holdIDs.newID)]
		if !ok {
			b.newFault(i, after)
			continue
		}
		if before.Outcome == after.Outcome && before.Found == after.Found {
			continue
		}
		var keys []key
		for _, p := range after.Fault.Places {
			keys = append(keys, key{"hold", b.holdIDs.newID[p.Circuit] + 1})
		}
		for _, name := range after.Circuits {
			keys = append(keys, b.holdNamed(name)...)
		}
		keys = append(keys, key{"drive_path", 0}, key{"drive_path[].opened_by", 0})
		for _, f := range slices.Concat(b.blocks["drive_path[]"].Figures, b.blocks["board"].Figures) {
			if f.Unit != words.Milli {
				keys = append(keys, key{f.Key, 0})
			}
		}
		b.effect(order{section: holdSection, index: i, rank: 50}, Change{
			Kind:    b.judge("hold.fault", badness(before), badness(after)),
			Subject: subjectOf(after), What: "at the fault: " + after.Fault.String(),
			Before: comesTo(before), After: comesTo(after),
		}, b.present(keys...))
	}
}

// newFault reports a fault that only the new table has, where it takes from a hold that
// both missions have what stood without it: the wires of a circuit that was added may
// touch its own. What a circuit does to itself was judged when it came.
func (b *builder) newFault(i int, r circuit.Row) {
	stays := slices.ContainsFunc(r.Circuits, func(name string) bool {
		return slices.ContainsFunc(b.holdIDs.pairs, func(q pair) bool { return q.both() && b.new.Holds.List[q.new].Circuit.Name == name })
	})
	if len(r.Circuits) < 2 || !stays || r.Outcome.Credited() {
		return
	}
	b.effect(order{section: holdSection, index: i, rank: 51}, Change{
		Kind: Look, Subject: subjectOf(r), What: "at the fault: " + r.Fault.String(), Before: "no such fault", After: comesTo(r),
	}, b.present(key{"hold", 0}, key{"board.input_pins", 0}))
}

// badness is how bad a row is: first what the drive does, then when the fault is found.
func badness(r circuit.Row) float64 {
	const weightier = 100 // than any time of finding
	return float64(weightier*int(r.Outcome) + int(r.Found))
}

func comesTo(r circuit.Row) string { return fmt.Sprintf("%s, found %s", r.Outcome, r.Found) }

func subjectOf(r circuit.Row) string {
	if len(r.Circuits) == 0 {
		return "drive path"
	}
	return "hold " + strings.Join(r.Circuits, ", ")
}

func (b *builder) holdNamed(name string) []key {
	for i, h := range b.new.Holds.List {
		if h.Circuit.Name == name {
			return []key{{"hold", b.holdIDs.newID[i] + 1}}
		}
	}
	return nil
}

// faultKey tells faults apart by what they are and where, whatever the pins and
// the names of the circuits.
func faultKey(r circuit.Row, p *plan.Plan, ids []int) string {
	k := faultPlace(r.Fault, ids)
	if len(r.Fault.Places) == 0 {
		for i, h := range p.Holds.List {
			if len(r.Circuits) > 0 && h.Circuit.Name == r.Circuits[0] {
				k += fmt.Sprintf(" of %d", ids[i])
			}
		}
	}
	return k
}

func faultPlace(f circuit.Fault, ids []int) string {
	k := fmt.Sprintf("%d %s %s", f.Kind, f.Output.Name, f.PartName)
	if f.HoldName != "" && f.Hold < len(ids) {
		k += fmt.Sprintf(" pole %d", ids[f.Hold])
	}
	for _, place := range f.Places {
		at := place.Circuit
		if at < len(ids) {
			at = ids[at]
		}
		k += fmt.Sprintf(" %d/%d", at, place.Channel)
	}
	return k
}
