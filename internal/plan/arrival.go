// How closely the rover can come to rest at a waypoint, and how fast it may be
// for the tolerance that is asked.
package plan

import (
	"math"
	"sort"

	"merestone/internal/circuit"
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
	// cut reckons, at most to circuit.Coast.BoundMM. The standoffs hold that bound;
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

// coastSpread is how much of its length one roll-out differs from another on
// the same ground: surface, slope, battery, load. Common practice, no source;
// measure several and take the worst if yours differ more.
const coastSpread = 0.15

func (p *Plan) arrival(i int) Arrival {
	in := p.Arriving(i)
	if in == nil {
		return Arrival{}
	}
	w := p.Route.Waypoints[i]
	a := p.arrivalAt(w, in.SpeedMMPerS)
	// ClosestMM grows with speed, so the highest speed is found by bisection.
	const fastest = 20_000 // mm/s, more than any rover here
	a.HighestMMPerS = int64(sort.Search(fastest, func(v int) bool {
		return p.arrivalAt(w, int64(v)+1).ClosestMM > w.ToleranceMM
	}))
	return a
}

func (p *Plan) arrivalAt(w Waypoint, speed int64) Arrival {
	a := Arrival{PositionMM: w.Budget.TotalMM}
	jitterTwiceMS := p.Machine.Receiver.FixIntervalMS + 3*p.Board.Timing.LoopMS
	a.TimingMM = ceilDiv(speed*jitterTwiceMS, 2000)
	if w.Stops {
		coast, err := circuit.Coast{FromMMPerS: p.Machine.Rover.CoastFromMMPerS, DistanceMM: p.Machine.Rover.CoastMM}.AtMM(speed)
		if err == nil {
			a.CoastMM = int64(math.Ceil(coastSpread * float64(coast)))
		}
	}
	a.SteeringMM = p.Machine.Rover.CrossTrackMM
	a.ClosestMM = a.PositionMM + int64(math.Ceil(math.Hypot(float64(a.TimingMM+a.CoastMM), float64(a.SteeringMM))))
	return a
}
