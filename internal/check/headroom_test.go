// Antennas beneath what is overhead: by one millimetre.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

func TestHeadroom(t *testing.T) {
	under := func(headroom, height, antenna, south int64) []string {
		p := yard(t)
		p.Machine.Rover.AntennaHeightMM = antenna
		p.Site.Overhead = []plan.Overhead{{Roof: true, HeadroomMM: headroom, Part: fence.Look(fence.Part{Source: line(600), Name: "bar", HeightMM: height,
			Vertices: planar.Ring{{E: 14000, N: south}, {E: 14100, N: south}, {E: 14100, N: 16000}, {E: 14000, N: 16000}}})}}
		return messages(p, "site.headroom")
	}
	assert.Empty(t, under(800, 900, 800, 3000))
	assert.Equal(t, []string{"error: roof bar leaves 0.80 m of headroom, and the antenna is 0.801 m above the ground; beneath it passes leg A–B, and so do C–D"}, under(800, 900, 801, 3000))
	assert.Equal(t, []string{"error: roof bar leaves 0.80 m of headroom, and the antenna is 0.801 m above the ground; beneath it passes leg A–B, and so do C–D"}, under(800, 900, 801, 5000), "its edge counts")
	assert.Equal(t, []string{"error: roof bar leaves 0.80 m of headroom, and the antenna is 0.801 m above the ground; beneath it passes leg C–D"}, under(800, 900, 801, 5001))
	assert.Empty(t, under(0, 900, 900, 3000), "none is said, and its top bounds it")
	assert.Equal(t, []string{"error: roof bar is 0.90 m high, and the antenna is 0.901 m above the ground; beneath it passes leg A–B, and so do C–D"}, under(0, 900, 901, 3000))
}
