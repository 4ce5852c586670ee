// The enumerators by which a program speaks of the mission: legs and waypoints by the
// names of their marks, so that a waypoint put in between changes numbers and no name,
// and the mission's figures as constants.
package gen

import (
	"fmt"
	"math"

	"merestone/internal/plan"
	"merestone/internal/words"
)

// enumerator is one name with its value.
type enumerator struct {
	name    string
	value   int64
	comment string
}

// unique gives every name once: the second visit of a mark, or the second mark that
// reads the same in an identifier, gets a number.
type unique map[string]bool

func (u unique) name(of string) string {
	name := of
	for n := 2; u[name]; n++ {
		name = fmt.Sprintf("%s_%d", of, n)
	}
	u[name] = true
	return name
}

// waypointNames number the waypoints in the order of their visits.
func waypointNames(p *plan.Plan) []enumerator {
	var list []enumerator
	names := unique{}
	for i, w := range p.Route.Waypoints {
		list = append(list, enumerator{name: names.name(words.Identifier(p.Survey.Marks[w.Mark].Name)), value: int64(i)})
	}
	return list
}

// legNames number the legs, each by the waypoint where it ends.
func legNames(p *plan.Plan) []enumerator {
	waypoints := waypointNames(p)
	var list []enumerator
	for i, l := range p.Route.Legs {
		list = append(list, enumerator{name: "to_" + waypoints[l.To].name, value: int64(i), comment: ascii(l.Name)})
	}
	return list
}

// constants are what a program may want to know of the mission beside its tables. Where the
// declination is not known, there is no enumerator: a program that wants it does not compile.
func constants(p *plan.Plan) []enumerator {
	list := []enumerator{
		{"width_mm", p.Machine.Rover.WidthMM, "of the body"},
		{"length_mm", p.Machine.Rover.LengthMM, "of the body"},
		{"top_speed_mm_s", p.TopSpeedMMPerS(), "of the fastest leg"},
		{"hold_reaction_ms", p.Board.Timing.HoldMS, "from letting go of a hold to the drive without power, at most"},
		{"keep_away_mm", p.KeepAway().TotalMM, "nobody nearer on any side, see CAUTIONS"},
	}
	if p.Site.Magnetic.Err == nil {
		declination := int64(math.Round(100 * p.Site.Magnetic.Field.DeclinationDeg))
		list = append(list, enumerator{"declination_cdeg", declination, fmt.Sprintf("on %s; add it to a compass heading for one from true north", p.Site.Date.Format("2006-01-02"))})
	}
	return list
}

// enumLines write an enumeration, aligned, with its comments.
func enumLines(prefix string, list []enumerator) []string {
	rows := make([]string, len(list))
	longest := 0
	for i, e := range list {
		rows[i] = fmt.Sprintf("%s_%s = %d", prefix, e.name, e.value)
		if i+1 < len(list) {
			rows[i] += ","
		}
		longest = max(longest, len(rows[i]))
	}
	for i, e := range list {
		if e.comment != "" {
			rows[i] = fmt.Sprintf("%-*s /* %s */", longest, rows[i], e.comment)
		}
	}
	return rows
}
