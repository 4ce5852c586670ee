// Conversion, decimals and heights.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/geodesy"
	"merestone/internal/plan"
)

func TestConversion(t *testing.T) {
	const rule = "precision.conversion"
	p := yard(t)
	// Single precision: at 51.6 degrees the spacing of numbers is 2^-18, at 25.9
	// degrees 2^-19 (IEEE 754); half of each on the ground at 51.6 degrees, where
	// a degree is 111 262 m north and 69 286 m east: 212 mm and 66 mm, 222 mm.
	assert.Equal(t, []string{"note: fixes are converted on the board to within 0.71 mm (proved over the fence and 100 m around); degrees in single precision would cost up to 222 mm here"}, messages(p, rule))
	p.Board.Tables.Conversion.BoundUM = 30_000 // a tenth of 0.3 m
	assert.Equal(t, "note", one(t, p, rule).Severity.String())
	p.Board.Tables.Conversion.BoundUM++
	f := one(t, p, rule)
	assert.Equal(t, "warning", f.Severity.String())
	assert.Contains(t, f.Message(), "that is more than a tenth of the least arrival tolerance, 0.30 m")
	assert.InDelta(t, 0.030001, number(t, f, "bound"), 1e-12)
	p.Board.Tables.Conversion.BoundUM = 0 // not fitted: plan.Resolve has said why
	assert.Empty(t, messages(p, rule))
}

func TestDecimals(t *testing.T) {
	const rule = "precision.decimals"
	// At 51.6 degrees a degree of latitude is 111 262 m: half of 180 nanodegrees
	// is 10.01 mm, of 179 nanodegrees 9.96 mm.
	with := func(mark string, step geodesy.Nanodegree) *plan.Plan {
		p := yard(t)
		for i := range p.Survey.Marks {
			if p.Survey.Marks[i].Name == mark {
				p.Survey.Marks[i].Resolution = step
			}
		}
		return p
	}
	assert.Empty(t, messages(with("F1", 179), rule))
	assert.Equal(t, []string{"warning: mark F1 is written to ±0.011 m by its last digit, coarser than its uncertainty of 0.010 m"}, messages(with("F1", 180), rule))
	// Half of 5392 nanodegrees is 299.96 mm, of 5393 it is 300.02 mm.
	assert.Equal(t, []string{"warning: mark B is written to ±0.30 m by its last digit, coarser than its uncertainty of 0.010 m"}, messages(with("B", 5392), rule))
	p := with("B", 5393)
	assert.Equal(t, []string{"error: mark B is written to ±0.301 m by its last digit, coarser than its arrival tolerance of 0.30 m"}, messages(p, rule))
	assert.InDelta(t, 0.3000, number(t, one(t, p, rule), "half of the last digit"), 0.0001)
	assert.Equal(t, 0.01, number(t, one(t, p, rule), "uncertainty"))

	// A mark visited twice is held to the closer tolerance.
	p = with("B", 5392)
	again := p.Route.Waypoints[1]
	again.ToleranceMM = 299
	p.Route.Waypoints = append(p.Route.Waypoints, again)
	assert.Contains(t, one(t, p, rule).Message(), "coarser than its arrival tolerance of 0.299 m")

	// Six decimals throughout make one finding, of the coarsest.
	p = with("F2", 10_000)
	for i := range p.Survey.Marks {
		p.Survey.Marks[i].Resolution = max(p.Survey.Marks[i].Resolution, 1000)
	}
	assert.Equal(t, []string{"warning: mark F2 is written to ±0.557 m by its last digit, coarser than its uncertainty of 0.010 m; so are A, B, C, D and 8 more"}, messages(p, rule))

	// Under 1 mm nothing is said, however sure a mark claims to be.
	p = with("F1", 17)
	for i := range p.Survey.Marks {
		p.Survey.Marks[i].StdMM = 0
	}
	assert.Empty(t, messages(p, rule))
}

// Bowring and others give the length of a degree; here at the equator: 110 574 m
// of latitude and 111 320 m of longitude (from memory, as in every almanac).
func TestDegreeIsTheLongerOfTheTwo(t *testing.T) {
	assert.InDelta(t, 111_320, millimetresPerDegree(0)/1000, 1)
	assert.InDelta(t, 111_132, millimetresPerDegree(45*geodesy.Degree)/1000, 1)
}

func TestHeight(t *testing.T) {
	const rule = "precision.height"
	// C is 29.155 m from the origin; d·Δh/R with R = 6 374.9 km along the meridian
	// there. 10 mm need a Δh of 2186.6 m.
	with := func(riseM float64) *plan.Plan {
		p := yard(t)
		for i := range p.Survey.Marks {
			if p.Survey.Marks[i].Name == "C" {
				p.Survey.Marks[i].HasHeight, p.Survey.Marks[i].Geodetic.HeightM = true, 168+riseM
			}
		}
		return p
	}
	assert.Empty(t, messages(with(2186), rule))
	assert.Equal(t, []string{"warning: mark C is 2188.0 m above the origin and 29 m from it, a distance that is 10 mm more on the ground than in the plan"}, messages(with(2188), rule))
	p := with(-4000)
	assert.Equal(t, []string{"warning: mark C is 4000.0 m below the origin and 29 m from it, a distance that is 18 mm less on the ground than in the plan"}, messages(p, rule))
	assert.InDelta(t, 29.1548*4000/6374.9e3, number(t, one(t, p, rule), "effect"), 1e-5)
}
