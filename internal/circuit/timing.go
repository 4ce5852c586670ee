package circuit

// This file holds the time from a stop request to the drive being without
// power, and the distance travelled from the request to rest. Whole
// milliseconds and millimetres, always rounded up: a distance must never
// flatter.

import (
	"errors"
	"fmt"
)

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

// maxMS and the other limits keep every product below within int64, with
// room: 10^6 mm × (10^5 mm/s)² = 10^16 < 9.2 × 10^18.
const (
	maxMS       = 1_000_000
	maxMMPerS   = 100_000
	maxCoastMM  = 1_000_000
	msPerSecond = 1000
)

// StoppingTimeMS returns the longest time from the stop request to the drive
// being without power.
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
func (r Reaction) StoppingTimeMS() (int64, error) {
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

// Coast is a measured roll-out: power cut at FromMMPerS, at rest DistanceMM
// further on.
type Coast struct {
	FromMMPerS int64
	DistanceMM int64
}

func (c Coast) check(speedMMPerS int64) error {
	if c.FromMMPerS <= 0 || c.FromMMPerS > maxMMPerS {
		return fmt.Errorf("coast measured from %d mm/s is outside 1 to %d mm/s", c.FromMMPerS, maxMMPerS)
	}
	if c.DistanceMM < 0 || c.DistanceMM > maxCoastMM {
		return fmt.Errorf("coast distance of %d mm is outside 0 to %d mm", c.DistanceMM, maxCoastMM)
	}
	if speedMMPerS < 0 || speedMMPerS > maxMMPerS {
		return fmt.Errorf("speed of %d mm/s is outside 0 to %d mm/s", speedMMPerS, maxMMPerS)
	}
	return nil
}

// AtMM returns the coast from another speed by DistanceMM × (v/FromMMPerS)²,
// rounded up: exact when the braking force does not depend on speed (dry
// friction, rolling resistance), since then the distance is v²/2a.
//
// Below FromMMPerS this is the short side: with any drag that grows with speed
// the true coast lies above it. BoundMM covers that.
func (c Coast) AtMM(speedMMPerS int64) (int64, error) {
	if err := c.check(speedMMPerS); err != nil {
		return 0, err
	}
	return ceilDiv(c.DistanceMM*speedMMPerS*speedMMPerS, c.FromMMPerS*c.FromMMPerS), nil
}

// BoundMM returns a coast from another speed that no deceleration of the form
// a + b·v (a, b ≥ 0: friction plus drag of motor or grease) exceeds, rounded
// up: DistanceMM × (v/FromMMPerS) below the measured speed, × (v/FromMMPerS)²
// above it.
//
// Why: the coast is D(v) = ∫₀ᵛ u/(a+bu) du. The integrand grows with u, so
// D(v)/v, its mean, grows with v too, and D(v) ≤ D(V)·v/V for v ≤ V. For
// v ≥ V the deceleration is at least that at V, which gives
// D(v) ≤ D(V) + (v²−V²)/2(a+bV) and D(V) ≥ V²/2(a+bV), hence
// D(v) ≤ D(V)·v²/V².
func (c Coast) BoundMM(speedMMPerS int64) (int64, error) {
	if err := c.check(speedMMPerS); err != nil {
		return 0, err
	}
	if speedMMPerS >= c.FromMMPerS {
		return c.AtMM(speedMMPerS)
	}
	return ceilDiv(c.DistanceMM*speedMMPerS, c.FromMMPerS), nil
}

// StoppingDistanceMM returns the distance from the stop request to rest:
// v × reaction + Coast.AtMM(v), each rounded up.
func StoppingDistanceMM(speedMMPerS, reactionMS int64, c Coast) (int64, error) {
	coast, err := c.AtMM(speedMMPerS)
	if err != nil {
		return 0, err
	}
	travel, err := TravelMM(speedMMPerS, reactionMS)
	return travel + coast, err
}

// StoppingDistanceBoundMM is StoppingDistanceMM with Coast.BoundMM.
func StoppingDistanceBoundMM(speedMMPerS, reactionMS int64, c Coast) (int64, error) {
	coast, err := c.BoundMM(speedMMPerS)
	if err != nil {
		return 0, err
	}
	travel, err := TravelMM(speedMMPerS, reactionMS)
	return travel + coast, err
}

// TravelMM returns speed × time, rounded up to the millimetre.
func TravelMM(speedMMPerS, timeMS int64) (int64, error) {
	if speedMMPerS < 0 || speedMMPerS > maxMMPerS {
		return 0, fmt.Errorf("speed of %d mm/s is outside 0 to %d mm/s", speedMMPerS, maxMMPerS)
	}
	if timeMS < 0 || timeMS > 10*maxMS {
		return 0, errors.New("reaction time out of range")
	}
	return ceilDiv(speedMMPerS*timeMS, msPerSecond), nil
}

// ceilDiv returns a/b rounded up, for a ≥ 0 and b > 0.
func ceilDiv(a, b int64) int64 { return (a + b - 1) / b }
