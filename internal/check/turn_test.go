// Turns at waypoints where the rover stops, and at the start of a closed route.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A turn from rest may swing as wide as the next leg's standoff holds: the larger
// of tolerance and cross-track allowance.
func TestTurnFromRestWithinCrossTrack(t *testing.T) {
	p := yard(t, func(s *site) { s.radiusMM = 400 })
	p.Route.Waypoints[1].Stops = true
	p.Machine.Rover.CrossTrackMM = 400
	assert.Empty(t, messages(p, "arrival.turn"))
	p.Machine.Rover.CrossTrackMM = 399
	assert.Equal(t, []string{"error: waypoint B: setting off from rest, a turn of 90 deg with a radius of 0.40 m swings 0.40 m wide of leg B–C, beyond the 0.399 m that its standoff holds"}, messages(p, "arrival.turn"))
}

// A closed route ends at its first waypoint; nobody sets off from there again.
func TestNoTurnAtTheStart(t *testing.T) {
	p := yard(t, func(s *site) { s.radiusMM, s.closed = 400, true })
	p.Route.Waypoints[0].Stops, p.Route.Waypoints[3].Stops = true, false
	assert.Empty(t, messages(p, "arrival.turn"))
}
