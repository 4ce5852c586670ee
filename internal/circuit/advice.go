package circuit

// This file finds advice for a row that is not credited. Nothing is looked up
// by circuit: changes to the wiring are tried one after another, cheapest
// first, each is evaluated by the same model, and the cheapest that cures the
// fault without making the circuit worse elsewhere is proposed, with what the
// model makes of it. Only the words on excluding a fault by construction
// depend on the kind of fault.

import (
	"fmt"
	"slices"

	"merestone/internal/board"
)

// seriesMA is the current that a proposed series resistor lets through a
// short: harmless to a supply and to a contact (common practice, no source).
const seriesMA = 10

// proposedDiscrepancyMS stands in where a second channel is tried; any
// positive time gives the same row.
const proposedDiscrepancyMS = 500

// change is one way to alter the circuits.
type change struct {
	// text is an order: "wire pin 22 normally closed to ground …".
	text     string
	circuits []Circuit
}

// advise returns what to do about a row: a change that the model has tried and
// found good, and what else is commonly done. Where no change is good the
// first is what else is commonly done, and the second empty.
func advise(b Board, circuits []Circuit, j job, row Row) (advice, otherwise string) {
	if j.fault.Kind == NoFault {
		return adviseIndistinct(b, circuits, j.about[0]), ""
	}
	otherwise = exclude(circuits, j.fault)
	before := newAnalysis(b, circuits)
	for _, equallyCheap := range changesFor(b, circuits, j) {
		best, found := LeavesRunning, ""
		for _, c := range equallyCheap {
			if outcome, better := before.try(c, j, row.Outcome); better && outcome < best {
				best, found = outcome, c.text
			}
		}
		if found != "" {
			return fmt.Sprintf("%s: by the model, then %q.", capital(found), best), otherwise + "."
		}
	}
	return capital(otherwise) + ": no single change of the wiring cures it in the model.", ""
}

// adviseIndistinct proposes the wiring that tells run from stop with the
// fewest changes.
func adviseIndistinct(b Board, circuits []Circuit, i int) string {
	levels := newAnalysis(b, circuits).runLevels[i]
	for j, ch := range circuits[i].Channels {
		if levels[j] != Undefined {
			continue
		}
		for _, v := range rewirings(ch) {
			changed := replace(circuits, Place{i, j, ch.Pin}, v)
			if validate(b, changed) == nil && newAnalysis(b, changed).runLevels[i][j] != Undefined {
				return fmt.Sprintf("Wire pin %d %s.", ch.Pin, v.wiring())
			}
		}
	}
	return "Check the thresholds against the pull, and the rail of every channel."
}

// replace returns the circuits with one channel replaced.
func replace(circuits []Circuit, p Place, ch Channel) []Circuit {
	changed := slices.Clone(circuits)
	channels := slices.Clone(changed[p.Circuit].Channels)
	channels[p.Channel] = ch
	changed[p.Circuit].Channels = channels
	return changed
}

// try evaluates a change: what the row would then be, and whether that is
// credited and no circuit of the row is worse by itself.
func (a analysis) try(c change, j job, was Outcome) (Outcome, bool) {
	if validate(a.model.board, c.circuits) != nil {
		return 0, false
	}
	after := newAnalysis(a.model.board, c.circuits)
	if !after.allDistinct(j.about) {
		return 0, false
	}
	got := after.row(j).Outcome
	if !got.Credited() {
		return got, false
	}
	for _, i := range j.about {
		before, now := a.weight(i), after.weight(i)
		if !now.improves(before, was, len(j.about) == 1) {
			return got, false
		}
	}
	return got, true
}

// weight counts the faults of one circuit by itself.
type weight struct {
	// broken counts the dangerous ones among wires and contacts that no longer
	// conduct. They come first: a conductor is far more often lost than gained,
	// hence the rule that stopping is done by breaking a circuit, not by making
	// one (closed-circuit principle).
	broken int
	// dangerous and uncredited count all such faults.
	dangerous, uncredited int
}

// improves tells whether a circuit of weight w is good to have in place of one
// of weight before, when the row to be cured was of the given outcome. alone
// says that the row's fault is one of those weighed: if their number stays, the
// change has only moved the trouble to the mirror fault.
func (w weight) improves(before weight, was Outcome, alone bool) bool {
	switch {
	case w.broken > before.broken:
		return false
	case alone && was.Dangerous():
		return w.broken < before.broken || w.dangerous < before.dangerous
	case w.dangerous > before.dangerous:
		return false
	case alone:
		return w.uncredited < before.uncredited
	default:
		return w.uncredited <= before.uncredited
	}
}

// weight evaluates every single fault of circuit i taken alone.
func (a analysis) weight(i int) weight {
	b, c := a.model.board, a.model.circuits[i]
	c.Channels = slices.Clone(c.Channels)
	for j := range c.Channels {
		c.Channels[j].Return = ""
	}
	alone := newAnalysis(b, []Circuit{c})
	var w weight
	for _, j := range jobs(b, alone.model.circuits) {
		switch j.fault.Kind {
		case NoFault, SeriesShorted, SignalToReturn, ReturnsBridged:
			// Those of a resistor are no reason against fitting one: without it the same
			// wires are shorted harder.
			continue
		}
		o := alone.row(j).Outcome
		if !o.Credited() {
			w.uncredited++
		}
		if !o.Dangerous() {
			continue
		}
		w.dangerous++
		switch j.fault.Kind {
		case SignalOpen, ReturnOpen, ContactStuckOpen:
			w.broken++
		}
	}
	return w
}

// changesFor lists the changes to try for a row, cheapest first and equally
// cheap ones together: other wiring of the same parts, one more resistor, both,
// one more pole, one more channel.
func changesFor(b Board, circuits []Circuit, j job) [][]change {
	var wiring, series, rewired, pole, channel []change
	limit := (b.SupplyMV + seriesMA - 1) / seriesMA
	seen := map[int]bool{}
	for _, p := range j.fault.Places {
		c := circuits[p.Circuit]
		ch := c.Channels[p.Channel]
		for _, v := range rewirings(ch) {
			wiring = append(wiring, change{fmt.Sprintf("wire pin %d %s", p.Pin, v.wiring()), replace(circuits, p, v)})
			v.SeriesOhm = limit
			rewired = append(rewired, change{fmt.Sprintf("wire pin %d %s through %d Ω at the board's end", p.Pin, v.wiring(), limit), replace(circuits, p, v)})
		}
		if ch.SeriesOhm == 0 {
			series = append(series, change{fmt.Sprintf("put %d Ω into the wire from %s to pin %d's contact, at the board's end", limit, ch.WiredTo, p.Pin),
				withSeries(circuits, p, limit)})
		}
		if seen[p.Circuit] {
			continue
		}
		seen[p.Circuit] = true
		if !c.BreaksDriveSupply {
			changed := slices.Clone(circuits)
			changed[p.Circuit].BreaksDriveSupply = true
			pole = append(pole, change{fmt.Sprintf("let the contact of %s itself also break the drive supply", c.Name), changed})
		}
		if len(c.Channels) == 1 {
			channel = append(channel, secondChannels(b, circuits, p)...)
		}
	}
	return [][]change{wiring, series, rewired, pole, channel}
}

// withSeries puts a resistor into the return of one channel, and so of all
// that share it.
func withSeries(circuits []Circuit, p Place, ohm int64) []Circuit {
	ch := circuits[p.Circuit].Channels[p.Channel]
	changed := slices.Clone(circuits)
	for i := range changed {
		changed[i].Channels = slices.Clone(changed[i].Channels)
		for j := range changed[i].Channels {
			other := &changed[i].Channels[j]
			if i == p.Circuit && j == p.Channel || ch.Return != "" && other.Return == ch.Return {
				other.SeriesOhm = ohm
			}
		}
	}
	return changed
}

// rewirings lists the other ways to wire the same contact, pin and pull, those
// with fewer changes first. A channel moved to the other rail gets a return of
// its own.
func rewirings(ch Channel) []Channel {
	const pull, contact, rail = 1, 2, 4
	var list []Channel
	for _, flips := range []int{pull, contact, rail, pull | contact, pull | rail, contact | rail, pull | contact | rail} {
		v := ch
		if flips&contact != 0 {
			v.Contact = v.Contact.other()
		}
		if flips&rail != 0 {
			v.WiredTo, v.Return = v.WiredTo.other(), ""
		}
		if flips&pull != 0 {
			v.Pull = v.Pull.other()
			if ch.Pull == PullNone && v.WiredTo == Supply {
				v.Pull = PullDown
			}
		}
		list = append(list, v)
	}
	return list
}

// other returns the opposite pull, and pull-up for none.
func (p Pull) other() Pull {
	if p == PullUp {
		return PullDown
	}
	return PullUp
}

// other returns the other kind of contact.
func (c Contact) other() Contact {
	if c == NormallyOpen {
		return NormallyClosed
	}
	return NormallyOpen
}

// wiring describes a channel: "normally open to ground with a pull-up".
func (ch Channel) wiring() string {
	pull := "without a pull"
	if ch.Pull != PullNone {
		pull = "with a " + ch.Pull.String()
	}
	return fmt.Sprintf("%s to %s %s", ch.Contact, ch.WiredTo, pull)
}

// secondChannels lists ways to add a channel to a circuit that has one: the
// same again, the same contact to the other rail, the other contact to the
// same rail.
func secondChannels(b Board, circuits []Circuit, p Place) []change {
	free := 0
	for _, o := range b.Outputs {
		free = max(free, o.Pin+1)
	}
	for _, c := range circuits {
		for _, ch := range c.Channels {
			free = max(free, ch.Pin+1)
		}
	}
	same := circuits[p.Circuit].Channels[p.Channel]
	same.Pin, same.Return = free, ""
	otherRail, otherContact := same, same
	otherRail.WiredTo, otherRail.Pull = same.WiredTo.other(), same.Pull.other()
	otherContact.Contact = same.Contact.other()
	var list []change
	for _, v := range []Channel{same, otherRail, otherContact} {
		changed := slices.Clone(circuits)
		c := &changed[p.Circuit]
		c.Channels = append(slices.Clone(c.Channels), v)
		c.DiscrepancyMS = proposedDiscrepancyMS
		list = append(list, change{fmt.Sprintf("add a second channel to %s, %s", c.Name, v.wiring()), changed})
	}
	return list
}

// exclude says how a fault is commonly excluded by construction, or found
// before it matters. Fault exclusion as in ISO 13849-1 and -2, from memory.
func exclude(circuits []Circuit, f Fault) string {
	switch f.Kind {
	case SignalToGround, SignalToSupply:
		return "exclude it by construction: this wire in a sheath of its own, fixed and protected"
	case SignalOpen, ReturnOpen:
		return "make it unlikely: strain relief, locked connectors, no moving cable"
	case SignalToReturn, ReturnsBridged:
		return "exclude it by construction: each circuit's two wires in a sheath of their own, fixed and protected"
	case SeriesShorted:
		return "use a film resistor, of which a short may be excluded (ISO 13849-2, from memory)"
	case ReturnShorted, PullShorted:
		return "fuse or current-limit what feeds it"
	case ContactStuckClosed:
		p := f.Places[0]
		if c := circuits[p.Circuit]; c.Kind != board.HoldToRun && c.Channels[p.Channel].Contact == NormallyClosed {
			return "use a contact with direct opening action (IEC 60947-5-1, from memory), for which welding may be excluded"
		}
		return "have the board insist on reading stop before every first run"
	case PullOpen:
		return "fit an external pull beside the internal one"
	case PinsBridged, BridgedToOutput:
		return "keep the two apart, on the board and in every connector"
	default:
		return "have the board insist on reading stop before every first run"
	}
}
