// Fit against sums done by hand, and what it says in words.
package shift

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// occupation is a mark at known coordinates that today's fixes put off by
// (-east, -north), so that (east, north) is what must be added.
func occupation(name string, knownEast, knownNorth, east, north, std float64) Occupation {
	return Occupation{
		Name: name, KnownEastMM: knownEast, KnownNorthMM: knownNorth,
		TodayEastMM: knownEast - east, TodayNorthMM: knownNorth - north, StdMM: std,
	}
}

func TestOneMark(t *testing.T) {
	s, err := Fit([]Occupation{occupation("C1", 1000, 2000, 600, -500, 20)}, 0.95, Options{})
	require.NoError(t, err)

	assert.Equal(t, 600.0, s.EastMM)
	assert.Equal(t, -500.0, s.NorthMM)
	assert.False(t, s.Rotated)
	assert.Zero(t, s.RotationRad)
	assert.Equal(t, 20.0, s.EastStdMM)
	assert.Equal(t, 20.0, s.NorthStdMM)
	assert.Equal(t, 0, s.Redundancy)
	assert.Zero(t, s.ReferenceVariance)
	// (600² + 500²)/20² = 1525 against chi-squared, 2 degrees, table value 5.991.
	assert.InDelta(t, 1525, s.TranslationTest.Statistic, 1e-9)
	assert.InDelta(t, 5.991, s.TranslationTest.Critical, 5e-4)
	assert.True(t, s.TranslationTest.Rejected)
	assert.Equal(t, Test{}, s.RotationTest)
	assert.Equal(t, Test{}, s.ModelTest)
	assert.Equal(t, []Residual{{Name: "C1", StdMM: 20}}, s.Residuals)
	assert.Equal(t, []string{
		"One control mark gives a translation that nothing checks: a wrong mark or a bad occupation would move the whole mission. Occupy a second mark.",
		"The translation is significant at 95 %.",
	}, s.Notes)
}

// Two marks 100 m apart, weights 1/100 and 1/400: the mean of (100, 0) and
// (110, 10) is (102, 2); Ω = 8/100 + 128/400 = 0.4.
func TestTwoMarksByHand(t *testing.T) {
	s, err := Fit([]Occupation{
		occupation("A", 0, 0, 100, 0, 10),
		occupation("B", 100_000, 0, 110, 10, 20),
	}, 0.95, Options{})
	require.NoError(t, err)

	assert.False(t, s.Rotated)
	assert.InDelta(t, 102, s.EastMM, 1e-9)
	assert.InDelta(t, 2, s.NorthMM, 1e-9)
	assert.InDelta(t, 8.94427, s.EastStdMM, 1e-5) // 1/√0.0125
	assert.InDelta(t, 20_000, s.CentroidEastMM, 1e-9)
	assert.Equal(t, 2, s.Redundancy)
	assert.InDelta(t, 0.2, s.ReferenceVariance, 1e-9)
	for i, want := range []Residual{
		{Name: "A", EastMM: -2, NorthMM: -2, StdMM: 10, Redundancy: 0.2},
		{Name: "B", EastMM: 8, NorthMM: 8, StdMM: 20, Redundancy: 0.8},
	} {
		got := s.Residuals[i]
		assert.Equal(t, want.Name, got.Name)
		assert.InDelta(t, want.EastMM, got.EastMM, 1e-9)
		assert.InDelta(t, want.NorthMM, got.NorthMM, 1e-9)
		assert.InDelta(t, want.Redundancy, got.Redundancy, 1e-12)
		assert.False(t, got.OutlierTest.Made)
	}

	// Today's vector from A to B is (99990, -10): turned by atan(10/99990) and
	// short by 100000 - √(99990² + 10²) = 9.9995 mm, which with the weight
	// 0.01 × 0.0025/0.0125 = 0.002 leaves Ω = 0.19998.
	assert.InDelta(t, 1.00010e-4, s.RotationTestedRad, 5e-10)
	assert.InDelta(t, 0.4-0.19998, s.RotationTest.Statistic, 1e-8)
	assert.InDelta(t, 3.841, s.RotationTest.Critical, 5e-4) // table, 1 degree
	// Σ w |a|² = 0.002 × 99990², so the angle is known to 1/√ of it.
	assert.InDelta(t, 2.23629e-4, s.RotationTestedStdRad, 5e-10)
	assert.Zero(t, s.RotationStdRad)

	assert.InDelta(t, 0.4, s.ModelTest.Statistic, 1e-9)
	assert.InDelta(t, 5.991, s.ModelTest.Critical, 5e-4)
	assert.InDelta(t, math.Exp(-0.2), s.ModelTest.PValue, 1e-9) // 2 degrees: exp(-x/2)
	assert.InDelta(t, 0.0125*(102*102+2*2), s.TranslationTest.Statistic, 1e-9)

	assert.Equal(t, []string{
		"Two control marks leave a redundancy of 2: that they disagree can be seen, but not which of them is wrong.",
		"The translation is significant at 95 %.",
		"A rotation of 100.0 µrad (standard deviation 223.6) is not significant at 95 %: translation only.",
	}, s.Notes)
}

// A quarter turn of three marks about the origin, then (10, 20): every sum is
// whole. Today (100,0), (0,200), (-300,0); known (10,120), (-190,20), (10,-280).
func TestQuarterTurnByHand(t *testing.T) {
	s, err := Fit([]Occupation{
		{"A", 10, 120, 100, 0, 1},
		{"B", -190, 20, 0, 200, 1},
		{"C", 10, -280, -300, 0, 1},
	}, 0.95, Options{Rotation: true})
	require.NoError(t, err)
	require.True(t, s.Rotated)
	assert.InDelta(t, math.Pi/2, s.RotationRad, 1e-12)
	assert.InDelta(t, 10, s.EastMM, 1e-9)
	assert.InDelta(t, 20, s.NorthMM, 1e-9)
	assert.Equal(t, 3, s.Redundancy)
	assert.InDelta(t, 0, s.ReferenceVariance, 1e-18)

	east, north := s.CorrectMM(50, -7)
	assert.InDelta(t, 7+10, east, 1e-9)
	assert.InDelta(t, 50+20, north, 1e-9)

	// Mean of today (-200/3, 200/3); Σ|a|² = 140000 - 3 × 2 × (200/3)² =
	// 113333.3: the angle is known to 0.0029704, the mean to 1/√3.
	assert.InDelta(t, 0.00297044, s.RotationStdRad, 1e-8)
	assert.InDelta(t, 0.57735, s.CentroidStdMM, 1e-5)
	assert.InDelta(t, -170.0/3, s.CentroidEastMM, 1e-9)
	assert.InDelta(t, -140.0/3, s.CentroidNorthMM, 1e-9)
	// Today's origin lies 200/3 east and north of today's mean, turned:
	// √(1/3 + (0.00297044 × 66.6667)²).
	assert.InDelta(t, 0.610368, s.EastStdMM, 1e-6)
	assert.InDelta(t, 0.610368, s.NorthStdMM, 1e-6)
	eastStd, northStd := s.StdAtMM(s.CentroidEastMM+1000, s.CentroidNorthMM)
	assert.InDelta(t, 0.57735, eastStd, 1e-5)
	assert.InDelta(t, 3.02603, northStd, 1e-5) // √(1/3 + 2.97044²)
}

// Marks turned about their own mean, (3000, 4000), and not moved: no translation
// is found though the constant to add, which counts from the site origin, is
// large.
func TestTranslationIsTestedAtTheMeanOfTheMarks(t *testing.T) {
	s, err := Fit([]Occupation{
		{"A", 3000, 5000, 4000, 4000, 1},
		{"B", 2000, 4000, 3000, 5000, 1},
		{"C", 3000, 3000, 2000, 4000, 1},
		{"D", 4000, 4000, 3000, 3000, 1},
	}, 0.95, Options{Rotation: true})
	require.NoError(t, err)
	assert.InDelta(t, math.Pi/2, s.RotationRad, 1e-12)
	assert.InDelta(t, 7000, s.EastMM, 1e-9) // (3000, 4000) turned is (-4000, 3000)
	assert.InDelta(t, 1000, s.NorthMM, 1e-9)
	assert.InDelta(t, 0, s.TranslationTest.Statistic, 1e-9)
	assert.False(t, s.TranslationTest.Rejected)
}

func TestNoRotationUnlessAskedFor(t *testing.T) {
	marks := []Occupation{
		{"A", 10, 120, 100, 0, 1},
		{"B", -190, 20, 0, 200, 1},
		{"C", 10, -280, -300, 0, 1},
	}
	s, err := Fit(marks, 0.95, Options{})
	require.NoError(t, err)
	assert.False(t, s.Rotated)
	assert.Zero(t, s.RotationRad)
	assert.True(t, s.RotationTest.Rejected)
	assert.InDelta(t, math.Pi/2, s.RotationTestedRad, 1e-12)
	assert.True(t, s.ModelTest.Rejected)
	assert.Contains(t, strings.Join(s.Notes, "\n"), "The rotation is left out, as nobody asked for one")
	// The means: today (-200/3, 200/3), known (-170/3, -140/3).
	assert.InDelta(t, 10, s.EastMM, 1e-9)
	assert.InDelta(t, -340.0/3, s.NorthMM, 1e-9)
}

// A square of marks 50 m wide, shifted by (700, -300); one of them wrong by
// (0, 90) with uncertainties of 10.
func square(wrong float64) []Occupation {
	return []Occupation{
		occupation("SW", 0, 0, 703, -305, 10),
		occupation("SE", 50_000, 0, 696, -297, 10),
		occupation("NE", 50_000, 50_000, 698, -304+wrong, 10),
		occupation("NW", 0, 50_000, 703, -294, 10),
	}
}

func TestGoodSquare(t *testing.T) {
	s, err := Fit(square(0), 0.95, Options{})
	require.NoError(t, err)
	assert.InDelta(t, 700, s.EastMM, 1e-9)
	assert.InDelta(t, -300, s.NorthMM, 1e-9)
	assert.Equal(t, 6, s.Redundancy)
	// Residuals (3,-5) (-4,3) (-2,-4) (3,6): 34 + 25 + 20 + 45 = 124.
	assert.InDelta(t, 1.24, s.ModelTest.Statistic, 1e-9)
	assert.InDelta(t, 12.592, s.ModelTest.Critical, 5e-4) // table, 6 degrees
	assert.False(t, s.ModelTest.Rejected)
	assert.Empty(t, s.Outlier)
	// Leaving out one of four equal marks: the drop is |v|²/std² × 4/3.
	for i, want := range []float64{34, 25, 20, 45} {
		r := s.Residuals[i]
		assert.InDelta(t, want/100*4/3, r.OutlierTest.Statistic, 1e-9)
		assert.Equal(t, 2, r.OutlierTest.DegreesOfFreedom)
		// -2 ln(1 - 0.95^(1/4)): two degrees have a closed form.
		assert.InDelta(t, -2*math.Log(1-math.Pow(0.95, 0.25)), r.OutlierTest.Critical, 1e-9)
		assert.InDelta(t, 0.75, r.Redundancy, 1e-12)
	}
}

func TestOneWrongMarkIsNamed(t *testing.T) {
	s, err := Fit(square(90), 0.95, Options{})
	require.NoError(t, err)
	assert.True(t, s.ModelTest.Rejected)
	assert.Equal(t, "NE", s.Outlier)
	assert.Contains(t, s.Notes, "The residuals are larger than the stated uncertainties allow at 95 %; mark NE fits worst. Occupy it again, or leave it out.")
}

// The same error looks like a rotation, and the notes say what is behind it.
func TestWrongMarkThatPassesForARotation(t *testing.T) {
	s, err := Fit(square(90), 0.95, Options{Rotation: true})
	require.NoError(t, err)
	assert.True(t, s.Rotated)
	text := strings.Join(s.Notes, "\n")
	assert.Contains(t, text, "is significant at 95 %")
	assert.Contains(t, text, "turns nothing")
	assert.Contains(t, text, "Without mark NE the rotation vanishes and the rest agrees")
}

// SE and NW are stretched away from SW by 80 mm each, which no rotation
// explains; NE is wrong too, and makes one appear. Without NE the rotation
// vanishes, but the rest still disagrees, so NE is not blamed for everything.
func TestRotationIsNotLaidToOneMarkWhenTheRestDisagrees(t *testing.T) {
	s, err := Fit([]Occupation{
		occupation("SW", 0, 0, 700, -300, 10),
		occupation("SE", 50_000, 0, 780, -300, 10),
		occupation("NE", 50_000, 50_000, 500, -100, 10),
		occupation("NW", 0, 50_000, 700, -220, 10),
	}, 0.95, Options{Rotation: true})
	require.NoError(t, err)
	assert.True(t, s.Rotated)
	assert.True(t, s.ModelTest.Rejected)
	assert.NotContains(t, strings.Join(s.Notes, "\n"), "vanishes")
}

func TestTwoMarksCannotNameTheWrongOne(t *testing.T) {
	s, err := Fit([]Occupation{
		occupation("A", 0, 0, 100, 0, 10),
		occupation("B", 100_000, 0, 400, 0, 10),
	}, 0.95, Options{})
	require.NoError(t, err)
	assert.True(t, s.ModelTest.Rejected)
	assert.Empty(t, s.Outlier)
	assert.Contains(t, s.Notes, "The residuals are larger than the stated uncertainties allow at 95 %, and no single mark can be named for it. Occupy all marks again.")
	assert.Contains(t, s.Notes, "Two control marks leave a redundancy of 2: that they disagree can be seen, but not which of them is wrong.")
}

func TestTwoMarksWithRotationKeepOneRedundancy(t *testing.T) {
	s, err := Fit([]Occupation{
		occupation("A", 0, 0, 100, 0, 10),
		occupation("B", 100_000, 0, 100, 100, 10),
	}, 0.95, Options{Rotation: true})
	require.NoError(t, err)
	assert.True(t, s.Rotated)
	assert.Equal(t, 1, s.Redundancy)
	assert.InDelta(t, 0.25, s.Residuals[0].Redundancy, 1e-9)
	assert.Contains(t, s.Notes[0], "a redundancy of 1")
}

func TestMarksTooCloseForARotation(t *testing.T) {
	for _, c := range []struct {
		apart float64
		made  bool
	}{
		// Σ w |a|² = d²/2/10²: the angle is known to 14.142/d, 0.05 at 282.8.
		{0, false}, {280, false}, {286, true},
	} {
		s, err := Fit([]Occupation{
			occupation("A", 0, 0, 5, 5, 10),
			occupation("B", c.apart, 0, 5, 5, 10),
		}, 0.95, Options{})
		require.NoError(t, err)
		assert.Equal(t, c.made, s.RotationTest.Made, "%v mm", c.apart)
		assert.InDelta(t, 5, s.EastMM, 1e-9)
		if !c.made {
			assert.Contains(t, s.Notes, "The marks lie too close together to tell a rotation: translation only.")
		}
	}
}

func TestWithinUncertainty(t *testing.T) {
	s, err := Fit([]Occupation{occupation("C1", 1000, 2000, 30, -30, 20)}, 0.95, Options{})
	require.NoError(t, err)
	assert.InDelta(t, 4.5, s.TranslationTest.Statistic, 1e-9)
	assert.False(t, s.TranslationTest.Rejected)
	assert.Contains(t, s.Notes, "The translation is within its uncertainty at 95 %: today's base agrees with the mission.")
}

func TestPessimisticUncertaintiesAreNoted(t *testing.T) {
	marks := square(0)
	for i := range marks {
		marks[i].StdMM = 100
	}
	s, err := Fit(marks, 0.95, Options{})
	require.NoError(t, err)
	assert.Greater(t, s.ModelTest.PValue, 0.95)
	assert.Contains(t, strings.Join(s.Notes, "\n"), "smaller than the stated uncertainties let expect")
}

// With the variance estimated, a common factor on the stated uncertainties
// changes no conclusion and no uncertainty.
func TestEstimatedVarianceByHand(t *testing.T) {
	for _, factor := range []float64{1, 7} {
		marks := square(0)
		for i := range marks {
			marks[i].StdMM *= factor
		}
		s, err := Fit(marks, 0.95, Options{EstimateVariance: true})
		require.NoError(t, err)
		assert.False(t, s.Rotated)
		// Ω = 124 in units of one: variance 124/6, of the mean a quarter of it.
		assert.InDelta(t, math.Sqrt(124.0/6/4), s.EastStdMM, 1e-9)
		assert.Equal(t, 2, s.TranslationTest.DegreesOfFreedom)
		assert.Equal(t, 6, s.TranslationTest.DenominatorDegrees)
		assert.InDelta(t, 4*(700.0*700+300*300)/2/(124.0/6), s.TranslationTest.Statistic, 1e-6)
		assert.InDelta(t, 5.143, s.TranslationTest.Critical, 5e-4) // table F(2, 6)
		assert.Equal(t, 5, s.RotationTest.DenominatorDegrees)
		assert.InDelta(t, 6.608, s.RotationTest.Critical, 5e-4) // table F(1, 5)
	}
}

func TestNothingToEstimateTheVarianceFrom(t *testing.T) {
	s, err := Fit([]Occupation{occupation("C1", 1000, 2000, 600, -500, 20)}, 0.95, Options{EstimateVariance: true})
	require.NoError(t, err)
	assert.Equal(t, 20.0, s.EastStdMM)
	assert.Equal(t, 0, s.TranslationTest.DenominatorDegrees)
	assert.Contains(t, s.Notes, "There is no scatter to estimate a variance from; the stated uncertainties are used.")
}

func TestRefusedOccupations(t *testing.T) {
	good := occupation("A", 0, 0, 1, 1, 10)
	with := func(change func(*Occupation)) []Occupation {
		o := good
		change(&o)
		return []Occupation{o}
	}
	for _, c := range []struct {
		name       string
		marks      []Occupation
		confidence float64
		want       string
	}{
		{"none", nil, 0.95, "no control mark was occupied"},
		{"twice", []Occupation{good, good}, 0.95, "mark A: occupied twice; average the fixes first"},
		{"no name", with(func(o *Occupation) { o.Name = "" }), 0.95, "occupation 1 has no mark name"},
		{"zero uncertainty", with(func(o *Occupation) { o.StdMM = 0 }), 0.95, "mark A: uncertainty 0 mm is not a positive number"},
		{"unknown uncertainty", with(func(o *Occupation) { o.StdMM = math.NaN() }), 0.95, "mark A: uncertainty NaN mm is not a positive number"},
		{"endless uncertainty", with(func(o *Occupation) { o.StdMM = math.Inf(1) }), 0.95, "mark A: uncertainty +Inf mm is not a positive number"},
		{"not a number", with(func(o *Occupation) { o.TodayNorthMM = math.NaN() }), 0.95, "mark A: a coordinate is not a finite number"},
		{"infinite", with(func(o *Occupation) { o.KnownEastMM = math.Inf(-1) }), 0.95, "mark A: a coordinate is not a finite number"},
		{"certain", []Occupation{good}, 1, "confidence 1 is not from 0.5 to below 1"},
		{"percent", []Occupation{good}, 95, "confidence 95 is not from 0.5 to below 1"},
		{"undefined", []Occupation{good}, math.NaN(), "confidence NaN is not from 0.5 to below 1"},
	} {
		_, err := Fit(c.marks, c.confidence, Options{Rotation: true})
		assert.EqualError(t, err, c.want, c.name)
	}
}

// drawMarks draws marks spread over a site of up to 20 km.
func drawMarks(t *rapid.T, least int) []Occupation {
	n := rapid.IntRange(least, 6).Draw(t, "marks")
	coordinate := rapid.Float64Range(-2e7, 2e7)
	marks := make([]Occupation, n)
	for i := range marks {
		marks[i] = Occupation{
			Name:        string(rune('A' + i)),
			TodayEastMM: coordinate.Draw(t, "east"), TodayNorthMM: coordinate.Draw(t, "north"),
			StdMM: rapid.Float64Range(1, 100).Draw(t, "std"),
		}
	}
	return marks
}

func TestAnyTranslationIsRecovered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		marks := drawMarks(t, 1)
		east := rapid.Float64Range(-5000, 5000).Draw(t, "shift east")
		north := rapid.Float64Range(-5000, 5000).Draw(t, "shift north")
		for i := range marks {
			marks[i].KnownEastMM = marks[i].TodayEastMM + east
			marks[i].KnownNorthMM = marks[i].TodayNorthMM + north
		}
		s, err := Fit(marks, 0.95, Options{})
		require.NoError(t, err)
		assert.False(t, s.Rotated)
		// Coordinates up to 2e7 mm are kept to 4e-9 mm by a float64.
		assert.InDelta(t, east, s.EastMM, 1e-7)
		assert.InDelta(t, north, s.NorthMM, 1e-7)
		assert.Empty(t, s.Outlier)
	})
}

func TestAnyRotationIsRecovered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		marks := drawMarks(t, 2)
		angle := rapid.Float64Range(-3.1, 3.1).Draw(t, "angle")
		east := rapid.Float64Range(-5000, 5000).Draw(t, "shift east")
		north := rapid.Float64Range(-5000, 5000).Draw(t, "shift north")
		for i, o := range marks {
			p := o.today().turn(angle)
			marks[i].KnownEastMM, marks[i].KnownNorthMM = p.east+east, p.north+north
		}
		s, err := Fit(marks, 0.95, Options{Rotation: true})
		require.NoError(t, err)
		if !s.RotationTest.Rejected {
			// An angle too small, or marks too close, to matter.
			return
		}
		assert.InDelta(t, angle, s.RotationRad, 1e-9*(1+1e6*s.RotationStdRad))
		for _, o := range marks {
			e, n := s.CorrectMM(o.TodayEastMM, o.TodayNorthMM)
			assert.InDelta(t, o.KnownEastMM, e, 1e-6)
			assert.InDelta(t, o.KnownNorthMM, n, 1e-6)
		}
	})
}

// Whatever the fit: corrected plus residual is known, the weighted residuals sum
// to zero, the redundancies to half the whole, and the order does not matter.
func TestBookkeeping(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		marks := drawMarks(t, 1)
		noise := rapid.Float64Range(-200, 200)
		for i := range marks {
			marks[i].KnownEastMM = marks[i].TodayEastMM + noise.Draw(t, "noise")
			marks[i].KnownNorthMM = marks[i].TodayNorthMM + noise.Draw(t, "noise")
		}
		s, err := Fit(marks, 0.95, Options{Rotation: rapid.Bool().Draw(t, "rotation")})
		require.NoError(t, err)
		var sum point
		var redundancy, weight float64
		for i, o := range marks {
			r := s.Residuals[i]
			e, n := s.CorrectMM(o.TodayEastMM, o.TodayNorthMM)
			assert.InDelta(t, o.KnownEastMM, e+r.EastMM, 1e-6)
			assert.InDelta(t, o.KnownNorthMM, n+r.NorthMM, 1e-6)
			sum.east += o.weight() * r.EastMM
			sum.north += o.weight() * r.NorthMM
			weight += o.weight()
			redundancy += 2 * r.Redundancy
		}
		assert.InDelta(t, 0, sum.east/weight, 1e-6)
		assert.InDelta(t, 0, sum.north/weight, 1e-6)
		assert.InDelta(t, float64(s.Redundancy), redundancy, 1e-9)

		reversed := make([]Occupation, len(marks))
		for i, o := range marks {
			reversed[len(marks)-1-i] = o
		}
		again, err := Fit(reversed, 0.95, Options{Rotation: s.Rotated})
		require.NoError(t, err)
		assert.InDelta(t, s.EastMM, again.EastMM, 1e-6)
		assert.InDelta(t, s.NorthMM, again.NorthMM, 1e-6)
	})
}

// CorrectMM returns today's coordinates as the mission has them.
func (s Solution) CorrectMM(todayEastMM, todayNorthMM float64) (eastMM, northMM float64) {
	turned := point{todayEastMM, todayNorthMM}.turn(s.RotationRad)
	return turned.east + s.EastMM, turned.north + s.NorthMM
}
