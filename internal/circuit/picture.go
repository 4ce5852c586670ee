package circuit

// This file draws the wiring as text: each channel from its pin to its rail, and the drive
// path from the battery to the motors. The channels are drawn from the very network that
// is solved, part by part, so that what is seen is what was judged. Letters are ASCII, so
// that the picture can stand in a header.

import (
	"fmt"
	"strings"

	"merestone/internal/words"
)

// Picture draws the circuits and the drive path, a line each.
func (t Table) Picture() []string {
	m := newModel(t.Board, t.Circuits)
	var lines []string
	for i, c := range t.Circuits {
		lines = append(lines, fmt.Sprintf("%s (%s, run is %s)", c.Name, c.Kind, whenRun(c.Kind)))
		nw, nodes := m.drawn(i)
		for j, ch := range c.Channels {
			lines = append(lines, t.channelPicture(ch, nw, *nodes.at(Place{i, j, ch.Pin}))...)
		}
	}
	return append(lines, t.pathPicture()...)
}

// channelPicture draws one channel: the way over the contact, and below it the pull.
func (t Table) channelPicture(ch Channel, nw *network, n pins) []string {
	begin := fmt.Sprintf("  pin %d ", ch.Pin)
	way := begin + "-+-"
	for at := n.pad; at != n.ret; {
		drawn, to := onward(ch, nw, at)
		if to == at {
			break // nothing leads on: the contact has no far side
		}
		way, at = way+drawn, to
	}
	for _, p := range nw.parts {
		if p.what == feed && p.a == n.ret {
			name := "--wire--"
			if ch.Return != "" {
				name = "--" + ch.Return + "--"
			}
			if series := p.ohm - float64(t.Board.WireOhm); series > 0 {
				name += fmt.Sprintf("[%s]--", ohms(int64(series+0.5)))
			}
			way += name + " " + t.rail(p.b)
		}
	}
	lines := []string{way}
	for _, p := range nw.parts {
		if p.what == pull && p.a == n.pad {
			what := "pull in the board"
			if ch.PullOhm > 0 {
				what = ohms(int64(p.ohm + 0.5))
			}
			lines = append(lines, strings.Repeat(" ", len(begin))+fmt.Sprintf(" +-[%s]-- %s", what, t.rail(p.b)))
		}
	}
	return lines
}

// onward draws the part that leads on from a node, and returns where it leads.
func onward(ch Channel, nw *network, at int) (drawn string, to int) {
	for _, p := range nw.parts {
		switch {
		case p.a != at:
		case p.what == signal:
			return "-wire--", p.b
		case p.what == contact:
			return ch.Contact.symbol(), p.b
		}
	}
	return "", at
}

// symbol draws a contact at rest.
func (c Contact) symbol() string {
	if c == NormallyOpen {
		return "o/ o"
	}
	return "o-/-o"
}

// rail names a rail with its voltage.
func (t Table) rail(node int) string {
	if node == supplyNode {
		return "supply " + exact(t.Board.SupplyMV)
	}
	return "ground"
}

// pathPicture draws the drive path, with what opens each part.
func (t Table) pathPicture() []string {
	lines := []string{"drive path, each part with what opens it", "  battery", "     |"}
	for _, part := range t.Path.Parts {
		var by []string
		if part.Enable {
			by = append(by, "drive_enable"+t.enablePin())
		}
		if part.Watchdog {
			by = append(by, fmt.Sprintf("watchdog after %d ms", t.Path.WatchdogMS))
		}
		for _, h := range part.Holds {
			by = append(by, "pole of "+t.Circuits[h].Name)
		}
		lines = append(lines, fmt.Sprintf("  [%s] %s, off in %d ms", part.Name, part.Kind, part.OffMS))
		arrow := "     |  <- "
		for _, line := range words.Wrap(strings.Join(by, ", "), pictureWidth-len(arrow)) {
			lines = append(lines, arrow+line)
			arrow = "     |     "
		}
	}
	return append(lines, "  motors")
}

// pictureWidth is how wide the drive path is drawn at most.
const pictureWidth = 78

// enablePin names the pin of drive_enable, where it is known.
func (t Table) enablePin() string {
	for _, o := range t.Board.Outputs {
		if o.EnablesDrive {
			return fmt.Sprintf(" (pin %d)", o.Pin)
		}
	}
	return ""
}

// legend explains the contacts of the picture.
func legend(circuits []Circuit) string {
	open, shut := false, false
	for _, c := range circuits {
		for _, ch := range c.Channels {
			open, shut = open || ch.Contact == NormallyOpen, shut || ch.Contact == NormallyClosed
		}
	}
	var parts []string
	if open {
		parts = append(parts, NormallyOpen.symbol()+" opens by itself")
	}
	if shut {
		parts = append(parts, NormallyClosed.symbol()+" closes by itself")
	}
	return strings.Join(parts, ", ") + "; drawn with nothing actuated."
}
