package planar

// An index over many segments, to find the few that matter to one segment
// without looking at all.
//
// It is a packed tree of boxes. The segments are put in the order in which a
// Hilbert curve passes their middles, so that neighbours in the list are
// neighbours on the ground; each run of fanout segments gets the box around it,
// each run of fanout boxes the box around those, up to a single one. The tree
// is never changed after it is built and needs no pointers: the children of
// box j of one level are boxes j*fanout to j*fanout+fanout-1 of the level below.
// (Kamel and Faloutsos, "Hilbert R-tree", VLDB 1994; packed, as for data that
// does not change.)
//
// Why not the ShapeIndex of golang/geo: it lives on the sphere in floating
// point. A gnomonic lift would carry straight lines of the plane onto great
// circles, but only up to rounding, and its cells and clipped edges carry an
// error of their own that each query would have to undo to answer to the
// millimetre. Whole numbers in the plane need no such care, and the tree is
// short.

import (
	"math"
	"math/bits"
	"slices"
)

const fanout = 8

// Index is an index over segments. An id is the segment's position in the list
// that NewIndex was given. It is safe for use by several goroutines.
type Index struct {
	segs   []Segment // in tree order
	ids    []int     // ids[i] is the id of segs[i]
	levels [][]box   // levels[0][i] is the box of segs[i]; the last level has one box
}

// NewIndex builds the index in about n log n steps. The list is not kept and
// may be empty.
func NewIndex(segs []Segment) *Index {
	n := len(segs)
	ix := &Index{segs: make([]Segment, n), ids: make([]int, n)}
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
		if order[i] != order[j] {
			if order[i] < order[j] {
				return -1
			}
			return 1
		}
		return i - j
	})
	level := make([]box, n)
	for i, id := range ix.ids {
		ix.segs[i] = segs[id]
		level[i] = boxOf(segs[id])
	}
	ix.levels = append(ix.levels, level)
	for len(level) > 1 {
		above := make([]box, 0, (len(level)+fanout-1)/fanout)
		for run := range slices.Chunk(level, fanout) {
			b := run[0]
			for _, c := range run[1:] {
				b = b.union(c)
			}
			above = append(above, b)
		}
		ix.levels = append(ix.levels, above)
		level = above
	}
	return ix
}

// Len is the number of segments.
func (ix *Index) Len() int { return len(ix.segs) }

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
	work = ix.walk(func(b box) bool { return segmentMeetsBox(s, b) }, func(i int) {
		if s.Intersects(ix.segs[i]) {
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
	work = ix.walk(func(b box) bool { return atLeast2(s, b) < limit }, func(i int) {
		if SegmentDistanceLess(s, ix.segs[i], mm) {
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
	id, d, _ := ix.nearest(s)
	if id < 0 {
		return -1, math.MaxInt64, math.Inf(1)
	}
	return id, d.FloorMM(), d.MM()
}

// NearestSquared is Nearest with the exact squared distance. The id is -1 for
// an empty index.
func (ix *Index) NearestSquared(s Segment) (id int, d Squared) {
	id, d, _ = ix.nearest(s)
	return id, d
}

func (ix *Index) nearest(s Segment) (id int, best Squared, work int) {
	id = -1
	best = Squared{whole: math.MaxUint64}
	if len(ix.segs) == 0 {
		return id, Squared{}, 0
	}
	// Depth first, nearer children first; a box that is further away than the
	// best segment so far cannot hold a better one. A box exactly as far may
	// hold an equal with a smaller id, so it is still opened.
	var descend func(level, i int)
	descend = func(level, i int) {
		if level == 0 {
			work++
			d := s.SquaredTo(ix.segs[i])
			if c := d.Cmp(best); c < 0 || c == 0 && ix.ids[i] < id {
				best, id = d, ix.ids[i]
			}
			return
		}
		type child struct {
			i      int
			least2 uint64
		}
		var order [fanout]child
		n := 0
		below := ix.levels[level-1]
		for c := i * fanout; c < min((i+1)*fanout, len(below)); c++ {
			work++
			order[n] = child{c, atLeast2(s, below[c])}
			n++
		}
		slices.SortFunc(order[:n], func(a, b child) int {
			if a.least2 != b.least2 {
				if a.least2 < b.least2 {
					return -1
				}
				return 1
			}
			return a.i - b.i
		})
		for _, c := range order[:n] {
			if c.least2 <= best.whole {
				descend(level-1, c.i)
			}
		}
	}
	descend(len(ix.levels)-1, 0)
	return id, best, work
}

// walk calls visit with the place in tree order of every segment of which every
// box from the top down passes open. It returns how many boxes and segments it
// looked at.
func (ix *Index) walk(open func(box) bool, visit func(i int)) (work int) {
	if len(ix.segs) == 0 {
		return 0
	}
	var descend func(level, i int)
	descend = func(level, i int) {
		work++
		if !open(ix.levels[level][i]) {
			return
		}
		if level == 0 {
			visit(i)
			return
		}
		for c := i * fanout; c < min((i+1)*fanout, len(ix.levels[level-1])); c++ {
			descend(level-1, c)
		}
	}
	descend(len(ix.levels)-1, 0)
	return work
}

// segmentMeetsBox reports whether s and b have a point in common, exactly: no
// upright line and no line along s separates them.
func segmentMeetsBox(s Segment, b box) bool {
	return boxOf(s).meets(b) && gapAcross(s, b) == 0
}

// gapAcross is 0 when the line through s meets b, and otherwise |s| times the
// distance of that line from the nearest corner of b, in square millimetres.
func gapAcross(s Segment, b box) int64 {
	u := s.Vector()
	lo, hi := int64(math.MaxInt64), int64(math.MinInt64)
	for _, p := range [...]Point{{b.minE, b.minN}, {b.maxE, b.minN}, {b.minE, b.maxN}, {b.maxE, b.maxN}} {
		c := u.Cross(p.Sub(s.A))
		lo, hi = min(lo, c), max(hi, c)
	}
	switch {
	case lo > 0:
		return lo
	case hi < 0:
		return -hi
	}
	return 0
}

// atLeast2 is a whole number of square millimetres that no squared distance
// between s and something inside b falls below: the larger of the distance
// between the two upright boxes and the distance of b from the line through s.
func atLeast2(s Segment, b box) uint64 {
	sb := boxOf(s)
	dE := max(b.minE-sb.maxE, sb.minE-b.maxE, 0)
	dN := max(b.minN-sb.maxN, sb.minN-b.maxN, 0)
	least := uint64(dE*dE + dN*dN)
	if gap := uint64(gapAcross(s, b)); gap > 0 {
		// gap > 0 means |s| > 0, and gap/|s| is a distance, so the quotient
		// fits one word as in distance.go.
		hi, lo := bits.Mul64(gap, gap)
		q, _ := bits.Div64(hi, lo, uint64(s.Vector().Norm2()))
		least = max(least, q)
	}
	return least
}
