// Rings. The track is thinned to the few points from which no fix lies farther than half the
// tolerance, and a line of these is given a width: all that lies within
//
//	d = away + what the thinning moved + some slack for rounding
//
// of it. Inside of this strip lies the ring of a boundary, around it that of an obstacle,
// and both stay as far from every fix as they must, however the track crosses itself, stands
// still or goes out and back. Then corners are left out as long as that is still so and the
// ring moves by no more than the other half of the tolerance.
package simplify

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"merestone/internal/planar"
	"merestone/internal/words"
)

const (
	// mostSlack ends the search for a ring that can be proved.
	mostSlack = 256
	// maxCorners is the most that a list of a mission may have.
	maxCorners = 10_000
	// smallPart is the largest part of the ground, beside the greatest, that may be given up
	// unasked where the strip cuts it off: one hundredth.
	smallPart = 100
)

// Ring is a track as a ring of few corners, on the safe side.
func Ring(track []planar.Point, kind Kind, o Options) (Result, error) {
	if err := o.sound(); err != nil {
		return Result{}, err
	}
	places, number, err := thinned(track)
	if err != nil {
		return Result{}, err
	}
	w, err := around(places, o.MostGap)
	if err != nil {
		return Result{}, err
	}
	all := planar.NewIndex(w.segments())
	away := max(o.NotKnown-o.Offset, 1)
	lines := w.thin(o.Tolerance)
	_, moved := farthest(places, planar.NewIndex(slices.Concat(joinedAll(lines)...)))
	// A strip that is wider than it must be leaves room to pass by the fixes that lie farthest
	// in: of some widths that all keep the tolerance the one with the fewest corners is taken.
	var best planar.Ring
	var refused error
	for _, room := range []int64{0, o.Tolerance / 4, o.Tolerance / 2} {
		ring, err := w.safe(lines, kind, all, away, moved+room, o.Tolerance)
		switch {
		case err != nil && refused == nil:
			refused = err
		case err == nil && (best == nil || len(ring) < len(best)):
			best = ring
		}
	}
	switch {
	case best == nil:
		return Result{}, refused
	case len(best) > maxCorners:
		return Result{}, fmt.Errorf("the ring has %d corners, and a mission takes %d: widen the tolerance", len(best), maxCorners)
	}
	at, departure := farthest(places, planar.NewIndex(best.Edges()))
	return Result{
		Points: startingAt(best, places[w.first]), Fixes: len(track), Tolerance: o.Tolerance, Away: away, Gap: w.gap,
		Departure: departure, DepartsAt: number[at], Length: lengthOf(best.Edges()),
		Area: squareMetres(best), Walked: squareMetres(w.ring()),
	}, nil
}

// safe is a ring that is proved to stay away from the walk, of a strip that is wider by some
// room.
func (w walk) safe(lines [][]planar.Point, kind Kind, track *planar.Index, away, room, tolerance int64) (planar.Ring, error) {
	var best planar.Ring
	var refused error
	for slack := int64(2); slack <= mostSlack; slack *= 2 {
		outline, err := strip(w, lines, kind, away+room+slack)
		if err != nil {
			refused = cmp.Or(refused, err)
			continue
		}
		for _, ring := range []planar.Ring{fewer(outline, track, away, (tolerance+1)/2), outline} {
			if err = proved(w, ring, kind, track, away); err == nil && ring.SignedArea2() > best.SignedArea2() {
				best = ring
			}
			if err == nil {
				break
			}
		}
		if err != nil {
			refused = cmp.Or(refused, fmt.Errorf("no ring was found that can be proved to be on the safe side (%w); try another tolerance", err))
		}
		if 2*squareMetres(best) > squareMetres(w.ring()) { // else some of the ground may have been missed
			break
		}
	}
	if best == nil {
		return nil, refused
	}
	return best, nil
}

func squareMetres(r planar.Ring) float64 { return math.Abs(float64(r.SignedArea2())) / 2e6 }

// thin are the part of a walk that goes around, closed, and its tails, each of few points.
func (w walk) thin(tolerance int64) [][]planar.Point {
	within := float64(tolerance) / 2
	ring := append(slices.Clone(w.ring()), w.track[w.first])
	lines := [][]planar.Point{few(ring, within)}
	if w.first > 0 {
		lines = append(lines, few(w.track[:w.first+1], within))
	}
	if w.last < len(w.track)-1 {
		lines = append(lines, few(w.track[w.last:], within))
	}
	return lines
}

func joinedAll(lines [][]planar.Point) (all [][]planar.Segment) {
	for _, l := range lines {
		all = append(all, joined(l))
	}
	return all
}

// strip is the ring inside of all that lies within a distance of some lines, or around it.
func strip(w walk, lines [][]planar.Point, kind Kind, distance int64) (planar.Ring, error) {
	var rings []planar.Ring
	for _, loop := range stripEdges(lines, distance) {
		ring := whole(loop)
		inner := ring.IsCounterClockwise()
		switch {
		case len(ring) < 3 || inner != (kind == Boundary) || inner && w.windings(ring[0]) == 0:
			continue
		case !inner:
			slices.Reverse(ring)
		}
		rings = append(rings, ring)
	}
	if len(rings) == 0 {
		return nil, fmt.Errorf("the track goes around no ground that is %v and more away from it", words.MM(distance))
	}
	slices.SortStableFunc(rings, func(a, b planar.Ring) int { return cmp.Compare(b.SignedArea2(), a.SignedArea2()) })
	if kind == Boundary && len(rings) > 1 && smallPart*squareMetres(rings[1]) > squareMetres(rings[0]) {
		return nil, neck(rings[0], rings[1], distance)
	}
	return rings[0], nil
}

// whole is a loop in whole millimetres, without corners that repeat the one before.
func whole(loop []spot) planar.Ring {
	var ring planar.Ring
	for _, s := range loop {
		if p := (planar.Point{E: int64(math.Round(s.e)), N: int64(math.Round(s.n))}); len(ring) == 0 || ring[len(ring)-1] != p {
			ring = append(ring, p)
		}
	}
	for len(ring) > 1 && ring[0] == ring[len(ring)-1] {
		ring = ring[:len(ring)-1]
	}
	return ring
}

// neck says where the ground falls into two: halfway between where they are nearest.
func neck(a, b planar.Ring, distance int64) error {
	edges := planar.NewIndex(a.Edges())
	var at planar.Point
	var nearest planar.Squared
	for i, p := range b {
		id, d := edges.NearestSquared(planar.Segment{A: p, B: p})
		if i == 0 || d.Cmp(nearest) < 0 {
			nearest = d
			e := a.Edge(id)
			q := e.A
			if between(e.B, p).Cmp(between(q, p)) < 0 {
				q = e.B
			}
			at = planar.Point{E: (p.E + q.E) / 2, N: (p.N + q.N) / 2}
		}
	}
	return fmt.Errorf("the ground falls into two, of %.0f m² and %.0f m²: near %v east and %v north of the origin the track comes within %v of itself, and the ring has to stay %v away from it on both sides. Make two missions of it, or narrow what is not known or the tolerance",
		squareMetres(a), squareMetres(b), words.MM(at.E), words.MM(at.N), words.MM(2*distance), words.MM(distance))
}

// fewer leaves out corners of a ring as long as the line that joins their neighbours stays
// away from the track, and all that were left out lie within a distance of it.
func fewer(outline planar.Ring, track *planar.Index, away, within int64) planar.Ring {
	kept := make([]int, len(outline)) // numbers of corners
	for i := range kept {
		kept[i] = i
	}
	fits := func(a, c int) bool {
		s := planar.Segment{A: outline[a], B: outline[c]}
		for i := (a + 1) % len(outline); i != c; i = (i + 1) % len(outline) {
			if !s.SquaredToPoint(outline[i]).Less(within) {
				return false
			}
		}
		id, _ := track.NearestWithin(s, away)
		return id < 0
	}
	for before := 0; before != len(kept); {
		before = len(kept)
		for i := 0; i < len(kept) && len(kept) > 3; {
			if fits(kept[(i+len(kept)-1)%len(kept)], kept[(i+1)%len(kept)]) {
				kept = slices.Delete(kept, i, i+1)
			} else {
				i++
			}
		}
	}
	ring := make(planar.Ring, len(kept))
	for i, corner := range kept {
		ring[i] = outline[corner]
	}
	return ring
}

// proved is nil where a ring is one that a mission can have, and on the safe side of every
// part of the walk: as far away as it must be, and the walk goes around it, or it around the
// walk. Since the walk is in one piece and does not touch the ring, it is either all inside
// of the ring or all outside, so that one point of each decides.
func proved(w walk, ring planar.Ring, kind Kind, track *planar.Index, away int64) error {
	region, faults := planar.NewRegion(ring)
	if len(faults) > 0 {
		return fmt.Errorf("%v", faults[0])
	}
	for i := range ring {
		if id, mm := track.NearestWithin(ring.Edge(i), away); id >= 0 {
			return fmt.Errorf("edge %d is %d mm from the track", i, mm)
		}
	}
	if inside := region.Contains(w.track[0]) == planar.Inside; inside != (kind == Obstacle) {
		return errors.New("the ring lies on the wrong side of the track")
	}
	if kind == Boundary && w.windings(ring[0]) == 0 {
		return errors.New("the track does not go around the ring")
	}
	return nil
}

// startingAt turns a ring until it begins with the corner that is nearest to a point.
func startingAt(ring planar.Ring, p planar.Point) planar.Ring {
	at := 0
	for i := range ring {
		if between(ring[i], p).Cmp(between(ring[at], p)) < 0 {
			at = i
		}
	}
	return slices.Concat(ring[at:], ring[:at])
}
