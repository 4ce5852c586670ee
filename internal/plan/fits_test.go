// What the board's tables cannot hold is refused when the mission is resolved, not
// when the header is written.
package plan

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/guidance"
	"merestone/spec"
)

func TestTablesThatDoNotFit(t *testing.T) {
	text, err := os.ReadFile("testdata/yard.yaml")
	require.NoError(t, err)
	for _, c := range []struct {
		fact  string
		spoil func(m *guidance.Mission)
		want  string
	}{
		{"nothing", func(*guidance.Mission) {}, ""},
		{"a speed of nothing", func(m *guidance.Mission) { m.Legs[1].SpeedMMPerS = 0 }, "leg 2: a speed of 0 mm/s"},
		{"a speed above the limit", func(m *guidance.Mission) { m.Legs[1].SpeedMMPerS = board.MaxSpeedMMPerS + 1 }, "leg 2: a speed of 20001 mm/s"},
		{"no stop at the end", func(m *guidance.Mission) { m.Legs[m.LegCount()].Dwell = guidance.PassThrough }, "does not stop at its end"},
		{"a gap in the route", func(m *guidance.Mission) { m.Legs[1].EastMM += 500 }, "direction does not belong to its ends"},
		{"no loop", func(m *guidance.Mission) { m.Rover.LoopMS = 0 }, "a loop time of 0 ms"},
		{"a debounce beyond the counter", func(m *guidance.Mission) { m.Holds[0].DebounceMS = board.MaxHoldMS + 1 }, "more than a minute"},
		{"a coefficient that overflows", func(m *guidance.Mission) { m.Conversion.EastShift = 0 }, "conversion: east shift 0"},
	} {
		parsed := spec.Parse("yard.yaml", text, nil)
		require.Empty(t, parsed.Findings)
		p, findings := Resolve(parsed.Mission)
		require.Empty(t, findings)
		c.spoil(&p.Board.Tables)
		r := resolver{m: parsed.Mission, p: p}
		r.fits()
		if c.want == "" {
			assert.Empty(t, r.findings)
			continue
		}
		require.Len(t, r.findings, 1, c.fact)
		assert.Equal(t, ruleBound, r.findings[0].Rule)
		assert.Contains(t, r.findings[0].Message(), c.want)
	}
}
