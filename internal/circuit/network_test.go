package circuit

// The solver against hand-solved networks, and against gonum's linear solve of
// the nodal equations on random ones.

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

type resistor struct {
	a, b int
	ohm  float64
}

func build(nodes int, rs []resistor) *network {
	nw := newNetwork(nodes)
	for _, r := range rs {
		nw.connect(r.a, r.b, r.ohm)
	}
	return nw
}

// Each by Ohm's and Kirchhoff's laws by hand. Nodes from 2 on are free.
func TestHandSolvedNetworks(t *testing.T) {
	tests := []struct {
		name     string
		supplyMV float64
		nodes    int
		rs       []resistor
		wantMV   []float64
		wantRail float64
	}{
		{"divider 1k over 2k: 3000 × 2/3", 3000, 1,
			[]resistor{{1, 2, 1000}, {2, 0, 2000}}, []float64{2000}, 1.0 / 3000},
		{"pull-up with nothing else sits at the supply", 3300, 1,
			[]resistor{{1, 2, 47_000}}, []float64{3300}, 0},
		{"chain of three equal resistors", 3000, 2,
			[]resistor{{1, 2, 50}, {2, 3, 50}, {3, 0, 50}}, []float64{2000, 1000}, 1.0 / 150},
		{"two in parallel: 2k ∥ 2k under 1k halves", 3000, 1,
			[]resistor{{1, 2, 1000}, {2, 0, 2000}, {2, 0, 2000}}, []float64{1500}, 1.0 / 2000},
		{"balanced bridge: no current through the 7 Ω", 3000, 2,
			[]resistor{{1, 2, 100}, {2, 0, 200}, {1, 3, 10}, {3, 0, 20}, {2, 3, 7}}, []float64{2000, 2000}, 1.0/300 + 1.0/30},
		// Unbalanced: 4(3000−a) = 4a·… : (3−a)/1 = a/2 + (a−b)/1, (3−b)/2 = b/1 + (b−a)/1
		// → 2.5a − b = 3, 2.5b − a = 1.5 → a = 9/5.25 = 12/7, b = 9/7.
		{"unbalanced bridge", 3000, 2,
			[]resistor{{1, 2, 1}, {2, 0, 2}, {1, 3, 2}, {3, 0, 1}, {2, 3, 1}}, []float64{12000.0 / 7, 9000.0 / 7}, (9.0/7 + 6.0/7) / 3},
		{"two free nodes joined to each other alone float together", 3300, 2,
			[]resistor{{2, 3, 5}}, []float64{123, 123}, 0},
		{"a short of 10 mΩ against a contact of 3 Ω", 3300, 1,
			[]resistor{{1, 2, 0.01}, {2, 0, 3}}, []float64{3300 * 3 / 3.01}, 1 / 3.01},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			volts, rail := build(tt.nodes, tt.rs).solve(tt.supplyMV, 123)
			assert.InDeltaSlice(t, tt.wantMV, volts[2:], 1e-9)
			assert.InDelta(t, tt.wantRail, rail, 1e-12)
			assert.Equal(t, []float64{0, tt.supplyMV}, volts[:2])
		})
	}
}

func TestInjectedCurrentIsOhmsLaw(t *testing.T) {
	// 1 µA into 150 kΩ to ground: 150 mV. Through a second node the same.
	nw := build(2, []resistor{{2, 0, 150_000}, {2, 3, 10}})
	nw.injectMA[3] = 1e-3
	volts, _ := nw.solve(3300, 0)
	assert.InDelta(t, 150, volts[2], 1e-9)
	assert.InDelta(t, 150.01, volts[3], 1e-9)
}

func TestInjectedCurrentStopsAtTheRails(t *testing.T) {
	for _, sign := range []float64{1, -1} {
		nw := build(1, []resistor{{2, 0, 1e9}, {2, 1, 1e9}})
		nw.injectMA[2] = sign
		volts, _ := nw.solve(3300, 0)
		assert.Contains(t, []float64{0, 3300}, volts[2])
	}
}

// drawNetwork draws a network in which every free node has a path to ground,
// so that the nodal equations have one solution.
func drawNetwork(t *rapid.T) (nodes int, rs []resistor) {
	nodes = rapid.IntRange(1, 10).Draw(t, "nodes")
	ohm := rapid.Custom(func(t *rapid.T) float64 {
		// 10 mΩ to 1 MΩ, evenly by decade.
		mantissa := rapid.Float64Range(1, 10).Draw(t, "mantissa")
		for range rapid.IntRange(0, 7).Draw(t, "decade") {
			mantissa *= 10
		}
		return mantissa / 100
	})
	for n := 2; n < nodes+2; n++ {
		below := rapid.IntRange(0, n-1).Draw(t, "below")
		if below == 1 {
			below = 0
		}
		rs = append(rs, resistor{n, below, ohm.Draw(t, "ohm")})
	}
	for range rapid.IntRange(0, 15).Draw(t, "more") {
		a, b := rapid.IntRange(0, nodes+1).Draw(t, "a"), rapid.IntRange(0, nodes+1).Draw(t, "b")
		if a != b {
			rs = append(rs, resistor{a, b, ohm.Draw(t, "ohm")})
		}
	}
	return nodes, rs
}

// The nodal equations G·v = i, assembled here afresh and solved by gonum's LU.
func TestAgainstLinearSolve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const supplyMV = 3300
		nodes, rs := drawNetwork(t)
		g := mat.NewDense(nodes, nodes, nil)
		i := mat.NewVecDense(nodes, nil)
		for _, r := range rs {
			for _, end := range [][2]int{{r.a, r.b}, {r.b, r.a}} {
				n, other := end[0]-2, end[1]-2
				if n < 0 {
					continue
				}
				g.Set(n, n, g.At(n, n)+1/r.ohm)
				switch {
				case other >= 0:
					g.Set(n, other, g.At(n, other)-1/r.ohm)
				case end[1] == supplyNode:
					i.SetVec(n, i.AtVec(n)+supplyMV/r.ohm)
				}
			}
		}
		var want mat.VecDense
		require.NoError(t, want.SolveVec(g, i))
		volts, rail := build(nodes, rs).solve(supplyMV, 0)
		current := 0.0
		for _, r := range rs {
			if r.a == supplyNode || r.b == supplyNode {
				other := r.a + r.b - supplyNode
				v := 0.0
				if other >= 2 {
					v = want.AtVec(other - 2)
				}
				current += (supplyMV - v) / r.ohm
			}
		}
		// Conductances span 8 decades, so LU keeps about 16 − 8 digits.
		for n := range nodes {
			require.InDelta(t, want.AtVec(n), volts[n+2], 1e-3, "node %d", n)
		}
		require.InDelta(t, current, rail*supplyMV, 1e-3+1e-6*current)
	})
}

// Whatever is added to a network or taken away, no voltage leaves the rails,
// and not because solve clamps it there: Kirchhoff's current law holds at every
// node that does not float.
func TestVoltagesStayBetweenTheRails(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes, rs := drawNetwork(t)
		// A fault: one more resistor, or one fewer.
		if rapid.Bool().Draw(t, "add") {
			rs = append(rs, resistor{rapid.IntRange(0, 1).Draw(t, "rail"), rapid.IntRange(2, nodes+1).Draw(t, "node"), hardOhm})
		} else {
			rs = rs[1:]
		}
		volts, rail := build(nodes, rs).solve(3300, rapid.SampledFrom([]float64{0, 3300}).Draw(t, "float"))
		into := make([]float64, len(volts))
		scale := make([]float64, len(volts))
		for _, r := range rs {
			mA := (volts[r.a] - volts[r.b]) / r.ohm
			into[r.a] -= mA
			into[r.b] += mA
			scale[r.a] += 3300 / r.ohm
			scale[r.b] += 3300 / r.ohm
		}
		for n, v := range volts {
			require.True(t, v >= 0 && v <= 3300, "node %d at %v mV", n, v)
			if n > supplyNode {
				require.InDelta(t, 0, into[n], 1e-12*scale[n], "current at node %d", n)
			}
		}
		require.InDelta(t, rail*3300, -into[supplyNode], 1e-9*(1+scale[supplyNode]))
		require.InDelta(t, rail*3300, into[groundNode], 1e-9*(1+scale[groundNode]))
	})
}
