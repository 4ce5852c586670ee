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
const disclaimer = "Single faults in a model of resistors and of parts that open or do not: software but for a program that halts, the supply, " +
	"and mechanics but for a jammed actuator are not in it, nor two faults at once but for the common causes written. Standards are named for their terms, from memory. This is no assessment of, and no claim of, " +
	"conformity with ISO 12100, ISO 13849-1, ISO 13850 or IEC 60204-1."

// Text writes the table for a terminal: the circuits and the drive path as understood, one
// line for each fault, then what happens to each that is not credited and what is commonly
// done, the counts, the written test, and what the table is not. The same table gives the
// same bytes.
func (t Table) Text(w io.Writer) error {
	var b strings.Builder
	t.textCircuits(&b)
	t.textRows(&b)
	t.textNotes(&b)
	t.textCounts(&b)
	t.textTests(&b)
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
	return s
}

// wiring describes a channel: "normally open to ground with a pull-up".
func (ch Channel) wiring() string {
	pull := "without a pull"
	if ch.Pull != PullNone {
		pull = "with a " + ch.Pull.String()
	}
	return fmt.Sprintf("%s to %s %s", ch.Contact, ch.WiredTo, pull)
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

// heading names the circuits of a row, or the drive path.
func (r Row) heading() string {
	if r.Fault.Kind.ofPath() {
		return "drive path"
	}
	return words.And(r.Circuits)
}

// textRows writes one aligned line for each row, under the circuits' names.
func (t Table) textRows(b *strings.Builder) {
	paragraph(b, "", fmt.Sprintf("Levels at worst: low is certain below %s, high above %s of %s; ? is neither.",
		exact(t.Board.LowBelowMV), exact(t.Board.HighAboveMV), exact(t.Board.SupplyMV)))
	cells := [][]string{{"fault", "reads to run", "to stop", "the drive", "found"}}
	for _, r := range t.Rows {
		found := ""
		if r.Fault.Kind != NoFault && r.Outcome != Indistinct {
			if found = r.Found.String(); r.Test >= 0 {
				found += ", " + t.Tests[r.Test].short()
			}
		}
		cells = append(cells, []string{r.Fault.String(), levels(r.Run), levels(r.Stop), r.Outcome.mark() + r.Outcome.String(), found})
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

// short is the number of a step, without what it says.
func (t Test) short() string { return strings.Split(t.ID, "-")[0] }

// levels joins what several pins read, at worst; one stands for all that agree.
func levels(rs []Reading) string {
	var each []string
	for _, r := range rs {
		each = append(each, r.worst())
	}
	if len(slices.Compact(slices.Clone(each))) == 1 {
		return each[0]
	}
	return strings.Join(each, " / ")
}

// worst is a level with the voltage that comes nearest to its threshold.
func (r Reading) worst() string {
	switch r.Level {
	case Low:
		return "low " + volts(r.MaxMV)
	case High:
		return "high " + exact(r.MinMV)
	case LowOrHigh:
		return r.Level.String()
	default:
		return "? " + r.span()
	}
}

// exact is a voltage in volts, cut to a hundredth.
func exact(mv int64) string {
	const unit = 10 // mV
	return fmt.Sprintf("%d.%02d V", mv/unit/100, mv/unit%100)
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

// textNotes writes the sentence of every row that is not credited, those that leave the
// drive running first, and what else is commonly done. Rows of the same circuits that are
// excluded alike stand together.
func (t Table) textNotes(b *strings.Builder) {
	type note struct{ mark, heading, otherwise string }
	var order []note
	rows := map[note][]Row{}
	for _, r := range t.Rows {
		if r.Outcome.Credited() {
			continue
		}
		n := note{r.Outcome.mark(), r.heading(), r.Otherwise}
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
			paragraph(b, "    ", capital(r.Fault.String())+". "+r.Sentence)
		}
		if n.otherwise != "" {
			paragraph(b, "    ", "Where no wiring cures it: "+n.otherwise+".")
		}
	}
	if len(order) > 0 {
		fmt.Fprintln(b)
	}
}

// textCounts counts the faults by what the drive does and by when they are found.
func (t Table) textCounts(b *strings.Builder) {
	c := t.Counts()
	if c.Faults == 0 {
		fmt.Fprintln(b, "No faults evaluated.")
		return
	}
	cells := [][]string{{"faults", ""}}
	cells[0] = append(cells[0][:1], "all")
	for _, f := range FoundWords() {
		cells[0] = append(cells[0], "found "+f.String())
	}
	for _, o := range Outcomes() {
		if o == Healthy || c.Of[o] == 0 {
			continue
		}
		line := []string{o.String(), fmt.Sprint(c.Of[o])}
		for _, f := range FoundWords() {
			line = append(line, count(c.When[o][f]))
		}
		cells = append(cells, line)
	}
	widths := words.Widths(cells)
	for _, row := range cells {
		s := ""
		for i, cell := range row {
			if i == 0 {
				s += fmt.Sprintf("  %-*s", widths[i], cell)
			} else {
				s += fmt.Sprintf("  %*s", widths[i], cell)
			}
		}
		fmt.Fprintln(b, strings.TrimRight(s, " "))
	}
	paragraph(b, "", fmt.Sprintf("%d faults, each counted once. Of the %d that do not stop the drive by themselves, %d are found no later than at the next demand or by the start-up test: "+
		"the diagnostic coverage of this model, %s. It counts kinds of faults, all alike, and not how often they come, so it is not the coverage by which a performance level is worked out, and no level is claimed.",
		c.Faults, c.Quiet, c.Covered, c.coverage()))
	fmt.Fprintln(b)
}

// count is a number in a table, where none is a dash.
func count(n int) string {
	if n == 0 {
		return "-"
	}
	return fmt.Sprint(n)
}

// textTests writes the written test.
func (t Table) textTests(b *strings.Builder) { t.procedure(b) }

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
