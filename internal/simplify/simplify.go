// Package simplify makes rings and routes of tracks: a receiver is carried along an edge, a
// fix is written several times a second, and a mission is to have a few corners of it. What
// comes out is always on the safe side. The ring of a boundary lies inside of what was walked,
// that of an obstacle outside, by all that is not known of the fixes; a route keeps within the
// tolerance of its track.
//
// The corners are found in floating point, by a library's Douglas and Peucker and an offset of
// the track; nothing rests on either. Every ring is proved afterwards against all fixes, in
// whole millimetres by package planar, and what cannot be proved is refused.
//
//	simplify.go  what is asked, and what comes of it
//	walk.go      a track as a closed walk: where its ends meet, what it goes around
//	ring.go      rings: their corners, the proof
//	strip.go     the places so far from a line
//	route.go     routes
//	ground.go    how much ground a walk goes around
package simplify

import (
	"fmt"
	"math"

	"merestone/internal/planar"
	"merestone/internal/words"
)

// Kind is what a track is to become.
type Kind uint8

// The kinds of rings.
const (
	Boundary Kind = iota // what may be driven on lies inside of it
	Obstacle             // what may be driven on lies outside
)

// Options are how a track is simplified. All of them are lengths in millimetres.
type Options struct {
	// Tolerance is how far corners may lie off the track beside what is not known: at least 1.
	Tolerance int64
	// NotKnown is how far a fix may be from where the antenna was: its standard deviation times
	// the factor of the mission's confidence. A ring stays so far away from the track.
	NotKnown int64
	// Offset is how far the antenna was carried on the safe side of the edge: within a wall that
	// is the boundary, around the outside of an obstacle. It is set against NotKnown; ground
	// that nobody walked around is never given.
	Offset int64
	// MostGap is how far apart the ends of a ring may be; what lies between is joined by a
	// straight line.
	MostGap int64
}

// Result is what a track has become.
type Result struct {
	Points    []planar.Point // of a ring counter-clockwise, the first not repeated
	Fixes     int            // before
	Tolerance int64
	Away      int64   // how far a ring is proved to stay away from the track, in mm
	Gap       int64   // between the ends of a ring, in mm, rounded up
	Departure int64   // the farthest that a fix lies from what has become of the track, in mm, rounded up
	DepartsAt int     // the number of that fix, from 0
	Length    float64 // around the ring, or along the route, in mm
	// Area is what the ring encloses, 0 of a route, and Walked all that the track goes around,
	// in square metres.
	Area, Walked float64
}

// Lost is how much ground was given up: less within a boundary, or more within an obstacle.
func (r Result) Lost() float64 { return math.Abs(r.Walked - r.Area) }

// Rows are what became of a track, for words.Table: names and values.
func (r Result) Rows() [][]string {
	rows := [][]string{
		{"fixes", fmt.Sprint(r.Fixes)},
		{"points", fmt.Sprint(len(r.Points))},
		{"tolerance", words.MM(r.Tolerance).String()},
		{fmt.Sprintf("farthest fix, number %d", r.DepartsAt+1), words.MM(r.Departure).String()},
	}
	if r.Area == 0 {
		return append(rows, []string{"length", words.MM(int64(r.Length)).String()})
	}
	rows = append(rows,
		[]string{"away from the track", words.MM(r.Away).String()},
		[]string{"between its ends", words.MM(r.Gap).String()},
		[]string{"around", words.MM(int64(r.Length)).String()},
		[]string{"area", fmt.Sprintf("%.1f m²", r.Area)},
		[]string{"ground given up", fmt.Sprintf("%.1f m²", r.Lost())})
	if r.Walked > 0 { // not out and back along a hedge
		rows = append(rows, []string{"of what was walked", fmt.Sprintf("%.2g %%", 100*r.Lost()/r.Walked)})
	}
	return rows
}

// thinned is a track without fixes that repeat the one before, or an error where it holds
// none that a frame can.
func thinned(track []planar.Point) ([]planar.Point, []int, error) {
	var kept []planar.Point
	var number []int
	for i, p := range track {
		if !p.InRange() {
			return nil, nil, fmt.Errorf("fix %d lies more than %d km from the origin", i+1, planar.MaxCoordinate/1_000_000)
		}
		if len(kept) == 0 || kept[len(kept)-1] != p {
			kept, number = append(kept, p), append(number, i)
		}
	}
	return kept, number, nil
}

func (o Options) sound() error {
	switch {
	case o.Tolerance < 1:
		return fmt.Errorf("the tolerance is %v; it must be 1 mm at least", words.MM(o.Tolerance))
	case o.NotKnown < 0 || o.Offset < 0 || o.MostGap < 0 || max(o.Tolerance, o.NotKnown, o.Offset, o.MostGap) > mostLength:
		return fmt.Errorf("lengths must be from 0 to %v", words.MM(mostLength))
	}
	return nil
}

// mostLength bounds the options: sums of them stay within the frame.
const mostLength = 1_000_000

// joined are the segments along points.
func joined(points []planar.Point) []planar.Segment {
	var all []planar.Segment
	for i := 1; i < len(points); i++ {
		all = append(all, planar.Segment{A: points[i-1], B: points[i]})
	}
	return all
}

// farthest is the fix that lies farthest from all of some segments.
func farthest(track []planar.Point, from *planar.Index) (at int, mm int64) {
	var most planar.Squared
	for i, p := range track {
		if _, d := from.NearestSquared(planar.Segment{A: p, B: p}); i == 0 || d.Cmp(most) > 0 {
			at, most = i, d
		}
	}
	return at, most.CeilMM()
}

func lengthOf(segments []planar.Segment) (mm float64) {
	for _, s := range segments {
		mm += math.Sqrt(float64(s.Vector().Norm2()))
	}
	return mm
}
