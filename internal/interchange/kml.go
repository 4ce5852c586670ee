// KML 2.2: placemarks with points, lines and polygons, at any depth of folders. Its
// altitude is above the sea where altitudeMode is absolute; in all other modes it is above
// the ground, or nothing at all.
package interchange

import (
	"encoding/xml"
	"slices"
	"strings"
)

// placemark is what is read of one.
type placemark struct {
	properties
	line   int
	points []Point
	paths  []Path
}

func (x *xmlReader) kml() error {
	return x.children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "Document", "Folder":
			return x.kml()
		case "Placemark":
			return x.placemark()
		case "NetworkLink":
			x.count(linked, x.lineNow())
		}
		return x.skip()
	})
}

func (x *xmlReader) placemark() error {
	m := placemark{line: x.lineNow()}
	err := x.children(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "name":
			m.name, err = x.words()
		case "ExtendedData":
			err = x.extended(&m)
		default:
			err = x.geometry(e, &m)
		}
		return err
	})
	if err != nil {
		return err
	}
	m.name = oneLine(m.name)
	switch {
	case m.kind == KindStandoff || m.kind == KindCut:
		x.count(workedOut, m.line)
		return nil
	case len(m.points)+len(m.paths) == 0:
		x.count(noGeometry, m.line)
	}
	for _, p := range m.points {
		p.Name = m.name
		x.data.Points = append(x.data.Points, p)
	}
	for _, p := range m.paths {
		p.Name, p.Kind, p.Centre, p.Radius = m.name, m.kind, m.centre, m.radius
		if err := x.add(p); err != nil {
			return err
		}
	}
	return nil
}

// extended reads what a file of this program says that a placemark is.
func (x *xmlReader) extended(m *placemark) error {
	return x.children(func(e xml.StartElement) error {
		to, known := map[string]*string{"kind": &m.kind, "centre": &m.centre, "radius": &m.radius}[attribute(e, "name")]
		if e.Name.Local != "Data" || !known {
			return x.skip()
		}
		return x.children(func(e xml.StartElement) (err error) {
			if e.Name.Local == "value" {
				*to, err = x.words()
				return err
			}
			return x.skip()
		})
	})
}

// geometry reads an element of a placemark, if it is a geometry.
func (x *xmlReader) geometry(e xml.StartElement, m *placemark) error {
	line := x.lineNow()
	switch e.Name.Local {
	case "MultiGeometry":
		return x.children(func(e xml.StartElement) error { return x.geometry(e, m) })
	case "Point":
		points, err := x.coordinates()
		if err == nil && len(points) != 1 {
			err = fault(line, "a Point has %d positions", len(points))
		}
		m.points = append(m.points, points...)
		return err
	case "LineString":
		points, err := x.coordinates()
		m.paths = append(m.paths, Path{Form: Line, Line: line, Points: points})
		return err
	case "LinearRing":
		points, err := x.coordinates()
		m.paths = append(m.paths, Path{Form: Polygon, Line: line, Points: points})
		return err
	case "Polygon":
		return x.polygon(m)
	case "Track", "MultiTrack", "Model":
		return fault(line, "there is no reading of %s here: save the places as points or lines", e.Name.Local)
	}
	return x.skip()
}

func (x *xmlReader) polygon(m *placemark) error {
	var outer, inner []Path
	line := x.lineNow()
	err := x.children(func(e xml.StartElement) error {
		form := Polygon
		switch e.Name.Local {
		case "outerBoundaryIs":
		case "innerBoundaryIs":
			form = Hole
		default:
			return x.skip()
		}
		return x.children(func(e xml.StartElement) error {
			if e.Name.Local != "LinearRing" {
				return x.skip()
			}
			p := Path{Form: form, Line: x.lineNow()}
			var err error
			p.Points, err = x.coordinates()
			if form == Polygon {
				outer = append(outer, p)
			} else {
				inner = append(inner, p)
			}
			return err
		})
	})
	if err == nil && len(outer) != 1 {
		err = fault(line, "a Polygon has %d outer rings", len(outer))
	}
	m.paths = slices.Concat(m.paths, outer, inner)
	return err
}

// coordinates reads a geometry with its positions up to its end: longitude, latitude and
// perhaps altitude with commas between, and spaces around.
func (x *xmlReader) coordinates() ([]Point, error) {
	var texts string
	over := ground
	line := x.lineNow()
	err := x.children(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "coordinates":
			line = x.lineNow()
			texts, err = x.raw()
		case "altitudeMode":
			var mode string
			if mode, err = x.words(); mode == "absolute" {
				over = sea
			}
		default:
			err = x.skip()
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	var points []Point
	for row := range strings.SplitSeq(texts, "\n") {
		for text := range strings.FieldsSeq(row) {
			if err := x.point(line); err != nil {
				return nil, err
			}
			parts := strings.SplitN(text, ",", 4)
			if len(parts) < 2 || len(parts) > 3 || slices.Contains(parts[:2], "") {
				return nil, fault(line, "position %q is not longitude,latitude or longitude,latitude,altitude without spaces", shown(text))
			}
			p, err := x.place(parts[1], parts[0], line, false)
			if err != nil {
				return nil, err
			}
			if len(parts) == 3 && (over == sea || strings.Trim(parts[2], "0.") != "") {
				if p.Height, err = x.height(parts[2], "", over, line); err != nil {
					return nil, err
				}
			}
			points = append(points, p)
		}
		line++
	}
	return points, nil
}
