package circuit

// What must hold for any wiring: mirror symmetry, softer faults covered by hard
// ones, milder figures covered by the worst ones, and advice that keeps its
// word.

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/board"
)

// drawBoard draws a board with thresholds and resistances of any sensible size.
func drawBoard(t *rapid.T) Board {
	b := DefaultBoard()
	b.SupplyMV = rapid.Int64Range(1800, 5000).Draw(t, "supply mV")
	b.LowBelowMV = b.SupplyMV * rapid.Int64Range(15, 45).Draw(t, "low %") / 100
	b.HighAboveMV = b.SupplyMV * rapid.Int64Range(55, 85).Draw(t, "high %") / 100
	b.PullMinOhm = rapid.Int64Range(1000, 50_000).Draw(t, "pull min")
	b.PullMaxOhm = b.PullMinOhm + rapid.Int64Range(0, 100_000).Draw(t, "pull spread")
	b.LeakageNA = rapid.Int64Range(0, 2000).Draw(t, "leakage")
	b.WireOhm = rapid.Int64Range(1, 50).Draw(t, "wire")
	b.ContactClosedOhm = rapid.Int64Range(1, 50).Draw(t, "closed")
	b.ContactOpenOhm = rapid.Int64Range(100_000, 100_000_000).Draw(t, "open")
	return b
}

// drawCircuits draws up to most circuits of one or two channels, some sharing
// a return; if sensible, every pull draws away from the contact's rail.
func drawCircuits(t *rapid.T, most int, sensible bool) []Circuit {
	var circuits []Circuit
	pin := 20
	shared := Channel{WiredTo: rapid.SampledFrom([]Rail{Ground, Supply}).Draw(t, "shared rail"),
		SeriesOhm: rapid.SampledFrom([]int64{0, 330}).Draw(t, "shared series")}
	for i := range rapid.IntRange(1, most).Draw(t, "circuits") {
		c := Circuit{Name: fmt.Sprint("circuit ", i), Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), DiscrepancyMS: 100}
		for range rapid.IntRange(1, 2).Draw(t, "channels") {
			ch := rapid.SampledFrom(allChannels(pin)).Draw(t, "channel")
			pin++
			if sensible {
				ch.Pull = ch.WiredTo.pullAway()
			}
			if ch.Pull != PullNone {
				ch.PullOhm = rapid.SampledFrom([]int64{0, 0, 4700, 47_000}).Draw(t, "external pull")
			}
			ch.SeriesOhm = rapid.SampledFrom([]int64{0, 0, 330}).Draw(t, "series")
			if ch.WiredTo == shared.WiredTo && rapid.Bool().Draw(t, "shares") {
				ch.Return, ch.SeriesOhm = "common", shared.SeriesOhm
			}
			c.Channels = append(c.Channels, ch)
		}
		c.BreaksDriveSupply = rapid.Bool().Draw(t, "pole")
		if c.BreaksDriveSupply && validate(DefaultBoard(), []Circuit{c}, plain()) != nil {
			c.BreaksDriveSupply = false
		}
		circuits = append(circuits, c)
	}
	return circuits
}

// pullAway returns the pull that draws to the other rail.
func (r Rail) pullAway() Pull {
	if r == Supply {
		return PullDown
	}
	return PullUp
}

// mirror swaps the rails everywhere.
func mirror(b Board, circuits []Circuit) (Board, []Circuit) {
	b.LowBelowMV, b.HighAboveMV = b.SupplyMV-b.HighAboveMV, b.SupplyMV-b.LowBelowMV
	circuits = slices.Clone(circuits)
	for i := range circuits {
		circuits[i].Channels = slices.Clone(circuits[i].Channels)
		for j := range circuits[i].Channels {
			ch := &circuits[i].Channels[j]
			ch.WiredTo = map[Rail]Rail{Ground: Supply, Supply: Ground}[ch.WiredTo]
			ch.Pull = map[Pull]Pull{PullNone: PullNone, PullUp: PullDown, PullDown: PullUp}[ch.Pull]
		}
	}
	return b, circuits
}

// Swapping supply and ground, pulls and thresholds swaps the levels and changes
// no outcome.
func TestMirrorSymmetry(t *testing.T) {
	faults := map[FaultKind]FaultKind{
		SignalToGround: SignalToSupply, SignalToSupply: SignalToGround,
		PinStuckLow: PinStuckHigh, PinStuckHigh: PinStuckLow,
	}
	levels := map[Level]Level{Low: High, High: Low, Undefined: Undefined, LowOrHigh: LowOrHigh}
	rapid.Check(t, func(t *rapid.T) {
		b, circuits := drawBoard(t), drawCircuits(t, 2, rapid.Bool().Draw(t, "sensible"))
		b.Outputs = []Output{{"lamp", 8, false}} // the drive's has no mirror: it is off when low
		mb, mirrored := mirror(b, circuits)
		a, ma := newAnalysis(b, circuits, plain()), newAnalysis(mb, mirrored)
		for _, j := range jobs(b, circuits, plain()) {
			mj := j
			if k, swapped := faults[j.fault.Kind]; swapped {
				mj.fault.Kind = k
			}
			row, mrow := a.row(j), ma.row(mj)
			require.Equal(t, row.Outcome.String(), mrow.Outcome.String(), "%s", j.fault)
			for i := range row.Run {
				require.Equal(t, levels[row.Run[i].Level], mrow.Run[i].Level, "%s", j.fault)
				require.Equal(t, levels[row.Stop[i].Level], mrow.Stop[i].Level, "%s", j.fault)
			}
		}
	})
}

// Every fault is told with one circuit and counted there once, whatever it touches.
func TestTalliesCountEveryFaultOnce(t *testing.T) {
	shared := 0
	rapid.Check(t, func(t *rapid.T) {
		b, circuits := drawBoard(t), drawCircuits(t, 3, rapid.Bool().Draw(t, "sensible"))
		b.Outputs = []Output{{"drive enable", 8, true}}
		table, err := Analyse(b, circuits, plain())
		require.NoError(t, err)
		faults, told := map[Outcome]int{}, map[Outcome]int{}
		for _, r := range table.Rows {
			if r.Fault.Kind != NoFault {
				faults[r.Outcome]++
				shared += len(r.Circuits) - 1
			}
		}
		rows, all := 0, 0
		for _, c := range circuits {
			rows += len(table.ToldWith(c.Name))
			tried, of := table.Tally(c.Name)
			all += tried
			for o, n := range of {
				told[o] += n
				tried -= n
			}
			require.Zero(t, tried, "every fault has an outcome")
		}
		require.Equal(t, faults, told)
		require.Equal(t, len(table.Rows), rows)
		require.Equal(t, len(table.Rows)-len(circuits), all, "one row of each circuit is of no fault")
	})
	require.NotZero(t, shared, "some must touch several circuits")
}

// A fault that is credited when hard is not dangerous when soft: a poor joint,
// a damp short, at any resistance.
func TestHardFaultsCoverSoftOnes(t *testing.T) {
	soft := 0
	rapid.Check(t, func(t *rapid.T) {
		b, circuits := drawBoard(t), drawCircuits(t, 2, true)
		b.Outputs = []Output{{"drive enable", 8, true}}
		hard := newAnalysis(b, circuits, plain())
		softer := hard
		ohm := rapid.Float64Range(1, 10).Draw(t, "mantissa")
		for range rapid.IntRange(0, 8).Draw(t, "decade") {
			ohm *= 10
		}
		softer.model.shortOhm, softer.model.openOhm = ohm/10, ohm/10
		for _, j := range jobs(b, circuits, plain()) {
			if j.fault.Kind == NoFault || !hard.allDistinct(j.about) {
				continue
			}
			if was := hard.row(j).Outcome; was.Credited() {
				soft++
				now := softer.row(j)
				require.False(t, now.Outcome.Dangerous(), "%s: %s when hard, %s at %g Ω", j.fault, was, now.Outcome, ohm/10)
			}
		}
	})
	require.Positive(t, soft)
}

// Any board whose figures lie within the bounds reads within the bounds: the
// corners are the extremes.
func TestCornersBoundEveryFigureWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, circuits := drawBoard(t), drawCircuits(t, 2, false)
		within := b
		within.LeakageNA = rapid.Int64Range(0, b.LeakageNA).Draw(t, "leakage within")
		within.ContactOpenOhm *= rapid.Int64Range(1, 1000).Draw(t, "open within")
		within.ResistorPPM = 0
		b.ResistorPPM = rapid.Int64Range(0, 200_000).Draw(t, "tolerance")
		fitted := func(ohm int64) int64 { // the ends lie inwards of whole ohms
			least, most := ohm-ohm*b.ResistorPPM/million, ohm+ohm*b.ResistorPPM/million
			return rapid.Int64Range(least, most).Draw(t, "fitted")
		}
		shared := fitted(330)
		actual := slices.Clone(circuits)
		for i := range actual {
			actual[i].Channels = slices.Clone(actual[i].Channels)
			for j := range actual[i].Channels {
				ch := &actual[i].Channels[j]
				switch {
				case ch.PullOhm > 0:
					ch.PullOhm = fitted(ch.PullOhm)
				case ch.Pull != PullNone:
					ch.PullOhm = rapid.Int64Range(b.PullMinOhm, b.PullMaxOhm).Draw(t, "pull within")
				}
				if ch.SeriesOhm > 0 && ch.Return == "" {
					ch.SeriesOhm = fitted(ch.SeriesOhm)
				} else if ch.SeriesOhm > 0 {
					ch.SeriesOhm = shared
				}
			}
		}
		worst, real := newModel(b, circuits), newModel(within, actual)
		j := rapid.SampledFrom(jobs(b, circuits, plain())).Draw(t, "row")
		d := demands{}
		for _, i := range j.about {
			d[i] = Demand(rapid.IntRange(0, 1).Draw(t, "demand"))
		}
		bounds, _, _ := worst.look(j.about, j.fault.elementary(circuits), d)
		got, _, _ := real.look(j.about, j.fault.elementary(circuits), d)
		for k := range got {
			require.LessOrEqual(t, bounds[k].MinMV, got[k].MinMV, "%s: %v in %v", j.fault, got[k], bounds[k])
			require.GreaterOrEqual(t, bounds[k].MaxMV, got[k].MaxMV, "%s: %v in %v", j.fault, got[k], bounds[k])
		}
	})
}

// A circuit that the row is not about, but that shares a return, takes the
// worst position by itself: naming its demand narrows the bounds, never widens
// them.
func TestFreeContactsTakeTheWorstPosition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, circuits := drawBoard(t), drawCircuits(t, 3, true)
		for i := range circuits {
			ch := &circuits[i].Channels[0]
			ch.WiredTo, ch.Pull, ch.Return, ch.SeriesOhm = Ground, PullUp, "common", 330
			circuits[i].Channels = circuits[i].Channels[:1]
			circuits[i].BreaksDriveSupply = false
		}
		require.NoError(t, validate(b, circuits, plain()))
		m := newModel(b, circuits)
		j := rapid.SampledFrom(jobs(b, circuits, plain())).Draw(t, "row")
		d := demands{}
		for _, i := range j.about {
			d[i] = Demand(rapid.IntRange(0, 1).Draw(t, "demand"))
		}
		bounds, _, _ := m.look(j.about, j.fault.elementary(circuits), d)
		for i := range circuits {
			if _, given := d[i]; !given {
				d[i] = Demand(rapid.IntRange(0, 1).Draw(t, "free demand"))
			}
		}
		got, _, _ := m.look(j.about, j.fault.elementary(circuits), d)
		// nA × Ω = nV; a millivolt more because each bound is rounded.
		slackMV := maxSharing*b.LeakageNA*(b.WireOhm+330)/1_000_000 + 1
		for k := range got {
			require.LessOrEqual(t, bounds[k].MinMV, got[k].MinMV+slackMV, "%s", j.fault)
			require.GreaterOrEqual(t, bounds[k].MaxMV, got[k].MaxMV-slackMV, "%s", j.fault)
		}
	})
}

// Every row that is not credited has advice, no credited row has; no advice
// makes a broken wire or contact dangerous that was not, and what it promises
// for the row is what the model gives.
func TestAdviceKeepsItsWord(t *testing.T) {
	proposed := 0
	for _, k := range kinds {
		for _, ch := range allChannels(22) {
			b := DefaultBoard()
			circuits := []Circuit{{Name: "hold", Kind: k, Channels: []Channel{ch}}, mushroom()}
			table, err := Analyse(b, circuits, plain())
			require.NoError(t, err)
			a := newAnalysis(b, circuits, plain())
			for _, row := range table.Rows {
				require.Equal(t, row.Outcome.Credited(), row.Advice == "", "%s", row.Fault)
			}
			for _, j := range jobs(b, circuits, plain()) {
				if j.fault.Kind == NoFault || !a.allDistinct(j.about) {
					continue
				}
				row := a.row(j)
				if row.Outcome.Credited() {
					continue
				}
				for _, c := range slices.Concat(changesFor(b, circuits, j)...) {
					got, good := a.try(c, j, row.Outcome)
					if !good {
						continue
					}
					proposed++
					after := newAnalysis(b, c.circuits)
					require.True(t, got.Credited())
					require.Equal(t, got, after.row(j).Outcome, "%s: %s", j.fault, c.text)
					for _, i := range j.about {
						require.LessOrEqual(t, after.weight(i).dangerous, a.weight(i).dangerous, "%s: %s", j.fault, c.text)
					}
					require.LessOrEqual(t, brokenDangerous(after, j.about), brokenDangerous(a, j.about), "%s: %s", j.fault, c.text)
				}
			}
		}
	}
	require.Positive(t, proposed)
}

// brokenDangerous counts the faults of the circuits in which something no
// longer conducts and the drive is left running.
func brokenDangerous(a analysis, about []int) int {
	n := 0
	for _, j := range jobs(a.model.board, a.model.circuits) {
		switch j.fault.Kind {
		case SignalOpen, ReturnOpen, ContactStuckOpen:
			if len(j.about) == 1 && slices.Contains(about, j.about[0]) && a.row(j).Outcome.Dangerous() {
				n++
			}
		}
	}
	return n
}

// Breaking a circuit to stop comes first: no number of other dangers, here
// bridges to outputs, makes an emergency stop that closes to stop the advice.
func TestAdviceKeepsTheClosedCircuitPrinciple(t *testing.T) {
	b := DefaultBoard()
	b.Outputs = []Output{{"drive enable", 1, true}, {"left motor", 2, false}, {"right motor", 3, false}}
	table, err := Analyse(b, []Circuit{mushroom()})
	require.NoError(t, err)
	for _, r := range table.Rows {
		require.NotContains(t, r.Advice, "Wire pin 24 normally open", "%s", r.Fault)
	}
}

func TestAdviceOnTheClassicMistakes(t *testing.T) {
	tests := []struct {
		name    string
		circuit Circuit
		kind    FaultKind
		want    string
	}{
		{"hold-to-run that opens when pressed", one(board.HoldToRun, NormallyClosed, Ground, PullUp), SignalOpen,
			`Wire pin 22 normally open to ground with a pull-up: by the model, then "stops drive".`},
		{"emergency stop that closes when pressed", one(board.EmergencyStop, NormallyOpen, Ground, PullUp), SignalOpen,
			`Wire pin 22 normally closed to ground with a pull-up: by the model, then "stops drive".`},
		{"pull towards the contact's rail", one(board.EmergencyStop, NormallyClosed, Ground, PullDown), NoFault,
			"Wire pin 22 normally closed to ground with a pull-up."},
		{"no pull", one(board.HoldToRun, NormallyOpen, Supply, PullNone), NoFault,
			"Wire pin 22 normally open to supply with a pull-down."},
		{"short to the supply", one(board.EmergencyStop, NormallyClosed, Ground, PullUp), SignalToSupply,
			`Put 330 Ω into the wire from ground to pin 22's contact, at the board's end: by the model, then "stops drive".`},
		{"short to the run level", one(board.EmergencyStop, NormallyClosed, Ground, PullUp), SignalToGround,
			`Let the contact of hold itself also break the drive supply: by the model, then "stops on demand".`},
		{"welded", one(board.HoldToRun, NormallyOpen, Ground, PullUp), ContactStuckClosed,
			`Add a second channel to hold, normally open to ground with a pull-up: by the model, then "detected by discrepancy".`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			table := analyse(t, tt.circuit)
			pins := []int{22}
			if tt.kind == NoFault {
				pins = nil
			}
			require.Equal(t, tt.want, find(t, table, tt.kind, pins...).Advice)
		})
	}
}
