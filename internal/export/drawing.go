// Package export draws a mission for other programs: its marks, route and fence, the room
// that each leg needs, and where the drive is cut, as GeoJSON, GPX, KML, a table (CSV), DXF
// or a table of WKT. internal/interchange reads the first four back.
//
//	drawing.go  what is drawn, in the frame and in degrees
//	outline.go  circles and stretches as polygons that hold all of them
//	formats.go  the formats, and what each cannot hold
//	geojson.go, gpx.go, kml.go, csv.go, dxf.go, wkt.go  one each
//
// A drawing is a copy, and says so: what drives are the tables of the header.
package export

import (
	"bytes"
	"fmt"
	"math"
	"slices"

	"merestone/internal/elementary"
	"merestone/internal/fence"
	"merestone/internal/figures"
	"merestone/internal/geodesy"
	"merestone/internal/interchange"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
	"merestone/spec"
)

// Drawing is a mission as shapes.
type Drawing struct {
	Mission string
	Digest  string // of its plan; empty where the mission is refused
	Notes   []string
	Shapes  []Shape
	frame   geodesy.Frame
	usual   string // uncertainty of a mark that says none
}

// form says what joins the places of a shape.
type form uint8

const (
	point form = iota
	line
	ring // closes by itself; counterclockwise
)

// Shape is one thing that is drawn.
type Shape struct {
	Kind, Name  string
	About       string // in words, what it is or is not
	Form        form
	Places      []Place
	circle      *planar.Circle // that a ring stands for
	centre      string         // its mark
	uncertainty string         // of a mark that was surveyed
}

// Place is a place in both frames.
type Place struct {
	Name                string // of the mark that it is; empty for none
	Latitude, Longitude geodesy.Nanodegree
	Step                geodesy.Nanodegree // of the last digit that the mission has of a mark; 0 for all nine decimals
	EastMM, NorthMM     float64
	Height              string // above the ellipsoid in metres; empty where the mission has none
}

// degrees are latitude and longitude with all the digits that were written: a zero left out
// at the end would read back as a mark that is ten times as coarse.
func (p Place) degrees() (latitude, longitude string) {
	return geodesy.Coordinate{Value: p.Latitude, Resolution: p.Step}.Decimal(), geodesy.Coordinate{Value: p.Longitude, Resolution: p.Step}.Decimal()
}

// Of draws a plan. Of a refused mission there are its marks, route and fence alone: what
// follows from them was not proved.
func Of(p *plan.Plan, refused bool) (Drawing, error) {
	d := Drawing{Mission: p.Mission, frame: p.Site.Frame, usual: written(p.Machine.Receiver.FixedStdMM)}
	if !refused {
		d.Digest = fmt.Sprintf("%x", figures.Digest(p))
	}
	for i, m := range p.Survey.Marks {
		if !placed(m) {
			continue
		}
		s := Shape{Kind: interchange.KindMark, Name: m.Name, Places: []Place{d.mark(m)}, uncertainty: uncertainty(p, i)}
		if !surveyed(m) {
			s.About = "measured, and not surveyed by latitude and longitude"
		}
		d.Shapes = append(d.Shapes, s)
	}
	d.route(p)
	for n, part := range p.Fence.Parts() {
		d.fence(p, n, part)
	}
	if !refused {
		d.stretches(p)
		d.cuts(p)
	}
	var longitudes []geodesy.Nanodegree
	for _, s := range d.Shapes {
		for _, at := range s.Places {
			longitudes = append(longitudes, at.Longitude)
		}
	}
	if geodesy.CrossesAntimeridian(longitudes...) {
		return d, fmt.Errorf("the mission lies on both sides of the meridian of 180 degrees, which drawings of other programs do not show")
	}
	d.cautions(p, refused)
	return d, nil
}

// mark is the place of a mark: as it is written where it was surveyed in the set-up that all
// is reckoned in, and else where its millimetres are.
func (d *Drawing) mark(m plan.Mark) Place {
	at := d.at(float64(m.Point.E), float64(m.Point.N))
	if surveyed(m) && m.Placed == m.Geodetic {
		at.Latitude, at.Longitude, at.Step = m.Geodetic.Latitude, m.Geodetic.Longitude, m.Resolution
	}
	at.Name = m.Name
	if m.HasHeight {
		height := m.Placed.HeightM
		if m.Placed != m.Geodetic { // a sum with the height between two set-ups
			height = math.Round(height*1e4) / 1e4
		}
		at.Height = words.Decimal(height, 0)
	}
	return at
}

// uncertainty is what a table says of a mark: as it was written, where that is all that the
// plan reckons with. Of a mark that was measured from others or moved with its set-up, and of
// one whose seconds are coarser than the decimals that are drawn, it is what the plan has: the
// table has no other place for where that comes from.
func uncertainty(p *plan.Plan, mark int) string {
	m := p.Survey.Marks[mark]
	std := m.StdMM
	if !surveyed(m) || m.Placed != m.Geodetic || !decimal(m.Resolution) {
		std = p.MarkStdMM(mark)
	}
	if std != m.OwnStdMM || !surveyed(m) {
		std = math.Round(std*10) / 10
	}
	return written(std)
}

func written(stdMM float64) string {
	if stdMM == 0 {
		return ""
	}
	return words.Decimal(stdMM, 0) + " mm"
}

// decimal reports whether a step is one of the last decimal of a degree, and not of a second.
func decimal(step geodesy.Nanodegree) bool {
	for step >= 10 && step%10 == 0 {
		step /= 10
	}
	return step <= 1
}

// placed is false for a mark that was measured from others, where these do not tell its place.
func placed(m plan.Mark) bool { return !m.Measured.Form.FromOthers() || m.Placed != geodesy.Geodetic{} }

func surveyed(m plan.Mark) bool { return m.Measured.Form == spec.Surveyed }

// at is a place of the frame, at the height of its origin.
func (d *Drawing) at(eastMM, northMM float64) Place {
	g := d.frame.AtHeight(eastMM/1000, northMM/1000, d.frame.Origin().HeightM)
	return Place{Latitude: g.Latitude, Longitude: g.Longitude, EastMM: eastMM, NorthMM: northMM}
}

func (d *Drawing) route(p *plan.Plan) {
	s := Shape{Kind: interchange.KindRoute, Name: "route", Form: line}
	for _, w := range p.Route.Waypoints {
		m := p.Survey.Marks[w.Mark]
		if !placed(m) {
			return
		}
		s.Places = append(s.Places, d.mark(m))
	}
	if len(s.Places) < 2 {
		return
	}
	if p.Route.Closed {
		s.Kind = interchange.KindClosed
		s.Places = append(s.Places, s.Places[0])
	}
	d.Shapes = append(d.Shapes, s)
}

func (d *Drawing) fence(p *plan.Plan, n int, part *fence.Part) {
	s := Shape{Kind: interchange.KindObstacle, Name: part.Name, Form: ring}
	if n == fence.Boundary {
		s.Kind, s.Name = interchange.KindBoundary, "boundary"
	}
	if part.IsCircle {
		if !placed(p.Survey.Marks[part.Marks[0].Number]) {
			return
		}
		s.circle, s.centre = &part.Circle, part.Marks[0].Name
		s.Places = d.around(planar.Segment{A: part.Circle.Centre, B: part.Circle.Centre}, part.Circle.RadiusMM)
		s.About = fmt.Sprintf("a circle of %s; where it is drawn with corners, all of it lies within them", words.MM(part.Circle.RadiusMM))
		d.Shapes = append(d.Shapes, s)
		return
	}
	for _, c := range part.Marks {
		m := p.Survey.Marks[c.Number]
		if !placed(m) {
			return
		}
		s.Places = append(s.Places, d.mark(m))
	}
	if len(s.Places) < 3 {
		return
	}
	if area(s.Places) < 0 { // RFC 7946, 3.1.6: the outer ring is counterclockwise
		slices.Reverse(s.Places)
	}
	d.Shapes = append(d.Shapes, s)
}

// area is twice the area within a ring, positive where it is counterclockwise.
func area(places []Place) float64 {
	sum := 0.0
	for i, a := range places {
		b := places[(i+1)%len(places)]
		sum += float64(a.EastMM*b.NorthMM) - float64(b.EastMM*a.NorthMM)
	}
	return sum
}

// stretches draws the room that each stretch of the route needs.
func (d *Drawing) stretches(p *plan.Plan) {
	add := func(s plan.Stretch, name string) {
		if !s.Needed {
			return
		}
		d.Shapes = append(d.Shapes, Shape{
			Kind: interchange.KindStandoff, Name: name, Form: ring,
			Places: d.around(s.Segment, s.TotalMM),
			About: fmt.Sprintf("%s: to be free of the fence, as at %s, where the least is to spare; position %s, off the line %s, reach %s",
				words.MM(s.TotalMM), p.Fence.Name(s.Edge), words.MM(s.PositionMM), words.MM(s.OffLineMM), words.MM(s.ReachMM)),
		})
	}
	for _, l := range p.Route.Legs {
		add(l.Line, l.ID)
		add(l.Join, l.ID+" start")
	}
	for _, w := range p.Route.Waypoints {
		add(w.Pivot, w.ID+" turn")
	}
}

// cuts draws where the drive is cut before each waypoint at which the rover stops.
func (d *Drawing) cuts(p *plan.Plan) {
	for _, l := range p.Route.Legs {
		if !p.Route.Waypoints[l.To].Stops || l.LengthMM == 0 {
			continue
		}
		back := min(float64(l.CutMM)/l.LengthMM, 1)
		a, b := l.Segment.A, l.Segment.B
		at := d.at(float64(b.E)+float64(float64(a.E-b.E)*back), float64(b.N)+float64(float64(a.N-b.N)*back))
		d.Shapes = append(d.Shapes, Shape{
			Kind: interchange.KindCut, Name: l.ID + " cut", Places: []Place{at},
			About: fmt.Sprintf("%s before %s, with a fix that is half a fix interval old", words.MM(l.CutMM), p.Route.Waypoints[l.To].ID),
		})
	}
}

// sign stands near the beginning of every drawing.
const sign = "A drawing: what drives are the tables"

// IsDrawing tells by its beginning whether a file is a drawing, which a newer one may take
// the place of.
func IsDrawing(begin []byte) bool { return bytes.Contains(begin, []byte(sign)) }

// cautions are what a reader of the drawing is to know.
func (d *Drawing) cautions(p *plan.Plan, refused bool) {
	if refused {
		d.Notes = append(d.Notes, interchange.Refused+", and nothing is proved of it. Standoffs and cuts are left out, and what the errors are in may be missing; merestone check tells what is wrong.")
	} else {
		d.Notes = append(d.Notes, fmt.Sprintf("Nobody in front of the rover at any distance while it can drive, and nobody within %s of it on any side.", words.MM(p.KeepAway().TotalMM)))
		if b := p.Survey.Base; b.Averaged() && !b.LeansOnShift() {
			d.Notes = append(d.Notes, fmt.Sprintf("The base averages its position anew: all of the drive may come up %s away from here, which no standoff has in it.", words.MM(int64(math.Ceil(p.BaseShiftMM())))))
		}
	}
	d.Notes = append(d.Notes, sign+" of the mission's header. They are as good as its marks. No conformity with any standard is claimed.")
	if off, longest := d.straight(); off >= 1 {
		d.Notes = append(d.Notes, fmt.Sprintf("Edges and legs are straight on the ground. Drawn straight in degrees, they are up to %s beside that (longest: %s).",
			words.MM(int64(math.Ceil(off))), words.MM(int64(math.Round(longest)))))
	}
}

// straight is how far, in millimetres, the middle of an edge or leg lies from where a program
// draws it that joins degrees by straight lines, and the length of the longest.
func (d *Drawing) straight() (offMM, longestMM float64) {
	for _, s := range d.Shapes {
		if s.Form == point || s.circle != nil || s.Kind == interchange.KindStandoff {
			continue
		}
		for i := range s.Places {
			a, b := s.Places[i], s.Places[(i+1)%len(s.Places)]
			if s.Form == line && i == len(s.Places)-1 {
				break
			}
			drawn := d.frame.ToLocal(geodesy.Geodetic{Latitude: (a.Latitude + b.Latitude) / 2, Longitude: (a.Longitude + b.Longitude) / 2, HeightM: d.frame.Origin().HeightM})
			east, north := b.EastMM-a.EastMM, b.NorthMM-a.NorthMM
			length := elementary.Hypot(east, north)
			if length == 0 {
				continue
			}
			toEast, toNorth := float64(drawn.EastM*1000)-a.EastMM, float64(drawn.NorthM*1000)-a.NorthMM
			offMM = max(offMM, math.Abs(float64(toEast*north)-float64(toNorth*east))/length)
			longestMM = max(longestMM, length)
		}
	}
	return offMM, longestMM
}
