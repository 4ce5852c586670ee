// What the tests share: running the outside tools, and the golden tables made
// from them.
//
// Every table under testdata is the output of an outside tool, with the tool,
// its version and the command in its header. Each is used twice: as it is, and
// against a fresh run of the tool. Rewrite them with
//
//	go test ./internal/geodesy -update
package geodesy

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden tables from the outside tools")

// runTool runs an outside tool on input lines and returns its output, one line
// of numbers for each input line. A missing tool fails the test.
func runTool(t *testing.T, input []string, name string, args ...string) [][]float64 {
	t.Helper()
	rows := make([][]float64, 0, len(input))
	for _, line := range runToolText(t, input, name, args...) {
		rows = append(rows, parseNumbers(t, line))
	}
	return rows
}

func runToolText(t *testing.T, input []string, name string, args ...string) []string {
	t.Helper()
	path, err := exec.LookPath(name)
	require.NoErrorf(t, err, "%s is needed (Debian packages proj-bin, geographiclib-tools)", name)
	command := exec.Command(path, args...)
	command.Stdin = strings.NewReader(strings.Join(input, "\n") + "\n")
	var stderr bytes.Buffer
	command.Stderr = &stderr
	output, err := command.Output()
	require.NoErrorf(t, err, "%s %v: %s", name, args, stderr.String())
	lines := strings.Split(strings.TrimRight(string(output), "\n"), "\n")
	require.Lenf(t, lines, len(input), "%s %v: %s", name, args, stderr.String())
	return lines
}

// toolVersion is the line in which a tool names its version.
func toolVersion(t *testing.T, name string) string {
	t.Helper()
	output, err := exec.Command(name, "--version").CombinedOutput()
	require.NoError(t, err)
	line, _, _ := strings.Cut(string(output), "\n")
	return strings.TrimSpace(line)
}

func parseNumbers(t *testing.T, line string) []float64 {
	t.Helper()
	var row []float64
	for field := range strings.FieldsSeq(line) {
		value, err := strconv.ParseFloat(field, 64)
		require.NoErrorf(t, err, "in line %q", line)
		row = append(row, value)
	}
	return row
}

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
	return parseNumbers(t, strings.Join(fields, " "))
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
