package circuit

// This file lists the single faults. Each is one change to the circuit model
// (see model.go); none carries its consequence with it.

import (
	"fmt"
	"slices"
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
	// BridgedToOutput: a pin is connected to an output of the board. Where that enables
	// the drive, the pin may hold it up while the board holds it low.
	BridgedToOutput
	// SeriesShorted: the resistor in a return conductor is bridged.
	SeriesShorted
	// SignalToReturn: a signal wire is shorted to the contact's end of a return
	// conductor that has a resistor at its other end: that of its own contact or of
	// another. (Of one without a resistor it is the short to that rail.)
	SignalToReturn
	// ReturnsBridged: the contacts' ends of two return conductors are connected, of
	// which one at least has a resistor. (Without one it is a short of the rails, or
	// changes nothing.)
	ReturnsBridged
	// ActuatorJammed: what moves the contacts sticks in its run position (jammed, taped
	// down, clenched): every contact that it moves, and every pole, stays as it is for run.
	ActuatorJammed
	// CableToGround and CableToSupply: the cable of both channels is crushed, and both
	// signal wires are shorted to a rail. CableToReturns: each is shorted to the return wire
	// beside it, which reads as both contacts closed. CableCut: it is cut.
	CableToGround
	CableToSupply
	CableToReturns
	CableCut
	// ConnectorOff: the connector of both channels is off.
	ConnectorOff
	// FeedsLost: the rail at the far side of both contacts is lost, at its common end.
	FeedsLost
	// ProcessorHalted: the program no longer runs, and the output drive_enable stays high.
	ProcessorHalted
	// EnableHeldHigh: the output stage of drive_enable has failed, or its line is shorted
	// to a supply.
	EnableHeldHigh
	// EnableToGround: the line is shorted to ground.
	EnableToGround
	// EnableOpen: the line is broken, before it branches to the parts.
	EnableOpen
	// BranchOpen: the branch of the line to one of several parts is broken.
	BranchOpen
	// PartStuckOn: a part of the drive path no longer opens (welded, shorted through, its
	// coil or input fed from elsewhere).
	PartStuckOn
	// PartStuckOff: it no longer conducts.
	PartStuckOff
	// RestMissing: the resistor that holds a semiconductor off is not there.
	RestMissing
	// PoleStuckClosed: the pole by which a hold opens a part no longer opens.
	PoleStuckClosed
	// WatchdogDead: the watchdog no longer acts.
	WatchdogDead
	lastFault = WatchdogDead
	// loaded is a step of the written test: a resistor from a pin to Rail.
	loaded = lastFault + 1
	// lifted is a step: the line is taken off at a part, and the open input is joined to the
	// supply by so much that a resistor there holds it off, and a floating input follows.
	lifted = lastFault + 2
)

// String returns the kind in a few words, without saying where.
func (k FaultKind) String() string {
	return word([]string{"no fault", "signal wire open", "signal wire shorted to ground",
		"signal wire shorted to supply", "return wire open", "return wire shorted to the other rail",
		"contact stuck open", "contact stuck closed", "pull missing", "pull shorted",
		"pin stuck low", "pin stuck high", "pins bridged", "pin bridged to an output", "series resistor shorted",
		"signal wire shorted to a return wire", "return wires bridged",
		"actuator jammed in run", "cable crushed, both signal wires shorted to ground",
		"cable crushed, both signal wires shorted to supply", "cable crushed, each signal wire shorted to its return", "cable cut", "connector off", "rail of both contacts lost",
		"program halted with drive_enable high", "drive_enable held high", "drive_enable line shorted to ground", "drive_enable line broken", "drive_enable line broken at a part",
		"part stuck on", "part stuck off", "resistor that holds a part off missing", "pole stuck closed", "watchdog dead"}, int(k))
}

// ofPath tells whether faults of the kind lie behind the pins: in the processor, the
// line or the drive path.
func (k FaultKind) ofPath() bool { return k >= ProcessorHalted }

// common tells whether one cause of the kind takes both channels.
func (k FaultKind) common() bool { return k >= CableToGround && k <= FeedsLost }

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
	// two for PinsBridged, and for a return every channel that uses it. For
	// SignalToReturn the channel with the signal wire comes first, then the first
	// user of the return; for ReturnsBridged the first user of each.
	Places []Place
	// Rail is the rail that the return at fault leads to.
	Rail Rail
	// Output is the output that a pin is bridged to.
	Output Output
	// Part is the index of the part of the drive path at fault, and PartName its name.
	Part     int
	PartName string
	// Hold is the index of the circuit of which a pole is at fault, and HoldName its name.
	Hold     int
	HoldName string
	// LoadOhm is the resistor of a step that loads a pin.
	LoadOhm int64
}

// faults are single changes of the circuits that are there together: what one cause
// does, and what a test adds to it.
type faults []Fault

// elementary returns the single changes of which a fault consists.
func (f Fault) elementary(circuits []Circuit) faults {
	each := func(k FaultKind) faults {
		var all faults
		for _, p := range f.Places {
			all = append(all, Fault{Kind: k, Places: []Place{p}, Rail: f.Rail})
		}
		return all
	}
	switch f.Kind {
	case CableToGround:
		return each(SignalToGround)
	case CableToSupply:
		return each(SignalToSupply)
	case CableToReturns:
		var all faults
		for _, p := range f.Places {
			all = append(all, Fault{Kind: SignalToReturn, Places: []Place{p, p}})
		}
		return all
	case CableCut, ConnectorOff:
		return append(each(SignalOpen), Fault{Kind: ReturnOpen, Places: f.sharing(circuits), Rail: f.Rail})
	case FeedsLost:
		return faults{{Kind: ReturnOpen, Places: f.sharing(circuits), Rail: f.Rail}}
	case ActuatorJammed:
		all := faults{f} // for the poles
		for _, p := range f.Places {
			c := circuits[p.Circuit]
			stuck := ContactStuckOpen
			if c.Channels[p.Channel].Contact.closed(c.Kind, DemandRun) {
				stuck = ContactStuckClosed
			}
			all = append(all, Fault{Kind: stuck, Places: []Place{p}})
		}
		return all
	default:
		return faults{f}
	}
}

// sharing lists the channels that lose their return with those at fault.
func (f Fault) sharing(circuits []Circuit) []Place {
	users := returnUsers(circuits)
	var list []Place
	for _, p := range f.Places {
		if name := circuits[p.Circuit].Channels[p.Channel].Return; name != "" {
			list = append(list, users[name]...)
		} else {
			list = append(list, p)
		}
	}
	return list
}

// is tells whether a fault of the kind k is at the place p.
func (fs faults) is(k FaultKind, p Place) bool {
	return slices.ContainsFunc(fs, func(f Fault) bool { return f.Kind == k && slices.Contains(f.Places, p) })
}

// has tells whether a fault of the kind k is there.
func (fs faults) has(k FaultKind) bool {
	return slices.ContainsFunc(fs, func(f Fault) bool { return f.Kind == k })
}

// part tells whether a fault of the kind k is at a part of the path.
func (fs faults) part(k FaultKind, part int) bool {
	return slices.ContainsFunc(fs, func(f Fault) bool { return f.Kind == k && f.Part == part })
}

// poleHeld tells whether the pole of a hold at a part does not open.
func (fs faults) poleHeld(part, hold int) bool {
	return slices.ContainsFunc(fs, func(f Fault) bool {
		return f.Kind == PoleStuckClosed && f.Part == part && f.Hold == hold || f.Kind == ActuatorJammed && f.Places[0].Circuit == hold
	})
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
	case SignalToReturn:
		if f.Places[0] == f.Places[1] {
			return fmt.Sprintf("signal wire shorted to its return, pin %s", pins[0])
		}
		return fmt.Sprintf("signal of pin %s shorted to return of pin %s", pins[0], pins[1])
	case ReturnsBridged:
		return fmt.Sprintf("returns of pins %s bridged", strings.Join(pins, " and "))
	case ActuatorJammed:
		return "actuator jammed in run, " + where
	case CableToGround, CableToSupply, CableToReturns, CableCut, ConnectorOff, FeedsLost:
		return f.Kind.String() + ", " + where
	case PartStuckOn:
		return f.PartName + " stuck on"
	case PartStuckOff:
		return f.PartName + " stuck off"
	case BranchOpen:
		return "drive_enable line broken at " + f.PartName
	case RestMissing:
		return "resistor that holds " + f.PartName + " off missing"
	case PoleStuckClosed:
		return fmt.Sprintf("pole of %s at %s stuck closed", f.HoldName, f.PartName)
	case ProcessorHalted, EnableHeldHigh, EnableToGround, EnableOpen, WatchdogDead:
		return f.Kind.String()
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

// what names the fault without its place, for a table.
func (f Fault) what() string {
	switch f.Kind {
	case BridgedToOutput:
		return fmt.Sprintf("bridged to %s (pin %d)", f.Output.Name, f.Output.Pin)
	case ReturnOpen:
		if f.Rail == Supply {
			return "supply feed open"
		}
		return "ground return open"
	case ReturnShorted:
		if f.Rail == Supply {
			return "supply feed to ground"
		}
		return "ground return to supply"
	case SignalToReturn:
		if f.Places[0] == f.Places[1] {
			return "signal to its own return"
		}
		return "signal to return of"
	case CableToGround:
		return "cable crushed to ground"
	case CableToSupply:
		return "cable crushed to supply"
	case CableToReturns:
		return "cable crushed to returns"
	case PartStuckOn, PartStuckOff, PoleStuckClosed, BranchOpen, RestMissing:
		return f.String()
	default:
		return strings.NewReplacer("signal wire shorted to", "signal wire to", "actuator jammed in run", "actuator jammed").Replace(f.Kind.String())
	}
}

// where names the pins at fault, for a table.
func (f Fault) where() string {
	var pins []string
	for _, p := range f.Places {
		pins = append(pins, fmt.Sprint(p.Pin))
	}
	if f.Kind == SignalToReturn && f.Places[0] == f.Places[1] {
		pins = pins[:1]
	}
	return strings.Join(pins, "-")
}

// job is one row to be evaluated: a fault and the circuits that it touches.
type job struct {
	fault Fault
	about []int
}

// jobs lists every row in table order: circuit by circuit the healthy state,
// each channel's own faults and bridges to outputs, the return that two
// channels of one circuit share, their bridge, shorts to and between their
// returns, the actuator, and what takes both channels; then the returns that circuits
// share; then what bridges circuits, in order of the pins as given; then the drive path.
func jobs(b Board, circuits []Circuit, path Path) []job {
	const usual = 64 // rows, so that the list grows little
	list := make([]job, 0, usual)
	users := returnUsers(circuits)
	crossed := crossings(circuits, users)
	for i, c := range circuits {
		about := []int{i}
		list = append(list, job{Fault{Kind: NoFault}, about})
		for j, ch := range c.Channels {
			here := []Place{{i, j, ch.Pin}}
			for _, k := range channelFaults(ch, len(users[ch.Return]) > 1) {
				f := Fault{Kind: k, Places: here, Rail: ch.WiredTo}
				list = append(list, job{f, f.touching(circuits, users)})
			}
			for _, o := range b.Outputs {
				list = append(list, job{Fault{Kind: BridgedToOutput, Places: here, Output: o}, lifting(circuits, users, here)})
			}
		}
		if len(c.Channels) == 2 {
			a, b := c.Channels[0], c.Channels[1]
			if a.Return == b.Return && len(users[a.Return]) == 2 {
				list = append(list, returnJobs(users[a.Return], a)...)
			}
			list = append(list, bridgeJob(circuits, users, Place{i, 0, a.Pin}, Place{i, 1, b.Pin}))
		}
		for _, j := range crossed {
			if len(j.about) == 1 && j.about[0] == i {
				list = append(list, j)
			}
		}
		list = append(list, actuatorJobs(i, c)...)
		list = append(list, commonJobs(i, circuits)...)
	}
	list = append(list, sharedReturnJobs(circuits, users)...)
	list = append(list, outerBridgeJobs(circuits, users)...)
	for _, j := range crossed {
		if len(j.about) > 1 {
			list = append(list, j)
		}
	}
	return append(list, pathJobs(circuits, path)...)
}

// places lists the channels of a circuit.
func (c Circuit) places(i int) []Place {
	var list []Place
	for j, ch := range c.Channels {
		list = append(list, Place{i, j, ch.Pin})
	}
	return list
}

// actuatorJobs lists the actuators of a circuit: one, or one of each channel.
func actuatorJobs(i int, c Circuit) []job {
	places := c.places(i)
	if len(places) == 1 || c.CommonCause.Actuator {
		return []job{{Fault{Kind: ActuatorJammed, Places: places}, []int{i}}}
	}
	var list []job
	for _, p := range places {
		list = append(list, job{Fault{Kind: ActuatorJammed, Places: []Place{p}}, []int{i}})
	}
	return list
}

// commonJobs lists what one cause does to both channels of a circuit. A return in the
// cable that other circuits share is lost to them as well.
func commonJobs(i int, circuits []Circuit) []job {
	c := circuits[i]
	if len(c.Channels) < 2 {
		return nil
	}
	a, b := c.Channels[0], c.Channels[1]
	var kinds []FaultKind
	if c.CommonCause.Cable {
		kinds = append(kinds, CableToGround, CableToSupply)
		// To one rail without a resistor, it is the same as one of these.
		if a.WiredTo != b.WiredTo || a.SeriesOhm > 0 || b.SeriesOhm > 0 {
			kinds = append(kinds, CableToReturns)
		}
		kinds = append(kinds, CableCut)
	}
	if c.CommonCause.Connector {
		kinds = append(kinds, ConnectorOff)
	}
	// A return of both has a row of its own, and two rails are not lost at once.
	if c.CommonCause.Supply && a.WiredTo == b.WiredTo && (a.Return == "" || a.Return != b.Return) {
		kinds = append(kinds, FeedsLost)
	}
	var list []job
	for _, k := range kinds {
		f := Fault{Kind: k, Places: c.places(i), Rail: a.WiredTo}
		about := circuitsOf(f.sharing(circuits))
		if k == CableToGround || k == CableToSupply {
			about = f.touching(circuits, returnUsers(circuits))
		}
		list = append(list, job{f, about})
	}
	return list
}

// pathJobs lists the faults of the processor, the line and the drive path. They are
// about every circuit.
func pathJobs(circuits []Circuit, path Path) []job {
	var all []int
	for i := range circuits {
		all = append(all, i)
	}
	list := []job{
		{Fault{Kind: ProcessorHalted}, all}, {Fault{Kind: EnableHeldHigh}, all},
		{Fault{Kind: EnableToGround}, all}, {Fault{Kind: EnableOpen}, all},
	}
	branches := 0
	for _, part := range path.Parts {
		if part.Enable {
			branches++
		}
	}
	for i, part := range path.Parts {
		add := func(k FaultKind) { list = append(list, job{Fault{Kind: k, Part: i, PartName: part.Name}, all}) }
		if part.Enable && branches > 1 {
			add(BranchOpen)
		}
		if part.Kind != Pole {
			add(PartStuckOn)
		}
		if part.rests() {
			add(RestMissing)
		}
		for _, h := range part.Holds {
			list = append(list, job{Fault{Kind: PoleStuckClosed, Part: i, PartName: part.Name, Hold: h, HoldName: circuits[h].Name}, all})
		}
		add(PartStuckOff)
	}
	if slices.ContainsFunc(path.Parts, func(p Part) bool { return p.Watchdog }) {
		list = append(list, job{Fault{Kind: WatchdogDead}, all})
	}
	return list
}

// crossings lists the shorts of signal wires to returns and of returns to one
// another that a resistor makes different from shorts to the rails.
func crossings(circuits []Circuit, users map[string][]Place) []job {
	type conductor struct {
		places []Place // of its users
		series int64
	}
	var all []Place
	var returns []conductor
	for i, c := range circuits {
		for j, ch := range c.Channels {
			p := Place{i, j, ch.Pin}
			all = append(all, p)
			switch shared := users[ch.Return]; {
			case ch.Return == "":
				returns = append(returns, conductor{[]Place{p}, ch.SeriesOhm})
			case shared[0] == p:
				returns = append(returns, conductor{shared, ch.SeriesOhm})
			}
		}
	}
	var list []job
	for _, signal := range all {
		for _, r := range returns {
			if r.series > 0 {
				list = append(list, job{Fault{Kind: SignalToReturn, Places: []Place{signal, r.places[0]}}, lifting(circuits, users, append([]Place{signal}, r.places...))})
			}
		}
	}
	for i, one := range returns {
		for _, other := range returns[i+1:] {
			if one.series > 0 || other.series > 0 {
				list = append(list, job{Fault{Kind: ReturnsBridged, Places: []Place{one.places[0], other.places[0]}}, circuitsOf(slices.Concat(one.places, other.places))})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b job) int { return slices.Compare(a.about, b.about) })
	return list
}

// touching lists the circuits of a fault of channels of one circuit: that, and those of which
// a short to the other rail lifts the return.
func (f Fault) touching(circuits []Circuit, users map[string][]Place) []int {
	list := []int{f.Places[0].Circuit}
	for _, p := range f.Places {
		ch := circuits[p.Circuit].Channels[p.Channel]
		var to Rail
		switch f.Kind {
		case SignalToGround, CableToGround:
			to = Ground
		case SignalToSupply, CableToSupply:
			to = Supply
		case PullShorted:
			to = ch.Pull.rail()
		default:
			return list
		}
		if to != ch.WiredTo {
			list = append(list, lifting(circuits, users, []Place{p})...)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// lifting lists the circuits of places that a fault connects, and those that it may lift the
// return of: more current through a common one draws every closed contact on it away from
// its rail. One that opens to stop then reads stop sooner; one that closes to stop may no
// longer, and the fault is about that circuit as well.
func lifting(circuits []Circuit, users map[string][]Place, places []Place) []int {
	all := slices.Clone(places)
	for _, p := range places {
		name := circuits[p.Circuit].Channels[p.Channel].Return
		for _, other := range users[name] {
			c := circuits[other.Circuit]
			if name != "" && c.Channels[other.Channel].Contact.closed(c.Kind, DemandStop) {
				all = append(all, other)
			}
		}
	}
	return circuitsOf(all)
}

// circuitsOf lists the circuits of places, each once, in table order.
func circuitsOf(places []Place) []int {
	var list []int
	for _, p := range places {
		list = append(list, p.Circuit)
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// channelFaults lists the kinds that one channel can have by itself.
func channelFaults(ch Channel, sharesReturn bool) []FaultKind {
	kinds := []FaultKind{SignalOpen, SignalToGround, SignalToSupply}
	if !sharesReturn {
		kinds = append(kinds, ReturnOpen, ReturnShorted)
		if ch.SeriesOhm > 0 {
			kinds = append(kinds, SeriesShorted)
		}
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
func returnJobs(places []Place, first Channel) []job {
	about := circuitsOf(places)
	list := []job{
		{Fault{Kind: ReturnOpen, Places: places, Rail: first.WiredTo}, about},
		{Fault{Kind: ReturnShorted, Places: places, Rail: first.WiredTo}, about},
	}
	if first.SeriesOhm > 0 {
		list = append(list, job{Fault{Kind: SeriesShorted, Places: places, Rail: first.WiredTo}, about})
	}
	return list
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
			list = append(list, returnJobs(places, ch)...)
		}
	}
	return list
}

// bridgeJob is the bridge between two pins.
func bridgeJob(circuits []Circuit, users map[string][]Place, a, b Place) job {
	places := []Place{a, b}
	return job{Fault{Kind: PinsBridged, Places: places}, lifting(circuits, users, places)}
}

// outerBridgeJobs lists the bridges between pins of different circuits.
func outerBridgeJobs(circuits []Circuit, users map[string][]Place) []job {
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
				list = append(list, bridgeJob(circuits, users, a, b))
			}
		}
	}
	return list
}
