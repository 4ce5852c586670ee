// What needs more than one key to judge: marks that are referred to, names that
// collide, keys that only make sense together. Nothing here computes positions;
// that is the work of internal/plan and internal/check.
package spec

import (
	"fmt"
	"slices"
	"strings"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/words"
)

// called is a name where it was given, or used.
type called struct {
	name string
	at   diag.Position
	path string
}

// The search for the mark that was probably meant compares with every mark. These
// bound how many marks are looked up, and what that takes where there are many: half
// a million comparisons of the longest names take about 0.9 s.
const (
	maxSuggestions = 20
	maxComparisons = 500_000
)

// addMark notes a mark at its name and reports whether it is a new one with a
// good name.
func (d *decoder) addMark(name string, at *node, path string) bool {
	if !d.goodName(at, "mark", name, maxName) {
		d.know(name, at.at)
		if d.misnamed == nil {
			d.misnamed = map[string]bool{}
		}
		d.misnamed[strings.Map(nameCharacter, name)] = true
		return false
	}
	if first, twice := d.marks[name]; twice {
		d.fail(ruleDuplicateMark, at.at, "take one of the two out, or give it another name", "the %s is already written", diag.The(diag.Mark, name)).Related = []diag.Related{{At: first, Message: "the first one"}}
		return false
	}
	if len(d.markNames) >= maxMarks {
		d.tooManyMarks(at.at)
		return false
	}
	d.marks[name] = at.at
	d.markNames = append(d.markNames, name)
	d.places[path] = at.at
	return true
}

// tooManyMarks says so once.
func (d *decoder) tooManyMarks(at diag.Position) {
	if !d.found(ruleTooManyMarks) {
		d.marksLost = true
		d.fail(ruleTooManyMarks, at, "take out the marks that the mission does not use", "this is the mark after the %d that a mission may have", maxMarks)
	}
}

// know notes a mark that was refused, so that its uses are not reported too.
func (d *decoder) know(name string, at diag.Position) {
	if _, known := d.marks[name]; !known {
		d.marks[name] = at
	}
}

const (
	// maxUses is how many further uses of a mark that nobody wrote are shown.
	maxUses = 3
	// fewUnknown are so many marks that nobody wrote that each may be a slip of its own. Of
	// more, something that they have in common is the cause.
	fewUnknown = 8
)

// checkReferences reports marks that are used and that nobody wrote, each once.
// Where marks could not be read there is no telling which those are, and where
// there are none at all, the first says so for all.
func (d *decoder) checkReferences() {
	defer d.doubts.told() // Mission.Doubts knows which marks there are
	if d.marksLost {
		return
	}
	uses := map[string][]diag.Related{}
	var names []string
	for _, r := range d.references {
		if _, known := d.marks[r.name]; known || d.misnamed[r.name] {
			continue
		}
		if len(uses[r.name]) == 0 {
			names = append(names, r.name)
		}
		uses[r.name] = append(uses[r.name], diag.Related{At: r.at, Message: "used here, too"})
	}
	for _, name := range names {
		first, others := uses[name][0].At, uses[name][1:]
		about := []diag.Subject{diag.The(diag.Mark, name)}
		if len(d.marks) == 0 {
			d.fail(ruleUnknownMark, first, "write the coordinates of marks under marks, or in the marks_file", "there is no mark %s, and no other one", quote(name)).About = about
			return
		}
		remedy := "write its coordinates under marks, or in the marks_file"
		var near []meaning
		if d.suggested < maxSuggestions && (d.suggested+1)*len(d.markNames) <= maxComparisons {
			d.suggested++
			if near = likely(words.Neighbours(name, d.markNames)); len(near) > 0 {
				remedy = "write " + eitherOf(near) + " if that is meant, or else its coordinates under marks"
			}
		}
		several, list := d.severalMarks(name)
		if several == "" {
			several, list = d.marksOf(name)
		}
		if several != "" {
			remedy, near = several, nil
		}
		f := d.fail(ruleUnknownMark, first, remedy, "there is no mark %s", quote(name))
		d.offerMarks(f, uses[name], near, list)
		if len(others) > 0 {
			f.Add(", which is used in %d places", 1+len(others))
		}
		f.About, f.Related = about, others[:min(len(others), maxUses)]
		if len(names) > fewUnknown {
			d.failUnknown(f, names[1:], uses)
			return
		}
	}
}

// failUnknown goes on with a finding of an unknown mark: the others are in it, too.
func (d *decoder) failUnknown(f *diag.Finding, names []string, uses map[string][]diag.Related) {
	var others []diag.Subject
	for _, name := range names {
		others = append(others, diag.The(diag.Mark, name))
		if len(f.Related) < maxUses {
			f.Related = append(f.Related, diag.Related{At: uses[name][0].At, Message: "nor is there this one"})
		}
	}
	about := f.About
	f.Add("; nor are there %s", diag.Names(others, ", "))
	f.About = append(about, others...)
	f.Numbers = []diag.Number{{Name: "marks that are not written", Value: float64(1 + len(names)), Unit: "1"}}
	f.Remedy += "; so many have one cause, such as names that are written in another way there"
}

// severalMarks says what to write for a name that is one with characters that only look
// plain, or several with no commas between them, and which they are; "" where it is neither.
func (d *decoder) severalMarks(name string) (remedy string, names []string) {
	names = strings.FieldsFunc(plainly(name), func(r rune) bool { return r == ' ' || r == ';' })
	for _, n := range names {
		if _, known := d.marks[n]; !known {
			return "", nil
		}
	}
	switch len(names) {
	case 0:
		return "", nil
	case 1:
		return "write " + names[0] + " in plain characters: what stands here only looks like it", names
	}
	return "put commas between them: " + words.Few(names, ", "), names
}

// marksOf says what to write for the name of a row or a ring, where its marks are due, and
// which they are.
func (d *decoder) marksOf(name string) (remedy string, names []string) {
	for n := 1; n <= maxSearched; n++ {
		mark := fmt.Sprintf("%s%d", name, n)
		if _, known := d.marks[mark]; !known {
			break
		}
		names = append(names, mark)
	}
	if !d.lists[name] || len(names) == 0 {
		return "", nil
	}
	return "write its marks: " + words.Few(names, ", "), names
}

// eitherOf is one of the meanings in words.
func eitherOf(meanings []meaning) string {
	var texts []string
	for _, m := range meanings {
		texts = append(texts, m.text)
	}
	return strings.Join(texts, " or ")
}

// offerMarks offers what to write for the name of a mark that nobody wrote, in every place
// in which it is used.
func (d *decoder) offerMarks(f *diag.Finding, uses []diag.Related, near []meaning, list []string) {
	if len(uses) > maxSearched {
		return
	}
	offer := func(certain bool, does, yaml string) {
		var edits []diag.Edit
		for _, use := range uses {
			if len(list) > 1 && !d.inBrackets(use.At) {
				return
			}
			text := yaml
			if use.At.File != d.file || yaml == "" {
				text = d.notation(use.At, does)
			}
			edits = append(edits, diag.Replace(use.At, text))
		}
		d.offer(f, certain, "write "+does, edits...)
	}
	switch {
	case len(list) == 1:
		offer(true, list[0], "")
	case len(list) > 1:
		offer(false, strings.Join(list, ", "), strings.Join(list, ", "))
	}
	for _, m := range near {
		offer(false, m.text, "")
	}
}

// checkMission compares keys with each other. Keys that were not read well are
// zero and are left alone.
func (d *decoder) checkMission(to *Mission) {
	d.checkRover(to)
	d.checkRoute(to)
	d.checkGeofence(to)
	d.checkOverhead(to)
	d.checkHolds(to)
	d.checkDrivePath(to)
	d.checkBoard(to)
	d.checkCommissioning(to)
	d.checkTape(to)
	d.checkSamePoints(to)
	marks := make([]called, 0, len(d.markNames))
	var obstacles, overhead, holds, parts []called
	for _, name := range d.markNames {
		marks = append(marks, called{name: name, at: d.marks[name]})
	}
	for i, o := range to.Geofence.Obstacles {
		at := fmt.Sprintf("geofence.obstacles[%d].name", i)
		obstacles = append(obstacles, called{o.Name, d.where(at), at})
	}
	for i, o := range to.Site.Overhead {
		at := fmt.Sprintf("site.overhead[%d].name", i)
		overhead = append(overhead, called{o.Name, d.where(at), at})
	}
	for i, h := range to.Holds {
		at := fmt.Sprintf("holds[%d].name", i)
		holds = append(holds, called{h.Name, d.where(at), at})
	}
	for i, p := range to.DrivePath {
		at := fmt.Sprintf("drive_path[%d].name", i)
		parts = append(parts, called{p.Name, d.where(at), at})
	}
	d.checkClashes("mark", marks)
	d.checkClashes("obstacle", obstacles)
	d.checkClashes("overhead area", overhead)
	d.checkClashes("hold", holds)
	d.checkClashes("part", parts)
	d.checkEnumerators(to)
}

func (d *decoder) checkRover(to *Mission) {
	s := to.Rover.Speed
	if s.Cruise > 0 && s.Minimum > s.Cruise {
		d.failKey(ruleOutOfRange, "rover.speed.minimum", "minimum is the slowest speed at which the rover drives steadily", "rover.speed.minimum is %s, more than cruise, which is %s", s.Minimum, s.Cruise)
	}
	if to.Receiver.Required == board.QualityFloat && to.Receiver.Uncertainty.Float == nil && !d.unread["receiver.uncertainty"] {
		d.missing("receiver.uncertainty", "float", "needed because receiver.required is float")
	}
}

func (d *decoder) checkRoute(to *Mission) {
	if to.Route.ArrivalTolerance != nil {
		return
	}
	for i, w := range to.Route.Waypoints {
		if w.ArrivalTolerance == nil && w.Mark != "" {
			at := fmt.Sprintf("route.waypoints[%d]", i)
			f := d.fail(ruleMissingKey, d.where(at), "add arrival_tolerance under route, such as arrival_tolerance: 25 cm", "the waypoint %s has no arrival tolerance, and the route has none either", quote(w.Mark))
			f.About = []diag.Subject{keyOf(at)}
			d.doubt("route.arrival_tolerance")
			return // the same key mends all of them
		}
	}
}

func (d *decoder) checkGeofence(to *Mission) {
	d.checkRing("geofence.boundary", to.Geofence.Boundary)
	for i, o := range to.Geofence.Obstacles {
		path := fmt.Sprintf("geofence.obstacles[%d]", i)
		if d.unread[path] {
			continue
		}
		d.checkShape(path, "obstacle", o.Ring)
	}
}

// checkShape wants an area of either shape, whole.
func (d *decoder) checkShape(path, what string, marks []string) {
	d.checkRing(path+".ring", marks)
	_, centre := d.places[path+".centre"]
	_, radius := d.places[path+".radius"]
	_, ring := d.places[path+".ring"]
	switch {
	case ring && (centre || radius):
		d.failKey(ruleEitherOr, path, "take out ring, or centre and radius", "an %s is round or has a ring, and this one has keys of both", what)
	case !ring && !centre && !radius:
		d.failKey(ruleMissingKey, path, "add centre and radius, or ring", "this %s has no shape", what)
	case centre && !radius:
		d.failKey(ruleMissingKey, path, "add radius", "this %s has a centre and no radius", what)
	case radius && !centre:
		d.failKey(ruleMissingKey, path, "add centre", "this %s has a radius and no centre", what)
	}
}

func (d *decoder) checkOverhead(to *Mission) {
	for i, o := range to.Site.Overhead {
		path := fmt.Sprintf("site.overhead[%d]", i)
		if d.unread[path] {
			continue
		}
		d.checkShape(path, "overhead area", o.Ring)
		if o.Headroom != nil && *o.Headroom > 0 && o.Height > 0 && *o.Headroom > o.Height {
			d.failKey(ruleOutOfRange, path+".headroom", "height is that of its top, headroom that of its underside", "%s is %s, more than height, which is %s", path+".headroom", *o.Headroom, o.Height)
		}
	}
}

// checkRing explains that rings close by themselves, to those who are used to
// notations where the first point is repeated.
func (d *decoder) checkRing(path string, ring []string) {
	last := len(ring) - 1
	if last >= 1 && ring[0] != "" && ring[0] == ring[last] {
		at := d.where(fmt.Sprintf("%s[%d]", path, last))
		f := d.fail(ruleClosedRing, at, "take the last mark out: a ring closes by itself", "%s ends with the mark it began with, %s", keyOf(path), quote(ring[0]))
		d.takeOut(f, last >= 3, at, at)
		d.doubt(path)
	}
}

func (d *decoder) checkBoard(to *Mission) {
	seen := map[int]int{}
	for i, pin := range to.Board.InputPins {
		at := fmt.Sprintf("board.input_pins[%d]", i)
		if first, twice := seen[pin]; twice {
			f := d.failKey(ruleListedTwice, at, "take one of the two out", "the pin %d is already in board.input_pins", pin)
			f.Related = []diag.Related{{At: d.where(fmt.Sprintf("board.input_pins[%d]", first)), Message: "the first one"}}
			d.takeOut(f, true, d.where(at), d.where(at))
			continue
		}
		if !d.spoilt(at) {
			seen[pin] = i
		}
	}
	l := to.Board.Logic
	if l == nil {
		return
	}
	if l.LowBelow > 0 && l.HighAbove > 0 && l.LowBelow >= l.HighAbove {
		d.failKey(ruleOutOfRange, "board.logic.low_below", "", "board.logic.low_below is %s; it must be less than high_above, which is %s", l.LowBelow, l.HighAbove)
	}
	if l.Supply > 0 && l.HighAbove >= l.Supply {
		d.failKey(ruleOutOfRange, "board.logic.high_above", "", "board.logic.high_above is %s; it must be less than supply, which is %s", l.HighAbove, l.Supply)
	}
	if l.PullMost > 0 && l.PullLeast > l.PullMost {
		d.failKey(ruleOutOfRange, "board.logic.pull_least", "", "board.logic.pull_least is %s, more than pull_most, which is %s", l.PullLeast, l.PullMost)
	}
}

// checkHolds wants what two channels have in common of two channels, and of no others.
func (d *decoder) checkHolds(to *Mission) {
	for i, h := range to.Holds {
		path := fmt.Sprintf("holds[%d]", i)
		switch {
		case d.unread[path]:
		case h.Second != nil && h.CommonCause == nil:
			d.missing(path, "common_cause", "needed because there is a second_channel: {cable, connector, supply, actuator}, each true or false")
		case h.Second == nil && h.CommonCause != nil:
			d.failKey(ruleUnknownKey, path+".common_cause", "take it out, or write the second_channel", "%s has no key %s: there is one channel, which has nothing in common with another", keyOf(path), quote("common_cause"))
		}
	}
}

// checkDrivePath asks what opens each part, and that the board can.
func (d *decoder) checkDrivePath(to *Mission) {
	c := pathCheck{decoder: d, complete: true}
	c.holdsLost = d.spoilt("holds")
	for _, h := range to.Holds {
		c.holdsLost = c.holdsLost || h.Name == ""
		c.holds = append(c.holds, h.Name)
	}
	for i, p := range to.DrivePath {
		path := fmt.Sprintf("drive_path[%d]", i)
		if d.unread[path] {
			c.complete = false
			continue
		}
		c.part(path, p)
	}
	if len(to.DrivePath) > 0 && c.complete && !c.stops {
		d.failKey(ruleMissingKey, "drive_path", "add drive_enable to the opened_by of a relay or semiconductor", "no part of the drive_path is opened by %s: the board could not stop the drive", DriveEnable)
	}
}

// pathCheck is a walk along the drive path.
type pathCheck struct {
	*decoder
	holds     []string
	holdsLost bool // some hold's name was not read
	complete  bool // everything that opens a part was read
	stops     bool // drive_enable opens a part
	unwatched bool // it was said that there is no watchdog
}

func (c *pathCheck) part(path string, p Part) {
	_, written := c.places[path+".kind"]
	known := written && !c.spoilt(path+".kind")
	own := func(key string, of circuit.PartKind, why string) bool {
		_, written := c.places[path+"."+key]
		if known && written && p.Kind != of {
			f := c.failKey(ruleUnknownKey, path+"."+key, "take it out", "%s has no key %s: it is a %s, %s", keyOf(path), quote(key), p.Kind, why)
			c.takeOutAt(f, path+"."+key, key)
		}
		return written
	}
	if !own("coil_diode", circuit.Relay, "which has no coil") && known && p.Kind == circuit.Relay {
		c.missing(path, "coil_diode", "true or false: whether a plain diode lies across the coil")
	}
	own("pulled_off", circuit.Semiconductor, "which has no input to hold off")
	c.complete = c.complete && len(p.OpenedBy) > 0
	for i, name := range p.OpenedBy {
		at := fmt.Sprintf("%s.opened_by[%d]", path, i)
		switch {
		case name == "":
			c.complete = false
		case slices.Contains(p.OpenedBy[:i], name):
			f := c.failKey(ruleListedTwice, at, "take one of the two out", "%s is already in %s", quote(name), keyOf(path+".opened_by"))
			c.takeOut(f, true, c.where(at), c.where(at))
		case name != DriveEnable && name != Watchdog:
			c.hold(at, name)
		case known && p.Kind == circuit.Pole:
			c.complete = false
			c.failKey(ruleUnknownWord, at, "write the holds of which a pole lies there, or another kind", "%s is %s, which cannot open a contact: it has no input", keyOf(at), name)
		case name == DriveEnable:
			c.stops = true
		default:
			c.watchdog(at)
		}
	}
	opensLine := slices.ContainsFunc(p.OpenedBy, func(name string) bool { return name != "" && name != DriveEnable && name != Watchdog })
	if known && p.Kind == circuit.Semiconductor && opensLine && !p.PulledOff && !c.spoilt(path+".pulled_off") {
		c.failKey(ruleMissingKey, path, "fit a resistor at its input that holds it off, and write pulled_off: true", "%s: a pole before a semiconductor opens the line to its input, and nothing is said to hold it off then", keyOf(path))
	}
}

// hold wants the name of one.
func (c *pathCheck) hold(at, name string) {
	if slices.Contains(c.holds, name) {
		return
	}
	c.complete = false
	c.doubt(at, "holds")
	if !c.holdsLost {
		openers := append([]string{DriveEnable, Watchdog}, c.holds...)
		f := c.failKey(ruleUnknownWord, at, "", "%s is %s, and there is no hold of that name", keyOf(at), quote(name))
		c.offerMeanings(f, &node{kind: scalarKind, text: name, at: c.where(at)}, c.meantWord(name, openers), "write one of "+words.Few(openers, ", "))
	}
}

// watchdog wants one on the board, and says so once.
func (c *pathCheck) watchdog(at string) {
	if _, written := c.places["board.watchdog"]; written || c.unwatched || c.unread["board"] {
		return
	}
	c.unwatched = true
	c.failKey(ruleMissingKey, at, "add watchdog under board, such as watchdog: 100 ms, or take it out here", "%s is %s, and board has no key %s", keyOf(at), Watchdog, Watchdog)
	c.doubt("board.watchdog")
}

// checkCommissioning compares its days, and its tests with each other.
func (d *decoder) checkCommissioning(to *Mission) {
	c := to.Commissioning
	if c == nil {
		return
	}
	if c.Date != (Date{}) && c.RepeatBy != (Date{}) && c.RepeatBy.Compare(c.Date) <= 0 {
		d.failKey(ruleOutOfRange, "commissioning.repeat_by", "write the day by which it is to be done again", "commissioning.repeat_by is %s; it must be after date, which is %s", c.RepeatBy, c.Date)
	}
	for i, name := range c.Passed {
		if name != "" && slices.Contains(c.Passed[:i], name) {
			at := fmt.Sprintf("commissioning.passed[%d]", i)
			f := d.failKey(ruleListedTwice, at, "take one of the two out", "%s is already in %s", quote(name), keyOf("commissioning.passed"))
			d.takeOut(f, true, d.where(at), d.where(at))
		}
	}
}

// spoilt reports whether something was found at a path already.
func (d *decoder) spoilt(path string) bool {
	return d.doubts.paths[path] || d.findings.at(d.where(path))
}

func (d *decoder) checkTape(to *Mission) {
	for i, t := range to.Tape {
		if t.From != "" && t.From == t.To {
			d.failKey(ruleSameMark, fmt.Sprintf("tape[%d].to", i), "write the mark at its other end", "the tape runs from %s to itself", quote(t.From))
		}
	}
}
