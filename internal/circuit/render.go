package circuit

// This file prints the table as aligned text for a terminal, and says what the
// table is not.

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"merestone/internal/words"
)

// textWidth is where running text is wrapped in the terminal form.
const textWidth = 96

// wettingUA is the current below which a film on a plain contact may keep it
// open (common practice, no source).
const wettingUA = 1000

// disclaimer stands under every rendered table.
const disclaimer = "Single faults of the wiring in a resistor model: software, supply, drive and mechanics are not in it, " +
	"nor two faults at once. Standards are named for their terms, from memory. This is no assessment of, and no claim of, " +
	"conformity with ISO 12100, ISO 13849-1, ISO 13850 or IEC 60204-1."

// Text writes the table for a terminal: the circuits as understood, one line
// for each fault, then what happens and what to do for each that is not
// credited, the counts, and what the table is not. The same table gives the
// same bytes.
func (t Table) Text(w io.Writer) error {
	var b strings.Builder
	t.textCircuits(&b)
	t.textRows(&b)
	t.textNotes(&b)
	paragraph(&b, "", t.summaryLine())
	fmt.Fprintln(&b)
	paragraph(&b, "", disclaimer)
	_, err := io.WriteString(w, b.String())
	return err
}

// textCircuits writes the circuits and what the model derived from them.
func (t Table) textCircuits(b *strings.Builder) {
	thin := false
	for i, c := range t.Circuits {
		fmt.Fprintf(b, "%s: %s\n", c.Name, c.duty())
		for j, ch := range c.Channels {
			wiring := t.Wirings[i]
			indent := "  "
			for _, line := range wrap(fmt.Sprintf("pin %d: %s; run reads %s; contact at least %d µA",
				ch.Pin, ch.describe(), wiring.RunLevels[j], wiring.ContactUA[j]), textWidth-4) {
				fmt.Fprintln(b, indent+line)
				indent = "    "
			}
			thin = thin || wiring.ContactUA[j] < wettingUA
		}
	}
	if thin {
		paragraph(b, "", wettingNote())
	}
	fmt.Fprintln(b)
}

// wettingNote explains why the contact's current is printed.
func wettingNote() string {
	return fmt.Sprintf("Note: below about %d µA a film on a plain contact may keep it open; a stronger external pull, "+
		"or gold contacts, help (common practice, no source).", wettingUA)
}

// duty says what a circuit is for, and what of it is not in the channels.
func (c Circuit) duty() string {
	s := c.Kind.String()
	if len(c.Channels) == 2 {
		s += fmt.Sprintf(", discrepancy time %d ms", c.DiscrepancyMS)
	}
	if c.BreaksDriveSupply {
		s += ", contact also breaks the drive supply"
	}
	return s
}

// describe says how a channel is wired, in full.
func (ch Channel) describe() string {
	s := ch.wiring()
	if ch.PullOhm > 0 {
		s += fmt.Sprintf(" of %d Ω", ch.PullOhm)
	}
	if ch.SeriesOhm > 0 {
		s += fmt.Sprintf(", %d Ω in series", ch.SeriesOhm)
	}
	if ch.Return != "" {
		s += fmt.Sprintf(", by %s", ch.Return)
	}
	return s
}

// heading names the circuits of a row.
func (r Row) heading() string { return words.And(r.Circuits) }

// textRows writes one aligned line for each row, under the circuits' names.
func (t Table) textRows(b *strings.Builder) {
	cells := [][]string{{"fault", "reads to run", "to stop", "outcome"}}
	for _, r := range t.Rows {
		cells = append(cells, []string{r.Fault.String(), levelList(r.Run), levelList(r.Stop), r.Outcome.mark() + r.Outcome.String()})
	}
	widths := words.Widths(cells)
	line := func(row []string) {
		s := ""
		for i, cell := range row {
			s += fmt.Sprintf("  %-*s", widths[i], cell)
		}
		fmt.Fprintln(b, strings.TrimRight(s, " "))
	}
	line(cells[0])
	last := ""
	for i, r := range t.Rows {
		if h := r.heading(); h != last {
			fmt.Fprintln(b, h)
			last = h
		}
		line(cells[i+1])
	}
	if t.severalPins() {
		paragraph(b, "", severalPins)
	}
	fmt.Fprintln(b)
}

// severalPins tells whether any row reads more than one pin.
func (t Table) severalPins() bool {
	return slices.ContainsFunc(t.Rows, func(r Row) bool { return len(r.Run) > 1 })
}

// severalPins explains the columns of levels.
const severalPins = "Levels of several pins are in the order of the channels above; one level stands for all that agree; either is certain, and hangs on the other circuits."

// mark makes what is not credited visible without colour.
func (o Outcome) mark() string {
	switch {
	case o.Dangerous():
		return "!! "
	case !o.Credited():
		return " ! "
	default:
		return "   "
	}
}

// textNotes writes sentence and advice of every row that is not credited,
// those that leave the drive running first. Rows of the same circuits with the
// same advice stand together.
func (t Table) textNotes(b *strings.Builder) {
	type note struct{ mark, heading, advice string }
	var order []note
	rows := map[note][]Row{}
	for _, r := range t.Rows {
		if r.Outcome.Credited() {
			continue
		}
		n := note{r.Outcome.mark(), r.heading(), r.Advice}
		if rows[n] == nil {
			order = append(order, n)
		}
		rows[n] = append(rows[n], r)
	}
	slices.SortStableFunc(order, func(a, b note) int {
		return int(rows[b][0].Outcome) - int(rows[a][0].Outcome)
	})
	for _, n := range order {
		fmt.Fprintln(b, n.mark+n.heading)
		for _, r := range rows[n] {
			text := capital(r.Fault.String()) + ". " + r.Sentence
			if r.Otherwise != "" {
				text += " Otherwise " + r.Otherwise
			}
			paragraph(b, "    ", text)
		}
		paragraph(b, "    ", "To do: "+n.advice)
	}
	if len(order) > 0 {
		fmt.Fprintln(b)
	}
}

// summaryLine counts the outcomes in words.
func (t Table) summaryLine() string {
	counts := t.Summary()
	faults := 0
	var parts []string
	for _, o := range Outcomes() {
		if o != Healthy && counts[o] > 0 {
			parts = append(parts, fmt.Sprintf("%s %d", o, counts[o]))
		}
	}
	for _, r := range t.Rows {
		if r.Fault.Kind != NoFault {
			faults++
		}
	}
	if len(parts) == 0 {
		return "No faults evaluated."
	}
	return fmt.Sprintf("%d single faults evaluated. Outcomes: %s.", faults, strings.Join(parts, ", "))
}

// paragraph writes text wrapped, every line behind an indent.
func paragraph(b *strings.Builder, indent, text string) {
	for _, line := range wrap(text, textWidth-len(indent)) {
		fmt.Fprintln(b, indent+line)
	}
}

// wrap breaks text at spaces into lines of at most width characters; a longer
// word stands alone.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
