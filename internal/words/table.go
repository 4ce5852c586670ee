// Aligned tables.
package words

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Columns aligns rows: the first column to the left, the others to the right, so
// that digits stand under digits, two spaces between them. Trailing spaces are
// cut.
func Columns(rows [][]string) []string {
	lines := make([]string, len(rows))
	widths := Widths(rows)
	for i, row := range rows {
		var b strings.Builder
		for j, cell := range row {
			if j == 0 {
				fmt.Fprintf(&b, "%-*s", widths[0], cell)
			} else {
				fmt.Fprintf(&b, "  %*s", widths[j], cell)
			}
		}
		lines[i] = strings.TrimRight(b.String(), " ")
	}
	return lines
}

// Widths are the widths of the columns, in characters.
func Widths(rows [][]string) []int {
	var widths []int
	for _, row := range rows {
		for j, cell := range row {
			if j == len(widths) {
				widths = append(widths, 0)
			}
			widths[j] = max(widths[j], utf8.RuneCountInString(cell))
		}
	}
	return widths
}
