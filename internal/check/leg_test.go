// Legs inside the boundary and outside obstacles: by one millimetre.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestLegOutside(t *testing.T) {
	bay := func(depth int64) func(*site) {
		return func(s *site) {
			s.boundary = []string{"F1", "N1", "N2", "N3", "F2", "F3", "F4"}
			s.move("N1", 13000, 0)
			s.move("N2", 15000, depth)
			s.move("N3", 17000, 0)
		}
	}
	for _, c := range []struct {
		fact   string
		change func(*site)
		want   []string
	}{
		{"inside", func(*site) {}, []string{}},
		{"a waypoint on the boundary", func(s *site) { s.move("C", 30000, 15000) }, []string{}},
		{"a waypoint one millimetre outside", func(s *site) { s.move("C", 30001, 15000) }, []string{"error: waypoint C is outside the boundary"}},
		{"a bay up to the leg", bay(5000), []string{}},
		{"a bay one millimetre further", bay(5001), []string{"error: leg A–B leaves the boundary between its ends, across edge N1–N2"}},
	} {
		t.Run(c.fact, func(t *testing.T) { assert.Equal(t, c.want, messages(yard(t, c.change), "geometry.leg-outside")) })
	}
}

func TestLegObstacle(t *testing.T) {
	through := []string{"error: leg A–B passes through obstacle well"}
	for _, c := range []struct {
		fact   string
		change func(*site)
		want   []string
	}{
		{"clear", func(*site) {}, []string{}},
		{"a circle that touches the leg", func(s *site) { s.move("W", 19000, 5800) }, []string{}},
		{"a circle one millimetre over it", func(s *site) { s.move("W", 19000, 5799) }, through},
		{"a ring one millimetre off", func(s *site) { s.move("S1", 9000, 5001) }, []string{}},
		{"a ring that touches", func(s *site) { s.move("S1", 9000, 5000) }, []string{"error: leg A–B passes through obstacle shed"}},
		{"a route wholly within a ring", func(s *site) {
			s.route = []string{"P", "Q"}
			s.move("P", 10000, 10000)
			s.move("Q", 11000, 10000)
		}, []string{"error: leg P–Q passes through obstacle shed"}},
		{"within the larger of two rings, west of the smaller", func(s *site) {
			s.obstacles[0] = sketch{name: "hut", marks: []string{"H1", "H2", "H3"}}
			s.move("H1", 20000, 9000)
			s.move("H2", 21000, 9000)
			s.move("H3", 20000, 11000)
			s.route = []string{"P", "Q"}
			s.move("P", 10000, 10000)
			s.move("Q", 11000, 10000)
		}, []string{"error: leg P–Q passes through obstacle shed"}},
	} {
		t.Run(c.fact, func(t *testing.T) { assert.Equal(t, c.want, messages(yard(t, c.change), "geometry.leg-obstacle")) })
	}
}
