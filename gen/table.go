// Aligned tables: numbers to the right, so that digits stand under digits.
package gen

import (
	"fmt"
	"slices"
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

// cells writes numbers so many a line, with a comma behind each but the last.
func cells[T uint8 | uint16](values []T, format string, perLine int) []string {
	var lines []string
	for row := range slices.Chunk(values, perLine) {
		var line []string
		for _, v := range row {
			line = append(line, fmt.Sprintf(format, v))
		}
		lines = append(lines, strings.Join(line, ", ")+",")
	}
	if last := len(lines) - 1; last >= 0 {
		lines[last] = strings.TrimSuffix(lines[last], ",")
	}
	return lines
}
