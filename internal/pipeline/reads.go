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
	// outline is the boundary, and obstacle that of the obstacles which are known: the others
	// are left out.
	outline   = join(place, []string{"geofence.boundary"})
	obstacles = join(place, []string{"geofence.obstacles"})
	overhead  = join(place, []string{"site.overhead"})
	// legs are those of the longest stretch of the route that is known.
	legs = join(place, []string{"route.waypoints[].mark"})
	// grounds are the fence and the way of the route through it, whole.
	grounds = join(outline, obstacles, legs, []string{"geofence", "route.closed", leftObstacles, leftWaypoints})
	// speeds are those of the route, with what the rover can do.
	speeds = join(legs, []string{leftWaypoints, "route.closed", "route.waypoints", "route.speed", "rover", "commissioning.coast"})
	// wiring is all of the holds' circuits and the path to the motors.
	wiring = []string{"holds", "drive_path", "board"}
	// timing is what a stop takes.
	timing = []string{"holds[].name", "holds[].debounce", "holds[].stop_filter", "holds[].radio",
		"drive_path[].opened_by", "drive_path[].off_delay", "board.loop", "commissioning.stopping", "commissioning.coast"}
	// driving is all that goes into where the rover may be, and whether it comes to rest there.
	driving = join(grounds, speeds, timing, []string{"confidence", "site.slope", "base", "receiver", "route", spec.UsedUncertainty, spec.UsedHeight})
	// measuring is what goes into the place of a mark that is measured from others, beside
	// itself and these. It is left out where anything of them is not known.
	measuring     = join(place, []string{"confidence", "base", "receiver"})
	measuredMarks = []string{"marks", "marks_file", "rows", "rings"}
	// slopes are those of the legs, and what is said of them.
	slopes = join(legs, []string{leftWaypoints, "route.closed", "site.slope", spec.UsedHeight})
)

// Paths of entries that spec.Mission.Known leaves out of a list, for rules that read all
// of it.
const (
	leftObstacles = "left-out.obstacles"
	leftOverhead  = "left-out.overhead"
	leftWaypoints = "left-out.waypoints"
	leftTapes     = "left-out.tapes" // which no rule needs all of
)

// reads is what rules read that do not read everything.
func reads() map[diag.ID][]string {
	return map[diag.ID][]string{
		"geometry.pole":             {"site.origin"},
		"geometry.extent":           place,
		"geometry.antimeridian":     place,
		"geometry.exchanged":        join(place, []string{"marks"}),
		"measured.circular":         measuredMarks,
		"measured.chain":            join(measuring, measuredMarks),
		"measured.apart":            join(measuring, measuredMarks),
		"measured.weak":             join(measuring, measuredMarks),
		"measured.fit":              join(measuring, measuredMarks),
		"measured.declination":      join(measuring, measuredMarks, []string{"site.date"}),
		"geometry.ring":             join(outline, obstacles, overhead),
		"geometry.obstacle-outside": join(outline, obstacles),
		"geometry.leg-outside":      join(outline, legs),
		"geometry.leg-obstacle":     join(obstacles, legs),
		"geometry.clearance":        driving,
		"geometry.zero-leg":         legs,
		"geometry.duplicate-leg":    legs,
		"geometry.short-leg":        driving,
		"arrival.tolerance":         driving,
		"arrival.coast":             driving,
		"arrival.turn":              driving,
		"arrival.speed":             speeds,
		"arrival.stale":             driving,
		"line.cross-track":          driving,
		"slope.rolls":               join(speeds, slopes),
		"slope.bound":               slopes,
		"slope.tilt":                {"site.slope", "rover", "commissioning.coast"},
		"slope.taped":               join(speeds, slopes),
		"precision.conversion":      join(grounds, []string{"route", "rover.coast", "commissioning.coast"}),
		"precision.decimals":        join(place, []string{"base", "receiver", "route", leftWaypoints, "marks.*.uncertainty"}),
		"precision.height":          join(place, []string{"marks"}),
		"tape.distance":             join(place, []string{"confidence", "base", "receiver", "tape"}),
		"holds.none":                join(wiring, legs, []string{"route", leftWaypoints}),
		"holds.pin":                 wiring,
		"holds.category":            {"holds"},
		"holds.wire-break":          wiring,
		"holds.emergency-stop":      wiring,
		"holds.single-part":         wiring,
		"holds.single-fault":        wiring,
		"holds.times":               wiring,
		"holds.stopping":            driving,
		"holds.dwell":               join(legs, []string{"holds", "route", leftWaypoints}),
		"commissioning.record":      join(wiring, []string{"commissioning", "site.date"}),
		"commissioning.stopping":    join(driving, []string{"commissioning"}),
		"base.shift":                driving,
		"base.control-marks":        join(obstacles, []string{"base", leftObstacles}),
		"base.control-near":         join(place, []string{"base"}),
		"magnetic.declination":      {"site.origin", "site.date", "rover.compass", spec.LostMarks},
		"magnetic.compass":          {"rover"},
		"site.sky":                  join(grounds, overhead, []string{leftOverhead, "rover.antenna", "receiver"}),
		"site.headroom":             join(legs, overhead, []string{"rover.antenna"}),
		"site.reflection":           grounds,
	}
}

func join(lists ...[]string) []string { return slices.Concat(lists...) }

// readBy is what a finding rests on: less than its rule, where the rule judges each thing
// by itself.
func readBy(table map[diag.ID][]string, f diag.Finding) []string {
	if len(f.About) > 0 {
		switch kind := f.About[0].Kind; {
		case f.Rule == "plausible.figure" && kind == diag.Key:
			block, _, _ := strings.Cut(steps(f.About[0].Name), "/")
			if block == "rover" {
				return []string{block, "commissioning.coast"}
			}
			return []string{block}
		case f.Rule == "measured.circular":
			return nil // all marks of a circle are known
		case f.Rule == "measured.declination":
			return []string{"site.origin", "site.date"}
		case strings.HasPrefix(string(f.Rule), "measured."):
			return measuring
		case f.Rule == "geometry.ring" && kind == diag.Boundary:
			return outline
		case f.Rule == "geometry.ring" && kind == diag.Obstacle:
			return obstacles
		case f.Rule == "holds.none" && f.Severity == diag.Error:
			return wiring
		case f.Rule == "geometry.ring":
			return overhead
		}
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

// doubtSteps are the steps of a path that is doubted, where an entry of a list is left out
// for it that of the entries which are.
func doubtSteps(path string) string {
	at := steps(path)
	for _, left := range []struct{ list, entries string }{{"geofence/obstacles", leftObstacles}, {"site/overhead", leftOverhead}, {"tape", leftTapes}} {
		if strings.HasPrefix(at, left.list+"/[]") {
			return steps(left.entries)
		}
	}
	if at == "route/waypoints/[]" || at == "route/waypoints/[]/mark" {
		return steps(leftWaypoints)
	}
	return at
}

// touches reports whether one of two paths, as steps, is or lies within the other.
func touches(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	return a == "" || a == b || strings.HasPrefix(b, a+"/")
}
