package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"

	"merestone/internal/motion"
	"merestone/internal/quantity"
)

// The Rayleigh distribution is the Weibull distribution of shape 2 and scale
// σ·sqrt(2); gonum's quantile of it is an implementation of its own. 2.4477 for
// 95 % is the square root of 5.991, the value for two degrees of freedom in any
// table of the chi-square distribution (from memory).
func TestRadialFactorIsTheRayleighQuantile(t *testing.T) {
	rayleigh := distuv.Weibull{K: 2, Lambda: math.Sqrt2}
	for _, confidence := range []float64{0.5, 0.6827, 0.90, 0.95, 0.99, 0.999} {
		assert.InDelta(t, rayleigh.Quantile(confidence), quantity.RadialFactor(confidence), 1e-12)
	}
	assert.InDelta(t, math.Sqrt(5.991), quantity.RadialFactor(0.95), 1e-4)
}

// A million errors drawn along two axes: the share within k·σ is the confidence,
// within four standard deviations of such a count.
func TestRadialFactorHoldsForDrawnErrors(t *testing.T) {
	const draws = 1_000_000
	source := rand.New(rand.NewPCG(1, 2))
	for _, confidence := range []float64{0.68, 0.95, 0.99} {
		k, within := quantity.RadialFactor(confidence), 0
		for range draws {
			if math.Hypot(source.NormFloat64(), source.NormFloat64()) <= k {
				within++
			}
		}
		spread := math.Sqrt(confidence * (1 - confidence) / draws)
		assert.InDelta(t, confidence, float64(within)/draws, 4*spread)
	}
}

func TestBudgetsWorkedByHand(t *testing.T) {
	for _, c := range []struct {
		name       string
		confidence float64
		parts      []Part
		total      int64
		kept       int
	}{
		{"nothing is nothing", 0.95, nil, 0, 0},
		{"parts of zero are left out", 0.95, []Part{{Name: "none"}}, 0, 0},
		{"2.44775 · 10 = 24.48", 0.95, []Part{{Name: "a", StdMM: 10}}, 25, 1},
		{"2.44775 · sqrt(3² + 4²) = 12.24", 0.95, []Part{{Name: "a", StdMM: 3}, {Name: "b", StdMM: 4}}, 13, 2},
		{"bounds add up in full: 30 + 40", 0.95, []Part{{Name: "a", BoundMM: 30}, {Name: "b", BoundMM: 40}}, 70, 2},
		{"both kinds: 12.24 + 5.1 = 17.34", 0.95, []Part{{Name: "a", StdMM: 3}, {Name: "b", StdMM: 4}, {Name: "c", BoundMM: 5.1}}, 18, 3},
		{"exact sums are not pushed up by the floats", 0.95, []Part{{Name: "a", BoundMM: 0.1}, {Name: "b", BoundMM: 0.2}, {Name: "c", BoundMM: 0.7}}, 1, 3},
		{"3.03485 · 10 = 30.35 at 99 %", 0.99, []Part{{Name: "a", StdMM: 10}}, 31, 1},
	} {
		b := newBudget(c.confidence, c.parts...)
		assert.Equal(t, c.total, b.TotalMM, c.name)
		assert.Len(t, b.Parts, c.kept, c.name)
	}
}

// The closest tolerance grows with the speed, so that the highest speed is where
// it passes the tolerance: met at v, not at v + 1.
func TestHighestSpeedIsTheLastThatMeetsTheTolerance(t *testing.T) {
	p := &Plan{
		Machine: Machine{Receiver: Receiver{FixIntervalMS: 200}, Rover: Rover{Coast: motion.Coast{{FromMMPerS: 600, DistanceMM: 450}}}},
		Board:   Board{Timing: Timing{LoopMS: 20}},
		Route:   Route{Waypoints: make([]Waypoint, 2), Legs: []Leg{{From: 0, To: 1, SpeedMMPerS: 300, LengthMM: 9000}}},
	}
	after := p.spreadAfter(&p.Route.Legs[0])
	for _, stops := range []bool{false, true} {
		for tolerance := int64(0); tolerance < 3000; tolerance += 37 {
			w := Waypoint{ToleranceMM: tolerance, Stops: stops, Budget: Budget{TotalMM: 70}}
			p.Route.Waypoints[1] = w
			v := p.arrival(1).HighestMMPerS
			if v > 0 {
				assert.LessOrEqual(t, p.arrivalAt(w, &p.Route.Legs[0], after, v).ClosestMM, tolerance)
			}
			if v == 20_000 { // the highest that is looked at
				continue
			}
			assert.Greater(t, p.arrivalAt(w, &p.Route.Legs[0], after, v+1).ClosestMM, tolerance)
		}
	}
	last := int64(0)
	for v := int64(1); v < 20_000; v += 13 {
		closest := p.arrivalAt(Waypoint{Stops: true}, &p.Route.Legs[0], after, v).ClosestMM
		assert.GreaterOrEqual(t, closest, last)
		last = closest
	}
	assert.Zero(t, p.arrival(0), "nobody arrives at the start of an open route")
}
