// Files that are made to cost much: each is read or refused within bounds of time and memory
// that grow with its size alone.
package interchange

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"merestone/internal/tooltest"
)

func TestHostileFilesWithinTimeAndMemory(t *testing.T) {
	const size = 3 << 20
	fill := func(piece string) string { return strings.Repeat(piece, size/len(piece)) }
	for _, c := range []struct {
		name, want string
		text       func() string
	}{
		{"digits", "no decimal number", func() string { return `{"type": "Point", "coordinates": [` + fill("1") + `, 45]}` }},
		{"empty lists", "more than 1250000 lists and numbers", func() string { return `{"type": "x", "coordinates": [` + strings.Repeat("[],", 2_000_000) + `[]]}` }},
		{"lists of nothing", "more than four numbers", func() string { return `{"type": "x", "coordinates": [1,` + fill("[],") + `[]]}` }},
		{"objects elsewhere", "no point", func() string { return `{"type": "FeatureCollection", "x": [` + fill(`{"a":[]},`) + `0]}` }},
		{"an attribute", "no decimal number", func() string { return gpx(`<wpt lat="` + fill("4") + `"/>`) }},
		{"attributes", "more than 100000 attributes", func() string { return gpx(`<wpt ` + fill(`a="" `) + `/>`) }},
		{"elements", "no point", func() string { return gpx(fill("<a/>")) }},
		{"comments", "no point", func() string { return gpx(fill("<!---->")) }},
		{"names", "<nil>", func() string { return gpx(`<wpt lat="1" lon="1"><name>` + fill("a ") + `</name></wpt>`) }},
		{"positions of nothing", "is not longitude,latitude", func() string {
			return kml(`<Placemark><Point><coordinates>` + fill(",") + `</coordinates></Point></Placemark>`)
		}},
		{"one name for all", "<nil>", func() string { return "name,lat,lon\n" + strings.Repeat("a,1,1\n", 100_000) }},
		{"separators", "longer than 65536 bytes", func() string { return "name,lat,lon" + fill(",") + "\n" }},
		{"a header of names", "longer than 65536 bytes", func() string { return "lat,lon" + fill(",id") + "\n" }},
		{"quotation marks", "runs over the end of the line", func() string { return "name,lat,lon\n\"" + fill("a\n") }},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, cost := tooltest.Measured(t, func() []byte { return []byte(c.text()) }, func(text []byte) string {
				data, err := Read(text, Options{})
				if err == nil {
					_, err = Take(data, Request{As: AsMarks})
				}
				return fmt.Sprint(err)
			})
			t.Logf("%d ms, %d MB", cost.CPU.Milliseconds(), cost.Peak/1_000_000)
			assert.Contains(t, said, c.want)
			assert.Less(t, len(said), 600)
			assert.Less(t, cost.CPU, 2*time.Second)
			assert.Less(t, cost.Peak, int64(400_000_000))
		})
	}
}
