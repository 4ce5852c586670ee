// What really happens when power is cut, twice over: in closed forms, and by
// integrating the law in small steps, which knows nothing of them. Metres and
// seconds.
package motion

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// law is v' = −a − b·v − c·v².
type law struct{ a, b, c float64 }

func (l law) braking(v float64) float64 { return l.a + l.b*v + l.c*v*v }

// time from v to rest, T = ∫₀ᵛ du/(a+bu+cu²). With s² = 4ac − b²,
//
//	T = (2/s)·[atan((2cv+b)/s) − atan(b/s)]                              s² > 0
//	T = (1/s)·ln[(2cv+b−s)(b+s) / ((2cv+b+s)(b−s))],  s² = b² − 4ac      s² < 0
//	T = ln(1 + bv/a)/b                                                   c = 0
//	T = v/a                                                              b = c = 0
//
// (primitives of 1/quadratic as in any table of integrals; from memory, and checked
// here against the steps).
func (l law) time(v float64) float64 {
	square := 4*l.a*l.c - l.b*l.b
	s := math.Sqrt(math.Abs(square))
	end := 2*l.c*v + l.b
	switch {
	case l.b == 0 && l.c == 0:
		return v / l.a
	case l.c == 0:
		return math.Log1p(l.b*v/l.a) / l.b
	case square > 0:
		return 2 / s * (math.Atan(end/s) - math.Atan(l.b/s))
	}
	return math.Log((end-s)*(l.b+s)/((end+s)*(l.b-s))) / s
}

// distance from v to rest, D = ∫₀ᵛ u du/(a+bu+cu²): the numerator is half the
// derivative of the denominator, less b/2, all over c.
//
//	D = ln(1 + (bv+cv²)/a)/2c − (b/2c)·T
//	  = ln(1 + (bv+cv²)/a)/2c − (b/cs)·[atan((2cv+b)/s) − atan(b/s)]     s² > 0
//	D = v/b − (a/b²)·ln(1 + bv/a)                                        c = 0
//	D = v²/2a                                                            b = c = 0
func (l law) distance(v float64) float64 {
	switch {
	case l.b == 0 && l.c == 0:
		return v * v / (2 * l.a)
	case l.c == 0:
		return v/l.b - l.a/(l.b*l.b)*math.Log1p(l.b*v/l.a)
	}
	return math.Log1p((l.b*v+l.c*v*v)/l.a)/(2*l.c) - l.b/(2*l.c)*l.time(v)
}

// roll integrates x' = v, v' = −g(v) + g(v₀)·exp(−t/lag) from v₀ to rest by the
// classical Runge-Kutta method of fourth order (Kutta 1901; from memory): what
// drove the rover steadily dies away with the lag. The last step is halved until
// it ends at rest.
func (l law) roll(v0, lag float64) (distance, time float64) {
	driving := func(t float64) float64 {
		if lag == 0 {
			return 0
		}
		return l.braking(v0) * math.Exp(-t/lag)
	}
	slope := func(t, v float64) float64 { return driving(t) - l.braking(v) }
	longest := (l.time(v0) + 3*lag) / 400
	x, v, t := 0.0, v0, 0.0
	for longest > 1e-12 {
		step := longest
		if t < 40*lag { // until nothing is left of what drove
			step = min(step, lag/20)
		}
		k1 := slope(t, v)
		k2 := slope(t+step/2, v+step/2*k1)
		k3 := slope(t+step/2, v+step/2*k2)
		k4 := slope(t+step, v+step*k3)
		next := v + step/6*(k1+2*k2+2*k3+k4)
		if next < 0 {
			longest = step / 2
			continue
		}
		// x' = v, at the four speeds looked at.
		x += step / 6 * (v + 2*(v+step/2*k1) + 2*(v+step/2*k2) + v + step*k3)
		v, t = next, t+step
	}
	return x, t
}

func TestClosedFormsAtCheckedValues(t *testing.T) {
	for _, c := range []struct {
		law            law
		v              float64
		distance, time float64
	}{
		{law{0.4, 0.05, 0.1}, 0.6, 0.411613298, 1.40796855},
		{law{0.4, 0.5, 0}, 0.6, 0.304614739, 1.11923158},
		{law{0.4, 0, 0}, 0.6, 0.45, 1.5},
	} {
		assert.InDelta(t, c.distance, c.law.distance(c.v), 5e-10, "%+v", c.law)
		assert.InDelta(t, c.time, c.law.time(c.v), 5e-9, "%+v", c.law)
	}
}

// anyLaw has friction from that of a ball bearing on steel to that of a locked
// wheel, and drag of motor and air that brakes from not at all to most times as
// hard at a speed.
func anyLaw(t *rapid.T, v, most float64) law {
	a := math.Pow(10, rapid.Float64Range(-2, 1).Draw(t, "log a"))
	drag := rapid.Float64Range(0, most).Draw(t, "drag")
	share := rapid.SampledFrom([]float64{0, 0.5, 1, rapid.Float64Range(0.01, 0.99).Draw(t, "share")}).Draw(t, "of which air")
	return law{a, a * drag * (1 - share) / v, a * drag * share / (v * v)}
}

func anySpeed(t *rapid.T, label string) float64 {
	return float64(rapid.Int64Range(50, 20_000).Draw(t, label)) / 1000
}

func TestClosedFormsAgainstSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anySpeed(t, "mm/s")
		l := anyLaw(t, v, 20)
		if l.b*v < 1e-3*l.a || l.c*v*v < 1e-3*l.a || math.Abs(l.b*l.b-4*l.a*l.c) < 1e-3*l.b*l.b {
			// Where one term is next to nothing the forms take the difference of
			// two numbers that are nearly equal; the edges themselves are exact.
			l.b, l.c = rapid.SampledFrom([]float64{0, l.a / v}).Draw(t, "b"), 0
		}
		distance, time := l.roll(v, 0)
		require.InEpsilon(t, distance, l.distance(v), 1e-6, "%+v", l)
		require.InEpsilon(t, time, l.time(v), 1e-6, "%+v", l)
	})
}

// measured is a coast as a tape gives it, at the worst: not a millimetre more than
// it was.
func measured(l law, from float64) Run {
	distance, _ := l.roll(from, 0)
	return Run{FromMMPerS: int64(math.Round(from * 1000)), DistanceMM: int64(math.Ceil(distance*1000 - 1e-3))}
}

// level is the roll-out on level ground, without the spread.
func level(t require.TestingT, runs ...Run) Rollout {
	r, err := Coast(runs).On(0)
	require.NoError(t, err)
	return r
}

// No law exceeds the bound: at any speed with friction and drag in proportion to
// the speed; above the measured speed with air drag of any size, below it with air
// drag that brakes no more than friction at the measured speed.
func TestNoLawExceedsTheBound(t *testing.T) {
	flattered := false
	rapid.Check(t, func(t *rapid.T) {
		from, v := anySpeed(t, "from"), anySpeed(t, "at")
		l := anyLaw(t, from, 20)
		if v < from {
			l.c = min(l.c, l.a/(from*from))
		}
		c := measured(l, from)
		if c.DistanceMM > maxCoastMM {
			t.Skip("further than a coast can be")
		}
		truth, _ := l.roll(v, 0)
		speed := int64(math.Round(v * 1000))
		r := level(t, c)
		require.GreaterOrEqual(t, float64(r.BoundMM(speed)), truth*1000-2e-3, "%+v", l)
		flattered = flattered || float64(r.LikelyMM(speed)) < truth*1000-1
	})
	require.True(t, flattered, "the square law alone would flatter: the test must be able to fail")
}

// With friction alone the square law is exact: v²/2a to the millimetre above.
func TestTheSquareLawIsExactForFriction(t *testing.T) {
	for _, v := range []int64{1, 150, 300, 599, 600, 601, 1200, 20_000} {
		at := level(t, Run{600, 450, 0}).LikelyMM(v)
		truth, _ := law{a: 0.4}.roll(float64(v)/1000, 0) // 0.6² / 2·0.4 = 0.45
		assert.InDelta(t, math.Ceil(truth*1000-1e-6), at, 0, "%d mm/s", v)
	}
}

// Where the comment of BoundMM says that it does not hold, it does not.
func TestTheBoundHasALimit(t *testing.T) {
	airy := law{a: 0.05, c: 0.1} // at 5 m/s the air brakes 50 times as hard as friction
	c := measured(airy, 5)
	truth, _ := airy.roll(1.5, 0)
	bound := level(t, c).BoundMM(1500)
	assert.InDelta(t, 8.52, truth, 0.01)
	assert.InDelta(t, 5.90, float64(bound)/1000, 0.01)
}

// A roll-out that was taped from where the drive was cut holds the lag of the motors: the
// bound holds at other speeds, the coast ends within the time that is allowed for it, and
// it does so on ground that falls more than where it was taped. See Rollout.Bound,
// Drive.Stopping, Stopping.CoastMS.
func TestLagOfTheMotor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := anySpeed(t, "from")
		speed := int64(math.Ceil(rapid.Float64Range(0.05, 2).Draw(t, "part of it") * from * 1000))
		drag := 6.0
		if float64(speed) > from*1000 {
			drag /= 4 // six times the friction at twice the speed
		}
		l := anyLaw(t, from, drag)
		l.c = min(l.c, l.a/(from*from))
		if float64(speed) > from*1000 {
			l.c = 0 // beyond every run, with air drag and lag together, it is not proved
		}
		lag := rapid.Int64Range(0, 2000).Draw(t, "lag")
		taped, _ := l.roll(from, float64(lag)/1000)
		c := Run{FromMMPerS: int64(math.Round(from * 1000)), DistanceMM: int64(math.Ceil(taped*1000 - 1e-3))}
		if c.DistanceMM > maxCoastMM {
			t.Skip("further than a coast can be")
		}
		fall := rapid.Float64Range(0, 0.5*l.a/9.80665).Draw(t, "fall")
		r, err := Coast{c}.On(fall)
		if err != nil {
			t.Skip("it does not come to rest by what the tape says")
		}
		if l.b > 0 || l.c > 0 {
			fall = 0 // how much was friction, one run does not tell: slope.taped
			r = level(t, c)
		}
		s := Drive{Coast: r}.Stopping(speed)
		distance, time := l.on(fall).roll(float64(speed)/1000, float64(lag)/1000)
		require.LessOrEqual(t, distance*1000, float64(s.CoastMM)+6e-3+1e-5*distance, "%+v", l)
		require.LessOrEqual(t, time*1000, float64(s.CoastMS())+1+1e-6*time, "%+v", l)
	})
	// From the speed that was taped it is the tape: the lag is not in the bound twice.
	taped, _ := law{a: 0.5}.roll(1, 0.5)
	c := Run{FromMMPerS: 1000, DistanceMM: int64(math.Ceil(taped*1000 - 1e-3))}
	require.LessOrEqual(t, Drive{Coast: level(t, c)}.Stopping(1000).CoastMM, c.DistanceMM+1)
}

// A roll-out that was taped without the lag, from where the power was gone, is too short
// by up to v·τ: what the tape must not be.
func TestATapeWithoutTheLagIsTooShort(t *testing.T) {
	l := law{a: 0.4}
	with, _ := l.roll(0.6, 0.15)
	assert.InDelta(t, 0.45+0.6*0.15-0.4*0.15*0.15/2, with, 1e-4, "v²/2a + v·τ − a·τ²/2")
	assert.Greater(t, with*1000, float64(level(t, measured(l, 0.6)).BoundMM(600))+80)
}

// With drag up to six times the friction the coast takes no longer than is allowed
// for it; with nine times, the rover creeps for longer.
func TestTimeOfTheCoast(t *testing.T) {
	lasts := func(l law, v float64) (ms, allowed float64) {
		distance, time := l.roll(v, 0)
		s := Stopping{SpeedMMPerS: int64(math.Round(v * 1000)), CoastMM: int64(math.Ceil(distance*1000 - 1e-3))}
		return time * 1000, float64(s.CoastMS()) + 1 // which is rounded down
	}
	rapid.Check(t, func(t *rapid.T) {
		v := anySpeed(t, "mm/s")
		ms, allowed := lasts(anyLaw(t, v, 6), v)
		require.LessOrEqual(t, ms, allowed)
	})
	ms, allowed := lasts(law{a: 0.4, b: 9 * 0.4 / 0.6}, 0.6)
	assert.Greater(t, ms, allowed)
}
