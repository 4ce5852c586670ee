// Set-ups of the base: what stands between marks, and how shared points tie them.
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

// averagedYard is the yard with a base of 0.8 m, and control marks or none.
func averagedYard(t *testing.T, control string, edits ...edit) *plan.Plan {
	t.Helper()
	base := "{mark: BASE, position: averaged, averaged_for: 4 h, uncertainty: 80 cm" + control + "}"
	return yard(t, append([]edit{{"{mark: BASE, position: entered, uncertainty: 1 mm}", base}}, edits...)...)
}

func mark(t *testing.T, p *plan.Plan, name string) plan.Mark {
	t.Helper()
	for _, m := range p.Survey.Marks {
		if m.Name == name {
			return m
		}
	}
	require.Fail(t, "no mark", name)
	return plan.Mark{}
}

// of writes a mark of the yard with more keys.
func of(name, more string) edit {
	text := map[string]string{
		"F1": "longitude: 25.913700000, uncertainty: 1 cm}\n  F2:", "F2": "longitude: 25.914133155, uncertainty: 1 cm}", "F3": "longitude: 25.914133157, uncertainty: 1 cm}",
		"D": "latitude: 51.620534816, longitude: 25.913772193, uncertainty: 1 cm}", "A": "latitude: 51.620444939, longitude: 25.913772193, uncertainty: 1 cm}",
	}[name]
	return edit{text, strings.Replace(text, "}", ", "+more+"}", 1)}
}

// added puts a mark into the yard.
func added(line string) edit { return edit{"marks:\n", "marks:\n  " + line + "\n"} }

func TestSetupsThatShareNothing(t *testing.T) {
	between := math.Sqrt2 * 800
	p := averagedYard(t, ", control_marks: [A, C]", of("F2", "setup: june"), of("F3", "setup: june"))
	for _, name := range []string{"F2", "F3"} {
		assert.InDelta(t, math.Hypot(10, between), mark(t, p, name).StdMM, 1e-9, name)
		assert.Equal(t, 10.0, mark(t, p, name).OwnStdMM)
	}
	assert.Equal(t, 10.0, mark(t, p, "F1").StdMM)
	plain := averagedYard(t, ", control_marks: [A, C]")
	assert.Equal(t, mark(t, plain, "F2").Point, mark(t, p, "F2").Point, "nothing moves")
	assert.Greater(t, p.Route.Legs[0].Line.PositionMM, int64(2700), "and the fence is as uncertain as that")
	assert.Equal(t, []float64{between}, []float64{p.Survey.Tapes[0].SetupsStdMM}, "the tape is from one to the other")
	assert.Equal(t, []float64{0}, []float64{plain.Survey.Tapes[0].SetupsStdMM})

	// Within one set-up nothing stands between marks.
	both := averagedYard(t, ", control_marks: [A, C]", of("F1", "setup: june"), of("F2", "setup: june"))
	assert.Zero(t, both.Survey.Tapes[0].SetupsStdMM)

	// Without control marks the whole shift is weighed elsewhere.
	none := averagedYard(t, "", of("F2", "setup: june"))
	assert.Equal(t, 10.0, mark(t, none, "F2").StdMM)
	assert.InDelta(t, between, none.Survey.Tapes[0].SetupsStdMM, 1e-9)

	// And a base that does not average has its uncertainty in every budget.
	entered := yard(t, of("F2", "setup: june"))
	assert.Equal(t, 10.0, mark(t, entered, "F2").StdMM)
	assert.InDelta(t, math.Sqrt2, entered.Survey.Tapes[0].SetupsStdMM, 1e-9)
}

// D was surveyed again in June: 9000 nanodegrees of latitude and 12000 of longitude
// from where it was in May. By the radii of curvature of WGS 84 at 51.62 degrees these
// are 9e-6·π/180·6 375 750 m·... = 1.0013 m and 0.8310 m (the yard's drawing has 20 m for
// 179 754 nanodegrees of latitude and 30 m for 433 155 of longitude).
func TestSharedPointMovesItsSetup(t *testing.T) {
	const north, east = 9000.0 * 20_000 / 179_754, 12_000.0 * 30_000 / 433_155
	june := added("D2: {latitude: 51.620543816, longitude: 25.913784193, uncertainty: 3 cm, setup: june, same_as: D}")
	p := averagedYard(t, ", control_marks: [A, C]", june, of("F2", "setup: june"), of("F3", "setup: june"))
	plain := averagedYard(t, ", control_marks: [A, C]")
	for _, name := range []string{"F2", "F3"} {
		was, is := mark(t, plain, name), mark(t, p, name)
		assert.InDelta(t, float64(was.Point.E)-east, float64(is.Point.E), 1.5, name)
		assert.InDelta(t, float64(was.Point.N)-north, float64(is.Point.N), 1.5, name)
		// The tie has 10 mm of D and 30 mm of D2; the mark 10 mm of its own.
		assert.InDelta(t, math.Sqrt(100+900+100), is.StdMM, 0.01, name)
		assert.Equal(t, was.Geodetic, is.Geodetic, "as written")
		back := p.Site.Frame.ToLocal(is.Placed)
		assert.InDelta(t, float64(is.Point.E), back.EastM*1000, 0.7)
		assert.InDelta(t, float64(is.Point.N), back.NorthM*1000, 0.7)
	}
	assert.Equal(t, mark(t, p, "D").Point, mark(t, p, "D2").Point, "the point is one")
	assert.InDelta(t, math.Sqrt(1000), p.Survey.Tapes[0].SetupsStdMM, 0.01)
	assert.InDelta(t, math.Hypot(30_000-east, north), p.Survey.Tapes[0].GroundMM, 3)
	assert.Equal(t, mark(t, p, "F2").Point, p.Fence.Boundary.Vertices[1], "the fence is where they are")

	// The other way round it is the same tie.
	swapped := averagedYard(t, ", control_marks: [A, C]", added("D2: {latitude: 51.620543816, longitude: 25.913784193, uncertainty: 3 cm, setup: june}"),
		of("D", "same_as: D2"), of("F2", "setup: june"), of("F3", "setup: june"))
	assert.Equal(t, p.Fence.Boundary.Vertices, swapped.Fence.Boundary.Vertices)
	assert.InDelta(t, mark(t, p, "F2").StdMM, mark(t, swapped, "F2").StdMM, 1e-9)

	// All follow the control marks: with those of June it is the others that move.
	moved := averagedYard(t, ", control_marks: [F2, F3]", june, of("F2", "setup: june"), of("F3", "setup: june"))
	assert.Equal(t, mark(t, plain, "F2").Point, mark(t, moved, "F2").Point)
	assert.InDelta(t, float64(mark(t, plain, "A").Point.E)+east, float64(mark(t, moved, "A").Point.E), 1.5)
	assert.InDelta(t, math.Sqrt(1100), mark(t, moved, "A").StdMM, 0.01)

	// A tie that is known worse than the base says is none.
	poor := averagedYard(t, ", control_marks: [A, C]", added("D2: {latitude: 51.620543816, longitude: 25.913784193, uncertainty: 120 cm, setup: june, same_as: D}"), of("F2", "setup: june"))
	assert.Equal(t, mark(t, plain, "F2").Point, mark(t, poor, "F2").Point)
	assert.InDelta(t, math.Hypot(10, math.Sqrt2*800), mark(t, poor, "F2").StdMM, 1e-9)
}

// Two shared points are weighted by their variances, and heights go along.
func TestTwoSharedPointsAreWeighted(t *testing.T) {
	p := averagedYard(t, ", control_marks: [A, C]",
		added("D2: {latitude: 51.620543816, longitude: 25.913772193, height: 171.00 m, uncertainty: 2 cm, setup: june, same_as: D}"),
		added("A2: {latitude: 51.620444939, longitude: 25.913772193, uncertainty: 4 cm, setup: june, same_as: A}"),
		of("D", "height: 168.00 m"), of("F2", "setup: june, height: 171.50 m"))
	// 1.0014 m north by D, none by A: weights 1/(100+400) and 1/(100+1600).
	w1, w2 := 1/500.0, 1/1700.0
	setup := p.Survey.Setups[1]
	require.Equal(t, "june", setup.Name)
	assert.InDelta(t, -9000.0*20_000/179_754*w1/(w1+w2), setup.NorthMM, 0.1)
	assert.InDelta(t, 0, setup.EastMM, 0.01)
	assert.InDelta(t, 1/math.Sqrt(w1+w2), setup.StdMM, 0.01)
	assert.InDelta(t, 168.5, mark(t, p, "F2").Placed.HeightM, 1e-9, "3 m of height are between the two")
	assert.InDelta(t, 171.5, mark(t, p, "F2").Geodetic.HeightM, 1e-9)
}

// A chain of set-ups adds variances, by whichever way is least; the order in which
// marks are written makes no difference.
func TestChainOfSetups(t *testing.T) {
	lines := []string{
		"D2: {latitude: 51.620543816, longitude: 25.913772193, uncertainty: 2 cm, setup: june, same_as: D}",
		"E2: {latitude: 51.620460000, longitude: 25.913800000, uncertainty: 2 cm, setup: june}",
		"E3: {latitude: 51.620470000, longitude: 25.913800000, uncertainty: 2 cm, setup: july, same_as: E2}",
		"A3: {latitude: 51.620464000, longitude: 25.913772193, uncertainty: 30 cm, setup: july, same_as: A}",
	}
	want := averagedYard(t, ", control_marks: [A, C]", added(strings.Join(lines, "\n  ")), of("F2", "setup: july"))
	july := want.Survey.Setups[1]
	require.Equal(t, "july", july.Name)
	assert.InDelta(t, math.Sqrt(100+400+400+400), july.StdMM, 0.02, "by way of June: 10, 20, 20 and 20 mm, less than 300 mm")
	assert.InDelta(t, -(9000.0+10_000)*20_000/179_754, july.NorthMM, 0.2)
	r := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		r.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
		got := averagedYard(t, ", control_marks: [C, A]", added(strings.Join(lines, "\n  ")), of("F2", "setup: july"))
		require.Equal(t, want.Fence.Boundary.Vertices, got.Fence.Boundary.Vertices)
		require.Equal(t, fmt.Sprint(want.Survey.Setups[0].StdMM, want.Survey.Setups[1].StdMM), fmt.Sprint(got.Survey.Setups[0].StdMM, got.Survey.Setups[1].StdMM))
	}
}

// What two set-ups of a base do to two marks, drawn at random: the moved coordinates of
// one against the other are as far off as said. The bound is of the difference of two
// marks of which one is moved by a tie.
func TestTieIsAsGoodAsSaid(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const trials, base = 4000, 800.0
	own := map[string]float64{"D": 10, "D2": 30, "F2": 20, "A": 10}
	sum := 0.0
	for range trials {
		may, june := base*r.NormFloat64(), base*r.NormFloat64()
		d, d2 := may+own["D"]*r.NormFloat64(), june+own["D2"]*r.NormFloat64()
		f2, a := june+own["F2"]*r.NormFloat64(), may+own["A"]*r.NormFloat64()
		off := f2 + (d - d2) - a
		sum += off * off
	}
	p := averagedYard(t, ", control_marks: [A, C]",
		added("D2: {latitude: 51.620543816, longitude: 25.913784193, uncertainty: 3 cm, setup: june, same_as: D}"),
		edit{"longitude: 25.914133155, uncertainty: 1 cm}", "longitude: 25.914133155, uncertainty: 2 cm, setup: june}"})
	said := math.Hypot(mark(t, p, "F2").StdMM, mark(t, p, "A").StdMM)
	assert.InEpsilon(t, said, math.Sqrt(sum/trials), 0.05)
}
