// The distance to keep from the rover: how far it and a person can come towards each
// other between a reason to stop and rest.
//
// Whoever holds the switch first sees it and lets go; the rover drives on, then
// rolls out; and all the while somebody walks towards it:
//
//	S = v·t + d + K·(t + T)    t = holder + reaction to the hold
//
// with the coast d and the time T that it takes at most. S = K·T + C is the form of
// ISO 13855, and K = 1.6 m/s its speed of somebody who walks (both from memory). The
// holder's second is common practice, no source. Somebody who runs, falls, or holds
// the switch and looks elsewhere is not in it: nobody is safe at that distance.
package plan

import "merestone/internal/motion"

const (
	// HolderMS is the time in which the holder sees a reason to stop and lets go.
	HolderMS = 1000
	// WalkMMPerS is the speed of somebody who walks towards the rover.
	WalkMMPerS = 1600
)

// KeepAway is the distance to keep on the leg that asks for the most, part by part.
type KeepAway struct {
	Leg int // of Route.Legs
	// HolderMM, ReactionMM and CoastMM are the rover's way while the holder lets go, while
	// the hold takes the drive's power away, and until it rests; RoverMM is their sum.
	HolderMM, ReactionMM, CoastMM, RoverMM int64
	// RestMS is how long the coast takes at most, and WalkMM the person's way over all.
	RestMS, WalkMM int64
	TotalMM        int64
}

// KeepAway is zero for a route without legs.
func (p *Plan) KeepAway() KeepAway {
	var worst KeepAway
	for i, l := range p.Route.Legs {
		s := l.Stopping
		one := KeepAway{
			Leg:      i,
			HolderMM: motion.TravelMM(s.SpeedMMPerS, HolderMS), ReactionMM: s.FromHoldMM - s.CoastMM, CoastMM: s.CoastMM,
			RestMS: s.CoastMS(),
			WalkMM: motion.TravelMM(WalkMMPerS, HolderMS+p.Board.Timing.HoldMS+s.CoastMS()),
		}
		one.RoverMM = one.HolderMM + one.ReactionMM + one.CoastMM
		if one.TotalMM = one.RoverMM + one.WalkMM; one.TotalMM > worst.TotalMM {
			worst = one
		}
	}
	return worst
}
