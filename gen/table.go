// Aligned tables: numbers to the right, so that digits stand under digits.
package gen

import (
	"fmt"
	"strings"

	"merestone/internal/words"
)

// initialisers writes rows as C aggregate initialisers, one a line, the columns
// aligned and a comment behind each: "    {   0, -120,  3}, /* A-B */".
func initialisers(rows [][]string, comments []string) []string {
	lines := make([]string, len(rows))
	widths := words.Widths(rows)
	for i, row := range rows {
		var b strings.Builder
		b.WriteString("    {")
		for j, cell := range row {
			if j > 0 {
				b.WriteString(", ")
			}
			fmt.Fprintf(&b, "%*s", widths[j], cell)
		}
		b.WriteString("}")
		if i < len(rows)-1 {
			b.WriteString(",")
		} else {
			b.WriteString(" ")
		}
		if comments[i] != "" {
			fmt.Fprintf(&b, " /* %s */", comments[i])
		}
		lines[i] = strings.TrimRight(b.String(), " ")
	}
	return lines
}

// numbers writes numbers twelve a line, for the search structure of the fence.
func numbers(values []uint16) []string {
	const perLine = 12
	var lines []string
	for len(values) > 0 {
		n := min(perLine, len(values))
		var b strings.Builder
		b.WriteString("   ")
		for i, v := range values[:n] {
			fmt.Fprintf(&b, " %5du", v)
			if i < n-1 || n < len(values) {
				b.WriteByte(',')
			}
		}
		lines = append(lines, b.String())
		values = values[n:]
	}
	return lines
}
