package circuit

// An independent nodal analysis: the equations G·v = i of the whole mission, every
// circuit in it, assembled here from the wiring and solved by gonum. Nothing of the
// package's network, corners or scopes is used, only its types and its list of faults.
//
// Each uncertain figure (a pull, a resistor, a leak, an input's current, the output's
// level, the position of each contact that the row leaves free) is taken at its least and at
// its greatest, and the extremes of a pin's voltage are looked for from random beginnings:
// which way a voltage moves with one conductance g between a and b is told by the adjoint
// equation, dv/dg = −(x_a − x_b)·(v_a − v_b) with G·x = e, and a voltage only rises or only
// falls in any one. What is found that way is a voltage that can be; it must lie within the
// package's bounds, and must come up to them.
//
// From these voltages, the thresholds and the drive path in plain booleans (judge_test.go)
// the outcome of a row is worked out, when its fault is found, and by which step of the
// written test.

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"

	"merestone/internal/board"
)

const (
	atGround = -1
	atSupply = -2
)

// branch is a conductance between two nodes, somewhere between two values.
type branch struct {
	a, b   int
	lo, hi float64
}

// bench is a mission with faults, as somebody would lay it out on a table.
type bench struct {
	board    Board
	circuits []Circuit
	node     map[string]int
	branches []branch
	inputs   []int // nodes into which an input's current goes, either way
	inputMA  float64
	tie      float64 // siemens to ground of every node, so that none is without
}

// newBench lays out the mission in one state: stop has the circuits whose position is
// given; the contacts of the others stand where they will.
func newBench(b Board, circuits []Circuit, fs []Fault, stop map[int]bool, outputHigh bool) *bench {
	be := &bench{board: b, circuits: circuits, node: map[string]int{"ground": atGround, "supply": atSupply}, inputMA: float64(b.LeakageNA) * 1e-6, tie: 1e-12}
	index := func(name string) int {
		n, known := be.node[name]
		if !known {
			n = len(be.node) - 2
			be.node[name] = n
		}
		return n
	}
	between := func(a, b string, lo, hi float64) {
		be.branches = append(be.branches, branch{index(a), index(b), lo, hi})
	}
	join := func(a, b string, ohm float64) { between(a, b, 1/ohm, 1/ohm) }
	for i, c := range circuits {
		for j, ch := range c.Channels {
			is := func(k FaultKind) bool { return at(fs, k, i, j) }
			p := fmt.Sprintf("%d.%d", i, j)
			pad, buffer, contact, ret := "pad "+p, "buffer "+p, "contact "+p, be.ret(i, j)
			rail, opposite := railName(ch.WiredTo == Supply), railName(ch.WiredTo != Supply)
			if _, known := be.node[ret]; !known {
				index(ret)
				most, least := be.tolerated(ch.SeriesOhm)
				if is(SeriesShorted) {
					most, least = hardOhm, hardOhm
				}
				if !is(ReturnOpen) {
					between(ret, rail, 1/(float64(b.WireOhm)+most), 1/(float64(b.WireOhm)+least))
				}
				if is(ReturnShorted) {
					join(ret, opposite, hardOhm)
				}
			}
			switch {
			case is(PinStuckLow):
				join(buffer, "ground", hardOhm)
			case is(PinStuckHigh):
				join(buffer, "supply", hardOhm)
			default:
				join(buffer, pad, hardOhm)
			}
			if ch.Pull != PullNone && !is(PullOpen) {
				most, least := float64(b.PullMaxOhm), float64(b.PullMinOhm)
				if ch.PullOhm > 0 {
					most, least = be.tolerated(ch.PullOhm)
				}
				if is(PullShorted) {
					most, least = hardOhm, hardOhm
				}
				between(pad, railName(ch.Pull == PullUp), 1/most, 1/least)
			}
			if !is(SignalOpen) {
				join(pad, contact, float64(b.WireOhm))
			}
			if is(SignalToGround) {
				join(pad, "ground", hardOhm)
			}
			if is(SignalToSupply) {
				join(pad, "supply", hardOhm)
			}
			stopped, given := stop[i]
			closed := idealActuated(c.Kind, stopped) == (ch.Contact == NormallyOpen)
			switch {
			case !given:
				between(contact, ret, 0, 1/float64(b.ContactClosedOhm))
			case is(ContactStuckClosed), closed && !is(ContactStuckOpen):
				ohm := float64(b.ContactClosedOhm)
				if !closed {
					ohm += hardOhm
				}
				join(contact, ret, ohm)
			default:
				between(contact, ret, 0, 1/float64(b.ContactOpenOhm))
			}
			be.inputs = append(be.inputs, index(pad))
		}
	}
	place := func(p Place) string { return fmt.Sprintf("pad %d.%d", p.Circuit, p.Channel) }
	for _, f := range fs {
		switch f.Kind {
		case PinsBridged:
			join(place(f.Places[0]), place(f.Places[1]), hardOhm)
		case SignalToReturn:
			join(place(f.Places[0]), be.ret(f.Places[1].Circuit, f.Places[1].Channel), hardOhm)
		case ReturnsBridged:
			join(be.ret(f.Places[0].Circuit, f.Places[0].Channel), be.ret(f.Places[1].Circuit, f.Places[1].Channel), hardOhm)
		case loaded:
			join(place(f.Places[0]), railName(f.Rail == Supply), float64(f.LoadOhm))
		case BridgedToOutput:
			join(place(f.Places[0]), "output", hardOhm)
			join("output", railName(outputHigh), float64(b.OutputOhm))
		}
	}
	return be
}

func (be *bench) ret(i, j int) string {
	if r := be.circuits[i].Channels[j].Return; r != "" {
		return "return " + r
	}
	return fmt.Sprintf("return %d.%d", i, j)
}

// tolerated is a fitted resistor at the ends of its tolerance.
func (be *bench) tolerated(ohm int64) (most, least float64) {
	t := float64(be.board.ResistorPPM) / 1e6
	return float64(ohm) * (1 + t), float64(ohm) * (1 - t)
}

// level is the voltage at a node, of which the solution has the free ones.
func (be *bench) level(v mat.Vector, node int) float64 {
	switch node {
	case atGround:
		return 0
	case atSupply:
		return float64(be.board.SupplyMV)
	}
	return v.AtVec(node)
}

// ends says which figures are at their greatest, and which inputs drive current out.
type ends struct{ branch, input []bool }

func (e ends) clone() ends { return ends{slices.Clone(e.branch), slices.Clone(e.input)} }

// solve returns the voltages of the nodes in millivolts, and how they answer to a current
// into the node asked of. A node that nothing ties down is held by a resistance beyond all
// others, so that it drifts with its input's current.
func (be *bench) solve(e ends, of int) (v, x mat.Vector) {
	n := len(be.node) - 2
	g, i := mat.NewDense(n, n, nil), mat.NewDense(n, 2, nil)
	put := func(a, b int, siemens float64) {
		if a < 0 {
			return
		}
		g.Set(a, a, g.At(a, a)+siemens)
		switch {
		case b >= 0:
			g.Set(a, b, g.At(a, b)-siemens)
		case b == atSupply:
			i.Set(a, 0, i.At(a, 0)+siemens*float64(be.board.SupplyMV))
		}
	}
	for k, br := range be.branches {
		siemens := br.lo
		if e.branch[k] {
			siemens = br.hi
		}
		put(br.a, br.b, siemens)
		put(br.b, br.a, siemens)
	}
	for k, node := range be.inputs {
		mA := be.inputMA
		if !e.input[k] {
			mA = -mA
		}
		i.Set(node, 0, i.At(node, 0)+mA)
	}
	for k := range n {
		g.Set(k, k, g.At(k, k)+be.tie)
	}
	if of >= 0 {
		i.Set(of, 1, 1)
	}
	// mat.LU would estimate the condition as well, which takes as long again.
	pivots := make([]int, n)
	if !lapack64.Getrf(g.RawMatrix(), pivots) {
		panic("a node without any resistance")
	}
	lapack64.Getrs(blas.NoTrans, g.RawMatrix(), i.RawMatrix(), pivots)
	return i.ColView(0), i.ColView(1)
}

// extreme looks for the greatest, or the least, voltage of a node.
func (be *bench) extreme(r *rand.Rand, name string, greatest bool) float64 {
	sign := 1.0
	if !greatest {
		sign = -1
	}
	of := be.node[name]
	value := func(v mat.Vector) float64 { return sign * v.AtVec(of) }
	best := math.Inf(-1)
	for range 3 { // two figures may matter only together, so that one turn of each shows nothing
		at := ends{make([]bool, len(be.branches)), make([]bool, len(be.inputs))}
		for k, br := range be.branches {
			at.branch[k] = br.lo != br.hi && r.IntN(2) == 1
		}
		for k := range at.input {
			at.input[k] = greatest // into any node, current raises every voltage
		}
		v, x := be.solve(at, of)
		for {
			turned, first, gain := at.clone(), -1, 0.0
			for k, br := range be.branches {
				by := br.hi - br.lo
				if at.branch[k] {
					by = -by
				}
				xa, xb := 0.0, 0.0
				if br.a >= 0 {
					xa = x.AtVec(br.a)
				}
				if br.b >= 0 {
					xb = x.AtVec(br.b)
				}
				if better := -sign * (xa - xb) * (be.level(v, br.a) - be.level(v, br.b)) * by; better > 1e-9 {
					turned.branch[k] = !at.branch[k]
					if better > gain {
						first, gain = k, better
					}
				}
			}
			if first < 0 {
				break
			}
			tv, tx := be.solve(turned, of)
			if value(tv) <= value(v)+1e-9 { // all at once is no better: the first of them alone
				turned = at.clone()
				turned.branch[first] = !at.branch[first]
				if tv, tx = be.solve(turned, of); value(tv) <= value(v)+1e-9 {
					break
				}
			}
			at, v, x = turned, tv, tx
		}
		best = max(best, value(v))
	}
	return min(max(sign*best, 0), float64(be.board.SupplyMV))
}

// greatestMA is the current of the supply with every conductance at its greatest:
// nothing draws more (Rayleigh's monotonicity).
func (be *bench) greatestMA() float64 {
	at := ends{make([]bool, len(be.branches)), make([]bool, len(be.inputs))}
	for k := range at.branch {
		at.branch[k] = true
	}
	quiet := *be
	quiet.inputMA, quiet.tie = 0, 1e-9 // nothing drifts, and the shorts keep more of their digits
	v, _ := quiet.solve(at, atGround)
	mA := 0.0
	for _, br := range be.branches {
		if (br.a == atSupply) != (br.b == atSupply) {
			mA += math.Abs(be.level(v, br.a)-be.level(v, br.b)) * br.hi
		}
	}
	return mA
}

// freeInputsMV is what the currents of inputs that the row leaves free make at a common
// resistor, which the package leaves out of its bounds (model.go, contactClosed).
func freeInputsMV(b Board, circuits []Circuit, stop map[int]bool) float64 {
	mv := 0.0
	for i, c := range circuits {
		for _, ch := range c.Channels {
			if _, given := stop[i]; !given && ch.Return != "" {
				mv += float64(b.LeakageNA) * 1e-6 * (float64(ch.SeriesOhm)*(1+float64(b.ResistorPPM)/1e6) + float64(b.WireOhm))
			}
		}
	}
	return mv
}

// span is what a voltage can be, in millivolts.
type span struct{ least, greatest float64 }

// look is a state as the nodal analysis sees it.
type look struct {
	pins        map[[2]int]span // of the circuits looked at
	loose, tied float64         // mA, with free contacts each by itself, and those of a circuit together
	line        span            // mV of an output that enables the drive, held low
	drawn       span            // and held high
	slack       float64         // mV
}

// lookAt analyses one state of the circuits in about.
func lookAt(r *rand.Rand, b Board, circuits []Circuit, fs []Fault, about []int, stop map[int]bool) look {
	l := look{pins: map[[2]int]span{}, slack: 1e-3 + freeInputsMV(b, circuits, stop)}
	bridged := slices.ContainsFunc(fs, func(f Fault) bool { return f.Kind == BridgedToOutput })
	for _, high := range []bool{false, true} {
		if high && !bridged {
			break
		}
		be := newBench(b, circuits, fs, stop, high)
		l.loose = max(l.loose, be.greatestMA())
		for _, i := range about {
			for j := range circuits[i].Channels {
				name := fmt.Sprintf("buffer %d.%d", i, j)
				now := span{be.extreme(r, name, false), be.extreme(r, name, true)}
				if before, seen := l.pins[[2]int{i, j}]; seen {
					now = span{min(now.least, before.least), max(now.greatest, before.greatest)}
				}
				l.pins[[2]int{i, j}] = now
			}
		}
		if bridged {
			now := span{be.extreme(r, "output", false), be.extreme(r, "output", true)}
			if high {
				l.drawn = now
			} else {
				l.line = now
			}
		}
		for mask := range 1 << len(circuits) {
			all, fits := map[int]bool{}, true
			for i := range circuits {
				all[i] = mask>>i&1 == 1
				if is, given := stop[i]; given {
					fits = fits && all[i] == is
				}
			}
			if fits {
				l.tied = max(l.tied, newBench(b, circuits, fs, all, high).greatestMA())
			}
		}
	}
	return l
}

// close tells whether a voltage lies so near to a limit that two ways of working it out
// may differ about it.
func (l look) close(b Board) bool {
	near := func(v float64, limits ...int64) bool {
		return slices.ContainsFunc(limits, func(limit int64) bool { return math.Abs(v-float64(limit)) <= 2*l.slack })
	}
	for _, s := range l.pins {
		if near(s.greatest, b.LowBelowMV) || near(s.least, b.HighAboveMV) {
			return true
		}
	}
	limit := float64(b.SupplyLimitMA)
	return near(l.line.greatest, b.DriveOffBelowMV) || near(l.drawn.greatest, b.DriveOffBelowMV) || near(l.drawn.least, b.HighAboveMV) || l.tied <= limit+1e-3 && l.loose >= limit-1e-3
}

// seen applies the thresholds.
func (l look) seen(b Board, about []int, circuits []Circuit) seen {
	s := seen{levels: map[int][]possible{}, shorted: l.tied > float64(b.SupplyLimitMA)}
	off := float64(b.DriveOffBelowMV)
	s.output = output{l.line.greatest >= off, l.drawn.greatest < off, l.drawn.least <= float64(b.HighAboveMV)}
	for _, i := range about {
		for j := range circuits[i].Channels {
			v := l.pins[[2]int{i, j}]
			level := either
			switch {
			case v.greatest < float64(b.LowBelowMV):
				level = onlyLow
			case v.least > float64(b.HighAboveMV):
				level = onlyHigh
			}
			s.levels[i] = append(s.levels[i], level)
		}
	}
	return s
}

// nodal is a mission under the nodal analysis.
type nodal struct {
	r        *rand.Rand
	board    Board
	circuits []Circuit
	path     Path
	runHigh  map[int][]bool
	distinct bool // of every circuit
	close    bool // something was too near to a limit to be judged
	// must keeps what steps come to without a fault, and whether that was too near.
	must map[string]soundStep
}

type soundStep struct {
	step
	close bool
}

// sound takes a step without a fault, once.
func (n *nodal) sound(t Test) step {
	s, known := n.must[t.ID]
	if !known {
		before := n.close
		n.close = false
		s = soundStep{n.take(t, nil, true), n.close}
		s.off, s.on = true, false // as every step without a meter says
		n.close = before
		n.must[t.ID] = s
	}
	n.close = n.close || s.close
	return s.step
}

// newNodal finds out which level is run.
func newNodal(r *rand.Rand, b Board, circuits []Circuit, path Path) *nodal {
	n := &nodal{r: r, board: b, circuits: circuits, path: path, runHigh: map[int][]bool{}, distinct: true, must: map[string]soundStep{}}
	for i, c := range circuits {
		about := []int{i}
		run, stop := n.see(nil, about, map[int]bool{i: false}).gone(), n.see(nil, about, map[int]bool{i: true}).gone()
		for j := range c.Channels {
			r, s := run.levels[i][j], stop.levels[i][j]
			n.distinct = n.distinct && r != s && r != either && s != either
			n.runHigh[i] = append(n.runHigh[i], r == onlyHigh)
		}
	}
	return n
}

func (n *nodal) see(fs []Fault, about []int, stop map[int]bool) seen {
	l := lookAt(n.r, n.board, n.circuits, fs, about, stop)
	n.close = n.close || l.close(n.board)
	return l.seen(n.board, about, n.circuits)
}

// judge works out one row.
func (n *nodal) judge(j job) ideal {
	gone, holds := n.judgeBoth(j)
	return ideal{max(gone.outcome, holds.outcome), max(gone.found, holds.found), gone.ownLost || holds.ownLost}
}

// judgeBoth works out one row with a shorted supply gone, and with one that holds.
func (n *nodal) judgeBoth(j job) (gone, holds ideal) {
	fs := idealFaults(n.circuits, j.fault)
	return verdictsOf(len(n.circuits), n.path, j.about, j.fault, n.runHigh, func(stop func(int) bool) seen {
		given := map[int]bool{}
		for _, i := range j.about {
			given[i] = stop(i)
		}
		return n.see(fs, j.about, given)
	})
}

// randomMission draws a board and up to three circuits, in figures that are apt to be
// near one limit or another.
func randomMission(r *rand.Rand) (Board, []Circuit) {
	b := DefaultBoard()
	b.SupplyMV = []int64{1800, 3300, 5000}[r.IntN(3)]
	b.LowBelowMV, b.HighAboveMV = b.SupplyMV*3/10, b.SupplyMV*7/10
	b.PullMinOhm = 5_000 + r.Int64N(40_000)
	b.PullMaxOhm = b.PullMinOhm + r.Int64N(100_000)
	b.LeakageNA = r.Int64N(2000)
	b.WireOhm, b.ContactClosedOhm = 1+r.Int64N(40), 1+r.Int64N(40)
	if r.IntN(2) == 0 {
		b.WireOhm, b.ContactClosedOhm = 1+r.Int64N(4), 1+r.Int64N(4)
	}
	b.DriveOffBelowMV = []int64{300, 600, 1000}[r.IntN(3)]
	b.ContactOpenOhm = 20_000 + r.Int64N(2_000_000)
	b.ResistorPPM = r.Int64N(200_001)
	b.OutputOhm = 10 + r.Int64N(100)
	b.SupplyLimitMA = []int64{20, 60, 200}[r.IntN(3)]
	b.Outputs = []Output{{"drive enable", 8, true}}
	any := func(ohm ...int64) int64 { return ohm[r.IntN(len(ohm))] }
	shared := Channel{WiredTo: Rail(r.IntN(2)), SeriesOhm: any(0, 100, 1000)}
	var circuits []Circuit
	pin := 20
	for i := range 1 + r.IntN(3) {
		c := Circuit{Name: fmt.Sprint("circuit ", i), Kind: board.HoldKinds()[r.IntN(3)], DiscrepancyMS: 100}
		for range 1 + r.IntN(2) {
			ch := Channel{Pin: pin, Contact: Contact(r.IntN(2)), WiredTo: Rail(r.IntN(2))}
			pin++
			ch.Pull = ch.WiredTo.pullAway()
			if r.IntN(16) == 0 {
				ch.Pull = Pull(r.IntN(3))
			}
			if ch.Pull != PullNone {
				ch.PullOhm = any(0, 470, 1000, 4700)
			}
			ch.SeriesOhm = any(0, 0, 100, 470, 2200)
			if ch.WiredTo == shared.WiredTo && r.IntN(2) == 0 {
				ch.Return, ch.SeriesOhm = "common", shared.SeriesOhm
			}
			c.Channels = append(c.Channels, ch)
		}
		if len(c.Channels) == 2 {
			c.CommonCause = CommonCause{Cable: r.IntN(2) == 0, Connector: r.IntN(2) == 0, Supply: r.IntN(2) == 0, Actuator: r.IntN(2) == 0}
		}
		circuits = append(circuits, c)
	}
	return b, circuits
}

// randomPath draws up to three parts for so many circuits.
func randomPath(r *rand.Rand, circuits int) Path {
	var path Path
	for enabled := false; !enabled || len(path.Parts) < 3 && r.IntN(2) == 0; {
		p := Part{Name: fmt.Sprint("part ", len(path.Parts)), Kind: PartKinds()[r.IntN(3)], OffMS: 5}
		if p.Kind != Pole {
			p.Enable, p.Watchdog = r.IntN(2) == 0, r.IntN(4) == 0
		}
		p.PulledOff = p.Kind == Semiconductor && r.IntN(2) == 0
		for h := range circuits {
			if r.IntN(3) == 0 {
				p.Holds = append(p.Holds, h)
			}
		}
		if !p.Enable && !p.Watchdog && len(p.Holds) == 0 {
			continue
		}
		p.PulledOff = p.PulledOff || p.Kind == Semiconductor && len(p.Holds) > 0 // as the language asks
		if p.Watchdog {
			path.WatchdogMS = 100
		}
		enabled = enabled || p.Enable
		path.Parts = append(path.Parts, p)
	}
	return path
}

// pick draws a row, of the wanted kind more often than not.
func pick(r *rand.Rand, rows []job, want FaultKind) job {
	j := rows[r.IntN(len(rows))]
	if want != NoFault {
		for _, row := range rows {
			if row.fault.Kind == want && r.IntN(3) > 0 {
				j = row
			}
		}
	}
	return j
}

// Every bound of every pin is a voltage that can be, and none beyond it can: a mission
// is drawn, then a row and a state of it, then every pin of that. Then the row as a whole:
// its outcome, the board's own stop, and when the fault is found.
func TestAgainstAnIndependentNodalAnalysis(t *testing.T) {
	t.Parallel()
	const missions = 5500
	r := rand.New(rand.NewPCG(20, 26))
	kinds, outcomes, founds := map[FaultKind]int{}, map[Outcome]int{}, map[Found]int{}
	pins, floating, held, drawn, sags, shorts, indistinct, close, ownLost := 0, 0, 0, 0, 0, 0, 0, 0, 0
	for number := range missions {
		b, circuits := randomMission(r)
		path := randomPath(r, len(circuits))
		require.NoError(t, validate(b, circuits, path))
		a := newAnalysis(b, circuits, path)
		if number%4 > 0 && !a.allDistinct(a.every()) {
			indistinct++
			continue // of those that cannot tell run from stop a few will do
		}
		j := pick(r, jobs(b, circuits, path), faultKinds()[number%len(faultKinds())])
		what := func(more string, args ...any) string {
			return fmt.Sprintf("mission %d: %s: %s\n%+v\n%+v\n%+v", number, j.fault, fmt.Sprintf(more, args...), b, circuits, path)
		}
		n := newNodal(r, b, circuits, path)
		if !j.fault.Kind.ofPath() {
			fs := idealFaults(circuits, j.fault)
			d, stop := demands{}, map[int]bool{}
			for _, i := range j.about {
				d[i] = Demand(r.IntN(2))
				stop[i] = d[i] == DemandStop
			}
			readings, supplyMA, shorted := a.model.look(j.about, j.fault.elementary(circuits), d)
			l := lookAt(r, b, circuits, fs, j.about, stop)
			// In between: circuits beside the row's are summed one by one with their contacts
			// tied, those that share a return with it are not tied.
			// A circuit whose pull draws to its contact's own rail can feed a return that it shares;
			// it cannot tell run from stop, and the sum leaves it out.
			if n.distinct && float64(supplyMA) < l.tied*(1-1e-6)-1e-3 || l.slack == 1e-3 && float64(supplyMA) > l.loose*(1+1e-6)+1 {
				require.Fail(t, what("%d mA, between %.3f and %.3f", supplyMA, l.tied, l.loose))
			}
			if shorted {
				shorts++
			} else {
				at := 0
				for _, i := range j.about {
					for k := range circuits[i].Channels {
						got, can := readings[at], l.pins[[2]int{i, k}]
						at++
						pins++
						if can.least < float64(got.MinMV)-l.slack || can.greatest > float64(got.MaxMV)+l.slack || // within
							can.least > float64(got.MinMV)+1+2*l.slack || can.greatest < float64(got.MaxMV)-1-2*l.slack { // and up to, rounded outward
							require.Fail(t, what("pin %d, stop %v: %.3f to %.3f mV, bounds %d to %d", got.Pin, stop, can.least, can.greatest, got.MinMV, got.MaxMV))
						}
						if can.greatest-can.least > 0.99*float64(b.SupplyMV) {
							floating++
						}
					}
				}
				if j.fault.Kind == BridgedToOutput {
					for level, can := range map[Rail]span{Ground: l.line, Supply: l.drawn} {
						least, greatest := a.model.lineMV(j.about, j.fault.elementary(circuits), d, level)
						require.InDelta(t, can.least, least, l.slack, what("line"))
						require.InDelta(t, can.greatest, greatest, l.slack, what("line"))
					}
					if l.line.greatest >= float64(b.DriveOffBelowMV) {
						held++
					}
					if l.drawn.greatest < float64(b.DriveOffBelowMV) {
						drawn++
					}
					if l.drawn.least <= float64(b.HighAboveMV) && l.drawn.greatest >= float64(b.DriveOffBelowMV) {
						sags++
					}
				}
			}
		}
		if n.close {
			close++
			continue
		}
		require.Equal(t, n.distinct, a.allDistinct(a.every()), what("run and stop"))
		if !n.distinct {
			indistinct++
			continue
		}
		row := a.row(j)
		kinds[j.fault.Kind]++
		if j.fault.Kind == NoFault {
			require.Equal(t, Healthy, row.Outcome, what(""))
			continue
		}
		found, _ := a.found(j, row, nil)
		got, want := ideal{row.Outcome, found, row.OwnStopLost}, ideal{}
		if j.fault.Kind.ofPath() {
			v := judgedPath(path, j.fault, circuits)
			require.Equal(t, v.unstopped, row.Unstopped, what(""))
			want = ideal{v.outcome, found, v.ownLost}
		} else if want = n.judge(j); want.found == ByWrittenTest {
			want.found = Never // without a written test
		}
		if n.close {
			close++
			continue
		}
		if got != want {
			require.Fail(t, what("outcome, found, own stop lost: %v, not %v\n%+v", got, want, row.States))
		}
		outcomes[want.outcome]++
		founds[want.found]++
		if want.ownLost {
			ownLost++
		}
	}
	t.Logf("%d missions: %d pins compared, %d floating; %d shorts, the drive's output held up in %d, drawn down in %d, unsure in %d; %d indistinct, %d too close; outcomes %v, found %v, own stop lost %d, rows %v",
		missions, pins, floating, shorts, held, drawn, sags, indistinct, close, outcomes, founds, ownLost, kinds)
	require.Greater(t, outcomes[StopsDrive]+outcomes[StopsOnDemand]+outcomes[ShortCircuit]+outcomes[LeavesRunning], 2000)
	for _, count := range []int{floating, held, drawn, sags, shorts, ownLost, outcomes[StopsDrive], outcomes[StopsOnDemand], outcomes[ShortCircuit], outcomes[LeavesRunning], founds[AtNextDemand], founds[ByStartUpTest]} {
		require.Positive(t, count)
	}
	for _, k := range faultKinds() {
		require.Positive(t, kinds[k], k.String())
	}
}

// step is what a step of the written test comes to: the motors' current certainly off or
// certainly on, and whether the board has certainly latched a discrepancy, or certainly not.
type step struct{ off, on, latched, notLatched bool }

// take takes a step, which operates, unplugs or bridges, with a fault beside: the whole
// mission stands as the step says, each hold that is not to be operated in run.
// A supply that is shorted holds, or is gone.
func (n *nodal) take(t Test, f *Fault, holds bool) step {
	done := slices.Clone([]Fault(t.inject))
	if f != nil {
		done = append(done, *f)
	}
	var wires []Fault
	bridged := false
	for _, d := range done {
		wires = append(wires, idealFaults(n.circuits, d)...)
		bridged = bridged || d.Output.EnablesDrive
	}
	stop, all := map[int]bool{}, []int{}
	for i := range n.circuits {
		stop[i] = slices.Contains(t.asked, i)
		all = append(all, i)
	}
	s := n.see(wires, all, stop)
	n.close = n.close || n.strains(wires, t, stop)
	if !holds {
		s = s.gone()
	}
	if !bridged {
		s.output = output{}
	}
	certain, maybe, differ, sure := t.outputLow, false, false, true
	for _, i := range all {
		v := verdicts(n.runHigh[i], s.levels[i])
		certain, maybe = certain || !v["run"], maybe || len(v) > 1
		differ = differ || v["differ"] && len(v) == 1
		sure = sure && (!v["run"] || len(v) == 1) && (!v["differ"] || len(v) == 1)
	}
	var out step
	out.off, out.on = judged(n.path, done, s.wanted(certain, maybe), func(h int) bool { return stop[h] })
	out.latched, out.notLatched = differ, sure && !differ
	return out
}

// strains tells whether the supply holds with every hold where the step says, and does not
// with those that neither fault nor step concerns where they draw the most: the package has
// them there.
func (n *nodal) strains(fs []Fault, t Test, stop map[int]bool) bool {
	concerned := map[int]bool{}
	for _, f := range fs {
		for _, p := range f.Places {
			concerned[p.Circuit] = stop[p.Circuit]
		}
	}
	for _, i := range t.asked {
		concerned[i] = stop[i]
	}
	if len(concerned) == 0 {
		return false // behind the pins, where circuits are sound
	}
	limit := float64(n.board.SupplyLimitMA)
	exact, most := 0.0, 0.0
	for _, high := range []bool{false, true} {
		exact = max(exact, newBench(n.board, n.circuits, fs, stop, high).greatestMA())
		most = max(most, newBench(n.board, n.circuits, fs, concerned, high).greatestMA())
	}
	return exact <= limit+1e-3 && most >= limit-1e-3
}

// shows tells whether a step certainly comes out otherwise than it must.
func (n *nodal) shows(t Test, f Fault, holds bool) bool {
	switch {
	case t.joined != nil: // looked for without power, on bare pins or wires
		return slices.Contains(t.joined, f.Kind)
	case t.resistors != nil: // each measured by itself
		for _, r := range t.resistors {
			shorted, gone := at([]Fault{f}, r.short, r.place.Circuit, r.place.Channel), at([]Fault{f}, PullOpen, r.place.Circuit, r.place.Channel)
			if shorted || gone && r.short == PullShorted {
				return true
			}
		}
		return false
	case t.measured != nil:
		p := *t.measured
		positions := []bool{false, true}
		if len(t.inject) > 0 { // a load on the pin, while the contact is open
			positions = []bool{len(t.asked) > 0}
		}
		for _, stop := range positions {
			given := map[int]bool{}
			for i := range n.circuits {
				given[i] = i == p.Circuit && stop
			}
			// What is printed holds wherever the other holds stand; measured is with them in run.
			sound := lookAt(n.r, n.board, n.circuits, t.inject, []int{p.Circuit}, map[int]bool{p.Circuit: stop})
			with := lookAt(n.r, n.board, n.circuits, append(idealFaults(n.circuits, f), t.inject...), []int{p.Circuit}, given)
			must, is := sound.pins[[2]int{p.Circuit, p.Channel}], with.pins[[2]int{p.Circuit, p.Channel}]
			n.close = n.close || sound.close(n.board) || with.close(n.board) || n.strains(append(idealFaults(n.circuits, f), t.inject...), t, given)
			if !holds && with.tied > float64(n.board.SupplyLimitMA) {
				continue // no voltage is known
			}
			const hundredth = 10.0 // mV
			least, greatest := math.Floor(must.least/hundredth)*hundredth, math.Ceil(must.greatest/hundredth)*hundredth
			// Of the last digit two ways of working it out may differ; not at the rails.
			doubt := func(v, rounded, other float64, atRail bool) bool {
				return !atRail && (math.Abs(other-rounded) <= 1+2*with.slack ||
					math.Abs(v-math.Round(v/hundredth)*hundredth) < 2*sound.slack && math.Abs(other-rounded) <= hundredth+1)
			}
			n.close = n.close || doubt(must.greatest, greatest, is.least, greatest >= float64(n.board.SupplyMV)) ||
				doubt(must.least, least, is.greatest, least <= 0)
			if is.least > greatest || is.greatest < least {
				return true
			}
		}
		return false
	}
	with, must := n.take(t, &f, holds), n.sound(t)
	return with.off && must.on || with.on && must.off || with.latched && must.notLatched || with.notLatched && must.latched
}

// first is the step that finds a row which nothing else finds, or -1 for none: the later of
// those that do where a shorted supply is gone, and where it holds.
func (n *nodal) first(steps []Test, row Row) int {
	if !anyShorted(row.States) {
		return n.firstIn(steps, row.Fault, false)
	}
	var about []int
	for i, c := range n.circuits {
		if slices.Contains(row.Circuits, c.Name) {
			about = append(about, i)
		}
	}
	gone, holds := n.judgeBoth(job{row.Fault, about})
	later := 0
	for _, one := range []struct {
		found Found
		holds bool
	}{{gone.found, false}, {holds.found, true}} {
		if one.found < ByWrittenTest {
			continue
		}
		step := n.firstIn(steps, row.Fault, one.holds)
		if step < 0 {
			return step
		}
		later = max(later, step)
	}
	return later
}

func (n *nodal) firstIn(steps []Test, f Fault, holds bool) int {
	return slices.IndexFunc(steps, func(step Test) bool { return n.shows(step, f, holds) })
}

// The step that a row names certainly comes out otherwise, and none before it; where it
// names none, no step certainly does.
func TestStepsOfTheWrittenTestFindWhatTheySay(t *testing.T) {
	t.Parallel()
	const missions = 800
	r := rand.New(rand.NewPCG(26, 20))
	founds, outcomes := map[Found]int{}, map[Outcome]int{}
	kinds, steps, close, held := map[FaultKind]int{}, map[string]int{}, 0, 0
	for number := range missions {
		b, circuits := randomMission(r)
		path := randomPath(r, len(circuits))
		a := newAnalysis(b, circuits, path)
		if !a.allDistinct(a.every()) {
			continue
		}
		table, err := Analyse(b, circuits, path)
		require.NoError(t, err)
		n := newNodal(r, b, circuits, path)
		var rows []Row
		for _, row := range table.Rows {
			if row.Fault.Kind != NoFault && row.Found >= ByWrittenTest {
				rows = append(rows, row)
			}
		}
		for range min(3, len(rows)) {
			row := rows[r.IntN(len(rows))]
			n.close = false
			first := n.first(table.Tests, row)
			if n.close {
				close++
				continue
			}
			if first != row.Test {
				t.Errorf("mission %d: %s: step %d, not %d of %d (%s)\n%+v\n%+v\n%+v", number, row.Fault, row.Test, first, len(table.Tests), row.Found, b, circuits, path)
				if first >= 0 {
					t.Log(table.Tests[first].Do)
				}
				if row.Test >= 0 {
					t.Log(table.Tests[row.Test].Do)
				}
			}
			founds[row.Found]++
			outcomes[row.Outcome]++
			kinds[row.Fault.Kind]++
			if row.States[0].Shorted {
				held++ // found only where the supply holds
			}
			if first >= 0 {
				require.Equal(t, table.Tests[first].Meter, row.Found == ByMeter)
				steps[table.Tests[first].Do[:8]]++
			}
		}
	}
	t.Logf("found %v, outcomes %v, steps %v, of a supply that holds %d, too close %d, rows %v", founds, outcomes, steps, held, close, kinds)
	require.Greater(t, held, 5)
	for f, least := range map[Found]int{ByWrittenTest: 50, ByMeter: 50, Never: 10} {
		require.Greater(t, founds[f], least, "%s", f)
	}
	require.Less(t, close, 50)
	// A row that is not found by itself can be of any kind but those that stop the drive.
	for _, k := range []FaultKind{PullOpen, PinsBridged, BridgedToOutput, SeriesShorted, SignalToReturn, ReturnsBridged, ProcessorHalted, EnableHeldHigh, EnableOpen, BranchOpen, PartStuckOn, RestMissing, PoleStuckClosed, WatchdogDead} {
		require.Positive(t, kinds[k], k.String())
	}
}
