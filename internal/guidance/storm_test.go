package guidance

// A storm of random runs, watched by the oracle of testdata/storm.c: what must never be,
// said from the inputs alone. The Go twin runs a quarter of the blocks to the same digests,
// so that it was watched as well.
//
// STORM_STEPS=50000000 go test -run TestStorm ./internal/guidance, or make storm, for more.

import (
	"fmt"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/planar"
)

// stormSteps is the number of steps over all missions, where STORM_STEPS says no other.
const stormSteps = 4_000_000

func TestStorm(t *testing.T) {
	total := stormSteps
	if text := os.Getenv("STORM_STEPS"); text != "" {
		var err error
		total, err = strconv.Atoi(text)
		require.NoError(t, err)
	}
	missions := append(sketches(), orchardByButton(), alley())
	blocks := total/blockVectors/len(missions) + 1
	var events Events
	var reasons Reasons
	for _, sketch := range missions {
		t.Run(sketch.name, func(t *testing.T) {
			m := sketch.mission(t)
			folder := writeC(t, m)
			sanitized(t, folder, "storm")
			next, ended := lineByLine(t, folder, "storm", uint32(blocks))
			v := newVectors(m)
			for i := range blocks {
				var block uint32
				var digest uint64
				_, err := fmt.Sscanf(next(), "%d %x", &block, &digest)
				require.NoError(t, err)
				if i%4 == 0 {
					require.Equal(t, digest, v.block(block), "block %d: the twin's steps are others", block)
				}
			}
			var steps, driven uint64
			var e Events
			var r Reasons
			_, err := fmt.Sscanf(next(), "seen %d %d %d %d", &steps, &driven, &e, &r)
			require.NoError(t, err)
			ended()
			t.Logf("%d steps, %.0f %% with the drive on", steps, 100*float64(driven)/float64(steps))
			assert.Greater(t, driven, steps/50, "driving is common")
			events |= e
			reasons |= r
		})
	}
	assert.Equal(t, Events(1<<eventCount-1), events, "events that never came: %v", Events(1<<eventCount-1)&^events)
	assert.Equal(t, Reasons(1<<reasonCount-1), reasons, "reasons that never came: %v", Reasons(1<<reasonCount-1)&^reasons)
}

// alley is a leg that comes nearer to the fence, until it is too near to go on.
func alley() sketch {
	k := orchard()
	k.name, k.rings, k.circles, k.stopEach = "alley", nil, nil, 1
	k.boundary = planar.Ring{{E: -3_000, N: -1_600}, {E: 43_000, N: -900}, {E: 43_000, N: 9_000}, {E: -3_000, N: 9_000}}
	k.waypoints = []planar.Point{{E: 0, N: 0}, {E: 5_000, N: 0}, {E: 40_000, N: 0}}
	return k
}

// orchardByButton is started by its button, since it has no hold-to-run.
func orchardByButton() sketch {
	k := orchard()
	k.name, k.circuits = "orchard by button", k.circuits[1:]
	return k
}
