package circuit

// An independent judge of the ideal case: no resistances, only which nodes are
// connected. A node connected to a rail has its level; else its pulls decide
// if they agree; else it may be either. Nothing here uses the resistor model,
// the conclusion or the outcome of the package; only its types and its list of
// faults. Every wiring of one channel, of two channels, and of two circuits is
// enumerated.

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/board"
)

// graph is a set of nodes merged by ideal conductors.
type graph map[string]string

func (g graph) find(n string) string {
	for g[n] != "" {
		n = g[n]
	}
	return n
}

func (g graph) join(a, b string) {
	if a, b = g.find(a), g.find(b); a != b {
		g[a] = b
	}
}

// possible is the set of levels that a pin may read.
type possible struct{ low, high bool }

var (
	onlyLow  = possible{low: true}
	onlyHigh = possible{high: true}
	either   = possible{true, true}
)

func at(f Fault, k FaultKind, i, j int) bool {
	for _, p := range f.Places {
		if f.Kind == k && p.Circuit == i && p.Channel == j {
			return true
		}
	}
	return false
}

func railName(supply bool) string {
	if supply {
		return "supply"
	}
	return "ground"
}

// idealPressed: what the operator does, kind by kind.
func idealActuated(k board.HoldKind, stop bool) bool {
	switch k {
	case board.HoldToRun:
		return !stop
	case board.EmergencyStop, board.Interlock:
		return stop
	}
	panic("kind")
}

// idealLevels returns what each pin may read, whether the rails touch, and whether
// the pin at fault is tied to the supply.
func idealLevels(circuits []Circuit, f Fault, stop func(i int) bool) (levels [][]possible, shorted, tiedHigh bool) {
	g := graph{}
	pulls := map[string][]string{}
	driven := map[string]bool{}
	pad := func(i, j int) string { return fmt.Sprint("pad", i, ".", j) }
	for i, c := range circuits {
		for j, ch := range c.Channels {
			contact, ret := fmt.Sprint("contact", i, ".", j), fmt.Sprint("return", i, ".", j)
			if ch.Return != "" {
				ret = "return " + ch.Return
			}
			toSupply := ch.WiredTo == Supply
			if !at(f, SignalOpen, i, j) {
				g.join(pad(i, j), contact)
			}
			if at(f, SignalToGround, i, j) {
				g.join(pad(i, j), "ground")
			}
			if at(f, SignalToSupply, i, j) {
				g.join(pad(i, j), "supply")
			}
			closed := idealActuated(c.Kind, stop(i)) != (ch.Contact == NormallyClosed)
			if at(f, ContactStuckClosed, i, j) || closed && !at(f, ContactStuckOpen, i, j) {
				g.join(contact, ret)
			}
			if !at(f, ReturnOpen, i, j) {
				g.join(ret, railName(toSupply))
			}
			if at(f, ReturnShorted, i, j) {
				g.join(ret, railName(!toSupply))
			}
		}
	}
	if f.Kind == PinsBridged {
		g.join(pad(f.Places[0].Circuit, f.Places[0].Channel), pad(f.Places[1].Circuit, f.Places[1].Channel))
	}
	for i, c := range circuits {
		for j, ch := range c.Channels {
			if at(f, PullShorted, i, j) {
				g.join(pad(i, j), railName(ch.Pull == PullUp))
			}
		}
	}
	for i, c := range circuits {
		for j, ch := range c.Channels {
			if ch.Pull != PullNone && !at(f, PullOpen, i, j) {
				pulls[g.find(pad(i, j))] = append(pulls[g.find(pad(i, j))], railName(ch.Pull == PullUp))
			}
			if at(f, BridgedToOutput, i, j) {
				driven[g.find(pad(i, j))] = true
			}
		}
	}
	shorted = g.find("ground") == g.find("supply")
	for i, c := range circuits {
		levels = append(levels, nil)
		for j := range c.Channels {
			node := g.find(pad(i, j))
			level := either
			switch {
			case shorted:
			case at(f, PinStuckLow, i, j):
				level = onlyLow
			case at(f, PinStuckHigh, i, j):
				level = onlyHigh
			case node == g.find("ground"):
				level = onlyLow
			case node == g.find("supply"):
				level = onlyHigh
			case driven[node]:
			default:
				up, down := false, false
				for _, p := range pulls[node] {
					up, down = up || p == "supply", down || p == "ground"
				}
				if up != down {
					level = possible{low: down, high: up}
				}
			}
			levels[i] = append(levels[i], level)
		}
	}
	if len(f.Places) > 0 {
		tiedHigh = g.find(pad(f.Places[0].Circuit, f.Places[0].Channel)) == g.find("supply")
	}
	return levels, shorted, tiedHigh
}

// verdicts lists what the board may make of one circuit: "run", "stop" or
// "differ", over every combination of possible levels.
func verdicts(runHigh []bool, levels []possible) map[string]bool {
	out := map[string]bool{}
	for mask := range 1 << len(levels) {
		runs, ok := 0, true
		for j, l := range levels {
			high := mask>>j&1 == 1
			ok = ok && (high && l.high || !high && l.low)
			if high == runHigh[j] {
				runs++
			}
		}
		switch {
		case !ok:
		case runs == len(levels):
			out["run"] = true
		case runs == 0:
			out["stop"] = true
		default:
			out["differ"] = true
		}
	}
	return out
}

// idealRun derives the run levels; ok is false if run and stop look alike.
func idealRun(c Circuit) (runHigh []bool, ok bool) {
	run, _, _ := idealLevels([]Circuit{c}, Fault{}, func(int) bool { return false })
	stop, _, _ := idealLevels([]Circuit{c}, Fault{}, func(int) bool { return true })
	for j := range c.Channels {
		r, s := run[0][j], stop[0][j]
		if r == s || r == either || s == either {
			return nil, false
		}
		runHigh = append(runHigh, r == onlyHigh)
	}
	return runHigh, true
}

// idealOutcome judges one fault of the circuits in about.
func idealOutcome(circuits []Circuit, about []int, f Fault) Outcome {
	type result struct {
		asked                                    int
		shorted, heard, still, differ, outputLow bool
	}
	var results []result
	all := 1 << len(about)
	if f.Output.EnablesDrive {
		all *= 2 // once more with the output low: the board, or another hold, stops
	}
	for mask := range all {
		outputLow := mask >= 1<<len(about)
		stop := func(i int) bool {
			for bit, k := range about {
				if k == i {
					return mask>>bit&1 == 1
				}
			}
			return false
		}
		levels, shorted, tiedHigh := idealLevels(circuits, f, stop)
		held := f.Output.EnablesDrive && (shorted || tiedHigh) // up, against the output
		r := result{shorted: shorted, outputLow: outputLow, heard: outputLow && !held}
		for _, i := range about {
			runHigh, _ := idealRun(circuits[i])
			v := verdicts(runHigh, levels[i])
			pole := false
			for j := range circuits[i].Channels {
				pole = pole || circuits[i].BreaksDriveSupply && stop(i) && !at(f, ContactStuckClosed, i, j)
			}
			if stop(i) {
				r.asked++
				r.heard = r.heard || !v["run"] && !held || pole
			}
			r.still = r.still || !v["run"] && !held
			r.differ = r.differ || v["differ"] && len(v) == 1
		}
		results = append(results, r)
	}
	shorts, missed, differAsked := 0, 0, true
	for _, r := range results {
		if r.shorted {
			shorts++
		}
		if (r.asked > 0 || r.outputLow) && !r.heard {
			missed++
		}
		if r.asked == 1 && !r.outputLow && !r.differ {
			differAsked = false
		}
	}
	switch {
	case shorts == len(results):
		return ShortCircuit
	case missed > 0:
		return LeavesRunning
	case shorts > 0:
		return ShortCircuit
	case results[0].differ || differAsked:
		return DetectedByDiscrepancy
	case results[0].still:
		return StopsDrive
	}
	return StopsOnDemand
}

// allChannels lists every wiring of one channel.
func allChannels(pin int) []Channel {
	var list []Channel
	for _, contact := range []Contact{NormallyOpen, NormallyClosed} {
		for _, rail := range []Rail{Ground, Supply} {
			for _, pull := range []Pull{PullNone, PullUp, PullDown} {
				list = append(list, Channel{Pin: pin, Contact: contact, WiredTo: rail, Pull: pull})
			}
		}
	}
	return list
}

var kinds = board.HoldKinds()

// agree compares model and oracle on every row of the circuits, and counts the
// rows compared by outcome.
func agree(t *testing.T, circuits []Circuit, counts map[Outcome]int) {
	t.Helper()
	b := DefaultBoard()
	b.Outputs = []Output{{"drive enable", 8, true}}
	require.NoError(t, validate(b, circuits, plain()))
	a := newAnalysis(b, circuits, plain())
	for _, j := range jobs(b, circuits, plain()) {
		distinct := true
		for _, i := range j.about {
			runHigh, ok := idealRun(circuits[i])
			distinct = distinct && ok
			for c, high := range runHigh {
				want := Low
				if high {
					want = High
				}
				require.Equal(t, want, a.runLevels[i][c])
			}
		}
		want := Indistinct
		if distinct {
			want = Healthy
			if j.fault.Kind != NoFault {
				want = idealOutcome(circuits, j.about, j.fault)
			}
		} else if j.fault.Kind != NoFault {
			continue
		}
		if got := a.row(j).Outcome; got != want {
			require.Equal(t, want.String(), got.String(), "%s of %+v", j.fault, circuits)
		}
		counts[want]++
	}
}

func TestEveryWiringOfOneChannel(t *testing.T) {
	counts := map[Outcome]int{}
	for _, k := range kinds {
		for _, ch := range allChannels(22) {
			for _, external := range []int64{0, 10_000} {
				if ch.Pull == PullNone && external > 0 {
					continue
				}
				ch.PullOhm = external
				c := Circuit{Name: "c", Kind: k, Channels: []Channel{ch}}
				agree(t, []Circuit{c}, counts)
				c.BreaksDriveSupply = true
				if validate(DefaultBoard(), []Circuit{c}, plain()) == nil {
					agree(t, []Circuit{c}, counts)
				}
			}
		}
	}
	for _, o := range []Outcome{Healthy, StopsDrive, StopsOnDemand, ShortCircuit, LeavesRunning, Indistinct} {
		require.Positive(t, counts[o], "%s never came up", o)
	}
}

func TestEveryWiringOfTwoChannels(t *testing.T) {
	counts := map[Outcome]int{}
	for _, k := range kinds {
		for _, a := range allChannels(24) {
			for _, b := range allChannels(26) {
				c := Circuit{Name: "c", Kind: k, Channels: []Channel{a, b}, DiscrepancyMS: 100}
				agree(t, []Circuit{c}, counts)
				if a.WiredTo == b.WiredTo {
					c.Channels[0].Return, c.Channels[1].Return = "common", "common"
					agree(t, []Circuit{c}, counts)
				}
			}
		}
	}
	for _, o := range Outcomes() {
		require.Positive(t, counts[o], "%s never came up", o)
	}
}

func TestEveryWiringOfTwoCircuits(t *testing.T) {
	counts := map[Outcome]int{}
	for _, k := range []board.HoldKind{board.HoldToRun, board.EmergencyStop} {
		for _, a := range allChannels(22) {
			for _, b := range allChannels(24) {
				circuits := []Circuit{
					{Name: "first", Kind: k, Channels: []Channel{a}},
					{Name: "second", Kind: board.EmergencyStop, Channels: []Channel{b}},
				}
				agree(t, circuits, counts)
				if a.WiredTo == b.WiredTo {
					circuits[0].Channels[0].Return, circuits[1].Channels[0].Return = "common", "common"
					agree(t, circuits, counts)
				}
			}
		}
	}
	require.Positive(t, counts[LeavesRunning])
}

// One circuit of two channels beside one of one: bridges between a channel
// that has a partner and one that has none.
func TestEveryWiringBesideATwoChannelStop(t *testing.T) {
	counts := map[Outcome]int{}
	stop := Circuit{Name: "stop", Kind: board.EmergencyStop, DiscrepancyMS: 100, Channels: []Channel{
		{Pin: 24, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp},
		{Pin: 26, Contact: NormallyClosed, WiredTo: Supply, Pull: PullDown},
	}}
	for _, k := range kinds {
		for _, ch := range allChannels(22) {
			agree(t, []Circuit{{Name: "other", Kind: k, Channels: []Channel{ch}}, stop}, counts)
		}
	}
	require.Positive(t, counts[DetectedByDiscrepancy])
}
