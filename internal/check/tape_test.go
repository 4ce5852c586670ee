// Tapes: against their combined uncertainty.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
)

func TestTape(t *testing.T) {
	const rule = "tape.distance"
	// Two marks of 12 mm and a tape of 9 mm: σ² = 144 + 144 + 81 = 369 mm²,
	// σ = 19.209 mm. z = 1.95996 for 95 % (any table of the normal distribution):
	// 37.65 mm allowed; 3σ = 57.63 mm.
	with := func(measured, ground, slope float64) *plan.Plan {
		p := yard(t)
		p.Survey.Marks[0].OwnStdMM, p.Survey.Marks[1].OwnStdMM = 12, 12
		p.Survey.Tapes = []plan.Tape{{Source: line(500), From: 0, To: 1, MeasuredMM: measured, StdMM: 9, GroundMM: ground, SlopeMM: slope}}
		return p
	}
	level := func(measured float64) *plan.Plan { return with(measured, 20000, 20000) }
	assert.Empty(t, messages(level(20037), rule))
	assert.Empty(t, messages(level(19963), rule))
	assert.Equal(t, []string{"warning: tape A–B reads 20.038 m where the coordinates say 20.000 m: +38 mm, 2.0 times the combined uncertainty of 19 mm (38 mm allowed at 95 %)"}, messages(level(20038), rule))
	assert.Equal(t, []string{"warning: tape A–B reads 19.943 m where the coordinates say 20.000 m: -57 mm, 3.0 times the combined uncertainty of 19 mm (38 mm allowed at 95 %)"}, messages(level(19943), rule))
	assert.Equal(t, []string{"error: tape A–B reads 19.942 m where the coordinates say 20.000 m: -58 mm, 3.0 times the combined uncertainty of 19 mm (38 mm allowed at 95 %)"}, messages(level(19942), rule))

	f := one(t, level(21000), rule)
	assert.Equal(t, []float64{21, 20, 1}, []float64{number(t, f, "taped"), number(t, f, "computed level"), number(t, f, "difference")})
	assert.InDelta(t, 0.019209, number(t, f, "combined uncertainty"), 1e-6)
	require.Len(t, f.Related, 2)

	// On a slope either way of taping is accepted, and what lies between.
	for _, measured := range []float64{19963, 20000, 20050, 20100, 20137} {
		assert.Empty(t, messages(with(measured, 20000, 20100), rule))
	}
	assert.Equal(t, []string{"warning: tape A–B reads 20.138 m where the coordinates say 20.000 m held level and 20.100 m down the slope: +38 mm, 2.0 times the combined uncertainty of 19 mm (38 mm allowed at 95 %)"}, messages(with(20138, 20000, 20100), rule))

	// A coarse last digit is an uncertainty too: 7 decimals are 11.13 mm, and
	// 11.13²/12 = 10.3 mm² more of each mark makes σ = 19.74 mm, 38.69 mm allowed.
	p := level(20038)
	p.Survey.Marks[0].Resolution, p.Survey.Marks[1].Resolution = 100, 100
	assert.Empty(t, messages(p, rule))
	p.Survey.Tapes[0].MeasuredMM = 20039
	assert.Len(t, of(p, rule), 1)

	// At 99 % z = 2.5758: 49.48 mm.
	p = level(20049)
	p.Confidence = 0.99
	assert.Empty(t, messages(p, rule))
	p.Survey.Tapes[0].MeasuredMM = 20050
	assert.Contains(t, one(t, p, rule).Message(), "49 mm allowed at 99 %")
}
