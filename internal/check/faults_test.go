// Single faults of the hold circuits, on the classic wirings.
package check

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/circuit"
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
		assert.Contains(t, f.Remedy, "normally open", "the advice turns the contact round")
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
		"note: hold thumb switch: of 27 single faults 4 short the supply (signal wire shorted to supply, pin 22; ground return shorted to supply, pin 22; signal wire shorted to supply, pin 28; ground return shorted to supply, pin 28)",
		"note: hold mushroom button: of 23 single faults 4 short the supply (signal wire shorted to supply, pin 24; ground return shorted to supply, pin 24; signal wire shorted to supply, pin 26; ground return shorted to supply, pin 26)",
	}, messages(yard(t), rule))

	// One contact on one wire, by hand: a short to ground, a contact stuck closed,
	// a missing pull, a pin stuck low, and bridges to the other three pins' low
	// level may all look like run for ever.
	p := withHolds(t, single(circuit.NormallyOpen, circuit.Ground, circuit.PullUp, false))
	f := of(p, rule)[0]
	assert.Equal(t, "warning", f.Severity.String())
	assert.Regexp(t, `^hold thumb switch: of 1[0-9] single faults [0-9] leave the drive running \(signal wire shorted to ground, pin 22; contact stuck closed, pin 22; pull missing, pin 22; pin 22 stuck low`, f.Message())
	assert.NotEmpty(t, f.Remedy)

	// With a pole in the path to the motors only the contact itself is left.
	p = withHolds(t, single(circuit.NormallyOpen, circuit.Ground, circuit.PullUp, true))
	f = of(p, rule)[0]
	assert.Contains(t, f.Message(), "1 leaves the drive running (contact stuck closed, pin 22)")
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

// Every row that is not credited is told of by one of the two rules, once.
func TestEveryDangerousRowIsTold(t *testing.T) {
	for _, pole := range []bool{false, true} {
		for _, contact := range []circuit.Contact{circuit.NormallyOpen, circuit.NormallyClosed} {
			p := withHolds(t, single(contact, circuit.Ground, circuit.PullUp, pole && contact == circuit.NormallyOpen))
			assert.NoError(t, p.Holds.FaultsErr)
			rows := 0
			for _, row := range p.Holds.Faults.Rows {
				if row.Outcome != circuit.Healthy && !row.Outcome.Credited() {
					rows++
				}
			}
			told := 0
			for _, f := range of(p, "holds.wire-break") {
				told += int(number(t, f, "faults"))
			}
			for _, f := range of(p, "holds.single-fault") {
				told += int(number(t, f, "leave running") + number(t, f, "short the supply"))
			}
			assert.Equal(t, rows, told)
		}
	}
}
