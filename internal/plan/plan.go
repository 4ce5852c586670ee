// Package plan gives a mission its meaning: marks in the local frame, legs with
// lengths and bearings, error budgets, stopping distances, and the very numbers
// that the board will hold. Checks and emitters read a Plan and nothing else.
//
// Every coordinate is quantised here, once, to the whole millimetres of the
// board, and all that follows is worked out from those integers: what is proved
// is what drives.
//
// This file: the types.
package plan

import (
	"time"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/geodesy"
	"merestone/internal/guidance"
	"merestone/internal/magnetic"
	"merestone/internal/motion"
	"merestone/internal/planar"
	"merestone/spec"
)

// Plan is one resolved mission, grouped as its readers think.
type Plan struct {
	diag.Source
	Mission    string // as written
	Identifier string // begins the C identifiers and file names
	Confidence float64
	// ConfidenceSource is where that stands; where it is not written, the whole.
	ConfidenceSource diag.Source

	Site    Site        // where and when
	Survey  Survey      // what was measured there
	Machine Machine     // what drives
	Route   Route       // along what
	Fence   fence.Fence // within what: Boundary, Obstacles, and answers
	Holds   Holds       // who can stop it
	Board   Board       // what the board will hold
	// Commissioning is what was measured and tried on the finished machine.
	Commissioning Commissioning

	// Errors is the error model: what puts the rover elsewhere than it believes to
	// be, whatever it is compared with. Budgets begin with it.
	Errors []Part

	// Incomplete says which parts could not be resolved, and why. Emitters must
	// not be run then; checks and diff work on what is there.
	Incomplete []Gap
	// Unused are the keys that the mission has and that have no effect.
	Unused []Unused
	// Usual are the keys that are not written and that bounds of safety reckon with.
	Usual []Usual

	worstOnce            *motion.Rollout // worked out once for a plan that is resolved
	positionMM           []int64         // of each mark: the error of the distance from the fence there
	coarsestMM, finestMM int64           // of those of the marks of the fence
}

// Gap is a part of a plan that is missing or cannot be relied on.
type Gap struct {
	Part   string // of the mission, as a path: "geofence", "route.waypoints[3]"
	Reason string
}

// Complete reports whether every part of the mission was resolved.
func (p *Plan) Complete() bool { return len(p.Incomplete) == 0 }

// Site is the place and the day.
type Site struct {
	diag.Source
	Origin   geodesy.Geodetic // WGS 84, ellipsoidal height
	Frame    geodesy.Frame
	Date     time.Time // of the drive, UTC midnight
	Magnetic Magnetic  // at the origin on that day
	Overhead []Overhead
}

// Overhead is an area with something above it, beneath which the rover may drive.
// HeightMM of its Part is that of the top.
type Overhead struct {
	fence.Part
	Roof       bool  // lets no signal through; else a canopy
	HeadroomMM int64 // free height beneath it; 0 when not said
}

// Survey is the marks, the base that their coordinates lean on, and the tapes
// that check them. It has no place of its own in the file: its parts have.
type Survey struct {
	Marks  []Mark
	Tapes  []Tape
	Base   Base
	Setups []Setup // of the base, from which the marks were surveyed
	Shared []Shared
	Rows   []Row // of marks, and Rings, as they are said
	Rings  []Ring
}

// Machine is the rover with the receiver on it.
type Machine struct {
	Rover    Rover
	Receiver Receiver
}

// Route is the waypoints and the legs between them.
type Route struct {
	diag.Source
	Closed    bool
	Waypoints []Waypoint
	Legs      []Leg
	Slope     Slope // of the ground along it
	Line      Line  // what the cross-track allowance must hold
}

// Holds is the safety holds and the path to the motors that they open, with their
// single-fault table; FaultsErr says why there is none.
type Holds struct {
	diag.Source
	List      []Hold
	Path      circuit.Path
	PathAt    diag.Source   // of the path as a whole
	Parts     []diag.Source // Parts[i] is where Path.Parts[i] is written
	Faults    circuit.Table
	FaultsErr error
}

// Board is the microcontroller board: its pins, its pace, and the tables that
// the header gives it. Domain is the part of the frame in which it converts
// fixes.
type Board struct {
	Inputs   Inputs
	Timing   Timing
	Allowed  Allowed
	Tables   guidance.Mission
	Vertices []fence.Vertex // Vertices[i] is where entry i of Tables.Fence.Edges begins
	Domain   guidance.Domain
}

// Magnetic is the Earth's field by the World Magnetic Model; Err says why there
// is none, such as a date outside the model's years.
type Magnetic struct {
	Field magnetic.Field
	Err   error
}

// Mark is a ground point in the local frame.
type Mark struct {
	diag.Source
	Name       string
	Geodetic   geodesy.Geodetic // height: its own, or the origin's
	HasHeight  bool
	Resolution geodesy.Nanodegree // of the coarser of the two written coordinates
	Point      planar.Point       // mm; at the origin's height, see Resolve
	StdMM      float64            // one standard deviation per horizontal axis, with that of its set-up
	OwnStdMM   float64            // the same without: as written, or what is usual
	Setup      int                // index of Survey.Setups
	SameAs     int                // index of the mark that is the same point; -1 for none
	// Placed is Geodetic moved with its set-up: Point is where that is.
	Placed geodesy.Geodetic
	// Measured is how it was measured, where it was not surveyed by latitude and
	// longitude: Geodetic and Placed are then where that leads, written nowhere.
	Measured Measured
}

// Tape is a taped distance with what the coordinates say.
type Tape struct {
	diag.Source
	From, To    int // indices of Marks
	MeasuredMM  float64
	StdMM       float64
	SetupsStdMM float64 // of what stands between the set-ups of the two marks, along one axis
	// PlacesStdMM is one standard deviation of the distance by the coordinates where a mark
	// was measured from others, which may hang on the same; else 0, and the marks are
	// independent but for their set-ups.
	PlacesStdMM float64
	// GroundMM is the horizontal distance along the ground at the marks' mean
	// height; SlopeMM that along the straight slope between their heights.
	GroundMM, SlopeMM float64
}

// Waypoint is a mark of the route with everything filled in.
type Waypoint struct {
	diag.Source
	// ID names it within the route: its mark, with #2 behind it at the second
	// visit of the same mark, and so on.
	ID          string
	Mark        int
	ToleranceMM int64
	DwellMS     int64
	Budget      Budget  // of the antenna's distance from the mark
	Pivot       Stretch // the circle of a turn on the spot, where there is one
	TurnDeg     float64 // change of direction here, -180 to 180, right positive; 0 at the ends
	Stops       bool    // the rover comes to rest here
	Arrival     Arrival
}

// Leg is the straight line between two consecutive waypoints. On a closed route
// the last leg leads back to waypoint 0.
type Leg struct {
	diag.Source
	// ID names it within the route: its Name, with #2 behind it where that leg is
	// driven a second time, and so on.
	ID             string
	From, To       int    // indices of Waypoints
	Name           string // of the marks at its ends: "A–B"
	Segment        planar.Segment
	LengthMM       float64 // in the frame
	GroundM        float64 // along the ground at the site's height
	BearingDeg     float64 // clockwise from the frame's north
	TrueAzimuthDeg float64 // at the leg's start
	SpeedMMPerS    int64
	// Line is all of the leg, and Join its beginning, where the rover may be farther
	// off the line; Joining says how far and why.
	Line, Join Stretch
	Joining    Joining
	Downhill   float64 // fall over length; negative uphill, 0 where it is not known
	HasSlope   bool    // both marks have heights
	Stopping   motion.Stopping
	// CutMM is how far before its end drive is cut so that the coast ends there,
	// counted from the last fix when that is half a fix interval old: what the
	// board's own function says.
	CutMM int64
	// CoastMM is the expected coast: how far the rover rolls on this leg's slope once the
	// drive is without power.
	CoastMM float64
}

// Receiver and base, in the units of the budgets.
type Receiver struct {
	diag.Source
	FixIntervalMS, LatencyMS, StaleAfterMS int64
	StdMM                                  float64 // at the required quality
	FixedStdMM, FloatStdMM                 float64 // FloatStdMM 0 when not said
	Required                               board.Quality
}

// UsualStaleAfterMS is the age of a stale fix where the mission does not say:
// three fixes missed. One lost message must not stop the rover.
func (r Receiver) UsualStaleAfterMS() int64 { return r.LatencyMS + 3*r.FixIntervalMS }

// Base is the base station.
type Base struct {
	diag.Source
	Mark         int // -1 when not said
	Position     spec.BasePosition
	AveragedForS float64
	StdMM        float64 // of one set-up, per horizontal axis
	ControlMarks []int
	ControlAt    []diag.Source // where each is listed
	Rotation     bool          // the site shift may turn
}

// Averaged reports whether the base comes up elsewhere at each set-up.
func (b Base) Averaged() bool { return b.Position == spec.Averaged }

// LeansOnShift reports whether the bounds hold for fixes that a site shift of the day
// has moved only: the board then does not start without one.
func (b Base) LeansOnShift() bool { return b.Averaged() && len(b.ControlMarks) > 0 }

// Rover is the machine, in whole millimetres and milliseconds.
type Rover struct {
	diag.Source
	WidthMM, LengthMM                int64
	CruiseMMPerS, MinimumMMPerS      int64
	Coast                            motion.Coast // at least one run
	TurnRadiusMM, CrossTrackMM       int64
	TurningCentreMM                  int64 // forward of the middle, negative behind it
	MotorLagMS                       int64
	HeadingStdDeg, TiltDeg           float64
	AntennaForwardMM, AntennaRightMM int64
	AntennaHeightMM                  int64
	HasCompass                       bool // the mission speaks of one
	CompassFromAntennaMM             int64
	Body
}

// Hold is one safety-hold circuit: as the electrical model takes it, and where
// it was written.
type Hold struct {
	diag.Source
	Circuit    circuit.Circuit
	DebounceMS int64 // of run; the contact bounces for no longer
	FilterMS   int64 // of stop
	// RadioDelayMS and RadioLossMS are how late the contacts of a radio receiver open,
	// with a sound link and without one; RadioMS the later of the two, 0 for wires.
	RadioDelayMS, RadioLossMS, RadioMS int64
	// StopCategory as in IEC 60204-1; check refuses all but 0, which is what the board
	// carries out.
	StopCategory int
}

// Inputs is the board's side of the wiring.
type Inputs struct {
	diag.Source
	Pins        []int
	PullUp      bool // the inputs have internal pull-ups
	PullDown    bool
	DriveEnable int
	Electrical  circuit.Board
	IntegerBits int
	Float       string
}

// Timing is how fast the board reacts.
type Timing struct {
	LoopMS int64
	// OutputDelayMS is that of the slowest part that drive_enable opens, and LateMS of it
	// what a measured stop took longer than was expected.
	OutputDelayMS, LateMS int64
	// HoldMS is from letting go of a hold to the drive without power, for the
	// slowest hold; FixMS the same from the instant that a fix holds for, in ordinary
	// driving, when no fix is missed.
	HoldMS, FixMS int64
}

// Allowed is what the mission may take of the board; 0 where nothing is said.
type Allowed struct {
	FlashBytes, Instructions int64
	Flash, Step              diag.Source // where they are said
}

// Commissioning is the record of the machine's first tests.
type Commissioning struct {
	diag.Source
	Said           bool      // there is one
	Date, RepeatBy time.Time // UTC midnight
	Stopping       []StoppingRun
	Coast          motion.Coast
	Passed         []string // names of tests
}

// StoppingRun is one measured stop, from letting go to rest.
type StoppingRun struct {
	FromMMPerS, TimeMS, DistanceMM int64
	Fall                           float64 // of the ground along it, over length; negative where it rises
	// MostMS and MostMM are what the plan expects of it at most; 0 where that is not known.
	MostMS, MostMM int64
}

// Metres turns whole millimetres into metres.
func Metres(mm int64) float64 { return float64(mm) / 1000 }

// or is what was written, or what is usual.
func or[T any](written *T, usual T) T {
	if written == nil {
		return usual
	}
	return *written
}
