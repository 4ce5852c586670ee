package drivetest

import (
	"math"
	"math/rand/v2"

	"merestone/internal/guidance"
	"merestone/internal/motion"
	"merestone/internal/plan"
)

// The steering of the example firmware (examples/firmware/rover/main.c).
const (
	turnGain        = 3                  // rate of turn for a turn to make, per second
	turnGreatest    = 60 * math.Pi / 180 // a second
	pivotCdeg       = 3000               // from this turn on: turn on the spot first
	slowCdeg        = 1000               // from this turn on: half speed
	spread          = 1.15               // of the friction, either way: that of package motion
	restMMPerS      = 0.5                // slower is at rest
	leastDelayShare = 0.8                // of the longest output delay
)

// machine is the rover on the ground: north is heading 0, east a quarter turn.
type machine struct {
	at      vector // of the turning centre
	heading float64
	speed   float64 // mm/s
	turning float64 // rad/s

	asked          []command // on their way to the motors
	now            command
	delayMS        int64
	lagMS          float64
	friction       float64 // what brakes it on level ground without power, mm/s²
	drawn          float64 // the same of this roll-out, within the spread
	driving        float64 // mm/s² that the motors still give, while they die away
	unpowered      bool
	radius         float64 // least of a turn, 0 on the spot
	arm            vector  // of the antenna: right and forward of the turning centre
	corners        [4]vector
	farthest       float64 // corner or antenna from the turning centre
	wayMM, sweptMM float64 // in all; the most that a point of the body went in the last move
	rand           *rand.Rand
}

type command struct {
	fromMS int64
	power  bool
	speed  float64
	turn   float64
}

func newMachine(p *plan.Plan, rover Rover, random *rand.Rand) machine {
	r := p.Machine.Rover
	m := machine{lagMS: float64(r.MotorLagMS), radius: float64(r.TurnRadiusMM), rand: random}
	m.delayMS = int64(float64(p.Board.Timing.OutputDelayMS) * (leastDelayShare + (1-leastDelayShare)*random.Float64()))
	m.friction = math.Inf(1)
	for _, run := range r.Coast { // several are those of a law with drag: the least is always held
		m.friction = min(m.friction, friction(run, m.lagMS))
	}
	if rover.Grip > 0 {
		m.friction *= rover.Grip
	}
	m.arm = vector{float64(r.AntennaRightMM), float64(r.AntennaForwardMM) - float64(r.TurningCentreMM)}
	half := vector{float64(r.WidthMM) / 2, float64(r.LengthMM) / 2}
	for i, sign := range []vector{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		m.corners[i] = vector{sign.e * half.e, sign.n*half.n - float64(r.TurningCentreMM)}
		m.farthest = max(m.farthest, m.corners[i].length())
	}
	m.farthest = max(m.farthest, m.arm.length())
	m.brake()
	return m
}

// friction is the constant deceleration on level ground, mm/s², with which a rover rolls
// as far as a run was taped, when the motors' torque dies away with a lag from where the
// tape begins: found by bisection on the way that roll gives.
func friction(run motion.Run, lagMS float64) float64 {
	pull := motion.Gravity * motion.Sine(run.Fall)
	low, high := pull+0.1, pull+1e6
	for range 80 {
		a := math.Sqrt(low * high)
		if low <= 0 {
			a = (low + high) / 2
		}
		if roll(float64(run.FromMMPerS), a-pull, lagMS) > float64(run.DistanceMM) {
			low = a
		} else {
			high = a
		}
	}
	return high
}

// roll is the way of v' = −a·(1 − exp(−t/τ)) from a speed to rest, in closed form:
//
//	v(t) = v − a·t + a·τ·(1 − exp(−t/τ)),  D = v·T − a·T²/2 + a·τ·T − a·τ²·(1 − exp(−T/τ))
//
// with the T at which v(T) = 0, found by Newton's method; mm, mm/s².
func roll(v, a, lagMS float64) float64 {
	tau := lagMS / 1000
	if tau == 0 {
		return v * v / (2 * a)
	}
	t := v/a + tau // v(t) is below 0 here, and concave: the steps come from above
	for range 60 {
		e := math.Exp(-t / tau)
		t -= (v - a*t + a*tau*(1-e)) / (-a * (1 - e))
	}
	return v*t - a*t*t/2 + a*tau*t - a*tau*tau*(1-math.Exp(-t/tau))
}

// brake draws the friction of the next roll-out within its spread.
func (m *machine) brake() {
	m.drawn = m.friction * math.Exp((2*m.rand.Float64()-1)*math.Log(spread))
}

// place puts the antenna somewhere, at rest.
func (m *machine) place(antenna vector, heading float64) {
	m.heading = heading
	m.at = antenna.minus(m.arm.turned(heading))
}

func (m *machine) antenna() vector { return m.at.plus(m.arm.turned(m.heading)) }

func (m *machine) body() [4]vector {
	var body [4]vector
	for i, c := range m.corners {
		body[i] = m.at.plus(c.turned(m.heading))
	}
	return body
}

// ask takes in what the board says, by the law of the example firmware. A rover that
// cannot turn on the spot has its wheels turned as far as they go instead, and keeps its
// speed.
func (m *machine) ask(nowMS int64, out guidance.Output) {
	c := command{fromMS: nowMS + m.delayMS, power: out.DriveEnable && out.TurnKnown, speed: float64(out.SpeedLimitMMPerS)}
	turn := math.Abs(float64(out.TurnCdeg))
	switch {
	case m.radius > 0:
	case turn >= pivotCdeg:
		c.speed = 0
	case turn >= slowCdeg:
		c.speed /= 2
	}
	c.turn = float64(out.TurnCdeg) / 100 * math.Pi / 180 * turnGain
	if m.radius == 0 {
		c.turn = max(min(c.turn, turnGreatest), -turnGreatest)
	}
	m.asked = append(m.asked, c)
}

// move moves it by one step, on ground that falls so along its heading.
func (m *machine) move(nowMS int64, stepMS, downhill float64) {
	for len(m.asked) > 0 && m.asked[0].fromMS <= nowMS {
		m.now, m.asked = m.asked[0], m.asked[1:]
	}
	dt := stepMS / 1000
	share := 1.0 // of the way to what is asked for, in this step
	if m.lagMS > 0 {
		share = 1 - math.Exp(-stepMS/m.lagMS)
	}
	before, turningBefore := m.speed, m.turning
	if m.now.power {
		m.unpowered = false
		m.speed += (m.now.speed - m.speed) * share
		wanted := m.now.turn
		if m.radius > 0 {
			limit := math.Abs(m.speed) / m.radius
			wanted = max(min(wanted, limit), -limit)
		}
		m.turning += (wanted - m.turning) * share
	} else {
		braking := m.drawn - motion.Gravity*motion.Sine(downhill)
		if !m.unpowered {
			m.unpowered = true
			m.brake()
			braking = m.drawn - motion.Gravity*motion.Sine(downhill)
			m.driving = braking // what held the speed until now
		}
		after := m.driving * (1 - share)
		slowing := braking - (m.driving+after)/2
		if m.lagMS == 0 {
			slowing = braking
		}
		m.driving = after
		if m.speed > 0 {
			m.speed = max(m.speed-slowing*dt, 0)
		}
		if before > 0 {
			m.turning *= m.speed / before
		}
		if m.speed < restMMPerS {
			m.speed, m.turning = 0, 0
		}
	}
	turned := (m.turning + turningBefore) / 2 * dt
	way := (m.speed + before) / 2 * dt
	s, c := math.Sincos(m.heading + turned/2)
	m.at = m.at.plus(vector{s * way, c * way})
	m.heading += turned
	m.wayMM += way
	m.sweptMM = way + math.Abs(turned)*m.farthest
}
