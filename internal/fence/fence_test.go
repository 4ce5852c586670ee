// Names and places of edges, and what a fence of nothing answers.
package fence

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/planar"
)

// ring is a part whose marks are called prefix 1, 2 and on, listed on one line.
func ring(prefix string, line int, vertices ...planar.Point) Part {
	p := Part{Source: source(line), Name: prefix, Vertices: vertices}
	for i := range vertices {
		p.Marks = append(p.Marks, Mark{Number: i, Name: fmt.Sprint(prefix, i+1), At: diag.Position{File: "m.yaml", Line: line, Column: 10 + 5*i, Width: 3}})
	}
	return p
}

func circle(name string, line int, e, n, radius int64) Part {
	return Part{
		Source: source(line), Name: name, IsCircle: true, Circle: planar.Circle{Centre: planar.Point{E: e, N: n}, RadiusMM: radius},
		Marks: []Mark{{Name: name + " centre", At: diag.Position{File: "m.yaml", Line: line, Column: 10, Width: 3}}},
	}
}

func source(line int) diag.Source {
	return diag.Source{At: diag.Position{File: "m.yaml", Line: line, Column: 3, Width: 4}, Path: fmt.Sprint("line ", line)}
}

func square(e, n, side int64) []planar.Point {
	return []planar.Point{{E: e, N: n}, {E: e + side, N: n}, {E: e + side, N: n + side}, {E: e, N: n + side}}
}

func TestNamesAndPlaces(t *testing.T) {
	boundary := ring("F", 1, square(0, 0, 1000)...)
	boundary.Marks[2].At = diag.Position{File: "m.yaml", Line: 2, Column: 10, Width: 3} // F3 begins a new line
	f := New(boundary, []Part{circle("well", 3, 500, 500, 10), ring("S", 4, square(100, 100, 50)...)})
	for _, c := range []struct {
		edge  Edge
		name  string
		where diag.Position
		ends  [2]string
	}{
		{Edge{Boundary, 0}, "boundary edge F1–F2", diag.Position{File: "m.yaml", Line: 1, Column: 10, Width: 8}, [2]string{"F1", "F2"}},
		{Edge{Boundary, 1}, "boundary edge F2–F3", diag.Position{File: "m.yaml", Line: 1, Column: 15, Width: 3}, [2]string{"F2", "F3"}},
		{Edge{Boundary, 3}, "boundary edge F4–F1", diag.Position{File: "m.yaml", Line: 1, Column: 25, Width: 3}, [2]string{"F4", "F1"}},
		{Edge{0, Round}, "obstacle well", source(3).At, [2]string{"well centre", "well centre"}},
		{Edge{1, 2}, "obstacle S edge S3–S4", diag.Position{File: "m.yaml", Line: 4, Column: 20, Width: 8}, [2]string{"S3", "S4"}},
		{Edge{1, 3}, "obstacle S edge S4–S1", diag.Position{File: "m.yaml", Line: 4, Column: 25, Width: 3}, [2]string{"S4", "S1"}},
	} {
		assert.Equal(t, c.name, f.Name(c.edge))
		assert.Equal(t, c.where, f.Where(c.edge), c.name)
		ends := f.Ends(c.edge)
		assert.Equal(t, c.ends, [2]string{ends[0].Name, ends[1].Name}, c.name)
	}
	var names []string
	for _, m := range f.Marks() {
		names = append(names, m.Name)
	}
	assert.Equal(t, []string{"F1", "F2", "F3", "F4", "well centre", "S1", "S2", "S3", "S4"}, names)
	assert.True(t, f.Sound())
}

// Rings with faults say which, and questions pass over them.
func TestRingsWithFaults(t *testing.T) {
	bow := []planar.Point{{E: 0, N: 0}, {E: 10, N: 10}, {E: 10, N: 0}, {E: 0, N: 10}}
	f := New(ring("F", 1, square(0, 0, 1000)...), []Part{ring("S", 2, bow...), ring("T", 3, square(500, 500, 10)...)})
	assert.False(t, f.Sound())
	assert.True(t, f.Boundary.Sound())
	assert.Empty(t, f.Boundary.Faults())
	assert.Equal(t, []planar.RingFault{{Kind: planar.EdgesCross, First: 0, Second: 2}}, f.Obstacles[0].Faults())
	assert.Nil(t, f.Obstacles[0].Region())
	assert.True(t, f.Passage(at(planar.Point{E: 5, N: 3})).Clear(), "nobody knows where its inside is")
	assert.False(t, f.Passage(at(planar.Point{E: 505, N: 505})).Clear())
	assert.False(t, f.Boundary.Covers(&Part{}), "a ring of nothing")

	f = New(ring("F", 1, bow...), nil)
	assert.False(t, f.Sound())
	_, _, ok := f.Nearest(at(planar.Point{}), Anywhere)
	assert.False(t, ok)
	assert.True(t, f.Passage(at(planar.Point{E: -5})).Clear(), "nothing is outside of what encloses nothing")
}

func TestTheZeroFence(t *testing.T) {
	var f Fence
	assert.False(t, f.Sound())
	assert.Empty(t, f.Marks())
	assert.Empty(t, f.Within(at(planar.Point{}), Anywhere))
	_, _, ok := f.Nearest(at(planar.Point{}), Anywhere)
	assert.False(t, ok)
	assert.True(t, f.Passage(at(planar.Point{})).Clear())
}

// Of several edges at one whole millimetre: rings before circles, the nearer ring
// before the one listed first, and then the first.
func TestNearestOfEquals(t *testing.T) {
	from := at(planar.Point{E: 500, N: 500})
	nearest := func(obstacles ...Part) string {
		f := New(ring("F", 1, square(0, 0, 1000)...), obstacles)
		e, mm, ok := f.Nearest(from, Anywhere)
		require.True(t, ok)
		return fmt.Sprint(f.Name(e), " ", mm)
	}
	// (7, 7) from the point: 9.899 mm; (9, 0) and (0, 9): 9 mm; (9, 1): 9.055 mm.
	far := ring("far", 2, square(507, 507, 50)...)
	slanted := ring("slanted", 3, planar.Point{E: 509, N: 501}, planar.Point{E: 600, N: 501}, planar.Point{E: 600, N: 700})
	east, north := ring("east", 4, square(509, 500, 5)...), ring("north", 5, square(500, 509, 5)...)
	well, pond := circle("well", 6, 520, 500, 11), circle("pond", 7, 480, 500, 11)
	assert.Equal(t, "boundary edge F1–F2 500", nearest())
	assert.Equal(t, "obstacle far edge far1–far2 9", nearest(well, far), "the ring first, though it is the further")
	assert.Equal(t, "obstacle slanted edge slanted1–slanted2 9", nearest(far, slanted), "the nearer ring first")
	assert.Equal(t, "obstacle east edge east1–east2 9", nearest(far, east, north, slanted))
	assert.Equal(t, "obstacle north edge north1–north2 9", nearest(far, north, east, slanted), "the first listed")
	assert.Equal(t, "obstacle pond 9", nearest(pond, well))
	assert.Equal(t, "obstacle well -11", nearest(pond, circle("well", 6, 500, 500, 11)), "entered")

	f := New(ring("F", 1, square(0, 0, 1000)...), []Part{well})
	_, _, ok := f.Nearest(from, 9)
	assert.False(t, ok, "not nearer than 9 mm")
	e, _, ok := f.Nearest(from, 10)
	assert.True(t, ok)
	assert.Equal(t, Edge{0, Round}, e)
}

// By one millimetre, each kind of part.
func TestCovers(t *testing.T) {
	disc := func(e, n, radius int64) *Part { p := circle("disc", 1, e, n, radius); return &p }
	box := func(e, n, side int64) *Part { return looked(ring("box", 1, square(e, n, side)...)) }
	for _, c := range []struct {
		fact string
		p, q *Part
		want bool
	}{
		{"a disc in a box, touching", box(0, 0, 100), disc(50, 50, 50), true},
		{"and across it", box(0, 0, 100), disc(50, 50, 51), false},
		{"a box in a box, touching", box(0, 0, 100), box(50, 50, 50), true},
		{"and across it", box(0, 0, 100), box(50, 50, 51), false},
		{"a disc in a disc, touching", disc(0, 0, 100), disc(30, 40, 50), true},
		{"and across it", disc(0, 0, 100), disc(30, 40, 51), false},
		{"the larger in the smaller", disc(0, 0, 50), disc(0, 0, 51), false},
		{"a box in a disc, touching", disc(0, 0, 5), box(-3, -3, 6), true},
		{"corners on the disc's edge", disc(0, 0, 5), looked(ring("kite", 1, planar.Point{E: 5}, planar.Point{N: 5}, planar.Point{E: -3, N: -4})), true},
		{"and across it", disc(0, 0, 5), looked(ring("kite", 1, planar.Point{E: 5}, planar.Point{N: 5}, planar.Point{E: -4, N: -4})), false},
		{"nothing in a disc", disc(0, 0, 5), &Part{}, false},
	} {
		assert.Equal(t, c.want, c.p.Covers(c.q), c.fact)
	}
}

// looked is a part that New has looked at.
func looked(p Part) *Part {
	f := New(p, nil)
	return &f.Boundary
}
