// DXF of release 12 (AC1009), the oldest that programs still read, and so small that it is
// written by hand: pairs of lines, a group code and its value. Coordinates are metres east
// and north of the mission's origin. Each kind has a layer, and circles are circles.
package export

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"merestone/internal/interchange"
)

// Group codes of DXF, from memory.
const (
	dxfType, dxfText, dxfName, dxfLayer, dxfSection = 0, 1, 2, 8, 2
	dxfEast, dxfNorth, dxfUp, dxfSize               = 10, 20, 30, 40
	dxfComment                                      = 999
)

type dxfWriter struct{ bytes.Buffer }

func (w *dxfWriter) pair(code int, value any) { fmt.Fprintf(w, "%3d\n%v\n", code, value) }

func metres(mm float64) string { return fmt.Sprintf("%.4f", mm/1000) }

func (w *dxfWriter) at(p Place) {
	w.pair(dxfEast, metres(p.EastMM))
	w.pair(dxfNorth, metres(p.NorthMM))
	w.pair(dxfUp, metres(0))
}

func (w *dxfWriter) entity(kind, layer string) {
	w.pair(dxfType, kind)
	w.pair(dxfLayer, layer)
}

func (d Drawing) dxf() ([]byte, error) {
	var w dxfWriter
	for _, note := range append([]string{d.title()}, d.notes()...) {
		w.pair(dxfComment, note)
	}
	w.section("HEADER", func() {
		w.pair(9, "$ACADVER")
		w.pair(dxfText, "AC1009")
	})
	w.section("TABLES", d.layers(&w))
	w.section("ENTITIES", func() {
		for _, s := range d.Shapes {
			w.shape(s)
		}
	})
	w.pair(dxfType, "EOF")
	return w.Bytes(), nil
}

func (w *dxfWriter) section(name string, of func()) {
	w.pair(dxfType, "SECTION")
	w.pair(dxfSection, name)
	of()
	w.pair(dxfType, "ENDSEC")
}

// layers writes the tables of line types and of layers.
func (d Drawing) layers(w *dxfWriter) func() {
	var kinds []string
	for _, s := range d.Shapes {
		if !slices.Contains(kinds, s.layer()) {
			kinds = append(kinds, s.layer())
		}
	}
	table := func(name string, entries int, of func()) {
		w.pair(dxfType, "TABLE")
		w.pair(dxfName, name)
		w.pair(70, entries)
		of()
		w.pair(dxfType, "ENDTAB")
	}
	return func() {
		table("LTYPE", 1, func() {
			w.pair(dxfType, "LTYPE")
			w.pair(dxfName, "CONTINUOUS")
			w.pair(70, 0)
			w.pair(3, "Solid line")
			w.pair(72, 65)
			w.pair(73, 0)
			w.pair(dxfSize, "0.0")
		})
		table("LAYER", len(kinds), func() {
			for _, kind := range kinds {
				w.pair(dxfType, "LAYER")
				w.pair(dxfName, kind)
				w.pair(70, 0)
				w.pair(62, 7) // black on white, white on black
				w.pair(6, "CONTINUOUS")
			}
		})
	}
}

// layer is that of a kind: names of layers have no spaces.
func (s Shape) layer() string {
	if s.Kind == interchange.KindClosed {
		return "ROUTE"
	}
	return strings.ToUpper(s.Kind)
}

func (w *dxfWriter) shape(s Shape) {
	layer := s.layer()
	switch {
	case s.circle != nil:
		w.entity("CIRCLE", layer)
		w.at(Place{EastMM: float64(s.circle.Centre.E), NorthMM: float64(s.circle.Centre.N)})
		w.pair(dxfSize, metres(float64(s.circle.RadiusMM)))
		w.label(s.Name, layer, Place{EastMM: float64(s.circle.Centre.E), NorthMM: float64(s.circle.Centre.N)})
	case s.Form == point:
		w.entity("POINT", layer)
		w.at(s.Places[0])
		w.label(s.Name, layer, s.Places[0])
	default:
		w.entity("POLYLINE", layer)
		w.pair(66, 1) // vertices follow
		w.at(Place{})
		closed := 0
		if s.Form == ring {
			closed = 1
		}
		w.pair(70, closed)
		for _, p := range s.Places {
			w.entity("VERTEX", layer)
			w.at(p)
		}
		w.entity("SEQEND", layer)
	}
}

// label writes the name of a thing beside it.
func (w *dxfWriter) label(name, layer string, at Place) {
	const heightMM = 200
	at.EastMM += heightMM
	w.entity("TEXT", layer)
	w.at(at)
	w.pair(dxfSize, metres(heightMM))
	w.pair(dxfText, strings.ReplaceAll(name, "–", "-")) // release 12 has code pages: ASCII reads the same in all
}
