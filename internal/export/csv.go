// A table of the marks, written as a marks_file is: a mission can name it. All names are of
// letters, digits, spaces, hyphens and underscores, so that no field needs quotation marks.
package export

import (
	"bytes"
	"fmt"

	"merestone/internal/interchange"
)

func (d Drawing) csv() ([]byte, error) {
	var out bytes.Buffer
	fmt.Fprintf(&out, "# %s\n", d.title())
	for _, note := range d.notes() {
		fmt.Fprintf(&out, "# %s\n", note)
	}
	out.WriteString("name,latitude,longitude,height,uncertainty\n")
	for _, s := range d.Shapes {
		if s.Kind != interchange.KindMark {
			continue
		}
		at, height := s.Places[0], ""
		if at.Height != "" {
			height = at.Height + " m"
		}
		latitude, longitude := at.degrees()
		fmt.Fprintf(&out, "%s,%s,%s,%s,%s\n", s.Name, latitude, longitude, height, s.uncertainty)
	}
	return out.Bytes(), nil
}
