// The figures of marks that are measured from others, and of rows and rings of them. Where
// such a mark lies is judged by the legs and the fence that use it, as for any mark; how
// it was measured has no sign.
package figures

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"merestone/internal/plan"
	"merestone/internal/words"
)

// measuredFigures say how a mark lies to others.
func measuredFigures() []Figure {
	given := func(get func(m plan.Measured) float64, forms ...plan.Form) (getter[float64], func(p *plan.Plan, i int) bool) {
		return func(p *plan.Plan, i int) float64 { return get(p.Survey.Marks[i].Measured) },
			func(p *plan.Plan, i int) bool { return slices.Contains(forms, p.Survey.Marks[i].Measured.Form) }
	}
	length := func(key, what string, get func(m plan.Measured) float64, forms ...plan.Form) Figure {
		value, there := given(get, forms...)
		return number("marks.NAME."+key, what, words.Millimetre, Neutral, usedBy, value).onlyIf(there)
	}
	angle := func(key, what string, magnetic bool, get func(m plan.Measured) float64) Figure {
		value, there := given(get, plan.Ray)
		return number("marks.NAME."+key, what, words.Degree, Neutral, usedBy, value).
			onlyIf(func(p *plan.Plan, i int) bool {
				return there(p, i) && p.Survey.Marks[i].Measured.Given.Magnetic == magnetic
			})
	}
	base := func(key, what string, number int, forms ...plan.Form) Figure {
		return word("marks.NAME."+key, what, "another mark is leaned on", func(p *plan.Plan, i int) string {
			m := p.Survey.Marks[i].Measured
			if !slices.Contains(forms, m.Form) || number >= len(m.From) {
				return ""
			}
			return p.Survey.Marks[m.From[number]].Name
		}).look()
	}
	spread, isRay := given(func(m plan.Measured) float64 { return m.Given.BearingStdDeg }, plan.Ray)
	reach, _ := given(func(m plan.Measured) float64 { return m.Given.DistanceStdMM }, plan.Ray)
	tapes := Figure{Key: "marks.NAME.tapes", What: "tapes", Why: "what they lead to is judged by the legs and the fence, and how sure they are only a person can tell", More: Look, get: func(p *plan.Plan, i int) Value {
		var list []string
		m := p.Survey.Marks[i].Measured
		for k, t := range m.Given.Tapes {
			if k < len(m.From) {
				list = append(list, fmt.Sprintf("%s from %s, uncertainty %s", words.Millimetre.Words(t.DistanceMM), p.Survey.Marks[m.From[k]].Name, words.Millimetre.Words(t.StdMM)))
			}
		}
		return Value{Said: len(list) > 0, List: list}
	}}
	return []Figure{
		base("from", "measured from", 0, plan.Step, plan.Ray, plan.Beside),
		length("east", "east", func(m plan.Measured) float64 { return m.Given.EastMM }, plan.InFrame, plan.Step),
		length("north", "north", func(m plan.Measured) float64 { return m.Given.NorthMM }, plan.InFrame, plan.Step),
		angle("bearing", "bearing", false, func(m plan.Measured) float64 { return m.Given.BearingDeg }),
		angle("magnetic_bearing", "magnetic bearing", true, func(m plan.Measured) float64 { return m.Given.BearingDeg }),
		number("marks.NAME.bearing_uncertainty", "uncertainty of the bearing", words.Degree, Tightens, leaned, spread).onlyIf(isRay),
		word("marks.NAME.date", "day of the compass reading", "for the declination", func(p *plan.Plan, i int) string {
			g := p.Survey.Marks[i].Measured.Given
			if !g.Magnetic || g.Date.Equal(p.Site.Date) {
				return ""
			}
			return g.Date.Format(time.DateOnly)
		}),
		length("distance", "distance", func(m plan.Measured) float64 { return m.Given.DistanceMM }, plan.Ray),
		number("marks.NAME.distance_uncertainty", "uncertainty of the distance", words.Millimetre, Tightens, leaned, reach).onlyIf(isRay),
		tapes,
		word("marks.NAME.side", "side", usedBy, func(p *plan.Plan, i int) string {
			m := p.Survey.Marks[i].Measured
			if m.Form != plan.Tapes {
				return ""
			}
			return side(m.Given.Left)
		}).look(),
		base("towards", "along the line towards", 1, plan.Beside),
		length("chainage", "chainage", func(m plan.Measured) float64 { return m.Given.ChainageMM }, plan.Beside),
		length("right", "right of the line", func(m plan.Measured) float64 { return m.Given.RightMM }, plan.Beside).usually(0),
	}
}

// usually leaves a figure out of the text where it has this value.
func (f Figure) usually(v float64) Figure {
	f.usual = func(*plan.Plan) Value { return amountOf(v) }
	return f
}

func side(left bool) string {
	if left {
		return "left"
	}
	return "right"
}

func markName(p *plan.Plan, i int) string {
	if i < 0 {
		return ""
	}
	return p.Survey.Marks[i].Name
}

func rowFigures() []Figure {
	of := func(get func(r plan.Row) float64) getter[float64] {
		return func(p *plan.Plan, i int) float64 { return get(p.Survey.Rows[i]) }
	}
	const leads = "another line is leaned on"
	return []Figure{
		number("rows[].count", "marks", words.Plain, Neutral, usedBy, of(func(r plan.Row) float64 { return float64(r.Count) })),
		word("rows[].from", "from", leads, func(p *plan.Plan, i int) string { return markName(p, p.Survey.Rows[i].From) }).look(),
		word("rows[].towards", "towards", leads, func(p *plan.Plan, i int) string { return markName(p, p.Survey.Rows[i].Towards) }).look(),
		number("rows[].first", "chainage of the first", words.Millimetre, Neutral, usedBy, of(func(r plan.Row) float64 { return r.FirstMM })),
		number("rows[].step", "step", words.Millimetre, Neutral, usedBy, of(func(r plan.Row) float64 { return r.StepMM })),
		number("rows[].right", "right of the line", words.Millimetre, Neutral, usedBy, of(func(r plan.Row) float64 { return r.RightMM }), 0),
		number("rows[].uncertainty", "uncertainty", words.Millimetre, Tightens, leaned, of(func(r plan.Row) float64 { return r.UncertaintyMM })),
	}
}

func cornerFigures() []Figure {
	of := func(get func(r plan.Ring) float64) getter[float64] {
		return func(p *plan.Plan, i int) float64 { return get(p.Survey.Rings[i]) }
	}
	const leads = "another line is leaned on"
	return []Figure{
		word("rings[].from", "from", leads, func(p *plan.Plan, i int) string { return markName(p, p.Survey.Rings[i].From) }).look(),
		word("rings[].towards", "towards", leads, func(p *plan.Plan, i int) string { return markName(p, p.Survey.Rings[i].Towards) }).look(),
		number("rings[].chainage", "chainage of the first corner", words.Millimetre, Neutral, usedBy, of(func(r plan.Ring) float64 { return r.ChainageMM }), 0),
		number("rings[].right", "right of the line", words.Millimetre, Neutral, usedBy, of(func(r plan.Ring) float64 { return r.RightMM }), 0),
		number("rings[].length", "length", words.Millimetre, Neutral, usedBy, of(func(r plan.Ring) float64 { return r.LengthMM })).unless(0),
		{Key: "rings[].widths", What: "widths", Why: usedBy, get: func(p *plan.Plan, i int) Value {
			r := p.Survey.Rings[i]
			return Value{Said: true, Word: words.Millimetre.Words(r.NearMM) + ", " + words.Millimetre.Words(r.FarMM)}
		}},
		word("rings[].side", "side", usedBy, func(p *plan.Plan, i int) string { return side(p.Survey.Rings[i].Left) }).look(),
		number("rings[].uncertainty", "uncertainty", words.Millimetre, Tightens, leaned, of(func(r plan.Ring) float64 { return r.UncertaintyMM })),
	}
}

// Rows and rings stand in the order of their names, as marks do.
func rowItems(p *plan.Plan) []Item {
	return byName(itemsOf(p.Survey.Rows, func(r plan.Row) string { return r.Name }))
}

func ringItems(p *plan.Plan) []Item {
	return byName(itemsOf(p.Survey.Rings, func(r plan.Ring) string { return r.Name }))
}

func byName(items []Item) []Item {
	slices.SortStableFunc(items, func(a, b Item) int { return strings.Compare(a.Name, b.Name) })
	return items
}
