// A new mission of random answers: its gaps are all that is wrong with it, and filled
// with sound values it compiles.
package draft

import (
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/diag"
	"merestone/internal/missiontest"
	"merestone/internal/pipeline"
	"merestone/internal/source"
	"merestone/spec"
)

var update = flag.Bool("update", false, "rewrite testdata/mission.yaml")

func load(text []byte) pipeline.Mission {
	return pipeline.Load(source.Source{Name: "mission.yaml", Path: "mission.yaml", Text: text})
}

// faults are the findings of error severity.
func faults(text []byte) []diag.Finding {
	return slices.DeleteFunc(load(text).Findings, func(f diag.Finding) bool { return f.Severity != diag.Error })
}

// onlyGaps are the paths of the gaps that are told; nothing else may be.
func onlyGaps(t require.TestingT, text []byte) []string {
	var paths []string
	for _, f := range faults(text) {
		require.Equal(t, diag.ID("spec.gap"), f.Rule, "%v %s", f.At, f.Message())
		line := strings.Split(string(text), "\n")[f.At.Line-1]
		require.Equal(t, spec.Gap, line[f.At.Column-1:f.At.Column-1+f.At.Width])
		paths = append(paths, f.About[0].Name)
	}
	require.Len(t, paths, Gaps(text), "each is told once")
	return paths
}

// site is a rectangle with sound values of all that a new mission leaves open.
func site(latitude, longitude, east, north float64) map[string]string {
	at := func(x, y float64) string { // of a sphere: the mission need not be of these metres
		const metre = 180 / math.Pi / 6_378_137
		return fmt.Sprintf("{latitude: %.9f, longitude: %.9f, uncertainty: 1 cm}", latitude+y*metre, longitude+x*metre/math.Cos(latitude*math.Pi/180))
	}
	return map[string]string{
		"site.origin.latitude": fmt.Sprintf("%.9f", latitude), "site.origin.longitude": fmt.Sprintf("%.9f", longitude),
		"site.origin.height": "168.00 m", "site.date": "2026-06-15", "site.slope": "0 %",
		"base.position": "entered", "base.uncertainty": "1 mm",
		"receiver.fix_rate": "10 Hz", "receiver.latency": "80 ms", "receiver.uncertainty.fixed": "1 cm",
		"rover.width": "0.40 m", "rover.length": "0.50 m", "rover.speed.cruise": "0.60 m/s", "rover.speed.minimum": "0.20 m/s",
		"rover.coast.from": "0.60 m/s", "rover.coast.distance": "0.30 m", "rover.cross_track": "8 cm",
		"marks.F1": at(0, 0), "marks.F2": at(east, 0), "marks.F3": at(east, north), "marks.F4": at(0, north),
		"marks.A": at(5, 5), "marks.B": at(east-5, 5), "marks.C": at(east-5, north-5),
		"route.arrival_tolerance": "30 cm", "geofence.obstacles": "[]",
		"holds[0].pin": "22", "holds[0].contact": "normally-open", "holds[0].wired_to": "ground", "holds[0].pull": "up", "holds[0].debounce": "20 ms",
		"holds[1].pin": "24", "holds[1].contact": "normally-closed", "holds[1].wired_to": "ground", "holds[1].pull": "up", "holds[1].debounce": "20 ms",
		"drive_path[0].opened_by": "[drive_enable, thumb switch, mushroom button]", "drive_path[0].off_delay": "20 ms", "drive_path[0].coil_diode": "false",
		"drive_path[1].opened_by": "[drive_enable]", "drive_path[1].off_delay": "2 ms", "drive_path[1].pulled_off": "true",
		"board.input_pins": "[22, 24]", "board.outputs.drive_enable": "8",
	}
}

// filled has the value of its path in place of each gap that is chosen, where the findings
// say that it is.
func filled(t require.TestingT, text []byte, values map[string]string, chosen func(path string) bool) []byte {
	lines := strings.Split(string(text), "\n")
	for _, f := range faults(text) {
		value, known := values[f.About[0].Name]
		require.True(t, known, f.About[0].Name)
		if !chosen(f.About[0].Name) {
			continue
		}
		line := lines[f.At.Line-1]
		lines[f.At.Line-1] = line[:f.At.Column-1] + value + line[f.At.Column-1+f.At.Width:]
	}
	return []byte(strings.Join(lines, "\n"))
}

func TestNewMissions(t *testing.T) {
	all := len(onlyGaps(t, Mission("yard", nil)))
	rapid.Check(t, func(r *rapid.T) {
		values := site(rapid.Float64Range(-60, 60).Draw(r, "latitude"), rapid.Float64Range(-179, 179).Draw(r, "longitude"),
			rapid.Float64Range(20, 90).Draw(r, "east"), rapid.Float64Range(20, 90).Draw(r, "north"))
		answers := map[string]string{}
		for _, q := range Questions() {
			if rapid.Bool().Draw(r, q.Flag) {
				answers[q.Path] = values[strings.ReplaceAll(q.Path, "[]", "")]
				require.Empty(r, spec.Judge(q.Path, answers[q.Path]), q.Path)
			}
		}
		name := rapid.StringMatching(`x[A-Za-z0-9 _-]{0,46}y`).Draw(r, "name")
		require.Empty(r, spec.Judge("mission", name))
		text := Mission(name, answers)
		left := onlyGaps(r, text)
		require.Len(r, left, all-len(answers), "each answer is one gap less")
		some := rapid.SliceOfDistinct(rapid.SampledFrom(left), rapid.ID).Draw(r, "some")
		part := filled(r, text, values, func(path string) bool { return slices.Contains(some, path) })
		require.Len(r, onlyGaps(r, part), len(left)-len(some), "the others stay all that is wrong")

		whole := load(filled(r, text, values, func(string) bool { return true }))
		for _, f := range whole.Findings {
			require.NotEqual(r, diag.Error, f.Severity, "%v %s", f.At, f.Message())
		}
		require.False(r, whole.Refused())
		require.Equal(r, name, whole.Plan.Mission)
	})
}

// Gaps hide nothing that is wrong beside them.
func TestTheRestIsChecked(t *testing.T) {
	text := missiontest.Changed(t, string(Mission("yard", nil)),
		missiontest.Edit{"required: fixed", "required: fix"},
		missiontest.Edit{"waypoints: [A, B, C]", "waypoints: [A, B, D]"},
		missiontest.Edit{"  cross_track: " + spec.Gap, "  cross_track: 8"})
	var others []diag.ID
	for _, f := range faults([]byte(text)) {
		if f.Rule != "spec.gap" {
			others = append(others, f.Rule)
		}
	}
	assert.ElementsMatch(t, []diag.ID{"spec.unknown-word", "spec.no-unit", "spec.unknown-mark"}, others)
}

// What a new mission says by itself is names, marks, and the kinds of what it has; all
// that is measured or chosen is open.
func TestNothingIsMadeUp(t *testing.T) {
	open := onlyGaps(t, Mission("yard", nil))
	want := slices.Collect(maps.Keys(site(50, 10, 30, 20)))
	assert.ElementsMatch(t, want, open)
	var said []string
	for line := range strings.Lines(string(Mission("yard", nil))) {
		if _, value, ok := strings.Cut(strings.TrimSpace(line), ": "); ok && !strings.HasPrefix(strings.TrimSpace(line), "#") && value != spec.Gap {
			said = append(said, strings.TrimSpace(line))
		}
	}
	assert.Equal(t, []string{
		"mission: yard", "required: fixed", "waypoints: [A, B, C]", "boundary: [F1, F2, F3, F4]",
		"- name: thumb switch", "kind: hold-to-run", "- name: mushroom button", "kind: emergency-stop",
		"- name: main relay", "kind: relay", "- name: motor driver", "kind: semiconductor",
	}, said)
}

func TestExamplesOfTheQuestionsAreGood(t *testing.T) {
	for _, q := range Questions() {
		assert.Empty(t, spec.Judge(q.Path, q.Example), q.Flag)
		assert.NotEmpty(t, spec.Judge(q.Path, spec.Gap), q.Flag)
		assert.NotEmpty(t, spec.Judge(q.Path, ""), q.Flag)
	}
}

// The file is one to read: no line too long for a terminal, and every comment whole.
func TestNewMissionIsReadable(t *testing.T) {
	text := string(Mission("yard", nil))
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, len([]rune(strings.TrimSuffix(line, "\n"))), width, line)
		assert.Equal(t, strings.TrimRight(line, " \n"), strings.TrimSuffix(line, "\n"))
	}
	for _, k := range spec.Keys() {
		if k.Asked {
			assert.Contains(t, text, "\n# "+strings.Fields(k.Meaning)[0], k.Name)
		}
	}
}

// FuzzAnswers: whatever is judged good stands in the file as it is, and is read as that.
func FuzzAnswers(f *testing.F) {
	for i, q := range Questions() {
		f.Add(uint8(i), q.Example)
	}
	for _, text := range []string{"45°18'04.4412\"N", "1 m # wide", "1 m\nlength: 2 m", "'1 m'", "&a 1 m", "*a", "!!str 1 m", "[1 m]", "{a: 1}", "- 1 m", "? x", "null", "~", "___", " 1 m ", "1 m:", ".5 m", "\u00a01 m"} {
		for i := range Questions() {
			f.Add(uint8(i), text)
		}
	}
	whole := len(onlyGaps(f, Mission("yard", nil)))
	f.Fuzz(func(t *testing.T, which uint8, answer string) {
		q := Questions()[int(which)%len(Questions())]
		if spec.Judge(q.Path, answer) != "" {
			return
		}
		text := Mission("yard", map[string]string{q.Path: answer})
		require.Len(t, onlyGaps(t, text), whole-1, "%q", answer)
	})
}

func TestNames(t *testing.T) {
	assert.Equal(t, "there is no key rover.colour", spec.Judge("rover.colour", "red"))
	for name, good := range map[string]bool{"yard": true, "North field 2": true, "a": true, "": false, "2 yards": false, "mere": false, "yard: x": false, "yard #1": false, "null": false, "int": false, "_yard": false} {
		fault := spec.Judge("mission", name)
		assert.Equal(t, good, fault == "", "%q: %s", name, fault)
		if good {
			onlyGaps(t, Mission(name, nil))
		}
	}
}

// The file as it is written with nothing answered, for a reader of the code.
func TestMission(t *testing.T) {
	const golden = "testdata/mission.yaml"
	got := Mission("yard", nil)
	if *update {
		require.NoError(t, os.WriteFile(golden, got, 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(want), string(got))
}
