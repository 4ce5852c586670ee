// A track as a closed walk. A person goes around and stops somewhere near where they began:
// short of it, right there, or past it along what was walked before.
package simplify

import (
	"fmt"
	"slices"

	"merestone/internal/planar"
	"merestone/internal/words"
)

// walk is a track with the part of it that goes around.
type walk struct {
	track       []planar.Point
	first, last int // of the part that goes around; what is before and behind it are tails
	gap         int64
}

// around finds where a track closes: between its ends, or between one of them and a fix of
// the other half, whichever are nearest.
func around(track []planar.Point, mostGap int64) (walk, error) {
	w := walk{track: track, last: len(track) - 1}
	if len(track) < 3 {
		return w, fmt.Errorf("%s go around nothing", words.Count(len(track), "place", "different places"))
	}
	nearest := between(track[0], track[len(track)-1])
	half := len(track) / 2
	for i := range half {
		if d := between(track[i], track[len(track)-1]); d.Cmp(nearest) < 0 {
			w.first, w.last, nearest = i, len(track)-1, d
		}
		if d := between(track[0], track[len(track)-1-i]); d.Cmp(nearest) < 0 {
			w.first, w.last, nearest = 0, len(track)-1-i, d
		}
	}
	w.gap = nearest.CeilMM()
	if w.gap > mostGap {
		return w, fmt.Errorf("its ends are %v apart, and may be %v: walk on to where it began, or allow a wider gap", words.MM(w.gap), words.MM(mostGap))
	}
	return w, nil
}

func between(p, q planar.Point) planar.Squared {
	return planar.Segment{A: p, B: p}.SquaredToPoint(q)
}

// ring is the part that goes around.
func (w walk) ring() planar.Ring { return w.track[w.first : w.last+1] }

// closed is that part with its beginning once more at the end.
func (w walk) closed() []planar.Point { return append(slices.Clone(w.ring()), w.track[w.first]) }

// segments are all of the track, and the line that joins its ends.
func (w walk) segments() []planar.Segment {
	return append(joined(w.track), planar.Segment{A: w.track[w.last], B: w.track[w.first]})
}

// windings is how often the walk goes around a point, counter-clockwise; exact for a point
// that is not on it. Each edge counts that passes the level of the point east of it, upward
// as one and downward as minus one, with its lower end and without its upper one, as in
// planar's test of containment.
func (w walk) windings(p planar.Point) (count int) {
	r := w.ring()
	for i := range r {
		s := r.Edge(i)
		side := planar.Orientation(s.A, s.B, p)
		switch {
		case s.A.N <= p.N && s.B.N > p.N && side > 0:
			count++
		case s.A.N > p.N && s.B.N <= p.N && side < 0:
			count--
		}
	}
	return count
}
