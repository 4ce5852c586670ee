package guidance

// Twin of the C header's section "Words" and section "Input, output, state". The table
// of states and the rules in words are in the header's section "Rules".

import (
	"strings"

	"merestone/internal/board"
)

// Phase is the state of the state machine, mere_phase_t.
type Phase uint8

// The phases.
const (
	Stopped  Phase = 0 // something is against driving
	Waiting  Phase = 1 // nothing is, but for the operator's act
	Driving  Phase = 2 // on a leg, with power
	Coasting Phase = 3 // power is cut before a waypoint, until the rover was seen at rest
	Dwelling Phase = 4 // at rest at a waypoint
	Finished Phase = 5 // at rest at the last waypoint
)

func (p Phase) String() string {
	switch p {
	case Stopped:
		return "stopped"
	case Waiting:
		return "waiting"
	case Driving:
		return "driving"
	case Coasting:
		return "coasting"
	case Dwelling:
		return "dwelling"
	case Finished:
		return "finished"
	}
	return "unknown"
}

// Reasons are those against driving, one bit each, the gravest lowest; enum
// mere_reason.
type Reasons uint32

// The reasons.
const (
	BadMission     Reasons = 1 << iota // not started, or other tables than those it was started with
	BadState                           // the state was changed from outside, or damaged
	Emergency                          // an emergency stop is in its stop state
	ChannelsDiffer                     // the channels of a circuit did, for too long or at a stop
	InterlockOpen                      // an interlock is in its stop state
	ResetNeeded                        // a latched stop or a channel fault was not reset
	Untried                            // a contact was not tried since power-up
	Released                           // a hold-to-run is released
	LetGoFirst                         // a hold-to-run is pressed, and was not let go since the last drive
	LateStep                           // a step came later than LoopMS
	NoShift                            // a site shift is needed, and none was set
	OutsideFence                       // outside the boundary or in an obstacle
	FenceNear                          // the margin is less than the body needs to come to rest
	OutOfDomain                        // the last fix is nowhere near the site
	NoFix                              // no good fix since the start
	StaleFix                           // no fix for longer than StaleAfterMS
	PoorFix                            // no good fix for as long, but poor ones
	FixJumped                          // further than the rover can move
	FixStands                          // it stands still while the wheels turn
	OffLine                            // further from the leg's line than allowed
	WrongWay                           // moving away from the leg's end
	PassedBy                           // abeam of the waypoint or beyond, outside its tolerance
	NotAtStart                         // outside the tolerance of the leg's first waypoint
	NotAtRest                          // moved away from the waypoint at which it is to rest

	reasonCount = iota
)

var reasonTexts = [reasonCount]string{
	"not started, or another mission",
	"state damaged",
	"emergency stop",
	"channels of a hold differ",
	"interlock open",
	"reset needed",
	"start-up test of the holds not done",
	"hold-to-run released",
	"hold-to-run to be let go first",
	"step called too late",
	"no site shift of this plan",
	"outside the fence",
	"too near the fence",
	"fix far from the site",
	"no good fix yet",
	"fix too old",
	"fix quality too low for too long",
	"fix jumped",
	"fix stands still, wheels turn",
	"too far from the line",
	"moving away from the waypoint",
	"waypoint missed",
	"not at the start",
	"moved away from its resting place",
}

// String lists all reasons, the gravest first, or says "none".
func (r Reasons) String() string {
	var texts []string
	for i, text := range reasonTexts {
		if r>>i&1 != 0 {
			texts = append(texts, text)
		}
	}
	if texts == nil {
		return "none"
	}
	return strings.Join(texts, ", ")
}

// Events are what happened in a step, one bit each; enum mere_event.
type Events uint32

// The events.
const (
	EventStarted Events = 1 << iota
	EventStartRefused
	EventStopped
	EventCut
	EventArrived
	EventMissed
	EventShort // at rest short of the tolerance; going on
	EventDeparted
	EventFinished
	EventReset
	EventResetRefused
	EventTried

	eventCount = iota
)

var eventTexts = [eventCount]string{
	"started", "start refused", "stopped", "cut", "arrived", "missed", "short", "departed", "finished", "reset",
	"reset refused", "tried",
}

// String lists all events, or says "none".
func (e Events) String() string {
	var texts []string
	for i, text := range eventTexts {
		if e>>i&1 != 0 {
			texts = append(texts, text)
		}
	}
	if texts == nil {
		return "none"
	}
	return strings.Join(texts, ", ")
}

const (
	pressSpent = 0xFFFF // a press that no longer counts
	pressDone  = 0xFFFE // a press that has acted

	flagTimed    = 0x01
	flagLocated  = 0x02
	flagPoor     = 0x04
	flagAstray   = 0x08
	flagBegun    = 0x10
	flagCreeping = 0x20
	flagPressed  = 0x40
	flagStands   = 0x80
	flagTold     = 0x100
	flagRefused  = 0x200
	flagDwells   = 0x400
	flagPlaced   = 0x800
	flagCarried  = 0x1000
)

// look is what a fix shows of a rover at rest.
const (
	lookNone uint8 = iota
	lookWithin
	lookShort
	lookBeyond
)

// State is what a step keeps between calls, mere_state_t. The zero State was not
// started and never drives.
type State struct {
	missionWord, seal                    uint32
	timeMS, fixAgeMS, toldAgeMS, timerMS uint32
	rolledUM                             uint32
	shift                                Shift
	at, rolledFrom                       Point
	track                                Track
	foremostMM, marginMM                 int32
	stoppedBy                            uint32
	leg                                  uint16
	legBearingCdeg                       uint16
	bearingCdeg                          uint16
	jumpedMS                             uint16
	flags                                uint16
	holdsAll, holdsLevel                 uint16
	holdsToRun, holdsEmergency           uint16
	holdsRun, holdsRead                  uint16
	filtering, opened, tried             uint16
	latched                              uint16
	resetPressMS, startPressMS           uint16
	resetLetGoMS, startLetGoMS           uint16
	countMS                              [board.MaxHolds]uint16
	differMS                             [board.MaxHolds / 2]uint16
	faults, parted                       uint8
	bothStopped, look                    uint8
	phase                                Phase
	format                               uint8
}

// Progress is how far a mission has come on its leg, mere_progress_t.
type Progress uint8

// The progress on a leg.
const (
	NotBegun Progress = 0 // the rover is to stand at the start of the leg
	Begun    Progress = 1 // it may go on from anywhere on the leg
	Ended    Progress = 2 // the last leg was driven to its end
)

// Memory is what is worth keeping through a power cycle, mere_memory_t.
type Memory struct {
	MissionWord, Day uint32
	Leg              uint16
	Latched, Tried   uint16
	Faults           uint8
	Progress         Progress
	Check            uint32
}

// Input is what a step is given, mere_input_t.
type Input struct {
	TimeMS uint32 // a clock that runs on and wraps at 2^32
	// FixNew says that a fix came since the last step; the next four hold then.
	FixNew                      bool
	LatitudeNdeg, LongitudeNdeg int64
	Quality                     board.Quality
	FixAgeMS                    uint32 // since the instant it holds for; less than LatencyMS counts as that
	SpeedKnown                  bool
	SpeedMMPerS                 uint32 // over ground, magnitude
	HeadingKnown                bool
	HeadingCdeg                 uint16 // 0 to 35999 from the frame's north
	HoldLevels                  uint16 // bit i: level of the pin of hold i
	ResetRequest, StartRequest  bool   // the buttons are pressed
}

// Output is what a step returns, mere_output_t.
type Output struct {
	DriveEnable bool // power the drive if and only if true
	Located     bool // the members about position hold, as of the last good fix
	TurnKnown   bool
	MemoryDue   bool // what Remember gives has changed in this step
	Phase       Phase
	Reasons     Reasons // against driving, now
	StoppedBy   Reasons // at the last stop
	Events      Events  // in this step
	At          Point
	Track       Track
	MarginMM    int32  // to the fence, -1 when outside
	StoppingMM  uint32 // from the last fix to rest, at most
	FixAgeMS    uint32
	TurnCdeg    int32 // from heading to bearing, positive to the right
	BearingCdeg uint16
	// SpeedLimitMMPerS is 0 while the drive is off.
	SpeedLimitMMPerS uint16
	Leg              uint16 // being driven, or next, from 0
	HoldsRun         uint16 // bit i: hold i is in run, debounced
	Untried          uint16 // bit i: hold i is still to be seen in stop, and then in run
}
