// What occupied control marks leave of the shift: against the normal equations, solved
// here in full, and against errors that are drawn.
package plan_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
)

// normalStd solves the normal equations of a translation, with or without a rotation
// about the frame's origin, and propagates their covariance to a place: the standard
// deviation of the place's shift along the worst direction. Nothing is centred and
// nothing simplified: A'PA is inverted as it is.
func normalStd(east, north, std []float64, rotation bool, atEast, atNorth float64) float64 {
	n := 2
	if rotation {
		n = 3
	}
	normal := make([][]float64, n)
	for i := range normal {
		normal[i] = make([]float64, 2*n)
		normal[i][n+i] = 1
	}
	rows := func(e, n float64) [2][3]float64 { return [2][3]float64{{1, 0, -n}, {0, 1, e}} }
	for k := range east {
		for _, row := range rows(east[k], north[k]) {
			for i := range n {
				for j := range n {
					normal[i][j] += row[i] * row[j] / (std[k] * std[k])
				}
			}
		}
	}
	for i := range n { // Gauss and Jordan
		pivot := normal[i][i]
		for j := range 2 * n {
			normal[i][j] /= pivot
		}
		for k := range n {
			if k != i {
				f := normal[k][i]
				for j := range 2 * n {
					normal[k][j] -= f * normal[i][j]
				}
			}
		}
	}
	var cov [2][2]float64
	place := rows(atEast, atNorth)
	for a := range 2 {
		for b := range 2 {
			for i := range n {
				for j := range n {
					cov[a][b] += place[a][i] * normal[i][n+j] * place[b][j]
				}
			}
		}
	}
	// The greater eigenvalue of the two by two matrix.
	half, diff := (cov[0][0]+cov[1][1])/2, (cov[0][0]-cov[1][1])/2
	return math.Sqrt(half + math.Hypot(diff, cov[0][1]))
}

func TestShiftIsThatOfTheNormalEquations(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	tried := 0
	for trial := range 60 {
		rotation := trial%2 == 0
		n := 1 + r.IntN(4)
		if rotation {
			n = 2 + r.IntN(3)
		}
		var lines, names []string
		for i := range n {
			name := fmt.Sprintf("K%d", i)
			names = append(names, name)
			lines = append(lines, fmt.Sprintf("%s: {latitude: %.9f, longitude: %.9f, uncertainty: %d mm}", name, 51.6204+0.0006*r.Float64(), 25.9137+0.0009*r.Float64(), 5+r.IntN(60)))
		}
		p := averagedYard(t, fmt.Sprintf(", control_marks: [%s], rotation: %v", strings.Join(names, ", "), rotation), added(strings.Join(lines, "\n  ")))
		var east, north, std []float64
		near := false
		for _, name := range names {
			m := mark(t, p, name)
			for i := range east {
				near = near || math.Hypot(east[i]-float64(m.Point.E), north[i]-float64(m.Point.N)) < plan.ControlNearMM
			}
			east, north, std = append(east, float64(m.Point.E)), append(north, float64(m.Point.N)), append(std, math.Hypot(m.OwnStdMM, 10))
		}
		if near || rotation && p.ControlAngleStd() > plan.MaxAngleStd {
			continue
		}
		tried++
		worst := 0.0
		for _, v := range p.Fence.Boundary.Vertices { // the boundary is outermost here, but for its round well
			worst = max(worst, normalStd(east, north, std, rotation, float64(v.E), float64(v.N)))
		}
		// The bound takes the rotation's part along both axes, which it is across alone.
		assert.InDelta(t, worst, p.ShiftStdMM(), 0.01, "%v %v", rotation, names)
	}
	assert.Greater(t, tried, 25)
}

// The same with errors: the shift that the least squares fit gives, at the farthest
// corner, is off as said.
func TestFarthestPlaceIsWorst(t *testing.T) {
	p := averagedYard(t, ", control_marks: [A, D], rotation: true")
	still := averagedYard(t, ", control_marks: [A, D]")
	assert.InDelta(t, 10, still.ShiftStdMM(), 1e-9)
	// A and D are 10 m apart, F2 and F3 are hypot(25, 10) m from their middle: each mark
	// has sqrt(2)·10 mm, the rotation sqrt(2)·10/sqrt(2·5000²) rad.
	angle := math.Sqrt2 * 10 / math.Sqrt(2*5000.0*5000)
	assert.InDelta(t, math.Hypot(10, angle*math.Hypot(25_000, 10_000)), p.ShiftStdMM(), 0.05)
	assert.InDelta(t, angle, p.ControlAngleStd(), 1e-7)
	assert.Greater(t, p.Route.Legs[0].Line.PositionMM, still.Route.Legs[0].Line.PositionMM+80)
	assert.True(t, p.Board.Tables.Rover.ShiftNeeded)
	assert.False(t, averagedYard(t, "").Board.Tables.Rover.ShiftNeeded, "the clearance bears it")
	assert.False(t, yard(t, edit{"uncertainty: 1 mm}", "uncertainty: 1 mm, control_marks: [A, D]}"}).Board.Tables.Rover.ShiftNeeded, "a check, not leaned on")
}

// A mark that is listed again, or one beside it, does not make the shift better.
func TestNeighboursCountAsOne(t *testing.T) {
	alone := averagedYard(t, ", control_marks: [A, C]").ShiftStdMM()
	beside := added("A2: {latitude: 51.620444939, longitude: 25.913842000, uncertainty: 1 cm}") // 4.8 m east of A
	assert.InDelta(t, alone, averagedYard(t, ", control_marks: [A, C, A2]", beside).ShiftStdMM(), 1e-9)
	repeats := ", control_marks: [C" + strings.Repeat(", A", 100) + "]"
	assert.InDelta(t, alone, averagedYard(t, repeats).ShiftStdMM(), 1e-9)
	off := added("A2: {latitude: 51.620444939, longitude: 25.913846000, uncertainty: 1 cm}") // 5.1 m
	assert.Less(t, averagedYard(t, ", control_marks: [A, C, A2]", off).ShiftStdMM(), alone-1)
	// The order of the list means nothing, with chains of neighbours, too.
	chain := added("A2: {latitude: 51.620444939, longitude: 25.913842000, uncertainty: 1 cm}\n  A3: {latitude: 51.620444939, longitude: 25.913902000, uncertainty: 2 cm}")
	want := averagedYard(t, ", control_marks: [A, A2, A3, C], rotation: true", chain).ShiftStdMM()
	for _, order := range []string{"A3, A, C, A2", "C, A2, A3, A", "A, A3, A2, C"} {
		assert.InDelta(t, want, averagedYard(t, ", control_marks: ["+order+"], rotation: true", chain).ShiftStdMM(), 1e-6)
	}
}

// No control mark that is worse, and none less, makes the shift better.
func TestWorseControlMarksNeverHelp(t *testing.T) {
	with := func(a, c int, names string) float64 {
		return averagedYard(t, ", control_marks: ["+names+"], rotation: true",
			added(fmt.Sprintf("K1: {latitude: 51.620410000, longitude: 25.913710000, uncertainty: %d mm}\n  K2: {latitude: 51.620560000, longitude: 25.914100000, uncertainty: %d mm}\n  K3: {latitude: 51.620560000, longitude: 25.913710000, uncertainty: 1 cm}", a, c))).ShiftStdMM()
	}
	require.LessOrEqual(t, with(10, 10, "K1, K2, K3"), with(10, 10, "K1, K2"))
	for _, c := range []int{10, 20, 40, 80, 1000} {
		assert.LessOrEqual(t, with(10, c, "K1, K2"), with(15, c, "K1, K2")+1e-9)
		assert.LessOrEqual(t, with(c, 10, "K1, K2"), with(c, 15, "K1, K2")+1e-9)
	}
}
