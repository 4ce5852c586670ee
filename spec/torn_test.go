// Faults of the notation in some blocks hide nothing of the others, and make nothing up.
package spec

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/diag"
)

func TestWhatIsReadBesideAFaultOfTheNotation(t *testing.T) {
	for _, c := range []struct {
		name  string
		edits [][2]string
		want  []string
	}{
		{"a brace not closed, and a unit that lacks elsewhere", [][2]string{{"minimum: 0.25 m/s}", "minimum: 0.25 m/s"}, {"latency: 120 ms", "latency: 120"}}, []string{
			"a block in braces is not closed, or a comma is missing", "receiver.latency: 120 has no unit, and a duration needs one",
		}},
		{"faults in three blocks", [][2]string{{"minimum: 0.25 m/s}", "minimum:0.25 m/s}"}, {"[A, B]", "[A, B"}, {"input_pins: [22", "input_pins [22"}}, []string{
			"this is not a key with a value", "a list in brackets is not closed, or a comma is missing", "this line is not a key with a value",
		}},
		{"tabs in two blocks, and a unit that lacks elsewhere", [][2]string{{"  arrival_tolerance: 25", "\tarrival_tolerance: 25"}, {"  input_pins: [22", "\t\tinput_pins: [22"}, {"width: 0.42 m", "width: 0.42"}}, []string{
			"this line and 1 more are indented with tabs, and YAML indents with spaces alone", "rover.width: 0.42 has no unit, and a length needs one",
		}},
		{"the marks are left out, and no use of one is told", [][2]string{{"  A: {lat", "  A: {{lat"}}, []string{"a key must be a single word"}},
		{"the holds are left out, and the drive path names them", [][2]string{{"kind: hold-to-run", "kind:hold-to-run"}}, []string{"this is not a key with a value"}},
		{"an anchor is left out, and its alias is not told", [][2]string{{"minimum: 0.25 m/s}", "minimum: &x 0.25 m/s"}, {"input_pins: [22", "loop: *x\n  input_pins: [q"}}, []string{
			"a block in braces is not closed, or a comma is missing",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := small(t)
			for _, e := range c.edits {
				require.Equal(t, 1, strings.Count(text, e[0]), e[0])
				text = strings.Replace(text, e[0], e[1], 1)
			}
			result := Parse("m.yaml", []byte(text), nil)
			var said []string
			for _, f := range result.Findings {
				said = append(said, f.Message())
			}
			assert.ElementsMatch(t, c.want, said)
			assert.Nil(t, result.Mission)
		})
	}
}

// Whatever is wrong with the notation of some blocks: of the others the same is told as
// without it, and nothing else.
func TestFaultsOfTheNotationAreLocal(t *testing.T) {
	base := small(t)
	faults := []string{"  - [\n", "  x: {\n", "  x: 'a\n", "  x: a: b\n", "  ]\n", "  x:: {a}\n", "  \"a\n", "  x: {a:b}\n", "  - a\n  b\n", "  x: [a}\n", " @\n", "  x: %a\n", "  x: !t a\n", "  ? a\n", "\tx: a\n", "  \t- a\n"}
	errors := [][2]string{
		{"latency: 120 ms", "latency: 120"}, {"width: 0.42 m", "width: 0.42 kg"}, {"[A, B]", "[A, Q]"}, {"drive_enable: 8", "drive_enable: no"}, {"kind: hold-to-run", "kind: hold"}, {"boundary: [F1", "boundary: [F9"},
	}
	told := 0
	rapid.Check(t, func(r *rapid.T) {
		text := base
		for _, e := range rapid.SliceOfDistinct(rapid.SampledFrom(errors), func(e [2]string) string { return e[0] }).Draw(r, "errors") {
			require.Equal(r, 1, strings.Count(text, e[0]), e[0])
			text = strings.Replace(text, e[0], e[1], 1)
		}
		lines := strings.SplitAfter(text, "\n")
		var heads []int
		for i, line := range lines {
			if beginsBlock.MatchString(line) && strings.HasSuffix(line, ":\n") {
				heads = append(heads, i)
			}
		}
		torn := map[int]bool{} // lines of blocks with faults, of the text before these were put in
		put := map[int]string{}
		for _, head := range rapid.SliceOfNDistinct(rapid.SampledFrom(heads), 1, 3, rapid.ID).Draw(r, "blocks") {
			put[head] = rapid.SampledFrom(faults).Draw(r, "fault")
			for i := head; i == head || i < len(lines) && !beginsBlock.MatchString(lines[i]); i++ {
				torn[i+1] = true
			}
		}
		var out strings.Builder
		number := map[int]int{} // of each line before
		for i, line := range lines {
			number[1+strings.Count(out.String(), "\n")] = i + 1
			out.WriteString(line)
			out.WriteString(put[i])
		}
		show := func(f diag.Finding, line int) string { return fmt.Sprintf("%d: %v", line, f) }
		var want, got []string
		for _, f := range Parse("m.yaml", []byte(text), nil).Findings {
			if !torn[f.At.Line] {
				want = append(want, show(f, f.At.Line))
			}
		}
		result := Parse("m.yaml", []byte(out.String()), nil)
		if result.Rest == nil {
			return // the fault is one of the whole
		}
		notation := []diag.ID{ruleYAMLSyntax, ruleTag, ruleTab}
		for _, f := range result.Findings {
			if before := number[f.At.Line]; before > 0 && !torn[before] && !slices.Contains(notation, f.Rule) {
				got = append(got, show(f, number[f.At.Line]))
			}
		}
		told += len(got)
		for _, g := range got {
			require.Contains(r, want, g, "%s", out.String())
		}
		for _, w := range want { // of marks that are not known nothing is told where some may be lost
			require.True(r, slices.Contains(got, w) || strings.Contains(w, "there is no mark"), "%s is not told in\n%s", w, out.String())
		}
	})
	assert.NotZero(t, told)
}
