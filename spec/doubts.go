// Which keys are not known, where a text has errors: so that what follows from all
// others can be told in the same run.
//
// Whatever was found wrong is laid to a path. A value that cannot be read is not known,
// nor is a key that is missing. Of a key that a block does not know there is no telling
// which of the keys that are not written was meant: none of them is known then. What
// does not go with something else leaves the block of both unknown. An error that is
// laid to nothing leaves nothing known, so that a check that forgets to say so costs
// findings and does not make false ones.
//
// What an error leaves open is how it is put right, and not whether: a finding that
// reads known keys alone is the same before and after.
package spec

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// doubts are the paths of what is not known.
type doubts struct {
	paths map[string]bool
	made  int // errors
	laid  int // of these, those that were laid to a path
}

// maxDoubts is far more than anybody mends in one run: beyond it nothing counts as known.
const maxDoubts = 10_000

// told says that all errors up to here are accounted for.
func (d *doubts) told() { d.laid = d.made }

// all are the paths; that of the whole mission where an error was laid to none.
func (d *doubts) all() []string {
	if d.made > d.laid || len(d.paths) > maxDoubts {
		return []string{""}
	}
	return slices.Sorted(maps.Keys(d.paths))
}

// doubt lays all errors that were not laid to anything yet to these paths.
func (d *decoder) doubt(paths ...string) {
	if len(d.doubts.paths) <= maxDoubts {
		for _, path := range paths {
			d.doubts.paths[path] = true
		}
	}
	d.doubts.told()
}

// doubtRead lays errors of reading a value to its path, if they were not laid to
// something within it.
func (d *decoder) doubtRead(path string) {
	if d.doubts.made > d.doubts.laid {
		d.doubt(path)
	}
}

// doubtNode lays what was wrong with a block before its keys were read.
func (d *decoder) doubtNode(n *node, path string) {
	for _, key := range n.again {
		d.doubt(join(path, key))
	}
	switch {
	case n.several && strings.HasSuffix(path, "]"):
		d.doubt(parent(path)) // the list with the entry that lost its dash
	case n.several, n.lost:
		d.doubt(path)
	}
}

// doubtStrangers lays keys that a block does not know: each may be one that it does not
// have, or belong elsewhere.
func (d *decoder) doubtStrangers(strangers []*node, path string, keys []key, written map[string]bool) {
	if len(strangers) == 0 {
		return
	}
	d.doubts.told()
	for _, k := range keys {
		if !written[k.name] {
			d.doubt(join(path, k.name))
		}
	}
	for _, key := range strangers[:min(len(strangers), maxSearched)] {
		for _, home := range d.homesOf(key.text) {
			if at := join(home, key.text); d.places[at].Line == 0 {
				d.doubt(at)
			}
		}
	}
}

// topOf is the first key of a path.
func topOf(path string) string {
	if i := strings.IndexAny(path, ".["); i >= 0 {
		return path[:i]
	}
	return path
}

// Paths of what no key says alone.
const (
	// Ties is how the marks of several set-ups hang together: where some were surveyed from
	// another set-up than others, each is moved by what all of them say.
	Ties = "ties"
	// UsedUncertainty and UsedHeight are those of the marks of route and fence.
	UsedUncertainty = "used.uncertainty"
	UsedHeight      = "used.height"
	// LostMarks are marks that may be there and were not read: by them the origin might be
	// found to lie elsewhere.
	LostMarks = "lost.marks"
)

// Doubts are the paths of what the mission's text does not tell, beside those that are
// given: of keys that were not read well, of all that names a mark whose place is not
// known, and of what follows from several keys.
func (m *Mission) Doubts(more ...string) []string {
	paths := map[string]bool{}
	for _, path := range slices.Concat(m.doubts, more) {
		paths[path] = true
	}
	if paths[""] {
		return []string{""}
	}
	placed := m.placed(paths)
	tied := paths["marks"]
	paths[LostMarks] = paths["marks"]
	for _, mark := range m.Marks {
		tied = tied || mark.Setup != "" || mark.SameAs != "" || paths[mark.Path+".setup"] || paths[mark.Path+".same_as"]
	}
	for path := range paths {
		switch top := topOf(path); {
		case !tied:
		case top == "marks", top == "base", path == "receiver", strings.HasPrefix(path, "receiver.uncertainty"), path == "site", strings.HasPrefix(path, "site.origin"):
			paths[Ties] = true
		}
	}
	for _, r := range m.references {
		mark := join("marks", r.name)
		uncertainty, height := paths[mark+".uncertainty"], paths[mark+".height"]
		switch top := topOf(r.path); {
		case !placed[r.name], top == "tape" && (uncertainty || height):
			paths[r.path] = true
		case top == "route", top == "geofence":
			paths[UsedUncertainty] = paths[UsedUncertainty] || uncertainty
			paths[UsedHeight] = paths[UsedHeight] || height
		}
	}
	maps.DeleteFunc(paths, func(_ string, doubted bool) bool { return !doubted })
	return slices.Sorted(maps.Keys(paths))
}

// placed are the names of the marks whose places are known. One that is measured from others
// lies where these and what was measured have it. How well these are known tells which of
// several tapes to lean on more: so it counts, too.
func (m *Mission) placed(doubted map[string]bool) map[string]bool {
	within := map[string]bool{} // marks, rows and rings, and keys of the mission
	for path := range doubted {
		top := topOf(path)
		rest := path[len(top):]
		if i := strings.IndexAny(rest[min(1, len(rest)):], ".["); i >= 0 {
			rest = rest[:i+1]
		}
		within[top], within[top+rest] = true, true
	}
	placed, followers := map[string]bool{}, map[string][]string{}
	var spoilt []string // names of marks on which others cannot lean
	for _, mark := range m.Marks {
		placed[mark.Name] = true
	}
	for _, mark := range m.Marks {
		known := !doubted[mark.Path] && !doubted[mark.Path+".latitude"] && !doubted[mark.Path+".longitude"]
		if mark.Measured == nil { // and of which no measurement was read
			known = known && m.places[join(mark.Path, "latitude")].Line > 0 && m.places[join(mark.Path, "longitude")].Line > 0
		}
		steady := known && !doubted[mark.Path+".uncertainty"] && !doubted[mark.Path+".height"]
		if by := mark.Measured; by != nil {
			known = !within[mark.Path] && (by.MagneticBearing == nil || by.Date != nil || !doubted["site"] && !doubted["site.date"])
			if len(by.Tapes) > 2 { // whose weights are of the receiver and the base, too
				known = known && !within["receiver"] && !within["base"]
			}
			for _, from := range mark.leansOn() {
				known = known && placed[from]
				followers[from] = append(followers[from], mark.Name)
			}
			steady = known
		}
		placed[mark.Name] = placed[mark.Name] && known
		if !steady {
			spoilt = append(spoilt, mark.Name)
		}
	}
	for len(spoilt) > 0 {
		last := len(spoilt) - 1
		of := followers[spoilt[last]]
		spoilt = spoilt[:last]
		for _, name := range of {
			if placed[name] {
				placed[name] = false
				spoilt = append(spoilt, name)
			}
		}
	}
	return placed
}

// Known is the mission without what is doubted and would be in the way of the rest: marks
// whose place is not known; tapes, obstacles and areas overhead of which anything is not
// known; an origin, for which a mark stands in. Of the route the longest stretch is left on
// which every mark is known. Its other keys are as they were read, and what is said of them
// must be held against Doubts.
func (m *Mission) Known(doubts []string) *Mission {
	doubted := map[string]bool{} // paths, and entries of lists with something doubted within
	for _, path := range doubts {
		doubted[path] = true
		if entry, _, inList := strings.Cut(path, "]"); inList {
			doubted[entry+"]"] = doubted[entry+"]"] || topOf(path) != "route"
		}
	}
	within := func(list string, i int) bool { return doubted[list] || doubted[fmt.Sprintf("%s[%d]", list, i)] }
	known, placed := *m, m.placed(doubted)
	known.Marks = slices.DeleteFunc(slices.Clone(m.Marks), func(mark Mark) bool { return !placed[mark.Name] })
	// What is left out keeps its place in the list, which the paths of the others count on.
	known.Tape = slices.Clone(m.Tape)
	for i := range known.Tape {
		if within("tape", i) {
			known.Tape[i] = Tape{}
		}
	}
	known.Geofence.Obstacles = slices.Clone(m.Geofence.Obstacles)
	for i := range known.Geofence.Obstacles {
		if within("geofence.obstacles", i) {
			known.Geofence.Obstacles[i] = Obstacle{}
		}
	}
	known.Site.Overhead = slices.Clone(m.Site.Overhead)
	for i := range known.Site.Overhead {
		if within("site.overhead", i) {
			known.Site.Overhead[i] = Overhead{}
		}
	}
	known.Route.stretch(func(i int) bool {
		path := fmt.Sprintf("route.waypoints[%d]", i)
		return doubted[path] || doubted[path+".mark"]
	})
	if slices.ContainsFunc(doubts, func(path string) bool { return path == "site" || strings.HasPrefix(path, "site.origin") }) {
		known.Site.Origin = Origin{}
		if i := slices.IndexFunc(known.Marks, func(mark Mark) bool { return mark.Measured == nil }); i >= 0 {
			known.Site.Origin.Latitude, known.Site.Origin.Longitude = known.Marks[i].Latitude, known.Marks[i].Longitude
		}
	}
	return &known
}

// stretch leaves of the waypoints those of the longest stretch without one that is doubted:
// every leg between two of them is one of the route.
func (r *Route) stretch(doubted func(waypoint int) bool) {
	from, to, begin := 0, 0, 0
	for i := range len(r.Waypoints) + 1 {
		if i < len(r.Waypoints) && !doubted(i) {
			continue
		}
		if i-begin > to-from {
			from, to = begin, i
		}
		begin = i + 1
	}
	if from == 0 && to == len(r.Waypoints) {
		return
	}
	r.Closed = false
	r.Waypoints = slices.Clone(r.Waypoints)
	for i := range r.Waypoints {
		if i < from || i >= to {
			r.Waypoints[i] = Waypoint{}
		}
	}
}
