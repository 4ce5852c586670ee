package motion

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// The limits of what is asked. Speeds and distances are far below where a float64
// holds no whole millimetre.
const (
	maxMMPerS  = 100_000
	maxCoastMM = 1_000_000
)

// Gravity is the standard acceleration of free fall in mm/s², 9.80665 m/s² (3rd CGPM,
// 1901; from memory). On the ground it is within 0.3 % of that everywhere, which the
// spread of a coast holds many times over.
const Gravity = 9806.65

// leastMMPerS2 is the deceleration below which a rover does not come to rest: what
// the board can reckon with ends there, too.
const leastMMPerS2 = 2

// coastSpread is how much of its length one roll-out on level ground differs from
// another: surface, battery, load. Common practice, no source; measure several and
// take the worst if yours differ more. It is friction that differs, so on a slope,
// where gravity takes a part of the braking, the roll-outs differ by more.
const coastSpread = 0.15

// Run is one measured roll-out: power cut at FromMMPerS, at rest DistanceMM further
// on, on ground that falls by Fall of its horizontal length along it (rises where
// negative).
type Run struct {
	FromMMPerS, DistanceMM int64
	Fall                   float64
}

// Sine is the sine of the angle of ground that falls by a part of its horizontal length.
func Sine(fall float64) float64 { return fall / math.Sqrt(1+float64(fall*fall)) }

// brakingMMPerS2 is the deceleration on level ground that the run tells of, if it does
// not depend on the speed: v²/2d, and what gravity added or took.
func (r Run) brakingMMPerS2() float64 {
	v := float64(r.FromMMPerS)
	return float64(v*v)/float64(2*float64(r.DistanceMM)) + float64(Gravity*Sine(r.Fall))
}

// Coast is all that was measured, at least one run.
type Coast []Run

// FastestMMPerS is the highest speed from which a run was measured.
func (c Coast) FastestMMPerS() int64 {
	most := int64(0)
	for _, r := range c {
		most = max(most, r.FromMMPerS)
	}
	return most
}

// Speeds is how many different speeds were measured.
func (c Coast) Speeds() int {
	seen := map[int64]bool{}
	for _, r := range c {
		seen[r.FromMMPerS] = true
	}
	return len(seen)
}

// Steepest is the steepest fall on which the rover still comes to rest, whatever of the
// spread acts, 0 where that is none; also on which it stays at rest, as far as friction
// is no less there than it was on the slowest run.
func (c Coast) Steepest() float64 {
	least := math.Inf(1)
	for _, r := range c {
		least = min(least, r.brakingMMPerS2()/(1+coastSpread))
	}
	sine := max((least-leastMMPerS2)/Gravity, 0)
	if sine >= 1 {
		return math.Inf(1)
	}
	return sine / math.Sqrt(1-float64(sine*sine))
}

// On is the roll-out to expect on ground that falls so along it: of each run
// with the deceleration a on level ground
//
//	d = v²/(2·(a − g·sin α))
//
// An error where the rover would not come to rest.
func (c Coast) On(fall float64) (Rollout, error) { return c.on(fall, 1) }

// WorstOn is the same with the least friction that the spread allows for.
func (c Coast) WorstOn(fall float64) (Rollout, error) { return c.on(fall, 1+coastSpread) }

// BestOn is the same with the greatest.
func (c Coast) BestOn(fall float64) (Rollout, error) { return c.on(fall, 1/(1+coastSpread)) }

func (c Coast) on(fall, spread float64) (Rollout, error) {
	var out Rollout
	for _, r := range c {
		if r.FromMMPerS <= 0 || r.FromMMPerS > maxMMPerS {
			return Rollout{}, fmt.Errorf("coast measured from %d mm/s is outside 1 to %d mm/s", r.FromMMPerS, maxMMPerS)
		}
		if r.DistanceMM < 0 || r.DistanceMM > maxCoastMM {
			return Rollout{}, fmt.Errorf("coast distance of %d mm is outside 0 to %d mm", r.DistanceMM, maxCoastMM)
		}
		left := r.brakingMMPerS2()/spread - float64(Gravity*Sine(fall))
		if left < leastMMPerS2 {
			return Rollout{}, fmt.Errorf("a coast of %d mm from %d mm/s leaves %.0f mm/s² of braking on ground that falls by %.1f %%", r.DistanceMM, r.FromMMPerS, left, 100*fall)
		}
		v := float64(r.FromMMPerS)
		d := float64(r.DistanceMM)
		if fall != r.Fall || spread != 1 {
			d = float64(v*v) / float64(2*left)
		}
		out.runs = append(out.runs, leveled{v, d})
	}
	if len(out.runs) == 0 {
		return Rollout{}, fmt.Errorf("no coast was measured")
	}
	slices.SortFunc(out.runs, func(a, b leveled) int { return cmp.Or(cmp.Compare(a.v, b.v), cmp.Compare(a.d, b.d)) })
	out.bound = raised(out.runs)
	return out, nil
}

// leveled is a run as it would be on the ground that is asked about, mm/s and mm.
type leveled struct{ v, d float64 }

// Rollout is how far the rover rolls on one slope.
type Rollout struct {
	runs  []leveled // as measured, by speed
	bound []leveled // for the bound: one at each speed, none contradicts another
}

// raised are the runs for the bound: of those from the same speed the longest, and
// where two contradict each other under a deceleration a + b·v with a, b ≥ 0, the
// shorter one raised. Under such a law d/v² falls with v and d/v grows (see Bound).
func raised(runs []leveled) []leveled {
	var out []leveled
	for _, r := range runs {
		if n := len(out); n > 0 && out[n-1].v == r.v {
			out[n-1].d = max(out[n-1].d, r.d)
			continue
		}
		out = append(out, r)
	}
	for i := len(out) - 2; i >= 0; i-- { // friction that a faster run has, a slower one has at most
		part := out[i].v / out[i+1].v
		out[i].d = max(out[i].d, out[i+1].d*float64(part*part))
	}
	for i := 1; i < len(out); i++ {
		out[i].d = max(out[i].d, out[i-1].d*(out[i].v/out[i-1].v))
	}
	return out
}

// Contradiction is by how much of its length a run had to be raised so that no two
// contradict each other: 0 where they agree.
func (r Rollout) Contradiction() float64 {
	most := 0.0
	for _, run := range r.runs {
		i := slices.IndexFunc(r.bound, func(b leveled) bool { return b.v == run.v })
		most = max(most, r.bound[i].d/run.d-1)
	}
	return most
}

// up rounds a length up to the millimetre, after a hair is taken off: an exact 70 mm
// that the floats make 70.000000000001 does not become 71.
func up(mm float64) int64 { return int64(math.Ceil(mm - 1e-6)) }

// LikelyMM is Likely rounded up.
func (r Rollout) LikelyMM(speedMMPerS int64) int64 { return up(r.Likely(speedMMPerS)) }

// BoundMM is Bound rounded up.
func (r Rollout) BoundMM(speedMMPerS int64) int64 { return up(r.Bound(speedMMPerS)) }

// Likely is the coast to expect from a speed, in millimetres: through what was measured,
// in between in proportion to v² from one run to the next, and below and above by
// d·(v/V)². That is exact when the braking force does not depend on the speed (dry
// friction, rolling resistance), since then the distance is v²/2a.
//
// Below the slowest run it is the short side: with any drag that grows with speed the
// true coast lies above it. Bound covers that.
func (r Rollout) Likely(speedMMPerS int64) float64 {
	v := float64(speedMMPerS)
	before := leveled{}
	for i := 0; i < len(r.runs); {
		run, same := leveled{v: r.runs[i].v}, 0
		for ; i < len(r.runs) && r.runs[i].v == run.v; i++ { // the mean of those from one speed
			run.d += r.runs[i].d
			same++
		}
		run.d /= float64(same)
		if v <= run.v || i == len(r.runs) {
			if v > run.v {
				before = leveled{}
			}
			part := (float64(v*v) - float64(before.v*before.v)) / (float64(run.v*run.v) - float64(before.v*before.v))
			return before.d + float64(part*(run.d-before.d))
		}
		before = run
	}
	return 0
}

// Bound is a coast from a speed, in millimetres, that no deceleration of the form a + b·v (a, b ≥ 0:
// friction plus drag of motor or grease) exceeds, given what it is at the
// speeds V measured: d·v/V of the next run from a higher speed, d·(v/V)² of the next
// from a lower one, whichever is less.
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
//
// The motors' lag τ, in which what drove dies away as exp(−t/τ), is in the run: the tape
// begins where the drive was cut. It makes the coast longer the way drag does. With
// friction alone the speed is v − F(t), F(t) = a·(t − τ·(1 − exp(−t/τ))), which is convex
// from F(0) = 0. So D(v)/v = ∫ max(0, 1 − F(t)/v) dt grows with v, and with t = v·s
// D(v)/v² = ∫ max(0, 1 − F(v·s)/v) ds falls: all that the bound rests on. (With air drag as well it is not proved above V.) On a steeper
// fall than that of the run the lag's part grows by less than the friction's, which the
// whole run is taken for; on a rise it shrinks by less, and the coast to expect there is
// the short side.
//
// On another slope than a run was measured on, a part of the braking is gravity's, and
// how the rest divides between friction and drag is not known from one run: the
// distance there is that of friction alone. Runs at two speeds, or on the slope itself,
// tell.
func (r Rollout) Bound(speedMMPerS int64) float64 {
	if len(r.bound) == 0 {
		return 0 // nothing was measured; whoever asks has been told
	}
	v, least := float64(speedMMPerS), math.Inf(1)
	for _, run := range r.bound {
		part := v / run.v
		if v >= run.v {
			part *= part
		}
		least = min(least, run.d*part)
	}
	return least
}

// TravelMM returns speed × time, rounded up to the millimetre.
func TravelMM(speedMMPerS, timeMS int64) int64 { return ceilDiv(speedMMPerS*timeMS, 1000) }

// ceilDiv returns a/b rounded up, for a ≥ 0 and b > 0.
func ceilDiv(a, b int64) int64 { return (a + b - 1) / b }
