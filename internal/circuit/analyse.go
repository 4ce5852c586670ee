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
	if err := validate(b, circuits, path); err != nil {
		return Table{}, err
	}
	a := newAnalysis(b, circuits, path)
	t := Table{Board: b, Circuits: circuits, Path: path}
	for i, c := range circuits {
		w := Wiring{RunLevels: a.runLevels[i]}
		w.Run, _, _ = a.model.look([]int{i}, nil, demands{i: DemandRun})
		w.Stop, _, _ = a.model.look([]int{i}, nil, demands{i: DemandStop})
		for j := range c.Channels {
			w.ContactUA = append(w.ContactUA, a.model.contactUA(i, j))
		}
		t.Wirings = append(t.Wirings, w)
	}
	if a.allDistinct(a.every()) {
		t.Tests = a.tests()
	}
	for _, j := range jobs(b, circuits, path) {
		if j.fault.Kind != NoFault && !a.allDistinct(j.about) {
			continue
		}
		row := a.row(j)
		if j.fault.Kind != NoFault {
			row.Found, row.Test = a.found(j, row, t.Tests)
		}
		row.Sentence = a.sentence(j, row)
		if !row.Outcome.Credited() {
			row.Otherwise = exclude(circuits, j.fault)
		}
		t.Rows = append(t.Rows, row)
	}
	return t, nil
}

// analysis is a model with the run levels derived from it.
type analysis struct {
	model model
	path  Path
	// runLevels has the run level of every channel of every circuit; Undefined
	// where the healthy circuit gives none.
	runLevels [][]Level
}

// newAnalysis derives the run levels from the healthy circuits: the level read
// while run is asked for, provided that it is certain and that the level read
// while stop is asked for is certainly the other one.
func newAnalysis(b Board, circuits []Circuit, path Path) analysis {
	a := analysis{model: newModel(b, circuits), path: path}
	for i := range circuits {
		run, _, _ := a.model.look([]int{i}, nil, demands{i: DemandRun})
		stop, _, _ := a.model.look([]int{i}, nil, demands{i: DemandStop})
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

// every lists all circuits.
func (a analysis) every() []int {
	var all []int
	for i := range a.model.circuits {
		all = append(all, i)
	}
	return all
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
	if j.fault.Kind.ofPath() {
		return a.pathRow(j)
	}
	row := Row{Fault: j.fault}
	for _, i := range j.about {
		row.Circuits = append(row.Circuits, a.model.circuits[i].Name)
	}
	for combination := range 1 << len(j.about) {
		s := a.state(j, combined(j.about, combination), false)
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
		a.besides(j, &row)
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

// combined has the demand of each circuit in a bit of the number.
func combined(about []int, combination int) demands {
	d := demands{}
	for bit, i := range about {
		d[i] = Demand(combination >> bit & 1)
	}
	return d
}

// pathRow evaluates a fault behind the pins: with run asked of every circuit, with stop
// asked of each alone, and with the board's own reason to stop. More than one at a time
// stops no less.
func (a analysis) pathRow(j job) Row {
	row := Row{Fault: j.fault}
	add := func(asked int, outputLow bool) {
		s := State{OutputLow: outputLow}
		for i := range a.model.circuits {
			demand, c := DemandRun, ConcludesRun
			if i == asked {
				if demand, c = DemandStop, Uncertain; a.allDistinct([]int{i}) {
					c = ConcludesStop
				}
			}
			s.Demands, s.Conclusions = append(s.Demands, demand), append(s.Conclusions, c)
		}
		a.conclude(&s, faults{j.fault}, j.about)
		row.States = append(row.States, s)
	}
	add(-1, false)
	for i, c := range a.model.circuits {
		add(i, false)
		if last := row.States[len(row.States)-1]; last.Drive != DriveOff {
			row.Unstopped = append(row.Unstopped, c.Name)
		}
	}
	row.Outcome = outcome(row.States)
	add(-1, true)
	row.OwnStopLost = row.States[len(row.States)-1].Drive != DriveOff
	return row
}

// besides adds the states of a pin bridged to drive_enable in which the board holds that
// low: for each circuit that the row is not about, of which the poles open as well, and for a
// reason of its own, which is told apart since a hold still stops the drive then.
func (a analysis) besides(j job, row *Row) {
	beside := func(s State, k int) State {
		s.Beside = a.model.circuits[k].Name
		s.Drive = a.driveIn(s, faults{j.fault}, append(slices.Clone(j.about), k), append(slices.Clone(s.Conclusions), ConcludesStop))
		s.Stopped = s.Drive == DriveOff
		s.Heard = s.Stopped
		return s
	}
	for combination := range 1 << len(j.about) {
		s := a.state(j, combined(j.about, combination), true)
		row.OwnStopLost = row.OwnStopLost || s.Drive != DriveOff || s.IfHeld != nil && s.IfHeld.Drive != DriveOff
		for k := range a.model.circuits {
			if slices.Contains(j.about, k) {
				continue
			}
			next := beside(s, k)
			if s.IfHeld != nil {
				held := beside(*s.IfHeld, k)
				next.IfHeld = &held
			}
			row.States = append(row.States, next)
		}
	}
}

// conclude works out what the drive does in a state.
func (a analysis) conclude(s *State, fs faults, about []int) {
	s.Drive = a.driveIn(*s, fs, about, s.Conclusions)
	s.Stopped = s.Drive == DriveOff
	asked := slices.Clone(s.Conclusions)
	for k := range asked {
		if s.Demands[k] == DemandRun {
			asked[k] = ConcludesRun
		}
	}
	// With a poor joint instead of a bridge the pin does not draw the line down.
	soft := *s
	soft.LineDrawn, soft.LineSags = false, s.LineDrawn || s.LineSags
	s.Heard = a.driveIn(soft, fs, about, asked) == DriveOff
	all := make([]Conclusion, len(asked)) // the board hears nobody
	s.PoleOpen = !s.OutputLow && a.driveIn(soft, fs, about, all) == DriveOff
}

// driveIn tells what the drive does if the board makes of the circuits what is given.
func (a analysis) driveIn(s State, fs faults, about []int, conclusions []Conclusion) Drive {
	low, high := lineLow, lineHigh // what becomes of the line that the board holds so
	if s.LineHeld {
		low = lineUnsure
	}
	switch {
	case s.LineDrawn:
		high = lineLow
	case s.LineSags:
		high = lineUnsure
	}
	commanded := high
	switch {
	case s.OutputLow || slices.ContainsFunc(conclusions, Conclusion.stops):
		commanded = low
	case slices.Contains(conclusions, Uncertain) && low != high:
		commanded = lineUnsure
	}
	return a.path.drive(fs, lineUnder(fs, commanded), func(circuit int) bool {
		k := slices.Index(about, circuit)
		return k >= 0 && (k >= len(s.Demands) || s.Demands[k] == DemandStop)
	})
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
	return a.under(j.fault.elementary(a.model.circuits), j.about, d, outputLow)
}

// under evaluates a state under faults.
func (a analysis) under(fs faults, about []int, d demands, outputLow bool) State {
	scope := a.model.scope(about)
	return a.drawing(fs, about, scope, d, a.model.drawMA(scope, fs, d)+a.model.elsewhereMA(scope), outputLow)
}

// drawing is under where the current is known.
func (a analysis) drawing(fs faults, about, scope []int, d demands, draw float64, outputLow bool) State {
	s := State{OutputLow: outputLow}
	s.Readings, s.SupplyMA, s.Shorted = a.model.drawing(about, scope, fs, d, draw)
	for _, i := range about {
		s.Demands = append(s.Demands, d[i])
	}
	bridged := slices.ContainsFunc(fs, func(f Fault) bool { return f.Output.EnablesDrive })
	if bridged {
		board := a.model.board
		off := float64(board.DriveOffBelowMV) - arithmetic
		_, lineMV := a.model.lineMV(about, fs, d, Ground)
		s.LineMV, s.LineHeld = int64(math.Ceil(lineMV-arithmetic)), lineMV >= off
		least, greatest := a.model.lineMV(about, fs, d, Supply)
		s.DrawnMV, s.LineDrawn = int64(math.Ceil(greatest-arithmetic)), greatest < off
		s.LineSags = least <= float64(board.HighAboveMV)+arithmetic
	}
	if s.Shorted {
		held := s
		held.Shorted = false
		a.read(&held, fs, about)
		s.IfHeld = &held
		s.Readings = a.model.board.unknown(s.Readings)
		s.LineHeld, s.LineDrawn, s.LineSags = bridged, false, bridged
	}
	a.read(&s, fs, about)
	return s
}

// read has the board conclude from the readings of a state.
func (a analysis) read(s *State, fs faults, about []int) {
	rest := s.Readings
	for _, i := range about {
		n := len(a.runLevels[i])
		s.Conclusions = append(s.Conclusions, conclude(a.runLevels[i], rest[:n]))
		rest = rest[n:]
	}
	a.conclude(s, fs, about)
}

// ifHeld returns states with a supply that holds its voltage in all of them.
func ifHeld(states []State) []State {
	var list []State
	for _, s := range states {
		if s.IfHeld != nil {
			s = *s.IfHeld
		}
		list = append(list, s)
	}
	return list
}

// anyShorted tells whether the supply may be gone in one of the states.
func anyShorted(states []State) bool {
	return slices.ContainsFunc(states, func(s State) bool { return s.Shorted })
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

// outcome names what the states of a row amount to, at worst: where the supply is shorted
// it may be gone, and it may hold.
func outcome(states []State) Outcome { return max(amount(states), amount(ifHeld(states))) }

// amount names what states come to, worst first.
func amount(states []State) Outcome {
	shorts := 0
	for _, s := range states {
		if s.Shorted {
			shorts++
		}
	}
	if shorts == len(states) {
		// Gone, it shows as soon as it arises, whatever is asked for.
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
	case states[0].Stopped:
		return StopsDrive
	default:
		return StopsOnDemand
	}
}

// discrepancy tells whether the channels of a circuit certainly disagree.
func (s State) discrepancy() bool { return slices.Contains(s.Conclusions, ConcludesDiscrepancy) }

// discrepancyOnDemand tells whether the channels disagree whichever one
// circuit is asked to stop the drive. Where none can be asked, nothing does.
func discrepancyOnDemand(states []State) bool {
	differs := false
	for _, s := range states {
		if s.OutputLow {
			continue
		}
		asked := 0
		for _, d := range s.Demands {
			asked += int(d)
		}
		if asked != 1 {
			continue
		}
		if differs = s.discrepancy(); !differs {
			return false
		}
	}
	return differs
}
