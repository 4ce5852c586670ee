package circuit

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
)

func TestWhatEachKindAsksFor(t *testing.T) {
	tests := []struct {
		kind      board.HoldKind
		contact   Contact
		run, stop bool // closed
	}{
		{board.HoldToRun, NormallyOpen, true, false},
		{board.HoldToRun, NormallyClosed, false, true},
		{board.EmergencyStop, NormallyOpen, false, true},
		{board.EmergencyStop, NormallyClosed, true, false},
		{board.Interlock, NormallyOpen, false, true},
		{board.Interlock, NormallyClosed, true, false},
	}
	for _, tt := range tests {
		assert.Equal(t, tt.run, tt.contact.closed(tt.kind, DemandRun), "%s %s", tt.kind, tt.contact)
		assert.Equal(t, tt.stop, tt.contact.closed(tt.kind, DemandStop), "%s %s", tt.kind, tt.contact)
	}
}

func TestInputErrors(t *testing.T) {
	with := func(change func(*Board)) Board {
		b := DefaultBoard()
		change(&b)
		return b
	}
	hold := func(change func(*Circuit)) []Circuit {
		c := thumb()
		change(&c)
		return []Circuit{c}
	}
	tests := []struct {
		name     string
		board    Board
		circuits []Circuit
		want     InputError
	}{
		{"no supply", with(func(b *Board) { b.SupplyMV = 0 }), hold(func(*Circuit) {}), InputError{Circuit: -1, Channel: -1, Field: "SupplyMV"}},
		{"thresholds crossed", with(func(b *Board) { b.LowBelowMV = 2400 }), nil, InputError{Circuit: -1, Channel: -1, Field: "LowBelowMV, HighAboveMV"}},
		{"pulls crossed", with(func(b *Board) { b.PullMaxOhm = 1 }), nil, InputError{Circuit: -1, Channel: -1, Field: "PullMinOhm, PullMaxOhm"}},
		{"negative leakage", with(func(b *Board) { b.LeakageNA = -1 }), nil, InputError{Circuit: -1, Channel: -1, Field: "LeakageNA"}},
		{"no supply limit", with(func(b *Board) { b.SupplyLimitMA = 0 }), nil, InputError{Circuit: -1, Channel: -1, Field: "SupplyLimitMA"}},
		{"no wire", with(func(b *Board) { b.WireOhm = 0 }), nil, InputError{Circuit: -1, Channel: -1, Field: "WireOhm"}},
		{"open contact conducts", with(func(b *Board) { b.ContactOpenOhm = 1 }), nil, InputError{Circuit: -1, Channel: -1, Field: "ContactClosedOhm, ContactOpenOhm"}},
		{"outputs without a resistance", with(func(b *Board) { b.Outputs, b.OutputOhm = []Output{{Name: "a", Pin: 1}}, 0 }), nil, InputError{Circuit: -1, Channel: -1, Field: "OutputOhm"}},
		{"two outputs on a pin", with(func(b *Board) { b.Outputs = []Output{{Name: "a", Pin: 1}, {Name: "b", Pin: 1}} }), nil, InputError{Circuit: -1, Channel: -1, Field: "Outputs"}},
		{"input on an output's pin", with(func(b *Board) { b.Outputs = []Output{{Name: "a", Pin: 22}} }), hold(func(*Circuit) {}), InputError{Channel: 0, Field: "Pin"}},
		{"nameless", DefaultBoard(), hold(func(c *Circuit) { c.Name = "" }), InputError{Channel: -1, Field: "Name"}},
		{"name twice", DefaultBoard(), func() []Circuit {
			a, b := thumb(), thumb()
			b.Channels = []Channel{{Pin: 23, Pull: PullUp}}
			return []Circuit{a, b}
		}(), InputError{Circuit: 1, Channel: -1, Field: "Name"}},
		{"no such kind", DefaultBoard(), hold(func(c *Circuit) { c.Kind = 9 }), InputError{Channel: -1, Field: "Kind"}},
		{"no channel", DefaultBoard(), hold(func(c *Circuit) { c.Channels = nil }), InputError{Channel: -1, Field: "Channels"}},
		{"three channels", DefaultBoard(), hold(func(c *Circuit) {
			c.Channels = []Channel{{Pin: 1, Pull: PullUp}, {Pin: 2, Pull: PullUp}, {Pin: 3, Pull: PullUp}}
		}), InputError{Channel: -1, Field: "Channels"}},
		{"two channels without a discrepancy time", DefaultBoard(), hold(func(c *Circuit) {
			c.Channels = []Channel{{Pin: 1, Pull: PullUp}, {Pin: 2, Pull: PullUp}}
		}), InputError{Channel: -1, Field: "DiscrepancyMS"}},
		{"negative pin", DefaultBoard(), hold(func(c *Circuit) { c.Channels[0].Pin = -1 }), InputError{Channel: 0, Field: "Pin"}},
		{"no such contact", DefaultBoard(), hold(func(c *Circuit) { c.Channels[0].Contact = 5 }), InputError{Channel: 0, Field: "Contact"}},
		{"no such rail", DefaultBoard(), hold(func(c *Circuit) { c.Channels[0].WiredTo = 5 }), InputError{Channel: 0, Field: "WiredTo"}},
		{"no such pull", DefaultBoard(), hold(func(c *Circuit) { c.Channels[0].Pull = 5 }), InputError{Channel: 0, Field: "Pull"}},
		{"negative pull", DefaultBoard(), hold(func(c *Circuit) { c.Channels[0].PullOhm = -1 }), InputError{Channel: 0, Field: "PullOhm"}},
		{"pull without a direction", DefaultBoard(), hold(func(c *Circuit) { c.Channels[0].Pull, c.Channels[0].PullOhm = PullNone, 4700 }), InputError{Channel: 0, Field: "PullOhm"}},
		{"negative series resistor", DefaultBoard(), hold(func(c *Circuit) { c.Channels[0].SeriesOhm = -1 }), InputError{Channel: 0, Field: "SeriesOhm"}},
		{"one conductor to two rails", DefaultBoard(), func() []Circuit {
			a, b := thumb(), mushroom()
			a.Channels[0].Return, b.Channels[0].Return, b.Channels[0].WiredTo = "w", "w", Supply
			return []Circuit{a, b}
		}(), InputError{Circuit: 1, Channel: 0, Field: "Return"}},
		{"one conductor, two resistors", DefaultBoard(), func() []Circuit {
			a, b := thumb(), mushroom()
			a.Channels[0].Return, b.Channels[0].Return, b.Channels[0].SeriesOhm = "w", "w", 330
			return []Circuit{a, b}
		}(), InputError{Circuit: 1, Channel: 0, Field: "SeriesOhm"}},
		{"one conductor for too many", DefaultBoard(), func() []Circuit {
			var list []Circuit
			for i := range maxSharing + 1 {
				c := thumb()
				c.Name, c.Channels[0].Pin, c.Channels[0].Return = string(rune('a'+i)), i, "w"
				list = append(list, c)
			}
			return list
		}(), InputError{Circuit: maxSharing, Channel: 0, Field: "Return"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Analyse(tt.board, tt.circuits, plain())
			var got *InputError
			require.True(t, errors.As(err, &got), "%v", err)
			assert.NotEmpty(t, got.Reason)
			assert.NotEmpty(t, got.Error())
			got.Reason = ""
			assert.Equal(t, tt.want, *got)
		})
	}
}

func TestAllInputErrorsComeTogether(t *testing.T) {
	c := thumb()
	c.Name, c.Kind, c.Channels[0].Pin = "", 7, -1
	b := DefaultBoard()
	b.WireOhm = 0
	_, err := Analyse(b, []Circuit{c}, plain())
	require.ErrorContains(t, err, "board: WireOhm: is 0 Ω")
	require.ErrorContains(t, err, "circuit 1: Name: is empty")
	require.ErrorContains(t, err, "circuit 1: Kind: 7 is not a kind of circuit")
	require.ErrorContains(t, err, "circuit 1, channel 1: Pin: -1 is negative")
}

// Without a circuit there are the faults of the path alone: nothing asks for a stop but
// the board, so that no demand can find one.
func TestNoCircuits(t *testing.T) {
	table, err := Analyse(DefaultBoard(), nil, plain())
	require.NoError(t, err)
	assert.Equal(t, table.OfPath(), table.Rows)
	var got []pathFact
	for _, r := range table.Rows {
		got = append(got, pathFact{r.Fault.String(), r.Outcome, "", r.OwnStopLost, r.Found})
		assert.False(t, r.AgainstEvery(0))
	}
	assert.Equal(t, []pathFact{
		{"program halted with drive_enable high", StopsOnDemand, "", true, ByWrittenTest}, // the board does not stop by itself
		{"drive_enable held high", StopsOnDemand, "", true, ByWrittenTest},
		{"drive_enable line shorted to ground", StopsDrive, "", false, AtOnce},
		{"drive_enable line broken", StopsDrive, "", false, AtOnce},
		{"driver stuck on", StopsOnDemand, "", true, ByWrittenTest},
		{"resistor that holds driver off missing", StopsOnDemand, "", false, ByWrittenTest},
		{"driver stuck off", StopsDrive, "", false, AtOnce},
	}, got)
}

// The input is not changed.
func TestInputIsLeftAlone(t *testing.T) {
	circuits := []Circuit{thumb(), mushroom()}
	_, err := Analyse(DefaultBoard(), circuits, plain())
	require.NoError(t, err)
	assert.Equal(t, []Circuit{thumb(), mushroom()}, circuits)
}
