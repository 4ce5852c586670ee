// The weighted least squares fit of a translation, with or without a rotation
// and always without a change of scale.
//
// With today's points t, known points k and weights w = 1/std², it minimises
//
//	Ω = Σ w |k - (R t + s)|²,  R the rotation by θ, s the translation.
//
// The best s maps the weighted mean of t on that of k. With a and b the points
// reduced to those means, what is left is Ω = Σ w |b - R a|², which is smallest
// at tan θ = Σ w (a × b) / Σ w (a · b): the closed form of the plane problem,
// derived by setting dΩ/dθ = 0. The errors are taken to be equal in both axes,
// so turning them changes nothing and it does not matter in which of the two
// sets of coordinates they arose.
package shift

import (
	"math"

	"merestone/internal/elementary"
	"merestone/internal/plan"
)

// point is a place or a difference of places, in millimetres.
type point struct {
	east, north float64
}

func (p point) minus(q point) point { return point{p.east - q.east, p.north - q.north} }

func (p point) square() float64 { return float64(p.east*p.east) + float64(p.north*p.north) }

// turn rotates p about the origin, from east towards north.
func (p point) turn(angle float64) point {
	sin, cos := elementary.Sincos(angle)
	return point{float64(p.east*cos) - float64(p.north*sin), float64(p.east*sin) + float64(p.north*cos)}
}

func (o Occupation) known() point { return point{o.KnownEastMM, o.KnownNorthMM} }

func (o Occupation) today() point { return point{o.TodayEastMM, o.TodayNorthMM} }

func (o Occupation) weight() float64 { return 1 / (o.StdMM * o.StdMM) }

// rigid is a fitted translation and rotation.
type rigid struct {
	marks        int
	known, today point   // weighted means
	weight       float64 // Σ w
	inertia      float64 // Σ w |a|²
	rotated      bool
	angle        float64 // zero unless rotated
	omega        float64 // Σ w |residual|²
}

// maxAngleStd limits the rotations that are looked for, as for those that a mission
// asks for: such a rotation would be of no use anyway.
const maxAngleStd = plan.MaxAngleStd

// means returns the fit's common part.
func means(occupations []Occupation) rigid {
	f := rigid{marks: len(occupations)}
	// Sums of differences to the first mark, so that far coordinates keep their
	// digits.
	known0, today0 := occupations[0].known(), occupations[0].today()
	for _, o := range occupations {
		w := o.weight()
		k, t := o.known().minus(known0), o.today().minus(today0)
		f.weight += w
		f.known.east += float64(w * k.east)
		f.known.north += float64(w * k.north)
		f.today.east += float64(w * t.east)
		f.today.north += float64(w * t.north)
	}
	f.known = point{known0.east + f.known.east/f.weight, known0.north + f.known.north/f.weight}
	f.today = point{today0.east + f.today.east/f.weight, today0.north + f.today.north/f.weight}
	for _, o := range occupations {
		f.inertia += float64(o.weight() * o.today().minus(f.today).square())
	}
	return f
}

// fitTranslation fits a translation alone.
func fitTranslation(occupations []Occupation) rigid {
	f := means(occupations)
	f.omega = f.sumSquares(occupations)
	return f
}

// fitRotation fits translation and rotation. It returns false with one mark, or
// marks so close together that they tell no rotation.
func fitRotation(occupations []Occupation) (rigid, bool) {
	f := means(occupations)
	if len(occupations) < 2 || !(f.angleStd() <= maxAngleStd) {
		return rigid{}, false
	}
	var cross, dot float64
	for _, o := range occupations {
		a, b := o.today().minus(f.today), o.known().minus(f.known)
		cross += float64(o.weight() * (float64(a.east*b.north) - float64(a.north*b.east)))
		dot += float64(o.weight() * (float64(a.east*b.east) + float64(a.north*b.north)))
	}
	f.rotated = true
	f.angle = elementary.Atan2(cross, dot)
	f.omega = f.sumSquares(occupations)
	return f, true
}

// residual is what is left at an occupation: known less corrected.
func (f rigid) residual(o Occupation) point {
	b := o.known().minus(f.known)
	return b.minus(o.today().minus(f.today).turn(f.angle))
}

// sumSquares is Ω.
func (f rigid) sumSquares(occupations []Occupation) float64 {
	sum := 0.0
	for _, o := range occupations {
		sum += float64(o.weight() * f.residual(o).square())
	}
	return sum
}

// shift is the translation to add after turning about the site origin.
func (f rigid) shift() (east, north float64) {
	s := f.known.minus(f.today.turn(f.angle))
	return s.east, s.north
}

// angleStd is one standard deviation of the angle by the stated uncertainties:
// the second derivative of Ω/2 with respect to the angle is Σ w |a|². It is
// infinite when all marks are at one place.
func (f rigid) angleStd() float64 { return 1 / math.Sqrt(f.inertia) }

// redundancy is two coordinates a mark, less two or three fitted values.
func (f rigid) redundancy() int {
	if f.rotated {
		return 2*f.marks - 3
	}
	return 2*f.marks - 2
}

// referenceVariance is Ω over the redundancy, zero without any.
func (f rigid) referenceVariance() float64 {
	if f.redundancy() == 0 {
		return 0
	}
	return f.omega / float64(f.redundancy())
}

// translationOmega is what Ω would gain if the mean of the marks were not
// moved: W |mean of k - mean of t|². A rotation about that mean leaves it alone,
// so the two are tested apart.
func (f rigid) translationOmega() float64 {
	return f.weight * f.known.minus(f.today).square()
}

// redundancyOf is the share of an error at one mark that its own residual shows,
// the mean over both axes: one less its weight in the mean and its pull on the
// rotation, w/W and, halved as it acts across the line to the mean only,
// w |a|²/Σ w |a|².
func (f rigid) redundancyOf(o Occupation) float64 {
	r := 1 - o.weight()/f.weight
	if f.rotated {
		r -= float64(o.weight() * o.today().minus(f.today).square() / f.inertia / 2)
	}
	return r
}
