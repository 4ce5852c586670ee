// Hold circuits and the board: from the mission's words to the electrical model
// of internal/circuit, and to the reaction times of internal/motion.
package plan

import (
	"fmt"
	"slices"

	"merestone/internal/circuit"
	"merestone/internal/motion"
	"merestone/internal/quantity"
	"merestone/spec"
)

// Usual figures where the mission is silent; common practice, no source.
const (
	UsualLoopMS        = 20
	UsualOutputDelayMS = 20  // a relay drops out in 10 to 20 ms
	UsualDiscrepancyMS = 100 // two contacts of one button

	millisecond = quantity.Second / 1000
)

func (r *resolver) hardware() {
	b := r.m.Board
	in := Inputs{
		Source: r.source("board"), Pins: slices.Sorted(slices.Values(b.InputPins)), DriveEnable: or(b.DriveEnable, -1),
		PullUp: b.Pulls == nil || slices.Contains(b.Pulls, circuit.PullUp), PullDown: b.Pulls == nil || slices.Contains(b.Pulls, circuit.PullDown),
		Electrical: circuit.DefaultBoard(), IntegerBits: b.IntegerBits, Float: b.Float,
	}
	if b.DriveEnable != nil {
		in.Electrical.Outputs = []circuit.Output{{Name: "drive_enable", Pin: *b.DriveEnable, EnablesDrive: true}}
	}
	if b.ResistorTolerance != nil {
		in.Electrical.ResistorPPM = b.ResistorTolerance.PPM()
	}
	if l := b.Logic; l != nil {
		in.Electrical.SupplyMV = l.Supply.MV()
		in.Electrical.LowBelowMV, in.Electrical.HighAboveMV = l.LowBelow.MV(), l.HighAbove.MV()
		if l.PullLeast > 0 && l.PullMost > 0 {
			in.Electrical.PullMinOhm, in.Electrical.PullMaxOhm = int64(l.PullLeast.Ohms()), int64(l.PullMost.Ohms())
		}
	}
	r.p.Board.Inputs = in
	r.p.Board.Allowed = Allowed{
		FlashBytes: int64(or(b.Flash, 0)), Instructions: int64(or(b.Instructions, 0)),
		Flash: r.source("board.flash"), Step: r.source("board.instructions"),
	}

	t := Timing{LoopMS: or(b.Loop, UsualLoopMS*millisecond).CeilMS(), OutputDelayMS: or(b.OutputDelay, UsualOutputDelayMS*millisecond).CeilMS()}
	for i, h := range r.m.Holds {
		hold := Hold{Source: r.source(fmt.Sprintf("holds[%d]", i)), DebounceMS: h.Debounce.CeilMS(), FilterMS: or(h.StopFilter, 0).CeilMS(), StopCategory: h.StopCategory, Circuit: circuitOf(h)}
		r.p.Holds.List = append(r.p.Holds.List, hold)
		ms, err := motion.Reaction{BounceMS: hold.DebounceMS, FilterMS: hold.FilterMS, LoopMS: t.LoopMS, OutputDelayMS: t.OutputDelayMS}.HoldMS()
		if err != nil {
			r.gap(hold.Path, "the reaction time cannot be worked out: %v", err) // the parser bounds its parts far within
		}
		t.HoldMS = max(t.HoldMS, ms)
	}
	circuits := make([]circuit.Circuit, len(r.p.Holds.List))
	for i, h := range r.p.Holds.List {
		circuits[i] = h.Circuit
	}
	r.p.Holds.Faults, r.p.Holds.FaultsErr = circuit.Analyse(in.Electrical, circuits)

	t.FixMS = motion.Reaction{LoopMS: t.LoopMS, OutputDelayMS: t.OutputDelayMS}.FixMS(r.p.Machine.Receiver.LatencyMS, r.p.Machine.Receiver.FixIntervalMS)
	r.p.Board.Timing = t
}

func circuitOf(h spec.Hold) circuit.Circuit {
	c := circuit.Circuit{
		Name:              h.Name,
		Kind:              h.Kind,
		Channels:          []circuit.Channel{channelOf(h.Channel)},
		BreaksDriveSupply: h.BreaksDriveSupply,
	}
	if h.Second != nil {
		c.Channels = append(c.Channels, channelOf(*h.Second))
		c.DiscrepancyMS = or(h.Discrepancy, UsualDiscrepancyMS*millisecond).CeilMS()
	}
	return c
}

func channelOf(c spec.Channel) circuit.Channel {
	return circuit.Channel{
		Pin: c.Pin, Contact: c.Contact, WiredTo: c.WiredTo, Pull: c.Pull,
		SeriesOhm: int64(or(c.Series, 0).Ohms()), PullOhm: int64(or(c.External, 0).Ohms()),
		Return: c.Return,
	}
}
