package planar

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestFaults(t *testing.T) {
	const m = MaxCoordinate
	for _, c := range []struct {
		fact string
		r    Ring
		want []RingFault
	}{
		{"a triangle", Ring{{0, 0}, {10, 0}, {0, 10}}, nil},
		{"the smallest triangle", Ring{{0, 0}, {1, 0}, {0, 1}}, nil},
		{"a field with a notch", notched, nil},
		{"the whole site", Ring{{-m, -m}, {m, -m}, {m, m}, {-m, m}}, nil},
		{"vertices along a straight side", Ring{{0, 0}, {5, 0}, {10, 0}, {10, 10}, {0, 10}}, nil},
		{"the first vertex along a straight side", Ring{{5, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}}, nil},
		{"a sliver a millimetre wide", Ring{{-m, -m}, {m, m - 1}, {m, m}}, nil},

		{"no vertices", nil, []RingFault{{TooFewVertices, -1, -1}}},
		{"one vertex", Ring{{3, 4}}, []RingFault{{TooFewVertices, -1, -1}, {ZeroLengthEdge, 0, -1}}},
		{"two vertices", Ring{{3, 4}, {5, 6}}, []RingFault{{TooFewVertices, -1, -1}}},
		{"four vertices at two places", Ring{{0, 0}, {9, 9}, {0, 0}, {9, 9}}, []RingFault{{TooFewVertices, -1, -1}}},
		{"three vertices on one line", Ring{{0, 0}, {3, 1}, {6, 2}}, []RingFault{{NoArea, -1, -1}}},

		{"out of range", Ring{{0, 0}, {m + 1, 0}, {0, -m - 1}}, []RingFault{{OutOfRange, 1, -1}, {OutOfRange, 2, -1}}},

		{"a vertex twice running", Ring{{0, 0}, {10, 0}, {10, 0}, {0, 10}}, []RingFault{{ZeroLengthEdge, 1, -1}}},
		{"the first vertex repeated at the end", Ring{{0, 0}, {10, 0}, {0, 10}, {0, 0}}, []RingFault{{ZeroLengthEdge, 3, -1}}},
		{"a vertex three times running", Ring{{0, 0}, {0, 0}, {0, 0}, {10, 0}, {0, 10}}, []RingFault{{ZeroLengthEdge, 0, -1}, {ZeroLengthEdge, 1, -1}}},

		{"a spike outward", Ring{{0, 0}, {10, 0}, {20, 0}, {10, 0}, {10, 10}}, []RingFault{{Spike, 2, -1}}},
		{"a spike outward, not all the way back", Ring{{0, 0}, {20, 0}, {10, 0}, {10, 10}}, []RingFault{{Spike, 1, -1}}},
		{"a spike inward", Ring{{0, 0}, {10, 0}, {10, 10}, {5, 10}, {5, 4}, {5, 10}, {0, 10}}, []RingFault{{Spike, 4, -1}}},
		{"a spike at the first vertex", Ring{{20, 0}, {10, 0}, {10, 10}, {0, 0}}, []RingFault{{Spike, 0, -1}}},

		{"a spike at the first vertex, all the way back", Ring{{20, 0}, {10, 0}, {10, 10}, {0, 0}, {10, 0}}, []RingFault{{Spike, 0, -1}}},
		{"two spikes from one place", Ring{{0, 0}, {10, 0}, {20, 0}, {10, 0}, {20, 5}, {10, 0}, {10, 10}}, []RingFault{{Spike, 2, -1}, {Spike, 4, -1}, {RepeatedVertex, 1, 5}}},

		{"two fields joined at a corner", Ring{{0, 0}, {5, 5}, {10, 0}, {10, 10}, {5, 5}, {0, 10}}, []RingFault{{RepeatedVertex, 1, 4}}},
		{"a vertex on an edge, from inside", Ring{{0, 0}, {10, 0}, {10, 10}, {5, 0}, {0, 10}}, []RingFault{{VertexOnEdge, 3, 0}}},
		{"a vertex on an edge, from outside", Ring{{0, 0}, {10, 0}, {14, 6}, {5, 0}, {0, 10}}, []RingFault{{VertexOnEdge, 3, 0}}},
		{"a bow-tie", Ring{{0, 0}, {10, 10}, {10, 0}, {0, 10}}, []RingFault{{EdgesCross, 0, 2}}},
		{"a bow-tie crossing at half a millimetre", Ring{{0, 0}, {1, 1}, {1, 0}, {0, 1}}, []RingFault{{EdgesCross, 0, 2}}},
		{"a side laid along another", Ring{{0, 0}, {10, 0}, {10, 5}, {8, 0}, {2, 0}, {0, 5}},
			[]RingFault{{VertexOnEdge, 3, 0}, {VertexOnEdge, 4, 0}, {EdgesOverlap, 0, 3}}},
		{"a pentagram", Ring{{0, 10}, {6, -8}, {-10, 3}, {10, 3}, {-6, -8}},
			[]RingFault{{EdgesCross, 0, 2}, {EdgesCross, 0, 3}, {EdgesCross, 1, 3}, {EdgesCross, 1, 4}, {EdgesCross, 2, 4}}},
		{"a slip and a bow-tie: edges keep their numbers", Ring{{0, 0}, {0, 0}, {10, 10}, {10, 0}, {10, 0}, {0, 10}},
			[]RingFault{{ZeroLengthEdge, 0, -1}, {ZeroLengthEdge, 3, -1}, {EdgesCross, 1, 4}}},
	} {
		region, faults := NewRegion(c.r)
		assert.Equal(t, c.want, faults, c.fact)
		assert.Equal(t, len(c.want) == 0, region != nil, c.fact)
	}
}

func TestFaultsAreCapped(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	knot := gridRing(20_000, 2*MaxCoordinate, 1, rng)
	assert.Len(t, knot.faults(), MaxFaults, "20 000 vertices in no order at all")
}

func TestSoundShapes(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for fact, r := range map[string]Ring{
		"fence":               fence(20_000, 1.9e7, rng),
		"star":                star(20_000, 1.9e7),
		"comb":                comb(20_000, Vector{3e7, 0}, Vector{0, 3e7}),
		"comb on the slant":   comb(20_000, Vector{1.4e7, -1.4e7}, Vector{1.4e7, 1.4e7}),
		"comb, teeth slanted": comb(20_000, Vector{1.5e7, 0}, Vector{1.3e7, 1.1e7}),
		"spiral":              spiral(20_000, 20, 1.9e7),
	} {
		assert.Empty(t, r.faults(), fact)
		assert.Len(t, r, 20_000, fact)
		r[7], r[9007] = r[9007], r[7]
		assert.NotEmpty(t, r.faults(), fact+" with two vertices exchanged")
	}
}
