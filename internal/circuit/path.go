package circuit

// This file holds the way behind the pin: the parts in series between the battery and
// the motors, and what opens each of them.

import "slices"

// Path is what lies between the battery and the motors. The motors have current only
// while every part conducts.
type Path struct {
	Parts []Part
	// WatchdogMS is the time after which the watchdog acts on a processor that does not
	// answer; 0 for none.
	WatchdogMS int64
	// Covered says in the mission's words how a processor or a line that holds
	// drive_enable on is covered. Empty for not at all.
	Covered string
}

// Part is one thing in the motors' current.
type Part struct {
	Name string
	Kind PartKind
	// Enable: the part opens when the board's output drive_enable is low.
	Enable bool
	// Watchdog: the part opens when the watchdog acts.
	Watchdog bool
	// Holds has the circuits, by index, of which a pole of the device's own opens the
	// part without the board: a contact in the motors' current, in that of a relay's coil, or
	// in the line to the input of a semiconductor.
	Holds []int
	// OffMS is the longest time from what opens the part to the current being gone.
	OffMS int64
	// CoilDiode: a plain diode lies across the coil of a relay.
	CoilDiode bool
	// PulledOff: a resistor at its input holds a semiconductor off while nothing drives
	// the line, as when that is broken, or when a watchdog has reset the processor. A relay
	// is off without current.
	PulledOff bool
	// Covered says in the mission's words how its failure is covered.
	Covered string
}

// PartKind is what a part is.
type PartKind int

const (
	// Relay has a coil; what opens it takes the coil's current away.
	Relay PartKind = iota
	// Semiconductor is a motor driver or a transistor with an input that enables it.
	Semiconductor
	// Pole is a contact of holds' own devices in the motors' current.
	Pole
)

// PartKinds lists every kind.
func PartKinds() []PartKind { return []PartKind{Relay, Semiconductor, Pole} }

// String is the kind in the mission language.
func (k PartKind) String() string { return word([]string{"relay", "semiconductor", "contact"}, int(k)) }

// CommonCause says what the two channels of a circuit have in common, so that one cause
// takes both.
type CommonCause struct{ Cable, Connector, Supply, Actuator bool }

// CoveredBy is what the mission says of how a fault is covered.
func (path Path) CoveredBy(f Fault) string {
	switch f.Kind {
	case ProcessorHalted, EnableHeldHigh:
		return path.Covered
	case PartStuckOn, PoleStuckClosed:
		return path.Parts[f.Part].Covered
	default:
		return ""
	}
}

// Drive is what the motors have.
type Drive int

const (
	// DriveOff: a part certainly opens.
	DriveOff Drive = iota
	// DriveOn: every part certainly conducts.
	DriveOn
	// DriveUnsure: neither is certain.
	DriveUnsure
)

// line is what drive_enable does to the parts.
type line int

const (
	lineLow line = iota
	lineHigh
	lineOpen
	lineUnsure
)

// lineUnder is what the line does under faults, where the board commands it.
func lineUnder(fs faults, commanded line) line {
	switch {
	case fs.has(EnableOpen):
		return lineOpen
	case fs.has(EnableHeldHigh):
		return lineHigh
	case fs.has(EnableToGround):
		return lineLow
	case fs.has(ProcessorHalted):
		return lineHigh
	default:
		return commanded
	}
}

// drive tells what the motors have. stops has the circuits that are asked to stop the
// drive; the poles of all others conduct.
func (path Path) drive(fs faults, l line, stops func(circuit int) bool) Drive {
	all := DriveOn
	for i, part := range path.Parts {
		switch part.state(i, fs, l, stops) {
		case DriveOff:
			return DriveOff
		case DriveUnsure:
			all = DriveUnsure
		}
	}
	return all
}

// state tells what one part lets through: nothing, everything, or it is not certain.
func (part Part) state(i int, fs faults, l line, stops func(circuit int) bool) Drive {
	switch {
	case fs.part(PartStuckOff, i):
		return DriveOff
	case fs.part(PartStuckOn, i):
		return DriveOn
	}
	cut := slices.ContainsFunc(part.Holds, func(h int) bool { return stops(h) && !fs.poleHeld(i, h) })
	if cut && part.Kind != Semiconductor {
		return DriveOff
	}
	undriven := DriveUnsure // what it lets through while nothing drives its line
	if part.Kind == Relay || part.PulledOff && !fs.part(RestMissing, i) {
		undriven = DriveOff
	}
	if fs.part(lifted, i) {
		if undriven == DriveUnsure {
			return DriveOn
		}
		return DriveOff
	}
	// A pole before a semiconductor opens the line to its input, and no more: what the board
	// drives does not come through either.
	if cut {
		return undriven
	}
	if fs.part(BranchOpen, i) {
		l = lineOpen
	}
	// A watchdog that resets the processor lets the line float.
	if part.Watchdog && fs.has(ProcessorHalted) && !fs.has(WatchdogDead) {
		return undriven
	}
	switch {
	case !part.Enable || l == lineHigh:
		return DriveOn
	case l == lineLow:
		return DriveOff
	case l == lineOpen:
		return undriven
	default:
		return DriveUnsure
	}
}

// rests tells whether a resistor is to hold the part off while nothing drives its line.
func (part Part) rests() bool {
	return part.Kind == Semiconductor && part.PulledOff && (part.Enable || part.Watchdog)
}

// validatePath returns what of the path makes no sense.
func validatePath(path Path, circuits []Circuit, add addError) {
	names, enabled, watched := map[string]bool{}, false, false
	for _, part := range path.Parts {
		fault := func(field, format string, args ...any) {
			add(-1, -1, field, "%s: "+format, append([]any{part.Name}, args...)...)
		}
		if part.Name == "" || names[part.Name] {
			fault("Parts", "needs a name of its own")
		}
		names[part.Name] = true
		if part.Kind < Relay || part.Kind > Pole {
			fault("Parts", "%d is not a kind of part", int(part.Kind))
		}
		if part.Kind == Pole && (part.Enable || part.Watchdog) {
			fault("Parts", "a contact of holds is opened by them alone")
		}
		if !part.Enable && !part.Watchdog && len(part.Holds) == 0 {
			fault("Parts", "nothing opens it")
		}
		if part.OffMS < 0 {
			fault("Parts", "opens after %d ms", part.OffMS)
		}
		seen := map[int]bool{}
		for _, h := range part.Holds {
			if h < 0 || h >= len(circuits) || seen[h] {
				fault("Parts", "no circuit %d, or twice", h)
			}
			seen[h] = true
		}
		enabled, watched = enabled || part.Enable, watched || part.Watchdog
	}
	if !enabled {
		add(-1, -1, "Parts", "no part of the drive path opens when drive_enable is low: the board could not stop the drive")
	}
	if path.WatchdogMS < 0 || watched && path.WatchdogMS == 0 {
		add(-1, -1, "WatchdogMS", "is %d ms, where a part is opened by the watchdog: %t", path.WatchdogMS, watched)
	}
}
