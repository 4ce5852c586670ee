package drivetest

import (
	"fmt"
	"testing"

	"merestone/internal/missiontest"
)

func TestDurationTrial(t *testing.T) {
	for _, name := range []string{"walnut-grove", "running-track", "salt-pan"} {
		p := missiontest.Resolve(t, missiontest.Example(t, name))
		d := p.Duration()
		sum, n := 0.0, 0
		for seed := range uint64(20) {
			o := Drive(p, Rover{}, None, seed)
			if o.Finished {
				sum += float64(o.TimeMS)/1000 - 2
				n++
			}
		}
		fmt.Println(name, d.TotalMS(), d.TravelMS, d.StopMS, d.DwellMS, d.Turns, d.TurnDeg, sum/float64(n), n)
	}
}
