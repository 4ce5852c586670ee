package plan_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/missiontest"
	"merestone/internal/plan"
)

// The yard by hand. It drives at 600 mm/s and rolls out 300 mm from there; loop 20 ms, the
// drive is without power 20 ms after the output; fixes every 100 ms, 80 ms late. On each
// leg the cut comes 10 ms and 20 ms before the rover is where the coast begins. The board
// then waits for 20 ms, for three times the longest coast of 1.15·300 mm at 600 mm/s, and
// for 300 ms; and for two fixes: 80 ms, 1.5·100 ms and 10 ms.
func TestDurationOfTheYardByHand(t *testing.T) {
	p := missiontest.Resolve(t, "../../examples/refused/base.yaml")
	d := p.Duration()
	const stop = 20 + 3*345*1000/600 + 300 + 80 + 150 + 10
	travel := func(lengthMM float64) int64 { return int64((lengthMM-300)/0.6 - 10 - 20 + 0.5) }
	assert.Equal(t, []plan.LegTime{
		{TravelMS: travel(20_000), StopMS: stop, UntilMS: travel(20_000) + stop},
		{TravelMS: travel(10_000), StopMS: stop, UntilMS: travel(20_000) + travel(10_000) + 2*stop},
		{TravelMS: travel(20_000), StopMS: stop, UntilMS: 2*travel(20_000) + travel(10_000) + 3*stop},
	}, d.Legs)
	assert.Equal(t, int64(50_000), d.TotalMM)
	assert.Equal(t, 2, d.Turns)
	assert.InDelta(t, 180, d.TurnDeg, 0.01)
	assert.Equal(t, d.Legs[2].UntilMS, d.TotalMS())
}

// What changes the time, by hand.
func TestDurationOf(t *testing.T) {
	yard := func(edits ...missiontest.Edit) plan.Duration {
		return missiontest.Resolve(t, "../../examples/refused/base.yaml", edits...).Duration()
	}
	before := yard()
	edit := func(find, write string) missiontest.Edit { return missiontest.Edit{find, write} }
	const waypoints = "waypoints: [A, B, C, D]"
	for _, c := range []struct {
		fact        string
		edits       []missiontest.Edit
		leg         int
		travel      int64 // by how much longer the leg's travel is, ms
		stop, dwell int64 // how long, ms; stop -1: as before
	}{
		{"a dwell", []missiontest.Edit{edit(waypoints, "waypoints: [A, B, {mark: C, dwell: 7 s}, D]")}, 1, 0, -1, 7000},
		{"no dwell at the end: it has finished", []missiontest.Edit{edit(waypoints, "waypoints: [A, B, C, {mark: D, dwell: 7 s}]")}, 2, 0, -1, 0},
		// half the speed: 20 m less a coast of 75 mm at 300 mm/s, not less 300 mm at 600 mm/s
		{"half the speed", []missiontest.Edit{edit(waypoints, "waypoints: [A, {mark: B, speed: 0.3 m/s}, C, D]")}, 0, 66_417 - 32_833, -1, 0},
		{"motors that are 150 ms late", []missiontest.Edit{edit("turn_radius: 0 m", "turn_radius: 0 m\n  motor_lag: 150 ms")}, 1, 150, -1, 0},
		// driven through: all of the 20 m at 600 mm/s, and no cut before its end
		{"driven through", []missiontest.Edit{edit("turn_radius: 0 m", "turn_radius: 0.5 m")}, 0, 500 + 30, 0, 0},
		// the motors are at speed already
		{"late motors, driven through", []missiontest.Edit{edit("turn_radius: 0 m", "turn_radius: 0.5 m\n  motor_lag: 150 ms")}, 1, 500 + 30, 0, 0},
	} {
		got, was := yard(c.edits...).Legs[c.leg], before.Legs[c.leg]
		assert.InDelta(t, c.travel, got.TravelMS-was.TravelMS, 1, c.fact)
		if c.stop < 0 {
			c.stop = was.StopMS
		}
		assert.Equal(t, []int64{c.stop, c.dwell}, []int64{got.StopMS, got.DwellMS}, c.fact)
	}
}
