package circuit

// This file makes the written test from the circuits and the drive path: what to
// operate, unplug or bridge, and what must then happen. A step is a change that is made
// on purpose, evaluated by the same model as the faults: so the table can say of each
// fault which step finds it, by evaluating both together.

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"

	"merestone/internal/words"
)

// Test is one step of the written test.
type Test struct {
	// ID names the step. It changes with what the step says, so that what was passed on
	// other wiring does not count for this.
	ID string
	// Do is what to do and Expect what must happen.
	Do, Expect string
	// Meter: the step needs a meter.
	Meter bool

	inject    faults       // what is done to the wiring
	asked     []int        // circuits asked to stop
	outputLow bool         // the board stops for a reason of its own
	measured  *Place       // pin of which the voltage is measured
	resistors []resistorAt // that are measured
	joined    []FaultKind  // what a missing insulation would be
}

// tests lists the steps for circuits that tell run from stop.
func (a analysis) tests() []Test {
	list := a.operations()
	list = append(list, a.unpluggings()...)
	list = append(list, a.isolations()...)
	list = append(list, a.measurements()...)
	list = append(list, a.continuities()...)
	taken := map[string]bool{}
	for i := range list {
		list[i].ID = name(list[i], taken)
	}
	return list
}

// name is made of what a step says. Of two steps with the same letters the later takes the
// next of its own.
func name(t Test, taken map[string]bool) string {
	sum := sha256.Sum256([]byte(t.Do + "\n" + t.Expect))
	for k := 0; ; k++ {
		id := fmt.Sprintf("T-%02x%02x", sum[k%len(sum)], sum[(k+1)%len(sum)])
		if !taken[id] {
			taken[id] = true
			return id
		}
	}
}

// operations asks each circuit alone to stop.
func (a analysis) operations() []Test {
	var list []Test
	for i, c := range a.model.circuits {
		list = append(list, Test{
			Do:     fmt.Sprintf("run, then have %s %s, and no other", c.Name, whenStop(c.Kind)),
			Expect: "the drive is without power" + c.within(c.RadioDelayMS+c.ReactionMS),
			asked:  []int{i},
		})
		if c.RadioLossMS > 0 {
			list = append(list, Test{
				Do:     fmt.Sprintf("run, then switch the transmitter of %s off while it is %s", c.Name, whenRun(c.Kind)),
				Expect: "the drive is without power" + c.within(c.RadioLossMS+c.ReactionMS),
				asked:  []int{i},
			})
		}
	}
	return list
}

// within says in what time, where it is known.
func within(ms int64) string {
	if ms <= 0 {
		return ""
	}
	return fmt.Sprintf(" within %d ms", ms)
}

// within says in what time, where the times of the circuit are known.
func (c Circuit) within(ms int64) string {
	if c.ReactionMS <= 0 {
		return ""
	}
	return within(ms)
}

// unpluggings takes the signal wire off each channel, at the hold's end: at the board's
// end a short of the wire would go with it.
func (a analysis) unpluggings() []Test {
	var list []Test
	for i, c := range a.model.circuits {
		for j, ch := range c.Channels {
			t := Test{
				Do:     fmt.Sprintf("run, then take the wire from pin %d off at %s, at that end", ch.Pin, c.Name),
				Expect: "the drive is without power" + c.within(c.ReactionMS),
				inject: faults{{Kind: SignalOpen, Places: []Place{{i, j, ch.Pin}}}},
			}
			s := a.under(t.inject, []int{i}, demands{i: DemandRun}, false)
			if s.Drive != DriveOff {
				continue // a broken wire leaves it running: the table says so
			}
			if s.discrepancy() {
				t.Expect += fmt.Sprintf(", and stays so when the wire is back, since the channels differed for more than %d ms", c.DiscrepancyMS)
			}
			list = append(list, t)
		}
	}
	return list
}

// liftKiloohm is far above what holds an input off, some tens, and far below what leaks from
// one that floats (common practice, no source).
const liftKiloohm = 1000

// isolations has each part of the path stop the drive alone, by everything that opens it.
func (a analysis) isolations() []Test {
	var list []Test
	for i, part := range a.path.Parts {
		var bridged faults
		var others []string
		for k, other := range a.path.Parts {
			if k != i {
				bridged = append(bridged, Fault{Kind: PartStuckOn, Part: k, PartName: other.Name})
				others = append(others, other.Name)
			}
		}
		begin := ""
		if len(others) > 0 {
			begin += words.And(others) + " bridged: "
		}
		expect := func(ms int64) string {
			return part.Name + " alone takes the motors' current away" + within(ms)
		}
		if part.Enable {
			list = append(list, Test{
				Do:     begin + "run, then let the board stop by itself, as by taking the antenna's cable off",
				Expect: expect(0), inject: bridged, outputLow: true,
			})
		}
		if part.rests() {
			line := "the line drive_enable"
			if !part.Enable {
				line = "the watchdog's line"
			}
			list = append(list, Test{
				Do:     fmt.Sprintf("%srun, then take %s off at %s, and join the open input to %s by %d kΩ", begin, line, part.Name, Supply, liftKiloohm),
				Expect: expect(part.OffMS), inject: append(slices.Clone(bridged), Fault{Kind: lifted, Part: i, PartName: part.Name}),
			})
		}
		for _, h := range part.Holds {
			c := a.model.circuits[h]
			t := Test{Expect: expect(c.RadioDelayMS + c.BounceMS + part.OffMS), inject: slices.Clone(bridged), asked: []int{h}}
			held := ""
			if part.Enable {
				t.inject, held = append(t.inject, Fault{Kind: EnableHeldHigh}), " with the line drive_enable held high at the part"
			}
			t.Do = fmt.Sprintf("%srun%s, then have %s %s", begin, held, c.Name, whenStop(c.Kind))
			list = append(list, t)
		}
		if part.Watchdog {
			list = append(list, Test{
				Do:     begin + "run, then halt the program while drive_enable is high",
				Expect: expect(a.path.WatchdogMS + part.OffMS),
				inject: append(slices.Clone(bridged), Fault{Kind: ProcessorHalted}),
			})
		}
	}
	return list
}

// measurements has a meter at each pin, and at each resistor.
func (a analysis) measurements() []Test {
	var list []Test
	users := returnUsers(a.model.circuits)
	for i, c := range a.model.circuits {
		run, _, _ := a.model.look([]int{i}, nil, demands{i: DemandRun})
		stop, _, _ := a.model.look([]int{i}, nil, demands{i: DemandStop})
		for j, ch := range c.Channels {
			p := Place{i, j, ch.Pin}
			list = append(list, Test{
				Do: fmt.Sprintf("measure pin %d against ground, every other hold in run", ch.Pin),
				Expect: fmt.Sprintf("%s with %s %s, %s with it %s", run[j].span(), c.Name, whenRun(c.Kind),
					stop[j].span(), whenStop(c.Kind)),
				Meter: true, measured: &p,
			})
		}
		for j, ch := range c.Channels {
			p := Place{i, j, ch.Pin}
			if t, ok := a.loadTest(p); ok {
				list = append(list, t)
			}
		}
		if t, ok := a.resistorTest(i, users); ok {
			list = append(list, t)
		}
	}
	return list
}

// resistorAt is a resistor at a channel, by what its short would be.
type resistorAt struct {
	place Place
	short FaultKind
}

// continuities looks for what joins pins, and wires, that must not be joined.
func (a analysis) continuities() []Test {
	var pins []string
	for _, c := range a.model.circuits {
		for _, ch := range c.Channels {
			pins = append(pins, fmt.Sprint(ch.Pin))
		}
	}
	for _, o := range a.model.board.Outputs {
		pins = append(pins, fmt.Sprintf("%d (%s)", o.Pin, o.Name))
	}
	if len(pins) < 2 {
		return nil
	}
	list := []Test{{
		Do:     fmt.Sprintf("without power and with every wire off the board, measure the pins %s against each other", words.And(pins)),
		Expect: "no connection but through the board's own parts, the same between all", Meter: true,
		joined: []FaultKind{PinsBridged, BridgedToOutput},
	}}
	if len(crossings(a.model.circuits, returnUsers(a.model.circuits))) > 0 {
		list = append(list, Test{
			Do:     "with every wire still off the board and every contact open, measure the wires of the holds against each other",
			Expect: "no connection but between wires that are one by the mission's return_wire", Meter: true,
			joined: []FaultKind{SignalToReturn, ReturnsBridged},
		})
	}
	return list
}

// loadTest loads a pin that only a pull in the board holds, while the contact is open: a
// pull that is not there floats, and shows nothing until something draws it away. The
// load is the least against which a sound pull certainly holds its level.
func (a analysis) loadTest(p Place) (Test, bool) {
	c := a.model.circuits[p.Circuit]
	ch := c.Channels[p.Channel]
	if ch.Pull == PullNone || ch.PullOhm > 0 {
		return Test{}, false
	}
	t := Test{Meter: true, measured: &p}
	open, position := DemandRun, whenRun(c.Kind)
	if ch.Contact.closed(c.Kind, DemandRun) {
		open, position = DemandStop, whenStop(c.Kind)
		t.asked = []int{p.Circuit}
	}
	away := ch.Pull.rail().other()
	free, _, _ := a.model.look([]int{p.Circuit}, nil, demands{p.Circuit: open})
	for _, ohm := range []int64{47_000, 100_000, 220_000, 470_000, 1_000_000} {
		t.inject = faults{{Kind: loaded, Places: []Place{p}, Rail: away, LoadOhm: ohm}}
		held, _, _ := a.model.look([]int{p.Circuit}, t.inject, demands{p.Circuit: open})
		if level := held[p.Channel].Level; level == Undefined || level != free[p.Channel].Level {
			continue
		}
		t.Do = fmt.Sprintf("with %s %s and every other hold in run, join pin %d to %s by %d kΩ and measure it against ground", c.Name, position, p.Pin, away, ohm/1000)
		t.Expect = held[p.Channel].span()
		return t, true
	}
	return Test{}, false
}

// resistorTest measures the resistors of a circuit, each by itself.
func (a analysis) resistorTest(i int, users map[string][]Place) (Test, bool) {
	t := Test{Meter: true}
	var what, must []string
	add := func(p Place, short FaultKind, name string, ohm int64) {
		t.resistors = append(t.resistors, resistorAt{p, short})
		what = append(what, name)
		must = append(must, fmt.Sprintf("%.0f to %.0f Ω", a.model.resistor(ohm, true), a.model.resistor(ohm, false)))
	}
	for j, ch := range a.model.circuits[i].Channels {
		p := Place{i, j, ch.Pin}
		if ch.PullOhm > 0 {
			add(p, PullShorted, fmt.Sprintf("the pull resistor of pin %d", ch.Pin), ch.PullOhm)
		}
		if first := users[ch.Return]; ch.SeriesOhm > 0 && (ch.Return == "" || first[0] == p) {
			add(p, SeriesShorted, fmt.Sprintf("the resistor in the wire from %s to pin %d's contact", ch.WiredTo, ch.Pin), ch.SeriesOhm)
		}
	}
	t.Do = "without power and with one end of each free, measure " + words.And(what)
	t.Expect = strings.Join(must, ", ")
	return t, len(what) > 0
}

// printed is a reading as it is printed, in millivolts: outward to whole hundredths of a
// volt.
func (r Reading) printed() (least, greatest int64) {
	return r.MinMV / hundredth * hundredth, (r.MaxMV + hundredth - 1) / hundredth * hundredth
}

// hundredth of a volt, in millivolts.
const hundredth = 10

// span is a reading in volts.
func (r Reading) span() string {
	const volt = 100 // hundredths
	least, greatest := r.printed()
	least, greatest = least/hundredth, greatest/hundredth
	return fmt.Sprintf("%d.%02d to %d.%02d V", least/volt, least%volt, greatest/volt, greatest%volt)
}

// found tells when a fault is found, and by which step of the written test. Where the
// supply is shorted it may be gone and it may hold: the later of the two.
func (a analysis) found(j job, row Row, tests []Test) (Found, int) {
	found, step := a.foundIn(j, row.States, tests, false)
	if !anyShorted(row.States) {
		return found, step
	}
	held, heldStep := a.foundIn(j, ifHeld(row.States), tests, true)
	switch {
	case held > found:
		return held, heldStep
	case held == found:
		return found, max(step, heldStep)
	}
	return found, step
}

// foundIn is found where a supply that is shorted is gone, or holds.
func (a analysis) foundIn(j job, states []State, tests []Test, holds bool) (Found, int) {
	const none = -1
	switch first := states[0]; {
	case first.Stopped, first.Shorted, first.discrepancy():
		return AtOnce, none
	case discrepancyOnDemand(states):
		return AtNextDemand, none
	case a.startUpTestFails(j, states):
		return ByStartUpTest, none
	}
	for i, t := range tests {
		if a.shows(t, j, holds) {
			if t.Meter {
				return ByMeter, i
			}
			return ByWrittenTest, i
		}
	}
	return Never, none
}

// startUpTestFails tells whether a channel is certainly never read as stop, or never as
// run, whatever is asked for.
func (a analysis) startUpTestFails(j job, states []State) bool {
	n := len(states[0].Readings)
	var levels []Level
	if n > 0 {
		for _, i := range j.about {
			levels = append(levels, a.runLevels[i]...)
		}
	}
	for k := range n {
		run, stop := 0, 0
		for _, s := range states {
			switch l := s.Readings[k].Level; {
			case l == levels[k]:
				run++
			case l != Undefined:
				stop++
			}
		}
		if run == len(states) || stop == len(states) {
			return true
		}
	}
	return false
}

// shows tells whether a step certainly comes out otherwise with the fault than it must.
// Every step without a meter says that the drive is then without power.
// A supply that is shorted holds, or nothing is known.
func (a analysis) shows(t Test, j job, holds bool) bool {
	for _, r := range t.resistors {
		if (j.fault.Kind == r.short || j.fault.Kind == PullOpen && r.short == PullShorted) && slices.Contains(j.fault.Places, r.place) {
			return true
		}
	}
	if t.resistors != nil {
		return false
	}
	if t.joined != nil {
		return slices.Contains(t.joined, j.fault.Kind)
	}
	if j.fault.Kind.ofPath() {
		return t.measured == nil && a.showsOnPath(t, j)
	}
	// The circuits that share a return with those of the fault stand in run as well.
	about := a.model.scope(j.about)
	concerned := slices.Clone(t.asked)
	for _, f := range t.inject {
		for _, p := range f.Places {
			concerned = append(concerned, p.Circuit)
		}
	}
	if t.measured != nil {
		concerned = append(concerned, t.measured.Circuit)
	}
	for _, i := range concerned {
		if !slices.Contains(about, i) {
			return false // the fault does not reach it
		}
	}
	own := j.fault.elementary(a.model.circuits)
	if t.measured != nil {
		return a.measures(t, own, about, holds)
	}
	with := a.under(slices.Concat(own, t.inject), about, asking(about, t.asked), t.outputLow)
	if holds && with.IfHeld != nil {
		with = *with.IfHeld
	}
	must := a.under(t.inject, about, asking(about, t.asked), t.outputLow)
	must.Drive = DriveOff
	return differs(with, must)
}

// asking returns the demands of circuits of which some are asked to stop.
func asking(about, asked []int) demands {
	d := demands{}
	for _, i := range about {
		if slices.Contains(asked, i) {
			d[i] = DemandStop
		} else {
			d[i] = DemandRun
		}
	}
	return d
}

// showsOnPath is shows for a fault behind the pins.
func (a analysis) showsOnPath(t Test, j job) bool {
	state := func(fs faults) State {
		s := State{OutputLow: t.outputLow}
		for _, i := range j.about {
			demand, c := DemandRun, ConcludesRun
			if slices.Contains(t.asked, i) || slices.ContainsFunc(t.inject, func(f Fault) bool { return f.Kind == SignalOpen && f.Places[0].Circuit == i }) {
				c = ConcludesStop
			}
			if slices.Contains(t.asked, i) {
				demand = DemandStop
			}
			s.Demands, s.Conclusions = append(s.Demands, demand), append(s.Conclusions, c)
		}
		a.conclude(&s, fs, j.about)
		return s
	}
	must := state(t.inject)
	must.Drive = DriveOff
	return differs(state(append(faults{j.fault}, t.inject...)), must)
}

// differs tells whether two outcomes of a step certainly differ, for who sees whether the
// drive has power and whether the board has latched a discrepancy. A channel that reads
// stop beside one that is undefined may have latched it or not.
func differs(a, b State) bool {
	if a.Drive != b.Drive && a.Drive != DriveUnsure && b.Drive != DriveUnsure {
		return true
	}
	undefined := func(r Reading) bool { return r.Level == Undefined }
	latched := func(s State) bool { return s.discrepancy() }
	notLatched := func(s State) bool { return !s.discrepancy() && !slices.ContainsFunc(s.Readings, undefined) }
	return latched(a) && notLatched(b) || latched(b) && notLatched(a)
}

// measures tells whether the voltage of a pin under faults certainly lies outside of what
// the step says it must be.
func (a analysis) measures(t Test, own faults, about []int, holds bool) bool {
	look := a.model.look
	if holds {
		look = a.model.see
	}
	p, index := *t.measured, 0
	for _, i := range about {
		if i == p.Circuit {
			index += p.Channel
			break
		}
		index += len(a.model.circuits[i].Channels)
	}
	for _, demand := range t.demands() {
		d := asking(about, nil)
		d[p.Circuit] = demand
		with, _, _ := look(about, slices.Concat(own, t.inject), d)
		must, _, _ := a.model.look([]int{p.Circuit}, t.inject, demands{p.Circuit: demand})
		least, greatest := must[p.Channel].printed()
		if with[index].MinMV > greatest || with[index].MaxMV < least {
			return true
		}
	}
	return false
}

// demands are those of the circuit in which a pin of it is measured: both, or, with a
// load, that in which the contact is open.
func (t Test) demands() []Demand {
	switch {
	case len(t.inject) == 0:
		return []Demand{DemandRun, DemandStop}
	case len(t.asked) > 0:
		return []Demand{DemandStop}
	default:
		return []Demand{DemandRun}
	}
}

// testCaution stands above the steps.
const testCaution = "Written test, step by step, for who is trained for it. Wheels off the ground and nobody at them; " +
	"before anything is bridged or unplugged the battery is off; a bridge carries the motors' current, and is taken out before the rover is put down. " +
	"An emergency stop that the test does not bridge stays within reach. Times are from the hand, the wire or the program to the motors' current gone, by an oscilloscope with a current probe or a recorder as fast. A step that comes out otherwise: the rover stays off until the cause is found."
