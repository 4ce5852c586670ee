// What is lacking when a standoff is made larger, by waypoints.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every stretch is asked at the speed at which it is driven or arrived at; the first
// waypoint of an open route is not arrived at.
func TestLackingOfStretches(t *testing.T) {
	asFast := func(speedMMPerS int64) int64 { return speedMMPerS }
	v := newView(yard(t, func(s *site) { s.move("B", 30000-yardStartStandoff-600, 5000) }))
	assert.Equal(t, lack{judged: true}, v.lacking(limit{}, false, asFast))

	v = newView(yard(t, func(s *site) { s.move("B", 30000-yardStartStandoff-599, 5000) }))
	worst := v.lacking(limit{}, false, asFast)
	assert.Equal(t, int64(1), worst.mm)
	assert.Equal(t, "leg B–C and boundary edge F2–F3", worst.between.String())

	turning := func(e int64) *view {
		p := yard(t, func(s *site) { s.move("B", e, 5000) })
		p.Machine.Rover.Body.PivotMM = 2000
		p.Stretches()
		return newView(p)
	}
	assert.Equal(t, lack{judged: true}, turning(30000-2337-600).lacking(limit{}, false, asFast))
	worst = turning(30000-2337-599).lacking(limit{}, false, asFast)
	assert.Equal(t, int64(1), worst.mm)
	assert.Equal(t, "waypoint B and boundary edge F2–F3", worst.between.String())
}
