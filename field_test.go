// The README's way from logs to headers, typed as it stands there, with the hop garden's
// field work. What each step says is examples/hop-garden/want.txt, what becomes of the mission
// done.yaml; and both are held against the drawing that the logs were made from.
package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/missiontest"
	"merestone/internal/planar"
)

func TestREADMEFromTheField(t *testing.T) {
	readme, err := os.ReadFile("README.md")
	require.NoError(t, err)
	_, rest, begins := strings.Cut(string(readme), "<!-- field:begin -->\n```sh\n")
	script, _, ends := strings.Cut(rest, "```\n<!-- field:end -->")
	require.True(t, begins && ends)

	folder := t.TempDir()
	require.NoError(t, os.CopyFS(folder, os.DirFS("examples/hop-garden")))
	built, err := exec.Command("go", "build", "-o", filepath.Join(folder, "bin", "merestone"), ".").CombinedOutput()
	require.NoErrorf(t, err, "%s", built)
	c := exec.Command("sh", "-e", "-c", script)
	c.Dir = folder
	c.Env = append(os.Environ(), "COLUMNS=", "PATH="+filepath.Join(folder, "bin")+string(os.PathListSeparator)+os.Getenv("PATH"))
	out, err := c.CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	said := strings.Join(strings.Fields(string(out)), " ")

	for _, file := range []string{"out/hop_garden_mission.h", "out/merestone_guidance.h", "out/site_shift.h", "hop-garden.geojson"} {
		assert.FileExists(t, filepath.Join(folder, file))
	}
	assert.Regexp(t, `mission\.yaml: 0 errors, \d+ warnings?, \d+ notes?`, said)
	have, err := os.ReadFile(filepath.Join(folder, "mission.yaml"))
	require.NoError(t, err)
	for name, have := range map[string][]byte{"done.yaml": have, "want.txt": out} {
		path := filepath.Join("examples", "hop-garden", name)
		if *update {
			require.NoError(t, os.WriteFile(path, have, 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(want), string(have), "rewrite %s with -update", path)
	}

	// Where things were drawn, in millimetres: examples/field_test.go.
	drawn := map[string]planar.Point{
		"K1": {E: -3000, N: -2000}, "K2": {E: 49000, N: 27000}, "START": {E: 5000, N: 5000},
		"A": {E: 40000, N: 5000}, "B": {E: 36000, N: 20000}, "END": {E: 5000, N: 20000}, "POLES": {E: 20000, N: 13000},
	}
	edge := planar.Ring{{E: 0, N: 0}, {E: 46000, N: 0}, {E: 46000, N: 22000}, {E: 38000, N: 30000}, {E: 0, N: 30000}}
	p := missiontest.Resolve(t, filepath.Join(folder, "mission.yaml"))
	region, faults := planar.NewRegion(edge)
	require.Empty(t, faults)
	sides := planar.NewIndex(edge.Edges())
	corners := 0
	for _, m := range p.Survey.Marks {
		if at, ok := drawn[m.Name]; ok {
			off := planar.Segment{A: at, B: m.Point}.Vector()
			assert.LessOrEqual(t, float64(off.E*off.E+off.N*off.N), 2.45*2.45*m.StdMM*m.StdMM, "%s lies %v mm off, and is known to %.1f mm per axis", m.Name, off, m.StdMM)
			assert.InDelta(t, 168, m.Geodetic.HeightM, 0.03, m.Name)
			continue
		}
		corners++
		_, off := sides.NearestSquared(planar.Segment{A: m.Point, B: m.Point})
		assert.Equal(t, planar.Inside, region.Contains(m.Point), m.Name)
		assert.Less(t, off.CeilMM(), int64(200), "%s: ground that was given up", m.Name)
	}
	assert.Equal(t, len(edge), corners)

	shift := regexp.MustCompile(`shift: ([-+][\d.]+) mm east, ([-+][\d.]+) mm north \(± ([\d.]+), ([\d.]+) mm`).FindStringSubmatch(said)
	require.NotNil(t, shift, said)
	for i, drawn := range []float64{310, -220} {
		found, err := strconv.ParseFloat(shift[1+i], 64)
		require.NoError(t, err)
		std, err := strconv.ParseFloat(shift[3+i], 64)
		require.NoError(t, err)
		assert.InDelta(t, drawn, found, 2*std)
		assert.Less(t, std, 20.0)
	}
}
