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

	r.p.Holds.Path, r.p.Holds.Parts = r.drivePath(), nil
	t := Timing{LoopMS: or(b.Loop, UsualLoopMS*millisecond).CeilMS()}
	for i, part := range r.p.Holds.Path.Parts {
		r.p.Holds.Parts = append(r.p.Holds.Parts, r.source(fmt.Sprintf("drive_path[%d]", i)))
		if part.Enable {
			// The slowest of them, so that the distances hold while a faster one is stuck.
			t.OutputDelayMS = max(t.OutputDelayMS, part.OffMS)
		}
	}
	for i, h := range r.m.Holds {
		hold := Hold{Source: r.source(fmt.Sprintf("holds[%d]", i)), DebounceMS: h.Debounce.CeilMS(), FilterMS: or(h.StopFilter, 0).CeilMS(), StopCategory: h.StopCategory, Circuit: circuitOf(h)}
		if h.Radio != nil {
			hold.RadioDelayMS, hold.RadioLossMS = h.Radio.Delay.CeilMS(), h.Radio.LossOfSignal.CeilMS()
			hold.RadioMS = max(hold.RadioDelayMS, hold.RadioLossMS)
		}
		ms, err := motion.Reaction{RadioMS: hold.RadioMS, BounceMS: hold.DebounceMS, FilterMS: hold.FilterMS, LoopMS: t.LoopMS, OutputDelayMS: t.OutputDelayMS}.HoldMS()
		if err != nil {
			r.gap(hold.Path, "the reaction time cannot be worked out: %v", err) // the parser bounds its parts far within
		}
		hold.Circuit.ReactionMS, hold.Circuit.BounceMS = ms-hold.RadioMS, hold.DebounceMS
		hold.Circuit.RadioDelayMS, hold.Circuit.RadioLossMS = hold.RadioDelayMS, hold.RadioLossMS
		// By a pole of its own the hold takes the power away after its part's time. Either way
		// may be the one that is left when the other fails, so the later counts.
		for _, part := range r.p.Holds.Path.Parts {
			if slices.Contains(part.Holds, i) {
				ms = max(ms, hold.RadioMS+hold.DebounceMS+part.OffMS)
			}
		}
		r.p.Holds.List = append(r.p.Holds.List, hold)
		t.HoldMS = max(t.HoldMS, ms)
	}
	circuits := make([]circuit.Circuit, len(r.p.Holds.List))
	for i, h := range r.p.Holds.List {
		circuits[i] = h.Circuit
	}
	r.p.Holds.Faults, r.p.Holds.FaultsErr = circuit.Analyse(in.Electrical, circuits, r.p.Holds.Path)

	r.measured(&t)
	t.FixMS = motion.Reaction{LoopMS: t.LoopMS, OutputDelayMS: t.OutputDelayMS}.FixMS(r.p.Machine.Receiver.LatencyMS, r.p.Machine.Receiver.FixIntervalMS)
	r.p.Board.Timing = t
}

// drivePath is what lies between battery and motors, with the holds by their numbers.
// What opened_by names and is no hold has been refused.
func (r *resolver) drivePath() circuit.Path {
	path := circuit.Path{WatchdogMS: or(r.m.Board.Watchdog, 0).CeilMS(), Covered: r.m.Board.Covered}
	for _, p := range r.m.DrivePath {
		part := circuit.Part{
			Name: p.Name, Kind: p.Kind, OffMS: p.OffDelay.CeilMS(),
			Enable: slices.Contains(p.OpenedBy, spec.DriveEnable), Watchdog: slices.Contains(p.OpenedBy, spec.Watchdog),
			CoilDiode: or(p.CoilDiode, false), PulledOff: p.PulledOff, Covered: p.Covered,
		}
		for i, h := range r.m.Holds {
			if slices.Contains(p.OpenedBy, h.Name) {
				part.Holds = append(part.Holds, i)
			}
		}
		path.Parts = append(path.Parts, part)
	}
	return path
}

// Openers is what opens a part of the drive path, as the language calls it: the output and
// the watchdog, then holds by name. The order in which it is written means nothing.
func (p *Plan) Openers(part int) []string {
	var list []string
	at := p.Holds.Path.Parts[part]
	if at.Enable {
		list = append(list, spec.DriveEnable)
	}
	if at.Watchdog {
		list = append(list, spec.Watchdog)
	}
	var holds []string
	for _, i := range at.Holds {
		holds = append(holds, p.Holds.List[i].Circuit.Name)
	}
	slices.Sort(holds)
	return append(list, holds...)
}

func circuitOf(h spec.Hold) circuit.Circuit {
	c := circuit.Circuit{
		Name:        h.Name,
		Kind:        h.Kind,
		Channels:    []circuit.Channel{channelOf(h.Channel)},
		CommonCause: or(h.CommonCause, circuit.CommonCause{}),
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
