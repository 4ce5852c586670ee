// The tables of the board as rows of C initialisers, and what memory they take.
package gen

import (
	"fmt"
	"strconv"

	"merestone/internal/circuit"
	"merestone/internal/guidance"
	"merestone/internal/plan"
	"merestone/internal/words"
	"merestone/spec"
)

// Sizes in bytes of the C structs on a target with 32-bit pointers that aligns
// 64-bit integers to 8 bytes, such as the Arm procedure call standard's (AAPCS32,
// 5.1). Those without pointers are checked again by the C compiler, in the header
// itself; a test compares all with arm-none-eabi-gcc.
const (
	sizeLeg     = 48
	sizeEdge    = 20
	sizeCircle  = 12
	sizeHold    = 12
	sizeMission = 360
	sizeState   = 128 // at most; checked in the guidance header
)

func sizeTable(b guidance.Mission) []string {
	legs, holds := sizeLeg*len(b.Legs), sizeHold*len(b.Holds)
	fence := sizeEdge*len(b.Fence.Edges) + sizeCircle*len(b.Fence.Circles)
	search := 2 * (len(b.Fence.Nodes) + len(b.Fence.Lists))
	row := func(name string, bytes int) []string { return []string{name, strconv.Itoa(bytes)} }
	return words.Columns([][]string{
		{"memory", "bytes"},
		row("legs, flash", legs),
		row("fence, flash", fence),
		row("fence search, flash", search),
		row("holds, flash", holds),
		row("mission and record, flash", sizeMission),
		row("all tables, flash", legs+fence+search+holds+sizeMission),
		row("mere_state_t, RAM, at most", sizeState),
	})
}

func legRows(p *plan.Plan, b guidance.Mission) []string {
	rows, comments := make([][]string, len(b.Legs)), make([]string, len(b.Legs))
	for i, l := range b.Legs {
		rows[i] = []string{
			number(int64(l.StartEastMM)), number(int64(l.StartNorthMM)), number(int64(l.EndEastMM)), number(int64(l.EndNorthMM)),
			number(int64(l.UnitEastQ30)), number(int64(l.UnitNorthQ30)), number(int64(l.LengthMM)), unsigned(l.DwellMS),
			unsigned(l.BearingCdeg), unsigned(l.SpeedMMPerS), unsigned(l.StartToleranceMM), unsigned(l.EndToleranceMM),
			unsigned(l.CrossTrackMM), unsigned(l.JoinMM), flag(l.StopAtEnd), "{0u, 0u, 0u}",
		}
		comments[i] = ascii(p.Route.Legs[i].Name)
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
		rows[i] = []string{number(int64(e.EastMM)), number(int64(e.NorthMM)), number(int64(e.UnitEastQ30)), number(int64(e.UnitNorthQ30)), number(int64(e.LengthMM))}
		if e.LengthMM == 0 || i+1 == len(b.Fence.Edges) {
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
		rows[i] = []string{number(int64(c.EastMM)), number(int64(c.NorthMM)), number(int64(c.RadiusMM))}
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
	kinds := map[guidance.HoldKind]string{guidance.HoldToRun: "MERE_HOLD_TO_RUN", guidance.EmergencyStop: "MERE_EMERGENCY_STOP", guidance.Interlock: "MERE_INTERLOCK"}
	levels := map[uint8]string{0: circuit.Low.String(), 1: circuit.High.String()}
	cells, comments := make([][]string, len(b.Holds)), make([]string, len(b.Holds))
	for i, h := range b.Holds {
		cells[i] = []string{
			unsigned(h.Pin), unsigned(h.DebounceMS), unsigned(h.DiscrepancyMS), kinds[h.Kind],
			unsigned(h.RunLevel), unsigned(h.StopCategory), flag(h.Latched), flag(h.TwoChannels), "0u",
		}
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
		indices = append(indices, fmt.Sprintf("%s_%s_%s = %d", p.Identifier, which, spec.Identifier(o.circuit.Name), i))
	}
	return initialisers(cells, comments), indices
}

func unsigned[T uint8 | uint16 | uint32](v T) string { return strconv.FormatUint(uint64(v), 10) + "u" }

func flag(b bool) string {
	if b {
		return "1u"
	}
	return "0u"
}
