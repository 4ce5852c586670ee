// Quantities in words: metres, metres a second, milliseconds, degrees. A number
// is written with as many decimals as it has, two at least for metres, so that
// two different numbers never read the same.
package diff

import (
	"fmt"
	"math"
	"strings"

	"merestone/internal/words"
)

// unit is how a quantity is kept in the plan and how it is shown.
type unit struct {
	name     string  // shown
	scale    float64 // kept value times scale is the shown one
	decimals int     // at least
}

// The units of the plan.
var (
	millimetre = unit{"m", 1e-3, 2}
	metre      = unit{"m", 1, 2}
	perSecond  = unit{"m/s", 1e-3, 2}
	milli      = unit{"ms", 1, 0}
	second     = unit{"s", 1, 0}
	degree     = unit{"deg", 1, 0}
	percent    = unit{"%", 100, 0}
	micrometre = unit{"mm", 1e-3, 0}
	plain      = unit{"", 1, 0}
)

// words writes a kept value.
func (u unit) words(v float64) string {
	s := words.Decimal(u.shown(v), u.decimals)
	if u.name == "" {
		return s
	}
	return s + " " + u.name
}

// shown is a kept value in the shown unit. The scale of a thousandth is applied
// by division, which rounds correctly where multiplying by 1e-3 does not.
func (u unit) shown(v float64) float64 {
	if u.scale == 1e-3 {
		return v / 1000
	}
	return round(v*u.scale, 12)
}

func round(v float64, decimals int) float64 {
	p := math.Pow(10, float64(decimals))
	if r := math.Round(v*p) / p; !math.IsInf(r, 0) && !math.IsNaN(r) {
		return r
	}
	return v
}

// number is a change of one number in a shown unit.
func (u unit) number(before, after float64) *Number {
	return &Number{Before: u.shown(before), After: u.shown(after), Delta: round(u.shown(after-before), 9), Unit: u.name}
}

// bearing writes a bearing as surveyors do, in three figures.
func bearing(deg float64) string {
	return fmt.Sprintf("%03d deg", int(math.Round(deg))%360)
}

// movedBy writes a distance moved: metres with two decimals, millimetres below
// 10 cm, tenths of them below 1 mm.
func movedBy(m float64) string {
	switch {
	case m >= 0.1:
		return fmt.Sprintf("%.2f m", m)
	case m >= 0.001:
		return fmt.Sprintf("%.3f m", m)
	default:
		return fmt.Sprintf("%.1f mm", m*1000)
	}
}

// list writes names with commas, the middle left out when there are many.
func list(names []string) string {
	const most = 8
	if len(names) > most {
		return fmt.Sprintf("%s ... %s (%d)", strings.Join(names[:most-3], ", "), strings.Join(names[len(names)-2:], ", "), len(names))
	}
	return strings.Join(names, ", ")
}
