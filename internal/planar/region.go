package planar

// A ring without faults together with an index of its edges, for many questions
// to one ring.

// Region is the area inside a ring, its edges included. There is none of a ring
// with faults: who has a region need not look for them again. It is safe for use
// by several goroutines.
type Region struct {
	ring  Ring
	edges *Index
}

// NewRegion makes the region of a ring, or says what is wrong with the ring: it
// returns one of the two. The ring is kept and must not be changed.
func NewRegion(r Ring) (*Region, []RingFault) {
	if faults := r.faults(); len(faults) > 0 {
		return nil, faults
	}
	return newRegion(r), nil
}

func newRegion(r Ring) *Region { return &Region{ring: r, edges: NewIndex(r.Edges())} }

// Ring is the ring the region was made from.
func (g *Region) Ring() Ring { return g.ring }

// Edges is the index of the ring's edges; the ids are edge numbers. A distance
// from an edge does not tell the inside from the outside.
func (g *Region) Edges() *Index { return g.edges }

// Contains says where p is with regard to the ring, exactly, in about
// log n + k steps for k edges met by a line due east from p.
func (g *Region) Contains(p Point) Location {
	at, _ := g.contains(doubled(p))
	return at
}

func (g *Region) contains(at halfPoint) (l Location, work int) {
	inside, on := false, false
	work = g.edges.walk(func(b bundle) bool { return !on && !at.isBeyond(b.box) }, func(_ int, s Segment) {
		switch edgeEastOf(s, at) {
		case through:
			on = true
		case crosses:
			inside = !inside
		}
	})
	if on {
		return OnEdge, work
	}
	return location(inside), work
}

// Covers reports whether the whole of s is inside the ring or on it, exactly.
func (g *Region) Covers(s Segment) bool {
	met := g.edges.Crossing(s)
	edges := make([]Segment, len(met))
	for i, id := range met {
		edges[i] = g.ring.Edge(id)
	}
	return covers(s, edges, func(at halfPoint) Location {
		l, _ := g.contains(at)
		return l
	})
}

// CoversRing reports whether all of r's edges are inside the region's ring or
// on it, exactly. Since a region has no holes, the area within r then is too.
func (g *Region) CoversRing(r Ring) bool {
	for i := range r {
		if !g.Covers(r.Edge(i)) {
			return false
		}
	}
	return true
}

// CoversCircle reports whether all of the disc is inside the ring or on it,
// exactly.
func (g *Region) CoversCircle(c Circle) bool {
	if g.Contains(c.Centre) == Outside {
		return false
	}
	_, d := g.edges.NearestSquared(Segment{c.Centre, c.Centre})
	return !d.Less(c.RadiusMM)
}
