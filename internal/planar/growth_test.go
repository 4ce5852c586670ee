package planar

// How the work grows with the size of a mission: counted, so that the check
// gives the same answer on every machine, and timed by the benchmarks below it.
//
//	go test -run Growth ./internal/planar
//	go test -run none -bench . ./internal/planar

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// survey is a fence of n edges and n legs that mow the field within, back and
// forth, each leg with its cross-over to the next.
func survey(n int) (fenceRing Ring, legs []Segment) {
	rng := rand.New(rand.NewPCG(31, 31))
	fenceRing = fence(n, 1.9e7, rng)
	const half = 7_000_000 // inside the fence everywhere
	at := Point{-half, -half}
	for i := range n {
		next := Point{at.E, -half + int64(i+1)*2*half/int64(n)}
		if i%2 == 0 {
			next = Point{-at.E, at.N}
		}
		legs = append(legs, Segment{at, next})
		at = next
	}
	return fenceRing, legs
}

// Ten times the size takes a procedure of n log n steps 12.5 to 15 times the
// work, one of n*sqrt(n) 32 times, a quadratic one 100 times. Held here: at most
// 22 times, from 100 edges to 100 000 (on small trees a constant part is still
// small, so that the first step is the steepest).
func TestWorkGrowsNearLinearly(t *testing.T) {
	const standoffMM = 100_000
	for _, c := range []struct {
		fact string
		work func(n int) int
	}{
		{"sweep over a fence", func(n int) int {
			r, _ := survey(n)
			_, work := r.meetsItself()
			return work
		}},
		{"sweep over a star", func(n int) int {
			_, work := star(n, 1.9e7).meetsItself()
			return work
		}},
		{"sweep over a comb on the slant", func(n int) int {
			_, work := comb(n, Vector{1.4e7, -1.4e7}, Vector{1.4e7, 1.4e7}).meetsItself()
			return work
		}},
		{"sweep over a spiral", func(n int) int {
			_, work := spiral(n, 5, 1.9e7).meetsItself()
			return work
		}},
		{"nearest edge of each leg", func(n int) int {
			r, legs := survey(n)
			ix, work := NewIndex(r.Edges()), 0
			for _, s := range legs {
				_, _, w := ix.nearest(s, anywhere)
				work += w
			}
			return work
		}},
		{"edges within the standoff of each leg", func(n int) int {
			r, legs := survey(n)
			ix, work := NewIndex(r.Edges()), 0
			for _, s := range legs {
				_, w := ix.within(s, standoffMM)
				work += w
			}
			return work
		}},
		{"edges that each leg meets", func(n int) int {
			r, legs := survey(n)
			ix, work := NewIndex(r.Edges()), 0
			for _, s := range legs {
				_, w := ix.crossing(s)
				work += w
			}
			return work
		}},
		{"edges that each edge meets", func(n int) int {
			r, _ := survey(n)
			ix, work := NewIndex(r.Edges()), 0
			for _, s := range r.Edges() {
				_, w := ix.crossing(s)
				work += w
			}
			return work
		}},
		{"containment of each waypoint", func(n int) int {
			r, legs := survey(n)
			g, work := newRegion(r), 0
			for _, s := range legs {
				_, w := g.contains(doubled(s.A))
				work += w
			}
			return work
		}},
	} {
		before := 0
		for _, n := range []int{100, 1_000, 10_000, 100_000} {
			work := c.work(n)
			t.Logf("%-40s n = %6d: %8d steps", c.fact, n, work)
			assert.GreaterOrEqual(t, work, n, c.fact)
			if before > 0 {
				assert.LessOrEqual(t, work, 22*before, "%s, n = %d", c.fact, n)
			}
			before = work
		}
	}
}

// The time to prepare the whole of a survey and ask everything of every leg.
func BenchmarkSurvey(b *testing.B) {
	for _, n := range []int{100, 1_000, 10_000, 100_000} {
		r, legs := survey(n)
		b.Run(fmt.Sprintf("faults/n=%d", n), func(b *testing.B) {
			for b.Loop() {
				if len(r.faults()) > 0 {
					b.Fatal("the fence is sound")
				}
			}
		})
		b.Run(fmt.Sprintf("build/n=%d", n), func(b *testing.B) {
			for b.Loop() {
				newRegion(r)
			}
		})
		b.Run(fmt.Sprintf("build-and-ask-all/n=%d", n), func(b *testing.B) {
			for b.Loop() {
				g := newRegion(r)
				for _, s := range legs {
					if !g.Covers(s) {
						b.Fatal("the legs are inside")
					}
					if _, floorMM, _ := g.Edges().Nearest(s); floorMM == 0 {
						b.Fatal("the legs are clear")
					}
					g.Edges().Within(s, 100_000)
				}
			}
		})
	}
}

// One question each, for comparison with the guidance it stands beside.
func BenchmarkOne(b *testing.B) {
	s := Segment{Point{-7_000_000, 12}, Point{7_000_000, 3_456_789}}
	u := Segment{Point{-13, 4_000_001}, Point{2_000_003, 5_000_017}}
	b.Run("intersects", func(b *testing.B) {
		for b.Loop() {
			s.Intersects(u)
		}
	})
	b.Run("distance", func(b *testing.B) {
		for b.Loop() {
			s.SquaredTo(u)
		}
	})
}
