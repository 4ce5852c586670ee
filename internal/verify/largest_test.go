// The limits of a header, against the largest that a mission can compile to.
package verify

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/guidance"
	"merestone/internal/missiontest"
)

// Every line at its longest as often as there may be one: the limits of spec on marks,
// waypoints, names and obstacles, and of guidance on the edges and the search
// structure of a fence.
func TestLargestHeader(t *testing.T) {
	const (
		marks, legs, edges, circles = 100_000, 65_000, 16_383, 10_000
		name                        = 40
		wider                       = 12 // numbers of more digits than the examples have
		far, unit                   = -board.MaxCoordinateMM, -1 << 30
	)
	entries := guidance.Size(guidance.Edge{})*edges + guidance.Size(guidance.FenceCircle{})*circles
	search := (guidance.MaxFenceBytes(edges+circles) - entries) / 2 // 16-bit words
	// longest is that of the lines of a part of the comment, without the names in it.
	longest := func(text, part string, names []string) int {
		_, rest, ok := strings.Cut(text, " * "+part)
		require.True(t, ok)
		rest, _, _ = strings.Cut(rest[strings.Index(rest, "\n *\n")+4:], "\n *\n")
		line, nameOf := 0, 0
		for l := range strings.Lines(rest) {
			line = max(line, len(l))
		}
		for _, n := range names {
			nameOf = max(nameOf, len(strings.ReplaceAll(n, "–", "-")))
		}
		require.Greater(t, line, nameOf)
		return line - nameOf
	}
	markLine, legLine := 0, 0
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		text := header(t, p, tool)
		var ofMarks, ofLegs []string
		for _, m := range p.Survey.Marks {
			ofMarks = append(ofMarks, m.Name)
		}
		for _, l := range p.Route.Legs {
			ofLegs = append(ofLegs, l.Name)
		}
		markLine = max(markLine, longest(text, "MARKS", ofMarks)+name+wider)
		legLine = max(legLine, longest(text, "LEGS", ofLegs)+2*name+1+wider)
	}
	row := func(table any, comment int) int {
		return len("    {"+strings.Join(guidance.Values(table), ", ")+"}, /*  */\n") + comment
	}
	legRow := row(guidance.Leg{
		EastMM: far, NorthMM: far, UnitEastQ30: unit, UnitNorthQ30: unit, SpeedMMPerS: math.MaxUint16,
	}, 2*name+1) + 40 // the other members at five digits more
	edgeRow := row(guidance.Edge{EastMM: far, NorthMM: far, UnitEastQ30: unit, UnitNorthQ30: unit}, 2*name+1)
	circleRow := row(guidance.FenceCircle{EastMM: far, NorthMM: far, RadiusMM: math.MaxInt32}, name)

	bytes := marks*markLine + legs*(legLine+legRow) + edges*edgeRow + circles*circleRow + search*len("65535u, ") + 100_000
	assert.Less(t, bytes, maxHeaderBytes, fmt.Sprint(markLine, legLine, legRow, edgeRow, circleRow))
	assert.Greater(t, bytes, maxHeaderBytes/2, "the sum is of the order of the limit")
	values := legs*(len(guidance.Values(guidance.Leg{}))+5) + edges*5 + circles*4 + search + 100_000
	assert.Less(t, values, maxValues)
	assert.Greater(t, values, maxValues/2)
	t.Logf("%d bytes, %d values", bytes, values)
}
