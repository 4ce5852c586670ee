package planar

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestIndexOfNothing(t *testing.T) {
	ix := NewIndex(nil)
	s := Segment{Point{0, 0}, Point{10, 0}}
	assert.Empty(t, ix.Crossing(s))
	assert.Empty(t, ix.Within(s, math.MaxInt64))
	id, floorMM, distMM := ix.Nearest(s)
	assert.Equal(t, -1, id)
	assert.Equal(t, int64(math.MaxInt64), floorMM)
	assert.True(t, math.IsInf(distMM, 1))
	id, _ = ix.NearestWithin(s, math.MaxInt64)
	assert.Equal(t, -1, id)
	assert.Equal(t, Outside, newRegion(nil).Contains(Point{}))
}

func TestNearestOfEquals(t *testing.T) {
	// Twenty segments around the origin, 10 mm away each, one of them twice.
	var segs []Segment
	for range 5 {
		segs = append(segs,
			Segment{Point{10, -5}, Point{10, 5}}, Segment{Point{-5, 10}, Point{5, 10}},
			Segment{Point{-10, -5}, Point{-10, 5}}, Segment{Point{-5, -10}, Point{5, -10}})
	}
	id, floorMM, distMM := NewIndex(segs).Nearest(Segment{})
	assert.Equal(t, 0, id, "the smallest id of those equally near")
	assert.Equal(t, int64(10), floorMM)
	assert.Equal(t, 10.0, distMM)
	assert.Empty(t, NewIndex(segs).Within(Segment{}, 10), "none is nearer than 10 mm")
	assert.Len(t, NewIndex(segs).Within(Segment{}, 11), 20)
	assert.Len(t, NewIndex(segs).Within(Segment{}, math.MaxInt64), 20)
	id, _ = NewIndex(segs).NearestWithin(Segment{}, 10)
	assert.Equal(t, -1, id)
	for _, mm := range []int64{11, math.MaxInt64} {
		id, floorMM = NewIndex(segs).NearestWithin(Segment{}, mm)
		assert.Equal(t, 0, id)
		assert.Equal(t, int64(10), floorMM)
	}
}

// Every answer of the index against a look at all segments.
func TestIndexAgainstLookingAtAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 21))
	hits := 0
	for range 200 {
		g := []struct{ side, scale, most int64 }{ // grid, and the longest threshold of interest
			{6, 1, 5}, {6, 6_000_000, 2e7}, {400, 1, 60}, {2 * MaxCoordinate, 1, 4e6}, {200_000, 200, 1e6},
		}[rng.IntN(5)]
		short := rng.IntN(2) == 0 // as fence edges are, not from one end of the site to the other
		segment := func() Segment {
			s := gridSegment(g.side, g.scale, rng)
			if short {
				s.B = s.A.Add(Vector{(s.B.E - s.A.E) / 8, (s.B.N - s.A.N) / 8})
			}
			return s
		}
		segs := make([]Segment, 1+rng.IntN(200))
		for i := range segs {
			segs[i] = segment()
		}
		ix := NewIndex(segs)
		require.Len(t, ix.ids, len(segs))
		for range 10 {
			s := segment()
			if rng.IntN(4) == 0 {
				s.B = s.A
			}
			mm := rng.Int64N(g.most)
			var crossing, within []int
			nearest, best := -1, Squared{}
			for id, u := range segs {
				d := s.SquaredTo(u)
				if s.Intersects(u) {
					crossing = append(crossing, id)
				}
				if d.Less(mm) {
					within = append(within, id)
				}
				if nearest < 0 || d.Cmp(best) < 0 {
					nearest, best = id, d
				}
			}
			hits += len(crossing) + len(within)
			require.Equal(t, crossing, ix.Crossing(s))
			require.Equal(t, within, ix.Within(s, mm))
			id, d := ix.NearestSquared(s)
			require.Equal(t, nearest, id)
			require.Equal(t, best, d)
			_, floorMM, distMM := ix.Nearest(s)
			require.Equal(t, best.FloorMM(), floorMM)
			require.Equal(t, best.MM(), distMM)
			id, floorMM = ix.NearestWithin(s, mm)
			if !best.Less(mm) {
				require.Equal(t, -1, id)
			} else {
				require.Equal(t, nearest, id)
				require.Equal(t, best.FloorMM(), floorMM)
			}
		}
	}
	assert.Greater(t, hits, 5_000)
}

// A bundle may only be passed over when nothing in it can matter.
func TestBundlesNeverHideASegment(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		point := drawGrid(t)
		s := Segment{point("A"), point("B")}
		singles := make([]bundle, rapid.IntRange(1, fanout).Draw(t, "segments"))
		for i := range singles {
			u := Segment{point("C"), point("D")}
			singles[i] = bundle{box: boxOf(u), spine: u}
		}
		all := bundleOf(singles)
		enough := rapid.SampledFrom([]uint64{0, 5, 1e14, math.MaxUint64}).Draw(t, "enough")
		for _, b := range singles {
			d := s.SquaredTo(b.spine)
			assert.LessOrEqual(t, b.atLeast(s, enough), d.whole)
			assert.LessOrEqual(t, all.atLeast(s, enough), d.whole)
		}
	})
}

// The Hilbert curve must visit each cell once and go from cell to neighbouring
// cell, or the tree would be right but slow. Looked at on the coarsest 64 by 64
// cells of its grid.
func TestHilbertStepsToNeighbours(t *testing.T) {
	extent := box{0, 0, 1<<16 - 1, 1<<16 - 1} // one cell of the curve to a millimetre
	type cell struct {
		d    uint64
		x, y int64
	}
	var cells []cell
	for x := range int64(64) {
		for y := range int64(64) {
			h := hilbert(doubled(Point{x << 10, y << 10}), extent)
			cells = append(cells, cell{h >> 20, x, y})
		}
	}
	slices.SortFunc(cells, func(a, b cell) int { return int(a.d) - int(b.d) })
	for i, c := range cells {
		require.Equal(t, uint64(i), c.d)
		if i > 0 {
			p := cells[i-1]
			require.Equal(t, int64(1), (c.x-p.x)*(c.x-p.x)+(c.y-p.y)*(c.y-p.y), "step %d", i)
		}
	}
}
