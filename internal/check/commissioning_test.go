// The record of the commissioning: that it is there, of this wiring and of these days, and
// what was measured.
package check

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
)

func day(d int) time.Time { return time.Date(2026, 6, d, 0, 0, 0, 0, time.UTC) }

// commissioned is the yard with its record changed.
func commissioned(t *testing.T, change func(*plan.Plan)) *plan.Plan {
	t.Helper()
	p := yard(t)
	require.NotEmpty(t, p.Commissioning.Passed)
	change(p)
	return p
}

func TestRecord(t *testing.T) {
	const rule = "commissioning.record"
	of := func(change func(*plan.Plan)) []string { return messages(commissioned(t, change), rule) }
	assert.Empty(t, of(func(*plan.Plan) {}))
	f := one(t, commissioned(t, func(p *plan.Plan) { p.Commissioning = plan.Commissioning{} }), rule)
	assert.Equal(t, "warning", f.Severity.String())
	assert.Regexp(t, `^nothing says that this machine was tried: its \d+ steps of the written test, and the way and the time in which it stops, are expectations$`, f.Message())
	for _, c := range []struct {
		fact     string
		from, by int
		want     []string
	}{
		{"on the day itself, twice", 15, 15, []string{}},
		{"made after the drive", 16, 30, []string{"warning: the commissioning of 2026-06-16 is after the drive of 2026-06-15"}},
		{"out of date", 1, 14, []string{"warning: the commissioning of 2026-06-01 was to be repeated by 2026-06-14; the drive is on 2026-06-15"}},
	} {
		assert.Equal(t, c.want, of(func(p *plan.Plan) { p.Commissioning.Date, p.Commissioning.RepeatBy = day(c.from), day(c.by) }), c.fact)
	}
	got := of(func(p *plan.Plan) { p.Commissioning.Passed[0] = "T-none" })
	require.Len(t, got, 2)
	assert.Regexp(t, `^warning: 1 of the \d+ steps of the written test are not among those passed: T-[0-9a-f]{4}$`, got[0])
	assert.Equal(t, "warning: passed names steps that the written test does not have: T-none", got[1])
	// Other wiring: its own steps are other steps, those of the other hold are the same.
	other := commissioned(t, func(*plan.Plan) {})
	passed := other.Commissioning.Passed
	changed := withHolds(t, func(p *plan.Plan) { p.Holds.List[0].Circuit.Channels[0].SeriesOhm = 330 })
	changed.Commissioning = other.Commissioning
	changed.Commissioning.Passed = passed
	assert.Len(t, messages(changed, rule), 2)
}

func TestMeasuredStops(t *testing.T) {
	const rule = "commissioning.stopping"
	assert.Empty(t, messages(commissioned(t, func(*plan.Plan) {}), rule))
	late := commissioned(t, func(p *plan.Plan) {
		p.Commissioning.Stopping[0].TimeMS, p.Board.Timing.LateMS = 2000, 195
	})
	assert.Equal(t, []string{"warning: measured from 0.60 m/s: 2000 ms and 0.35 m from letting go to rest, where no more than 1805 ms and 0.393 m were expected; the plan counts 195 ms more in every stop"}, messages(late, rule))
	slow := commissioned(t, func(p *plan.Plan) { p.Commissioning.Stopping[0].FromMMPerS = 500 })
	assert.Equal(t, []string{"warning: no stop was measured from more than 0.50 m/s, and the rover drives at up to 0.60 m/s: a stop from there is not covered by a measurement"}, messages(slow, rule))
}
