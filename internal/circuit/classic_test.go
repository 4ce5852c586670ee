package circuit

// The classic wirings as tables of facts, worked out by hand on paper from the
// sketch in model.go, good ones and bad ones.

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
)

// fact is one row of a table as a human would fill it in.
type fact struct {
	kind      FaultKind
	run, stop Level
	outcome   Outcome
	found     Found
}

func one(k board.HoldKind, contact Contact, rail Rail, pull Pull) Circuit {
	return Circuit{Name: "hold", Kind: k, Channels: []Channel{{Pin: 22, Contact: contact, WiredTo: rail, Pull: pull}}}
}

func analyse(t *testing.T, circuits ...Circuit) Table {
	t.Helper()
	return analyseWith(t, plain(), circuits...)
}

func analyseWith(t *testing.T, path Path, circuits ...Circuit) Table {
	t.Helper()
	table, err := Analyse(DefaultBoard(), circuits, path)
	require.NoError(t, err)
	return table
}

func TestClassicWirings(t *testing.T) {
	const (
		x     = Undefined
		leave = LeavesRunning
		stops = StopsDrive
		short = ShortCircuit
	)
	tests := []struct {
		name    string
		circuit Circuit
		path    Path
		facts   []fact
	}{
		{
			"hold-to-run, normally open to ground, pull-up: a break stops, a short to ground runs",
			one(board.HoldToRun, NormallyOpen, Ground, PullUp),
			plain(),
			[]fact{
				{NoFault, Low, High, Healthy, AtOnce},
				{SignalOpen, High, High, stops, AtOnce},
				{SignalToGround, Low, Low, leave, ByStartUpTest},
				{SignalToSupply, x, High, short, AtOnce},
				{ReturnOpen, High, High, stops, AtOnce},
				{ReturnShorted, x, x, short, AtOnce},
				{ContactStuckOpen, High, High, stops, AtOnce},
				{ContactStuckClosed, Low, Low, leave, ByStartUpTest},
				{PullOpen, Low, x, leave, ByMeter},
				{PinStuckLow, Low, Low, leave, ByStartUpTest},
				{PinStuckHigh, High, High, stops, AtOnce},
				{ActuatorJammed, Low, Low, leave, ByStartUpTest},
			},
		},
		{
			"emergency stop, normally closed to ground, pull-up: the same table with pressed for released",
			one(board.EmergencyStop, NormallyClosed, Ground, PullUp),
			plain(),
			[]fact{
				{NoFault, Low, High, Healthy, AtOnce},
				{SignalOpen, High, High, stops, AtOnce},
				{SignalToGround, Low, Low, leave, ByStartUpTest},
				{SignalToSupply, x, High, short, AtOnce},
				{ReturnOpen, High, High, stops, AtOnce},
				{ReturnShorted, x, x, short, AtOnce},
				{ContactStuckOpen, High, High, stops, AtOnce},
				{ContactStuckClosed, Low, Low, leave, ByStartUpTest},
				{PullOpen, Low, x, leave, ByMeter},
				{PinStuckLow, Low, Low, leave, ByStartUpTest},
				{PinStuckHigh, High, High, stops, AtOnce},
				{ActuatorJammed, Low, Low, leave, ByStartUpTest},
			},
		},
		{
			"hold-to-run, normally open to supply, pull-down: the mirror image",
			one(board.HoldToRun, NormallyOpen, Supply, PullDown),
			plain(),
			[]fact{
				{NoFault, High, Low, Healthy, AtOnce},
				{SignalOpen, Low, Low, stops, AtOnce},
				{SignalToGround, x, Low, short, AtOnce},
				{SignalToSupply, High, High, leave, ByStartUpTest},
				{ReturnOpen, Low, Low, stops, AtOnce},
				{ReturnShorted, x, x, short, AtOnce},
				{ContactStuckOpen, Low, Low, stops, AtOnce},
				{ContactStuckClosed, High, High, leave, ByStartUpTest},
				{PullOpen, High, x, leave, ByMeter},
				{PinStuckLow, Low, Low, stops, AtOnce},
				{PinStuckHigh, High, High, leave, ByStartUpTest},
				{ActuatorJammed, High, High, leave, ByStartUpTest},
			},
		},
		{
			"bad: hold-to-run, normally closed to ground, pull-up: every break runs",
			one(board.HoldToRun, NormallyClosed, Ground, PullUp),
			plain(),
			[]fact{
				{NoFault, High, Low, Healthy, AtOnce},
				{SignalOpen, High, High, leave, ByStartUpTest},
				{SignalToGround, Low, Low, stops, AtOnce},
				{SignalToSupply, High, x, leave, ByMeter}, // released it also shorts the supply
				{ReturnOpen, High, High, leave, ByStartUpTest},
				{ReturnShorted, x, x, leave, ByStartUpTest}, // a supply that holds makes it high, and run, for good
				{ContactStuckOpen, High, High, leave, ByStartUpTest},
				{ContactStuckClosed, Low, Low, stops, AtOnce},
				{PullOpen, x, Low, StopsOnDemand, ByMeter},
				{PinStuckLow, Low, Low, stops, AtOnce},
				{PinStuckHigh, High, High, leave, ByStartUpTest},
				{ActuatorJammed, High, High, leave, ByStartUpTest},
			},
		},
		{
			"bad: emergency stop, normally open to ground, pull-up: every break goes unseen",
			one(board.EmergencyStop, NormallyOpen, Ground, PullUp),
			plain(),
			[]fact{
				{NoFault, High, Low, Healthy, AtOnce},
				{SignalOpen, High, High, leave, ByStartUpTest},
				{SignalToGround, Low, Low, stops, AtOnce},
				{SignalToSupply, High, x, leave, ByMeter},
				{ReturnOpen, High, High, leave, ByStartUpTest},
				{ReturnShorted, x, x, leave, ByStartUpTest}, // a supply that holds makes it high, and run, for good
				{ContactStuckOpen, High, High, leave, ByStartUpTest},
				{ContactStuckClosed, Low, Low, stops, AtOnce},
				{PullOpen, x, Low, StopsOnDemand, ByMeter},
				{PinStuckLow, Low, Low, stops, AtOnce},
				{PinStuckHigh, High, High, leave, ByStartUpTest},
				{ActuatorJammed, High, High, leave, ByStartUpTest},
			},
		},
		{
			"bad: pull to the same side as the contact",
			one(board.HoldToRun, NormallyOpen, Ground, PullDown),
			plain(),
			[]fact{{NoFault, Low, Low, Indistinct, AtOnce}},
		},
		{
			"bad: no pull at all",
			one(board.HoldToRun, NormallyOpen, Ground, PullNone),
			plain(),
			[]fact{{NoFault, Low, x, Indistinct, AtOnce}},
		},
		{
			"a pole of its own in the motors' current: only a jammed button is left",
			one(board.EmergencyStop, NormallyClosed, Ground, PullUp),
			withPole(0),
			[]fact{
				{NoFault, Low, High, Healthy, AtOnce},
				{SignalOpen, High, High, stops, AtOnce},
				{SignalToGround, Low, Low, StopsOnDemand, ByStartUpTest},
				{SignalToSupply, x, High, short, AtOnce},
				{ReturnOpen, High, High, stops, AtOnce},
				{ReturnShorted, x, x, short, AtOnce},
				{ContactStuckOpen, High, High, stops, AtOnce},
				{ContactStuckClosed, Low, Low, StopsOnDemand, ByStartUpTest}, // the pole is another contact
				{PullOpen, Low, x, StopsOnDemand, ByMeter},
				{PinStuckLow, Low, Low, StopsOnDemand, ByStartUpTest},
				{PinStuckHigh, High, High, stops, AtOnce},
				{ActuatorJammed, Low, Low, leave, ByStartUpTest},
			},
		},
		{
			"a resistor in the return turns both shorts into stops",
			func() Circuit {
				c := one(board.EmergencyStop, NormallyClosed, Ground, PullUp)
				c.Channels[0].SeriesOhm = 330
				return c
			}(),
			plain(),
			[]fact{
				{NoFault, Low, High, Healthy, AtOnce},
				{SignalOpen, High, High, stops, AtOnce},
				{SignalToGround, Low, Low, leave, ByStartUpTest},
				{SignalToSupply, High, High, stops, AtOnce},
				{ReturnOpen, High, High, stops, AtOnce},
				{ReturnShorted, High, High, stops, AtOnce},
				{SeriesShorted, Low, High, StopsOnDemand, ByMeter},
				{ContactStuckOpen, High, High, stops, AtOnce},
				{ContactStuckClosed, Low, Low, leave, ByStartUpTest},
				{PullOpen, Low, x, leave, ByMeter},
				{PinStuckLow, Low, Low, leave, ByStartUpTest},
				{PinStuckHigh, High, High, stops, AtOnce},
				{SignalToReturn, Low, Low, leave, ByStartUpTest},
				{ActuatorJammed, Low, Low, leave, ByStartUpTest},
			},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rows := analyseWith(t, tt.path, tt.circuit).ToldWith("hold")
			require.Len(t, rows, len(tt.facts))
			for i, f := range tt.facts {
				r := rows[i]
				got := fact{r.Fault.Kind, r.Run[0].Level, r.Stop[0].Level, r.Outcome, r.Found}
				assert.Equal(t, f, got, "%s", r.Fault)
			}
		})
	}
}

func TestRunLevelIsDerivedFromTheWiring(t *testing.T) {
	tests := []struct {
		c    Circuit
		want Level
	}{
		{one(board.HoldToRun, NormallyOpen, Ground, PullUp), Low},
		{one(board.HoldToRun, NormallyOpen, Supply, PullDown), High},
		{one(board.HoldToRun, NormallyClosed, Ground, PullUp), High},
		{one(board.EmergencyStop, NormallyClosed, Ground, PullUp), Low},
		{one(board.EmergencyStop, NormallyOpen, Ground, PullUp), High},
		{one(board.Interlock, NormallyClosed, Supply, PullDown), High},
		{one(board.Interlock, NormallyClosed, Supply, PullUp), Undefined},
	}
	for _, tt := range tests {
		assert.Equal(t, []Level{tt.want}, analyse(t, tt.c).Wirings[0].RunLevels, "%+v", tt.c)
	}
}

// Voltages by hand with the figures of DefaultBoard: pulls 20 k to 150 kΩ, 1 µA
// of leakage, contact 1 Ω and two wires of 1 Ω, open contact 1 MΩ.
func TestHealthyVoltages(t *testing.T) {
	table := analyse(t, one(board.HoldToRun, NormallyOpen, Ground, PullUp))
	row := table.Rows[0]
	// Pressed: 3300 mV × 3 Ω/(20 kΩ + 3 Ω) = 0.495 mV, leakage 0.003 mV: up to
	// 1 mV. At least 3300 × 3/150 003 − 0.003 = 0.063 mV: from 0 mV.
	assert.Equal(t, Reading{22, Low, 0, 1}, row.Run[0])
	// Released: not above the supply; at least, with 150 kΩ up and
	// 1 MΩ + 2 Ω down, 3300 × 1000/1150 = 2869.57 mV, less 1 µA through
	// 150 k ∥ 1 M = 130.43 kΩ, 130.43 mV: 2739.13 mV.
	assert.Equal(t, Reading{22, High, 2739, 3300}, row.Stop[0])
	// 3300 mV / 150 003 Ω = 21.9996 µA, rounded down.
	assert.Equal(t, []int64{21}, table.Wirings[0].ContactUA)
}

func TestShortCircuitCurrent(t *testing.T) {
	// Signal wire on the supply through 10 mΩ, then wire, contact, wire: 3.01 Ω
	// between the rails: 3300/3.01 = 1096.3 mA, plus the pull's 0 mA (both ends
	// on the supply, nearly): rounded up 1097 mA.
	table := analyse(t, one(board.HoldToRun, NormallyOpen, Ground, PullUp))
	row := find(t, table, SignalToSupply, 22)
	assert.Equal(t, int64(1097), row.States[0].SupplyMA)
	assert.True(t, row.States[0].Shorted)
	assert.False(t, row.States[1].Shorted)
	assert.Contains(t, row.Sentence, "while pressed")
}

// find returns the row of the fault of this kind at exactly these pins.
func find(t *testing.T, table Table, k FaultKind, pins ...int) Row {
	t.Helper()
	for _, r := range table.Rows {
		if r.Fault.Kind != k || len(r.Fault.Places) != len(pins) {
			continue
		}
		same := true
		for i, p := range r.Fault.Places {
			same = same && p.Pin == pins[i]
		}
		if same {
			return r
		}
	}
	require.Fail(t, "no such row", "%s at %v", k, pins)
	return Row{}
}

func thumb() Circuit {
	c := one(board.HoldToRun, NormallyOpen, Ground, PullUp)
	c.Name = "thumb switch"
	return c
}

func mushroom() Circuit {
	c := one(board.EmergencyStop, NormallyClosed, Ground, PullUp)
	c.Name, c.Channels[0].Pin = "mushroom button", 24
	return c
}

// Thumb switch and mushroom button both close to ground: bridged, either
// contact holds both pins low, which is run for both.
func TestBridgeOfTwoCircuits(t *testing.T) {
	table := analyse(t, thumb(), mushroom())
	row := find(t, table, PinsBridged, 22, 24)
	assert.Equal(t, []string{"thumb switch", "mushroom button"}, row.Circuits)
	type state struct {
		thumb, mushroom Demand
		level           Level
		stopped         bool
	}
	var got []state
	for _, s := range row.States {
		require.Equal(t, s.Readings[0].Level, s.Readings[1].Level)
		got = append(got, state{s.Demands[0], s.Demands[1], s.Readings[0].Level, s.Stopped})
	}
	assert.Equal(t, []state{
		{DemandRun, DemandRun, Low, false},
		{DemandStop, DemandRun, Low, false}, // released, but the button holds the pin low
		{DemandRun, DemandStop, Low, false}, // pressed, but the thumb holds the pin low
		{DemandStop, DemandStop, High, true},
	}, got)
	assert.Equal(t, LeavesRunning, row.Outcome)
	assert.Equal(t, LowOrHigh, row.Stop[0].Level)
	assert.Equal(t, "With thumb switch released and mushroom button at rest, pins 22 and 24 read low, which is run: the drive keeps running.", row.Sentence)
}

func TestTwoChannels(t *testing.T) {
	two := func(a, b Channel) Circuit {
		return Circuit{Name: "mushroom button", Kind: board.EmergencyStop, Channels: []Channel{a, b}, DiscrepancyMS: 100}
	}
	ground := Channel{Pin: 24, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp}
	alike := Channel{Pin: 26, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp}
	supply := Channel{Pin: 26, Contact: NormallyClosed, WiredTo: Supply, Pull: PullDown}
	makes := Channel{Pin: 26, Contact: NormallyOpen, WiredTo: Ground, Pull: PullUp}
	tests := []struct {
		name    string
		circuit Circuit
		kind    FaultKind
		pins    []int
		want    Outcome
		found   Found
		says    string
	}{
		{"one wire breaks", two(ground, alike), SignalOpen, []int{24}, StopsDrive, AtOnce, "disagree at once: at rest, pin 24 reads high and pin 26 reads low"},
		{"one contact welds: found when pressed", two(ground, alike), ContactStuckClosed, []int{24}, StopsOnDemand, AtNextDemand, "disagree at the next demand: pressed, pin 24 reads low and pin 26 reads high"},
		{"one input dies", two(ground, alike), PinStuckLow, []int{26}, StopsOnDemand, AtNextDemand, "latched after 100 ms"},
		{"a missing pull may never be noticed", two(ground, alike), PullOpen, []int{24}, StopsOnDemand, ByMeter, "Not noticed while running"},
		{"equal channels bridged: only unplugging one shows it", two(ground, alike), PinsBridged, []int{24, 26}, StopsOnDemand, ByWrittenTest, "Not noticed while running"},
		// At rest the bridge shorts the supply. If that holds, pressing leaves the
		// two pulls against each other at half the supply, where one input may
		// read low and the other high: run on both. At rest the contacts then stand against
		// each other alike, and only a meter tells.
		{"channels to opposite rails bridged", two(ground, supply), PinsBridged, []int{24, 26}, LeavesRunning, ByMeter, "Pressed, pins 24 and 26 read undefined"},
		{"opposite contacts on one rail bridged: both low, always", two(ground, makes), PinsBridged, []int{24, 26}, StopsDrive, AtOnce, "at once"},
		{"one channel on the rail that is run for it", two(ground, supply), SignalToSupply, []int{26}, StopsOnDemand, AtNextDemand, "at the next demand"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			row := find(t, analyse(t, tt.circuit), tt.kind, tt.pins...)
			assert.Equal(t, tt.want.String(), row.Outcome.String())
			assert.Equal(t, tt.found.String(), row.Found.String())
			assert.Contains(t, row.Sentence, tt.says)
		})
	}
}

func TestSharedReturn(t *testing.T) {
	a, b := thumb(), mushroom()
	a.Channels[0].Return, b.Channels[0].Return = "handle ground", "handle ground"

	t.Run("breaking it opens both: both read stop", func(t *testing.T) {
		row := find(t, analyse(t, a, b), ReturnOpen, 22, 24)
		assert.Equal(t, StopsDrive, row.Outcome)
		assert.Equal(t, "ground return open, pins 22, 24", row.Fault.String())
	})
	t.Run("each has no return of its own to lose", func(t *testing.T) {
		for _, r := range analyse(t, a, b).Rows {
			if r.Fault.Kind == ReturnOpen {
				assert.Len(t, r.Fault.Places, 2)
			}
		}
	})
	t.Run("a stop that only another circuit's misreading brings about is not counted on", func(t *testing.T) {
		makes := b
		makes.Channels = []Channel{{Pin: 24, Contact: NormallyOpen, WiredTo: Ground, Pull: PullUp, Return: "handle ground"}}
		row := find(t, analyse(t, a, makes), ReturnOpen, 22, 24)
		assert.Equal(t, LeavesRunning, row.Outcome)
		assert.Contains(t, row.Sentence, "stopped only because thumb switch is misread")
	})
}

// Three circuits on one supply feed, and a fourth on another conductor: losing
// the feed stops all three, whatever else is pressed.
func TestFeedOfThreeCircuits(t *testing.T) {
	fed := func(name string, pin int, k board.HoldKind, contact Contact) Circuit {
		return Circuit{Name: name, Kind: k, Channels: []Channel{
			{Pin: pin, Contact: contact, WiredTo: Supply, Pull: PullDown, Return: "feed"}}}
	}
	table := analyse(t, fed("thumb switch", 30, board.HoldToRun, NormallyOpen), mushroom(),
		fed("bumper", 32, board.Interlock, NormallyClosed), fed("guard", 34, board.Interlock, NormallyClosed))
	row := find(t, table, ReturnOpen, 30, 32, 34)
	assert.Equal(t, "supply feed open, pins 30, 32, 34", row.Fault.String())
	assert.Equal(t, []string{"thumb switch", "bumper", "guard"}, row.Circuits)
	assert.Equal(t, StopsDrive, row.Outcome)
	require.Len(t, row.States, 8)
	for _, s := range row.States {
		for _, r := range s.Readings {
			assert.Equal(t, Low, r.Level)
		}
	}
}

func TestOutputBridge(t *testing.T) {
	b := DefaultBoard()
	b.Outputs = []Output{{"drive enable", 8, true}}
	table, err := Analyse(b, []Circuit{mushroom()}, plain())
	require.NoError(t, err)
	row := find(t, table, BridgedToOutput, 24)
	// Closed, the contact wins: 50.01 Ω ∥ 20 kΩ = 49.885 Ω up, 3 Ω down:
	// 3300 × 3/52.885 = 187.2 mV, rounded outward. Open, the output decides.
	assert.Equal(t, Low, row.Run[0].Level)
	assert.Equal(t, int64(188), row.Run[0].MaxMV)
	assert.Equal(t, Undefined, row.Stop[0].Level)
	assert.Equal(t, LeavesRunning, row.Outcome)
	assert.Equal(t, "pin 24 bridged to output drive enable (pin 8)", row.Fault.String())
	// At rest the contact draws the output down while the board holds it high: the bridge
	// adds 0.6 mV. Pressed, the output is what it is: nothing certain.
	assert.Equal(t, int64(188), row.States[0].DrawnMV)
	assert.Equal(t, []bool{true, true, true}, []bool{row.States[0].LineDrawn, row.States[0].LineSags, row.States[0].Stopped})
	assert.Equal(t, []bool{false, false, false}, []bool{row.States[1].LineDrawn, row.States[1].LineSags, row.States[1].Stopped})
	assert.Equal(t, AtOnce, row.Found)
	assert.False(t, row.OwnStopLost)

	table, err = Analyse(b, []Circuit{mushroom()}, withPole(0))
	require.NoError(t, err)
	row = find(t, table, BridgedToOutput, 24)
	assert.Equal(t, StopsDrive, row.Outcome)
	assert.Equal(t, "Even at rest, and with drive enable held high by the board, that output is at up to 0.19 V, and the drive is off below 0.60 V: the fault stops the drive.", row.Sentence)

	// With 22 Ω in the wire: 50.01 Ω ∥ 20 kΩ up, 23.9 to 26.1 Ω down: 3300 × 26.1/75.985 = 1133.5 mV,
	// the bridge adds 0.4 mV; more than 600 and less than 2310: neither off nor on.
	weak := mushroom()
	weak.Channels[0].SeriesOhm = 22
	table, err = Analyse(b, []Circuit{weak}, withPole(0))
	require.NoError(t, err)
	row = find(t, table, BridgedToOutput, 24)
	assert.Equal(t, int64(1134), row.States[0].DrawnMV)
	assert.Equal(t, DriveUnsure, row.States[0].Drive)
	assert.Equal(t, StopsOnDemand, row.Outcome)
	assert.Contains(t, row.Sentence, "Running is erratic")
}

// What shorts the supply in every state may go unnoticed by a supply that holds: the return
// of a button that closes to stop, on the supply, reads run for good.
func TestASupplyThatHoldsAShort(t *testing.T) {
	row := find(t, analyse(t, one(board.EmergencyStop, NormallyOpen, Ground, PullUp)), ReturnShorted, 22)
	require.True(t, row.States[0].Shorted && row.States[1].Shorted)
	assert.Equal(t, LeavesRunning, row.Outcome)
	assert.Equal(t, ByStartUpTest, row.Found)
	// 1 Ω to ground, 10 mΩ to the supply: 3300/1.01 = 3267.3 mA.
	assert.Equal(t, "Pressed, the supply is shorted to ground (about 3268 mA if it held). If it holds, pin 22 reads high, which is run: the drive keeps running.", row.Sentence)
	assert.Equal(t, High, row.States[1].IfHeld.Readings[0].Level)
	assert.Equal(t, int64(3267), row.States[1].IfHeld.Readings[0].MinMV)

	// One that opens to stop reads stop for good, whether the supply holds or not.
	row = find(t, analyse(t, mushroom()), ReturnShorted, 24)
	assert.Equal(t, ShortCircuit, row.Outcome)
	assert.Equal(t, AtOnce, row.Found)
	assert.True(t, row.States[0].IfHeld.Stopped)

	// With a pole the drive is stopped, and a supply that holds does not show the short.
	row = find(t, analyseWith(t, withPole(0), one(board.EmergencyStop, NormallyOpen, Ground, PullUp)), ReturnShorted, 22)
	assert.Equal(t, ShortCircuit, row.Outcome)
	assert.Equal(t, ByStartUpTest, row.Found)
	assert.Contains(t, row.Sentence, "A supply that holds does not show it.")
}

// The same button wired to the supply holds the drive's output up while the board holds
// it low: 3 Ω to the supply, to ground 50.01 Ω beside a pull of 4935 Ω, which is 49.51 Ω:
// 3300 × 49.51/52.51 = 3111.5 mV, of which the bridge takes 0.6. A resistor in
// its feed keeps it down: 330 Ω less 5 % leave 3300 × 49.51/366.01 = 446.4 mV, where 600 mV may begin to conduct.
func TestPinsDoNotHoldTheDriveUp(t *testing.T) {
	b := DefaultBoard()
	b.Outputs = []Output{{"drive enable", 8, true}, {"lamp", 9, false}}
	button := func(ohm int64) Circuit {
		c := one(board.EmergencyStop, NormallyClosed, Supply, PullDown)
		c.Channels[0].SeriesOhm, c.Channels[0].PullOhm = ohm, 4700
		return c
	}
	thumb := thumb()
	thumb.Channels[0].Pin = 30
	for _, tt := range []struct {
		ohm, lineMV int64
	}{{0, 3111}, {220, 625}, {240, 583}, {330, 447}} {
		held := tt.lineMV >= b.DriveOffBelowMV
		// With a pole the button's own stop is carried out, the board's own is not where
		// the output is held up, nor the thumb's.
		for _, f := range []struct {
			path     Path
			circuits []Circuit
			states   int
			outcome  Outcome
			says     string
		}{
			{plain(), []Circuit{button(tt.ohm)}, 2, LeavesRunning, "Pressed, pin 22 reads undefined"}, // open, it reads what the output is
			{withPole(0), []Circuit{button(tt.ohm)}, 2, StopsOnDemand, "the pole in the drive path still opens"},
			{withPole(0), []Circuit{button(tt.ohm), thumb}, 4, map[bool]Outcome{true: LeavesRunning, false: StopsOnDemand}[held], map[bool]string{
				true: "At rest and drive enable held low by the board for thumb switch, that output is at up to ", false: "still opens"}[held]},
		} {
			table, err := Analyse(b, f.circuits, f.path)
			require.NoError(t, err)
			row := find(t, table, BridgedToOutput, 22)
			what := fmt.Sprintf("%d Ω, %d circuits", tt.ohm, len(f.circuits))
			require.Len(t, row.States, f.states, what)
			assert.Equal(t, f.outcome.String(), row.Outcome.String(), what)
			assert.Contains(t, row.Sentence, f.says, what)
			assert.Equal(t, held, row.OwnStopLost, what)
			assert.Equal(t, held && f.outcome == StopsOnDemand, strings.Contains(row.Sentence, "it does not stop the drive by itself"), row.Sentence)
			// While the board asks for power as well, the output cannot be held up against it:
			// the voltage told is that of the board holding it low.
			for _, s := range row.States[:1] {
				assert.Equal(t, tt.lineMV, s.LineMV, what)
				assert.Equal(t, held, s.LineHeld, what)
			}
			for _, s := range row.States[2:] { // beside the thumb
				assert.Equal(t, "thumb switch", s.Beside, what)
				assert.Equal(t, s.Stopped, s.Heard, what)
			}
			if f.states > 2 {
				assert.Equal(t, !held, row.States[2].Stopped, what)
				assert.True(t, row.States[3].Stopped, what) // the button's pole
			}
		}
	}
}

// An output that a pin is bridged to lifts the return that this pin's contact shares with
// one that closes to stop: 50 Ω to the supply, and 22 Ω in the return. With the thumb
// pressed, both pins lie at some 3300 × 23/75 = 1012 mV, above the 990 that are certainly low:
// the guard that trips may not be seen, and the thumb's pole does not open for it.
func TestALiftedReturnIsToldOf(t *testing.T) {
	thumb, guard := thumb(), one(board.Interlock, NormallyOpen, Ground, PullUp)
	guard.Name, guard.Channels[0].Pin = "guard", 24
	for _, ch := range []*Channel{&thumb.Channels[0], &guard.Channels[0]} {
		ch.Return, ch.SeriesOhm = "brown", 22
	}
	b := DefaultBoard()
	for _, of := range []struct {
		enables bool
		offMV   int64
		stopped bool
	}{{false, 600, false}, {true, 600, false}, {true, 1200, true}} { // at 1200 mV the drive is off, by the bridge alone
		b.Outputs = []Output{{"out", 8, of.enables}}
		b.DriveOffBelowMV = of.offMV
		table, err := Analyse(b, []Circuit{thumb, guard}, withPole(0))
		require.NoError(t, err)
		row := find(t, table, BridgedToOutput, 22)
		require.Equal(t, []string{"thumb switch", "guard"}, row.Circuits)
		assert.Equal(t, LeavesRunning, row.Outcome)
		tripped := row.States[2] // the thumb pressed, the guard tripped
		assert.Equal(t, []Demand{DemandRun, DemandStop}, tripped.Demands)
		assert.Equal(t, []Level{Undefined, Undefined}, []Level{tripped.Readings[0].Level, tripped.Readings[1].Level})
		assert.Equal(t, of.stopped, tripped.Stopped)
		assert.False(t, tripped.Heard, "a poor bridge would not draw the line down")

		// A guard that opens to stop reads stop the sooner, and the row is the thumb's alone.
		opens := guard
		opens.Channels = []Channel{guard.Channels[0]}
		opens.Channels[0].Contact = NormallyClosed
		table, err = Analyse(b, []Circuit{thumb, opens}, withPole(0))
		require.NoError(t, err)
		assert.Equal(t, []string{"thumb switch"}, find(t, table, BridgedToOutput, 22).Circuits)
	}
}

// Two two-channel circuits, one channel of each bridged: whichever is asked to
// stop, the other holds the bridged channel at run. With both asked it is not
// seen, but neither is anything else needed.
func TestBridgeOfTwoTwoChannelCircuits(t *testing.T) {
	two := func(name string, pin int) Circuit {
		a := Channel{Pin: pin, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp}
		b := a
		b.Pin++
		return Circuit{Name: name, Kind: board.EmergencyStop, DiscrepancyMS: 100, Channels: []Channel{a, b}}
	}
	row := find(t, analyse(t, two("left button", 30), two("right button", 40)), PinsBridged, 30, 40)
	assert.Equal(t, StopsOnDemand, row.Outcome)
	assert.Equal(t, AtNextDemand, row.Found)
	assert.Contains(t, row.Sentence, "at the next demand: with left button pressed and right button at rest")
	assert.Equal(t, []Conclusion{ConcludesStop, ConcludesStop}, row.States[3].Conclusions)
}

// A circuit that the row is not about lifts a common return: with 330 Ω in it
// and both contacts closed, the return carries two pulls.
func TestAnotherCircuitsCurrentInACommonReturn(t *testing.T) {
	a, b := thumb(), mushroom()
	for _, ch := range []*Channel{&a.Channels[0], &b.Channels[0]} {
		ch.Return, ch.SeriesOhm, ch.PullOhm = "handle ground", 330, 1000
	}
	row := find(t, analyse(t, a, b), NoFault)
	// Button closed: two branches of 950 + 1 + 1 Ω in parallel, 476 Ω, over 346.5 + 1 Ω:
	// return at 3300 × 347.5/823.5 = 1392.5 mV, pin 2 Ω × 2.004 mA higher, 1396.5 mV;
	// the inputs' 1 µA adds 0.4 mV: 1396.9 mV. Already too high. Open, and the resistors
	// at the other end of their 5 %: 3300 × 316.5/1366.5 = 764.3 mV, less 1 µA × 243 Ω.
	assert.Equal(t, Reading{22, Undefined, 764, 1397}, row.Run[0])
	assert.Equal(t, Indistinct, row.Outcome)
}

// Figures decide, not types: with a damp contact and a weak pull the same
// wiring no longer tells run from stop.
func TestFiguresMatter(t *testing.T) {
	b := DefaultBoard()
	b.ContactOpenOhm = 300_000 // 3300 × 300/450 = 2200 mV < 2310 mV
	table, err := Analyse(b, []Circuit{thumb()}, plain())
	require.NoError(t, err)
	require.Len(t, table.Rows, 1)
	assert.Equal(t, Indistinct, table.Rows[0].Outcome)

	// The same on a shared return, where the way the leak pushes is not known
	// beforehand.
	first, second := thumb(), mushroom()
	first.Channels[0].Return, second.Channels[0].Return = "handle ground", "handle ground"
	table, err = Analyse(b, []Circuit{first, second}, plain())
	require.NoError(t, err)
	require.Len(t, table.Rows, 2)
	assert.Equal(t, Indistinct, table.Rows[0].Outcome)
	assert.Equal(t, Indistinct, table.Rows[1].Outcome)

	strong := thumb()
	strong.Channels[0].PullOhm = 4700 // 3300 × 300/304.9 = 3247 mV
	table, err = Analyse(b, []Circuit{strong}, plain())
	require.NoError(t, err)
	assert.Equal(t, Healthy, table.Rows[0].Outcome)
	assert.Equal(t, []int64{668}, table.Wirings[0].ContactUA) // 3300 mV / (4935 + 3) Ω

	b = DefaultBoard()
	b.WireOhm = 100 // a long thin cable limits its own short: 3300/201 = 16 mA
	table, err = Analyse(b, []Circuit{thumb()}, plain())
	require.NoError(t, err)
	assert.Equal(t, StopsDrive, find(t, table, SignalToSupply, 22).Outcome)
}
