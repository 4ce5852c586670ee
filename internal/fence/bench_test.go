package fence

import (
	"fmt"
	"math"
	"testing"

	"merestone/internal/planar"
)

// orchard is legs up and down within a round fence of many corners, past as many
// trees as huts.
func orchard(legs, corners, each int) (f Fence, segments []planar.Segment) {
	side := int64(math.Sqrt(float64(legs)))
	at := func(row, column float64) planar.Point {
		return planar.Point{E: int64(3100 * column), N: int64(4400 * row)}
	}
	place := func(i int64) planar.Point {
		row, column := i/side, i%side
		if row%2 == 1 {
			column = side - 1 - column
		}
		return at(float64(row), float64(column))
	}
	for i := range int64(legs) {
		segments = append(segments, planar.Segment{A: place(i), B: place(i + 1)})
	}
	middle, across := float64(side)/2, float64(side)
	var boundary []planar.Point
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
		boundary = append(boundary, at(middle+across*sin, middle+across*cos))
	}
	var obstacles []Part
	rows := int(math.Sqrt(float64(each)))
	for i := range rows * rows {
		row, column := float64(i%rows)*across/float64(rows)+0.5, float64(i/rows)*across/float64(rows)+0.5
		tree := at(row, column)
		obstacles = append(obstacles, circle(fmt.Sprint("tree ", i), 2, tree.E, tree.N, 100), ring(fmt.Sprint("hut ", i), 3, at(row+2, column), at(row+2.1, column), at(row+2, column+0.1)))
	}
	return New(ring("F", 1, boundary...), obstacles), segments
}

// 20 000 legs in a fence of 2 000 corners with 400 circles and 400 rings: one
// operation is the question to every leg.
func BenchmarkQuestions(b *testing.B) {
	f, legs := orchard(20_000, 2_000, 400)
	for _, c := range []struct {
		name string
		ask  func(planar.Segment)
	}{
		{"passage", func(s planar.Segment) { f.Passage(s) }},
		{"nearest", func(s planar.Segment) { f.Nearest(s, Anywhere) }},
		{"nearer than a standoff", func(s planar.Segment) { f.Nearest(s, 1000) }},
		{"within 3 m", func(s planar.Segment) { f.Within(s, 3000) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				for _, s := range legs {
					c.ask(s)
				}
			}
		})
	}
	b.Run("making it", func(b *testing.B) {
		for b.Loop() {
			New(f.Boundary, f.Obstacles)
		}
	})
}
