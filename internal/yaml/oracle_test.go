// The reader against a third one of other authors again, the npm package yaml, which
// reads YAML 1.2 strictly: what is read here, it reads too, with the same keys, texts
// and anchors at the same places. It may read more; that is refused here by name. The
// second reader, which has the last word on every mission, is asked as well: it must
// have nothing against what is written well.
package yaml

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// npm is where .ci/deps installs the package.
const npm = "../../.ci/npm"

type answer struct {
	Refused string
	Nodes   []string
}

// ask reads texts with the npm package.
func ask(t testing.TB, texts []string) []answer {
	t.Helper()
	in, err := json.Marshal(texts)
	require.NoError(t, err)
	folder, err := filepath.Abs(npm)
	require.NoError(t, err)
	c := exec.Command("node", "testdata/read.mjs", folder)
	c.Stdin = bytes.NewReader(in)
	var out, trouble bytes.Buffer
	c.Stdout, c.Stderr = &out, &trouble
	require.NoError(t, c.Run(), "node and the npm package yaml are needed: run make deps\n%.2000s", trouble.String())
	var answers []answer
	require.NoError(t, json.Unmarshal(out.Bytes(), &answers))
	require.Len(t, answers, len(texts))
	return answers
}

// listed writes a tree as read.mjs does.
func listed(n *Node) []string {
	at := fmt.Sprintf("%d:%d", n.At.Line, n.At.Column)
	switch n.Kind {
	case Null:
		return []string{"null||" + n.Anchor + "|"}
	case Alias:
		return []string{"alias|" + at + "||" + n.Text}
	case Scalar:
		if n.Quoted {
			return []string{"quoted|" + at + "|" + n.Anchor + "|" + n.Text}
		}
		return []string{"plain|" + at + "|" + n.Anchor + "|" + n.Text}
	}
	list := []string{fmt.Sprintf("list||%s|%d", n.Anchor, len(n.Within))}
	if n.Kind == Mapping {
		list = []string{fmt.Sprintf("mapping||%s|%d", n.Anchor, len(n.Within)/2)}
	}
	for _, within := range n.Within {
		list = append(list, listed(within)...)
	}
	return list
}

// plainer goes round two faults of the npm package (2.9.1): it takes a comment in the
// first column for a part of the value around, or refuses it, in places where a
// comment may have any indentation (YAML 1.2.2, 6.6), and refuses some lines of white
// space with a tab in it. The library of second.go reads both as the standard does.
func plainer(text string) string {
	text = regexp.MustCompile(`(?m)^#`).ReplaceAllString(text, " #")
	return regexp.MustCompile(`(?m)^[ \t]*\t[ \t]*$`).ReplaceAllString(text, "")
}

// compare reads texts twice, and returns how many were read here.
func compare(t testing.TB, texts []string) (read int) {
	t.Helper()
	var asked []string
	var trees []*Node
	for _, text := range texts {
		document, fault := Read(text)
		if fault != nil {
			continue
		}
		asked, trees = append(asked, text), append(trees, document.Root)
		if doubt := document.Doubt(); doubt != nil {
			assert.Failf(t, "the second reader differs", "%q: %s", text, doubt.Message)
		}
	}
	wrong := 0
	for i, a := range ask(t, asked) {
		if got := listed(trees[i]); a.Refused != "" || strings.Join(got, "\n") != strings.Join(a.Nodes, "\n") {
			if wrong++; wrong <= 20 {
				assert.Failf(t, "the readers differ", "%q\nhere:  %.300q\nthere: %.300q %s", around(asked[i], got, a.Nodes), got, a.Nodes, a.Refused)
			}
		}
	}
	assert.Zero(t, wrong, "texts that the two read otherwise")
	return len(asked)
}

// around is the text, or what of a long one stands before the first difference.
func around(text string, here, there []string) string {
	if len(text) < 400 {
		return text
	}
	for i := range min(len(here), len(there)) {
		if here[i] != there[i] {
			return fmt.Sprintf("%s and %s in %.3000s", here[i], there[i], text)
		}
	}
	return text
}

// missions are the texts of all missions here.
func missions(t testing.TB) []string {
	t.Helper()
	var texts []string
	for _, pattern := range []string{"../../spec/testdata/complete", "../../spec/testdata/cases/*", "../../testdata/*", "../../examples/*", "../../examples/*/*"} {
		found, err := filepath.Glob(filepath.Join(pattern, "mission.yaml"))
		require.NoError(t, err)
		for _, file := range found {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			if !bytes.ContainsAny(text, "\x00\r") {
				texts = append(texts, strings.ToValidUTF8(string(text), "?"))
			}
		}
	}
	require.Greater(t, len(texts), 100)
	return texts
}

func TestMissionsAgainstNPM(t *testing.T) {
	texts := missions(t)
	assert.Greater(t, compare(t, texts), len(texts)*8/10, "most missions here are written well")
}

// pieces are what the mutations put in: the signs of YAML and what lies near them.
func pieces() []string {
	return []string{
		" ", "  ", "\n", "\n\n", "\t", ":", ": ", " :", "- ", "-", "? ", "?", ",", ", ", "[", "]", "{", "}", "[]", "{}", "#", " #", "# ", "&a", "&a ", "*a", "*a ",
		"<<: *a", "\"", "'", "''", `\"`, `\n`, `\x41`, `\`, "|", "|\n", ">", ">-\n", "!", "!!str ", "!a ", "%", "%YAML 1.2\n", "%YAML 1.1\n", "%TAG ! a:\n", "---", "---\n", "...", "...\n",
		"@", "`", "~", "null", "true", "a", "b:", "a: b", "\na: b", "\n  a: b", "\n- a", "\n  - a\n", "{a: b}", "[a, b]", "{a}", "{a:b}", "é", "\u00a0", "\u3000", "\U0001F600", "0", "=", "<<", ":\n", "-\n", "\n]", "\n}",
		"\"a\"", "'a'", "\"a\":", "'a' :", ",\n", "[\n", "{\n", "\n#", "a #b", "a#b", "a:b", "a: b: c", ":a", "-a", "?a",
	}
}

// mutated changes a text in one to four places.
func mutated(random *rand.Rand, text string) string {
	for range 1 + random.IntN(4) {
		at := random.IntN(len(text) + 1)
		for at < len(text) && text[at]&0xc0 == 0x80 {
			at++
		}
		switch end := min(at+1+random.IntN(3), len(text)); random.IntN(6) {
		case 0: // without a few characters
			text = text[:at] + text[end:]
		case 1: // with one piece in place of others
			text = text[:at] + pieces()[random.IntN(len(pieces()))] + text[end:]
		case 2: // with a line moved
			lines := strings.SplitAfter(text, "\n")
			i, j := random.IntN(len(lines)), random.IntN(len(lines))
			lines[i], lines[j] = lines[j], lines[i]
			text = strings.Join(lines, "")
		case 3: // with a line indented otherwise
			lines := strings.SplitAfter(text, "\n")
			i := random.IntN(len(lines))
			if rest := strings.TrimLeft(lines[i], " "); random.IntN(2) == 0 {
				lines[i] = strings.Repeat(" ", random.IntN(7)) + rest
			} else {
				lines[i] = strings.Repeat(" ", random.IntN(3)) + lines[i]
			}
			text = strings.Join(lines, "")
		default:
			text = text[:at] + pieces()[random.IntN(len(pieces()))] + text[at:]
		}
		text = strings.ToValidUTF8(text, "?")
	}
	return text
}

// Seeds that say much in few characters, for the mutations and by themselves.
func seeds() []string {
	return []string{
		"a: b\nc:\n  d: e\n  f: [g, h]\n", "- a\n- b: c\n  d: e\n- - f\n  - g\n", "a:\n- b\n- c\nd: {e: f, g: 'h'}\n", "a: &x b\nc: *x\nd:\n  <<: *x\n",
		"%YAML 1.2\n---\na: b # c\n...\n", "{a: {b: [c, {d: e}]}, f: \"g\"}\n", "a: &x\n  b: c\nd: *x\ne: [*x, *x]\n", "a:\n  - &x {b: c}\n  - *x\n",
		"\"a\": 'b'\n'c' : \"d\\u0041\"\n", "a: [b,\n  c, # d\n  e\n  ]\nf: g\n", "a: b:c\nd: e#f\ng: -1\nh: ?i\nj: :k\n", "a: ~\nb: null\nc:\nd: ''\n",
		"marks:\n  A: {latitude: 45.301233110, longitude: 6.1, height: 4 m}\nroute:\n  waypoints:\n    - A\n    - {mark: B, speed: 0.3 m/s}\n",
		"{\"a\":1,\"b\":[1,2],'c':{}}\n", "- [a, b]\n- {c: d}\n- - e\n- f: g\n  h:\n  - i\n", "a: [b]\n", "&x a\n", "- &x\n  a: b\n- *x\n",
	}
}

// CI asks for a number of mutations from a fixed seed, and as many from one that is
// new each time and printed.
func TestMutationsAgainstNPM(t *testing.T) {
	const each = 12_000
	sources := missions(t)
	for _, seed := range []uint64{1, rand.Uint64()} {
		t.Logf("seed %d", seed)
		random := rand.New(rand.NewPCG(seed, 0))
		var texts []string
		for len(texts) < each {
			from := seeds()[random.IntN(len(seeds()))]
			if len(texts)%8 == 0 {
				from = sources[random.IntN(len(sources))]
			}
			texts = append(texts, plainer(mutated(random, from)))
		}
		read := compare(t, texts)
		t.Logf("%d of %d mutations are read here", read, each)
		assert.Greater(t, read, each/10)
	}
}
