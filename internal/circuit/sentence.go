package circuit

// This file puts the evaluated states of a row into one sentence.

import (
	"fmt"
	"slices"
	"strings"

	"merestone/internal/words"
)

// sentence says what the row's states come to.
func (a analysis) sentence(j job, row Row) string {
	all := row.States[0]
	if j.fault.Kind.ofPath() {
		return a.pathSentence(row)
	}
	switch row.Outcome {
	case Healthy:
		return fmt.Sprintf("Reads %s to run and %s to stop.", levelList(row.Run), levelList(row.Stop))
	case Indistinct:
		return fmt.Sprintf("Even without a fault %s to run and %s to stop: the board cannot tell them apart.",
			reads(row.Run), levelList(row.Stop))
	case LeavesRunning:
		s := worst(row.States)
		if s.IfHeld != nil && !s.IfHeld.Heard {
			return fmt.Sprintf("%s, the supply is shorted to ground (about %d mA if it held). If it holds, %s%s: the drive keeps running.",
				capital(a.when(j, s)), s.SupplyMA, reads(s.IfHeld.Readings), meaning(*s.IfHeld))
		}
		if s.Shorted {
			return fmt.Sprintf("%s, the supply is shorted to ground (about %d mA if it held) and no reading is credited: the drive may keep running.",
				capital(a.when(j, s)), s.SupplyMA)
		}
		if s.LineHeld {
			held := ""
			if s.Beside != "" {
				held = " for " + s.Beside
			}
			return fmt.Sprintf("%s and %s held low by the board%s, that output is at up to %s, and the drive is certainly off only below %s: it may keep running, whatever asks the board to stop.",
				capital(a.when(j, s)), j.fault.Output.Name, held, volts(s.LineMV), volts(a.model.board.DriveOffBelowMV))
		}
		if s.Stopped {
			return fmt.Sprintf("%s, %s: that request is not seen; the drive is stopped only because %s is misread, which a softer fault may not bring about.",
				capital(a.when(j, s)), reads(s.Readings), a.stoppers(j, s))
		}
		return fmt.Sprintf("%s, %s%s: the drive keeps running.", capital(a.when(j, s)), reads(s.Readings), meaning(s))
	case ShortCircuit:
		return a.shortSentence(j, row)
	case StopsDrive:
		if all.discrepancy() {
			return a.discrepancySentence(j, row)
		}
		if !all.boardStops() {
			return fmt.Sprintf("Even %s, and with %s held high by the board, that output is at up to %s, and the drive is off below %s: the fault stops the drive.",
				a.when(j, all), j.fault.Output.Name, volts(all.DrawnMV), volts(a.model.board.DriveOffBelowMV))
		}
		return fmt.Sprintf("Even %s, %s%s: the fault stops the drive.", a.when(j, all), reads(all.Readings), a.whoStops(j, all))
	default:
		says := a.stillStopsSentence(row)
		if row.Found == AtNextDemand {
			says = a.discrepancySentence(j, row)
		}
		if row.OwnStopLost {
			says += fmt.Sprintf(" But the pin may hold %s up against the board: it does not stop the drive by itself, at the fence or at the end of the route.", j.fault.Output.Name)
		}
		return says
	}
}

// worst returns the state to tell of when the drive is left running: the first in
// which its output is held up, else in which it certainly runs, else in which it may.
// Where every state shorts the supply, that which runs if the supply holds.
func worst(states []State) State {
	if !slices.ContainsFunc(states, func(s State) bool { return !s.Shorted }) {
		for _, s := range states {
			if s.stopDemanded() && !s.IfHeld.Heard {
				return s
			}
		}
	}
	for _, s := range states {
		if s.OutputLow && !s.Heard && !s.Shorted {
			return s
		}
	}
	var found *State
	for i, s := range states {
		if !s.stopDemanded() || s.Heard {
			continue
		}
		if s.certainRun() {
			return s
		}
		if found == nil || found.Stopped && !s.Stopped {
			found = &states[i]
		}
	}
	return *found
}

// certainRun tells whether the drive certainly has power.
func (s State) certainRun() bool { return s.Drive == DriveOn }

// shortSentence names the states in which the supply is shorted.
func (a analysis) shortSentence(j job, row Row) string {
	var when []string
	most := int64(0)
	for _, s := range row.States {
		if s.Shorted {
			when = append(when, "while "+a.when(j, s))
			most = max(most, s.SupplyMA)
		}
	}
	states := strings.Join(when, " and ")
	if len(when) == len(row.States) {
		states = "in every state"
	}
	text := fmt.Sprintf("Supply shorted to ground %s (about %d mA if it held): fuse or brown-out, no reading is credited.", states, most)
	if row.States[0].Shorted && row.Found != AtOnce {
		text += " A supply that holds does not show it."
	}
	return text
}

// discrepancySentence says when the channels disagree and what follows.
func (a analysis) discrepancySentence(j job, row Row) string {
	for i, s := range row.States {
		for k, c := range s.Conclusions {
			if c != ConcludesDiscrepancy {
				continue
			}
			when := "at the next demand"
			if i == 0 {
				when = "at once"
			}
			return fmt.Sprintf("The channels disagree %s: %s, %s; stopped, and latched after %d ms.",
				when, a.when(j, s), reads(s.Readings), a.model.circuits[j.about[k]].DiscrepancyMS)
		}
	}
	return ""
}

// stillStopsSentence says why a stop request still works.
func (a analysis) stillStopsSentence(row Row) string {
	how := "a stop request is still read as stop"
	for _, s := range row.States {
		if s.stopDemanded() && s.PoleOpen && !s.boardStops() {
			how = "the board may miss a stop request, but the pole in the drive path still opens"
			break
		}
	}
	noticed := "not noticed while running"
	if !row.States[0].certainRun() {
		noticed = "running is erratic"
	}
	return fmt.Sprintf("%s; %s.", capital(noticed), how)
}

// pathSentence says what a fault behind the pins does.
func (a analysis) pathSentence(row Row) string {
	kind := row.Fault.Kind
	noticed := "Not noticed while running"
	if !row.States[0].certainRun() {
		noticed = "Running may be erratic"
	}
	switch {
	case row.Outcome == StopsDrive && kind == ProcessorHalted:
		return fmt.Sprintf("The watchdog takes the power away, %d ms after the program halts. If it resets the processor, that begins anew, and gives power when the start-up test is passed.", a.path.WatchdogMS)
	case row.Outcome == StopsDrive:
		return "The drive is without power at once, as long as the fault lasts."
	case row.Outcome == StopsOnDemand && kind == RestMissing:
		return noticed + "; every stop is still carried out while the line is whole and driven."
	case row.Outcome == StopsOnDemand && kind == WatchdogDead:
		return noticed + "; every stop is still carried out."
	case row.Outcome == StopsOnDemand && !row.OwnStopLost:
		return noticed + "; every stop is still carried out by the other parts."
	case row.Outcome == StopsOnDemand:
		return "Every hold still stops the drive, but the board does not stop it by itself, at the fence or at the end of the route."
	case !row.OwnStopLost:
		return fmt.Sprintf("The drive keeps running against %s.", words.And(row.Unstopped))
	default:
		return fmt.Sprintf("The drive keeps running against %s, and when the board would stop it by itself.", words.And(row.Unstopped))
	}
}

// boardStops tells whether the board alone certainly stops the drive.
func (s State) boardStops() bool { return slices.ContainsFunc(s.Conclusions, Conclusion.stops) }

// when says in which state the switches are: "released", or with several
// circuits "with thumb switch released and mushroom button at rest".
func (a analysis) when(j job, s State) string {
	if len(j.about) == 1 {
		return a.position(j.about[0], s.Demands[0])
	}
	parts := make([]string, len(j.about))
	for i, c := range j.about {
		parts[i] = a.model.circuits[c].Name + " " + a.position(c, s.Demands[i])
	}
	return "with " + words.And(parts)
}

// position says where the switch of circuit i is under a demand.
func (a analysis) position(i int, d Demand) string {
	k := a.model.circuits[i].Kind
	if d == DemandStop {
		return whenStop(k)
	}
	return whenRun(k)
}

// reads says what the pins read: "pin 22 reads low".
func reads(rs []Reading) string {
	same := true
	pins := make([]string, len(rs))
	each := make([]string, len(rs))
	for i, r := range rs {
		same = same && r.Level == rs[0].Level
		pins[i] = fmt.Sprint(r.Pin)
		each[i] = fmt.Sprintf("pin %d reads %s", r.Pin, r.Level)
	}
	if same && len(rs) > 1 {
		return fmt.Sprintf("pins %s read %s", words.And(pins), rs[0].Level)
	}
	return words.And(each)
}

// whoStops says which circuits take the readings as stop.
func (a analysis) whoStops(j job, s State) string {
	if len(j.about) == 1 {
		return ", which is stop"
	}
	return ", which is stop for " + a.stoppers(j, s)
}

// stoppers names the circuits that are certainly read as stop.
func (a analysis) stoppers(j job, s State) string {
	var names []string
	for k, c := range s.Conclusions {
		if c.stops() {
			names = append(names, a.model.circuits[j.about[k]].Name)
		}
	}
	return words.And(names)
}

// meaning says what the board makes of readings that let the drive run.
func meaning(s State) string {
	if s.certainRun() {
		return ", which is run"
	}
	return ", which may be taken as run"
}

// levelList joins the levels of several pins, naming one alone if all agree.
func levelList(rs []Reading) string {
	words := make([]string, len(rs))
	same := true
	for i, r := range rs {
		words[i] = r.Level.String()
		same = same && r.Level == rs[0].Level
	}
	if same {
		return words[0]
	}
	return strings.Join(words, "/")
}

// volts is a voltage in volts, rounded up to a hundredth.
func volts(mv int64) string {
	const unit = 10 // mV
	hundredths := (mv + unit - 1) / unit
	return fmt.Sprintf("%d.%02d V", hundredths/100, hundredths%100)
}

// capital makes the first letter upper case; the words here are ASCII.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
