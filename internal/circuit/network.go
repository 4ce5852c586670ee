package circuit

// This file solves resistor networks: nodal analysis by star-mesh elimination.
// Units: millivolts, siemens, milliamperes.

// The two rails are the first two nodes of every network.
const (
	groundNode = 0
	supplyNode = 1
)

// network is a set of nodes joined by conductances, with a current fed into
// some of them.
type network struct {
	// siemens is symmetric; its diagonal is not used.
	siemens [][]float64
	// injectMA is the current fed into a node from outside (input leakage).
	injectMA []float64
	// cells are those of siemens; sums and volts are for solve.
	cells, sums, volts []float64
	// parts are those that were fitted, if keep is set: for the picture of the wiring.
	parts []fitted
	keep  bool
}

// fitted is a resistance of the wiring and what it stands for.
type fitted struct {
	what fitting
	a, b int
	ohm  float64
}

// fitting is what a resistance stands for.
type fitting int

const (
	bond    fitting = iota // from a pad to its input
	pull                   // from a pad to a rail
	signal                 // the wire from a pad to a contact
	contact                // from a contact's one side to its other
	feed                   // from a contact to its rail: the wire and the resistor in it
	defect                 // what a fault adds
)

// newNetwork returns a network of the two rails and the given number of free
// nodes, joined to nothing yet; the first free node is 2.
func newNetwork(free int) *network {
	nw := &network{}
	nw.reset(free)
	return nw
}

// reset makes a network anew, in the memory of the old. What solve returned is gone.
func (nw *network) reset(free int) {
	n := supplyNode + 1 + free
	nw.cells = zeroed(nw.cells, n*n)
	nw.injectMA, nw.sums, nw.volts = zeroed(nw.injectMA, n), zeroed(nw.sums, n), zeroed(nw.volts, n)
	nw.siemens = nw.siemens[:0]
	for i := range n {
		nw.siemens = append(nw.siemens, nw.cells[i*n:(i+1)*n])
	}
	nw.parts = nil
}

// zeroed returns n zeros, in the memory given if it is enough.
func zeroed(memory []float64, n int) []float64 {
	if cap(memory) < n {
		return make([]float64, n)
	}
	clear(memory[:n])
	return memory[:n]
}

// connect puts a resistor between two nodes, in parallel with what is there.
func (nw *network) connect(a, b int, ohm float64) {
	nw.siemens[a][b] += 1 / ohm
	nw.siemens[b][a] += 1 / ohm
}

// fit connects a resistance of the wiring.
func (nw *network) fit(what fitting, a, b int, ohm float64) {
	if nw.keep {
		nw.parts = append(nw.parts, fitted{what, a, b, ohm})
	}
	nw.connect(a, b, ohm)
}

// solve returns the voltage of every node with ground at 0 and supply at
// supplyMV, and the conductance between the rails through everything. A node
// that nothing joins to a rail floats; it is given floatMV. It consumes the
// network.
//
// Kirchhoff's current law at node k with neighbours j is
// V_k = (Σ g_kj V_j + I_k) / Σ g_kj. Putting that into the equations of the
// neighbours removes the node: each pair i, j gains g_ki·g_kj/Σ g (the
// star-mesh transform) and each neighbour takes the share g_kj/Σ g of I_k.
// Nothing is ever subtracted, so no digits cancel whatever the spread of the
// conductances, a floating node is found by its sum being exactly 0, and a
// voltage is always a weighted mean of voltages between the rails. A current
// fed in could push a node past a rail; the input's protection diode then
// holds it there.
func (nw *network) solve(supplyMV, floatMV float64) (voltsMV []float64, railSiemens float64) {
	railSiemens = nw.eliminate()
	n, g, sums := len(nw.siemens), nw.siemens, nw.sums
	voltsMV = nw.volts
	voltsMV[supplyNode] = supplyMV
	for k := supplyNode + 1; k < n; k++ {
		if sums[k] == 0 {
			voltsMV[k] = floatMV
			continue
		}
		total := nw.injectMA[k]
		for j := range k {
			total += float64(g[k][j] * voltsMV[j])
		}
		voltsMV[k] = min(max(total/sums[k], 0), supplyMV)
	}
	return voltsMV, railSiemens
}

// eliminate removes every free node, the last first, and returns the conductance that is
// left between the rails.
func (nw *network) eliminate() (railSiemens float64) {
	g := nw.siemens
	for k := len(g) - 1; k > supplyNode; k-- {
		from, sum := g[k][:k], 0.0
		for _, siemens := range from {
			sum += siemens
		}
		if nw.sums[k] = sum; sum == 0 {
			continue
		}
		for i, siemens := range from {
			if siemens == 0 {
				continue
			}
			share := siemens / sum
			nw.injectMA[i] += float64(nw.injectMA[k] * share)
			to := g[i][:i] // the half that is used from here on
			for j := range to {
				to[j] += float64(share * from[j])
			}
		}
	}
	return g[supplyNode][groundNode]
}
