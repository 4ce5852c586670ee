package circuit

// One thing changed at a time: better figures, a part more, an opener less, a common
// cause, another order. And input as if somebody meant harm.

import (
	"fmt"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawMission draws a mission that tells run from stop, which most wirings do not.
func drawMission(t *rapid.T, most int) (Board, []Circuit, Path) {
	b, circuits := drawBoard(t), drawCircuits(t, most, true)
	b.Outputs = []Output{{"drive enable", 8, true}, {"lamp", 9, false}}
	return b, circuits, drawPath(t, len(circuits))
}

// tableOf analyses what must be valid.
func tableOf(t require.TestingT, b Board, circuits []Circuit, path Path) Table {
	table, err := Analyse(b, circuits, path)
	require.NoError(t, err)
	return table
}

// rowsByFault names each row by what is at fault and where.
func rowsByFault(table Table) map[string]Row {
	rows := map[string]Row{}
	for _, r := range table.Rows {
		name := r.Fault.String()
		if r.Fault.Kind == NoFault {
			name += " of " + r.Circuits[0]
		}
		rows[name] = r
	}
	return rows
}

// Each change makes a figure better, so that what a pin may read is less than before. (A
// stronger supply is not among them: what it no longer lets sag may well keep running.)
func TestBetterFiguresNeverWorsenARow(t *testing.T) {
	changes := map[string]func(b *Board, by func(lo, hi int64) int64){
		"leakage":        func(b *Board, by func(lo, hi int64) int64) { b.LeakageNA = by(0, b.LeakageNA) },
		"open contact":   func(b *Board, by func(lo, hi int64) int64) { b.ContactOpenOhm *= by(1, 1000) },
		"tolerance":      func(b *Board, by func(lo, hi int64) int64) { b.ResistorPPM = by(0, b.ResistorPPM) },
		"weakest pull":   func(b *Board, by func(lo, hi int64) int64) { b.PullMaxOhm = by(b.PullMinOhm, b.PullMaxOhm) },
		"strongest pull": func(b *Board, by func(lo, hi int64) int64) { b.PullMinOhm = by(b.PullMinOhm, b.PullMaxOhm) },
		"low":            func(b *Board, by func(lo, hi int64) int64) { b.LowBelowMV = by(b.LowBelowMV, b.HighAboveMV) },
		"high":           func(b *Board, by func(lo, hi int64) int64) { b.HighAboveMV = by(b.LowBelowMV, b.HighAboveMV) },
		"drive off":      func(b *Board, by func(lo, hi int64) int64) { b.DriveOffBelowMV += by(0, 3000) },
	}
	better := map[string]int{}
	names := slices.Sorted(maps.Keys(changes))
	for range 2 {
		rapid.Check(t, func(t *rapid.T) {
			b, circuits, path := drawMission(t, 2)
			after, name := b, rapid.SampledFrom(names).Draw(t, "change")
			changes[name](&after, func(lo, hi int64) int64 { return rapid.Int64Range(lo, hi).Draw(t, "figure") })
			was, is := rowsByFault(tableOf(t, b, circuits, path)), rowsByFault(tableOf(t, after, circuits, path))
			for fault, before := range was {
				now, there := is[fault]
				require.True(t, there, fault)
				require.LessOrEqual(t, now.Outcome, before.Outcome, "%s: %s", name, fault)
				require.False(t, now.OwnStopLost && !before.OwnStopLost, "%s: %s", name, fault)
				shorted := func(s State) bool { return s.Shorted }
				if !slices.ContainsFunc(before.States, shorted) {
					require.LessOrEqual(t, now.Found, before.Found, "%s: %s", name, fault)
				}
				if now.Outcome < before.Outcome {
					better[name]++
				}
			}
		})
	}
	t.Logf("rows made better: %v", better)
	require.NotEmpty(t, better)
}

// One part more in series, an opener more, or a resistor at an input, stops whatever was
// stopped before.
func TestMoreInThePathNeverWorsensARow(t *testing.T) {
	better := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		b, circuits, path := drawMission(t, 2)
		extra := drawPath(t, len(circuits)).Parts[0]
		extra.Name = "extra"
		series := path
		series.Parts = append(slices.Clone(path.Parts), extra)
		if extra.Watchdog && path.WatchdogMS == 0 {
			series.WatchdogMS = 100
		}
		opener := path
		opener.Parts = slices.Clone(path.Parts)
		at := rapid.IntRange(0, len(path.Parts)-1).Draw(t, "part")
		p := &opener.Parts[at]
		free := -1
		for h := range circuits {
			if !slices.Contains(p.Holds, h) {
				free = h
			}
		}
		switch what := rapid.IntRange(0, 2).Draw(t, "opener"); {
		// Not before a semiconductor: a pole in its line keeps the board's low from it, too.
		case free >= 0 && (what == 0 && p.Kind != Semiconductor || p.Kind == Pole):
			p.Holds = append(slices.Clone(p.Holds), free)
		case p.Kind == Pole:
		case what == 1:
			p.Enable = true
		default:
			p.Watchdog = true
			opener.WatchdogMS = 100
		}
		rest := path
		rest.Parts = slices.Clone(path.Parts)
		for i := range rest.Parts {
			rest.Parts[i].PulledOff = rest.Parts[i].Kind == Semiconductor
		}
		was := rowsByFault(tableOf(t, b, circuits, path))
		for name, more := range map[string]Path{"part": series, "opener": opener, "resistor": rest} {
			is := rowsByFault(tableOf(t, b, circuits, more))
			for fault, before := range was {
				now, there := is[fault]
				require.True(t, there, fault)
				require.LessOrEqual(t, now.Outcome, before.Outcome, "%s: %s", name, fault)
				require.False(t, now.OwnStopLost && !before.OwnStopLost, "%s: %s", name, fault)
				for _, hold := range now.Unstopped {
					require.Contains(t, before.Unstopped, hold, "%s: %s", name, fault)
				}
				if now.Outcome < before.Outcome {
					better[name]++
				}
			}
		}
	})
	t.Logf("rows made better: %v", better)
	for _, name := range []string{"part", "opener", "resistor"} {
		require.Positive(t, better[name], name)
	}
}

// To say yes to a common cause adds rows and takes none away, but that one actuator
// stands for two; and that one is no better than either.
func TestACommonCauseNeverRemovesRows(t *testing.T) {
	more := 0
	rapid.Check(t, func(t *rapid.T) {
		b, circuits, path := drawMission(t, 2)
		said := slices.Clone(circuits)
		at := rapid.IntRange(0, len(circuits)-1).Draw(t, "circuit")
		yes := &said[at].CommonCause
		what := rapid.SampledFrom([]*bool{&yes.Cable, &yes.Connector, &yes.Supply, &yes.Actuator}).Draw(t, "cause")
		*what = true
		was, is := rowsByFault(tableOf(t, b, circuits, path)), rowsByFault(tableOf(t, b, said, path))
		for fault, before := range was {
			now, there := is[fault]
			if before.Fault.Kind == ActuatorJammed && !there {
				p := before.Fault.Places[0]
				require.Equal(t, at, p.Circuit)
				both := 0
				for _, row := range is {
					if row.Fault.Kind == ActuatorJammed && len(row.Fault.Places) == 2 && row.Fault.Places[0].Circuit == at {
						both++
						require.GreaterOrEqual(t, row.Outcome, before.Outcome)
					}
				}
				require.Equal(t, 1, both)
				continue
			}
			require.True(t, there, fault)
			require.Equal(t, before.Outcome, now.Outcome, fault)
			require.Equal(t, before.Found, now.Found, fault)
		}
		if len(is) > len(was) { // a sum of differences may well be none: one actuator has a row less
			more++
		}
	})
	require.Positive(t, more)
}

// What stands first among the parts and the circuits changes no outcome, and neither does
// what is only told of: names, times and texts.
func TestOrderAndWordsChangeNoOutcome(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, circuits, path := drawMission(t, 3)
		other := Path{WatchdogMS: path.WatchdogMS, Covered: "by hand"}
		for i := range path.Parts { // the parts from behind, and the circuits of their poles
			p := path.Parts[len(path.Parts)-1-i]
			holds := []int{}
			for _, h := range p.Holds {
				holds = append(holds, len(circuits)-1-h)
			}
			p.Holds, p.OffMS, p.CoilDiode, p.Covered = holds, p.OffMS+40, p.Kind == Relay, "a sentence"
			other.Parts = append(other.Parts, p)
		}
		turned := slices.Clone(circuits)
		slices.Reverse(turned)
		// By kind, outcome and time, since pairs are named by what stands first.
		count := func(table Table) map[string]int {
			n := map[string]int{}
			for _, r := range table.Rows {
				slices.Sort(r.Unstopped)
				n[fmt.Sprint(r.Fault.Kind, r.Outcome, r.OwnStopLost, r.Unstopped, r.Found)]++
			}
			return n
		}
		require.Equal(t, count(tableOf(t, b, circuits, path)), count(tableOf(t, b, turned, other)))
	})
}

// A second channel of the same kind, with nothing in common, and a circuit beside that
// shares nothing, leave no row worse.
func TestMoreCircuitsAndChannelsNeverWorsenARow(t *testing.T) {
	better := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		b, circuits, path := drawMission(t, 2)
		b.SupplyLimitMA = 1_000_000 // each draws from the supply
		was := rowsByFault(tableOf(t, b, circuits, path))
		beside := append(slices.Clone(circuits), mushroom())
		beside[len(circuits)].Channels[0].PullOhm = 4700
		beside[len(circuits)].Channels[0].Pin = 90
		second := slices.Clone(circuits)
		for i, c := range circuits {
			if len(c.Channels) == 1 {
				ch := c.Channels[0]
				ch.Pin, ch.Return = 80+i, ""
				second[i].Channels = []Channel{c.Channels[0], ch}
			}
		}
		for name, more := range map[string][]Circuit{"circuit": beside, "channel": second} {
			is := rowsByFault(tableOf(t, b, more, path))
			for fault, before := range was {
				if name == "circuit" && (before.Fault.Kind.ofPath() || before.Fault.Kind == BridgedToOutput) {
					continue // the other has no pole of its own, and may not be heard
				}
				now, there := is[fault]
				require.True(t, there, "%s: %s", name, fault)
				require.LessOrEqual(t, now.Outcome, before.Outcome, "%s: %s", name, fault)
				if now.Outcome < before.Outcome {
					better[name]++
				}
				if name == "circuit" {
					require.Equal(t, before.Outcome, now.Outcome, fault)
				}
			}
		}
	})
	t.Logf("rows made better: %v", better)
	require.Positive(t, better["channel"])
}

// A fault reaches circuits that the row is not about through a return that they share. Of a
// row that is credited none of them, asked to stop, is lost, wherever the others stand: those
// that could be are in the row (lifting, in fault.go).
func TestNoCircuitOutsideOfARowIsLost(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	states, of := 0, map[FaultKind]int{}
	for number := range 1500 {
		b, circuits := randomMission(r)
		path := randomPath(r, len(circuits))
		a := newAnalysis(b, circuits, path)
		if !a.allDistinct(a.every()) {
			continue
		}
		for _, j := range jobs(b, circuits, path) {
			all := a.model.scope(j.about)
			if j.fault.Kind.ofPath() || len(all) == len(j.about) || !a.row(j).Outcome.Credited() {
				continue
			}
			fs := j.fault.elementary(circuits)
			for combination := range 1 << len(all) {
				d := combined(all, combination)
				lost := slices.ContainsFunc(all, func(i int) bool { return d[i] == DemandStop && !slices.Contains(j.about, i) })
				if s := a.under(fs, all, d, false); lost && !s.Heard {
					require.Fail(t, "lost", "mission %d: %s, %v: %+v\n%+v\n%+v\n%+v", number, j.fault, d, s, b, circuits, path)
				}
				states++
			}
			of[j.fault.Kind]++
		}
	}
	t.Logf("%d states, rows %v", states, of)
	require.Greater(t, states, 1000)
	for _, k := range []FaultKind{SignalToSupply, SignalToGround, PullShorted, BridgedToOutput, PinsBridged, SignalToReturn} {
		require.Positive(t, of[k], k)
	}
}

// Figures of any size are refused or worked out: no panic, no endless run, no voltage
// beyond the rails, and nothing negative in the words.
func TestAnyFigures(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	accepted, refused, negative := 0, 0, regexp.MustCompile(`-[0-9]`)
	for number := range 2500 {
		b, circuits := randomMission(r)
		path := randomPath(r, len(circuits))
		any := func(figures ...*int64) {
			for _, f := range figures {
				if r.IntN(12) == 0 {
					extreme := []int64{math.MinInt64, -1, 0, 1, 2, 1000, 1e9, 1e12, 1e15, math.MaxInt64 - 1, math.MaxInt64}
					*f = extreme[r.IntN(len(extreme))]
				}
			}
		}
		any(&b.SupplyMV, &b.LowBelowMV, &b.HighAboveMV, &b.PullMinOhm, &b.PullMaxOhm, &b.LeakageNA, &b.SupplyLimitMA, &b.WireOhm,
			&b.ContactClosedOhm, &b.ContactOpenOhm, &b.OutputOhm, &b.DriveOffBelowMV, &b.ResistorPPM, &path.WatchdogMS)
		for i := range circuits {
			any(&circuits[i].DiscrepancyMS, &circuits[i].ReactionMS, &circuits[i].BounceMS, &circuits[i].RadioDelayMS, &circuits[i].RadioLossMS)
			for j := range circuits[i].Channels {
				any(&circuits[i].Channels[j].PullOhm, &circuits[i].Channels[j].SeriesOhm)
			}
		}
		for i := range path.Parts {
			any(&path.Parts[i].OffMS)
		}
		table, err := Analyse(b, circuits, path)
		if err != nil {
			refused++
			continue
		}
		accepted++
		what := fmt.Sprintf("mission %d\n%+v\n%+v\n%+v", number, b, circuits, path)
		for _, row := range table.Rows {
			require.NotRegexp(t, negative, row.Sentence, what)
			for _, s := range row.States {
				require.True(t, s.SupplyMA >= 0 && s.LineMV >= 0 && s.LineMV <= b.SupplyMV, "%s: %+v\n%s", row.Fault, s, what)
				for _, reading := range s.Readings {
					require.True(t, 0 <= reading.MinMV && reading.MinMV <= reading.MaxMV && reading.MaxMV <= b.SupplyMV, "%s: %+v\n%s", row.Fault, reading, what)
				}
			}
		}
		for _, step := range table.Tests {
			require.NotRegexp(t, negative, step.Expect, what)
		}
		require.NoError(t, table.Text(io.Discard))
	}
	t.Logf("%d accepted, %d refused", accepted, refused)
	require.Greater(t, accepted, 300)
	require.Greater(t, refused, 500)
}

// Kinds, indices and names that are none are refused.
func TestAnyPath(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	refused, accepted := 0, 0
	yes := func() bool { return r.IntN(2) == 0 }
	odd := func(usual int) int { // now and then what is none
		if r.IntN(10) == 0 {
			return r.IntN(8) - 3
		}
		return r.IntN(usual)
	}
	for range 5000 {
		var path Path
		watched := false
		for i := range odd(4) {
			p := Part{Name: fmt.Sprint("part ", i), Kind: PartKind(odd(3)), Enable: yes(), Watchdog: yes(), PulledOff: yes(), CoilDiode: yes(), OffMS: int64(odd(3))}
			if p.Kind == Pole && r.IntN(10) > 0 {
				p.Enable, p.Watchdog, p.Holds = false, false, []int{odd(2)}
			}
			if r.IntN(10) == 0 {
				p.Name = []string{"", "part 0"}[r.IntN(2)]
			}
			for range r.IntN(2) {
				p.Holds = append(p.Holds, odd(2))
			}
			watched = watched || p.Watchdog
			path.Parts = append(path.Parts, p)
		}
		if watched != (r.IntN(10) == 0) {
			path.WatchdogMS = int64(1 + odd(1))
		}
		table, err := Analyse(DefaultBoard(), []Circuit{thumb(), mushroom()}, path)
		sound := len(path.Parts) > 0
		enable := false
		watched = false
		names := map[string]bool{}
		for _, p := range path.Parts {
			sound = sound && p.Name != "" && !names[p.Name] && p.Kind >= Relay && p.Kind <= Pole && p.OffMS >= 0 && (p.Enable || p.Watchdog || len(p.Holds) > 0) &&
				(p.Kind != Pole || !p.Enable && !p.Watchdog)
			names[p.Name] = true
			for i, h := range p.Holds {
				sound = sound && (h == 0 || h == 1) && !slices.Contains(p.Holds[:i], h)
			}
			enable, watched = enable || p.Enable, watched || p.Watchdog
		}
		sound = sound && enable && (!watched || path.WatchdogMS > 0) && path.WatchdogMS >= 0 // one that nothing names is told as a key that is not used
		if sound {
			accepted++
		} else {
			refused++
		}
		require.Equal(t, sound, err == nil, "%v: %+v", err, path)
		dead := func(r Row) bool { return r.Fault.Kind == WatchdogDead }
		require.Equal(t, sound && watched, slices.ContainsFunc(table.Rows, dead), "one that opens nothing is not missed: %+v", path)
	}
	require.Greater(t, refused, 100)
	require.Greater(t, accepted, 100)
}

// What many channels share multiplies: it is done in a moment or refused.
func TestSharingIsDoneInAMomentOrRefused(t *testing.T) {
	sharing := func(left, right int) []Circuit {
		var circuits []Circuit
		for side, n := range []int{left, right} {
			for i := range n {
				c := mushroom()
				c.Name = fmt.Sprint("button ", side, i)
				c.Channels[0].Pin, c.Channels[0].Return, c.Channels[0].SeriesOhm = 20+10*side+i, fmt.Sprint("return ", side), 330
				c.Channels[0].PullOhm = 22_000
				circuits = append(circuits, c)
			}
		}
		return circuits
	}
	for _, tt := range []struct {
		left, right int
		refused     bool
	}{{6, 0, false}, {4, 4, false}, {6, 2, false}, {6, 6, true}} {
		begun := time.Now()
		_, err := Analyse(DefaultBoard(), sharing(tt.left, tt.right), plain())
		require.Equal(t, tt.refused, err != nil, "%d and %d: %v", tt.left, tt.right, err)
		t.Logf("%d and %d: %s", tt.left, tt.right, time.Since(begun))
		require.Less(t, time.Since(begun), 20*time.Second)
		var input *InputError
		if tt.refused {
			require.ErrorAs(t, err, &input)
			require.Equal(t, "Return", input.Field)
		}
	}
}
