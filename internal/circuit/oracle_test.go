package circuit

// An independent judge of the ideal case: no resistances, only which nodes are
// connected. A node connected to a rail has its level; else its pulls decide
// if they agree; else it may be either. Nothing here uses the resistor model,
// the conclusion or the outcome of the package; only its types and its list of
// faults. Every wiring of one channel, of two channels, and of two circuits is
// enumerated.

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/board"
)

// graph is a set of nodes merged by ideal conductors.
type graph map[string]string

func (g graph) find(n string) string {
	for g[n] != "" {
		n = g[n]
	}
	return n
}

func (g graph) join(a, b string) {
	if a, b = g.find(a), g.find(b); a != b {
		g[a] = b
	}
}

// possible is the set of levels that a pin may read.
type possible struct{ low, high bool }

var (
	onlyLow  = possible{low: true}
	onlyHigh = possible{high: true}
	either   = possible{true, true}
)

func at(fs []Fault, k FaultKind, i, j int) bool {
	for _, f := range fs {
		for _, p := range f.Places {
			if f.Kind == k && p.Circuit == i && p.Channel == j {
				return true
			}
		}
	}
	return false
}

func railName(supply bool) string {
	if supply {
		return "supply"
	}
	return "ground"
}

// idealPressed: what the operator does, kind by kind.
func idealActuated(k board.HoldKind, stop bool) bool {
	switch k {
	case board.HoldToRun:
		return !stop
	case board.EmergencyStop, board.Interlock:
		return stop
	}
	panic("kind")
}

// mesh is what conducts: the defects, which are taken for ideal, and the wires and contacts,
// of which some are only a little worse. Where the rails touch through these, and the supply
// holds, a node reads the rail that a defect ties it to, else the rail that it reaches
// through wires; one that reaches both lies in between.
type mesh struct {
	all, defects graph
	wires        [][2]string
}

func (m *mesh) wire(a, b string) {
	m.all.join(a, b)
	m.wires = append(m.wires, [2]string{a, b})
}

func (m *mesh) defect(a, b string) {
	m.all.join(a, b)
	m.defects.join(a, b)
}

// reaches tells which rails a node reaches without going through one.
func (m *mesh) reaches(from string) (ground, supply bool) {
	met, next := map[string]bool{}, []string{m.defects.find(from)}
	for len(next) > 0 {
		n := next[0]
		next = next[1:]
		if met[n] {
			continue
		}
		met[n] = true
		low, high := n == m.defects.find("ground"), n == m.defects.find("supply")
		if low || high {
			ground, supply = ground || low, supply || high
			continue
		}
		for _, w := range m.wires {
			a, b := m.defects.find(w[0]), m.defects.find(w[1])
			if a == n {
				next = append(next, b)
			}
			if b == n {
				next = append(next, a)
			}
		}
	}
	return ground, supply
}

// idealLevels returns what each pin may read if the supply holds, whether the rails touch,
// and which rails the pin at fault is tied to.
func idealLevels(circuits []Circuit, fs []Fault, stop func(i int) bool) (levels [][]possible, shorted, tiedLow, tiedHigh bool) {
	m := &mesh{all: graph{}, defects: graph{}}
	g := m.all
	pulls := map[string][]string{}
	driven := map[string]bool{}
	pad := func(i, j int) string { return fmt.Sprint("pad", i, ".", j) }
	for i, c := range circuits {
		for j, ch := range c.Channels {
			contact, ret := fmt.Sprint("contact", i, ".", j), fmt.Sprint("return", i, ".", j)
			if ch.Return != "" {
				ret = "return " + ch.Return
			}
			toSupply := ch.WiredTo == Supply
			if !at(fs, SignalOpen, i, j) {
				m.wire(pad(i, j), contact)
			}
			if at(fs, SignalToGround, i, j) {
				m.defect(pad(i, j), "ground")
			}
			if at(fs, SignalToSupply, i, j) {
				m.defect(pad(i, j), "supply")
			}
			closed := idealActuated(c.Kind, stop(i)) != (ch.Contact == NormallyClosed)
			if at(fs, ContactStuckClosed, i, j) || closed && !at(fs, ContactStuckOpen, i, j) {
				m.wire(contact, ret)
			}
			if !at(fs, ReturnOpen, i, j) {
				m.wire(ret, railName(toSupply))
			}
			if at(fs, ReturnShorted, i, j) {
				m.defect(ret, railName(!toSupply))
			}
		}
	}
	for _, f := range fs {
		switch f.Kind {
		case PinsBridged:
			m.defect(pad(f.Places[0].Circuit, f.Places[0].Channel), pad(f.Places[1].Circuit, f.Places[1].Channel))
		case SignalToReturn:
			p := f.Places[1]
			ret := fmt.Sprint("return", p.Circuit, ".", p.Channel)
			if name := circuits[p.Circuit].Channels[p.Channel].Return; name != "" {
				ret = "return " + name
			}
			m.defect(pad(f.Places[0].Circuit, f.Places[0].Channel), ret)
		}
	}
	for i, c := range circuits {
		for j, ch := range c.Channels {
			if at(fs, PullShorted, i, j) {
				m.defect(pad(i, j), railName(ch.Pull == PullUp))
			}
		}
	}
	for i, c := range circuits {
		for j, ch := range c.Channels {
			if ch.Pull != PullNone && !at(fs, PullOpen, i, j) {
				pulls[g.find(pad(i, j))] = append(pulls[g.find(pad(i, j))], railName(ch.Pull == PullUp))
			}
			if at(fs, BridgedToOutput, i, j) {
				driven[g.find(pad(i, j))] = true
			}
		}
	}
	shorted = g.find("ground") == g.find("supply")
	for i, c := range circuits {
		levels = append(levels, nil)
		for j := range c.Channels {
			node := g.find(pad(i, j))
			level := either
			low, high := node == g.find("ground"), node == g.find("supply")
			if shorted {
				low, high = m.reaches(pad(i, j))
			}
			switch {
			case at(fs, PinStuckLow, i, j):
				level = onlyLow
			case at(fs, PinStuckHigh, i, j):
				level = onlyHigh
			case low && high:
			case low:
				level = onlyLow
			case high:
				level = onlyHigh
			case driven[node]:
			default:
				up, down := false, false
				for _, p := range pulls[node] {
					up, down = up || p == "supply", down || p == "ground"
				}
				if up != down {
					level = possible{low: down, high: up}
				}
			}
			levels[i] = append(levels[i], level)
		}
	}
	if len(fs) > 0 && len(fs[0].Places) > 0 {
		f := fs[0]
		node := g.find(pad(f.Places[0].Circuit, f.Places[0].Channel))
		tiedLow, tiedHigh = node == g.find("ground"), node == g.find("supply")
	}
	return levels, shorted, tiedLow, tiedHigh
}

// verdicts lists what the board may make of one circuit: "run", "stop" or
// "differ", over every combination of possible levels.
func verdicts(runHigh []bool, levels []possible) map[string]bool {
	out := map[string]bool{}
	for mask := range 1 << len(levels) {
		runs, ok := 0, true
		for j, l := range levels {
			high := mask>>j&1 == 1
			ok = ok && (high && l.high || !high && l.low)
			if high == runHigh[j] {
				runs++
			}
		}
		switch {
		case !ok:
		case runs == len(levels):
			out["run"] = true
		case runs == 0:
			out["stop"] = true
		default:
			out["differ"] = true
		}
	}
	return out
}

// idealRun derives the run levels; ok is false if run and stop look alike.
func idealRun(c Circuit) (runHigh []bool, ok bool) {
	run, _, _, _ := idealLevels([]Circuit{c}, nil, func(int) bool { return false })
	stop, _, _, _ := idealLevels([]Circuit{c}, nil, func(int) bool { return true })
	for j := range c.Channels {
		r, s := run[0][j], stop[0][j]
		if r == s || r == either || s == either {
			return nil, false
		}
		runHigh = append(runHigh, r == onlyHigh)
	}
	return runHigh, true
}

// ideal is what the judge makes of one fault.
type ideal struct {
	outcome Outcome
	found   Found // ByWrittenTest for that and all that is later
	ownLost bool
}

// seen is what can be seen in one state of a supply that holds: what each pin may read,
// circuit by circuit; and that the supply is shorted, so that it may not hold.
type seen struct {
	levels  map[int][]possible
	shorted bool
	output
}

// output is what becomes of that which enables the drive, with a pin bridged to it: not
// certainly down while the board holds it low; while it holds it high, certainly down, or
// not certainly up.
type output struct{ up, drawn, sags bool }

// gone is what is seen where a shorted supply is gone: nothing.
func (s seen) gone() seen {
	if !s.shorted {
		return s
	}
	levels := map[int][]possible{}
	for i, of := range s.levels {
		for range of {
			levels[i] = append(levels[i], either)
		}
	}
	return seen{levels, true, output{up: true, sags: true}}
}

// idealVerdict judges one fault of the circuits in about, with the path behind them.
func idealVerdict(circuits []Circuit, path Path, about []int, f Fault) ideal {
	single := idealFaults(circuits, f)
	runHigh := map[int][]bool{}
	for _, i := range about {
		runHigh[i], _ = idealRun(circuits[i])
	}
	return verdictOf(len(circuits), path, about, f, runHigh, func(stop func(int) bool) seen {
		levels, shorted, tiedLow, tiedHigh := idealLevels(circuits, single, stop)
		s := seen{levels: map[int][]possible{}, shorted: shorted, output: output{tiedHigh, tiedLow, tiedLow}}
		for _, i := range about {
			s.levels[i] = levels[i]
		}
		return s
	})
}

// verdictOf judges one fault by what is seen under it in each state: the worse of a
// shorted supply that is gone and one that holds, and the later of when it is found.
func verdictOf(circuits int, path Path, about []int, f Fault, runHigh map[int][]bool, look func(stop func(int) bool) seen) ideal {
	gone, holds := verdictsOf(circuits, path, about, f, runHigh, look)
	return ideal{max(gone.outcome, holds.outcome), max(gone.found, holds.found), gone.ownLost || holds.ownLost}
}

func verdictsOf(circuits int, path Path, about []int, f Fault, runHigh map[int][]bool, look func(stop func(int) bool) seen) (gone, holds ideal) {
	var without, with []seen
	for mask := range 1 << len(about) {
		s := look(func(i int) bool {
			k := slices.Index(about, i)
			return k >= 0 && mask>>k&1 == 1
		})
		without = append(without, s.gone())
		s.shorted = false
		with = append(with, s)
	}
	return verdictIn(circuits, path, about, f, runHigh, without), verdictIn(circuits, path, about, f, runHigh, with)
}

// verdictIn judges one fault by what is seen in each state.
func verdictIn(circuits int, path Path, about []int, f Fault, runHigh map[int][]bool, sights []seen) ideal {
	type result struct {
		asked                                    int
		shorted, heard, still, differ, outputLow bool
	}
	var results []result
	var out ideal
	// Of each pin, whether in every state it certainly reads run, and certainly stop.
	run, stopped := map[[2]int]bool{}, map[[2]int]bool{}
	others := []int{-1} // the board's reasons to hold the output low: none
	if f.Output.EnablesDrive {
		for i := range circuits {
			if !slices.Contains(about, i) {
				others = append(others, i)
			}
		}
		others = append(others, circuits) // its own
	}
	for mask := range 1 << len(about) {
		stop := func(i int) bool {
			for bit, k := range about {
				if k == i {
					return mask>>bit&1 == 1
				}
			}
			return false
		}
		here := sights[mask]
		if !f.Output.EnablesDrive {
			here.output = output{}
		}
		// That the pin draws the line down is not counted on: a poor joint may not.
		counted := here.output
		counted.drawn, counted.sags = false, counted.drawn || counted.sags
		for _, other := range others {
			r := result{shorted: here.shorted, outputLow: other >= 0}
			certain, maybe, askedCertain, askedMaybe := false, false, false, false
			for _, i := range about {
				v := verdicts(runHigh[i], here.levels[i])
				certain, maybe = certain || !v["run"], maybe || len(v) > 1
				if stop(i) {
					r.asked++
					askedCertain, askedMaybe = askedCertain || !v["run"], askedMaybe || len(v) > 1
				}
				r.differ = r.differ || v["differ"] && len(v) == 1
				for j, l := range here.levels[i] {
					at := [2]int{i, j}
					if _, seen := run[at]; !seen {
						run[at], stopped[at] = true, true
					}
					mayRun, mayStop := l.high && runHigh[i][j] || l.low && !runHigh[i][j], l.high && !runHigh[i][j] || l.low && runHigh[i][j]
					run[at], stopped[at] = run[at] && !mayStop, stopped[at] && !mayRun
				}
			}
			asked := func(i int) bool { return i == other || stop(i) }
			r.still, _ = judged(path, []Fault{f}, here.wanted(certain || r.outputLow, maybe), asked)
			r.heard, _ = judged(path, []Fault{f}, counted.wanted(askedCertain || r.outputLow, askedMaybe), asked)
			if other == circuits {
				out.ownLost = out.ownLost || !r.still
				continue // a hold still stops it; told apart
			}
			results = append(results, r)
		}
	}
	shorts, missed, differAsked := 0, 0, true
	for _, r := range results {
		if r.shorted {
			shorts++
		}
		if (r.asked > 0 || r.outputLow) && !r.heard {
			missed++
		}
		if r.asked == 1 && !r.outputLow && !r.differ {
			differAsked = false
		}
	}
	never := false // certainly seen in stop, or in run
	for at := range run {
		never = never || run[at] || stopped[at]
	}
	switch {
	case results[0].still || results[0].shorted || results[0].differ:
		out.found = AtOnce
	case differAsked:
		out.found = AtNextDemand
	case never:
		out.found = ByStartUpTest
	default:
		out.found = ByWrittenTest
	}
	switch {
	case shorts == len(results):
		out.outcome = ShortCircuit
	case missed > 0:
		out.outcome = LeavesRunning
	case shorts > 0:
		out.outcome = ShortCircuit
	case results[0].still:
		out.outcome = StopsDrive
	default:
		out.outcome = StopsOnDemand
	}
	return out
}

// wanted is what becomes of drive_enable: certain that some circuit, or the board,
// stops; or maybe.
func (o output) wanted(certain, maybe bool) command {
	down, up := wantsOff, wantsOn
	if o.up {
		down = wantsEither
	}
	if o.sags {
		up = wantsEither
	}
	if o.drawn {
		up = wantsOff
	}
	switch {
	case certain:
		return down
	case !maybe || up == down:
		return up
	}
	return wantsEither
}

// idealFaults are the single changes of wires and contacts that a fault makes.
func idealFaults(circuits []Circuit, f Fault) []Fault {
	var list []Fault
	add := func(kinds ...FaultKind) {
		for _, k := range kinds {
			list = append(list, Fault{Kind: k, Places: f.Places, Rail: f.Rail})
		}
	}
	switch f.Kind {
	case CableToGround:
		add(SignalToGround)
	case CableToSupply:
		add(SignalToSupply)
	case CableToReturns:
		for _, p := range f.Places {
			list = append(list, Fault{Kind: SignalToReturn, Places: []Place{p, p}})
		}
	case CableCut, ConnectorOff, FeedsLost:
		if f.Kind != FeedsLost {
			add(SignalOpen)
		}
		for _, p := range f.Places {
			mine := circuits[p.Circuit].Channels[p.Channel].Return
			for i, c := range circuits { // a conductor is lost to all that have it
				for j, ch := range c.Channels {
					if i == p.Circuit && j == p.Channel || mine != "" && ch.Return == mine {
						list = append(list, Fault{Kind: ReturnOpen, Places: []Place{{i, j, ch.Pin}}})
					}
				}
			}
		}
	case ActuatorJammed:
		for _, p := range f.Places {
			c := circuits[p.Circuit]
			k := ContactStuckOpen
			if idealActuated(c.Kind, false) != (c.Channels[p.Channel].Contact == NormallyClosed) {
				k = ContactStuckClosed
			}
			list = append(list, Fault{Kind: k, Places: []Place{p}})
		}
	default:
		list = []Fault{f}
	}
	return list
}

// allChannels lists every wiring of one channel.
func allChannels(pin int) []Channel {
	var list []Channel
	for _, contact := range []Contact{NormallyOpen, NormallyClosed} {
		for _, rail := range []Rail{Ground, Supply} {
			for _, pull := range []Pull{PullNone, PullUp, PullDown} {
				list = append(list, Channel{Pin: pin, Contact: contact, WiredTo: rail, Pull: pull})
			}
		}
	}
	return list
}

var kinds = board.HoldKinds()

// tally counts the rows that were compared.
type tally struct {
	of   map[Outcome]int
	when map[Found]int
}

func newTally() tally { return tally{map[Outcome]int{}, map[Found]int{}} }

// agree compares model and oracle on every row of the circuits.
func agree(t *testing.T, circuits []Circuit, path Path, counts tally) {
	t.Helper()
	b := DefaultBoard()
	b.Outputs = []Output{{"drive enable", 8, true}}
	require.NoError(t, validate(b, circuits, path))
	a := newAnalysis(b, circuits, path)
	for _, j := range jobs(b, circuits, path) {
		if j.fault.Kind.ofPath() {
			continue // TestEveryDrivePath
		}
		distinct := true
		for _, i := range j.about {
			runHigh, ok := idealRun(circuits[i])
			distinct = distinct && ok
			for c, high := range runHigh {
				want := Low
				if high {
					want = High
				}
				require.Equal(t, want, a.runLevels[i][c])
			}
		}
		row := a.row(j)
		if j.fault.Kind == NoFault {
			want := Indistinct
			if distinct {
				want = Healthy
			}
			require.Equal(t, want.String(), row.Outcome.String(), "%+v", circuits)
			counts.of[want]++
			continue
		}
		if !distinct {
			continue
		}
		found, _ := a.found(j, row, nil)
		got, want := ideal{row.Outcome, min(found, Never), row.OwnStopLost}, idealVerdict(circuits, path, j.about, j.fault)
		if want.found == ByWrittenTest {
			want.found = Never // without a written test
		}
		if got != want {
			require.Equal(t, fmt.Sprint(want), fmt.Sprint(got), "%s of %+v\n%+v", j.fault, circuits, path)
		}
		counts.of[want.outcome]++
		counts.when[want.found]++
	}
}

// behind lists paths to stand behind circuits: the plain one, and for each circuit one
// with a pole of it.
func behind(circuits int) []Path {
	list := []Path{plain()}
	for i := range circuits {
		list = append(list, withPole(i))
	}
	return list
}

func TestEveryWiringOfOneChannel(t *testing.T) {
	counts := newTally()
	for _, k := range kinds {
		for _, ch := range allChannels(22) {
			for _, external := range []int64{0, 10_000} {
				if ch.Pull == PullNone && external > 0 {
					continue
				}
				ch.PullOhm = external
				c := Circuit{Name: "c", Kind: k, Channels: []Channel{ch}}
				for _, path := range behind(1) {
					agree(t, []Circuit{c}, path, counts)
				}
			}
		}
	}
	for _, o := range []Outcome{Healthy, StopsDrive, StopsOnDemand, ShortCircuit, LeavesRunning, Indistinct} {
		require.Positive(t, counts.of[o], "%s never came up", o)
	}
}

func TestEveryWiringOfTwoChannels(t *testing.T) {
	counts := newTally()
	for _, k := range kinds {
		for _, a := range allChannels(24) {
			for _, b := range allChannels(26) {
				for n, path := range behind(1) {
					c := Circuit{Name: "c", Kind: k, Channels: []Channel{a, b}, DiscrepancyMS: 100}
					c.CommonCause = CommonCause{Cable: true, Connector: true, Supply: true, Actuator: n == 0}
					agree(t, []Circuit{c}, path, counts)
					if a.WiredTo == b.WiredTo {
						c.Channels[0].Return, c.Channels[1].Return = "common", "common"
						c.CommonCause.Actuator = n == 1
						agree(t, []Circuit{c}, path, counts)
					}
				}
			}
		}
	}
	for _, o := range Outcomes() {
		require.Positive(t, counts.of[o], "%s never came up", o)
	}
}

func TestEveryWiringOfTwoCircuits(t *testing.T) {
	counts := newTally()
	for _, k := range []board.HoldKind{board.HoldToRun, board.EmergencyStop} {
		for _, a := range allChannels(22) {
			for _, b := range allChannels(24) {
				circuits := []Circuit{
					{Name: "first", Kind: k, Channels: []Channel{a}},
					{Name: "second", Kind: board.EmergencyStop, Channels: []Channel{b}},
				}
				for _, path := range behind(2) {
					agree(t, circuits, path, counts)
				}
				if a.WiredTo == b.WiredTo {
					circuits[0].Channels[0].Return, circuits[1].Channels[0].Return = "common", "common"
					agree(t, circuits, plain(), counts)
				}
			}
		}
	}
	require.Positive(t, counts.of[LeavesRunning])
}

// One circuit of two channels beside one of one: bridges between a channel
// that has a partner and one that has none.
func TestEveryWiringBesideATwoChannelStop(t *testing.T) {
	counts := newTally()
	stop := Circuit{Name: "stop", Kind: board.EmergencyStop, DiscrepancyMS: 100, Channels: []Channel{
		{Pin: 24, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp},
		{Pin: 26, Contact: NormallyClosed, WiredTo: Supply, Pull: PullDown},
	}}
	for _, k := range kinds {
		for _, ch := range allChannels(22) {
			for _, path := range behind(2) {
				agree(t, []Circuit{{Name: "other", Kind: k, Channels: []Channel{ch}}, stop}, path, counts)
			}
		}
	}
	for _, f := range []Found{AtOnce, AtNextDemand, ByStartUpTest, Never} {
		require.Positive(t, counts.when[f], "%s never came up", f)
	}
}
