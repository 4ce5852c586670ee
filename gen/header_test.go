// What a header says: golden headers of the examples, sizes as the compiler lays
// them out, names that could clash, and missions with nothing in some tables.
package gen_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/guidance"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/spec"
)

var update = flag.Bool("update", false, "rewrite the golden headers")

const yardFile = "../internal/plan/testdata/yard.yaml"

type edit = missiontest.Edit

func yardMission(t testing.TB, edits ...edit) *spec.Mission {
	return missiontest.Parse(t, yardFile, missiontest.Text(t, yardFile, edits...))
}

func yard(t testing.TB, edits ...edit) *plan.Plan { return missiontest.Resolve(t, yardFile, edits...) }

func missionHeader(t require.TestingT, p *plan.Plan) string {
	files, err := gen.Files(p, "test")
	require.NoError(t, err)
	return string(files[0].Data)
}

// Rewritten with `go test ./gen -update`.
func TestGoldenHeaders(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		requireGolden(t, p.Identifier+"_mission.h", missionHeader(t, p))
	}
	shift, err := gen.ShiftHeader(missiontest.Resolve(t, missiontest.Example(t, "walnut-grove")), gen.Shift{
		Day: may10, EastMM: 25, NorthMM: -29, SineQ30: -8300239,
		Found: []string{"Found on K1, K2: known to 15.8 mm per axis (one standard deviation) at the", "farthest place of route and fence; the mission was checked with 15.8 mm."},
	}, "test")
	require.NoError(t, err)
	requireGolden(t, "walnut_grove_rows_shift.h", string(shift))
}

func requireGolden(t *testing.T, name, got string) {
	t.Helper()
	golden := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err, "go test ./gen -update writes it")
	assert.True(t, string(want) == got, "%s differs from what is written now; see git diff after go test ./gen -update", golden)
}

// Comments at the head are read on a screen beside the code. The longest names
// may make a table wider; those of the examples do not.
func TestHeadCommentsAreAtMost100Wide(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		head, _, found := strings.Cut(missionHeader(t, missiontest.Resolve(t, path)), "#ifndef")
		require.True(t, found)
		for line := range strings.Lines(head) {
			assert.LessOrEqual(t, len(line)-1, 100, line)
		}
	}
}

// The table of memory says what arm-none-eabi-gcc allocates.
func TestSizesAreTheCompilers(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		dir := write(t, p)
		id := p.Identifier
		source := fmt.Sprintf("#include \"%s_mission.h\"\nextern const mere_mission_t *use; const mere_mission_t *use = &%s_mission;\nchar state[sizeof(mere_state_t)];\n", id, id)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "size.c"), []byte(source), 0o644))
		run(t, dir, "arm-none-eabi-gcc", "-std=c99", "-mcpu=cortex-m3", "-mthumb", "-c", "size.c", "-o", "size.o")
		sizes := map[string]int{}
		for line := range strings.Lines(run(t, dir, "arm-none-eabi-nm", "-S", "size.o")) {
			if f := strings.Fields(line); len(f) == 4 {
				n, err := strconv.ParseInt(f[1], 16, 64)
				require.NoError(t, err)
				sizes[strings.TrimPrefix(f[3], id+"_")] = int(n)
			}
		}
		said := map[string]int{}
		for _, m := range regexp.MustCompile(`(?m)^ \* (.*\S) +(\d+)$`).FindAllStringSubmatch(missionHeader(t, p), -1) {
			said[m[1]], _ = strconv.Atoi(m[2])
		}
		require.NotZero(t, sizes["mission"], id)
		assert.Equal(t, sizes["mission"], said["mission and record, flash"], id)
		assert.Equal(t, sizes["legs"], said["legs, flash"], id)
		assert.Equal(t, sizes["edges"]+sizes["circles"], said["fence, flash"], id)
		assert.Equal(t, sizes["nodes"]+sizes["lists"], said["fence search, flash"], id)
		assert.Equal(t, sizes["holds"], said["holds, flash"], id)
		assert.Equal(t, sizes["mission"]+sizes["legs"]+sizes["edges"]+sizes["circles"]+sizes["nodes"]+sizes["lists"]+sizes["holds"], said["all tables, flash"], id)
		assert.LessOrEqual(t, sizes["state"], said["mere_state_t, RAM, at most"], id)
		assert.Greater(t, sizes["state"], said["mere_state_t, RAM, at most"]-16, "not far above, either")
	}
}

// compiles writes the headers of plans into one folder, includes all of them in
// one file, and compiles that as C and as C++ under the strictest flags.
func compiles(t *testing.T, plans ...*plan.Plan) {
	t.Helper()
	dir := t.TempDir()
	var source strings.Builder
	for _, p := range plans {
		files, err := gen.Files(p, "test")
		require.NoError(t, err)
		for _, f := range files {
			require.NoError(t, os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644))
		}
		fmt.Fprintf(&source, "#include \"%s_mission.h\"\n", p.Identifier)
	}
	source.WriteString("int main(void) { return 0")
	for _, p := range plans {
		fmt.Fprintf(&source, " + (%s_mission.closed == 2u)", p.Identifier)
	}
	source.WriteString("; }\n")
	for name, flags := range map[string][]string{
		"gcc": {"-x", "c", "-std=c99"}, "clang": {"-x", "c", "-std=c11"}, "g++": {"-x", "c++", "-std=c++17"},
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "main.c"), []byte(source.String()), 0o644))
		run(t, dir, name, append(append(flags, strict...), "-fsyntax-only", "main.c")...)
	}
}

func TestMissionsWithEmptyTablesCompile(t *testing.T) {
	noCircle := edit{"    - {name: well, centre: W, radius: 0.8 m}\n", ""}
	noRing := edit{"    - {name: shed, ring: [S1, S2, S3, S4]}\n", ""}
	noObstacles := edit{"  obstacles:\n    - {name: well, centre: W, radius: 0.8 m}\n    - {name: shed, ring: [S1, S2, S3, S4]}\n", ""}
	for name, p := range map[string]*plan.Plan{
		"without circles":     yard(t, noCircle),
		"without rings":       yard(t, noRing),
		"without obstacles":   yard(t, noObstacles),
		"closed, of two legs": yard(t, edit{"closed: false", "closed: true"}, edit{"waypoints: [A, B, C, D]", "waypoints: [A, B]"}),
	} {
		t.Run(name, func(t *testing.T) { compiles(t, p) })
	}
	t.Run("without holds", func(t *testing.T) { // check refuses it; the header is sound all the same
		m := yardMission(t)
		m.Holds = nil
		p, findings := plan.Resolve(m)
		require.Empty(t, findings)
		assert.NotContains(t, missionHeader(t, p), "yard_holds[")
		compiles(t, p)
	})
}

// Names with spaces and names that look like other identifiers of the header.
func TestNamesThatCouldClash(t *testing.T) {
	p := yard(t,
		edit{"mission: yard\n", "mission: Yard 2 north-side\n"},
		edit{"name: thumb switch", "name: count"},
		edit{"name: mushroom button", "name: second count"},
		edit{"opened_by: [drive_enable, mushroom button]", "opened_by: [drive_enable, second count]"},
		edit{"name: well", "name: Old  well 7"},
		edit{"name: shed", "name: 2nd shed"})
	require.Equal(t, "yard_2_north_side", p.Identifier)
	text := missionHeader(t, p)
	for _, want := range []string{
		"yard_2_north_side_hold_count = 0", "yard_2_north_side_second_hold_count = 1",
		"yard_2_north_side_hold_second_count = 2", "yard_2_north_side_second_hold_second_count = 3",
		"#ifndef YARD_2_NORTH_SIDE_MISSION_H", "\"Yard 2 north-side\"", "/* Old  well 7 */",
	} {
		assert.Contains(t, text, want)
	}
	for _, id := range regexp.MustCompile(`\byard\w*`).FindAllString(text, -1) {
		assert.Regexp(t, `^yard_2_north_side(_[a-z0-9]+)+$`, id)
	}
	compiles(t, p)
}

func TestTwoMissionsInOneTranslationUnit(t *testing.T) {
	compiles(t, yard(t), yard(t, edit{"mission: yard\n", "mission: yard2\n"}, edit{"closed: false", "closed: true"}), missiontest.Resolve(t, missiontest.Examples(t)[0]))
}

// The largest site: 40 km across, corners at the last millimetre.
func TestLargestSite(t *testing.T) {
	m := yardMission(t)
	frame := yard(t).Site.Frame
	far := float64(planar.MaxCoordinate) / 1000
	places := map[string][2]float64{
		"F1": {-far, -far}, "F2": {far, -far}, "F3": {far, far}, "F4": {-far, far},
		"A": {-far + 10, -far + 10}, "B": {far - 10, -far + 10}, "C": {far - 10, far - 10}, "D": {-far + 10, far - 10},
	}
	for i := range m.Marks {
		if at, ok := places[m.Marks[i].Name]; ok {
			g := frame.AtHeight(at[0], at[1], frame.Origin().HeightM)
			m.Marks[i].Latitude.Value, m.Marks[i].Longitude.Value = g.Latitude, g.Longitude
		}
	}
	p, findings := plan.Resolve(m)
	require.Empty(t, findings)
	text := missionHeader(t, p)
	assert.Contains(t, text, "-20000000")
	assert.Contains(t, text, " 20000000")
	compiles(t, p)
	for _, l := range p.Route.Legs {
		assert.InDelta(t, 2*planar.MaxCoordinate, l.LengthMM, 20_020)
	}
}

func TestNothingIsWrittenOfAPlanThatIsNotWhole(t *testing.T) {
	whole := yard(t)
	for name, spoil := range map[string]func(*plan.Plan) *plan.Plan{
		"none":                func(*plan.Plan) *plan.Plan { return nil },
		"incomplete":          func(p *plan.Plan) *plan.Plan { p.Incomplete = []plan.Gap{{Part: "geofence"}}; return p },
		"no legs":             func(p *plan.Plan) *plan.Plan { p.Board.Tables.Legs = nil; return p },
		"no fence":            func(p *plan.Plan) *plan.Plan { p.Board.Tables.Fence = guidance.FenceTable{}; return p },
		"no rover":            func(p *plan.Plan) *plan.Plan { p.Board.Tables.Rover = guidance.Rover{}; return p },
		"no conversion":       func(p *plan.Plan) *plan.Plan { p.Board.Tables.Conversion = guidance.Conversion{}; return p },
		"a name that is long": func(p *plan.Plan) *plan.Plan { p.Mission = strings.Repeat("x", 64); return p },
	} {
		copied := *whole
		files, err := gen.Files(spoil(&copied), "test")
		assert.Error(t, err, name)
		assert.Empty(t, files, name)
	}
	_, err := gen.Files(whole, strings.Repeat("v", 32))
	assert.Error(t, err, "a version that the record cannot hold")
	_, err = gen.Files(whole, "test")
	assert.NoError(t, err)
}
