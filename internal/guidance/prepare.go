package guidance

// What the planner calls to fill in the legs and the holds: numbers
// that the board would otherwise have to compute, and the order it counts on.

import (
	"errors"
	"fmt"
	"math"
	"math/bits"

	"merestone/internal/board"
	"merestone/internal/planar"
)

// maxCoastSquareQ32 keeps the board's coast below 2^30 mm: with a deceleration a the
// coast is v²/2a, so the factor of v² is 1/2a.
const maxCoastSquareQ32 = 1 << 32 / (2 * board.LeastDecelerationMMPerS2)

// SetCoast gives the rover a coast in millimetres that is never exceeded from the
// highest speed. It returns an error where there is no speed, or where it is a
// deceleration beyond what the board's arithmetic was proved for.
func (r *Rover) SetCoast(topMMPerS uint16, boundMM float64) error {
	linear, square, err := factors(topMMPerS, boundMM)
	if err != nil {
		return fmt.Errorf("rover: %w", err)
	}
	r.CoastTopMMPerS, r.CoastTopLinearQ16, r.CoastTopSquareQ32 = topMMPerS, linear, square
	return nil
}

// SetUnits chooses the units in which the legs' coasts and dwells fit 16 bits, for the
// longest of each. It returns an error for a coast that no unit makes fit.
func (r *Rover) SetUnits(longestCoastMM float64, longestDwellMS int64) error {
	coast := math.Ceil(longestCoastMM / math.MaxUint16)
	if !(coast <= maxCoastUnitMM) {
		return fmt.Errorf("rover: a coast of %.0f m is more than the %d m that the board's table holds", longestCoastMM/1000, maxCoastUnitMM*math.MaxUint16/1000)
	}
	dwell := (longestDwellMS + PassThrough - 2) / (PassThrough - 1)
	if dwell > math.MaxUint16 {
		return fmt.Errorf("rover: a dwell of %d ms is longer than the board's table holds", longestDwellMS)
	}
	r.CoastUnitMM, r.DwellUnitMS = uint16(max(coast, 1)), uint16(max(dwell, 1))
	return nil
}

// maxCoastUnitMM is MERE_MAX_COAST_UNIT_MM.
const maxCoastUnitMM = 1024

// Dwell is a time in the board's unit, rounded up.
func (r *Rover) Dwell(ms int64) uint16 {
	unit := int64(max(r.DwellUnitMS, 1))
	return uint16(min((ms+unit-1)/unit, PassThrough-1))
}

// SetCoast gives a leg its coasts in millimetres from its own speed: the one to expect
// on its slope, and one that is never exceeded. Both are rounded up to the rover's unit.
// It returns an error where there is no speed, or for a coast that does not fit.
func (l *Leg) SetCoast(r *Rover, expectedMM, boundMM float64) error {
	if l.SpeedMMPerS == 0 {
		return errors.New("leg: a coast from 0 mm/s")
	}
	unit := float64(max(r.CoastUnitMM, 1))
	expected, bound := math.Ceil(expectedMM/unit), math.Ceil(boundMM/unit)
	if !(expected >= 0 && expected <= math.MaxUint16 && bound >= 0 && bound <= math.MaxUint16) {
		return fmt.Errorf("leg: a coast of %.0f mm from %d mm/s does not fit its unit of %.0f mm", max(expectedMM, boundMM), l.SpeedMMPerS, unit)
	}
	l.Coast, l.CoastBound = uint16(expected), uint16(bound)
	return nil
}

// factors are a coast over the speed and over its square, rounded up.
func factors(speedMMPerS uint16, mm float64) (linear, square uint32, err error) {
	if linear, err = linearQ16(speedMMPerS, mm); err != nil {
		return 0, 0, err
	}
	v := float64(speedMMPerS)
	q := math.Ceil(mm / float64(v*v) * (1 << 32))
	if q > maxCoastSquareQ32 {
		return 0, 0, fmt.Errorf("a coast of %.0f mm from %d mm/s is a deceleration below %d mm/s²", mm, speedMMPerS, board.LeastDecelerationMMPerS2)
	}
	return linear, uint32(q), nil
}

// linearQ16 is a coast over the speed. More than 2^30 would be a coast of more than
// 2^30 mm from the highest speed.
func linearQ16(speedMMPerS uint16, mm float64) (uint32, error) {
	if speedMMPerS == 0 {
		return 0, errors.New("a coast from 0 mm/s")
	}
	q := math.Ceil(mm / float64(speedMMPerS) * (1 << 16))
	if !(q >= 0 && q <= 1<<30) {
		return 0, fmt.Errorf("a coast of %.0f mm from %d mm/s", mm, speedMMPerS)
	}
	return uint32(q), nil
}

// NewLeg fills in the waypoint and the direction of a leg from its two ends,
// which the other members are to be set on. The components of the unit vector are rounded
// to the nearest 2^-30. It returns an error for ends that coincide or lie
// beyond board.MaxCoordinateMM.
func NewLeg(start, end planar.Point) (Leg, error) {
	if !start.InRange() || !end.InRange() {
		return Leg{}, fmt.Errorf("leg: an end is beyond %d m from the origin", board.MaxCoordinateMM/1000)
	}
	if start == end {
		return Leg{}, errors.New("leg: the two ends coincide")
	}
	east, north := end.E-start.E, end.N-start.N
	square := uint64(east*east + north*north)
	return Leg{
		EastMM: int32(start.E), NorthMM: int32(start.N),
		UnitEastQ30: unitQ30(east, square), UnitNorthQ30: unitQ30(north, square),
	}, nil
}

// LastWaypoint is the entry that closes the table of legs.
func LastWaypoint(at planar.Point) Leg { return Leg{EastMM: int32(at.E), NorthMM: int32(at.N)} }

// unitQ30 is component·2^30/sqrt(square) to the nearest, exactly: the square root
// of component²·2^60/square. component² < 2^54 for a site of 40 km.
func unitQ30(component int64, square uint64) int32 {
	c := uint64(max(component, -component))
	// q = floor(c·2^31/sqrt(square)) = isqrt(floor(c²·2^62/square)); then to the
	// nearest of half that. c² ≤ square, so the quotient is at most 2^62.
	hi, lo := bits.Mul64(c*c, 1<<62)
	quotient, _ := bits.Div64(hi, lo, square)
	q := (planar.Isqrt(quotient) + 1) / 2
	if component < 0 {
		return -int32(q)
	}
	return int32(q)
}

// OrderHolds puts circuits of one or two channels in the order that the board
// counts on: two-channel circuits first, so that each begins at an even index;
// otherwise as given. It returns the table and, for each entry, the circuit that
// it belongs to. TwoChannels is set here. The error names the circuit that is
// wrong.
func OrderHolds(circuits [][]Hold) (holds []Hold, circuitOf []int, err error) {
	for _, channels := range []int{2, 1} {
		for i, circuit := range circuits {
			if len(circuit) == 0 || len(circuit) > 2 {
				return nil, nil, fmt.Errorf("hold circuit %d: %d channels; it must be one or two", i+1, len(circuit))
			}
			if len(circuit) != channels {
				continue
			}
			for j, hold := range circuit {
				hold.TwoChannels = channels == 2 && j == 0
				holds = append(holds, hold)
				circuitOf = append(circuitOf, i)
			}
		}
	}
	if err := checkHolds(holds); err != nil {
		return nil, nil, err
	}
	return holds, circuitOf, nil
}
