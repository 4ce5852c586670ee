// Circles, and the room around a stretch of the route, as polygons. Each holds all of what
// it stands for, never less: an obstacle must not look smaller than it is, nor the room that
// a leg needs.
package export

import (
	"math"

	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/planar"
)

// corners is how many corners stand for a full circle. They lie on its tangents, at
// r/cos(π/64) from its middle, so that the polygon is at most 0.13 % wider.
const corners = 64

// roundingMM is more than what rounding to nanodegrees or to tenths of a millimetre moves a corner by.
const roundingMM = 1

// sideMM is the longest straight part of an outline, so that it may be drawn straight in degrees.
const sideMM = 100_000

// around is the outline that holds all within a distance of a segment, also where a program
// draws its sides straight in degrees.
func (d *Drawing) around(s planar.Segment, distanceMM int64) []Place {
	return d.outline(around(s, distanceMM, bulgeMM(d.outline(around(s, distanceMM, 0)))))
}

// bulgeMM is how far the longest side of an outline, straight in degrees, lies beside the
// straight line between its ends, at most. It bends by 1.1·tan φ/R: with α for its azimuth,
//
//	tan φ/R · sin α·(1 + cos²α) ≤ 1.09·tan φ/R
//
// (from the metric dx² = R²·cos²φ·dλ², dy² = R²·dφ² of the sphere), and so by s²/8 of that
// in its middle. φ is the latitude of the corner that is nearest to a pole.
func bulgeMM(outline []Place) float64 {
	longest, latitude := 0.0, geodesy.Nanodegree(0)
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		longest = max(longest, elementary.Hypot(b.EastMM-a.EastMM, b.NorthMM-a.NorthMM))
		latitude = max(latitude, a.Latitude, -a.Latitude)
	}
	bend := 1.1 * elementary.Tan(latitude.Radians()) / (geodesy.SemiMajorAxisM * 1000)
	return longest * longest / 8 * bend
}

// xy is a point of the frame in millimetres.
type xy struct{ e, n float64 }

// around is the polygon that holds all points within a distance of a segment, and is so much
// wider than that: half a polygon around each end, each beginning and ending with a corner on
// the tangent that is parallel to the segment. Counterclockwise.
func around(s planar.Segment, distanceMM int64, wider float64) []xy {
	r := (float64(distanceMM) + wider + roundingMM) / elementary.Cos(math.Pi/corners)
	a, b := xy{float64(s.A.E), float64(s.A.N)}, xy{float64(s.B.E), float64(s.B.N)}
	along := elementary.Atan2(b.n-a.n, b.e-a.e) // of a segment without length: 0, and both halves make one circle
	var out []xy
	for half, end := range []xy{b, a} {
		for k := range corners / 2 {
			turn := float64((float64(2*k+1))*math.Pi/corners) - math.Pi/2 + float64(float64(half)*math.Pi)
			sin, cos := elementary.Sincos(along + turn)
			at := xy{end.e + float64(r*cos), end.n + float64(r*sin)}
			if k == 0 && half > 0 && s.A != s.B {
				out = side(out, at)
			}
			out = append(out, at)
		}
	}
	if s.A == s.B { // a circle, whose corners all lie on another one: it is read back by them
		return out
	}
	return side(out, out[0])
}

// side divides the straight way from the last point to another one.
func side(out []xy, to xy) []xy {
	from := out[len(out)-1]
	parts := math.Ceil(elementary.Hypot(to.e-from.e, to.n-from.n) / sideMM)
	for i := 1.0; i < parts; i++ {
		out = append(out, xy{from.e + float64((to.e-from.e)*i/parts), from.n + float64((to.n-from.n)*i/parts)})
	}
	return out
}

// outline gives the corners their places.
func (d *Drawing) outline(points []xy) []Place {
	out := make([]Place, len(points))
	for i, p := range points {
		out[i] = d.at(p.e, p.n)
	}
	return out
}
