// The body of the rover about its antenna, which the board steers, and about the
// point that stays where it is when the rover turns on the spot: its turning centre,
// on the middle line, between the wheels that drive. With a driven axle and castors
// that is not the middle of the body, and seldom where the antenna is.
package plan

import (
	"math"

	"merestone/internal/elementary"
)

// Body is how far the rover reaches, in whole millimetres, rounded up.
type Body struct {
	// FrontMM, BackMM and HalfWidthMM are from the antenna: to the front, to the back
	// (each 0 where the antenna stands out beyond it), to the wider side.
	FrontMM, BackMM, HalfWidthMM int64
	// ArmMM is from the antenna to the turning centre, ArmAheadMM the part of it along
	// the rover and ArmAsideMM that across.
	ArmMM, ArmAheadMM, ArmAsideMM int64
	// PivotMM is the radius of the circle about the place of the antenna which holds
	// all that the body sweeps when it turns on the spot through any angle: from the
	// antenna to the point about which it turns, and from there to the farthest corner.
	// 0 for a rover that drives arcs.
	PivotMM int64
	// Pivots says that the rover turns on the spot: about its turning centre, or about
	// a point under its body, which is a turn on the spot in all but name.
	Pivots bool
}

// body works it out from the middle of the body.
func (r *resolver) body() {
	rover := &r.p.Machine.Rover
	halfWidth, halfLength := float64(float64(rover.WidthMM)/2), float64(float64(rover.LengthMM)/2)
	forward, right := float64(rover.AntennaForwardMM), math.Abs(float64(rover.AntennaRightMM))
	centre, radius := float64(rover.TurningCentreMM), float64(rover.TurnRadiusMM)
	b := Body{
		FrontMM:     up(max(halfLength-forward, 0)),
		BackMM:      up(max(halfLength+forward, 0)),
		HalfWidthMM: up(halfWidth + right),
		Pivots:      radius <= halfWidth,
	}
	aside := right
	if b.Pivots {
		aside += radius
	}
	b.ArmMM, b.ArmAheadMM, b.ArmAsideMM = up(elementary.Hypot(forward-centre, aside)), up(math.Abs(forward-centre)), up(aside)
	if b.Pivots {
		b.PivotMM = b.ArmMM + up(elementary.Hypot(halfLength+math.Abs(centre), halfWidth+radius))
	}
	rover.Body = b
}

// ReachMM is how far from where the antenna is any part of the body gets while the
// rover goes on for a way and comes to rest. With the heading φ against the fence a
// front corner gets as far as
//
//	(way + front)·sin φ + half-width·cos φ
//
// of which the greatest is hypot(way + front, half-width); a rear corner is never
// farther than it is now. That the rover may also turn on its way is left out: on its line
// it hardly does. See turningReachMM for where it does.
func (b Body) ReachMM(wayMM int64) int64 {
	along := max(wayMM+b.FrontMM, b.BackMM)
	return up(elementary.Hypot(float64(along), float64(b.HalfWidthMM)))
}

// turningReachMM is the same on an arc: the corners in any direction, and the antenna's
// way, which on the smallest arc is hypot(R + g, f)/R as long as the turning centre's.
func (r Rover) turningReachMM(wayMM int64) int64 {
	radius := float64(r.TurnRadiusMM)
	way := float64(wayMM) * max(elementary.Hypot(radius+float64(r.ArmAsideMM), float64(r.ArmAheadMM))/radius, 1)
	corner := elementary.Hypot(float64(max(r.FrontMM, r.BackMM)), float64(r.HalfWidthMM))
	return up(float64(way) + corner)
}

// up rounds up to the millimetre. A hair is taken off before, so that an exact 70 mm
// that the floats make 70.000000000001 does not become 71.
func up(mm float64) int64 { return int64(math.Ceil(mm - 1e-6)) }
