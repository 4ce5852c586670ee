// Readers of the tables of numbers in testdata, shared by the tests.
package magnetic

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// readTable returns the numbers of each line that is not a comment; a "|"
// between columns is for the reader's eye only.
func readTable(t *testing.T, path string, columns int) [][]float64 {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var rows [][]float64
	for i, line := range strings.Split(string(text), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		fields := strings.Fields(strings.ReplaceAll(line, "|", " "))
		require.Len(t, fields, columns, "%s line %d", path, i+1)
		row := make([]float64, columns)
		for k, field := range fields {
			row[k], err = strconv.ParseFloat(field, 64)
			require.NoError(t, err, "%s line %d", path, i+1)
		}
		rows = append(rows, row)
	}
	return rows
}

// angleBetween is the difference of two angles in degrees, the short way round.
func angleBetween(a, b float64) float64 {
	d := a - b
	for d > 180 {
		d -= 360
	}
	for d < -180 {
		d += 360
	}
	return d
}
