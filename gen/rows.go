// The tables of the board as rows of C initialisers, and what memory they take.
package gen

import (
	"cmp"
	"fmt"
	"strconv"

	"merestone/internal/circuit"
	"merestone/internal/guidance"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// stateBytes is the size of mere_state_t at most, checked in the guidance header.
const stateBytes = 176

// costTable is what the tables take of the memory, and the functions of the processor.
func costTable(b guidance.Mission) []string {
	flash, most := b.Flash(), b.Instructions()
	row := func(name string, n int) []string { return []string{name, strconv.Itoa(n)} }
	lines := words.Columns([][]string{
		{"memory", "bytes"},
		row("legs, flash", flash.Legs),
		row("fence, flash", flash.Fence),
		row("fence search, flash", flash.Search),
		row("holds, flash", flash.Holds),
		row("mission and record, flash", flash.Mission),
		row("all tables, flash", flash.Total()),
		row("mere_state_t, RAM, at most", stateBytes),
	})
	return append(append(lines, ""), words.Columns([][]string{
		{"time", "instructions, at most"},
		row("mere_local_from_fix", most.Conversion),
		row("mere_fence_margin", most.Margin),
		row("mere_step", most.Step),
	})...)
}

// memberLines is one struct, a member a line with its name.
func memberLines(table any) []string {
	lines, names := guidance.Values(table), guidance.Names(table)
	for i, v := range lines {
		comma := ","
		if i == len(lines)-1 {
			comma = ""
		}
		lines[i] = fmt.Sprintf("%s%s /* %s */", v, comma, cmp.Or(names[i], "spare"))
	}
	return lines
}

func legRows(p *plan.Plan, b guidance.Mission) []string {
	rows, comments := make([][]string, len(b.Legs)), make([]string, len(b.Legs))
	for i, l := range b.Legs {
		rows[i] = guidance.Values(l)
		if i < len(p.Route.Legs) {
			comments[i] = ascii(p.Route.Legs[i].Name)
		} else {
			comments[i] = ascii(p.Survey.Marks[p.Route.Waypoints[p.Route.Legs[i-1].To].Mark].Name) + ", where the last leg ends"
		}
	}
	return initialisers(rows, comments)
}

// edgeRows comments each edge with the marks at its ends.
func edgeRows(p *plan.Plan, b guidance.Mission) []string {
	name := func(i int) string {
		v := p.Board.Vertices[i]
		return p.Fence.Part(v.Part).Marks[v.Number].Name
	}
	rows, comments := make([][]string, len(b.Fence.Edges)), make([]string, len(b.Fence.Edges))
	for i, e := range b.Fence.Edges {
		rows[i] = guidance.Values(e)
		if e.Closes() {
			comments[i] = name(i) + " again: the ring is closed"
		} else {
			comments[i] = name(i) + "-" + name(i+1)
		}
	}
	return initialisers(rows, comments)
}

func circleRows(p *plan.Plan, b guidance.Mission) []string {
	rows, comments := make([][]string, len(b.Fence.Circles)), []string{}
	for i, c := range b.Fence.Circles {
		rows[i] = guidance.Values(c)
	}
	for _, o := range p.Fence.Obstacles { // in their order
		if o.IsCircle {
			comments = append(comments, o.Name)
		}
	}
	return initialisers(rows, comments)
}

// holdRows gives the rows of the hold table and the enumerators that name their
// bits.
func holdRows(p *plan.Plan, b guidance.Mission) (rows, indices []string) {
	type owner struct {
		circuit circuit.Circuit
		channel int
	}
	byPin := map[int]owner{}
	for _, h := range p.Holds.List {
		for c, channel := range h.Circuit.Channels {
			byPin[channel.Pin] = owner{h.Circuit, c}
		}
	}
	levels := map[uint8]string{0: circuit.Low.String(), 1: circuit.High.String()}
	table, comments := make([][]string, len(b.Holds)), make([]string, len(b.Holds))
	for i, h := range b.Holds {
		table[i] = guidance.Values(h)
		o, ok := byPin[int(h.Pin)]
		if !ok { // a filler that keeps two-channel circuits on even places
			comments[i] = "not used"
			continue
		}
		wiring := o.circuit.Channels[o.channel]
		comments[i] = fmt.Sprintf("%s: %v to %v, %v, runs on %s", o.circuit.Name, wiring.Contact, wiring.WiredTo, wiring.Pull, levels[h.RunLevel])
		// No name of a hold can make two of these the same: they differ before it.
		which := "hold"
		if o.channel == 1 {
			which = "second_hold"
		}
		indices = append(indices, fmt.Sprintf("%s_%s_%s = %d", p.Identifier, which, words.Identifier(o.circuit.Name), i))
	}
	return initialisers(table, comments), indices
}
