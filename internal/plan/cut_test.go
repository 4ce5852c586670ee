package plan_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
)

// restMM drives straight at a mark at constant speed, with the board's own cut
// distance, and tells how far beyond the mark the rover comes to rest. Fixes hold
// for every interval from fixPhase on and come in after the latency; steps run
// every loop from stepPhase on. Times in milliseconds, mechanics without noise:
// after the cut the relay's delay at full speed, then v²/2a.
func restMM(p *plan.Plan, speed, fixPhase, stepPhase int64) float64 {
	const farMM = 6000
	v := float64(speed)
	lastFix, seen := int64(-1), int64(0) // when the fix held, when a step saw it
	for now := stepPhase; ; now += p.Board.Timing.LoopMS {
		for t := lastFix; ; t += p.Machine.Receiver.FixIntervalMS {
			if t < 0 {
				t = fixPhase
			}
			if t+p.Machine.Receiver.LatencyMS > now {
				break
			}
			if t > lastFix {
				lastFix, seen = t, now
			}
		}
		if lastFix < 0 {
			continue
		}
		toGo := farMM - v*float64(lastFix)/1000
		if toGo <= float64(p.Board.Tables.Rover.CutMM(&p.Board.Tables.Legs[0], uint32(speed), uint32(now-seen))) {
			coast := float64(p.Machine.Rover.Coast[0].DistanceMM) * v * v / float64(p.Machine.Rover.Coast[0].FromMMPerS*p.Machine.Rover.Coast[0].FromMMPerS)
			return v*float64(now+p.Board.Timing.OutputDelayMS)/1000 + coast - farMM
		}
	}
}

// For every phase of fixes and steps the rover comes to rest within the timing
// part of the arrival budget; what the loops alone can do, half a loop beyond the
// mark and a loop and a half short of it, is reached.
func TestCutEndsWithinTheTimingPart(t *testing.T) {
	for _, c := range []struct{ loop, interval, latency, speed int64 }{
		{20, 100, 80, 600}, {40, 200, 150, 600}, {10, 100, 60, 300}, {100, 100, 80, 600}, {50, 50, 20, 450},
	} {
		p := yard(t,
			edit{"  loop: 20 ms", fmt.Sprintf("  loop: %d ms", c.loop)},
			edit{"fix_rate: 10 Hz", fmt.Sprintf("fix_rate: %d Hz", 1000/c.interval)},
			edit{"latency: 80 ms", fmt.Sprintf("latency: %d ms", c.latency)},
			edit{"  closed: false\n", fmt.Sprintf("  closed: false\n  speed: %d mm/s\n", c.speed)})
		require.Equal(t, c.interval, p.Machine.Receiver.FixIntervalMS)
		short, beyond := math.Inf(1), math.Inf(-1)
		for fixPhase := range c.interval {
			for stepPhase := range c.loop {
				rest := restMM(p, c.speed, fixPhase, stepPhase)
				short, beyond = min(short, rest), max(beyond, rest)
			}
		}
		timing := float64(waypoint(t, p, "B").Arrival.TimingMM)
		assert.LessOrEqual(t, beyond, timing, "%v", c)
		assert.GreaterOrEqual(t, short, -timing, "%v", c)
		loopMM := float64(c.speed*c.loop) / 1000
		const rounding = 3 // mm, of the board's sums, and of phases in whole milliseconds
		assert.LessOrEqual(t, beyond, loopMM/2+rounding, "%v", c)
		assert.GreaterOrEqual(t, short, -1.5*loopMM-rounding, "%v", c)
		assert.Less(t, short, -loopMM/2, "%v: the bound is not idle", c)
	}
}
