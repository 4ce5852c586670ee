// The numbers that the board will hold, from what has been resolved so far.
package plan

import (
	"math"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/guidance"
	"merestone/internal/planar"
)

// conversion fits the board's conversion of fixes over the domain. The bound on
// its error goes into every budget.
func (r *resolver) conversion() {
	d := r.p.Board.Domain
	c, err := guidance.FitConversion(r.p.Site.Frame, guidance.Domain{WestMM: d.WestMM, SouthMM: d.SouthMM, EastMM: d.EastMM, NorthMM: d.NorthMM})
	if err != nil {
		r.fail(ruleBound, diag.The(diag.Site, ""), "site.origin", "put the origin within the fence, and keep the site within 20 km of it and off the poles", "the board cannot convert fixes here: %v", err)
		return
	}
	r.p.Board.Tables.Conversion = c
}

// Usual figures of the drive's guidance; common practice, no source.
const (
	lookAheadSeconds = 1.0  // steer at the point of the line one second ahead ...
	leastLookAheadMM = 300  // ... and at least this far
	joinLookAheads   = 3    // by then the rover has come from its start onto the line
	resetPressMS     = 500  // a press that is meant, not a knock
	leastSettleMS    = 300  // before the board believes that the rover is at rest
	leastShiftMM     = 1000 // of site shift that is taken without question
)

// boardRover gives the board the rover. Lengths that protect are rounded up,
// tolerances have been rounded down. It comes before the legs: their stopping
// and cut distances are asked of the board's own functions.
func (r *resolver) boardRover() {
	p, top := r.p, r.topSpeed
	// At constant deceleration the roll-out takes 2d/v; half as much again is
	// allowed for drag that fades with speed.
	coast := r.stopping(top).CoastMM
	settle := leastSettleMS + p.Board.Timing.OutputDelayMS + 3*p.Machine.Rover.MotorLagMS
	if top > 0 {
		settle += 3 * coast * 1000 / top
	}
	shift := int64(leastShiftMM)
	if s := p.BaseShiftMM(); s > 0 {
		shift = max(shift, int64(math.Ceil(2*s)))
	}
	told := len(r.findings)
	rover, err := guidance.NewRover(guidance.Rover{
		CoastMM: r.small("rover.coast", "the coast in mm", p.Machine.Rover.CoastMM), CoastFromMMPerS: r.small("rover.coast", "the coast's speed in mm/s", p.Machine.Rover.CoastFromMMPerS),
		// The board counts from the instant a fix holds for to the step that sees
		// it, which may begin up to one loop after the fix has come in.
		LatencyMS:        r.small("receiver.latency", "latency and loop in ms", p.Machine.Receiver.LatencyMS+p.Board.Timing.LoopMS),
		FixIntervalMS:    r.small("receiver.fix_rate", "the fix interval in ms", p.Machine.Receiver.FixIntervalMS),
		LoopMS:           r.small("board.loop", "the loop time in ms", p.Board.Timing.LoopMS),
		OutputDelayMS:    r.small("board.output_delay", "the output delay in ms", p.Board.Timing.OutputDelayMS+p.Machine.Rover.MotorLagMS),
		StaleAfterMS:     r.small("receiver.stale_after", "the age of a stale fix in ms", p.Machine.Receiver.StaleAfterMS),
		SettleMS:         r.small("rover.coast", "the time to come to rest in ms", settle),
		ResetPressMS:     resetPressMS,
		LookAheadMM:      r.small("rover.speed", "the look-ahead in mm", lookAheadMM(top)),
		FenceAllowanceMM: r.small("rover", "the fence allowance in mm", p.Machine.Rover.HalfWidthMM+p.boardBudget().TotalMM),
		StoppingShareQ8:  256,
		MaxShiftMM:       uint16(min(shift, guidance.MaxShiftMM)),
		RequiredQuality:  p.Machine.Receiver.Required,
	})
	switch {
	case err == nil || len(r.findings) > told: // a figure that does not fit was told above
	case p.Machine.Receiver.StaleAfterMS < p.Machine.Receiver.FixIntervalMS:
		r.gap("receiver.stale_after", "%v", err) // check reports it
	default:
		r.fail(ruleBound, diag.The(diag.Rover, ""), "rover", "check the figures of rover and receiver", "the board's tables cannot hold this %v", err)
	}
	p.Board.Tables.Rover = rover
}

func lookAheadMM(speed int64) int64 {
	return max(leastLookAheadMM, int64(lookAheadSeconds*float64(speed)))
}

// small turns a number into the 16 bits that the board has for it. Many legs may
// have one figure, which is told once.
func (r *resolver) small(path, what string, v int64) uint16 {
	if v < 0 || v > math.MaxUint16 {
		if figure := path + ": " + what; !r.tooLarge[figure] {
			r.tooLarge[figure] = true
			r.fail(ruleBound, diag.The(diag.Key, path), path, "keep it below 65536", "%s is %d, which does not fit the board's 16 bits", what, v)
		}
		return 0
	}
	return uint16(v)
}

func (r *resolver) boardLegs() {
	g := &r.p.Board.Tables
	g.Closed = r.p.Route.Closed
	for _, l := range r.p.Route.Legs {
		leg, err := guidance.NewLeg(l.Segment.A, l.Segment.B)
		if err != nil {
			g.Legs = nil // check reports it
			r.gap(l.Path, "leg %s has no length", l.Name)
			return
		}
		start, end := r.p.Route.Waypoints[l.From], r.p.Route.Waypoints[l.To]
		leg.DwellMS = uint32(max(min(end.DwellMS, math.MaxUint32), 0))
		leg.SpeedMMPerS = r.small(l.Path, "the speed in mm/s", l.SpeedMMPerS)
		leg.StartToleranceMM = r.small(r.keyOf(start, "arrival_tolerance"), "the arrival tolerance in mm", start.ToleranceMM)
		leg.EndToleranceMM = r.small(r.keyOf(end, "arrival_tolerance"), "the arrival tolerance in mm", end.ToleranceMM)
		leg.CrossTrackMM = r.small("rover.cross_track", "the cross-track allowance in mm", r.p.Machine.Rover.CrossTrackMM)
		leg.JoinMM = r.small(l.Path, "the way to join the line in mm", min(joinLookAheads*lookAheadMM(l.SpeedMMPerS), math.MaxUint16))
		leg.StopAtEnd = end.Stops
		g.Legs = append(g.Legs, leg)
	}
}

// keyOf is where a figure of a waypoint was written: with it, or with the route.
func (r *resolver) keyOf(w Waypoint, key string) string {
	if own := w.Path + "." + key; r.m.Written(own) {
		return own
	}
	return "route." + key
}

// boardHolds gives every channel the level that means run, as the circuit model
// derived it from the wiring. A header must never go without a hold that the
// mission speaks of, so the plan is incomplete when one cannot be resolved.
func (r *resolver) boardHolds() {
	if len(r.p.Holds.List) == 0 {
		return // check reports it
	}
	if r.p.Holds.FaultsErr != nil {
		r.gap("holds", "the circuits cannot be modelled: %v", r.p.Holds.FaultsErr) // check reports it
		return
	}
	kinds := map[circuit.Kind]guidance.HoldKind{circuit.HoldToRun: guidance.HoldToRun, circuit.EmergencyStop: guidance.EmergencyStop, circuit.Interlock: guidance.Interlock}
	var circuits [][]guidance.Hold
	for i, h := range r.p.Holds.List {
		var channels []guidance.Hold
		for c, ch := range h.Circuit.Channels {
			entry := guidance.Hold{
				Pin: r.small(h.Path, "the pin", int64(ch.Pin)), DebounceMS: r.small(h.Path, "the debounce in ms", h.DebounceMS),
				Kind: kinds[h.Circuit.Kind], StopCategory: uint8(h.Circuit.StopCategory),
				Latched: h.Circuit.Kind == circuit.EmergencyStop,
			}
			if c == 0 && len(h.Circuit.Channels) == 2 {
				entry.DiscrepancyMS = r.small(h.Path, "the discrepancy time in ms", h.Circuit.DiscrepancyMS)
			}
			switch r.p.Holds.Faults.Wirings[i].RunLevels[c] {
			case circuit.Low:
				entry.RunLevel = 0
			case circuit.High:
				entry.RunLevel = 1
			default:
				r.gap(h.Path, "the wiring of hold %s cannot tell run from stop", h.Circuit.Name) // check reports it
				return
			}
			channels = append(channels, entry)
		}
		circuits = append(circuits, channels)
	}
	holds, _, err := guidance.OrderHolds(circuits)
	if err != nil {
		r.fail(ruleBound, diag.The(diag.Holds, ""), "holds", "wire some contacts in series", "the board's tables cannot hold these: %v", err)
		return
	}
	r.p.Board.Tables.Holds = holds
}

// boardFence builds the search structure over the boundary and the obstacles.
// Rings with faults are left to check.
func (r *resolver) boardFence() {
	g := &r.p.Board.Tables
	if len(r.p.Fence.Boundary.Vertices.Faults()) > 0 {
		r.gap("geofence.boundary", "the boundary has faults") // check reports them
		return
	}
	var rings []planar.Ring
	var circles []planar.Circle
	for _, o := range r.p.Fence.Obstacles {
		switch {
		case o.IsCircle:
			circles = append(circles, o.Circle)
		case len(o.Vertices.Faults()) > 0:
			r.gap(o.Path, "obstacle %s has faults", o.Name) // check reports them
			return
		default:
			rings = append(rings, o.Vertices)
		}
	}
	// Margins are exact up to twice what any decision of the board rests on.
	reach := min(2*g.Rover.FenceReachMM(uint16(min(r.topSpeed, math.MaxUint16))), math.MaxUint16)
	fence, err := guidance.BuildFence(r.p.Fence.Boundary.Vertices, rings, circles, uint16(reach))
	if err != nil {
		r.fail(ruleBound, diag.The(diag.Fence, ""), "geofence", "leave out marks that bend the fence by less than its uncertainty", "the board's tables cannot hold this %v", err)
		return
	}
	g.Fence = fence
}
