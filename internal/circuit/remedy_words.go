package circuit

// This file puts a remedy into words: what is different from the mission, in the keys of
// the mission file. The words are made from the wiring that was tried, not from the steps
// that led to it, so nothing that was assumed can be missing.

import (
	"fmt"
	"slices"
	"strings"
)

// proposedDebounceMS is longer than contacts bounce (common practice, no source).
const proposedDebounceMS = 20

// edits lists what to change in the mission to get from the origin to w.
func (s *search) edits(w wiring) []string {
	var list []string
	for i, c := range w.circuits {
		if i == s.proposed {
			list = append(list, fmt.Sprintf("holds: add {name: %s, kind: %s, pin: %d, %s, debounce: %d ms}",
				c.Name, c.Kind.Word(), c.Channels[0].Pin, strings.Join(append([]string{c.Channels[0].keys()}, c.secondKeys()...), ", "), proposedDebounceMS)+c.cables())
			continue
		}
		old := s.origin.circuits[i]
		if ch := c.Channels[0]; ch != old.Channels[0] {
			list = append(list, fmt.Sprintf("hold %s: %s", c.Name, ch.keys())+takenOut(old.Channels[0], ch))
		}
		switch {
		case len(c.Channels) == 1:
		case len(old.Channels) == 1:
			list = append(list, fmt.Sprintf("hold %s: %s", c.Name, strings.Join(c.secondKeys(), ", "))+c.cables())
		case c.Channels[1] != old.Channels[1]:
			list = append(list, fmt.Sprintf("hold %s: second_channel: %s", c.Name, c.Channels[1].block()))
		}
	}
	return append(list, s.pathEdits(w)...)
}

// keys are those of a channel, but for its pin.
func (ch Channel) keys() string {
	text := fmt.Sprintf("contact: %s, wired_to: %s, pull: %s", ch.Contact.Word(), ch.WiredTo, ch.Pull.Word())
	if ch.PullOhm > 0 {
		text += ", pull_resistor: " + ohms(ch.PullOhm)
	}
	if ch.SeriesOhm > 0 {
		text += ", series_resistor: " + ohms(ch.SeriesOhm)
	}
	if ch.Return != "" {
		text += ", return_wire: " + ch.Return
	}
	return text
}

// block is a whole channel.
func (ch Channel) block() string { return fmt.Sprintf("{pin: %d, %s}", ch.Pin, ch.keys()) }

// takenOut says which keys of a channel are no longer there.
func takenOut(old, now Channel) string {
	var keys []string
	if old.PullOhm > 0 && now.PullOhm == 0 {
		keys = append(keys, "pull_resistor")
	}
	if old.SeriesOhm > 0 && now.SeriesOhm == 0 {
		keys = append(keys, "series_resistor")
	}
	if old.Return != "" && now.Return == "" {
		keys = append(keys, "return_wire")
	}
	if len(keys) == 0 {
		return ""
	}
	return "; take out " + strings.Join(keys, ", ")
}

// secondKeys are the keys of a hold that come with a second channel.
func (c Circuit) secondKeys() []string {
	if len(c.Channels) == 1 {
		return nil
	}
	cause := c.CommonCause
	return []string{
		"second_channel: " + c.Channels[1].block(), fmt.Sprintf("discrepancy: %d ms", c.DiscrepancyMS),
		fmt.Sprintf("common_cause: {cable: %t, connector: %t, supply: %t, actuator: %t}", cause.Cable, cause.Connector, cause.Supply, cause.Actuator),
	}
}

// cables is an order that no key carries out.
func (c Circuit) cables() string {
	if len(c.Channels) == 1 || c.CommonCause.Cable {
		return ""
	}
	return " # in a cable and through a connector of its own"
}

// pathEdits lists what to change in the drive path and about the watchdog.
func (s *search) pathEdits(w wiring) []string {
	var list []string
	for i, part := range w.path.Parts {
		openers := part.openers(w.circuits)
		if i >= len(s.origin.path.Parts) {
			list = append(list, fmt.Sprintf("drive_path: add {name: %s, kind: %s, opened_by: %s, off_delay: %d ms}", part.Name, part.Kind, openers, part.OffMS))
			continue
		}
		var keys []string
		old := s.origin.path.Parts[i]
		if part.Watchdog != old.Watchdog || !slices.Equal(part.Holds, old.Holds) {
			keys = append(keys, "opened_by: "+openers)
		}
		if part.PulledOff && !old.PulledOff {
			keys = append(keys, "pulled_off: true")
		}
		if len(keys) > 0 {
			list = append(list, fmt.Sprintf("drive_path %s: %s", part.Name, strings.Join(keys, ", ")))
		}
	}
	if w.path.WatchdogMS != s.origin.path.WatchdogMS {
		list = append(list, fmt.Sprintf("board: watchdog: %d ms", w.path.WatchdogMS))
	}
	return list
}

// openers lists what opens a part.
func (part Part) openers(circuits []Circuit) string {
	var names []string
	if part.Enable {
		names = append(names, "drive_enable")
	}
	for _, h := range part.Holds {
		names = append(names, circuits[h].Name)
	}
	if part.Watchdog {
		names = append(names, "watchdog")
	}
	return "[" + strings.Join(names, ", ") + "]"
}

// ohms is a resistance in the mission language.
func ohms(ohm int64) string {
	const thousand, hundred, ten = 1000, 100, 10
	switch {
	case ohm < thousand || ohm%hundred != 0:
		return fmt.Sprintf("%d ohm", ohm)
	case ohm%thousand == 0:
		return fmt.Sprintf("%d kohm", ohm/thousand)
	default:
		return fmt.Sprintf("%d.%d kohm", ohm/thousand, ohm%thousand/hundred%ten)
	}
}
