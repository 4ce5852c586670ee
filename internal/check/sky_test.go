// Hidden sky, by hand and against a horizon looked at ray by ray; reflectors.
package check

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

// An obstacle 1 m above the antenna is 15 degrees high at 1000·cot 15° =
// 3732.05 mm. The well is a circle of 800 mm.
func TestSkyAtTheMask(t *testing.T) {
	well := func(distance int64) *plan.Plan {
		p := yard(t, func(s *site) {
			s.route = []string{"A", "B"}
			s.move("W", 5000+800+distance, 5000)
			s.obstacles[0].heightMM = 1500
		})
		p.Machine.Rover.AntennaHeightMM = 500
		return p
	}
	assert.Empty(t, messages(well(3733), "site.sky"))
	p := well(3732)
	assert.Equal(t, []string{"warning: waypoint A: the sky is hidden above 15 deg over at least 0 deg of the horizon, by well (15 deg high)"}, messages(p, "site.sky"))
	f := one(t, p, "site.sky")
	assert.Equal(t, p.Route.Waypoints[0].At, f.At)
	assert.Equal(t, []float64{2, 1}, []float64{number(t, f, "marks"), number(t, f, "marks with hidden sky")})

	// Not higher than the antenna: nothing to hide.
	p = well(100)
	p.Machine.Rover.AntennaHeightMM = 1500
	assert.Empty(t, messages(p, "site.sky"))
	p.Machine.Rover.AntennaHeightMM = 1499
	assert.Empty(t, messages(p, "site.sky"), "1 mm at 100 mm is 0.6 deg")
}

func TestSkyOfAWall(t *testing.T) {
	// The boundary 2 m above the antenna, seen from 2 m in front of the middle of
	// its southern side: 45 degrees high. It is above 15 degrees as far as
	// 2000·cot 15° = 7464.1 mm, over 2·acos(2000/7464.1) = 148.9 degrees. The
	// other sides are further away.
	p := yard(t, func(s *site) { s.route = []string{"A"}; s.move("A", 15000, 2000) })
	p.Fence.Boundary.HeightMM = 2000
	f := one(t, p, "site.sky")
	assert.Equal(t, "waypoint A: the sky is hidden above 15 deg over at least 149 deg of the horizon, by the boundary (45 deg high)", f.Message())
	assert.InDelta(t, 148.92, number(t, f, "horizon"), 0.01)
	assert.InDelta(t, 45, number(t, f, "highest"), 1e-9)
}

// Among trees every waypoint has hidden sky; that is one finding all the same.
func TestSkyIsOneFinding(t *testing.T) {
	p := yard(t, func(s *site) {
		s.obstacles[0].heightMM, s.obstacles[1].heightMM = 8000, 8000
	})
	f := one(t, p, "site.sky")
	// From D the shed lies between the directions of S1 (4 m east, 6 m south) and
	// S3 (7 m east, 4 m south), 26.6 degrees apart; its nearest corner, S4, is
	// 5.657 m away. The well is 14.066 m away and 6.2 degrees wide.
	assert.Equal(t, "warning", f.Severity.String())
	assert.Equal(t, p.Route.Waypoints[3].At, f.At)
	assert.Equal(t, "waypoint D: the sky is hidden above 15 deg over at least 33 deg of the horizon, by shed (55 deg high), well (30 deg high); also at A, B, C", f.Message())
}

// The arcs against rays: every tenth of a degree, does a thing stand there near
// enough?
func TestHorizonAgainstRays(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for range 60 {
		var p plan.Plan
		for i := range 6 {
			at := planar.Point{E: rng.Int64N(16000) - 8000, N: rng.Int64N(16000) - 8000}
			o := fence.Part{Name: string(rune('a' + i)), IsCircle: i%2 == 0, HeightMM: 500 + rng.Int64N(2000)}
			if o.IsCircle {
				o.Circle = planar.Circle{Centre: at, RadiusMM: 1 + rng.Int64N(1500)}
			} else {
				o.Vertices = planar.Ring{at, {E: at.E + 3000, N: at.N + rng.Int64N(500)}, {E: at.E + 100, N: at.N + 4000}}
			}
			p.Fence.Obstacles = append(p.Fence.Obstacles, o)
		}
		refence(&p)
		require.False(t, p.Fence.Sound(), "there is no boundary")
		got := newView(&p).tallThings().from(planar.Point{}).horizonDeg

		hidden := 0
		for k := range 3600 {
			a := float64(k) * math.Pi / 1800
			if rayHidden(&p, math.Sin(a), math.Cos(a)) {
				hidden++
			}
		}
		// Each of at most twelve arcs may gain or lose a step at either end.
		assert.InDelta(t, float64(hidden)/10, got, 1.2, "%+v", p.Fence.Obstacles)
	}
}

// rayHidden asks whether the straight line to the end of each thing's shadow
// meets the thing.
func rayHidden(p *plan.Plan, e, n float64) bool {
	for _, o := range p.Fence.Obstacles {
		reach := shadowMM(float64(o.HeightMM))
		if o.IsCircle {
			x, y := float64(o.Circle.Centre.E), float64(o.Circle.Centre.N)
			t := max(0, min(x*e+y*n, reach)) // nearest to the centre
			if math.Hypot(x-t*e, y-t*n) < float64(o.Circle.RadiusMM) {
				return true
			}
			continue
		}
		for _, edge := range o.Vertices.Edges() {
			ax, ay := float64(edge.A.E), float64(edge.A.N)
			ux, uy := float64(edge.B.E)-ax, float64(edge.B.N)-ay
			if cross := e*uy - n*ux; cross != 0 { // t·(e, n) = a + k·u
				t, k := (ax*uy-ay*ux)/cross, (ax*n-ay*e)/cross
				if t >= 0 && t < reach && k >= 0 && k <= 1 {
					return true
				}
			}
		}
	}
	return false
}

func TestReflection(t *testing.T) {
	const rule = "site.reflection"
	well := func(n int64) []string {
		return messages(yard(t, func(s *site) { s.obstacles[0].reflects = true; s.move("W", 19000, n) }), rule)
	}
	assert.Empty(t, well(5000+3000+800))
	assert.Equal(t, []string{"warning: obstacle well reflects satellite signals and is within 3.00 m of 1 leg: A–B"}, well(5000+3000+799))

	shed := func(n int64) []string {
		return messages(yard(t, func(s *site) { s.obstacles[1].reflects = true; s.move("S1", 9000, n) }), rule)
	}
	assert.Empty(t, shed(8000))
	assert.Equal(t, []string{"warning: obstacle shed reflects satellite signals and is within 3.00 m of 1 leg: A–B"}, shed(7999))

	p := yard(t, func(s *site) { s.move("A", 2999, 2999); s.route = []string{"A", "B", "A", "B", "A", "B", "A"} })
	assert.Empty(t, messages(p, rule))
	p.Fence.Boundary.Reflects = true
	assert.Equal(t, []string{"warning: the boundary reflects satellite signals and is within 3.00 m of 6 legs: A–B, B–A, A–B, B–A and 2 more"}, messages(p, rule))
	assert.Equal(t, 6.0, number(t, one(t, p, rule), "legs"))
}
