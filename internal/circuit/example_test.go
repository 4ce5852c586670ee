package circuit_test

import (
	"fmt"

	"merestone/internal/board"
	"merestone/internal/circuit"
)

// A thumb switch that closes to ground, with a pull-up: a broken wire stops the
// drive, a wire shorted to ground leaves it running.
func Example() {
	table, err := circuit.Analyse(circuit.DefaultBoard(), []circuit.Circuit{{
		Name: "thumb switch",
		Kind: board.HoldToRun,
		Channels: []circuit.Channel{{
			Pin: 22, Contact: circuit.NormallyOpen, WiredTo: circuit.Ground, Pull: circuit.PullUp,
		}},
	}}, circuit.Path{Parts: []circuit.Part{{Name: "motor driver", Kind: circuit.Semiconductor, Enable: true, PulledOff: true}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("run reads", table.Wirings[0].RunLevels[0])
	for _, row := range table.Rows[1:3] {
		fmt.Printf("%s: %s. %s\n", row.Fault, row.Outcome, row.Sentence)
	}
	// Output:
	// run reads low
	// signal wire open, pin 22: stops at once. Even pressed, pin 22 reads high, which is stop: the fault stops the drive.
	// signal wire shorted to ground, pin 22: keeps running. Released, pin 22 reads low, which is run: the drive keeps running.
}
