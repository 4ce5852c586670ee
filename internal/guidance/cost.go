package guidance

// What the board's work takes: instructions of a 32-bit Cortex-M3, of the C header
// compiled with arm-none-eabi-gcc 12.2 -O2, call and return included. They are worked
// out from a mission's own tables, for its own worst case: of every branch the longer
// way is taken that is open somewhere in a zone of the search structure. The zones
// are cells with lists; the one that costs the most is cut, as long as that may lower the
// bound. What comes out is an upper bound wherever the cutting ends.
//
// The constants are counts of the compiled code, fitted to counts on an emulated board
// and raised until no input took more. cost_test.go searches for one that does, over
// missions of every kind: a change of the header that makes them untrue fails it.

import (
	"container/heap"
	"math"

	"merestone/internal/planar"
)

// The parts of mere_fence_margin.
const (
	marginBegin   = 82 // what is before the loop over a list, and the call
	marginCut     = 12 // each cut on the way to the cell
	marginEnd     = 30 // what is behind the loop, where the nearest edge is abreast
	marginBeyond  = 46 // beside that, mere_length of the way to an end of the nearest edge
	marginRefused = 10 // the same where the point is not allowed
	marginWord    = 34 // no list: begin and end

	edgeSeen     = 35 // an edge that cannot be the nearest
	edgeMeasured = 22 // beside that, one that may be
	edgeBefore   = 4  // less, where the point is before its first vertex
	edgeSide     = 12 // beside both, in a cell that is not clear
	edgeExact    = 18 // ... where the point is within 1 mm of the line through the edge
	edgeAcross   = 22 // ... where that line is between corner and point
	edgeCrossed  = 8  // ... and the edge, too

	circleFar  = 35 // a circle that cannot be the nearest
	circleNear = 99 // one that may be: mere_length of the way to its centre
)

// The whole step, but for the margin in it.
const (
	conversionMost = 88  // mere_local_from_fix: it has hardly a branch
	stepAlone      = 920 // a step with a fix, conversion included, without a hold
	stepContact    = 74  // each contact of a hold
)

// Instructions are the most that the board's work takes for a mission.
type Instructions struct{ Conversion, Margin, Step int }

// Instructions works out the most that the board's work takes, anywhere in its tables.
func (m *Mission) Instructions() Instructions {
	margin := m.Fence.MarginInstructions()
	return Instructions{conversionMost, margin, stepAlone + stepContact*len(m.Holds) + margin}
}

// listShape is what a margin is worked out from in a cell.
type listShape struct {
	depth    int  // cuts on the way to the cell
	clear    bool // allowed everywhere
	edges    int
	dividing int // edges of them whose line divides a cell that is not clear
	circles  int
}

// instructions bound those of mere_fence_margin in the cell as a whole.
func (s listShape) instructions() int {
	n := marginBegin + marginCut*s.depth + circleNear*s.circles + (edgeSeen+edgeMeasured)*s.edges + marginEnd
	if s.edges > 0 {
		n += marginBeyond
	}
	if !s.clear {
		n += edgeSide*s.edges + (edgeExact+edgeAcross+edgeCrossed)*s.dividing
	}
	return n
}

// zone is a part of a cell with a list.
type zone struct {
	part         cell
	corner       planar.Point // of the cell that has the list
	list         []uint16
	depth        int // cuts on the way to that cell
	instructions int
}

// zones is a heap: the one with the most instructions comes first, of equals the
// smallest, so that a place from which nothing is gained is found soon.
type zones []*zone

func (r zones) Len() int { return len(r) }
func (r zones) Less(i, j int) bool {
	if r[i].instructions != r[j].instructions {
		return r[i].instructions > r[j].instructions
	}
	return r[i].part.log2 < r[j].part.log2
}
func (r zones) Swap(i, j int) { r[i], r[j] = r[j], r[i] }
func (r *zones) Push(x any)   { *r = append(*r, x.(*zone)) }
func (r *zones) Pop() any {
	last := len(*r) - 1
	x := (*r)[last]
	*r = (*r)[:last]
	return x
}

// exactMM is how near to a line a point is whose side is worked out exactly: see
// mere_list_margin.
const exactMM = 1.1

// maxZoneCuts ends the search for a lower bound.
const maxZoneCuts = 20_000

// MarginInstructions are the most that mere_fence_margin takes anywhere.
func (f *FenceTable) MarginInstructions() int {
	most, _ := f.worstZones(1)
	return most
}

// worstZones bounds the instructions of mere_fence_margin, and tells the zones that
// are left with the highest bounds.
func (f *FenceTable) worstZones(n int) (most int, worst []*zone) {
	var all zones
	deepest := 0
	var walk func(group uint32, c cell)
	walk = func(group uint32, c cell) {
		for quarter, word := range f.Nodes[4*group : 4*group+4] {
			q := c.quarter(quarter)
			depth := int(f.RootLog2) - q.log2
			deepest = max(deepest, depth)
			switch {
			case word < nodeLeaf:
				walk(uint32(word), q)
			case word > nodeLeaf && word < nodeClear:
				list := f.Lists[uint32(word&nodeIndex)<<f.ListLog2:]
				all = append(all, f.zone(q, q.corner, list[:1+list[0]&listCount], depth))
			}
		}
	}
	walk(0, cell{planar.Point{E: int64(f.WestMM), N: int64(f.SouthMM)}, int(f.RootLog2)})
	heap.Init(&all)
	for cuts := 0; cuts < maxZoneCuts && len(all) > 0 && all[0].part.log2 > 0; cuts++ {
		r := heap.Pop(&all).(*zone)
		for quarter := range 4 {
			heap.Push(&all, f.zone(r.part.quarter(quarter), r.corner, r.list, r.depth))
		}
	}
	most = marginWord + marginCut*deepest
	for len(all) > 0 && n > 0 {
		r := heap.Pop(&all).(*zone)
		most = max(most, r.instructions)
		worst = append(worst, r)
		n--
	}
	return most, worst
}

// instructions are those that a margin takes on some ways.
func (w *marginWays) instructions(depth int) int {
	n := marginBegin + marginCut*depth + edgeSeen*w.seen + edgeMeasured*w.measured - edgeBefore*w.before + edgeSide*w.sided +
		edgeExact*w.exact + edgeAcross*w.across + edgeCrossed*w.crossed + circleFar*w.far + circleNear*w.near
	switch {
	case w.refused:
		return n + marginRefused
	case w.beyond:
		return n + marginEnd + marginBeyond
	default:
		return n + marginEnd
	}
}

// zone bounds the instructions in a part of the cell with a corner and a list: of a
// single point they are those of the ways that it takes.
func (f *FenceTable) zone(c cell, corner planar.Point, list []uint16, depth int) *zone {
	if c.log2 == 0 {
		var ways marginWays
		f.listMargin(list, boardPoint(c.corner), int32(c.corner.E-corner.E), int32(c.corner.N-corner.N), &ways)
		return &zone{c, corner, list, depth, ways.instructions(depth)}
	}
	n := marginBegin + marginCut*depth
	clear := list[0]&listClear != 0
	corners := c.corners()
	limit := float64(f.LimitMM) // of the margin, from circles
	// within is abreast_mm + beyond_mm, at most: either those of this edge, or as before;
	// and the sum of two sides is at most sqrt(2) of the length.
	within := limit + 1
	nearest, beyond := math.Inf(1), math.Inf(1)
	entered := clear // some of its points are allowed, perhaps
	for _, entry := range list[1:] {
		if entry&entryCircle != 0 {
			circle := &f.Circles[entry&entryIndex]
			p := fencePart{a: planar.Point{E: int64(circle.EastMM), N: int64(circle.NorthMM)}, radius: int64(circle.RadiusMM), entry: entryCircle}
			entered = entered || p.enters(c, corners)
			far := c.far()
			reach := int64(limit) + p.radius
			if max(c.corner.E-p.a.E, p.a.E-far.E) < reach && max(c.corner.N-p.a.N, p.a.N-far.N) < reach {
				n += circleNear
			} else {
				n += circleFar
			}
			limit = max(min(limit, p.greatest(corners)+1), 0)
			continue
		}
		a, b := &f.Edges[entry&entryIndex], &f.Edges[entry&entryIndex+1]
		p := fencePart{a: planar.Point{E: int64(a.EastMM), N: int64(a.NorthMM)}, b: planar.Point{E: int64(b.EastMM), N: int64(b.NorthMM)}}
		n += edgeSeen
		entered = entered || p.enters(c, corners)
		least, most := p.aside(corners) // distances from the line, positive on its left
		if !clear {
			n += edgeSide
			if most > -exactMM && least < exactMM {
				n += edgeExact
			}
			if cornerLeft := entry&entryLeft != 0; cornerLeft && least < floatSlackMM || !cornerLeft && most > -floatSlackMM {
				n += edgeAcross + edgeCrossed
			}
		}
		if max(least, -most, 0)-2 < within {
			n += edgeMeasured
		}
		greatest := p.greatest(corners)
		within = min(math.Sqrt2*greatest, max(within, p.widest(corners))) + 2
		nearest = min(nearest, greatest)
		if p.endsBefore(corners) {
			_, d, _, _ := p.distances(c, corners)
			beyond = min(beyond, d)
		}
	}
	if !entered { // its corner speaks for all
		var ways marginWays
		if f.listMargin(list, boardPoint(c.corner), int32(c.corner.E-corner.E), int32(c.corner.N-corner.N), &ways); ways.refused {
			return &zone{c, corner, list, depth, n + marginRefused}
		}
	}
	n += marginEnd
	if beyond <= min(nearest, limit)+2 {
		n += marginBeyond
	}
	return &zone{c, corner, list, depth, n}
}

// greatest is the greatest distance of a point of a cell from the part.
func (p *fencePart) greatest(corners [4]planar.Point) float64 {
	return max(p.distance(corners[0]), p.distance(corners[1]), p.distance(corners[2]), p.distance(corners[3]))
}

// aside are the least and the greatest distance of a point of a cell from the line
// through the edge, positive on its left.
func (p *fencePart) aside(corners [4]planar.Point) (least, most float64) {
	u := p.b.Sub(p.a)
	length := math.Sqrt(float64(u.Norm2()))
	least, most = math.Inf(1), math.Inf(-1)
	for _, corner := range corners {
		d := float64(u.Cross(corner.Sub(p.a))) / length
		least, most = min(least, d), max(most, d)
	}
	return least, most
}

// endsBefore tells whether a point of a cell is before the edge's first vertex or beyond
// its second, up to rounding.
func (p *fencePart) endsBefore(corners [4]planar.Point) bool {
	u := p.b.Sub(p.a)
	norm := u.E*u.E + u.N*u.N
	near := int64(math.Sqrt(float64(norm))) // 1 mm along the edge
	for _, corner := range corners {
		w := corner.Sub(p.a)
		if along := u.E*w.E + u.N*w.N; along < near || along > norm-near {
			return true
		}
	}
	return false
}

// widest is the greatest sum of the distance from the line through the edge and the way
// beyond its ends; that is a convex function, too.
func (p *fencePart) widest(corners [4]planar.Point) (most float64) {
	u := p.b.Sub(p.a)
	norm := u.E*u.E + u.N*u.N
	length := math.Sqrt(float64(norm))
	for _, corner := range corners {
		w := corner.Sub(p.a)
		along := u.E*w.E + u.N*w.N
		most = max(most, float64(max(u.Cross(w), -u.Cross(w))+max(-along, along-norm, 0))/length)
	}
	return most
}

func boardPoint(p planar.Point) Point { return Point{int32(p.E), int32(p.N)} }
