// KML 2.2, a folder for each kind. Heights are left out, as those of KML are above the sea;
// without them everything is drawn on the ground. The library writes coordinates by their
// shortest decimals, and those of a whole number of nanodegrees are exact: twelve digits,
// where a float64 keeps fifteen.
package export

import (
	"bytes"

	"github.com/twpayne/go-kml/v3"
)

func (d Drawing) kml() ([]byte, error) {
	document := kml.Document(kml.Name(d.title()), kml.Description(d.description()))
	var folder *kml.FolderElement
	for i, s := range d.Shapes {
		if i == 0 || s.Kind != d.Shapes[i-1].Kind {
			folder = kml.Folder(kml.Name(s.Kind))
			document.Append(folder)
		}
		folder.Append(s.placemark())
	}
	var out bytes.Buffer
	err := kml.KML(document).WriteIndent(&out, "", " ")
	out.WriteByte('\n')
	return out.Bytes(), err
}

func (s Shape) placemark() kml.Element {
	var at []kml.Coordinate
	for _, p := range s.closed() {
		at = append(at, kml.Coordinate{Lon: p.Longitude.Degrees(), Lat: p.Latitude.Degrees()})
	}
	mark := kml.Placemark(kml.Name(s.Name))
	if s.About != "" {
		mark.Append(kml.Description(s.About))
	}
	data := kml.ExtendedData(kml.Data("kind", kml.Value(s.Kind)))
	if s.circle != nil { // by which it is read back as one
		data.Append(kml.Data("centre", kml.Value(s.centre)), kml.Data("radius", kml.Value(s.radius())))
	}
	mark.Append(data)
	switch where := kml.Coordinates(at...); s.Form {
	case point:
		mark.Append(kml.Point(where))
	case line:
		mark.Append(kml.LineString(kml.Tessellate(true), where))
	default:
		mark.Append(kml.Polygon(kml.Tessellate(true), kml.OuterBoundaryIs(kml.LinearRing(where))))
	}
	return mark
}
