package circuit

// How long a whole table takes: run with `go test -bench .`.

import (
	"testing"

	"merestone/internal/board"
)

func benchmark(b *testing.B, circuits []Circuit) {
	board := DefaultBoard()
	board.Outputs = []Output{{"drive enable", 8, true}}
	for b.Loop() {
		if _, err := Analyse(board, circuits, plain()); err != nil {
			b.Fatal(err)
		}
	}
}

// sharing returns n circuits, all on one return conductor.
func sharing(n int) []Circuit {
	var circuits []Circuit
	for i := range n {
		c := mushroom()
		c.Name = string(rune('a' + i))
		c.Channels[0].Pin, c.Channels[0].Return = 20+i, "common"
		circuits = append(circuits, c)
	}
	return circuits
}

func BenchmarkFourCircuits(b *testing.B) {
	two := Circuit{Name: "stop", Kind: board.EmergencyStop, DiscrepancyMS: 100, Channels: []Channel{
		{Pin: 25, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp},
		{Pin: 26, Contact: NormallyClosed, WiredTo: Supply, Pull: PullDown},
	}}
	bumper := one(board.Interlock, NormallyClosed, Ground, PullUp)
	bumper.Channels[0].Pin = 40
	benchmark(b, []Circuit{thumb(), mushroom(), two, bumper})
}

func BenchmarkSharedReturn(b *testing.B) { benchmark(b, sharing(maxSharing)) }
