// A table of geometries as well-known text (OGC 06-103r4): a row of kind, name, remark and
// geometry for each thing, with longitude before latitude, as programs that read such a
// table expect. Written by hand, as it is a line for each form; the first row says what the
// drawing is of.
package export

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
)

func (d Drawing) wkt() ([]byte, error) {
	var out bytes.Buffer
	table := csv.NewWriter(&out)
	rows := [][]string{{"kind", "name", "about", "wkt"}, {"mission", d.Mission, strings.Join(d.notes(), " "), "GEOMETRYCOLLECTION EMPTY"}}
	for _, s := range d.Shapes {
		rows = append(rows, []string{s.Kind, s.Name, s.About, s.wkt()})
	}
	err := table.WriteAll(rows)
	return out.Bytes(), err
}

func (s Shape) wkt() string {
	var at []string
	for _, p := range s.closed() {
		latitude, longitude := p.degrees()
		at = append(at, longitude+" "+latitude)
	}
	format := [...]string{point: "POINT (%s)", line: "LINESTRING (%s)", ring: "POLYGON ((%s))"}[s.Form]
	return fmt.Sprintf(format, strings.Join(at, ", "))
}
