// Units: how a quantity is kept and how it is shown.
package words

import (
	"math"

	"merestone/internal/elementary"
)

// Unit is how a quantity is kept and how it is shown: the kept value times Scale,
// with at least so many decimals.
type Unit struct {
	Name     string  // shown behind the number
	Scale    float64 // a power of ten
	Decimals int     // at least
}

// The units in which a plan keeps its figures.
var (
	Millimetre = Unit{"m", 1e-3, 2}
	Metre      = Unit{"m", 1, 2}
	PerSecond  = Unit{"m/s", 1e-3, 2} // kept in mm/s
	Milli      = Unit{"ms", 1, 0}
	Second     = Unit{"s", 1, 0}
	Degree     = Unit{"deg", 1, 0}
	Nanodegree = Unit{"deg", 1e-9, 0}
	Percentage = Unit{"%", 100, 0}  // kept as a fraction of one
	Millionths = Unit{"%", 1e-4, 0} // kept in parts per million
	Micrometre = Unit{"mm", 1e-3, 0}
	Millivolt  = Unit{"V", 1e-3, 0}
	Ohm        = Unit{"ohm", 1, 0}
	Kilobyte   = Unit{"kB", 1e-3, 0} // kept in bytes
	Plain      = Unit{"", 1, 0}
)

// Words writes a kept value in full.
func (u Unit) Words(v float64) string {
	s := Decimal(u.Shown(v), u.Decimals)
	if u.Name == "" {
		return s
	}
	return s + " " + u.Name
}

// Shown is a kept value in the shown unit. A power of ten below one is applied by
// division, which rounds correctly where multiplying by 1e-3 does not.
func (u Unit) Shown(v float64) float64 {
	if u.Scale < 1 {
		return v / math.Round(1/u.Scale)
	}
	return Round(v*u.Scale, 12)
}

// Round rounds to so many decimals, where that is a number.
func Round(v float64, decimals int) float64 {
	p := elementary.Power(10, decimals)
	if r := math.Round(v*p) / p; !math.IsInf(r, 0) && !math.IsNaN(r) {
		return r
	}
	return v
}
