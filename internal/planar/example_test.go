package planar_test

import (
	"fmt"

	"merestone/internal/planar"
)

// A leg in a fenced field, 40 m by 30 m, is checked against a standoff of 1.5 m.
func Example() {
	boundary := planar.Ring{{E: 0, N: 0}, {E: 40_000, N: 0}, {E: 40_000, N: 30_000}, {E: 0, N: 30_000}}
	field, faults := planar.NewRegion(boundary)
	for _, fault := range faults {
		fmt.Println("fault:", fault)
	}

	leg := planar.Segment{A: planar.Point{E: 5_000, N: 5_000}, B: planar.Point{E: 38_501, N: 25_000}}
	edge, clearanceMM, _ := field.Edges().Nearest(leg)
	fmt.Println("inside:", field.Covers(leg))
	fmt.Println("nearest edge:", edge, "at", clearanceMM, "mm")
	fmt.Println("edges nearer than the standoff:", field.Edges().Within(leg, 1_500))

	well := planar.Circle{Centre: planar.Point{E: 20_000, N: 10_000}, RadiusMM: 1_200}
	fmt.Println("clear of the well:", well.FloorDistanceMM(leg), "mm")
	// Output:
	// inside: true
	// nearest edge: 1 at 1499 mm
	// edges nearer than the standoff: [1]
	// clear of the well: 2195 mm
}
