package guidance

// Twin of the C header's section "Parts of the step": starting, site shift, the step.

import "merestone/internal/board"

const never = 0xFFFFFFFF // fix age when there has been no fix, and the limit of counters

// Start begins a mission at a leg, 0 for the first; the rover is to stand at the
// start of that leg. It is false, and the state never drives, when the tables
// are of another format or there is no such leg. mere_start.
func (m *Mission) Start(s *State, leg uint16) bool {
	*s = State{
		fixAgeMS:     never,
		marginMM:     -1,
		resetPressMS: pressSpent,
		startPressMS: pressSpent,
		flags:        flagPressed,
	}
	if m.Record.Format != RecordFormat || int(leg) >= len(m.Legs) || len(m.Holds) > board.MaxHolds {
		return false
	}
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
	}
	s.holdsRun = s.holdsAll
	s.leg = leg
	s.format = RecordFormat
	return true
}

// StartLap begins another lap of the mission that the state was started with: as
// Start, but the site shift stays. mere_start_lap.
func (m *Mission) StartLap(s *State, leg uint16) bool {
	kept, before := s.shift, s.format == RecordFormat
	started := m.Start(s, leg)
	if before && started {
		s.shift = kept
	}
	return started
}

// SetShift sets the site shift: each fix is turned about the frame's origin by
// the angle with its sine (positive from east towards north), then moved. It is
// false, and nothing changes, before a start, for a shift of another plan, while driving
// or dwelling, and for a shift beyond Rover.MaxShiftMM or one degree. The last fix no longer
// counts. mere_set_shift.
func (m *Mission) SetShift(s *State, shift *SiteShift) bool {
	limit := int32(m.Rover.MaxShiftMM)
	if s.format != RecordFormat || shift.Digest != m.Record.Digest || s.phase == Driving || s.phase == Dwelling {
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
	s.flags &^= flagLocated
	return true
}

func (m *Mission) lookAlong(s *State) {
	leg := &m.Legs[s.leg]
	s.track = leg.Track(s.at)
	s.bearingCdeg = uint16(leg.SteerCdeg(s.track, m.Rover.LookAheadMM))
}

func (m *Mission) locate(s *State, in *Input) Reasons {
	flags := s.flags
	var reasons Reasons
	if m.Rover.ShiftNeeded && s.shift.CosineQ30 == 0 {
		reasons |= NoShift
	}
	if in.FixNew {
		if in.Quality < m.Rover.RequiredQuality {
			flags |= flagPoor
		} else if at, ok := m.Conversion.Local(in.LatitudeNdeg, in.LongitudeNdeg); !ok {
			flags |= flagAstray
			flags &^= flagLocated | flagPoor
		} else {
			flags |= flagLocated
			flags &^= flagAstray | flagPoor
			s.fixAgeMS = 0
			s.at = s.shift.Apply(at)
			s.marginMM = m.Fence.MarginMM(s.at)
			m.lookAlong(s)
		}
		s.flags = flags
	}
	if flags&flagLocated == 0 {
		if flags&flagAstray != 0 {
			reasons |= OutOfDomain
		} else {
			reasons |= NoFix
		}
		return reasons
	}
	if s.fixAgeMS > uint32(m.Rover.StaleAfterMS) {
		if flags&flagPoor != 0 {
			reasons |= PoorFix
		} else {
			reasons |= StaleFix
		}
	}
	if s.marginMM < 0 {
		reasons |= OutsideFence
	}
	return reasons
}

func (s *State) speed(in *Input, legSpeedMMPerS uint32) uint32 {
	speed := min(in.SpeedMMPerS, 65535)
	switch {
	case s.phase == Driving:
		if !in.SpeedKnown {
			speed = legSpeedMMPerS
		}
	case s.phase == Dwelling:
		if !in.SpeedKnown {
			speed = 0
		}
	case !in.SpeedKnown || speed < legSpeedMMPerS:
		speed = legSpeedMMPerS
	}
	return speed
}

func (s *State) place(leg *Leg, arrival Arrival) Reasons {
	var reasons Reasons
	if s.flags&flagBegun == 0 {
		if !within(s.at, leg.StartEastMM, leg.StartNorthMM, leg.StartToleranceMM) {
			reasons |= NotAtStart
		}
		return reasons
	}
	allowed := leg.CrossTrackMM
	if s.track.AlongMM < int32(leg.JoinMM) {
		allowed = leg.JoinCrossMM
	}
	if magnitude(s.track.CrossMM) > uint32(allowed) {
		reasons |= OffLine
	}
	if arrival == Missed {
		reasons |= PassedBy
	}
	return reasons
}

func (m *Mission) nextLeg(s *State) {
	s.leg++
	s.phase = Driving
	s.flags &^= flagCut | flagShort
	m.lookAlong(s)
}

func (m *Mission) arrive(s *State, leg *Leg) Events {
	events := EventArrived
	switch {
	case int(s.leg)+1 >= len(m.Legs):
		s.phase = Finished
		events |= EventFinished
	case leg.StopAtEnd:
		s.phase = Dwelling
		s.timerMS = addUpTo(leg.DwellMS, uint32(m.Rover.SettleMS), never)
	default:
		m.nextLeg(s)
	}
	return events
}

func (m *Mission) cut(s *State, leg *Leg, speedMMPerS, elapsedMS uint32) Events {
	if s.flags&flagCut != 0 {
		s.timerMS = addUpTo(s.timerMS, elapsedMS, never)
		if s.timerMS >= uint32(m.Rover.SettleMS) {
			s.flags = s.flags&^flagCut | flagShort
			return EventShort
		}
	} else if leg.StopAtEnd && s.flags&flagShort == 0 {
		toGo := leg.LengthMM - s.track.AlongMM
		if toGo <= int32(m.Rover.CutMM(leg, speedMMPerS, s.fixAgeMS)) {
			s.flags |= flagCut
			s.timerMS = 0
		}
	}
	return 0
}

func (s *State) stop(reasons Reasons, holdsCategory uint8) {
	const byHolds = Emergency | ChannelsDiffer | InterlockOpen | ResetNeeded | Released
	s.phase = Stopped
	s.stoppedBy = uint32(reasons)
	s.category = holdsCategory
	if reasons&^byHolds != 0 || holdsCategory == NoStop {
		s.category = 0
	}
	s.flags &^= flagCut | flagShort
}

// Step is one turn of the loop: it takes in what the board read, moves the state
// machine on, and says whether to drive, where to steer, and why not. mere_step.
func (m *Mission) Step(s *State, in *Input, out *Output) {
	if s.format != RecordFormat {
		*out = Output{Reasons: BadMission, StoppedBy: BadMission, MarginMM: -1}
		return
	}

	// Time.
	var elapsed uint32
	if s.flags&flagTimed != 0 {
		elapsed = in.TimeMS - s.timeMS
	}
	s.timeMS = in.TimeMS
	s.flags |= flagTimed
	s.fixAgeMS = addUpTo(s.fixAgeMS, elapsed, never)
	underWay := s.phase == Driving || s.phase == Dwelling

	// The operator.
	var events Events
	var act bool
	holds := m.holds(s, in, elapsed, &events)
	if s.holdsToRun != 0 {
		act = holds.pressed && s.flags&flagPressed == 0
		s.flags &^= flagPressed
		if holds.pressed {
			s.flags |= flagPressed
		}
	} else {
		s.startPressMS = press(s.startPressMS, in.StartRequest, true, elapsed)
		act = s.startPressMS > m.Rover.ResetPressMS && s.startPressMS != pressSpent
		if act {
			s.startPressMS = pressSpent
		}
	}

	// What is against driving.
	reasons := holds.reasons | m.locate(s, in)
	leg := &m.Legs[s.leg]
	speed := s.speed(in, uint32(leg.SpeedMMPerS))
	fastest := speed
	if s.phase == Driving && s.flags&flagCut == 0 {
		fastest = max(fastest, uint32(leg.SpeedMMPerS))
	}
	stopping := m.Rover.StoppingMM(leg, fastest, min(s.fixAgeMS, uint32(m.Rover.StaleAfterMS)))
	if underWay && elapsed > uint32(m.Rover.LoopMS) {
		reasons |= LateStep
	}
	arrival := UnderWay
	if s.flags&flagLocated != 0 {
		if s.marginMM >= 0 && m.Rover.TooNear(leg, uint32(s.marginMM), stopping) {
			reasons |= FenceNear
		}
		if s.phase != Dwelling && s.phase != Finished {
			arrival = leg.Arrival(s.at, s.track, s.flags&(flagCut|flagShort) != 0)
			reasons |= s.place(leg, arrival)
		}
	}

	// The states.
	switch {
	case underWay && reasons != 0:
		s.stop(reasons, holds.category)
		events |= EventStopped
		if reasons&PassedBy != 0 {
			events |= EventMissed
		}
	case s.phase == Driving:
		if arrival == Arrived {
			events |= m.arrive(s, leg)
		} else {
			events |= m.cut(s, leg, speed, elapsed)
		}
	case s.phase == Dwelling:
		if s.timerMS > elapsed {
			s.timerMS -= elapsed
		} else {
			m.nextLeg(s)
			events |= EventDeparted
		}
	case s.phase != Finished:
		s.category = min(s.category, holds.category)
		s.phase = Waiting
		if reasons&^Released != 0 {
			s.phase = Stopped
		}
		if act && reasons == 0 && holds.steady {
			s.phase = Driving
			s.flags |= flagBegun
			events |= EventStarted
		} else if act {
			events |= EventStartRefused
		}
	}

	// What comes of it.
	leg = &m.Legs[s.leg]
	*out = Output{
		DriveEnable:  s.phase == Driving && s.flags&flagCut == 0,
		Located:      s.flags&flagLocated != 0,
		TurnKnown:    in.HeadingKnown && in.HeadingCdeg < 36000,
		StopCategory: NoStop,
		Phase:        s.phase,
		Reasons:      reasons,
		StoppedBy:    Reasons(s.stoppedBy),
		Events:       events,
		At:           s.at,
		Track:        s.track,
		ToGoMM:       leg.LengthMM - s.track.AlongMM,
		MarginMM:     s.marginMM,
		StoppingMM:   stopping,
		FixAgeMS:     s.fixAgeMS,
		BearingCdeg:  s.bearingCdeg,
		Leg:          s.leg,
		HoldsRun:     s.holdsRun,
	}
	if s.phase <= Waiting {
		out.StopCategory = s.category
	}
	if out.TurnKnown {
		out.TurnCdeg = TurnCdeg(uint32(s.bearingCdeg), uint32(in.HeadingCdeg))
	}
	if out.DriveEnable {
		out.SpeedLimitMMPerS = leg.SpeedMMPerS
	}
}
