// The comments of the fence's tables: whichever way round the board runs a ring,
// and whichever marks share a place, each row names the marks of its own ring.
package gen_test

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/quantity"
	"merestone/spec"
)

// tableRow is a row of a table of the header: its first three numbers, and what
// its comment says.
type tableRow struct {
	east, north, third int64
	comment            string
}

func tableRows(t require.TestingT, text, table string) (rows []tableRow) {
	_, body, found := strings.Cut(text, "_"+table+"[")
	if !found {
		return nil
	}
	body, _, _ = strings.Cut(body, "};")
	for _, m := range regexp.MustCompile(`\{ *(-?\d+), *(-?\d+), *(-?\d+).*/\* (.*) \*/`).FindAllStringSubmatch(body, -1) {
		row := tableRow{comment: m[4]}
		for i, v := range []*int64{&row.east, &row.north, &row.third} {
			n, err := strconv.ParseInt(m[i+1], 10, 64)
			require.NoError(t, err)
			*v = n
		}
		rows = append(rows, row)
	}
	return rows
}

// requireComments reads the tables of a header and compares each row with the
// marks that the mission lists for it.
func requireComments(t require.TestingT, m *spec.Mission) {
	p, findings := plan.Resolve(m)
	require.Empty(t, findings)
	require.True(t, p.Complete(), p.Incomplete)
	text := missionHeader(t, p)
	at := map[string]planar.Point{}
	for _, mark := range p.Survey.Marks {
		at[mark.Name] = mark.Point
	}
	edges, circles := tableRows(t, text, "edges"), tableRows(t, text, "circles")
	ring := func(listed []string) {
		require.Greater(t, len(edges), len(listed))
		rows := edges[:len(listed)+1]
		edges = edges[len(rows):]
		var names []string
		for i, row := range rows {
			name, rest, _ := strings.Cut(row.comment, "-")
			if i == len(listed) {
				name, rest, _ = strings.Cut(row.comment, " ")
				require.Equal(t, "again: the ring is closed", rest)
				require.Equal(t, names[0], name)
			} else {
				names = append(names, name)
				next, _, _ := strings.Cut(rows[i+1].comment, "-")
				next, _, _ = strings.Cut(next, " ")
				require.Equal(t, next, rest)
			}
			require.Equal(t, at[name], planar.Point{E: row.east, N: row.north}, row.comment)
		}
		require.True(t, sameRing(listed, names), "%v in the header, %v in the mission", names, listed)
	}
	ring(m.Geofence.Boundary)
	for _, o := range m.Geofence.Obstacles {
		if len(o.Ring) > 0 {
			ring(o.Ring)
			continue
		}
		require.NotEmpty(t, circles)
		require.Equal(t, tableRow{at[o.Centre].E, at[o.Centre].N, o.Radius.CeilMM(), o.Name}, circles[0])
		circles = circles[1:]
	}
	require.Empty(t, edges)
	require.Empty(t, circles)
}

// sameRing: one list is the other from another mark on, or the other way round.
func sameRing(a, b []string) bool {
	turned := slices.Clone(b)
	slices.Reverse(turned)
	for range a {
		if slices.Equal(a, b) || slices.Equal(a, turned) {
			return true
		}
		b, turned = append(b[1:], b[0]), append(turned[1:], turned[0])
	}
	return false
}

// Two sheds wall to wall, each with its own marks, and two wells on one mark.
func TestObstaclesThatShareACorner(t *testing.T) {
	m := yardMission(t)
	for _, mark := range m.Marks {
		if mark.Name == "S2" || mark.Name == "S3" {
			mark.Name = "T" + mark.Name[1:] // at the same place
			m.Marks = append(m.Marks, mark)
		}
		if mark.Name == "B" {
			mark.Name = "T9"
			mark.Latitude.Value += 60_000 // north of B
			m.Marks = append(m.Marks, mark)
		}
	}
	m.Geofence.Obstacles = append(m.Geofence.Obstacles,
		spec.Obstacle{Name: "annexe", Ring: []string{"T2", "T9", "T3"}},
		spec.Obstacle{Name: "kerb", Centre: m.Geofence.Obstacles[0].Centre, Radius: m.Geofence.Obstacles[0].Radius})
	requireComments(t, m)
}

// Rings of random corners, many of them shared, listed from any mark on and
// either way round.
func TestCommentsNameTheMarksOfTheRing(t *testing.T) {
	base := yardMission(t)
	frame := yard(t).Site.Frame
	var pattern spec.Mark
	for _, mark := range base.Marks {
		if mark.Name == "A" {
			pattern = mark
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		m := *base
		m.Marks = slices.Clone(base.Marks)
		mark := func(name string, east, north int) string {
			g := frame.AtHeight(float64(east), float64(north), frame.Origin().HeightM)
			made := pattern
			made.Name, made.Latitude.Value, made.Longitude.Value = name, g.Latitude, g.Longitude
			m.Marks = append(m.Marks, made)
			return name
		}
		listed := func(ring []string) []string {
			from := rapid.IntRange(0, len(ring)-1).Draw(t, "from")
			ring = append(slices.Clone(ring[from:]), ring[:from]...)
			if rapid.Bool().Draw(t, "reversed") {
				slices.Reverse(ring)
			}
			return ring
		}
		m.Geofence = spec.Geofence{Boundary: listed([]string{mark("K1", -5, -5), mark("K2", 40, -5), mark("K3", 41, 30), mark("K4", 10, 20), mark("K5", -5, 30)})}
		for i := range rapid.IntRange(0, 5).Draw(t, "obstacles") {
			e, n := 3*rapid.IntRange(1, 4).Draw(t, "east"), 3*rapid.IntRange(1, 4).Draw(t, "north")
			o := spec.Obstacle{Name: fmt.Sprintf("thing %d", i)}
			name := func(corner string) string { return fmt.Sprintf("X%d%s", i, corner) }
			if rapid.Bool().Draw(t, "round") {
				o.Centre, o.Radius = mark(name("C"), e, n), quantity.Length(rapid.SampledFrom([]int64{500, 700}).Draw(t, "radius"))*base.Geofence.Obstacles[0].Radius/800
			} else { // squares of one size on a grid: they share corners, or all of themselves
				o.Ring = listed([]string{mark(name("SW"), e, n), mark(name("SE"), e+3, n), mark(name("NE"), e+3, n+3), mark(name("NW"), e, n+3)})
			}
			m.Geofence.Obstacles = append(m.Geofence.Obstacles, o)
		}
		requireComments(t, &m)
	})
}
