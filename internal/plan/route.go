// Waypoints and legs: lengths, bearings, speeds, budgets, standoffs, stopping.
package plan

import (
	"fmt"
	"math"

	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/motion"
	"merestone/internal/planar"
)

// waypoints reads the route.
func (r *resolver) waypoints() {
	route := r.m.Route
	r.p.Route.Closed = route.Closed
	visits := visits{}
	r.topSpeed = r.p.Machine.Rover.CruiseMMPerS
	for i, w := range route.Waypoints {
		path := fmt.Sprintf("route.waypoints[%d]", i)
		mark, ok := r.byName[w.Mark]
		if !ok {
			continue
		}
		speed := or(w.Speed, or(route.Speed, r.m.Rover.Speed.Cruise)).MMPerSecond()
		waypoint := Waypoint{
			Source: r.source(path), ID: visits.id(w.Mark), Mark: mark,
			ToleranceMM: or(w.ArrivalTolerance, or(route.ArrivalTolerance, 0)).FloorMM(),
		}
		if i > 0 || route.Closed { // else nothing uses it
			waypoint.DwellMS = or(w.Dwell, 0).MS()
		}
		r.p.Route.Waypoints = append(r.p.Route.Waypoints, waypoint)
		r.speeds = append(r.speeds, speed)
		if len(r.speeds) > 1 || route.Closed {
			r.topSpeed, r.fastest = max(r.topSpeed, speed), max(r.fastest, speed)
		}
	}
}

// legs joins the waypoints. Budgets need the bound of the board's conversion and
// the slack of its fence.
func (r *resolver) legs() {
	route := &r.p.Route
	for i := range route.Waypoints {
		route.Waypoints[i].Budget = r.p.waypointBudget(route.Waypoints[i].Mark)
	}
	n, visits := len(route.Waypoints), visits{}
	for i := range n {
		to := (i + 1) % n
		if to == 0 && (!route.Closed || n < 2) {
			break
		}
		leg := r.leg(i, to, r.speeds[to])
		leg.ID = visits.id(leg.Name)
		route.Legs = append(route.Legs, leg)
	}
	for i := range route.Waypoints {
		r.turn(i)
	}
	r.p.Route.Line.Source = r.source("rover.cross_track")
	r.p.Stretches() // which need the turns
	for i := range route.Waypoints {
		route.Waypoints[i].Arrival = r.p.arrival(i)
	}
}

// visits counts how often a name was met, to give each time a name of its own.
type visits map[string]int

func (v visits) id(name string) string {
	v[name]++
	if v[name] == 1 {
		return name
	}
	return fmt.Sprintf("%s#%d", name, v[name])
}

// straightOnDeg is the change of direction below which a waypoint without a
// dwell is driven through; common practice, no source.
const straightOnDeg = 2

// turn finds the change of direction at a waypoint and whether the rover stops
// there: for a dwell, at the end, and where it has to turn on the spot.
func (r *resolver) turn(i int) {
	w := &r.p.Route.Waypoints[i]
	in, out := r.p.Arriving(i), r.p.Leaving(i)
	if in != nil && out != nil && in.LengthMM > 0 && out.LengthMM > 0 {
		w.TurnDeg = math.Remainder(out.BearingDeg-in.BearingDeg, 360)
	}
	w.Stops = r.p.stopsAt(i)
}

// stopsAt reports whether the rover stops at a waypoint.
func (p *Plan) stopsAt(i int) bool {
	w, in := p.Route.Waypoints[i], p.Arriving(i)
	last := in != nil && in == &p.Route.Legs[len(p.Route.Legs)-1]
	return w.DwellMS > 0 || last || p.Machine.Rover.Pivots && math.Abs(w.TurnDeg) > straightOnDeg
}

// Arriving is the leg that ends at waypoint i, nil at the start of an open route.
func (p *Plan) Arriving(i int) *Leg {
	switch {
	case i > 0 && i <= len(p.Route.Legs):
		return &p.Route.Legs[i-1]
	case i == 0 && p.Route.Closed && len(p.Route.Legs) > 0:
		return &p.Route.Legs[len(p.Route.Legs)-1]
	}
	return nil
}

// Leaving is the leg that starts at waypoint i, nil at the end of an open route.
func (p *Plan) Leaving(i int) *Leg {
	if i < len(p.Route.Legs) {
		return &p.Route.Legs[i]
	}
	return nil
}

// Meeting is the leg that arrives at waypoint i, at the start of an open route the one
// that leaves it; nil where there is none.
func (p *Plan) Meeting(i int) *Leg {
	if in := p.Arriving(i); in != nil {
		return in
	}
	return p.Leaving(i)
}

func (r *resolver) leg(from, to int, speed int64) Leg {
	start, end := r.p.Route.Waypoints[from], r.p.Route.Waypoints[to]
	a, b := r.p.Survey.Marks[start.Mark], r.p.Survey.Marks[end.Mark]
	d := b.Point.Sub(a.Point)
	bearing := elementary.Atan2(float64(d.E), float64(d.N))
	at := geodesy.Local{EastM: Metres(a.Point.E), NorthM: Metres(a.Point.N)}
	leg := Leg{
		Source: end.Source, From: from, To: to,
		Name:        a.Name + "–" + b.Name,
		Segment:     planar.Segment{A: a.Point, B: b.Point},
		LengthMM:    elementary.Hypot(float64(d.E), float64(d.N)),
		BearingDeg:  degrees(bearing),
		SpeedMMPerS: speed,
	}
	leg.TrueAzimuthDeg = degrees(r.p.Site.Frame.TrueAzimuth(at, bearing))
	leg.GroundM = geodesy.GroundDistance(a.Placed, b.Placed, r.p.Site.Origin.HeightM)
	leg.Downhill, leg.HasSlope = r.downhill[from].downhill, r.downhill[from].known
	leg.Stopping = r.p.stopping(speed)
	if likely, err := r.p.LikelyRollout(&leg); err == nil { // else slope.rolls refuses the leg
		leg.CoastMM = likely.Likely(speed)
	}
	leg.CutMM = r.p.cut(speed, leg.CoastMM)
	return leg
}

// cut is how far before the end of a leg the drive is cut, for the coast that is
// expected from its speed.
func (p *Plan) cut(speed int64, expectedMM float64) int64 {
	if speed > math.MaxUint16 {
		return 0 // boardLegs refuses the leg
	}
	coasts, _ := p.boardCoasts(speed, expectedMM) // boardLegs tells
	return int64(p.Board.Tables.Rover.CutMM(&coasts, uint32(speed), uint32(p.Machine.Receiver.FixIntervalMS/2)))
}

// HighestCut is the highest speed, up to its own, from which a leg is cut within a
// distance of its end; 0 for none.
func (p *Plan) HighestCut(leg int, withinMM float64) int64 {
	l := &p.Route.Legs[leg]
	likely, err := p.LikelyRollout(l)
	if err != nil {
		return 0 // slope.rolls refuses the leg
	}
	return highest(l.SpeedMMPerS, func(v int64) bool { return float64(p.cut(v, likely.Likely(v))) <= withinMM })
}

// stopping bounds the way from a reason to stop to rest. The sum is never less than
// what the board reckons with, which rounds up in other places.
func (p *Plan) stopping(speed int64) motion.Stopping {
	t := p.Board.Timing
	s := motion.Drive{Coast: p.worst(), HoldMS: t.HoldMS, FixMS: t.FixMS}.Stopping(speed)
	if board := p.Board.Tables.Rover; speed <= math.MaxUint16 {
		coasts, _ := p.boardCoasts(speed, 0) // boardLegs tells
		s.TotalMM = max(s.TotalMM, int64(board.StoppingMM(&coasts, uint32(speed), uint32(p.Machine.Receiver.FixIntervalMS))))
	}
	return s
}

// degrees turns radians into degrees in [0, 360).
func degrees(rad float64) float64 {
	d := math.Mod(rad*180/math.Pi, 360)
	if d < 0 {
		d += 360
	}
	return d
}
