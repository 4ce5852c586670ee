package planar

// Everything that can be wrong with a ring, found in one pass for one report.

import (
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

// Faults lists what is wrong with the ring, in order of kind and then of the
// vertex or edge numbers; none for a sound ring, whichever way it runs.
func (r Ring) Faults() []RingFault {
	var faults []RingFault
	add := func(k FaultKind, first, second int) { faults = append(faults, RingFault{k, first, second}) }

	for i, p := range r {
		if !p.InRange() {
			add(OutOfRange, i, -1)
		}
	}
	if len(faults) > 0 {
		return faults
	}

	// From here on work on the corners, the vertices without those that repeat
	// their forerunner, so that one slip is reported once.
	var corners Ring
	var number []int // number[i]: which vertex corner i is
	for i, p := range r {
		if r.Edge(i).A == r.Edge(i).B && len(r) > 1 {
			add(ZeroLengthEdge, i, -1)
		}
		if i == 0 || p != r[i-1] {
			corners, number = append(corners, p), append(number, i)
		}
	}
	for len(corners) > 1 && corners[len(corners)-1] == corners[0] {
		corners, number = corners[:len(corners)-1], number[:len(number)-1]
	}
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
	at := make(map[Point]int, n)
	for i, p := range corners {
		if j, ok := at[p]; ok {
			add(RepeatedVertex, number[j], number[i])
		} else {
			at[p] = i
		}
	}

	// An edge of corners ends where the next corner is, so its number as an
	// edge of r is that of the last vertex before it.
	edgeNumber := func(i int) int {
		if i+1 < n {
			return number[i+1] - 1
		}
		return (number[0] + len(r) - 1) % len(r)
	}
	edges := NewIndex(corners.Edges())
	for i := range corners {
		e := corners.Edge(i)
		for _, j := range edges.Crossing(e) {
			f := corners.Edge(j)
			if j != i && j != (i+n-1)%n && e.A != f.A && e.A != f.B && f.HasPoint(e.A) {
				add(VertexOnEdge, number[i], edgeNumber(j))
			}
			if j <= i+1 || i == 0 && j == n-1 {
				continue
			}
			switch e.Crossing(f) {
			case Proper:
				add(EdgesCross, edgeNumber(i), edgeNumber(j))
			case Overlap:
				add(EdgesOverlap, edgeNumber(i), edgeNumber(j))
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

func sorted(faults []RingFault) []RingFault {
	slices.SortFunc(faults, func(a, b RingFault) int {
		switch {
		case a.Kind != b.Kind:
			return int(a.Kind) - int(b.Kind)
		case a.First != b.First:
			return a.First - b.First
		}
		return a.Second - b.Second
	})
	return faults
}
