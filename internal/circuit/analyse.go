package circuit

import (
	"math"
	"slices"
)

// This file evaluates the rows: it asks the model what the pins read in every
// combination of demands, applies the board's rule, and names the outcome.
//
// The board's rule: the drive is enabled only while every channel of every
// circuit reads its run level. Two channels of one circuit that disagree
// therefore stop the drive at once; when they disagree for longer than the
// discrepancy time the stop is latched and reported.

// Analyse applies every single fault to the circuits, one at a time, and
// returns the table of what the board then reads and does. The error, if any,
// joins one *InputError for each thing wrong with the input; nothing else
// fails. A circuit whose wiring cannot tell run from stop is no error: it gets
// one row with the outcome Indistinct, and no others.
func Analyse(b Board, circuits []Circuit, path Path) (Table, error) {
	if err := validate(b, circuits); err != nil {
		return Table{}, err
	}
	a := newAnalysis(b, circuits)
	t := Table{Circuits: circuits}
	for i, c := range circuits {
		w := Wiring{RunLevels: a.runLevels[i]}
		for j := range c.Channels {
			w.ContactUA = append(w.ContactUA, a.model.contactUA(i, j))
		}
		t.Wirings = append(t.Wirings, w)
	}
	for _, j := range jobs(b, circuits) {
		if j.fault.Kind != NoFault && !a.allDistinct(j.about) {
			continue
		}
		row := a.row(j)
		row.Sentence = a.sentence(j, row)
		if !row.Outcome.Credited() {
			row.Advice, row.Otherwise = advise(b, circuits, j, row)
		}
		t.Rows = append(t.Rows, row)
	}
	return t, nil
}

// analysis is a model with the run levels derived from it.
type analysis struct {
	model model
	// runLevels has the run level of every channel of every circuit; Undefined
	// where the healthy circuit gives none.
	runLevels [][]Level
}

// newAnalysis derives the run levels from the healthy circuits: the level read
// while run is asked for, provided that it is certain and that the level read
// while stop is asked for is certainly the other one.
func newAnalysis(b Board, circuits []Circuit) analysis {
	a := analysis{model: newModel(b, circuits)}
	for i := range circuits {
		run, _, _ := a.model.look([]int{i}, Fault{}, demands{i: DemandRun})
		stop, _, _ := a.model.look([]int{i}, Fault{}, demands{i: DemandStop})
		levels := make([]Level, len(run))
		for j := range levels {
			levels[j] = Undefined
			if run[j].Level != Undefined && stop[j].Level != Undefined && run[j].Level != stop[j].Level {
				levels[j] = run[j].Level
			}
		}
		a.runLevels = append(a.runLevels, levels)
	}
	return a
}

// allDistinct tells whether each of the circuits can tell run from stop.
func (a analysis) allDistinct(about []int) bool {
	for _, i := range about {
		for _, l := range a.runLevels[i] {
			if l == Undefined {
				return false
			}
		}
	}
	return true
}

// row evaluates one row, without its words.
func (a analysis) row(j job) Row {
	row := Row{Fault: j.fault}
	for _, i := range j.about {
		row.Circuits = append(row.Circuits, a.model.circuits[i].Name)
	}
	for combination := range 1 << len(j.about) {
		d := demands{}
		for bit, i := range j.about {
			d[i] = Demand(combination >> bit & 1)
		}
		s := a.state(j, d, false)
		row.States = append(row.States, s)
		switch {
		case combination == 0:
			row.Run = s.Readings
		case combination == 1:
			row.Stop = append(row.Stop, s.Readings...)
		default:
			for i := range row.Stop {
				row.Stop[i] = row.Stop[i].merge(s.Readings[i])
			}
		}
	}
	if j.fault.Output.EnablesDrive {
		for _, own := range []Demand{DemandRun, DemandStop} {
			row.States = append(row.States, a.state(j, demands{j.about[0]: own}, true))
		}
	}
	row.Outcome = outcome(row.States)
	if j.fault.Kind == NoFault {
		row.Outcome = Healthy
		if !a.allDistinct(j.about) {
			row.Outcome = Indistinct
		}
	}
	return row
}

// merge returns what is known of a pin that reads r in one state and s in
// another.
func (r Reading) merge(s Reading) Reading {
	m := Reading{Pin: r.Pin, Level: r.Level, MinMV: min(r.MinMV, s.MinMV), MaxMV: max(r.MaxMV, s.MaxMV)}
	switch {
	case r.Level == s.Level:
	case r.Level == Undefined || s.Level == Undefined:
		m.Level = Undefined
	default:
		m.Level = LowOrHigh
	}
	return m
}

// state evaluates one combination of demands. outputLow says that beside them the
// board holds the drive's output low, for another hold or a reason of its own.
func (a analysis) state(j job, d demands, outputLow bool) State {
	s := State{OutputLow: outputLow}
	s.Readings, s.SupplyMA, s.Shorted = a.model.look(j.about, j.fault, d)
	if j.fault.Output.EnablesDrive {
		lineMV := a.model.lineMV(j.about, j.fault, d)
		s.LineMV = int64(math.Ceil(lineMV - arithmetic))
		s.LineHeld = s.Shorted || lineMV >= float64(a.model.board.DriveOffBelowMV)-arithmetic
	}
	rest := s.Readings
	for _, i := range j.about {
		n := len(a.runLevels[i])
		c := conclude(a.runLevels[i], rest[:n])
		rest = rest[n:]
		s.Demands = append(s.Demands, d[i])
		s.Conclusions = append(s.Conclusions, c)
		s.SupplyBroken = s.SupplyBroken || a.supplyBroken(i, j.fault, d[i])
		s.Stopped = s.Stopped || c.stops()
		s.Heard = s.Heard || d[i] == DemandStop && c.stops()
	}
	s.Stopped = (s.Stopped || outputLow) && !s.LineHeld
	s.Heard = (s.Heard || outputLow) && !s.LineHeld
	s.Stopped = s.Stopped || s.SupplyBroken
	s.Heard = s.Heard || s.SupplyBroken
	return s
}

// supplyBroken tells whether a pole of circuit i opens the drive's supply. A
// contact stuck closed holds its pole too; nothing else touches the pole.
func (a analysis) supplyBroken(i int, f Fault, d Demand) bool {
	c := a.model.circuits[i]
	if !c.BreaksDriveSupply {
		return false
	}
	for j, ch := range c.Channels {
		if !ch.Contact.closed(c.Kind, d) && !f.is(ContactStuckClosed, Place{i, j, ch.Pin}) {
			return true
		}
	}
	return false
}

// conclude applies the board's rule to the channels of one circuit. Where a
// run level is not known, nothing is concluded.
func conclude(runLevels []Level, readings []Reading) Conclusion {
	run, stop := 0, 0
	for j, r := range readings {
		switch {
		case r.Level == Undefined || runLevels[j] == Undefined:
		case r.Level == runLevels[j]:
			run++
		default:
			stop++
		}
	}
	switch {
	case run == len(readings):
		return ConcludesRun
	case run > 0 && stop > 0:
		return ConcludesDiscrepancy
	case stop > 0:
		return ConcludesStop
	default:
		return Uncertain
	}
}

// outcome names what the states of a row amount to, worst first.
func outcome(states []State) Outcome {
	shorts := 0
	for _, s := range states {
		if s.Shorted {
			shorts++
		}
	}
	if shorts == len(states) {
		// It shows as soon as it arises, whatever is asked for.
		return ShortCircuit
	}
	for _, s := range states {
		if s.stopDemanded() && !s.Heard {
			return LeavesRunning
		}
	}
	switch {
	case shorts > 0:
		return ShortCircuit
	case states[0].discrepancy() || discrepancyOnDemand(states):
		return DetectedByDiscrepancy
	case states[0].Stopped:
		return StopsDrive
	default:
		return StopsOnDemand
	}
}

// discrepancy tells whether the channels of a circuit certainly disagree.
func (s State) discrepancy() bool { return slices.Contains(s.Conclusions, ConcludesDiscrepancy) }

// discrepancyOnDemand tells whether the channels disagree whichever one
// circuit is asked to stop the drive.
func discrepancyOnDemand(states []State) bool {
	for _, s := range states {
		if s.OutputLow {
			continue
		}
		asked := 0
		for _, d := range s.Demands {
			asked += int(d)
		}
		if asked == 1 && !s.discrepancy() {
			return false
		}
	}
	return true
}
