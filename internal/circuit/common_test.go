package circuit

// What takes both channels of a circuit at once, and what a step of the written test can
// show: tables worked out by hand.

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
)

// commonFact is a row of a cause that takes both channels.
type commonFact struct {
	kind    FaultKind
	outcome Outcome
	found   Found
}

func TestCommonCausesByHand(t *testing.T) {
	ground := Channel{Pin: 24, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp}
	alike := Channel{Pin: 26, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp}
	supply := Channel{Pin: 26, Contact: NormallyClosed, WiredTo: Supply, Pull: PullDown}
	limited := func(ch Channel) Channel {
		ch.SeriesOhm = 330
		return ch
	}
	all := CommonCause{Cable: true, Connector: true, Supply: true, Actuator: true}
	tests := []struct {
		name   string
		a, b   Channel
		common CommonCause
		path   Path
		facts  []commonFact
	}{
		{"two contacts to ground: the cable that crushes both to ground is run for both", ground, alike, all, plain(), []commonFact{
			{ActuatorJammed, LeavesRunning, ByStartUpTest},
			{CableToGround, LeavesRunning, ByStartUpTest},
			{CableToSupply, ShortCircuit, AtOnce}, // through the contacts at rest
			{CableCut, StopsDrive, AtOnce},
			{ConnectorOff, StopsDrive, AtOnce},
			{FeedsLost, StopsDrive, AtOnce},
		}},
		{"the same with a pole: a jammed button holds that too", ground, alike, all, withPole(0), []commonFact{
			{ActuatorJammed, LeavesRunning, ByStartUpTest},
			{CableToGround, StopsOnDemand, ByStartUpTest},
			{CableToSupply, ShortCircuit, AtOnce},
			{CableCut, StopsDrive, AtOnce},
			{ConnectorOff, StopsDrive, AtOnce},
			{FeedsLost, StopsDrive, AtOnce},
		}},
		// One of the two reads stop whichever rail the cable is crushed to; but each wire to its
		// own return is as if both contacts were closed. Two rails are not lost together, so
		// that there is no such row.
		{"contacts to opposite rails, with resistors", limited(ground), limited(supply), all, plain(), []commonFact{
			{ActuatorJammed, LeavesRunning, ByStartUpTest},
			{CableToGround, StopsDrive, AtOnce},
			{CableToSupply, StopsDrive, AtOnce},
			{CableToReturns, LeavesRunning, ByStartUpTest},
			{CableCut, StopsDrive, AtOnce},
			{ConnectorOff, StopsDrive, AtOnce},
		}},
		{"a contact that closes to stop beside one that opens: to its returns one reads stop", ground,
			Channel{Pin: 26, Contact: NormallyOpen, WiredTo: Supply, Pull: PullDown}, all, plain(), []commonFact{
				{ActuatorJammed, LeavesRunning, ByStartUpTest},
				{CableToGround, LeavesRunning, ByWrittenTest}, // at rest both are low, which is run; pressed it shorts the supply, and nothing is known
				{CableToSupply, ShortCircuit, AtOnce},
				{CableToReturns, StopsDrive, AtOnce},
				{CableCut, StopsDrive, AtOnce},
				{ConnectorOff, StopsDrive, AtOnce},
			}},
		{"nothing in common: each actuator by itself, and the other channel gives it away", ground, alike, CommonCause{}, plain(), []commonFact{
			{ActuatorJammed, StopsOnDemand, AtNextDemand},
			{ActuatorJammed, StopsOnDemand, AtNextDemand},
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := Circuit{Name: "mushroom button", Kind: board.EmergencyStop, DiscrepancyMS: 100, CommonCause: tt.common, Channels: []Channel{tt.a, tt.b}}
			var got []commonFact
			for _, r := range analyseWith(t, tt.path, c).ToldWith("mushroom button") {
				if k := r.Fault.Kind; k == ActuatorJammed || k.common() {
					got = append(got, commonFact{k, r.Outcome, r.Found})
				}
			}
			assert.Equal(t, tt.facts, got)
		})
	}
}

// A conductor that another circuit shares is lost to that as well, whichever of the two
// stands first: cut cable, connector off and lost rail are about both.
func TestCommonCausesTakeTheReturnOfOthersAlong(t *testing.T) {
	a := thumb()
	a.Channels[0].Return = "handle ground"
	b := Circuit{Name: "mushroom button", Kind: board.EmergencyStop, DiscrepancyMS: 100,
		CommonCause: CommonCause{Cable: true, Connector: true, Supply: true}, Channels: []Channel{
			{Pin: 24, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp},
			{Pin: 26, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp, Return: "handle ground"},
		}}
	for _, circuits := range [][]Circuit{{a, b}, {b, a}} {
		table := analyse(t, circuits...)
		for _, k := range []FaultKind{CableCut, ConnectorOff, FeedsLost} {
			row := find(t, table, k, 24, 26)
			assert.Equal(t, []string{circuits[0].Name, circuits[1].Name}, row.Circuits, k)
			assert.Equal(t, StopsDrive, row.Outcome, k)
			for _, s := range row.States {
				for _, r := range s.Readings {
					assert.Equal(t, High, r.Level, "%s: pin %d", k, r.Pin)
				}
			}
		}
		assert.Equal(t, []string{"mushroom button"}, find(t, table, CableToGround, 24, 26).Circuits)
	}
}

// A pin bridged to an output that may be either: the other channel's wire off, the board
// may latch a discrepancy as it must, and no step certainly shows the bridge.
func TestAStepShowsOnlyWhatIsCertain(t *testing.T) {
	stop := func(readings ...Level) State {
		s := State{Drive: DriveOff, Conclusions: []Conclusion{ConcludesStop}}
		for _, l := range readings {
			s.Readings = append(s.Readings, Reading{Level: l})
		}
		return s
	}
	latched := State{Drive: DriveOff, Conclusions: []Conclusion{ConcludesDiscrepancy}, Readings: []Reading{{Level: High}, {Level: Low}}}
	tests := []struct {
		name string
		a, b State
		want bool
	}{
		{"latched, and certainly not", latched, stop(High, High), true},
		{"latched, and maybe", latched, stop(High, Undefined), false},
		{"the same", latched, latched, false},
		{"off and on", State{Drive: DriveOff}, State{Drive: DriveOn}, true},
		{"off and maybe", State{Drive: DriveOff}, State{Drive: DriveUnsure}, false},
	}
	for _, tt := range tests {
		assert.Equal(t, tt.want, differs(tt.a, tt.b), tt.name)
		assert.Equal(t, tt.want, differs(tt.b, tt.a), tt.name)
	}
}

// The wire is taken off at the hold's end, so that its short stays: the step finds a wire
// that is shorted to what means run, where neither the start-up test nor a demand does.
func TestTakingAWireOffShowsABridgeOfTwoChannels(t *testing.T) {
	c := Circuit{Name: "mushroom button", Kind: board.EmergencyStop, DiscrepancyMS: 100, Channels: []Channel{
		{Pin: 24, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp},
		{Pin: 26, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp},
	}}
	table := analyse(t, c)
	row := find(t, table, PinsBridged, 24, 26)
	require.Equal(t, ByWrittenTest, row.Found)
	assert.Equal(t, "run, then take the wire from pin 24 off at mushroom button, at that end", table.Tests[row.Test].Do)
	assert.Contains(t, table.Tests[row.Test].Expect, "and stays so when the wire is back")
}
