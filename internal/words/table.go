// Aligned tables.
package words

import (
	"slices"
	"strings"
)

// Columns aligns rows: the first column to the left, the others to the right, so
// that digits stand under digits, two spaces between them. Trailing spaces are
// cut.
func Columns(rows [][]string) []string {
	lines := make([]string, len(rows))
	widths := Widths(rows)
	for i, row := range rows {
		lines[i] = aligned(row, widths, nil)
	}
	return lines
}

// aligned is a row with the first column, and those of text, to the left.
func aligned(row []string, widths, text []int) string {
	var b strings.Builder
	for j, cell := range row {
		pad := strings.Repeat(" ", max(widths[j]-Cells(cell), 0))
		switch {
		case j == 0:
			b.WriteString(cell + pad)
		case slices.Contains(text, j):
			b.WriteString("  " + cell + pad)
		default:
			b.WriteString("  " + pad + cell)
		}
	}
	return strings.TrimRight(b.String(), " ")
}

// Widths are the widths of the columns of a table, in those of a terminal.
func Widths(rows [][]string) []int {
	var widths []int
	for _, row := range rows {
		for j, cell := range row {
			if j == len(widths) {
				widths = append(widths, 0)
			}
			widths[j] = max(widths[j], Cells(cell))
		}
	}
	return widths
}

// Table is Columns within so many columns of a terminal. A heading, in the first row, may
// have lines, which stand on the row below. Where a name in the first column leaves the
// others no room, it stands on a line of its own, above its figures: nothing is cut. The
// columns of the given numbers are text, and to the left like the first.
func Table(rows [][]string, columns int, text ...int) []string {
	if len(rows) == 0 {
		return nil
	}
	heading := headingLines(rows[0])
	all := append(heading, rows[1:]...)
	widths := Widths(all)
	others := 0
	for _, w := range widths[1:] {
		others += 2 + w
	}
	room := columns - others
	if room < widths[0] {
		widths[0] = 0
		for _, row := range all {
			if n := Cells(row[0]); n <= room {
				widths[0] = max(widths[0], n)
			}
		}
	}
	var lines []string
	for _, row := range all {
		if Cells(row[0]) > widths[0] && len(row) > 1 {
			lines = append(lines, Fold(row[0], columns)...)
			row = append([]string{""}, row[1:]...)
		}
		lines = append(lines, aligned(row, widths, text))
	}
	return lines
}

// headingLines are the lines of a heading, the last of each column on the lowest.
func headingLines(cells []string) [][]string {
	high := 1
	for _, cell := range cells {
		high = max(high, strings.Count(cell, "\n")+1)
	}
	lines := make([][]string, high)
	for i := range lines {
		lines[i] = make([]string, len(cells))
	}
	for j, cell := range cells {
		parts := strings.Split(cell, "\n")
		for i, part := range parts {
			lines[high-len(parts)+i][j] = part
		}
	}
	return lines
}
