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
		if len(c.Channels) == 2 {
			yes := func(what string) bool { return rapid.Bool().Draw(t, what) }
			c.CommonCause = CommonCause{Cable: yes("cable"), Connector: yes("connector"), Supply: yes("common supply"), Actuator: yes("actuator")}
		}
		circuits = append(circuits, c)
	}
	return circuits
}

// drawPath draws a path of up to three parts for so many circuits.
func drawPath(t *rapid.T, circuits int) Path {
	var path Path
	enabled := rapid.IntRange(0, 2).Draw(t, "enabled part")
	for i := range enabled + 1 + rapid.IntRange(0, 2-enabled).Draw(t, "more parts") {
		p := Part{Name: fmt.Sprint("part ", i), Kind: rapid.SampledFrom(PartKinds()).Draw(t, "part kind"), Enable: rapid.Bool().Draw(t, "enable"), OffMS: 5}
		if p.Enable = p.Enable || i == enabled; i == enabled && p.Kind == Pole {
			p.Kind = Relay
		}
		p.PulledOff = p.Kind == Semiconductor && rapid.Bool().Draw(t, "pulled off")
		p.Watchdog = rapid.Bool().Draw(t, "watchdog")
		for h := range circuits {
			if rapid.Bool().Draw(t, "pole") {
				p.Holds = append(p.Holds, h)
			}
		}
		p.PulledOff = p.PulledOff || p.Kind == Semiconductor && len(p.Holds) > 0 // as the language asks
		switch {
		case p.Kind == Pole && len(p.Holds) == 0:
			p.Kind = Relay
			fallthrough
		case p.Kind != Pole:
			p.Enable = p.Enable || !p.Watchdog && len(p.Holds) == 0
		default:
			p.Enable, p.Watchdog = false, false
		}
		if p.Watchdog {
			path.WatchdogMS = 100
		}
		path.Parts = append(path.Parts, p)
	}
	return path
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
		CableToGround: CableToSupply, CableToSupply: CableToGround,
	}
	levels := map[Level]Level{Low: High, High: Low, Undefined: Undefined, LowOrHigh: LowOrHigh}
	rapid.Check(t, func(t *rapid.T) {
		b, circuits := drawBoard(t), drawCircuits(t, 2, rapid.Bool().Draw(t, "sensible"))
		b.Outputs = []Output{{"lamp", 8, false}} // the drive's has no mirror: it is off when low
		mb, mirrored := mirror(b, circuits)
		path := drawPath(t, len(circuits))
		a, ma := newAnalysis(b, circuits, path), newAnalysis(mb, mirrored, path)
		for _, j := range jobs(b, circuits, path) {
			mj := j
			if k, swapped := faults[j.fault.Kind]; swapped {
				mj.fault.Kind = k
			}
			row, mrow := a.row(j), ma.row(mj)
			require.Equal(t, row.Outcome.String(), mrow.Outcome.String(), "%s", j.fault)
			found, _ := a.found(j, row, nil)
			mfound, _ := ma.found(mj, mrow, nil)
			require.Equal(t, found, mfound, "%s", j.fault)
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
		table, err := Analyse(b, circuits, drawPath(t, len(circuits)))
		require.NoError(t, err)
		faults, told := map[Outcome]int{}, map[Outcome]int{}
		for _, r := range table.Rows {
			if r.Fault.Kind != NoFault {
				faults[r.Outcome]++
				shared += len(r.Circuits) - 1
			}
		}
		rows, all := 0, 0
		for _, r := range table.OfPath() { // the path is told of by itself
			rows, all = rows+1, all+1
			told[r.Outcome]++
		}
		counts := Count(table.Rows)
		require.Equal(t, faults, nonzero(counts.Of))
		sum := 0
		for o, when := range counts.When {
			of := 0
			for _, n := range when {
				of += n
			}
			require.Equal(t, counts.Of[o], of, "each is found once, or never")
			sum += of
		}
		require.Equal(t, counts.Faults, sum)
		for _, c := range circuits {
			rows += len(table.ToldWith(c.Name))
			of := Count(table.ToldWith(c.Name))
			all += of.Faults
			for o, when := range of.When {
				for _, n := range when {
					told[o] += n
				}
			}
		}
		require.Equal(t, faults, told)
		require.Equal(t, len(table.Rows), rows)
		require.Equal(t, len(table.Rows)-len(circuits), all, "one row of each circuit is of no fault")
	})
	require.NotZero(t, shared, "some must touch several circuits")
}

// nonzero leaves out the outcomes of rows without a fault.
func nonzero(of map[Outcome]int) map[Outcome]int {
	left := map[Outcome]int{}
	for o, n := range of {
		if o != Healthy && o != Indistinct {
			left[o] = n
		}
	}
	return left
}

// A fault that is credited when hard is not dangerous when soft: a poor joint,
// a damp short, at any resistance.
func TestHardFaultsCoverSoftOnes(t *testing.T) {
	soft := 0
	rapid.Check(t, func(t *rapid.T) {
		b, circuits := drawBoard(t), drawCircuits(t, 2, true)
		b.Outputs = []Output{{"drive enable", 8, true}}
		path := drawPath(t, len(circuits))
		hard := newAnalysis(b, circuits, path)
		softer := hard
		ohm := rapid.Float64Range(1, 10).Draw(t, "mantissa")
		for range rapid.IntRange(0, 8).Draw(t, "decade") {
			ohm *= 10
		}
		softer.model.shortOhm, softer.model.openOhm = ohm/10, ohm/10
		for _, j := range jobs(b, circuits, path) {
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
