package diff

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// Routes of marks visited once: what is kept in order is as long as the longest
// common subsequence by the textbook's table, and the same backwards.
func TestAlignmentKeepsTheMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		route := rapid.SliceOfNDistinct(rapid.IntRange(0, 12), 0, 10, rapid.ID[int])
		before, after := route.Draw(t, "before"), route.Draw(t, "after")
		a, back := align(before, after), align(after, before)
		if a.reversed {
			assert.True(t, back.reversed)
			return
		}
		assert.Len(t, a.kept, longestCommon(before, after))
		last := pair{-1, -1}
		for i, p := range a.kept {
			assert.Equal(t, before[p.old], after[p.new])
			assert.True(t, p.old > last.old && p.new > last.new, "in order")
			assert.Equal(t, pair{p.new, p.old}, back.kept[i])
			last = p
		}
		for _, p := range a.moved {
			assert.Equal(t, before[p.old], after[p.new])
			assert.Contains(t, back.moved, pair{p.new, p.old})
		}
		common := 0
		for _, x := range before {
			for _, y := range after {
				if x == y {
					common++
				}
			}
		}
		assert.Equal(t, common, len(a.kept)+len(a.moved), "every mark on both is matched")
	})
}

func longestCommon(a, b []int) int {
	table := make([][]int, len(a)+1)
	for i := range table {
		table[i] = make([]int, len(b)+1)
	}
	for i := range a {
		for j := range b {
			if a[i] == b[j] {
				table[i+1][j+1] = table[i][j] + 1
			} else {
				table[i+1][j+1] = max(table[i][j+1], table[i+1][j])
			}
		}
	}
	return table[len(a)][len(b)]
}

// Clearances of any segment against every edge and every circle in floating
// point: rounded down to the words.Millimetre, and outside where the segment is.
func TestClearance(t *testing.T) {
	m := resolve("grove", example(t, "grove"))
	parts := map[bool]int{}
	outside := 0
	rapid.Check(t, func(t *rapid.T) {
		point := func(name string) planar.Point {
			return planar.Point{E: rapid.Int64Range(0, 57_000).Draw(t, name+" east"), N: rapid.Int64Range(-10_000, 64_000).Draw(t, name+" north")}
		}
		s := planar.Segment{A: point("from"), B: point("to")}
		beside := func(p planar.Point, name string) planar.Point {
			return planar.Point{E: p.E + rapid.Int64Range(-3000, 3000).Draw(t, name+" east"), N: p.N + rapid.Int64Range(-3000, 3000).Draw(t, name+" north")}
		}
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 1:
			s.B = beside(s.A, "short")
		case 2:
			tree := rapid.SampledFrom(m.plan.Fence.Obstacles[1:]).Draw(t, "tree") // the first is no circle
			s.A = beside(tree.Circle.Centre, "by it")
			s.B = beside(s.A, "short")
		}
		c := clearanceOf(m.plan, s)
		require.True(t, c.known)
		want := nearest(m.plan, plan.Leg{Segment: s})
		if c.mm < 0 {
			outside++
			// An end that is not allowed, or so near to something that it can be
			// crossed; circles give a distance below zero.
			mid := func(k float64) bool {
				return allowed(m.plan, float64(s.A.E)+k*float64(s.B.E-s.A.E), float64(s.A.N)+k*float64(s.B.N-s.A.N))
			}
			bad := want <= 0
			for k := 0.0; k <= 1 && !bad; k += 0.0005 {
				bad = !mid(k)
			}
			assert.True(t, bad, "%v", s)
			return
		}
		parts[c.edge.Part == fence.Boundary]++
		assert.InDelta(t, want, float64(c.mm), 1.001, "%v", s)
		assert.LessOrEqual(t, float64(c.mm), want+1e-6, "rounded down")
		assert.True(t, allowed(m.plan, float64(s.A.E), float64(s.A.N)))
	})
	assert.NotZero(t, outside)
	assert.NotZero(t, parts[true], "nearest to the boundary")
	assert.NotZero(t, parts[false], "nearest to an obstacle")
}

// Names come from a file that may be a stranger's.
func TestWritersAgainstHostileNames(t *testing.T) {
	r := Result{Old: Side{Name: "a\x1b[2J"}, New: Side{Mission: "m\nLOOSENS all"}, Changes: []Change{
		{Subject: "obstacle <img src=x>\x1b]0;", What: "removed", Before: "**\u202e[x](javascript:y) @all"},
	}}
	for _, write := range []func(*bytes.Buffer) error{
		func(w *bytes.Buffer) error { return WriteText(w, r) },
		func(w *bytes.Buffer) error { return WriteMarkdown(w, r) },
	} {
		var out bytes.Buffer
		require.NoError(t, write(&out))
		for _, bad := range []string{"\x1b", "\nLOOSENS", "\u202e"} {
			assert.NotContains(t, out.String(), bad)
		}
	}
	var out bytes.Buffer
	require.NoError(t, WriteMarkdown(&out, r))
	for _, bad := range []string{" <img", " **", " [x]", " @all"} {
		assert.NotContains(t, out.String(), bad)
	}
}

func TestNumbersInWords(t *testing.T) {
	for _, c := range []struct {
		u    words.Unit
		v    float64
		want string
	}{
		{words.Millimetre, 320, "0.32 m"}, {words.Millimetre, 325, "0.325 m"}, {words.Millimetre, 12_300, "12.30 m"}, {words.Millimetre, -40, "-0.04 m"},
		{words.Millimetre, 0.5, "0.0005 m"}, {words.PerSecond, 600, "0.60 m/s"}, {words.Milli, 120, "120 ms"}, {words.Degree, 2.5, "2.5 deg"},
		{words.Percentage, 0.95, "95 %"}, {words.Percentage, 0.999, "99.9 %"}, {words.Plain, 2, "2"}, {words.Metre, 412.6, "412.60 m"},
	} {
		assert.Equal(t, c.want, c.u.Words(c.v))
	}
	assert.Equal(t, "087 deg", bearing(87.2))
	assert.Equal(t, "000 deg", bearing(359.7))
	assert.Equal(t, "0.32 m", movedBy(0.3199))
	assert.Equal(t, "0.044 m", movedBy(0.0441))
	assert.Equal(t, "0.1 mm", movedBy(0.00011))
	assert.Equal(t, math.Inf(1), words.Round(math.Inf(1), 3))
}
