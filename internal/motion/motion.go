// Package motion is how a rover comes to rest: the time from a reason to stop to
// the drive being without power, the way travelled meanwhile, the roll-out from
// there, and how long that takes. Whole milliseconds and millimetres; what must
// never flatter is rounded up.
//
// A rover without power slows down by friction a and drag that grows with speed,
//
//	v' = −a − b·v − c·v²        a > 0; b, c ≥ 0
//
// and nobody knows a, b and c. Known are roll-outs, measured. The functions here say
// what they tell of other speeds whatever the three are, and of other slopes as far as
// all of the braking is friction; law_test.go holds the
// law's closed forms, and tries to break every bound with them and by integrating
// the law step by step.
//
// The board has functions of its own for the same (internal/guidance, Rover), with
// factors rounded up to what its integers hold. They are its truth, and a plan
// takes the larger of the two.
package motion

import "fmt"

// The board's clock counts whole milliseconds and cuts off what is between them. Of two
// readings N apart the instants are less than N + 1 ms apart: ClockMS is what a
// difference of readings, and any sum of differences in a row, may hide. StepMS is what a
// turn of the loop may take from reading the clock, which comes before reading the pins,
// to the output being set: the firmware's duty.
const (
	ClockMS = 1
	StepMS  = 1
)

// Reaction is what lies between a contact moving and the drive losing power.
// All in milliseconds, all worst cases.
type Reaction struct {
	// RadioMS is from letting go to the contact moving, where a radio link lies between
	// the two; 0 for a wired contact.
	RadioMS int64
	// BounceMS is how long the contact chatters before it rests. While it does, every
	// sample may by chance read run.
	BounceMS int64
	// FilterMS is how long the contact must read stop before that counts; 0 when the
	// first sample that reads stop acts.
	FilterMS int64
	// LoopMS is the longest time between two samples of the pin, as the board's clock
	// counts it.
	LoopMS int64
	// OutputDelayMS is from the output being set to the drive being without power:
	// the slowest part of the drive path that it opens.
	OutputDelayMS int64
}

// maxMS keeps sums of times small.
const maxMS = 1_000_000

// HoldMS returns the longest time from letting go to the drive being without power.
//
// A wired contact moves at once, and one of a radio receiver up to RadioMS later. From
// there on, the contact moves at 0 and rests from bounce on. Let sample 0 be the last before it
// rests (or before it moves), and it may have read run. With the instants t and the clock's
// readings c, t(0) ≤ bounce and c(1) − c(0) ≤ loop. Sample 1 reads stop, and so does every
// later one.
//
// Without a filter sample 1 acts: t(1) < t(0) + loop + 1 ≤ bounce + loop + 1.
//
// With a filter sample n acts, the first with c(n) − c(1) ≥ filter. The one before it was
// short of that, c(n−1) − c(1) ≤ filter − 1, and c(n) − c(n−1) ≤ loop. The readings of all
// add up to c(n) − c(0) ≤ 2·loop + filter − 1, and the clock has hidden less than a
// millisecond of it once, not at each sample: t(n) < bounce + 2·loop + filter. What the
// filter had counted before sample 1 makes it sooner.
//
// The output is set within StepMS of that, and the drive is without power after its delay:
//
//	radio + bounce + loop + 1 + (filter > 0 ? loop + filter − 1 : 0) + 1 + output delay
//
// The bound holds for loops of varying length as long as none is longer than LoopMS. It is
// that of one channel. The second channel of a circuit, and its discrepancy time, add
// nothing, because the drive is enabled only while both channels read run. Nor does a
// debounce: it holds up run alone.
func (r Reaction) HoldMS() (int64, error) {
	for _, v := range []struct {
		name string
		ms   int64
	}{
		{"radio link", r.RadioMS},
		{"contact bounce", r.BounceMS},
		{"stop filter", r.FilterMS},
		{"output delay", r.OutputDelayMS},
	} {
		if v.ms < 0 || v.ms > maxMS {
			return 0, fmt.Errorf("%s of %d ms is outside 0 to %d ms", v.name, v.ms, maxMS)
		}
	}
	if r.LoopMS <= 0 || r.LoopMS > maxMS {
		return 0, fmt.Errorf("loop of %d ms is outside 1 to %d ms", r.LoopMS, maxMS)
	}
	total := r.RadioMS + r.BounceMS + r.LoopMS + ClockMS + StepMS + r.OutputDelayMS
	if r.FilterMS > 0 {
		total += r.LoopMS + r.FilterMS - 1
	}
	return total, nil
}

// FixMS returns the longest time from the instant that a fix holds for to the
// drive being without power, in ordinary driving, when no fix is missed. The fix
// comes in after the latency and waits for the next step, up to one loop. It is
// used for up to one fix interval. What the board decides then is decided with the
// next step in mind, one more loop away. All three are differences of readings in a row,
// from the last step without the fix to that next one, so the clock hides less than
// ClockMS of them together; then come StepMS and the output's delay.
func (r Reaction) FixMS(latencyMS, intervalMS int64) int64 {
	return latencyMS + r.LoopMS + intervalMS + r.LoopMS + ClockMS + StepMS + r.OutputDelayMS
}

// Drive is all that the way to rest hangs on.
type Drive struct {
	Coast  Rollout // of which the bound is taken: the worst on the steepest ground
	HoldMS int64   // reaction to the slowest hold
	FixMS  int64   // reaction to a fix
}

// Stopping is what happens between a reason to stop and rest, at one speed.
type Stopping struct {
	SpeedMMPerS int64
	ReactionMS  int64 // the slower of hold and fix
	ReactionMM  int64 // travelled meanwhile
	CoastMM     int64 // the longest coast, after drive power is cut
	TotalMM     int64 // the stopping distance, of the two; in a plan up to 2 mm more where the board rounds up
	// FromHoldMM is the stopping distance from a hold let go.
	FromHoldMM int64
}

// Stopping bounds the way to rest. The coast is bounded above, not estimated: see
// Rollout.BoundMM. The motors' lag, in which the torque dies away, carries the rover on
// as well; it is in the coast, since the tape begins where the drive was cut, and not
// added to it. See Rollout.Bound for why the bound holds for it.
func (d Drive) Stopping(speedMMPerS int64) Stopping {
	coast := d.Coast.BoundMM(speedMMPerS)
	s := Stopping{SpeedMMPerS: speedMMPerS, ReactionMS: max(d.HoldMS, d.FixMS), CoastMM: coast}
	s.ReactionMM = TravelMM(speedMMPerS, s.ReactionMS)
	s.TotalMM = s.ReactionMM + s.CoastMM
	s.FromHoldMM = TravelMM(speedMMPerS, d.HoldMS) + s.CoastMM
	return s
}

// CoastMS is how long the coast takes at most: half as much again as the 2d/v of
// constant deceleration. No law takes longer whose drag at the speed brakes up to
// six times as hard as its friction, b·v + c·v² ≤ 6·a, the motors' lag included.
func (s Stopping) CoastMS() int64 {
	if s.SpeedMMPerS <= 0 {
		return 0
	}
	return 3 * s.CoastMM * 1000 / s.SpeedMMPerS
}
