// Package board is what the rover's board can hold, and the duties and qualities
// that it knows by number: the one home of what the mission language, the plan and
// the board's tables must agree on. It imports none of the others, so that
// the language can refuse what the tables would.
//
// The numbers are those of the C header, templates/merestone_guidance.h; a test of
// internal/guidance compares them.
package board

import "strings"

// Limits of the tables, as in the C header's enum mere_limit.
const (
	// MaxHolds is the greatest number of entries in the hold table: of contacts.
	MaxHolds = 16
	// MaxLegs bounds the number of legs.
	MaxLegs = 65_535
	// MaxCoordinateMM bounds every mark, east and north, and the radius of a round
	// obstacle.
	MaxCoordinateMM = 20_000_000
	// MaxReachMM bounds the domain in which fixes are converted, east and north.
	MaxReachMM = MaxCoordinateMM + 500_000
	// MaxShiftMM bounds a site shift, east and north.
	MaxShiftMM = 60_000
	// MaxSpeedMMPerS bounds the speed of a leg.
	MaxSpeedMMPerS = 20_000
)

// What is kept in 16 bits, and what is counted in them.
const (
	// MaxMM bounds tolerances, the cross-track allowance, the coast and the fence
	// allowance.
	MaxMM = 65_535
	// MaxMS bounds the times of rover and receiver, and the sum of latency,
	// staleness, loop and output delay.
	MaxMS = 65_535
	// MaxHoldMS bounds debounce and discrepancy times, which are counted a loop
	// beyond their end.
	MaxHoldMS = 60_000
	// LeastDecelerationMMPerS2 bounds the coast by the speed that it was measured
	// from, so that coasts from any speed stay below 2^30 mm. It is far below any
	// rolling resistance.
	LeastDecelerationMMPerS2 = 2
)

// Sizes of the texts of the record in bytes, the final zero included.
const (
	MissionNameSize = 64
	ToolSize        = 32
)

// HoldKind is the duty of a hold circuit, numbered as mere_hold_kind_t. It fixes
// what actuating the switch asks for.
type HoldKind uint8

const (
	// HoldToRun: actuated (pressed) asks for run, released asks for stop.
	HoldToRun HoldKind = iota
	// EmergencyStop: actuated (pressed) asks for stop, at rest permits run.
	EmergencyStop
	// Interlock: actuated (guard opened, bumper touched) asks for stop, clear
	// permits run. "Normally" in the contact's name means guard closed, bumper
	// untouched.
	Interlock
)

// HoldKinds lists the kinds.
func HoldKinds() []HoldKind { return []HoldKind{HoldToRun, EmergencyStop, Interlock} }

// Word is the kind in the mission language.
func (k HoldKind) Word() string { return word(k, "hold-to-run", "emergency-stop", "interlock") }

// String is the trade's word for the kind.
func (k HoldKind) String() string {
	if k == EmergencyStop {
		return "emergency stop"
	}
	return k.Word()
}

// Enumerator is the name of the kind in C.
func (k HoldKind) Enumerator() string {
	return "MERE_" + strings.ToUpper(strings.ReplaceAll(k.Word(), "-", "_"))
}

// Quality is how good a fix is, numbered as mere_quality_t; more is better.
type Quality uint8

const (
	QualityNone         Quality = iota
	QualityStandalone           // one receiver alone
	QualityDifferential         // code corrections
	QualityFloat                // carrier phase, ambiguities not resolved
	QualityFixed                // carrier phase, ambiguities resolved
)

// Enumerator is the name of the quality in C.
func (q Quality) Enumerator() string { return "MERE_QUALITY_" + strings.ToUpper(q.String()) }

// String is the quality in the mission language and elsewhere.
func (q Quality) String() string {
	return word(q, "none", "standalone", "differential", "float", "fixed")
}

// word is that of a number, or a visible mark for one out of range.
func word[T ~uint8](n T, words ...string) string {
	if int(n) >= len(words) {
		return "?"
	}
	return words[n]
}
