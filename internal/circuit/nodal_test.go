package circuit

// An independent nodal analysis: the equations G·v = i of the whole mission, every
// circuit in it, assembled here from the wiring and solved by gonum. Nothing of the
// package's network, corners or scopes is used, only its types and its list of faults.
//
// Each uncertain figure (a pull, a resistor, a leak, an input's current, the output's
// level, the position of each contact that the row leaves free) is taken at its least and at
// its greatest, and the extremes of a pin's voltage are looked for by turning one figure
// at a time as long as that helps, from several random beginnings. What is found that way
// is a voltage that can be; it must lie within the package's bounds, and must come up to
// them.

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"merestone/internal/board"
)

// bench is a mission with a fault, as somebody would lay it out: nodes by name.
type bench struct {
	board    Board
	circuits []Circuit
	fault    Fault
	stop     map[int]bool // circuits whose position is given, and which
	free     []string     // the uncertain figures
	tied     bool         // whether the contacts of a free circuit move together
}

// newBench lists the figures that are uncertain in a state.
func newBench(b Board, circuits []Circuit, f Fault, stop map[int]bool) *bench {
	be := &bench{board: b, circuits: circuits, fault: f, stop: stop}
	for i, c := range circuits {
		for j, ch := range c.Channels {
			p := fmt.Sprintf("%d.%d", i, j)
			be.free = append(be.free, "leak "+p, "input "+p)
			if ch.Pull != PullNone {
				be.free = append(be.free, "pull "+p)
			}
			if ch.SeriesOhm > 0 {
				be.free = append(be.free, "series "+be.ret(i, j))
			}
			if _, given := stop[i]; !given {
				be.free = append(be.free, "position "+p) // each by itself, as the package has it: the worse
			}
		}
	}
	if f.Kind == BridgedToOutput {
		be.free = append(be.free, "output")
	}
	return be
}

func (be *bench) ret(i, j int) string {
	if r := be.circuits[i].Channels[j].Return; r != "" {
		return "return " + r
	}
	return fmt.Sprintf("return %d.%d", i, j)
}

// tolerated is a fitted resistor at an end of its tolerance.
func (be *bench) tolerated(ohm int64, most bool) float64 {
	t := float64(be.board.ResistorPPM) / 1e6
	if most {
		return float64(ohm) * (1 + t)
	}
	return float64(ohm) * (1 - t)
}

// solve returns the voltages of the nodes in millivolts with each figure at one of its
// ends. A node that nothing ties down is held by a resistance beyond all others, at the
// level that end says.
func (be *bench) solve(end map[string]bool) (node map[string]int, v *mat.VecDense, supplyMA float64) {
	const none = -1
	node = map[string]int{"ground": none, "supply": none - 1}
	index := func(name string) int {
		n, known := node[name]
		if !known {
			n = len(node) - 2
			node[name] = n
		}
		return n
	}
	type branch struct {
		a, b int
		ohm  float64
	}
	var branches []branch
	join := func(a, b string, ohm float64) {
		if !math.IsInf(ohm, 1) {
			branches = append(branches, branch{index(a), index(b), ohm})
		}
	}
	inputs := map[string]float64{} // mA
	hard := hardOhm
	shunted := map[string]bool{} // returns that have their conductor
	is := func(k FaultKind, i, j int) bool {
		return at(idealFaults(be.circuits, be.fault), k, i, j)
	}
	for i, c := range be.circuits {
		for j, ch := range c.Channels {
			p := fmt.Sprintf("%d.%d", i, j)
			stop, given := be.stop[i]
			if !given {
				stop = end["position "+p]
				if be.tied {
					stop = end[fmt.Sprintf("position %d.0", i)]
				}
			}
			pad, buffer, contact, ret := "pad "+p, "buffer "+p, "contact "+p, be.ret(i, j)
			rail, opposite := railName(ch.WiredTo == Supply), railName(ch.WiredTo != Supply)
			if !shunted[ret] {
				shunted[ret] = true
				ohm := float64(be.board.WireOhm)
				if is(SeriesShorted, i, j) {
					ohm += hard
				} else if ch.SeriesOhm > 0 {
					ohm += be.tolerated(ch.SeriesOhm, end["series "+ret])
				}
				if !is(ReturnOpen, i, j) {
					join(ret, rail, ohm)
				}
				if is(ReturnShorted, i, j) {
					join(ret, opposite, hard)
				}
			}
			switch {
			case is(PinStuckLow, i, j):
				join(buffer, "ground", hard)
			case is(PinStuckHigh, i, j):
				join(buffer, "supply", hard)
			default:
				join(buffer, pad, hard)
			}
			if ch.Pull != PullNone && !is(PullOpen, i, j) {
				ohm := float64(be.board.PullMinOhm)
				if end["pull "+p] {
					ohm = float64(be.board.PullMaxOhm)
				}
				if ch.PullOhm > 0 {
					ohm = be.tolerated(ch.PullOhm, end["pull "+p])
				}
				if is(PullShorted, i, j) {
					ohm = hard
				}
				join(pad, railName(ch.Pull == PullUp), ohm)
			}
			if !is(SignalOpen, i, j) {
				join(pad, contact, float64(be.board.WireOhm))
			}
			if is(SignalToGround, i, j) {
				join(pad, "ground", hard)
			}
			if is(SignalToSupply, i, j) {
				join(pad, "supply", hard)
			}
			closed := idealActuated(c.Kind, stop) == (ch.Contact == NormallyOpen)
			switch {
			case closed && !is(ContactStuckOpen, i, j):
				join(contact, ret, float64(be.board.ContactClosedOhm))
			case is(ContactStuckClosed, i, j):
				join(contact, ret, float64(be.board.ContactClosedOhm)+hard)
			}
			if (!closed || is(ContactStuckOpen, i, j)) && end["leak "+p] {
				join(contact, ret, float64(be.board.ContactOpenOhm))
			}
			inputs[pad] = float64(be.board.LeakageNA) * 1e-6
			if !end["input "+p] {
				inputs[pad] = -inputs[pad]
			}
		}
	}
	place := func(k int) string {
		return fmt.Sprintf("%d.%d", be.fault.Places[k].Circuit, be.fault.Places[k].Channel)
	}
	ret := func(k int) string { return be.ret(be.fault.Places[k].Circuit, be.fault.Places[k].Channel) }
	switch be.fault.Kind {
	case PinsBridged:
		join("pad "+place(0), "pad "+place(1), hard)
	case SignalToReturn:
		join("pad "+place(0), ret(1), hard)
	case ReturnsBridged:
		join(ret(0), ret(1), hard)
	case BridgedToOutput:
		join("pad "+place(0), "output", hard)
		join("output", railName(end["output"]), float64(be.board.OutputOhm))
	}
	n := len(node) - 2
	g, i := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	put := func(a, b int, siemens float64) {
		if a < 0 {
			return
		}
		g.Set(a, a, g.At(a, a)+siemens)
		switch {
		case b >= 0:
			g.Set(a, b, g.At(a, b)-siemens)
		case b == none-1:
			i.SetVec(a, i.AtVec(a)+siemens*float64(be.board.SupplyMV))
		}
	}
	for _, br := range branches {
		put(br.a, br.b, 1/br.ohm)
		put(br.b, br.a, 1/br.ohm)
	}
	for name, mA := range inputs {
		k := node[name]
		i.SetVec(k, i.AtVec(k)+mA)
	}
	for k := range n {
		g.Set(k, k, g.At(k, k)+1e-12) // a floating node drifts with its input's current
	}
	v = mat.NewVecDense(n, nil)
	if err := v.SolveVec(g, i); err != nil && v.AtVec(0) != v.AtVec(0) {
		panic(err)
	}
	level := func(k int) float64 {
		switch {
		case k >= 0:
			return v.AtVec(k)
		case k == none:
			return 0
		default:
			return float64(be.board.SupplyMV)
		}
	}
	for _, br := range branches {
		for _, ends := range [][2]int{{br.a, br.b}, {br.b, br.a}} {
			if ends[0] == none-1 {
				supplyMA += (level(ends[0]) - level(ends[1])) / br.ohm
			}
		}
	}
	return node, v, supplyMA
}

// extreme looks for the greatest, or the least, voltage of a node, or with no name for
// that of the supply's current.
func (be *bench) extreme(r *rand.Rand, name string, greatest bool, fixed map[string]bool) float64 {
	best := math.Inf(1)
	sign := 1.0
	if greatest {
		sign = -1
	}
	value := func(at map[string]bool) float64 {
		node, v, supplyMA := be.solve(at)
		if name == "" {
			return sign * supplyMA
		}
		return sign * min(max(v.AtVec(node[name]), 0), float64(be.board.SupplyMV))
	}
	beginnings := 6 // two figures may matter only together, so that one turn of each shows nothing
	if name == "" {
		beginnings = 1 // more of any conductance is more current
	}
	for range beginnings {
		at := map[string]bool{}
		for _, f := range be.free {
			at[f] = r.IntN(2) == 1
		}
		for f, end := range fixed {
			at[f] = end
		}
		here := value(at)
		for better := true; better; {
			better = false
			for _, f := range be.free {
				if _, is := fixed[f]; is {
					continue
				}
				at[f] = !at[f]
				if now := value(at); now < here-1e-9 {
					here, better = now, true
				} else {
					at[f] = !at[f]
				}
			}
		}
		best = min(best, here)
	}
	return sign * best
}

// freeInputsMV is what the currents of inputs that the row leaves free make at a common
// resistor, which the package leaves out of its bounds (model.go, contactClosed).
func (be *bench) freeInputsMV() float64 {
	mv := 0.0
	for i, c := range be.circuits {
		for _, ch := range c.Channels {
			if _, given := be.stop[i]; !given && ch.Return != "" {
				mv += float64(be.board.LeakageNA) * mAPerNA * (be.tolerated(ch.SeriesOhm, true) + float64(be.board.WireOhm))
			}
		}
	}
	return mv
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
	b.ContactOpenOhm = 20_000 + r.Int64N(2_000_000)
	b.ResistorPPM = r.Int64N(200_001)
	b.OutputOhm = 10 + r.Int64N(100)
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
			if r.IntN(8) == 0 {
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

// Every bound of every pin is a voltage that can be, and none beyond it can: a mission
// is drawn, then a row and a state of it, then a pin.
func TestBoundsAgainstAnIndependentNodalAnalysis(t *testing.T) {
	const missions = 2000
	r := rand.New(rand.NewPCG(20, 26))
	kinds := map[FaultKind]int{}
	judged, floating, held, shorts := 0, 0, 0, 0
	for number := range missions {
		b, circuits := randomMission(r)
		require.NoError(t, validate(b, circuits, plain()))
		m := newModel(b, circuits)
		rows := jobs(b, circuits, plain())
		rows = slices.DeleteFunc(rows, func(j job) bool { return j.fault.Kind.ofPath() })
		j := rows[r.IntN(len(rows))]
		if want := FaultKinds()[number%len(FaultKinds())]; want != NoFault { // each kind as often, where there is one
			for _, row := range rows {
				if row.fault.Kind == want && r.IntN(3) > 0 {
					j = row
				}
			}
		}
		kinds[j.fault.Kind]++
		d, stop := demands{}, map[int]bool{}
		for _, i := range j.about {
			d[i] = Demand(r.IntN(2))
			stop[i] = d[i] == DemandStop
		}
		be := newBench(b, circuits, j.fault, stop)
		readings, supplyMA, shorted := m.look(j.about, j.fault.elementary(circuits), d)
		quiet := b
		quiet.LeakageNA = 0
		// In between: circuits beside the row's are summed one by one with their contacts
		// tied, those that share a return with it are not tied.
		supply := newBench(quiet, circuits, j.fault, stop)
		loose := supply.extreme(r, "", true, nil)
		supply.tied = true
		tied := supply.extreme(r, "", true, nil)
		what := fmt.Sprintf("mission %d: %s: supply current\n%+v\n%+v", number, j.fault, b, circuits)
		require.GreaterOrEqual(t, float64(supplyMA), tied*(1-1e-6)-1e-6, what)
		if newBench(b, circuits, j.fault, stop).freeInputsMV() == 0 {
			require.LessOrEqual(t, float64(supplyMA), loose*(1+1e-6)+1, what)
		}
		if shorted {
			shorts++
			continue
		}
		at := r.IntN(len(readings))
		reading := readings[at]
		name := ""
		for _, i := range j.about {
			for k := range circuits[i].Channels {
				if at == 0 && name == "" {
					name = fmt.Sprintf("buffer %d.%d", i, k)
				}
				at--
			}
		}
		least, greatest := be.extreme(r, name, false, nil), be.extreme(r, name, true, nil)
		what = fmt.Sprintf("mission %d: %s, pin %d, stop %v: %.3f to %.3f mV, bounds %d to %d\n%+v\n%+v", number, j.fault, reading.Pin, stop, least, greatest, reading.MinMV, reading.MaxMV, b, circuits)
		slackMV := 1e-3 + be.freeInputsMV()
		require.GreaterOrEqual(t, least, float64(reading.MinMV)-slackMV, what)
		require.LessOrEqual(t, greatest, float64(reading.MaxMV)+slackMV, what)
		require.LessOrEqual(t, least, float64(reading.MinMV)+1+slackMV, what) // rounded outward by less than 1 mV
		require.GreaterOrEqual(t, greatest, float64(reading.MaxMV)-1-slackMV, what)
		judged++
		if greatest-least > 0.99*float64(b.SupplyMV) {
			floating++
		}
		if j.fault.Kind == BridgedToOutput {
			line := be.extreme(r, "output", true, map[string]bool{"output": false})
			require.InDelta(t, line, m.lineMV(j.about, faults{j.fault}, d), slackMV, what)
			if line >= float64(b.DriveOffBelowMV) {
				held++
			}
		}
	}
	t.Logf("%d of %d judged, %d floating, %d shorts, the drive held up in %d; rows %v", judged, missions, floating, shorts, held, kinds)
	require.Greater(t, judged, missions*8/10)
	require.Positive(t, held)
	require.Positive(t, shorts)
	for _, k := range FaultKinds() {
		if !k.ofPath() {
			require.Positive(t, kinds[k], k.String())
		}
	}
}
