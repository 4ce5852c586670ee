// Drawings beside programs that others have written: two validators of GeoJSON, the schemas of
// GPX and KML, a reader of DXF, and GEOS for well-known text.
package export

import (
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/missiontest"
	"merestone/internal/tooltest"
	"merestone/spec"
)

// files writes the drawings of all plans in a format, and one that is wrong.
func files(t *testing.T, format, of, wrong string) (names []string, bad string) {
	t.Helper()
	folder := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(folder, name+"."+format)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	for name, p := range plans(t) {
		text := drawn(t, p, format)
		names = append(names, write(name, text))
		if bad == "" {
			require.Contains(t, text, of)
			bad = write("bad", strings.Replace(text, of, wrong, 1))
		}
	}
	return names, bad
}

func TestGeoJSONByValidators(t *testing.T) {
	names, bad := files(t, "geojson", `"type":"Polygon"`, `"type":"LineString"`)
	script, err := filepath.Abs("testdata/validate.js")
	require.NoError(t, err)
	c := exec.Command("node", slices.Concat([]string{script}, names, []string{bad})...)
	c.Env = append(os.Environ(), "NODE_PATH="+modules(t))
	out, err := c.CombinedOutput()
	require.NoError(t, err, "%s", out)
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		assert.True(t, strings.HasPrefix(line, bad+": "), "%s", line)
	}
	assert.GreaterOrEqual(t, strings.Count(string(out), bad), 2, "both see what is wrong")
}

// modules is where the npm packages of the tests are.
func modules(t *testing.T) string {
	path, err := filepath.Abs("../../.ci/npm/node_modules")
	require.NoError(t, err)
	return path
}

// lint runs xmllint with a schema on files, and gives those that are not valid.
func lint(t *testing.T, schema string, files ...string) (invalid []string) {
	out, err := exec.Command("xmllint", append([]string{"--nonet", "--noout", "--schema", schema}, files...)...).CombinedOutput()
	for _, file := range files {
		if !strings.Contains(string(out), file+" validates\n") {
			invalid = append(invalid, file)
		}
	}
	require.Equal(t, len(invalid) > 0, err != nil, "%s", out)
	if len(invalid) > 0 {
		t.Logf("%s", out)
	}
	return invalid
}

// The published schema, which .ci/deps fetches.
func TestGPXBySchema(t *testing.T) {
	schema := "../../.ci/schemas/gpx11.xsd"
	require.FileExists(t, schema, "run make deps")
	names, bad := files(t, "gpx", "<trk>", "<trk><trkseg></trkseg>")
	assert.Empty(t, lint(t, schema, names...))
	assert.Len(t, lint(t, schema, bad), 1)
}

// The schema of KML comes with the library that writes it. Two that it imports, of Atom and
// of addresses, are stood for by the few names that it takes from them.
func TestKMLBySchema(t *testing.T) {
	library := strings.TrimSpace(tooltest.Output(t, "", "go", "list", "-m", "-f", "{{.Dir}}", "github.com/twpayne/go-kml/v3"))
	text, err := os.ReadFile(filepath.Join(library, "xsd", "ogckml22.xsd"))
	require.NoError(t, err)
	folder := t.TempDir()
	schema := strings.Replace(string(text), "http://docs.oasis-open.org/election/external/xAL.xsd", "xal.xsd", 1)
	require.NotEqual(t, string(text), schema)
	require.NoError(t, os.CopyFS(folder, os.DirFS("testdata")))
	path := filepath.Join(folder, "kml.xsd")
	require.NoError(t, os.WriteFile(path, []byte(schema), 0o600))
	names, bad := files(t, "kml", "<Placemark>", "<Placemark><Point></Point>")
	assert.Empty(t, lint(t, path, names...))
	assert.Len(t, lint(t, path, bad), 1)
}

// An independent reader of DXF finds no fault, every mark at its millimetres, and each shape.
func TestDXFByAnotherReader(t *testing.T) {
	var want []string
	args := []string{"testdata/read_dxf.py"}
	folder := t.TempDir()
	at := func(p Place) string { return fmt.Sprintf("%.4f,%.4f", p.EastMM/1000, p.NorthMM/1000) }
	for name, p := range plans(t) {
		d, err := Of(p, false)
		require.NoError(t, err)
		args = append(args, filepath.Join(folder, name+".dxf"))
		require.NoError(t, os.WriteFile(args[len(args)-1], []byte(drawn(t, p, "dxf")), 0o600))
		want = append(want, "version AC1009 faults 0")
		for _, s := range d.Shapes {
			var places []string
			for _, p := range s.Places {
				places = append(places, at(p))
			}
			switch {
			case s.circle != nil:
				centre := Place{EastMM: float64(s.circle.Centre.E), NorthMM: float64(s.circle.Centre.N)}
				want = append(want, "CIRCLE OBSTACLE - - "+at(centre)+" "+at(Place{EastMM: float64(s.circle.RadiusMM)}))
			case s.Form == point:
				want = append(want, fmt.Sprintf("POINT %s - - %s", s.layer(), places[0]))
			case s.Form == ring:
				want = append(want, fmt.Sprintf("POLYLINE %s closed - %s", s.layer(), strings.Join(places, " ")))
			default:
				want = append(want, fmt.Sprintf("POLYLINE %s - - %s", s.layer(), strings.Join(places, " ")))
			}
		}
	}
	lines := strings.Split(strings.TrimSpace(tooltest.Output(t, "", "/usr/bin/python3", args...)), "\n")
	assert.Equal(t, want, slices.DeleteFunc(lines, func(line string) bool { return strings.HasPrefix(line, "TEXT ") }))
}

// GEOS takes every geometry, and finds it valid; and the table is read by the columns that
// it names.
func TestWKTByGEOS(t *testing.T) {
	for name, p := range plans(t) {
		d, err := Of(p, false)
		require.NoError(t, err)
		rows, err := csv.NewReader(strings.NewReader(drawn(t, p, "wkt"))).ReadAll()
		require.NoError(t, err)
		assert.Equal(t, []string{"kind", "name", "about", "wkt"}, rows[0])
		require.Len(t, rows, len(d.Shapes)+2)
		var shapes []string
		for _, row := range rows[2:] {
			shapes = append(shapes, row[3])
		}
		for i, valid := range tooltest.GeosBools(t, "isValid", shapes, nil) {
			assert.Equal(t, []bool{true}, valid, "%s: %s", name, shapes[i])
		}
	}
}

// The table of marks is a marks_file, and what it says is what the mission says.
func TestTheTableIsAMarksFile(t *testing.T) {
	path := missiontest.Example(t, "salt-pan")
	text := missiontest.Text(t, path)
	p := missiontest.Resolve(t, path)
	table := drawn(t, p, "csv")
	begin := strings.Index(text, "\nmarks:\n")
	require.Positive(t, begin)
	end := begin + 1 + strings.Index(text[begin+8:], "\n\n") + 8
	without := text[:begin] + "\nmarks_file: all.csv\n" + text[end:]
	read := spec.Parse(path, []byte(without), func(string) ([]byte, error) { return []byte(table), nil })
	require.Empty(t, read.Findings)
	for i, m := range missiontest.Parse(t, path, text).Marks {
		got := read.Mission.Marks[i]
		assert.Equal(t, m.Name, got.Name)
		assert.Equal(t, m.Latitude.Value, got.Latitude.Value, m.Name)
		assert.Equal(t, m.Longitude.Value, got.Longitude.Value, m.Name)
		assert.Equal(t, m.Height, got.Height, m.Name)
		assert.Equal(t, m.Uncertainty, got.Uncertainty, m.Name)
	}
}
