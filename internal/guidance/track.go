package guidance

// Twin of the C header's section "Legs and stopping" and of what is defined with it:
// from a fix to the local frame, along a leg, stopping.

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

// Track is where a point is with regard to the leg. mere_track.
func (l *Leg) Track(at Point) Track {
	east := at.EastMM - l.StartEastMM
	north := at.NorthMM - l.StartNorthMM
	return Track{
		AlongMM: dotQ30(east, l.UnitEastQ30, north, l.UnitNorthQ30),
		CrossMM: dotQ30(east, l.UnitNorthQ30, north, -l.UnitEastQ30),
	}
}

func within(at Point, eastMM, northMM int32, toleranceMM uint16) bool {
	east, north := at.EastMM-eastMM, at.NorthMM-northMM
	return sumOfProducts(east, east, north, north) <= int64(toleranceMM)*int64(toleranceMM)
}

// Arrival tells whether the end of the leg is reached from a place; cut says
// that the drive is off for it. mere_arrival.
func (l *Leg) Arrival(at Point, track Track, cut bool) Arrival {
	abeam := track.AlongMM >= l.LengthMM
	switch {
	case within(at, l.EndEastMM, l.EndNorthMM, l.EndToleranceMM):
		if !l.StopAtEnd || cut || abeam {
			return Arrived
		}
	case abeam:
		if magnitude(track.CrossMM) <= uint32(l.EndToleranceMM) {
			return Arrived
		}
		return Missed
	}
	return UnderWay
}

// SteerCdeg is the bearing to steer. mere_steer.
func (l *Leg) SteerCdeg(track Track, lookAheadMM uint16) uint32 {
	ahead := max(min(int32(lookAheadMM), l.LengthMM-track.AlongMM), 1)
	bearing := uint32(l.BearingCdeg) + BearingCdeg(-track.CrossMM, ahead)
	if bearing >= 36000 {
		bearing -= 36000
	}
	return bearing
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

// ExpectedCoastMM is the coast on the leg's slope from a speed (at most 65535 mm/s)
// in proportion to its square, rounded up: for cutting the drive. mere_coast_mm.
func (l *Leg) ExpectedCoastMM(speedMMPerS uint32) uint32 {
	return squareMM(speedMMPerS, l.CoastSquareQ32)
}

// BoundCoastMM is a coast from a speed (at most 65535 mm/s) that is not exceeded
// whatever part of the braking force grows with the speed, on the steepest ground
// that the mission allows for: for the fence.
// mere_coast_bound_mm.
func (r *Rover) BoundCoastMM(l *Leg, speedMMPerS uint32) uint32 {
	if speedMMPerS < uint32(l.SpeedMMPerS) {
		return uint32((uint64(speedMMPerS)*uint64(l.BoundLinearQ16) + 0xFFFF) >> 16)
	}
	if speedMMPerS > uint32(r.CoastTopMMPerS) {
		return squareMM(speedMMPerS, r.CoastTopSquareQ32)
	}
	coast := uint32((uint64(speedMMPerS)*uint64(r.CoastTopLinearQ16) + 0xFFFF) >> 16)
	if l.BoundSquareQ32 != 0 {
		coast = min(coast, squareMM(speedMMPerS, l.BoundSquareQ32))
	}
	return coast
}

// StoppingMM is the way from where the last fix was, of a given age, to rest, if
// the drive is cut at the next step. mere_stopping_mm.
func (r *Rover) StoppingMM(l *Leg, speedMMPerS, ageMS uint32) uint32 {
	reaction := uint32(r.LatencyMS) + ageMS + uint32(r.LoopMS) + uint32(r.OutputDelayMS)
	return travelMM(speedMMPerS, reaction) + r.BoundCoastMM(l, speedMMPerS)
}

// CutMM is the distance from the mark, seen from where the last fix was, at which
// the drive is cut so that the coast ends on the mark. mere_cut_mm.
func (r *Rover) CutMM(l *Leg, speedMMPerS, ageMS uint32) uint32 {
	reaction := uint32(r.LatencyMS) + ageMS + uint32(r.LoopMS)/2 + uint32(r.OutputDelayMS)
	return travelMM(speedMMPerS, reaction) + l.ExpectedCoastMM(speedMMPerS)
}
