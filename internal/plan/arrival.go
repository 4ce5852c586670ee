// How closely the rover can come to rest at a waypoint, and how fast it may be
// for the tolerance that is asked.
package plan

import (
	"math"
	"sort"

	"merestone/internal/board"
	"merestone/internal/elementary"
	"merestone/internal/motion"
)

// Arrival says what can be reached at a waypoint. Zero for a waypoint that no
// leg arrives at.
type Arrival struct {
	// PositionMM is the error budget of the mark under the antenna.
	PositionMM int64
	// TimingMM is how far either side of the planned place the cut can fall. The
	// board takes the longest wait of a fix for its step and half a loop to the
	// cut; either may differ by a loop and a half together. And it reckons the way
	// since the fix from the leg's speed; by how much the true speed differs is
	// not known, and the way in half a fix interval is allowed for it (common
	// practice, no source).
	TimingMM int64
	// CoastMM is the coast error: how far one roll-out can differ from that which the
	// cut reckons with: by the spread of friction, and where the mission says how steep the
	// ground is at most, by a slope at the mark other than the leg's. It does not
	// hold what a law other than v² would add on a leg slower than any run of the
	// coast: drag that grows with speed carries the rover further than the cut
	// reckons, at most to motion.Rollout.BoundMM. The standoffs hold that bound; a
	// tolerance is sure only where the coast was measured about the leg's speed.
	CoastMM int64
	// SteeringMM is how far to the side of the line the rover may come to the
	// mark: the cross-track allowance, or on a short leg what is left of the distance
	// from the line at its beginning.
	SteeringMM int64
	// ClosestMM is the least tolerance that can be met at the leg's speed: the
	// position's error, and the way along and across the line at right angles,
	//
	//	position + sqrt((timing + coast error)² + steering²)
	ClosestMM int64
	// HighestMMPerS is the highest speed at which the tolerance asked for can be
	// met; 0 when it cannot be met at any speed.
	HighestMMPerS int64
}

func (p *Plan) arrival(i int) Arrival {
	in := p.Arriving(i)
	if in == nil {
		return Arrival{}
	}
	w := p.Route.Waypoints[i]
	s := p.spreadAfter(in)
	a := p.arrivalAt(w, in, s, in.SpeedMMPerS)
	// ClosestMM grows with speed, so the highest speed is found by bisection.
	a.HighestMMPerS = int64(sort.Search(board.MaxSpeedMMPerS, func(v int) bool {
		return p.arrivalAt(w, in, s, int64(v)+1).ClosestMM > w.ToleranceMM
	}))
	return a
}

func (p *Plan) arrivalAt(w Waypoint, in *Leg, s spread, speed int64) Arrival {
	a := Arrival{PositionMM: w.Budget.TotalMM}
	jitterTwiceMS := p.Machine.Receiver.FixIntervalMS + 3*p.Board.Timing.LoopMS
	a.TimingMM = (speed*jitterTwiceMS + 1999) / 2000
	if w.Stops {
		a.CoastMM = s.mm(speed)
	}
	j, _ := p.wayOnto(in.From, p.arrivingMMPerS(in.From), speed)
	a.SteeringMM = p.Machine.Rover.CrossTrackMM
	if in.LengthMM > 0 { // else geometry.zero-leg
		a.SteeringMM = max(a.SteeringMM, j.offLineAfter(in.LengthMM, p.lookAheadMM(speed)))
	}
	a.ClosestMM = a.PositionMM + int64(math.Ceil(elementary.Hypot(float64(a.TimingMM+a.CoastMM), float64(a.SteeringMM))))
	return a
}

// spread is what a roll-out at the end of a leg can be: the one expected on the leg's
// slope, and the longest and shortest. It is the same at every speed that is tried.
type spread struct{ longest, likely, shortest motion.Rollout }

// spreadAfter is that of a leg; nothing where the rover does not come to rest, which
// slope.rolls refuses.
func (p *Plan) spreadAfter(l *Leg) spread {
	down, up := l.Downhill, l.Downhill
	if p.Route.Slope.Said { // the ground at the mark may differ from the leg's as a whole
		down, up = max(down, p.Route.Slope.Steepest), min(up, -p.Route.Slope.Steepest)
	}
	longest, err1 := p.Machine.Rover.Coast.WorstOn(down)
	likely, err2 := p.LikelyRollout(l)
	shortest, err3 := p.Machine.Rover.Coast.BestOn(up)
	if err1 != nil || err2 != nil || err3 != nil {
		return spread{}
	}
	return spread{longest, likely, shortest}
}

// mm is by how much one from a speed can differ from the one expected, rounded up.
func (s spread) mm(speed int64) int64 {
	expected := s.likely.Likely(speed)
	return int64(math.Ceil(max(s.longest.Likely(speed)-expected, expected-s.shortest.Likely(speed)) - 1e-6))
}
