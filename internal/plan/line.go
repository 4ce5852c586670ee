// The line: what the cross-track allowance has to hold so that the board, which looks
// at it with every fix, does not stop a rover that drives as it should.
//
// The board steers at a point of the leg one look-ahead L in front. About the line that
// is, at the speed v and with the time τ from an error to the turn against it,
//
//	c'(t) = −a·c(t − τ),  a = v/L
//
// (plane geometry for small angles). What the board reads off the line is the sum of
//
//   - the receiver's noise σ, and what the rover wanders as it follows that noise. From
//     one fix to the next, T apart, the noise is new. Steered by it, c has the variance
//     w²·σ², w² = a·T/2 · (1 + sin aτ)/cos aτ: the stationary variance of the equation
//     above with white noise (Küchler and Mensch, Stochastics and Stochastics Reports
//     40, 1992; from memory). The next fix's noise does not know of it, so that one
//     reading has σ·sqrt(1 + w²). Of n readings none is beyond k·σ·sqrt(1 + w²) with
//     the probability p where k = sqrt(−2·ln((1 − p)/n)): see readingFactor.
//   - the heading's constant error d: the rover settles where the point ahead is d to
//     the side, L·tan d off the line.
//   - the tilt of the antenna, which the steering holds in the middle of where it swings.
//   - what is left of the start tolerance where the board no longer allows for it.
//   - whole millimetres.
package plan

import (
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/quantity"
)

// Line is what the cross-track allowance must hold. Each part is rounded up.
type Line struct {
	diag.Source       // of the allowance
	Leg         int   // of Route.Legs, that which may begin farthest off its line
	Readings    int64 // fixes that the allowance is to last for
	NoiseMM     int64 // the receiver, read so often, and the rover following it
	HeadingMM   int64
	TiltMM      int64
	StartMM     int64 // left of the start tolerance
	RoundingMM  int64
	LeastMM     int64 // the sum
	// LateMS is the time from an error to the turn against it. Unsteady says that it is
	// so long, or the heading so uncertain, that no allowance holds the rover.
	LateMS   int64
	Unsteady bool
	late     float64 // a·τ
}

const (
	// steeringMS is what the steering adds to the time from an error to the turn
	// against it: a third of a second for a rate of turn of three times the turn to
	// make, as in the example firmware. Common practice, no source.
	steeringMS = 333
	// unsteady is the a·τ from which on a rover is taken to swing about its line. At
	// π/2 the equation has no bounded solution; here w² is 7 times what it is without
	// delay, and a swing halves within 5 look-aheads at best. Common practice, no source.
	unsteady = 1.2
	// mostHeading is the heading's error, in radians, beyond which nothing is driven.
	mostHeading = math.Pi / 4
	// lineRoundingMM: half a millimetre along each axis of the place, and of the
	// distance from the line.
	lineRoundingMM = 2
)

// readingFactor is k such that of n normal errors along one axis none is beyond k
// standard deviations with the probability p. One is with at most exp(−k²/2)/2 for
// k ≥ 1.17, which p ≥ 50 % gives (the normal integral's usual bound; in the tests), so
// all together with at most (1 − p)/2. The heading's factor with n = 1 has the other
// half: the two together fail with at most 1 − p.
func readingFactor(confidence float64, n int64) float64 {
	return quantity.RadialFactor(1 - (1-confidence)/float64(n))
}

// readings is for how many fixes the allowance is to last: an hour of them at 5 Hz. They
// are not counted for each mission: fewer fixes would ask for less, and a slower receiver,
// or a faster rover, would look like the better one. On a drive of ten times as many the
// factor would have to be 5 % larger.
const readings = 20_000

// steadily works out what the line needs of a leg that is long under way. All but the
// start's part is the same on every leg: the speed is that of the fastest, by which the
// board steers ahead.
func (p *Plan) steadily() {
	receiver, rover, timing := p.Machine.Receiver, p.Machine.Rover, p.Board.Timing
	ahead, top := float64(p.Board.Tables.Rover.LookAheadMM), p.TopSpeedMMPerS()
	source := p.Route.Line.Source
	p.Route.Line = Line{Source: source}
	if ahead == 0 || top == 0 {
		return // no legs, or what the board's tables cannot hold, and plan says so
	}
	l := &p.Route.Line
	l.Readings, l.RoundingMM = readings, lineRoundingMM
	// A fix steers for one interval, half of one on average.
	l.LateMS = receiver.LatencyMS + receiver.FixIntervalMS/2 + timing.LoopMS + timing.OutputDelayMS - timing.LateMS + rover.MotorLagMS + steeringMS
	if trails := rover.TurningCentreMM - rover.AntennaForwardMM; trails > 0 {
		// The antenna goes to the side only once the rover has gone on by so much.
		l.LateMS += int64(math.Ceil(float64(1000*trails) / float64(top)))
	}
	rate := float64(top) / ahead // per second
	late := rate * float64(l.LateMS) / 1000
	l.late = late
	heading := readingFactor(p.Confidence, 1) * rover.HeadingStdDeg * math.Pi / 180
	if late >= unsteady || heading >= mostHeading {
		l.Unsteady = true
		return
	}
	sin, cos := elementary.Sincos(late)
	wander := rate * float64(receiver.FixIntervalMS) / 2000 * (1 + sin) / cos
	l.NoiseMM = ceil(readingFactor(p.Confidence, l.Readings) * receiver.StdMM * math.Sqrt(1+wander))
	l.HeadingMM = ceil(ahead * elementary.Tan(heading))
	for _, part := range p.Errors {
		if part.Name == tiltName {
			l.TiltMM = ceil(part.BoundMM)
		}
	}
}

// started adds what is left of the distance from the line at the start of a leg where the
// board no longer allows for it: the most of the leg that begins the farthest off.
func (p *Plan) started() {
	l := &p.Route.Line
	if l.Readings == 0 || l.Unsteady {
		return
	}
	for i, leg := range p.Route.Legs {
		if leg.Joining.OffMM > p.Route.Legs[l.Leg].Joining.OffMM {
			l.Leg = i
		}
	}
	l.StartMM = ceil(float64(p.Route.Legs[l.Leg].Joining.OffMM) * max(left(0, joinLookAheads), left(l.late, joinLookAheads)))
	l.LeastMM = l.NoiseMM + l.HeadingMM + l.TiltMM + l.StartMM + l.RoundingMM
}

// lookAheadMM is how far ahead the board steers; as far as that is not known yet, how far
// it would on a leg of a speed alone.
func (p *Plan) lookAheadMM(speedMMPerS int64) float64 {
	if board := p.Board.Tables.Rover.LookAheadMM; board > 0 {
		return float64(board)
	}
	return float64(p.Machine.Rover.lookAheadMM(speedMMPerS))
}

// left is the most that remains of a distance from the line once a rover has driven so
// many look-aheads, with a·τ as given: the equation above in steps of τ/50, or of a
// fiftieth of a look-ahead. Nothing is steered before the delay is over.
func left(late, lookAheads float64) float64 {
	const stepsADelay = 50
	step := late / stepsADelay
	if late == 0 {
		step = 1.0 / stepsADelay
	}
	past := make([]float64, stepsADelay+1) // the last ones, the oldest at i+1
	for i := range past {
		past[i] = 1
	}
	c, most := 1.0, 0.0
	for i := range int(math.Ceil((lookAheads + swingLookAheads) / step)) {
		old := past[(i+1)%len(past)]
		if late == 0 {
			old = c
		}
		c -= float64(step * old)
		past[i%len(past)] = c
		if float64(i+1)*step >= lookAheads {
			most = max(most, math.Abs(c))
		}
	}
	return most
}

// swingLookAheads is longer than any half swing: at a·τ = 1.2 it takes 2.4.
const swingLookAheads = 4

func ceil(mm float64) int64 { return int64(math.Ceil(min(mm, 1e12) - 1e-6)) }
