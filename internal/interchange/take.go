// What becomes of a file: points become marks, and lines and polygons what the user says
// that they are, or what the file says where it is one of this program's own. A corner that lies on a mark of
// the same file is that mark.
package interchange

import (
	"fmt"
	"slices"
	"strings"

	"merestone/internal/geodesy"
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

// Obstacle is a ring of marks.
type Obstacle struct {
	Name string
	Ring []string
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
	Only string   // the one line or polygon that is meant, by its name in the file
	Has  []string // names of marks that the mission has already
	// Thin takes points out of a path; nil takes all.
	Thin func(points []Point, ring bool) ([]Point, string, error)
}

// place is where a point is, to find it again.
type place struct{ latitude, longitude geodesy.Nanodegree }

func (p Point) at() place { return place{p.Latitude.Value, p.Longitude.Value} }

type taker struct {
	Request
	to    Taken
	marks *namer
	rings *namer
	there map[place][]int // marks of the file, by place
}

// Take decides what everything in a file becomes.
func Take(d Data, q Request) (Taken, error) {
	t := &taker{Request: q, marks: newNamer(q.Has), rings: newNamer(nil), there: map[place][]int{}}
	for _, p := range d.Points {
		t.mark(p, "P")
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

// mark takes a point as a mark of its own.
func (t *taker) mark(p Point, fallback string) string {
	name := t.marks.give("mark", p.Name, fallback, p.Line)
	t.there[p.at()] = append(t.there[p.at()], len(t.to.Marks))
	t.to.Marks = append(t.to.Marks, Mark{name, p})
	return name
}

// corner is the mark of a point of a path: one that lies there, of the same name if there
// are several, or a new one.
func (t *taker) corner(p Point, fallback string) string {
	here := t.there[p.at()]
	for _, i := range here {
		if t.to.Marks[i].Point.Name == p.Name {
			return t.to.Marks[i].Name
		}
	}
	if len(here) > 0 {
		return t.to.Marks[here[0]].Name
	}
	return t.mark(p, fallback)
}

// use is what a path is.
func (t *taker) use(p Path) Use {
	switch own := Use(p.Kind); {
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
	if last := len(points) - 1; !closed && last > 1 && points[0].at() == points[last].at() && use != AsMarks {
		points, closed = points[:last], true
	}
	if ring := use == AsBoundary || use == AsObstacle; use != AsMarks {
		if ring && !closed {
			t.note("the %s %q is closed by a straight edge from its end to its beginning", p.Form, p.Name)
			closed = true
		}
		if t.Thin != nil {
			thin, said, err := t.Thin(points, closed)
			if err != nil {
				return &Fault{p.Line, err.Error()}
			}
			t.note("%s", said)
			points = thin
		}
		if ring && len(points) < 3 {
			return fault(p.Line, "a ring needs three corners, and %q has %d", shown(p.Name), len(points))
		}
	}
	if len(points) < 2 {
		return fault(p.Line, "all points of %q are one place", shown(p.Name))
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
		t.to.Obstacles = append(t.to.Obstacles, Obstacle{name, corners})
	}
	return nil
}

// still takes out what is the same place again: a receiver that stands still.
func (t *taker) still(p Path) []Point {
	points := slices.CompactFunc(slices.Clone(p.Points), func(a, b Point) bool { return a.at() == b.at() })
	if n := len(p.Points) - len(points); n > 0 {
		t.note("%s of %q at the place of the one before: left out", words.Plural(n, "point"), p.Name)
	}
	return points
}
