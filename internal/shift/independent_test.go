// Fit against general methods that know nothing of its closed forms: a search
// that only evaluates the sum of squares, and the matrices of the textbook's
// linear least squares, both by gonum.
package shift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// randomMarks makes n marks over a site of 400 m, known from today's by a
// shift, a rotation and noise of the stated size.
func randomMarks(rng *rand.Rand, n int, angle float64) []Occupation {
	marks := make([]Occupation, n)
	for i := range marks {
		today := point{4e5 * (rng.Float64() - 0.3), 4e5 * (rng.Float64() - 0.8)}
		std := 5 + 25*rng.Float64()
		known := today.turn(angle)
		marks[i] = Occupation{
			Name:        fmt.Sprint("M", i+1),
			KnownEastMM: known.east + 850 + std*rng.NormFloat64(), KnownNorthMM: known.north - 420 + std*rng.NormFloat64(),
			TodayEastMM: today.east, TodayNorthMM: today.north, StdMM: std,
		}
	}
	return marks
}

// Nelder and Mead's search of the smallest sum of squares, over the two
// translations and the angle.
func TestAgainstBruteForceMinimum(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for n := 2; n <= 6; n++ {
		marks := randomMarks(rng, n, 0.003)
		s, err := Fit(marks, 0.95, Options{Rotation: true})
		require.NoError(t, err)
		require.True(t, s.Rotated)

		sum := func(x []float64) float64 {
			// Scaled so that all three unknowns move the sum alike: 1 mm, 1 mm
			// and 1 µrad.
			trial := Solution{EastMM: x[0], NorthMM: x[1], RotationRad: 1e-6 * x[2]}
			total := 0.0
			for _, o := range marks {
				e, n := trial.CorrectMM(o.TodayEastMM, o.TodayNorthMM)
				total += ((o.KnownEastMM-e)*(o.KnownEastMM-e) + (o.KnownNorthMM-n)*(o.KnownNorthMM-n)) / (o.StdMM * o.StdMM)
			}
			return total
		}
		found := []float64{0, 0, 0}
		for range 20 { // restarted, as the simplex may collapse on its way
			result, err := optimize.Minimize(optimize.Problem{Func: sum}, found, &optimize.Settings{
				Converger: &optimize.FunctionConverge{Absolute: 1e-14, Iterations: 500},
			}, &optimize.NelderMead{})
			require.NoError(t, err)
			found = result.X
		}
		omega := s.ReferenceVariance * float64(s.Redundancy)
		// The search ends within 1e-10 of the smallest sum, so within about
		// √1e-10 standard deviations of the place.
		assert.InDelta(t, sum(found), omega, 1e-9, "%d marks", n)
		assert.LessOrEqual(t, omega, sum(found)+1e-9)
		assert.InDelta(t, found[0], s.EastMM, 1e-3*s.EastStdMM, "%d marks", n)
		assert.InDelta(t, found[1], s.NorthMM, 1e-3*s.NorthStdMM, "%d marks", n)
		assert.InDelta(t, 1e-6*found[2], s.RotationRad, 1e-3*s.RotationStdRad, "%d marks", n)
	}
}

// linear holds the matrices of the adjustment at the solution: for each mark two
// rows, for the unknowns east, north and, if rotated, the angle.
func linear(marks []Occupation, s Solution, extra int) (design *mat.Dense, weights *mat.DiagDense, residual *mat.VecDense) {
	unknowns := 2
	if s.Rotated {
		unknowns = 3
	}
	if extra >= 0 {
		unknowns += 2
	}
	design = mat.NewDense(2*len(marks), unknowns, nil)
	weights = mat.NewDiagDense(2*len(marks), nil)
	residual = mat.NewVecDense(2*len(marks), nil)
	for i, o := range marks {
		e, n := 2*i, 2*i+1
		design.Set(e, 0, 1)
		design.Set(n, 1, 1)
		if s.Rotated {
			turned := o.today().turn(s.RotationRad)
			design.Set(e, 2, -turned.north)
			design.Set(n, 2, turned.east)
		}
		if i == extra { // this mark's own error as two more unknowns
			design.Set(e, unknowns-2, 1)
			design.Set(n, unknowns-1, 1)
		}
		weights.SetDiag(e, 1/(o.StdMM*o.StdMM))
		weights.SetDiag(n, 1/(o.StdMM*o.StdMM))
		east, north := s.CorrectMM(o.TodayEastMM, o.TodayNorthMM)
		residual.SetVec(e, o.KnownEastMM-east)
		residual.SetVec(n, o.KnownNorthMM-north)
	}
	return design, weights, residual
}

// Covariance (JᵀWJ)⁻¹, redundancies from I - J(JᵀWJ)⁻¹JᵀW, and the outlier test
// from two more unknowns for the suspected mark.
func TestAgainstMatrices(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, angle := range []float64{0, 0.01} {
		for n := 3; n <= 6; n++ {
			marks := randomMarks(rng, n, angle)
			s, err := Fit(marks, 0.999999, Options{Rotation: angle != 0})
			require.NoError(t, err)
			require.Equal(t, angle != 0, s.Rotated)

			j, w, _ := linear(marks, s, -1)
			var jw, normal, covariance mat.Dense
			jw.Mul(j.T(), w)
			normal.Mul(&jw, j)
			require.NoError(t, covariance.Inverse(&normal))
			assert.InEpsilon(t, math.Sqrt(covariance.At(0, 0)), s.EastStdMM, 1e-9)
			assert.InEpsilon(t, math.Sqrt(covariance.At(1, 1)), s.NorthStdMM, 1e-9)
			if s.Rotated {
				assert.InEpsilon(t, math.Sqrt(covariance.At(2, 2)), s.RotationStdRad, 1e-9)
			}

			var hat, part mat.Dense
			part.Mul(&covariance, &jw)
			hat.Mul(j, &part)
			for i, r := range s.Residuals {
				mean := 1 - (hat.At(2*i, 2*i)+hat.At(2*i+1, 2*i+1))/2
				assert.InDelta(t, mean, r.Redundancy, 1e-9)
			}

			for i, r := range s.Residuals {
				j, w, v := linear(marks, s, i)
				_, unknowns := j.Dims()
				var jw, normal, covariance mat.Dense
				var right, x mat.VecDense
				jw.Mul(j.T(), w)
				normal.Mul(&jw, j)
				require.NoError(t, covariance.Inverse(&normal))
				right.MulVec(&jw, v)
				x.MulVec(&covariance, &right)
				own := mat.NewVecDense(2, []float64{x.AtVec(unknowns - 2), x.AtVec(unknowns - 1)})
				var block mat.Dense
				require.NoError(t, block.Inverse(covariance.Slice(unknowns-2, unknowns, unknowns-2, unknowns)))
				statistic := mat.Inner(own, &block, own)
				// Equal in theory for a translation; a rotation is linear in
				// the angle only to about its change without the mark, 1e-4.
				relative := 1e-6
				if s.Rotated {
					relative = 1e-3
				}
				assert.InDelta(t, statistic, r.OutlierTest.Statistic, relative*(1+statistic), "mark %d of %d, angle %v", i+1, n, angle)
			}
		}
	}
}
