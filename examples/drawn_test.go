// The marks in the example missions against the drawings: written with -update,
// otherwise read as they were committed and taken back to metres, by
// internal/geodesy and by PROJ.
package examples

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/geodesy"
	"merestone/internal/tooltest"
)

const (
	marksBegin = "  # marks:begin\n"
	marksEnd   = "  # marks:end\n"
)

// writtenMark is a mark as it stands in a committed file.
type writtenMark struct{ Latitude, Longitude, Height, Uncertainty string }

func TestGoodSitesAreWhereTheyWereDrawn(t *testing.T) {
	for _, site := range Sites() {
		t.Run(site.Folder, func(t *testing.T) {
			if *update {
				writeSite(t, site)
				writeTried(t, site.Folder+"/mission.yaml")
			}
			text, err := os.ReadFile(filepath.Join(site.Folder, "mission.yaml"))
			require.NoError(t, err)
			requireSameText(t, withMarks(t, string(text), site), string(text))
			path := filepath.Join(site.Folder, "mission.yaml")
			requireOrigin(t, site.Origin, path)
			requireDrawn(t, site, path)
		})
	}
}

// The yard of the refused missions, and each of them: the committed text is what
// the drawing and the list of changes make of the base mission.
func TestRefusedMissionsAreTheYardWithOneChange(t *testing.T) {
	if *update {
		writeMarks(t, base, Yard())
		writeTried(t, base)
	}
	requireOrigin(t, Yard().Origin, base)
	requireDrawn(t, Yard(), base)
	text, err := os.ReadFile(base)
	require.NoError(t, err)
	folders := map[string]bool{}
	for _, c := range Cases() {
		t.Run(c.Folder, func(t *testing.T) {
			require.False(t, folders[c.Path()], "two cases share a folder")
			folders[c.Path()] = true
			drawn, origin := c.Layout()
			want, err := c.Mission(withMarks(t, string(text), drawn))
			require.NoError(t, err)
			if !c.Untried && wiring(want) != wiring(string(text)) {
				want = tried(t, want)
			}
			path := filepath.Join(c.Path(), "mission.yaml")
			if *update {
				require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
				require.NoError(t, os.WriteFile(path, []byte(want), 0o644))
			}
			got, err := os.ReadFile(path)
			require.NoError(t, err)
			requireSameText(t, want, string(got))
			requireOrigin(t, origin, path)
			requireDrawn(t, drawn, path)
		})
	}
}

// requireSameText compares a committed file with what it should be, and names
// the first line that differs.
func requireSameText(t *testing.T, want, got string) {
	t.Helper()
	wanted, have := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(wanted), len(have)) {
		require.Equalf(t, wanted[i], have[i], "line %d; rewrite the file with -update", i+1)
	}
	require.Len(t, have, len(wanted))
}

func writeMarks(t *testing.T, path string, site Layout) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, []byte(withMarks(t, string(text), site)), 0o644))
}

func writeSite(t *testing.T, site Layout) {
	t.Helper()
	writeMarks(t, filepath.Join(site.Folder, "mission.yaml"), site)
	for _, g := range site.Groups {
		if g.CSV == "" {
			continue
		}
		rows, err := site.MarksCSV(g.CSV)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(site.Folder, g.CSV), rows, 0o644))
	}
}

// withMarks puts a drawing's marks between the two comment lines of a mission.
func withMarks(t *testing.T, mission string, site Layout) string {
	t.Helper()
	before, rest, found := strings.Cut(mission, marksBegin)
	require.True(t, found, "no line %q", marksBegin)
	_, after, found := strings.Cut(rest, marksEnd)
	require.True(t, found, "no line %q", marksEnd)
	marks, err := site.MarksYAML()
	require.NoError(t, err)
	return before + marksBegin + marks + marksEnd + after
}

// readMarks reads the origin and the marks of a mission and its CSV, by the YAML
// library alone: not by the code that reads missions, which it would otherwise
// share its mistakes with.
func readMarks(t *testing.T, path string) (origin writtenMark, marks map[string]writtenMark) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var mission struct {
		Site  struct{ Origin writtenMark }
		Marks map[string]writtenMark
		File  string `yaml:"marks_file"`
	}
	require.NoError(t, yaml.Unmarshal(text, &mission), path)
	marks = mission.Marks
	if mission.File != "" {
		file, err := os.Open(filepath.Join(filepath.Dir(path), mission.File))
		require.NoError(t, err)
		defer file.Close()
		rows, err := csv.NewReader(file).ReadAll()
		require.NoError(t, err)
		require.Equal(t, []string{"name", "latitude", "longitude", "height", "uncertainty"}, rows[0])
		for _, row := range rows[1:] {
			require.NotContains(t, marks, row[0])
			marks[row[0]] = writtenMark{row[1], row[2], row[3], row[4]}
		}
	}
	return mission.Site.Origin, marks
}

// metres reads a height such as "412.60 m".
func metres(t *testing.T, text string) float64 {
	t.Helper()
	var value float64
	var unit string
	_, err := fmt.Sscan(text, &value, &unit)
	require.NoError(t, err, text)
	require.Equal(t, "m", unit)
	return value
}

// requireOrigin checks the origin that a mission file gives.
func requireOrigin(t *testing.T, want geodesy.Geodetic, path string) {
	t.Helper()
	origin, _ := readMarks(t, path)
	latitude, err := geodesy.ParseLatitude(origin.Latitude)
	require.NoError(t, err)
	longitude, err := geodesy.ParseLongitude(origin.Longitude)
	require.NoError(t, err)
	require.Equal(t, want, geodesy.Geodetic{Latitude: latitude.Value, Longitude: longitude.Value, HeightM: metres(t, origin.Height)})
}

// requireDrawn checks every mark of a mission file against the drawing, in the
// frame of the drawing's origin.
//
// Bounds: a nanodegree is at most 0.112 mm, so nine decimals put a mark within
// 0.056 mm of the drawing in each direction; fewer decimals, or seconds, by half
// a unit of what was written. To that, 0.1 mm for the conversions is far more
// than they need.
func requireDrawn(t *testing.T, site Layout, path string) {
	t.Helper()
	_, marks := readMarks(t, path)
	frame, err := geodesy.NewFrame(site.Origin)
	require.NoError(t, err)

	var points []geodesy.Geodetic
	var names []string
	var drawn [][2]float64 // east, north in metres
	var bounds []float64
	seen := map[string]bool{}
	site.Points(func(g Group, p Point) {
		written, found := marks[p.Name]
		require.True(t, found, "mark %s is drawn and not written", p.Name)
		seen[p.Name] = true
		assert.Equal(t, g.Uncertainty, written.Uncertainty, p.Name)
		latitude, err := geodesy.ParseLatitude(written.Latitude)
		require.NoError(t, err, p.Name)
		longitude, err := geodesy.ParseLongitude(written.Longitude)
		require.NoError(t, err, p.Name)
		height := site.Origin.HeightM
		if written.Height != "" {
			height = metres(t, written.Height)
		}
		assert.InDelta(t, site.Origin.HeightM+float64(p.RiseMM)/1000, height, 1e-9, p.Name)
		east, north := site.Local(p)
		names = append(names, p.Name)
		points = append(points, geodesy.Geodetic{Latitude: latitude.Value, Longitude: longitude.Value, HeightM: height})
		drawn = append(drawn, [2]float64{float64(east) / 1000, float64(north) / 1000})
		bounds = append(bounds, 0.0001+0.000112/2*float64(max(latitude.Resolution, longitude.Resolution)))
	})
	for name, written := range marks {
		assert.Truef(t, seen[name] || written.Latitude == "", "mark %s is written and not drawn", name)
	}

	written := func(g geodesy.Geodetic) []string {
		return []string{g.Latitude.String(), g.Longitude.String(), fmt.Sprintf("%.3f", g.HeightM)}
	}
	var places [][]string
	for _, p := range points {
		places = append(places, written(p))
	}
	outside := tooltest.Topocentric(t, written(site.Origin), places)
	worst := 0.0
	for i, point := range points {
		ours := frame.ToLocal(point)
		for _, by := range []struct {
			what        string
			east, north float64
		}{{"geodesy", ours.EastM, ours.NorthM}, {"PROJ cct", outside[i][0], outside[i][1]}} {
			off := math.Max(math.Abs(by.east-drawn[i][0]), math.Abs(by.north-drawn[i][1]))
			assert.LessOrEqualf(t, off, bounds[i], "mark %s by %s is at %.5f, %.5f, drawn at %.5f, %.5f",
				names[i], by.what, by.east, by.north, drawn[i][0], drawn[i][1])
			worst = math.Max(worst, off)
		}
	}
	t.Logf("%d marks, farthest from the drawing %.3f mm", len(points), worst*1000)
}
