// Aligned tables: numbers to the right, so that digits stand under digits.
package gen

import (
	"fmt"
	"strings"
)

// initialisers writes rows as C aggregate initialisers, one a line, the columns
// aligned and a comment behind each: "    {   0, -120,  3}, /* A-B */".
func initialisers(rows [][]string, comments []string) []string {
	lines := make([]string, len(rows))
	widths := columnWidths(rows)
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

// columns writes rows for a comment: the first column to the left, the others
// to the right.
func columns(rows [][]string) []string {
	lines := make([]string, len(rows))
	widths := columnWidths(rows)
	for i, row := range rows {
		var b strings.Builder
		fmt.Fprintf(&b, "%-*s", widths[0], row[0])
		for j := 1; j < len(row); j++ {
			fmt.Fprintf(&b, "  %*s", widths[j], row[j])
		}
		lines[i] = strings.TrimRight(b.String(), " ")
	}
	return lines
}

func columnWidths(rows [][]string) []int {
	var widths []int
	for _, row := range rows {
		for j, cell := range row {
			if j == len(widths) {
				widths = append(widths, 0)
			}
			widths[j] = max(widths[j], len(cell))
		}
	}
	return widths
}

// words writes numbers twelve a line, for the search structure of the fence.
func words(values []uint16) []string {
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
