package circuit

// The drive path as plain booleans: a second judge, written from what the types say and
// apart from path.go. For each part it asks what certainly opens it and what may, and
// nothing else; the tests of the path, the ideal graph and the nodal analysis use it.

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// command is what the program wants of drive_enable.
type command int

const (
	wantsOff command = iota
	wantsOn
	wantsEither // it is not certain, or the line does not follow
)

// judged tells whether the motors certainly have no current, and whether they certainly
// have it, under faults.
func judged(path Path, faults []Fault, wants command, asked func(hold int) bool) (off, on bool) {
	has := func(k FaultKind) bool {
		return slices.ContainsFunc(faults, func(f Fault) bool { return f.Kind == k })
	}
	lowForSure, mayBeLow := wants == wantsOff, wants != wantsOn
	undriven := false
	switch {
	case has(EnableHeldHigh), has(ProcessorHalted):
		lowForSure, mayBeLow = false, false
	case has(EnableToGround):
		lowForSure, mayBeLow = true, true
	case has(EnableOpen):
		lowForSure, mayBeLow, undriven = false, false, true
	}
	barks := has(ProcessorHalted) && path.WatchdogMS > 0 && !has(WatchdogDead)
	on = true
	for i, p := range path.Parts {
		at := func(k FaultKind) bool {
			return slices.ContainsFunc(faults, func(f Fault) bool { return f.Kind == k && f.Part == i })
		}
		opens, may := false, false
		restsOpen := p.Kind == Relay || p.PulledOff && !at(RestMissing)
		switch {
		case at(lifted): // what is not held follows
			opens, may = restsOpen, restsOpen
		case p.Enable:
			loose := undriven || at(BranchOpen)
			opens = lowForSure && !loose || loose && restsOpen
			may = opens || mayBeLow || loose
		}
		if p.Watchdog && barks { // whatever it does, it no more than leaves the line alone
			opens, may = opens || restsOpen, true
		}
		for _, h := range p.Holds {
			welded, jammed := false, false
			for _, f := range faults {
				welded = welded || f.Kind == PoleStuckClosed && f.Part == i && f.Hold == h
				jammed = jammed || f.Kind == ActuatorJammed && f.Places[0].Circuit == h
			}
			switch cut := asked(h) && !welded && !jammed; {
			case cut && p.Kind == Semiconductor: // its line is open, whoever drives it
				opens, may = restsOpen, true
			case cut:
				opens, may = true, true
			}
		}
		switch {
		case at(PartStuckOff):
			opens, may = true, true
		case at(PartStuckOn):
			opens, may = false, false
		}
		off, on = off || opens, on && !may
	}
	return off, on
}

// verdict is what a fault of the path comes to.
type verdict struct {
	outcome   Outcome
	unstopped []string
	ownLost   bool
	every     bool
}

// judgedPath judges one fault of the path with sound circuits.
func judgedPath(path Path, f Fault, circuits []Circuit) verdict {
	under := func(wants command, hold int) bool {
		off, _ := judged(path, []Fault{f}, wants, func(h int) bool { return h == hold })
		return off
	}
	const nobody = -1
	v := verdict{outcome: StopsOnDemand, ownLost: !under(wantsOff, nobody)}
	for i, c := range circuits {
		if !under(wantsOff, i) {
			v.unstopped = append(v.unstopped, c.Name)
		}
	}
	switch {
	case len(v.unstopped) > 0:
		v.outcome = LeavesRunning
	case under(wantsOn, nobody):
		v.outcome = StopsDrive
	}
	v.every = len(circuits) > 0 && len(v.unstopped) == len(circuits)
	return v
}

// everyPart lists the parts of each kind, each set of openers that makes sense, and each
// rest position, for two holds.
func everyPart() []Part {
	var list []Part
	for set := 1; set < 16; set++ {
		p := Part{Enable: set&1 != 0, Watchdog: set&2 != 0}
		for h := range 2 {
			if set>>(2+h)&1 != 0 {
				p.Holds = append(p.Holds, h)
			}
		}
		for _, k := range PartKinds() {
			p.Kind, p.PulledOff = k, false
			if k == Pole && (p.Enable || p.Watchdog) {
				continue // it has no input
			}
			list = append(list, p)
			if k == Semiconductor {
				p.PulledOff = true
				list = append(list, p)
			}
		}
	}
	return list
}

// Every path of up to three parts, every fault of it, every demand. The order of the parts
// does not matter in series, so that each set is taken once, turned to another order each time.
func TestEveryDrivePath(t *testing.T) {
	circuits := []Circuit{thumb(), mushroom()}
	a := newAnalysis(DefaultBoard(), circuits, plain())
	parts := everyPart()
	outcomes, kinds, paths := map[Outcome]int{}, map[FaultKind]int{}, 0
	against, lost := 0, 0
	judge := func(chosen ...Part) {
		path := Path{}
		enable := false
		for i := range chosen {
			p := chosen[(i+paths)%len(chosen)]
			p.Name = fmt.Sprint("part ", i)
			path.Parts = append(path.Parts, p)
			enable = enable || p.Enable
			if p.Watchdog {
				path.WatchdogMS = 100
			}
		}
		err := validate(DefaultBoard(), circuits, path)
		if !enable {
			require.Error(t, err, "the board could not stop the drive")
			return
		}
		require.NoError(t, err)
		paths++
		a.path = path
		for _, j := range pathJobs(circuits, path) {
			row := a.row(j)
			got := verdict{row.Outcome, row.Unstopped, row.OwnStopLost, row.AgainstEvery(len(circuits))}
			want := judgedPath(path, j.fault, circuits)
			if got.outcome != want.outcome || !slices.Equal(got.unstopped, want.unstopped) || got.ownLost != want.ownLost || got.every != want.every {
				require.Equal(t, want, got, "%s of %+v", j.fault, path)
			}
			outcomes[want.outcome]++
			kinds[j.fault.Kind]++
			if want.every {
				against++
			}
			if want.ownLost && want.outcome != LeavesRunning {
				lost++
			}
		}
	}
	for i, p := range parts {
		judge(p)
		for k, q := range parts[i:] {
			judge(p, q)
			for _, r := range parts[i+k:] {
				judge(p, q, r)
			}
		}
	}
	t.Logf("%d paths, rows %v, against every hold %d, only the board's own stop lost %d", paths, outcomes, against, lost)
	for k := ProcessorHalted; k <= lastFault; k++ {
		require.Positive(t, kinds[k], k.String())
	}
	for _, o := range []Outcome{StopsDrive, StopsOnDemand, LeavesRunning} {
		require.Positive(t, outcomes[o], o.String())
	}
	require.Positive(t, against)
	require.Positive(t, lost)
}

// pathFact is one row of the path as a human would fill it in.
type pathFact struct {
	fault     string
	outcome   Outcome
	unstopped string
	ownLost   bool
	found     Found
}

// Paths that are built, by hand: what each part of them is for.
func TestDrivePathsByHand(t *testing.T) {
	const (
		none  = ""
		both  = "thumb switch, mushroom button"
		leave = LeavesRunning
		stops = StopsDrive
		still = StopsOnDemand
	)
	driver := Part{Name: "driver", Kind: Semiconductor, Enable: true, PulledOff: true}
	tests := []struct {
		name  string
		path  Path
		facts []pathFact
	}{
		{"a driver alone: the board and it must both work", Path{Parts: []Part{driver}}, []pathFact{
			{"program halted with drive_enable high", leave, both, true, ByWrittenTest}, // the first step shows that nothing stops
			{"drive_enable held high", leave, both, true, ByWrittenTest},
			{"drive_enable line shorted to ground", stops, none, false, AtOnce},
			{"drive_enable line broken", stops, none, false, AtOnce},
			{"driver stuck on", leave, both, true, ByWrittenTest},
			{"resistor that holds driver off missing", still, none, false, ByWrittenTest},
			{"driver stuck off", stops, none, false, AtOnce},
		}},
		{"a driver without a resistor at its input: a broken line may leave it on",
			Path{Parts: []Part{{Name: "driver", Kind: Semiconductor, Enable: true}}}, []pathFact{
				{"program halted with drive_enable high", leave, both, true, ByWrittenTest},
				{"drive_enable held high", leave, both, true, ByWrittenTest},
				{"drive_enable line shorted to ground", stops, none, false, AtOnce},
				{"drive_enable line broken", leave, both, true, Never}, // a floating input may look right in every step
				{"driver stuck on", leave, both, true, ByWrittenTest},
				{"driver stuck off", stops, none, false, AtOnce},
			}},
		{"the button's pole in the motors' current: it stops whatever the board does, the thumb does not",
			Path{Parts: []Part{{Name: "pole", Kind: Pole, Holds: []int{1}}, driver}}, []pathFact{
				{"program halted with drive_enable high", leave, "thumb switch", true, ByWrittenTest},
				{"drive_enable held high", leave, "thumb switch", true, ByWrittenTest},
				{"drive_enable line shorted to ground", stops, none, false, AtOnce},
				{"drive_enable line broken", stops, none, false, AtOnce},
				{"pole of mushroom button at pole stuck closed", still, none, false, ByWrittenTest}, // the driver bridged
				{"pole stuck off", stops, none, false, AtOnce},
				{"driver stuck on", leave, "thumb switch", true, ByWrittenTest},
				{"resistor that holds driver off missing", still, none, false, ByWrittenTest},
				{"driver stuck off", stops, none, false, AtOnce},
			}},
		{"a relay with a watchdog and the button before the driver",
			Path{WatchdogMS: 100, Parts: []Part{{Name: "relay", Kind: Relay, Enable: true, Watchdog: true, Holds: []int{1}}, driver}}, []pathFact{
				{"program halted with drive_enable high", stops, none, false, AtOnce}, // the watchdog
				{"drive_enable held high", leave, "thumb switch", true, ByWrittenTest},
				{"drive_enable line shorted to ground", stops, none, false, AtOnce},
				{"drive_enable line broken", stops, none, false, AtOnce},
				{"drive_enable line broken at relay", stops, none, false, AtOnce},
				{"relay stuck on", still, none, false, ByWrittenTest}, // the driver bridged, and the board stops
				{"pole of mushroom button at relay stuck closed", still, none, false, ByWrittenTest},
				{"relay stuck off", stops, none, false, AtOnce},
				{"drive_enable line broken at driver", stops, none, false, AtOnce},
				{"driver stuck on", still, none, false, ByWrittenTest},
				{"resistor that holds driver off missing", still, none, false, ByWrittenTest}, // its line off, and the relay bridged
				{"driver stuck off", stops, none, false, AtOnce},
				{"watchdog dead", still, none, false, ByWrittenTest},
			}},
		{"two drivers, one without a resistor: broken at that, the line leaves the other to stop",
			Path{Parts: []Part{driver, {Name: "left", Kind: Semiconductor, Enable: true}}}, []pathFact{
				{"program halted with drive_enable high", leave, both, true, ByWrittenTest},
				{"drive_enable held high", leave, both, true, ByWrittenTest},
				{"drive_enable line shorted to ground", stops, none, false, AtOnce},
				{"drive_enable line broken", stops, none, false, AtOnce},
				{"drive_enable line broken at driver", stops, none, false, AtOnce},
				{"driver stuck on", still, none, false, ByWrittenTest},
				{"resistor that holds driver off missing", still, none, false, ByWrittenTest},
				{"driver stuck off", stops, none, false, AtOnce},
				{"drive_enable line broken at left", still, none, false, Never}, // it floats
				{"left stuck on", still, none, false, ByWrittenTest},
				{"left stuck off", stops, none, false, AtOnce},
			}},
		{"a watchdog that resets the processor lets the line of a driver float",
			Path{WatchdogMS: 100, Parts: []Part{{Name: "driver", Kind: Semiconductor, Enable: true, Watchdog: true}}}, []pathFact{
				{"program halted with drive_enable high", leave, both, true, Never},
				{"drive_enable held high", leave, both, true, ByWrittenTest},
				{"drive_enable line shorted to ground", stops, none, false, AtOnce},
				{"drive_enable line broken", leave, both, true, Never},
				{"driver stuck on", leave, both, true, ByWrittenTest},
				{"driver stuck off", stops, none, false, AtOnce},
				{"watchdog dead", still, none, false, ByWrittenTest}, // the step says that it must be off, and it is on
			}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			table, err := Analyse(DefaultBoard(), []Circuit{thumb(), mushroom()}, tt.path)
			require.NoError(t, err)
			var got []pathFact
			for _, r := range table.OfPath() {
				names := ""
				for i, n := range r.Unstopped {
					if i > 0 {
						names += ", "
					}
					names += n
				}
				got = append(got, pathFact{r.Fault.String(), r.Outcome, names, r.OwnStopLost, r.Found})
			}
			require.Equal(t, tt.facts, got)
		})
	}
}

// Of every path of one or two parts, each fault that does not stop the drive by itself is
// found by a step of the written test, but those after which a line floats: broken, or left
// alone by a processor that a watchdog has reset.
func TestTheWrittenTestFindsEveryFaultOfThePath(t *testing.T) {
	circuits := []Circuit{thumb(), mushroom()}
	a := newAnalysis(DefaultBoard(), circuits, plain())
	founds := map[Found]int{}
	judge := func(parts ...Part) {
		a.path = Path{}
		for i, p := range parts {
			p.Name = fmt.Sprint("part ", i)
			if p.Watchdog {
				a.path.WatchdogMS = 100
			}
			a.path.Parts = append(a.path.Parts, p)
		}
		if validate(DefaultBoard(), circuits, a.path) != nil {
			return
		}
		steps := a.tests()
		for _, j := range pathJobs(circuits, a.path) {
			found, step := a.found(j, a.row(j), steps)
			founds[found]++
			switch {
			case slices.Contains([]FaultKind{EnableOpen, BranchOpen, ProcessorHalted}, j.fault.Kind) && found == Never:
				floats := func(p Part) bool { return p.Kind == Semiconductor && !p.PulledOff }
				require.True(t, slices.ContainsFunc(a.path.Parts, floats), "%s of %+v", j.fault, a.path)
			case found == AtOnce:
			default:
				require.Equal(t, ByWrittenTest, found, "%s of %+v", j.fault, a.path)
				require.False(t, steps[step].Meter)
			}
		}
	}
	parts := everyPart()
	for i, p := range parts {
		judge(p)
		for _, q := range parts[i:] {
			judge(p, q)
		}
	}
	t.Logf("found %v", founds)
	for _, f := range []Found{AtOnce, ByWrittenTest, Never} {
		require.Positive(t, founds[f], "%s", f)
	}
}
