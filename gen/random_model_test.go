// A random mission as a model: numbers in the smallest units of the language, and
// what the board must come to hold for them. What is expected is worked out here
// from the model alone, by the promises of the reference and of the guidance header
// (allowances up, tolerances down, speeds to the nearest), and never from a plan.
package gen_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// The small units of the language, each a whole number.
const (
	um  = 1         // lengths, in micrometres
	mm  = 1_000     //
	cm  = 10_000    //
	m   = 1_000_000 // and speeds, in micrometres a second
	ns  = 1         // durations, in nanoseconds
	ms  = 1_000_000 //
	sec = 1_000_000_000
)

// optional is a value that need not be written. Where usual holds, leaving it out
// means the same.
type optional struct {
	value int64
	said  bool
	usual bool
}

// ground is a mark of the model: whole nanodegrees, each a multiple of 10^coarse
// and written with 9-coarse decimals.
type ground struct {
	name                string
	latitude, longitude int64
	coarse              int
	height, uncertainty optional
	setup               string
	sameAs              int // the mark that is the same point, counted from 1; 0 for none
}

type visit struct {
	mark                    int
	tolerance, speed, dwell optional
}

// rock is an obstacle: round where ring is empty.
type rock struct {
	name     string
	centre   int
	radius   int64
	ring     []int
	height   optional
	reflects optional
}

// cover is an area with something overhead: round where ring is empty.
type cover struct {
	rock     // its height is always said
	roof     bool
	headroom optional
}

// contact is one channel of a hold.
type contact struct {
	pin            int64
	closed         bool // normally
	supply         bool // wired to
	series, extern optional
	shares         bool // its return with all that do
}

type circuit struct {
	name                  string
	kind                  string
	channels              []contact
	debounce, discrepancy optional
	filter                optional
	category              optional
	radio                 [2]int64 // delay and loss of signal, where either is more than 0
	common                [4]bool  // of two channels: cable, connector, supply, actuator
}

// part is one of those between battery and motors.
type part struct {
	name, kind       string
	enable, watchdog bool
	poles            []string // names of holds
	off              int64
	diode            bool     // of a relay
	pulled           optional // of a semiconductor
	covered          bool
}

// model is one mission.
type model struct {
	name       string
	confidence optional
	origin     ground // its height is always said
	date       string

	baseMark      int
	position      string // of the base
	rotation      optional
	setup         string // that marks other than the control marks may be of, tied by a shared point
	tie           [2]int // the mark of the control marks' set-up and that of the other
	averagedFor   optional
	baseSigma     int64
	controlMarks  []int
	fixRate       int64 // microhertz
	latency       int64
	stale         optional
	fixed, float  optional
	needsFixed    bool
	width, length int64
	cruise, least int64
	coastFrom     int64
	coast         int64
	turnRadius    optional
	turningCentre optional
	crossTrack    int64
	lag           optional
	heading, tilt optional
	antenna       bool
	forward       int64
	right         int64
	mast          int64
	compass       optional

	marks     []ground
	tape      [][4]int64 // from, to, measured, uncertainty
	closed    bool
	tolerance optional
	speed     optional
	visits    []visit
	boundary  []int
	wall      optional
	mirror    optional
	rocks     []rock
	covers    []cover
	holds     []circuit
	path      []part // the first is opened by the board
	watchdog  int64  // 0 for none
	record    int    // how many stops were measured; 0 for no commissioning
	pins      []int64
	drive     int64
	bits      optional
	hardware  bool
	loop      optional
	ohms      optional
	logic     bool
}

// newModel draws a mission that most often can be driven: waypoints within three
// tenths of the site's radius, obstacles about four tenths, the fence beyond five.
func newModel(r *rand.Rand, number int) *model {
	mo := &model{name: fmt.Sprintf("%s%d", pick(r, "orchard ", "Field-", "lane_", "a", "NO-", "x-y ", "e3 "), number)}
	between := func(low, high int64) int64 { return low + r.Int64N(high-low+1) }
	// A value of few digits, or of all that the unit has.
	rough := func(low, high, step int64) int64 {
		v := between(low, high)
		if r.IntN(3) > 0 {
			v = v / step * step
		}
		return max(v, low)
	}
	maybe := func(value, usual int64) optional {
		if r.IntN(3) == 0 {
			return optional{value: usual, usual: true}
		}
		return optional{value: value, said: true, usual: value == usual}
	}
	perhaps := func(value int64) optional {
		if r.IntN(2) == 0 {
			return optional{}
		}
		return optional{value: value, said: true}
	}

	mo.confidence = maybe(between(80_0000, 99_0000)/100*100, 95_0000)
	latitude := math.Asin(2*r.Float64()-1) * 180 / math.Pi
	longitude := 360*r.Float64() - 180
	switch r.IntN(8) {
	case 0:
		latitude = pick(r, 89.9, -89.9, 0, 1e-9, -1e-9, 88.123456789)
	case 1:
		longitude = pick(r, 179.9, -179.9, 0, 1e-9, -1e-9, 90)
	}
	radius := 70 * math.Pow(20, r.Float64()) // metres
	if r.IntN(8) == 0 {
		radius *= 8
	}
	// Near a pole the meridians meet, and the site is kept small against that.
	radius = min(radius, max(70, 6.4e6*math.Cos(latitude*math.Pi/180)/30))
	mo.origin = ground{latitude: int64(latitude * 1e9), longitude: int64(longitude * 1e9), height: optional{value: rough(-400*m, 6000*m, 1*m), said: true}}
	mo.date = fmt.Sprintf("%d-%02d-%02d", between(2025, 2029), between(1, 12), between(1, 28))

	mo.fixed = optional{value: rough(4*mm, 15*mm, 1*mm), said: true}
	mo.needsFixed = r.IntN(4) > 0
	if !mo.needsFixed || r.IntN(2) == 0 {
		mo.float = optional{value: rough(3*cm, 8*cm, 1*cm), said: true}
	}
	mo.fixRate = pick(r, int64(5_000_000), 10_000_000, 8_000_000, 7_500_000, 12_345_678, 20_000_000)
	mo.latency = rough(20*ms, 120*ms, 1*ms)
	interval := ceilDiv(1_000_000_000, mo.fixRate) // ms
	mo.stale = maybe(rough(700*ms, 1200*ms, 1*ms), (ceilDiv(mo.latency, ms)+3*interval)*ms)

	mo.width, mo.length = rough(20*cm, 60*cm, 1*cm), rough(20*cm, 80*cm, 1*cm)
	mo.cruise = rough(30*cm, 90*cm, 1*cm)
	mo.least = rough(10*cm, 20*cm, 1*cm)
	mo.coastFrom = mo.cruise
	if r.IntN(3) == 0 {
		mo.coastFrom = rough(mo.cruise, mo.cruise+10*cm, 1*cm)
	}
	mo.coast = rough(10*cm, 40*cm, 1*mm)
	mo.turnRadius = maybe(rough(1*mm, 20*cm, 1*cm), 0)
	mo.turningCentre = maybe(rough(-20*cm, 20*cm, 1*cm), 0)
	mo.crossTrack = rough(60*cm, 90*cm, 1*mm) // what the poorest receiver and heading need
	mo.lag = maybe(rough(1*ms, 150*ms, 1*ms), 0)
	mo.heading = perhaps(rough(sec/2, 4*sec, sec/10)) // nanodegrees
	mo.tilt = maybe(rough(1, 4*sec, sec/10), 0)
	if mo.antenna = r.IntN(2) == 0; mo.antenna {
		mo.forward, mo.right, mo.mast = rough(-10*cm, 10*cm, 1*cm), rough(-5*cm, 5*cm, 1*mm), rough(10*cm, 80*cm, 1*cm)
	}
	mo.compass = perhaps(rough(0, 2*m, 1*cm))

	turn := 2 * math.Pi * r.Float64()
	middleE, middleN := radius*(r.Float64()-0.5), radius*(r.Float64()-0.5)
	serial := 0
	mark := func(east, north float64) int {
		serial++
		name := fmt.Sprintf("%s%d", pick(r, "M", "mark ", "F-", "no_", "00", "1e0", "0x0", "Y"), serial)
		if serial == 1 {
			name = pick(r, "NO", "on", "Y", "1e3", "0x10", "010", "1_000", "2026-01-02", "123", "true-1")
		}
		e, n := middleE+east*math.Cos(turn)-north*math.Sin(turn), middleN+east*math.Sin(turn)+north*math.Cos(turn)
		g := ground{name: name, latitude: mo.origin.latitude + int64(n/6.371e6*180e9/math.Pi),
			longitude: mo.origin.longitude + int64(e/6.371e6/math.Cos(latitude*math.Pi/180)*180e9/math.Pi)}
		if r.IntN(5) == 0 && math.Abs(latitude) < 80 {
			g.coarse = 1 + r.IntN(2)
			step := int64(math.Pow10(g.coarse))
			g.latitude, g.longitude = g.latitude/step*step, g.longitude/step*step
		}
		g.height = perhaps(mo.origin.height.value + rough(-1*cm, 1*cm, 1*mm)) // a steep site would not be accepted
		g.uncertainty = maybe(rough(1*mm, 2*cm, 1*mm), mo.fixed.value)
		mo.marks = append(mo.marks, g)
		return len(mo.marks) - 1
	}
	around := func(at, distance float64) (e, n float64) { return distance * math.Cos(at), distance * math.Sin(at) }

	corners := 4 + r.IntN(7)
	for i := range corners {
		mo.boundary = append(mo.boundary, mark(around((float64(i)+0.2*(r.Float64()-0.5))*2*math.Pi/float64(corners), radius*(0.92+0.08*r.Float64()))))
	}
	if r.IntN(2) == 0 { // clockwise
		for i, j := 0, len(mo.boundary)-1; i < j; i, j = i+1, j-1 {
			mo.boundary[i], mo.boundary[j] = mo.boundary[j], mo.boundary[i]
		}
	}
	mo.wall, mo.mirror = perhaps(rough(1*mm, 3*m, 1*cm)), maybe(1, 0)

	mo.tolerance = optional{value: rough(120*cm, 160*cm, 1*mm), said: true}
	mo.speed = maybe(rough(mo.least, mo.cruise, 1*cm), mo.cruise)
	start := 2 * math.Pi * r.Float64()
	n := 2 + r.IntN(9)
	for i := range n {
		at := start + (float64(i)+0.5*r.Float64())*2*math.Pi/float64(n)
		v := visit{mark: mark(around(at, radius*(0.18+0.12*r.Float64())))}
		v.tolerance = maybe(rough(120*cm, 180*cm, 1*mm), mo.tolerance.value)
		v.speed = maybe(rough(mo.least, mo.cruise, 1*mm), mo.speed.value)
		v.dwell = maybe(rough(0, 90*sec, sec), 0)
		mo.visits = append(mo.visits, v)
	}
	if n > 3 && r.IntN(3) == 0 { // the first mark once more
		mo.visits = append(mo.visits, visit{mark: mo.visits[0].mark, tolerance: mo.visits[1].tolerance, speed: optional{value: mo.speed.value, usual: true}, dwell: optional{usual: true}})
	} else {
		mo.closed = n > 2 && r.IntN(2) == 0
	}

	for i := range r.IntN(6) {
		e, n := around(2*math.Pi*(float64(i)+0.4*r.Float64())/6, radius*0.40)
		o := rock{name: fmt.Sprintf("%s %d", pick(r, "tree", "Well-", "no"), i), centre: -1, height: perhaps(rough(1*mm, 5*m, 1*cm)), reflects: maybe(1, 0)}
		if r.IntN(2) == 0 {
			o.centre, o.radius = mark(e, n), rough(1*mm, int64(radius*0.02*m), 1*cm)
		} else {
			for k := range 3 + r.IntN(4) {
				de, dn := around(float64(k)*2*math.Pi/7, radius*0.02)
				o.ring = append(o.ring, mark(e+de, n+dn))
			}
		}
		mo.rocks = append(mo.rocks, o)
	}

	for i := range r.IntN(4) { // outside the fence as well
		e, n := around(2*math.Pi*r.Float64(), radius*(0.35+0.8*r.Float64()))
		c := cover{rock: rock{name: fmt.Sprintf("%s %d", pick(r, "crown", "Porch-", "off"), i), centre: -1}, roof: r.IntN(2) == 0}
		c.height = optional{value: rough(2*m, 6*m, 1*cm), said: true}
		c.headroom = maybe(rough(1*m, 2*m, 1*mm), 0)
		if c.headroom.value == 0 {
			c.headroom = optional{} // none is not written
		}
		if r.IntN(2) == 0 {
			c.centre, c.radius = mark(e, n), rough(1*cm, int64(radius*0.03*m), 1*cm)
		} else {
			for k := range 3 + r.IntN(4) {
				de, dn := around(float64(k)*2*math.Pi/7, radius*0.03)
				c.ring = append(c.ring, mark(e+de, n+dn))
			}
		}
		mo.covers = append(mo.covers, c)
	}

	mo.position, mo.baseMark = pick(r, "averaged", "averaged", "entered", "network"), -1
	if mo.position == "entered" || r.IntN(2) == 0 {
		mo.baseMark = mark(around(0, radius*0.45))
	}
	mo.baseSigma = rough(1*mm, 1*cm, 1*mm)
	mo.averagedFor = perhaps(rough(600*sec, 10*3600*sec, 60*sec))
	mo.rotation = maybe(0, 0)
	if mo.position == "averaged" {
		mo.baseSigma = rough(1*mm, 50*cm, 1*cm)
		mo.controlMarks = []int{mark(around(1, radius*0.45)), mark(around(4, radius*0.45))}
		mo.rotation = maybe(r.Int64N(2), 0)
		if r.IntN(2) == 0 {
			mo.setups(r, latitude)
		}
	}
	for range r.IntN(3) {
		a, b := mo.marks[mo.visits[0].mark], mo.marks[mo.visits[1].mark]
		e1, n1 := mo.local(a)
		e2, n2 := mo.local(b)
		mo.tape = append(mo.tape, [4]int64{int64(mo.visits[0].mark), int64(mo.visits[1].mark), int64(math.Hypot(e2-e1, n2-n1)*m) / mm * mm, rough(2*cm, 5*cm, 1*mm)})
	}

	pins := r.Perm(60)
	next := func() int64 { pins = pins[1:]; return int64(pins[0]) }
	mo.drive = next()
	hold := func(kind string, closed bool) {
		c := circuit{name: fmt.Sprintf("%s %d", pick(r, "thumb", "Button-", "off"), len(mo.holds)), kind: kind,
			debounce: optional{value: rough(5*ms, 40*ms, 1*ms), said: true}, discrepancy: optional{value: 100 * ms, usual: true}, filter: maybe(rough(0, 20*ms, 1*ms), 0), category: optional{usual: true}}
		if kind == "hold-to-run" && r.IntN(3) == 0 {
			c.radio = [2]int64{rough(1*ms, 60*ms, 1*ms), rough(1*ms, 60*ms, 1*ms)}
		}
		supply := r.IntN(2) == 0
		for range 1 + r.IntN(2) {
			ch := contact{pin: next(), closed: closed, supply: supply}
			if r.IntN(4) == 0 {
				ch.extern = optional{value: pick(r, int64(4_700_000), 10_000_000, 3_300_000), said: true}
			}
			if r.IntN(4) == 0 {
				ch.series = optional{value: pick(r, int64(100_000), 220_000, 330_500), said: true}
			} else if !supply && r.IntN(3) == 0 {
				ch.shares = true
			}
			mo.pins = append(mo.pins, ch.pin)
			c.channels = append(c.channels, ch)
		}
		if len(c.channels) == 2 {
			c.discrepancy = maybe(rough(50*ms, 300*ms, 1*ms), 100*ms)
			for i := range c.common {
				c.common[i] = r.IntN(3) == 0
			}
		}
		mo.holds = append(mo.holds, c)
	}
	hold("hold-to-run", false)
	if r.IntN(3) > 0 {
		hold("emergency-stop", true)
	}
	for range r.IntN(3) {
		hold("interlock", true)
	}
	r.Shuffle(len(mo.holds), func(i, j int) { mo.holds[i], mo.holds[j] = mo.holds[j], mo.holds[i] })
	for range r.IntN(4) {
		mo.pins = append(mo.pins, next())
	}
	mo.bits, mo.hardware = maybe(64, 32), r.IntN(2) == 0
	mo.ohms = maybe(between(0, 10_0000)/100*100, 5_0000)
	mo.loop = maybe(rough(5*ms, 30*ms, 1*ms), 20*ms)
	mo.parts(r, rough)
	mo.logic = r.IntN(2) == 0
	for _, g := range mo.marks {
		if max(g.longitude, -g.longitude) > 180_000_000_000 {
			return newModel(r, number) // a site lies on one side of that meridian
		}
	}
	return mo
}

// parts draws the path to the motors: one to three parts, of which the board opens the
// first and perhaps others; and most often one that every hold opens by a pole.
func (mo *model) parts(r *rand.Rand, rough func(low, high, step int64) int64) {
	if r.IntN(2) == 0 {
		mo.watchdog = rough(10*ms, 300*ms, 1*ms)
	}
	for i := range 1 + r.IntN(3) {
		p := part{name: fmt.Sprintf("%s %d", pick(r, "relay", "Driver-", "pole"), i), kind: pick(r, "relay", "semiconductor"), off: rough(1*ms, 30*ms, 1*ms), diode: r.IntN(2) == 0, covered: r.IntN(8) > 0}
		p.pulled = optional{value: r.Int64N(2)}
		p.pulled.said, p.pulled.usual = p.pulled.value == 1, p.pulled.value == 0
		for _, h := range mo.holds {
			if most := i == 0 && r.IntN(12) > 0; most || r.IntN(2) == 0 { // else a check refuses most
				p.poles = append(p.poles, h.name)
			}
		}
		switch {
		case i == 0 || r.IntN(2) == 0:
			p.enable, p.watchdog = true, mo.watchdog > 0 && (i == 0 || r.IntN(2) == 0)
		case r.IntN(2) == 0:
			p.kind, p.poles = "contact", []string{mo.holds[0].name}
		case len(p.poles) == 0:
			p.enable = true
		}
		if p.kind == "semiconductor" && len(p.poles) > 0 { // else its line is open, and nothing holds it off
			p.pulled = optional{value: 1, said: true}
		}
		mo.path = append(mo.path, p)
	}
	if r.IntN(10) > 0 { // without it one part that welds, or a program that halts, often drives on
		p := part{name: "last poles", kind: "contact", off: rough(1*ms, 30*ms, 1*ms)}
		for _, h := range mo.holds {
			p.poles = append(p.poles, h.name)
		}
		mo.path = append(mo.path, p)
	}
	mo.record = r.IntN(3)
}

// delay is that of the slowest part that the board opens.
func (mo *model) delay() int64 {
	slowest := int64(0)
	for _, p := range mo.path {
		if p.enable {
			slowest = max(slowest, p.off)
		}
	}
	return slowest
}

// setups gives some of the fence's and the route's marks to another set-up of the base,
// which was some centimetres elsewhere, and ties it by a second mark on the first control
// mark.
func (mo *model) setups(r *rand.Rand, latitude float64) {
	mo.setup = pick(r, "june", "Set-up 2", "1e3")
	mo.baseSigma = max(mo.baseSigma, 15*cm)
	north := int64(float64(r.IntN(2)*600-300)/111.2) * 1000 // some 3 cm, in nanodegrees
	east := int64(float64(north) / math.Cos(latitude*math.Pi/180))
	there := func(g *ground) {
		step := int64(math.Pow10(g.coarse))
		g.latitude, g.longitude = (g.latitude+north)/step*step, (g.longitude+east)/step*step
		g.setup = mo.setup
	}
	control := mo.controlMarks[0]
	for i := range mo.marks {
		if i != control && i != mo.controlMarks[1] && i != mo.baseMark && r.IntN(3) == 0 {
			there(&mo.marks[i])
		}
	}
	twice := mo.marks[control]
	twice.name, twice.sameAs = "twice "+pick(r, "A", "b"), control+1
	twice.height, twice.uncertainty = optional{}, optional{value: 5 * mm, said: true}
	there(&twice)
	mo.marks = append(mo.marks, twice)
	mo.tie = [2]int{control, len(mo.marks) - 1}
}

func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}

// local is a mark in metres east and north of the origin, at the origin's height:
// by way of Earth-centred coordinates of WGS 84 in plain float64, the textbook's
// form of EPSG method 9836 and 9837. Their rounding, 1e-9 m, is all the error.
//
// A mark of the other set-up is moved by what the point that both share says.
func (mo *model) local(g ground) (east, north float64) {
	east, north = mo.written(g)
	if g.setup != "" {
		e1, n1 := mo.written(mo.marks[mo.tie[0]])
		e2, n2 := mo.written(mo.marks[mo.tie[1]])
		east, north = east+e1-e2, north+n1-n2
	}
	return east, north
}

// written is where a mark's coordinates are.
func (mo *model) written(g ground) (east, north float64) {
	const a, f = 6378137.0, 1 / 298.257223563
	h := float64(mo.origin.height.value) / m
	earth := func(latitude, longitude int64) (x, y, z float64) {
		phi, lambda := float64(latitude)/1e9*math.Pi/180, float64(longitude)/1e9*math.Pi/180
		e2 := f * (2 - f)
		n := a / math.Sqrt(1-e2*math.Sin(phi)*math.Sin(phi))
		return (n + h) * math.Cos(phi) * math.Cos(lambda), (n + h) * math.Cos(phi) * math.Sin(lambda), (n*(1-e2) + h) * math.Sin(phi)
	}
	x0, y0, z0 := earth(mo.origin.latitude, mo.origin.longitude)
	x, y, z := earth(g.latitude, g.longitude)
	x, y, z = x-x0, y-y0, z-z0
	phi, lambda := float64(mo.origin.latitude)/1e9*math.Pi/180, float64(mo.origin.longitude)/1e9*math.Pi/180
	east = -x*math.Sin(lambda) + y*math.Cos(lambda)
	north = -x*math.Sin(phi)*math.Cos(lambda) - y*math.Sin(phi)*math.Sin(lambda) + z*math.Cos(phi)
	return east, north
}

// interval is where a printed number must lie.
type interval struct{ low, high float64 }

func exactly(v int64) interval { return interval{float64(v), float64(v)} }

// nearest is the whole number nearest to v, or either one where v, known to err,
// lies between two.
func nearest(v, err float64) interval { return interval{math.Round(v - err), math.Round(v + err)} }

// expected are the numbers that the board must hold, by the member's name, one for
// each row of its table.
func (mo *model) expected() map[string][]interval {
	out := map[string][]interval{}
	put := func(name string, values ...interval) { out[name] = append(out[name], values...) }
	one := func(name string, v int64) { put(name, exactly(v)) }
	const frameErr = 1e-5 // mm

	put("conversion.origin_latitude_ndeg", exactly(mo.origin.latitude))
	put("conversion.origin_longitude_ndeg", exactly(mo.origin.longitude))

	legs := len(mo.visits) - 1
	if mo.closed {
		legs++
	}
	half := func(v int64) int64 { return (v + mm/2) / mm } // of a speed, to the nearest
	top := int64(0)                                        // of any leg
	for i := range legs {
		top = max(top, mo.visits[(i+1)%len(mo.visits)].speed.value)
	}
	ahead := func(speed int64) int64 { return max(300, half(speed)) } // one second, at least 0.3 m
	interval := ceilDiv(1_000_000_000, mo.fixRate)
	one("rover.latency_ms", ceilDiv(mo.latency, ms)+ceilDiv(mo.loop.value, ms)+1)
	one("rover.fix_interval_ms", interval)
	one("rover.loop_ms", ceilDiv(mo.loop.value, ms))
	one("rover.output_delay_ms", ceilDiv(mo.delay(), ms)+1)
	one("rover.stale_after_ms", (mo.stale.value+ms/2)/ms)
	one("rover.shift_needed", map[bool]int64{true: 1}[mo.position == "averaged"]) // with control marks always
	one("rover.required_quality", map[bool]int64{true: 4, false: 3}[mo.needsFixed])
	// The body about the antenna, and the antenna about the point where the rover turns.
	right, forward, centre := math.Abs(math.Round(float64(mo.right)/mm)), math.Round(float64(mo.forward)/mm), math.Round(float64(mo.turningCentre.value)/mm)
	halfWidth, halfLength, radius := float64(ceilDiv(mo.width, mm))/2, float64(ceilDiv(mo.length, mm))/2, float64(ceilDiv(mo.turnRadius.value, mm))
	one("rover.half_width_mm", int64(math.Ceil(halfWidth+right)))
	one("rover.front_mm", int64(math.Ceil(max(halfLength-forward, 0))))
	one("rover.back_mm", int64(math.Ceil(max(halfLength+forward, 0))))
	pivots := radius <= halfWidth
	carried := 2*math.Hypot(forward-centre, right+radius) + 3 // by a turn
	looks := float64(ahead(top))
	if arm := math.Hypot(forward-centre, right); 1.5*arm > looks-3 || pivots && 1.5*math.Hypot(forward-centre, right+radius) > looks-3 {
		looks = max(looks, 1.5*arm, 1.5*math.Hypot(forward-centre, right+radius)) // to the millimetre or so
		put("rover.look_ahead_mm", within(float64(ahead(top)), looks+2))
	} else {
		one("rover.look_ahead_mm", ahead(top))
	}

	// The deceleration on the level, in mm/s², what gravity takes on a slope, and the
	// steepest of the legs whose marks both have heights.
	from := float64(mo.coastFrom / mm)
	braking := from * from / (2 * float64(ceilDiv(mo.coast, mm)))
	pull := func(fall float64) float64 { return 9806.65 * math.Sin(math.Atan(fall)) }
	falls, steepest := make([]float64, legs), 0.0
	for i := range legs {
		a, b := mo.marks[mo.visits[i].mark], mo.marks[mo.visits[(i+1)%len(mo.visits)].mark]
		if a.height.said && b.height.said {
			e1, n1 := mo.local(a)
			e2, n2 := mo.local(b)
			falls[i] = float64(a.height.value-b.height.value) / m / math.Hypot(e2-e1, n2-n1)
			steepest = max(steepest, math.Abs(falls[i]))
		}
	}

	// Coasts and dwells are in units in which the longest fits 16 bits.
	longest, dwells := float64(0), int64(0)
	for i, v := range mo.visits {
		longest = max(longest, float64(half(v.speed.value)))
		if i > 0 || mo.closed {
			dwells = max(dwells, (v.dwell.value+ms/2)/ms)
		}
	}
	bound := func(speed float64) float64 { return speed * max(speed, from) / (2 * (braking/1.15 - pull(steepest))) }
	units := max(math.Ceil(bound(longest)/65535), 1) // of some mm, where the rover rolls beyond 65 m
	put("rover.coast_unit_mm", within(max(units-1, 1), max(units+1, 2)))
	dwellUnit := max((dwells+65533)/65534, 1)
	one("rover.dwell_unit_ms", dwellUnit)
	bearings := make([]float64, legs)
	for i := range legs {
		speed := float64(half(mo.visits[(i+1)%len(mo.visits)].speed.value))
		about := func(v float64) (low, high float64) { // the lengths are rounded
			coarsest := units
			if units > 1 {
				coarsest++
			}
			return v/coarsest*(1-1e-4) - 1, v*(1+1e-4) + 1
		}
		put("leg.coast", within(about(speed*speed/(2*(braking-pull(falls[i]))))))
		put("leg.coast_bound", within(about(bound(speed))))
		start, to := mo.visits[i], mo.visits[(i+1)%len(mo.visits)]
		e1, n1 := mo.local(mo.marks[start.mark])
		e2, n2 := mo.local(mo.marks[to.mark])
		// Each end is rounded to half a millimetre along each axis.
		length := math.Hypot(e2-e1, n2-n1) * 1000
		bearings[i] = math.Mod(math.Atan2(e2-e1, n2-n1)*180/math.Pi+360, 360)
		put("leg.unit_east_q30", within((e2-e1)*1000/length*(1<<30)-2/length*(1<<30)-1, (e2-e1)*1000/length*(1<<30)+2/length*(1<<30)+1))
		put("leg.unit_north_q30", within((n2-n1)*1000/length*(1<<30)-2/length*(1<<30)-1, (n2-n1)*1000/length*(1<<30)+2/length*(1<<30)+1))
		one("leg.speed_mm_s", half(to.speed.value))
		off := float64(max(start.tolerance.value/mm, ceilDiv(mo.crossTrack, mm)))
		delay := 2*float64(ceilDiv(mo.latency, ms)) + float64(interval) + 4*float64(ceilDiv(mo.loop.value, ms)+ceilDiv(mo.delay(), ms)) + float64(ceilDiv(mo.lag.value, ms))
		read := 10*float64(max(mo.fixed.value, mo.float.value))/mm + float64(mo.mast)/mm*math.Sin(float64(mo.tilt.value)/1e9*math.Pi/180) + 5 // more than is true
		wide := off + carried + 2*radius + speed*delay/1000 + read
		put("leg.join_cross_mm", within(off, wide))
		put("leg.join_mm", within(4*float64(ahead(top)), 4*looks+8+carried+2*radius+speed*delay/1000+3))
		put("leg.fence_allowance_mm", within(1, 2000))
	}
	for _, none := range []string{"coast", "coast_bound", "unit_east_q30", "unit_north_q30", "speed_mm_s", "join_cross_mm", "join_mm", "fence_allowance_mm"} {
		one("leg."+none, 0) // of the last waypoint
	}
	one("rover.cross_track_mm", ceilDiv(mo.crossTrack, mm))
	for i := range legs + 1 {
		v := mo.visits[i%len(mo.visits)]
		e, n := mo.local(mo.marks[v.mark])
		put("leg.east_mm", nearest(e*1000, frameErr))
		put("leg.north_mm", nearest(n*1000, frameErr))
		one("leg.tolerance_mm", v.tolerance.value/mm)
		dwell := (v.dwell.value + ms/2) / ms
		if i == 0 && !mo.closed {
			dwell = 0
		}
		stops := interval01(i == 0 || i == legs || dwell > 0)
		if stops.low == 0 && pivots {
			switch turn := math.Abs(math.Remainder(bearings[i]-bearings[i-1], 360)); {
			case turn > 2.01:
				stops = exactly(1)
			case turn > 1.99:
				stops.high = 1
			}
		}
		stay := float64((dwell + dwellUnit - 1) / dwellUnit)
		switch {
		case stops.low == 1:
			one("leg.dwell", int64(stay))
		case stops.high == 0:
			one("leg.dwell", 65535)
		default:
			put("leg.dwell", within(stay, 65535))
		}
	}
	for _, o := range mo.rocks {
		if o.centre >= 0 {
			e, n := mo.local(mo.marks[o.centre])
			put("circle.east_mm", nearest(e*1000, frameErr))
			put("circle.north_mm", nearest(n*1000, frameErr))
			one("circle.radius_mm", ceilDiv(o.radius, mm))
		}
	}
	// Circuits of two channels come first, else as written.
	for _, channels := range []int{2, 1} {
		for _, h := range mo.holds {
			if len(h.channels) != channels {
				continue
			}
			for i, c := range h.channels {
				// Running: a hold-to-run pressed, the others at rest. A closed
				// contact reads its rail, an open one the pull, which is the other.
				shut := c.closed != (h.kind == "hold-to-run")
				one("hold.pin", c.pin)
				one("hold.run_level", map[bool]int64{true: 1, false: 0}[shut == c.supply])
				one("hold.debounce_ms", ceilDiv(h.debounce.value, ms))
				one("hold.filter_ms", ceilDiv(h.filter.value, ms))
				first := int64(0)
				if channels == 2 && i == 0 {
					first = 1
				}
				one("hold.discrepancy_ms", first*ceilDiv(h.discrepancy.value, ms))
				one("hold.two_channels", first)
				one("hold.kind", map[string]int64{"hold-to-run": 0, "emergency-stop": 1, "interlock": 2}[h.kind])
				one("hold.latched", map[bool]int64{true: 1}[h.kind == "emergency-stop"])
			}
		}
	}
	one("closed", map[bool]int64{true: 1}[mo.closed])
	return out
}

func within(low, high float64) interval { return interval{math.Floor(low), math.Ceil(high)} }

func interval01(yes bool) interval { return exactly(map[bool]int64{true: 1}[yes]) }

// rings are the corners that the fence's edges must go through, in millimetres.
func (mo *model) rings() [][][2]interval {
	all := [][]int{mo.boundary}
	for _, o := range mo.rocks {
		if len(o.ring) > 0 {
			all = append(all, o.ring)
		}
	}
	var out [][][2]interval
	for _, ring := range all {
		var corners [][2]interval
		for _, i := range ring {
			e, n := mo.local(mo.marks[i])
			corners = append(corners, [2]interval{nearest(e*1000, 1e-5), nearest(n*1000, 1e-5)})
		}
		out = append(out, corners)
	}
	return out
}

// identifier is the mission's name in C.
func (mo *model) identifier() string {
	return strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(mo.name))
}
