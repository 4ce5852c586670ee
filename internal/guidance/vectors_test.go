package guidance

// The Go twin of testdata/vectors.h, line by line: the same vectors from the same
// generator, the same numbers into the digest in the same order.

import (
	"fmt"
	"strings"

	"merestone/internal/board"
)

const (
	blockVectors = 4096
	blockKinds   = 8
)

type vectors struct {
	m           *Mission
	randomState uint64
	digest      uint64
	trace       *strings.Builder // nil for none
	run         testRun
	ndegNorth   int64
	ndegEast    int64
	seen        sights
}

// sights is what the steps came to, so that a test can tell that nothing was left
// out.
type sights struct {
	reasons Reasons
	events  Events
	phases  [Finished + 1]int
}

func newVectors(m *Mission) *vectors {
	v := &vectors{m: m}
	v.ndegNorth, v.ndegEast = ndegPerMM(m)
	return v
}

func (v *vectors) next() uint64 {
	v.randomState += 0x9E3779B97F4A7C15
	z := v.randomState
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

func (v *vectors) below(n uint32) uint32 { return uint32(v.next() >> 32 * uint64(n) >> 32) }
func (v *vectors) within(n int32) int32  { return int32(v.below(2*uint32(n)+1)) - n }
func (v *vectors) half() bool            { return v.next()&1 != 0 }
func (v *vectors) accident() bool        { return v.below(v.run.calm) == 0 }

func (v *vectors) sized(bits uint32) int32 {
	shift := 30 - v.below(bits)
	value := int32(v.next()>>33) >> shift
	if v.half() {
		return -value
	}
	return value
}

func (v *vectors) scaled(bits uint32) uint64 {
	shift := v.below(bits)
	return v.next() >> (64 - bits) >> shift
}

func (v *vectors) put(text string, value int64) {
	v.digest = (v.digest ^ uint64(value)) * 0x100000001B3
	if v.trace != nil {
		fmt.Fprintf(v.trace, "%s=%d ", text, value)
	}
}

func (v *vectors) putBool(text string, value bool) { v.put(text, map[bool]int64{true: 1}[value]) }

func (v *vectors) putPoint(at Point) {
	v.put("east", int64(at.EastMM))
	v.put("north", int64(at.NorthMM))
}

func (v *vectors) place() Point {
	f := &v.m.Fence
	side := int32(1) << f.RootLog2
	choice := v.below(8)
	var at Point
	switch {
	case choice < 3:
		i := v.below(uint32(len(f.Edges) - 1))
		edge, next := &f.Edges[i], &f.Edges[i+1]
		along := int64(v.below(65537))
		near := [3]int32{1, 20, 4000}[choice]
		at.EastMM = edge.EastMM + int32(int64(next.EastMM-edge.EastMM)*along>>16)
		at.EastMM += v.within(near)
		at.NorthMM = edge.NorthMM + int32(int64(next.NorthMM-edge.NorthMM)*along>>16)
		at.NorthMM += v.within(near)
	case choice == 3:
		at.EastMM = v.sized(26)
		at.NorthMM = v.sized(26)
	default:
		at.EastMM = f.WestMM + int32(v.below(uint32(side)))
		at.EastMM += v.within(side >> 6)
		at.NorthMM = f.SouthMM + int32(v.below(uint32(side)))
		at.NorthMM += v.within(side >> 6)
	}
	return at
}

func (v *vectors) conversion() {
	c := &v.m.Conversion
	choice := v.below(8)
	latitude := c.SouthNdeg + int64(v.below(c.LatitudeSpanNdeg))
	longitude := c.WestNdeg + int64(v.below(c.LongitudeSpanNdeg))
	rim := func(from int64, span uint32) int64 {
		if v.half() {
			from += int64(span)
		}
		return from + int64(v.within(1))
	}
	anything := func() int64 {
		value := int64(v.scaled(63))
		if v.half() {
			return value
		}
		return -value - 1
	}
	switch {
	case choice == 0:
		latitude = rim(c.SouthNdeg, c.LatitudeSpanNdeg)
	case choice == 1:
		longitude = rim(c.WestNdeg, c.LongitudeSpanNdeg)
	case choice == 2:
		latitude = anything()
		longitude = anything()
	case choice == 3 && longitude >= 0:
		longitude -= 360_000_000_000
	}
	v.put("latitude", latitude)
	v.put("longitude", longitude)
	at, ok := c.Local(latitude, longitude)
	v.putBool("ok", ok)
	v.putPoint(at)
}

func (v *vectors) numbers() {
	east := v.sized(31)
	north := v.sized(31)
	a := uint32(v.scaled(28))
	b := uint32(v.scaled(28))
	bearing := BearingCdeg(east, north)
	v.put("east", int64(east))
	v.put("north", int64(north))
	v.put("bearing", int64(bearing))
	v.put("turn", int64(TurnCdeg(bearing, v.below(36000))))
	v.put("a", int64(a))
	v.put("b", int64(b))
	v.put("ratio", int64(ratioQ15(min(a, b), max(a, b))))
	v.put("length", int64(length(a, b)))
}

func (v *vectors) leg() {
	leg := v.m.Leg(uint16(v.below(v.legCount())))
	choice := v.below(4)
	at := v.place()
	if choice != 0 {
		near := int32(3000)
		if choice == 1 {
			near = 300
		}
		at.EastMM = leg.End.EastMM + v.within(near)
		at.NorthMM = leg.End.NorthMM + v.within(near)
	}
	if at.EastMM > MaxDomainMM || at.EastMM < -MaxDomainMM {
		at.EastMM = 0
	}
	if at.NorthMM > MaxDomainMM || at.NorthMM < -MaxDomainMM {
		at.NorthMM = 0
	}
	track := leg.Track(at)
	v.putPoint(at)
	v.put("along", int64(track.AlongMM))
	v.put("cross", int64(track.CrossMM))
	v.put("to_go", int64(track.ToGoMM))
	v.put("arrival", int64(leg.Arrival(at, track)))
	v.put("steer", int64(leg.SteerCdeg(track, uint16(v.below(65535)+1))))
}

func (v *vectors) stopping() {
	r := &v.m.Rover
	leg := &v.m.Legs[v.below(v.legCount())]
	speed := uint32(v.scaled(16))
	age := v.below(uint32(r.StaleAfterMS) + 1)
	v.put("speed", int64(speed))
	v.put("age", int64(age))
	v.put("travel", int64(travelMM(speed, age)))
	v.put("coast", int64(r.ExpectedCoastMM(leg, speed)))
	v.put("bound", int64(r.BoundCoastMM(leg, speed)))
	v.put("stopping", int64(r.StoppingMM(leg, speed, age)))
	v.put("cut", int64(r.CutMM(leg, speed, age)))
}

func (v *vectors) fence() {
	at := v.place()
	v.putPoint(at)
	v.put("margin", int64(v.m.Fence.MarginMM(at)))
}

// randomShift is a site shift for this mission, and one in 16 of another plan by a
// single bit.
func (v *vectors) randomShift(limit, sine int32) SiteShift {
	shift := SiteShift{Digest: v.m.Record.Digest, Day: 20260510, SineQ30: sine}
	shift.EastMM = v.within(limit)
	shift.NorthMM = v.within(limit)
	if v.below(16) == 0 {
		i := v.below(32)
		shift.Digest[i] ^= 1 << v.below(8)
	}
	return shift
}

func (v *vectors) shift() {
	var state State
	at := v.place()
	leg := uint16(v.below(v.legCount() + 1))
	limit := int32(MaxRotationQ30+2) >> v.below(25)
	sine := v.within(limit)
	shift := v.randomShift(int32(v.m.Rover.MaxShiftMM)+2, sine)
	v.putBool("start", v.m.Start(&state, leg))
	v.putBool("set", v.m.SetShift(&state, &shift))
	if at.EastMM > MaxDomainMM || at.EastMM < -MaxDomainMM {
		at.EastMM = MaxDomainMM
	}
	if at.NorthMM > MaxDomainMM || at.NorthMM < -MaxDomainMM {
		at.NorthMM = -MaxDomainMM
	}
	v.put("cosine", int64(state.shift.CosineQ30))
	v.putPoint(state.shift.Apply(at))
	v.putBool("lap", v.m.Start(&state, uint16(v.below(v.legCount()+1))))
	v.put("kept", int64(state.shift.CosineQ30))
	if v.below(4) == 0 {
		v.putBool("clear", state.ClearShift())
	}
	v.putPoint(state.shift.Apply(at))
	v.put("seal", int64(state.seal))
	v.put("quality", int64(QualityFromGGA(uint8(v.below(256)))))
}

type testRun struct {
	state           State
	input           Input
	output          Output
	eastMM, northMM int32
	fixDueMS        uint32
	outageMS        uint32
	outagePoor      bool
	speed, slowing  uint32
	levels, calm    uint32
}

func (v *vectors) putOutput() {
	o := &v.run.output
	v.putBool("drive", o.DriveEnable)
	v.putBool("located", o.Located)
	v.putBool("memory_due", o.MemoryDue)
	v.put("phase", int64(o.Phase))
	v.put("reasons", int64(o.Reasons))
	v.put("stopped_by", int64(o.StoppedBy))
	v.put("events", int64(o.Events))
	v.putPoint(o.At)
	v.put("along", int64(o.Track.AlongMM))
	v.put("cross", int64(o.Track.CrossMM))
	v.put("to_go", int64(o.Track.ToGoMM))
	v.put("margin", int64(o.MarginMM))
	v.put("stopping", int64(o.StoppingMM))
	v.put("age", int64(o.FixAgeMS))
	v.putBool("turn_known", o.TurnKnown)
	v.put("turn", int64(o.TurnCdeg))
	v.put("bearing", int64(o.BearingCdeg))
	v.put("limit", int64(o.SpeedLimitMMPerS))
	v.put("leg", int64(o.Leg))
	v.put("holds", int64(o.HoldsRun))
	v.put("untried", int64(o.Untried))
}

func (v *vectors) putState() {
	s := &v.run.state
	v.put("seal", int64(s.seal))
	v.put("told_age", int64(s.toldAgeMS))
	v.put("timer", int64(s.timerMS))
	v.put("rolled", int64(s.rolledUM))
	v.put("foremost", int64(s.foremostMM))
	v.put("jumped", int64(s.jumpedMS))
	v.put("opened", int64(s.opened))
	v.put("tried", int64(s.tried))
	v.put("filtering", int64(s.filtering))
	v.put("parted", int64(s.parted))
	v.put("look", int64(s.look))
	v.put("latched", int64(s.latched))
	v.put("faults", int64(s.faults))
	v.put("both_stopped", int64(s.bothStopped))
	v.put("flags", int64(s.flags))
	v.put("reset_press", int64(s.resetPressMS))
	v.put("start_press", int64(s.startPressMS))
	for _, c := range s.countMS {
		v.put("count", int64(c))
	}
	for _, d := range s.differMS {
		v.put("differ", int64(d))
	}
}

func (v *vectors) legCount() uint32 { return uint32(len(v.m.Legs) - 1) }

// runLevels has all holds in run, but those of the kinds in a mask.
func runLevels(m *Mission, stopped uint32) uint32 {
	levels := uint32(0)
	for i, h := range m.Holds {
		runs := stopped>>h.Kind&1 == 0
		if runs == (h.RunLevel != 0) {
			levels |= 1 << i
		}
	}
	return levels
}

func (v *vectors) powerCycle() {
	r := &v.run
	memory, ok := r.state.Remember(v.below(3))
	v.putBool("remember", ok)
	if v.below(4) == 0 {
		memory.Tried ^= 1 << v.below(16)
	}
	r.state = State{}
	v.putBool("start", v.m.Start(&r.state, 0))
	v.putBool("recall", v.m.Recall(&r.state, &memory, v.below(3)))
	v.put("check", int64(memory.Check))
}

func (v *vectors) damage() {
	bit := v.below(16)
	s := &v.run.state
	switch v.below(7) {
	case 0:
		s.phase ^= 1 << (bit & 7)
	case 1:
		s.leg ^= 1 << bit
	case 2:
		s.flags ^= 1 << bit
	case 3:
		s.latched ^= 1 << bit
	case 4:
		s.tried ^= 1 << bit
	case 5:
		s.faults ^= 1 << (bit & 7)
	default:
		s.seal ^= 1 << bit
	}
}

func (v *vectors) otherMission() {
	s := &v.run.state
	other := *v.m
	other.Record.Digest[v.below(4)] ^= 1
	if v.half() {
		other.Step(s, &v.run.input, &v.run.output)
		v.putOutput()
		return
	}
	v.putBool("other", other.Start(s, 0))
	if v.half() {
		other.Record.Format ^= 1
		v.putBool("other", other.Start(s, 0))
	}
	v.put("latched", int64(s.latched))
	v.put("faults", int64(s.faults))
}

func (v *vectors) begin(lap bool) {
	r := &v.run
	leg := uint16(0)
	switch v.below(4) {
	case 0:
		leg = uint16(v.below(v.legCount() + 1))
	case 1:
		leg = uint16(v.legCount() - 1)
	}
	first := &v.m.Legs[0]
	if uint32(leg) < v.legCount() {
		first = &v.m.Legs[leg]
	}
	if !lap {
		r.state = State{}
	}
	v.putBool("start", v.m.Start(&r.state, leg))
	r.input = Input{}
	r.input.TimeMS = uint32(v.next())
	r.eastMM = first.EastMM + v.within(int32(first.ToleranceMM))
	r.northMM = first.NorthMM + v.within(int32(first.ToleranceMM))
	r.fixDueMS, r.outageMS = 0, 0
	r.speed, r.slowing = 0, 0
	r.calm = 20 << v.below(12)
	r.levels = runLevels(v.m, v.below(8))
	if v.half() {
		shift := v.randomShift(int32(v.m.Rover.MaxShiftMM), 0)
		v.putBool("shift", v.m.SetShift(&r.state, &shift))
	}
}

func (v *vectors) operated() uint32 {
	reasons := v.run.output.Reasons
	choice := v.below(4)
	stopped := uint32(0)
	if reasons&(Untried|ChannelsDiffer) != 0 {
		stopped = 1 << board.HoldToRun
		if choice < 2 {
			stopped = 7
		}
	} else if reasons&(ResetNeeded|LetGoFirst) != 0 || choice == 0 {
		stopped = 1 << board.HoldToRun
	}
	return runLevels(v.m, stopped)
}

func (v *vectors) step() {
	r := &v.run
	in := &r.input
	rover := &v.m.Rover
	stepMS := 1 + v.below(uint32(rover.LoopMS))
	on := &v.m.Legs[r.output.Leg]

	if r.output.Events&EventCut != 0 {
		coastMM := 1 + uint32(on.Coast)*uint32(rover.CoastUnitMM)
		r.slowing = 2 * r.speed * r.speed / (coastMM * (2 + v.below(5)))
	}
	if r.output.DriveEnable {
		r.speed = uint32(on.SpeedMMPerS)
		if v.half() {
			stepMS = uint32(rover.LoopMS)
		}
		r.eastMM -= int32(int64(on.UnitNorthQ30) * int64(r.output.Track.CrossMM/16) / 1073741824)
		r.northMM += int32(int64(on.UnitEastQ30) * int64(r.output.Track.CrossMM/16) / 1073741824)
	} else {
		r.speed -= min(r.speed, 1+r.slowing*stepMS/1000)
	}
	speed := r.speed
	if speed != 0 {
		r.eastMM += int32(int64(on.UnitEastQ30)*int64(speed*stepMS)/1073741824/1000) + v.within(2)
		r.northMM += int32(int64(on.UnitNorthQ30)*int64(speed*stepMS)/1073741824/1000) + v.within(2)
	}
	if v.accident() && v.below(8) == 0 {
		leg := v.m.Leg(uint16(v.below(v.legCount())))
		r.eastMM = leg.End.EastMM + v.within(600)
		r.northMM = leg.End.NorthMM + v.within(600)
	}
	if r.output.Phase >= Dwelling && v.below(500) == 0 {
		r.eastMM += v.within(900)
	}
	if v.accident() {
		stepMS = v.below(3000)
	}
	in.TimeMS += stepMS

	in.FixNew = false
	r.fixDueMS += stepMS
	if r.fixDueMS >= uint32(rover.FixIntervalMS) || v.accident() {
		r.fixDueMS = 0
		in.FixNew = !v.accident()
		in.LatitudeNdeg = v.m.Conversion.OriginLatitudeNdeg + int64(r.northMM-r.state.shift.NorthMM)*v.ndegNorth/65536
		in.LongitudeNdeg = v.m.Conversion.OriginLongitudeNdeg + int64(r.eastMM-r.state.shift.EastMM)*v.ndegEast/65536
		in.Quality = board.QualityFixed
		if v.accident() {
			in.Quality = board.Quality(v.below(9))
		}
		latest := 2 * uint32(rover.LatencyMS)
		if v.accident() {
			latest = 3000
		}
		in.FixAgeMS = v.below(latest)
		if v.accident() {
			in.LatitudeNdeg += int64(v.sized(31))
		}
		if v.accident() {
			in.LongitudeNdeg = int64(v.next())
		}
		if r.outageMS != 0 {
			poor := board.Quality(v.below(8))
			if poor >= board.QualityFixed {
				poor++
			}
			in.FixNew, in.Quality = r.outagePoor, poor
		}
	}
	if v.accident() && v.half() {
		r.outageMS = v.below(2500)
		r.outagePoor = v.half()
	}
	r.outageMS -= min(r.outageMS, stepMS)

	if v.accident() {
		r.levels = runLevels(v.m, v.below(8))
	}
	if r.output.Phase <= Waiting && v.below(16) == 0 {
		r.levels = v.operated()
	}
	if v.accident() {
		r.levels ^= 1 << v.below(16)
	}
	in.HoldLevels = uint16(r.levels)
	if v.accident() {
		in.HoldLevels ^= uint16(v.next())
	}
	if v.below(16) == 0 {
		in.ResetRequest = !in.ResetRequest && r.output.Reasons&ResetNeeded != 0
	}
	if v.below(16) == 0 {
		in.StartRequest = r.output.Phase == Waiting && v.below(4) != 0
	}
	if v.accident() && v.below(8) == 0 {
		shift := v.randomShift(int32(rover.MaxShiftMM), 0)
		v.putBool("shift", v.m.SetShift(&r.state, &shift))
	}
	if v.accident() && v.below(16) == 0 {
		v.powerCycle()
	}
	if v.accident() && v.below(16) == 0 && r.output.Reasons&BadState == 0 {
		v.damage()
	}
	if v.accident() && v.below(16) == 0 {
		v.otherMission()
	}
	if r.output.Reasons&(BadState|BadMission) != 0 && v.below(8) == 0 {
		v.putBool("start", v.m.Start(&r.state, 0))
	}
	in.SpeedKnown = v.below(4) != 0
	in.SpeedMMPerS = speed
	if v.accident() {
		in.SpeedMMPerS = uint32(v.next())
	}
	if v.below(8) == 0 {
		in.SpeedMMPerS -= in.SpeedMMPerS / 4
	}
	in.HeadingKnown = v.below(4) != 0
	in.HeadingCdeg = uint16(v.below(36010))

	v.m.Step(&r.state, in, &r.output)
	v.seen.reasons |= r.output.Reasons
	v.seen.events |= r.output.Events
	v.seen.phases[r.output.Phase]++
	v.putOutput()
}

func (s *sights) add(other sights) {
	s.reasons |= other.reasons
	s.events |= other.events
	for i := range s.phases {
		s.phases[i] += other.phases[i]
	}
}

// block runs one block and returns its digest.
func (v *vectors) block(number uint32) uint64 {
	kind := number % blockKinds
	v.randomState = uint64(number)
	v.digest = 0xCBF29CE484222325
	for i := range blockVectors {
		switch kind {
		case 0:
			v.conversion()
		case 1:
			v.numbers()
		case 2:
			v.leg()
		case 3:
			v.stopping()
		case 4:
			v.fence()
		case 5:
			v.shift()
		default:
			stuck := v.run.output.Phase == Stopped || v.run.output.Phase == Finished
			if i == 0 || stuck && v.below(1000) == 0 {
				v.run.output = Output{}
				v.begin(i != 0 && v.half())
			}
			v.step()
			if i%64 == 63 {
				v.putState()
			}
		}
		if v.trace != nil {
			v.trace.WriteByte('\n')
		}
	}
	return v.digest
}
