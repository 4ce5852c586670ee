package guidance

// Preparation of the geofence for the board: a square over the site is cut in
// four, and those again, until every cell is simple. The layout of the result is
// explained in the C header's section "Fence"; this file decides where to cut.
//
// A cell here is the set of points with whole coordinates in it, since no others
// are ever asked for: corners at (x, y) and (x+s-1, y+s-1) for a side s. For each
// edge and circle ("part") two bounds over the cell are known: the least distance
// of any point of the cell from it, and the greatest. A distance from a convex
// thing is a convex function, so that the greatest is at a corner. The part
// nearest to a point of the cell is then among those whose least distance is not
// above the smallest of the greatest distances. Everything else is dropped, for
// the cell and for all cells within it; that is what makes the cost near-linear.
//
// A cell is finished when
//
//   - it is not allowed anywhere: no part enters it and its corner is not allowed;
//   - it is allowed everywhere and nowhere nearer to the fence than ExactWithinMM:
//     the least distance in it is then its margin;
//   - few parts remain: they become its list. Parts further than ExactWithinMM
//     from all of the cell are left out too, since the board reports no more than
//     that for a listed cell.
//
// Distances are computed in float64 from whole numbers below 2^26, with relative
// errors of a few 2^-53; 0.01 mm is allowed for that on the safe side. Whether an
// edge enters a cell, on which side of an edge a point is, and whether a path
// crosses it, are decided exactly on integers.

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"merestone/internal/board"
	"merestone/internal/elementary"
	"merestone/internal/planar"
)

// fewParts are the lengths of list that end the cutting. Short lists make the board
// fast and the tables large. The first length that makes the tables no larger than
// the two sizes below is taken, and when none does, the one with the smallest
// tables. In cells smaller than 1/16 of ExactWithinMM, where the parts are close
// together and more cutting would not thin them out, lists may be twice as long.
var fewParts = [...]int{4, 6, 8, 12, 20}

const (
	enoughBytes     = 2048
	enoughBytesEach = 64 // for each edge and circle, whose own entry takes 16 or 12

	maxListEntries = 255
	maxFenceEntry  = entryIndex
	floatSlackMM   = 0.01
	maxDistanceMM  = 1 << 27
)

// BuildFence prepares a fence: one boundary to stay inside of, rings and circles
// to stay out of. Rings may run either way; obstacles may overlap and reach over
// the boundary. exactWithinMM is the margin up to which the board is to be exact
// (to SlackMM): a little more than the largest margin that anything is decided by,
// see Rover.FenceReachMM. More makes larger tables.
//
// Beside the table it returns the vertex at which each entry of its Edges begins.
// The circles of the table are in the order given.
//
// It returns an error for circles beyond board.MaxCoordinateMM, and for more than
// 16383 vertices or circles, or a fence so intricate that its structure does not
// fit 16-bit indices.
func BuildFence(boundary *planar.Region, rings []*planar.Region, circles []planar.Circle, exactWithinMM uint16) (FenceTable, []RingVertex, error) {
	b := fenceBuilder{exactWithin: float64(exactWithinMM), boundary: boundary.Ring(), rings: rings}
	b.table.ExactWithinMM = exactWithinMM
	b.addRing(0, boundary.Ring(), true)
	for i, ring := range rings {
		b.addRing(i+1, ring.Ring(), false)
	}
	for i, circle := range circles {
		if err := b.addCircle(circle); err != nil {
			return FenceTable{}, nil, fmt.Errorf("obstacle circle %d: %w", i+1, err)
		}
	}
	if len(b.table.Edges) > maxFenceEntry || len(b.table.Circles) > maxFenceEntry {
		return FenceTable{}, nil, fmt.Errorf("the fence has more than %d vertices or circles", maxFenceEntry)
	}
	var best FenceTable
	var err error
	for _, b.few = range fewParts {
		if problem := b.build(); problem != nil {
			err = problem
			continue
		}
		if best.Nodes == nil || b.table.FlashBytes() < best.FlashBytes() {
			best = b.table
		}
		if best.FlashBytes() <= enoughBytes+enoughBytesEach*len(b.parts) {
			break
		}
	}
	if best.Nodes == nil {
		return FenceTable{}, nil, err
	}
	return best, b.vertices, best.check()
}

// RingVertex is a vertex of a ring that BuildFence was given: ring 0 is the
// boundary, ring i the i-th obstacle's.
type RingVertex struct{ Ring, Vertex int }

// fencePart is an edge or a circle.
type fencePart struct {
	a, b   planar.Point // of an edge; a is the centre of a circle
	radius int64        // of a circle
	entry  uint16       // its number, and entryCircle
}

func (p *fencePart) isCircle() bool { return p.entry&entryCircle != 0 }

// cell is a square of side 2^log2 with its south-west corner at a point.
type cell struct {
	corner planar.Point
	log2   int
}

func (c cell) side() int64 { return 1 << c.log2 }

// far is the north-eastern point of the cell.
func (c cell) far() planar.Point {
	return planar.Point{E: c.corner.E + c.side() - 1, N: c.corner.N + c.side() - 1}
}

func (c cell) corners() [4]planar.Point {
	f := c.far()
	return [4]planar.Point{c.corner, {E: f.E, N: c.corner.N}, {E: c.corner.E, N: f.N}, f}
}

// standpoint is a point with a known winding number, from which those of others
// are found by counting crossings with the given parts. They must include all
// edges between the two.
type standpoint struct {
	at      planar.Point
	winding int
	parts   []int32
}

// word is a word of nodes[] before the lists have their places.
type word struct {
	kind  uint16 // 0 for a group, nodeLeaf for a list, nodeClear for a margin
	value uint32 // number of the group or the list (from 1; 0 for not allowed), or the margin
}

type fenceBuilder struct {
	boundary    planar.Ring
	rings       []*planar.Region
	vertices    []RingVertex // of table.Edges
	table       FenceTable
	parts       []fencePart
	exactWithin float64
	few         int
	groups      [][4]word
	lists       map[string]uint32
	inOrder     [][]uint16
	problem     error
}

func (b *fenceBuilder) addRing(number int, ring planar.Ring, counterClockwise bool) {
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
	for i := range ring {
		edge := ring.Edge(i)
		u := edge.B.Sub(edge.A)
		square := uint64(u.E*u.E + u.N*u.N)
		b.parts = append(b.parts, fencePart{a: edge.A, b: edge.B, entry: uint16(min(len(b.table.Edges), maxFenceEntry))})
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
	b.parts = append(b.parts, fencePart{a: c.Centre, radius: c.RadiusMM,
		entry: entryCircle | uint16(min(len(b.table.Circles), maxFenceEntry))})
	b.table.Circles = append(b.table.Circles, FenceCircle{
		EastMM: int32(c.Centre.E), NorthMM: int32(c.Centre.N), RadiusMM: int32(c.RadiusMM),
	})
	return nil
}

// build cuts, then gives the lists their places.
func (b *fenceBuilder) build() error {
	// The root: the smallest square of a power of two around the boundary and a
	// little more.
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
	b.table.WestMM, b.table.SouthMM = int32(root.corner.E), int32(root.corner.N)
	b.table.RootLog2 = uint8(root.log2)
	b.table.MarginUnitMM = uint16((root.side()/2 + nodeIndex - 1) / nodeIndex)
	b.table.SlackMM = b.slackMM()

	// The root's corner is outside the boundary, but an obstacle may cover it.
	start := standpoint{at: root.corner, parts: make([]int32, len(b.parts))}
	for i := range b.parts {
		start.parts[i] = int32(i)
	}
	for _, ring := range b.rings {
		if ring.Contains(root.corner) != planar.Outside {
			start.winding--
		}
	}
	b.groups, b.lists, b.inOrder, b.problem = [][4]word{{}}, map[string]uint32{}, nil, nil
	b.cut(0, root, start.parts, start, math.Inf(1))
	if b.problem != nil {
		return b.problem
	}
	return b.place()
}

// inset is how far west or south of the boundary the root square begins, when
// there is so much room. A cell whose corner is on an edge has to be cut down to
// single points, so the lines on which the corners lie should not be those on which
// people put fences: neither the middle of the site, nor whole decimetres away from
// it. Any odd part of the room that is no simple fraction will do.
func inset(room int64) int64 { return room*619/1619 | 1 }

// slackMM is how much a listed margin may be too small. Of the two components of
// the distance from an edge, that abreast and that before or beyond its ends, each is
// rounded down by less than 1 mm and has an error of 0.07 mm: hypot(1.07, 1.07)
// < 1.6 mm. mere_length loses less than 2 mm and 2^-13 of it (of distance and radius
// together for a circle), and 1 mm is taken off: 4.6 mm and 2^-13, of which less than
// 1 mm is lost by rounding that down here.
func (b *fenceBuilder) slackMM() uint16 {
	radius := int32(0)
	for _, c := range b.table.Circles {
		radius = max(radius, c.RadiusMM)
	}
	return uint16(6 + (int32(b.table.ExactWithinMM)+radius)>>13)
}

// cut decides about the four quarters of a cell, whose group of words has the
// number given.
func (b *fenceBuilder) cut(group int, c cell, parts []int32, from standpoint, others float64) {
	for quarter := range 4 {
		half := c.side() / 2
		q := cell{log2: c.log2 - 1, corner: planar.Point{
			E: c.corner.E + half*int64(quarter&1), N: c.corner.N + half*int64(quarter>>1),
		}}
		b.groups[group][quarter] = b.decide(q, parts, from, others)
	}
}

// decide finishes a cell, or cuts it. Parts that are not given, because they are
// further than exactWithin from a larger cell, are not nearer than others.
func (b *fenceBuilder) decide(c cell, parts []int32, from standpoint, others float64) word {
	notAllowed := word{kind: nodeLeaf}
	near := b.nearest(c, parts)
	if near.most < 0 { // within a circle
		return notAllowed
	}
	winding, onEdge := b.windingAt(c.corner, from)
	if !near.edges && winding != 1 {
		return notAllowed // no edge enters: the corner speaks for all
	}
	if c.log2 == 0 && (onEdge || winding != 1 || near.circles) {
		return notAllowed // the cell is one point
	}
	clear := !near.edges && !near.circles

	enough := b.few
	if float64(c.side()) < b.exactWithin/16 {
		enough *= 2
	}
	if c.log2 == 0 {
		enough = maxListEntries
	}
	others = min(others, near.others)
	least := min(near.least, others, maxDistanceMM)
	margin := uint32(max(least-floatSlackMM, 0)) / uint32(b.table.MarginUnitMM)
	kept := float64(margin * uint32(b.table.MarginUnitMM))
	switch {
	case clear && kept >= b.exactWithin:
		return word{kind: nodeClear, value: min(margin, nodeIndex)}
	case len(near.parts) <= enough && (clear || !onEdge):
		return b.list(near.parts, clear, winding, c.corner)
	}

	if !onEdge {
		from = standpoint{at: c.corner, winding: winding, parts: near.parts}
	}
	group := len(b.groups)
	if group >= nodeLeaf {
		b.problem = errors.New("the fence is too intricate: its search structure has more than 32767 cuts")
		return notAllowed
	}
	b.groups = append(b.groups, [4]word{})
	b.cut(group, c, near.parts, from, others)
	return word{value: uint32(group)}
}

// nearby is what matters for a cell.
type nearby struct {
	parts          []int32 // those that enter the cell or are nearest to a point of it
	edges, circles bool    // whether any enters the cell
	others         float64 // no part left out for being far is nearer than this
	least, most    float64 // no distance of a point of the cell from the fence is outside these
}

func (b *fenceBuilder) nearest(c cell, parts []int32) nearby {
	corners := c.corners()
	n := nearby{least: math.Inf(1), most: math.Inf(1), others: math.Inf(1)}
	least := make([]float64, len(parts))
	for i, part := range parts {
		p := &b.parts[part]
		var most float64
		least[i], most = p.distances(c, corners)
		n.least = min(n.least, least[i])
		n.most = min(n.most, most)
	}
	for i, part := range parts {
		if least[i] > n.most+2*floatSlackMM && least[i] > 0 {
			continue // nowhere the nearest
		}
		if least[i] > b.exactWithin+2*floatSlackMM {
			n.others = min(n.others, least[i])
			continue
		}
		n.parts = append(n.parts, part)
		if least[i] <= floatSlackMM && b.parts[part].enters(c, corners) {
			if b.parts[part].isCircle() {
				n.circles = true
			} else {
				n.edges = true
			}
		}
	}
	return n
}

// distances are the least and the greatest distance of the points of the cell
// from the part. For a circle the least is 0 when it enters the cell; the
// greatest is negative when it covers all of it, up to rounding: what is missed is
// found in smaller cells.
func (p *fencePart) distances(c cell, corners [4]planar.Point) (least, most float64) {
	if p.isCircle() {
		for _, corner := range corners {
			most = max(most, elementary.Hypot(float64(corner.E-p.a.E), float64(corner.N-p.a.N)))
		}
		return max(boxDistance(c, p.a)-float64(p.radius), 0), most - float64(p.radius)
	}
	square := math.Inf(1)
	for _, corner := range corners {
		d := p.squaredDistance(corner)
		square = min(square, d)
		most = max(most, d)
	}
	most = math.Sqrt(most)
	if p.enters(c, corners) {
		return 0, most
	}
	// Two convex things apart are nearest at a corner of one of them.
	return min(math.Sqrt(square), boxDistance(c, p.a), boxDistance(c, p.b)), most
}

// squaredDistance is that of a point from the edge.
func (p *fencePart) squaredDistance(at planar.Point) float64 {
	u, w := p.b.Sub(p.a), at.Sub(p.a)
	along, norm := u.E*w.E+u.N*w.N, u.E*u.E+u.N*u.N
	switch {
	case along <= 0:
		return float64(w.E*w.E + w.N*w.N)
	case along >= norm:
		w = at.Sub(p.b)
		return float64(w.E*w.E + w.N*w.N)
	}
	cross := float64(u.E*w.N - u.N*w.E)
	return cross * cross / float64(norm)
}

// boxDistance is the distance of a point from the nearest point of the cell.
func boxDistance(c cell, at planar.Point) float64 {
	f := c.far()
	east := max(c.corner.E-at.E, at.E-f.E, 0)
	north := max(c.corner.N-at.N, at.N-f.N, 0)
	return elementary.Hypot(float64(east), float64(north))
}

// enters tells whether the part has a point in common with the cell's rectangle,
// exactly: an edge by the separating axes of the two, a circle by the rectangle's
// point that is nearest to its centre.
func (p *fencePart) enters(c cell, corners [4]planar.Point) bool {
	f := c.far()
	if p.isCircle() {
		near := planar.Point{E: min(max(p.a.E, c.corner.E), f.E), N: min(max(p.a.N, c.corner.N), f.N)}
		return near.Sub(p.a).Norm2() <= p.radius*p.radius
	}
	if max(p.a.E, p.b.E) < c.corner.E || min(p.a.E, p.b.E) > f.E ||
		max(p.a.N, p.b.N) < c.corner.N || min(p.a.N, p.b.N) > f.N {
		return false
	}
	left, right := 0, 0
	for _, corner := range corners {
		switch planar.Orientation(p.a, p.b, corner) {
		case 1:
			left++
		case -1:
			right++
		}
	}
	return left < 4 && right < 4
}

// windingAt is the winding number at a point, counted from a standpoint as the
// board counts it, and whether the point is on an edge, when the number means
// nothing.
func (b *fenceBuilder) windingAt(at planar.Point, from standpoint) (winding int, onEdge bool) {
	winding = from.winding
	for _, part := range from.parts {
		p := &b.parts[part]
		if p.isCircle() {
			continue
		}
		side := planar.Orientation(p.a, p.b, at)
		if side == 0 && (planar.Segment{A: p.a, B: p.b}).HasPoint(at) {
			return 0, true
		}
		before := planar.Orientation(p.a, p.b, from.at) > 0
		if (side > 0) == before {
			continue
		}
		first := planar.Orientation(from.at, at, p.a) > 0
		second := planar.Orientation(from.at, at, p.b) > 0
		if first != second {
			if side > 0 {
				winding++
			} else {
				winding--
			}
		}
	}
	return winding, false
}

// list makes, or finds, the list of a cell.
func (b *fenceBuilder) list(parts []int32, clear bool, winding int, corner planar.Point) word {
	if len(parts) > maxListEntries || winding < -64 || winding > 63 {
		b.problem = errors.New("the fence is too intricate: too many edges or obstacles in one place")
		return word{kind: nodeLeaf}
	}
	list := make([]uint16, 1, len(parts)+1)
	list[0] = uint16(len(parts)) | uint16(winding+64)<<8
	if clear {
		list[0] = uint16(len(parts)) | listClear
	}
	for _, part := range parts {
		p := &b.parts[part]
		entry := p.entry
		if !clear && !p.isCircle() && planar.Orientation(p.a, p.b, corner) > 0 {
			entry |= entryLeft
		}
		list = append(list, entry)
	}
	key := make([]byte, 0, 2*len(list))
	for _, w := range list {
		key = append(key, byte(w), byte(w>>8))
	}
	number, known := b.lists[string(key)]
	if !known {
		b.inOrder = append(b.inOrder, list)
		number = uint32(len(b.inOrder))
		b.lists[string(key)] = number
	}
	return word{kind: nodeLeaf, value: number}
}

// place gives each list its place, at the smallest spacing that 14 bits can
// address, and writes the nodes.
func (b *fenceBuilder) place() error {
	t := &b.table
	places := make([]uint32, len(b.inOrder)+1)
	for t.ListLog2 = 0; ; t.ListLog2++ {
		next := uint32(1) // place 0 stands for "not allowed"
		for i, list := range b.inOrder {
			places[i+1] = next
			next += (uint32(len(list)) + 1<<t.ListLog2 - 1) >> t.ListLog2
		}
		if next <= nodeIndex+1 {
			t.Lists = make([]uint16, next<<t.ListLog2)
			break
		}
		if t.ListLog2 == 8 {
			return errors.New("the fence is too intricate: its lists do not fit")
		}
	}
	for i, list := range b.inOrder {
		copy(t.Lists[places[i+1]<<t.ListLog2:], list)
	}
	t.Nodes = make([]uint16, 0, 4*len(b.groups))
	for _, group := range b.groups {
		for _, w := range group {
			switch w.kind {
			case nodeLeaf:
				t.Nodes = append(t.Nodes, uint16(nodeLeaf|places[w.value]))
			default:
				t.Nodes = append(t.Nodes, w.kind|uint16(w.value))
			}
		}
	}
	return nil
}

// FlashBytes is the size of the fence's tables in the board's flash.
func (f *FenceTable) FlashBytes() int {
	return Size(Edge{})*len(f.Edges) + Size(FenceCircle{})*len(f.Circles) + 2*len(f.Nodes) + 2*len(f.Lists)
}

// FenceReachMM is the largest margin that any decision on the board depends on
// for this rover on a leg at a speed: that to keep with the oldest fix that is still
// used. Twice this is a good exactWithinMM for BuildFence (common
// practice, no source): it leaves a warning range before the stop.
func (r *Rover) FenceReachMM(l *Leg, speedMMPerS uint16) uint32 {
	return r.KeepMM(l, r.StoppingMM(l, uint32(speedMMPerS), uint32(r.StaleAfterMS)))
}

// check tests that the tables hold together: every index within its table, every
// path ends. So the board, which does not check, cannot read beyond them.
func (f *FenceTable) check() error {
	fail := func(format string, args ...any) error { return fmt.Errorf("fence: "+format, args...) }
	if f.RootLog2 < 1 || f.RootLog2 > 26 || len(f.Nodes) == 0 || len(f.Nodes)%4 != 0 || f.ListLog2 > 8 || f.MarginUnitMM == 0 {
		return fail("the search structure is malformed")
	}
	if len(f.Edges) > maxFenceEntry || len(f.Circles) > maxFenceEntry || len(f.Nodes) > 4*nodeLeaf {
		return fail("more entries than 16-bit words can number")
	}
	depth := make([]int, len(f.Nodes)/4) // of each group; groups only lead to later ones
	for group := range depth {
		for _, w := range f.Nodes[4*group : 4*group+4] {
			switch {
			case w < nodeLeaf:
				if int(w) <= group || int(w) >= len(depth) {
					return fail("group %d leads to %d", group, w)
				}
				depth[w] = depth[group] + 1
				if depth[w] >= int(f.RootLog2) {
					return fail("cells smaller than a millimetre")
				}
			case w > nodeLeaf && w < nodeClear:
				if err := f.checkList(int(w&nodeIndex) << f.ListLog2); err != nil {
					return err
				}
			}
		}
	}
	for i, e := range f.Edges {
		if e.Closes() && (i == 0 || f.Edges[i-1].Closes()) || !e.Closes() && i+1 == len(f.Edges) {
			return fail("the rings of the edge table are not closed at entry %d", i)
		}
		if !(planar.Point{E: int64(e.EastMM), N: int64(e.NorthMM)}).InRange() {
			return fail("edge %d is out of range", i)
		}
	}
	return nil
}

func (f *FenceTable) checkList(at int) error {
	if at >= len(f.Lists) || at+int(f.Lists[at]&listCount) >= len(f.Lists) {
		return fmt.Errorf("fence: list at %d is beyond the table", at)
	}
	for _, entry := range f.Lists[at+1 : at+1+int(f.Lists[at]&listCount)] {
		index := int(entry & entryIndex)
		if entry&entryCircle != 0 && index >= len(f.Circles) ||
			entry&entryCircle == 0 && (index+1 >= len(f.Edges) || f.Edges[index].Closes()) {
			return fmt.Errorf("fence: list at %d names entry %d, which does not exist", at, index)
		}
	}
	return nil
}
