package circuit

// This file compares a wiring with the one that it was made from: how much was changed,
// and what it is with one change less.

import (
	"fmt"
	"slices"

	"merestone/internal/words"
)

// The effort of changes, to choose among wirings that are equally good (common practice,
// no source): turning something over or fitting a resistor 1.
const (
	relayPoleEffort = 2
	watchdogEffort  = 2
	partEffort      = 3
	channelEffort   = 6
	cableEffort     = 1
)

// changes is the effort of making w from the origin.
func (origin wiring) changes(w wiring) int {
	n := 0
	count := func(changed bool, effort int) {
		if changed {
			n += effort
		}
	}
	for i, c := range w.circuits {
		for j, ch := range c.Channels {
			if j >= len(origin.circuits[i].Channels) {
				n += channelEffort
				count(!c.CommonCause.Cable, cableEffort)
				continue
			}
			old := origin.circuits[i].Channels[j]
			turned := ch.WiredTo != old.WiredTo
			count(turned, 1)
			count(ch.Contact != old.Contact, 1)
			count(ch.Pull != old.Pull && !turned, 1)
			count(ch.PullOhm != old.PullOhm, 1)
			count(ch.SeriesOhm != old.SeriesOhm, 1)
			count(ch.Return != old.Return && !turned, 1)
		}
	}
	for i, part := range w.path.Parts {
		if i >= len(origin.path.Parts) {
			n += partEffort
			continue
		}
		old := origin.path.Parts[i]
		n += relayPoleEffort * (len(part.Holds) - len(old.Holds))
		count(part.Watchdog != old.Watchdog, watchdogEffort)
		count(part.PulledOff != old.PulledOff, 1)
	}
	return n
}

// lessChanged lists what w is with one of its changes taken back.
func (origin wiring) lessChanged(w wiring) []wiring {
	var list []wiring
	for i, c := range w.circuits {
		for j, ch := range c.Channels {
			p := Place{i, j, ch.Pin}
			if j >= len(origin.circuits[i].Channels) {
				less := w.clone()
				less.circuits[i] = origin.clone().circuits[i]
				less.circuits[i].Channels[0] = c.Channels[0]
				list = append(list, less)
				if !c.CommonCause.Cable {
					less = w.clone()
					less.circuits[i].CommonCause = CommonCause{true, true, true, true}
					list = append(list, less)
				}
				continue
			}
			for _, back := range origin.channelBack(w, p) {
				if back != ch {
					list = append(list, w.withChannel(p, back))
				}
			}
		}
	}
	for i := range slices.Backward(w.path.Parts) {
		if i >= len(origin.path.Parts) {
			less := w.clone()
			less.path.Parts = slices.Delete(less.path.Parts, i, i+1)
			list = append(list, less)
			continue
		}
		list = append(list, origin.partBack(w, i)...)
	}
	return list
}

// channelBack lists a channel with all its changes taken back, and with each.
func (origin wiring) channelBack(w wiring, p Place) []Channel {
	now, old := w.circuits[p.Circuit].Channels[p.Channel], origin.circuits[p.Circuit].Channels[p.Channel]
	contact, pull, pullOhm, series, shared := now, now, now, now, now
	contact.Contact = old.Contact
	pull.Pull, pull.PullOhm = old.Pull, old.PullOhm
	pullOhm.PullOhm = old.PullOhm
	series.SeriesOhm = old.SeriesOhm
	rail := pull
	rail.WiredTo = old.WiredTo
	shared.Return = old.Return
	for _, c := range w.circuits {
		for _, ch := range c.Channels {
			if ch.Return == old.Return && old.Return != "" {
				shared.SeriesOhm = ch.SeriesOhm
			}
		}
	}
	both := shared
	both.WiredTo, both.Pull, both.PullOhm = old.WiredTo, old.Pull, old.PullOhm
	return []Channel{old, both, rail, contact, pull, pullOhm, series, shared}
}

// partBack lists a wiring with each change of a part taken back.
func (origin wiring) partBack(w wiring, i int) []wiring {
	var list []wiring
	part, old := w.path.Parts[i], origin.path.Parts[i]
	for _, h := range part.Holds {
		if !slices.Contains(old.Holds, h) {
			less := w.clone()
			less.path.Parts[i].Holds = slices.DeleteFunc(less.path.Parts[i].Holds, func(other int) bool { return other == h })
			list = append(list, less)
		}
	}
	if part.PulledOff != old.PulledOff {
		less := w.clone()
		less.path.Parts[i].PulledOff = old.PulledOff
		list = append(list, less)
	}
	if part.Watchdog != old.Watchdog {
		less := w.clone()
		less.path.Parts[i].Watchdog = old.Watchdog
		if !slices.ContainsFunc(less.path.Parts, func(p Part) bool { return p.Watchdog }) {
			less.path.WatchdogMS = origin.path.WatchdogMS
		}
		list = append(list, less)
	}
	return list
}

// withoutLoneNames takes out names of conductors that channels shared and no longer do:
// a name that one contact gives says nothing, and another rule finds it.
func (w wiring) withoutLoneNames(origin wiring) wiring {
	before, after := returnUsers(origin.circuits), returnUsers(w.circuits)
	changed := w.clone()
	for i := range changed.circuits {
		for j := range changed.circuits[i].Channels {
			ch := &changed.circuits[i].Channels[j]
			if len(after[ch.Return]) == 1 && len(before[ch.Return]) > 1 {
				ch.Return = ""
			}
		}
	}
	return changed
}

// holdName returns a name that no hold has: the given one, or that with a number.
func (w wiring) holdName(name string) string {
	return unused(name, func(id string) bool {
		return slices.ContainsFunc(w.circuits, func(c Circuit) bool { return words.Identifier(c.Name) == id })
	})
}

// partName returns a name that no part has: the given one, or that with a number.
func (w wiring) partName(name string) string {
	return unused(name, func(id string) bool {
		return slices.ContainsFunc(w.path.Parts, func(p Part) bool { return words.Identifier(p.Name) == id })
	})
}

// unused returns a name of which the identifier is not taken.
func unused(name string, taken func(identifier string) bool) string {
	for n := 1; ; n++ {
		end := ""
		if n > 1 {
			end = fmt.Sprint(" ", n)
		}
		candidate := name[:min(len(name), longestName-len(end))] + end
		if !taken(words.Identifier(candidate)) {
			return candidate
		}
	}
}
