// The refused examples that users see: the yard of examples/refused/base.yaml
// with one change each that Parse refuses. The list is here, so that a key of
// the yard is edited once;
//
//	go test ./spec -run TestRefusedExamples -update
//
// rewrites examples/refused/spec-*.
package spec

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

// refusal is one refused mission: text of the yard, there exactly once, and what
// stands there instead.
type refusal struct {
	folder, rule, why string
	find, write       string
	marks             string // marks.csv beside it
}

func refusals() []refusal {
	waypoints := "waypoints: [A, B, C, D]"
	boundary := "boundary: [F1, F2, F3, F4]"
	return []refusal{
		{folder: "unknown-key", rule: "unknown-key", why: "a key is misspelt.", find: "  turn_radius: 0 m", write: "  turning_radius: 0 m"},
		{folder: "missing-key", rule: "missing-key", why: "nobody measured how far the rover rolls on.", find: "  coast: {from: 0.60 m/s, distance: 0.30 m}\n", write: ""},
		{folder: "empty-value", rule: "empty-value", why: "the value of cross_track was forgotten.", find: "  cross_track: 8 cm", write: "  cross_track:"},
		{folder: "gap", rule: "gap", why: "nobody has measured yet how far the rover rolls on.", find: "distance: 0.30 m}", write: "distance: ___}"},
		{folder: "duplicate-key", rule: "duplicate-key", why: "the width is written twice, with two values.", find: "  length: 0.50 m", write: "  length: 0.50 m\n  width: 0.44 m"},
		{folder: "wrong-type", rule: "wrong-type", why: "the fence is one text where a list of marks is due.", find: boundary, write: "boundary: F1 F2 F3 F4"},
		{folder: "no-unit", rule: "no-unit", why: "the width has no unit: metres, or centimetres?", find: "  width: 0.40 m", write: "  width: 0.40"},
		{folder: "unit", rule: "bad-quantity", why: "the latency is written in metres.", find: "latency: 80 ms", write: "latency: 80 m"},
		{folder: "range", rule: "out-of-range", why: "the slowest speed is above the usual one.", find: "minimum: 0.20 m/s", write: "minimum: 0.80 m/s"},
		{folder: "integer-bits", rule: "out-of-range", why: "the board has 8 bits, and the guidance header needs an int of 32.", find: "integer_bits: 32", write: "integer_bits: 8"},
		{folder: "coordinate", rule: "bad-coordinate", why: "a digit of a latitude has changed, and 91.6 degrees north do not exist.", find: "A:    {latitude: 51.620444939", write: "A:    {latitude: 91.620444939"},
		{folder: "swapped", rule: "bad-coordinate", why: "latitude and longitude of the origin are swapped, which the hemispheres give away.", find: "origin: {latitude: 51.620400000, longitude: 25.913700000,", write: `origin: {latitude: 25°54'49.32"E, longitude: 51°37'13.44"N,`},
		{folder: "date", rule: "bad-date", why: "June has thirty days.", find: "date: 2026-06-15", write: "date: 2026-06-31"},
		{folder: "word", rule: "unknown-word", why: "the kind of contact is misspelt.", find: "    pin: 22\n    contact: normally-open", write: "    pin: 22\n    contact: normaly-open"},
		{folder: "opener", rule: "unknown-word", why: "the hold that opens the relay is misspelt.", find: "thumb switch, mushroom button]", write: "thumb switch, mushrom button]"},
		{folder: "board-cannot-stop", rule: "missing-key", why: "no part of the path to the motors is opened by the board's output.",
			find:  "[drive_enable, thumb switch, mushroom button], off_delay: 20 ms, coil_diode: false}\n  - {name: motor driver, kind: semiconductor, opened_by: [drive_enable], off_delay: 2 ms, pulled_off: true}",
			write: "[thumb switch, mushroom button], off_delay: 20 ms, coil_diode: false}"},
		{folder: "common-cause", rule: "missing-key", why: "it is not said what the two contacts of the thumb switch have in common.",
			find:  "    common_cause: {cable: false, connector: false, supply: true, actuator: true}\n    debounce: 20 ms\n    discrepancy: 200 ms\n    stop_category: 0\n  - name",
			write: "    debounce: 20 ms\n    discrepancy: 200 ms\n    stop_category: 0\n  - name"},
		{folder: "unknown-mark", rule: "unknown-mark", why: "the route visits a mark that nobody surveyed.", find: waypoints, write: "waypoints: [A, B, C, D, E]"},
		{folder: "name", rule: "bad-name", why: "the name would end a comment in the C header.", find: "mission: yard", write: "mission: yard */ 2"},
		{folder: "name-clash", rule: "name-clash", why: "two obstacles have names that become the same in C.", find: "{name: well,", write: "{name: Shed,"},
		{folder: "closed-ring", rule: "closed-ring", why: "the fence repeats its first mark at its end, as some notations do; here rings close by themselves.", find: boundary, write: "boundary: [F1, F2, F3, F4, F1]"},
		{folder: "tab", rule: "tab", why: "a line is indented with a tab.", find: "  width: 0.40 m", write: "\twidth: 0.40 m"},
		{folder: "bracket", rule: "yaml-syntax", why: "a bracket is not closed.", find: waypoints, write: "waypoints: [A, B, C, D"},
		{folder: "documents", rule: "several-documents", why: "a second mission follows in the same file.", find: "  loop: 20 ms\n", write: "  loop: 20 ms\n---\nmission: yard-2\n"},
		{folder: "aliases", rule: "too-many-aliases", why: "a few lines of aliases to aliases stand for ten thousand marks (a \"billion laughs\" file).", find: "  " + waypoints,
			write: "  waypoints:\n    - &a A\n    - &b [*a, *a, *a, *a, *a, *a, *a, *a, *a, *a]\n    - &c [*b, *b, *b, *b, *b, *b, *b, *b, *b, *b]\n    - &d [*c, *c, *c, *c, *c, *c, *c, *c, *c, *c]\n    - [*d, *d, *d, *d, *d, *d, *d, *d, *d, *d]"},
		{folder: "marks-file-outside", rule: "bad-file", why: "the marks_file lies outside the folder of the mission.", find: "marks:\n", write: "marks_file: ../marks.csv\nmarks:\n"},
		{folder: "marks-file-column", rule: "bad-csv", why: "a decimal comma in the marks_file has pushed the fields of a line one column on.", find: "marks:\n", write: "marks_file: marks.csv\nmarks:\n",
			marks: "name,latitude,longitude,height,uncertainty\nT1,51.62049,25.91380,168.00 m,1 cm\nT2,51,62051,25.91390,168.00 m,1 cm\n"},
		{folder: "marks-file-twice", rule: "duplicate-mark", why: "a mark is written here and in the marks_file.", find: "marks:\n", write: "marks_file: marks.csv\nmarks:\n",
			marks: "# corners of the shed, measured again\nname,latitude,longitude,uncertainty\nS1,51.620480889,25.913829947,1 cm\n"},
	}
}

const refused = "../examples/refused"

// mission is the yard with the change, under a comment that says what it is.
func (r refusal) mission(t *testing.T, yard string) string {
	t.Helper()
	require.Equal(t, 1, strings.Count(yard, r.find), "%s: the text to change must be in the yard once", r.folder)
	head := "# refused by: spec." + r.rule + "\n#"
	column := 1
	for _, word := range strings.Fields("The yard of refused/base.yaml, but " + r.why) {
		if column+1+len(word) > 80 {
			head, column = head+"\n#", 1
		}
		head, column = head+" "+word, column+1+len(word)
	}
	return head + "\n\n" + strings.Replace(yard, r.find, r.write, 1)
}

func TestRefusedExamples(t *testing.T) {
	base, err := os.ReadFile(filepath.Join(refused, "base.yaml"))
	require.NoError(t, err)
	_, yard, found := strings.Cut(string(base), "\n\n") // without its picture
	require.True(t, found)
	listed := map[string]bool{}
	for _, r := range refusals() {
		t.Run(r.folder, func(t *testing.T) {
			folder := filepath.Join(refused, "spec-"+r.folder)
			listed[folder] = true
			want := map[string]string{"mission.yaml": r.mission(t, yard)}
			if r.marks != "" {
				want["marks.csv"] = r.marks
			}
			// The name is that of `merestone check` run in the folder examples.
			name := "refused/spec-" + r.folder + "/mission.yaml"
			result := Parse(name, []byte(want["mission.yaml"]), func(string) ([]byte, error) { return []byte(r.marks), nil })
			assert.Equal(t, []diag.ID{diag.ID("spec." + r.rule)}, rulesOf(result.Findings), "refused for one reason alone")
			var out bytes.Buffer
			require.NoError(t, diag.WriteText(&out, result.Findings, result.Sources, diag.Terminal{}))
			want["want.txt"] = out.String()
			for file, text := range want {
				if *update {
					require.NoError(t, os.MkdirAll(folder, 0o755))
					require.NoError(t, os.WriteFile(filepath.Join(folder, file), []byte(text), 0o644))
				}
				got, err := os.ReadFile(filepath.Join(folder, file))
				require.NoError(t, err)
				assert.Equal(t, text, string(got), file)
			}
		})
	}
	there, err := filepath.Glob(filepath.Join(refused, "spec-*"))
	require.NoError(t, err)
	for _, folder := range there {
		assert.True(t, listed[folder], "%s is not in the list", folder)
	}
}
