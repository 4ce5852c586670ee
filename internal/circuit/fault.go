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
	// BridgedToOutput: a pin is connected to an output of the board.
	BridgedToOutput
)

// String returns the kind in a few words, without saying where.
func (k FaultKind) String() string {
	return word([]string{"no fault", "signal wire open", "signal wire shorted to ground",
		"signal wire shorted to supply", "return wire open", "return wire shorted to the other rail",
		"contact stuck open", "contact stuck closed", "pull missing", "pull shorted",
		"pin stuck low", "pin stuck high", "pins bridged", "pin bridged to an output"}, int(k))
}

// Place is a channel: the index of its circuit and its index in that circuit.
type Place struct {
	Circuit int
	Channel int
	Pin     int
}

// Fault is one fault at one place.
type Fault struct {
	Kind FaultKind
	// Places has the channels at fault: none for NoFault, one for most kinds,
	// two for PinsBridged, and for a return every channel that uses it.
	Places []Place
	// Rail is the rail that the return at fault leads to.
	Rail Rail
	// Output is the output that a pin is bridged to.
	Output Output
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
	case BridgedToOutput:
		return fmt.Sprintf("%s bridged to output %s (pin %d)", where, f.Output.Name, f.Output.Pin)
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

// job is one row to be evaluated: a fault and the circuits that it touches.
type job struct {
	fault Fault
	about []int
}

// jobs lists every row in table order: circuit by circuit the healthy state,
// each channel's own faults and bridges to outputs, the return that two
// channels of one circuit share, and their bridge; then the returns that
// circuits share; then the bridges between circuits, in order of the pins as
// given.
func jobs(b Board, circuits []Circuit) []job {
	var list []job
	users := returnUsers(circuits)
	for i, c := range circuits {
		about := []int{i}
		list = append(list, job{Fault{Kind: NoFault}, about})
		for j, ch := range c.Channels {
			here := []Place{{i, j, ch.Pin}}
			for _, k := range channelFaults(ch, len(users[ch.Return]) > 1) {
				list = append(list, job{Fault{Kind: k, Places: here, Rail: ch.WiredTo}, about})
			}
			for _, o := range b.Outputs {
				list = append(list, job{Fault{Kind: BridgedToOutput, Places: here, Output: o}, about})
			}
		}
		if len(c.Channels) == 2 {
			a, b := c.Channels[0], c.Channels[1]
			if a.Return == b.Return && len(users[a.Return]) == 2 {
				list = append(list, returnJobs(users[a.Return], a.WiredTo)...)
			}
			list = append(list, bridgeJob(Place{i, 0, a.Pin}, Place{i, 1, b.Pin}))
		}
	}
	list = append(list, sharedReturnJobs(circuits, users)...)
	return append(list, outerBridgeJobs(circuits)...)
}

// channelFaults lists the kinds that one channel can have by itself.
func channelFaults(ch Channel, sharesReturn bool) []FaultKind {
	kinds := []FaultKind{SignalOpen, SignalToGround, SignalToSupply}
	if !sharesReturn {
		kinds = append(kinds, ReturnOpen, ReturnShorted)
	}
	kinds = append(kinds, ContactStuckOpen, ContactStuckClosed)
	if ch.Pull != PullNone {
		kinds = append(kinds, PullOpen)
	}
	if ch.PullOhm > 0 {
		kinds = append(kinds, PullShorted)
	}
	return append(kinds, PinStuckLow, PinStuckHigh)
}

// returnUsers lists the channels of every named return.
func returnUsers(circuits []Circuit) map[string][]Place {
	users := map[string][]Place{}
	for i, c := range circuits {
		for j, ch := range c.Channels {
			if ch.Return != "" {
				users[ch.Return] = append(users[ch.Return], Place{i, j, ch.Pin})
			}
		}
	}
	return users
}

// returnJobs lists the faults of one shared return.
func returnJobs(places []Place, rail Rail) []job {
	var about []int
	for _, p := range places {
		if len(about) == 0 || about[len(about)-1] != p.Circuit {
			about = append(about, p.Circuit)
		}
	}
	return []job{
		{Fault{Kind: ReturnOpen, Places: places, Rail: rail}, about},
		{Fault{Kind: ReturnShorted, Places: places, Rail: rail}, about},
	}
}

// sharedReturnJobs lists the faults of the returns that different circuits
// share, each where it is first met.
func sharedReturnJobs(circuits []Circuit, users map[string][]Place) []job {
	var list []job
	for i, c := range circuits {
		for j, ch := range c.Channels {
			places := users[ch.Return]
			if len(places) < 2 || places[0] != (Place{i, j, ch.Pin}) || places[len(places)-1].Circuit == i {
				continue
			}
			list = append(list, returnJobs(places, ch.WiredTo)...)
		}
	}
	return list
}

// bridgeJob is the bridge between two pins.
func bridgeJob(a, b Place) job {
	about := []int{a.Circuit}
	if b.Circuit != a.Circuit {
		about = append(about, b.Circuit)
	}
	return job{Fault{Kind: PinsBridged, Places: []Place{a, b}}, about}
}

// outerBridgeJobs lists the bridges between pins of different circuits.
func outerBridgeJobs(circuits []Circuit) []job {
	var all []Place
	for i, c := range circuits {
		for j, ch := range c.Channels {
			all = append(all, Place{i, j, ch.Pin})
		}
	}
	var list []job
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.Circuit != b.Circuit {
				list = append(list, bridgeJob(a, b))
			}
		}
	}
	return list
}
