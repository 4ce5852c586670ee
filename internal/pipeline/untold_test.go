// What is told beside errors of the language is so, and as much as can be told is.
package pipeline

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/diag"
	"merestone/internal/missiontest"
	"merestone/internal/source"
	"merestone/internal/yaml"
	"merestone/spec"
)

// leaf is a single value of a mission's text.
type leaf struct {
	path           string
	text           string
	line, from, to int // bytes of the line
}

// leavesOf lists the single values of a text.
func leavesOf(t require.TestingT, text string) (all []leaf) {
	document, fault := yaml.Read(text)
	require.Nil(t, fault)
	lines := strings.SplitAfter(text, "\n")
	var walk func(n *yaml.Node, path string)
	walk = func(n *yaml.Node, path string) {
		switch n.Kind {
		case yaml.Mapping:
			for pair := range slices.Chunk(n.Within, 2) {
				walk(pair[1], path+"."+pair[0].Text)
			}
		case yaml.List:
			for i, item := range n.Within {
				walk(item, fmt.Sprintf("%s[%d]", path, i))
			}
		case yaml.Scalar:
			if strings.HasSuffix(path, ".covered") {
				return // in words, whatever they are
			}
			l := leaf{path: strings.TrimPrefix(path, "."), text: n.Text, line: int(n.At.Line) - 1}
			line := []rune(lines[l.line])
			l.from = len(string(line[:n.At.Column-1]))
			l.to = l.from + len(string(line[n.At.Column-1:n.At.Column-1+n.At.Width]))
			all = append(all, l)
		}
	}
	walk(document.Root, "")
	return all
}

// with is a text with other values in place of leaves, as long as these, so that all else
// stays where it is.
func with(text string, values map[leaf]string) string {
	lines := strings.SplitAfter(text, "\n")
	for l, value := range values {
		if missing := l.to - l.from - len(value); missing > 0 {
			value += strings.Repeat(" ", missing)
		}
		lines[l.line] = lines[l.line][:l.from] + value + lines[l.line][l.to:]
	}
	return strings.Join(lines, "")
}

// exchangeable are words of the language that may stand for each other.
var exchangeable = [][]string{
	{"true", "false"}, {"normally-open", "normally-closed"}, {"ground", "supply"}, {"up", "down"}, {"fixed", "float"},
	{"entered", "averaged", "network"}, {"relay", "contact", "semiconductor"}, {"canopy", "roof"}, {"hold-to-run", "emergency-stop", "interlock"},
}

var (
	number  = regexp.MustCompile(`^[0-9]+(\.[0-9]+)?`)
	degrees = regexp.MustCompile(`(latitude|longitude)$`)
)

// other is a value that may stand in the place of a leaf, no longer than it.
func other(l leaf, pick func(n int) int) string {
	for _, words := range exchangeable {
		if slices.Contains(words, l.text) {
			if word := words[pick(len(words))]; len(word) <= l.to-l.from {
				return word
			}
			return l.text
		}
	}
	digits := number.FindString(l.text)
	if digits == "" || strings.HasPrefix(l.path, "site.date") {
		return l.text
	}
	if degrees.MatchString(l.path) { // some metres away
		last := len(l.text) - 4
		return l.text[:last-1] + strconv.Itoa(pick(10)) + l.text[last:]
	}
	value, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return l.text
	}
	_, decimals, _ := strings.Cut(digits, ".")
	for _, factor := range []float64{[]float64{0.1, 0.5, 1.5, 3, 20}[pick(5)], 0.5} {
		if changed := strconv.FormatFloat(value*factor, 'f', len(decimals), 64) + l.text[len(digits):]; len(changed) <= l.to-l.from {
			return changed
		}
	}
	return l.text
}

// broken is what cannot be read in the place of a leaf: as a value, or with a brace as
// YAML.
func broken(l leaf, sign string) string { return strings.Repeat(sign, l.to-l.from) }

// texts are the missions that are broken, with their folders.
func texts(t testing.TB) map[string]string {
	all := map[string]string{}
	for _, pattern := range []string{"../../examples/*/mission.yaml", "../../examples/refused/*/mission.yaml", "../../examples/warned/*/mission.yaml", "../../testdata/*/mission.yaml"} {
		found, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, found)
		for _, path := range found {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			if len(text) < 40_000 && !strings.Contains(path, "spec-") {
				all[path] = string(text)
			}
		}
	}
	return all
}

func loadAt(t require.TestingT, path, text string) Mission {
	s := source.Source{Name: path, Path: path, Text: []byte(text), Open: func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(filepath.Dir(path), name)) }}
	return Load(s)
}

// notesBeside are the notes that rest on known keys alone: they are not reported beside
// errors, but what they say must be so, too. The doubts are what is not known.
func notesBeside(path, text string) (notes []diag.Finding, doubts []string) {
	parsed := spec.Parse(path, []byte(text), func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(filepath.Dir(path), name)) })
	for _, m := range []*spec.Mission{parsed.Mission, parsed.Rest} {
		if m != nil {
			notes, doubts = onKnown(m, nil)
		}
	}
	return slices.DeleteFunc(notes, func(f diag.Finding) bool { return f.Severity != diag.Note }), doubts
}

// later are the findings of plan and check, of all but the notes on what waits.
func later(findings []diag.Finding) (list []diag.Finding) {
	for _, f := range findings {
		if !strings.HasPrefix(string(f.Rule), "spec.") && f.Rule != ruleWaiting {
			list = append(list, f)
		}
	}
	return list
}

// same reports whether a finding was made, too: by the same rule, about each thing that it is
// about. Which of several things a finding names first, and with what others it tells them,
// may hang on those.
func same(f diag.Finding, among []diag.Finding) bool {
	type thing struct {
		kind diag.Kind
		name string
	}
	named := map[thing]bool{}
	for _, g := range among {
		if f.Rule != g.Rule {
			continue
		}
		for _, s := range g.About {
			named[thing{s.Kind, s.Name}] = true
		}
	}
	return !slices.ContainsFunc(f.About, func(s diag.Subject) bool { return !named[thing{s.Kind, s.Name}] })
}

// Nothing that is told beside errors of the language is a false alarm: with the errors
// mended, by the values that stood there or by others, it is told again.
func TestNothingIsToldThatIsNotSo(t *testing.T) {
	all := texts(t)
	var paths []string
	leaves := map[string][]leaf{}
	for path, text := range all {
		paths = append(paths, path)
		leaves[path] = leavesOf(t, text)
	}
	slices.Sort(paths)
	told, tried := 0, 0
	rapid.Check(t, func(r *rapid.T) {
		path := rapid.SampledFrom(paths).Draw(r, "mission")
		text := all[path]
		breaks, mends := map[leaf]string{}, map[leaf]string{}
		for range rapid.IntRange(1, 3).Draw(r, "errors") {
			l := rapid.SampledFrom(leaves[path]).Draw(r, "leaf")
			breaks[l] = broken(l, rapid.SampledFrom([]string{"(", "(", "{"}).Draw(r, "sign"))
			mends[l] = other(l, func(n int) int { return rapid.IntRange(0, n-1).Draw(r, "other") })
		}
		bad := loadAt(r, path, with(text, breaks))
		notes, _ := notesBeside(path, with(text, breaks))
		bad.Findings = append(bad.Findings, notes...)
		if !slices.ContainsFunc(bad.Findings, func(f diag.Finding) bool { return f.Rule == ruleWaiting }) {
			r.Fatalf("%s: nothing is wrong with %v", path, breaks)
		}
		for _, mended := range []string{text, with(text, mends)} {
			good := loadAt(r, path, mended)
			notes, blamed := notesBeside(path, mended)
			good.Findings = append(good.Findings, notes...)
			if slices.ContainsFunc(good.Findings, func(f diag.Finding) bool { return strings.HasPrefix(string(f.Rule), "spec.") }) {
				continue // the other values do not go together
			}
			tried++
			for _, f := range later(bad.Findings) {
				if touchesAny(readBy(reads(), f), allSteps(blamed)) {
					continue // of what plan refuses, such as an origin far from marks that were not known
				}
				told++
				if !same(f, good.Findings) {
					var names []string
					for l := range breaks {
						names = append(names, l.path+": "+l.text+" / "+mends[l])
					}
					r.Fatalf("%s with %q not known: %v\nand not once that is mended: %v", path, names, f, later(good.Findings))
				}
			}
		}
	})
	t.Logf("%d findings told beside errors, in %d missions", told, tried)
	assert.NotZero(t, told)
}

// Of a mission without a block that it needs, or two, nothing is told but what is told of
// the whole, too.
func TestBlocksMayBeMissing(t *testing.T) {
	text, err := os.ReadFile(yard)
	require.NoError(t, err)
	begins := regexp.MustCompile(`(?m)^[a-z_]+:`)
	var blocks []string
	at := begins.FindAllStringIndex(string(text), -1)
	for i, b := range at {
		end := len(text)
		if i+1 < len(at) {
			end = at[i+1][0]
		}
		blocks = append(blocks, string(text[b[0]:end]))
	}
	require.Len(t, blocks, 13)
	whole := load(string(text))
	for i, a := range blocks {
		for _, b := range blocks[i:] {
			m := load(strings.Replace(strings.Replace(string(text), a, "", 1), b, "", 1))
			mayBe := slices.ContainsFunc([]string{"tape:", "holds:", "commissioning:"}, func(key string) bool { return strings.HasPrefix(a, key) || strings.HasPrefix(b, key) })
			for _, f := range later(m.Findings) {
				assert.True(t, mayBe || same(f, whole.Findings), "without %.12q and %.12q: %v", a, b, f)
			}
		}
	}
}

// breakage is a change of the yard that makes an error, or a warning of plan and check.
type breakage struct {
	name     string
	from, to string
	rule     diag.ID
}

// What a person writes wrong, by itself.
var (
	noUnit    = breakage{"a width without a unit", "width: 0.40 m", "width: 0.40", "spec.no-unit"}
	misspelt  = breakage{"a key misspelt", "latency: 80 ms", "latencey: 80 ms", "spec.unknown-key"}
	tab       = breakage{"a mark with a longitude beyond 180", "25.914060964", "259.14060964", "spec.bad-coordinate"}
	noMark    = breakage{"a tape to a mark that is not there", "tape:\n", "tape:\n  - {from: A, to: G, measured: 1 m, uncertainty: 1 cm}\n", "spec.unknown-mark"}
	noCorner  = breakage{"an obstacle around a mark that is not there", "centre: W", "centre: V", "spec.unknown-mark"}
	noDate    = breakage{"a date that is none", "2026-06-15", "15.6.2026", "spec.bad-date"}
	wrongPull = breakage{"a word that is none", "wired_to: ground\n    pull: up\n    series_resistor: 330 ohm\n    second_channel: {pin: 28", "wired_to: ground\n    pull: upp\n    series_resistor: 330 ohm\n    second_channel: {pin: 28", "spec.unknown-word"}
	strange   = breakage{"a key of nowhere", "mission: yard\n", "mission: yard\ncolour: red\n", "spec.unknown-key"}
	languages = []breakage{noUnit, misspelt, tab, noMark, noCorner, noDate, wrongPull, strange}

	longTape  = breakage{"a tape that disagrees", "measured: 30.00 m", "measured: 31.00 m", "tape.distance"}
	crossed   = breakage{"corners of the shed exchanged", "ring: [S1, S2, S3, S4]", "ring: [S1, S3, S2, S4]", "geometry.ring"}
	outside   = breakage{"a waypoint beyond the fence", "A:    {latitude: 51.6204449", "A:    {latitude: 51.6202449", "geometry.leg-outside"}
	wrongPin  = breakage{"a pin that is no input", "input_pins: [22, 24, 26, 28]", "input_pins: [22, 24, 26]", "holds.pin"}
	ramp      = breakage{"a stop category that is not carried out", "stop_category: 0\n  - name: mushroom", "stop_category: 1\n  - name: mushroom", "holds.category"}
	tooFast   = breakage{"a speed above cruise", "arrival_tolerance: 30 cm\n", "arrival_tolerance: 30 cm\n  speed: 0.70 m/s\n", "arrival.speed"}
	tooNear   = breakage{"a tolerance that cannot be met", "arrival_tolerance: 30 cm\n", "arrival_tolerance: 3 cm\n", "arrival.tolerance"}
	faraway   = breakage{"a mark with a wrong degree", "S2:   {latitude: 51.", "S2:   {latitude: 53.", "geometry.extent"}
	noPole    = breakage{"an emergency stop without a pole", "thumb switch, mushroom button]", "thumb switch]", "holds.emergency-stop"}
	judgement = []breakage{longTape, crossed, outside, wrongPin, ramp, tooFast, tooNear, faraway, noPole}
)

// slipped is the yard with slips, by the rules of all findings.
func slipped(t require.TestingT, slips ...breakage) Mission {
	text, err := os.ReadFile(yard)
	require.NoError(t, err)
	said := string(text)
	for _, s := range slips {
		require.Equal(t, 1, strings.Count(said, s.from), s.name)
		said = strings.Replace(said, s.from, s.to, 1)
	}
	return load(said)
}

func hasRule(findings []diag.Finding, rule diag.ID) bool {
	return slices.ContainsFunc(findings, func(f diag.Finding) bool { return f.Rule == rule })
}

// Two faults in parts that have nothing to do with each other are told in one run. Which
// pairs are not, has a reason.
func TestBothAreTold(t *testing.T) {
	// waits are the rules that wait for what a slip leaves unknown.
	waits := map[string]string{
		noUnit.name:    "arrival.speed arrival.tolerance", // which reckon with the rover
		misspelt.name:  "",                                // the key that was meant is plain, its value is not taken for certain:
		tab.name:       "arrival.speed arrival.tolerance", // C is a waypoint
		noCorner.name:  "arrival.tolerance",               // the board's conversion is fitted to the fence, too
		noMark.name:    "",
		noDate.name:    "",
		wrongPull.name: "holds.pin holds.category holds.emergency-stop",
		strange.name:   "",
	}
	waits[misspelt.name] = "arrival.tolerance tape.distance"
	waits[strange.name] = "arrival.tolerance tape.distance" // the key may be meant for confidence
	told, pairs := 0, 0
	for _, l := range languages {
		for _, j := range judgement {
			m := slipped(t, l, j)
			pairs++
			assert.True(t, m.Refused(), "%s, and %s", l.name, j.name)
			assert.True(t, hasRule(m.Findings, l.rule), "%s, and %s: %v", l.name, j.name, m.Findings)
			waiting := slices.Contains(strings.Fields(waits[l.name]), string(j.rule))
			assert.Equal(t, !waiting, hasRule(m.Findings, j.rule), "%s, and %s: %v", l.name, j.name, m.Findings)
			if hasRule(m.Findings, j.rule) {
				told++
			}
		}
	}
	t.Logf("of %d pairs %d are told in one run", pairs, told)
}

// What is told beside errors has no figure in it that rests on them.
func TestFiguresRestOnKnownKeys(t *testing.T) {
	const roofed = "../../examples/refused/headroom/mission.yaml"
	beneath := func(edits ...missiontest.Edit) []diag.Finding {
		return load(missiontest.Text(t, roofed, edits...)).Findings
	}
	assert.True(t, hasRule(beneath(missiontest.Edit{"measured: 30.00 m", "measured: 30.00"}), "site.sky"))
	assert.False(t, hasRule(beneath(missiontest.Edit{"fix_rate: 10 Hz", "fix_rate: 10"}), "site.sky"), "it says after what time without fixes the rover stops")
}

// waitingFor are the rules that a report says will be asked later.
func waitingFor(t require.TestingT, findings []diag.Finding) map[diag.ID]bool {
	list := map[diag.ID]bool{}
	for _, f := range findings {
		if f.Rule == ruleWaiting && len(f.Args) == 3 {
			for _, id := range f.Args[2].(diag.List).Items {
				list[id.(diag.ID)] = true
			}
		}
	}
	return list
}

// Once an error is mended, nothing is found that could have been told before: it was
// told, or its rule was named among those that wait.
func TestMendingBringsNothingNew(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		pick := func(from []breakage, least int, name string) []breakage {
			return rapid.SliceOfNDistinct(rapid.SampledFrom(from), least, 3, func(s breakage) string { return s.from }).Draw(r, name)
		}
		wrong := pick(languages, 1, "errors of the language")
		all := slices.Concat(wrong, pick(judgement, 0, "others"))
		before, after := slipped(r, all...), slipped(r, all[1:]...)
		waits := waitingFor(r, before.Findings)
		for _, f := range after.Findings {
			if f.Severity >= diag.Warning && !waits[f.Rule] && !same(f, before.Findings) {
				r.Fatalf("%q mended of %v: %v\nwas not told in %v", all[0].name, all, f, before.Findings)
			}
		}
	})
}

// A mark that is measured from one whose place is not known is not known either, and what
// follows from that is not told: the cause is, once.
func TestMarksThatLeanOnWhatIsNotKnown(t *testing.T) {
	const sketch = "../../testdata/sketch/mission.yaml"
	text, err := os.ReadFile(sketch)
	require.NoError(t, err)
	for _, c := range []struct{ what, from, to, rule string }{
		{"one tape alone", "      - {from: F3, distance: 12.04 m, uncertainty: 2 cm}\n", "", "spec.out-of-range"},
		{"no tape to a mark that others lean on", "F4, towards: F3, first: 4.50 m", "POND, towards: TREES, first: 4.50 m", "spec.unknown-mark"},
		{"a tape from nowhere", "{from: F1, distance: 12.35 m", "{from: G1, distance: 12.35 m", "spec.unknown-mark"},
		{"a ring without an uncertainty", "side: left, uncertainty: 3 cm}", "side: left}", "spec.missing-key"},
		{"a ring from a mark that is written twice", "  F2: {east: 25.00 m", "  F1: {east: 25.00 m", "spec.duplicate-key"},
		{"tapes that are apart", "{from: F2, distance: 12.04 m", "{from: F2, distance: 2.04 m", "measured.apart"},
		{"a circle", "{from: F1, distance: 12.35 m", "{from: TREE, distance: 12.35 m", "measured.circular"},
	} {
		require.Equal(t, 1, strings.Count(string(text), c.from), c.what)
		m := loadAt(t, sketch, strings.Replace(string(text), c.from, c.to, 1))
		var rules []string
		for _, f := range m.Findings {
			if f.Severity == diag.Error && f.Rule != "spec.unknown-mark" || string(f.Rule) == c.rule {
				rules = append(rules, string(f.Rule))
			}
		}
		assert.Equal(t, []string{c.rule}, rules, "%s: %v", c.what, m.Findings)
	}
}

// A measured mark that has no place leaves the rest to be told.
func TestBesideARefusedMeasuredMark(t *testing.T) {
	const sketch = "../../testdata/sketch/mission.yaml"
	text, err := os.ReadFile(sketch)
	require.NoError(t, err)
	said := strings.NewReplacer("{from: F2, distance: 12.04 m", "{from: F2, distance: 2.04 m", "boundary: [F1, F2, F3, F4]", "boundary: [F1, F3, F2, F4]").Replace(string(text))
	m := loadAt(t, sketch, said)
	assert.True(t, hasRule(m.Findings, "measured.apart"), m.Findings)
	assert.True(t, hasRule(m.Findings, "geometry.ring"), m.Findings)
}
