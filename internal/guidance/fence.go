package guidance

// Preparation of the geofence for the board: a square over the site is cut in
// four, and those again, until every cell is simple. The layout of the result is
// explained in the C header's section "Fence"; this file decides where to cut, and
// tables.go writes the result down.
//
// A cell here is the set of points with whole coordinates in it, since no others
// are ever asked for: corners at (x, y) and (x+s-1, y+s-1) for a side s. Of the edges
// and circles ("parts") that a cell was given it keeps those that enter it and those
// that may be the nearest to one of its points: see nearest. Everything else is
// dropped, for the cell and for all cells within it; that is what makes the cost
// near-linear.
//
// A cell is finished without a list when
//
//   - it is not allowed anywhere: a circle covers it, or no edge of some ring enters it
//     that it is within, or none of the boundary that it is outside of;
//   - it is allowed everywhere, and one margin says enough of all its points: it is
//     never larger than the distance of any of them, and no smaller than is promised.
//
// What is promised, for a distance d, and m = ReachMM, the largest margin that any
// decision rests on: ExactWithinMM is m + SlackMM, LimitMM is 2 m.
//
//	up to ExactWithinMM  no smaller than d - SlackMM
//	beyond               no smaller than m, nor than 3/4 of min(d, LimitMM) - SlackMM
//
// Every other cell gets a list of its parts, from which the board works out the margin
// to SlackMM. Parts further than LimitMM from all of the cell are left out, since the
// board reports no more than that for a listed cell.
//
// Which cells are cut: always the one with the list that costs the board the most (see
// cost.go), until none costs more than aimInstructions, or the tables have reached
// aimBytes and none costs more than MaxMarginInstructions. So the worst case is as
// short as so many bytes can make it. Tables may grow to maxFenceBytes to keep within
// MaxMarginInstructions, but not beyond. Where many parts are equally far from a place,
// such as posts on a circle from its centre, cutting does not thin them out. There one
// margin for a cell is enough once the cell is small against SlackMM: where the tables
// do not keep within both bounds otherwise, the next greater slack is tried, and a fence
// for which the greatest is not enough is refused.
//
// Distances are computed in float64 from whole numbers below 2^27, with relative
// errors of a few 2^-53; 0.01 mm is allowed for that on the safe side. Whether an
// edge enters a cell, on which side of an edge a point is, and whether a path
// crosses it, are decided exactly on integers.

import (
	"container/heap"
	"fmt"
	"math"
	"slices"

	"merestone/internal/board"
	"merestone/internal/planar"
)

// The bounds on the tables of a fence. MaxMarginInstructions is the most that
// mere_fence_margin takes of any fence that is accepted, MaxFenceBytes what its tables
// do.
const (
	MaxMarginInstructions = 1500

	aimInstructions   = 575
	aimBytes          = 2048
	aimBytesEach      = 48 // for each edge and circle, whose own entry takes 16 or 12
	maxFenceBytes     = 24576
	maxFenceBytesEach = 80

	aimLists  = (nodeIndex + 1) / 4 * 3 // of what 14 bits can tell apart
	aimGroups = nodeLeaf / 4 * 3        // of what 15 bits can

	// Where all that was tried is this much, the tables would not get small.
	maxWork     = 1_000_000
	maxWorkEach = 2_000

	maxListEntries = 255
	maxFenceEntry  = entryIndex
	maxGroups      = nodeLeaf
	floatSlackMM   = 0.01
)

// extraSlacksMM are added, in this order, to the slack that the board's arithmetic
// needs.
var extraSlacksMM = [...]int32{0, 6, 18, 42}

// MaxFenceBytes is what the tables of a fence take at most, for so many edges and
// circles.
func MaxFenceBytes(parts int) int { return maxFenceBytes + maxFenceBytesEach*parts }

// BuildFence prepares a fence: one boundary to stay inside of, rings and circles
// to stay out of. Rings may run either way; obstacles may overlap and reach over
// the boundary. reachMM is the largest margin that anything is decided by, see
// Rover.FenceReachMM. More makes larger tables.
//
// Beside the table it returns the vertex at which each entry of its Edges begins.
// The circles of the table are in the order given.
//
// It returns an error for circles beyond board.MaxCoordinateMM, and for more than
// 16383 vertices or circles, or a fence so intricate that its tables do not keep
// within MaxMarginInstructions and MaxFenceBytes.
func BuildFence(boundary *planar.Region, rings []*planar.Region, circles []planar.Circle, reachMM uint16) (FenceTable, []RingVertex, error) {
	b := fenceBuilder{boundary: boundary.Ring(), rings: rings}
	b.addRing(0, boundary.Ring(), true, true)
	known := map[string]bool{}
	for i, ring := range rings {
		key := ringKey(ring.Ring())
		b.addRing(i+1, ring.Ring(), false, !known[key])
		known[key] = true
	}
	for i, circle := range circles {
		if err := b.addCircle(circle); err != nil {
			return FenceTable{}, nil, fmt.Errorf("obstacle circle %d: %w", i+1, err)
		}
	}
	if len(b.table.Edges) > maxFenceEntry || len(b.table.Circles) > maxFenceEntry {
		return FenceTable{}, nil, fmt.Errorf("the fence has more than %d vertices or circles", maxFenceEntry)
	}
	var err error
	for _, extra := range extraSlacksMM {
		b.promise(int32(reachMM), extra)
		if err = b.build(); err == nil {
			return b.table, b.vertices, b.table.check()
		}
	}
	return FenceTable{}, nil, err
}

// RingVertex is a vertex of a ring that BuildFence was given: ring 0 is the
// boundary, ring i the i-th obstacle's.
type RingVertex struct{ Ring, Vertex int }

// word is a word of nodes[] before the lists have their places.
type word struct {
	kind  uint16 // 0 for a group, nodeLeaf for a list or not allowed, nodeClear for a margin
	value uint32 // number of the group, or the margin
	list  *fenceList
}

// fenceList is a list, and how many cells have it.
type fenceList struct {
	words []uint16
	cells int
	place uint32
}

// leaf is a cell that may be cut: one with a list, or one that cannot have a list.
type leaf struct {
	cell
	group, quarter int // its word
	order          int
	parts          []int32 // what its quarters are given
	from           standpoint
	others         float64
	instructions   int // of a margin in it; mustCut for a cell that cannot have a list
}

const mustCut = math.MaxInt

// leaves is a heap: the cell with the most instructions comes first, of equals the one
// that was made first.
type leaves []*leaf

func (l leaves) Len() int { return len(l) }
func (l leaves) Less(i, j int) bool {
	if l[i].instructions != l[j].instructions {
		return l[i].instructions > l[j].instructions
	}
	return l[i].order < l[j].order
}
func (l leaves) Swap(i, j int) { l[i], l[j] = l[j], l[i] }
func (l *leaves) Push(x any)   { *l = append(*l, x.(*leaf)) }
func (l *leaves) Pop() any {
	last := len(*l) - 1
	x := (*l)[last]
	(*l)[last] = nil
	*l = (*l)[:last]
	return x
}

type fenceBuilder struct {
	boundary planar.Ring
	rings    []*planar.Region
	vertices []RingVertex // of table.Edges
	table    FenceTable
	parts    []fencePart // each once
	given    int         // edges and circles
	groups   [][4]word
	lists    map[string]*fenceList
	leaves   leaves
	made     int // leaves
	used     int // lists that a cell has
	bytes    int
	work     int // parts looked at
	scratch
}

// addRing adds a ring to the table, and to the parts unless an equal one is there.
func (b *fenceBuilder) addRing(number int, ring planar.Ring, counterClockwise, asParts bool) {
	vertices := make([]RingVertex, len(ring), len(ring)+1)
	for i := range ring {
		vertices[i] = RingVertex{number, i}
	}
	if ring.IsCounterClockwise() != counterClockwise {
		ring = slices.Clone(ring)
		slices.Reverse(ring)
		slices.Reverse(vertices)
	}
	b.vertices = append(b.vertices, append(vertices, vertices[0])...)
	b.given += len(ring)
	for i := range ring {
		edge := ring.Edge(i)
		u := edge.B.Sub(edge.A)
		square := uint64(u.E*u.E + u.N*u.N)
		if asParts {
			b.parts = append(b.parts, fencePart{a: edge.A, b: edge.B, ring: int32(number), entry: uint16(min(len(b.table.Edges), maxFenceEntry))})
		}
		b.table.Edges = append(b.table.Edges, Edge{
			EastMM: int32(edge.A.E), NorthMM: int32(edge.A.N),
			UnitEastQ30: unitQ30(u.E, square), UnitNorthQ30: unitQ30(u.N, square),
		})
	}
	b.table.Edges = append(b.table.Edges, Edge{EastMM: int32(ring[0].E), NorthMM: int32(ring[0].N)})
}

func (b *fenceBuilder) addCircle(c planar.Circle) error {
	if !c.Centre.InRange() || c.RadiusMM < 0 || c.RadiusMM > board.MaxCoordinateMM {
		return fmt.Errorf("its centre or radius is beyond %d m", board.MaxCoordinateMM/1000)
	}
	b.given++
	b.parts = append(b.parts, fencePart{a: c.Centre, radius: c.RadiusMM,
		entry: entryCircle | uint16(min(len(b.table.Circles), maxFenceEntry))})
	b.table.Circles = append(b.table.Circles, FenceCircle{
		EastMM: int32(c.Centre.E), NorthMM: int32(c.Centre.N), RadiusMM: int32(c.RadiusMM),
	})
	return nil
}

// ringKey is the same for equal rings, wherever they begin and whichever way they run.
func ringKey(ring planar.Ring) string {
	first := 0
	for i, p := range ring {
		if q := ring[first]; p.E < q.E || p.E == q.E && p.N < q.N {
			first = i
		}
	}
	n := len(ring)
	step, a, b := 1, ring[(first+1)%n], ring[(first+n-1)%n]
	if b.E < a.E || b.E == a.E && b.N < a.N {
		step = n - 1
	}
	var key []byte
	for i := range n {
		p := ring[(first+i*step)%n]
		key = fmt.Appendf(key, "%d %d,", p.E, p.N)
	}
	return string(key)
}

// promise states what the margins will be worth. Of the two components of
// the distance from an edge, that abreast and that before or beyond its ends, each is
// rounded down by less than 1 mm and has an error of 0.07 mm: hypot(1.07, 1.07)
// < 1.6 mm. mere_length loses less than 2 mm and 2^-13 of it (of distance and radius
// together for a circle), and 1 mm is taken off: 4.6 mm and 2^-13, of which less than
// 1 mm is lost by rounding that down here. So much for a list; a margin for a whole cell
// is kept to the same, see says.
func (b *fenceBuilder) promise(reachMM, extraMM int32) {
	radius := int32(0)
	for _, c := range b.table.Circles {
		radius = max(radius, c.RadiusMM)
	}
	slack := 6 + (min(2*reachMM, math.MaxUint16)+radius)>>13 + extraMM
	exact := min(reachMM+slack, math.MaxUint16)
	b.table.SlackMM, b.table.ExactWithinMM = uint16(slack), uint16(exact)
	b.table.LimitMM = uint16(max(exact, min(2*reachMM, math.MaxUint16)))
}

// tellLimits is up to how many times LimitMM margins are told, where the words of
// nodes[] can: more is of no use.
const tellLimits = 8

// root is the smallest square of a power of two around the boundary and a little more.
func (b *fenceBuilder) root() cell {
	low, high := b.boundary[0], b.boundary[0]
	for _, p := range b.boundary {
		low = planar.Point{E: min(low.E, p.E), N: min(low.N, p.N)}
		high = planar.Point{E: max(high.E, p.E), N: max(high.N, p.N)}
	}
	root := cell{log2: 1}
	const room = 64 // mm, to find a corner that is on no edge of an obstacle that sticks out
	for root.side() < max(high.E-low.E, high.N-low.N)+room {
		root.log2++
	}
	root.corner = planar.Point{E: low.E - inset(root.side()-(high.E-low.E)), N: low.N - inset(root.side()-(high.N-low.N))}
	onRing := func(ring *planar.Region) bool { return ring.Contains(root.corner) == planar.OnEdge }
	for range room/2 - 1 {
		if slices.ContainsFunc(b.rings, onRing) {
			root.corner.E++
		}
	}
	t := &b.table
	t.WestMM, t.SouthMM, t.RootLog2 = int32(root.corner.E), int32(root.corner.N), uint8(root.log2)
	units := func(mm int64) uint16 { return uint16((mm + nodeIndex - 1) / nodeIndex) }
	limit := int64(t.LimitMM)
	t.MarginUnitMM = max(units(limit), min(units(min(root.side()/2, tellLimits*limit)), t.SlackMM/2))
	return root
}

// inset is how far west or south of the boundary the root square begins, when
// there is so much room. A cell whose corner is on an edge has to be cut down to
// single points, so the lines on which the corners lie should not be those on which
// people put fences: neither the middle of the site, nor whole decimetres away from
// it. Any odd part of the room that is no simple fraction will do.
func inset(room int64) int64 { return room*619/1619 | 1 }

// build cuts, then gives the lists their places.
func (b *fenceBuilder) build() error {
	root := b.root()
	// The root's corner is outside the boundary, but an obstacle may cover it.
	start := standpoint{at: root.corner, open: []ringWinding{{}}, parts: b.outermost()}
	for i := range b.parts {
		if ring := b.parts[i].ring; ring > start.open[len(start.open)-1].ring {
			winding := int32(0)
			if b.rings[ring-1].Contains(root.corner) != planar.Outside {
				winding = -1
			}
			start.open = append(start.open, ringWinding{ring, winding})
		}
	}
	b.scratch = newScratch(1+len(b.rings), b.given)
	b.groups, b.lists, b.leaves, b.made, b.used, b.work = nil, map[string]*fenceList{}, nil, 0, 0, 0
	b.bytes = Size(Edge{})*len(b.table.Edges) + Size(FenceCircle{})*len(b.table.Circles) + 2
	if err := b.cut(&leaf{cell: root, parts: start.parts, from: start, others: math.Inf(1)}); err != nil {
		return err
	}
	aim := aimBytes + aimBytesEach*b.given
	for len(b.leaves) > 0 {
		worst := b.leaves[0]
		enough := b.bytes >= aim || b.used >= aimLists || len(b.groups) >= aimGroups
		if worst.instructions <= aimInstructions || enough && worst.instructions <= MaxMarginInstructions {
			break
		}
		if worst.log2 == 0 { // every cell now costs no more
			if worst.instructions <= MaxMarginInstructions {
				break
			}
			return fmt.Errorf("too intricate: one place needs %d edges and obstacles at once", len(worst.parts))
		}
		if b.bytes > MaxFenceBytes(b.given) || b.work > maxWork+maxWorkEach*b.given {
			return fmt.Errorf("too intricate: its search structure would take more than %d bytes for %d edges and circles", MaxFenceBytes(b.given), b.given)
		}
		heap.Pop(&b.leaves)
		if err := b.cut(worst); err != nil {
			return err
		}
	}
	if err := b.place(); err != nil {
		return err
	}
	if b.table.FlashBytes() > MaxFenceBytes(b.given) {
		return fmt.Errorf("too intricate: its tables take %d bytes, more than %d for %d edges and circles", b.table.FlashBytes(), MaxFenceBytes(b.given), b.given)
	}
	return nil
}

// outermost are the parts but for circles within another circle: where they are the
// nearest is not allowed. Of equal circles the first counts.
func (b *fenceBuilder) outermost() []int32 {
	var circles, kept []int32
	for i := range b.parts {
		if b.parts[i].isCircle() {
			circles = append(circles, int32(i))
		} else {
			kept = append(kept, int32(i))
		}
	}
	slices.SortStableFunc(circles, func(i, j int32) int { return int(b.parts[j].radius - b.parts[i].radius) })
	first := len(kept)
	for _, i := range circles {
		c := &b.parts[i]
		if !slices.ContainsFunc(kept[first:], func(j int32) bool {
			other := &b.parts[j]
			d := other.radius - c.radius
			return c.a.Sub(other.a).Norm2() <= d*d
		}) {
			kept = append(kept, i)
		}
	}
	slices.Sort(kept)
	return kept
}

// cut replaces the word of a cell by a group of four.
func (b *fenceBuilder) cut(l *leaf) error {
	group := len(b.groups)
	if group >= maxGroups {
		return fmt.Errorf("too intricate: its search structure has more than %d cuts", maxGroups-1)
	}
	b.groups = append(b.groups, [4]word{})
	b.bytes += 8
	if group > 0 {
		w := &b.groups[l.group][l.quarter]
		if w.list != nil {
			if w.list.cells--; w.list.cells == 0 {
				b.used--
				b.bytes -= 2 * len(w.list.words)
			}
		}
		*w = word{value: uint32(group)}
	}
	for quarter := range 4 {
		w, next := b.decide(l.cell.quarter(quarter), l)
		if next != nil {
			b.made++
			next.group, next.quarter, next.order = group, quarter, b.made
			heap.Push(&b.leaves, next)
		}
		b.groups[group][quarter] = w
	}
	return nil
}

// decide finishes a cell, or returns what is needed for cutting it. Parts that are not
// given, because they are further than LimitMM from a larger cell, are not nearer than
// others.
func (b *fenceBuilder) decide(c cell, within *leaf) (word, *leaf) {
	notAllowed := word{kind: nodeLeaf}
	near := b.nearest(c, within.parts)
	b.work += len(within.parts)
	if near.most < 0 { // within a circle
		return notAllowed, nil
	}
	at, closed, onEdge := b.windingsAt(c, within.from, near)
	if closed || c.log2 == 0 && (onEdge || near.circles || at.winding() != 1) { // the second is one point
		return notAllowed, nil
	}
	clear := !near.edges && !near.circles
	others := min(within.others, near.others)
	if clear {
		if margin, ok := b.says(min(near.least, others), near.most); ok {
			return word{kind: nodeClear, value: margin}, nil
		}
	}
	next := &leaf{cell: c, parts: near.parts, from: at, others: others, instructions: mustCut}
	if onEdge {
		next.from = within.from
	}
	if len(near.parts) > maxListEntries || onEdge && !clear || at.winding() < -64 || at.winding() > 63 {
		return notAllowed, next
	}
	list, shape := b.list(near.parts, clear, at.winding(), c)
	next.instructions = shape.instructions()
	return word{kind: nodeLeaf, list: list}, next
}

// says tells which margin, in units, is never larger than any distance in a cell, of
// which the least and the greatest are given, and whether it says enough: see the top.
func (b *fenceBuilder) says(least, most float64) (units uint32, ok bool) {
	t := &b.table
	units = uint32(min(max(least-floatSlackMM, 0)/float64(t.MarginUnitMM), nodeIndex))
	kept := float64(units * uint32(t.MarginUnitMM))
	most = min(most, float64(t.LimitMM))
	exact := float64(t.ExactWithinMM)
	return units, kept >= min(most, exact)-float64(t.SlackMM) && (most <= exact || 4*kept >= 3*most)
}

// FenceReachMM is the largest margin that any decision on the board depends on
// for this rover on a leg at a speed: that to keep with the oldest fix that is still
// used. BuildFence is to be given it; up to twice that margins are told less exactly
// (common practice, no source), which leaves a warning range before the stop.
func (r *Rover) FenceReachMM(l *Leg, speedMMPerS uint16) uint32 {
	return r.KeepMM(l, r.StoppingMM(l, uint32(speedMMPerS), uint32(r.StaleAfterMS)))
}
