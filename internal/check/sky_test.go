// Hidden sky, by hand and against a horizon looked at ray by ray; reflectors.
package check

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
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
	assert.Equal(t, []string{"note: waypoint A: 1 % of the sky above 15 deg is hidden, over at least 0 deg of the horizon, by well (15 deg high)"}, messages(p, "site.sky"))
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
	assert.Equal(t, "waypoint A: 18 % of the sky above 15 deg is hidden, over at least 149 deg of the horizon, by the boundary (45 deg high)", f.Message())
	assert.InDelta(t, 148.92, number(t, f, "horizon"), 0.25)
	// The wall's sine of elevation, integrated over the half angle φ = 74.46°, is
	// asin(sin φ·h/√(h² + d²)) with h = d: (2·asin(sin φ/√2) - 2φ·sin 15°) over
	// 2π·(1 - sin 15°).
	half := math.Acos(2000 / (2000 / math.Tan(math.Pi/12)))
	sin15 := math.Sin(math.Pi / 12)
	assert.InDelta(t, (2*math.Asin(math.Sin(half)/math.Sqrt2)-2*half*sin15)/(2*math.Pi*(1-sin15)), number(t, f, "hidden"), 1e-3)
	assert.InDelta(t, 45, number(t, f, "highest"), 1e-9)
}

// Among trees every waypoint has hidden sky; that is one finding all the same.
func TestSkyIsOneFinding(t *testing.T) {
	p := yard(t, func(s *site) {
		s.obstacles[0].heightMM, s.obstacles[1].heightMM = 8000, 8000
	})
	f := one(t, p, "site.sky")
	// From A the shed lies between the directions of S4 (4 m east, 6 m north) and
	// S2 (7 m east, 4 m north), 26.6 degrees apart; its nearest corner, S1, is
	// 5.657 m away. (From D it is the same, mirrored.) The well is 14.066 m away and 6.2 degrees wide.
	assert.Equal(t, "note", f.Severity.String())
	assert.Equal(t, p.Route.Waypoints[0].At, f.At)
	assert.Equal(t, "waypoint A: 6 % of the sky above 15 deg is hidden, over at least 33 deg of the horizon, by shed (55 deg high), well (30 deg high); also at B, C, D", f.Message())
}

// The bands against straight lines into the sky: thousands of them, evenly spread over
// the hemisphere above the mask, each followed outwards step by step until it is above
// everything, and asked at each step whether it is inside a thing.
func TestHiddenSkyAgainstLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	some := 0
	for range 25 {
		var p plan.Plan
		for i := range 5 {
			at := planar.Point{E: rng.Int64N(16000) - 8000, N: rng.Int64N(16000) - 8000}
			part := fence.Part{Name: string(rune('a' + i)), IsCircle: i%2 == 0, HeightMM: 500 + rng.Int64N(3000)}
			if part.IsCircle {
				part.Circle = planar.Circle{Centre: at, RadiusMM: 300 + rng.Int64N(1500)}
			} else {
				part.Vertices = planar.Ring{at, {E: at.E + 3000, N: at.N + rng.Int64N(500)}, {E: at.E + 100, N: at.N + 4000}}
			}
			if i < 2 {
				p.Fence.Obstacles = append(p.Fence.Obstacles, part)
				continue
			}
			part.HeightMM += 1000
			p.Site.Overhead = append(p.Site.Overhead, plan.Overhead{Part: fence.Look(part), Roof: i == 3, HeadroomMM: rng.Int64N(1500)})
		}
		if inside(p.Fence.Obstacles[1], 0, 0) {
			continue // another rule refuses to drive there, and its walls are looked at alone
		}
		refence(&p)
		p.Machine.Rover.AntennaHeightMM = rng.Int64N(600)
		got := newView(&p).skyline().from(planar.Point{})

		const lines = 3000
		solid, leaves := 0, 0
		for k := range lines { // a spiral with the golden angle is even over the sphere
			sin := math.Sin(math.Pi/12) + (1-math.Sin(math.Pi/12))*(float64(k)+0.5)/lines
			hit, through := meets(&p, float64(k)*math.Pi*(3-math.Sqrt(5)), sin)
			if hit {
				solid++
			} else if through {
				leaves++
			}
		}
		want := (float64(solid) + leafShare*float64(leaves)) / lines
		assert.InDelta(t, want, got.share, 0.015, "%+v %+v", p.Fence.Obstacles, p.Site.Overhead)
		assert.InDelta(t, float64(solid)/lines, got.solid, 0.015)
		if want > 0.2 {
			some++
		}
	}
	assert.Greater(t, some, 3)
}

// meets follows a line from the antenna: whether it meets something solid, and leaves.
func meets(p *plan.Plan, azimuth, sin float64) (solid, leaves bool) {
	slope := sin / math.Sqrt(1-sin*sin)
	e, n := math.Sin(azimuth), math.Cos(azimuth)
	antenna := float64(p.Machine.Rover.AntennaHeightMM)
	for d := 0.0; d < 25000; d += 25 {
		height := antenna + d*slope
		if height > 5000 {
			break
		}
		for _, o := range p.Fence.Obstacles {
			solid = solid || height <= float64(o.HeightMM) && inside(o, d*e, d*n)
		}
		for _, o := range p.Site.Overhead {
			if height >= float64(o.HeadroomMM) && height <= float64(o.HeightMM) && inside(o.Part, d*e, d*n) {
				solid, leaves = solid || o.Roof, leaves || !o.Roof
			}
		}
	}
	return solid, leaves
}

// inside asks a circle by its radius and a ring by how often a line east meets it.
func inside(o fence.Part, e, n float64) bool {
	if o.IsCircle {
		return math.Hypot(e-float64(o.Circle.Centre.E), n-float64(o.Circle.Centre.N)) <= float64(o.Circle.RadiusMM)
	}
	odd := false
	for _, s := range o.Vertices.Edges() {
		ae, an, be, bn := float64(s.A.E), float64(s.A.N), float64(s.B.E), float64(s.B.N)
		if (an > n) != (bn > n) && e < ae+(n-an)/(bn-an)*(be-ae) {
			odd = !odd
		}
	}
	return odd
}

// What grows hides no less, to the last bit: nothing here may fall by a rounding.
func TestMoreHidesNoLess(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for range 300 {
		p := &plan.Plan{}
		at := planar.Point{E: rng.Int64N(12000) - 6000, N: rng.Int64N(12000) - 6000}
		stands := fence.Part{Name: "post", IsCircle: true, HeightMM: 500 + rng.Int64N(4000), Circle: planar.Circle{Centre: planar.Point{E: at.N + 7000, N: at.E}, RadiusMM: 1 + rng.Int64N(800)}}
		over := plan.Overhead{Roof: rng.IntN(2) == 0, HeadroomMM: rng.Int64N(2000), Part: fence.Part{Name: "cover", IsCircle: rng.IntN(2) == 0, HeightMM: 2000 + rng.Int64N(3000)}}
		if over.IsCircle {
			over.Circle = planar.Circle{Centre: at, RadiusMM: 1 + rng.Int64N(7000)}
		} else {
			over.Vertices = planar.Ring{at, {E: at.E + 1 + rng.Int64N(9000), N: at.N + rng.Int64N(300)}, {E: at.E + rng.Int64N(500), N: at.N + 1000 + rng.Int64N(9000)}}
		}
		sky := func() hiddenSky {
			q := *p
			q.Fence.Obstacles = []fence.Part{stands}
			grown := over
			grown.Part = fence.Look(over.Part)
			q.Site.Overhead = []plan.Overhead{grown}
			refence(&q)
			return newView(&q).skyline().from(planar.Point{})
		}
		before := sky()
		by := 1 + rng.Int64N(2000)
		switch rng.IntN(5) {
		case 0:
			over.HeightMM += by
		case 1:
			over.HeadroomMM = max(over.HeadroomMM-by, 0)
		case 2:
			over.Roof = true
		case 3:
			stands.HeightMM, stands.Circle.RadiusMM = stands.HeightMM+by, stands.Circle.RadiusMM+by/10
		default:
			if over.Circle.RadiusMM += by; !over.IsCircle { // a corner added outside the others
				over.Vertices = append(planar.Ring{{E: at.E - by, N: at.N - by}}, over.Vertices[1:]...)
			}
		}
		after := sky()
		assert.GreaterOrEqual(t, after.share, before.share, "%+v %+v", over, stands)
		assert.GreaterOrEqual(t, after.solid, before.solid)
	}
}

// A roof of 20 m by 20 m, its underside 2.5 m and its top 3 m above the ground, over a
// place far from its edges, on its edge, and beside it; a canopy; both.
func TestSkyBeneath(t *testing.T) {
	over := func(west, south int64, roof bool) plan.Overhead {
		return plan.Overhead{Roof: roof, HeadroomMM: 2500, Part: fence.Look(fence.Part{
			Source: line(600), Name: "barn", HeightMM: 3000,
			Vertices: planar.Ring{{E: west, N: south}, {E: west + 20000, N: south}, {E: west + 20000, N: south + 20000}, {E: west, N: south + 20000}},
		})}
	}
	share := func(required board.Quality, areas ...plan.Overhead) (float64, string) {
		p := yard(t, func(s *site) { s.route = []string{"A"} }) // at 5 m, 5 m
		p.Machine.Receiver.Required = required
		p.Site.Overhead = areas
		list := of(p, "site.sky")
		if len(list) == 0 {
			return 0, ""
		}
		return number(t, list[0], "hidden"), list[0].Severity.String()
	}
	for _, c := range []struct {
		name     string
		required board.Quality
		areas    []plan.Overhead
		low      float64
		high     float64
		want     string
	}{
		// Its edges are 10 m away, where its underside is 14 degrees high.
		{"under the middle of a roof", board.QualityFixed, []plan.Overhead{over(-5000, -5000, true)}, 0.999, 1, "error"},
		{"the same, who drives on float solutions", board.QualityFloat, []plan.Overhead{over(-5000, -5000, true)}, 0.999, 1, "error"},
		{"on its edge half of the sky is open", board.QualityFixed, []plan.Overhead{over(5000, -5000, true)}, 0.49, 0.51, "warning"},
		{"1 mm beside it, too", board.QualityFixed, []plan.Overhead{over(5001, -5000, true)}, 0.48, 0.51, "warning"},
		{"8 m away its top is 20 degrees high", board.QualityFixed, []plan.Overhead{over(13000, -5000, true)}, 0.001, 0.05, "note"},
		{"12 m away it is below the mask", board.QualityFixed, []plan.Overhead{over(17000, -5000, true)}, 0, 0, ""},
		{"leaves all over are half of it", board.QualityFixed, []plan.Overhead{over(-5000, -5000, false)}, 0.499, 0.501, "warning"},
		{"who drives on float solutions expects leaves", board.QualityFloat, []plan.Overhead{over(-5000, -5000, false)}, 0.499, 0.501, "note"},
		{"two areas of leaves hide no more than one", board.QualityFixed, []plan.Overhead{over(-5000, -5000, false), over(-6000, -5000, false)}, 0.499, 0.501, "warning"},
		{"a roof within leaves counts once", board.QualityFixed, []plan.Overhead{over(5000, -5000, true), over(-5000, -5000, false)}, 0.74, 0.76, "error"},
	} {
		got, severity := share(c.required, c.areas...)
		assert.True(t, got >= c.low && got <= c.high+1e-9, "%s: %v", c.name, got)
		assert.Equal(t, c.want, severity, c.name)
	}
}

// What is beneath between the ends of legs is told of the legs: each kind once.
func TestLegsBeneath(t *testing.T) {
	over := func(name string, e, n int64, roof bool) plan.Overhead {
		return plan.Overhead{Roof: roof, HeadroomMM: 2500, Part: fence.Look(fence.Part{Source: line(600), Name: name, HeightMM: 2700,
			Vertices: planar.Ring{{E: e, N: n}, {E: e + 1500, N: n}, {E: e + 1500, N: n + 3000}, {E: e, N: n + 3000}}})}
	}
	p := yard(t)
	p.Site.Overhead = []plan.Overhead{over("gate", 12000, 4000, true), over("porch", 15000, 13000, true), over("elm", 20000, 4000, false), over("oak", 8000, 13000, false), over("elsewhere", 15000, 7500, true)}
	assert.ElementsMatch(t, []string{
		"warning: leg A–B passes beneath roof gate, roof porch, and so on legs C–D; fixes are lost there, and after 380 ms without one the rover stops",
		"note: leg A–B passes beneath canopy elm, canopy oak, and so on legs C–D; solutions come down to float there, and some are lost",
		"note: waypoint D: 2 % of the sky above 15 deg is hidden, over at least 52 deg of the horizon, by canopy oak (42 deg high), roof porch (15 deg high); also at A, B, C",
	}, messages(p, "site.sky"))

	// A long one on the way hides all of the sky in its middle.
	p = yard(t)
	p.Site.Overhead = []plan.Overhead{{Roof: true, HeadroomMM: 2500, Part: fence.Look(fence.Part{Source: line(600), Name: "hall", HeightMM: 2700, IsCircle: true, Circle: planar.Circle{Centre: planar.Point{E: 15000, N: 5000}, RadiusMM: 8000}})}}
	said := messages(p, "site.sky")
	require.Len(t, said, 3)
	assert.Contains(t, said[0], "warning: waypoint A: 18 % ")
	assert.Contains(t, said[1], "error: leg A–B: 95 % ")
	assert.Contains(t, said[1], "by roof hall (overhead)")
	assert.Contains(t, said[2], "note: waypoint C: 3 % ")
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
