// Stretches: the parts of the route that each need room of their own, and how near the
// fence comes to them.
//
// A leg as a whole needs room for what the board allows on it: so far off the line,
// so much error of position, and the body until it is at rest. At its start the board
// allows more, because the rover has come to rest beside the mark or is still turning:
// that is a stretch of its own, no longer than the way to the line. And where the
// rover turns on the spot, its body sweeps a circle.
package plan

import (
	"math"
	"slices"
	"sort"

	"merestone/internal/elementary"
	"merestone/internal/fence"
	"merestone/internal/planar"
)

// Standoff is the clearance that a stretch needs, part by part.
type Standoff struct {
	PositionMM int64 // error budget, with the marks of the nearest edge
	OffLineMM  int64 // how far off the line the board lets the antenna be
	StoppingMM int64 // from the board's decision to rest; 0 in a turn on the spot
	ReachMM    int64 // from where the antenna is then to the farthest that the body gets
	TotalMM    int64 // of position, off line and reach
}

// Stretch is a part of the route with the room that it needs and has.
type Stretch struct {
	Segment planar.Segment
	Standoff
	// Edge is the edge of the fence at which there is the least to spare, and
	// ClearanceMM how far away it is, rounded down; below zero in a round obstacle.
	Edge        fence.Edge
	ClearanceMM int64
	// Needed is false for a stretch that needs nothing of its own, such as a turn on
	// the spot where there is none, and while the fence has no edges.
	Needed bool
}

// SpareMM is what is left of the clearance.
func (s Stretch) SpareMM() int64 { return s.ClearanceMM - s.TotalMM }

// Stretches measures all stretches of the route against the fence.
func (p *Plan) Stretches() {
	p.positions()
	p.steadily()
	for i := range p.Route.Legs {
		l := &p.Route.Legs[i]
		l.Joining = p.joining(l.From, p.arrivingMMPerS(l.From), l.SpeedMMPerS)
		l.Line = p.along(l, l.SpeedMMPerS)
		l.Join = p.join(l, l.Joining, l.SpeedMMPerS)
	}
	p.started()
	for i := range p.Route.Waypoints {
		p.Route.Waypoints[i].Pivot = p.pivot(i)
	}
}

// stretch asks the fence. The position's error is that of the edge that leaves the
// least to spare, since one coarse mark of the fence concerns only who comes near it.
func (p *Plan) stretch(segment planar.Segment, offLineMM, stoppingMM, reachMM int64) Stretch {
	s := Stretch{Segment: segment, Standoff: Standoff{OffLineMM: offLineMM, StoppingMM: stoppingMM, ReachMM: reachMM}}
	s.Edge, s.ClearanceMM, s.Needed = p.Fence.Tightest(segment, p.edgePositionMM, p.coarsestMM)
	s.PositionMM = p.coarsestMM
	if s.Needed {
		s.PositionMM = p.edgePositionMM(s.Edge)
	}
	s.TotalMM = s.PositionMM + s.OffLineMM + s.ReachMM
	return s
}

// Joining is how a leg begins, while the rover comes onto its line.
type Joining struct {
	// CrossMM is how far off the line the board lets it be until then: OffMM, or the
	// cross-track allowance where that is more. OffMM is as far as it may have come to
	// rest beside the mark, TurnMM for the turn, and what the board may read more than
	// is true.
	CrossMM, OffMM, TurnMM int64
	// AwayMM is how far from the leg itself it may be, behind its start too.
	AwayMM int64
	// WayMM is how far along the leg the rover is on its line. It comes nearer from
	// LeadMM on; what the turn and a fix's delay take is before.
	WayMM, LeadMM int64
}

// joining is how the leg that leaves a waypoint begins. How far from the leg itself the
// rover may be, only the fence asks for.
func (p *Plan) joining(from int, arrivingMMPerS, speedMMPerS int64) Joining {
	j, onto := p.wayOnto(from, arrivingMMPerS, speedMMPerS)
	j.AwayMM = j.CrossMM
	if !p.Machine.Rover.Pivots && onto.turn > 0 && p.Arriving(from) != nil {
		j.AwayMM = max(j.AwayMM, p.arcAwayMM(p.Route.Waypoints[from], onto))
	}
	return j
}

// onto is what a turn onto a leg is reckoned with.
type onto struct {
	turn     float64 // radians
	easingMM float64 // what the steering, easing out of an arc, adds to either side
	lateMM   float64 // how far the rover goes on before a fix and the steering act
	besideMM float64 // how far beside the line it may come, where it does not stop
}

// wayOnto works out how the leg that leaves a waypoint begins: all of Joining but AwayMM.
//
// The rover rests anywhere within the tolerance t of the mark. Turning through the angle
// θ, it takes the antenna along, which is f ahead of the turning centre and g aside.
// With ψ for what is left of the turn, the antenna is
//
//	f·(sin θ − sin ψ) + g·(cos ψ − cos θ)
//
// off a line through where it was (plane geometry): on the spot and whatever θ at most
// f + 2g, and twice the arm where the rover is set down by hand, facing anyhow. On an
// arc of radius R the turning centre itself comes wide of the line. The steering, with a
// rate of turn of k times the turn that is left, leaves the arc at the angle
// η = min(θ, v/(k·R)) and eases out of it, in all
//
//	A = R·(cos η − cos θ) + v/k·Si(η)
//
// since what is left of the turn is then η·exp(−k·t), and Si(η) = ∫₀^η sin u/u du.
//
// Where the rover does not stop, the board turns to the next leg when a fix lies
// within the tolerance. At the latest the rover enters that circle beside the line, by
// c, the smaller of cross-track allowance and tolerance, and has gone on for as long as
// a fix and the steering take to act: it turns e = √(t² − c²) − v·T before the mark, and
// the arc ends
//
//	A − e·sin θ + c·|cos θ|
//
// wide of the line, and the antenna's part. On the inner side it is at most t and the
// antenna's part from it.
//
// From there the board steers at a point of the line the look-ahead L further on. The
// slope of the way is then −d/L for the distance d from the line, so that
// d = d₀·exp(−x/L) after x along the line (pursuit of a point that moves on with the
// rover, without lag): the way to the line is what the turn and a fix's delay take, and
// four look-aheads; what is left then, the cross-track allowance must hold (Line).
func (p *Plan) wayOnto(from int, arrivingMMPerS, speedMMPerS int64) (Joining, onto) {
	w, rover := p.Route.Waypoints[from], p.Machine.Rover
	tolerance := float64(w.ToleranceMM)
	turn := math.Abs(w.TurnDeg) * math.Pi / 180
	sin, cos := elementary.Sincos(turn)
	radius := float64(rover.TurnRadiusMM)
	most := sin // of |sin θ − sin ψ|
	if cos < 0 {
		most = max(sin, 1-sin)
	}
	antenna := float64(float64(rover.ArmAheadMM)*most) + float64(float64(rover.ArmAsideMM)*(1-cos))
	ahead := p.lookAheadMM(speedMMPerS)
	delay, steering := float64(p.Board.Timing.FixMS+rover.MotorLagMS)/1000, float64(steeringMS)/1000
	leaves, easing := turn, float64(float64(speedMMPerS)*steering) // the angle at which the steering leaves the arc; v/k
	if radius > 0 {
		leaves = min(turn, easing/radius)
	}
	arc := float64(radius*(elementary.Cos(leaves)-cos)) + float64(easing*sineIntegral(leaves))
	turning := onto{turn: turn, easingMM: float64(easing * leaves), lateMM: float64(float64(arrivingMMPerS) * (delay + steering))}

	swing, lead := 0.0, float64(float64(speedMMPerS)*delay)
	switch first := p.Arriving(from) == nil; {
	case rover.Pivots && first:
		swing = float64(2 * rover.ArmMM)
		lead += swing
	case rover.Pivots && w.Stops:
		swing = float64(rover.ArmAheadMM + 2*rover.ArmAsideMM)
		lead += float64(2 * rover.ArmMM)
	case first: // placed there, facing along the leg
	case w.Stops:
		swing = arc + antenna
	default:
		turning.besideMM = float64(min(p.besideMM(from), w.ToleranceMM))
		c := turning.besideMM
		early := math.Sqrt(float64(tolerance*tolerance)-float64(c*c)) - turning.lateMM
		wide := arc - float64(early*sin) + float64(c*math.Abs(cos)) + antenna
		swing = max(wide-tolerance, antenna)
	}
	j := Joining{TurnMM: up(swing)}
	j.OffMM = up(tolerance+swing) + p.Route.Line.NoiseMM + p.Route.Line.TiltMM
	j.CrossMM = max(j.OffMM, rover.CrossTrackMM)
	if !rover.Pivots { // the arc, and another into the slope of the way
		d := float64(j.CrossMM)
		lead += float64(radius*elementary.Sin(min(turn, math.Pi/2))) + float64(radius*d)/elementary.Hypot(d, ahead)
	}
	j.LeadMM = up(lead)
	j.WayMM = j.LeadMM + up(float64(joinLookAheads*ahead))
	return j, turning
}

// arcAwayMM is how far from a leg the antenna gets on an arc onto it, with what the board
// may read more than is true: from rest anywhere within the tolerance, or from where the
// rover enters that circle, beside the line or on it, and from where it has gone on to.
func (p *Plan) arcAwayMM(w Waypoint, o onto) int64 {
	rover, tolerance := p.Machine.Rover, float64(w.ToleranceMM)
	slack := float64(p.Route.Line.NoiseMM + p.Route.Line.TiltMM)
	if w.Stops {
		return up(tolerance + rover.farthest(o.turn, point{}) + slack)
	}
	sin, cos := elementary.Sincos(o.turn)
	var away int64
	for _, side := range []float64{-o.besideMM, o.besideMM} {
		before := math.Sqrt(max(float64(tolerance*tolerance)-float64(side*side), 0))
		for _, gone := range []float64{0, o.lateMM} {
			at := point{float64((gone-before)*cos) - float64(side*sin), float64((gone-before)*sin) + float64(side*cos)}
			away = max(away, up(rover.farthest(o.turn, at)+o.easingMM+slack))
		}
	}
	return away
}

// point is so far along a leg and to its outer side, in millimetres.
type point struct{ along, aside float64 }

// fromRay is the distance from the leg, which begins at its zero.
func (a point) fromRay() float64 {
	if a.along >= 0 {
		return math.Abs(a.aside)
	}
	return elementary.Hypot(a.along, a.aside)
}

// farthest is how far from a leg the antenna gets while the rover drives an arc of its
// radius onto it, from a point at which it is to turn through an angle. With ψ for what is
// left of the turn the antenna has gone
//
//	R·(sin θ − sin ψ) + f·(cos ψ − cos θ) + g·(sin ψ − sin θ)   along the leg
//	R·(cos ψ − cos θ) + f·(sin ψ − sin θ) − g·(cos ψ − cos θ)   to its outer side
//
// where f is ahead and g on the inner side. Looked at in steps of a degree; between two
// it goes no farther off than radius and arm times the step's square over eight.
func (r Rover) farthest(turn float64, from point) float64 {
	const steps = 180
	radius, f := float64(r.TurnRadiusMM), float64(r.AntennaForwardMM-r.TurningCentreMM)
	sin, cos := elementary.Sincos(turn)
	most := 0.0
	for _, g := range []float64{float64(r.AntennaRightMM), -float64(r.AntennaRightMM)} { // turns to either side
		for k := range steps + 1 {
			s, c := elementary.Sincos(float64(turn * float64(k) / steps))
			at := point{
				from.along + float64(radius*(sin-s)) + float64(f*(c-cos)) + float64(g*(s-sin)),
				from.aside + float64(radius*(c-cos)) + float64(f*(s-sin)) - float64(g*(c-cos)),
			}
			most = max(most, at.fromRay())
		}
	}
	step := turn / steps
	return most + float64(float64((radius+float64(r.ArmMM))*float64(step*step))/8)
}

// besideMM is how far beside its line the rover may arrive at a waypoint.
func (p *Plan) besideMM(waypoint int) int64 {
	beside := p.Machine.Rover.CrossTrackMM
	if in := p.Arriving(waypoint); in != nil && in.LengthMM > 0 {
		beside = max(beside, in.Joining.offLineAfter(in.LengthMM, p.lookAheadMM(in.SpeedMMPerS)))
	}
	return beside
}

// sineIntegral is Si(x) = ∫₀ˣ sin u/u du for 0 ≤ x ≤ π, by its series
// x − x³/(3·3!) + x⁵/(5·5!) − ..., up to x²¹, of which the next is below 1e-12.
func sineIntegral(x float64) float64 {
	sum, power := 0.0, x // power: x^n/n!, with its sign
	for n := 1.0; n <= 21; n += 2 {
		sum += power / n
		power = -power * x * x / ((n + 1) * (n + 2))
	}
	return sum
}

// offLineAfter is how far off the line the rover may still be after a way along the leg.
func (j Joining) offLineAfter(wayMM, aheadMM float64) int64 {
	x := max(wayMM-float64(j.LeadMM), 0)
	return up(float64(float64(j.OffMM) * elementary.Exp(-x/aheadMM)))
}

// splitMM is by how much the whole millimetres of a point that is put on a line may
// move it off the line.
const splitMM = 1

// along and join are the stretches of a leg at a speed.
func (p *Plan) along(l *Leg, speedMMPerS int64) Stretch {
	stopping := p.stopping(speedMMPerS).TotalMM
	return p.stretch(l.Segment, p.Machine.Rover.CrossTrackMM, stopping, p.Machine.Rover.ReachMM(stopping))
}

func (p *Plan) join(l *Leg, j Joining, speedMMPerS int64) Stretch {
	if j.AwayMM <= p.Machine.Rover.CrossTrackMM {
		return Stretch{}
	}
	stopping := p.stopping(speedMMPerS).TotalMM
	segment, off := l.Segment, j.AwayMM
	if way := float64(j.WayMM); way < l.LengthMM {
		d := segment.B.Sub(segment.A)
		segment.B = planar.Point{
			E: segment.A.E + int64(math.Round(float64(d.E)*way/l.LengthMM)),
			N: segment.A.N + int64(math.Round(float64(d.N)*way/l.LengthMM)),
		}
		off += splitMM
	}
	reach := p.Machine.Rover.ReachMM(stopping)
	if !p.Machine.Rover.Pivots && j.TurnMM > 0 {
		reach = p.Machine.Rover.turningReachMM(stopping)
	}
	return p.stretch(segment, off, stopping, reach)
}

// pivot is the circle that the body sweeps at a waypoint. Whoever rests there and goes
// on may turn a little even where the next leg leads straight on.
func (p *Plan) pivot(i int) Stretch {
	w, body := p.Route.Waypoints[i], p.Machine.Rover.Body
	if !body.Pivots || p.Leaving(i) == nil || p.Arriving(i) != nil && !w.Stops {
		return Stretch{}
	}
	at := p.Survey.Marks[w.Mark].Point
	return p.stretch(planar.Segment{A: at, B: at}, w.ToleranceMM, 0, body.PivotMM)
}

// Clear reports whether a stretch has the room that it needs.
func (s Stretch) Clear() bool { return !s.Needed || s.SpareMM() >= 0 }

// HighestClear is the highest speed, up to its own, at which a leg keeps clear of the
// fence from end to end; 0 for none.
func (p *Plan) HighestClear(leg int) int64 {
	l := &p.Route.Legs[leg]
	return highest(l.SpeedMMPerS, func(v int64) bool {
		q := p.at(leg, v)
		return q.along(l, v).Clear() && q.join(l, q.joining(l.From, q.arrivingMMPerS(l.From), v), v).Clear()
	})
}

// HighestTurn is the highest speed, up to its own, of the leg before at which the turn
// onto a leg keeps clear of the fence.
func (p *Plan) HighestTurn(leg int) int64 {
	l := &p.Route.Legs[leg]
	before := p.Arriving(l.From)
	if before == nil {
		return 0
	}
	return highest(before.SpeedMMPerS, func(v int64) bool {
		q := p.at((leg+len(p.Route.Legs)-1)%len(p.Route.Legs), v)
		return q.join(l, q.joining(l.From, v, l.SpeedMMPerS), l.SpeedMMPerS).Clear()
	})
}

// at is the plan with another speed of a leg, as far as its stretches hang on that.
func (p *Plan) at(leg int, mmPerS int64) *Plan {
	q := *p
	q.Route.Legs = slices.Clone(p.Route.Legs)
	q.Route.Legs[leg].SpeedMMPerS = mmPerS
	if q.Board.Tables.Rover.LookAheadMM > 0 {
		q.Board.Tables.Rover.LookAheadMM = uint16(min(q.Machine.Rover.lookAheadMM(q.TopSpeedMMPerS()), math.MaxUint16))
	}
	q.steadily()
	return &q
}

// arrivingMMPerS is the speed of the leg that arrives at a waypoint, 0 for none.
func (p *Plan) arrivingMMPerS(waypoint int) int64 {
	if in := p.Arriving(waypoint); in != nil {
		return in.SpeedMMPerS
	}
	return 0
}

// highest is the highest speed from 1 mm/s to a limit for which something holds that
// holds for all lower ones; 0 for none.
func highest(limit int64, holds func(mmPerS int64) bool) int64 {
	return int64(sort.Search(int(limit), func(v int) bool { return !holds(int64(v) + 1) }))
}
