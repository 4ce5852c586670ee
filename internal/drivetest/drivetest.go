// Package drivetest drives plans in simulation, for tests: a rover on two driven wheels,
// or one that steers and has a least radius of turn, with the board's twin in the loop.
//
//	drivetest.go  what may differ from run to run; one run
//	rover.go      the machine: lag, roll-out, steering
//	ground.go     what is true on the ground: marks, fence, slope, the body against them
//
// Everything that a mission says of its uncertainty is drawn by the seed: errors that are
// noise at every fix, those that are a bias once for the drive, and those that are a
// limit anywhere up to it. What the mission says as a longest time (latency, output
// delay, loop) is taken near that. The simulation knows nothing of budgets, standoffs
// and rules: it is what they are tried against. Millimetres, milliseconds, radians.
package drivetest

import (
	"math"
	"math/rand/v2"
	"slices"

	"merestone/internal/board"
	"merestone/internal/guidance"
	"merestone/internal/plan"
)

// Rover is what a plan does not say of the machine.
type Rover struct {
	// HeadingNoiseDeg is drawn at every step, beside the constant error.
	HeadingNoiseDeg float64
	// Grip is by how much the ground brakes harder than where the roll-out was taped; 0 is 1.
	Grip float64
}

// Usual is a rover with a compass that is hardly ever steady.
func Usual() Rover { return Rover{HeadingNoiseDeg: 0.2} }

// Trouble is what happens on the way.
type Trouble uint8

// The troubles. Each begins at a random time.
const (
	None     Trouble = iota
	Released         // the holder lets go
	NoFixes          // no fix comes any more
	Jumps            // single fixes are anywhere near, all the way; the holder goes on after each stop
)

// Outcome is how a run ended.
type Outcome struct {
	Finished  bool
	StoppedBy guidance.Reasons
	// Leg and Track are where the board stopped it.
	Leg    int
	Track  guidance.Track
	TimeMS int64
	Fixes  int // until it ended
	// Touched says that the body met the true fence; NearestMM is how near it came, as
	// far as was looked.
	Touched   bool
	NearestMM float64
	// Strayed are stops at which the antenna was farther from the true mark than the
	// tolerance; FarthestShare is the most of a tolerance that was used.
	Strayed       int
	FarthestShare float64
	// CrossMM is the greatest distance from the line that the board measured, from the
	// place on where the cross-track allowance alone counts.
	CrossMM int32
	Shorts  int // roll-outs that ended short of the tolerance
	// HeadingError is the constant one that was drawn, in radians.
	HeadingError float64
}

// Held reports whether the run finished, inside the fence and within every tolerance.
func (o Outcome) Held() bool { return o.Finished && !o.Touched && o.Strayed == 0 }

// run is one drive.
type run struct {
	p      *plan.Plan
	board  *guidance.Mission
	rover  Rover
	rand   *rand.Rand
	ground ground
	m      machine

	state guidance.State
	in    guidance.Input
	out   guidance.Output

	nowMS, stepMS  int64 // the time; how long the machine is moved at a time
	shift          vector
	headingError   float64
	fixes          []fix // on their way to the board
	nextFixMS      int64
	tilt, tiltFrom vector
	tiltTo         vector
	tiltAtMM       float64 // way at which the next tilt is reached
	trouble        Trouble
	troubleMS      int64
	drivenMS       int64 // the last time that it was under way
	outcome        Outcome
	clearForMM     float64 // no need to look at the fence before the rover has gone so far
}

type fix struct {
	atMS, dueMS int64
	lat         int64
	lon         int64
}

// Drive drives a plan once. The same seed gives the same run.
func Drive(p *plan.Plan, rover Rover, trouble Trouble, seed uint64) Outcome {
	r := &run{p: p, board: &p.Board.Tables, rover: rover, rand: newRandom(seed)}
	tables := p.Board.Tables
	tables.Record.Format = guidance.RecordFormat
	r.board = &tables
	r.stepMS = max(p.Board.Timing.LoopMS/2, 1)
	r.ground = newGround(p, r.rand)
	r.m = newMachine(p, rover, r.rand)
	r.draw(trouble)
	return r.drive()
}

// draw draws what stays for the drive.
func (r *run) draw(trouble Trouble) {
	rover := r.p.Machine.Rover
	r.headingError = r.rand.NormFloat64() * rover.HeadingStdDeg * math.Pi / 180
	for _, part := range r.p.Errors {
		if part.Nature == plan.Bias && part.Name != "antenna lever arm" { // which the simulated arm makes by itself
			r.shift = r.shift.plus(r.gauss(part.StdMM))
		}
	}
	start := r.ground.mark(r.p.Route.Waypoints[0].Mark)
	leg := r.p.Route.Legs[0]
	// Put there by hand, so that the board finds itself on the mark.
	tolerance := float64(r.p.Route.Waypoints[0].ToleranceMM)
	heading := leg.BearingDeg*math.Pi/180 + r.rand.NormFloat64()*0.03
	if rover.Pivots {
		heading = r.rand.Float64() * 2 * math.Pi // it turns by itself
	}
	r.m.place(start.plus(r.within(tolerance/2)), heading)
	r.trouble = trouble
	if trouble != None {
		expected := 0.0
		for _, l := range r.p.Route.Legs {
			expected += l.LengthMM / float64(l.SpeedMMPerS) * 1000
		}
		r.troubleMS = settledMS + 1500 + int64(r.rand.Float64()*expected)
	}
	r.outcome.NearestMM, r.outcome.HeadingError = math.Inf(1), r.headingError
}

// gauss is a vector with a standard deviation along each axis.
func (r *run) gauss(std float64) vector {
	return vector{r.rand.NormFloat64() * std, r.rand.NormFloat64() * std}
}

// within is a vector anywhere within a circle.
func (r *run) within(radius float64) vector {
	s, c := math.Sincos(r.rand.Float64() * 2 * math.Pi)
	d := radius * math.Sqrt(r.rand.Float64())
	return vector{s * d, c * d}
}

// tiltScaleMM is the way after which the ground tilts the rover another way.
const tiltScaleMM = 1000

// wander moves the antenna by what tilts the rover.
func (r *run) wander() {
	bound := 0.0
	for _, part := range r.p.Errors {
		if part.Name == "antenna tilt" {
			bound = part.BoundMM
		}
	}
	if bound == 0 {
		return
	}
	for r.m.wayMM >= r.tiltAtMM {
		r.tiltFrom, r.tiltTo = r.tiltTo, r.within(bound)
		r.tiltAtMM += tiltScaleMM
	}
	share := 1 - (r.tiltAtMM-r.m.wayMM)/tiltScaleMM
	r.tilt = r.tiltFrom.times(1 - share).plus(r.tiltTo.times(share))
}

// measure sends a fix on its way.
func (r *run) measure() {
	r.wander()
	at := r.m.antenna().plus(r.shift).plus(r.tilt).plus(r.gauss(r.p.Machine.Receiver.StdMM))
	g := r.p.Site.Frame.AtHeight(at.e/1000, at.n/1000, r.p.Site.Origin.HeightM)
	if r.trouble == Jumps && r.rand.IntN(jumpOneIn) == 0 {
		s, c := math.Sincos(r.rand.Float64() * 2 * math.Pi)
		size := 50 * math.Pow(100, r.rand.Float64()) // 5 cm to 5 m, small ones as often as large ones
		jumped := at.plus(vector{size * s, size * c})
		g = r.p.Site.Frame.AtHeight(jumped.e/1000, jumped.n/1000, r.p.Site.Origin.HeightM)
	}
	latency := r.p.Machine.Receiver.LatencyMS
	r.fixes = append(r.fixes, fix{r.nowMS, r.nowMS + latency, int64(g.Latitude), int64(g.Longitude)})
	r.outcome.Fixes++
}

// levels are the pins with every hold in run, but for those of the kinds given in stop.
func (r *run) levels(stopped ...board.HoldKind) uint16 {
	levels := uint16(0)
	for i, h := range r.board.Holds {
		runs := !slices.Contains(stopped, h.Kind)
		if runs == (h.RunLevel != 0) {
			levels |= 1 << i
		}
	}
	return levels
}

// What the operator does at first: everything to stop, back, and the reset.
const (
	triedMS       = 500
	resetFromMS   = 700
	resetUntilMS  = 1400
	settledMS     = 2000
	startsAfterMS = 10_000 // or never
)

// A holder who goes on after a stop lets go and presses again so often, until somebody
// would have to put the rover back.
const (
	goesOnMS  = 2000
	givesUpMS = 20_000
)

// jumpOneIn is how seldom a fix jumps.
const jumpOneIn = 60

// operate is what the operator does with switches and buttons.
func (r *run) operate(started bool) {
	switch {
	case r.nowMS < triedMS:
		r.in.HoldLevels = r.levels(board.HoldKinds()...)
	case r.nowMS < settledMS || r.trouble == Released && r.nowMS >= r.troubleMS,
		r.trouble == Jumps && started && r.out.Phase <= guidance.Waiting && r.nowMS%goesOnMS < goesOnMS/2:
		r.in.HoldLevels = r.levels(board.HoldToRun)
	default:
		r.in.HoldLevels = r.levels()
	}
	r.in.ResetRequest = r.nowMS >= resetFromMS && r.nowMS < resetUntilMS
	r.in.StartRequest = r.nowMS >= settledMS && (!started || r.trouble == Jumps && r.nowMS%goesOnMS >= goesOnMS/2)
}

// longestMS ends a run that does not end by itself.
const longestMS = 4 * 3600 * 1000

func (r *run) drive() Outcome {
	speedKnown, ageKnown := r.rand.IntN(2) == 0, r.rand.IntN(2) == 0
	if !r.board.Start(&r.state, 0) {
		r.outcome.StoppedBy = guidance.BadMission
		return r.outcome
	}
	// Where the proof leans on a site shift, that of the day is nothing but what is left of
	// it, which was drawn.
	if r.board.Rover.ShiftNeeded && !r.board.SetShift(&r.state, &guidance.SiteShift{Digest: r.board.Record.Digest, Day: 20260101}) {
		r.outcome.StoppedBy = guidance.NoShift
		return r.outcome
	}
	loopMS, nextLoopMS := r.p.Board.Timing.LoopMS, int64(0)
	started := false
	r.nextFixMS = r.rand.Int64N(r.p.Machine.Receiver.FixIntervalMS + 1)
	for r.nowMS = 0; r.nowMS < longestMS; r.nowMS += r.stepMS {
		if r.nowMS >= r.nextFixMS && !(r.trouble == NoFixes && r.nowMS >= r.troubleMS) {
			r.measure()
			r.nextFixMS += r.p.Machine.Receiver.FixIntervalMS
		}
		if r.nowMS >= nextLoopMS {
			nextLoopMS = r.nowMS + r.stepMS*(1+r.rand.Int64N(max(loopMS/r.stepMS, 1)))
			r.in = guidance.Input{
				TimeMS: uint32(r.nowMS), SpeedKnown: speedKnown, SpeedMMPerS: uint32(math.Abs(r.m.speed)),
				HeadingKnown: true, HeadingCdeg: r.headingCdeg(),
			}
			for len(r.fixes) > 0 && r.fixes[0].dueMS <= r.nowMS {
				r.in.FixNew, r.in.Quality = true, r.p.Machine.Receiver.Required
				r.in.LatitudeNdeg, r.in.LongitudeNdeg = r.fixes[0].lat, r.fixes[0].lon
				if ageKnown {
					r.in.FixAgeMS = uint32(r.nowMS - r.fixes[0].atMS)
				}
				r.fixes = r.fixes[1:]
			}
			r.operate(started)
			r.board.Step(&r.state, &r.in, &r.out)
			r.look()
			started = started || r.out.Events&guidance.EventStarted != 0
			r.m.ask(r.nowMS, r.out)
		}
		leg := &r.p.Route.Legs[r.out.Leg]
		r.m.move(r.nowMS, float64(r.stepMS), r.ground.downhill(leg, r.m.heading))
		r.watch()
		atRest := r.m.speed == 0 && r.out.Phase != guidance.Driving
		if r.out.Phase > guidance.Waiting {
			r.drivenMS = r.nowMS
		}
		ended := r.out.Phase == guidance.Finished || r.out.Phase <= guidance.Waiting && (r.trouble != Jumps || r.nowMS-r.drivenMS > givesUpMS)
		if started && ended && atRest {
			break
		}
		if !started && r.nowMS > settledMS+startsAfterMS {
			break // never set off: whatever is against it is in StoppedBy
		}
	}
	r.outcome.TimeMS = r.nowMS
	r.outcome.Finished = r.out.Phase == guidance.Finished
	if r.outcome.Finished {
		r.rest(len(r.p.Route.Legs) - 1)
	}
	r.outcome.StoppedBy = r.out.StoppedBy
	if !started {
		r.outcome.StoppedBy |= r.out.Reasons
	}
	return r.outcome
}

// look notes what the board measured and where the rover stood.
func (r *run) look() {
	leg := &r.board.Legs[r.out.Leg]
	if r.out.Events&guidance.EventStopped != 0 {
		r.outcome.Leg, r.outcome.Track = int(r.out.Leg), r.out.Track
	}
	if r.out.Events&guidance.EventShort != 0 {
		r.outcome.Shorts++
	}
	if r.out.Phase == guidance.Driving && r.in.FixNew && r.out.Track.AlongMM >= int32(leg.JoinMM) {
		r.outcome.CrossMM = max(r.outcome.CrossMM, max(r.out.Track.CrossMM, -r.out.Track.CrossMM))
	}
	if r.out.Events&guidance.EventDeparted != 0 && r.out.Leg > 0 {
		r.rest(int(r.out.Leg) - 1)
	}
}

// rest compares where the rover came to rest at the end of a leg with its true mark.
func (r *run) rest(leg int) {
	w := r.p.Route.Waypoints[r.p.Route.Legs[leg].To]
	off := r.m.antenna().minus(r.ground.mark(w.Mark)).length()
	share := off / float64(w.ToleranceMM)
	r.outcome.FarthestShare = max(r.outcome.FarthestShare, share)
	if share > 1 {
		r.outcome.Strayed++
	}
}

// watch looks whether the body meets the true fence, where it may have come so far.
func (r *run) watch() {
	if r.clearForMM -= r.m.sweptMM; r.clearForMM > 0 {
		return
	}
	clear := r.ground.clearance(r.m.body())
	r.outcome.NearestMM = min(r.outcome.NearestMM, clear)
	if clear <= 0 {
		r.outcome.Touched = true
	}
	r.clearForMM = clear / 2
}

// headingCdeg is what the compass says.
func (r *run) headingCdeg() uint16 {
	deg := (r.m.heading+r.headingError)*180/math.Pi + r.rand.NormFloat64()*r.rover.HeadingNoiseDeg
	cdeg := math.Mod(math.Round(deg*100), 36000)
	if cdeg < 0 {
		cdeg += 36000
	}
	return uint16(cdeg)
}

func newRandom(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x6d657265)) }
