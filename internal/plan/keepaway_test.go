// The distance to keep: reckoned by hand once, and greater whatever is worse.
package plan_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
	"merestone/spec"
)

func TestTheDistanceToKeep(t *testing.T) {
	// 0.6 m/s: 62 ms of reaction, 37.2 mm, and the holder's 1000 ms, 600 mm, the coast
	// 300·1.15 = 345 mm; 1.6 m/s over 1062 ms and the coast's 3·345/0.6 = 1725 ms are
	// 4459.2 mm.
	usual := yard(t).KeepAway()
	assert.Equal(t, plan.KeepAway{Leg: 0, HolderMM: 600, ReactionMM: 38, CoastMM: 345, RoverMM: 983, RestMS: 1725, WalkMM: 4460, TotalMM: 5443}, usual)
	text := yardText(t)
	for _, worse := range []edit{
		{"cruise: 0.60 m/s", "cruise: 0.61 m/s"},
		{"distance: 0.30 m", "distance: 0.31 m"},
		{"loop: 20 ms", "loop: 21 ms"},
		{"off_delay: 20 ms", "off_delay: 21 ms"},
		{"debounce: 20 ms", "debounce: 21 ms"}, // of every hold
		{"debounce: 20 ms", "debounce: 20 ms\n    stop_filter: 1 ms"},
	} {
		require.Contains(t, text, worse[0])
		parsed := spec.Parse("yard.yaml", []byte(strings.ReplaceAll(text, worse[0], worse[1])), nil)
		require.Empty(t, parsed.Findings, worse)
		p, _ := plan.Resolve(parsed.Mission)
		assert.Greater(t, p.KeepAway().TotalMM, usual.TotalMM, worse)
	}
	assert.Zero(t, (&plan.Plan{}).KeepAway())
}
