package guidance

// Twin of section 9 of the C header: debouncing, two channels, latching, reset.

// holdsResult is mere_holds_t.
type holdsResult struct {
	reasons   Reasons
	category  uint8
	pressed   bool
	holdToRun bool
	steady    bool
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

// holds is mere_holds.
func (m *Mission) holds(s *State, in *Input, elapsedMS uint32, events *Events) holdsResult {
	h := holdsResult{category: NoStop, steady: true}
	count := len(m.Holds)
	if count > MaxHolds {
		count = 0
	}
	for i := range count {
		hold := &m.Holds[i]
		level := uint8(in.HoldLevels >> i & 1)
		s.debounce(hold, i, level == hold.RunLevel, elapsedMS)
		if i&1 != 0 && m.Holds[i-1].TwoChannels {
			s.channels(&m.Holds[i-1], i-1, elapsedMS)
		}
		if s.contraryMS[i] != 0 {
			h.steady = false
		}
		if hold.Kind == HoldToRun {
			h.holdToRun = true
		}
		if s.holdsRun>>i&1 == 0 {
			switch hold.Kind {
			case HoldToRun:
				h.reasons |= Released
			case EmergencyStop:
				h.reasons |= Emergency
			default:
				h.reasons |= InterlockOpen
			}
			h.category = min(h.category, hold.StopCategory)
		}
	}
	h.pressed = h.holdToRun && h.reasons&Released == 0

	resettable := s.latched&^s.holdsRun == 0 && s.faults&^s.bothStopped == 0
	if s.faults != 0 {
		for i := 0; i < count; i += 2 {
			if s.faults>>(i/2)&1 != 0 && s.holdsRun>>i&3 != 3 {
				resettable = false
			}
		}
	}
	resetMS := press(s.resetPressMS, in.ResetRequest, resettable, elapsedMS)
	if resetMS == 0 && resettable && s.resetPressMS > m.Rover.ResetPressMS &&
		s.resetPressMS != pressSpent && (s.latched != 0 || s.faults != 0) {
		s.latched, s.faults = 0, 0
		*events |= EventReset
	}
	s.resetPressMS = resetMS

	if s.faults != 0 {
		h.reasons |= ChannelsDiffer
	}
	if s.latched != 0 || s.faults != 0 {
		h.reasons |= ResetNeeded
	}
	return h
}
