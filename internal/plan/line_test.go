package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/board"
	"merestone/internal/guidance"
)

// oneLeg is a plan of one leg of 20 m, with figures that can be reckoned with by hand.
func oneLeg() *Plan {
	p := &Plan{Confidence: 0.95}
	p.Machine.Receiver = Receiver{FixIntervalMS: 200, LatencyMS: 100, StdMM: 20, Required: board.QualityFixed}
	p.Machine.Rover = Rover{HeadingStdDeg: 2, MotorLagMS: 100, CrossTrackMM: 250, Body: Body{Pivots: true}}
	p.Board.Timing = Timing{LoopMS: 20, OutputDelayMS: 20}
	p.Board.Tables = guidance.Mission{Rover: guidance.Rover{LookAheadMM: 600}}
	p.Errors = []Part{{Name: "receiver", StdMM: 20}, {Name: tiltName, Nature: Limit, BoundMM: 30}}
	p.Survey.Marks = make([]Mark, 2)
	p.Route.Waypoints = []Waypoint{{ToleranceMM: 300}, {Mark: 1, ToleranceMM: 900}}
	p.Route.Legs = []Leg{{To: 1, LengthMM: 20_000, SpeedMMPerS: 600}}
	return p
}

// lineOf is what the line of a plan needs.
func lineOf(p *Plan) Line {
	p.Stretches()
	l := p.Route.Line
	l.late = 0
	return l
}

func TestTheLineByHand(t *testing.T) {
	// Late by 100 + 100 + 20 + 20 + 100 + 333 = 673 ms, a = 1/s:
	// w² = 0.1·(1 + 0.6233)/0.7820 = 0.2076; k = sqrt(2·ln(20000/0.05)) = 5.0795;
	// 5.0795·20·1.0989 = 111.6. d = 2.4477·2° = 4.895°, 600·tan = 51.4. The leg begins 300 + 112 + 30 =
	// 442 mm off at most; four look-aheads on, late as it is, it swings 12 mm beyond the
	// line (the equation in small steps; without delay 442·e⁻⁴ = 8.1 mm would be left).
	assert.Equal(t, Line{Readings: 20_000, NoiseMM: 112, HeadingMM: 52, TiltMM: 30, StartMM: 12, RoundingMM: 2, LeastMM: 208, LateMS: 673}, lineOf(oneLeg()))
	assert.Equal(t, Line{}, lineOf(&Plan{}), "no leg")
	for name, change := range map[string]func(p *Plan){
		"late":      func(p *Plan) { p.Machine.Rover.MotorLagMS = 627 },
		"a heading": func(p *Plan) { p.Machine.Rover.HeadingStdDeg = 18.4 }, // 2.4477 times is 45.04
	} {
		p := oneLeg()
		change(p)
		assert.True(t, lineOf(p).Unsteady, name)
	}
	p := oneLeg()
	p.Machine.Rover.MotorLagMS = 626
	assert.False(t, lineOf(p).Unsteady)
}

// Nothing made worse makes the line need less.
func TestTheLineNeedsMoreOfWhatIsWorse(t *testing.T) {
	worse := map[string]func(p *Plan, by float64){
		"interval":   func(p *Plan, by float64) { p.Machine.Receiver.FixIntervalMS = int64(200 * by) },
		"latency":    func(p *Plan, by float64) { p.Machine.Receiver.LatencyMS = int64(100 * by) },
		"receiver":   func(p *Plan, by float64) { p.Machine.Receiver.StdMM = 20 * by },
		"lag":        func(p *Plan, by float64) { p.Machine.Rover.MotorLagMS = int64(100 * by) },
		"heading":    func(p *Plan, by float64) { p.Machine.Rover.HeadingStdDeg = 2 * by },
		"loop":       func(p *Plan, by float64) { p.Board.Timing.LoopMS = int64(20 * by) },
		"output":     func(p *Plan, by float64) { p.Board.Timing.OutputDelayMS = int64(20 * by) },
		"tilt":       func(p *Plan, by float64) { p.Errors[1].BoundMM = 30 * by },
		"tolerance":  func(p *Plan, by float64) { p.Route.Waypoints[0].ToleranceMM = int64(300 * by) },
		"confidence": func(p *Plan, by float64) { p.Confidence = 1 - 0.05/by },
		"speed": func(p *Plan, by float64) {
			v := int64(600 * by)
			p.Route.Legs[0].SpeedMMPerS, p.Board.Tables.Rover.LookAheadMM = v, uint16(p.Machine.Rover.lookAheadMM(v))
		},
	}
	need := func(p *Plan) int64 {
		if l := lineOf(p); !l.Unsteady {
			return l.LeastMM
		}
		return math.MaxInt64
	}
	for name, change := range worse {
		rapid.Check(t, func(t *rapid.T) {
			by := rapid.Float64Range(0.05, 10).Draw(t, "by")
			more := by * rapid.Float64Range(1, 3).Draw(t, "more")
			p, q := oneLeg(), oneLeg()
			if name == "confidence" {
				by, more = 1+by, 1+more
			}
			change(p, by)
			change(q, more)
			require.GreaterOrEqual(t, need(q), need(p), "%s: %v, %v", name, by, more)
		})
	}
}

// 2·Q(k) ≤ exp(−k²/2)/2 from k = 1.17 on, where Q is the tail of the normal distribution
// (by the library's complementary error function): what readingFactor rests on.
func TestTheReadingFactorIsABound(t *testing.T) {
	for k := 1.17; k < 8; k += 0.01 {
		require.LessOrEqual(t, math.Erfc(k/math.Sqrt2), math.Exp(-k*k/2)/2, k)
	}
	assert.Greater(t, math.Erfc(0.9/math.Sqrt2), math.Exp(-0.9*0.9/2)/2, "below it is none")
	assert.InDelta(t, 1.1774, readingFactor(0.5, 1), 1e-4)
	// Of 1,000 fixes, 2,000 times: at most 2.5 % have one beyond.
	random, beyond := rand.New(rand.NewPCG(1, 2)), 0
	k := readingFactor(0.95, 1000)
	for range 2000 {
		most := 0.0
		for range 1000 {
			most = max(most, math.Abs(random.NormFloat64()))
		}
		if most > k {
			beyond++
		}
	}
	assert.Less(t, beyond, 50)
	assert.Greater(t, beyond, 5, "and not by far")
}

// The closed form of the wander against the equation in small steps: c' = −a·c(t − τ)
// with the noise of the last fix held for an interval T.
func TestTheWanderAgainstSteps(t *testing.T) {
	const a, steps, interval = 1.0, 1_000_000, 0.2
	const step = 0.02
	for _, late := range []float64{0.4, 0.7, 0.9} {
		// Half of the interval's wait is in τ already, which is the mean over it.
		delay := int(math.Round((late - interval/2) / step))
		random := rand.New(rand.NewPCG(3, uint64(delay)))
		past := make([]float64, delay+1)
		c, held, squares, n := 0.0, 0.0, 0.0, 0
		for i := range steps {
			if i%int(interval/step) == 0 {
				held = past[(i+1)%len(past)] + random.NormFloat64()
				squares, n = squares+c*c, n+1
			}
			c -= a * held * step
			past[i%len(past)] = c
		}
		closed := a * interval / 2 * (1 + math.Sin(a*late)) / math.Cos(a*late)
		assert.InEpsilon(t, closed, squares/float64(n), 0.12, "late by %v s", late)
	}
}

// What is left of the start: exp(−s) without delay, less at the delay of critical damping,
// a·τ = 1/e, and as much for ever at a·τ = π/2.
func TestWhatIsLeftOfTheStart(t *testing.T) {
	assert.InDelta(t, math.Exp(-3), left(0, 3), 2e-3)
	assert.Less(t, left(1/math.E, 3), math.Exp(-3), "critically damped")
	// With c = cos(πt/2τ) the equation swings for ever: a·τ = π/2.
	assert.InDelta(t, 1, left(math.Pi/2, 3)/left(math.Pi/2, 9), 0.1)
	before := 0.0
	for late := 0.7; late < 1.5; late += 0.05 {
		now := left(late, 3)
		assert.Greater(t, now, before, late)
		before = now
	}
}
