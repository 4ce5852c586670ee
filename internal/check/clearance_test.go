// Clearance against standoff: exact to the millimetre, each part printed.
package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/words"
)

func TestClearance(t *testing.T) {
	for _, c := range []struct {
		fact   string
		change func(*site)
		want   []string
	}{
		{"room everywhere", func(*site) {}, []string{}},
		// Until they are on their lines, within 2.5 m, the legs from A and B need 1093 mm.
		{"the beginnings of two legs exactly at their standoff", func(s *site) { s.move("A", 5000, 1093); s.move("B", 25000, 1093) }, []string{}},
		{"one millimetre nearer at A", func(s *site) { s.move("A", 5000, 1092); s.move("B", 25000, 1094) },
			[]string{"error: leg A–B begins 1.092 m from boundary edge F1–F2; until it is on its line, 2.532 m on, it needs 1.093 m (position 0.037 + arrival and turn 0.301 + body until rest 0.755: stopping distance 0.477, the front 0.25 ahead, half-width 0.20)"}},
		{"one and two millimetres nearer, told as one", func(s *site) { s.move("A", 5000, 1092); s.move("B", 25000, 1091) },
			[]string{"error: leg B–C begins 1.091 m from boundary edge F1–F2; until it is on its line, 2.532 m on, it needs 1.093 m (position 0.037 + arrival and turn 0.301 + body until rest 0.755: stopping distance 0.477, the front 0.25 ahead, half-width 0.20); too near for the same need: A–B"}},
		// Then it is 872.
		{"a leg exactly at its standoff", func(s *site) { s.move("S1", 9000, 5872) }, []string{}},
		{"one millimetre nearer", func(s *site) { s.move("S1", 9000, 5871) },
			[]string{"error: leg A–B passes 0.871 m from obstacle shed edge S1–S2; it needs 0.872 m (position 0.037 + cross-track 0.08 + body until rest 0.755: stopping distance 0.477, the front 0.25 ahead, half-width 0.20)"}},
		{"a circle exactly at the standoff", func(s *site) { s.move("W", 19000, 5000+800+872) }, []string{}},
		{"one millimetre nearer", func(s *site) { s.move("W", 19000, 5000+800+871) },
			[]string{"error: leg A–B passes 0.871 m from obstacle well; it needs 0.872 m (position 0.037 + cross-track 0.08 + body until rest 0.755: stopping distance 0.477, the front 0.25 ahead, half-width 0.20)"}},
		{"a leg that leaves the boundary has no clearance", func(s *site) { s.move("A", 5000, -900); s.route = []string{"A", "C"} }, []string{}},
		{"nor has one through an obstacle", func(s *site) { s.move("W", 15000, 5000) }, []string{}},
		{"nor is there any to a boundary at fault", func(s *site) {
			s.move("A", 5000, 900)
			s.move("B", 25000, 900)
			s.boundary = []string{"F1", "F3", "F2", "F4"}
		}, []string{}},
	} {
		t.Run(c.fact, func(t *testing.T) { assert.Equal(t, c.want, messages(yard(t, c.change), "geometry.clearance")) })
	}
}

func TestClearanceNumbersAndPlaces(t *testing.T) {
	p := yard(t, func(s *site) { s.move("S1", 9000, 5871) })
	f := one(t, p, "geometry.clearance")
	assert.Equal(t, p.Route.Legs[0].At, f.At)
	assert.Equal(t, 0.871, number(t, f, "clearance"))
	assert.Equal(t, 0.872, number(t, f, "standoff"))
	assert.Equal(t, 0.477, number(t, f, "stopping"))
	sum := number(t, f, "position") + number(t, f, "off line") + number(t, f, "body until rest")
	assert.InDelta(t, 0.872, sum, 1e-12)
	assert.Equal(t, "move it 0.001 m away, or drive it at 0.598 m/s or less", f.Remedy)
	require.Len(t, f.Related, 1)
	assert.Equal(t, diag.Related{At: diag.Position{File: "yard.yaml", Line: 202, Column: 11, Width: 6}, Message: "obstacle shed edge S1–S2"}, f.Related[0])
}

// Driving at the speed that is named helps, and no faster.
func TestTheSpeedThatIsNamedHelps(t *testing.T) {
	for _, c := range []struct {
		at    int64
		speed int64 // 0: none is named
	}{{5800, 506}, {5600, 236}, {5573, 200}, {5572, 0}, {5300, 0}} {
		p := yard(t, func(s *site) { s.move("S1", 9000, c.at) })
		f := one(t, p, "geometry.clearance")
		if c.speed == 0 {
			assert.NotContains(t, f.Remedy, "drive", "%d", c.at)
			continue
		}
		assert.Contains(t, f.Remedy, fmt.Sprintf(", or drive it at %v or less", words.MMPerS(c.speed)), "%d", c.at)
		for speed, want := range map[int64]int{c.speed: 0, c.speed + 1: 1} {
			p.Route.Legs[0].SpeedMMPerS = speed
			p.Stretches()
			assert.Len(t, of(p, "geometry.clearance"), want, "%d at %d", c.at, speed)
		}
	}
}

// What is named as the largest part is the largest.
func TestTheLargestPartIsNamed(t *testing.T) {
	for want, change := range map[string]func(*plan.Plan){
		"; rover.cross_track takes the most":                      func(p *plan.Plan) { p.Machine.Rover.CrossTrackMM = 900 },
		"; the error of position takes the most, most of it tilt": func(p *plan.Plan) { p.Errors = append(p.Errors, plan.Part{Name: "tilt", BoundMM: 900}) },
		"; the error of position takes the most, most of it fence marks": func(p *plan.Plan) {
			for i := range p.Survey.Marks {
				p.Survey.Marks[i].StdMM = 400
			}
		},
	} {
		p := yard(t, func(s *site) { s.move("S1", 9000, 5500) })
		change(p)
		p.Stretches()
		list := of(p, "geometry.clearance")
		require.NotEmpty(t, list)
		assert.True(t, slices.ContainsFunc(list, func(f diag.Finding) bool { return strings.HasSuffix(f.Remedy, want) }), "%s: %s", want, list[0].Remedy)
	}
}

// A long body that turns on the spot needs more where it turns than a leg does.
func TestClearanceOfATurnOnTheSpot(t *testing.T) {
	p := yard(t, func(s *site) { s.move("A", 5000, 1637) })
	p.Machine.Rover.Body.ArmMM, p.Machine.Rover.Body.PivotMM = 0, 1300 // and 337 mm as everywhere
	p.Stretches()
	assert.Empty(t, messages(p, "geometry.clearance"))
	p.Machine.Rover.Body.PivotMM = 1301
	p.Stretches()
	assert.Equal(t, []string{"error: waypoint A is 1.637 m from boundary edge F1–F2; turning on the spot it needs 1.638 m (position 0.037 + arrival 0.30 + body 1.301: 0.00 from the antenna to the turning centre, and from there to the farthest corner)"}, messages(p, "geometry.clearance"))
	assert.Equal(t, "move it 0.001 m away", one(t, p, "geometry.clearance").Remedy)
}

// A coarse mark costs those who come near its edges, and nobody else.
func TestACoarseMarkCostsWhoComesNear(t *testing.T) {
	coarse := func(name string, change func(*site)) *plan.Plan {
		p := yard(t, change)
		for i := range p.Survey.Marks {
			if p.Survey.Marks[i].Name == name {
				p.Survey.Marks[i].StdMM = 400 // k·400 = 979 mm
			}
		}
		p.Stretches()
		return p
	}
	near := func(s *site) { s.move("S1", 9000, 5900) }
	assert.Empty(t, messages(coarse("W", near), "geometry.clearance"), "the well is 3.2 m from the leg")
	assert.Len(t, messages(coarse("S2", near), "geometry.clearance"), 1, "an end of the edge")
	assert.Empty(t, messages(coarse("S3", near), "geometry.clearance"), "no end of it")
	// The coarse one decides although another is nearer.
	both := func(s *site) { s.move("S1", 9000, 5900); s.move("W", 19000, 5000+800+1500) }
	assert.Empty(t, messages(coarse("S3", both), "geometry.clearance"))
	f := one(t, coarse("W", both), "geometry.clearance")
	assert.Contains(t, f.Message(), "leg A–B passes 1.50 m from obstacle well; it needs 1.8")
}

// At a corner two stretches can be too near to different things; then both are said.
func TestClearanceOfWaypointToSomethingElse(t *testing.T) {
	p := yard(t, func(s *site) { s.move("S1", 9000, 5871); s.move("A", 1089, 5000) })
	assert.Len(t, of(p, "geometry.clearance"), 2)

	// Two edges of one ring are two things: A is near the western side, and the
	// leg from there is nearer to the southern one at its other end.
	p = yard(t, func(s *site) { s.move("A", 850, 5000); s.move("B", 25000, 840) })
	var about [][]diag.Subject
	for _, f := range of(p, "geometry.clearance") {
		about = append(about, f.About)
	}
	boundary, south := p.RingSubject(fence.Boundary), p.EdgeSubject(fence.Edge{Part: fence.Boundary})
	assert.ElementsMatch(t, [][]diag.Subject{
		{p.Subject(diag.Leg, 0), boundary, south},
		{p.Subject(diag.Leg, 1), boundary, south, p.Subject(diag.Leg, 0)}, // the beginning of A–B has the same need, in the west
	}, about)
	assert.ElementsMatch(t, []string{"boundary edge F1–F2", "leg A–B: boundary edge F4–F1, 0.85 m"}, []string{of(p, "geometry.clearance")[1].Related[0].Message, of(p, "geometry.clearance")[1].Related[1].Message})
}
