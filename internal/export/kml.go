// KML 2.2, a folder for each kind. Heights are left out, as those of KML are above the sea;
// without them everything is drawn on the ground. Coordinates are written here: the library
// writes them by their shortest decimals, which leave zeros out at the end.
package export

import (
	"bytes"
	"encoding/xml"
	"strings"

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
	mark := kml.Placemark(kml.Name(s.Name))
	if s.About != "" {
		mark.Append(kml.Description(s.About))
	}
	data := kml.ExtendedData(kml.Data("kind", kml.Value(s.Kind)))
	if s.circle != nil { // by which it is read back as one
		data.Append(kml.Data("centre", kml.Value(s.centre)), kml.Data("radius", kml.Value(s.radius())))
	}
	mark.Append(data)
	switch where := coordinates(s.closed()); s.Form {
	case point:
		mark.Append(kml.Point(where))
	case line:
		mark.Append(kml.LineString(kml.Tessellate(true), where))
	default:
		mark.Append(kml.Polygon(kml.Tessellate(true), kml.OuterBoundaryIs(kml.LinearRing(where))))
	}
	return mark
}

// coordinates are an element of the library's kind.
type coordinates []Place

func (c coordinates) MarshalXML(e *xml.Encoder, _ xml.StartElement) error {
	var at []string
	for _, p := range c {
		latitude, longitude := p.degrees()
		at = append(at, longitude+","+latitude)
	}
	return e.EncodeElement(strings.Join(at, " "), xml.StartElement{Name: xml.Name{Local: "coordinates"}})
}
