// Rule site.headroom: the rover fits beneath what it drives under.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/words"
)

// headroomRule compares with the antenna, which is the highest part of a rover that the
// mission speaks of.
func headroomRule() Rule {
	return newRule("site.headroom", diag.Error, "the antenna passes beneath what is overhead", func(v *view, report func(diag.Finding)) {
		antenna := v.Machine.Rover.AntennaHeightMM
		for n, o := range v.Site.Overhead {
			free, how := o.HeadroomMM, "%s leaves %s of headroom, and the antenna is %s above the ground; beneath it passes %s"
			if free == 0 { // not said, but no more than its height
				free, how = o.HeightMM, "%s is %s high, and the antenna is %s above the ground; beneath it passes %s"
			}
			var legs []diag.Subject
			for i, areas := range v.beneath {
				for _, m := range areas {
					if m == n {
						legs = append(legs, v.Subject(diag.Leg, i))
					}
				}
			}
			if len(legs) == 0 || v.keeps(limit{diag.Error, "headroom", words.Millimetre}, v.OverheadSubject(n), float64(free), float64(antenna)) {
				continue
			}
			f := at(o.Source, how, v.OverheadSubject(n), words.MM(free), words.MM(antenna), legs[0])
			if len(legs) > 1 {
				f.Add(", and so do %s", diag.Names(legs[1:], ", "))
			}
			f.Remedy = "lead the route around it"
			f.Numbers = []diag.Number{metre("headroom", float64(free)), metre("antenna", float64(antenna)), {Name: "legs", Value: float64(len(legs)), Unit: "1"}}
			report(f)
		}
	})
}
