// What a plan states of its reactions, against the board's twin at work: contacts that
// chatter, loops of any length that the board lets pass, and a clock that cuts off what is
// between its milliseconds. Instants are in microseconds; an adversary picks them.
package plan_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/guidance"
	"merestone/internal/missiontest"
	"merestone/internal/motion"
	"merestone/internal/plan"
)

// timed is the yard with some of its times replaced, and its board under way: started, at
// the first waypoint, driving.
type timed struct {
	plan  *plan.Plan
	board *guidance.Mission
	state guidance.State
	in    guidance.Input // of the last step, which was at in.TimeMS
}

func newTimed(t *testing.T, loop, bounce, filter, output int64) timed {
	t.Helper()
	text := yardText(t)
	for _, e := range [][2]string{
		{"    debounce: 20 ms\n", fmt.Sprintf("    debounce: %d ms\n    stop_filter: %d ms\n", bounce, filter)}, // of both holds
		{"  loop: 20 ms", fmt.Sprintf("  loop: %d ms", loop)},
		{"off_delay: 20 ms", fmt.Sprintf("off_delay: %d ms", output)},
		{"off_delay: 2 ms", fmt.Sprintf("off_delay: %d ms", min(output, 2))},
		{"  latency: 80 ms\n", "  latency: 80 ms\n  stale_after: 5 s\n"},
	} {
		require.Contains(t, text, e[0])
		text = strings.ReplaceAll(text, e[0], e[1])
	}
	p, findings := plan.Resolve(missiontest.Parse(t, "yard.yaml", text))
	require.Empty(t, findings)
	tables := p.Board.Tables
	tables.Record.Format = guidance.RecordFormat
	d := timed{plan: p, board: &tables}
	start := p.Route.Legs[0].Segment.A
	at := p.Site.Frame.AtHeight(plan.Metres(start.E), plan.Metres(start.N), p.Site.Origin.HeightM)
	d.in = guidance.Input{TimeMS: 1<<32 - 500, Quality: p.Machine.Receiver.Required, LatitudeNdeg: int64(at.Latitude), LongitudeNdeg: int64(at.Longitude)}
	require.True(t, tables.Start(&d.state, 0))
	// Everything in stop; then all but the hold-to-run in run; a reset; and pressed.
	var out guidance.Output
	for _, phase := range []struct {
		run   func(guidance.Hold) bool
		reset bool
	}{
		{func(guidance.Hold) bool { return false }, false},
		{func(h guidance.Hold) bool { return h.Kind != board.HoldToRun }, false},
		{func(h guidance.Hold) bool { return h.Kind != board.HoldToRun }, true},
		{func(h guidance.Hold) bool { return h.Kind != board.HoldToRun }, false},
		{func(guidance.Hold) bool { return true }, false},
	} {
		for range 1500 / loop {
			d.in.TimeMS += uint32(loop)
			d.in.FixNew, d.in.ResetRequest, d.in.HoldLevels = true, phase.reset, levels(d.board, phase.run)
			tables.Step(&d.state, &d.in, &out)
		}
	}
	require.True(t, out.DriveEnable, "%v", out.Reasons)
	d.in.FixNew = false
	return d
}

// levels are the pins with the holds that run in run, and the others in stop.
func levels(m *guidance.Mission, run func(guidance.Hold) bool) uint16 {
	bits := uint16(0)
	for i, h := range m.Holds {
		if run(h) == (h.RunLevel != 0) {
			bits |= 1 << i
		}
	}
	return bits
}

// clock is the board's: whole milliseconds, with the instants at which they change.
type clock struct{ phaseUS int64 }

func (c clock) ms(atUS int64) int64 { return (atUS + c.phaseUS + 1<<40*1000) / 1000 }

// latest is the last instant at which a step is not too late after another.
func (c clock) latest(afterUS, loopMS int64) int64 {
	return (c.ms(afterUS)+loopMS+1-1<<40)*1000 - c.phaseUS - 1
}

// stop plays one stop: the contact moves at 0, and the result is the instant at which the
// drive is without power.
func (d timed) stop(r *rand.Rand) int64 {
	timing := d.plan.Board.Timing
	hold := d.plan.Holds.List[r.IntN(len(d.plan.Holds.List))]
	loopMS, restUS, filterMS := timing.LoopMS, 1000*hold.DebounceMS, hold.FilterMS
	c := clock{r.Int64N(1000)}
	if r.IntN(4) == 0 {
		c.phaseUS = -(restUS - 1) % 1000 // a millisecond begins where the contact comes to rest
	}
	chance := []float64{0, 0.5, 1}[r.IntN(3)] // that a sample of the chatter reads run
	moving := hold.Circuit.Channels
	if r.IntN(2) == 0 {
		moving = moving[:1] // the other is welded
	}

	// The last sample before the contact moves; or those up to the last of the chatter,
	// which is as late as can be.
	samples := []int64{-r.Int64N(1000 * loopMS)}
	aimed := r.IntN(2) == 0
	for at := max(restUS-1, 0); aimed; at -= 1 + r.Int64N(1000*loopMS) {
		if samples = append(samples, at); at <= 0 {
			samples = samples[1:]
			slices.Reverse(samples)
			break
		}
	}
	state, in := d.state, d.in
	var out guidance.Output
	offset := int64(in.TimeMS) + 1 + r.Int64N(loopMS) - c.ms(samples[0])
	seenMS := int64(-1) // the clock at the first sample after the chatter
	for k := 0; ; k++ {
		now := samples[k]
		stops := now > 0 && (now >= restUS || r.Float64() >= chance)
		in.TimeMS = uint32(c.ms(now) + offset)
		in.HoldLevels = levels(d.board, func(h guidance.Hold) bool {
			return !stops || !slices.ContainsFunc(moving, func(c circuit.Channel) bool { return c.Pin == int(h.Pin) })
		})
		d.board.Step(&state, &in, &out)
		if !out.DriveEnable {
			return now + r.Int64N(1000*motion.StepMS+1) + 1000*timing.OutputDelayMS
		}
		if seenMS < 0 && now > 0 && now >= restUS {
			seenMS = c.ms(now)
		}
		if k+1 < len(samples) {
			continue
		}
		next := c.latest(now, loopMS)
		short := seenMS + filterMS - 1 - c.ms(now) // until the filter is all but over
		switch {
		case seenMS >= 0 && short > 0 && short <= loopMS && r.IntN(2) == 0:
			next = c.latest(now, short)
		case r.IntN(2) == 0:
			next = now + 1 + r.Int64N(next-now)
		}
		samples = append(samples, next)
	}
}

// times are loops, bounces, filters and output delays in milliseconds.
func times() [][4]int64 {
	return [][4]int64{
		{20, 20, 0, 20}, {20, 0, 0, 0}, {1, 5, 0, 20}, {50, 5, 0, 10}, {7, 31, 0, 3}, {200, 20, 0, 20},
		{20, 20, 1, 20}, {20, 0, 2, 0}, {20, 20, 10, 20}, {20, 20, 20, 20}, {20, 20, 21, 20}, {1, 5, 10, 0}, {7, 3, 30, 3}, {50, 10, 5, 10}, {5, 0, 100, 20},
	}
}

// tries is for each of the times. With 300,000 the worst of each is 2 µs below the bound.
const tries = 50_000

// No stop takes longer than the plan says, and the worst that is found takes hardly less.
func TestNoHoldIsSlowerThanThePlanSays(t *testing.T) {
	for n, c := range times() {
		d, r, worst := newTimed(t, c[0], c[1], c[2], c[3]), rand.New(rand.NewPCG(uint64(n), 1)), int64(0)
		for range tries {
			worst = max(worst, d.stop(r))
		}
		bound := 1000 * d.plan.Board.Timing.HoldMS
		assert.Less(t, worst, bound, "loop, bounce, filter, output: %v", c)
		assert.Greater(t, worst, bound-1000, "loop, bounce, filter, output: %v: the bound is idle", c)
	}
}

// At every step the board reckons with at least the time from the instant that its fix
// holds for to the drive without power, if the next step takes the power away; and in
// ordinary driving that is no more than the plan says.
func TestNoFixIsOlderThanTheBoardReckons(t *testing.T) {
	for n, c := range times() {
		d, r := newTimed(t, c[0], c[1], c[2], c[3]), rand.New(rand.NewPCG(uint64(n), 2))
		timing, receiver, rover := d.plan.Board.Timing, d.plan.Machine.Receiver, d.board.Rover
		intervalUS, latencyUS := 1000*receiver.FixIntervalMS, 1000*receiver.LatencyMS
		spare, longest := int64(math.MaxInt64), int64(0)
		for range tries / 100 {
			k, now := clock{r.Int64N(1000)}, int64(0)
			state, in, due, holds := d.state, d.in, 1+r.Int64N(intervalUS), int64(-1) // when the next fix comes in; the instant of the last
			offset := int64(in.TimeMS) + 1 - k.ms(now)
			for range 100 {
				in.TimeMS, in.FixNew = uint32(k.ms(now)+offset), false
				for due <= now {
					in.FixNew, holds, due = true, due-latencyUS, due+intervalUS
				}
				var out guidance.Output
				d.board.Step(&state, &in, &out)
				require.True(t, out.DriveEnable, "%v", out.Reasons)
				next := k.latest(now, timing.LoopMS)
				if r.IntN(3) == 0 {
					next = now + 1 + r.Int64N(next-now)
				}
				if short := due - 1 - now; short > 0 && now+short < next && r.IntN(2) == 0 {
					next = due - 1 // the next fix comes in just after the step
				}
				if holds >= 0 {
					took := next + 1000*motion.StepMS + 1000*timing.OutputDelayMS - holds
					reckoned := int64(rover.LatencyMS) + int64(out.FixAgeMS) + int64(rover.LoopMS) + int64(rover.OutputDelayMS)
					spare = min(spare, 1000*reckoned-took)
					longest = max(longest, 1000*reckoned)
				}
				now = next
			}
		}
		assert.Positive(t, spare, "%v", c)
		if timing.LoopMS <= receiver.FixIntervalMS { // else a newer fix comes with every step
			assert.Less(t, spare, int64(1000), "%v: what the board adds is idle", c)
		}
		assert.LessOrEqual(t, longest, 1000*timing.FixMS, "%v", c)
	}
}
