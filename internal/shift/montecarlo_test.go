// Simulations with a fixed seed: the uncertainties that Fit states are those
// that repeated surveys would show, and its tests cry wolf as often as they say.
package shift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	surveys    = 6_000
	confidence = 0.95
)

// frequencyTolerance is five standard deviations of the frequency of something
// of probability p in so many surveys (binomial distribution).
func frequencyTolerance(p float64) float64 { return 5 * math.Sqrt(p*(1-p)/surveys) }

// varianceTolerance is five standard deviations of a sample variance, relative
// to it: √(2/n) for normal errors.
var varianceTolerance = 5 * math.Sqrt(2.0/surveys)

// survey makes occupations at fixed places with known coordinates, turned and
// shifted, with fresh normal errors of the stated size.
func survey(rng *rand.Rand, places []point, angle float64, east, north float64) []Occupation {
	marks := make([]Occupation, len(places))
	for i, p := range places {
		std := 8 + 4*float64(i) // unequal
		known := p.turn(angle)
		marks[i] = Occupation{
			Name:         fmt.Sprint("M", i+1),
			KnownEastMM:  known.east + east,
			KnownNorthMM: known.north + north,
			// Half of the variance in today's fixes, half in the mark's own.
			TodayEastMM:  p.east + std*math.Sqrt(0.5)*rng.NormFloat64(),
			TodayNorthMM: p.north + std*math.Sqrt(0.5)*rng.NormFloat64(),
			StdMM:        std,
		}
		marks[i].KnownEastMM += std * math.Sqrt(0.5) * rng.NormFloat64()
		marks[i].KnownNorthMM += std * math.Sqrt(0.5) * rng.NormFloat64()
	}
	return marks
}

var sites = map[string][]point{
	"two marks":                 {{10_000, 5_000}, {90_000, -30_000}},
	"three marks":               {{10_000, 5_000}, {90_000, -30_000}, {40_000, 70_000}},
	"five marks, one far":       {{0, 0}, {20_000, 3_000}, {15_000, 30_000}, {-5_000, 25_000}, {400_000, 10_000}},
	"four marks nearly in line": {{0, 0}, {30_000, 100}, {61_000, -80}, {95_000, 20}},
}

// With no rotation and no blunder, each test rejects in 5 % of the surveys, the
// search for an outlier in no more, and where no rotation is found the shift
// scatters as stated.
func TestSizesOfTheTests(t *testing.T) {
	for name, places := range sites {
		for _, options := range []Options{{}, {EstimateVariance: true}} {
			if options.EstimateVariance && len(places) == 2 {
				// With a single redundancy left an F test can hardly ever
				// reject (critical value 161); its size is checked below.
				continue
			}
			t.Run(fmt.Sprintf("%s, %+v", name, options), func(t *testing.T) {
				rng := rand.New(rand.NewPCG(11, 7))
				var rotation, model, suspects int
				for range surveys {
					s, err := Fit(survey(rng, places, 0, 300, -200), confidence, options)
					require.NoError(t, err)
					if s.RotationTest.Rejected {
						rotation++
					}
					// The model and outlier tests follow the choice of
					// rotation or none; made without it they have a plain size.
					plain, err := Fit(survey(rng, places, 0, 300, -200), confidence, Options{EstimateVariance: options.EstimateVariance})
					require.NoError(t, err)
					if plain.ModelTest.Rejected {
						model++
					}
					for _, r := range plain.Residuals {
						if r.OutlierTest.Rejected {
							suspects++
							break
						}
					}
				}
				const size = 1 - confidence
				assert.InDelta(t, size, float64(rotation)/surveys, frequencyTolerance(size), "rotation")
				assert.InDelta(t, size, float64(model)/surveys, frequencyTolerance(size), "model")
				assert.LessOrEqual(t, float64(suspects)/surveys, size+frequencyTolerance(size), "outlier")
			})
		}
	}
}

// With no shift at all, a translation is found in 5 % of the surveys.
func TestSizeOfTheTranslationTest(t *testing.T) {
	for name, places := range sites {
		for _, options := range []Options{{}, {EstimateVariance: true}} {
			rng := rand.New(rand.NewPCG(5, 23))
			rejected := 0
			for range surveys {
				s, err := Fit(survey(rng, places, 0, 0, 0), confidence, options)
				require.NoError(t, err)
				if s.TranslationTest.Rejected {
					rejected++
				}
			}
			assert.InDelta(t, 1-confidence, float64(rejected)/surveys, frequencyTolerance(1-confidence), "%s %+v", name, options)
		}
	}
}

// Translation alone: its scatter over many surveys is the stated one.
func TestStatedTranslationUncertainty(t *testing.T) {
	for name, places := range sites {
		rng := rand.New(rand.NewPCG(2, 9))
		var east, north float64
		var stated Solution
		for range surveys {
			s, err := Fit(survey(rng, places, 0, 300, -200), confidence, Options{})
			require.NoError(t, err)
			east += (s.EastMM - 300) * (s.EastMM - 300)
			north += (s.NorthMM + 200) * (s.NorthMM + 200)
			stated = s
		}
		assert.InEpsilon(t, stated.EastStdMM*stated.EastStdMM, east/surveys, varianceTolerance, name)
		assert.InEpsilon(t, stated.NorthStdMM*stated.NorthStdMM, north/surveys, varianceTolerance, name)
	}
}

// A rotation that is always found: translation, angle, and the correction of a
// place away from the marks all scatter as stated, and what is left fits.
func TestStatedRotationUncertainty(t *testing.T) {
	const angle = 0.02
	places := sites["three marks"]
	away := point{-120_000, 200_000}
	rng := rand.New(rand.NewPCG(31, 4))
	var east, north, turn, awayEast, awayNorth, omega float64
	var model int
	var stated Solution
	want := away.turn(angle)
	for range surveys {
		s, err := Fit(survey(rng, places, angle, 300, -200), confidence, Options{Rotation: true})
		require.NoError(t, err)
		require.True(t, s.Rotated)
		east += (s.EastMM - 300) * (s.EastMM - 300)
		north += (s.NorthMM + 200) * (s.NorthMM + 200)
		turn += (s.RotationRad - angle) * (s.RotationRad - angle)
		e, n := s.CorrectMM(away.east, away.north)
		awayEast += (e - want.east - 300) * (e - want.east - 300)
		awayNorth += (n - want.north + 200) * (n - want.north + 200)
		omega += s.ReferenceVariance
		if s.ModelTest.Rejected {
			model++
		}
		stated = s
	}
	assert.InEpsilon(t, stated.EastStdMM*stated.EastStdMM, east/surveys, varianceTolerance)
	assert.InEpsilon(t, stated.NorthStdMM*stated.NorthStdMM, north/surveys, varianceTolerance)
	assert.InEpsilon(t, stated.RotationStdRad*stated.RotationStdRad, turn/surveys, varianceTolerance)
	eastStd, northStd := stated.StdAtMM(want.east+300, want.north-200)
	assert.InEpsilon(t, eastStd*eastStd, awayEast/surveys, varianceTolerance)
	assert.InEpsilon(t, northStd*northStd, awayNorth/surveys, varianceTolerance)
	// A reference variance with r degrees has the mean 1 and the variance 2/r.
	assert.InDelta(t, 1, omega/surveys, 5*math.Sqrt(2.0/3/surveys))
	assert.InDelta(t, 1-confidence, float64(model)/surveys, frequencyTolerance(1-confidence))
}

// The F test with one degree of freedom in the denominator, two marks.
func TestSizeOfTheRotationTestWithTwoMarks(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	rejected := 0
	for range surveys {
		s, err := Fit(survey(rng, sites["two marks"], 0, 300, -200), confidence, Options{EstimateVariance: true})
		require.NoError(t, err)
		assert.Equal(t, 1, s.RotationTest.DenominatorDegrees)
		if s.RotationTest.Rejected {
			rejected++
		}
	}
	assert.InDelta(t, 1-confidence, float64(rejected)/surveys, frequencyTolerance(1-confidence))
}

// A mark that is wrong by ten times its uncertainty is found and named, for
// every mark of the site in turn.
func TestBlundersAreNamed(t *testing.T) {
	const each = 1000
	places := sites["five marks, one far"]
	rng := rand.New(rand.NewPCG(12, 1))
	for wrong := range places {
		named, misnamed := 0, 0
		for range each {
			marks := survey(rng, places, 0, 300, -200)
			angle := 2 * math.Pi * rng.Float64()
			marks[wrong].TodayEastMM += 10 * marks[wrong].StdMM * math.Cos(angle)
			marks[wrong].TodayNorthMM += 10 * marks[wrong].StdMM * math.Sin(angle)
			s, err := Fit(marks, confidence, Options{})
			require.NoError(t, err)
			switch s.Outlier {
			case marks[wrong].Name:
				named++
			case "":
			default:
				misnamed++
			}
		}
		// The most accurate mark has the least redundancy, 0.49: its error
		// stands out by 10 √0.49 = 7.0 standard deviations, against a critical
		// value of √9.17 = 3.0. It shows in its nearest rival, by correlation,
		// as 0.55 × 7.0 = 3.9; that the rival comes out larger takes a chance
		// of 3.1/√(2-2×0.55) = 3.3 standard deviations, one in a thousand or so.
		assert.GreaterOrEqual(t, named, 990, "mark %d: named %d, another %d", wrong+1, named, misnamed)
	}
}
