package planar

// Everything that can be wrong with a ring, in one list for one report.

import (
	"cmp"
	"fmt"
	"slices"
)

// FaultKind names a fault of a ring. The comment says what First and Second of
// the RingFault are.
type FaultKind uint8

const (
	// TooFewVertices: fewer than three different places. First and Second are -1.
	TooFewVertices FaultKind = iota + 1
	// OutOfRange: vertex First is beyond MaxCoordinate. Nothing else is then
	// looked at, since nothing else would be proved. Second is -1.
	OutOfRange
	// ZeroLengthEdge: edge First joins two vertices at the same place. Second is -1.
	ZeroLengthEdge
	// NoArea: all vertices lie on one line. First and Second are -1.
	NoArea
	// Spike: the edges before and after vertex First fold back on each other.
	// Second is -1.
	Spike
	// RepeatedVertex: vertices First and Second, not neighbours, are at the
	// same place. First < Second.
	RepeatedVertex
	// VertexOnEdge: vertex First lies on edge Second, between its ends.
	VertexOnEdge
	// EdgesCross: edges First and Second cross between their ends. First < Second.
	EdgesCross
	// EdgesOverlap: edges First and Second, not neighbours, share a stretch.
	// First < Second.
	EdgesOverlap
)

// RingFault is one fault of a ring. Edge i runs from vertex i to the next.
type RingFault struct {
	Kind          FaultKind
	First, Second int // vertex or edge numbers from 0 as the kind says, or -1
}

func (f RingFault) String() string {
	switch f.Kind {
	case TooFewVertices:
		return "fewer than three different vertices"
	case OutOfRange:
		return fmt.Sprintf("vertex %d is out of range", f.First)
	case ZeroLengthEdge:
		return fmt.Sprintf("edge %d has no length", f.First)
	case NoArea:
		return "all vertices lie on one line"
	case Spike:
		return fmt.Sprintf("the edges fold back on each other at vertex %d", f.First)
	case RepeatedVertex:
		return fmt.Sprintf("vertices %d and %d are at the same place", f.First, f.Second)
	case VertexOnEdge:
		return fmt.Sprintf("vertex %d lies on edge %d", f.First, f.Second)
	case EdgesCross:
		return fmt.Sprintf("edges %d and %d cross", f.First, f.Second)
	case EdgesOverlap:
		return fmt.Sprintf("edges %d and %d overlap", f.First, f.Second)
	}
	return "unknown fault"
}

// MaxFaults is how many faults of one ring NewRegion lists. A ring driven into
// knots can have as many as it has pairs of edges.
const MaxFaults = 100

// faults lists what is wrong with the ring, in order of kind and then of the
// vertex or edge numbers; none for a sound ring, whichever way it runs. Of more
// than MaxFaults the rest is left out. NewRegion alone asks.
func (r Ring) faults() []RingFault {
	var faults []RingFault
	add := func(k FaultKind, first, second int) { faults = append(faults, RingFault{k, first, second}) }

	for i, p := range r {
		if !p.InRange() {
			add(OutOfRange, i, -1)
		}
	}
	if len(faults) > 0 {
		return sorted(faults)
	}

	// From here on work on the corners: the vertices at which an edge of some
	// length begins, so that one slip is reported once. The edge that begins in
	// corner i has the vertex's number too.
	var corners Ring
	var number []int
	for i, p := range r {
		if e := r.Edge(i); e.A == e.B {
			add(ZeroLengthEdge, i, -1)
			continue
		}
		corners, number = append(corners, p), append(number, i)
	}
	soundSoFar := func() bool { return len(faults) == len(r)-len(corners) } // but for those
	if !threePlaces(corners) {
		add(TooFewVertices, -1, -1)
		return sorted(faults)
	}
	if onOneLine(corners) {
		add(NoArea, -1, -1)
		return sorted(faults)
	}

	n := len(corners)
	spike := make([]bool, n)
	for i, p := range corners {
		u, v := corners[(i+n-1)%n].Sub(p), corners[(i+1)%n].Sub(p)
		if u.Cross(v) == 0 && u.Dot(v) > 0 {
			spike[i] = true
			add(Spike, number[i], -1)
		}
	}
	// acrossSpike: corner j comes two after corner i and a spike is between, so
	// that either being on the other's edge follows from the spike.
	acrossSpike := func(i, j int) bool { return (i+2)%n == j && spike[(i+1)%n] }
	at := make(map[Point]int, n)
	for i, p := range corners {
		j, ok := at[p]
		switch {
		case !ok:
			at[p] = i
		case !acrossSpike(j, i) && !acrossSpike(i, j):
			add(RepeatedVertex, number[j], number[i])
		}
	}

	// The sweep clears every sound ring in about n log n steps. Only when there
	// is something to list are the meetings listed, by asking an index for what
	// meets each edge.
	if soundSoFar() {
		if found, _ := corners.meetsItself(); !found {
			return sorted(faults)
		}
	}
	edges := NewIndex(corners.Edges())
	for i := 0; i < n && len(faults) < MaxFaults; i++ {
		e := corners.Edge(i)
		for _, j := range edges.Crossing(e) {
			if (i+1)%n == j || (j+1)%n == i {
				continue // one follows the other: a spike, or sound
			}
			f := corners.Edge(j)
			if e.A != f.A && e.A != f.B && f.HasPoint(e.A) && !acrossSpike(j, i) {
				add(VertexOnEdge, number[i], number[j])
			}
			if j <= i {
				continue
			}
			switch e.Crossing(f) {
			case Proper:
				add(EdgesCross, number[i], number[j])
			case Overlap:
				add(EdgesOverlap, number[i], number[j])
			}
		}
	}
	return sorted(faults)
}

func threePlaces(r Ring) bool {
	for _, p := range r {
		if p != r[0] {
			for _, q := range r {
				if q != r[0] && q != p {
					return true
				}
			}
			return false
		}
	}
	return false
}

func onOneLine(r Ring) bool {
	for i := 2; i < len(r); i++ {
		if Orientation(r[0], r[1], r[i]) != 0 {
			return false
		}
	}
	return true
}

// sorted puts the faults in order and leaves out those past MaxFaults.
func sorted(faults []RingFault) []RingFault {
	slices.SortFunc(faults, func(a, b RingFault) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), a.First-b.First, a.Second-b.Second)
	})
	return faults[:min(len(faults), MaxFaults)]
}
