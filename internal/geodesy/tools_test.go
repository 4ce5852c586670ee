// What the tests share: the golden tables made from the outside tools.
//
// Every table under testdata is the output of an outside tool, with the tool,
// its version and the command in its header. Each is used twice: as it is, and
// against a fresh run of the tool. Rewrite them with
//
//	go test ./internal/geodesy -update
package geodesy

import (
	"bufio"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

var update = flag.Bool("update", false, "rewrite the golden tables from the outside tools")

// table is a golden table: comment lines starting with #, then rows of columns.
type table struct {
	header []string
	rows   [][]string
}

// goldenTable reads testdata/name; with -update it first writes there what
// fresh makes.
func goldenTable(t *testing.T, name string, fresh func() table) table {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		var text strings.Builder
		made := fresh()
		for _, line := range made.header {
			fmt.Fprintf(&text, "# %s\n", line)
		}
		for _, row := range made.rows {
			fmt.Fprintln(&text, strings.Join(row, " "))
		}
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text.String()), 0o644))
	}
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	var read table
	for scanner := bufio.NewScanner(file); scanner.Scan(); {
		if comment, found := strings.CutPrefix(scanner.Text(), "# "); found {
			read.header = append(read.header, comment)
			continue
		}
		read.rows = append(read.rows, strings.Fields(scanner.Text()))
	}
	require.NotEmpty(t, read.rows)
	return read
}

// requireSameTable compares the committed table with a fresh run of the tool:
// the same inputs (the first columns, as text), and outputs that agree to the
// tolerance, so that another version of the tool may differ in the last digit.
func requireSameTable(t *testing.T, committed, fresh table, inputs int, tolerance float64) {
	t.Helper()
	require.Len(t, fresh.rows, len(committed.rows))
	for i, row := range committed.rows {
		require.Equal(t, row[:inputs], fresh.rows[i][:inputs])
		want, got := number(t, row[inputs:]), number(t, fresh.rows[i][inputs:])
		require.InDeltaSlicef(t, want, got, tolerance, "row %d: %v", i, row)
	}
}

func number(t *testing.T, fields []string) []float64 {
	t.Helper()
	return tooltest.Floats(t, strings.Join(fields, " "))
}

// geodeticOf reads the columns latitude, longitude, height.
func geodeticOf(t *testing.T, fields []string) Geodetic {
	t.Helper()
	latitude, err := ParseLatitude(fields[0])
	require.NoError(t, err)
	longitude, err := ParseLongitude(fields[1])
	require.NoError(t, err)
	return Geodetic{latitude.Value, longitude.Value, number(t, fields[2:3])[0]}
}

// columns writes a point as a tool reads it: latitude, longitude, height.
func columns(g Geodetic) []string {
	return []string{g.Latitude.String(), g.Longitude.String(), strconv.FormatFloat(g.HeightM, 'f', -1, 64)}
}

// degrees makes a Nanodegree of an exact decimal written in a test.
func degrees(t *testing.T, text string) Nanodegree {
	t.Helper()
	coordinate, err := ParseLongitude(text)
	require.NoError(t, err)
	return coordinate.Value
}

func mustFrame(t *testing.T, origin Geodetic) Frame {
	t.Helper()
	frame, err := NewFrame(origin)
	require.NoError(t, err)
	return frame
}
