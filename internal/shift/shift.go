// Package shift finds how today's fixes must be moved so that they agree with
// the coordinates of the mission.
//
// A base station that surveys itself in comes up at slightly different
// coordinates each time, and with it every fix of the rover. Occupying control
// marks, whose mission coordinates are known, shows by how much. One mark gives
// a translation and no check. Two or more give the translation that fits best,
// tell whether a rotation would fit better, and check themselves. A base moves all
// fixes alike and turns nothing, so that a rotation is used only where it is asked for.
//
// The files, in the order in which data flows: read.go reads a file of fixes,
// average.go makes one occupation of the fixes on each mark, rigid.go fits,
// significance.go holds the statistical tests, outlier.go looks for the mark
// that does not fit, and this file ties them together in Fit. mission.go reads the
// fixes for a mission and rounds its shift to what the board takes, and logs.go begins with
// receivers' logs in place of a file; judge.go has the rules by which a shift is refused, and
// rules.go their list.
//
// Everything is in the mission's local frame: east and north in millimetres from
// the site origin. A rotation is in radians, positive from east towards north
// (anticlockwise on a map), about the site origin.
//
// Sources: least squares adjustment as taught in surveying (weights, reference
// variance, goodness of fit test, data snooping), from memory of the textbooks;
// the goodness of fit test also in the article "Sampling Statistics" of the
// series "Where Theory Meets Practice" (xyht.com/surveying/sampling-statistics),
// the test of points of two epochs against each other in "On the deformation
// analysis of point fields" (Journal of Geodesy 89, 2015).
package shift

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"merestone/internal/elementary"
)

// Occupation is a control mark that was occupied today.
type Occupation struct {
	Name string
	// KnownEastMM and KnownNorthMM are the mark's coordinates in the mission.
	KnownEastMM, KnownNorthMM float64
	// TodayEastMM and TodayNorthMM are the coordinates that today's fixes gave.
	TodayEastMM, TodayNorthMM float64
	// StdMM is one standard deviation, in each axis, of the difference between
	// the two: the mark's own uncertainty and that of today's mean together.
	StdMM float64
}

// Options change how Fit decides. The zero value is right for most.
type Options struct {
	// Rotation asks for a rotation, which is then used wherever the marks tell one,
	// significant or not: what decides by a test whether to turn leaves a rotation
	// that is just not found out of its uncertainty. It is tested and reported in any
	// case.
	Rotation bool
	// EstimateVariance judges by the scatter of the marks rather than by their
	// stated uncertainties, which then only weight the marks against each
	// other: the tests become F tests and the uncertainties are scaled by the
	// reference variance. For stated uncertainties that are mere guesses. It
	// needs redundancy, and few marks make a weak test.
	EstimateVariance bool
}

// Solution is the shift, how good it is, and what the tests said.
type Solution struct {
	// EastMM and NorthMM are to be added to today's fixes so that they agree
	// with the mission. RotationRad turns them first, about the site origin; it
	// is zero unless Rotated.
	EastMM, NorthMM, RotationRad float64
	// Rotated says whether a rotation is used.
	Rotated bool
	// EastStdMM, NorthStdMM and RotationStdRad are one standard deviation of
	// the three.
	EastStdMM, NorthStdMM, RotationStdRad float64

	// CentroidEastMM and CentroidNorthMM are the weighted mean of the marks'
	// known coordinates. There the shift is known best, to CentroidStdMM in
	// each axis; see StdAtMM for elsewhere.
	CentroidEastMM, CentroidNorthMM, CentroidStdMM float64
	// MovedEastMM and MovedNorthMM are by how much that place is moved: the shift
	// where it is known best, which EastMM and NorthMM are not once fixes are turned.
	MovedEastMM, MovedNorthMM float64

	// RotationTestedRad is the rotation that fits best, used or not, and
	// RotationTestedStdRad its standard deviation; zero when RotationTest was
	// not made.
	RotationTestedRad, RotationTestedStdRad float64

	// Scale is what all standard deviations were multiplied by: 1, but where the
	// variance is estimated from the residuals.
	Scale float64

	// Confidence is that of all tests, such as 0.95.
	Confidence float64
	// Redundancy is the number of coordinates less that of fitted values.
	Redundancy int
	// ReferenceVariance is the weighted sum of squared residuals over the
	// redundancy: about 1 if the stated uncertainties are right. Zero without
	// redundancy.
	ReferenceVariance float64
	// Residuals are in the order of the occupations.
	Residuals []Residual

	// TranslationTest asks whether the mean of the marks is moved at all,
	// RotationTest whether they are turned; Rejected means that they are.
	TranslationTest, RotationTest Test
	// ModelTest asks whether the residuals are as large as the stated
	// uncertainties let expect; Rejected means that they are larger.
	ModelTest Test
	// Outlier names the mark that explains best why ModelTest was rejected; it
	// is empty when the test was not rejected or no single mark explains it.
	Outlier string

	// Notes are the conclusions in words, one sentence or two each.
	Notes []string
}

// Residual is what is left at one mark: known coordinates less today's after the
// shift.
type Residual struct {
	Name            string
	EastMM, NorthMM float64
	// StdMM is the stated uncertainty of the occupation.
	StdMM float64
	// Redundancy is the part of an error at this mark that shows in its own
	// residual, 0 (none: the shift swallows it) to 1. Over all marks they sum
	// to half the redundancy of the solution.
	Redundancy float64
	// OutlierTest asks whether this mark disagrees with the others. It is made
	// with three marks or more.
	OutlierTest Test
}

// Fit computes the shift from one occupation or more.
//
// A rotation is used only where the options ask for it, and with two marks or more
// that stand far enough apart. Tests are made at the confidence given (0.5 to below 1,
// 0.95 is usual).
//
// It returns an error when there is no occupation, a number is not finite, an
// uncertainty is not positive, a name is empty or given twice, or the
// confidence is out of range. A poor fit is no error: see the tests and Notes.
func Fit(occupations []Occupation, confidence float64, options Options) (Solution, error) {
	if err := validate(occupations, confidence); err != nil {
		return Solution{}, err
	}
	translation := fitTranslation(occupations)
	rotation, rotatable := fitRotation(occupations)
	j := judge{confidence: confidence, estimate: options.EstimateVariance}

	s := Solution{Confidence: confidence}
	adopted := translation
	if rotatable {
		s.RotationTest = j.against(translation.omega-rotation.omega, 1, rotation)
		s.RotationTestedRad = rotation.angle
		s.RotationTestedStdRad = rotation.angleStd() * j.scale(rotation)
		s.Rotated = options.Rotation
	}
	if s.Rotated {
		adopted = rotation
		s.RotationRad = rotation.angle
	}

	s.EastMM, s.NorthMM = adopted.shift()
	s.CentroidEastMM, s.CentroidNorthMM = adopted.known.east, adopted.known.north
	s.MovedEastMM, s.MovedNorthMM = adopted.known.east-adopted.today.east, adopted.known.north-adopted.today.north
	scale := j.scale(adopted)
	s.Scale = scale
	s.CentroidStdMM = scale / math.Sqrt(adopted.weight)
	if s.Rotated {
		s.RotationStdRad = scale * adopted.angleStd()
	}
	// The translation alone is the shift of the place that today's fixes put at
	// the origin.
	s.EastStdMM, s.NorthStdMM = s.StdAtMM(s.EastMM, s.NorthMM)

	s.Redundancy = adopted.redundancy()
	s.ReferenceVariance = adopted.referenceVariance()
	s.TranslationTest = j.against(adopted.translationOmega(), 2, adopted)
	s.ModelTest = j.model(adopted)
	s.Residuals = residuals(occupations, adopted, j)
	if s.ModelTest.Rejected {
		s.Outlier = worst(s.Residuals)
	}
	s.Notes = notes(occupations, s, options, j, rotatable)
	return s, nil
}

// validate refuses what cannot be computed with.
func validate(occupations []Occupation, confidence float64) error {
	var errs []error
	if len(occupations) == 0 {
		errs = append(errs, errors.New("no control mark was occupied"))
	}
	if !(confidence >= 0.5 && confidence < 1) {
		errs = append(errs, fmt.Errorf("confidence %v is not from 0.5 to below 1", confidence))
	}
	seen := make(map[string]bool)
	for i, o := range occupations {
		if o.Name == "" {
			errs = append(errs, fmt.Errorf("occupation %d has no mark name", i+1))
		} else if seen[o.Name] {
			errs = append(errs, fmt.Errorf("mark %s: occupied twice; average the fixes first", o.Name))
		}
		seen[o.Name] = true
		for _, v := range []float64{o.KnownEastMM, o.KnownNorthMM, o.TodayEastMM, o.TodayNorthMM} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				errs = append(errs, fmt.Errorf("mark %s: a coordinate is not a finite number", o.Name))
				break
			}
		}
		if !(o.StdMM > 0) || math.IsInf(o.StdMM, 0) {
			errs = append(errs, fmt.Errorf("mark %s: uncertainty %v mm is not a positive number", o.Name, o.StdMM))
		}
	}
	return errors.Join(errs...)
}

// StdAtMM returns one standard deviation, east and north, of the shift at a
// place in mission coordinates. Without rotation it is the same everywhere; with
// one it grows with the distance from the marks: a rotation uncertain by dθ
// moves a place that lies d north of the centroid by d dθ east or west.
func (s Solution) StdAtMM(eastMM, northMM float64) (eastStdMM, northStdMM float64) {
	return elementary.Hypot(s.CentroidStdMM, s.RotationStdRad*(northMM-s.CentroidNorthMM)),
		elementary.Hypot(s.CentroidStdMM, s.RotationStdRad*(eastMM-s.CentroidEastMM))
}

// notes puts the outcome in words.
func notes(occupations []Occupation, s Solution, options Options, j judge, rotatable bool) []string {
	var out []string
	note := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	percent := strconv.FormatFloat(100*s.Confidence, 'g', 6, 64) + " %"

	switch len(occupations) {
	case 1:
		note("One control mark gives a translation that nothing checks: a wrong mark or a bad occupation would move the whole mission. Occupy a second mark.")
	case 2:
		note("Two control marks leave a redundancy of %d: that they disagree can be seen, but not which of them is wrong.", s.Redundancy)
	}
	if j.estimate && s.ReferenceVariance == 0 {
		note("There is no scatter to estimate a variance from; the stated uncertainties are used.")
	}

	if s.TranslationTest.Rejected {
		note("The translation is significant at %s.", percent)
	} else {
		note("The translation is within its uncertainty at %s: today's base agrees with the mission.", percent)
	}

	angle := fmt.Sprintf("%.1f µrad (standard deviation %.1f)", 1e6*s.RotationTestedRad, 1e6*s.RotationTestedStdRad)
	switch {
	case len(occupations) > 1 && !rotatable:
		note("The marks lie too close together to tell a rotation: translation only.")
	case rotatable && !s.RotationTest.Rejected && options.Rotation:
		note("A rotation of %s is not significant at %s, and is used as asked.", angle, percent)
	case rotatable && !s.RotationTest.Rejected:
		note("A rotation of %s is not significant at %s: translation only.", angle, percent)
	case rotatable:
		note("A rotation of %s is significant at %s. A base that comes up elsewhere moves all fixes alike and turns nothing: before using this, look for a mark taken for another one, or coordinates from another frame.", angle, percent)
		if !options.Rotation {
			note("The rotation is left out, as nobody asked for one: the residuals hold what it would have explained.")
		}
		if names := rotationHingesOn(occupations, j); len(names) > 0 {
			note("Without mark %s the rotation vanishes and the rest agrees: suspect that mark rather than a rotation.", joinNames(names))
		}
	}

	switch {
	case s.ModelTest.Rejected && s.Outlier != "":
		note("The residuals are larger than the stated uncertainties allow at %s; mark %s fits worst. Occupy it again, or leave it out.", percent, s.Outlier)
		if also := otherSuspects(s.Residuals, s.Outlier); len(also) > 0 {
			note("Mark %s would be rejected too, as one wrong mark can make others look wrong: deal with %s first.", joinNames(also), s.Outlier)
		}
	case s.ModelTest.Rejected:
		note("The residuals are larger than the stated uncertainties allow at %s, and no single mark can be named for it. Occupy all marks again.", percent)
	case s.ModelTest.Made && s.ModelTest.PValue > s.Confidence:
		note("The residuals are smaller than the stated uncertainties let expect: those are pessimistic, or share an error that moves all marks alike.")
	}
	return out
}

// joinNames lists names as "A", "A or B", "A, B or C".
func joinNames(names []string) string {
	text := names[0]
	for i, name := range names[1:] {
		if i == len(names)-2 {
			text += " or " + name
		} else {
			text += ", " + name
		}
	}
	return text
}
