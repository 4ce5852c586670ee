// Legs by themselves: their length, and whether they are driven twice.
package check

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestZeroLeg(t *testing.T) {
	const rule = "geometry.zero-leg"
	assert.Empty(t, messages(yard(t, func(s *site) { s.route = []string{"A", "B", "E"}; s.move("E", 25001, 5000) }), rule))
	f := one(t, yard(t, func(s *site) { s.route = []string{"A", "B", "B"} }), rule)
	assert.Equal(t, "leg B–B has no length: both waypoints are at the same place", f.Message())
	assert.Equal(t, "take one of the two out of the route", f.Remedy)
	f = one(t, yard(t, func(s *site) { s.route = []string{"A", "B", "A"}; s.closed = true }), rule)
	assert.Equal(t, "a closed route returns to its first waypoint by itself; take the last one out", f.Remedy)
}

func TestDuplicateLeg(t *testing.T) {
	for _, c := range []struct {
		fact  string
		route []string
		want  []string
	}{
		{"each once", []string{"A", "B", "C", "D"}, []string{}},
		{"back again", []string{"A", "B", "A"}, []string{"warning: leg B–A drives leg A–B back again"}},
		{"again", []string{"A", "B", "C", "A", "B"}, []string{"warning: leg A–B drives leg A–B again"}},
		{"out and back makes one finding", []string{"A", "B", "C", "B", "A"}, []string{"warning: leg C–B drives leg B–C back again; driven before are also B–A"}},
	} {
		t.Run(c.fact, func(t *testing.T) {
			assert.Equal(t, c.want, messages(yard(t, func(s *site) { s.route = c.route }), "geometry.duplicate-leg"))
		})
	}
	// Not the same place is not the same leg, be it by a millimetre.
	p := yard(t, func(s *site) { s.route = []string{"A", "B", "E"}; s.move("E", 5000, 5001) })
	assert.Empty(t, of(p, "geometry.duplicate-leg"))
}

func TestShortLeg(t *testing.T) {
	const rule = "geometry.short-leg"
	short := func(mm int64) func(*site) { return func(s *site) { s.move("B", 5000+mm, 5000) } }
	assert.Empty(t, messages(yard(t, short(yardCut)), rule))
	assert.Equal(t, []string{"error: leg A–B is 0.395 m long; it needs 0.396 m (cut distance 0.396 + turns 0.000)"}, messages(yard(t, short(yardCut-1)), rule))

	// A radius of 1 m through 90 degrees takes 1 m of each leg; the leg from B to
	// C has such a turn at both ends, and does not stop.
	turning := func(mm int64) func(*site) {
		return func(s *site) { s.radiusMM = 1000; s.move("C", 25000, 5000+mm); s.move("D", 5000, 5000+mm) }
	}
	assert.Empty(t, messages(yard(t, turning(2000)), rule))
	f := one(t, yard(t, turning(1999)), rule)
	assert.Equal(t, "leg B–C is 1.999 m long; it needs 2.00 m (cut distance 0.000 + turns 2.000)", f.Message())
	assert.InDelta(t, 2.0, number(t, f, "turns"), 1e-12)

	// 60 degrees: R·tan(30°), by the table of tangents 0.57735.
	p := yard(t, func(s *site) {
		s.radiusMM = 1000
		s.route = []string{"A", "B", "C"}
		s.move("C", 25000+5000, 5000)
	})
	p.Route.Waypoints[1].TurnDeg = -60
	p.Route.Legs[0].LengthMM = 577.3
	assert.InDelta(t, 0.57735, number(t, one(t, p, rule), "turns"), 1e-5)
	p.Route.Legs[0].LengthMM = 577.4
	assert.Empty(t, of(p, rule))

	// A waypoint that is stopped at has no tangent.
	p.Route.Legs[0].LengthMM = 500
	p.Route.Waypoints[1].Stops = true
	assert.Empty(t, of(p, rule))

	// Turning right back is arrival.turn's to refuse: no leg could be long enough.
	p = yard(t, func(s *site) { s.radiusMM = 1000; s.route = []string{"A", "B", "A"} })
	assert.Equal(t, 180.0, math.Abs(p.Route.Waypoints[1].TurnDeg))
	assert.Empty(t, of(p, rule))
}
