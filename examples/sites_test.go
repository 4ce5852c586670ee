// The three good sites, drawn in metres. Each is invented; the coordinates of
// the origins are of no particular place.
package examples

import (
	"fmt"
	"math"

	"merestone/internal/geodesy"
)

// Sites are the good missions under examples.
func Sites() []Layout { return []Layout{WalnutGrove(), RunningTrack(), SaltPan()} }

// at makes a point from metres.
func at(name string, acrossM, alongM float64) Point {
	return Point{Name: name, AcrossMM: int64(math.Round(acrossM * 1000)), AlongMM: int64(math.Round(alongM * 1000))}
}

// WalnutGrove is 40 m by 68 m: four rows of seven trees, 8 m apart both ways,
// with 5 m or more of headland at each end. The lanes lie halfway between the
// rows, 4 m from the trunks. The ground rises by 1 cm in a metre along the rows.
//
//	along
//	 68 F4 ------------------------ F3
//	 63     L1N -> L2N    L3N -> END
//	 58   o  |  o   |  o   |  o
//	  :   o  |  o   |  o   |  o
//	 10   o  |  o   |  o   |  o  [tank]
//	  5 S-> L1S    L2S -> L3S
//	  0 F1 ------------------------ F2
//	      8 12 16  20  24 28 32     40 across
func WalnutGrove() Layout {
	slope := func(p Point) Point {
		p.RiseMM = roundDiv(p.AlongMM, 1000) * 10
		return p
	}
	var trees []Point
	for row := 1; row <= 4; row++ {
		for tree := 1; tree <= 7; tree++ {
			trees = append(trees, slope(at(fmt.Sprintf("T%d%d", row, tree), float64(8*row), float64(2+8*tree))))
		}
	}
	return Layout{
		Folder: "walnut-grove",
		Origin: geodesy.Geodetic{Latitude: 45_301_200_000, Longitude: 6_123_400_000, HeightM: 412.6},
		Along:  Direction{7, 24, 25}, // rows bear 16.3 degrees
		Groups: []Group{
			{Note: "The base, on the open meadow west of the grove, and the two control marks.", Uncertainty: "1 cm", Points: []Point{
				slope(at("BASE", -14, 20)), slope(at("K1", -3, -4)), slope(at("K2", 43, 72)),
			}},
			{Note: "The corners of the fence.", Uncertainty: "3 cm", Points: []Point{
				slope(at("F1", 0, 0)), slope(at("F2", 40, 0)), slope(at("F3", 40, 68)), slope(at("F4", 0, 68)),
			}},
			{Note: "The corners of the water tank.", Uncertainty: "3 cm", Points: []Point{
				slope(at("W1", 35, 9)), slope(at("W2", 38, 9)), slope(at("W3", 38, 13)), slope(at("W4", 35, 13)),
			}},
			{Note: "The route: lane ends N and S, and the places P where soil is probed.", Uncertainty: "2 cm", Points: []Point{
				slope(at("START", 4, 5)),
				slope(at("L1S", 12, 5)), slope(at("P1", 12, 34)), slope(at("L1N", 12, 63)),
				slope(at("L2N", 20, 63)), slope(at("P2", 20, 30)), slope(at("L2S", 20, 5)),
				slope(at("L3S", 28, 5)), slope(at("P3", 28, 38)), slope(at("L3N", 28, 63)),
				slope(at("END", 36, 63)),
			}},
			{Uncertainty: "3 cm", CSV: "trees.csv", Points: trees},
		},
	}
}

// RunningTrack has two straights of 84.39 m and two bends, as 400 m tracks have;
// the kerb of a bend is 36.50 m from its centre (dimensions of the usual
// standard track, from memory). The rover drives 41.40 m from the bend's centre,
// in the middle of the lanes, each bend in eight straight legs.
//
// The kerb is drawn as the polygon around the arc, so that its straight edges
// never cut inside the kerb; the fence, 50 m from the centres, has its corners
// cut.
func RunningTrack() Layout {
	const (
		half  = 84.39 / 2
		kerb  = 36.50
		drive = 41.40
		fence = 50.00
		step  = math.Pi / 8 // eight legs in a bend
	)
	// bends puts n+1 points on each bend, from the start of the northern one
	// anticlockwise.
	bends := func(prefix string, radius, step float64) []Point {
		n := int(math.Round(math.Pi / step))
		var points []Point
		for bend := range 2 {
			for i := range n + 1 {
				sin, cos := math.Sincos(float64(bend)*math.Pi + float64(i)*step)
				centre := half * float64(1-2*bend)
				points = append(points, at(fmt.Sprintf("%s%02d", prefix, len(points)+1), radius*cos, centre+radius*sin))
			}
		}
		return points
	}
	// Corners of the fence: where the lines of an octagon around the bends meet.
	cut := fence * math.Tan(math.Pi/8)
	return Layout{
		Folder: "running-track",
		Origin: geodesy.Geodetic{Latitude: -36_412_700_000, Longitude: -65_238_100_000, HeightM: 148.2},
		Along:  Direction{-5, 12, 13}, // the straights bear 337.4 degrees
		Groups: []Group{
			{Note: "The base, on the pin in the middle of the infield.", Uncertainty: "1 cm", Points: []Point{at("BASE", 0, 0)}},
			{Note: "The route, anticlockwise: T01 to T09 round the northern bend, T10 to T18 round the southern.", Uncertainty: "1 cm", Points: bends("T", drive, step)},
			{Note: "The kerb around the infield.", Uncertainty: "1 cm", Points: bends("K", kerb/math.Cos(step/2), step)},
			{Note: "The corners of the fence.", Uncertainty: "2 cm", Points: []Point{
				at("F1", fence, -half-cut), at("F2", fence, half+cut), at("F3", cut, half+fence), at("F4", -cut, half+fence),
				at("F5", -fence, half+cut), at("F6", -fence, -half-cut), at("F7", -cut, -half-fence), at("F8", cut, -half-fence),
			}},
		},
	}
}

// SaltPan is 1.5 km by 0.65 km: six ponds with dikes of 40 m between them, on
// which the rover drives about 20 m from the water.
func SaltPan() Layout {
	return Layout{
		Folder: "salt-pan",
		Origin: geodesy.Geodetic{Latitude: 69_521_300_000, Longitude: 87_440_600_000, HeightM: 21.4},
		Along:  Direction{11, 60, 61}, // the short sides bear 10.4 degrees
		Groups: []Group{
			{Note: "The base, on the old quay.", Uncertainty: "2 cm", Points: []Point{at("BASE", -35, 120)}},
			{Note: "The sea wall, from the harbour's plan, which gives degrees, minutes and seconds.", Uncertainty: "5 cm", DMS: true, Points: []Point{
				at("F1", 0, 0), at("F2", 540, -40), at("F3", 1080, -20), at("F4", 1500, 60),
				at("F5", 1530, 420), at("F6", 1100, 610), at("F7", 520, 640), at("F8", 60, 560),
			}},
			{Note: "The ponds A to F, corners counted anticlockwise from the south-west.", Uncertainty: "5 cm", Points: []Point{
				at("A1", 70, 60), at("A2", 450, 30), at("A3", 455, 265), at("A4", 75, 280),
				at("B1", 500, 20), at("B2", 960, 35), at("B3", 970, 260), at("B4", 500, 255),
				at("C1", 1010, 50), at("C2", 1440, 105), at("C3", 1450, 300), at("C4", 1020, 270),
				at("D1", 85, 325), at("D2", 450, 310), at("D3", 460, 570), at("D4", 100, 520),
				at("E1", 505, 300), at("E2", 965, 305), at("E3", 960, 560), at("E4", 520, 580),
				at("G1", 1015, 320), at("G2", 1455, 350), at("G3", 1470, 410), at("G4", 1090, 560), at("G5", 1020, 555),
			}},
			{Note: "The route.", Uncertainty: "3 cm", Points: []Point{
				at("R1", 40, 20), at("R2", 478, -5), at("R3", 985, 5), at("R4", 1472, 80),
				at("R5", 1490, 326), at("R6", 992, 288), at("R7", 478, 281), at("R8", 492, 604),
				at("R9", 75, 540), at("R10", 60, 302), at("R11", 45, 62),
			}},
		},
	}
}
