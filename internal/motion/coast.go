package motion

import (
	"fmt"
	"math"
)

// The limits keep every product below within int64, with room:
// 10^6 mm × (10^5 mm/s)² = 10^16 < 9.2 × 10^18.
const (
	maxMMPerS  = 100_000
	maxCoastMM = 1_000_000
)

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
// up: DistanceMM × (v/FromMMPerS) below the measured speed V, × (v/FromMMPerS)²
// above it.
//
// Why: the coast is D(v) = ∫₀ᵛ u/g(u) du with the deceleration g. For v ≤ V the
// integrand u/(a+bu) grows with u, so D(v)/v, its mean, grows with v too, and
// D(v) ≤ D(V)·v/V. For v ≥ V the deceleration is at least that at V, which gives
// D(v) ≤ D(V) + (v²−V²)/2g(V) and D(V) ≥ V²/2g(V), hence D(v) ≤ D(V)·v²/V².
//
// Air drag c·v² beside them changes nothing above V. Below it the integrand
// u/(a+bu+cu²) grows as long as cu² ≤ a, so the bound holds where c·V² ≤ a: where
// at the measured speed the air brakes no more than friction does. A coast that was
// measured from so fast that the air did most of the braking says little of slow
// ones, and the bound may then be too short.
func (c Coast) BoundMM(speedMMPerS int64) (int64, error) {
	if speedMMPerS >= c.FromMMPerS {
		return c.AtMM(speedMMPerS)
	}
	if err := c.check(speedMMPerS); err != nil {
		return 0, err
	}
	return ceilDiv(c.DistanceMM*speedMMPerS, c.FromMMPerS), nil
}

// coastSpread is how much of its length one roll-out differs from another on
// the same ground: surface, slope, battery, load. Common practice, no source;
// measure several and take the worst if yours differ more.
const coastSpread = 0.15

// SpreadMM is how far one roll-out from a speed can differ from another.
func (c Coast) SpreadMM(speedMMPerS int64) (int64, error) {
	coast, err := c.AtMM(speedMMPerS)
	return int64(math.Ceil(coastSpread * float64(coast))), err
}

// TravelMM returns speed × time, rounded up to the millimetre.
func TravelMM(speedMMPerS, timeMS int64) int64 { return ceilDiv(speedMMPerS*timeMS, 1000) }

// ceilDiv returns a/b rounded up, for a ≥ 0 and b > 0.
func ceilDiv(a, b int64) int64 { return (a + b - 1) / b }
