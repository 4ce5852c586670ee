// Findings about the fence point at the entry of the very mark or edge.
package check

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/diag"
)

// The yard lists its boundary on line 200, the well on 201 and the shed on 202;
// entry i of a list is in column 11 + 4i and two wide, and an edge reaches to the
// end of the next entry.
func TestFindingsPointAtTheEntries(t *testing.T) {
	shown := func(p diag.Position) string { return fmt.Sprintf("%d:%d+%d", p.Line, p.Column, p.Width) }
	ring := func(names ...string) func(*site) { return func(s *site) { s.boundary = names } }
	for _, c := range []struct {
		fact, rule string
		change     func(*site)
		want       []string // the place, then what to see
	}{
		{"a clearance from an edge", "geometry.clearance", func(s *site) { s.move("S1", 9000, 5968) },
			[]string{"301:1+1", "202:11+6 obstacle shed edge S1–S2"}},
		{"from the edge that closes the ring", "geometry.clearance", func(s *site) { s.move("A", 950, 5000) },
			[]string{"301:1+1", "200:23+2 boundary edge F4–F1"}},
		{"from a circle", "geometry.clearance", func(s *site) { s.move("W", 19000, 5000+800+968) },
			[]string{"301:1+1", "201:1+1 obstacle well"}},
		{"a leg across an edge", "geometry.leg-outside", func(s *site) {
			s.boundary = []string{"F1", "N1", "N2", "N3", "F2", "F3", "F4"}
			s.move("N1", 13000, 0)
			s.move("N2", 15000, 5001)
			s.move("N3", 17000, 0)
		}, []string{"301:1+1", "200:15+6 boundary edge N1–N2"}},
		{"edges that cross", "geometry.ring", ring("F1", "F3", "F2", "F4"), []string{"200:11+6", "200:19+6 edge F2–F4"}},
		{"a mark on an edge", "geometry.ring", func(s *site) { ring("F1", "F2", "F3", "F5", "F4")(s); s.move("F5", 15000, 0) },
			[]string{"200:23+2", "200:11+6 edge F1–F2"}},
		{"an edge of no length", "geometry.ring", ring("F1", "F2", "F3", "F4", "F1"), []string{"200:27+2"}},
		{"a ring of two marks", "geometry.ring", ring("F1", "F2"), []string{"200:1+1"}},
		{"a corner outside", "geometry.obstacle-outside", func(s *site) { s.move("S4", -1, 11000) },
			[]string{"202:1+1", "202:23+2 mark S4 is outside", "200:23+2 boundary edge F4–F1"}},
		{"an edge outside, its corners not", "geometry.obstacle-outside", func(s *site) {
			ring("F1", "F2", "F3", "N1", "F4")(s)
			s.move("N1", 10500, 10999) // a notch into the shed
		}, []string{"202:1+1", "202:19+6 edge S3–S4 leaves it", "200:19+6 boundary edge F3–N1"}},
		{"a circle outside", "geometry.obstacle-outside", func(s *site) { s.move("W", 29201, 10000) },
			[]string{"201:1+1", "200:15+6 boundary edge F2–F3"}},
	} {
		f := one(t, yard(t, c.change), diag.ID(c.rule))
		got := []string{shown(f.At)}
		for _, r := range f.Related {
			got = append(got, shown(r.At)+" "+r.Message)
		}
		assert.Equal(t, c.want, got, c.fact)
	}
}
