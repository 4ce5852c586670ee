package circuit

// This file holds the way behind the pin: the parts in series between the battery and
// the motors, and what opens each of them.

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
	// part without the board: a contact in the motors' current, or in that of a relay's coil.
	Holds []int
	// OffMS is the longest time from what opens the part to the current being gone.
	OffMS int64
	// CoilDiode: a plain diode lies across the coil of a relay.
	CoilDiode bool
	// PulledOff: a resistor at its input holds a semiconductor off while nothing drives
	// the line. A relay is off without current.
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
