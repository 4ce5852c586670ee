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

// SetCoast gives a leg its coasts in millimetres from its own speed: the one to expect
// on its slope, and one that is never exceeded. It returns an error as that of the
// rover does, for the one to expect.
func (l *Leg) SetCoast(expectedMM, boundMM float64) error {
	_, square, err := factors(l.SpeedMMPerS, expectedMM)
	if err != nil {
		return fmt.Errorf("leg: %w", err)
	}
	l.CoastSquareQ32 = square
	if l.BoundLinearQ16, l.BoundSquareQ32, err = factors(l.SpeedMMPerS, boundMM); err != nil {
		l.BoundSquareQ32 = 0 // at a slow speed drag may brake that little; the linear one goes on
		l.BoundLinearQ16, err = linearQ16(l.SpeedMMPerS, boundMM)
	}
	return err
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
