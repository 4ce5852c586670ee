// Latitudes and longitudes as receivers write them: degrees and minutes in one number,
// ddmm.mmmm and dddmm.mmmm, with the hemisphere as a letter beside it (NMEA 0183, from
// memory). There may be hundreds of thousands of them in a log, so they are read without
// an allocation; the value is the one that ParseLatitude gives for dd°mm.mmmm'N, and so
// is that of the reader in the firmware's example.
package geodesy

// PackedLatitude reads a latitude of degrees and minutes in one number, with any number
// of decimals, to the nearest nanodegree, a tie going to the even one. It is well formed
// if it has two digits of degrees, two of minutes, perhaps a point and decimals, and the
// letter is N or S; in range if the minutes are below 60 and it is not beyond the pole.
func PackedLatitude(number []byte, letter byte) (value Nanodegree, wellFormed, inRange bool) {
	return latitudeAxis.packed(number, letter)
}

// PackedLongitude is PackedLatitude for longitudes: three digits of degrees, E or W.
func PackedLongitude(number []byte, letter byte) (value Nanodegree, wellFormed, inRange bool) {
	return longitudeAxis.packed(number, letter)
}

// degreeDigits is how many digits a receiver writes for the degrees.
func (a axis) degreeDigits() int {
	if a.limit > 90 {
		return 3
	}
	return 2
}

// packed reads the minutes in units of 1e-9. A minute is 1/60 degree, so that m of them
// are m/60 nanodegrees. Decimals from the tenth on are less than one unit: of them it
// matters only whether one is not zero, since then m/60 is no tie, nor the limit met.
//
// Overflow: 999 degrees are 1e12 nanodegrees, 99 minutes 1e11 units.
func (a axis) packed(number []byte, letter byte) (value Nanodegree, wellFormed, inRange bool) {
	degreeDigits := a.degreeDigits()
	if len(number) < degreeDigits+2 || letter != a.positive && letter != a.negative {
		return 0, false, false
	}
	var degrees, minutes, billionths int64
	for i, c := range number[:degreeDigits+2] {
		switch d := int64(c) - '0'; {
		case d < 0 || d > 9:
			return 0, false, false
		case i < degreeDigits:
			degrees = degrees*10 + d
		default:
			minutes = minutes*10 + d
		}
	}
	decimals := number[degreeDigits+2:]
	if len(decimals) > 0 {
		if decimals[0] != '.' {
			return 0, false, false
		}
		decimals = decimals[1:]
	}
	more := false // beyond the ninth decimal
	for i, c := range decimals {
		switch {
		case c < '0' || c > '9':
			return 0, false, false
		case i < 9:
			billionths = billionths*10 + int64(c-'0')
		case c != '0':
			more = true
		}
	}
	for i := len(decimals); i < 9; i++ {
		billionths *= 10
	}
	if minutes >= 60 || degrees > a.limit || degrees == a.limit && (minutes > 0 || billionths > 0 || more) {
		return 0, true, false
	}
	units := minutes*1_000_000_000 + billionths
	quotient, rest := units/60, units%60
	if rest > 30 || rest == 30 && (more || quotient%2 == 1) { // whole degrees are even
		quotient++
	}
	value = Nanodegree(degrees)*Degree + Nanodegree(quotient)
	if letter == a.negative {
		value = -value
	}
	return value, true, true
}
