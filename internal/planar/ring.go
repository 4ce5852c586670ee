package planar

// Rings: closed chains of straight edges, as a fence is surveyed.

import (
	"math"
	"math/bits"
	"slices"
)

// Ring is a closed chain of edges given by its vertices. The list is open: the
// last vertex joins the first, which is not repeated. Edge i runs from vertex i
// to vertex i+1, the last edge back to vertex 0. Either direction will do.
type Ring []Point

// Location says where a point is with regard to a ring.
type Location uint8

const (
	// Outside the ring.
	Outside Location = iota
	// OnEdge: exactly on an edge or a vertex.
	OnEdge
	// Inside the ring.
	Inside
)

// Edge is edge i, from vertex i to the next.
func (r Ring) Edge(i int) Segment {
	if i == len(r)-1 {
		return Segment{r[i], r[0]}
	}
	return Segment{r[i], r[i+1]}
}

// Edges are all edges in order: as many as there are vertices.
func (r Ring) Edges() []Segment {
	edges := make([]Segment, len(r))
	for i := range r {
		edges[i] = r.Edge(i)
	}
	return edges
}

func location(inside bool) Location {
	if inside {
		return Inside
	}
	return Outside
}

// halfPoint is a point in half millimetres, so that the middle between two
// points of the frame has whole coordinates too.
type halfPoint struct{ E, N int64 }

func doubled(p Point) halfPoint           { return halfPoint{2 * p.E, 2 * p.N} }
func middle(p, q Point) halfPoint         { return halfPoint{p.E + q.E, p.N + q.N} }
func (h halfPoint) sub(p Point) Vector    { return Vector{h.E - 2*p.E, h.N - 2*p.N} }
func (h halfPoint) isBeyond(b box) bool   { return h.N < 2*b.minN || h.N > 2*b.maxN || h.E > 2*b.maxE }
func (h halfPoint) onLevelOf(p Point) int { return sign(h.N - 2*p.N) }

// sighting is what a ray due east from a point meets at an edge.
type sighting uint8

const (
	misses  sighting = iota
	crosses          // the ray crosses the edge
	through          // the point itself is on the edge
)

// edgeEastOf says what the ray due east from p meets at edge s. An edge counts
// with its lower end and without its upper end, so that a ray through a vertex
// counts once where the ring passes it and twice or not at all where the ring
// turns back. (The rule is that of every ray-casting test; see for instance
// O'Rourke, Computational Geometry in C, section 7.4.)
//
// Bound: in half millimetres, three points in a square of side 2*S, so the
// cross product is at most (2*S)^2 = 6.4e15 < 2^53.
func edgeEastOf(s Segment, p halfPoint) sighting {
	if p.isBeyond(boxOf(s)) {
		return misses
	}
	u := s.Vector()
	side := sign(2*u.E*p.sub(s.A).N - 2*u.N*p.sub(s.A).E) // +1: p to the left of s
	if side == 0 && p.E >= 2*min(s.A.E, s.B.E) {
		return through
	}
	switch {
	case p.onLevelOf(s.A) >= 0 && p.onLevelOf(s.B) < 0 && side > 0: // upward edge, p west of it
		return crosses
	case p.onLevelOf(s.B) >= 0 && p.onLevelOf(s.A) < 0 && side < 0: // downward edge, p west of it
		return crosses
	}
	return misses
}

// SignedArea2 is twice the enclosed area in square millimetres, positive when
// the vertices run counter-clockwise.
//
// A ring that does not cross itself encloses at most the whole site, so twice
// its area is at most 2*S^2 = 3.2e15. The sum that leads there can be wider:
// each of n triangles adds up to S^2 = 1.6e15, and past 5764 of them int64
// could overflow. It is therefore formed in 128 bits. The area of a ring that
// winds around itself thousands of times may not fit int64 even in the end;
// the answer is then the int64 nearest to it, so that its sign always holds.
func (r Ring) SignedArea2() int64 {
	var hi, lo uint64 // two's complement
	for i := range r {
		s := r.Edge(i)
		t := s.A.Sub(r[0]).Cross(s.B.Sub(r[0]))
		var carry uint64
		lo, carry = bits.Add64(lo, uint64(t), 0)
		hi, _ = bits.Add64(hi, uint64(t>>63), carry) // t>>63: the sign spread over the upper word
	}
	switch {
	case int64(hi) == int64(lo)>>63:
		return int64(lo)
	case int64(hi) < 0:
		return math.MinInt64
	}
	return math.MaxInt64
}

// IsCounterClockwise reports whether the vertices run counter-clockwise seen
// from above, east to the right and north up.
func (r Ring) IsCounterClockwise() bool { return r.SignedArea2() > 0 }

// covers reports whether all of seg is inside or on a ring, given at least
// those edges of it that meet seg, and its containment test.
//
// Where seg and an edge cross in the interior of both, seg leaves the ring.
// Otherwise they meet only at vertices of the ring on seg and at ends of seg.
// These points cut seg into stretches, and between two of them nothing changes:
// the stretch is inside, outside, or along an edge as a whole, as its middle
// is. The middle of two whole points is whole in half millimetres.
func covers(seg Segment, edges []Segment, contains func(halfPoint) Location) bool {
	if contains(doubled(seg.A)) == Outside {
		return false
	}
	cuts := []Point{seg.A, seg.B}
	for _, e := range edges {
		switch seg.Crossing(e) {
		case Proper:
			return false
		case Touch, Overlap:
			for _, p := range [...]Point{e.A, e.B} {
				if seg.HasPoint(p) {
					cuts = append(cuts, p)
				}
			}
		}
	}
	u := seg.Vector()
	slices.SortFunc(cuts, func(p, q Point) int { return sign(u.Dot(p.Sub(q))) })
	cuts = slices.Compact(cuts)
	for i := range len(cuts) - 1 {
		if contains(middle(cuts[i], cuts[i+1])) == Outside {
			return false
		}
	}
	return true
}
