package guidance

// Twin of the C header's section "Parts of the step", and of the step.

import "merestone/internal/board"

// pushedMMPerS is MERE_PUSHED_MM_S.
const pushedMMPerS = 2000

// PassThrough is the dwell of a waypoint where the rover does not stop, MERE_PASS_THROUGH.
const PassThrough = 0xFFFF

// lookAlong is mere_look_along.
func (m *Mission) lookAlong(s *State) {
	s.track = m.Leg(s.leg).Track(s.at)
	s.foremostMM = max(s.foremostMM, s.track.AlongMM)
}

// turnToLeg is mere_turn_to_leg.
func (m *Mission) turnToLeg(s *State, leg uint16) {
	to := &m.Legs[leg]
	s.leg = leg
	s.legBearingCdeg = uint16(BearingCdeg(to.UnitEastQ30, to.UnitNorthQ30))
	s.set(flagCreeping, false)
	s.track = m.Leg(leg).Track(s.at)
	s.foremostMM = s.track.AlongMM
}

// goOn is mere_go_on.
func (s *State) goOn() {
	s.phase = Driving
	s.foremostMM = s.track.AlongMM
}

// setOff is mere_set_off.
func (s *State) setOff() {
	s.goOn()
	s.rolledUM, s.rolledFrom = 0, s.at
	s.set(flagStands, false)
}

// takeTime is mere_take_time.
func (m *Mission) takeTime(s *State, in *Input, now *moment) {
	if s.flags&flagTimed != 0 {
		now.elapsedMS = in.TimeMS - s.timeMS
		now.late = now.elapsedMS > uint32(m.Rover.LoopMS)
		if now.late {
			now.reasons |= LateStep
		}
	} else {
		now.late = true
		s.set(flagTimed, true)
	}
	s.timeMS = in.TimeMS
	s.fixAgeMS = addUpTo(s.fixAgeMS, now.elapsedMS, never)
	s.toldAgeMS = addUpTo(s.toldAgeMS, now.elapsedMS, never)
	s.jumpedMS -= uint16(min(uint32(s.jumpedMS), now.elapsedMS))
	if s.phase == Coasting {
		s.timerMS = addUpTo(s.timerMS, now.elapsedMS, never)
	}
}

// takeSpeed is mere_take_speed.
func (s *State) takeSpeed(in *Input, now *moment) {
	if !in.SpeedKnown {
		return
	}
	now.speedMMPerS = min(in.SpeedMMPerS, 65535)
	if now.elapsedMS <= 65535 && (s.phase == Driving || s.phase == Coasting) {
		s.rolledUM = addUpTo(s.rolledUM, now.speedMMPerS*now.elapsedMS, never)
	}
}

// apart is mere_apart.
func apart(a, b Point, limitMM uint32) bool {
	east, north := a.EastMM-b.EastMM, a.NorthMM-b.NorthMM
	return sumOfProducts(east, east, north, north) > int64(limitMM)*int64(limitMM)
}

// jumps is mere_jumps.
func (r *Rover) jumps(s *State, now *moment, at Point, betweenMS uint32) bool {
	if !apart(at, s.at, uint32(r.JumpMM)) {
		return false // as near as at rest
	}
	speed := max(uint32(r.CoastTopMMPerS), now.speedMMPerS)
	if !s.underWay() {
		speed = max(speed, pushedMMPerS)
	}
	return apart(at, s.at, travelMM(speed, min(betweenMS, 65535))+uint32(r.JumpMM))
}

// lookAtWheels is mere_look_at_wheels.
func (r *Rover) lookAtWheels(s *State) {
	switch {
	case apart(s.at, s.rolledFrom, uint32(r.StandsMM)/2):
		s.rolledFrom, s.rolledUM = s.at, 0
		s.set(flagStands, false)
	case s.rolledUM > uint32(r.StandsMM)*1000:
		s.set(flagStands, true)
	}
}

// takePlace is mere_take_place.
func (m *Mission) takePlace(s *State, now *moment, at Point, ageMS uint32) {
	if s.flags&flagPlaced == 0 {
		s.rolledFrom, s.rolledUM = at, 0
	} else if m.Rover.jumps(s, now, at, s.fixAgeMS-ageMS) {
		s.jumpedMS = m.Rover.StaleAfterMS
	}
	s.set(flagLocated|flagPlaced, true)
	s.set(flagAstray|flagPoor, false)
	now.fixTaken = true
	s.at = at
	s.fixAgeMS = ageMS
	s.marginMM = m.Fence.MarginMM(at)
	m.lookAlong(s)
	m.Rover.lookAtWheels(s)
}

// takeFix is mere_take_fix.
func (m *Mission) takeFix(s *State, in *Input, now *moment) {
	if !in.FixNew {
		return
	}
	age := uint32(0)
	if in.FixAgeMS > uint32(m.Rover.LatencyMS) {
		age = in.FixAgeMS - uint32(m.Rover.LatencyMS)
	}
	if in.Quality < m.Rover.RequiredQuality || in.Quality > board.QualityFixed {
		s.set(flagPoor, true)
	} else if age > uint32(m.Rover.StaleAfterMS) || age > 0 && age+2 >= s.fixAgeMS || in.FixAgeMS > 0 && in.FixAgeMS+2 >= s.toldAgeMS {
		s.set(flagPoor, false)
	} else if at, ok := m.Conversion.Local(in.LatitudeNdeg, in.LongitudeNdeg); !ok {
		s.set(flagAstray, true)
		s.set(flagLocated|flagPoor, false)
	} else {
		if in.FixAgeMS > 0 {
			s.toldAgeMS = in.FixAgeMS
		}
		m.takePlace(s, now, s.shift.Apply(at), age)
	}
}

// aim is mere_aim.
func (m *Mission) aim(s *State) {
	s.bearingCdeg = uint16(steerAlong(uint32(s.legBearingCdeg), s.track, m.Rover.LookAheadMM))
}

// follow is mere_follow.
func (m *Mission) follow(s *State, now *moment) {
	leg := m.Leg(s.leg)
	if s.phase == Driving && s.jumpedMS == 0 && leg.End.Dwell == PassThrough && int(s.leg)+2 < len(m.Legs) &&
		leg.Arrival(s.at, s.track) == Arrived {
		now.events |= EventArrived
		m.turnToLeg(s, s.leg+1)
	}
	m.aim(s)
}

// againstPlace is mere_against_place.
func (m *Mission) againstPlace(s *State) Reasons {
	leg := m.Leg(s.leg)
	rolling := s.phase == Driving || s.phase == Coasting
	var reasons Reasons
	if s.flags&flagBegun == 0 {
		if !within(s.at, leg.Leg, leg.ToleranceMM) {
			reasons |= NotAtStart
		}
	} else {
		allowed := m.Rover.CrossTrackMM
		if s.track.AlongMM < int32(leg.JoinMM) {
			allowed = leg.JoinCrossMM
		}
		rollsOut := s.phase == Coasting
		behind := int32(leg.ToleranceMM) + int32(m.Rover.JumpMM) + int32(m.Rover.RetreatMM)
		if magnitude(s.track.CrossMM) > uint32(allowed) && !(rollsOut && within(s.at, leg.End, leg.End.ToleranceMM)) || s.track.AlongMM < -behind {
			reasons |= OffLine
		}
		if rolling && s.track.AlongMM < s.foremostMM-int32(m.Rover.RetreatMM) {
			reasons |= WrongWay
		}
		if !rollsOut && leg.passedBy(s.at, s.track) {
			reasons |= PassedBy
		}
	}
	if rolling && s.flags&flagStands != 0 {
		reasons |= FixStands
	}
	return reasons
}

// againstRest is mere_against_rest.
func (m *Mission) againstRest(s *State) Reasons {
	at := &m.Legs[s.leg]
	if s.phase == Finished {
		at = &m.Legs[s.leg+1]
	}
	if apart(s.at, Point{EastMM: at.EastMM, NorthMM: at.NorthMM}, uint32(at.ToleranceMM)+uint32(m.Rover.JumpMM)) {
		return NotAtRest
	}
	return 0
}

// againstLeg is mere_against_leg: may this leg be driven from here at this speed?
func (m *Mission) againstLeg(s *State, stoppingMM uint32) Reasons {
	var reasons Reasons
	if m.Rover.ShiftNeeded && s.shift.CosineQ30 == 0 {
		reasons |= NoShift
	}
	if s.flags&flagLocated == 0 {
		if s.flags&flagAstray != 0 {
			return reasons | OutOfDomain
		}
		return reasons | NoFix
	}
	if s.fixAgeMS > uint32(m.Rover.StaleAfterMS) {
		if s.flags&flagPoor != 0 {
			reasons |= PoorFix
		} else {
			reasons |= StaleFix
		}
	}
	if s.jumpedMS != 0 {
		reasons |= FixJumped
	}
	if s.marginMM < 0 {
		reasons |= OutsideFence
	} else if m.Rover.TooNear(&m.Legs[s.leg], uint32(s.marginMM), stoppingMM) {
		reasons |= FenceNear
	}
	if s.phase != Finished {
		reasons |= m.againstPlace(s)
	}
	if s.phase >= Dwelling {
		reasons |= m.againstRest(s)
	}
	return reasons
}

// wayToRest is mere_way_to_rest.
func (m *Mission) wayToRest(s *State, in *Input, speedMMPerS uint32) uint32 {
	leg := &m.Legs[s.leg]
	rollsOut := in.SpeedKnown && s.phase == Coasting && s.timerMS < uint32(m.Rover.SettleMS)
	fastest := speedMMPerS
	if !rollsOut {
		fastest = max(fastest, uint32(leg.SpeedMMPerS))
	}
	return m.Rover.StoppingMM(leg, fastest, min(s.fixAgeMS, uint32(m.Rover.StaleAfterMS)))
}

// cuts is mere_cuts.
func (m *Mission) cuts(s *State, in *Input, now *moment) bool {
	leg := m.Leg(s.leg)
	creeping := s.flags&flagCreeping != 0
	if leg.End.Dwell == PassThrough || s.track.ToGoMM > int32(now.stoppingMM+uint32(leg.End.ToleranceMM)) {
		return false
	}
	cut := uint32(0)
	if in.SpeedKnown {
		cut = m.Rover.CutMM(leg.Leg, now.speedMMPerS, s.fixAgeMS)
	} else if !creeping {
		cut = m.Rover.CutMM(leg.Leg, uint32(leg.SpeedMMPerS), s.fixAgeMS)
	}
	return s.track.ToGoMM <= int32(cut) || creeping && within(s.at, leg.End, leg.End.ToleranceMM)
}

// lookAt is mere_look.
func (m *Mission) lookAt(s *State, now *moment) uint8 {
	end := &m.Legs[s.leg+1]
	rest := uint32(m.Rover.SettleMS) + uint32(m.Rover.LatencyMS) + s.fixAgeMS
	if !now.fixTaken || s.timerMS < rest {
		return lookNone
	}
	seen := lookBeyond
	if within(s.at, end, end.ToleranceMM) {
		seen = lookWithin
	} else if s.track.ToGoMM > 0 {
		seen = lookShort
	}
	agreed := lookNone
	if seen == s.look {
		agreed = seen
	}
	s.look = seen
	return agreed
}

// putOff is mere_put_off.
func (s *State) putOff(reasons Reasons) {
	s.set(flagDwells, s.phase == Dwelling)
	s.set(flagCreeping, false)
	s.phase, s.stoppedBy = Stopped, uint32(reasons)
}

// stop is mere_stop.
func (s *State) stop(now *moment) {
	now.events |= EventStopped
	if now.reasons&PassedBy != 0 {
		now.events |= EventMissed
	}
	s.putOff(now.reasons)
}

// dwell is mere_dwell.
func (m *Mission) dwell(s *State) {
	s.phase = Dwelling
	s.timerMS = uint32(m.Legs[s.leg].Dwell) * uint32(m.Rover.DwellUnitMS)
}

// arrive is mere_arrive.
func (m *Mission) arrive(s *State, now *moment) {
	now.events |= EventArrived
	if int(s.leg)+2 >= len(m.Legs) {
		s.phase = Finished
		now.events |= EventFinished
		return
	}
	m.turnToLeg(s, s.leg+1)
	m.aim(s)
	m.dwell(s)
}

// rollOut is mere_roll_out.
func (m *Mission) rollOut(s *State, now *moment) {
	switch look := m.lookAt(s, now); {
	case look == lookWithin:
		m.arrive(s, now)
	case look == lookShort && s.filtering == 0:
		now.events |= EventShort
		s.goOn()
		s.set(flagCreeping, true)
	case look == lookBeyond:
		now.reasons |= PassedBy
		s.stop(now)
	}
}

// awaitAct is mere_await_act.
func (m *Mission) awaitAct(s *State, now *moment) {
	s.phase = Waiting
	if now.reasons&^(Released|LetGoFirst) != 0 {
		s.phase = Stopped
	}
	if now.act && now.reasons == 0 && s.filtering == 0 && !now.late && now.events&EventReset == 0 {
		now.act = false
		now.events |= EventStarted
		s.opened = 0
		s.set(flagBegun, true)
		if s.flags&flagDwells != 0 && m.againstRest(s) == 0 {
			m.dwell(s)
		} else {
			s.setOff()
		}
		s.set(flagDwells, false)
	}
}

// stayFinished is mere_stay_finished.
func (s *State) stayFinished(now *moment) {
	stops := now.reasons&(Emergency|ChannelsDiffer|InterlockOpen|NotAtRest) != 0
	if stops && s.flags&flagTold == 0 {
		now.events |= EventStopped
		s.stoppedBy = uint32(now.reasons)
	}
	s.set(flagTold, stops)
}

// moveOn is mere_move_on.
func (m *Mission) moveOn(s *State, in *Input, now *moment) {
	switch {
	case s.underWay() && now.reasons != 0:
		s.stop(now)
	case s.phase == Driving:
		if m.cuts(s, in, now) {
			s.phase, s.timerMS, s.look = Coasting, 0, lookNone
			now.events |= EventCut
		}
	case s.phase == Coasting:
		m.rollOut(s, now)
	case s.phase == Dwelling:
		switch {
		case s.timerMS > now.elapsedMS:
			s.timerMS -= now.elapsedMS
		case s.filtering == 0:
			s.setOff()
			now.events |= EventDeparted
		}
	case s.phase == Finished:
		s.stayFinished(now)
	default:
		m.awaitAct(s, now)
	}
	if now.act {
		now.events |= EventStartRefused
		s.opened &^= s.holdsToRun
	}
}

// kept is what Remember gives, as far as a step may change it.
func (s *State) kept() [5]uint16 {
	return [5]uint16{s.leg, s.latched, s.tried, uint16(s.faults), uint16(s.progress())}
}

// Step is one turn of the loop: it takes in what the board read, asks what is against
// driving, moves the state machine on, and says whether to drive, where to steer, and why
// not. mere_step.
func (m *Mission) Step(s *State, in *Input, out *Output) {
	nothing := func(reason Reasons) {
		s.halt(reason)
		*out = Output{Reasons: reason, StoppedBy: reason, MarginMM: -1, FixAgeMS: never}
	}
	if s.format != RecordFormat || s.flags&flagRefused != 0 || s.missionWord != m.word() {
		nothing(BadMission)
		return
	}
	if !s.sound() || int(s.leg)+1 >= len(m.Legs) {
		nothing(BadState)
		return
	}
	var now moment
	kept, carried := s.kept(), s.flags&flagCarried != 0
	s.set(flagCarried, false)

	m.takeTime(s, in, &now)
	s.takeSpeed(in, &now)
	m.takeHolds(s, in, &now)
	m.takeFix(s, in, &now)
	if now.fixTaken {
		m.follow(s, &now)
	}

	now.stoppingMM = m.wayToRest(s, in, now.speedMMPerS)
	now.reasons |= s.againstHolds()
	now.reasons |= m.againstLeg(s, now.stoppingMM)

	m.moveOn(s, in, &now)

	s.seal = s.sealOf()
	m.report(s, in, &now, out)
	out.MemoryDue = carried || kept != s.kept()
}

// halt is mere_halt: a step that cannot be one.
func (s *State) halt(reason Reasons) {
	switch {
	case !s.sound():
		s.seal = ^s.sealOf()
	case s.underWay():
		s.putOff(reason)
		s.seal = s.sealOf()
	}
}

// report is mere_report: the one place where the drive is enabled.
func (m *Mission) report(s *State, in *Input, now *moment, out *Output) {
	*out = Output{
		DriveEnable: s.phase == Driving && now.reasons == 0,
		Located:     s.flags&flagLocated != 0,
		TurnKnown:   in.HeadingKnown && in.HeadingCdeg < 36000,
		Phase:       s.phase,
		Reasons:     now.reasons,
		StoppedBy:   Reasons(s.stoppedBy),
		Events:      now.events,
		At:          s.at,
		Track:       s.track,
		MarginMM:    s.marginMM,
		StoppingMM:  now.stoppingMM,
		FixAgeMS:    s.fixAgeMS,
		BearingCdeg: s.bearingCdeg,
		Leg:         s.leg,
		HoldsRun:    s.holdsRun,
		Untried:     s.holdsAll &^ s.tried,
	}
	if out.TurnKnown {
		out.TurnCdeg = TurnCdeg(uint32(s.bearingCdeg), uint32(in.HeadingCdeg))
	}
	if out.DriveEnable {
		out.SpeedLimitMMPerS = m.Legs[s.leg].SpeedMMPerS
	}
}
