package circuit

import (
	"strings"

	"merestone/internal/board"
)

// This file holds the words of every enumeration, in one place.

// word returns names[i], or a visible mark for a value out of range.
func word(names []string, i int) string {
	if i < 0 || i >= len(names) {
		return "?"
	}
	return names[i]
}

// String returns the trade's word for the contact.
func (c Contact) String() string {
	return word([]string{"normally open", "normally closed"}, int(c))
}

// Word is the contact in the mission language.
func (c Contact) Word() string { return strings.ReplaceAll(c.String(), " ", "-") }

// String returns "ground" or "supply", in the mission language too.
func (r Rail) String() string { return word([]string{"ground", "supply"}, int(r)) }

// String returns "no pull", "pull-up" or "pull-down".
func (p Pull) String() string {
	return word([]string{"no pull", "pull-up", "pull-down"}, int(p))
}

// Word is the pull in the mission language.
func (p Pull) Word() string { return word([]string{"none", "up", "down"}, int(p)) }

// String returns "run" or "stop".
func (d Demand) String() string { return word([]string{"run", "stop"}, int(d)) }

// String returns "low", "high", "undefined" or "either".
func (l Level) String() string {
	return word([]string{"low", "high", "undefined", "either"}, int(l))
}

// String returns the conclusion in a few words.
func (c Conclusion) String() string {
	return word([]string{"run", "stop", "discrepancy", "uncertain"}, int(c))
}

// String returns the outcome in a few words, as printed in the table.
func (o Outcome) String() string {
	return word([]string{"healthy", "stops at once", "still stops",
		"shorts the supply", "keeps running", "run and stop alike"}, int(o))
}

// whenStop says how stop is asked of a circuit of this kind.
func whenStop(k board.HoldKind) string {
	return word([]string{"released", "pressed", "tripped"}, int(k))
}

// whenRun says how run is asked of a circuit of this kind.
func whenRun(k board.HoldKind) string {
	return word([]string{"pressed", "at rest", "clear"}, int(k))
}

// String returns when a fault is found, in a few words.
func (f Found) String() string {
	return word([]string{"at once", "at the next demand", "by the start-up test", "by the written test only",
		"with a meter only", "never"}, int(f))
}

// short is that in a column.
func (f Found) short() string {
	return word([]string{"at once", "next demand", "start-up test", "written test", "meter", "never"}, int(f))
}
