// Numbers as their digits: of JSON, of XML and of tables, made plain decimals without an
// exponent, and these made nanodegrees and micrometres. No float is between, so that what
// was written is what is read.
package interchange

import (
	"regexp"
	"strconv"
	"strings"

	"merestone/internal/geodesy"
)

// decimal is a number of JSON or of XML Schema's decimal and double, but for its words for
// what is no number.
var decimal = regexp.MustCompile(`^([+-]?)([0-9]*)(?:\.([0-9]*))?(?:[eE]([+-]?[0-9]{1,3}))?$`)

// maxExponent keeps a number that is written out to what is read of one anyway.
const maxExponent = 40

// longest is how many characters of a number are looked at one by one.
const longest = 40

// plain writes a number without an exponent and with a digit before the point; ok is false
// for what is no number, or one with more digits than any coordinate.
func plain(text string) (number string, ok bool) {
	m := decimal.FindStringSubmatch(text)
	if m == nil || m[2]+m[3] == "" || len(text) > maxText {
		return "", false
	}
	sign, whole, fraction := m[1], m[2], m[3]
	if m[4] != "" {
		exponent, err := strconv.Atoi(m[4])
		if err != nil || exponent > maxExponent || exponent < -maxExponent {
			return "", false
		}
		if exponent > 0 {
			fraction += strings.Repeat("0", max(exponent-len(fraction), 0))
			whole, fraction = whole+fraction[:exponent], fraction[exponent:]
		} else {
			whole = strings.Repeat("0", max(-exponent-len(whole), 0)) + whole
			at := len(whole) + exponent
			whole, fraction = whole[:at], whole[at:]+fraction
		}
	}
	if whole = strings.TrimLeft(whole, "0"); whole == "" {
		whole = "0"
	}
	if sign == "+" {
		sign = ""
	}
	if fraction != "" {
		whole += "." + fraction
	}
	return sign + whole, true
}

// axis is latitude or longitude.
type axis struct {
	name  string
	parse func(string) (geodesy.Coordinate, error)
	meant func(string) []geodesy.Meaning
}

func latitude() axis { return axis{"latitude", geodesy.ParseLatitude, geodesy.MeantLatitude} }

func longitude() axis { return axis{"longitude", geodesy.ParseLongitude, geodesy.MeantLongitude} }

// angle reads a coordinate. People write those of tables, in any notation that can be read
// in one way alone; programs write decimals.
func (r *reading) angle(a axis, text string, line int, byPeople bool) (geodesy.Coordinate, error) {
	number, isNumber := plain(text)
	if !isNumber {
		if !byPeople {
			return geodesy.Coordinate{}, fault(line, "%s %q is no decimal number", a.name, shown(text))
		}
		number = text
	} else if whole, fraction, _ := strings.Cut(number, "."); len(number) > longest && len(whole) < longest {
		// Digits beyond any use, as of 1/3. Of what is cut off it matters whether it is zero.
		if number = whole + "." + strings.TrimRight(fraction, "0"); len(number) > longest {
			number = number[:longest] + "1"
		}
	}
	read, err := a.parse(number)
	if err != nil && byPeople {
		if meant := a.meant(number); len(meant) == 1 && meant[0].Certain {
			if read, err = a.parse(meant[0].Text); err == nil {
				r.count(otherNotation, line)
			}
		}
	}
	if err != nil {
		return read, fault(line, "%v", err)
	}
	if _, fraction, _ := strings.Cut(number, "."); isNumber && len(strings.TrimRight(fraction, "0")) > 9 {
		r.count(roundedAngle, line)
	}
	return read, nil
}

// place reads a latitude and a longitude. Where the first can be none, and the other way
// round both can be, the file has them in each other's place; that is for the user to say.
func (r *reading) place(lat, lon string, line int, byPeople bool) (p Point, err error) {
	if r.opt.Swapped {
		r.count(swappedPair, line)
		lat, lon = lon, lat
	}
	p.Line = line
	if p.Latitude, err = r.angle(latitude(), lat, line, byPeople); err != nil {
		if _, beyond := latitude().tryAs(longitude(), lat); beyond {
			if _, fits := longitude().tryAs(latitude(), lon); fits {
				return p, fault(line, "latitude %s can be none, and longitude %s could be one: where they are in each other's place, say --swap", shown(lat), shown(lon))
			}
		}
		return p, err
	}
	p.Longitude, err = r.angle(longitude(), lon, line, byPeople)
	return p, err
}

// tryAs reads a text as a coordinate of the other axis.
func (a axis) tryAs(other axis, text string) (geodesy.Coordinate, bool) {
	if number, ok := plain(text); ok {
		text = number
	}
	c, err := other.parse(text)
	return c, err == nil
}

// shown is a text of the file, cut to what a line has room for.
func shown(text string) string {
	if runes := []rune(text); len(runes) > 40 {
		return string(runes[:37]) + "..."
	}
	return text
}
