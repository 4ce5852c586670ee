package circuit

// This file lists the single faults. Each is one change to the circuit model
// (see model.go); none carries its consequence with it.

import (
	"fmt"
	"strings"
)

// FaultKind is the nature of a single fault.
type FaultKind int

const (
	// NoFault is the healthy circuit.
	NoFault FaultKind = iota
	// SignalOpen: the wire from pin to contact is broken or unplugged.
	SignalOpen
	// SignalToGround: that wire is shorted to ground.
	SignalToGround
	// SignalToSupply: that wire is shorted to the supply.
	SignalToSupply
	// ReturnOpen: the conductor from contact to rail is broken: the ground
	// return, or the feed from the supply.
	ReturnOpen
	// ReturnShorted: that conductor is shorted to the other rail.
	ReturnShorted
	// ContactStuckOpen: the contact never closes (dirt, broken actuator).
	ContactStuckOpen
	// ContactStuckClosed: the contact never opens (welded, jammed). Holds any
	// pole in the drive's supply closed too.
	ContactStuckClosed
	// PullOpen: the pull resistor is broken, or was never switched on.
	PullOpen
	// PullShorted: an external pull resistor is shorted to its rail.
	PullShorted
	// PinStuckLow: the input circuit is damaged and reads low whatever the
	// voltage.
	PinStuckLow
	// PinStuckHigh: the same, high.
	PinStuckHigh
	// PinsBridged: two pins are connected (solder, a strand of wire, water).
	PinsBridged
)

// FaultKinds lists every kind of fault in table order, NoFault first.
func FaultKinds() []FaultKind {
	kinds := make([]FaultKind, 0, int(PinsBridged)+1)
	for k := NoFault; k <= PinsBridged; k++ {
		kinds = append(kinds, k)
	}
	return kinds
}

// String returns the kind in a few words, without saying where.
func (k FaultKind) String() string {
	return word([]string{"no fault", "signal wire open", "signal wire shorted to ground",
		"signal wire shorted to supply", "return wire open", "return wire shorted to the other rail",
		"contact stuck open", "contact stuck closed", "pull missing", "pull shorted",
		"pin stuck low", "pin stuck high", "pins bridged"}, int(k))
}

// Place is a channel: the index of its circuit and its index in that circuit.
type Place struct {
	Circuit int `json:"circuit"`
	Channel int `json:"channel"`
	Pin     int `json:"pin"`
}

// Fault is one fault at one place.
type Fault struct {
	Kind FaultKind `json:"kind"`
	// Places has the channels at fault: none for NoFault, one for most kinds,
	// two for PinsBridged, and for a return every channel that uses it.
	Places []Place `json:"places,omitempty"`
	// Rail is the rail that the return at fault leads to.
	Rail Rail `json:"-"`
}

// String names the fault and where it is.
func (f Fault) String() string {
	pins := make([]string, len(f.Places))
	for i, p := range f.Places {
		pins[i] = fmt.Sprint(p.Pin)
	}
	where := "pin " + strings.Join(pins, ", ")
	if len(pins) > 1 {
		where = "pins " + strings.Join(pins, ", ")
	}
	switch f.Kind {
	case NoFault:
		return "no fault"
	case PinsBridged:
		return fmt.Sprintf("pins %s bridged", strings.Join(pins, " and "))
	case PinStuckLow:
		return where + " stuck low"
	case PinStuckHigh:
		return where + " stuck high"
	case ReturnOpen:
		if f.Rail == Supply {
			return "supply feed open, " + where
		}
		return "ground return open, " + where
	case ReturnShorted:
		if f.Rail == Supply {
			return "supply feed shorted to ground, " + where
		}
		return "ground return shorted to supply, " + where
	default:
		return f.Kind.String() + ", " + where
	}
}

// faults lists every single fault in table order: circuit by circuit and
// channel by channel, then the returns that circuits share, then the bridges
// between circuits.
func faults(circuits []Circuit) []Fault {
	var list, shared, bridges []Fault
	var all []Place
	seen := map[string]bool{}
	for i, c := range circuits {
		list = append(list, Fault{Kind: NoFault, Places: []Place{}})
		_ = i
		for j, ch := range c.Channels {
			here := Place{i, j, ch.Pin}
			for _, k := range channelFaults(ch) {
				list = append(list, Fault{Kind: k, Places: []Place{here}})
			}
			_ = seen
			all = append(all, here)
		}
	}
	return append(append(list, shared...), bridges...)
}

// channelFaults lists the kinds that one channel can have by itself.
func channelFaults(ch Channel) []FaultKind {
	kinds := []FaultKind{SignalOpen, SignalToGround, SignalToSupply, ContactStuckOpen, ContactStuckClosed}
	if ch.Pull != PullNone {
		kinds = append(kinds, PullOpen)
	}
	if ch.PullOhm > 0 {
		kinds = append(kinds, PullShorted)
	}
	return append(kinds, PinStuckLow, PinStuckHigh)
}
