// The formats, and what each of them cannot hold, which is told beside the drawing.
package export

import (
	"fmt"
	"slices"
	"strings"

	"merestone/internal/interchange"
	"merestone/internal/words"
)

// format is one of them.
type format struct {
	write func(Drawing) ([]byte, error)
	lost  func(Drawing) []string
}

func formats() map[string]format {
	return map[string]format{
		"geojson": {Drawing.geojson, Drawing.lostByGeoJSON},
		"gpx":     {Drawing.gpx, Drawing.lostByGPX},
		"kml":     {Drawing.kml, Drawing.lostByKML},
		"csv":     {Drawing.csv, Drawing.lostByCSV},
		"dxf":     {Drawing.dxf, Drawing.lostByDXF},
		"wkt":     {Drawing.wkt, Drawing.lostByWKT},
	}
}

// Formats are their names.
func Formats() []string { return []string{"geojson", "gpx", "kml", "csv", "dxf", "wkt"} }

// Write writes a drawing in a format, and says what the format has no place for.
func Write(d Drawing, name string) (text []byte, lost []string, err error) {
	f, there := formats()[name]
	if !there {
		return nil, nil, fmt.Errorf("there is no format %q; the formats are %s", name, words.And(Formats()))
	}
	text, err = f.write(d)
	return text, f.lost(d), err
}

// has reports whether a drawing has a shape of which something holds.
func (d Drawing) has(what func(Shape) bool) bool { return slices.ContainsFunc(d.Shapes, what) }

func (d Drawing) lostRound() []string {
	if d.has(func(s Shape) bool { return s.circle != nil }) {
		return []string{"circles are polygons of 64 corners around them"}
	}
	return nil
}

func (d Drawing) lostHeights(why string) []string {
	if d.has(func(s Shape) bool { return s.Kind == interchange.KindMark && s.Places[0].Height != "" }) {
		return []string{"heights are left out: " + why}
	}
	return nil
}

func (d Drawing) lostByGeoJSON() []string {
	return slices.Concat(d.lostRound(), d.lostUncertainties())
}

func (d Drawing) lostByGPX() []string {
	return slices.Concat(d.lostRound(), d.lostUncertainties(), []string{"rings are closed tracks, as it has no polygons"}, d.lostHeights("those of GPX are above the sea, and the mission's above the ellipsoid"))
}

func (d Drawing) lostByKML() []string {
	return slices.Concat(d.lostRound(), d.lostUncertainties(), d.lostHeights("those of KML are above the sea, and the mission's above the ellipsoid"))
}

func (d Drawing) lostByCSV() []string {
	return []string{"marks alone, as a marks_file has them: route, fence, standoffs and cuts are left out"}
}

func (d Drawing) lostByDXF() []string {
	return slices.Concat([]string{"metres east and north of the origin in the mission's frame, not degrees"}, d.lostUncertainties(), d.lostHeights("it is a plan"))
}

func (d Drawing) lostByWKT() []string {
	return slices.Concat(d.lostRound(), d.lostUncertainties(), d.lostHeights("it does not say above what"))
}

// lostUncertainties is told since a mark that is read back without its own counts as surveyed
// with a fixed solution of the receiver.
func (d Drawing) lostUncertainties() []string {
	if d.has(func(s Shape) bool { return s.uncertainty != "" && s.uncertainty != d.usual }) {
		return []string{"uncertainties of marks are left out; csv has them"}
	}
	return nil
}

// title names the drawing and what it is of.
func (d Drawing) title() string { return "Mission " + d.Mission }

// notes are the digest and the cautions, one a line.
func (d Drawing) notes() []string {
	digest := "Plan SHA-256 " + d.Digest + "."
	if d.Digest == "" {
		digest = "No digest: the mission is refused."
	}
	return append([]string{digest}, d.Notes...)
}

// description is a text of several lines for formats that have one place for it.
func (d Drawing) description() string { return strings.Join(d.notes(), "\n") }

// closed are the places of a shape as formats want them that end a ring where it began.
func (s Shape) closed() []Place {
	if s.Form == ring {
		return append(slices.Clone(s.Places), s.Places[0])
	}
	return s.Places
}

// radius is that of a circle; empty for what is none.
func (s Shape) radius() string {
	if s.circle == nil {
		return ""
	}
	return words.MM(s.circle.RadiusMM).String()
}
