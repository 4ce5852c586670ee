package guidance

// Twin of the C header's section "Numbers", and of mere_bearing and mere_turn; it has
// the derivations and bounds. Every line here has the same types and the same order as there, so
// that both round alike; whoever changes one changes the other.

// Point is a place in the local frame in millimetres, mere_point_t.
type Point struct{ EastMM, NorthMM int32 }

// Shift is a site shift, mere_shift_t: what turns and then moves today's fixes
// onto the mission's marks. The sine is positive from east towards north.
type Shift struct{ EastMM, NorthMM, SineQ30, CosineQ30 int32 }

// SiteShift is the site shift of one day, mere_site_shift_t: of the plan with this
// digest, found on Day (20260510 for the 10th of May 2026).
type SiteShift struct {
	Digest                   [32]byte
	Day                      uint32
	EastMM, NorthMM, SineQ30 int32
}

// Track is a place with regard to a leg, mere_track_t: along it from its start,
// and across it, positive to the right.
type Track struct{ AlongMM, CrossMM, ToGoMM int32 }

// Arrival tells how it stands with the end of a leg, mere_arrival_t.
type Arrival uint8

// The kinds of arrival.
const (
	UnderWay Arrival = 0
	Arrived  Arrival = 1 // within tolerance, or passed abeam within it
	Missed   Arrival = 2 // passed abeam outside the tolerance
)

// high is mere_high: the high word of the product, rounded down.
func high(a, b int32) int32 { return int32(int64(a) * int64(b) >> 32) }

func sumOfProducts(a, b, c, d int32) int64 {
	return int64(a)*int64(b) + int64(c)*int64(d)
}

func scaled(sum int64, shift uint8) int32 {
	return (int32(sum>>32) + int32(1)<<(shift-1)) >> shift
}

func dotQ30(a, b, c, d int32) int32 {
	return int32((sumOfProducts(a, b, c, d) + 0x20000000) >> 30)
}

func dotDownQ30(a, b, c, d int32) int32 { return int32(sumOfProducts(a, b, c, d) >> 30) }

func magnitude(a int32) uint32 {
	if a < 0 {
		return uint32(-a)
	}
	return uint32(a)
}

func addUpTo(a, b, limit uint32) uint32 {
	if b > limit-a {
		return limit
	}
	return a + b
}

// ratioQ15 is mere_ratio_q15.
func ratioQ15(small, large uint32) uint32 {
	var shift, ratio uint32
	if large > 0xFFFFFF {
		shift = 8
	}
	if large>>shift > 0xFFFFF {
		shift += 4
	}
	if large>>shift > 0x3FFFF {
		shift += 2
	}
	if large>>shift > 0x1FFFF {
		shift++
	}
	if large > 0 {
		divisor := (large + (1<<shift - 1)) >> shift
		ratio = (small >> shift << 15) / divisor
	}
	return min(ratio, 32767)
}

// length is mere_length: never too large, at most 2^-13 of it and 2 mm too
// small.
func length(a, b uint32) uint32 {
	large, small := max(a, b), min(a, b)
	if small == 0 {
		return large
	}
	ratio := int32(ratioQ15(small, large))
	t := ratio * ratio * 2
	growth := int32(-231582216)
	growth = 435322255 + high(growth, t)
	growth = -528131546 + high(growth, t)
	growth = 1073497111 + high(growth, t)
	growth = high(growth, t)
	return large + uint32(high(int32(large<<2), growth))
}

// BearingCdeg is the bearing of the vector (east, north), 0 to 35999
// centidegrees clockwise from north, 0 for the vector (0, 0); within 1 cdeg.
// mere_bearing.
func BearingCdeg(east, north int32) uint32 {
	across, ahead := magnitude(east), magnitude(north)
	steep := across > ahead
	ratio := int32(ratioQ15(min(across, ahead), max(across, ahead)))
	t := ratio * ratio * 2
	sum := int32(125235318)
	sum = -255805332 + high(sum, t)
	sum = 270594663 + high(sum, t)
	sum = -248054680 + high(sum, t)
	sum = 375443428 + high(sum, t)
	bearing := uint32((int64(ratio)*int64(sum) + 0x40000000) >> 31)
	if steep {
		bearing = 9000 - bearing
	}
	if north < 0 {
		bearing = 18000 - bearing
	}
	if east < 0 {
		bearing = 36000 - bearing
	}
	if bearing >= 36000 {
		bearing -= 36000
	}
	return bearing
}

// TurnCdeg is how far to turn from heading to bearing (each 0 to 35999): -18000
// to 17999 centidegrees, positive to the right. mere_turn.
func TurnCdeg(bearingCdeg, headingCdeg uint32) int32 {
	turn := int32(bearingCdeg) - int32(headingCdeg)
	if turn < -18000 {
		turn += 36000
	} else if turn >= 18000 {
		turn -= 36000
	}
	return turn
}
