// What each rule reads of a mission: by that a finding can be told although other keys
// are not known. A rule that is not in the table reads everything, and waits for the last
// error of the language.
//
// Paths are those of keys, with [] for any entry of a list and * for any name; a path
// stands for all within it. TestNothingIsToldThatIsNotSo breaks every key of missions in
// turn, and puts other values in its place, to find a rule that reads more than it says.
package pipeline

import (
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/spec"
)

// Parts of a mission that are read together.
var (
	// place is that of a mark in the local frame; that the mark is known is asked where it
	// is named.
	place = []string{"site.origin", spec.Ties}
	// grounds are the fence and the way of the route through it.
	fenced  = join(place, []string{"geofence"})
	way     = join(place, []string{"route.waypoints", "route.closed"})
	grounds = join(fenced, way)
	// speeds are those of the route, with what the rover can do.
	speeds = join(way, []string{"route.speed", "rover", "commissioning.coast"})
	// wiring is all of the holds' circuits and the path to the motors.
	wiring = []string{"holds", "drive_path", "board"}
	// timing is what a stop takes.
	timing = []string{"holds[].name", "holds[].debounce", "holds[].stop_filter", "holds[].radio",
		"drive_path[].opened_by", "drive_path[].off_delay", "board.loop", "commissioning.stopping", "commissioning.coast"}
	// driving is all that goes into where the rover may be, and whether it comes to rest there.
	driving = join(grounds, speeds, timing, []string{"confidence", "site.slope", "base", "receiver", "route", spec.UsedUncertainty, spec.UsedHeight})
)

// reads is what rules read that do not read everything.
func reads() map[diag.ID][]string {
	return map[diag.ID][]string{
		"geometry.pole":             {"site.origin"},
		"geometry.extent":           place,
		"geometry.antimeridian":     place,
		"geometry.exchanged":        join(place, []string{"marks"}),
		"geometry.ring":             join(fenced, []string{"site.overhead"}),
		"geometry.obstacle-outside": fenced,
		"geometry.leg-outside":      grounds,
		"geometry.leg-obstacle":     grounds,
		"geometry.clearance":        driving,
		"geometry.zero-leg":         way,
		"geometry.duplicate-leg":    way,
		"geometry.short-leg":        driving,
		"arrival.tolerance":         driving,
		"arrival.coast":             driving,
		"arrival.turn":              driving,
		"arrival.speed":             speeds,
		"arrival.stale":             driving,
		"line.cross-track":          driving,
		"slope.rolls":               join(speeds, []string{"site.slope", spec.UsedHeight}),
		"slope.bound":               join(way, []string{"site.slope", spec.UsedHeight}),
		"slope.tilt":                {"site.slope", "rover", "commissioning.coast"},
		"slope.taped":               join(speeds, []string{"site.slope", spec.UsedHeight}),
		"precision.conversion":      join(grounds, []string{"route", "rover.coast", "commissioning.coast"}),
		"precision.decimals":        join(place, []string{"base", "receiver", "route", "marks.*.uncertainty"}),
		"precision.height":          join(place, []string{"marks"}),
		"tape.distance":             join(place, []string{"confidence", "base", "receiver", "tape"}),
		"holds.none":                join(wiring, []string{"route"}),
		"holds.pin":                 wiring,
		"holds.category":            {"holds"},
		"holds.wire-break":          wiring,
		"holds.emergency-stop":      wiring,
		"holds.single-part":         wiring,
		"holds.single-fault":        wiring,
		"holds.times":               wiring,
		"holds.stopping":            driving,
		"holds.dwell":               join(way, []string{"holds", "route"}),
		"commissioning.record":      join(wiring, []string{"commissioning", "site.date"}),
		"commissioning.stopping":    join(driving, []string{"commissioning"}),
		"base.shift":                driving,
		"base.control-marks":        join(fenced, []string{"base"}),
		"base.control-near":         join(place, []string{"base"}),
		"magnetic.declination":      {"site.origin", "site.date", "rover.compass"},
		"magnetic.compass":          {"rover"},
		"site.sky":                  join(grounds, []string{"site.overhead", "rover.antenna", "receiver.required"}),
		"site.headroom":             join(way, []string{"site.overhead", "rover.antenna"}),
		"site.reflection":           grounds,
	}
}

func join(lists ...[]string) []string { return slices.Concat(lists...) }

// figures is the rule whose findings are each about one figure, and read no more than the
// block that it stands in.
const figures diag.ID = "plausible.figure"

// readBy is what a finding rests on.
func readBy(table map[diag.ID][]string, f diag.Finding) []string {
	if f.Rule == figures && len(f.About) > 0 && f.About[0].Kind == diag.Key {
		block, _, _ := strings.Cut(steps(f.About[0].Name), "/")
		if block == "rover" {
			return []string{block, "commissioning.coast"}
		}
		return []string{block}
	}
	if paths, ok := table[f.Rule]; ok {
		return paths
	}
	return []string{""}
}

// steps is a path with a slash between its steps, and without what tells one entry of a
// list, or one mark, from another.
func steps(path string) string {
	var out []string
	for step := range strings.SplitSeq(strings.ReplaceAll(path, "[", ".["), ".") {
		switch {
		case strings.HasPrefix(step, "["):
			step = "[]"
		case len(out) == 1 && out[0] == "marks":
			step = "*"
		}
		out = append(out, step)
	}
	return strings.Join(out, "/")
}

// touches reports whether one of two paths, as steps, is or lies within the other.
func touches(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	return a == "" || a == b || strings.HasPrefix(b, a+"/")
}
