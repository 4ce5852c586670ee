// Turns at waypoints where the rover stops, and at the start of a closed route.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/diag"
)

// A closed route ends where it began, and another lap sets off from there.
func TestTurnAtTheStartOfAClosedRoute(t *testing.T) {
	p := yard(t, func(s *site) { s.radiusMM, s.closed, s.obstacles = 3859, true, nil })
	for i := range p.Route.Waypoints {
		p.Route.Waypoints[i].Stops = true
	}
	p.Stretches()
	assert.Empty(t, messages(p, "arrival.turn"))
	p.Machine.Rover.TurnRadiusMM++
	p.Stretches()
	f := one(t, p, "arrival.turn")
	assert.Equal(t, p.Subject(diag.Waypoint, 0), f.About[0])
}

// Room of the leg that the turn leaves does not stand in for room where it swings: it
// is held against the fence beside the beginning of the next leg, and there alone.
func TestATurnIsHeldAgainstTheFenceWhereItIs(t *testing.T) {
	wall := func(e, n int64) []string {
		p := yard(t, func(s *site) {
			s.radiusMM = 1000
			s.obstacles = []sketch{{name: "post", marks: []string{"W"}, radiusMM: 100}}
			s.move("W", e, n)
		})
		return messages(p, "arrival.turn")
	}
	// The leg from B heads north, and the turn may swing 1083 mm wide of it, the tolerance included, in its first
	// metres: a post needs 100 + 37 + 1083 (and one) + 798 mm.
	assert.Empty(t, wall(25000+2019, 5500))
	assert.Len(t, wall(25000+2018, 5500), 1)
	assert.Empty(t, wall(25000+2018, 12_500), "it is on its line by then")
}
