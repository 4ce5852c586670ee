package guidance

// Cells and the parts of the fence in them: which of them enter a cell, which may be
// the nearest to one of its points, and which rings its corner is within.

import (
	"math"

	"merestone/internal/planar"
)

// fencePart is an edge or a circle.
type fencePart struct {
	a, b   planar.Point // of an edge; a is the centre of a circle
	radius int64        // of a circle
	entry  uint16       // its number, and entryCircle
	ring   int32        // of an edge: 0 is the boundary
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

// quarter is one of the four cells that a cut makes: south-west, south-east, north-west,
// north-east.
func (c cell) quarter(which int) cell {
	half := c.side() / 2
	return cell{log2: c.log2 - 1, corner: planar.Point{E: c.corner.E + half*int64(which&1), N: c.corner.N + half*int64(which>>1)}}
}

// middle is the point in the middle of the cell, or next to it.
func (c cell) middle() planar.Point {
	half := c.side() / 2
	return planar.Point{E: c.corner.E + half, N: c.corner.N + half}
}

func (c cell) corners() [4]planar.Point {
	f := c.far()
	return [4]planar.Point{c.corner, {E: f.E, N: c.corner.N}, {E: c.corner.E, N: f.N}, f}
}

// nearby is what matters for a cell.
type nearby struct {
	parts          []int32 // those that enter the cell or may be nearest to a point of it
	edges, circles bool    // whether any enters the cell
	others         float64 // no part left out for being far is nearer than this
	least, most    float64 // no distance of a point of the cell from the fence is outside these
}

// scratch is room for the work on one cell.
type scratch struct {
	winding  []int32      // by ring
	enters   []bool       // by ring
	on       []bool       // by ring
	corners  [][4]float64 // by place among the parts of a cell: distances of its corners
	least    []float64
	entering []bool
}

func newScratch(rings, parts int) scratch {
	return scratch{make([]int32, rings), make([]bool, rings), make([]bool, rings),
		make([][4]float64, parts), make([]float64, parts), make([]bool, parts)}
}

// nearest keeps of the parts given those that enter the cell, and those that may be
// nearest to a point of it. A distance from a convex thing, d, is a convex function:
// within the cell it is nowhere greater than at the greatest of the corners, and in
// each of the two triangles that the corners make it does not exceed the plane through
// its values there; nor is it anywhere below a plane that touches it, such as
// the one at the middle q of the cell, d(q) + g (p - q), where g points straight away
// from the part. So a part is nowhere the nearest
//
//   - whose least distance is greater than the greatest of another one, or
//   - whose plane is at every corner above the distance of another one: of those that
//     are nearest at a corner or at the middle.
func (b *fenceBuilder) nearest(c cell, parts []int32) nearby {
	corners := c.corners()
	n := nearby{least: math.Inf(1), most: math.Inf(1), others: math.Inf(1)}
	for i, part := range parts {
		var most float64
		b.corners[i], b.least[i], most, b.entering[i] = b.parts[part].distances(c, corners)
		n.least = min(n.least, b.least[i])
		n.most = min(n.most, most)
	}
	// Those that remain go to the front of the room.
	limit := float64(b.table.LimitMM) + 2*floatSlackMM
	count := 0
	for i, part := range parts {
		switch {
		case b.entering[i]:
			if b.parts[part].isCircle() {
				n.circles = true
			} else {
				n.edges = true
			}
		case b.least[i] > n.most+2*floatSlackMM:
			continue
		case b.least[i] > limit:
			n.others = min(n.others, b.least[i])
			continue
		}
		n.parts = append(n.parts, part)
		b.corners[count], b.entering[count] = b.corners[i], b.entering[i]
		count++
	}
	if count < 2 {
		return n
	}
	middle := c.middle()
	var best [5]int // nearest at the corners and the middle
	least := math.Inf(1)
	for i, part := range n.parts {
		for k := range 4 {
			if b.corners[i][k] < b.corners[best[k]][k] {
				best[k] = i
			}
		}
		if d := b.parts[part].distance(middle); d < least {
			least, best[4] = d, i
		}
	}
	kept := n.parts[:0]
	for i, part := range n.parts {
		if b.entering[i] || i == best[0] || i == best[1] || i == best[2] || i == best[3] || i == best[4] ||
			!b.beaten(b.parts[part].plane(middle, corners), best[:]) {
			kept = append(kept, part)
		}
	}
	n.parts = kept
	return n
}

// beaten tells whether one of the parts given is nearer than a plane at all corners.
func (b *fenceBuilder) beaten(plane [4]float64, by []int) bool {
	for _, j := range by {
		d := &b.corners[j]
		if plane[0] > d[0]+2*floatSlackMM && plane[1] > d[1]+2*floatSlackMM &&
			plane[2] > d[2]+2*floatSlackMM && plane[3] > d[3]+2*floatSlackMM {
			return true
		}
	}
	return false
}

// distances are those of the corners of the cell from the part, the least and the
// greatest of all its points, and whether the part enters it. For a circle a distance is
// negative within it, and the greatest so when it covers all of the cell, up to
// rounding: what is missed is found in smaller cells.
func (p *fencePart) distances(c cell, corners [4]planar.Point) (at [4]float64, least, most float64, enters bool) {
	for k, corner := range corners {
		at[k] = p.distance(corner)
	}
	most = max(at[0], at[1], at[2], at[3])
	if enters = p.enters(c, corners); enters {
		return at, 0, most, true
	}
	if p.isCircle() {
		return at, max(boxDistance(c, p.a)-float64(p.radius), 0), most, false
	}
	// Two convex things apart are nearest at a corner of one of them.
	return at, min(at[0], at[1], at[2], at[3], boxDistance(c, p.a), boxDistance(c, p.b)), most, false
}

// distance is that of a point from the part; within a circle it is negative.
func (p *fencePart) distance(at planar.Point) float64 {
	if p.isCircle() {
		return math.Sqrt(float64(at.Sub(p.a).Norm2())) - float64(p.radius)
	}
	return math.Sqrt(p.squaredDistance(at))
}

// plane is the value at each corner of the plane that touches the distance from the part
// at a point outside it.
func (p *fencePart) plane(at planar.Point, corners [4]planar.Point) (values [4]float64) {
	// away is the way from the nearest point of the part, or of a circle's centre.
	var east, north float64
	w := at.Sub(p.a)
	if p.isCircle() {
		east, north = float64(w.E), float64(w.N)
	} else {
		u := p.b.Sub(p.a)
		switch along, norm := u.E*w.E+u.N*w.N, u.E*u.E+u.N*u.N; {
		case along <= 0:
			east, north = float64(w.E), float64(w.N)
		case along >= norm:
			w = at.Sub(p.b)
			east, north = float64(w.E), float64(w.N)
		default: // straight across: (-uN, uE) times the cross product
			east, north = float64(-u.N), float64(u.E)
			if u.E*w.N-u.N*w.E < 0 {
				east, north = -east, -north
			}
		}
	}
	length := math.Sqrt(float64(east*east) + float64(north*north))
	if length == 0 {
		return values // on the part: no plane above 0
	}
	d := p.distance(at)
	for k, corner := range corners {
		v := corner.Sub(at)
		values[k] = d + float64((float64(float64(v.E)*east)+float64(float64(v.N)*north))/length)
	}
	return values
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
	return math.Sqrt(float64(east*east + north*north))
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
	return p.divides(corners)
}

// divides tells whether the line through the edge has a point in common with the cell's
// rectangle.
func (p *fencePart) divides(corners [4]planar.Point) bool {
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

// standpoint is a point with a known winding number, from which those of others
// are found by counting crossings with the given parts. They must include all
// edges between the two.
type standpoint struct {
	at       planar.Point
	boundary bool          // the boundary is not among the open rings, and the point is within it
	open     []ringWinding // of rings that may enter the cell; no other obstacle is around the point
	parts    []int32
}

// ringWinding is the winding number of one ring: 0 outside, within the boundary 1, within
// an obstacle -1.
type ringWinding struct{ ring, winding int32 }

// winding is the winding number of all rings.
func (s *standpoint) winding() int {
	n := int32(0)
	if s.boundary {
		n = 1
	}
	for _, r := range s.open {
		n += r.winding
	}
	return int(n)
}

// windingsAt are the winding numbers at the corner of a cell, counted from a standpoint
// as the board counts them. closed says that nothing in the cell is allowed, since it is
// all within an obstacle or outside the boundary; onEdge that the corner is on an edge,
// when the numbers mean nothing.
func (b *fenceBuilder) windingsAt(c cell, from standpoint, near nearby) (at standpoint, closed, onEdge bool) {
	for _, r := range from.open {
		b.winding[r.ring], b.enters[r.ring], b.on[r.ring] = r.winding, false, false
	}
	for _, part := range from.parts {
		p := &b.parts[part]
		if p.isCircle() {
			continue
		}
		side := planar.Orientation(p.a, p.b, c.corner)
		if side == 0 && (planar.Segment{A: p.a, B: p.b}).HasPoint(c.corner) {
			b.on[p.ring], onEdge = true, true
		}
		before := planar.Orientation(p.a, p.b, from.at) > 0
		if (side > 0) == before {
			continue
		}
		first := planar.Orientation(from.at, c.corner, p.a) > 0
		second := planar.Orientation(from.at, c.corner, p.b) > 0
		switch {
		case first == second:
		case side > 0:
			b.winding[p.ring]++
		default:
			b.winding[p.ring]--
		}
	}
	if near.edges {
		corners := c.corners()
		for _, part := range near.parts {
			if p := &b.parts[part]; !p.isCircle() && !b.enters[p.ring] && p.enters(c, corners) {
				b.enters[p.ring] = true
			}
		}
	}
	at = standpoint{at: c.corner, boundary: from.boundary, parts: near.parts}
	for _, r := range from.open {
		switch {
		case b.enters[r.ring] || b.on[r.ring]:
			at.open = append(at.open, ringWinding{r.ring, b.winding[r.ring]})
		case r.ring == 0 && b.winding[0] != 1, r.ring > 0 && b.winding[r.ring] != 0:
			return at, true, onEdge
		case r.ring == 0:
			at.boundary = true
		}
	}
	return at, false, onEdge
}
