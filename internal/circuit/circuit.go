package circuit

// This file holds what goes in: the board, the safety-hold circuits and their
// channels, and the test of whether they make sense. No electricity here.

import (
	"errors"
	"fmt"
	"slices"

	"merestone/internal/board"
)

// Board is the electrical side of the board's inputs and of the wiring to
// them. All values are worst-case figures, not typical ones. DefaultBoard
// gives figures for a board of which nothing is known.
type Board struct {
	// SupplyMV is the logic supply, in millivolts above ground. Contacts wired
	// to Supply are wired to this same rail.
	SupplyMV int64
	// LowBelowMV and HighAboveMV are the input thresholds: a pin below the
	// first certainly reads low, above the second certainly reads high, and
	// between them it may read either.
	LowBelowMV, HighAboveMV int64
	// PullMinOhm and PullMaxOhm bound the resistance of the board's internal
	// pulls over temperature and from part to part.
	PullMinOhm, PullMaxOhm int64
	// LeakageNA is the greatest current an input may source or sink by itself,
	// in nanoamperes. It is what makes a pin that nothing holds "float".
	LeakageNA int64
	// SupplyLimitMA is the current beyond which the supply can no longer be
	// trusted to hold its voltage: a state that draws more is a short circuit.
	SupplyLimitMA int64
	// WireOhm is one conductor from the board to the switch.
	WireOhm int64
	// ContactClosedOhm is an aged closed contact; ContactOpenOhm a damp or
	// dirty open one.
	ContactClosedOhm, ContactOpenOhm int64
	// Outputs are the board's outputs that an input could be bridged with, and
	// OutputOhm the resistance with which they drive. May be left empty.
	Outputs   []Output
	OutputOhm int64
	// DriveOffBelowMV is the voltage of an output that enables the drive below which
	// what it commands is certainly off.
	DriveOffBelowMV int64
	// ResistorPPM is the tolerance of external pulls and series resistors, in parts
	// per million, up or down.
	ResistorPPM int64
}

// Output is a pin that the board drives, to either rail as the case may be.
type Output struct {
	Name string
	Pin  int
	// EnablesDrive: the drive has power while the pin is high, unless a pole breaks it.
	EnablesDrive bool
}

// DefaultBoard returns worst-case figures for a 3.3 V board of which nothing
// better is known: thresholds at 30 % and 70 % of the supply (usual for CMOS
// inputs, from memory), internal pulls from 20 kΩ to 150 kΩ and 1 µA of input
// leakage (the wide end of data sheets of 32-bit boards, from memory), and
// 1 Ω wires, 1 Ω closed contacts, 1 MΩ open contacts, 200 mA of supply, outputs
// of 50 Ω, a drive that is off below 0.6 V (a silicon transistor that begins to
// conduct), resistors within 5 % (common practice, no source). Replace them by the
// data sheet's.
func DefaultBoard() Board {
	return Board{
		SupplyMV:         3300,
		LowBelowMV:       990,
		HighAboveMV:      2310,
		PullMinOhm:       20_000,
		PullMaxOhm:       150_000,
		LeakageNA:        1000,
		SupplyLimitMA:    200,
		WireOhm:          1,
		ContactClosedOhm: 1,
		ContactOpenOhm:   1_000_000,
		OutputOhm:        50,
		DriveOffBelowMV:  600,
		ResistorPPM:      50_000,
	}
}

// Contact is the kind of contact: what it does when the switch is not
// actuated.
type Contact int

const (
	// NormallyOpen closes when actuated.
	NormallyOpen Contact = iota
	// NormallyClosed opens when actuated.
	NormallyClosed
)

// Rail is the side of the supply that the far end of the contact goes to.
type Rail int

const (
	// Ground is 0 V.
	Ground Rail = iota
	// Supply is Board.SupplyMV.
	Supply
)

// Pull is the direction in which a resistor at the pin draws it while the
// contact is open.
type Pull int

const (
	// PullNone leaves the pin to float while the contact is open.
	PullNone Pull = iota
	// PullUp draws to the supply.
	PullUp
	// PullDown draws to ground.
	PullDown
)

// Channel is one contact and the pin that reads it.
type Channel struct {
	// Pin is the board's number of the input.
	Pin int
	// Contact is normally open or normally closed.
	Contact Contact
	// WiredTo is the rail on the far side of the contact.
	WiredTo Rail
	// Pull is the pull at the pin.
	Pull Pull
	// PullOhm is an external pull resistor; 0 means the board's internal pull,
	// somewhere between PullMinOhm and PullMaxOhm.
	PullOhm int64
	// Return names the conductor between contact and rail (the ground return,
	// or the supply feed). Channels that give the same name share that
	// conductor and lose it together; an empty name means a conductor of its
	// own.
	Return string
	// SeriesOhm is a resistor at the board's end of that conductor, which
	// limits the current of a short; 0 for none. Channels that share a
	// conductor share its resistor.
	SeriesOhm int64
}

// Circuit is one safety hold: one or two channels moved by the same actuator.
type Circuit struct {
	Name     string
	Kind     board.HoldKind
	Channels []Channel
	// DiscrepancyMS is how long two channels may disagree before the board
	// latches a stop. The drive is already stopped during that time: it runs
	// only while both channels read run. Must be positive with two channels.
	DiscrepancyMS int64
	// CommonCause of two channels.
	CommonCause CommonCause
	// ReactionMS is the longest time from its contact moving to the drive without power, by
	// way of the board, and BounceMS how long the contact chatters. For the words of tests.
	ReactionMS, BounceMS int64
	// RadioDelayMS and RadioLossMS are the times from letting go, and from the loss of the
	// link, to the contacts of a radio's receiver opening; 0 for wires.
	RadioDelayMS, RadioLossMS int64
}

// Demand is what the operator (or the guard, or the bumper) asks of a circuit.
type Demand int

const (
	// DemandRun: a hold-to-run pressed, an emergency stop at rest, an interlock
	// clear.
	DemandRun Demand = iota
	// DemandStop: a hold-to-run released, an emergency stop pressed, an
	// interlock tripped.
	DemandStop
)

// InputError is one thing wrong with what was given to Analyse. Several come
// joined (errors.Join); errors.As finds the first.
type InputError struct {
	// Circuit is the index of the circuit, -1 for the board itself.
	Circuit int
	// Channel is the index of the channel, -1 for the circuit as a whole.
	Channel int
	// Field is the name of the Go field at fault.
	Field string
	// Reason says what is wrong and what would be right.
	Reason string
}

func (e *InputError) Error() string {
	switch {
	case e.Circuit < 0:
		return fmt.Sprintf("board: %s: %s", e.Field, e.Reason)
	case e.Channel < 0:
		return fmt.Sprintf("circuit %d: %s: %s", e.Circuit+1, e.Field, e.Reason)
	default:
		return fmt.Sprintf("circuit %d, channel %d: %s: %s", e.Circuit+1, e.Channel+1, e.Field, e.Reason)
	}
}

// actuated tells whether the switch of a circuit of kind k is actuated under
// the demand d.
func actuated(k board.HoldKind, d Demand) bool {
	if k == board.HoldToRun {
		return d == DemandRun
	}
	return d == DemandStop
}

// closed tells whether a sound contact c in a circuit of kind k is closed
// under the demand d.
func (c Contact) closed(k board.HoldKind, d Demand) bool {
	return actuated(k, d) == (c == NormallyOpen)
}

// maxSharing limits how many channels may share one return: a fault of it is
// evaluated for every combination of demands and of leaking contacts.
const maxSharing = 6

// validate returns every fault of the input, joined, or nil.
func validate(b Board, circuits []Circuit, path Path) error {
	if err := validateShape(b, circuits, path); err != nil {
		return err
	}
	return validateEffort(circuits, jobs(b, circuits, path))
}

// validateShape is validate without the effort.
func validateShape(b Board, circuits []Circuit, path Path) error {
	var errs []error
	add := func(circuit, channel int, field, format string, args ...any) {
		errs = append(errs, &InputError{circuit, channel, field, fmt.Sprintf(format, args...)})
	}
	validateBoard(b, add)
	validatePath(path, circuits, add)
	validateSizes(b, circuits, path, add)

	names := map[string]bool{}
	pins := map[int]string{}
	for _, o := range b.Outputs {
		if other, taken := pins[o.Pin]; taken {
			add(-1, -1, "Outputs", "pin %d of %q is already %q", o.Pin, o.Name, other)
		}
		pins[o.Pin] = o.Name
	}
	returns := map[string]Channel{}
	users := map[string]int{}
	for i, c := range circuits {
		if c.Name == "" {
			add(i, -1, "Name", "is empty; a circuit needs a name to be reported by")
		}
		if names[c.Name] {
			add(i, -1, "Name", "%q is used twice", c.Name)
		}
		names[c.Name] = true
		validateCircuit(i, c, add)
		for j, ch := range c.Channels {
			if other, taken := pins[ch.Pin]; taken {
				add(i, j, "Pin", "pin %d is already taken by %q", ch.Pin, other)
			}
			pins[ch.Pin] = c.Name
			validateChannel(i, j, ch, add)
			if ch.Return == "" {
				continue
			}
			if first, seen := returns[ch.Return]; seen && first.WiredTo != ch.WiredTo {
				add(i, j, "Return", "%q is wired to %s elsewhere and to %s here", ch.Return, first.WiredTo, ch.WiredTo)
			} else if seen && first.SeriesOhm != ch.SeriesOhm {
				add(i, j, "SeriesOhm", "is %d Ω here and %d Ω elsewhere on the shared conductor %q", ch.SeriesOhm, first.SeriesOhm, ch.Return)
			} else {
				returns[ch.Return] = ch
			}
			if users[ch.Return]++; users[ch.Return] == maxSharing+1 {
				add(i, j, "Return", "%q is shared by more than %d channels", ch.Return, maxSharing)
			}
		}
	}
	return errors.Join(errs...)
}

// maxNetworks limits how many networks are solved for the rows of a table. A fault of
// returns that many channels share is looked at in every combination of their demands,
// and each of open contacts that leak or do not; of two such returns in those of both.
const maxNetworks = 100_000

// validateEffort refuses what would take minutes.
func validateEffort(circuits []Circuit, rows []job) error {
	users := returnUsers(circuits)
	total := 0
	for _, j := range rows {
		if j.fault.Kind.ofPath() {
			continue
		}
		networks := 1
		for _, i := range j.about {
			sharing := 0
			for _, ch := range circuits[i].Channels {
				if len(users[ch.Return]) > 1 {
					sharing++
				}
			}
			networks *= 1 + 1<<sharing
		}
		if total += networks; total > maxNetworks {
			p := j.fault.Places[0]
			return errors.Join(&InputError{p.Circuit, p.Channel, "Return", fmt.Sprintf("too many channels share returns: their faults come to more than %d networks; give some a return of their own", maxNetworks)})
		}
	}
	return nil
}

// million parts are the whole.
const million = 1_000_000

type addError func(circuit, channel int, field, format string, args ...any)

// Beyond these a figure is a slip of the pen, and its sums would leave the integers.
const (
	mostSupplyMV = 1_000_000
	mostFigure   = 1_000_000_000_000
)

// validateSizes refuses what is too large to be meant.
func validateSizes(b Board, circuits []Circuit, path Path, add addError) {
	limit := func(circuit, channel int, field string, figure, most int64) {
		if figure > most {
			add(circuit, channel, field, "is %d, at most %d", figure, most)
		}
	}
	limit(-1, -1, "SupplyMV", b.SupplyMV, mostSupplyMV)
	limit(-1, -1, "PullMaxOhm", b.PullMaxOhm, mostFigure)
	limit(-1, -1, "LeakageNA", b.LeakageNA, mostFigure)
	limit(-1, -1, "SupplyLimitMA", b.SupplyLimitMA, mostFigure)
	limit(-1, -1, "WireOhm", b.WireOhm, mostFigure)
	limit(-1, -1, "ContactOpenOhm", b.ContactOpenOhm, mostFigure)
	limit(-1, -1, "OutputOhm", b.OutputOhm, mostFigure)
	limit(-1, -1, "DriveOffBelowMV", b.DriveOffBelowMV, mostSupplyMV)
	limit(-1, -1, "WatchdogMS", path.WatchdogMS, mostFigure)
	for _, part := range path.Parts {
		limit(-1, -1, "Parts", part.OffMS, mostFigure)
	}
	for i, c := range circuits {
		limit(i, -1, "DiscrepancyMS", c.DiscrepancyMS, mostFigure)
		limit(i, -1, "ReactionMS", c.ReactionMS, mostFigure)
		limit(i, -1, "BounceMS", c.BounceMS, mostFigure)
		limit(i, -1, "RadioDelayMS", c.RadioDelayMS, mostFigure)
		limit(i, -1, "RadioLossMS", c.RadioLossMS, mostFigure)
		for j, ch := range c.Channels {
			limit(i, j, "PullOhm", ch.PullOhm, mostFigure)
			limit(i, j, "SeriesOhm", ch.SeriesOhm, mostFigure)
		}
	}
}

func validateBoard(b Board, add addError) {
	if b.SupplyMV <= 0 {
		add(-1, -1, "SupplyMV", "is %d mV, must be positive", b.SupplyMV)
	}
	if b.LowBelowMV <= 0 || b.LowBelowMV > b.HighAboveMV || b.HighAboveMV >= b.SupplyMV {
		add(-1, -1, "LowBelowMV, HighAboveMV", "are %d and %d mV; needed: 0 < low ≤ high < supply (%d mV)",
			b.LowBelowMV, b.HighAboveMV, b.SupplyMV)
	}
	if b.PullMinOhm <= 0 || b.PullMaxOhm < b.PullMinOhm {
		add(-1, -1, "PullMinOhm, PullMaxOhm", "are %d and %d Ω; needed: 0 < min ≤ max", b.PullMinOhm, b.PullMaxOhm)
	}
	if b.LeakageNA < 0 {
		add(-1, -1, "LeakageNA", "is %d nA, must not be negative", b.LeakageNA)
	}
	if b.SupplyLimitMA <= 0 {
		add(-1, -1, "SupplyLimitMA", "is %d mA, must be positive", b.SupplyLimitMA)
	}
	if b.WireOhm <= 0 {
		add(-1, -1, "WireOhm", "is %d Ω, must be positive", b.WireOhm)
	}
	if b.ContactClosedOhm <= 0 || b.ContactOpenOhm <= b.ContactClosedOhm {
		add(-1, -1, "ContactClosedOhm, ContactOpenOhm", "are %d and %d Ω; needed: 0 < closed < open",
			b.ContactClosedOhm, b.ContactOpenOhm)
	}
	if len(b.Outputs) > 0 && b.OutputOhm <= 0 {
		add(-1, -1, "OutputOhm", "is %d Ω, must be positive", b.OutputOhm)
	}
	if enables := func(o Output) bool { return o.EnablesDrive }; slices.ContainsFunc(b.Outputs, enables) && b.DriveOffBelowMV <= 0 {
		add(-1, -1, "DriveOffBelowMV", "is %d mV, must be positive", b.DriveOffBelowMV)
	}
	if b.ResistorPPM < 0 || b.ResistorPPM >= million {
		add(-1, -1, "ResistorPPM", "is %d ppm; needed: 0 ≤ tolerance < %d", b.ResistorPPM, million)
	}
}

func validateCircuit(i int, c Circuit, add addError) {
	if c.Kind > board.Interlock {
		add(i, -1, "Kind", "%d is not a kind of circuit", int(c.Kind))
	}
	if n := len(c.Channels); n < 1 || n > 2 {
		add(i, -1, "Channels", "%d channels given; a circuit has one or two", n)
	}
	if c.DiscrepancyMS < 0 || (len(c.Channels) == 2 && c.DiscrepancyMS == 0) {
		add(i, -1, "DiscrepancyMS", "is %d ms; two channels need a positive discrepancy time", c.DiscrepancyMS)
	}
}

func validateChannel(i, j int, ch Channel, add addError) {
	if ch.Pin < 0 {
		add(i, j, "Pin", "%d is negative", ch.Pin)
	}
	if ch.Contact < NormallyOpen || ch.Contact > NormallyClosed {
		add(i, j, "Contact", "%d is not a kind of contact", int(ch.Contact))
	}
	if ch.WiredTo < Ground || ch.WiredTo > Supply {
		add(i, j, "WiredTo", "%d is not a rail", int(ch.WiredTo))
	}
	if ch.Pull < PullNone || ch.Pull > PullDown {
		add(i, j, "Pull", "%d is not a pull", int(ch.Pull))
	}
	if ch.SeriesOhm < 0 {
		add(i, j, "SeriesOhm", "is %d Ω, must not be negative", ch.SeriesOhm)
	}
	if ch.PullOhm < 0 {
		add(i, j, "PullOhm", "is %d Ω, must not be negative", ch.PullOhm)
	}
	if ch.PullOhm > 0 && ch.Pull == PullNone {
		add(i, j, "PullOhm", "gives a resistor of %d Ω but no direction", ch.PullOhm)
	}
}
