package circuit

// This file says what may be altered in a wiring to cure a fault: the steps of the search
// in remedy.go. A step is given by what is at fault, never by what would cure it; whether
// it does is for the model. Values of resistors are worked out beforehand, since there
// are too many to try.

import (
	"math"
	"slices"

	"merestone/internal/board"
)

const (
	// proposedDiscrepancyMS is the usual discrepancy time of the mission language; any
	// positive time gives the same rows.
	proposedDiscrepancyMS = 100
	// proposedWatchdogMS is a few of the usual loops of 20 ms (common practice, no source).
	proposedWatchdogMS = 100
	// proposedPoleOffMS is how late a pole opens at most (common practice, no source).
	proposedPoleOffMS = 10
	// mostParts and longestName are those of the mission language.
	mostParts, longestName = 16, 40
)

// shortMA are currents that a series resistor may let through a short, the usual one
// first: 10 mA are harmless to a supply and enough to keep a contact clean; less where a
// supply gives little (common practice, no source).
func shortMA() []int64 { return []int64{10, 3, 1} }

// steps lists what may be altered about one fault. What often cures most comes first:
// the rest is then soon found to be worse.
func (s *search) steps(w wiring, t target) []wiring {
	var list []wiring
	places := t.fault.Places
	switch {
	case t.fault.Kind == NoFault:
		places = w.circuits[t.about[0]].places(t.about[0])
	case t.fault.Kind.common():
		places = t.fault.sharing(w.circuits)
	}
	holds := slices.Clone(t.about)
	if t.fault.Output.EnablesDrive {
		// The poles of every other hold matter, too.
		for i := range w.circuits {
			if !slices.Contains(holds, i) {
				holds = append(holds, i)
			}
		}
	}
	if t.fault.Kind.ofPath() {
		holds = t.unstopped
		list = append(list, pathSteps(w)...)
	}
	if t.number != alike {
		for _, h := range holds {
			list = append(list, poleSteps(w, h)...)
		}
	}
	for _, p := range places {
		list = append(list, s.channelSteps(w, p)...)
	}
	if t.fault.Kind != NoFault && !t.fault.Kind.ofPath() {
		for _, h := range holds {
			list = append(list, s.secondChannelSteps(w, h)...)
		}
	}
	return list
}

// channelSteps lists other ways to wire a contact to a pin, of which the board, alone
// with this channel, can tell run from stop.
func (s *search) channelSteps(w wiring, p Place) []wiring {
	var list []wiring
	kind, old := w.circuits[p.Circuit].Kind, w.circuits[p.Circuit].Channels[p.Channel]
	for _, ch := range s.variants(old) {
		if ch == old || !s.room.pulls(ch) || !s.tells(kind, ch) {
			continue
		}
		list = append(list, w.withChannel(p, ch))
	}
	return list
}

// variants lists ways to wire a channel, those with fewer changes first: the rail, the
// contact and the pull turned over, the resistors changed. To the other rail goes a
// conductor of its own.
func (s *search) variants(old Channel) []Channel {
	var list []Channel
	const pull, contact, rail = 1, 2, 4
	for _, flips := range []int{0, pull, contact, pull | rail, pull | contact, rail, contact | rail, pull | contact | rail} {
		ch := old
		if flips&contact != 0 {
			ch.Contact = ch.Contact.other()
		}
		if flips&rail != 0 {
			ch.WiredTo, ch.Return = ch.WiredTo.other(), ""
		}
		if flips&pull != 0 {
			ch.Pull = ch.Pull.other(ch.WiredTo)
		}
		list = append(list, s.withResistors(ch, flips == 0)...)
		if ch.Return != "" {
			ch.Return = ""
			list = append(list, s.withResistors(ch, flips == 0)...)
		}
	}
	return list
}

// withResistors lists a channel as it is and with other pulls, and, where it is given so,
// both with other series resistors.
func (s *search) withResistors(ch Channel, others bool) []Channel {
	var list []Channel
	series := []int64{ch.SeriesOhm}
	if others {
		for _, mA := range shortMA() {
			series = append(series, e12AtLeast(float64(s.board.SupplyMV)/float64(mA)))
		}
	}
	for _, ohm := range series {
		fitted := ch
		fitted.SeriesOhm = ohm
		list = append(list, fitted)
		if ch.Pull == PullNone {
			continue
		}
		if fitted.PullOhm > 0 {
			internal := fitted
			internal.PullOhm = 0
			list = append(list, internal)
		}
		for _, pull := range s.pullOhms(fitted) {
			external := fitted
			external.PullOhm = pull
			list = append(list, external)
		}
	}
	return list
}

// pullOhms returns the E12 value in the middle, by ratio, of the external pulls with
// which a channel keeps its levels; none where there is none.
//
// Contact closed, pull p and series resistor s divide the supply V, and the pin must stay
// on the contact's side of the threshold that lies t from its rail: s·V/(s+p) < t, so
// p > s·(V/t-1). Contact open, input leakage and the leaking contact, at most V/o, flow
// through the pull, and the pin must stay within u of the pull's rail: p < u/(i + V/o).
func (s *search) pullOhms(ch Channel) []int64 {
	b := s.board
	v := float64(b.SupplyMV)
	near, far := float64(b.LowBelowMV), float64(b.SupplyMV-b.HighAboveMV)
	if ch.WiredTo == Supply {
		near, far = far, near
	}
	tolerance := float64(b.ResistorPPM) / million
	series := float64(float64(ch.SeriesOhm)*(1+tolerance)) + float64(2*b.WireOhm+b.ContactClosedOhm)
	least := series * (v/near - 1) / (1 - tolerance)
	most := far / (float64(float64(b.LeakageNA)*mAPerNA) + v/float64(b.ContactOpenOhm)) / (1 + tolerance)
	if most <= least {
		return nil
	}
	return []int64{e12AtLeast(math.Sqrt(least * most))}
}

// e12AtLeast is the least value of the series E12 (IEC 60063, from memory) that is no
// less than the given one, in whole ohms from 10 Ω on.
func e12AtLeast(ohm float64) int64 {
	const most = 1_000_000_000
	for decade := int64(1); decade < most; decade *= 10 {
		for _, value := range []int64{10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82} {
			if float64(value*decade) >= ohm {
				return value * decade
			}
		}
	}
	return most
}

// tells tells whether the board could tell run from stop by a channel alone.
func (s *search) tells(kind board.HoldKind, ch Channel) bool {
	ch.Return = ""
	key := Circuit{Kind: kind, Channels: []Channel{ch}}.signature()
	if known, ok := s.telling[key]; ok {
		return known
	}
	a := newAnalysis(s.board, []Circuit{{Name: "it", Kind: kind, Channels: []Channel{ch}}}, Path{})
	s.telling[key] = a.allDistinct([]int{0})
	return s.telling[key]
}

// other returns the opposite pull; for none, the one away from the rail.
func (p Pull) other(contact Rail) Pull {
	switch {
	case p == PullUp, p == PullNone && contact == Supply:
		return PullDown
	default:
		return PullUp
	}
}

// other returns the other kind of contact.
func (c Contact) other() Contact {
	if c == NormallyOpen {
		return NormallyClosed
	}
	return NormallyOpen
}

// withChannel returns a wiring with one channel replaced. All that share its conductor
// share its series resistor.
func (w wiring) withChannel(p Place, ch Channel) wiring {
	changed := w.clone()
	for i := range changed.circuits {
		for j := range changed.circuits[i].Channels {
			other := &changed.circuits[i].Channels[j]
			if ch.Return != "" && other.Return == ch.Return {
				other.SeriesOhm = ch.SeriesOhm
			}
		}
	}
	changed.circuits[p.Circuit].Channels[p.Channel] = ch
	return changed
}

// secondChannelSteps lists ways to add a channel to a hold that has one: of the same kind
// to either rail, or of the other kind. The worst is assumed of what both have in common;
// or, where that does not do, a cable and a connector of its own are ordered.
func (s *search) secondChannelSteps(w wiring, hold int) []wiring {
	c := w.circuits[hold]
	pin, free := s.freePin(w)
	if len(c.Channels) != 1 || !free || w.contacts() >= board.MaxHolds {
		return nil
	}
	same := c.Channels[0]
	same.Pin, same.Return = pin, ""
	otherRail, otherContact := same, same
	otherRail.WiredTo, otherRail.Pull = same.WiredTo.other(), same.Pull.other(same.WiredTo)
	otherContact.Contact = same.Contact.other()
	var list []wiring
	for _, ch := range []Channel{same, otherRail, otherContact} {
		if ch.PullOhm == 0 && !s.room.pulls(ch) {
			if pulls := s.pullOhms(ch); len(pulls) > 0 {
				ch.PullOhm = pulls[0]
			}
		}
		if !s.room.pulls(ch) || !s.tells(c.Kind, ch) {
			continue
		}
		for _, cause := range []CommonCause{{true, true, true, true}, {Supply: true, Actuator: true}} {
			changed := w.clone()
			to := &changed.circuits[hold]
			to.Channels = append(to.Channels, ch)
			to.DiscrepancyMS, to.CommonCause = proposedDiscrepancyMS, cause
			list = append(list, changed)
		}
	}
	return list
}

// freePin returns the first pin of those free that the wiring does not read.
func (s *search) freePin(w wiring) (int, bool) {
	for _, pin := range s.room.FreePins {
		if !w.reads(pin) && !slices.ContainsFunc(s.board.Outputs, func(o Output) bool { return o.Pin == pin }) {
			return pin, true
		}
	}
	return 0, false
}

// reads tells whether a channel reads the pin.
func (w wiring) reads(pin int) bool {
	return slices.ContainsFunc(w.circuits, func(c Circuit) bool {
		return slices.ContainsFunc(c.Channels, func(ch Channel) bool { return ch.Pin == pin })
	})
}

// contacts counts the contacts that the board reads.
func (w wiring) contacts() int {
	n := 0
	for _, c := range w.circuits {
		n += len(c.Channels)
	}
	return n
}

// poleSteps lists ways in which a hold can open the path without the board: a pole in the
// current of a relay's coil, or one in the motors' current.
func poleSteps(w wiring, hold int) []wiring {
	var list []wiring
	room := len(w.path.Parts) < mostParts
	for i, part := range w.path.Parts {
		if slices.Contains(part.Holds, hold) || part.Kind == Semiconductor || part.Kind == Pole && room {
			continue
		}
		changed := w.clone()
		changed.path.Parts[i].Holds = append(changed.path.Parts[i].Holds, hold)
		slices.Sort(changed.path.Parts[i].Holds)
		list = append(list, changed)
	}
	if room {
		changed := w.clone()
		changed.path.Parts = append(changed.path.Parts, Part{
			Name: w.partName(w.circuits[hold].Name + " pole"), Kind: Pole, Holds: []int{hold}, OffMS: proposedPoleOffMS,
		})
		list = append(list, changed)
	}
	return list
}

// pathSteps lists what else may be done in the drive path: a watchdog that opens a part,
// a resistor that holds one off.
func pathSteps(w wiring) []wiring {
	var list []wiring
	for i, part := range w.path.Parts {
		if part.Kind == Semiconductor && !part.PulledOff {
			changed := w.clone()
			changed.path.Parts[i].PulledOff = true
			list = append(list, changed)
		}
		if part.Kind != Pole && !part.Watchdog {
			changed := w.clone()
			changed.path.Parts[i].Watchdog = true
			if part.Kind == Semiconductor {
				changed.path.Parts[i].PulledOff = true // without which a reset leaves it floating
			}
			if w.path.WatchdogMS == 0 {
				changed.path.WatchdogMS = proposedWatchdogMS
			}
			list = append(list, changed)
		}
	}
	return list
}
