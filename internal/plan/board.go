// The numbers that the board will hold, from what has been resolved so far.
package plan

import (
	"fmt"
	"math"
	"strings"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/guidance"
	"merestone/internal/motion"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// conversion fits the board's conversion of fixes over the domain. The bound on
// its error goes into every budget.
func (r *resolver) conversion() {
	c, err := guidance.FitConversion(r.p.Site.Frame, r.p.Board.Domain)
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
	armsAhead        = 3    // halves: one and a half times the antenna's arm
	joinLookAheads   = 4    // by then the rover has come from its start onto the line
	resetPressMS     = 500  // a press that is meant, not a knock
	releaseMS        = 200  // a switch that was let go, not a contact that shook
	leastStandsMM    = 1000 // of way rolled before a fix is said to stand still
	leastSettleMS    = 300  // before the board believes that the rover is at rest
	leastShiftMM     = 1000 // of site shift that is taken without question
)

// boardRover gives the board the rover. Lengths that protect are rounded up,
// tolerances have been rounded down. It comes before the legs: their stopping
// and cut distances are asked of the board's own functions.
func (r *resolver) boardRover() {
	p, rover, receiver, timing := r.p, r.p.Machine.Rover, r.p.Machine.Receiver, r.p.Board.Timing
	before := len(r.findings)
	var settle uint16
	if _, err := rover.Coast.WorstOn(0); err != nil {
		r.fail(ruleBound, diag.The(diag.Key, "rover.coast"), "rover.coast", "measure the roll-out again", r.coastKeys()+": the rover brakes by less than %d mm/s² on level ground, which the board cannot reckon with", board.LeastDecelerationMMPerS2)
	} else {
		settle = r.sum("the time to come to rest", "ms",
			share{"rover.coast", strings.TrimPrefix(r.coastKeys(), "rover.coast") + " and the speeds", leastSettleMS + p.stopping(r.topSpeed).CoastMS()},
			share{"drive_path", "", timing.OutputDelayMS - timing.LateMS}, share{"commissioning.stopping", lateWords, timing.LateMS})
	}
	r.sum("the error of position to be kept from the fence", "mm",
		share{"receiver.uncertainty", ", rover.antenna, rover.heading_uncertainty, rover.tilt and the uncertainty of marks", p.boardBudget().TotalMM})
	r.sum("the time from a fix to the drive without power", "ms",
		share{"receiver.latency", "", receiver.LatencyMS},
		share{"receiver.stale_after", "", receiver.StaleAfterMS},
		share{"board.loop", " (twice, and the clock)", 2*timing.LoopMS + motion.ClockMS},
		share{"drive_path", " and the step", timing.OutputDelayMS - timing.LateMS + motion.StepMS}, share{"commissioning.stopping", lateWords, timing.LateMS})
	front := r.sum("the distance from the antenna to the front", "mm", share{"rover.length", " and rover.antenna.forward", rover.FrontMM})
	back := r.sum("the distance from the antenna to the back", "mm", share{"rover.length", " and rover.antenna.forward", rover.BackMM})
	halfWidth := r.sum("the distance from the antenna to the wider side", "mm", share{"rover.width", " and rover.antenna.right", rover.HalfWidthMM})
	if len(r.findings) > before {
		return
	}
	shift := int64(leastShiftMM)
	if s := p.BaseShiftMM(); s > 0 {
		shift = max(shift, int64(math.Ceil(2*s)))
	}
	table := guidance.Rover{
		// The board counts from the instant a fix holds for to the step that sees
		// it, which may begin up to one loop after the fix has come in; and what its
		// clock hides of that, of the age and of the loop to the next step. The way from
		// the next step's clock to the output counts as part of the output's delay.
		// The lag of the motors is in the coast, which is taped from where the drive is cut.
		LatencyMS:       r.small("receiver.latency", receiver.LatencyMS+timing.LoopMS+motion.ClockMS),
		FixIntervalMS:   r.small("receiver.fix_rate", receiver.FixIntervalMS),
		LoopMS:          r.small("board.loop", timing.LoopMS),
		OutputDelayMS:   r.small("drive_path", timing.OutputDelayMS+motion.StepMS),
		StaleAfterMS:    r.small("receiver.stale_after", receiver.StaleAfterMS),
		SettleMS:        settle,
		ResetPressMS:    resetPressMS,
		ReleaseMS:       releaseMS,
		CrossTrackMM:    r.small("rover.cross_track", rover.CrossTrackMM),
		LookAheadMM:     r.small("rover.speed", rover.lookAheadMM(r.fastest)),
		FrontMM:         front,
		HalfWidthMM:     halfWidth,
		BackMM:          back,
		MaxShiftMM:      uint16(min(shift, board.MaxShiftMM)),
		RequiredQuality: receiver.Required,
		ShiftNeeded:     p.Survey.Base.LeansOnShift(),
	}
	top := max(r.topSpeed, rover.Coast.FastestMMPerS(), 1)
	table.JumpMM = r.jump(top)
	table.StandsMM = r.stands(top, int64(table.JumpMM))
	longestDwell := int64(0)
	for _, w := range p.Route.Waypoints {
		longestDwell = max(longestDwell, w.DwellMS)
	}
	if err := table.SetUnits(p.worst().Bound(r.topSpeed), longestDwell); err != nil {
		r.fail(ruleBound, diag.The(diag.Key, "rover.coast"), "rover.coast", "brake harder, drive slower or dwell less", "%s: %v", r.coastKeys(), err)
		return
	}
	if err := table.SetCoast(uint16(min(top, math.MaxUint16)), p.worst().Bound(min(top, math.MaxUint16))); err != nil {
		r.gap("rover.coast", "%v", err) // told above
	}
	if err := table.Check(); err != nil {
		r.gap("rover", "%v", err) // check reports it: fixes that are stale before the next comes
	}
	p.Board.Tables.Rover = table
}

// lateWords says what a measured stop adds: a stop that went too far, or took too long.
const lateWords = " (from, distance, time and downhill)"

// coastKeys names the keys with the roll-outs.
func (r *resolver) coastKeys() string {
	if len(r.p.Commissioning.Coast) > 0 {
		return "rover.coast and commissioning.coast"
	}
	return "rover.coast"
}

// lookAheadMM is how far ahead the board steers for a speed: no nearer than a rover can
// turn, since one whose arcs are wider than that swings about its line; and well beyond
// the antenna's arm. A rover that turns on the spot by ψ moves its antenna by f·ψ, and so
// the bearing to the point ahead by −f/L·ψ, as of the last fix. With the rate of turn
// k·(bearing − ψ) that is ψ' = −k·ψ(t) − k·f/L·ψ(t − τ), which comes to rest whatever the
// delay τ as long as f/L < 1 (its characteristic s + k + k·f/L·exp(−sτ) has no root with
// Re s ≥ 0, where |s + k| ≥ k).
func (r Rover) lookAheadMM(speed int64) int64 {
	ahead := max(leastLookAheadMM, int64(lookAheadSeconds*float64(speed)), min(armsAhead*r.ArmMM/2, math.MaxUint16))
	if !r.Pivots {
		ahead = max(ahead, min(r.TurnRadiusMM, math.MaxUint16))
	}
	return ahead
}

// jump is by how much two fixes may differ while the rover rests, or turns on the spot:
// both have the receiver's noise along each axis, so that their difference has it √2 times,
// none of an hour of them beyond the factor of readingFactor; the antenna tilts from one
// side to the other, and swings about the turning centre; and a fix may come as late as the
// latency and a loop allow, so that the time between two is not that between the steps.
func (r *resolver) jump(topMMPerS int64) uint16 {
	p, rover, timing := r.p, r.p.Machine.Rover, r.p.Board.Timing
	tilt := 0.0
	for _, part := range p.Errors {
		if part.Name == tiltName {
			tilt = part.BoundMM
		}
	}
	lateMS := p.Machine.Receiver.LatencyMS + timing.LoopMS + motion.ClockMS
	noise := ceil(readingFactor(p.Confidence, readings) * p.Machine.Receiver.StdMM * math.Sqrt2)
	return uint16(min(noise+ceil(2*tilt)+2*rover.ArmMM+motion.TravelMM(topMMPerS, lateMS)+lineRoundingMM, math.MaxUint16))
}

// stands is how far the wheels roll before a fix that moved by less than half of it is
// taken to stand still: as much as one that moves lags behind, and its noise, twice.
func (r *resolver) stands(topMMPerS, jumpMM int64) uint16 {
	receiver := r.p.Machine.Receiver
	lagMM := motion.TravelMM(topMMPerS, receiver.LatencyMS+receiver.FixIntervalMS+r.p.Board.Timing.LoopMS)
	return uint16(min(max(leastStandsMM, 2*jumpMM+4*lagMM), math.MaxUint16))
}

// small turns a number into the 16 bits that the board has for it. What a mission
// can write fits, by the bounds of the language and by sum.
func (r *resolver) small(path string, v int64) uint16 {
	if v < 0 || v > math.MaxUint16 {
		r.gap(path, "%d does not fit the board's 16 bits", v)
		return 0
	}
	return uint16(v)
}

// share is what a key, and what is said of others, put into a number that the board
// holds.
type share struct {
	path, others string
	n            int64
}

// sum adds up what the board must hold in 16 bits. Where it is too much, that is
// told at the key with the largest share.
func (r *resolver) sum(what, unit string, shares ...share) uint16 {
	total, largest := int64(0), shares[0]
	var parts []string
	for _, s := range shares {
		total += s.n
		if s.n > largest.n {
			largest = s
		}
		if s.n != 0 {
			parts = append(parts, fmt.Sprintf("%d %s by %s%s", s.n, unit, s.path, s.others))
		}
	}
	if total < 0 || total > math.MaxUint16 {
		r.fail(ruleBound, diag.The(diag.Key, largest.path), largest.path, "lessen "+largest.path+", the largest of them", "%s is %d %s, more than the %d that the board's table holds: %s",
			what, total, unit, math.MaxUint16, words.And(parts))
		return 0
	}
	return uint16(total)
}

// boardCoasts is a leg with a speed and its coasts alone: what is expected from that
// speed, and the bound on the steepest ground.
func (p *Plan) boardCoasts(speed int64, expectedMM float64) (guidance.Leg, error) {
	leg := guidance.Leg{SpeedMMPerS: uint16(max(min(speed, math.MaxUint16), 1))} // the board divides by it
	if speed <= 0 {
		return leg, nil
	}
	err := leg.SetCoast(&p.Board.Tables.Rover, expectedMM, p.worst().Bound(int64(leg.SpeedMMPerS)))
	return leg, err
}

// legAllowanceMM is what the board keeps for the error of its distance from the fence
// on a leg: that of the coarsest mark of the fence, or as much of that as the leg has
// room for. What is accepted has room for that of the marks that are near; a coarse
// mark far away must not stop the rover everywhere.
func (p *Plan) legAllowanceMM(l *Leg) int64 {
	allowance := p.coarsestMM
	if p.finestMM < p.coarsestMM {
		for _, s := range []Stretch{l.Line, l.Join} {
			if !s.Needed {
				continue
			}
			_, clearance, _ := p.Fence.Nearest(s.Segment, fence.Anywhere)
			allowance = min(allowance, max(clearance-s.OffLineMM-s.ReachMM, p.finestMM))
		}
	}
	return max(allowance-p.fenceSlackMM(), 0)
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
		r.boardWaypoint(&leg, l.From)
		leg.SpeedMMPerS = r.small(l.Path, l.SpeedMMPerS)
		leg.JoinCrossMM = r.small(r.p.Route.Waypoints[l.From].Path, min(l.Joining.CrossMM, math.MaxUint16))
		leg.JoinMM = r.small(l.Path, min(l.Joining.WayMM, math.MaxUint16))
		leg.FenceAllowanceMM = r.small(l.Path, r.p.legAllowanceMM(&l))
		if err := leg.SetCoast(&g.Rover, l.CoastMM, r.p.worst().Bound(l.SpeedMMPerS)); err != nil && l.SpeedMMPerS > 0 {
			r.gap("rover.coast", "%v", err) // check reports it
		}
		g.Legs = append(g.Legs, leg)
	}
	// A rover that turns onto a leg may come as far behind its start as beside its line.
	for _, l := range r.p.Route.Legs {
		g.Rover.RetreatMM = uint16(min(max(int64(g.Rover.RetreatMM), l.Joining.AwayMM+r.p.Machine.Rover.CrossTrackMM), math.MaxUint16))
	}
	if n := len(r.p.Route.Legs); n > 0 {
		end := r.p.Route.Legs[n-1]
		last := guidance.LastWaypoint(end.Segment.B)
		r.boardWaypoint(&last, end.To)
		g.Legs = append(g.Legs, last)
	}
}

// boardWaypoint gives the entry of a waypoint what is asked there. Where the first of a
// closed route is the last as well, the two entries have the same.
func (r *resolver) boardWaypoint(entry *guidance.Leg, waypoint int) {
	w := r.p.Route.Waypoints[waypoint]
	entry.ToleranceMM = r.small(w.Path, w.ToleranceMM)
	entry.Dwell = guidance.PassThrough
	if w.Stops || waypoint == 0 {
		entry.Dwell = r.p.Board.Tables.Rover.Dwell(w.DwellMS)
	}
}

// boardHolds gives every channel the level that means run, as the circuit model
// derived it from the wiring. A header must never go without a hold that the
// mission speaks of, so the plan is incomplete when one cannot be resolved.
func (r *resolver) boardHolds() {
	if len(r.p.Holds.List) == 0 {
		return // check reports it
	}
	contacts := 0
	for _, h := range r.p.Holds.List {
		contacts += len(h.Circuit.Channels)
	}
	if contacts > board.MaxHolds {
		r.fail(ruleBound, diag.The(diag.Holds, ""), "holds", "wire some contacts in series", "the holds have %d contacts, and the board's table has room for %d", contacts, board.MaxHolds)
		return
	}
	if r.p.Holds.FaultsErr != nil {
		r.gap("holds", "the circuits cannot be modelled: %v", r.p.Holds.FaultsErr) // check reports it
		return
	}
	var circuits [][]guidance.Hold
	for i, h := range r.p.Holds.List {
		var channels []guidance.Hold
		for c, ch := range h.Circuit.Channels {
			entry := guidance.Hold{
				Pin: r.small(h.Path, int64(ch.Pin)), DebounceMS: r.small(h.Path, h.DebounceMS), FilterMS: r.small(h.Path, h.FilterMS),
				Kind:    h.Circuit.Kind,
				Latched: h.Circuit.Kind == board.EmergencyStop,
			}
			if c == 0 && len(h.Circuit.Channels) == 2 {
				entry.DiscrepancyMS = r.small(h.Path, h.Circuit.DiscrepancyMS)
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
		r.gap("holds", "the board's table cannot hold them: %v", err) // check reports it
		return
	}
	r.p.Board.Tables.Holds = holds
}

// boardFence builds the search structure over the boundary and the obstacles.
// Rings with faults are left to check.
func (r *resolver) boardFence() {
	g, b := &r.p.Board.Tables, r.p.Fence.Boundary
	if !b.Sound() {
		r.gap(b.Path, "the boundary has faults") // check reports them
		return
	}
	parts := []int{fence.Boundary} // by ring
	var rings []*planar.Region
	var circles []planar.Circle
	for i, o := range r.p.Fence.Obstacles {
		switch {
		case o.IsCircle:
			circles = append(circles, o.Circle)
		case !o.Sound():
			r.gap(o.Path, "obstacle %s has faults", o.Name) // check reports them
			return
		default:
			parts, rings = append(parts, i), append(rings, o.Region())
		}
	}
	top := min(r.topSpeed, math.MaxUint16)
	coasts, _ := r.p.boardCoasts(top, 0)
	coasts.FenceAllowanceMM = r.small("geofence", min(r.p.boardBudget().TotalMM, math.MaxUint16))
	reach := min(g.Rover.FenceReachMM(&coasts, uint16(top)), math.MaxUint16)
	table, vertices, err := guidance.BuildFence(b.Region(), rings, circles, uint16(reach))
	if err != nil {
		r.fail(ruleBound, diag.The(diag.Fence, ""), "geofence", "leave out marks that bend the fence by less than their uncertainty, and give posts that stand close together one ring", "the board's tables cannot hold this geofence: %v", err)
		return
	}
	g.Fence = table
	for _, v := range vertices {
		r.p.Board.Vertices = append(r.p.Board.Vertices, fence.Vertex{Part: parts[v.Ring], Number: v.Vertex})
	}
}

// fits asks the board's own limits once more, of the tables as a whole: what they
// refuse must not be found by whoever writes the header. Every limit that a mission
// can reach is told before this, by the key that reaches it.
func (r *resolver) fits() {
	if !r.p.Complete() || diag.Worst(r.findings) == diag.Error {
		return
	}
	tables := r.p.Board.Tables
	tables.Record = guidance.Record{Format: guidance.RecordFormat, Mission: r.p.Mission}
	if err := tables.Validate(); err != nil {
		r.fail(ruleBound, diag.The(diag.Site, ""), "mission", "take out what the board cannot hold", "the board's tables cannot hold this mission: %v", err)
	}
}
