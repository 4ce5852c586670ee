// How closely the rover can come to rest at a waypoint, and how fast it may be
// for the tolerance that is asked.
package plan

import (
	"math"
	"sort"

	"merestone/internal/board"
	"merestone/internal/elementary"
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
	// CoastMM is how far one roll-out can differ from another. It does not hold
	// what a law other than v² would add on a leg slower than the coast was
	// measured at: drag that grows with speed carries the rover further than the
	// cut reckons, at most to motion.Coast.BoundMM. The standoffs hold that bound;
	// a tolerance is sure only where the coast was measured at the leg's speed.
	CoastMM int64
	// SteeringMM is how far to the side of the line the rover may come to the
	// mark: the cross-track allowance.
	SteeringMM int64
	// ClosestMM is the least tolerance that can be met at the leg's speed: the
	// position's error, and the way along and across the line at right angles,
	//
	//	position + sqrt((timing + coast)² + steering²)
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
	a := p.arrivalAt(w, in.SpeedMMPerS)
	// ClosestMM grows with speed, so the highest speed is found by bisection.
	a.HighestMMPerS = int64(sort.Search(board.MaxSpeedMMPerS, func(v int) bool {
		return p.arrivalAt(w, int64(v)+1).ClosestMM > w.ToleranceMM
	}))
	return a
}

func (p *Plan) arrivalAt(w Waypoint, speed int64) Arrival {
	a := Arrival{PositionMM: w.Budget.TotalMM}
	jitterTwiceMS := p.Machine.Receiver.FixIntervalMS + 3*p.Board.Timing.LoopMS
	a.TimingMM = (speed*jitterTwiceMS + 1999) / 2000
	if w.Stops {
		a.CoastMM, _ = p.Machine.Rover.Coast().SpreadMM(speed) // stopping tells of an error
	}
	a.SteeringMM = p.Machine.Rover.CrossTrackMM
	a.ClosestMM = a.PositionMM + int64(math.Ceil(elementary.Hypot(float64(a.TimingMM+a.CoastMM), float64(a.SteeringMM))))
	return a
}
