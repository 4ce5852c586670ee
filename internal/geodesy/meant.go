// What a latitude or longitude that is not read was probably meant to be: the notations
// of receivers, maps and other programs, put into one that is read. Digits stay as they
// are, so that value and resolution are those that were written.
package geodesy

import (
	"regexp"
	"strings"
)

// Meaning is a latitude or longitude as it is to be written.
type Meaning struct {
	Text string
	// Certain says that what was written can be read in this way alone.
	Certain bool
}

// MeantLatitude gives what a text that ParseLatitude refuses may mean; nothing where
// there is no telling. ParseLatitude reads each.
func MeantLatitude(text string) []Meaning { return latitudeAxis.meant(text) }

// MeantLongitude is MeantLatitude for longitudes.
func MeantLongitude(text string) []Meaning { return longitudeAxis.meant(text) }

// meantText is an angle in any of the notations, without its hemisphere: one to three
// numbers with their marks, or spaces, colons or letters in place of marks.
var meantText = regexp.MustCompile(`^([+-]?)([0-9]+(?:\.[0-9]+)?)(?: *(?:°|º|˚|d|deg) *| *: *| +|$)(?:([0-9]+(?:\.[0-9]+)?)(?: *(?:'|′|’|‘|m|min) *| *: *| +|$)(?:([0-9]+(?:\.[0-9]+)?) *(?:"|″|”|“|''|′′|s|sec)?)?)?$`)

func (a axis) meant(text string) []Meaning {
	if len(text) > maxAngleLength {
		return nil
	}
	plain := strings.Map(func(r rune) rune {
		switch r {
		case '\u2212', '\u2013':
			return '-'
		case '\u00a0', '\t':
			return ' '
		}
		return r
	}, text)
	if strings.Count(plain, ",") == 1 && !strings.Contains(plain, ".") {
		plain = strings.Replace(plain, ",", ".", 1) // the decimal sign
	}
	body, letter, lower := a.anyHemisphere(strings.Trim(plain, " "))
	parts := meantText.FindStringSubmatch(body)
	if parts == nil || letter != 0 && parts[1] != "" {
		return nil
	}
	sign, degrees, minutes, seconds := parts[1], parts[2], parts[3], parts[4]
	certain := !lower
	if minutes == "" && letter != 0 || minutes == "" && len(whole(degrees)) > 3 {
		if packed, unpacked, sure := a.unpack(degrees); packed {
			degrees, minutes, seconds = unpacked[0], unpacked[1], unpacked[2]
			certain = certain && sure
		}
	}
	if minutes == "" && (letter == 0 || sign != "") { // decimal degrees with something around them
		return a.readable(Meaning{sign + degrees, true})
	}
	if letter == 0 { // north and east go without saying by a sign alone
		letter, certain = a.positive, false
		if sign == "-" {
			letter = a.negative
		}
	}
	if minutes == "" { // 45.5 N: the degrees as they are
		return a.readable(Meaning{degrees + "°" + string(letter), certain})
	}
	out := degrees + "°" + minutes + "'"
	if seconds != "" {
		out += seconds + `"`
	}
	return a.readable(Meaning{out + string(letter), certain})
}

// anyHemisphere takes a hemisphere letter off, which stands before or behind.
func (a axis) anyHemisphere(text string) (rest string, letter byte, lower bool) {
	letters := string([]byte{a.positive, a.negative})
	if text == "" {
		return text, 0, false
	}
	first, last := text[0], text[len(text)-1]
	switch {
	case strings.IndexByte(letters, upper(last)) >= 0:
		rest, letter = text[:len(text)-1], last
	case strings.IndexByte(letters, upper(first)) >= 0:
		rest, letter = text[1:], first
	default:
		return text, 0, false
	}
	// A small s behind a number may stand for seconds.
	return strings.Trim(rest, " ,"), upper(letter), letter == 's'
}

func upper(letter byte) byte {
	if letter >= 'a' && letter <= 'z' {
		return letter - 'a' + 'A'
	}
	return letter
}

func whole(number string) string {
	before, _, _ := strings.Cut(number, ".")
	return before
}

// unpack takes degrees and minutes apart that a receiver writes as one number: ddmm.mmmm
// and dddmm.mmmm, the form of NMEA 0183 (from memory), and ddmmss.ss and dddmmss.ss of
// ISO 6709, annex H (from memory). It is sure where there are as many digits as the form
// has; a program that takes numbers for numbers leaves zeros before them out.
func (a axis) unpack(number string) (packed bool, parts [3]string, sure bool) {
	digits := whole(number)
	degrees := a.degreeDigits()
	switch n := len(digits); {
	case n == degrees+2 || n == degrees+1 && n > 3:
		at := n - 2
		return true, [3]string{digits[:at], number[at:], ""}, n == degrees+2
	case n == degrees+4:
		return true, [3]string{digits[:degrees], digits[degrees : degrees+2], number[degrees+2:]}, true
	}
	return false, parts, false
}

// readable is the meaning, if it is read.
func (a axis) readable(m Meaning) []Meaning {
	if _, err := a.read(m.Text); err != nil {
		return nil
	}
	return []Meaning{m}
}
