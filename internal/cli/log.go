// What receivers' logs were made of, as commands print it.
package cli

import (
	"io"

	"merestone/internal/occupy"
	"merestone/internal/words"
)

// printCounts prints what a log was made of: sentences that were taken, those that were
// refused and why, and what was odd.
func printCounts(w io.Writer, log *occupy.Log) {
	say(w, "in %s", log.Name) // by itself: a long name would push the columns apart
	rows := append([][]string{{"", "how many", "first line"}}, log.Counts.Rows()...)
	for _, line := range words.Table(rows, words.UsualColumns) {
		say(w, "  %s", line)
	}
}
