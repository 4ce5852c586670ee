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

// Reaction is what lies between a contact moving and the drive losing power.
// All in milliseconds, all worst cases.
type Reaction struct {
	// ContactBounceMS is how long the contact chatters before it rests. A
	// debounce that starts over at each change only begins after it; 0 when
	// the debounce does not start over.
	ContactBounceMS int64
	// DebounceMS is how long the stop level must have been read, from the
	// first sample that shows it to the sample that concludes stop.
	DebounceMS int64
	// LoopMS is the longest time between two samples of the pin.
	LoopMS int64
	// OutputDelayMS is from the sample that concludes stop to the drive being
	// without power: the rest of that loop, then driver, relay or contactor.
	OutputDelayMS int64
}

// maxMS keeps sums of times small.
const maxMS = 1_000_000

// HoldMS returns the longest time from the stop request to the drive being
// without power.
//
// The contact rests after ContactBounceMS. It may have come to rest just after
// a sample, so the first sample that shows stop is up to one LoopMS later.
// From that sample DebounceMS must pass, and since the loop only looks once
// per LoopMS, the sample that finds it passed is up to another LoopMS late
// (not at all without a debounce: the first sample then concludes). Hence
//
//	bounce + loop + (debounce > 0 ? debounce + loop : 0) + output delay
//
// The bound holds for loops of varying length as long as none is longer than
// LoopMS. With a fixed loop the second loop period shrinks to what is missing
// from DebounceMS to a multiple of LoopMS; that is not counted on. The
// discrepancy time of a two-channel circuit adds nothing, because the drive is
// enabled only while both channels read run.
func (r Reaction) HoldMS() (int64, error) {
	for _, v := range []struct {
		name string
		ms   int64
	}{
		{"contact bounce", r.ContactBounceMS},
		{"debounce", r.DebounceMS},
		{"output delay", r.OutputDelayMS},
	} {
		if v.ms < 0 || v.ms > maxMS {
			return 0, fmt.Errorf("%s of %d ms is outside 0 to %d ms", v.name, v.ms, maxMS)
		}
	}
	if r.LoopMS <= 0 || r.LoopMS > maxMS {
		return 0, fmt.Errorf("loop of %d ms is outside 1 to %d ms", r.LoopMS, maxMS)
	}
	total := r.ContactBounceMS + r.LoopMS + r.OutputDelayMS
	if r.DebounceMS > 0 {
		total += r.DebounceMS + r.LoopMS
	}
	return total, nil
}

// FixMS returns the longest time from the instant that a fix holds for to the
// drive being without power, in ordinary driving, when no fix is missed. The fix
// comes in after the latency and waits for the next step, up to one loop. It is
// used for up to one fix interval. What the board decides then is decided with the
// next step in mind, one more loop away.
func (r Reaction) FixMS(latencyMS, intervalMS int64) int64 {
	return latencyMS + r.LoopMS + intervalMS + r.LoopMS + r.OutputDelayMS
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
	CoastMM     int64 // after drive power is cut
	TotalMM     int64 // of the two; in a plan up to 2 mm more where the board rounds up
	// FromHoldMM is the distance from a hold let go to rest.
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
