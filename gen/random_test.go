// Random missions in random spellings: two spellings of one model have the same
// digest and the same headers, byte for byte, and what a compiled program reads out
// of them is what the model says.
//
// go test tries a fixed set and one of a new seed, which is printed; for longer
//
//	go test ./gen -run RandomMissions -missions 2000 -seed 0
package gen_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/diag"
	"merestone/internal/diff"
	"merestone/internal/figures"
	"merestone/internal/pipeline"
	"merestone/internal/source"
	"merestone/internal/verify"
	"merestone/spec"
)

var (
	missions = flag.Int("missions", 40, "random missions of each seed")
	seed     = flag.Uint64("seed", 0, "seed of random missions beside the fixed one; 0 for a new one")
)

// seeds are the fixed one and another.
func seeds(t *testing.T) []uint64 {
	t.Helper()
	other := *seed
	if other == 0 {
		other = uint64(time.Now().UnixNano())
	}
	t.Logf("again with -seed %d -missions %d", other, *missions)
	return []uint64{1, other}
}

// loaded takes the bytes of a mission and of its marks_file through all stages.
func loaded(mission, table []byte) pipeline.Mission {
	return pipeline.Load(source.Source{Name: "mission.yaml", Path: "mission.yaml", Text: mission, Open: func(name string) ([]byte, error) {
		if table == nil || name != "marks.csv" {
			return nil, os.ErrNotExist
		}
		return table, nil
	}})
}

// errorsOf are the errors among findings.
func errorsOf(findings []diag.Finding) (all []string) {
	for _, f := range findings {
		if f.Severity == diag.Error {
			all = append(all, fmt.Sprintf("%s at %s:%d: %s", f.Rule, f.At.File, f.At.Line, f.Message()))
		}
	}
	return all
}

// driveable draws models until one is accepted by check. A refusal of the language
// is none of the model's, and never happens.
func driveable(t *testing.T, r *rand.Rand, number int, refused map[diag.ID]int) (*model, pipeline.Mission, []byte, []byte) {
	t.Helper()
	for range 50 {
		mo := newModel(r, number)
		mission, table := mo.spell(&speller{r: r})
		found := loaded(mission, table)
		if !found.Refused() {
			return mo, found, mission, table
		}
		for _, f := range found.Findings {
			if f.Severity == diag.Error {
				require.False(t, strings.HasPrefix(string(f.Rule), "spec."), "%v\n%s\n%s", errorsOf(found.Findings), mission, table)
				refused[f.Rule]++
			}
		}
	}
	require.Fail(t, "no mission of 50 can be driven", "%v", refused)
	return nil, pipeline.Mission{}, nil, nil
}

func TestRandomMissionsReadTheSameHoweverWrittenAndCompileToWhatTheySay(t *testing.T) {
	for _, seed := range seeds(t) {
		r := rand.New(rand.NewPCG(seed, 0))
		refused := map[diag.ID]int{}
		for from := 0; from < *missions; from += 40 {
			dir, models := t.TempDir(), []*model{}
			for number := from; number < min(from+40, *missions); number++ {
				mo, found, mission, table := driveable(t, r, number, refused)
				files, err := gen.Files(found.Plan, "test")
				require.NoError(t, err)
				for _, reorder := range []bool{false, true} {
					again, marks := mo.spell(&speller{r: r, reorder: reorder})
					other := loaded(again, marks)
					require.False(t, other.Refused(), "seed %d: %v\n%s\n%s\n--- and accepted:\n%s\n%s", seed, errorsOf(other.Findings), again, marks, mission, table)
					require.Equal(t, string(figures.Text(found.Plan)), string(figures.Text(other.Plan)), "seed %d, two spellings:\n%s\n%s\n---\n%s\n%s", seed, mission, table, again, marks)
					require.Equal(t, figures.Digest(found.Plan), figures.Digest(other.Plan))
					written, err := gen.Files(other.Plan, "test")
					require.NoError(t, err)
					one, two := string(files[0].Data), string(written[0].Data)
					if reorder {
						one, two = withSortedMarks(t, one), withSortedMarks(t, two)
					}
					require.Empty(t, diff.Compare(diff.Version{Name: "one", Plan: found.Plan}, diff.Version{Name: "other", Plan: other.Plan}).Changes, "seed %d: diff of two spellings:\n%s\n%s\n---\n%s\n%s", seed, mission, table, again, marks)
					answer, err := verify.Header(string(written[0].Data), found.Plan, "test")
					require.NoError(t, err)
					require.True(t, answer.Verdict.SamePlan(), "seed %d: %v %v", seed, answer.Verdict, answer.Differences)
					require.Equal(t, one, two, "seed %d, two spellings:\n%s\n%s\n---\n%s\n%s", seed, mission, table, again, marks)
				}
				for _, f := range files {
					require.NoError(t, os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644))
				}
				models = append(models, mo)
			}
			for i, printed := range compiled(t, dir, models) {
				requireSays(t, fmt.Sprintf("seed %d, mission %d", seed, from+i), models[i], printed)
			}
		}
		t.Logf("seed %d: refused on the way: %v", seed, refused)
		count := 0
		for _, n := range refused {
			count += n
		}
		require.LessOrEqual(t, count, *missions/2, "most models can be driven")
	}
}

// The schema that editors check a mission by has nothing against any of them.
func TestTheSchemaAcceptsRandomMissions(t *testing.T) {
	text, err := spec.Schema()
	require.NoError(t, err)
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	compiler := jsonschema.NewCompiler()
	require.NoError(t, compiler.AddResource("mission.json", document))
	schema, err := compiler.Compile("mission.json")
	require.NoError(t, err)
	for _, seed := range seeds(t) {
		r := rand.New(rand.NewPCG(seed, 4))
		for number := range *missions {
			mo := newModel(r, number)
			tree := mo.tree(&speller{r: r, inMarks: mo.marks})
			value, err := json.Marshal(tree.data())
			require.NoError(t, err)
			instance, err := jsonschema.UnmarshalJSON(bytes.NewReader(value))
			require.NoError(t, err)
			require.NoError(t, schema.Validate(instance), "seed %d: %s", seed, value)
			instance.(map[string]any)["colour"] = "red"
			require.Error(t, schema.Validate(instance))
		}
	}
}

// withSortedMarks is a header with the marks of its opening comment in the order of
// their names.
func withSortedMarks(t *testing.T, header string) string {
	t.Helper()
	before, rest, ok := strings.Cut(header, "\n * MARKS\n")
	require.True(t, ok)
	marks, after, ok := strings.Cut(rest, "\n * LEGS ")
	require.True(t, ok)
	lines := strings.Split(marks, "\n")
	slices.Sort(lines)
	return before + strings.Join(lines, "\n") + after
}

// compiled prints all missions by one program: for each the numbers of every
// member, row by row.
func compiled(t *testing.T, dir string, models []*model) []map[string][]int64 {
	t.Helper()
	var text, calls strings.Builder
	for i, mo := range models {
		fmt.Fprintf(&text, "#include \"%s_mission.h\"\n", mo.identifier())
		text.WriteString(printer(fmt.Sprintf("print_%d", i), mo.identifier()+"_mission"))
		fmt.Fprintf(&calls, "    print_%d();\n    printf(\"end 0\\n\");\n", i)
	}
	fmt.Fprintf(&text, "int main(void)\n{\n%s    return 0;\n}\n", calls.String())
	require.NoError(t, os.WriteFile(filepath.Join(dir, "all.c"), []byte(text.String()), 0o644))
	run(t, dir, "gcc", "-std=c99", "-O0", "-Wall", "-Wextra", "-Werror", "all.c", "-o", "all")
	var out []map[string][]int64
	now := map[string][]int64{}
	for line := range strings.Lines(run(t, dir, "./all")) {
		name, number, _ := strings.Cut(strings.TrimSpace(line), " ")
		if name == "end" {
			out, now = append(out, now), map[string][]int64{}
			continue
		}
		if v, err := strconv.ParseInt(number, 10, 64); err == nil {
			now[name] = append(now[name], v)
		}
	}
	require.Len(t, out, len(models))
	return out
}

func requireSays(t *testing.T, which string, mo *model, printed map[string][]int64) {
	t.Helper()
	for name, want := range mo.expected() {
		got := printed[name]
		require.Len(t, got, len(want), "%s: %s", which, name)
		for i, v := range got {
			require.True(t, float64(v) >= want[i].low && float64(v) <= want[i].high, "%s: %s of row %d is %d, and %v is due", which, name, i, v, want[i])
		}
	}
	for _, table := range []string{"circle.east_mm", "hold.pin", "leg.dwell"} {
		require.Len(t, printed[table], len(mo.expected()[table]), "%s: no row more", which)
	}

	// The rings of the fence, each with its first corner again, which has no direction.
	var rings [][][2]int64
	var ring [][2]int64
	for i, unitEast := range printed["edge.unit_east_q30"] {
		unitNorth := printed["edge.unit_north_q30"][i]
		ring = append(ring, [2]int64{printed["edge.east_mm"][i], printed["edge.north_mm"][i]})
		if unitEast == 0 && unitNorth == 0 {
			require.Equal(t, ring[0], ring[len(ring)-1], "%s: a ring is closed", which)
			rings, ring = append(rings, ring[:len(ring)-1]), nil
			continue
		}
		east, north := printed["edge.east_mm"][i+1]-ring[len(ring)-1][0], printed["edge.north_mm"][i+1]-ring[len(ring)-1][1]
		length := math.Hypot(float64(east), float64(north)) / (1 << 30)
		require.InDelta(t, float64(east)/length, float64(unitEast), 0.501, "%s: the direction of edge %d", which, i)
		require.InDelta(t, float64(north)/length, float64(unitNorth), 0.501, "%s: the direction of edge %d", which, i)
	}
	require.Empty(t, ring, which)
	want := mo.rings()
	require.Len(t, rings, len(want), which)
	for i := range want {
		// The allowed side is on the left of every edge.
		require.Equal(t, i == 0, turnsLeft(rings[i]), "%s: ring %d runs the wrong way", which, i)
		require.True(t, throughCorners(want[i], rings[i]), "%s: ring %d is %v, and %v is due", which, i, rings[i], want[i])
	}
}

// throughCorners wants the same corners in the same order, from any one on, either way
// around.
func throughCorners(want [][2]interval, got [][2]int64) bool {
	if len(want) != len(got) {
		return false
	}
	in := func(v int64, i interval) bool { return float64(v) >= i.low && float64(v) <= i.high }
	for range 2 {
		for shift := range want {
			same := true
			for i, w := range want {
				g := got[(i+shift)%len(got)]
				same = same && in(g[0], w[0]) && in(g[1], w[1])
			}
			if same {
				return true
			}
		}
		slices.Reverse(got)
	}
	return false
}

// turnsLeft is true of a ring that runs counter-clockwise.
func turnsLeft(ring [][2]int64) bool {
	double := int64(0)
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		double += a[0]*b[1] - b[0]*a[1]
	}
	return double > 0
}

// The test can fail: a model that says another number than what was written is told.
func TestAnotherNumberIsTold(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	mo, found, _, _ := driveable(t, r, 0, map[diag.ID]int{})
	files, err := gen.Files(found.Plan, "test")
	require.NoError(t, err)
	dir := t.TempDir()
	for _, f := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644))
	}
	printed := compiled(t, dir, []*model{mo})[0]
	told := func() bool {
		for name, want := range mo.expected() {
			for i, v := range printed[name] {
				if float64(v) < want[i].low || float64(v) > want[i].high {
					return true
				}
			}
		}
		return false
	}
	require.False(t, told())
	last := len(mo.visits) - 1
	for name, change := range map[string]func(){
		"a tolerance by 1 mm": func() { mo.visits[last].tolerance.value += mm },
		"a speed by 1 mm/s":   func() { mo.visits[last].speed.value += mm },
		"a mark by 2 mm":      func() { mo.marks[mo.visits[last].mark].latitude += 20 },
		"the coast by 10 mm":  func() { mo.coast += 10 * mm }, // from its speed, and held in whole millimetres from the leg's
		"the latency by 1 ms": func() { mo.latency += ms },
		"a pin":               func() { mo.holds[0].channels[0].pin++ },
		"a contact":           func() { mo.holds[0].channels[0].closed = !mo.holds[0].channels[0].closed },
		"a debounce by 1 ms":  func() { mo.holds[0].debounce.value += ms },
		"a filter by 1 ms":    func() { mo.holds[0].filter.value += ms },
		"the parts' delay by 1 ms": func() {
			for i := range mo.path {
				mo.path[i].off += ms
			}
		},
		"whether the route is closed": func() { mo.closed = !mo.closed },
	} {
		before := fmt.Sprintf("%+v", *mo)
		saved := *mo
		saved.visits, saved.marks, saved.holds, saved.path = slices.Clone(mo.visits), slices.Clone(mo.marks), slices.Clone(mo.holds), slices.Clone(mo.path)
		for i := range saved.holds {
			saved.holds[i].channels = slices.Clone(saved.holds[i].channels)
		}
		change()
		if name == "whether the route is closed" {
			assert.NotEqual(t, len(printed["leg.dwell"]), len(mo.expected()["leg.dwell"]), name)
		} else {
			assert.True(t, told(), name)
		}
		*mo = saved
		require.Equal(t, before, fmt.Sprintf("%+v", *mo), name)
	}
}
