// Routes: a few points of the track, with every fix within the tolerance of the line that
// joins them.
package simplify

import (
	"errors"
	"fmt"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/simplify"

	"merestone/internal/planar"
	"merestone/internal/words"
)

// Route is a track as a line of few points, of which the first and the last are its ends.
func Route(track []planar.Point, o Options) (Result, error) {
	if err := o.sound(); err != nil {
		return Result{}, err
	}
	places, number, err := thinned(track)
	if err != nil {
		return Result{}, err
	}
	if len(places) < 2 {
		return Result{}, errors.New("the track is one place")
	}
	kept := few(places, float64(o.Tolerance))
	line := joined(kept)
	at, departure := farthest(places, planar.NewIndex(line))
	if departure > o.Tolerance {
		return Result{}, fmt.Errorf("fix %d lies %v off the route that was found: which is a fault of merestone", number[at]+1, words.MM(departure))
	}
	return Result{Points: kept, Fixes: len(track), Tolerance: o.Tolerance, Departure: departure, DepartsAt: number[at], Length: lengthOf(line)}, nil
}

// few are points of a line within a tolerance of which the others lie, by Douglas and
// Peucker's method (Algorithms for the reduction of the number of points required to represent
// a digitized line, The Canadian Cartographer 10, 1973; from memory).
func few(points []planar.Point, tolerance float64) []planar.Point {
	line := make(orb.LineString, len(points))
	for i, p := range points {
		line[i] = orb.Point{float64(p.E), float64(p.N)}
	}
	var kept []planar.Point
	for _, p := range simplify.DouglasPeucker(tolerance).LineString(line) {
		kept = append(kept, planar.Point{E: int64(p[0]), N: int64(p[1])})
	}
	return kept
}
