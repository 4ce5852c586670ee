// Arrival: tolerances, turns, speeds and the watchdog.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
)

func TestTolerance(t *testing.T) {
	const rule = "arrival.tolerance"
	p := yard(t)
	p.Route.Waypoints[2].ToleranceMM = yardClosest
	assert.Empty(t, messages(p, rule))
	p.Route.Waypoints[2].ToleranceMM--
	f := one(t, p, rule)
	assert.Equal(t, "waypoint C: an arrival tolerance of 0.117 m cannot be met at 0.60 m/s; the closest is 0.118 m (position 0.037; along the line timing 0.036 and coast error 0.045, across it steering 0.00; at 95 %)", f.Message())
	assert.Equal(t, "error", f.Severity.String())
	assert.Equal(t, []float64{0.117, 0.118, 1.2}, []float64{number(t, f, "tolerance"), number(t, f, "closest"), number(t, f, "highest speed")})

	for _, c := range []struct {
		highest int64
		remedy  string
	}{
		{593, "drive this leg at 0.593 m/s or less, or widen the tolerance to at least 0.118 m"},
		{200, "drive this leg at 0.20 m/s or less, or widen the tolerance to at least 0.118 m"},
		{199, "widen the tolerance to at least 0.118 m: it would take 0.199 m/s, below the rover's minimum of 0.20 m/s"},
		{0, "widen the tolerance to at least 0.118 m: no speed meets it, and the error of position, most of it receiver, takes the most"},
	} {
		p.Route.Waypoints[2].Arrival.HighestMMPerS = c.highest
		p.Route.Waypoints[2].Budget = plan.Budget{Parts: p.Errors, Factor: 2}
		assert.Equal(t, c.remedy, one(t, p, rule).Remedy)
	}

	p = yard(t)
	p.Route.Waypoints[0].ToleranceMM = 0 // the start of an open route is not arrived at
	assert.Empty(t, messages(p, rule))
}

func TestTurn(t *testing.T) {
	const rule = "arrival.turn"
	// At B the route turns by 90 degrees. A fix may lie up to 300 mm from the mark,
	// at worst 80 mm beside the line, so that the board turns sqrt(300² - 80²) = 289 mm
	// before the mark at the latest, but a fix acts up to 220 ms late: 0.6 m/s · 220 ms =
	// 132 mm later, and the steering takes 0.2 m more. The turn then ends R + 48 mm wide,
	// the little included by which the steering eases out of the arc, and 5 mm more that are
	// not gone into. The fence is 5000 mm from the leg; position, the way to rest and a corner
	// in any direction take 37 + 477 + 321 mm of it, and 4165 mm are left.
	driven := func(radiusMM int64) *plan.Plan {
		return yard(t, func(s *site) { s.radiusMM, s.obstacles, s.route = radiusMM, nil, []string{"A", "B", "C"} })
	}
	assert.Empty(t, messages(driven(0), rule))
	assert.Empty(t, messages(driven(4112), rule))
	p := driven(4113)
	assert.Equal(t, []string{
		"error: waypoint B: driven through at 0.60 m/s, a turn of 90 deg with a radius of 4.113 m may end 4.161 m wide of leg B–C, the arrival tolerance included. That leg begins 5.00 m from boundary edge F1–F2; for the turn, the error of position and the body until rest it needs 5.001 m",
	}, messages(p, rule))
	assert.Regexp(t, `^drive the leg before it at 0\.59[0-9] m/s or less, split the turn over several waypoints, or move it 0\.001 m away$`, of(p, rule)[0].Remedy)
	assert.InDelta(t, 3.861, number(t, of(p, rule)[0], "swings"), 1e-12)
	assert.Empty(t, messages(p, "geometry.clearance"), "told once")
	p.Route.Waypoints[1].ToleranceMM = 302 // it turns 2 mm earlier
	p.Stretches()
	assert.Empty(t, messages(p, rule))
	p = driven(4113)
	p.Route.Legs[0].SpeedMMPerS = 597 // less late
	p.Stretches()
	assert.Empty(t, messages(p, rule))

	// Stopped at, the turn begins anywhere within the tolerance, and swings
	// R·(1 - cos 90°) = R wide of the next leg, and 6 mm by which it eases out.
	stopped := func(radiusMM int64) *plan.Plan {
		p := driven(radiusMM)
		p.Route.Waypoints[1].Stops = true
		p.Stretches()
		return p
	}
	assert.Empty(t, messages(stopped(3859), rule))
	assert.Equal(t, []string{"error: waypoint B: setting off from rest, a turn of 90 deg with a radius of 3.86 m may end 4.166 m wide of leg B–C, the arrival tolerance included. That leg begins 5.00 m from boundary edge F1–F2; for the turn, the error of position and the body until rest it needs 5.001 m"}, messages(stopped(3860), rule))

	// Right back: not driven through, and 2·R wide from rest.
	back := yard(t, func(s *site) { s.radiusMM, s.obstacles = 1926, nil; s.route = []string{"A", "B", "A"} })
	require.False(t, back.Route.Waypoints[1].Stops)
	assert.Equal(t, []string{"error: waypoint B: a turn of 180 deg with a radius of 1.926 m cannot be driven through"}, messages(back, rule))
	back.Route.Waypoints[1].Stops = true
	back.Stretches()
	assert.Empty(t, messages(back, rule))
	back.Machine.Rover.TurnRadiusMM = 1927
	back.Stretches()
	require.Len(t, messages(back, rule), 1)

	// Rest of the turn is under the body: a turn on the spot in all but name.
	require.True(t, driven(200).Route.Waypoints[1].Pivot.Needed)
	require.False(t, driven(201).Route.Waypoints[1].Pivot.Needed)

	// A leg without length has no direction, so a turn there means nothing.
	assert.Empty(t, messages(yard(t, func(s *site) { s.radiusMM = 5000; s.route = []string{"A", "B", "B"} }), rule))
}

func TestSpeed(t *testing.T) {
	const rule = "arrival.speed"
	at := func(speeds ...int64) *plan.Plan {
		p := yard(t)
		p.Machine.Rover.CruiseMMPerS = 700
		for i, v := range speeds {
			p.Route.Legs[i].SpeedMMPerS = v
		}
		return p
	}
	assert.Empty(t, messages(at(200, 600, 600), rule))
	assert.Equal(t, []string{"error: leg A–B is to be driven at 0.199 m/s, below the rover's minimum of 0.20 m/s"}, messages(at(199, 600, 600), rule))
	assert.Equal(t, []string{"warning: leg B–C is to be driven at 0.601 m/s, faster than the 0.60 m/s from which the coast was measured"}, messages(at(600, 601, 600), rule))
	assert.Equal(t, []string{"warning: leg B–C is to be driven at 0.70 m/s, faster than the 0.60 m/s from which the coast was measured"}, messages(at(600, 700, 600), rule))
	assert.Equal(t, []string{"error: leg B–C is to be driven at 0.701 m/s, above the rover's cruise of 0.70 m/s"}, messages(at(600, 701, 600), rule))
	assert.Equal(t, []string{
		"error: leg A–B is to be driven at 0.80 m/s, above the rover's cruise of 0.70 m/s; so it is with C–D",
		"error: leg B–C is to be driven at 0.90 m/s, above the rover's cruise of 0.70 m/s",
	}, messages(at(800, 900, 800), rule), "one finding for each speed")
	f := one(t, at(199, 600, 600), rule)
	assert.Equal(t, []float64{0.199, 0.2}, []float64{number(t, f, "speed"), number(t, f, "limit")})
}

func TestStale(t *testing.T) {
	const rule = "arrival.stale"
	p := yard(t)
	p.Machine.Receiver.StaleAfterMS = 100 + 80 + 20
	assert.Empty(t, messages(p, rule))
	p.Machine.Receiver.StaleAfterMS--
	assert.Equal(t, []string{"error: receiver.stale_after of 199 ms is shorter than one fix interval, the latency and one loop together, 200 ms: the drive would stop all the time"}, messages(p, rule))

	// Too late: driven blind for stale + loop + clock and step + output = 1042 ms at
	// 0.6 m/s is 626 mm, of which the standoff holds 220 ms or 132 mm: 494 mm more than the
	// 872 mm of the leg, 1366 mm. The shed decides, at one millimetre.
	late := func(s1 int64) *plan.Plan {
		p := yard(t, func(s *site) { s.move("S1", 9000, 5000+s1) })
		p.Machine.Receiver.StaleAfterMS = 1000
		return p
	}
	assert.Empty(t, messages(late(1366), rule))
	p = late(1365)
	assert.Equal(t, []string{"warning: when fixes stop coming the rover drives on for up to 0.626 m before the watchdog cuts the drive, and then coasts; the clearance between leg A–B and obstacle shed edge S1–S2 is 0.001 m too small for that"}, messages(p, rule))
	f := one(t, p, rule)
	assert.Equal(t, []float64{0.626, 0.001}, []float64{number(t, f, "driven blind"), number(t, f, "lacking")})
	// Where the standoff itself is lacking, geometry.clearance speaks.
	p = late(871)
	assert.Empty(t, messages(p, rule))
	assert.Len(t, of(p, "geometry.clearance"), 1)
	// The slower the hold, the more of it is in the standoff.
	p = late(1365)
	p.Board.Timing.HoldMS = 222
	assert.Empty(t, messages(p, rule))
}
