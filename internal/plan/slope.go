// The slope of the ground: of each leg by the heights of its marks, and how steep it
// may be anywhere along the route. Slopes are the fall of the ground over its
// horizontal length, positive downhill in the direction of driving.
package plan

import (
	"math"

	"merestone/internal/elementary"
	"merestone/internal/motion"
)

// Slope bounds the ground along the route.
type Slope struct {
	// Steepest is how much it falls or rises at most: as the mission says, or as the
	// steepest leg does by the heights of its marks.
	Steepest float64
	Said     bool // by the mission
	// Leg is the leg that falls or rises most; -1 where no leg has heights at both
	// ends.
	Leg int
}

// slopes finds the slope of every leg. A leg between marks of which one has no height
// is taken for level.
func (r *resolver) slopes() {
	route := &r.p.Route
	route.Slope.Leg = -1
	n := len(route.Waypoints)
	r.downhill = make([]legSlope, n)
	for i := range n {
		to := (i + 1) % n
		if to == 0 && (!route.Closed || n < 2) {
			break
		}
		a, b := r.p.Survey.Marks[route.Waypoints[i].Mark], r.p.Survey.Marks[route.Waypoints[to].Mark]
		d := b.Point.Sub(a.Point)
		length := elementary.Hypot(float64(d.E), float64(d.N))
		if !a.HasHeight || !b.HasHeight || length == 0 {
			continue
		}
		fall := (a.Placed.HeightM - b.Placed.HeightM) * 1000 / length
		r.downhill[i] = legSlope{fall, true}
		if steepest := math.Abs(fall); route.Slope.Leg < 0 || steepest > route.Slope.Steepest {
			route.Slope.Steepest, route.Slope.Leg = steepest, i
		}
	}
	if said := r.m.Site.Slope; said != nil {
		route.Slope.Steepest, route.Slope.Said = said.Fraction(), true
	}
	r.rollouts()
}

// legSlope is the slope of a leg, if it is known.
type legSlope struct {
	downhill float64
	known    bool
}

// rollouts works out how far the rover rolls at worst. Where it would not come to
// rest, which the rule slope.rolls tells, the rest is worked out for level ground.
func (r *resolver) rollouts() {
	if _, err := r.p.WorstRollout(); err != nil {
		r.gap("rover.coast", "%v", err)
	}
	worst := r.p.worst()
	r.p.worstOnce = &worst
}

// worst is how far the rover rolls at worst on the steepest ground, or where it would
// not come to rest there, on level ground.
func (p *Plan) worst() motion.Rollout {
	if p.worstOnce != nil {
		return *p.worstOnce
	}
	if worst, err := p.WorstRollout(); err == nil {
		return worst
	}
	level, _ := p.Machine.Rover.Coast.WorstOn(0)
	return level
}

// WorstRollout is how far the rover rolls at worst on the steepest ground of the route;
// an error where it does not come to rest.
func (p *Plan) WorstRollout() (motion.Rollout, error) {
	return p.Machine.Rover.Coast.WorstOn(p.Route.Slope.Steepest)
}

// LikelyRollout is how far the rover rolls on the slope of a leg, as measured.
func (p *Plan) LikelyRollout(l *Leg) (motion.Rollout, error) {
	return p.Machine.Rover.Coast.On(l.Downhill)
}

// TopSpeedMMPerS is the highest speed of a leg.
func (p *Plan) TopSpeedMMPerS() int64 {
	top := int64(0)
	for _, l := range p.Route.Legs {
		top = max(top, l.SpeedMMPerS)
	}
	return top
}

// LongestCoastMM is how far the rover rolls at most from that speed.
func (p *Plan) LongestCoastMM() int64 {
	worst, err := p.WorstRollout()
	if err != nil {
		return 0
	}
	return worst.BoundMM(p.TopSpeedMMPerS())
}
