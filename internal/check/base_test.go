// The shift of a base that averages anew.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/plan"
	"merestone/spec"
)

func TestBaseShift(t *testing.T) {
	const rule = "base.shift"
	// k·√2·u = 2.44775·1.41421·500 mm = 1730.8 mm: 1731. With 872 mm of standoff
	// the shed must be 2603 mm from the leg.
	with := func(s1 int64) *plan.Plan {
		p := yard(t, func(s *site) { s.move("S1", 9000, 5000+s1) })
		p.Survey.Base = plan.Base{Source: line(5), Mark: -1, Position: "averaged", StdMM: 500}
		return p
	}
	assert.Equal(t, []string{"warning: the base averages its position anew, so the whole mission may come up 1.731 m away (95 %, two averages of 0.50 m each); the fence clearance absorbs it, and the rover stops as far from its marks"}, messages(with(2603), rule))
	p := with(2602)
	assert.Equal(t, []string{"error: the base averages its position anew, so the whole mission may come up 1.731 m away (95 %, two averages of 0.50 m each); between leg A–B and obstacle shed edge S1–S2 the clearance is 0.001 m short of standoff and shift together"}, messages(p, rule))
	f := one(t, p, rule)
	assert.Equal(t, []float64{1.731, 0.001}, []float64{number(t, f, "shift"), number(t, f, "lacking")})
	assert.Equal(t, p.Survey.Base.At, f.At)

	// What is short of its standoff already is short of both by more.
	assert.Equal(t, 1.732, number(t, one(t, with(871), rule), "lacking"))

	// A route that strikes something is not judged, so nothing is said to absorb.
	assert.Equal(t, []string{"warning: the base averages its position anew, so the whole mission may come up 1.731 m away (95 %, two averages of 0.50 m each)"}, messages(with(0), rule))

	p = with(2602)
	p.Survey.Base.ControlMarks = []int{0}
	assert.Empty(t, messages(p, rule), "a control mark takes the shift off")
	p = with(2602)
	for _, position := range []string{"entered", "network", ""} {
		p.Survey.Base.Position = spec.BasePosition(position)
		assert.Empty(t, messages(p, rule), "its uncertainty is in the standoffs")
	}
}
