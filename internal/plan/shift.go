// The site shift: what a set-up of the base moves, how far, and how well occupied
// control marks tell.
//
// Two set-ups of a base differ by sqrt(2)·u per axis, u being the standard deviation of
// one: the position that it averages, its centring on a mark with entered coordinates,
// or what a service gives it. The marks were surveyed from one set-up, today's is
// another, and all of today's fixes are off by the difference.
//
// Occupied control marks take it off. With s_i the standard deviation per axis of what
// mark i says, its own and the receiver's together, the weighted least squares
// translation has the standard deviation 1/sqrt(Σ 1/s_i²) per axis. With a rotation,
// whose standard deviation is 1/sqrt(Σ a_i²/s_i²) for distances a_i from the weighted
// mean of the marks, a place at the distance d from there has beside it d times that,
// across the line to it (propagation of uncertainty: JCGM 100:2008, the GUM, 5.1.2, from
// memory; internal/shift has the fit). The budgets take what it is at the farthest place
// of route and fence.
//
// Control marks that stand near each other are occupied under the same sky and the same
// trees, and share what is wrong with their fixes: they are counted as one.
package plan

import (
	"math"

	"merestone/internal/elementary"
	"merestone/internal/fence"
	"merestone/internal/planar"
	"merestone/internal/quantity"
)

const (
	// ControlNearMM: control marks nearer to each other than this count as one; common
	// practice, no source.
	ControlNearMM = 5_000
	// MaxAngleStd is the standard deviation of a rotation, in radians, from which on
	// control marks are too close together to tell one. The formulae are linear in the
	// angle, and err at 0.05 (3 degrees) by about a thousandth, 1 - cos 0.05.
	MaxAngleStd = 0.05
)

// BaseShiftMM bounds, at the plan's confidence, how far a set-up of the base is from
// that of the survey. The whole drive is shifted by it.
func (p *Plan) BaseShiftMM() float64 { return quantity.RadialFactor(p.Confidence) * p.SetupsStdMM() }

// MarkStdMM is one standard deviation per axis of a mark's coordinates, with what
// writing them to so many digits adds.
func (p *Plan) MarkStdMM(mark int) float64 {
	m := p.Survey.Marks[mark]
	return elementary.Hypot(m.StdMM, p.digitPart(m.Resolution).StdMM)
}

// ShiftStdMM is one standard deviation per axis of what a site shift may leave, at the
// farthest place of route and fence, for the bounds to hold: that of the occupied
// control marks where the plan leans on a shift, else that of the base's set-ups, which
// the budgets or the rule base.shift reckon with.
func (p *Plan) ShiftStdMM() float64 {
	if p.Survey.Base.LeansOnShift() {
		return p.controlStdMM()
	}
	return p.SetupsStdMM()
}

// ShiftRoundingMM bounds what the board adds to a shift: half a millimetre along each
// axis, and 0.65 mm where it turns the fixes (mere_shifted and mere_set_shift).
func ShiftRoundingMM(rotated bool) float64 {
	if rotated {
		return quantisationMM + 0.65
	}
	return quantisationMM
}

// anewPart is what a base that averages its position anew adds to every arrival where no
// control marks are occupied. It is no part of what is kept from the fence: the rule
// base.shift weighs it against the clearances on its own.
func (p *Plan) anewPart() Part {
	if b := p.Survey.Base; b.Averaged() && !b.LeansOnShift() {
		return Part{Name: "set-up of the base", Nature: Bias, StdMM: p.SetupsStdMM()}
	}
	return Part{}
}

// shiftParts are what a set-up of the base, or a site shift in its place, adds to every
// position, but for anewPart.
func (p *Plan) shiftParts() []Part {
	b := p.Survey.Base
	switch {
	case b.LeansOnShift():
		return []Part{
			{Name: "site shift", Nature: Bias, StdMM: p.controlStdMM()},
			{Name: "site shift in whole millimetres", Nature: Limit, BoundMM: ShiftRoundingMM(b.Rotation)},
		}
	case b.Averaged():
		return nil
	default:
		return []Part{{Name: "set-up of the base", Nature: Bias, StdMM: p.SetupsStdMM()}}
	}
}

// Control is a control mark, or several that stand near each other: where it is, and one
// standard deviation per axis of what it says of the shift.
type Control struct{ EastMM, NorthMM, StdMM float64 }

// controls are the control marks one by one, each with what it says of the shift.
func (p *Plan) controls() []Control {
	var list []Control
	for _, mark := range p.Survey.Base.ControlMarks {
		at := p.Survey.Marks[mark].Point
		list = append(list, Control{float64(at.E), float64(at.N), elementary.Hypot(p.MarkStdMM(mark), p.Machine.Receiver.StdMM)})
	}
	return list
}

// grouped puts those near each other together, in the middle of them and as good as the
// poorest. Which come first makes no difference.
func grouped(list []Control) []Control {
	group := make([]int, len(list)) // of each, by the least member
	for i := range group {
		group[i] = i
	}
	root := func(i int) int {
		for group[i] != i {
			i = group[i]
		}
		return i
	}
	for i, a := range list {
		for j, b := range list[:i] {
			east, north := a.EastMM-b.EastMM, a.NorthMM-b.NorthMM
			if float64(east*east)+float64(north*north) < ControlNearMM*ControlNearMM {
				x, y := root(i), root(j)
				group[max(x, y)] = min(x, y)
			}
		}
	}
	members := make([]float64, len(list))
	sums := make([]Control, len(list))
	for i, c := range list {
		of := root(i)
		members[of]++
		sums[of].EastMM += c.EastMM
		sums[of].NorthMM += c.NorthMM
		sums[of].StdMM = max(sums[of].StdMM, c.StdMM)
	}
	var groups []Control
	for i, n := range members {
		if n > 0 {
			groups = append(groups, Control{sums[i].EastMM / n, sums[i].NorthMM / n, sums[i].StdMM})
		}
	}
	return groups
}

// controlStdMM is what occupying the control marks leaves of the shift, per axis, at the
// farthest place. One by one they may have their middle elsewhere, so that the worse of
// the two is taken.
func (p *Plan) controlStdMM() float64 {
	list := p.controls()
	rotated := p.Survey.Base.Rotation
	return max(p.FarthestStdMM(grouped(list), rotated), p.FarthestStdMM(list, rotated))
}

// ControlAngleStd is one standard deviation, in radians, of a rotation that the control
// marks tell; infinite where they tell none.
func (p *Plan) ControlAngleStd() float64 {
	_, _, _, angle := fitOf(grouped(p.controls()))
	return angle
}

// fitOf is the weighted mean of control marks, and the standard deviations of a
// translation there and of a rotation.
func fitOf(list []Control) (eastMM, northMM, stdMM, angleStd float64) {
	weights, inertia := 0.0, 0.0
	for _, c := range list {
		w := 1 / float64(c.StdMM*c.StdMM)
		weights += w
		eastMM += float64(w * c.EastMM)
		northMM += float64(w * c.NorthMM)
	}
	eastMM, northMM = eastMM/weights, northMM/weights
	for _, c := range list {
		east, north := c.EastMM-eastMM, c.NorthMM-northMM
		inertia += (float64(east*east) + float64(north*north)) / float64(c.StdMM*c.StdMM)
	}
	return eastMM, northMM, 1 / math.Sqrt(weights), 1 / math.Sqrt(inertia)
}

// FarthestStdMM is what a shift by these marks leaves, per axis, at the farthest place of
// route and fence, with a rotation or without.
func (p *Plan) FarthestStdMM(list []Control, rotated bool) float64 {
	east, north, std, angle := fitOf(list)
	if !rotated || !(angle <= MaxAngleStd) { // a rule of check refuses the latter
		return std
	}
	return elementary.Hypot(std, angle*p.farthestMM(east, north))
}

// farthestMM is the distance from a place to the farthest one of route and fence.
func (p *Plan) farthestMM(eastMM, northMM float64) float64 {
	farthest := 0.0
	look := func(at planar.Point, more float64) {
		farthest = max(farthest, elementary.Hypot(float64(at.E)-eastMM, float64(at.N)-northMM)+more)
	}
	for _, w := range p.Route.Waypoints {
		look(p.Survey.Marks[w.Mark].Point, 0)
	}
	for part := fence.Boundary; part < len(p.Fence.Obstacles); part++ {
		ring := p.Fence.Part(part)
		for _, v := range ring.Vertices {
			look(v, 0)
		}
		if ring.IsCircle {
			look(ring.Circle.Centre, float64(ring.Circle.RadiusMM))
		}
	}
	return farthest
}
