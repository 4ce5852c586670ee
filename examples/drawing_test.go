// The example sites are designed in metres, and the designs turned into latitudes
// and longitudes.
//
// Nobody can check by eye that 45.301324871 is 4 m from a fence. So the sites are
// drawn here first, in whole millimetres on the ground, and the coordinates in the
// mission files are written from the drawing:
//
//	go test ./examples -update
//
// rewrites them; without the flag the tests read the committed files and check,
// by internal/geodesy and by PROJ, that each mark still lies where it was drawn.
//
// This file: the drawing, and its way to coordinates. sites_test.go has the three
// good sites, yard_test.go the small one that the refused missions share, and
// drawn_test.go holds the committed files against them.
package examples

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"

	"merestone/internal/geodesy"
)

// Layout is one site as it was drawn.
type Layout struct {
	Folder string           // under examples
	Origin geodesy.Geodetic // of the site; zero of the drawing
	Along  Direction        // which way the drawing's second axis points
	Groups []Group
}

// Direction is the bearing of the drawing's along axis, as a Pythagorean triple
// East² + North² = Length². Real fences do not run north and south; with a
// triple the turned coordinates stay exact.
type Direction struct{ East, North, Length int64 }

// North is the direction of a drawing that is not turned.
func North() Direction { return Direction{0, 1, 1} }

// Group is marks that belong together, under one line of comment.
type Group struct {
	Note        string
	Uncertainty string // as written in the mission, one standard deviation
	DMS         bool   // written as degrees, minutes and seconds
	CSV         string // file they are written to; empty for the mission itself
	Points      []Point
}

// Point is a mark of the drawing, in millimetres: across is to the right of
// along; rise is above the height of the origin.
type Point struct {
	Name              string
	AcrossMM, AlongMM int64
	RiseMM            int64
	Decimals          int // of a degree, as written; zero means nine
}

// Local gives a point's place in the site's local frame, in whole millimetres.
func (l Layout) Local(p Point) (eastMM, northMM int64) {
	d := l.Along
	return roundDiv(p.AcrossMM*d.North+p.AlongMM*d.East, d.Length),
		roundDiv(-p.AcrossMM*d.East+p.AlongMM*d.North, d.Length)
}

// Geodetic gives a point's coordinates, to the nearest nanodegree (0.06 mm), at
// the height that the point has.
func (l Layout) Geodetic(p Point) (geodesy.Geodetic, error) {
	frame, err := geodesy.NewFrame(l.Origin)
	if err != nil {
		return geodesy.Geodetic{}, err
	}
	east, north := l.Local(p)
	return frame.AtHeight(float64(east)/1000, float64(north)/1000, l.heightM(p)), nil
}

func (l Layout) heightM(p Point) float64 { return l.Origin.HeightM + float64(p.RiseMM)/1000 }

// Points are all marks of the drawing, with the groups they are in.
func (l Layout) Points(visit func(Group, Point)) {
	for _, g := range l.Groups {
		for _, p := range g.Points {
			visit(g, p)
		}
	}
}

// MarksYAML writes the marks that belong in the mission file: the lines of its
// marks block, indented by two spaces.
func (l Layout) MarksYAML() (string, error) {
	var text strings.Builder
	for _, g := range l.Groups {
		if g.CSV != "" {
			continue
		}
		if g.Note != "" {
			fmt.Fprintf(&text, "  # %s\n", g.Note)
		}
		width := 0
		for _, p := range g.Points {
			width = max(width, len(p.Name)+1)
		}
		for _, p := range g.Points {
			latitude, longitude, err := l.written(g, p)
			if err != nil {
				return "", err
			}
			height := ""
			if p.RiseMM != 0 {
				height = fmt.Sprintf(", height: %.2f m", l.heightM(p))
			}
			fmt.Fprintf(&text, "  %-*s {latitude: %s, longitude: %s%s, uncertainty: %s}\n",
				width, p.Name+":", latitude, longitude, height, g.Uncertainty)
		}
	}
	return text.String(), nil
}

// MarksCSV writes the marks that belong in one CSV file.
func (l Layout) MarksCSV(file string) ([]byte, error) {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	rows := [][]string{{"name", "latitude", "longitude", "height", "uncertainty"}}
	for _, g := range l.Groups {
		if g.CSV != file {
			continue
		}
		for _, p := range g.Points {
			latitude, longitude, err := l.written(g, p)
			if err != nil {
				return nil, err
			}
			rows = append(rows, []string{p.Name, latitude, longitude, fmt.Sprintf("%.2f m", l.heightM(p)), g.Uncertainty})
		}
	}
	err := w.WriteAll(rows)
	return text.Bytes(), err
}

func (l Layout) written(g Group, p Point) (latitude, longitude string, err error) {
	at, err := l.Geodetic(p)
	if err != nil {
		return "", "", fmt.Errorf("mark %s: %w", p.Name, err)
	}
	if g.DMS {
		return geodesy.FormatLatitudeDMS(at.Latitude), geodesy.FormatLongitudeDMS(at.Longitude), nil
	}
	return decimal(at.Latitude, p.Decimals), decimal(at.Longitude, p.Decimals), nil
}

// decimal writes an angle with a fixed number of decimals, as a receiver's
// software does.
func decimal(angle geodesy.Nanodegree, decimals int) string {
	if decimals == 0 {
		decimals = 9
	}
	unit := int64(1)
	for range 9 - decimals {
		unit *= 10
	}
	whole, sign := roundDiv(int64(angle), unit)*unit, ""
	if whole < 0 {
		whole, sign = -whole, "-"
	}
	digits := fmt.Sprintf("%d.%09d", whole/int64(geodesy.Degree), whole%int64(geodesy.Degree))
	return sign + digits[:len(digits)-(9-decimals)]
}

// roundDiv is a/b to nearest, halves away from zero; b > 0.
func roundDiv(a, b int64) int64 {
	if a < 0 {
		return -((-a + b/2) / b)
	}
	return (a + b/2) / b
}
