// Package guidance is the Go twin of templates/merestone_guidance.h: the same
// tables, the same integer arithmetic, the same state machine, bit for bit. What
// is proved of one holds for the other, because tests run both on the same
// inputs and compare every output.
//
// It also prepares what the board only reads: FitConversion computes and proves
// the conversion of fixes, BuildFence the search structure of the geofence,
// NewLeg and Leg.SetCoast the derived numbers of the legs.
//
// # For those who fill in a Mission
//
// A Mission holds, value by value and in the same order, what the C struct
// mere_mission_t holds; a data header is written by walking it. Slices become
// static const arrays, and the counts of the C structs are their lengths. The
// planner fills it in so:
//
//   - Record: RecordFormat, the plan's SHA-256, names.
//   - Conversion: FitConversion.
//   - Rover, with SetUnits. Legs: NewLeg for each, in order, and SetCoast once it has its
//     speed; the last waypoint's entry after them.
//   - Fence: BuildFence.
//   - Holds: OrderHolds, which puts two-channel circuits where the board
//     expects them.
//   - then Mission.Validate, which checks every limit that the proofs of
//     overflow rest on. A mission that it accepts cannot make the board's
//     arithmetic overflow, whatever the inputs.
//
// This file: the tables.
package guidance

import "merestone/internal/board"

// What the C header's enum mere_limit holds beside the limits of package board.
const (
	// RecordFormat is the version of the record and of all table layouts.
	RecordFormat = 3
	// MaxDomainMM bounds every converted fix, east and north.
	MaxDomainMM = 22_000_000
	// MaxRotationQ30 is the sine of the greatest rotation of a site shift, one
	// degree.
	MaxRotationQ30 = 18_739_379
)

// Magic begins a Record in a firmware image. In C it is followed by a zero byte.
const Magic = "merestone-image"

// Mission is all that the board is given, mere_mission_t.
type Mission struct {
	Record     Record
	Conversion Conversion
	Rover      Rover
	Legs       []Leg
	Fence      FenceTable
	Holds      []Hold
	// Closed says that the last leg ends at the first waypoint. The mission is
	// finished there.
	Closed bool
}

// LegCount is the number of legs: one less than the entries of their table.
func (m *Mission) LegCount() int { return len(m.Legs) - 1 }

// Record says what a firmware carries, mere_record_t. Mission has at most
// board.MissionNameSize-1 bytes, Tool at most board.ToolSize-1, neither a zero byte.
type Record struct {
	Format  uint8
	Digest  [32]byte
	Mission string
	Tool    string
}

// Conversion converts latitude and longitude to east and north,
// mere_conversion_t. Made by FitConversion.
type Conversion struct {
	OriginLatitudeNdeg, OriginLongitudeNdeg int64
	// The domain: fixes from SouthNdeg and WestNdeg on, by the spans.
	SouthNdeg, WestNdeg                     int64
	LatitudeSpanNdeg, LongitudeSpanNdeg     uint32
	SouthFromOriginNdeg, WestFromOriginNdeg int32
	East                                    [6]int32
	North                                   [7]int32
	EastShift, NorthShift                   uint8
	// Degree is that of the polynomial: the highest sum of exponents with a
	// coefficient other than zero.
	Degree uint16
	// BoundUM is the proved bound, in micrometres, of the distance between a
	// converted fix and the true position in the frame, for every fix of the
	// domain at the height of the frame's origin.
	BoundUM uint32
}

// Rover is what is known of the rover and its receiver, mere_rover_t.
type Rover struct {
	// CoastTopLinearQ16 and CoastTopSquareQ32 are the coast that is never exceeded
	// from CoastTopMMPerS, over that speed and over its square. Made by SetCoast.
	CoastTopLinearQ16, CoastTopSquareQ32 uint32
	CoastTopMMPerS                       uint16
	// CoastUnitMM is that of the coasts of the legs, DwellUnitMS that of their dwells.
	// Made by SetUnits.
	CoastUnitMM, DwellUnitMS uint16
	// LatencyMS is from the instant a fix holds for to the step that sees it.
	LatencyMS, FixIntervalMS uint16
	// LoopMS is the longest time between two steps.
	LoopMS uint16
	// OutputDelayMS is from drive enable going false to the drive being without
	// power.
	OutputDelayMS uint16
	// StaleAfterMS is the age from which on a good fix no longer counts.
	StaleAfterMS uint16
	// SettleMS is the longest time from cutting the drive to rest.
	SettleMS uint16
	// ResetPressMS is the length of press from which on reset and start count.
	ResetPressMS uint16
	// ReleaseMS is how long a contact must read stop to count as seen in stop.
	ReleaseMS uint16
	// LookAheadMM: the board steers at the point of the leg this far ahead.
	LookAheadMM uint16
	// FrontMM, HalfWidthMM and BackMM are how far the body reaches from the antenna:
	// ahead, to the wider side, and back.
	FrontMM, HalfWidthMM, BackMM uint16
	// CrossTrackMM is the greatest distance from a leg's line that is allowed, once it is
	// joined.
	CrossTrackMM uint16
	// RetreatMM is how far back along a leg the rover may come from the foremost place on
	// it.
	RetreatMM uint16
	// JumpMM is by how much two fixes of a rover at rest may differ.
	JumpMM uint16
	// StandsMM is the way rolled after which a fix that moved by less than half of it
	// stands still.
	StandsMM uint16
	// MaxShiftMM is the greatest site shift accepted, east or north.
	MaxShiftMM uint16
	// RequiredQuality is the least quality of a fix that counts.
	RequiredQuality board.Quality
	// ShiftNeeded says that the mission was checked with a site shift set: there is no
	// start without one, zero being one.
	ShiftNeeded bool
}

// Leg is a waypoint, and the leg that leaves it for that of the next entry, mere_leg_t. A
// table of n legs has n + 1 entries: the last is the last waypoint alone. Made by
// NewLeg, which computes the direction.
type Leg struct {
	EastMM, NorthMM           int32
	UnitEastQ30, UnitNorthQ30 int32
	// ToleranceMM is the arrival tolerance of the waypoint.
	ToleranceMM uint16
	// Dwell is how long to stay at the waypoint, in Rover.DwellUnitMS, counted once at rest;
	// PassThrough where the rover does not stop.
	Dwell       uint16
	SpeedMMPerS uint16
	// Coast is the coast to expect from the leg's speed, on its slope, CoastBound one that
	// is never exceeded, both in Rover.CoastUnitMM and rounded up. Made by SetCoast.
	Coast, CoastBound uint16
	// JoinCrossMM is the greatest distance from the line that is allowed before JoinMM,
	// where the rover may have come to rest beside the mark, and turns onto the leg.
	JoinMM, JoinCrossMM uint16
	// FenceAllowanceMM is what must remain between the body and the fence when the
	// rover is at rest: position error, bound of the conversion.
	FenceAllowanceMM uint16
}

// FenceTable is the geofence and the search structure over it, mere_fence_t.
// Made by BuildFence.
type FenceTable struct {
	Edges   []Edge
	Circles []FenceCircle
	Nodes   []uint16
	Lists   []uint16
	// WestMM and SouthMM are the south-west corner of the root square, whose
	// side is 2^RootLog2 mm.
	WestMM, SouthMM int32
	RootLog2        uint8
	ListLog2        uint8
	MarginUnitMM    uint16
	// ExactWithinMM, LimitMM and SlackMM: the margin of an allowed point is at least
	// min(true margin, ExactWithinMM) - SlackMM, beyond ExactWithinMM also at least 3/4
	// of min(true margin, LimitMM), less SlackMM, and never above the true margin.
	ExactWithinMM, SlackMM, LimitMM uint16
}

// Edge is one edge of a ring, mere_edge_t: from this vertex to that of the next
// entry. The last entry of a ring repeats its first vertex, has the direction
// (0, 0), and is no edge: see Closes.
type Edge struct {
	EastMM, NorthMM           int32
	UnitEastQ30, UnitNorthQ30 int32
}

// Closes tells whether this is the last entry of a ring. The direction of an edge has
// the length 2^30 but for rounding, and so is never (0, 0).
func (e *Edge) Closes() bool { return e.UnitEastQ30 == 0 && e.UnitNorthQ30 == 0 }

// FenceCircle is a round obstacle, mere_circle_t.
type FenceCircle struct {
	EastMM, NorthMM, RadiusMM int32
}

// Hold is one contact of a hold circuit, mere_hold_t. The second channel of a
// two-channel circuit is the entry after the first, and the first has an even
// index: OrderHolds sees to it.
type Hold struct {
	Pin uint16
	// DebounceMS is how long the contact must read run to count as run, FilterMS for how
	// long it may read stop and not count as stop.
	DebounceMS, FilterMS uint16
	// DiscrepancyMS is how long the two channels may differ; in the first
	// channel's entry, else 0.
	DiscrepancyMS uint16
	Kind          board.HoldKind
	// RunLevel is the level of the pin, 0 or 1, that permits running.
	RunLevel uint8
	// Latched: after a stop a reset is needed. Always set for an emergency stop.
	Latched bool
	// TwoChannels: the next entry is the second channel of this circuit.
	TwoChannels bool
}
