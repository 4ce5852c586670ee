package guidance

// Twin of the C header's section "Legs and stopping" and of what is defined with it:
// from a fix to the local frame, along a leg, stopping.

import "merestone/internal/planar"

// Local converts latitude and longitude (nanodegrees, any value) to east and
// north. It is false when the fix is outside the domain. mere_local_from_fix.
func (c *Conversion) Local(latitudeNdeg, longitudeNdeg int64) (Point, bool) {
	northing := uint64(latitudeNdeg) - uint64(c.SouthNdeg)
	easting := uint64(longitudeNdeg) - uint64(c.WestNdeg)
	if easting > uint64(c.LongitudeSpanNdeg) {
		easting += 360_000_000_000
	}
	if northing > uint64(c.LatitudeSpanNdeg) || easting > uint64(c.LongitudeSpanNdeg) {
		return Point{}, false
	}
	u := int32(northing) + c.SouthFromOriginNdeg
	v := int32(easting) + c.WestFromOriginNdeg
	w := high(v, v)

	byEast := c.East[2] + high(c.East[3], u)
	byEast = c.East[1] + high(byEast, u)
	byEast = c.East[0] + high(byEast, u)
	bySquare := c.East[4] + high(c.East[5], u)
	byEast += high(bySquare, w)

	byNorth := c.North[1] + high(c.North[2], u)
	byNorth = c.North[0] + high(byNorth, u)
	bySquare = c.North[4] + high(c.North[5], u)
	bySquare = c.North[3] + high(bySquare, u)
	bySquare += high(c.North[6], w)

	return Point{
		EastMM:  scaled(int64(byEast)*int64(v), c.EastShift),
		NorthMM: scaled(sumOfProducts(byNorth, u, bySquare, w), c.NorthShift),
	}, true
}

// Apply turns and moves a point. mere_shifted.
func (s Shift) Apply(at Point) Point {
	moved := at
	if s.SineQ30 != 0 {
		moved.EastMM = dotQ30(at.EastMM, s.CosineQ30, at.NorthMM, -s.SineQ30)
		moved.NorthMM = dotQ30(at.EastMM, s.SineQ30, at.NorthMM, s.CosineQ30)
	}
	moved.EastMM += s.EastMM
	moved.NorthMM += s.NorthMM
	return moved
}

// Span is a leg with the waypoint at its end: the two entries of the board's table that a
// pointer to its mere_leg_t leads to.
type Span struct {
	*Leg
	End *Leg
}

// Leg is that of a number below the count of legs.
func (m *Mission) Leg(number uint16) Span { return Span{&m.Legs[number], &m.Legs[number+1]} }

// Track is where a point is with regard to the leg. mere_track.
func (l Span) Track(at Point) Track {
	east := at.EastMM - l.EastMM
	north := at.NorthMM - l.NorthMM
	return Track{
		AlongMM: dotQ30(east, l.UnitEastQ30, north, l.UnitNorthQ30),
		CrossMM: dotQ30(east, l.UnitNorthQ30, north, -l.UnitEastQ30),
		ToGoMM:  dotQ30(l.End.EastMM-at.EastMM, l.UnitEastQ30, l.End.NorthMM-at.NorthMM, l.UnitNorthQ30),
	}
}

func within(at Point, waypoint *Leg, toleranceMM uint16) bool {
	east, north := at.EastMM-waypoint.EastMM, at.NorthMM-waypoint.NorthMM
	return sumOfProducts(east, east, north, north) <= int64(toleranceMM)*int64(toleranceMM)
}

// Arrival tells whether the end of the leg is reached from a place. mere_arrival.
func (l Span) Arrival(at Point, track Track) Arrival {
	switch {
	case within(at, l.End, l.End.ToleranceMM):
		return Arrived
	case track.ToGoMM <= 0:
		if magnitude(track.CrossMM) <= uint32(l.End.ToleranceMM) {
			return Arrived
		}
		return Missed
	}
	return UnderWay
}

// passedBy is mere_passed_by.
func (l Span) passedBy(at Point, track Track) bool {
	passed := track.ToGoMM <= 0
	if passed && l.End.Dwell == PassThrough {
		passed = magnitude(track.CrossMM) > uint32(l.End.ToleranceMM)
	}
	return passed && !within(at, l.End, l.End.ToleranceMM)
}

// steerAlong is mere_steer_along.
func steerAlong(legBearingCdeg uint32, track Track, lookAheadMM uint16) uint32 {
	ahead := max(min(int32(lookAheadMM), track.ToGoMM), 1)
	bearing := legBearingCdeg + BearingCdeg(-track.CrossMM, ahead)
	if bearing >= 36000 {
		bearing -= 36000
	}
	return bearing
}

// SteerCdeg is the bearing to steer. mere_steer.
func (l *Leg) SteerCdeg(track Track, lookAheadMM uint16) uint32 {
	return steerAlong(BearingCdeg(l.UnitEastQ30, l.UnitNorthQ30), track, lookAheadMM)
}

// travelMM is mere_travel_mm; both at most 65535.
func travelMM(speedMMPerS, timeMS uint32) uint32 {
	return (speedMMPerS*timeMS + 999) / 1000
}

// squareMM is mere_square_mm.
func squareMM(speedMMPerS, factorQ32 uint32) uint32 {
	square := uint64(speedMMPerS) * uint64(speedMMPerS)
	return uint32((square*uint64(factorQ32) + 0xFFFFFFFF) >> 32)
}

// coastSquare is mere_coast_square.
func (l *Leg) coastSquare(coast uint16, speedMMPerS uint32) uint32 {
	speed, ratioQ14 := uint32(l.SpeedMMPerS), uint32(0x10000)
	if speedMMPerS < 4*speed {
		ratioQ14 = (speedMMPerS<<14 + (speed - 1)) / speed
	}
	square := uint64(ratioQ14) * uint64(ratioQ14)
	return uint32((square*uint64(coast) + 0xFFFFFFF) >> 28)
}

// ExpectedCoastMM is the coast on the leg's slope from a speed (at most 65535 mm/s)
// in proportion to its square, rounded up: for cutting the drive. mere_coast_mm.
func (r *Rover) ExpectedCoastMM(l *Leg, speedMMPerS uint32) uint32 {
	return l.coastSquare(l.Coast, speedMMPerS) * uint32(r.CoastUnitMM)
}

// BoundCoastMM is a coast from a speed (at most 65535 mm/s) that is not exceeded
// whatever part of the braking force grows with the speed, on the steepest ground
// that the mission allows for: for the fence.
// mere_coast_bound_mm.
func (r *Rover) BoundCoastMM(l *Leg, speedMMPerS uint32) uint32 {
	speed := uint32(l.SpeedMMPerS)
	if speedMMPerS <= speed {
		return (speedMMPerS*uint32(l.CoastBound) + (speed - 1)) / speed * uint32(r.CoastUnitMM)
	}
	if speedMMPerS > uint32(r.CoastTopMMPerS) {
		return squareMM(speedMMPerS, r.CoastTopSquareQ32)
	}
	coast := uint32((uint64(speedMMPerS)*uint64(r.CoastTopLinearQ16) + 0xFFFF) >> 16)
	if speedMMPerS < 4*speed {
		coast = min(coast, l.coastSquare(l.CoastBound, speedMMPerS)*uint32(r.CoastUnitMM))
	}
	return coast
}

// StoppingMM is the way from where the last fix was, of a given age, to rest, if
// the drive is cut at the next step. mere_stopping_mm.
func (r *Rover) StoppingMM(l *Leg, speedMMPerS, ageMS uint32) uint32 {
	reaction := uint32(r.LatencyMS) + ageMS + uint32(r.LoopMS) + uint32(r.OutputDelayMS)
	return travelMM(speedMMPerS, reaction) + r.BoundCoastMM(l, speedMMPerS)
}

// TooNear tells whether a margin from the fence is less than the body may need, for a
// way to rest and any heading. mere_too_near.
func (r *Rover) TooNear(l *Leg, marginMM, wayMM uint32) bool {
	room := int32(marginMM) - int32(l.FenceAllowanceMM)
	along, aside := max(int32(wayMM+uint32(r.FrontMM)), int32(r.BackMM)), int32(r.HalfWidthMM)
	return room < 0 || int64(room)*int64(room) < sumOfProducts(along, along, aside, aside)
}

// KeepMM is the least margin that is not too near.
func (r *Rover) KeepMM(l *Leg, wayMM uint32) uint32 {
	along := max(int64(wayMM)+int64(r.FrontMM), int64(r.BackMM))
	square := uint64(along*along + int64(r.HalfWidthMM)*int64(r.HalfWidthMM))
	corner := planar.Isqrt(square)
	if corner*corner < square {
		corner++
	}
	return uint32(l.FenceAllowanceMM) + uint32(corner)
}

// CutMM is the distance from the mark, seen from where the last fix was, at which
// the drive is cut so that the coast ends on the mark. mere_cut_mm.
func (r *Rover) CutMM(l *Leg, speedMMPerS, ageMS uint32) uint32 {
	reaction := uint32(r.LatencyMS) + ageMS + uint32(r.LoopMS)/2 + uint32(r.OutputDelayMS)
	return travelMM(speedMMPerS, reaction) + r.ExpectedCoastMM(l, speedMMPerS)
}
