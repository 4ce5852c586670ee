// Walked tracks, which are thinned to a few corners on the safe side (internal/simplify).
// That is done in the millimetres of a local frame, and what comes of it goes back to
// nanodegrees.
package interchange

import (
	"fmt"
	"math"

	"merestone/internal/geodesy"
	"merestone/internal/planar"
	"merestone/internal/quantity"
	"merestone/internal/simplify"
	"merestone/internal/words"
)

// Walk says how a track is thinned.
type Walk struct {
	Within quantity.Length  // how far corners may lie off the track beside what is not known
	Off    quantity.Length  // how far the antenna was carried on the safe side of the edge
	Gap    quantity.Length  // how far apart the ends of a ring may be
	StdMM  float64          // of each fix, along one axis
	Factor float64          // of it, at the confidence that is asked
	Origin geodesy.Geodetic // of the mission; else of the first point
}

// roundedMM is more than what two roundings to the millimetre, and one to nanodegrees between
// them, move a corner by: 0.71 mm each, and 0.08.
const roundedMM = 2

// thin thins a path that is to be used so. A ring's corners are new points.
func (w Walk) thin(points []Point, use Use) ([]Point, []string, error) {
	origin := w.Origin
	if origin == (geodesy.Geodetic{}) {
		origin = points[0].geodetic()
	}
	frame, err := geodesy.NewFrame(origin)
	if err != nil {
		return nil, nil, err
	}
	track := make([]planar.Point, len(points))
	for i, p := range points {
		at := p.geodetic()
		at.HeightM = origin.HeightM
		local := frame.ToLocal(at)
		if math.Abs(local.EastM)+math.Abs(local.NorthM) > planar.MaxCoordinate/1000 || local.UpM < -planar.MaxCoordinate/1000 {
			return nil, nil, fmt.Errorf("the point of line %d is more than %d km from the site", p.Line, planar.MaxCoordinate/1_000_000)
		}
		track[i] = planar.Point{E: int64(math.RoundToEven(local.EastM * 1000)), N: int64(math.RoundToEven(local.NorthM * 1000))}
	}
	notKnown := int64(math.Ceil(w.StdMM * w.Factor))
	o := simplify.Options{Tolerance: w.Within.FloorMM(), MostGap: w.Gap.FloorMM(), NotKnown: notKnown + roundedMM}
	o.Offset = min(w.Off.FloorMM(), notKnown) // roundings have nothing to be set against
	var found simplify.Result
	switch use {
	case AsRoute:
		found, err = simplify.Route(track, o)
	case AsBoundary:
		found, err = simplify.Ring(track, simplify.Boundary, o)
	default:
		found, err = simplify.Ring(track, simplify.Obstacle, o)
	}
	if err != nil {
		return nil, nil, err
	}
	found.Away -= roundedMM // of the corners as they are written
	out := make([]Point, len(found.Points))
	for i, p := range found.Points {
		at := frame.AtHeight(float64(p.E)/1000, float64(p.N)/1000, origin.HeightM)
		out[i] = Point{Line: points[0].Line, Latitude: geodesy.Coordinate{Value: at.Latitude, Resolution: 1}, Longitude: geodesy.Coordinate{Value: at.Longitude, Resolution: 1}}
	}
	return out, words.Columns(found.Rows()), nil
}
