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
)

func (r *resolver) hardware() {
	b := r.m.Board
	in := Inputs{
		Source: r.source("board"), Pins: slices.Sorted(slices.Values(b.InputPins)), DriveEnable: -1,
		PullUp: b.Pulls == nil, PullDown: b.Pulls == nil,
		Electrical: circuit.DefaultBoard(), IntegerBits: b.IntegerBits, Float: b.Float,
	}
	for _, pull := range b.Pulls {
		in.PullUp = in.PullUp || pull == spec.PullUp
		in.PullDown = in.PullDown || pull == spec.PullDown
	}
	if b.DriveEnable != nil {
		in.DriveEnable = *b.DriveEnable
		in.Electrical.Outputs = []circuit.Output{{Name: "drive_enable", Pin: *b.DriveEnable}}
	}
	if l := b.Logic; l != nil {
		in.Electrical.SupplyMV = l.Supply.MV()
		in.Electrical.LowBelowMV, in.Electrical.HighAboveMV = l.LowBelow.MV(), l.HighAbove.MV()
		if l.PullLeast > 0 && l.PullMost > 0 {
			in.Electrical.PullMinOhm, in.Electrical.PullMaxOhm = int64(l.PullLeast.Ohms()), int64(l.PullMost.Ohms())
		}
	}
	r.p.Board.Inputs = in

	t := Timing{LoopMS: msOf(b.Loop, UsualLoopMS), OutputDelayMS: msOf(b.OutputDelay, UsualOutputDelayMS)}
	for i, h := range r.m.Holds {
		hold := Hold{Source: r.source(fmt.Sprintf("holds[%d]", i)), DebounceMS: h.Debounce.CeilMS(), Circuit: circuitOf(h)}
		r.p.Holds.List = append(r.p.Holds.List, hold)
		ms, err := motion.Reaction{DebounceMS: hold.DebounceMS, LoopMS: t.LoopMS, OutputDelayMS: t.OutputDelayMS}.HoldMS()
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
		StopCategory:      h.StopCategory,
		BreaksDriveSupply: h.BreaksDriveSupply,
	}
	if h.Second != nil {
		c.Channels = append(c.Channels, channelOf(*h.Second))
		c.DiscrepancyMS = msOf(h.Discrepancy, UsualDiscrepancyMS)
	}
	return c
}

func channelOf(c spec.Channel) circuit.Channel {
	out := circuit.Channel{Pin: c.Pin, Contact: circuit.NormallyOpen, WiredTo: circuit.Ground}
	if c.Contact == spec.NormallyClosed {
		out.Contact = circuit.NormallyClosed
	}
	if c.WiredTo == spec.Supply {
		out.WiredTo = circuit.Supply
	}
	switch c.Pull {
	case spec.PullUp:
		out.Pull = circuit.PullUp
	case spec.PullDown:
		out.Pull = circuit.PullDown
	default:
		out.Pull = circuit.PullNone
	}
	if c.Series != nil {
		out.SeriesOhm = int64(c.Series.Ohms())
	}
	if c.External != nil {
		out.PullOhm = int64(c.External.Ohms())
	}
	return out
}

func msOf(d *quantity.Duration, usual int64) int64 {
	if d == nil {
		return usual
	}
	return d.CeilMS()
}
