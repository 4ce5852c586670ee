package planar

// Does a ring touch or cross itself anywhere? Answered with one sweep from west
// to east in about n log n steps for every ring, however its edges lie (the
// boxes of an Index are of no help where many long slanting edges lie side by
// side).
//
// A line sweeps over the ring and keeps the edges that it meets in their order
// from south to north. Two edges that meet must be next to each other on the
// line just before they do, so it is enough to test neighbours, each time an
// edge comes in or goes out (Shamos and Hoey, "Geometric intersection
// problems", FOCS 1976). Until the first meeting is found, the order of two
// edges on the line never changes and follows from the side of the one on which
// an end of the other lies: Orientation of three vertices, exact. At the first
// meeting the sweep ends.
//
// Points are ordered by E, then by N. That is the order in which a line tilted
// ever so slightly meets them, and edges due north need no special care.

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

func eastward(p, q Point) int {
	return cmp.Or(cmp.Compare(p.E, q.E), cmp.Compare(p.N, q.N))
}

// meetsItself reports whether any two edges of the ring have more in common
// than the vertex where one follows the other. The ring has at least three
// vertices, no repeated vertex and no spike (so neighbouring edges need no
// test). It also returns how many pairs of edges it looked at.
func (r Ring) meetsItself() (found bool, work int) {
	n := len(r)
	vertices := make([]int, n)
	for i := range vertices {
		vertices[i] = i
	}
	slices.SortFunc(vertices, func(i, j int) int { return eastward(r[i], r[j]) })

	l := newSweepLine(r)
	for _, v := range vertices {
		before, after := (v+n-1)%n, v // the edges that end and begin in vertex v
		for _, e := range [...]int{before, after} {
			if l.edges[e].B == r[v] && !l.remove(e) {
				return true, l.work
			}
		}
		for _, e := range [...]int{before, after} {
			if l.edges[e].A == r[v] && !l.insert(e) {
				return true, l.work
			}
		}
	}
	return false, l.work
}

// sweepLine is the edges on the line, in order from south to north: as a chain
// for the neighbours, and as a treap (a search tree kept level by random
// priorities; Seidel and Aragon, "Randomized search trees", 1996) to find where
// a new edge belongs. Edge numbers serve as links; none is -1.
type sweepLine struct {
	edges        []Segment // A west of B
	south, north []int     // neighbours in the chain
	less, more   []int     // children in the treap
	priority     []uint32
	root         int
	work         int
}

const none = -1

func newSweepLine(r Ring) *sweepLine {
	n := len(r)
	l := &sweepLine{
		edges: r.Edges(), root: none, priority: make([]uint32, n),
		south: make([]int, n), north: make([]int, n), less: make([]int, n), more: make([]int, n),
	}
	rng := rand.New(rand.NewPCG(0, 0)) // for the tree's shape only, the same every time
	for i, e := range l.edges {
		if eastward(e.A, e.B) > 0 {
			l.edges[i] = e.Reversed()
		}
		l.priority[i] = rng.Uint32()
	}
	return l
}

// side is +1 when edge e runs north of edge f on the line, -1 when south, and 0
// when they meet. Both are on the line, so the one that begins further east
// begins within the span of the other.
func (l *sweepLine) side(e, f int) int {
	l.work++
	s, t := l.edges[e], l.edges[f]
	switch order := eastward(s.A, t.A); {
	case order > 0:
		return Orientation(t.A, t.B, s.A)
	case order < 0:
		return -Orientation(s.A, s.B, t.A)
	}
	return Orientation(t.A, t.B, s.B) // both begin in one vertex
}

// apart reports whether neighbours e and f on the line are sound: edges that
// follow each other in the ring, or that do not meet.
func (l *sweepLine) apart(e, f int) bool {
	if e == none || f == none {
		return true
	}
	l.work++
	n := len(l.edges)
	return (e+1)%n == f || (f+1)%n == e || !l.edges[e].Intersects(l.edges[f])
}

// insert puts edge e on the line. It is false when e meets another edge.
func (l *sweepLine) insert(e int) bool {
	// Down the tree: the last edge passed on either side is the neighbour there.
	south, north := none, none
	for i := l.root; i != none; {
		switch l.side(e, i) {
		case 0:
			return false
		case 1:
			south, i = i, l.more[i]
		default:
			north, i = i, l.less[i]
		}
	}
	l.south[e], l.north[e] = south, north
	if south != none {
		l.north[south] = e
	}
	if north != none {
		l.south[north] = e
	}
	l.root = l.insertBelow(l.root, e)
	return l.apart(south, e) && l.apart(e, north)
}

// remove takes edge e off the line. It is false when its neighbours, now next
// to each other, meet.
func (l *sweepLine) remove(e int) bool {
	south, north := l.south[e], l.north[e]
	if south != none {
		l.north[south] = north
	}
	if north != none {
		l.south[north] = south
	}
	l.root = l.removeBelow(l.root, e)
	return l.apart(south, north)
}

// insertBelow puts e into the tree under i and returns the tree's new top.
func (l *sweepLine) insertBelow(i, e int) int {
	switch {
	case i == none:
		l.less[e], l.more[e] = none, none
		return e
	case l.priority[e] > l.priority[i]:
		l.less[e], l.more[e] = l.split(i, e)
		return e
	case l.side(e, i) > 0:
		l.more[i] = l.insertBelow(l.more[i], e)
	default:
		l.less[i] = l.insertBelow(l.less[i], e)
	}
	return i
}

// split takes the tree under i apart into what is south of e and what is north.
func (l *sweepLine) split(i, e int) (south, north int) {
	if i == none {
		return none, none
	}
	if l.side(e, i) > 0 {
		l.more[i], north = l.split(l.more[i], e)
		return i, north
	}
	south, l.less[i] = l.split(l.less[i], e)
	return south, i
}

// removeBelow takes e out of the tree under i and returns the tree's new top.
func (l *sweepLine) removeBelow(i, e int) int {
	switch {
	case i == e:
		return l.join(l.less[e], l.more[e])
	case l.side(e, i) > 0:
		l.more[i] = l.removeBelow(l.more[i], e)
	default:
		l.less[i] = l.removeBelow(l.less[i], e)
	}
	return i
}

// join makes one tree of two, all of south being south of all of north.
func (l *sweepLine) join(south, north int) int {
	switch {
	case south == none:
		return north
	case north == none:
		return south
	case l.priority[south] > l.priority[north]:
		l.more[south] = l.join(l.more[south], north)
		return south
	}
	l.less[north] = l.join(south, l.less[north])
	return north
}
