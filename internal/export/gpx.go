// GPX 1.1: marks and cuts are waypoints, the route is a route, rings are closed tracks. The
// order of the elements is that of its schema. A longitude is below 180 there: 180 is
// written -180. Heights are left out, as those of GPX are above the sea.
package export

import (
	"encoding/xml"

	"merestone/internal/geodesy"
	"merestone/internal/version"
)

type gpxFile struct {
	XMLName  xml.Name    `xml:"http://www.topografix.com/GPX/1/1 gpx"`
	Version  string      `xml:"version,attr"`
	Creator  string      `xml:"creator,attr"`
	Metadata gpxMetadata `xml:"metadata"`
	Points   []gpxPoint  `xml:"wpt"`
	Routes   []gpxRoute  `xml:"rte"`
	Tracks   []gpxTrack  `xml:"trk"`
}

type gpxMetadata struct {
	Name string `xml:"name"`
	Desc string `xml:"desc"`
}

type gpxPoint struct {
	Latitude  string `xml:"lat,attr"`
	Longitude string `xml:"lon,attr"`
	Name      string `xml:"name,omitempty"`
	Desc      string `xml:"desc,omitempty"`
	Type      string `xml:"type,omitempty"`
}

type gpxRoute struct {
	Name   string     `xml:"name"`
	Type   string     `xml:"type"`
	Points []gpxPoint `xml:"rtept"`
}

type gpxTrack struct {
	Name   string     `xml:"name"`
	Desc   string     `xml:"desc,omitempty"`
	Type   string     `xml:"type"`
	Points []gpxPoint `xml:"trkseg>trkpt"`
}

func (d Drawing) gpx() ([]byte, error) {
	file := gpxFile{Version: "1.1", Creator: "merestone " + version.Tool, Metadata: gpxMetadata{d.title(), d.description()}}
	for _, s := range d.Shapes {
		var points []gpxPoint
		for _, p := range s.closed() {
			if p.Longitude == 180*geodesy.Degree {
				p.Longitude = -p.Longitude
			}
			latitude, longitude := p.degrees()
			points = append(points, gpxPoint{Latitude: latitude, Longitude: longitude, Name: p.Name})
		}
		switch {
		case s.Form == point:
			points[0].Name, points[0].Desc, points[0].Type = s.Name, s.About, s.Kind
			file.Points = append(file.Points, points[0])
		case s.Form == line:
			file.Routes = append(file.Routes, gpxRoute{s.Name, s.Kind, points})
		default:
			file.Tracks = append(file.Tracks, gpxTrack{s.Name, s.About, s.Kind, points})
		}
	}
	text, err := xml.MarshalIndent(file, "", " ")
	return append([]byte(xml.Header), append(text, '\n')...), err
}
