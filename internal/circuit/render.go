package circuit

// This file prints the table as aligned text for a terminal, and says what the
// table is not.

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"merestone/internal/words"
)

// textWidth is where running text is wrapped in the terminal form.
const textWidth = words.UsualColumns

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

// textCircuits draws the circuits and the path, and says what the model derived from them.
func (t Table) textCircuits(b *strings.Builder) {
	for _, line := range t.Picture() {
		fmt.Fprintln(b, line)
	}
	if len(t.Circuits) > 0 {
		paragraph(b, "", legend(t.Circuits))
	}
	fmt.Fprintln(b)
	thin := false
	for i, c := range t.Circuits {
		for j, ch := range c.Channels {
			wiring := t.Wirings[i]
			paragraph(b, "", fmt.Sprintf("%s, pin %d: run reads %s; contact at least %d µA", c.Name, ch.Pin, wiring.RunLevels[j], wiring.ContactUA[j]))
			thin = thin || wiring.ContactUA[j] < wettingUA
		}
		if len(c.Channels) == 2 {
			paragraph(b, "", fmt.Sprintf("%s: discrepancy time %d ms; the channels share %s", c.Name, c.DiscrepancyMS, c.CommonCause))
		}
	}
	if thin {
		paragraph(b, "", wettingNote())
	}
	fmt.Fprintln(b)
}

// String lists what the channels share.
func (c CommonCause) String() string {
	var parts []string
	for _, one := range []struct {
		yes  bool
		word string
	}{{c.Cable, "a cable"}, {c.Connector, "a connector"}, {c.Supply, "a supply"}, {c.Actuator, "an actuator"}} {
		if one.yes {
			parts = append(parts, one.word)
		}
	}
	if parts == nil {
		return "nothing"
	}
	return words.And(parts)
}

// wettingNote explains why the contact's current is printed.
func wettingNote() string {
	return fmt.Sprintf("Note: below about %d µA a film on a plain contact may keep it open; a stronger external pull, "+
		"or gold contacts, help (common practice, no source).", wettingUA)
}

// heading names the circuits of a row, or the drive path.
func (r Row) heading() string {
	if r.Fault.Kind.ofPath() {
		return "drive path"
	}
	return words.And(r.Circuits)
}

// textRows writes the faults under the circuits' names: what fails and at which pins, and
// below that, aligned, what the drive does, when it is found and what is read.
func (t Table) textRows(b *strings.Builder) {
	paragraph(b, "", fmt.Sprintf("Levels at worst: low is certain below %s, high above %s of %s; ? is neither.",
		exact(t.Board.LowBelowMV), exact(t.Board.HighAboveMV), exact(t.Board.SupplyMV)))
	names := []string{"fault, and its pins"}
	headings := []string{""}
	cells := [][]string{{"   the drive", "found", "reads to run", "to stop"}}
	for _, l := range t.lines() {
		name := l.fault
		if where := strings.TrimSpace(strings.Join(l.where, " ")); where != "" {
			name += ", " + where
		}
		names, headings = append(names, name), append(headings, l.heading)
		cells = append(cells, []string{l.outcome, l.found, l.run, l.stop})
	}
	widths := words.Widths(cells)
	widths[2] = min(widths[2], readsWidth)
	for i, row := range cells {
		if i > 0 && headings[i] != headings[i-1] {
			fmt.Fprintln(b, headings[i])
		}
		hanging(b, "  ", "      ", names[i])
		line := " "
		for k, cell := range row {
			line += fmt.Sprintf("%-*s  ", widths[k], cell)
		}
		for _, part := range words.Fold(strings.TrimRight(line, " "), textWidth) {
			fmt.Fprintln(b, part)
		}
	}
	paragraph(b, "", sameLine)
	fmt.Fprintln(b)
}

// readsWidth is what one pin takes that reads nothing certain; where several pins read
// differently, the line is not in column.
const readsWidth = len("? 0.00 to 3.30 V")

// sameLine explains the lines.
const sameLine = "Faults that come to the same stand in one line, and what is read is the pin at fault; of several, each in turn. " +
	"Either: certain, and hangs on the other circuit."

// tableLine is a line of the table: the faults of one kind that come to the same.
type tableLine struct {
	heading, fault, run, stop, outcome, found string
	where                                     []string
}

// lines merges the rows that differ in nothing but the pins.
func (t Table) lines() []tableLine {
	var list []tableLine
	at := map[string]int{}
	for _, r := range t.Rows {
		l := tableLine{heading: r.heading(), fault: r.Fault.what(), outcome: r.Outcome.mark() + r.Outcome.String()}
		l.run, l.stop = levels(r.own(r.Run)), levels(r.own(r.Stop))
		if r.Fault.Kind != NoFault && r.Outcome != Indistinct {
			l.found = r.Found.short()
		}
		key := strings.Join([]string{l.heading, l.fault, l.run, l.stop, l.outcome, l.found}, "\x00")
		if i, seen := at[key]; seen {
			list[i].where = append(list[i].where, r.Fault.where())
			continue
		}
		at[key] = len(list)
		l.where = []string{r.Fault.where()}
		list = append(list, l)
	}
	return list
}

// own returns the readings of the pins at fault, or all where none is.
func (r Row) own(readings []Reading) []Reading {
	if len(r.Fault.Places) == 0 {
		return readings
	}
	places := r.Fault.Places
	if r.Fault.Kind == SignalToReturn {
		places = places[:1]
	}
	var list []Reading
	for _, one := range readings {
		if slices.ContainsFunc(places, func(p Place) bool { return p.Pin == one.Pin }) {
			list = append(list, one)
		}
	}
	return list
}

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
	return fmt.Sprintf("%d.%02d V", mv/hundredth/100, mv/hundredth%100)
}

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
	c := Count(t.Rows)
	if c.Faults == 0 {
		fmt.Fprintln(b, "No faults evaluated.")
		return
	}
	fmt.Fprintln(b, "  Faults, and when they are found:")
	cells := [][]string{{"the drive", "all"}}
	for _, f := range FoundWords() {
		cells[0] = append(cells[0], f.short())
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
	for _, line := range words.Table(cells, textWidth-2) {
		fmt.Fprintln(b, "  "+line)
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

// textTests writes the written test: each step, and what it alone finds.
func (t Table) textTests(b *strings.Builder) {
	if len(t.Tests) == 0 {
		return
	}
	paragraph(b, "", testCaution)
	for i, step := range t.Tests {
		mark := ""
		if step.Meter {
			mark = " (meter)"
		}
		text := fmt.Sprintf("%s%s: %s. Must: %s.", step.ID, mark, capital(step.Do), step.Expect)
		if finds := t.finds(i); finds != "" {
			text += " Finds: " + finds + "."
		}
		hanging(b, "  ", "    ", text)
	}
	fmt.Fprintln(b)
}

// finds lists the faults that nothing finds before a step does.
func (t Table) finds(step int) string {
	var list []string
	for _, r := range t.Rows {
		if r.Test == step && (r.Found == ByWrittenTest || r.Found == ByMeter) {
			list = append(list, r.Fault.String())
		}
	}
	return strings.Join(list, "; ")
}

// paragraph writes text wrapped, every line behind an indent.
func paragraph(b *strings.Builder, indent, text string) { hanging(b, indent, indent, text) }

// hanging is a paragraph of which all lines but the first are set in further.
func hanging(b *strings.Builder, first, rest, text string) {
	for i, line := range words.Wrap(text, textWidth-len(rest)) {
		if i > 0 {
			first = rest
		}
		fmt.Fprintln(b, first+line)
	}
}
