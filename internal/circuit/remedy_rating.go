package circuit

// This file says how good a wiring is, for the search in remedy.go: the rows of its
// table, without their words, come to a few numbers that are compared in order.
//
// The search evaluates hundreds of wirings that differ in little. So what a row comes to
// is kept, with all that it depends on as the key: the fault, the circuits that the model
// puts into the network, the parts of the path that they open. The current that all
// others draw is not in the key, for it matters only where it decides whether the supply
// is shorted; kept is the range of it in which nothing is decided otherwise.

import (
	"maps"
	"math"
	"slices"
	"strconv"

	"merestone/internal/board"
)

// wiring is what is tried.
type wiring struct {
	circuits []Circuit
	path     Path
}

// clone returns a copy that shares nothing.
func (w wiring) clone() wiring {
	c := wiring{slices.Clone(w.circuits), w.path}
	for i := range c.circuits {
		c.circuits[i].Channels = slices.Clone(c.circuits[i].Channels)
	}
	c.path.Parts = slices.Clone(c.path.Parts)
	for i := range c.path.Parts {
		c.path.Parts[i].Holds = slices.Clone(c.path.Parts[i].Holds)
	}
	return c
}

// The numbers of a score, the one that matters most first; 0 is best.
const (
	// unfit counts what other rules refuse: an internal pull that the board has not, an
	// emergency stop without a pole.
	unfit = iota
	// overdrawn is by how many milliamperes the circuits, without a fault, draw more than
	// the supply gives, each in the position in which it draws the most. While they do, no
	// channel reads anything, and this tells the way to where they do.
	overdrawn
	// alike counts channels that cannot tell run from stop.
	alike
	// broken counts conductors and contacts that no longer conduct and leave the drive
	// running. A conductor is far more often lost than gained, hence the rule that
	// stopping is done by opening a circuit (closed-circuit principle).
	broken
	// quiet counts those that do not stop the drive by themselves and are credited for
	// another reason, such as a pole, where they were not so from the beginning: an
	// emergency stop that closes its contact to stop is turned over, not only given a pole,
	// and a second channel that closes beside one that opens is left alone.
	quiet
	// running counts the other faults that leave the drive running, those of the path once
	// for each hold.
	running
	// shorting counts those that short the supply.
	shorting
	// resistors counts what is not credited among the faults of a series resistor. They
	// are no reason against fitting one: without it the same wires are shorted harder.
	resistors
	numbers
)

type score [numbers]int

// compare is negative where s is better than other.
func (s score) compare(other score) int { return slices.Compare(s[:], other[:]) }

// clean tells whether nothing is left to be cured.
func (s score) clean() bool {
	s[quiet] = 0
	return s.best()
}

// best tells whether there is no better.
func (s score) best() bool {
	s[overdrawn] = 0
	return s == score{}
}

// rating is a score with where it comes from.
type rating struct {
	score
	// faults has what is not credited and that wiring can cure.
	faults []target
	// dangers are the broken conductors that leave the drive running.
	dangers []danger
	// quiet names those that do not stop it and are credited, and toTurn has those of them
	// that the score counts.
	quiet  []string
	toTurn []target
	// blind are the circuits that cannot tell run from stop.
	blind []int
}

// danger is a broken conductor that leaves the drive running, by name.
type danger struct {
	name  string
	about []int
}

// target is a fault to be cured, and the number of the score that counts it.
type target struct {
	job
	number int
	// unstopped has the circuits against which a fault of the path leaves the drive
	// running.
	unstopped []int
}

// opens tells whether the kind is of a conductor or contact that no longer conducts.
func (k FaultKind) opens() bool {
	switch k {
	case SignalOpen, ReturnOpen, ContactStuckOpen, CableCut, ConnectorOff, FeedsLost:
		return true
	default:
		return false
	}
}

// ofResistor tells whether the kind is there only with a series resistor.
func (k FaultKind) ofResistor() bool {
	return k == SeriesShorted || k == SignalToReturn || k == ReturnsBridged
}

// beyondWiring says why no wiring cures a fault; it is empty where one can. One kind is:
// what moves every contact of a hold sticks in run. No contact of the device opens then,
// neither one that a pin reads nor a pole, so nothing in the circuit knows that stop is
// asked for. Every other kind leaves a pole of the hold, or a part of the path, that
// still opens; and a current that a resistor limits shorts no supply.
func beyondWiring(circuits []Circuit, f Fault) string {
	if f.Kind == ActuatorJammed && len(f.Places) == len(circuits[f.Places[0].Circuit].Channels) {
		return "one part moves every contact and pole of the hold, and sticks in run: no contact is left that could tell"
	}
	return ""
}

// kept is what a row comes to.
type kept struct {
	outcome Outcome
	// above and upTo bound the current of all other circuits for which it does.
	above, upTo float64
}

// rater rates wirings of one board, and keeps what rows come to.
type rater struct {
	board Board
	room  Room
	rows  map[string][]kept
	key   []byte
	// quiet names the broken conductors that are credited without stopping the drive to
	// begin with.
	quiet map[string]bool
}

// rate rates a wiring; ok is false where it makes no sense, or is found to be worse than
// the limit. A nil limit is none.
func (r *rater) rate(w wiring, limit *score) (rating, bool) {
	if validateShape(r.board, w.circuits, w.path) != nil {
		return rating{}, false
	}
	list := jobs(r.board, w.circuits, w.path)
	if validateEffort(w.circuits, list) != nil {
		return rating{}, false
	}
	a := newAnalysis(r.board, w.circuits, w.path)
	rt := rating{score: score{unfit: r.unfits(w)}}
	rt.score[overdrawn] = max(0, int(math.Ceil(a.model.elsewhereMA(nil)))-int(r.board.SupplyLimitMA))
	for i := range w.circuits {
		for _, l := range a.runLevels[i] {
			if l == Undefined {
				rt.score[alike]++
			}
		}
		if !a.allDistinct([]int{i}) {
			rt.blind = append(rt.blind, i)
		}
	}
	signatures := make([]string, len(w.circuits))
	for i, c := range w.circuits {
		signatures[i] = c.signature()
	}
	for _, k := range byEffort(list) {
		j := list[k]
		if limit != nil && rt.score.compare(*limit) > 0 {
			return rating{}, false
		}
		if j.fault.Kind == NoFault {
			if !a.allDistinct(j.about) {
				rt.faults = append(rt.faults, target{j, alike, nil})
			}
			continue
		}
		if !a.allDistinct(j.about) || beyondWiring(w.circuits, j.fault) != "" {
			continue
		}
		o, unstopped := r.outcome(a, j, signatures)
		r.count(&rt, w, j, o, unstopped)
	}
	return rt, limit == nil || rt.score.compare(*limit) <= 0
}

// byEffort returns the indices of rows, of the least effort first.
func byEffort(rows []job) []int {
	most := 0
	for _, j := range rows {
		most = max(most, j.effort())
	}
	list := make([]int, 0, len(rows))
	for effort := range most + 1 {
		for k := range rows {
			if rows[k].effort() == effort {
				list = append(list, k)
			}
		}
	}
	return list
}

// effort orders rows by what they take to evaluate, so that most of a wiring that is worse
// than the limit is not looked at.
func (j job) effort() int {
	if j.fault.Kind.ofPath() {
		return 0
	}
	return len(j.about)
}

// count adds a fault to a rating.
func (r *rater) count(rt *rating, w wiring, j job, o Outcome, unstopped []int) {
	opens := j.fault.Kind.opens()
	if o.Credited() {
		if opens && o != StopsDrive {
			name := placeOf(w.circuits, j.fault)
			rt.quiet = append(rt.quiet, name)
			if !r.quiet[name] {
				rt.score[quiet]++
				rt.toTurn = append(rt.toTurn, target{j, quiet, nil})
			}
		}
		return
	}
	number, by := shorting, 1
	switch {
	case opens && o.Dangerous():
		number = broken
		rt.dangers = append(rt.dangers, danger{placeOf(w.circuits, j.fault), j.about})
	case j.fault.Kind.ofResistor():
		number = resistors
	case o.Dangerous():
		number, by = running, max(len(unstopped), 1)
	}
	rt.score[number] += by
	rt.faults = append(rt.faults, target{j, number, unstopped})
}

// placeOf names a fault by its kind and the channels at fault.
func placeOf(circuits []Circuit, f Fault) string {
	name := strconv.Itoa(int(f.Kind))
	for _, p := range f.Places {
		name += "/" + circuits[p.Circuit].Name + " " + strconv.Itoa(p.Channel)
	}
	return name
}

// unfits counts what other rules refuse.
func (r *rater) unfits(w wiring) int {
	n := 0
	for i, c := range w.circuits {
		n += r.room.unfits(c, w.path.HasPole(i))
	}
	return n
}

// unfits counts what other rules refuse of one circuit.
func (room Room) unfits(c Circuit, pole bool) int {
	n := 0
	for _, ch := range c.Channels {
		if !room.pulls(ch) {
			n++
		}
	}
	if c.Kind == board.EmergencyStop && !pole {
		n++
	}
	return n
}

// pulls tells whether the board has the pull that a channel relies on.
func (room Room) pulls(ch Channel) bool {
	return ch.PullOhm > 0 || ch.Pull == PullNone || ch.Pull == PullUp && room.PullUp || ch.Pull == PullDown && room.PullDown
}

// HasPole tells whether a hold opens a part by itself.
func (path Path) HasPole(hold int) bool {
	return slices.ContainsFunc(path.Parts, func(p Part) bool { return slices.Contains(p.Holds, hold) })
}

// outcome says what a row comes to, and against which circuits a fault of the path leaves
// the drive running.
func (r *rater) outcome(a analysis, j job, signatures []string) (Outcome, []int) {
	if j.fault.Kind.ofPath() {
		return a.pathBrief(j)
	}
	scope := a.model.scope(j.about)
	r.key = a.rowKey(r.key[:0], j, scope, signatures)
	elsewhere := a.model.elsewhereMA(scope)
	for _, k := range r.rows[string(r.key)] {
		if k.above < elsewhere && elsewhere <= k.upTo {
			return k.outcome, nil
		}
	}
	k := a.brief(j, scope, elsewhere)
	r.rows[string(r.key)] = append(r.rows[string(r.key)], k)
	return k.outcome, nil
}

// pathBrief says what a fault of the path comes to, and against which circuits it leaves
// the drive running, as analysis.pathRow does where every circuit tells run from stop.
func (a analysis) pathBrief(j job) (Outcome, []int) {
	fs := faults{j.fault}
	low, high := lineUnder(fs, lineLow), lineUnder(fs, lineHigh)
	var unstopped []int
	for i := range a.model.circuits {
		if a.path.drive(fs, low, func(circuit int) bool { return circuit == i }) != DriveOff {
			unstopped = append(unstopped, i)
		}
	}
	switch {
	case unstopped != nil:
		return LeavesRunning, unstopped
	case a.path.drive(fs, high, func(int) bool { return false }) == DriveOff:
		return StopsDrive, nil
	default:
		return StopsOnDemand, nil
	}
}

// brief says what a row comes to, as analysis.row does, but does not look at what the pins
// read where a pole opens the path whatever they read, nor at further states when one
// leaves the drive running. Of a fault that is no broken conductor it does not tell
// StopsDrive from StopsOnDemand, and calls both the latter.
func (a analysis) brief(j job, scope []int, elsewhere float64) kept {
	k := kept{outcome: StopsOnDemand, above: math.Inf(-1), upTo: math.Inf(1)}
	limit := float64(a.model.board.SupplyLimitMA)
	fs := j.fault.elementary(a.model.circuits)
	shorts, unheard := 0, false
	held := false // unheard if the supply holds, of which its current decides nothing
	hear := func(s State) {
		unheard = unheard || !s.Heard
		held = held || s.IfHeld != nil && !s.IfHeld.Heard
	}
	combinations := 1 << len(j.about)
	for combination := range combinations {
		d, stop := combined(j.about, combination), map[int]bool{}
		for i, demand := range d {
			stop[i] = demand == DemandStop
		}
		own := a.model.drawMA(scope, fs, d)
		// The comparison of model.look, solved for the current elsewhere.
		shorted := own+elsewhere > limit+arithmetic
		if shorted {
			shorts++
			k.above = max(k.above, limit+arithmetic-own)
		} else {
			k.upTo = min(k.upTo, limit+arithmetic-own)
		}
		switch {
		case combination == 0 && j.fault.Kind.opens():
			if a.drawing(fs, j.about, scope, d, own+elsewhere, false).Stopped {
				k.outcome = StopsDrive
			}
		case combination > 0 && !a.opensFor(fs, stop):
			hear(a.drawing(fs, j.about, scope, d, own+elsewhere, false))
		}
		if j.fault.Output.EnablesDrive {
			hear(a.beside(fs, j.about, scope, d, own+elsewhere, stop))
		}
		if held || unheard && shorts <= combination {
			k.outcome = LeavesRunning
			break
		}
	}
	switch {
	case held:
		k.outcome = LeavesRunning
	case shorts == combinations, shorts > 0 && !unheard:
		k.outcome = ShortCircuit
	case unheard:
		k.outcome = LeavesRunning
	}
	// Rounding of the sums may put the edges on the wrong side of this current.
	k.above, k.upTo = min(k.above, math.Nextafter(elsewhere, math.Inf(-1))), max(k.upTo, elsewhere)
	return k
}

// opensFor tells whether poles of the circuits that are asked to stop open the path,
// whatever the board does.
func (a analysis) opensFor(fs faults, stop map[int]bool) bool {
	return a.path.drive(fs, lineHigh, func(circuit int) bool { return stop[circuit] }) == DriveOff
}

// beside says as Heard whether each circuit stops the drive of which the output is bridged
// to a pin of another, as analysis.besides finds it.
func (a analysis) beside(fs faults, about, scope []int, d demands, draw float64, stop map[int]bool) State {
	var unheard []int // by a pole of their own
	for i := range a.model.circuits {
		if slices.Contains(about, i) {
			continue
		}
		all := maps.Clone(stop)
		if all[i] = true; !a.opensFor(fs, all) {
			unheard = append(unheard, i)
		}
	}
	if unheard == nil {
		return State{Heard: true}
	}
	hears := func(s *State) {
		s.Heard = true
		for _, i := range unheard {
			s.Heard = s.Heard && a.driveIn(*s, fs, append(slices.Clone(about), i), append(slices.Clone(s.Conclusions), ConcludesStop)) == DriveOff
		}
	}
	s := a.drawing(fs, about, scope, d, draw, true)
	hears(&s)
	if s.IfHeld != nil {
		hears(s.IfHeld)
	}
	return s
}

// rowKey appends all that a row depends on, but for the board and the current of circuits
// outside of its scope.
func (a analysis) rowKey(key []byte, j job, scope []int, signatures []string) []byte {
	number := func(n int) { key = append(strconv.AppendInt(key, int64(n), 36), ' ') }
	number(int(j.fault.Kind))
	number(int(j.fault.Rail))
	number(j.fault.Output.Pin)
	for _, p := range j.fault.Places {
		number(p.Circuit)
		number(p.Channel)
	}
	key = append(key, '|')
	for _, i := range j.about {
		number(i)
		for _, l := range a.runLevels[i] {
			number(int(l))
		}
	}
	for _, i := range scope {
		key = append(key, '|')
		number(i)
		key = append(key, signatures[i]...)
	}
	// A part conducts whatever happens, for these rows, unless the board or one of the
	// circuits opens it. The pin bridged to drive_enable is about every hold's pole.
	every := j.fault.Output.EnablesDrive
	if every {
		key = append(key, '|')
		number(len(a.model.circuits))
	}
	for _, part := range a.path.Parts {
		key = append(key, '|')
		if part.Enable {
			key = append(key, 'e')
		}
		number(int(part.Kind)) // a pole before a semiconductor opens its line alone
		key = strconv.AppendBool(key, part.PulledOff)
		for _, h := range part.Holds {
			if every || slices.Contains(j.about, h) {
				number(h)
			}
		}
	}
	return key
}

// signature is all of a circuit that the model reads.
func (c Circuit) signature() string {
	key := strconv.AppendInt(nil, int64(c.Kind), 10)
	for _, ch := range c.Channels {
		for _, n := range []int64{int64(ch.Pin), int64(ch.Contact), int64(ch.WiredTo), int64(ch.Pull), ch.PullOhm, ch.SeriesOhm} {
			key = strconv.AppendInt(append(key, ' '), n, 36)
		}
		key = append(append(key, ' '), ch.Return...)
		key = append(key, 0)
	}
	return string(key)
}
