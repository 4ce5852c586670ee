// Missions as hands write them: 5,000 slips in the examples, each in one to three places.
// What is read of them is what YAML 1.2 says, by the reader of oracle_test.go; all else is
// refused. A missing space is not guessed at: {latitude:52.1} is a key without a value.
package yaml

import (
	"math/rand/v2"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slip is what is written in place of what a pattern finds.
type slip struct {
	name     string
	pattern  *regexp.Regexp
	instead  string
	anywhere bool // it may leave a text that means the same
}

func slips() []slip {
	find := regexp.MustCompile
	return []slip{
		{"no space behind a colon", find(`: `), ":", false},
		{"a space before a colon", find(`:( |\n)`), " :$1", true},
		{"two spaces behind a colon", find(`: `), ":  ", true},
		{"no space behind a comma", find(`, `), ",", true},
		{"a comma lost", find(`, `), " ", false},
		{"a comma too many", find(`, `), ", , ", false},
		{"a comma at the end", find(`([\]}])`), ",$1", true},
		{"a decimal comma", find(`([0-9])\.([0-9])`), "$1,$2", true},
		{"a brace lost", find(`[{}]`), "", false},
		{"a bracket lost", find(`[\[\]]`), "", false},
		{"braces for brackets", find(`\[([^\]\n]*)\]`), "{$1}", true},
		{"brackets for braces", find(`\{([^}\n]*)\}`), "[$1]", false},
		{"a quotation mark", find(`([a-z]+): ([a-z0-9])`), `$1: "$2`, false},
		{"a value in quotation marks", find(`: ([a-z0-9.-]+)([,}\n])`), `: "$1"$2`, true},
		{"a key in quotation marks", find(`([a-z_]+): `), `"$1": `, true},
		{"a quoted key without a space", find(`([a-z_]+): `), `"$1":`, true},
		{"a line indented by one more", find(`\n( *[a-z-])`), "\n $1", true},
		{"a line indented by one less", find(`\n  ?( *[a-z-])`), "\n$1", true},
		{"a tab for two spaces", find(`\n  `), "\n\t", false},
		{"a tab behind a colon", find(`: `), ":\t", false},
		{"a dash without a space", find(`- `), "-", false},
		{"a dash lost", find(`- `), "  ", true},
		{"a line broken", find(`, `), ",\n", true},
		{"a line broken, and indented", find(`, `), ",\n        ", true},
		{"a line joined", find(`\n +`), " ", true},
		{"a comment without a space", find(`([a-z0-9])\n`), "$1# note\n", true},
		{"a comment", find(`([a-z0-9])\n`), "$1 # note: {a, b]\n", true},
		{"a comment in the first column", find(`\n`), "\n # note\n", true},
		{"an equals sign", find(`: `), " = ", false},
		{"two colons", find(`: `), ":: ", true},
		{"a key alone", find(`: [^\n{\[]+\n`), "\n", false},
		{"a value lost", find(`: [^,}\n]+([,}\n])`), ":$1", true},
		{"a line twice", find(`\n([^\n]+)\n`), "\n$1\n$1\n", true},
		{"an anchor and its alias", find(`: ([a-z0-9.]+)([,}\n])`), ": &x $1$2", true},
		{"a percent sign in front", find(`\n([a-z])`), "\n%$1", false},
		{"a no-break space", find(`: `), ":\u00a0", false},
		{"a Windows line end", find(`([0-9])\n`), "$1 \n", true},
	}
}

// slipped is a text with a slip in one of the places where it may be.
func slipped(random *rand.Rand, text string, s slip) string {
	places := s.pattern.FindAllStringSubmatchIndex(text, -1)
	if len(places) == 0 {
		return text
	}
	at := places[random.IntN(len(places))]
	return text[:at[0]] + string(s.pattern.ExpandString(nil, s.instead, text, at)) + text[at[1]:]
}

func examples(t testing.TB) (texts []string) {
	for _, folder := range []string{"walnut-grove", "salt-pan", "running-track"} {
		text, err := os.ReadFile("../../examples/" + folder + "/mission.yaml")
		require.NoError(t, err)
		texts = append(texts, string(text))
	}
	return texts
}

var topKey = regexp.MustCompile(`^[a-z]`)

func TestSlipsInTheExamplesAgainstNPM(t *testing.T) {
	const count = 5_000
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	sources, all := examples(t), slips()
	var texts []string
	seen := map[string]bool{}
	for len(texts) < count {
		// A part of an example reads faster than the whole, and is as good.
		lines := strings.SplitAfter(sources[random.IntN(len(sources))], "\n")
		from := random.IntN(len(lines))
		for from > 0 && !topKey.MatchString(lines[from]) {
			from--
		}
		text := strings.Join(lines[from:min(from+20, len(lines))], "")
		for range 1 + random.IntN(3) {
			text = slipped(random, text, all[random.IntN(len(all))])
		}
		if text = plainer(text); !seen[text] {
			seen[text] = true
			texts = append(texts, text)
		}
	}
	read := compare(t, texts)
	t.Logf("%d of %d are read here", read, count)
	assert.Greater(t, read, count/20)
}

// Slips that change what is meant are refused, and no others than those that may not
// be: each alone, in each example.
func TestSlipsThatAreRefused(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 1))
	for _, s := range slips() {
		refused := 0
		for _, text := range examples(t) {
			changed := slipped(random, text, s)
			require.NotEqual(t, text, changed, s.name)
			if _, fault := Read(changed); fault != nil {
				refused++
				assert.NotEmpty(t, fault.Remedy, s.name)
			}
		}
		if !s.anywhere {
			assert.Positive(t, refused, s.name)
		}
	}
	for _, text := range []string{"{latitude:52.1}", "A: {latitude:52.1, longitude: 6.1}", "a: {latitude: 52.1, longitude:6.1}", "a: b\nlatitude:52.1\n", "a:\n  latitude:52.1\n  b: c\n", "- {latitude:52.1}"} {
		_, fault := Read(text)
		require.NotNil(t, fault, text)
		assert.Regexp(t, "a space (after|behind)", fault.Remedy, text)
	}
}
