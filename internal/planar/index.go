package planar

// An index over many segments, to find the few that matter to one segment
// without looking at all.
//
// It is a packed tree. The segments are put in the order in which a Hilbert
// curve passes their middles, so that neighbours in the list are neighbours on
// the ground. Each run of fanout segments makes a bundle, each run of fanout
// bundles a larger one, up to a single one that holds all. The tree is never
// changed after it is built and needs no pointers: the children of bundle j of
// one level are bundles j*fanout to j*fanout+fanout-1 of the level below.
// (Kamel and Faloutsos, "Hilbert R-tree", VLDB 1994; packed, as for data that
// does not change.)
//
// A query goes down into the bundles that may hold an answer. A bundle is
// bounded twice: by the upright box around it, and by a spine, a segment from
// which nothing in the bundle is further away than its reach. The box is quick
// to test. But where edges run on a slant it covers much ground that they do
// not, and it cannot tell a fence's near stretch from the one next to it; along
// a fence of n edges the boxes alone leave about sqrt(n) edges to look at, and
// thin spikes side by side leave them all. The spine of a stretch of fence or
// of a sheaf of spikes lies close. A query then takes about log n + k steps, k
// being how many segments come nearly as near as the answer: on a circle around
// the query that is all of them.
//
// Why not the ShapeIndex of golang/geo: it lives on the sphere in floating
// point. A gnomonic lift would carry straight lines of the plane onto great
// circles, but only up to rounding, and its cells and clipped edges carry an
// error of their own that each query would have to undo to answer to the
// millimetre. Whole numbers in the plane need no such care, and the tree is
// short.

import (
	"cmp"
	"math"
	"slices"
)

const fanout = 8

// Index is an index over segments. An id is the segment's position in the list
// that NewIndex was given. It is safe for use by several goroutines.
type Index struct {
	ids    []int      // ids[i] is the id of the segment in levels[0][i]
	levels [][]bundle // levels[0] has one segment to a bundle, the last level one bundle
}

// bundle bounds some segments. For a single segment the spine is that segment
// and the reach is 0.
type bundle struct {
	box     box
	spine   Segment
	reachMM int64
}

// NewIndex builds the index in about n log n steps. The list is not kept and
// may be empty.
func NewIndex(segs []Segment) *Index {
	n := len(segs)
	ix := &Index{ids: make([]int, n)}
	if n == 0 {
		return ix
	}
	extent := boxOf(segs[0])
	for _, s := range segs {
		extent = extent.union(boxOf(s))
	}
	order := make([]uint64, n) // Hilbert position, so that each is computed once
	for i, s := range segs {
		order[i] = hilbert(middle(s.A, s.B), extent)
		ix.ids[i] = i
	}
	slices.SortFunc(ix.ids, func(i, j int) int {
		return cmp.Or(cmp.Compare(order[i], order[j]), i-j)
	})
	level := make([]bundle, n)
	for i, id := range ix.ids {
		level[i] = bundle{box: boxOf(segs[id]), spine: segs[id]}
	}
	ix.levels = append(ix.levels, level)
	for size := fanout; len(level) > 1; size *= fanout { // size: segments to a bundle
		var above []bundle
		for run := range slices.Chunk(ix.levels[0], size) {
			above = append(above, bundleOf(run))
		}
		ix.levels = append(ix.levels, above)
		level = above
	}
	return ix
}

// bundleOf bounds single segments. The spine joins two ends that lie far apart:
// the end furthest from some end, and the end furthest from that. The distance
// from a spine is a convex function on the plane, so along each segment it is
// largest at an end.
func bundleOf(run []bundle) bundle {
	furthest := func(from Point) (at Point) {
		at = from
		for _, b := range run {
			for _, p := range [...]Point{b.spine.A, b.spine.B} {
				if p.Sub(from).Norm2() > at.Sub(from).Norm2() {
					at = p
				}
			}
		}
		return at
	}
	all := bundle{box: run[0].box}
	all.spine.A = furthest(run[0].spine.A)
	all.spine.B = furthest(all.spine.A)
	for _, b := range run {
		all.box = all.box.union(b.box)
		all.reachMM = max(all.reachMM,
			all.spine.SquaredToPoint(b.spine.A).CeilMM(), all.spine.SquaredToPoint(b.spine.B).CeilMM())
	}
	return all
}

// atLeast is a whole number of square millimetres that no squared distance from
// s to something in the bundle falls below. Once that number is past enough, it
// need not be the best to be had.
func (b bundle) atLeast(s Segment, enough uint64) uint64 {
	sb := boxOf(s)
	dE := max(b.box.minE-sb.maxE, sb.minE-b.box.maxE, 0)
	dN := max(b.box.minN-sb.maxN, sb.minN-b.box.maxN, 0)
	least := uint64(dE*dE + dN*dN)
	if least > enough {
		return least
	}
	if d := s.FloorDistanceMM(b.spine) - b.reachMM; d > 0 {
		least = max(least, uint64(d*d))
	}
	return least
}

// hilbert is the position of p on a Hilbert curve over a square grid laid on
// extent. Only speed depends on it, never an answer. p is in half millimetres.
//
// The method is the usual one: from the coarsest bit down, each step names the
// quadrant, then turns the rest so that the quadrant is entered where the last
// was left.
func hilbert(p halfPoint, extent box) uint64 {
	const side = 1 << 16
	scale := max(extent.maxE-extent.minE, extent.maxN-extent.minN, 1)
	x := (p.E - 2*extent.minE) * (side - 1) / (2 * scale) // < 2^27 * 2^16
	y := (p.N - 2*extent.minN) * (side - 1) / (2 * scale)
	var d uint64
	for s := int64(side / 2); s > 0; s /= 2 {
		rx, ry := x&s != 0, y&s != 0
		switch {
		case rx && !ry:
			d += 3
		case rx && ry:
			d += 2
		case ry:
			d++
		}
		if s > 1 {
			d *= 4
		}
		if !ry {
			if rx {
				x, y = side-1-x, side-1-y
			}
			x, y = y, x
		}
	}
	return d
}

// Crossing lists the ids, in ascending order, of the segments that have a point
// in common with s. Touching counts.
func (ix *Index) Crossing(s Segment) []int {
	ids, _ := ix.crossing(s)
	return ids
}

func (ix *Index) crossing(s Segment) (ids []int, work int) {
	work = ix.walk(func(b bundle) bool { return b.atLeast(s, 0) == 0 }, func(i int, t Segment) {
		if s.Intersects(t) {
			ids = append(ids, ix.ids[i])
		}
	})
	slices.Sort(ids)
	return ids, work
}

// Within lists the ids, in ascending order, of the segments that come within
// less than mm millimetres of s, exactly as SegmentDistanceLess has it.
func (ix *Index) Within(s Segment, mm int64) []int {
	ids, _ := ix.within(s, mm)
	return ids
}

func (ix *Index) within(s Segment, mm int64) (ids []int, work int) {
	if mm <= 0 {
		return nil, 0
	}
	mm = min(mm, maxDistanceMM)
	limit := uint64(mm * mm)
	work = ix.walk(func(b bundle) bool { return b.atLeast(s, limit) < limit }, func(i int, t Segment) {
		if SegmentDistanceLess(s, t, mm) {
			ids = append(ids, ix.ids[i])
		}
	})
	slices.Sort(ids)
	return ids, work
}

// Nearest is the segment nearest to s: its id, and its distance rounded down to
// whole millimetres exactly (floorMM) and as a float64 to read (distMM). Of
// several at exactly the same distance it is the one with the smallest id. For
// an empty index the id is -1, floorMM the largest int64 and distMM infinite.
func (ix *Index) Nearest(s Segment) (id int, floorMM int64, distMM float64) {
	id, d, _ := ix.nearest(s, anywhere)
	if id < 0 {
		return -1, math.MaxInt64, math.Inf(1)
	}
	return id, d.FloorMM(), d.MM()
}

// NearestWithin is the segment nearest to s, and its distance as Nearest has it,
// if it comes within less than mm; else the id is -1. The nearer the limit, the
// less is looked at.
func (ix *Index) NearestWithin(s Segment, mm int64) (id int, floorMM int64) {
	if mm <= 0 {
		return -1, 0
	}
	mm = min(mm, maxDistanceMM)
	id, d, _ := ix.nearest(s, uint64(mm*mm))
	return id, d.FloorMM()
}

// NearestSquared is Nearest with the exact squared distance. The id is -1 for
// an empty index.
func (ix *Index) NearestSquared(s Segment) (id int, d Squared) {
	id, d, _ = ix.nearest(s, anywhere)
	return id, d
}

// anywhere is more than any squared distance.
const anywhere = math.MaxUint64

// nearest is the nearest whose squared distance is less than a limit; the id is -1
// if there is none.
func (ix *Index) nearest(s Segment, limit uint64) (id int, best Squared, work int) {
	id = -1
	if len(ix.ids) == 0 {
		return id, Squared{}, 0
	}
	best = Squared{whole: limit}
	// Depth first, nearer bundles first. A bundle that is further away than the
	// best segment so far cannot hold a better one. A bundle exactly as far may
	// hold an equal with a smaller id, so it is still opened.
	var descend func(level, i int)
	descend = func(level, i int) {
		b := &ix.levels[level][i]
		if level == 0 {
			d := s.SquaredTo(b.spine)
			if c := d.Cmp(best); c < 0 || c == 0 && ix.ids[i] < id {
				best, id = d, ix.ids[i]
			}
			return
		}
		type child struct {
			i     int
			least uint64
		}
		var room [fanout]child
		order := room[:0]
		from, to := ix.children(level, i)
		for c := from; c < to; c++ {
			work++
			if least := ix.levels[level-1][c].atLeast(s, best.whole); least <= best.whole {
				order = append(order, child{c, least})
			}
		}
		slices.SortFunc(order, func(a, b child) int {
			return cmp.Or(cmp.Compare(a.least, b.least), a.i-b.i)
		})
		for _, c := range order {
			if c.least <= best.whole {
				descend(level-1, c.i)
			}
		}
	}
	descend(len(ix.levels)-1, 0)
	return id, best, work
}

// children are the bundles of level-1, from and up to but not to, that bundle i
// of level is made of.
func (ix *Index) children(level, i int) (from, to int) {
	return i * fanout, min((i+1)*fanout, len(ix.levels[level-1]))
}

// walk calls visit with every segment, and its place in tree order, of which
// every bundle from the top down passes open. It returns how many it looked at.
func (ix *Index) walk(open func(bundle) bool, visit func(i int, s Segment)) (work int) {
	if len(ix.ids) == 0 {
		return 0
	}
	var descend func(level, i int)
	descend = func(level, i int) {
		work++
		b := ix.levels[level][i]
		if !open(b) {
			return
		}
		if level == 0 {
			visit(i, b.spine)
			return
		}
		from, to := ix.children(level, i)
		for c := from; c < to; c++ {
			descend(level-1, c)
		}
	}
	descend(len(ix.levels)-1, 0)
	return work
}
