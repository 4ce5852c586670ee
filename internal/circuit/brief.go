package circuit

// This file says the table in short, for a header: the wiring as a picture, the counts, and
// by name what keeps the drive running. Letters are ASCII.

import (
	"fmt"
	"strings"

	"merestone/internal/words"
)

// Brief returns lines of at most so many letters, but for the picture.
func (t Table) Brief(width int) []string {
	lines := t.Picture()
	if len(t.Circuits) > 0 {
		lines = append(lines, words.Wrap(legend(t.Circuits), width)...)
	}
	lines = append(lines, "")
	c := Count(t.Rows)
	var does, found []string
	for _, o := range Outcomes() {
		if o != Healthy && c.Of[o] > 0 {
			does = append(does, fmt.Sprintf("%s %d", o, c.Of[o]))
		}
	}
	for _, f := range FoundWords() {
		n := 0
		for _, when := range c.When {
			n += when[f]
		}
		if n > 0 {
			found = append(found, fmt.Sprintf("%s %d", f, n))
		}
	}
	lines = append(lines, words.Wrap(fmt.Sprintf("%d single faults and common causes of the model. The drive: %s. Found: %s. Counts of kinds, not of how often they come: no performance level is claimed.",
		c.Faults, strings.Join(does, ", "), strings.Join(found, ", ")), width)...)
	for _, r := range t.Rows {
		if !r.Outcome.Dangerous() {
			continue
		}
		text := fmt.Sprintf("Keeps running: %s: %s", r.heading(), r.Fault)
		if said := t.Path.CoveredBy(r.Fault); said != "" {
			text += "; covered, as the mission says: " + said
		}
		lines = append(lines, words.Wrap(text+".", width)...)
	}
	return lines
}
