// Package spec is the mission file as it was written: parsed, every value with
// its unit read into an exact number, every key with its place in the source.
// It knows what a mission may say and nothing of distances; internal/plan gives
// it meaning.
//
// This file: the types, one for each block of the mission file. A pointer is
// nil when an optional key was not written; internal/plan fills in defaults.
package spec

import (
	"cmp"
	"fmt"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/geodesy"
	"merestone/internal/quantity"
)

// Mission is one mission file.
type Mission struct {
	Name       string          // mission: names the mission and begins the C identifiers
	Confidence *quantity.Ratio // confidence: of every bound in the reports; usual 95 %
	Site       Site
	Base       Base
	Receiver   Receiver
	Rover      Rover
	Marks      []Mark // in the order written, those of marks_file after
	MarksFile  string // marks_file: as written, relative to the mission file
	Rows       []Row  // whose marks stand behind the others in Marks
	Rings      []Ring // and theirs behind those
	Tape       []Tape
	Route      Route
	Geofence   Geofence
	Holds      []Hold
	DrivePath  []Part // in series from the battery to the motors
	Board      Board
	// Commissioning is what was measured and tried on the finished machine.
	Commissioning *Commissioning

	asWritten
}

// asWritten is what the file says beside the values: where each key is, what names which mark,
// and what could not be read.
type asWritten struct {
	places     Places
	references []called // every use of a mark's name
	doubts     []string // paths of what was not read well
}

// Site is where and when. Origin is the zero of the local frame; its height is
// above the WGS 84 ellipsoid, not above sea level.
type Site struct {
	Origin   Origin
	Date     Date            // of the drive, for the magnetic declination
	Slope    *quantity.Ratio // the steepest ground along the route; usual that of the legs
	Overhead []Overhead
}

// Overhead is an area with something above it that hides the sky, and beneath which
// the rover may drive: a circle around a mark or a ring of marks; exactly one of
// Centre and Ring is written.
type Overhead struct {
	Name     string
	Kind     OverheadKind
	Centre   string
	Radius   quantity.Length
	Ring     []string
	Height   quantity.Length  // of its top above the ground
	Headroom *quantity.Length // free height beneath it
}

// OverheadKind says what is above an area.
type OverheadKind string

const (
	// Canopy: the crowns of trees, which weaken signals.
	Canopy OverheadKind = "canopy"
	// Roof: a roof, a bridge or whatever else lets no signal through.
	Roof OverheadKind = "roof"
)

// Origin of the local frame.
type Origin struct {
	Latitude, Longitude geodesy.Coordinate
	Height              quantity.Length
}

// Date is a calendar day.
type Date struct{ Year, Month, Day int }

// Compare is -1 for a day before another one, 1 for one after it, else 0.
func (d Date) Compare(other Date) int {
	return cmp.Or(cmp.Compare(d.Year, other.Year), cmp.Compare(d.Month, other.Month), cmp.Compare(d.Day, other.Day))
}

// String is the day as ISO 8601 writes it.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// Base is the base station.
type Base struct {
	Mark         string // empty when not written
	Position     BasePosition
	AveragedFor  *quantity.Duration
	Uncertainty  quantity.Length // one standard deviation per horizontal axis
	ControlMarks []string        // occupied before each drive to find the site shift
	Rotation     bool            // the site shift may turn
}

// BasePosition says how the base gets its position at each set-up.
type BasePosition string

const (
	// Averaged: the base averages its own fixes anew at each set-up.
	Averaged BasePosition = "averaged"
	// Entered: the same coordinates are entered at each set-up on the same mark.
	Entered BasePosition = "entered"
	// Network: corrections come from a service, which knows its own stations.
	Network BasePosition = "network"
)

// Receiver is the rover's satellite receiver.
type Receiver struct {
	FixRate     quantity.Frequency
	Latency     quantity.Duration // from the instant of the fix to the board having it
	StaleAfter  *quantity.Duration
	Uncertainty ReceiverUncertainty
	Required    board.Quality
}

// ReceiverUncertainty is one standard deviation per horizontal axis, relative to
// the base.
type ReceiverUncertainty struct {
	Fixed quantity.Length
	Float *quantity.Length
}

// Rover is the machine.
type Rover struct {
	Width, Length quantity.Length
	Speed         RoverSpeed
	Coast         []Coast // at least one run
	TurnRadius    quantity.Length
	TurningCentre *quantity.Length // forward of the middle
	CrossTrack    quantity.Length
	MotorLag      *quantity.Duration // first-order time constant of the drive
	Heading       *quantity.Angle    // one standard deviation of the heading
	Tilt          *quantity.Angle    // greatest tilt while driving
	Antenna       *Antenna
	Compass       *Compass
}

// RoverSpeed bounds the speeds at which the rover drives.
type RoverSpeed struct{ Cruise, Minimum quantity.Speed }

// Coast is one measured roll-out: drive power cut at From, at rest Distance on, on
// ground that falls by Downhill along it.
type Coast struct {
	From     quantity.Speed
	Distance quantity.Length
	Downhill quantity.Ratio
}

// Antenna is where the antenna is on the rover: forward and right of the middle,
// above the ground.
type Antenna struct{ Forward, Right, Height quantity.Length }

// Compass, where there is one.
type Compass struct{ FromAntenna quantity.Length }

// Mark is a named ground point: surveyed, or measured from others. Form says which.
type Mark struct {
	Name                string
	Latitude, Longitude geodesy.Coordinate
	Height              *quantity.Length // above the ellipsoid; usual that of the origin
	Uncertainty         *quantity.Length // one standard deviation per horizontal axis
	Setup               string           // of the base, from which it was surveyed; empty when not written
	SameAs              string           // the mark that is the same point; empty when not written
	Measured            *Measurement     // nil for a mark that is given by latitude and longitude
	Path                string           // for Mission.Where; marks of a CSV have their own, those of a row or ring have its
}

// Measurement is how a mark lies to others, or to the origin.
type Measurement struct {
	From, Towards       string // marks; From is empty where the origin is meant
	East, North         *quantity.Length
	Bearing             *quantity.Angle
	MagneticBearing     *quantity.Angle
	BearingUncertainty  *quantity.Angle
	Date                *Date // on which the compass was read; usual that of the site
	Distance            *quantity.Length
	DistanceUncertainty *quantity.Length
	Tapes               []MarkTape
	Side                Side
	Chainage, Right     *quantity.Length
}

// MarkTape is a distance that was taped from a mark to one that it gives.
type MarkTape struct {
	From                  string
	Distance, Uncertainty quantity.Length
}

// Side is one of the two sides of a way.
type Side string

// The sides.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Row is marks at equal steps beside the line from one mark towards another. They are
// called by its name and a number, from 1.
type Row struct {
	Name          string
	Count         int
	From, Towards string
	First, Step   quantity.Length  // chainage of the first, and from one to the next
	Right         *quantity.Length // of the line; usual on it
	Uncertainty   *quantity.Length
}

// Ring is the four corners of something square, from one side of it and its widths: two
// along the line from one mark towards another, two across. They are called by its name
// and 1 to 4, in order around.
type Ring struct {
	Name            string
	From, Towards   string
	Chainage, Right *quantity.Length  // of the first corner; usual 0
	Length          *quantity.Length  // of that side; usual as far as Towards
	Widths          []quantity.Length // at the first corner and at the second, or one for both
	Side            Side              // of the line, on which the ring lies
	Uncertainty     *quantity.Length
}

// Tape is a distance taped on the ground between two marks, as a check.
type Tape struct {
	From, To    string
	Measured    quantity.Length
	Uncertainty quantity.Length // one standard deviation
}

// Route is the ordered waypoints.
type Route struct {
	Closed           bool
	ArrivalTolerance *quantity.Length // for waypoints without their own
	Speed            *quantity.Speed  // for legs without their own; usual cruise
	Waypoints        []Waypoint
}

// Waypoint is a mark visited by the route. Speed is that of the leg that ends
// here.
type Waypoint struct {
	Mark             string
	ArrivalTolerance *quantity.Length
	Speed            *quantity.Speed
	Dwell            *quantity.Duration
}

// Geofence is where the rover may be.
type Geofence struct {
	Boundary         []string // marks, in order around
	BoundaryHeight   *quantity.Length
	BoundaryReflects bool // metal fence or wall: reflects satellite signals
	Obstacles        []Obstacle
}

// Obstacle is where the rover must not be: a circle around a mark or a ring of
// marks; exactly one of Centre and Ring is written.
type Obstacle struct {
	Name     string
	Centre   string
	Radius   quantity.Length
	Ring     []string
	Height   *quantity.Length // of its top above the ground, for the sky view
	Reflects bool
}

// Hold is a safety-hold circuit.
type Hold struct {
	Name         string
	Kind         board.HoldKind
	Channel                         // the only or the first channel
	Second       *Channel           // second_channel, where there are two
	Debounce     quantity.Duration  // of run
	StopFilter   *quantity.Duration // of stop; usual none
	Discrepancy  *quantity.Duration
	StopCategory int
	Radio        *Radio               // where a radio link carries it
	CommonCause  *circuit.CommonCause // of two channels
}

// Radio is how late a hold's contacts at the receiver open.
type Radio struct {
	Delay        quantity.Duration // from letting go, while the link is sound
	LossOfSignal quantity.Duration // from the loss of the link
}

// Part is one thing in the motors' current.
type Part struct {
	Name      string
	Kind      circuit.PartKind
	OpenedBy  []string          // DriveEnable, Watchdog and names of holds
	OffDelay  quantity.Duration // longest, from what opens it to the current gone
	CoilDiode *bool             // of a relay
	PulledOff bool              // of a semiconductor
	Covered   string            // in words: how its failure is covered
}

// What may open a part beside holds: the board's output, and the watchdog.
const (
	DriveEnable = "drive_enable"
	Watchdog    = "watchdog"
)

// Channel is one contact and the pin that reads it.
type Channel struct {
	Pin      int
	Contact  circuit.Contact
	WiredTo  circuit.Rail
	Pull     circuit.Pull
	External *quantity.Resistance // pull_resistor: an external one
	Series   *quantity.Resistance // series_resistor: limits the current of a short
	Return   string               // return_wire: the wire to the rail, where it is shared
}

// Board is the microcontroller board.
type Board struct {
	InputPins   []int
	Pulls       []circuit.Pull // the internal pulls its inputs have; usual up and down
	DriveEnable *int           // outputs.drive_enable: pin that powers the drive
	IntegerBits int
	Float       string             // software or hardware
	Loop        *quantity.Duration // longest time between two calls of the guidance step
	Watchdog    *quantity.Duration // after which it acts; nil for none
	Covered     string             // in words: how a drive_enable that is held on is covered
	// ResistorTolerance of external pulls and series resistors; usual 5 %.
	ResistorTolerance *quantity.Ratio
	Flash             *quantity.Size // that the tables may take; usual no limit
	// Instructions are the most that a turn of the loop may take of the guidance; usual
	// no limit.
	Instructions *int
	Logic        *Logic
}

// Logic is the electrical side of the board's inputs.
type Logic struct {
	Supply, LowBelow, HighAbove quantity.Voltage
	PullLeast, PullMost         quantity.Resistance
}

// Commissioning is the record of the machine's first tests, and of when they are due
// again.
type Commissioning struct {
	Date, RepeatBy Date
	Stopping       []StoppingRun // at least one
	Coast          []Coast
	Passed         []string // names of tests
}

// StoppingRun is one measured stop: let go at From, at rest Time and Distance on, on
// ground that falls by Downhill along it.
type StoppingRun struct {
	From     quantity.Speed
	Time     quantity.Duration
	Distance quantity.Length
	Downhill quantity.Ratio
}
