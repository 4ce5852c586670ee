package drivetest

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/missiontest"
)

// The time that a plan says is that of the simulated drive, to a hundredth. What it leaves
// out is added here: turns on the spot, at the rate of the example's steering.
func TestDurationIsThatOfTheDrive(t *testing.T) {
	const runs = 6
	for _, name := range []string{"walnut-grove", "running-track", "salt-pan"} {
		p := missiontest.Resolve(t, missiontest.Example(t, name))
		said := p.Duration()
		seconds := float64(said.TotalMS())/1000 + said.TurnDeg*math.Pi/180/turnGreatest
		driven := 0.0
		for seed := range uint64(runs) {
			o := Drive(p, Rover{}, None, seed)
			require.True(t, o.Finished, name)
			driven += float64(o.TimeMS-settledMS) / 1000 / runs // it sets off when the operator does
		}
		assert.InEpsilon(t, driven, seconds, 0.01, "%s: said %.1f s, driven %.1f s", name, seconds, driven)
	}
}
