package guidance

// What the planner calls to fill in the legs and the holds: numbers
// that the board would otherwise have to compute, and the order it counts on.

import (
	"errors"
	"fmt"
	"math"
	"math/bits"

	"merestone/internal/board"
	"merestone/internal/elementary"
	"merestone/internal/planar"
)

// maxCoastSquareQ32 keeps the board's coast below 2^30 mm: with a deceleration a the
// coast is v²/2a, so the factor of v² is 1/2a.
const maxCoastSquareQ32 = 1 << 32 / (2 * board.LeastDecelerationMMPerS2)

// SetCoast gives a leg its coasts in millimetres from its own speed: the one to expect
// on its slope, and one that is never exceeded. It returns an error where the leg has
// no speed, or where one is a deceleration beyond what the board's arithmetic was
// proved for.
func (l *Leg) SetCoast(expectedMM, boundMM float64) error {
	if l.SpeedMMPerS == 0 {
		return errors.New("leg: a coast from 0 mm/s")
	}
	speed := float64(l.SpeedMMPerS)
	factor := func(mm, over, scale float64) float64 { return math.Ceil(mm / over * scale) }
	for _, mm := range []float64{expectedMM, boundMM} {
		if !(mm >= 0 && factor(mm, speed*speed, 1<<32) <= maxCoastSquareQ32) {
			return fmt.Errorf("leg: a coast of %.0f mm from %.0f mm/s is a deceleration below %d mm/s²", mm, speed, board.LeastDecelerationMMPerS2)
		}
	}
	l.CoastSquareQ32 = uint32(factor(expectedMM, speed*speed, 1<<32))
	l.BoundSquareQ32 = uint32(factor(boundMM, speed*speed, 1<<32))
	l.BoundLinearQ16 = uint32(factor(boundMM, speed, 1<<16))
	return nil
}

// NewLeg fills in the direction, length and bearing of a leg from its two ends,
// which the other members are to be set on. The length is rounded to the nearest
// millimetre, the components of the unit vector to the nearest 2^-30, the bearing
// to the nearest centidegree. It returns an error for ends that coincide or lie
// beyond board.MaxCoordinateMM.
func NewLeg(start, end planar.Point) (Leg, error) {
	if !start.InRange() || !end.InRange() {
		return Leg{}, fmt.Errorf("leg: an end is beyond %d m from the origin", board.MaxCoordinateMM/1000)
	}
	if start == end {
		return Leg{}, errors.New("leg: the two ends coincide")
	}
	east, north := end.E-start.E, end.N-start.N
	bearing := elementary.Atan2(float64(east), float64(north)) * 18000 / math.Pi
	square := uint64(east*east + north*north)
	floor := planar.Isqrt(square)
	length := floor
	if square-floor*floor > floor { // beyond (floor + 1/2)² = floor² + floor + 1/4
		length++
	}
	return Leg{
		StartEastMM: int32(start.E), StartNorthMM: int32(start.N),
		EndEastMM: int32(end.E), EndNorthMM: int32(end.N),
		UnitEastQ30: unitQ30(east, square), UnitNorthQ30: unitQ30(north, square),
		LengthMM:    int32(length),
		BearingCdeg: uint16((int64(math.Round(bearing)) + 36000) % 36000),
	}, nil
}

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
