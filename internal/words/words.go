// Package words puts numbers and lists into the words that a person reads:
// plurals, lists, lengths, decimals, aligned tables, C identifiers, the word that
// was probably meant, text from outside as it may be shown, and JSON. Messages, reports, headers and drawings take them from
// here, so that one thing reads the same everywhere.
//
// This file: numbers and lists.
package words

import (
	"fmt"
	"strconv"
	"strings"
)

// Plural is a number with its noun: "1 leg", "2 legs".
func Plural(n int, noun string) string { return Count(n, noun, noun+"s") }

// Count is a number with its noun, where the plural takes more than an s: "1
// entry", "2 entries".
func Count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// And joins as English does: "a", "a and b", "a, b and c".
func And(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	last := len(parts) - 1
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}

// few is how many names of a long list are said.
const few = 4

// Few lists the first few names, set apart by the separator: "A, B, C, D and 7
// more".
func Few(names []string, by string) string {
	if len(names) > few+1 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:few], by), len(names)-few)
	}
	return strings.Join(names, by)
}

// YesNo is a truth in a word.
func YesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// Identifier is what a name becomes within C identifiers: lower case, with an
// underscore for every run of spaces, hyphens and underscores, and none at the
// end ("Walnut grove-rows" becomes "walnut_grove_rows"). Of a name that spec
// accepts it gives letters, digits and single underscores. It may start with a
// digit unless the name is that of a mission.
func Identifier(name string) string {
	fields := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == ' ' || r == '-' || r == '_' })
	return strings.Join(fields, "_")
}

// MM is whole millimetres that read as metres, exactly: to the centimetre where
// that says all, else to the millimetre. Nothing is rounded, so that the parts
// of a sum add up as printed and a clearance never reads larger than it is.
type MM int64

// String is the length with its unit.
func (mm MM) String() string { return mm.Bare() + " m" }

// Bare is the length in metres without the unit.
func (mm MM) Bare() string {
	if mm%10 == 0 {
		return fmt.Sprintf("%.2f", float64(mm)/1000)
	}
	return fmt.Sprintf("%.3f", float64(mm)/1000)
}

// BareMM is MM that reads without its unit.
type BareMM int64

// String is the length in metres.
func (mm BareMM) String() string { return MM(mm).Bare() }

// MMPerS is whole millimetres a second that read as metres a second.
type MMPerS int64

// String is the speed with its unit.
func (v MMPerS) String() string { return MM(v).Bare() + " m/s" }

// Percent is a fraction of one that reads in hundredths: "95 %".
type Percent float64

// String is the fraction with its sign.
func (p Percent) String() string { return fmt.Sprintf("%.4g %%", float64(p)*100) }

// Decimal writes a number plainly and in full, with at least so many decimals,
// so that two different numbers never read the same.
func Decimal(v float64, least int) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	have := 0
	if point := strings.IndexByte(s, '.'); point >= 0 {
		have = len(s) - point - 1
	}
	if have >= least {
		return s
	}
	return strconv.FormatFloat(v, 'f', least, 64)
}
