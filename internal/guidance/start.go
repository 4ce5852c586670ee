package guidance

// Twin of what the C header calls outside of the loop: starting, the site shift, and what
// is kept through a power cycle.

import "merestone/internal/board"

const never = 0xFFFFFFFF // fix age when there has been no fix, and the limit of counters

func (s *State) set(flags uint16, on bool) {
	s.flags &^= flags
	if on {
		s.flags |= flags
	}
}

// sealOf is mere_seal.
func (s *State) sealOf() uint32 {
	where := uint32(s.phase) | uint32(s.flags)<<8
	stops := uint32(s.latched) | uint32(s.faults)<<16
	masks := uint32(s.holdsAll) ^ uint32(s.holdsLevel)<<16 ^ uint32(s.holdsToRun)<<8 ^ uint32(s.holdsEmergency)<<4
	shift := uint32(s.shift.EastMM) ^ uint32(s.shift.NorthMM) ^ uint32(s.shift.SineQ30) ^ uint32(s.shift.CosineQ30)
	return ^(s.missionWord ^ where ^ uint32(s.leg)<<16 ^ uint32(s.tried)<<8 ^ stops ^ masks ^ shift)
}

// sound is mere_sound: whether the state is one that Start or Step left.
func (s *State) sound() bool {
	return s.format == RecordFormat && s.seal == s.sealOf() && s.phase <= Finished
}

// word is mere_mission_word.
func (m *Mission) word() uint32 {
	d := m.Record.Digest
	return uint32(d[0]) | uint32(d[1])<<8 | uint32(d[2])<<16 | uint32(d[3])<<24
}

func (s *State) underWay() bool {
	return s.phase == Driving || s.phase == Coasting || s.phase == Dwelling
}

// maskHolds is mere_mask_holds.
func (m *Mission) maskHolds(s *State) (latching uint16) {
	s.holdsAll, s.holdsLevel, s.holdsToRun, s.holdsEmergency = 0, 0, 0, 0
	for i, hold := range m.Holds {
		bit := uint16(1) << i
		s.holdsAll |= bit
		if hold.RunLevel != 0 {
			s.holdsLevel |= bit
		}
		switch hold.Kind {
		case board.HoldToRun:
			s.holdsToRun |= bit
		case board.EmergencyStop:
			s.holdsEmergency |= bit
		}
		if hold.Latched {
			latching |= bit
		}
	}
	return latching
}

// pairs is mere_pairs.
func (m *Mission) pairs() (pairs uint8) {
	for i := 1; i < len(m.Holds); i += 2 {
		if m.Holds[i-1].TwoChannels {
			pairs |= 1 << (i / 2)
		}
	}
	return pairs
}

// takeOn is mere_take_on: the state becomes that of a mission.
func (m *Mission) takeOn(s *State) {
	sound := s.sound()
	same := sound && s.missionWord == m.word()
	unseen := sound && s.flags&flagRefused != 0
	stopped, faulty := sound && (s.latched != 0 || s.faults != 0), sound && s.faults != 0
	if !same {
		*s = State{}
	}
	latching := m.maskHolds(s)
	if unseen {
		s.latched |= latching
		s.set(flagCarried, true)
	}
	if same {
		return
	}
	s.missionWord = m.word()
	if stopped {
		s.set(flagCarried, true)
		s.latched = latching
		if latching == 0 {
			s.latched = s.holdsAll
		}
	}
	if faulty {
		s.faults = m.pairs()
	}
}

// Start begins a mission at a leg, 0 for the first; the rover is to stand at the
// start of that leg. Of a state that was started before it keeps what the holds have come
// to and the site shift. It is false, and no step drives, when the tables
// are of another format or there is no such leg. mere_start.
func (m *Mission) Start(s *State, leg uint16) bool {
	if m.Record.Format != RecordFormat || int(leg)+1 >= len(m.Legs) || len(m.Holds) > board.MaxHolds {
		if s.sound() {
			s.phase = Stopped
			s.set(flagRefused, true)
			s.seal = s.sealOf()
		} else {
			s.format = 0
		}
		return false
	}
	moved := s.sound() && (s.leg != leg || s.progress() != NotBegun)
	m.takeOn(s)
	s.fixAgeMS, s.toldAgeMS, s.timerMS, s.rolledUM = never, never, 0, 0
	s.at, s.rolledFrom = Point{}, Point{}
	s.marginMM, s.stoppedBy, s.jumpedMS, s.look = -1, 0, 0, lookNone
	s.phase, s.format = Stopped, RecordFormat
	s.flags &= flagTimed | flagPressed | flagCarried
	s.opened &^= s.holdsToRun
	s.resetPressMS, s.startPressMS = spent(s.resetPressMS), spent(s.startPressMS)
	s.set(flagCarried, moved || s.flags&flagCarried != 0)
	m.turnToLeg(s, leg)
	s.bearingCdeg = s.legBearingCdeg
	s.seal = s.sealOf()
	return true
}

// SetShift sets the site shift: each fix is turned about the frame's origin by
// the angle with its sine (positive from east towards north), then moved. It is
// false, and nothing changes, before a start, for a shift of another plan, while under
// way, and for a shift beyond Rover.MaxShiftMM or one degree. The last fix no longer
// counts. mere_set_shift.
func (m *Mission) SetShift(s *State, shift *SiteShift) bool {
	limit := int32(m.Rover.MaxShiftMM)
	if !s.sound() || s.underWay() || shift.Digest != m.Record.Digest || s.missionWord != m.word() {
		return false
	}
	if shift.EastMM < -limit || shift.EastMM > limit || shift.NorthMM < -limit || shift.NorthMM > limit ||
		shift.SineQ30 < -MaxRotationQ30 || shift.SineQ30 > MaxRotationQ30 {
		return false
	}
	halfSquare := (int64(shift.SineQ30)*int64(shift.SineQ30) + 0x40000000) >> 31
	s.shift = Shift{
		EastMM: shift.EastMM, NorthMM: shift.NorthMM, SineQ30: shift.SineQ30,
		CosineQ30: int32(0x40000000 - halfSquare - halfSquare*halfSquare>>31),
	}
	s.set(flagLocated|flagPlaced|flagAstray, false)
	s.seal = s.sealOf()
	return true
}

// ClearShift forgets the site shift. It is false, and nothing changes, before a start and
// while under way. mere_clear_shift.
func (s *State) ClearShift() bool {
	if !s.sound() || s.underWay() {
		return false
	}
	s.shift = Shift{}
	s.set(flagLocated|flagPlaced|flagAstray, false)
	s.seal = s.sealOf()
	return true
}

// checkOf is mere_memory_check.
func (m *Memory) checkOf() uint32 {
	sum := uint32(0x811C9DC5)
	for _, word := range [4]uint32{m.MissionWord, m.Day, uint32(m.Leg) | uint32(m.Latched)<<16,
		uint32(m.Tried) | uint32(m.Faults)<<16 | uint32(m.Progress)<<24} {
		sum = (sum ^ word) * 0x01000193
	}
	return sum
}

// progress is mere_progress.
func (s *State) progress() Progress {
	switch {
	case s.phase == Finished:
		return Ended
	case s.flags&flagBegun != 0:
		return Begun
	}
	return NotBegun
}

// Remember gives what is worth keeping through a power cycle; false before a start.
// mere_remember.
func (s *State) Remember(day uint32) (Memory, bool) {
	if !s.sound() {
		return Memory{}, false
	}
	memory := Memory{
		MissionWord: s.missionWord, Day: day, Leg: s.leg, Latched: s.latched, Tried: s.tried, Faults: s.faults,
		Progress: s.progress(),
	}
	memory.Check = memory.checkOf()
	return memory, true
}

// Recall takes back what was kept, after a Start; the holds' test only where day is that
// of the memory, and not 0. It is false, and nothing changes, for a memory that is blank,
// damaged or of another plan. mere_recall.
func (m *Mission) Recall(s *State, memory *Memory, day uint32) bool {
	if !s.sound() || s.underWay() || s.missionWord != m.word() || memory.MissionWord != s.missionWord ||
		memory.Check != memory.checkOf() || int(memory.Leg)+1 >= len(m.Legs) || memory.Progress > Ended {
		return false
	}
	s.latched |= memory.Latched & s.holdsAll
	s.faults |= memory.Faults & m.pairs()
	s.bothStopped &^= s.faults
	if day != 0 && day == memory.Day {
		s.tried |= memory.Tried & s.holdsAll
	}
	s.phase = Stopped
	if memory.Progress == Ended {
		s.phase = Finished
	}
	s.set(flagLocated|flagPlaced|flagAstray|flagDwells, false)
	s.set(flagBegun, memory.Progress != NotBegun)
	m.turnToLeg(s, memory.Leg)
	s.bearingCdeg = s.legBearingCdeg
	s.seal = s.sealOf()
	return true
}

// QualityFromGGA is the quality of the digit that a GGA sentence gives.
// mere_quality_from_gga.
func QualityFromGGA(digit uint8) board.Quality {
	qualities := [...]board.Quality{1: board.QualityStandalone, 2: board.QualityDifferential, 3: board.QualityStandalone, 4: board.QualityFixed, 5: board.QualityFloat}
	if int(digit) >= len(qualities) {
		return board.QualityNone
	}
	return qualities[digit]
}
