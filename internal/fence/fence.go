// Package fence is the ground that a rover may enter: a boundary to stay inside
// of, obstacles to stay out of. Everybody who asks about it asks here, so that a
// ring is looked through for faults once, its edges are indexed once, and an edge
// has the same name and the same place in the mission wherever it is spoken of.
//
//	fence.go  what a fence is made of; names and places
//	ask.go    questions: nearest, struck, within, covers
//
// It knows exact geometry (planar) and places in the source (diag), and nothing
// of missions.
package fence

import (
	"iter"

	"merestone/internal/diag"
	"merestone/internal/planar"
)

// Boundary is the number of the boundary as a part of a fence. Obstacles are
// numbered from 0, as they are listed.
const Boundary = diag.BoundaryRing

// Mark is a mark of the fence: an entry of the list that a ring is written as,
// or the centre of a circle.
type Mark struct {
	Number int // in the survey
	Name   string
	At     diag.Position // of the entry
}

// Part is the boundary or an obstacle: a ring of marks, or a circle around one.
// What is exported is what the mission says; New finds out the rest, and a Part
// must not be changed after that.
type Part struct {
	diag.Source
	Name     string      // of an obstacle
	Marks    []Mark      // of the ring's vertices in the order written, or the centre alone
	Vertices planar.Ring // Vertices[i] is where Marks[i] is; none for a circle
	IsCircle bool
	Circle   planar.Circle
	HeightMM int64 // of its top above ground, 0 when not said
	Reflects bool  // satellite signals

	region *planar.Region
	faults []planar.RingFault
}

// Look looks the ring of a part that is in no fence through for faults.
func Look(p Part) Part {
	p.look()
	return p
}

func (p *Part) look() {
	if !p.IsCircle {
		p.region, p.faults = planar.NewRegion(p.Vertices)
	}
}

// Region is the area within the ring; nil for a circle and a ring with faults.
func (p *Part) Region() *planar.Region { return p.region }

// Faults are those of the ring, in the numbers of its vertices and edges.
func (p *Part) Faults() []planar.RingFault { return p.faults }

// Sound reports whether the part can be reckoned with.
func (p *Part) Sound() bool { return p.IsCircle || p.region != nil }

// EdgeName names edge i of a ring by the marks at its ends: "F1–F2".
func (p *Part) EdgeName(i int) string { return p.Marks[i].Name + "–" + p.Marks[p.next(i)].Name }

// EdgeAt is the place of edge i of a ring: the entry of the mark that it begins
// at, up to the end of the next where that stands behind it on the same line.
func (p *Part) EdgeAt(i int) diag.Position {
	at, end := p.Marks[i].At, p.Marks[p.next(i)].At
	if end.File == at.File && end.Line == at.Line && end.Column > at.Column {
		at.Width = end.Column + end.Width - at.Column
	}
	return at
}

func (p *Part) next(i int) int { return (i + 1) % len(p.Marks) }

// Edge is one edge of a fence: of a ring, from vertex Number to the next; or all
// the round of a circle, with Number Round.
type Edge struct{ Part, Number int }

// Round is the number of a circle's only edge.
const Round = -1

// Vertex is one vertex of a ring of a fence.
type Vertex struct{ Part, Number int }

// Fence is a boundary and obstacles, indexed, so that the cost of all questions
// together grows near-linearly with the size of a mission. Rings with faults
// have no edges here: questions pass over them. It is safe for use by several
// goroutines; the zero Fence has nothing in it and is not sound.
type Fence struct {
	Boundary  Part
	Obstacles []Part

	sound bool
	edges []Edge
	index planar.Index // over edges
	// widestMM is the east-west extent of the widest obstacle with a ring.
	widestMM int64

	circles       []int        // obstacles that are circles
	centres       planar.Index // over their centres
	largestRadius int64
}

// New looks every ring through for faults, and indexes those without.
func New(boundary Part, obstacles []Part) Fence {
	f := Fence{Boundary: boundary, Obstacles: obstacles, sound: true}
	var segments, centres []planar.Segment
	for n, p := range f.Parts() {
		if p.IsCircle {
			f.circles = append(f.circles, n)
			centres = append(centres, at(p.Circle.Centre))
			f.largestRadius = max(f.largestRadius, p.Circle.RadiusMM)
			continue
		}
		if p.look(); p.region == nil {
			f.sound = false
			continue
		}
		west, east := p.Vertices[0].E, p.Vertices[0].E
		for i, v := range p.Vertices {
			west, east = min(west, v.E), max(east, v.E)
			f.edges = append(f.edges, Edge{n, i})
			segments = append(segments, p.Vertices.Edge(i))
		}
		if n != Boundary {
			f.widestMM = max(f.widestMM, east-west)
		}
	}
	f.index, f.centres = *planar.NewIndex(segments), *planar.NewIndex(centres)
	return f
}

// at is a point as a segment of no length.
func at(p planar.Point) planar.Segment { return planar.Segment{A: p, B: p} }

// Part is the part with a number: Boundary, or that of an obstacle.
func (f *Fence) Part(n int) *Part {
	if n == Boundary {
		return &f.Boundary
	}
	return &f.Obstacles[n]
}

// Parts are the boundary and the obstacles, with their numbers.
func (f *Fence) Parts() iter.Seq2[int, *Part] {
	return func(yield func(int, *Part) bool) {
		for n := Boundary; n < len(f.Obstacles) && yield(n, f.Part(n)); n++ {
		}
	}
}

// Sound reports whether every part can be reckoned with.
func (f *Fence) Sound() bool { return f.sound }

// Marks are those of all parts.
func (f *Fence) Marks() []Mark {
	var marks []Mark
	for _, p := range f.Parts() {
		marks = append(marks, p.Marks...)
	}
	return marks
}

// RoundCentres are the obstacles that are circles, by the numbers of the marks that are
// their centres.
func (f *Fence) RoundCentres() map[int]int {
	centres := map[int]int{}
	for i, o := range f.Obstacles {
		if o.IsCircle && len(o.Marks) > 0 {
			centres[o.Marks[0].Number] = i
		}
	}
	return centres
}

// PartName says which part is meant: "boundary", "obstacle shed".
func (f *Fence) PartName(n int) string {
	if n == Boundary {
		return "boundary"
	}
	return "obstacle " + f.Obstacles[n].Name
}

// Name says which edge is meant: "boundary edge F1–F2", "obstacle shed edge
// S1–S2"; a circle is meant as a whole.
func (f *Fence) Name(e Edge) string {
	if e.Number == Round {
		return f.PartName(e.Part)
	}
	return f.PartName(e.Part) + " edge " + f.Part(e.Part).EdgeName(e.Number)
}

// Where is the place of an edge; a circle's is that of the obstacle.
func (f *Fence) Where(e Edge) diag.Position {
	if e.Number == Round {
		return f.Part(e.Part).At
	}
	return f.Part(e.Part).EdgeAt(e.Number)
}

// Ends are the marks at the ends of an edge; for a circle both are its centre.
func (f *Fence) Ends(e Edge) [2]Mark {
	p := f.Part(e.Part)
	if e.Number == Round {
		return [2]Mark{p.Marks[0], p.Marks[0]}
	}
	return [2]Mark{p.Marks[e.Number], p.Marks[p.next(e.Number)]}
}
