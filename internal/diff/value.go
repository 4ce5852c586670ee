// Numbers, bearings and lists in words.
package diff

import (
	"fmt"
	"math"
	"strings"

	"merestone/internal/words"
)

// number is a change of one number in a shown unit.
func number(u words.Unit, before, after float64) *Number {
	return &Number{Before: u.Shown(before), After: u.Shown(after), Delta: words.Round(u.Shown(after-before), 9), Unit: u.Name}
}

// measured is a change of a number that is kept in a unit, in words as well.
func measured[T int | int64 | float64](subject, what string, u words.Unit, before, after T) Change {
	x, y := float64(before), float64(after)
	return Change{Subject: subject, What: what, Before: u.Words(x), After: u.Words(y), Number: number(u, x, y)}
}

// judged is a change of a number with what it does to safety, as more of the named quantity
// does.
func judged[T int | int64](b *builder, name, subject, what string, u words.Unit, before, after T) Change {
	c := measured(subject, what, u, before, after)
	c.Kind = b.judge(name, float64(before), float64(after))
	return c
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
