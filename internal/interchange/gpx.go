// GPX 1.1: waypoints, routes and tracks. Its "ele" is a height above the sea (the schema
// says "elevation", and of geoidheight that it is that of the sea above the ellipsoid);
// with geoidheight beside it a height above the ellipsoid is their sum.
package interchange

import (
	"encoding/xml"
	"fmt"
)

func (x *xmlReader) gpx(root xml.StartElement) error {
	version := attribute(root, "version")
	if version != "1.1" && version != "1.0" {
		return fault(x.lineNow(), "it is GPX of version %q, and 1.1 is read", shown(version))
	}
	x.data.Format = "GPX"
	if version == "1.0" {
		x.data.Notes = append(x.data.Notes, "it is GPX 1.0, which has points, routes and tracks as 1.1 has them")
	}
	return x.own(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "wpt":
			p, kind, err := x.gpxPoint(e)
			if err == nil && kind == KindCut {
				x.count(workedOut, p.Line)
				return nil
			}
			x.data.Points = append(x.data.Points, p)
			return err
		case "rte":
			return x.gpxPath(Route, "rtept")
		case "trk":
			return x.gpxPath(Track, "trkpt")
		}
		return x.skip()
	})
}

// gpxPoint reads a point up to its end.
func (x *xmlReader) gpxPoint(e xml.StartElement) (p Point, kind string, err error) {
	line := x.lineNow()
	if err := x.point(line); err != nil {
		return p, "", err
	}
	var name, height, beside string
	err = x.own(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "name":
			name, err = x.words()
		case "ele":
			height, err = x.words()
		case "geoidheight":
			beside, err = x.words()
		case "type":
			kind, err = x.words()
		default:
			err = x.skip()
		}
		return err
	})
	if err != nil {
		return p, kind, err
	}
	if p, err = x.place(attribute(e, "lat"), attribute(e, "lon"), line, false); err != nil {
		return p, kind, err
	}
	p.Name = oneLine(name)
	p.Height, err = x.height(height, beside, sea, line)
	return p, kind, err
}

// gpxPath reads a route, or a track with its segments, up to its end.
func (x *xmlReader) gpxPath(form Form, point string) error {
	p := Path{Form: form, Line: x.lineNow()}
	var segments [][]Point
	add := func(e xml.StartElement) error {
		at, _, err := x.gpxPoint(e)
		last := len(segments) - 1
		segments[last] = append(segments[last], at)
		return err
	}
	if form == Route {
		segments = [][]Point{nil}
	}
	err := x.own(func(e xml.StartElement) (err error) {
		switch {
		case e.Name.Local == "name":
			p.Name, err = x.words()
		case e.Name.Local == "type":
			p.Kind, err = x.words()
		case e.Name.Local == point && form == Route:
			err = add(e)
		case e.Name.Local == "trkseg" && form == Track:
			segments = append(segments, nil)
			err = x.own(func(e xml.StartElement) error {
				if e.Name.Local != point {
					return x.skip()
				}
				return add(e)
			})
		default:
			err = x.skip()
		}
		return err
	})
	if err != nil {
		return err
	}
	p.Name = oneLine(p.Name)
	if p.Kind == KindStandoff {
		x.count(workedOut, p.Line)
		return nil
	}
	if p.Kind == KindBoundary || p.Kind == KindObstacle { // GPX has no rings; this program writes them as tracks
		p.Form = Polygon
	}
	for i, points := range segments {
		one := p
		one.Points = points
		if len(segments) > 1 && p.Name != "" {
			one.Name = fmt.Sprintf("%s %d", p.Name, i+1)
		}
		if err := x.add(one); err != nil {
			return err
		}
	}
	return nil
}
