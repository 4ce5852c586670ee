package circuit

import (
	"fmt"
	"slices"
)

// This file holds what comes out: the rows of the single-fault table, what
// they say, and their counts.

// Level is what a board input reads.
type Level int

const (
	// Low is certainly low in every corner of the figures.
	Low Level = iota
	// High is certainly high in every corner of the figures.
	High
	// Undefined is floating, between the thresholds, or read while the supply
	// is shorted: the board may read low or high and the worse counts.
	Undefined
	// LowOrHigh is definite but depends on the state of another circuit. Only
	// in summaries over several states.
	LowOrHigh
)

// Reading is the level of one pin in one state.
type Reading struct {
	Pin   int
	Level Level
	// MinMV and MaxMV bound the pin's voltage, rounded outward.
	MinMV int64
	MaxMV int64
}

// Conclusion is what the board makes of one circuit's readings.
type Conclusion int

const (
	// ConcludesRun: every channel reads run.
	ConcludesRun Conclusion = iota
	// ConcludesStop: certainly not run.
	ConcludesStop
	// ConcludesDiscrepancy: one of two channels certainly reads run, the other
	// certainly stop. The drive is stopped; after DiscrepancyMS it is latched.
	ConcludesDiscrepancy
	// Uncertain: it may be run. Counts as run where stop is due.
	Uncertain
)

// stops tells whether the drive is certainly disabled by the conclusion.
func (c Conclusion) stops() bool { return c == ConcludesStop || c == ConcludesDiscrepancy }

// State is one combination of demands, and what the model finds in it.
type State struct {
	// Demands has one entry for each of the row's Circuits.
	Demands []Demand
	// Readings has one entry for each channel of each of the row's Circuits.
	Readings []Reading
	// Conclusions has one entry for each of the row's Circuits.
	Conclusions []Conclusion
	// OutputLow: beside the demands the board holds low the output that enables the
	// drive, for another hold or a reason of its own. Only in rows of a pin that is
	// bridged to that output.
	OutputLow bool
	// Beside names the circuit for which it does; empty for a reason of its own.
	Beside string
	// LineMV is the greatest voltage of that output while the board holds it low, and
	// LineHeld says that it is not certainly below Board.DriveOffBelowMV.
	LineMV   int64
	LineHeld bool
	// DrawnMV is its greatest voltage while the board holds it high. LineDrawn says that
	// it is then certainly below Board.DriveOffBelowMV, so that the drive has no power, and
	// LineSags that it is not certainly above Board.HighAboveMV.
	DrawnMV             int64
	LineDrawn, LineSags bool
	// Drive is what the motors have, and Stopped that they certainly have nothing.
	Drive   Drive
	Stopped bool
	// PoleOpen: a part of the drive path opens whatever the board makes of the circuits:
	// by a pole of one that is asked to stop, by the watchdog, or by the fault itself.
	PoleOpen bool
	// Heard: the drive is certainly stopped by a circuit that is asked to stop: it is
	// read as stop, or a pole of its own opens a part. A drive can be Stopped without: when another circuit, which
	// is asked to run, is misread as stop. That is not counted on, because with
	// a poor joint instead of a clean fault neither may read stop (see doc.go).
	Heard bool
	// SupplyMA is what the circuits looked at would draw from a supply that
	// holds its voltage, rounded up; Shorted
	// says that it is beyond Board.SupplyLimitMA.
	SupplyMA int64
	Shorted  bool
	// IfHeld is a shorted state with a supply that is stronger than that, and holds its
	// voltage all the same; nil where none is shorted.
	IfHeld *State
}

// stopDemanded tells whether any of the circuits, or the board, is to stop the drive.
func (s State) stopDemanded() bool { return s.OutputLow || slices.Contains(s.Demands, DemandStop) }

// Outcome is what a single fault does to the safety hold.
type Outcome int

const (
	// Healthy: no fault; run and stop are told apart.
	Healthy Outcome = iota
	// StopsDrive: the fault itself stops the drive. Safe.
	StopsDrive
	// StopsOnDemand: a stop request still works. When the fault is found is another
	// question: a second fault may come before.
	StopsOnDemand
	// ShortCircuit: the supply is shorted to ground in at least one state.
	// Fuse, brown-out or fire: electrical hazard, and no reading is credited.
	ShortCircuit
	// LeavesRunning: stop is asked for and the drive may keep running.
	// Dangerous.
	LeavesRunning
	// Indistinct: even without a fault the board cannot tell run from stop.
	// Dangerous; no faults of such a circuit are listed.
	Indistinct
)

// Outcomes lists every outcome, from best to worst.
func Outcomes() []Outcome {
	return []Outcome{Healthy, StopsDrive, StopsOnDemand, ShortCircuit, LeavesRunning, Indistinct}
}

// Dangerous tells whether the drive may keep running when stop is asked for.
func (o Outcome) Dangerous() bool { return o == LeavesRunning || o == Indistinct }

// Credited tells whether the outcome counts as a safe reaction to the fault.
func (o Outcome) Credited() bool { return o < ShortCircuit }

// Row is one line of the failure-modes table.
type Row struct {
	// Circuits names the circuits that the fault touches: one, or more for a
	// bridge between circuits or a shared return.
	Circuits []string
	Fault    Fault
	// Run and Stop have one entry for each channel of each of Circuits: what
	// the pin reads while every circuit asks for run, and while at least one
	// asks for stop (over all such states together).
	Run  []Reading
	Stop []Reading
	// States holds every combination of demands, all-run first; then, of a bridge to
	// the output that enables the drive, those in which the board holds that low for
	// another circuit. Of a fault of the drive path: all run, each circuit alone asked to
	// stop, and last the board's own reason.
	States  []State
	Outcome Outcome
	// Unstopped names the circuits against which a fault of the drive path leaves the
	// drive running.
	Unstopped []string
	// OwnStopLost: the board cannot stop the drive for a reason of its own, as at the fence
	// or at the end of the route.
	OwnStopLost bool
	// Found says when the fault is found, and Test is the index in Table.Tests of the
	// test that finds it, -1 where none does.
	Found Found
	Test  int
	// Sentence says what happens, in one sentence.
	Sentence string
	// Otherwise says how a fault that is not credited is commonly excluded or found.
	Otherwise string
}

// AgainstEvery tells whether a fault of the drive path leaves the drive running against
// every one of so many circuits.
func (r Row) AgainstEvery(circuits int) bool {
	return r.Fault.Kind.ofPath() && circuits > 0 && len(r.Unstopped) == circuits
}

// Found is when a fault is found.
type Found int

const (
	// AtOnce: the drive stops, or the channels differ and the board latches it, whether a
	// supply that is shorted gives way or holds.
	AtOnce Found = iota
	// AtNextDemand: when stop is next asked for, for longer than the discrepancy time,
	// the channels differ.
	AtNextDemand
	// ByStartUpTest: the board does not let the drive have power before each channel was
	// seen in stop and in run, and one never is.
	ByStartUpTest
	// ByWrittenTest: a step of the written test comes out otherwise than it must.
	ByWrittenTest
	// ByMeter: only a step with a meter does.
	ByMeter
	// Never: nothing of that certainly finds it.
	Never
)

// FoundWords lists every Found, soonest first.
func FoundWords() []Found {
	return []Found{AtOnce, AtNextDemand, ByStartUpTest, ByWrittenTest, ByMeter, Never}
}

// Wiring is what the model derived for one circuit without any fault.
type Wiring struct {
	// RunLevels has the level that the board is to take as run, one for each
	// channel. Undefined where the wiring gives none.
	RunLevels []Level
	// Run and Stop have what each pin reads while run and while stop is asked for.
	Run, Stop []Reading
	// ContactUA has the least current through each channel's contact when
	// closed, in microamperes, rounded down: the wetting current.
	ContactUA []int64
}

// Table is the single-fault table of a board.
type Table struct {
	Board    Board
	Circuits []Circuit
	Path     Path
	// Wirings has one entry for each circuit, in order.
	Wirings []Wiring
	Rows    []Row
	// Tests are the steps of the written test; none where a circuit cannot tell run from
	// stop.
	Tests []Test
}

// Counts are of the faults of rows, each once.
type Counts struct {
	Faults int
	// Of counts rows, those without a fault too, and When faults.
	Of   map[Outcome]int
	When map[Outcome]map[Found]int
	// Quiet are those that do not stop the drive by themselves, and Covered those of them
	// that are found no later than at the next demand or by the start-up test.
	Quiet, Covered int
}

// Count counts faults by outcome and by when they are found.
func Count(rows []Row) Counts {
	c := Counts{Of: map[Outcome]int{}, When: map[Outcome]map[Found]int{}}
	for _, r := range rows {
		if c.Of[r.Outcome]++; r.Fault.Kind == NoFault {
			continue
		}
		c.Faults++
		if c.When[r.Outcome] == nil {
			c.When[r.Outcome] = map[Found]int{}
		}
		c.When[r.Outcome][r.Found]++
		if r.Outcome != StopsDrive {
			c.Quiet++
			if r.Found <= ByStartUpTest {
				c.Covered++
			}
		}
	}
	return c
}

// coverage is the share that is covered, in whole percent, cut.
func (c Counts) coverage() string {
	if c.Quiet == 0 {
		return "100 %"
	}
	return fmt.Sprintf("%d %%", 100*c.Covered/c.Quiet)
}

// OfPath returns the rows of the drive path.
func (t Table) OfPath() []Row {
	var rows []Row
	for _, r := range t.Rows {
		if r.Fault.Kind.ofPath() {
			rows = append(rows, r)
		}
	}
	return rows
}

// ToldWith returns the rows that are told with the named circuit, in table order:
// a fault that touches several circuits is told with the first of them, so that
// every row is told once.
func (t Table) ToldWith(circuit string) []Row {
	var rows []Row
	for _, r := range t.Rows {
		if len(r.Circuits) > 0 && r.Circuits[0] == circuit {
			rows = append(rows, r)
		}
	}
	return rows
}
