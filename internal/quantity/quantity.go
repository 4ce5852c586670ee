// Package quantity reads and writes physical quantities that carry their unit,
// such as "0.42 m", "36 km/h" or "250 ms".
//
// A quantity is held as a whole number of a small unit (micrometres,
// nanoseconds, ...), never as a float: two spellings of one value ("30 cm",
// "0.30 m") become the same number, so that versions of a mission compare
// equal exactly when they mean the same. Each dimension is a type of its own;
// a length cannot be handed over where a speed is due.
package quantity

import (
	"fmt"
	"maps"
	"math/big"
	"regexp"
	"slices"
	"strings"
)

type (
	// Length in micrometres.
	Length int64
	// Speed in micrometres per second.
	Speed int64
	// Duration in nanoseconds.
	Duration int64
	// Angle in nanodegrees.
	Angle int64
	// Frequency in microhertz.
	Frequency int64
	// Voltage in microvolts.
	Voltage int64
	// Resistance in milliohms.
	Resistance int64
	// Ratio in parts per million; written as a percentage.
	Ratio int64
	// Size in bytes.
	Size int64
)

// Handy whole values.
const (
	Millimetre  Length     = 1_000
	Metre       Length     = 1_000_000
	Second      Duration   = 1_000_000_000
	MetrePerSec Speed      = 1_000_000
	Degree      Angle      = 1_000_000_000
	Hertz       Frequency  = 1_000_000
	Millivolt   Voltage    = 1_000
	Ohm         Resistance = 1_000
	Percent     Ratio      = 10_000
	Kilobyte    Size       = 1_000
)

// Metres returns the length in metres.
func (l Length) Metres() float64 { return float64(l) / 1e6 }

// Millimetres returns the length in millimetres. One division of a whole number
// rounds once: 2.3 cm are 23 exactly, which Metres()·1000 need not be.
func (l Length) Millimetres() float64 { return float64(l) / 1e3 }

// MM returns the length in whole millimetres, rounded to nearest, halves away
// from zero.
func (l Length) MM() int64 { return roundDiv(int64(l), 1_000) }

// CeilMM returns the length in whole millimetres, never less than the value.
// For allowances, which must not shrink when they are rounded.
func (l Length) CeilMM() int64 { return -floorDiv(-int64(l), 1_000) }

// FloorMM returns the length in whole millimetres, never more than the value.
// For tolerances, which must not grow when they are rounded.
func (l Length) FloorMM() int64 { return floorDiv(int64(l), 1_000) }

// MMPerSecond returns the speed in whole millimetres per second, rounded to
// nearest.
func (s Speed) MMPerSecond() int64 { return roundDiv(int64(s), 1_000) }

// Seconds returns the duration in seconds.
func (d Duration) Seconds() float64 { return float64(d) / 1e9 }

// MS returns the duration in whole milliseconds, rounded to nearest.
func (d Duration) MS() int64 { return roundDiv(int64(d), 1_000_000) }

// CeilMS returns the duration in whole milliseconds, never less than the value.
func (d Duration) CeilMS() int64 { return -floorDiv(-int64(d), 1_000_000) }

// Degrees returns the angle in degrees.
func (a Angle) Degrees() float64 { return float64(a) / 1e9 }

// CeilPeriodMS returns the time between two events in whole milliseconds, rounded
// up, and 0 where none was read: 1/0 as an integer is another one on each processor.
func (f Frequency) CeilPeriodMS() int64 {
	if f <= 0 {
		return 0
	}
	return (1e9-1)/int64(f) + 1
}

// MV returns the voltage in whole millivolts, rounded to nearest.
func (v Voltage) MV() int64 { return roundDiv(int64(v), 1_000) }

// Ohms returns the resistance in ohms.
func (r Resistance) Ohms() float64 { return float64(r) / 1e3 }

// Fraction returns the ratio as a fraction of one.
func (r Ratio) Fraction() float64 { return float64(r) / 1e6 }

// PPM returns the ratio in parts per million.
func (r Ratio) PPM() int64 { return int64(r) }

func (l Length) String() string     { return trimmed(int64(l), 6) + " m" }
func (s Speed) String() string      { return trimmed(int64(s), 6) + " m/s" }
func (d Duration) String() string   { return trimmed(int64(d), 9) + " s" }
func (a Angle) String() string      { return trimmed(int64(a), 9) + " deg" }
func (f Frequency) String() string  { return trimmed(int64(f), 6) + " Hz" }
func (v Voltage) String() string    { return trimmed(int64(v), 6) + " V" }
func (r Resistance) String() string { return trimmed(int64(r), 3) + " ohm" }
func (r Ratio) String() string      { return trimmed(int64(r), 4) + " %" }
func (s Size) String() string       { return trimmed(int64(s), 3) + " kB" }

// Dimension says which units a value may carry.
type Dimension struct {
	Name  string // as it is spoken of in messages: "length"
	Usual string // the unit to suggest for a bare number: "m"
	units units
}

// units are what each symbol stands for, in the small unit of its dimension: a
// numerator and a denominator.
type units map[string][2]int64

// Units lists the unit symbols accepted, in alphabetical order.
func (d Dimension) Units() []string { return slices.Sorted(maps.Keys(d.units)) }

// The dimensions. Unit symbols are those of the SI brochure (9th edition,
// tables 2, 4, 7 and 8), except that "deg" and "ohm" stand for ° and Ω so that
// a mission can be typed on any keyboard.

// Dimension accepts mm, cm, m and km.
func (Length) Dimension() Dimension {
	return Dimension{"length", "m", units{"mm": {1_000, 1}, "cm": {10_000, 1}, "m": {1_000_000, 1}, "km": {1_000_000_000, 1}}}
}

// Dimension accepts m/s, mm/s, cm/s and km/h.
func (Speed) Dimension() Dimension {
	return Dimension{"speed", "m/s", units{"m/s": {1_000_000, 1}, "cm/s": {10_000, 1}, "mm/s": {1_000, 1}, "km/h": {1_000_000_000, 3_600}}}
}

// Dimension accepts ms, s, min and h.
func (Duration) Dimension() Dimension {
	return Dimension{"duration", "s", units{"ms": {1_000_000, 1}, "s": {1_000_000_000, 1}, "min": {60_000_000_000, 1}, "h": {3_600_000_000_000, 1}}}
}

// Dimension accepts deg.
func (Angle) Dimension() Dimension {
	return Dimension{"angle", "deg", units{"deg": {1_000_000_000, 1}}}
}

// Dimension accepts Hz.
func (Frequency) Dimension() Dimension {
	return Dimension{"frequency", "Hz", units{"Hz": {1_000_000, 1}}}
}

// Dimension accepts V and mV.
func (Voltage) Dimension() Dimension {
	return Dimension{"voltage", "V", units{"V": {1_000_000, 1}, "mV": {1_000, 1}}}
}

// Dimension accepts ohm, kohm and Mohm.
func (Resistance) Dimension() Dimension {
	return Dimension{"resistance", "kohm", units{"ohm": {1_000, 1}, "kohm": {1_000_000, 1}, "Mohm": {1_000_000_000, 1}}}
}

// Dimension accepts %.
func (Ratio) Dimension() Dimension { return Dimension{"percentage", "%", units{"%": {10_000, 1}}} }

// Dimension accepts B, kB and MB, which are powers of ten, and KiB and MiB, which are
// powers of two: the prefixes of IEC 80000-13 (from memory).
func (Size) Dimension() Dimension {
	return Dimension{"size", "kB", units{"B": {1, 1}, "kB": {1_000, 1}, "MB": {1_000_000, 1}, "KiB": {1 << 10, 1}, "MiB": {1 << 20, 1}}}
}

// Fault is what was wrong with a written quantity, and what to write instead.
type Fault struct {
	Message string
	Remedy  string // empty when there is nothing sensible to suggest
}

func (f *Fault) Error() string { return f.Message }

// limit keeps every quantity, and sums and small multiples of it, inside int64.
const limit = 1_000_000_000_000_000_000 // 1e18

// Parse reads a decimal number and a unit of the dimension and returns the
// value in the dimension's small unit, rounded to nearest (only km/h and
// over-long decimals can need it). Between number and unit there may be spaces, and
// around both; not tabs or the other spaces of Unicode.
// A *Fault explains any refusal.
func Parse(text string, d Dimension) (int64, error) {
	number, unit := split(text)
	if number == "" {
		return 0, &Fault{
			Message: fmt.Sprintf("%q is not a %s", shorten(text), d.Name),
			Remedy:  fmt.Sprintf("write a decimal number and a unit, such as 1.5 %s", d.Usual),
		}
	}
	if unit == "" {
		return 0, &Fault{
			Message: fmt.Sprintf("%s has no unit, and a %s needs one", number, d.Name),
			Remedy:  fmt.Sprintf("write %s %s (units: %s)", number, d.Usual, strings.Join(d.Units(), ", ")),
		}
	}
	factor, ok := d.units[unit]
	if !ok {
		return 0, &Fault{
			Message: fmt.Sprintf("%q is not a unit of %s", shorten(unit), d.Name),
			Remedy:  fmt.Sprintf("use one of %s", strings.Join(d.Units(), ", ")),
		}
	}
	value, ok := new(big.Rat).SetString(number)
	if !ok {
		return 0, &Fault{Message: fmt.Sprintf("%q is not a decimal number", shorten(number))}
	}
	value.Mul(value, big.NewRat(factor[0], factor[1]))
	if value.Cmp(big.NewRat(limit, 1)) > 0 || value.Cmp(big.NewRat(-limit, 1)) < 0 {
		return 0, &Fault{Message: fmt.Sprintf("%s is too large for a %s", shorten(text), d.Name)}
	}
	rounded := roundRat(value)
	if rounded == 0 && value.Sign() != 0 {
		return 0, &Fault{Message: fmt.Sprintf("%s is too small to be told from zero", shorten(text))}
	}
	return rounded, nil
}

// split takes a written quantity apart into number and unit. The number is
// empty when the text does not start with a plain decimal number: no exponent,
// no NaN or infinity, no digit grouping, at most 40 characters.
func split(text string) (number, unit string) {
	text = strings.Trim(text, " ")
	number = plainNumber.FindString(text)
	if len(number) > 40 || strings.Count(number, ".") > 1 || !strings.ContainsAny(number, "0123456789") {
		return "", ""
	}
	return number, strings.Trim(text[len(number):], " ")
}

var plainNumber = regexp.MustCompile(`^[+-]?[0-9.]*`)

func shorten(s string) string {
	if len(s) > 40 {
		return s[:37] + "..."
	}
	return s
}

// roundRat rounds to the nearest whole number, halves away from zero.
func roundRat(r *big.Rat) int64 {
	num := new(big.Int).Lsh(r.Num(), 1) // 2n
	den := r.Denom()
	if r.Sign() >= 0 {
		num.Add(num, den)
	} else {
		num.Sub(num, den)
	}
	return num.Quo(num, new(big.Int).Lsh(den, 1)).Int64()
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

func roundDiv(a, b int64) int64 {
	if a < 0 {
		return -((-a + b/2) / b)
	}
	return (a + b/2) / b
}

// trimmed writes value/10^places as an exact decimal without trailing zeros.
func trimmed(value int64, places int) string {
	sign := ""
	if value < 0 {
		sign = "-"
	}
	digits := strings.TrimPrefix(fmt.Sprintf("%d", value), "-")
	if len(digits) <= places {
		digits = strings.Repeat("0", places+1-len(digits)) + digits
	}
	whole, part := digits[:len(digits)-places], digits[len(digits)-places:]
	part = strings.TrimRight(part, "0")
	if part == "" {
		return sign + whole
	}
	return sign + whole + "." + part
}
