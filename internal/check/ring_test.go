// Rings and obstacles: every kind of fault said in the marks' names.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/planar"
)

func TestRing(t *testing.T) {
	ring := func(names ...string) func(*site) { return func(s *site) { s.boundary = names } }
	shed := func(names ...string) func(*site) { return func(s *site) { s.obstacles[1].marks = names } }
	moved := func(mark string, e, n int64) func(*site) { return func(s *site) { s.move(mark, e, n) } }
	for _, c := range []struct {
		fact    string
		changes []func(*site)
		want    []string
	}{
		{"a sound ring, anticlockwise", nil, []string{}},
		{"a sound ring, clockwise", []func(*site){ring("F4", "F3", "F2", "F1")}, []string{}},
		{"two corners exchanged", []func(*site){ring("F1", "F3", "F2", "F4")}, []string{"error: boundary: edges F1–F3 and F2–F4 cross"}},
		{"the same of an obstacle", []func(*site){shed("S1", "S3", "S2", "S4")}, []string{"error: obstacle shed: edges S1–S3 and S2–S4 cross"}},
		{"two marks only", []func(*site){shed("S1", "S2")}, []string{"error: obstacle shed: a ring needs at least three marks at different places"}},
		{"three marks on a line", []func(*site){shed("S1", "S2", "S3"), moved("S2", 10000, 10000), moved("S3", 11000, 11000)},
			[]string{"error: obstacle shed: all marks lie on one line, so the ring encloses nothing"}},
		{"and one millimetre off it", []func(*site){shed("S1", "S2", "S3"), moved("S2", 10000, 10000), moved("S3", 11000, 11001)}, []string{}},
		{"first repeated as last", []func(*site){ring("F1", "F2", "F3", "F4", "F1")}, []string{"error: boundary: edge F1–F1 has no length"}},
		{"a place passed twice", []func(*site){shed("S1", "S2", "S3", "S4", "S5", "S6"), moved("S3", 10000, 10000), moved("S4", 12000, 11000), moved("S5", 9000, 11000), moved("S6", 10000, 10000)},
			[]string{"error: obstacle shed: marks S3 and S6 are at the same place"}},
		{"out and back", []func(*site){ring("F1", "F5", "F2", "F3", "F4"), moved("F5", 35000, 0)}, []string{"error: boundary: the ring doubles back on itself at mark F5"}},
		{"a mark one millimetre off another edge", []func(*site){ring("F1", "F2", "F3", "F5", "F4"), moved("F5", 15000, 1)}, []string{}},
		{"a mark on it", []func(*site){ring("F1", "F2", "F3", "F5", "F4"), moved("F5", 15000, 0)}, []string{"error: boundary: mark F5 lies on edge F1–F2"}},
	} {
		t.Run(c.fact, func(t *testing.T) {
			assert.Equal(t, c.want, messages(yard(t, c.changes...), "geometry.ring"))
		})
	}
}

// A ring tied in knots is one fault, of which the first parts are told.
func TestRingFaultsAreNotEndless(t *testing.T) {
	p := yard(t)
	var corners []planar.Point
	for i := range int64(60) { // a fence drawn as a star of 29 steps
		corners = append(corners, star(i*29, 60))
	}
	p.Fence.Boundary = ringOf(line(200), "", corners...)
	refence(p)
	f := one(t, p, "geometry.ring")
	assert.Equal(t, "boundary: edges 1–2 and 3–4 cross; edges 1–2 and 4–5 cross; edges 1–2 and 5–6 cross; edges 1–2 and 6–7 cross and 96 more at least", f.Message())
}

// star is vertex i of n on a rough circle of whole millimetres.
func star(i, n int64) planar.Point {
	i %= n
	// Four sides of a square with slightly bent edges: no two edges on one line.
	k, side := i%(n/4), i/(n/4)
	at := planar.Point{E: k * 1000, N: -k * (n/4 - k) * 10}
	for range side {
		at = planar.Point{E: 15000 - at.N, N: at.E}
	}
	return at
}

func TestObstacleOutside(t *testing.T) {
	const rule = "geometry.obstacle-outside"
	outside := func(name string) []string {
		return []string{"error: obstacle " + name + " reaches outside the boundary"}
	}
	for _, c := range []struct {
		fact   string
		change func(*site)
		want   []string
	}{
		{"a round one that touches the boundary", func(s *site) { s.move("W", 29200, 10000) }, []string{}},
		{"one millimetre across it", func(s *site) { s.move("W", 29201, 10000) }, outside("well")},
		{"wholly outside", func(s *site) { s.move("W", 49000, 10000) }, outside("well")},
		{"round and larger than the site", func(s *site) { s.obstacles[0].radiusMM = 50000 }, outside("well")},
		{"a ring with a side on the boundary", func(s *site) { s.move("S1", 0, 9000); s.move("S4", 0, 11000) }, []string{}},
		{"a corner one millimetre across", func(s *site) { s.move("S1", -1, 9000) }, outside("shed")},
		{"the boundary is at fault: nothing is said", func(s *site) { s.move("W", 49000, 0); s.boundary = []string{"F1", "F3", "F2", "F4"} }, []string{}},
	} {
		t.Run(c.fact, func(t *testing.T) { assert.Equal(t, c.want, messages(yard(t, c.change), rule)) })
	}
}
