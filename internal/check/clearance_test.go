// Clearance against standoff: exact to the millimetre, each part printed.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/fence"
)

func TestClearance(t *testing.T) {
	for _, c := range []struct {
		fact   string
		change func(*site)
		want   []string
	}{
		{"room everywhere", func(*site) {}, []string{}},
		// A and B turn on the spot there and need 1090 mm; the leg needs 969.
		{"waypoints exactly at their standoff", func(s *site) { s.move("A", 5000, 1090); s.move("B", 25000, 1090) }, []string{}},
		{"one millimetre nearer, the waypoints only", func(s *site) { s.move("A", 5000, 1089); s.move("B", 25000, 1090) },
			[]string{"error: waypoint A is 1.089 m from boundary edge F1–F2; it needs 1.09 m (half-diagonal 0.321 + position 0.037 + arrival 0.30 + stopping 0.432)"}},
		{"a leg exactly at its standoff", func(s *site) { s.move("S1", 9000, 5969) }, []string{}},
		{"one millimetre nearer", func(s *site) { s.move("S1", 9000, 5968) },
			[]string{"error: leg A–B passes 0.968 m from obstacle shed edge S1–S2; it needs 0.969 m (half-width 0.20 + position 0.037 + arrival 0.30 + stopping 0.432)"}},
		{"a circle exactly at the standoff", func(s *site) { s.move("W", 19000, 5000+800+969) }, []string{}},
		{"one millimetre nearer", func(s *site) { s.move("W", 19000, 5000+800+968) },
			[]string{"error: leg A–B passes 0.968 m from obstacle well; it needs 0.969 m (half-width 0.20 + position 0.037 + arrival 0.30 + stopping 0.432)"}},
		{"a leg that is too near speaks for its waypoints", func(s *site) { s.move("A", 5000, 900) },
			[]string{"error: leg A–B passes 0.90 m from boundary edge F1–F2; it needs 0.969 m (half-width 0.20 + position 0.037 + arrival 0.30 + stopping 0.432)"}},
		{"a leg that leaves the boundary has no clearance", func(s *site) { s.move("A", 5000, -900); s.route = []string{"A", "C"} }, []string{}},
		{"nor has one through an obstacle", func(s *site) { s.move("W", 15000, 5000) }, []string{}},
		{"nor is there any to a boundary at fault", func(s *site) {
			s.move("A", 5000, 900)
			s.move("B", 25000, 900)
			s.boundary = []string{"F1", "F3", "F2", "F4"}
		}, []string{}},
	} {
		t.Run(c.fact, func(t *testing.T) { assert.Equal(t, c.want, messages(yard(t, c.change), "geometry.clearance")) })
	}
}

func TestClearanceNumbersAndPlaces(t *testing.T) {
	p := yard(t, func(s *site) { s.move("S1", 9000, 5968) })
	f := one(t, p, "geometry.clearance")
	assert.Equal(t, p.Route.Legs[0].At, f.At)
	assert.Equal(t, 0.968, number(t, f, "clearance"))
	assert.Equal(t, 0.969, number(t, f, "standoff"))
	sum := number(t, f, "body") + number(t, f, "position") + number(t, f, "off line") + number(t, f, "stopping")
	assert.InDelta(t, 0.969, sum, 1e-12)
	assert.Equal(t, "move it 0.001 m away, or drive slower there: stopping takes 0.432 m of the need", f.Remedy)
	require.Len(t, f.Related, 1)
	assert.Equal(t, diag.Related{At: diag.Position{File: "yard.yaml", Line: 202, Column: 11, Width: 6}, Message: "obstacle shed edge S1–S2"}, f.Related[0])
}

// At a corner the leg and its waypoint can be too near to different things; then
// both are said.
func TestClearanceOfWaypointToSomethingElse(t *testing.T) {
	p := yard(t, func(s *site) { s.move("S1", 9000, 5968); s.move("A", 1089, 5000) })
	assert.Len(t, of(p, "geometry.clearance"), 2)

	// Two edges of one ring are two things: A is near the western side, and the
	// leg from there is nearer to the southern one at its other end.
	p = yard(t, func(s *site) { s.move("A", 950, 5000); s.move("B", 25000, 940) })
	var about [][]diag.Subject
	for _, f := range of(p, "geometry.clearance") {
		about = append(about, f.About)
	}
	boundary, south, west := p.RingSubject(fence.Boundary), p.EdgeSubject(fence.Edge{Part: fence.Boundary}), p.EdgeSubject(fence.Edge{Part: fence.Boundary, Number: 3})
	assert.Equal(t, [][]diag.Subject{{p.Subject(diag.Waypoint, 0), boundary, west}, {p.Subject(diag.Leg, 0), boundary, south}, {p.Subject(diag.Leg, 1), boundary, south}}, about)
}
