// What becomes of a file: points become marks, and lines and polygons what the user says
// that they are, or what the file says where it is one of this program's own. A corner that lies on a mark of
// the same file is that mark.
package interchange

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"merestone/internal/geodesy"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// Use says what lines and polygons are.
type Use string

// The uses. Without one, what does not say itself what it is is refused.
const (
	AsBoundary Use = KindBoundary
	AsObstacle Use = KindObstacle
	AsRoute    Use = KindRoute
	AsMarks    Use = "marks"
)

// Uses are all of them.
func Uses() []string {
	return []string{string(AsBoundary), string(AsObstacle), string(AsRoute), string(AsMarks)}
}

// Mark is a point under the name that it has in the mission.
type Mark struct {
	Name string
	Point
}

// Obstacle is a ring of marks, or a circle around one.
type Obstacle struct {
	Name   string
	Ring   []string // none for a circle
	Centre string
	Radius quantity.Length
}

// Known is a mark that the mission has already.
type Known struct {
	Name                string
	Surveyed            bool // else it has no coordinates
	Latitude, Longitude geodesy.Nanodegree
	Open                bool // a gap, whose name is for whatever is called so, letter by letter
}

// Taken is what goes into a mission.
type Taken struct {
	Marks     []Mark
	Route     []string
	Closed    bool // of the route
	Boundary  []string
	Obstacles []Obstacle
	Renamed   []Renamed
	Notes     []string
}

// Request says what to take of a file, and how.
type Request struct {
	As   Use
	Only string // the one line or polygon that is meant, by its name in the file
	Has  []Known
	// Corners leaves circles as the polygons that the file has for them.
	Corners bool
	// Walk thins lines and polygons; nil takes all their points.
	Walk *Walk
}

// place is where a point is, to find it again.
type place struct{ latitude, longitude geodesy.Nanodegree }

func (p Point) at() place { return place{p.Latitude.Value, p.Longitude.Value} }

type taker struct {
	Request
	to    Taken
	marks *namer
	rings *namer
	has   map[named]bool   // marks of the mission
	there map[named]string // marks by place and name in the file
	first map[place]string // the first mark at each place
	named map[string]int   // the first mark of each name in the file, by number
}

// named is a place and what the file calls it.
type named struct {
	place
	name string
}

// Take decides what everything in a file becomes.
func Take(d Data, q Request) (Taken, error) {
	t := &taker{Request: q, marks: newNamer(q.Has), rings: newNamer(nil), has: map[named]bool{}, there: map[named]string{}, first: map[place]string{}, named: map[string]int{}}
	for _, k := range q.Has {
		if k.Surveyed {
			at := named{place{k.Latitude, k.Longitude}, k.Name}
			t.has[at] = true
			t.at(at, k.Name)
		}
	}
	had := 0
	for _, p := range d.Points {
		if t.has[named{p.at(), p.Name}] || t.has[named{p.at(), mild(p.Name)}] { // as it came to be called
			had++
			continue
		}
		t.mark(p, "P")
	}
	if had > 0 {
		t.note("%s at the same place: left as they are", words.Count(had, "mark that the mission has", "marks that the mission has"))
	}
	if len(d.Paths) == 0 && q.As != "" && q.As != AsMarks && q.Only == "" {
		t.note("there is no line or polygon in it that could be the %s: points become marks alone", q.As)
	}
	paths, uses, err := t.choose(d.Paths)
	if err != nil {
		return Taken{}, err
	}
	for i, p := range paths {
		if err := t.path(p, uses[i]); err != nil {
			return Taken{}, err
		}
	}
	if t.to.Renamed = t.marks.renamed; len(t.rings.renamed) > 0 {
		t.to.Renamed = slices.Concat(t.to.Renamed, t.rings.renamed)
	}
	return t.to, nil
}

// at notes that a mark is at a place. The first of a name, and of a place, stays.
func (t *taker) at(here named, mark string) {
	if _, there := t.there[here]; !there {
		t.there[here] = mark
	}
	if _, there := t.first[here.place]; !there {
		t.first[here.place] = mark
	}
}

// mark takes a point as a mark of its own.
func (t *taker) mark(p Point, fallback string) string {
	name := t.marks.give("mark", p.Name, fallback, p.Line)
	t.at(named{p.at(), p.Name}, name)
	if _, there := t.named[p.Name]; !there {
		t.named[p.Name] = len(t.to.Marks)
	}
	t.to.Marks = append(t.to.Marks, Mark{name, p})
	return name
}

// corner is the mark of a point of a path: one that lies there, of the same name if there
// are several, or a new one.
func (t *taker) corner(p Point, fallback string) string {
	if mark, there := t.there[named{p.at(), p.Name}]; there {
		return mark
	}
	if mark, there := t.first[p.at()]; there {
		return mark
	}
	return t.mark(p, fallback)
}

// use is what a path is.
func (t *taker) use(p Path) Use {
	own := Use(p.Kind)
	if p.Kind == KindClosed {
		own = AsRoute
	}
	switch {
	case p.Form == Hole && (t.As == AsBoundary || t.As == AsObstacle || t.As == "" && (own == AsBoundary || own == AsObstacle)):
		return AsObstacle
	case t.As != "":
		return t.As
	case own == AsRoute || own == AsBoundary || own == AsObstacle:
		return own
	case p.Form == Route:
		return AsRoute
	}
	return ""
}

// choose finds the paths that are meant, and what each is.
func (t *taker) choose(all []Path) (paths []Path, uses []Use, err error) {
	var open, routes, boundaries []Path
	hole := false // whether the holes that follow are of a path that is taken
	outer := Use("")
	for _, p := range all {
		if p.Form != Hole {
			hole = t.Only == "" || p.Name == t.Only
			outer = t.use(p)
		}
		if !hole {
			continue
		}
		use := t.use(p)
		if p.Form == Hole && use == AsObstacle && outer == AsObstacle {
			t.note("the hole of polygon %q in line %d is left out: the obstacle is taken whole", p.Name, p.Line)
			continue
		}
		switch {
		case use == "":
			open = append(open, p)
		case use == AsRoute:
			routes = append(routes, p)
		case use == AsBoundary:
			boundaries = append(boundaries, p)
		}
		paths, uses = append(paths, p), append(uses, use)
	}
	switch {
	case t.Only != "" && len(paths) == 0:
		return nil, nil, fmt.Errorf("there is no line or polygon called %q in it%s", t.Only, listed(all))
	case len(open) > 0:
		return nil, nil, fmt.Errorf("it does not say what its lines and polygons are: say it with --as, and with --only NAME which one is meant%s", listed(open))
	case len(routes) > 1:
		return nil, nil, fmt.Errorf("there are %d lines for one route: say which is meant, with --only NAME%s", len(routes), listed(routes))
	case len(boundaries) > 1:
		return nil, nil, fmt.Errorf("there are %d rings for one boundary: say which is meant, with --only NAME%s", len(boundaries), listed(boundaries))
	}
	return paths, uses, nil
}

// listed names paths for a choice.
func listed(paths []Path) string {
	const most = 8
	var out []string
	for i, p := range paths {
		if i == most {
			out = append(out, fmt.Sprintf("and %d more", len(paths)-most))
			break
		}
		name := "without a name"
		if p.Name != "" {
			name = fmt.Sprintf("%q", shown(p.Name))
		}
		out = append(out, fmt.Sprintf("%s %s (line %d, %s)", p.Form, name, p.Line, words.Plural(len(p.Points), "point")))
	}
	if len(out) == 0 {
		return ""
	}
	return ": " + words.Visible(strings.Join(out, ", "))
}

func (t *taker) note(format string, args ...any) {
	t.to.Notes = append(t.to.Notes, words.Visible(fmt.Sprintf(format, args...)))
}

// path takes a path as what it is.
func (t *taker) path(p Path, use Use) error {
	closed := p.Closed()
	points := t.still(p)
	if last := len(points) - 1; !closed && last > 0 && points[0].at() == points[last].at() && use != AsMarks && p.Kind != KindRoute {
		points, closed = points[:last], true
	}
	ring := use == AsBoundary || use == AsObstacle
	switch {
	case use == AsMarks || len(points) < 2:
	case t.Walk != nil:
		track := p.Points // with what stands still, so that fixes keep their numbers
		if p.Closed() {
			track = append(slices.Clip(track), track[0])
		}
		thin, said, err := t.Walk.thin(track, use)
		if err != nil {
			return fault(p.Line, "%v", err)
		}
		name := ""
		if p.Name != "" {
			name = fmt.Sprintf(" %q", p.Name)
		}
		t.note("%s%s, thinned:", p.Form, name)
		for _, line := range said {
			t.note("  %s", line)
		}
		if slices.ContainsFunc(points, func(at Point) bool { return at.Height != nil }) {
			t.note("  its corners have no heights")
		}
		if points = thin; closed && !ring {
			points = points[:len(points)-1]
		}
	case ring && !closed:
		t.note("the %s %q is closed by a straight edge from its end to its beginning", p.Form, p.Name)
	}
	if ring && len(points) < 3 {
		return fault(p.Line, "a ring needs three corners, and %q has %d", shown(p.Name), len(points))
	}
	if len(points) < 2 {
		return fault(p.Line, "all points of %q are one place", shown(p.Name))
	}
	if centre, radius, round := t.round(p, points); round && use == AsObstacle && !t.Corners {
		t.to.Obstacles = append(t.to.Obstacles, Obstacle{Name: t.rings.give("obstacle", p.Name, "obstacle", p.Line), Centre: centre, Radius: radius})
		return nil
	}
	name, short := "", map[Use]string{AsBoundary: "F", AsRoute: "R", AsMarks: "P", AsObstacle: "O"}[use]
	if use == AsObstacle {
		name = t.rings.give("obstacle", p.Name, "obstacle", p.Line)
		short = name
	}
	corners := make([]string, len(points))
	for i, at := range points {
		corners[i] = t.corner(at, short)
	}
	switch use {
	case AsRoute:
		t.to.Route, t.to.Closed = corners, closed
	case AsBoundary:
		t.to.Boundary = corners
	case AsObstacle:
		t.to.Obstacles = append(t.to.Obstacles, Obstacle{Name: name, Ring: corners})
	}
	return nil
}

// round tells the circle that a ring stands for, if it still does: its corners lie at one
// distance from the mark that is said to be the centre, to 3 mm, and that is the radius, to
// half a percent and 5 mm (the corners of 64 lie 0.12 % beyond it, and distances are those at the
// ellipsoid). A ring that was moved or bent in another program is one of corners.
func (t *taker) round(p Path, points []Point) (centre string, radius quantity.Length, round bool) {
	value, err := quantity.Parse(p.Radius, radius.Dimension())
	i, there := t.named[p.Centre]
	if p.Centre == "" || err != nil || value <= 0 || !there || len(points) < 8 {
		return "", 0, false
	}
	least, most := math.Inf(1), 0.0
	for _, corner := range points {
		m := geodesy.GroundDistance(t.to.Marks[i].geodetic(), corner.geodetic(), 0)
		least, most = min(least, m), max(most, m)
	}
	radius = quantity.Length(value)
	said := radius.Metres()
	return t.to.Marks[i].Name, radius, most-least <= 0.003 && math.Abs(most-said) <= 0.005+float64(0.005*said)
}

func (p Point) geodetic() geodesy.Geodetic {
	return geodesy.Geodetic{Latitude: p.Latitude.Value, Longitude: p.Longitude.Value}
}

// still takes out what is the same place again: a receiver that stands still.
func (t *taker) still(p Path) []Point {
	points := slices.CompactFunc(slices.Clone(p.Points), func(a, b Point) bool { return a.at() == b.at() })
	if n := len(p.Points) - len(points); n > 0 {
		t.note("%s of %q at the place of the one before: left out", words.Plural(n, "point"), p.Name)
	}
	return points
}
