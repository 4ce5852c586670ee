// Means of fixes and their uncertainties: by hand, and by simulation.
package shift

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
	"merestone/internal/planar"
)

// plain takes latitude for north and longitude for east, both as millimetres,
// and an uncertainty in millimetres.
var plain = Converter{
	Local: func(r Row) (float64, float64, error) {
		north, errNorth := strconv.ParseFloat(r.Latitude, 64)
		east, errEast := strconv.ParseFloat(r.Longitude, 64)
		if errNorth != nil || errEast != nil {
			return 0, 0, errors.New("a coordinate is not a number")
		}
		return east, north, nil
	},
	Uncertainty: func(text string) (float64, error) {
		mm, err := strconv.ParseFloat(strings.TrimSuffix(text, " mm"), 64)
		if err != nil {
			return 0, fmt.Errorf("uncertainty %q is not a length", text)
		}
		return mm, nil
	},
}

// rowsOf makes rows of one mark from north, east pairs.
func rowsOf(name, uncertainty string, fixes ...[2]float64) []Row {
	rows := make([]Row, len(fixes))
	for i, f := range fixes {
		rows[i] = Row{Line: i + 2, Name: name, Uncertainty: uncertainty,
			Latitude: fmt.Sprint(f[0]), Longitude: fmt.Sprint(f[1])}
	}
	return rows
}

func TestAverageOfOneFix(t *testing.T) {
	means, warnings, err := Average(rowsOf("C1", "20 mm", [2]float64{2000, 1000}), plain)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, []Mean{{Name: "C1", Line: 2, Fixes: 1, EastMM: 1000, NorthMM: 2000, StatedMM: 20, StdMM: 20}}, means)
}

// Four fixes at the corners of a square of 20 mm: each 10 mm off the mean in
// both axes, so the scatter is √(4 × 200/(2 × 3)) = 11.547 mm.
func TestAverageOfFewFixes(t *testing.T) {
	corners := [][2]float64{{2010, 990}, {2010, 1010}, {1990, 1010}, {1990, 990}}
	means, warnings, err := Average(rowsOf("C1", "", corners...), plain)
	require.NoError(t, err)
	require.Len(t, means, 1)
	assert.Equal(t, 1000.0, means[0].EastMM)
	assert.Equal(t, 2000.0, means[0].NorthMM)
	assert.InDelta(t, 11.547, means[0].ScatterMM, 1e-3)
	assert.InDelta(t, 11.547, means[0].StdMM, 1e-3) // not divided by √4
	assert.Zero(t, means[0].IndependentFixes)
	assert.Equal(t, []Warning{
		{2, "C1", "4 fixes are too few to judge; the scatter of a single fix, 11.5 mm, is used as the uncertainty of their mean"},
		{2, "C1", "errors that drift more slowly than the occupation lasted do not show in its scatter; state the receiver's uncertainty, or occupy the mark again at another hour"},
	}, warnings)
}

func TestStatedUncertaintyIsAFloor(t *testing.T) {
	corners := [][2]float64{{2010, 990}, {2010, 1010}, {1990, 1010}, {1990, 990}}
	means, warnings, err := Average(rowsOf("C1", "25 mm", corners...), plain)
	require.NoError(t, err)
	assert.Equal(t, 25.0, means[0].StdMM)
	assert.Empty(t, warnings)

	means, warnings, err = Average(rowsOf("C1", "5 mm", corners...), plain)
	require.NoError(t, err)
	assert.InDelta(t, 11.547, means[0].StdMM, 1e-3)
	assert.Equal(t, []Warning{{2, "C1", "the fixes scatter more than their stated uncertainty lets expect: their mean is uncertain by 11.5 mm, not 5.0 mm"}}, warnings)
}

// Different stated uncertainties combine as a quadratic mean: √((3² + 4²)/2).
func TestStatedUncertaintiesCombine(t *testing.T) {
	rows := rowsOf("C1", "3 mm", [2]float64{0, 0}, [2]float64{0, 0})
	rows[1].Uncertainty = "4 mm"
	means, _, err := Average(rows, plain)
	require.NoError(t, err)
	assert.InDelta(t, 3.53553, means[0].StdMM, 1e-5)
}

// Fixes that alternate have no positive correlation: the textbook's scatter/√n.
func TestIndependentFixes(t *testing.T) {
	var fixes [][2]float64
	for i := range 100 {
		sign := float64(1 - 2*(i%2))
		fixes = append(fixes, [2]float64{2000 + 10*sign, 1000 - 10*sign})
	}
	means, warnings, err := Average(rowsOf("C1", "", fixes...), plain)
	require.NoError(t, err)
	assert.Equal(t, 100.0, means[0].IndependentFixes)
	// 100 × 200/(2 × 99) = 101.01, its root over 10.
	assert.InDelta(t, 10.0504, means[0].ScatterMM, 1e-4)
	assert.InDelta(t, 1.00504, means[0].StdMM, 1e-5)
	require.Len(t, warnings, 1)
	assert.Contains(t, warnings[0].Text, "drift more slowly")
}

// A mean that wanders off steadily is worth next to nothing.
func TestDriftingFixes(t *testing.T) {
	var fixes [][2]float64
	for i := range 200 {
		fixes = append(fixes, [2]float64{2000, 1000 + float64(i)})
	}
	means, warnings, err := Average(rowsOf("C1", "", fixes...), plain)
	require.NoError(t, err)
	assert.Equal(t, 2.0, means[0].IndependentFixes)
	// Σ d² = 200 (200² - 1)/12, halved for two axes, over 200: 1666.6.
	assert.InDelta(t, 40.8243, means[0].StdMM, 1e-4)
	assert.Equal(t, "200 fixes in a row are correlated and worth about 2 independent ones", warnings[0].Text)
}

// Simulated fixes whose errors fade as e^(-t/τ), τ = -1/ln ρ fixes: the stated
// variance of the mean is, on average, not less than that which many such means
// show, and not much more if the occupation lasts 40 τ or longer. A short one
// cannot tell its own correlation well, and states more rather than less.
func TestStatedUncertaintyOfCorrelatedFixes(t *testing.T) {
	const occupations = 6000
	for _, c := range []struct {
		rho  float64
		n    int
		most float64
	}{
		{0, 30, 1.2}, {0, 1000, 1.1}, {0.5, 200, 1.1}, {0.9, 800, 1.1}, {0.97, 2400, 1.15},
		{0.97, 500, 1.5}, {0.97, 300, 2}, // 15 τ and 9 τ
	} {
		rng := rand.New(rand.NewPCG(41, uint64(c.n)))
		var shown, stated, naive float64
		for range occupations {
			fixes := make([]point, c.n)
			step := 10 * math.Sqrt(1-c.rho*c.rho)
			at := point{10 * rng.NormFloat64(), 10 * rng.NormFloat64()}
			for i := range fixes {
				fixes[i] = at
				at = point{c.rho*at.east + step*rng.NormFloat64(), c.rho*at.north + step*rng.NormFloat64()}
			}
			m := average(fixes)
			shown += (m.EastMM*m.EastMM + m.NorthMM*m.NorthMM) / 2
			stated += m.StdMM * m.StdMM
			naive += m.ScatterMM * m.ScatterMM / float64(c.n)
		}
		// The variance shown comes of 12000 coordinates, so it is itself known
		// to √(2/12000) = 1.3 %: four times that below 1 would be too little.
		ratio := stated / shown
		assert.Greater(t, ratio, 0.95, "ρ %v, %d fixes", c.rho, c.n)
		assert.Less(t, ratio, c.most, "ρ %v, %d fixes", c.rho, c.n)
		t.Logf("ρ %v, %d fixes: stated/shown variance %.3f; scatter/√n would give %.3f", c.rho, c.n, ratio, naive/shown)
	}
}

func TestAverageKeepsTheOrderOfMarks(t *testing.T) {
	rows := append(rowsOf("B", "5 mm", [2]float64{0, 0}), rowsOf("A", "5 mm", [2]float64{1, 1})...)
	rows = append(rows, rowsOf("B", "5 mm", [2]float64{10, 20})...)
	means, _, err := Average(rows, plain)
	require.NoError(t, err)
	require.Len(t, means, 2)
	assert.Equal(t, "B", means[0].Name)
	assert.Equal(t, 2, means[0].Fixes)
	assert.Equal(t, 10.0, means[0].EastMM)
	assert.Equal(t, 5.0, means[0].NorthMM)
	assert.Equal(t, "A", means[1].Name)
}

func TestAverageRefuses(t *testing.T) {
	row := func(line int, name, latitude, uncertainty string) Row {
		return Row{Line: line, Name: name, Latitude: latitude, Longitude: "0", Uncertainty: uncertainty}
	}
	for _, c := range []struct {
		name string
		rows []Row
		want string
	}{
		{"a single fix, nothing stated", []Row{row(2, "C1", "0", "")},
			"line 2: mark C1: a single fix without an uncertainty; take more fixes or state one"},
		{"stated for some", []Row{row(2, "C1", "0", "2"), row(3, "C1", "0", "")},
			"line 2: mark C1: an uncertainty is given for 1 of its 2 fixes; give it for all or none"},
		{"a repeated fix", []Row{row(2, "C1", "0", ""), row(3, "C1", "0", "")},
			"line 2: mark C1: all fixes are equal and no uncertainty is stated; the receiver may be repeating one fix"},
		{"faults of the converter, all told", []Row{row(2, "C1", "x", "2"), row(3, "C1", "0", "many"), row(4, "C2", "0", "0")},
			"line 2: mark C1: a coordinate is not a number\nline 3: mark C1: uncertainty \"many\" is not a length\nline 4: mark C2: uncertainty \"0\" is not more than zero"},
	} {
		means, warnings, err := Average(c.rows, plain)
		assert.EqualError(t, err, c.want, c.name)
		assert.Nil(t, means, c.name)
		assert.Nil(t, warnings, c.name)
	}

	many := make([]Row, 100)
	for i := range many {
		many[i] = row(i+2, "C1", "x", "")
	}
	_, _, err := Average(many, plain)
	require.Error(t, err)
	assert.Len(t, strings.Split(err.Error(), "\n"), 20)
}

// From the file to the shift: two marks, known to 12 and 5 mm.
func TestFromFileToShift(t *testing.T) {
	rows, err := ReadRows(strings.NewReader("name,longitude,latitude,uncertainty\n" +
		"C1,-610,480,9\nC1,-590,520,9\nC2,99400,500,12\n"))
	require.NoError(t, err)
	means, _, err := Average(rows, plain)
	require.NoError(t, err)
	marks := map[string]plan.Mark{"C1": {StdMM: 12}, "C2": {Point: planar.Point{E: 100_000}, StdMM: 5}}
	occupations, err := Occupations(means, marks)
	require.NoError(t, err)
	// C1: two fixes scatter by √((2×100 + 2×400)/2) = 22.36, more than stated.
	assert.InDelta(t, math.Sqrt(12*12+500), occupations[0].StdMM, 1e-9)
	assert.InDelta(t, 13, occupations[1].StdMM, 1e-12)
	s, err := Fit(occupations, 0.95, Options{Rotation: true})
	require.NoError(t, err)
	assert.InDelta(t, 600, s.EastMM, 1e-9)
	assert.InDelta(t, -500, s.NorthMM, 1e-9)

	delete(marks, "C2")
	_, err = Occupations(means, marks)
	assert.EqualError(t, err, "line 4: mark C2 is not a mark of the mission")
}
