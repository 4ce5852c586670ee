package circuit

// This file turns circuits, one fault and the operators' demands into a
// resistor network, and the network's voltages into readings.
//
// One channel, from the board outwards:
//
//	                pull to supply or ground
//	                   │
//	input buffer ───── pad ───── switch ──o/ o── return ───── rail
//	            (bond)     (wire)       (contact)      (wire, series)
//
// A fault removes one of these resistors, replaces one, or adds one.

import (
	"fmt"
	"math"
	"slices"
)

const (
	// hardOhm is a dead short, a bridge, and the bond from pad to input buffer:
	// small against every other resistance. Softer shorts lie between it and
	// none, and need no rows of their own (see doc.go).
	hardOhm = 0.01
	// mAPerNA converts the leakage.
	mAPerNA = 1e-6
	// uAPerMA converts the wetting current.
	uAPerMA = 1000
)

// model is a board with its circuits, and how hard its faults are.
type model struct {
	board    Board
	circuits []Circuit
	// shortOhm is the resistance of a fault that connects, openOhm of one that
	// disconnects.
	shortOhm, openOhm float64
	// healthyMA has what each circuit draws at most, without a fault.
	healthyMA []float64
	// keeping makes networks remember what they are made of.
	keeping bool
	// users has the channels of every named return.
	users map[string][]Place
	// scratch is what a network is built in: one is solved before the next is built.
	scratch *scratch
}

// scratch is memory that networks are built in.
type scratch struct {
	network network
	nodes   layout
	returns []sharedReturn
}

// sharedReturn is the node of a return by name.
type sharedReturn struct {
	name string
	node int
}

// layout has the nodes of each channel of the circuits in a network.
type layout []pins

// mostChannels is how many a circuit has.
const mostChannels = 2

// at returns the nodes of a channel.
func (l layout) at(p Place) *pins { return &l[mostChannels*p.Circuit+p.Channel] }

// newModel returns a model whose faults are as hard as can be.
func newModel(b Board, circuits []Circuit) model {
	m := model{board: b, circuits: circuits, shortOhm: hardOhm, openOhm: math.Inf(1), users: returnUsers(circuits)}
	m.scratch = &scratch{nodes: make(layout, mostChannels*len(circuits))}
	for i := range circuits {
		m.healthyMA = append(m.healthyMA, max(m.drawMA([]int{i}, nil, demands{i: DemandRun}), m.drawMA([]int{i}, nil, demands{i: DemandStop})))
	}
	return m
}

// corner is one extreme of the uncertain figures. A pin's voltage rises with
// every conductance towards the supply and falls with every one towards
// ground, so its greatest and least values lie at the corners that push all of
// them one way.
type corner struct {
	// raise pushes up: strong pull-ups, weak pull-downs, open contacts leaking
	// to the supply only, inputs sourcing. Otherwise all the reverse.
	raise bool
	// conduct has every conductance at its greatest instead, whichever way it
	// pushes: nothing draws more from the supply.
	conduct bool
	// output is the level of the output that a pin is bridged to.
	output Rail
	// leaky has the open contacts of which it is not known beforehand which way
	// they push, and whether they leak in this corner.
	leaky map[Place]bool
}

// corners returns the corners to evaluate. An open contact with a return of
// its own leaks towards its rail. One whose return is shared, or shorted to the
// other rail, leaks to somewhere in between, which may push either way, so both
// are tried.
func (m model) corners(about []int, fs faults, d demands) []corner {
	var crossed []string // returns, by name or by the channel of their own
	for _, f := range fs {
		if f.Kind == SignalToReturn || f.Kind == ReturnsBridged {
			for _, p := range f.Places[map[FaultKind]int{SignalToReturn: 1}[f.Kind]:] {
				crossed = append(crossed, m.returnOf(p))
			}
		}
	}
	var unclear []Place
	for _, i := range about {
		for j, ch := range m.circuits[i].Channels {
			p := Place{i, j, ch.Pin}
			if ch.Contact.closed(m.circuits[i].Kind, d[i]) && !fs.is(ContactStuckOpen, p) {
				continue
			}
			if len(m.users[ch.Return]) > 1 || fs.is(ReturnShorted, p) || slices.Contains(crossed, m.returnOf(p)) {
				unclear = append(unclear, p)
			}
		}
	}
	if unclear == nil {
		return []corner{{raise: true, output: Supply}, {output: Ground}}
	}
	var list []corner
	for subset := range 1 << len(unclear) {
		leaky := make(map[Place]bool, len(unclear))
		for bit, p := range unclear {
			leaky[p] = subset>>bit&1 == 1
		}
		list = append(list, corner{raise: true, output: Supply, leaky: leaky}, corner{output: Ground, leaky: leaky})
	}
	return list
}

// returnOf names the return of a channel, also one that it shares with none.
func (m model) returnOf(p Place) string {
	if name := m.circuits[p.Circuit].Channels[p.Channel].Return; name != "" {
		return "shared " + name
	}
	return fmt.Sprint(p.Circuit, p.Channel)
}

// demands holds the demand of each circuit that a row is about. The others
// are free: their contacts take whatever position is worse.
type demands map[int]Demand

const (
	// outputNode is that of the output that a pin is bridged to.
	outputNode = supplyNode + 1
	// nodesPerChannel counts the nodes of pins.
	nodesPerChannel = 4
)

// pins are the nodes of one channel that are looked at afterwards.
type pins struct{ buffer, pad, contact, ret int }

// drawn is the network of one circuit in run, with what it is made of, without its
// tolerances and leaks.
func (m model) drawn(i int) (*network, layout) {
	m.board.ResistorPPM, m.keeping = 0, true
	return m.build([]int{i}, nil, demands{i: DemandRun}, corner{conduct: true}) // a contact is there, closed or open
}

// build makes the network of the circuits in scope under faults.
func (m model) build(scope []int, fs faults, d demands, c corner) (*network, layout) {
	free := 1 // outputNode
	for _, i := range scope {
		free += nodesPerChannel * len(m.circuits[i].Channels)
	}
	nw := &m.scratch.network
	nw.reset(free)
	nw.keep = m.keeping
	next := outputNode
	add := func() int {
		next++
		return next
	}
	nodes, returns := m.scratch.nodes, m.scratch.returns[:0]
	clear(nodes)
	for _, i := range scope {
		for j, ch := range m.circuits[i].Channels {
			p := Place{i, j, ch.Pin}
			known := slices.IndexFunc(returns, func(r sharedReturn) bool { return r.name == ch.Return })
			if known < 0 || ch.Return == "" {
				known = len(returns)
				returns = append(returns, sharedReturn{ch.Return, add()})
				m.addReturn(nw, returns[known].node, ch, fs, p, c)
			}
			n := pins{pad: add(), buffer: add(), contact: add(), ret: returns[known].node}
			*nodes.at(p) = n
			m.addChannel(nw, n, fs, p, d, c)
		}
	}
	m.scratch.returns = returns
	for _, f := range fs {
		switch f.Kind {
		case PinsBridged:
			nw.fit(defect, nodes.at(f.Places[0]).pad, nodes.at(f.Places[1]).pad, m.shortOhm)
		case SignalToReturn:
			nw.fit(defect, nodes.at(f.Places[0]).pad, nodes.at(f.Places[1]).ret, m.shortOhm)
		case ReturnsBridged:
			nw.fit(defect, nodes.at(f.Places[0]).ret, nodes.at(f.Places[1]).ret, m.shortOhm)
		case loaded:
			nw.fit(defect, nodes.at(f.Places[0]).pad, f.Rail.node(), float64(f.LoadOhm))
		case BridgedToOutput:
			m.addOutput(nw, nodes.at(f.Places[0]).pad, outputNode, c)
		}
	}
	return nw, nodes
}

// node returns the rail's node.
func (r Rail) node() int {
	if r == Supply {
		return supplyNode
	}
	return groundNode
}

// other returns the opposite rail.
func (r Rail) other() Rail {
	if r == Supply {
		return Ground
	}
	return Supply
}

// addReturn connects a return conductor to its rail.
func (m model) addReturn(nw *network, ret int, ch Channel, fs faults, p Place, c corner) {
	ohm := float64(m.board.WireOhm)
	if !fs.is(SeriesShorted, p) {
		ohm += m.resistor(ch.SeriesOhm, c.conduct || c.raise == (ch.WiredTo == Supply))
	} else if ch.SeriesOhm > 0 {
		ohm += min(m.shortOhm, m.resistor(ch.SeriesOhm, true))
	}
	if fs.is(ReturnOpen, p) {
		ohm += m.openOhm
	}
	nw.fit(feed, ret, ch.WiredTo.node(), ohm)
	if fs.is(ReturnShorted, p) {
		nw.fit(defect, ret, ch.WiredTo.other().node(), m.shortOhm)
	}
}

// resistor returns a fitted resistor at an end of its tolerance.
func (m model) resistor(ohm int64, least bool) float64 {
	tolerance := float64(m.board.ResistorPPM) / million
	if least {
		tolerance = -tolerance
	}
	return float64(float64(ohm) * (1 + tolerance))
}

// addOutput bridges a pad to an output of the board, which drives it to
// whichever rail is worse for the reading: what the output does depends on the
// rover's state, and may depend on the reading itself.
func (m model) addOutput(nw *network, pad, output int, c corner) {
	nw.fit(defect, pad, output, m.shortOhm)
	nw.fit(defect, output, c.output.node(), float64(m.board.OutputOhm))
}

// addChannel connects everything of one channel but its return.
func (m model) addChannel(nw *network, n pins, fs faults, p Place, d demands, c corner) {
	ch := m.circuits[p.Circuit].Channels[p.Channel]
	raise := -1.0
	if c.raise {
		raise = 1
	}
	if !c.conduct {
		nw.injectMA[n.pad] = raise * float64(m.board.LeakageNA) * mAPerNA
	}

	switch {
	case fs.is(PinStuckLow, p):
		nw.fit(defect, n.buffer, groundNode, hardOhm)
	case fs.is(PinStuckHigh, p):
		nw.fit(defect, n.buffer, supplyNode, hardOhm)
	default:
		nw.fit(bond, n.buffer, n.pad, hardOhm)
	}

	if ch.Pull != PullNone {
		ohm := m.pullOhm(ch, c)
		if fs.is(PullOpen, p) {
			ohm += m.openOhm
		}
		if fs.is(PullShorted, p) {
			ohm = min(ohm, m.shortOhm)
		}
		nw.fit(pull, n.pad, ch.Pull.rail().node(), ohm)
	}

	wireOhm := float64(m.board.WireOhm)
	if fs.is(SignalOpen, p) {
		wireOhm += m.openOhm
	}
	nw.fit(signal, n.pad, n.contact, wireOhm)
	if fs.is(SignalToGround, p) {
		nw.fit(defect, n.pad, groundNode, m.shortOhm)
	}
	if fs.is(SignalToSupply, p) {
		nw.fit(defect, n.pad, supplyNode, m.shortOhm)
	}

	m.addContact(nw, n, fs, p, d, c)
}

// addContact connects the contact of one channel: closed, or leaking, or
// stuck where it should not be.
func (m model) addContact(nw *network, n pins, fs faults, p Place, d demands, c corner) {
	closedOhm := float64(m.board.ContactClosedOhm)
	closed := m.contactClosed(p, d, c)
	switch {
	case closed && fs.is(ContactStuckOpen, p):
		nw.fit(contact, n.contact, n.ret, closedOhm+m.openOhm)
		closed = false
	case closed:
		nw.fit(contact, n.contact, n.ret, closedOhm)
	case fs.is(ContactStuckClosed, p):
		nw.fit(contact, n.contact, n.ret, closedOhm+m.shortOhm)
	}
	if !closed && m.leaks(p, d, c) {
		nw.fit(contact, n.contact, n.ret, float64(m.board.ContactOpenOhm))
	}
}

// leaks tells whether an open contact leaks in this corner. A free one stands
// open where conducting would do less harm, so it does not.
func (m model) leaks(p Place, d demands, c corner) bool {
	if _, given := d[p.Circuit]; !given {
		return c.conduct
	}
	if c.conduct {
		return true
	}
	if leaks, unclear := c.leaky[p]; unclear {
		return leaks
	}
	return c.raise == (m.circuits[p.Circuit].Channels[p.Channel].WiredTo == Supply)
}

// rail returns the rail that a pull draws to; PullNone draws to none.
func (p Pull) rail() Rail {
	if p == PullUp {
		return Supply
	}
	return Ground
}

// pullOhm returns the pull's resistance in the given corner.
func (m model) pullOhm(ch Channel, c corner) float64 {
	switch {
	case ch.PullOhm > 0:
		return m.resistor(ch.PullOhm, c.conduct || c.raise == (ch.Pull == PullUp))
	case c.conduct || c.raise == (ch.Pull == PullUp):
		return float64(m.board.PullMinOhm)
	default:
		return float64(m.board.PullMaxOhm)
	}
}

// contactClosed tells whether a sound contact is closed: as demanded, or, in a
// circuit that the row is not about, where it does the most harm. Such a free
// contact only matters through a shared return, which is sound (a row on a
// broken one is about all that share it); closing it draws the return towards
// that channel's pull. That is exact but for the free inputs' own leakage
// through the common conductor, microvolts without a series resistor.
func (m model) contactClosed(p Place, d demands, c corner) bool {
	circuit := m.circuits[p.Circuit]
	ch := circuit.Channels[p.Channel]
	demand, given := d[p.Circuit]
	if !given {
		return c.conduct || ch.Pull == PullNone || c.raise == (ch.Pull == PullUp)
	}
	return ch.Contact.closed(circuit.Kind, demand)
}

// scope returns the indices of the given circuits and of all that share a
// return with them, directly or through others, in table order.
func (m model) scope(about []int) []int {
	if len(m.users) == 0 {
		return about // nothing is shared; about is in order
	}
	in := make([]bool, len(m.circuits))
	returns := map[string]bool{}
	take := func(i int) {
		in[i] = true
		for _, ch := range m.circuits[i].Channels {
			if ch.Return != "" {
				returns[ch.Return] = true
			}
		}
	}
	for _, i := range about {
		take(i)
	}
	for grown := true; grown; {
		grown = false
		for i, c := range m.circuits {
			for _, ch := range c.Channels {
				if !in[i] && returns[ch.Return] {
					take(i)
					grown = true
				}
			}
		}
	}
	var scope []int
	for i, taken := range in {
		if taken {
			scope = append(scope, i)
		}
	}
	return scope
}

// drawMA returns the greatest current that the circuits in scope draw from a supply
// that holds its voltage. It grows with every conductance (Rayleigh's monotonicity).
func (m model) drawMA(scope []int, fs faults, d demands) float64 {
	most, supply := 0.0, float64(m.board.SupplyMV)
	for _, level := range []Rail{Ground, Supply} {
		nw, _ := m.build(scope, fs, d, corner{conduct: true, output: level})
		most = max(most, float64(nw.eliminate()*supply))
		if !fs.has(BridgedToOutput) {
			break
		}
	}
	return most
}

// elsewhereMA is the greatest current that the circuits outside of scope draw, each
// in the position in which it draws the most.
func (m model) elsewhereMA(scope []int) float64 {
	total := 0.0
	for i := range m.circuits {
		if !slices.Contains(scope, i) {
			total += m.healthyMA[i]
		}
	}
	return total
}

// lineMV bounds the voltage of the output that a pin is bridged to while the board holds
// it at a level.
func (m model) lineMV(about []int, fs faults, d demands, level Rail) (least, greatest float64) {
	scope := m.scope(about)
	least = float64(m.board.SupplyMV)
	for _, c := range m.corners(about, fs, d) {
		c.output = level
		nw, _ := m.build(scope, fs, d, c)
		voltsMV, _ := nw.solve(float64(m.board.SupplyMV), 0)
		least, greatest = min(least, voltsMV[outputNode]), max(greatest, voltsMV[outputNode])
	}
	return least, greatest
}

// look is see where a supply that is shorted is gone.
func (m model) look(about []int, fs faults, d demands) (readings []Reading, supplyMA int64, shorted bool) {
	if readings, supplyMA, shorted = m.see(about, fs, d); shorted {
		readings = m.board.unknown(readings)
	}
	return readings, supplyMA, shorted
}

// unknown returns readings of which nothing is known: the supply sags or is gone.
func (b Board) unknown(readings []Reading) []Reading {
	var list []Reading
	for _, r := range readings {
		list = append(list, b.read(r.Pin, 0, float64(b.SupplyMV)))
	}
	return list
}

// see evaluates one combination of demands under one fault: the reading of every channel
// of the circuits in about, and the supply current of the mission. The readings are those
// of a supply that holds its voltage; shorted says that it may not.
func (m model) see(about []int, fs faults, d demands) (readings []Reading, supplyMA int64, shorted bool) {
	scope := m.scope(about)
	return m.drawing(about, scope, fs, d, m.drawMA(scope, fs, d)+m.elsewhereMA(scope))
}

// drawing is see where the current is known.
func (m model) drawing(about, scope []int, fs faults, d demands, draw float64) (readings []Reading, supplyMA int64, shorted bool) {
	supply := float64(m.board.SupplyMV)
	var places []Place
	for _, i := range about {
		for j, ch := range m.circuits[i].Channels {
			places = append(places, Place{i, j, ch.Pin})
		}
	}
	lowest := make([]float64, len(places))
	highest := make([]float64, len(places))
	for i := range places {
		lowest[i] = supply
	}
	for _, c := range m.corners(about, fs, d) {
		nw, nodes := m.build(scope, fs, d, c)
		floatMV := 0.0
		if c.raise {
			floatMV = supply
		}
		voltsMV, _ := nw.solve(supply, floatMV)
		for i, p := range places {
			v := voltsMV[nodes.at(p).buffer]
			lowest[i] = min(lowest[i], v)
			highest[i] = max(highest[i], v)
		}
	}
	shorted = draw > float64(m.board.SupplyLimitMA)+arithmetic
	for i, p := range places {
		readings = append(readings, m.board.read(p.Pin, lowest[i], highest[i]))
	}
	return readings, int64(math.Ceil(draw - arithmetic)), shorted
}

// arithmetic is far above the rounding errors of the solver (some 1e-12 of the
// supply) and far below anything that matters, in millivolts and milliamperes.
// It keeps a value that lies exactly on a limit from being judged by its last
// digit.
const arithmetic = 1e-6

// read applies the thresholds to the bounds of a voltage.
func (b Board) read(pin int, lowestMV, highestMV float64) Reading {
	r := Reading{
		Pin:   pin,
		Level: Undefined,
		MinMV: int64(math.Floor(lowestMV + arithmetic)),
		MaxMV: min(int64(math.Ceil(highestMV-arithmetic)), b.SupplyMV),
	}
	switch {
	case highestMV < float64(b.LowBelowMV)-arithmetic:
		r.Level = Low
	case lowestMV > float64(b.HighAboveMV)+arithmetic:
		r.Level = High
	}
	return r
}

// contactUA returns the least current through the closed contact of one
// channel, in microamperes, rounded down.
func (m model) contactUA(circuit, channel int) int64 {
	c := m.circuits[circuit]
	p := Place{circuit, channel, c.Channels[channel].Pin}
	demand := DemandRun
	if !c.Channels[channel].Contact.closed(c.Kind, DemandRun) {
		demand = DemandStop
	}
	supply := float64(m.board.SupplyMV)
	least := math.Inf(1)
	about := []int{circuit}
	d := demands{circuit: demand}
	for _, corner := range m.corners(about, nil, d) {
		nw, nodes := m.build(m.scope(about), nil, d, corner)
		clear(nw.injectMA) // the pull's current alone, whichever way the input leaks
		voltsMV, _ := nw.solve(supply, 0)
		n := nodes.at(p)
		mA := math.Abs(voltsMV[n.contact]-voltsMV[n.ret]) / float64(m.board.ContactClosedOhm)
		least = min(least, mA*uAPerMA)
	}
	return int64(math.Floor(least))
}
