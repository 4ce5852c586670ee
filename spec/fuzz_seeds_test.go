// Texts at which YAML is delicate: that were read wrongly once, that two readers do
// not read alike, or that cost much. Each is a seed of FuzzFragments, which joins
// pieces of them, and a case of TestDelicateTexts.
package spec

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

// delicate are the texts by what is delicate about them.
func delicate() map[string][]string {
	return map[string][]string{
		"tabs": {
			"cross_track: 1\t8 cm\n", "pin: 2\t2\n", "a: {F\t1: b}\n", "F\t1: a\n", "a:\tb\n", "a: b\t# c\n", "a: [b,\tc]\n", "a:\n  - b\t\n", "a: \"b\tc\"\n", "a: 'b\tc'\n", "\ta: b\n", "a:\n\t- b\n",
			"a: \"b\\tc\"\n", "- \t- a\n", "a:\n  b: c\n \t\n", "a: |\n \tb\n",
		},
		"documents": {
			"--- a\n--- b\n", strings.Repeat("--- a\n", 2_000), strings.Repeat("---\n", 2_000), "a: b\n---\nc: d\n", "--- {a: b}\n...\n", "a: b\n...\n", "a: b\n...\nc: d\n", "---\n---\na: b\n", "... \na: b\n",
			"a: b\n--- # c\n", "a: |\n  ---\n", "a: '\n--- b'\n", "--- --- a\n", "a: ---\n", "a:\n--- \n",
		},
		"directives": {
			"%YAML 1.1\n---\na: b\n", "%YAML 1.2\n---\na: b\n%YAML 1.2\n---\nc: d\n", "%YAML 1.2\n%YAML 1.2\n---\na: b\n", "%YAML\n---\na: b\n", "%TAG ! x:\n---\na: !b c\n", "%TAG ! x:\n%TAG ! y:\n---\na: b\n",
			"%x\na: b\n", "a: b\n%c: d\n", "a: %b\n", "%YAML 3.0\n---\na: b\n", "--- %YAML\n", "%YAML 1.2\n",
		},
		"block scalars": {
			"a: |\n  b" + strings.Repeat("\n", 5_000) + "c: d\n", "a: >\n  b\n" + strings.Repeat("\n", 5_000), "a: |-\n b\n", "a: |+\n b\n\n", "a: |2\n   b\n", "a: |0\n b\n", "a: |10\n b\n", "a: |2-\n   b\n", "a: |-2\n   b\n", "a: | # c\n b\n",
			"a: |# c\n b\n", "a: |\nb: c\n", "a: >\n\n\n b\n\n  c\n", "a: |\n  b\n c\n", "a: |\n    \n  b\n", "- |\n a\n- b\n", "a: |", "a: >-", "mission: |\n  small\n", "mission: >-\n  small\n",
		},
		"merge keys": {
			"a: &a {b: c}\nd: {<<: *a}\n", "a: &a {b: c}\nd: {<<: [*a, *a]}\n", "a: &a {b: c}\nd: {<<: *a, <<: *a}\n", "a: &a {<<: *a}\n", "a: {<<: b}\n", "a: {<<: }\n", "<<: *a\n", "<<: {a: b}\n", "a: {<<: [{b: c}, {b: d}]}\n",
			"a: &a {b: c}\nd: {'<<': *a}\n", "a: &a {b: c}\nd: {b: e, <<: *a}\n", "a: {!!str <<: {b: c}}\n", "a: [<<: {b: c}]\n", "<<:\n  - a\n", "a: {<<: [[{b: c}]]}\n", "<<: <<\n", nestedMerges(20),
		},
		"anchors and aliases": {
			"&a b: c\nd: *a\n", "*a : b\n", "&a a: &b b\n", "a: &x,\nb: *x\n", "a: [&x,]\n", "a: {b: &x, c: *x}\n", "a: &x\nb: *x\n", "a: &x &y b\n", "a: *x b\n", "a: &\n", "a: *\n", "a: & b\n", "&a [*a]\n", "a: &a [*a]\n",
			"a: &é b\nc: *é\n", "a: &x:y b\nc: *x:y\n", "a: &x b\na2: &x c\nd: *x\n", "a: {b: &x c,d: *x,e: f}\n", "- &a b\n- *a\n", "a: &a [&b c, *b]\nd: *b\n", "? &a b\n: *a\n", aliases(12),
		},
		"braces and brackets": {
			"a: {radius:0.8 m}\n", "{, name: x}\n", "{a: b,, c: d}\n", "[,]\n", "[a,,b]\n", "a: {b}\n", "a: {b, c: d}\n", "a: {b: }\n", "a: {: b}\n", "a: {:b}\n", "a: {b::c}\n", "a: {\"b\":c}\n", "a: {'b':c}\n", "a: [b: c, d]\n", "a: [[b]: c]\n",
			"a: {\nb: c\n}\n", "a: [\nb\n]\n", "a: {b: c\n}\n", "a: [b,\n]\nc: d\n", "a: [A, B,#C\n]\n", "a: [A, B, #C\n]\n", "a: [A#B]\n", "a: {b: c}d\n", "a: [b]]\n", "a: {b: [c}\n", "{a: b}: c\n", "[a]: b\n", "a: {b: c} # d\n", "a: {b: c}# d\n",
			"a: [b\n  , c]\n", "a: [b c\n  d]\n", "a: {b\n  : c}\n", "a: {b:\n  c}\n", "a: [-]\n", "a: [- b]\n", "a: [?]\n", "a: {? b}\n", "a: {? b : c}\n", "a: {?b: c}\n", "a: [---]\n", "a: [b, # c\n  d]\n", "a: {x: y,}\n", strings.Repeat("[", 10_000), strings.Repeat("{a: ", 10_000), "a: " + strings.Repeat("[", 40) + strings.Repeat("]", 40) + "\n",
		},
		"question marks": {
			"?\n", "? \n: b\n", "?\n? \n", "? key : v\n", "? a\n: b\n", "? a\n", "? |\n  a\n: b\n", "? [a]\n: b\n", "? {a: b}\n: c\n", "?a: b\n", "a: ?b\n", "? a\n? b\n", "? a: b\n: c\n", "- ? a\n  : b\n", "? - a\n: - b\n", ": b\n", "a\n: b\n", "? ? a\n", "a:\n  ? b\n  : c\n", "a: {? }\n",
		},
		"quoted text": {
			"a: 'b\nc'\n", "a: \"b\nc\"\n", "a: 'b\n\n  c'\n", "a: \"b\\\n  c\"\n", "'a\n  b': c\n", "\"a\n  b\": c\n", "a: \"\\x41\\u0042\\U00000043\"\n", "a: \"\\q\"\n", "a: \"\\x4\"\n", "a: \"\\uD800\"\n", "a: \"\\U00110000\"\n", "a: \"\\0\"\n", "a: \"\\_\\N\\L\\P\"\n",
			"a: 'b''c'\n", "a: 'b' c\n", "a: \"b\"c\n", "a: 'b\n", "a: \"b\n", "a: b'c\n", "a: ''\n", "a: \"\"\n", "\"\": a\n", "'a':b\n", "\"a\":b\n", "a: 'b' # c\n", "a: 'b'# c\n", "a:\n'b'\n", "a:\n  'b'\n", "'a' : b\n", "- 'a\nb'\n", "mission: \"sm\\x61ll\"\n", "marks_file: \"\"\n", "marks_file: ''\n", "marks_file:\n", "marks_file: .\n", "marks_file: ..\n",
		},
		"plain text": {
			"a: b\n  c\n", "a: b\n c: d\n", "a: b: c\n", "a: b:\n", "a:b\n", "a : b\n", "a: b #c\n", "a: b#c\n", "a: #b\n", "a: -b\n", "a: - b\n", "a: @b\n", "a: `b\n", "a: !b\n", "a: !!str 1\n", "a: !!int x\n", "a: !!null x\n", "a: !<b> c\n", "a: ! b\n", "a: !!str\n", "a: ,b\n", "a: b,c\n", "a: ]b\n", "a: ~\n", "a: null\n", "a: Null\n", "a: .inf\n", "a: 0o7\n", "a: 1_0\n", "a: 1:30\n",
			"a\n", "a b\n", "- a\nb: c\n", "a: b\n- c\n", "a:\n  b: c\n d: e\n", "a:\n- b\n- c\nd: e\n", "- - - a\n", "-\n  a\n", "- a\n-b\n", "-a\n", "a: b\n\n  c\n", "a:\n\n\n\n  b\n", "a: b\n  # c\n  d\n", " a: b\n", "  a: b\n c: d\n", "a: b\na: c\n", "a: b\n'a': c\n",
		},
		"characters": {
			"# \u202e\na: b\n", "a: b # \u2066\n", "a: \u202eb\n", "a: \u200bb\n", "a: b\rc: d\n", "a: b\r", "a: b\r\r\n", "a: b\u0085c: d\n", "a: b\u2028c: d\n", "a: b\ufeffc\n", "\ufeffa: b\n", "\ufeff\ufeffa: b\n", "a: b\n\ufeffc: d\n", "a: \u00a0b\n", "a:\u00a0b\n", "a: b\x00c\n", "a: b\x1bc\n", "a: b\x7fc\n", "a: b\xffc\n", "a: \xed\xa0\x80\n", "a: \xf4\x90\x80\x80\n", "a: \xc0\x80\n", "a: \ufffe\n", "a: e\u0301\n", "a: \U0001F600\n",
			"\xff\xfea\x00:\x00", "\xfe\xff\x00a\x00:", "\x1f\x8b\x08", "a: b\f\n", "a: b\v\n",
		},
	}
}

// nestedMerges copies a block twice at every level.
func nestedMerges(levels int) string {
	var out strings.Builder
	out.WriteString("a0: &a0 {k: v}\n")
	name := func(i int) string { return "a" + strings.Repeat("x", i) }
	out.WriteString("x: &a {k: v}\n")
	for i := range levels {
		out.WriteString(name(i+1) + ": &" + name(i+1) + " {k" + strings.Repeat("x", i) + ": {<<: [*" + name(i) + ", *" + name(i) + "]}, l: *" + name(i) + "}\n")
	}
	return out.String()
}

// aliases doubles a list at every level.
func aliases(levels int) string {
	out := "a: &a [b, b]\n"
	name := "a"
	for range levels {
		out += name + "a: &" + name + "a [*" + name + ", *" + name + "]\n"
		name += "a"
	}
	return out
}

// requireRead is what holds of every text: no finding but in the text, the same
// findings and mission again, and with line ends and byte order mark of another
// system; and none of it takes long.
func requireRead(t *testing.T, text, marks string) {
	t.Helper()
	open := func(string) ([]byte, error) { return []byte(marks), nil }
	started := time.Now()
	got := Parse("mission.yaml", []byte(text), open)
	require.Less(t, time.Since(started), 20*time.Second)
	for _, f := range got.Findings {
		requireSound(t, got.Sources, f)
	}
	if got.Mission == nil {
		require.NotEmpty(t, got.Findings)
	}
	requireAlike := func(what, other string) {
		t.Helper()
		again := Parse("mission.yaml", []byte(other), open)
		require.Equal(t, got.Mission, again.Mission, what)
		require.Equal(t, got.Findings, again.Findings, what)
	}
	requireAlike("once more", text)
	if !strings.HasPrefix(text, "\ufeff") && !strings.HasPrefix(text, "\xff\xfe") && !strings.HasPrefix(text, "\xfe\xff") {
		requireAlike("with a byte order mark", "\ufeff"+text)
	}
	if !strings.Contains(text, "\r") {
		requireAlike("with Windows line ends", strings.ReplaceAll(text, "\n", "\r\n"))
	}
	if got.Mission != nil && len(got.Findings) == 0 && strings.HasSuffix(text, "\n") {
		requireAlike("with a comment behind it", text+"# c\n")
	}
}

// in are a text by itself and as a part of a mission.
func in(mission, text string) []string {
	return []string{text, mission + text, text + mission}
}

func TestDelicateTexts(t *testing.T) {
	mission, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(t, err)
	for what, texts := range delicate() {
		t.Run(what, func(t *testing.T) {
			for _, text := range texts {
				for _, whole := range in(string(mission), text) {
					requireRead(t, whole, "name,latitude,longitude\nP,45.3,6.1\n")
				}
			}
		})
	}
}

// FuzzFragments joins pieces of the delicate texts and of a mission, so that what is
// tried is mostly YAML.
func FuzzFragments(f *testing.F) {
	good, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(f, err)
	pieces := fragments(string(good))
	for i := range 200 {
		f.Add([]byte{byte(i), byte(i / 2), byte(3 * i), byte(i + 77), byte(5 * i), byte(i), byte(i / 3), byte(7 * i)}, uint8(i))
	}
	f.Fuzz(func(t *testing.T, choice []byte, place uint8) {
		if len(choice) > 400 {
			return
		}
		var out strings.Builder
		for i := 0; i+1 < len(choice); i += 2 {
			out.WriteString(pieces[(int(choice[i])<<8|int(choice[i+1]))%len(pieces)])
		}
		text := out.String()
		lines := strings.SplitAfter(string(good), "\n")
		at := int(place) % (2 * len(lines))
		if at < len(lines) { // else the text by itself
			text = strings.Join(lines[:at], "") + text + strings.Join(lines[at:], "")
		}
		requireRead(t, text, text)
	})
}

// fragments are the short pieces at which the delicate texts and the mission can be
// cut, in one order.
func fragments(mission string) []string {
	all := []string{" ", "  ", "\n", "\n  ", "\n    ", ": ", ":", "- ", ", ", ",", "{", "}", "[", "]", "# c", "&a ", "*a", "*a ", "<<: ", "? ", "'", "\"", "|\n", ">\n", "!!str ", "---\n", "...\n", "\t", "\r\n", "~", "%"}
	seen := map[string]bool{}
	add := func(text string) {
		for _, line := range strings.SplitAfter(text, "\n") {
			for _, piece := range append(strings.SplitAfter(line, " "), line) {
				if piece != "" && len(piece) < 60 && !seen[piece] {
					seen[piece] = true
					all = append(all, piece)
				}
			}
		}
	}
	add(mission)
	for _, group := range []string{"tabs", "documents", "directives", "block scalars", "merge keys", "anchors and aliases", "braces and brackets", "question marks", "quoted text", "plain text", "characters"} {
		for _, text := range delicate()[group] {
			if len(text) < 200 {
				add(text)
			}
		}
	}
	return all
}

// An edit of a good mission either leaves it the mission that it was or is refused;
// where YAML gives the text another meaning, or none, it must be refused.
func TestDelicateEdits(t *testing.T) {
	text, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(t, err)
	good := string(text)
	want := withoutPaths(t, Parse("mission.yaml", text, nil))
	const track, points, fence, first = "cross_track: 8 cm", "waypoints: [A, B]", "boundary: [F1, F2, F3, F4]", "mission: small\n"
	for _, c := range []struct{ from, to string }{
		{track, "cross_track: 1\t8 cm"},
		{track, "cross_track: 8\n    0 cm"},
		{track, "cross_track: [8 cm]"},
		{track, "cross_track: 8 cm # x\n    y"},
		{track, "cross_track:8 cm"},
		{track, "cross_track: 8 cm\n  cross_track: 8 cm"},
		{track, "cross_track: 8 cm\n  'cross_track': 8 cm"},
		{track, "cross_track: 8 cm\n  ?"},
		{track, "cross_track: 8 cm\n  ? \n  : x"},
		{track, "cross_track: *x"},
		{track, "cross_track: &x"},
		{track, "cross_track: 8 cm\n\ttilt: 1 deg"},
		{track, "cross_track: |\n    8 cm"},
		{track, "cross_track: \"8\\x00cm\""},
		{track, "cross_track: '8 cm' x"},
		{track, "cross_track: 8 cm: x"},
		{track, "cross_track: !x 8 cm"},
		{track, "cross_track: 8 cm}"},
		{"pin: 22", "pin: 2\t2"},
		{"pin: 22", "pin: 0x16"},
		{"pin: 22", "pin: 2 2"},
		{"pin: 22", "pin:22"},
		{"pin: 22", "pin: 22, <<: {pin: 23}, pin: 23"},
		{points, "waypoints: [A, B,#C\n  ]"},
		{points, "waypoints: [A, , B]"},
		{points, "waypoints: [, A, B]"},
		{points, "waypoints: [A, &x, B]"},
		{points, "waypoints: [A\tB]"},
		{points, "waypoints: [A B]"},
		{points, "waypoints: [A, B]]"},
		{points, "waypoints: [A, B] C"},
		{points, "waypoints: [A, B: ]"},
		{points, "waypoints:\n  - A\n - B"},
		{points, "waypoints:\n  -A\n  - B"},
		{points, "waypoints: [A, ---, B]"},
		{points, "waypoints: [A, {mark: B, dwell:1 s}]"},
		{points, "waypoints: [A, {, mark: B}]"},
		{fence, "boundary: [F\t1, F2, F3, F4]"},
		{fence, "boundary: [F1, F2, F3, F4"},
		{fence, "boundary: [F1, F2, F3, F4}"},
		{"longitude: 6.1234,", "longitude:6.1234,"},
		{"latitude: 45.30121", "latitude:45.30121"},
		{"latitude: 45.30121", "latitude: 45.30\t121"},
		{first, first + "%YAML 1.2\n---\n"},
		{first, first + "---\n"},
		{first, first + "--- a\n--- b\n"},
		{first, first + "...\n"},
		{first, first + "...\n%YAML 1.2\n---\n"},
		{first, first + "?\n"},
		{first, first + "x\n"},
		{first, first + "- x\n"},
		{first, "? mission: small\n"},
		{first, "? \nmission: small\n"},
		{"input_pins: [22, 24]", "? input_pins: [22, 24]"},
		{"origin: {", "origin: &x, {"},
		{"latitude: 45.30121", "latitude: 45.3012\t1\n  "},
		{"fix_rate: 5 Hz", "fix_rate:#C\n 5 Hz"},
		{"fix_rate: 5 Hz", "fix_rate:&x 5 Hz"},
		{"fix_rate: 5 Hz", "fix_rate:5 Hz"},
		{"height: 412.6 m", "height:# a\n 412.6 m"},
		{"name: thumb switch", "name:2 thumb switch"},
		{"rover:\n", "rover  # c\n:\n"},
		{first, "mission: smal\tl\n"},
		{first, "mission: sm\rall\n"},
		{first, "mission: small\u0085"},
		{first, "mission: small\u2028"},
		{first, "mission: sma\ufeffll\n"},
		{first, "mission: sma\u202ell\n"},
		{first, "mission: 'small\n"},
		{first, "mission: small\n\ufeff"},
		{first, "%YAML 1.2\n%YAML 1.2\n---\nmission: small\n"},
		{first, first + "<<: {mission: other}\nmission: small\n"},
	} {
		require.Equal(t, 1, strings.Count(good, c.from), c.from)
		edited := strings.Replace(good, c.from, c.to, 1)
		if len(Parse("mission.yaml", []byte(edited), nil).Findings) == 0 {
			t.Errorf("%q is read", c.to)
		}
	}
	for _, c := range []struct{ from, to string }{
		{track, "cross_track : 8 cm"}, {track, "cross_track:\t8 cm"}, {track, "cross_track: 8 cm\t"}, {track, "cross_track: 8 cm\t# x"}, {track, "'cross_track': 8 cm"}, {track, "\"cross_track\": \"8 cm\""},
		{track, "? cross_track\n  : 8 cm"}, {track, "? cross_track : 8 cm"}, {track, "cross_track:\n    8 cm"}, {track, "cross_track:\n    8\n    cm"}, {track, "cross_track: '8\n    cm'"}, {track, "cross_track: '8\ncm'"}, {track, "cross_track: \"8\\\n    \\ cm\""},
		{track, "cross_track: !!str 8 cm"}, {track, "cross_track: &x 8 cm"}, {track, "!!str cross_track: 8 cm"}, {track, "&x cross_track: 8 cm"}, {track, "cross_track: >-\n    8 cm"}, {track, "cross_track: 8\tcm"}, {track, "cross_track: \"8\\tcm\""}, {track, "cross_track: \"\\x38 cm\""}, {track, "cross_track: \"8\\u2028cm\""},
		{track, "cross_track: 8 cm\n" + strings.Repeat("\n", 3_000)}, {track, "cross_track: 8 cm # \u202e"}, {track, "# a\tb\n  cross_track: 8 cm"}, {track, "cross_track: 8 cm\n\n \n   # x\n# y\n"}, {track, "<<: {cross_track: 8 cm}"}, {track, "<<: [{cross_track: 8 cm}, {cross_track: 9 cm}]"}, {track, "cross_track: 8 cm\n  <<: {cross_track: 9 cm}"},
		{points, "waypoints: [A, B,]"}, {points, "waypoints: [A,B]"}, {points, "waypoints: [\nA,\nB\n]"}, {points, "waypoints:\n  - A\n  - B"}, {points, "waypoints:\n    - A\n    - B"}, {points, "waypoints: [&x A, B]"}, {points, "waypoints: ['A', \"B\"]"}, {points, "waypoints: [{mark: A}, B]"}, {points, "waypoints: [A, # x\n    B]"}, {points, "waypoints: [A\n  , B]"}, {points, "waypoints: [A, B]#C"},
		{points, "waypoints: [{\"mark\":A}, {'mark':'B'}]"}, {points, "waypoints: [mark: A, B]"}, {points, "waypoints: [? mark : A, B]"}, {points, "waypoints: [A, !!str B]"}, {points, "waypoints:\n  -\n    A\n  -   mark: B"}, {points, "waypoints:\n  - ? mark\n    : A\n  - B"},
		{fence, "boundary: [F1, F2,\n  F3, F4\n]"}, {fence, "boundary: [F1,F2,F3,F4 ]"},
		{first, "&x:y mission: small\n"}, {first, "&\u00e9 mission: small\n"}, {"origin: {", "origin: &x {"}, {"latitude: 45.30121,", "latitude: 45.30121 \t\n,"},
		{"pin: 22", "pin: !!int 22"}, {"pin: 22", "pin: &x 22"}, {"pin: 22", "\"pin\":22"}, {"pin: 22", "? pin : 22"}, {"pin: 22", "? pin: 22"},
		{first, "%YAML 1.1\n---\nmission: small\n"}, {first, "%YAML 1.2\n---\nmission: small\n"}, {first, "---\nmission: small\n"}, {first, "--- # x\nmission: small\n"}, {first, "mission: !!str small\n"}, {first, "mission: \"sm\\x61ll\"\n"}, {first, "mission: small\nmarks_file: \"\"\n"}, {first, "\ufeffmission: small\n"}, {first, "# \u2066\nmission: small\n"}, {first, "%TAG ! x:\n---\nmission: small\n"},
	} {
		require.Equal(t, 1, strings.Count(good, c.from), c.from)
		edited := strings.Replace(good, c.from, c.to, 1)
		got := Parse("mission.yaml", []byte(edited), nil)
		if len(got.Findings) == 0 && !assert.ObjectsAreEqual(want, withoutPaths(t, got)) {
			t.Errorf("%q is read as another mission", c.to)
		}
	}
}

// Spaces around a value, and tabs at the end of the line, do not move the place of
// its finding. A tab elsewhere is the finding.
func TestDelicatePlaces(t *testing.T) {
	text, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(t, err)
	const track, points, pins = "  cross_track: 8 cm", "  waypoints: [A, B]", "  input_pins: [22, 24]"
	for _, c := range []struct {
		from, to      string
		column, width int
	}{
		{track, "  cross_track: 8 mi", 16, 4},
		{track, "  cross_track: 8 mi  ", 16, 4},
		{track, "  cross_track: 8 mi \t ", 16, 4},
		{track, "  cross_track:   8 mi # x", 18, 4},
		{track, "  cross_track: '8 mi'  ", 16, 6},
		{track, "  cross_track: \"8 mi\"  # x", 16, 6},
		{points, "  waypoints: [A,   X  , B]", 20, 1},
		{points, "  waypoints: [A, X   ]", 18, 1},
		{points, "  waypoints: [A, {mark:  X  }, B]", 26, 1},
		{pins, "  input_pins: [22,\t x, 24]", 19, 1},
		{pins, "  input_pins: [22, x\t, 24]", 21, 1},
	} {
		require.Equal(t, 1, strings.Count(string(text), c.from), c.from)
		findings := Parse("mission.yaml", []byte(strings.Replace(string(text), c.from, c.to, 1)), nil).Findings
		if assert.Len(t, findings, 1, "%q", c.to) {
			line := 1 + strings.Count(string(text[:strings.Index(string(text), c.from)]), "\n")
			assert.Equal(t, diag.Position{File: "mission.yaml", Line: line, Column: c.column, Width: c.width}, findings[0].At, "%q", c.to)
		}
	}
}

// withoutPaths is the mission without where things stand.
func withoutPaths(t *testing.T, got Result) Mission {
	t.Helper()
	require.NotNil(t, got.Mission)
	m := *got.Mission
	m.asWritten = asWritten{}
	return m
}
