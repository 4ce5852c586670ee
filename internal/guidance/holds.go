package guidance

// Twin of the C header's section "Hold circuits": debouncing, channels, latching, reset.

// holdsResult is mere_holds_t.
type holdsResult struct {
	reasons  Reasons
	category uint8
	pressed  bool
	steady   bool
}

func countUp(counter uint16, elapsedMS uint32) uint16 {
	if counter == 0 {
		return 1
	}
	return uint16(addUpTo(uint32(counter), elapsedMS, 0xFFFE))
}

// debounce is mere_hold.
func (s *State) debounce(hold *Hold, i int, readsRun bool, elapsedMS uint32) {
	bit := uint16(1) << i
	runs := s.holdsRun&bit != 0
	contrary := s.contraryMS[i]
	switch {
	case readsRun != runs:
		contrary = countUp(contrary, elapsedMS)
		if contrary > hold.DebounceMS {
			contrary = 0
			s.holdsRun ^= bit
			if runs && hold.Latched {
				s.latched |= bit
			}
		}
	case runs && uint32(contrary) > elapsedMS:
		contrary -= uint16(elapsedMS)
	default:
		contrary = 0
	}
	s.contraryMS[i] = contrary
	s.counting &^= bit
	if contrary != 0 {
		s.counting |= bit
	}
}

// channels is mere_channels, for contacts i and i+1, i even.
func (s *State) channels(hold *Hold, i int, elapsedMS uint32) {
	run := s.holdsRun >> i & 3
	bit := uint8(1) << (i / 2)
	differ := uint16(0)
	switch run {
	case 0:
		s.bothStopped |= bit
	case 1, 2:
		differ = countUp(s.differMS[i/2], elapsedMS)
		if differ > hold.DiscrepancyMS {
			s.faults |= bit
			s.bothStopped &^= bit
		}
	}
	s.differMS[i/2] = differ
}

// press is mere_press.
func press(counter uint16, pressed, counts bool, elapsedMS uint32) uint16 {
	switch {
	case !pressed:
		return 0
	case counts && counter != pressSpent:
		return countUp(counter, elapsedMS)
	}
	return pressSpent
}

// contacts is mere_contacts.
func (m *Mission) contacts(s *State, readsRun uint16, elapsedMS uint32) uint8 {
	category := uint8(NoStop)
	for i := range m.Holds {
		hold := &m.Holds[i]
		s.debounce(hold, i, readsRun>>i&1 != 0, elapsedMS)
		if s.holdsRun>>i&1 == 0 {
			category = min(category, hold.StopCategory)
		}
		if i&1 != 0 && m.Holds[i-1].TwoChannels {
			s.channels(&m.Holds[i-1], i-1, elapsedMS)
		}
	}
	return category
}

// resettable is mere_resettable.
func (s *State) resettable() bool {
	waiting := s.holdsAll &^ s.holdsRun
	resettable := s.latched&waiting == 0 && s.faults&^s.bothStopped == 0
	for i := 0; i < 8; i++ {
		if s.faults>>i&1 != 0 && waiting>>(2*i)&3 != 0 {
			resettable = false
		}
	}
	return resettable
}

// holds is mere_holds.
func (m *Mission) holds(s *State, in *Input, elapsedMS uint32, events *Events) holdsResult {
	readsRun := ^(in.HoldLevels ^ s.holdsLevel) & s.holdsAll
	h := holdsResult{category: NoStop}
	if readsRun&s.holdsRun != s.holdsAll || s.counting != 0 {
		h.category = m.contacts(s, readsRun, elapsedMS)
	}
	stopped := s.holdsAll &^ s.holdsRun
	if stopped&s.holdsToRun != 0 {
		h.reasons |= Released
	}
	if stopped&s.holdsEmergency != 0 {
		h.reasons |= Emergency
	}
	if stopped&^(s.holdsToRun|s.holdsEmergency) != 0 {
		h.reasons |= InterlockOpen
	}
	h.pressed = stopped&s.holdsToRun == 0
	h.steady = s.counting == 0

	if s.latched != 0 || s.faults != 0 || s.resetPressMS != 0 || in.ResetRequest {
		resettable := s.resettable()
		pressMS := press(s.resetPressMS, in.ResetRequest, resettable, elapsedMS)
		if pressMS == 0 && resettable && s.resetPressMS > m.Rover.ResetPressMS &&
			s.resetPressMS != pressSpent && (s.latched != 0 || s.faults != 0) {
			s.latched, s.faults = 0, 0
			*events |= EventReset
		}
		s.resetPressMS = pressMS
		if s.faults != 0 {
			h.reasons |= ChannelsDiffer
		}
		if s.latched != 0 || s.faults != 0 {
			h.reasons |= ResetNeeded
		}
	}
	return h
}
