// The outside check of the geometry rules: GEOS, by its command geosop (Debian
// package geos-bin), on random missions. Which leg is outside, which obstacle is
// struck and how large the clearance is must agree.
//
// geosop prints a distance to six figures. Coordinates here stay below 100 m, so
// that is 0.1 mm or better for what is compared, and a clearance is rounded down
// to whole millimetres: it lies at most 1 mm below.
package check

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/tooltest"
)

func wktSegment(s planar.Segment) string {
	return fmt.Sprintf("LINESTRING(%d %d,%d %d)", s.A.E, s.A.N, s.B.E, s.B.N)
}

func wktRing(r planar.Ring) string {
	var b strings.Builder
	for _, p := range r {
		fmt.Fprintf(&b, "%d %d,", p.E, p.N)
	}
	return fmt.Sprintf("(%s%d %d)", b.String(), r[0].E, r[0].N)
}

// scattered is a mission of forty legs in a fence of twelve corners with six
// obstacles, everything at random.
func scattered(t *testing.T, rng *rand.Rand) *plan.Plan {
	p := yard(t, func(s *site) {
		at := func(name string, e, n int64) string { s.move(name, e, n); return name }
		s.boundary, s.obstacles, s.route = nil, nil, nil
		for i := range 12 { // a star around the middle never crosses itself
			a, r := float64(i)*math.Pi/6, 15_000+rng.Float64()*30_000
			s.boundary = append(s.boundary, at(fmt.Sprintf("F%d", i), 48_000+int64(r*math.Cos(a)), 48_000+int64(r*math.Sin(a))))
		}
		for i := range 6 {
			e, n := 20_000+rng.Int64N(55_000), 20_000+rng.Int64N(55_000)
			o := sketch{name: fmt.Sprintf("thing %d", i)}
			if i%2 == 0 {
				o.radiusMM = 1 + rng.Int64N(4000)
				o.marks = []string{at(fmt.Sprintf("W%d", i), e, n)}
			} else {
				o.marks = []string{at(fmt.Sprintf("S%d", i), e, n), at(fmt.Sprintf("T%d", i), e+1+rng.Int64N(6000), n-rng.Int64N(900)), at(fmt.Sprintf("U%d", i), e+rng.Int64N(900), n+1+rng.Int64N(6000))}
			}
			s.obstacles = append(s.obstacles, o)
		}
		for i := range 41 {
			s.route = append(s.route, at(fmt.Sprintf("A%d", i), 15_000+rng.Int64N(66_000), 15_000+rng.Int64N(66_000)))
		}
	})
	for i := range p.Route.Legs {
		p.Route.Legs[i].Standoff.TotalMM = 200_000 // so that every clearance is told
	}
	return p
}

func TestAgainstGEOS(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 11))
	outside, struck, clear := 0, 0, 0
	for range 8 {
		p := scattered(t, rng)
		require.Empty(t, of(p, "geometry.ring"))
		var legs, rings, circles []string
		var radii []float64
		for _, l := range p.Route.Legs {
			legs = append(legs, wktSegment(l.Segment))
		}
		for _, o := range p.Fence.Obstacles {
			if o.IsCircle {
				circles = append(circles, fmt.Sprintf("POINT(%d %d)", o.Circle.Centre.E, o.Circle.Centre.N))
				radii = append(radii, float64(o.Circle.RadiusMM))
			} else {
				rings = append(rings, "POLYGON("+wktRing(o.Vertices)+")")
			}
		}
		fence := "POLYGON(" + wktRing(p.Fence.Boundary.Vertices) + ")"
		covers := tooltest.GeosBools(t, "covers", []string{fence}, legs)[0]
		meets := tooltest.GeosBools(t, "intersects", rings, legs)
		toRing := tooltest.GeosFloats(t, "distance", rings, legs)
		toCircle := tooltest.GeosFloats(t, "distance", circles, legs)
		toFence := tooltest.GeosFloats(t, "distance", []string{"LINESTRING" + wktRing(p.Fence.Boundary.Vertices)}, legs)[0]

		v := newView(p)
		told := map[diag.Subject]float64{} // clearance by leg
		for _, f := range of(p, "geometry.clearance") {
			told[f.About[0]] = number(t, f, "clearance") * 1000
		}
		for i := range p.Route.Legs {
			require.Equal(t, !covers[i], v.legs[i].Outside, legs[i])
			want := toFence[i]
			hit := 0
			for j := range rings {
				if meets[j][i] {
					hit++
				}
				want = min(want, toRing[j][i])
			}
			for j := range circles {
				d := toCircle[j][i] - radii[j]
				require.Greater(t, math.Abs(d), 0.2, "too close to call for six figures; take another seed")
				if d < 0 {
					hit++
				}
				want = min(want, d)
			}
			require.Len(t, v.legs[i].Struck, hit, legs[i])
			got, ok := told[p.Subject(diag.Leg, i)]
			require.Equal(t, covers[i] && hit == 0, ok)
			switch {
			case ok:
				clear++
				require.InDelta(t, want-0.5, got, 0.5+0.1, legs[i])
			case !covers[i]:
				outside++
			default:
				struck++
			}
		}
	}
	// The missions must have had something of each to say.
	assert.Greater(t, outside, 20)
	assert.Greater(t, struck, 20)
	assert.Greater(t, clear, 20)
}
