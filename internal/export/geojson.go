// GeoJSON, RFC 7946: longitude first, rings counterclockwise, the third number a height
// above the ellipsoid. Coordinates are their exact decimals. No library was found that
// writes them and the heights: what is written are three structs and encoding/json.
package export

import (
	"bytes"
	"encoding/json"
	"fmt"

	"merestone/internal/version"
)

type geoFeature struct {
	Type       string        `json:"type"`
	Properties geoProperties `json:"properties"`
	Geometry   geoGeometry   `json:"geometry"`
}

type geoProperties struct {
	Kind  string `json:"kind"`
	Name  string `json:"name"`
	About string `json:"about,omitempty"`
	// Of a circle, by which it is read back as one.
	Centre string `json:"centre,omitempty"`
	Radius string `json:"radius,omitempty"`
}

type geoGeometry struct {
	Type        string `json:"type"`
	Coordinates any    `json:"coordinates"`
}

// geoMission is a member of its own beside those of the collection (RFC 7946, 6.1).
type geoMission struct {
	Mission string   `json:"mission"`
	Version string   `json:"version"`
	Digest  *string  `json:"digest"` // null where the mission is refused
	Refused bool     `json:"refused"`
	Notes   []string `json:"notes"`
}

func (d Drawing) geojson() ([]byte, error) {
	m := geoMission{Mission: d.Mission, Version: version.Tool, Refused: d.Digest == "", Notes: d.Notes}
	if !m.Refused {
		m.Digest = &d.Digest
	}
	about, err := json.Marshal(m)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	fmt.Fprintf(&out, "{\"type\": \"FeatureCollection\",\n\"merestone\": %s,\n\"features\": [", about)
	for i, s := range d.Shapes {
		feature, err := json.Marshal(geoFeature{"Feature", geoProperties{s.Kind, s.Name, s.About, s.centre, s.radius()}, s.geometry()})
		if err != nil {
			return nil, err
		}
		if i > 0 {
			out.WriteByte(',')
		}
		out.WriteByte('\n')
		out.Write(feature)
	}
	out.WriteString("\n]}\n")
	return out.Bytes(), nil
}

func (s Shape) geometry() geoGeometry {
	var positions [][]json.Number
	for _, p := range s.closed() {
		latitude, longitude := p.degrees()
		at := []json.Number{json.Number(longitude), json.Number(latitude)}
		if p.Height != "" {
			at = append(at, json.Number(p.Height))
		}
		positions = append(positions, at)
	}
	switch s.Form {
	case point:
		return geoGeometry{"Point", positions[0]}
	case line:
		return geoGeometry{"LineString", positions}
	default:
		return geoGeometry{"Polygon", [][][]json.Number{positions}}
	}
}
