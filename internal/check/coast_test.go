// Arrival: the coast from a slower speed than it was measured at.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The yard's coast is 300 mm from 0.60 m/s. From 0.30 m/s it is 75 mm by v², and
// at most 150 mm.
func TestCoast(t *testing.T) {
	const rule, further = "arrival.coast", 75
	p := yard(t)
	p.Route.Waypoints[2].ToleranceMM = yardClosest // nothing left, but measured at this speed
	assert.Empty(t, messages(p, rule))
	p.Route.Waypoints[2].ToleranceMM = 10 // arrival.tolerance has this
	assert.Empty(t, messages(p, rule))
	p.Route.Legs[1].SpeedMMPerS = 300
	p.Route.Waypoints[2].ToleranceMM = yardClosest + further
	assert.Empty(t, messages(p, rule))
	p.Route.Waypoints[2].ToleranceMM--
	f := one(t, p, rule)
	assert.Equal(t, "the coast was measured from 0.60 m/s, and leg B–C stops from 0.30 m/s: with drag that grows with speed the rover rolls up to 0.075 m further than v² says, past what the arrival tolerance of 0.192 m leaves", f.Message())
	assert.Equal(t, "note", f.Severity.String())
	assert.InDelta(t, 0.075, number(t, f, "further"), 1e-12)

	p.Route.Waypoints[2].Stops = false // driven through: the roll-out does not matter
	assert.Empty(t, messages(p, rule))
	p.Route.Waypoints[2].Stops = true
	p.Route.Legs[0].SpeedMMPerS, p.Route.Waypoints[1].ToleranceMM = 300, yardClosest
	assert.Contains(t, one(t, p, rule).Message(), "; and so at 1 more waypoints")
}
