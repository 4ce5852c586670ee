package guidance

// Twin of the C header's section "Hold circuits": contacts, channels, latching, reset, act.

import "merestone/internal/board"

// moment is mere_moment_t: what one step is about, from its parts to its end.
type moment struct {
	elapsedMS     uint32
	reasons       Reasons
	events        Events
	speedMMPerS   uint32
	stoppingMM    uint32
	late          bool
	act, fixTaken bool
}

func countUp(counter uint16, elapsedMS uint32) uint16 {
	if counter == 0 {
		return 1
	}
	return uint16(addUpTo(uint32(counter), elapsedMS, 0xFFFD))
}

// contactRuns is mere_contact_runs.
func (s *State) contactRuns(hold *Hold, i int, readsRun bool, now *moment) {
	bit := uint16(1) << i
	count := s.countMS[i]
	switch {
	case !readsRun:
		count = countUp(count, now.elapsedMS)
		if now.late || count > hold.FilterMS {
			count = 0
			s.holdsRun &^= bit
			if hold.Latched {
				s.latched |= bit
			}
		}
	case uint32(count) > now.elapsedMS:
		count -= uint16(now.elapsedMS)
	default:
		count = 0
	}
	s.countMS[i] = count
	s.filtering &^= bit
	if count != 0 {
		s.filtering |= bit
	}
}

// contactStops is mere_contact_stops.
func (m *Mission) contactStops(s *State, i int, readsRun bool, now *moment) {
	hold, bit := &m.Holds[i], uint16(1)<<i
	count := uint16(0)
	if readsRun == (s.holdsRead&bit != 0) && !now.late {
		count = uint16(addUpTo(uint32(s.countMS[i]), now.elapsedMS, 0xFFFF))
	}
	switch {
	case !readsRun:
		if hold.Latched {
			s.latched |= bit
		}
		if count >= m.Rover.ReleaseMS {
			s.opened |= bit
		}
	case count >= hold.DebounceMS:
		count = 0
		s.holdsRun |= bit
		if s.opened&^s.tried&bit != 0 {
			s.tried |= bit
			now.events |= EventTried
		}
	}
	s.countMS[i] = count
}

// channels is mere_channels, for contacts i and i+1, i even.
func (s *State) channels(hold *Hold, i int, readsRun, ran uint16, now *moment) {
	run := s.holdsRun >> i & 3
	bit := uint8(1) << (i / 2)
	differ, fault := uint16(0), false
	if ran>>i&3 == 3 && run != 3 {
		s.bothStopped &^= bit
	}
	switch run {
	case 0:
		if readsRun>>i&3 == 0 {
			s.bothStopped |= bit
		}
	case 1, 2:
		s.parted |= bit
		differ = 1
		if !now.late {
			differ = countUp(s.differMS[i/2], now.elapsedMS)
		}
		fault = differ > hold.DiscrepancyMS
	case 3:
		fault = s.parted&^s.bothStopped&bit != 0
		s.parted &^= bit
		if s.faults&bit == 0 {
			s.bothStopped &^= bit
		}
	}
	if fault {
		s.faults |= bit
		s.bothStopped &^= bit
	}
	s.differMS[i/2] = differ
}

// contacts is mere_contacts.
func (m *Mission) contacts(s *State, readsRun uint16, now *moment) {
	ran := s.holdsRun
	for i := range m.Holds {
		run := readsRun>>i&1 != 0
		if s.holdsRun>>i&1 != 0 {
			s.contactRuns(&m.Holds[i], i, run, now)
		} else {
			m.contactStops(s, i, run, now)
		}
		if i&1 != 0 && m.Holds[i-1].TwoChannels {
			s.channels(&m.Holds[i-1], i-1, readsRun, ran, now)
		}
	}
}

// press is mere_press.
func press(counter uint16, letGoMS *uint16, pressed, counts bool, now *moment, releaseMS uint16) uint16 {
	switch {
	case pressed:
		*letGoMS = 0
		if counter >= pressDone {
			return counter
		}
		if counts {
			return countUp(counter, now.elapsedMS)
		}
		return pressSpent
	case counter >= pressDone:
		if now.late {
			*letGoMS = 1
		} else {
			*letGoMS = countUp(*letGoMS, now.elapsedMS)
		}
		if *letGoMS <= releaseMS {
			return counter
		}
	case counter != 0:
		*letGoMS = 1
		return pressDone
	}
	return 0
}

// spent is mere_spent.
func spent(counter uint16) uint16 {
	if counter != 0 && counter != pressDone {
		return pressSpent
	}
	return counter
}

// pressOver is mere_press_over.
func pressOver(before, after uint16, pressed bool) bool {
	if before == pressSpent {
		return after == 0
	}
	return before != 0 && before < pressDone && !pressed
}

// resettable is mere_resettable.
func (s *State) resettable() bool {
	waiting := s.holdsAll &^ s.holdsRun
	resettable := s.latched&waiting == 0 && s.faults&^s.bothStopped == 0
	for i := range board.MaxHolds / 2 {
		if s.faults>>i&1 != 0 && waiting>>(2*i)&3 != 0 {
			resettable = false
		}
	}
	return resettable
}

// takeReset is mere_take_reset.
func (m *Mission) takeReset(s *State, in *Input, now *moment) {
	counts := s.resettable() && !now.late
	before := s.resetPressMS
	s.resetPressMS = press(before, &s.resetLetGoMS, in.ResetRequest, counts, now, m.Rover.ReleaseMS)
	if !pressOver(before, s.resetPressMS, in.ResetRequest) {
		return
	}
	if counts && before > m.Rover.ResetPressMS && before < pressDone && (s.latched != 0 || s.faults != 0) {
		s.bothStopped &^= s.faults // told of the fault that is reset now, and of no later one
		s.latched, s.faults = 0, 0
		now.events |= EventReset
	} else {
		now.events |= EventResetRefused
	}
}

// takeAct is mere_take_act.
func (m *Mission) takeAct(s *State, in *Input, now *moment) {
	if s.startPressMS != 0 || in.StartRequest {
		before := s.startPressMS
		s.startPressMS = press(before, &s.startLetGoMS, in.StartRequest, s.holdsToRun == 0 && !now.late, now, m.Rover.ReleaseMS)
		if pressOver(before, s.startPressMS, in.StartRequest) {
			now.events |= EventStartRefused
		}
		if s.startPressMS > m.Rover.ResetPressMS && s.startPressMS < pressDone {
			s.startPressMS = pressDone
			now.act = true
		}
	}
	if s.holdsToRun != 0 {
		pressed := s.holdsToRun&^s.holdsRun == 0
		if pressed != (s.flags&flagPressed != 0) {
			now.act = pressed
			s.set(flagPressed, pressed)
		}
	}
}

// againstHolds is mere_against_holds.
func (s *State) againstHolds() Reasons {
	stopped, untried := s.holdsAll&^s.holdsRun, s.holdsAll&^s.tried
	var reasons Reasons
	if stopped&s.holdsEmergency != 0 {
		reasons |= Emergency
	}
	if stopped&^(s.holdsToRun|s.holdsEmergency) != 0 {
		reasons |= InterlockOpen
	}
	if stopped&s.holdsToRun != 0 {
		reasons |= Released
	}
	if s.latched != 0 || s.faults != 0 {
		reasons |= ResetNeeded
	}
	if s.faults != 0 {
		reasons |= ChannelsDiffer
	}
	if !s.underWay() {
		if untried&^s.holdsToRun != 0 {
			reasons |= Untried
		}
		if s.holdsToRun&s.holdsRun&^s.opened != 0 {
			reasons |= LetGoFirst
		}
	}
	return reasons
}

// takeHolds is mere_take_holds.
func (m *Mission) takeHolds(s *State, in *Input, now *moment) {
	readsRun := ^(in.HoldLevels ^ s.holdsLevel) & s.holdsAll
	if now.late {
		s.opened &^= s.holdsToRun
	}
	if readsRun&s.holdsRun != s.holdsAll || s.filtering != 0 {
		m.contacts(s, readsRun, now)
	}
	s.holdsRead = readsRun
	if s.resetPressMS != 0 || in.ResetRequest {
		m.takeReset(s, in, now)
	}
	m.takeAct(s, in, now)
}
