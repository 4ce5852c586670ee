// What is lacking when a standoff is made larger, by waypoints.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A waypoint is asked at the speed at which it is arrived at; the first of an
// open route is not arrived at.
func TestLackingAtWaypoints(t *testing.T) {
	v := newView(yard(t, func(s *site) { s.move("B", 30000-yardWaypointStandoff-600, 5000) }))
	asFast := func(speedMMPerS int64) int64 { return speedMMPerS }
	assert.Equal(t, lack{judged: true}, v.lacking(false, asFast))

	v = newView(yard(t, func(s *site) { s.move("B", 30000-yardWaypointStandoff-599, 5000) }))
	worst := v.lacking(false, asFast)
	assert.Equal(t, int64(1), worst.mm)
	assert.Equal(t, "waypoint B and boundary edge F2–F3", worst.between.String())

	v = newView(yard(t, func(s *site) { s.move("A", yardWaypointStandoff+599, 5000) }))
	assert.Equal(t, lack{judged: true}, v.lacking(false, asFast))
}
