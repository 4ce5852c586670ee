// Package tooltest runs the outside programs that tests compare this project
// with: PROJ, GeographicLib and GEOS. A program that is missing fails the test. It
// imports nothing of the project, so that the tests of every package can use it.
//
// This file: a program that answers line for line, and PROJ's local frame. geos.go:
// the geometry of GEOS. measured.go: what a run takes of time and memory.
package tooltest

import (
	"bytes"
	"os/exec"
	"strconv"
	"strings"

	"github.com/stretchr/testify/require"
)

// Output runs a program on an input. It must have nothing to complain about.
func Output(t require.TestingT, input, name string, args ...string) string {
	var out, problems bytes.Buffer
	c := exec.Command(name, args...)
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(input), &out, &problems
	err := c.Run()
	require.NoErrorf(t, err, "%s is needed (Debian packages geos-bin, geographiclib-tools, proj-bin): %s", name, problems.String())
	require.Emptyf(t, problems.String(), "%s %v", name, args)
	return out.String()
}

// Lines runs a program that answers every line of its input with one line.
func Lines(t require.TestingT, input []string, name string, args ...string) []string {
	out := Output(t, strings.Join(input, "\n")+"\n", name, args...)
	lines := strings.Split(strings.TrimRight(out, "\n"), "\n")
	require.Lenf(t, lines, len(input), "%s %v", name, args)
	return lines
}

// Numbers is Lines where the answers are numbers.
func Numbers(t require.TestingT, input []string, name string, args ...string) [][]float64 {
	var rows [][]float64
	for _, line := range Lines(t, input, name, args...) {
		rows = append(rows, Floats(t, line))
	}
	return rows
}

// Floats reads a line of numbers.
func Floats(t require.TestingT, line string) []float64 {
	var row []float64
	for field := range strings.FieldsSeq(line) {
		value, err := strconv.ParseFloat(field, 64)
		require.NoErrorf(t, err, "in line %q", line)
		row = append(row, value)
	}
	return row
}

// Version is the line in which a program names its version.
func Version(t require.TestingT, name string) string {
	out, err := exec.Command(name, "--version").CombinedOutput()
	require.NoError(t, err)
	line, _, _ := strings.Cut(string(out), "\n")
	return strings.TrimSpace(line)
}

// TopocentricPipeline are the arguments with which PROJ's cct takes longitude,
// latitude and height to east, north and up of an origin (IOGP Guidance Note 7-2,
// method 9837), which is a latitude, a longitude and a height, written out.
func TopocentricPipeline(origin []string) []string {
	return strings.Fields("+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad" +
		" +step +proj=cart +ellps=WGS84 +step +proj=topocentric +ellps=WGS84" +
		" +lon_0=" + origin[1] + " +lat_0=" + origin[0] + " +h_0=" + origin[2])
}

// Topocentric takes places to metres east, north and up of an origin, by PROJ. Each
// is a latitude, a longitude and a height, written out.
func Topocentric(t require.TestingT, origin []string, places [][]string) [][]float64 {
	var input []string
	for _, p := range places {
		input = append(input, p[1]+" "+p[0]+" "+p[2]+" 0") // the last is time
	}
	rows := Numbers(t, input, "cct", append([]string{"-d", "9"}, TopocentricPipeline(origin)...)...)
	for i := range rows {
		rows[i] = rows[i][:3]
	}
	return rows
}
