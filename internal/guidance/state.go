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
	Driving  Phase = 2
	Dwelling Phase = 3
	Finished Phase = 4
)

func (p Phase) String() string {
	switch p {
	case Stopped:
		return "stopped"
	case Waiting:
		return "waiting"
	case Driving:
		return "driving"
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
	BadMission     Reasons = 1 << iota // not started, or tables of another format
	Emergency                          // an emergency stop is in its stop state
	ChannelsDiffer                     // the channels of a circuit did, for too long
	InterlockOpen                      // an interlock is in its stop state
	ResetNeeded                        // a latched stop was not reset
	Released                           // a hold-to-run is released
	LateStep                           // a step came later than LoopMS
	NoShift                            // a site shift is needed, and none was set
	OutsideFence                       // outside the boundary or in an obstacle
	FenceNear                          // the margin is less than the body needs to come to rest
	OutOfDomain                        // the last fix is nowhere near the site
	NoFix                              // no good fix since the start
	StaleFix                           // no fix for longer than StaleAfterMS
	PoorFix                            // no good fix for as long, but poor ones
	OffLine                            // further from the leg's line than allowed
	PassedBy                           // abeam of the waypoint or beyond, outside its tolerance
	NotAtStart                         // outside the tolerance of the leg's first waypoint

	reasonCount = iota
)

var reasonTexts = [reasonCount]string{
	"bad mission tables or not started",
	"emergency stop",
	"channels of a hold differ",
	"interlock open",
	"reset needed",
	"hold-to-run released",
	"step called too late",
	"no site shift of this plan",
	"outside the fence",
	"too near the fence",
	"fix far from the site",
	"no good fix yet",
	"fix too old",
	"fix quality too low for too long",
	"too far from the line",
	"waypoint missed",
	"not at the start",
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
	EventArrived
	EventMissed
	EventShort // at rest short of the tolerance; going on
	EventDeparted
	EventFinished
	EventReset

	eventCount = iota
)

var eventTexts = [eventCount]string{
	"started", "start refused", "stopped", "arrived", "missed", "short", "departed", "finished", "reset",
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

// NoStop is the stop category when no stop is asked for.
const NoStop = 3

const (
	pressSpent = 0xFFFF

	flagTimed   = 0x01
	flagLocated = 0x02
	flagPoor    = 0x04
	flagAstray  = 0x08
	flagBegun   = 0x10
	flagCut     = 0x20
	flagShort   = 0x40
	flagPressed = 0x80
)

// State is what a step keeps between calls, mere_state_t. The zero State was not
// started and never drives.
type State struct {
	timeMS, fixAgeMS, timerMS  uint32
	shift                      Shift
	at                         Point
	track                      Track
	marginMM                   int32
	stoppedBy                  uint32
	bearingCdeg                uint16
	leg                        uint16
	holdsAll, holdsLevel       uint16
	holdsToRun, holdsEmergency uint16
	holdsRun, counting         uint16
	latched                    uint16
	resetPressMS, startPressMS uint16
	contraryMS                 [board.MaxHolds]uint16
	differMS                   [board.MaxHolds / 2]uint16
	faults, bothStopped        uint8
	phase                      Phase
	category, flags, format    uint8
}

// Input is what a step is given, mere_input_t.
type Input struct {
	TimeMS uint32 // a clock that runs on and wraps at 2^32
	// FixNew says that a fix came since the last step; the next three hold then.
	FixNew                      bool
	LatitudeNdeg, LongitudeNdeg int64
	Quality                     board.Quality
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
	// StopCategory is how to stop: 0, 1, 2; NoStop for a planned cut, or none.
	StopCategory uint8
	Phase        Phase
	Reasons      Reasons // against driving, now
	StoppedBy    Reasons // at the last stop
	Events       Events  // in this step
	At           Point
	Track        Track
	ToGoMM       int32
	MarginMM     int32  // to the fence, -1 when outside
	StoppingMM   uint32 // from the last fix to rest, at most
	FixAgeMS     uint32
	TurnCdeg     int32 // from heading to bearing, positive to the right
	BearingCdeg  uint16
	// SpeedLimitMMPerS is 0 while the drive is off.
	SpeedLimitMMPerS uint16
	Leg              uint16 // being driven, from 0
	HoldsRun         uint16 // bit i: hold i is in run, debounced
}
