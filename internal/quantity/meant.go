// What a quantity that cannot be read was probably meant to be, computed: feet and
// inches, knots, exponents, decimal commas, units in other letters. All arithmetic is
// of fractions, so that what is offered is exactly what was written, down to the small
// unit of the dimension, to which Parse rounds.
package quantity

import (
	"math/big"
	"regexp"
	"slices"
	"strings"
)

// Meaning is a quantity as it is to be written.
type Meaning struct {
	Text string // what Parse reads
	// Certain says that the text can mean this alone, and that number and unit are the
	// ones written, in other letters.
	Certain bool
	Why     string // what was made of it, "" where the text says so itself
}

// Meant gives what a text that Parse refuses may mean, the likeliest first; nothing
// where there is no telling. Parse reads every one.
func Meant(text string, d Dimension) []Meaning {
	if len(text) > 80 {
		return nil
	}
	var found []Meaning
	for _, guess := range []func(string, Dimension) []Meaning{exponent, grouped, point, spelled, prefixed, sum, bare} {
		for _, m := range guess(strings.Trim(text, " "), d) {
			known := slices.ContainsFunc(found, func(f Meaning) bool { return f.Text == m.Text })
			if _, err := Parse(m.Text, d); err == nil && !known {
				found = append(found, m)
			}
		}
	}
	if len(found) > 1 { // several readings: none is certain
		for i := range found {
			found[i].Certain = false
		}
	}
	return found
}

var exponential = regexp.MustCompile(`^([+-]?[0-9]+\.?[0-9]*|[+-]?\.[0-9]+)[eE]([+-]?[0-9]{1,2})( *[^0-9 ].*)$`)

// exponent writes 4.2e-1 m out: 0.42 m.
func exponent(text string, d Dimension) []Meaning {
	part := exponential.FindStringSubmatch(text)
	if part == nil {
		return nil
	}
	value, ok := new(big.Rat).SetString(part[1] + "e" + part[2])
	if !ok {
		return nil
	}
	return []Meaning{{Text: decimal(value) + " " + strings.Trim(part[3], " "), Certain: true}}
}

// groupedNumber may have thousands set apart.
var groupedNumber = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2}(,[0-9]{3})+(\D|$)`)

// grouped gives both readings of 1,000 m: a factor of a thousand lies between them.
func grouped(text string, _ Dimension) []Meaning {
	if !groupedNumber.MatchString(text) {
		return nil
	}
	return []Meaning{
		{Text: strings.ReplaceAll(text, ",", ""), Why: "if the comma groups the digits"},
		{Text: strings.Replace(text, ",", ".", 1), Why: "if it is the decimal sign"},
	}
}

// point puts a decimal point in place of a comma.
func point(text string, _ Dimension) []Meaning {
	if strings.Count(text, ",") != 1 || groupedNumber.MatchString(text) {
		return nil
	}
	return []Meaning{{Text: strings.Replace(text, ",", ".", 1), Certain: true, Why: "with a decimal point"}}
}

// spellings are other ways to write the units of the dimensions, each of one meaning.
// The symbols are from the SI brochure, 9th edition; the words from memory.
var spellings = map[string]string{
	"meter": "m", "meters": "m", "metre": "m", "metres": "m", "mtr": "m", "mtrs": "m",
	"centimeter": "cm", "centimeters": "cm", "centimetre": "cm", "centimetres": "cm", "cms": "cm",
	"millimeter": "mm", "millimeters": "mm", "millimetre": "mm", "millimetres": "mm", "mms": "mm",
	"kilometer": "km", "kilometers": "km", "kilometre": "km", "kilometres": "km", "kms": "km",
	"mps": "m/s", "m/sec": "m/s", "metres/s": "m/s", "meters/s": "m/s", "cm/sec": "cm/s", "mm/sec": "mm/s",
	"kmh": "km/h", "kph": "km/h", "km/hr": "km/h", "kmph": "km/h", "km/hour": "km/h",
	"sec": "s", "secs": "s", "second": "s", "seconds": "s",
	"msec": "ms", "msecs": "ms", "millisecond": "ms", "milliseconds": "ms",
	"mins": "min", "minute": "min", "minutes": "min", "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
	"°": "deg", "degree": "deg", "degrees": "deg", "degs": "deg",
	"hertz": "Hz", "volt": "V", "volts": "V", "millivolt": "mV", "millivolts": "mV",
	"ω": "ohm", "ohms": "ohm", "kω": "kohm", "kohms": "kohm", "percent": "%", "per cent": "%",
	"byte": "B", "bytes": "B",
}

// spelled finds the unit by another spelling, or in other letters.
func spelled(text string, d Dimension) []Meaning {
	number, unit := split(text)
	if number == "" || unit == "" {
		return nil
	}
	whole := strings.TrimSuffix(unit, ".") // of a sentence, or of an abbreviation
	if _, ok := d.units[whole]; ok {
		return []Meaning{{Text: number + " " + whole, Certain: true}}
	}
	if own := spellings[strings.ToLower(whole)]; own != "" && !strings.HasPrefix(whole, "M") {
		if _, ok := d.units[own]; ok {
			return []Meaning{{Text: number + " " + own, Certain: true}}
		}
	}
	var found []Meaning
	for _, own := range d.Units() {
		if strings.EqualFold(own, whole) {
			found = append(found, Meaning{Text: number + " " + own, Certain: sameUnit(own, whole)})
		}
	}
	return found
}

// sameUnit reports whether letters of another case can hardly mean another unit. Before a
// unit m and M are milli and mega, and b and B are bit and byte: of those only what is no
// unit of its own is the same, such as MM and MS.
func sameUnit(own, written string) bool {
	capitals := strings.ToUpper(own) == written
	switch {
	case strings.Contains(own, "B"):
		return own == "kB" && written == "KB"
	case own == "m", own == "m/s", own == "min", own[0] == written[0]:
		return true
	case own[0] == 'm':
		return capitals && (own == "mm" || own == "ms" || own == "mm/s")
	}
	return own[0] != 'M'
}

// foreign is a unit that no mission has: how many of a small unit of the dimension it is,
// and the unit in which it is offered.
type foreign struct {
	dimension string
	numerator int64
	divisor   int64
	offered   string
}

// foreigns are by the small units of this package. The international foot of 0.3048 m,
// with the inch a twelfth of it, the yard three and the mile 5280: NIST Special
// Publication 811 (2008), appendix B; the knot of 1852 m an hour: the SI brochure,
// 8th edition, table 8 (both from memory). All of them are exact.
var foreigns = map[string]foreign{
	"ft": {"length", 304_800, 1, "m"}, "foot": {"length", 304_800, 1, "m"}, "feet": {"length", 304_800, 1, "m"}, "'": {"length", 304_800, 1, "m"}, "′": {"length", 304_800, 1, "m"}, "’": {"length", 304_800, 1, "m"},
	"in": {"length", 25_400, 1, "m"}, "inch": {"length", 25_400, 1, "m"}, "inches": {"length", 25_400, 1, "m"}, `"`: {"length", 25_400, 1, "m"}, "″": {"length", 25_400, 1, "m"}, "”": {"length", 25_400, 1, "m"}, "''": {"length", 25_400, 1, "m"},
	"yd": {"length", 914_400, 1, "m"}, "yard": {"length", 914_400, 1, "m"}, "yards": {"length", 914_400, 1, "m"}, "yds": {"length", 914_400, 1, "m"},
	"mi": {"length", 1_609_344_000, 1, "m"}, "mile": {"length", 1_609_344_000, 1, "m"}, "miles": {"length", 1_609_344_000, 1, "m"},
	"dm": {"length", 100_000, 1, "m"}, "um": {"length", 1, 1, "mm"}, "µm": {"length", 1, 1, "mm"}, "μm": {"length", 1, 1, "mm"},

	"ft/s": {"speed", 304_800, 1, "m/s"}, "fps": {"speed", 304_800, 1, "m/s"}, "ft/min": {"speed", 304_800, 60, "m/s"}, "in/s": {"speed", 25_400, 1, "m/s"},
	"mph": {"speed", 447_040, 1, "m/s"}, "mi/h": {"speed", 447_040, 1, "m/s"},
	"kt": {"speed", 1_852_000_000, 3600, "km/h"}, "kts": {"speed", 1_852_000_000, 3600, "km/h"}, "kn": {"speed", 1_852_000_000, 3600, "km/h"}, "knot": {"speed", 1_852_000_000, 3600, "km/h"}, "knots": {"speed", 1_852_000_000, 3600, "km/h"},
	"m/min": {"speed", 1_000_000, 60, "m/s"},

	"us": {"duration", 1_000, 1, "ms"}, "µs": {"duration", 1_000, 1, "ms"}, "μs": {"duration", 1_000, 1, "ms"}, "ns": {"duration", 1, 1, "ms"}, "d": {"duration", 86_400_000_000_000, 1, "h"}, "day": {"duration", 86_400_000_000_000, 1, "h"}, "days": {"duration", 86_400_000_000_000, 1, "h"},

	"khz": {"frequency", 1_000_000_000, 1, "Hz"}, "mhz": {"frequency", 1_000_000_000_000, 1, "Hz"}, "1/s": {"frequency", 1_000_000, 1, "Hz"},
	"kv": {"voltage", 1_000_000_000, 1, "V"},
	"r":  {"resistance", 1_000, 1, "ohm"}, "k": {"resistance", 1_000_000, 1, "kohm"},
}

// token is a number, which may be a fraction such as 1/2, and what stands behind it.
var token = regexp.MustCompile(`^ *([0-9]+\.?[0-9]*|\.[0-9]+)(?: *([0-9]+)/([0-9]+)|/([0-9]+))? *([^0-9. ,+-][^0-9.,+-]*)`)

// sum adds up numbers with units that stand behind each other: 40 ft 6 in, 1 min 30 s. A
// single one is converted. Nothing of it is certain: who wrote feet is to see metres.
func sum(text string, d Dimension) []Meaning {
	rest, sign := text, ""
	if text != "" && (text[0] == '-' || text[0] == '+') {
		rest, sign = text[1:], strings.Trim(text[:1], "+")
	}
	total, offered := new(big.Rat), ""
	parts, last := 0, new(big.Rat) // the unit of the one before
	for rest != "" {
		part := token.FindStringSubmatch(rest)
		if part == nil {
			return nil
		}
		unit := strings.Trim(part[5], " ")
		size, show, ok := sizeOf(unit, d)
		if !ok || parts > 0 && size.Cmp(last) >= 0 { // 6 in 40 ft is no length that anybody writes
			return nil
		}
		value, ok := new(big.Rat).SetString(part[1])
		if !ok {
			return nil
		}
		switch {
		case part[2] != "":
			f, ok := fraction(part[2], part[3])
			if !ok || strings.Contains(part[1], ".") {
				return nil
			}
			value.Add(value, f)
		case part[4] != "":
			f, ok := fraction(part[1], part[4])
			if !ok {
				return nil
			}
			value = f
		}
		total.Add(total, value.Mul(value, size))
		if offered == "" {
			offered = show
		}
		parts, last = parts+1, size
		rest = rest[len(part[0]):]
	}
	if parts == 0 {
		return nil
	}
	target := d.units[offered]
	total.Mul(total, big.NewRat(target[1], target[0]))
	return []Meaning{{Text: sign + decimal(total) + " " + offered}}
}

// sizeOf is how many small units a unit is, and in which it is offered.
func sizeOf(unit string, d Dimension) (size *big.Rat, offered string, ok bool) {
	if own, ok := d.units[unit]; ok {
		return big.NewRat(own[0], own[1]), d.Usual, true
	}
	f, ok := foreigns[unit]
	if !ok {
		f, ok = foreigns[strings.ToLower(strings.TrimSuffix(unit, "."))]
	}
	if !ok || f.dimension != d.Name || unit == "mHz" {
		return nil, "", false
	}
	return big.NewRat(f.numerator, f.divisor), f.offered, true
}

func fraction(numerator, divisor string) (*big.Rat, bool) {
	if len(numerator) > 6 || len(divisor) > 6 || strings.Trim(divisor, "0") == "" || strings.Contains(numerator, ".") {
		return nil, false
	}
	return new(big.Rat).SetString(numerator + "/" + divisor)
}

// prefixed reads values of resistors as they are printed on schematics, 4k7 and 330R
// (IEC 60062, from memory).
func prefixed(text string, d Dimension) []Meaning {
	part := letterCode.FindStringSubmatch(text)
	if part == nil || d.Name != "resistance" {
		return nil
	}
	unit := map[string]string{"R": "ohm", "r": "ohm", "k": "kohm", "K": "kohm", "M": "Mohm"}[part[2]]
	number := part[1]
	if part[3] != "" {
		number += "." + part[3]
	}
	return []Meaning{{Text: number + " " + unit}}
}

var letterCode = regexp.MustCompile(`^([0-9]{1,6})([RrkKM])([0-9]{0,3})$`)

// bare gives a number that has none the usual unit.
func bare(text string, d Dimension) []Meaning {
	number, unit := split(text)
	if number == "" || unit != "" {
		return nil
	}
	return []Meaning{{Text: number + " " + d.Usual, Why: "if that is its unit"}}
}

// decimal writes a fraction out, exactly where it ends within twelve decimals.
func decimal(r *big.Rat) string {
	text := r.FloatString(12)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}
