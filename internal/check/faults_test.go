// Single faults of the hold circuits, on the classic wirings.
package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/plan"
)

// single makes the thumb switch one contact on one wire, with or without a pole in the
// path to the motors.
func single(contact circuit.Contact, rail circuit.Rail, pull circuit.Pull, pole bool) func(*plan.Plan) {
	return func(p *plan.Plan) {
		p.Holds.List[0].Circuit.Channels = []circuit.Channel{{Pin: 22, Contact: contact, WiredTo: rail, Pull: pull}}
		p.Holds.Path.Parts[0].Holds = []int{1}
		if pole {
			p.Holds.Path.Parts[0].Holds = []int{0, 1}
		}
	}
}

func TestWireBreak(t *testing.T) {
	const rule = "holds.wire-break"
	assert.Empty(t, messages(yard(t), rule))
	assert.Empty(t, messages(withHolds(t, single(circuit.NormallyOpen, circuit.Ground, circuit.PullUp, false)), rule))
	assert.Empty(t, messages(withHolds(t, single(circuit.NormallyOpen, circuit.Supply, circuit.PullDown, false)), rule))

	// A hold-to-run that opens when pressed: the broken wire looks pressed.
	p := withHolds(t, single(circuit.NormallyClosed, circuit.Ground, circuit.PullUp, false))
	assert.Equal(t, []string{
		"error: hold thumb switch: signal wire open, pin 22; ground return open, pin 22: released, pin 22 reads high, which is run: the drive keeps running",
	}, messages(p, rule))
	for _, f := range of(p, rule) {
		assert.Contains(t, f.Remedy, "hold thumb switch: contact: normally-open, wired_to: ground, pull: up", "the advice turns the contact round")
		assert.Equal(t, p.Holds.List[0].At, f.At)
	}

	// Without a pull the open contact reads nothing in particular.
	p = withHolds(t, single(circuit.NormallyOpen, circuit.Ground, circuit.PullNone, false))
	f := one(t, p, rule)
	assert.Contains(t, f.Message(), "hold thumb switch cannot work: ")
	assert.NotEmpty(t, f.Remedy)
}

func TestSingleFault(t *testing.T) {
	const rule = "holds.single-fault"
	// Two channels of the same wiring: only shorts to the supply are left, and
	// they are no more than a note.
	assert.Equal(t, []string{
		"note: hold thumb switch: of 29 single faults 4 short the supply (signal wire shorted to supply, pin 22; ground return shorted to supply, pin 22; signal wire shorted to supply, pin 28; ground return shorted to supply, pin 28)",
		"note: hold mushroom button: of 25 single faults 4 short the supply (signal wire shorted to supply, pin 24; ground return shorted to supply, pin 24; signal wire shorted to supply, pin 26; ground return shorted to supply, pin 26)",
	}, messages(yard(t), rule))

	// One contact on one wire, by hand: a short to ground, a contact stuck closed,
	// a missing pull, a pin stuck low, and bridges to the other three pins' low
	// level may all look like run for ever.
	p := withHolds(t, single(circuit.NormallyOpen, circuit.Ground, circuit.PullUp, false))
	f := about(t, p, rule, "hold thumb switch")
	assert.Equal(t, "warning", f.Severity.String())
	assert.Regexp(t, `^hold thumb switch: of 1[0-9] single faults [0-9] leave the drive running \(signal wire shorted to ground, pin 22; contact stuck closed, pin 22; pull missing, pin 22; pin 22 stuck low`, f.Message())
	assert.NotEmpty(t, f.Remedy)

	// And what the board cannot do, nothing does for that hold.
	f = about(t, p, rule, "drive_path")
	assert.Equal(t, "warning", f.Severity.String())
	assert.Equal(t, "drive_path: of 12 single faults 2 leave the drive running (program halted with drive_enable high; drive_enable held high) when hold thumb switch asks for stop", f.Message())

	// With a pole in the path to the motors only the actuator is left, which no wiring cures.
	p = withHolds(t, single(circuit.NormallyOpen, circuit.Ground, circuit.PullUp, true))
	f = of(p, rule)[0]
	assert.Equal(t, "note", f.Severity.String())
	assert.Contains(t, f.Message(), "1 leaves the drive running (actuator jammed in run, pin 22)")
	assert.Contains(t, f.Remedy, "a device that springs back")
	assert.Equal(t, 1.0, number(t, f, "leave running"))

	// 330 ohm in each return limits the shorts: nothing is left to say.
	p = withHolds(t, func(p *plan.Plan) {
		for i := range p.Holds.List {
			for j := range p.Holds.List[i].Circuit.Channels {
				p.Holds.List[i].Circuit.Channels[j].SeriesOhm = 330
			}
		}
	})
	assert.Empty(t, messages(p, rule))
}

// about is the finding of a rule that is about the named thing.
func about(t *testing.T, p *plan.Plan, rule diag.ID, thing string) diag.Finding {
	t.Helper()
	for _, f := range of(p, rule) {
		if f.About[0].String() == thing {
			return f
		}
	}
	require.Failf(t, "nothing is told", "%s of %s: %v", rule, thing, messages(p, rule))
	return diag.Finding{}
}

// The findings count what the table counts: each fault that is not credited once, with the
// hold or the drive path that it is told with.
func TestFindingsCountWhatTheTableCounts(t *testing.T) {
	for _, pole := range []bool{false, true} {
		for _, contact := range []circuit.Contact{circuit.NormallyOpen, circuit.NormallyClosed} {
			p := withHolds(t, single(contact, circuit.Ground, circuit.PullUp, pole))
			require.NoError(t, p.Holds.FaultsErr)
			told := map[string]float64{}
			for _, f := range of(p, "holds.single-fault") {
				told[f.About[0].Name] = number(t, f, "leave running") + number(t, f, "short the supply")
			}
			count := func(rows []circuit.Row) (n float64) {
				for _, row := range rows {
					if row.Outcome != circuit.Healthy && !row.Outcome.Credited() {
						n++
					}
				}
				return n
			}
			for _, h := range p.Holds.List {
				assert.Equal(t, count(p.Holds.Faults.ToldWith(h.Circuit.Name)), told[h.Circuit.Name], h.Circuit.Name)
			}
			assert.Equal(t, count(p.Holds.Faults.OfPath()), told["drive_path"])
		}
	}
}

// Every fault that leaves the drive running against every hold is told as an error, unless
// the mission says how it is covered.
func TestSinglePart(t *testing.T) {
	const rule = "holds.single-part"
	assert.Empty(t, messages(yard(t), rule))
	alone := func(change func(*plan.Plan)) *plan.Plan {
		return withHolds(t, func(p *plan.Plan) {
			p.Holds.Path = circuit.Path{Parts: []circuit.Part{{Name: "relay", Kind: circuit.Relay, Enable: true, Holds: []int{0, 1}, OffMS: 40}}}
			change(p)
		})
	}
	// Both holds have a pole in the one coil: the relay that welds is left.
	assert.Equal(t, []string{"error: one fault alone leaves the drive on against every hold: relay stuck on"}, messages(alone(func(*plan.Plan) {}), rule))
	assert.Equal(t, []string{"note: relay stuck on leaves the drive on against every hold; the mission says how that is covered: a fuse is pulled by hand"},
		messages(alone(func(p *plan.Plan) { p.Holds.Path.Parts[0].Covered = "a fuse is pulled by hand" }), rule))
	// Without poles the program and the line are, too.
	bare := func(p *plan.Plan) { p.Holds.Path.Parts[0].Holds = nil }
	assert.Equal(t, []string{"error: one fault alone leaves the drive on against every hold: program halted with drive_enable high; drive_enable held high; relay stuck on"}, messages(alone(bare), rule))
	assert.Len(t, messages(alone(func(p *plan.Plan) {
		bare(p)
		p.Holds.Path.Covered, p.Holds.Path.Parts[0].Covered = "a", "b"
	}), rule), 2) // what two faults have in common is said once
	// A watchdog takes the first away.
	assert.Equal(t, []string{"error: one fault alone leaves the drive on against every hold: drive_enable held high; relay stuck on"}, messages(alone(func(p *plan.Plan) {
		bare(p)
		p.Holds.Path.WatchdogMS, p.Holds.Path.Parts[0].Watchdog = 100, true
	}), rule))
}

func TestEmergencyStop(t *testing.T) {
	const rule = "holds.emergency-stop"
	assert.Empty(t, messages(yard(t), rule))
	p := withHolds(t, func(p *plan.Plan) {
		p.Holds.Path = circuit.Path{Parts: []circuit.Part{{Name: "driver", Kind: circuit.Semiconductor, Enable: true}}}
	})
	assert.Equal(t, []string{"error: hold mushroom button only tells the program: no part of the drive_path is opened by it, so that it stops nothing when the program, the pin or the line of drive_enable does not"}, messages(p, rule))
	p.Holds.List[1].Circuit.Kind = board.Interlock
	assert.Empty(t, messages(p, rule))
}

func TestTimes(t *testing.T) {
	const rule = "holds.times"
	with := func(change func(*plan.Plan)) []string { return messages(withHolds(t, change), rule) }
	relay := func(ms int64, diode bool) func(*plan.Plan) {
		return func(p *plan.Plan) {
			p.Holds.Path.Parts = append(p.Holds.Path.Parts, circuit.Part{Name: "cut-off relay", Kind: circuit.Relay, Enable: true, OffMS: ms, CoilDiode: diode})
			p.Holds.Parts = append(p.Holds.Parts, p.Holds.PathAt)
		}
	}
	for _, c := range []struct {
		fact   string
		change func(*plan.Plan)
		want   []string
	}{
		{"channels that may differ for half a second", func(p *plan.Plan) { p.Holds.List[0].Circuit.DiscrepancyMS = 500 }, []string{}},
		{"longer", func(p *plan.Plan) { p.Holds.List[0].Circuit.DiscrepancyMS = 501 }, []string{"warning: hold thumb switch: its channels may differ for 501 ms without being found: a fault of one shows only in a stop that lasts longer"}},
		{"a link that opens in time", func(p *plan.Plan) { p.Holds.List[0].RadioLossMS = 500 }, []string{}},
		{"too late", func(p *plan.Plan) { p.Holds.List[0].RadioLossMS = 501 }, []string{"warning: hold thumb switch: without a link its contacts open after 501 ms only: so long the rover drives with nobody in charge"}},
		{"a relay with a diode that takes its time", relay(30, true), []string{}},
		{"a quick one without", relay(5, false), []string{}},
		{"a quick one with", relay(29, true), []string{"warning: cut-off relay opens within 29 ms, with a diode across its coil: such relays release several times slower than their data sheet says without one"}},
	} {
		assert.Equal(t, c.want, with(c.change), c.fact)
	}
}

// The edits are one list for the mission. It is told in full with a finding that is there,
// also where of many findings one is made.
func TestTheRemedyIsToldInFullOnce(t *testing.T) {
	for bumpers := 1; bumpers < 8; bumpers++ {
		p := withHolds(t, func(p *plan.Plan) {
			for i := range p.Holds.List { // of which nothing is told
				for j := range p.Holds.List[i].Circuit.Channels {
					p.Holds.List[i].Circuit.Channels[j].SeriesOhm = 330
				}
			}
			// The first bumper is the least bad: it has a pole.
			p.Holds.Path.Parts[0].Holds = append(slices.Clone(p.Holds.Path.Parts[0].Holds), len(p.Holds.List))
			for i := range bumpers {
				p.Holds.List = append(p.Holds.List, plan.Hold{Source: line(60 + i), Circuit: circuit.Circuit{
					Name: fmt.Sprint("bumper ", i), Kind: board.Interlock,
					Channels: []circuit.Channel{{Pin: 40 + i, Contact: circuit.NormallyClosed, WiredTo: circuit.Ground, Pull: circuit.PullUp}},
				}})
			}
		})
		require.NoError(t, p.Holds.FaultsErr)
		full := map[string]bool{}
		var told []string
		for _, f := range All(p) {
			if strings.Contains(f.Remedy, "these edits") {
				full[f.About[0].String()] = true
			}
			if _, rest, found := strings.Cut(f.Remedy, "the edits that are told with "); found {
				thing, _, _ := strings.Cut(rest, ";")
				told = append(told, thing)
			}
		}
		require.Len(t, full, 1, "%d bumpers", bumpers)
		for _, thing := range told {
			assert.True(t, full[thing], "%d bumpers: %s", bumpers, thing)
		}
	}
}
