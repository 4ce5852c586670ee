package main

import (
	"fmt"
	"os"

	"merestone/internal/board"
	"merestone/internal/circuit"
)

func main() {
	b := circuit.DefaultBoard()
	b.SupplyMV, b.LowBelowMV, b.HighAboveMV, b.PullMinOhm, b.PullMaxOhm = 5000, 1500, 3500, 20000, 50000
	b.Outputs = []circuit.Output{{Name: "drive_enable", Pin: 12, EnablesDrive: true}}
	ch := func(pin int, c circuit.Contact) circuit.Channel {
		return circuit.Channel{Pin: pin, Contact: c, WiredTo: circuit.Supply, Pull: circuit.PullDown, PullOhm: 3900, SeriesOhm: 470}
	}
	cc := circuit.CommonCause{Cable: true, Connector: true, Supply: true, Actuator: true}
	cs := []circuit.Circuit{
		{Name: "radio thumb switch", Kind: board.HoldToRun, Channels: []circuit.Channel{ch(3, circuit.NormallyOpen), ch(5, circuit.NormallyOpen)}, DiscrepancyMS: 100, CommonCause: cc, ReactionMS: 45},
		{Name: "mushroom button", Kind: board.EmergencyStop, Channels: []circuit.Channel{ch(4, circuit.NormallyClosed), ch(6, circuit.NormallyClosed)}, DiscrepancyMS: 100, CommonCause: cc, ReactionMS: 45},
	}
	p := circuit.Path{WatchdogMS: 100, Parts: []circuit.Part{
		{Name: "main relay", Kind: circuit.Relay, Enable: true, Watchdog: true, Holds: []int{0, 1}, OffMS: 15},
		{Name: "motor driver", Kind: circuit.Semiconductor, Enable: true, PulledOff: true, OffMS: 2},
	}}
	if len(os.Args) > 1 {
		p = circuit.Path{Parts: p.Parts[1:]}
	}
	t, err := circuit.Analyse(b, cs, p)
	if err != nil {
		fmt.Println(err)
		return
	}
	t.Text(os.Stdout)
}
