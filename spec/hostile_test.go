// Hostile and careless mission files as large as they may be: each is read or refused,
// and its findings printed, in at most 3 s of CPU time and 300 MB of memory. Every
// file is read in a process of its own.
package spec

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/tooltest"
	"merestone/internal/yaml"
)

// What one input may take.
const (
	mostCPU    = 3 * time.Second
	mostMemory = 300_000_000
)

// many repeats a piece of text up to the size of a file.
func many(piece string) string { return strings.Repeat(piece, (MaxFileBytes-64)/len(piece)) }

// numbered is many with a number in each piece.
func numbered(format string) string {
	var out strings.Builder
	for i := 0; out.Len() < MaxFileBytes-2*len(format)-32; i++ {
		fmt.Fprintf(&out, format, i)
	}
	return out.String()
}

// as repeats a piece as often, with its number in it where it has a place for one.
func as(often int, piece string) string {
	var out strings.Builder
	for i := range often {
		if strings.Contains(piece, "%") {
			fmt.Fprintf(&out, piece, i)
		} else {
			out.WriteString(piece)
		}
	}
	return out.String()
}

// pairsAllowed is nearly as many keys with values as a file may have.
const pairsAllowed = yaml.MaxNodes/2 - 100

// stairs are keys each deeper than the one before.
func stairs() string {
	var out strings.Builder
	for i := 0; out.Len() < MaxFileBytes-10_000; i++ {
		out.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return out.String()
}

// doubling has each line stand for ten of the line before.
func doubling(first, line string) string {
	text := first
	for i := range 12 {
		one := fmt.Sprintf("*a%d", i)
		text += fmt.Sprintf(line, i+1, strings.Repeat(one+", ", 9)+one)
	}
	return text
}

// merging brings a block of many keys into many others.
func merging() string {
	var out strings.Builder
	out.WriteString("a: &a {")
	for i := range 30_000 {
		fmt.Fprintf(&out, "k%d: 1, ", i)
	}
	out.WriteString("}\n")
	for i := range 50_000 {
		fmt.Fprintf(&out, "b%d: {<<: *a}\n", i)
	}
	return out.String()
}

// waypoints is a sound mission with as many waypoints as there may be, in a text of
// nearly the size that a file may have.
func waypoints(base string, often int, each string) string {
	var out strings.Builder
	for i := range often {
		out.WriteString(strings.NewReplacer("NAME", string("AB"[i%2])).Replace(each))
	}
	return strings.Replace(base, "[A, B]", "["+out.String()+"]", 1)
}

func TestHostileFiles(t *testing.T) {
	base := small(t)
	for _, c := range []struct {
		name string
		text func() string
		rule diag.ID // by which it is refused, empty if it is read
	}{
		{"brackets", func() string { return many("[") }, ruleTooDeep},
		{"braces", func() string { return many("{a: ") }, ruleTooDeep},
		{"brackets a line each", func() string { return many("[\n") }, ruleTooDeep},
		{"dashes", func() string { return many("- ") }, ruleTooDeep},
		{"question marks", func() string { return many("? ") }, ruleYAMLSyntax},
		{"tags", func() string { return "a: " + many("!a ") }, ruleTag},
		{"anchors", func() string { return "a: " + many("&a ") }, ruleYAMLSyntax},
		{"anchors a line each", func() string { return many("&a\n") }, ruleYAMLSyntax},
		{"anchors in a list", func() string { return as(2*pairsAllowed, "- &a%d b\n") }, ruleWrongType},
		{"anchors, all unknown", func() string { return "a: [" + as(2*pairsAllowed, "*a%d, ") + "]" }, ruleUnknownAnchor},
		{"anchors and unknown ones", func() string { return "a: [" + as(pairsAllowed, "&a%[1]d b, *b%[1]d, ") + "]" }, ruleUnknownAnchor},
		{"stairs", stairs, ruleTooDeep},
		{"keys", func() string { return as(pairsAllowed, "k%d: 1\n") }, ruleUnknownKey},
		{"keys nearly right", func() string { return as(pairsAllowed, "mision: a\n") }, ruleUnknownKey},
		{"keys nearly right, each once", func() string { return as(pairsAllowed, "board%d: a\n") }, ruleUnknownKey},
		{"keys of another block", func() string { return "rover:\n" + as(pairsAllowed, "  latitude: 1\n") }, ruleDuplicateKey},
		{"keys without values", func() string { return as(pairsAllowed, "k%d:\n") }, ruleUnknownKey},
		{"long keys", func() string { return numbered(strings.Repeat("k", 1_000) + "%d: 1\n") }, ruleUnknownKey},
		{"the same key", func() string { return as(pairsAllowed, "a: 1\n") }, ruleDuplicateKey},
		{"the same key in pairs", func() string { return as(pairsAllowed/2, "mission: 1\nroute: 1\n") }, ruleDuplicateKey},
		{"small blocks of many keys", func() string { return as(pairsAllowed/3, "b%[1]d:\n  c%[1]d: 1\n  d%[1]d: 1\n") }, ruleUnknownKey},
		{"marks with wrong keys", func() string {
			return "marks:\n" + as(pairsAllowed/3, "  m%[1]d: {latitude: x, longitud: 1}\n")
		}, ruleBadCoordinate},
		{"more keys than a file may have", func() string { return many("a: 1\n") }, ruleTooLarge},
		{"lone keys in braces", func() string { return "{" + as(pairsAllowed, "k%d, ") + "}" }, ruleUnknownKey},
		{"more lone keys in braces", func() string { return "{" + numbered("k%d, ") + "}" }, ruleTooLarge},
		{"empty keys in braces", func() string { return "{" + numbered("k%d: , ") + "}" }, ruleTooLarge},
		{"empty entries", func() string { return many("-\n") }, ruleTooLarge},
		{"blocks without values", func() string { return many("- a:\n") }, ruleTooLarge},
		{"blocks in a list", func() string { return "holds:\n" + as(pairsAllowed/2, "  - a: 1\n") }, ruleOutOfRange},
		{"holds without keys", func() string { return strings.Replace(base, "holds:\n", "holds:\n"+as(4, "  - {a: 1}\n"), 1) }, ruleUnknownKey},
		{"colons", func() string { return "a" + many(": ") }, ruleYAMLSyntax},
		{"pairs in brackets", func() string { return "a: [" + many("b: c, ") + "]" }, ruleYAMLSyntax},
		{"colons in brackets", func() string { return "[" + many("a: ") }, ruleYAMLSyntax},
		{"quotation marks", func() string { return many(`"`) }, ruleYAMLSyntax},
		{"single quotation marks", func() string { return many("'") }, ruleWrongType},
		{"quoted pairs", func() string { return "{" + as(pairsAllowed, `"":"",`) + "}" }, ruleDuplicateKey},
		{"a long quoted text", func() string { return `a: "` + many("x") + `"` }, ruleUnknownKey},
		{"a long quoted name", func() string { return `mission: "` + many("x") + `"` }, ruleBadName},
		{"a long quoted text of escapes", func() string { return `mission: "` + many(`\x41`) + `"` }, ruleBadName},
		{"a quoted text over lines", func() string { return `a: "` + many("x\n") + `"` }, ruleYAMLSyntax},
		{"a long plain text", func() string { return "mission: " + many("x") }, ruleBadName},
		{"a long number", func() string { return "rover: {width: " + many("1") + " m}" }, ruleBadQuantity},
		{"a long latitude", func() string { return "marks: {A: {latitude: 45." + many("1") + "}}" }, ruleBadCoordinate},
		{"a long text of two words", func() string { return "mission: " + many("x ") }, ruleBadName},
		{"a plain text over lines", func() string { return "a: " + many("x\n ") }, ruleYAMLSyntax},
		{"a block text", func() string { return "a: |\n" + many("  x\n") }, ruleYAMLSyntax},
		{"blank lines behind a block text", func() string { return "a: |\n  x" + many("\n") + " y" }, ruleYAMLSyntax},
		{"blank lines in a text", func() string { return "a: x" + many("\n") + " y" }, ruleYAMLSyntax},
		{"blank lines with tabs", func() string { return "a: x\n" + many("\t\n") }, ruleUnknownKey},
		{"lines indented with tabs", func() string { return "a:\n" + many("\tb: c\n") }, ruleTab},
		{"spaces", func() string { return "a: " + many(" ") }, ruleUnknownKey},
		{"comments", func() string { return "a: 1\n" + many("#\n") }, ruleUnknownKey},
		{"comments before a key", func() string { return many("#\n") + "a: 1\n" }, ruleUnknownKey},
		{"comments in the middle of a block", func() string { return "a:\n  b: 1\n" + many("  #\n #\n") + "  c: 1\n" }, ruleUnknownKey},
		{"a comment as long as the file", func() string { return "a: 1 #" + many("x") }, ruleUnknownKey},
		{"comments behind values", func() string { return many("- a #\n") }, ruleTooLarge},
		{"comments behind entries in brackets", func() string { return "a: [" + many("b, #\n ") + "]" }, ruleTooLarge},
		{"documents", func() string { return many("--- a\n") }, ruleYAMLSyntax},
		{"documents with nothing", func() string { return many("---\n") }, ruleSeveralDocuments},
		{"document ends", func() string { return many("a\n...\n") }, ruleSeveralDocuments},
		{"directives", func() string { return many("%YAML 1.2\n") }, ruleYAMLSyntax},
		{"aliases", func() string { return "a: &a b\nc: [" + as(pairsAllowed, "*a, ") + "]" }, ruleTooManyAliases},
		{"aliases of aliases", func() string { return doubling("a0: &a0 [b]\n", "x%[1]d: &a%[1]d [%[2]s]\n") }, ruleTooManyAliases},
		{"merges of one block", func() string { return "a: &a {b: c}\nd:\n" + as(pairsAllowed, "  <<: *a\n") }, ruleTooManyAliases},
		{"merges of a block of many keys", merging, ruleTooManyAliases},
		{"merges of merges", func() string { return doubling("a0: &a0 {b: c, d: e}\n", "x%[1]d: &a%[1]d {<<: [%[2]s]}\n") }, ruleTooManyAliases},
		{"commas", func() string { return "[" + many(",") }, ruleYAMLSyntax},
		{"entries in brackets", func() string { return "a: [" + many("b,") + "]" }, ruleTooLarge},
		{"percent signs", func() string { return many("%") }, ruleYAMLSyntax},
		{"backslashes", func() string { return `a: "` + many(`\`) }, ruleYAMLSyntax},
		{"ends of brackets", func() string { return many("]") }, ruleYAMLSyntax},
		{"pins listed twice", func() string { return strings.Replace(base, "[22, 24]", "["+strings.Repeat("22, ", maxPin)+"]", 1) }, ruleListedTwice},
		{"waypoints that nobody wrote", func() string {
			return strings.Replace(base, "[A, B]", "["+as(maxWaypoints-1, "N%d, ")+"A]", 1)
		}, ruleUnknownMark},
		{"waypoints with wrong speeds", func() string { return waypoints(base, 59_000, "{mark: NAME, speed: 9 km/h s}, ") }, ruleBadQuantity},
		{"waypoints that are lists", func() string { return waypoints(base, maxWaypoints, "[NAME], ") }, ruleWrongType},
		{"all waypoints by name", func() string { return waypoints(base, maxWaypoints, "NAME, ") }, ""},
		{"all waypoints with speeds", func() string {
			return waypoints(base, 59_000, "{mark: NAME, speed: 0.500000000000000000000000000 m/s}, ")
		}, ""},
		{"many marks", func() string {
			return strings.Replace(base, "marks:\n", "marks:\n"+as(pairsAllowed/4, "  M%d: {latitude: 45.301233110, longitude: 6.1233110, height: 4 m}\n"), 1)
		}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, cost := tooltest.Measured(t, func() []byte { return []byte(c.text()) }, func(input []byte) string {
				result := Parse("mission.yaml", input, nil)
				var out bytes.Buffer
				if err := diag.WriteText(&out, result.Findings, result.Sources, diag.Terminal{}); err != nil {
					return err.Error()
				}
				return fmt.Sprint(rulesOf(result.Findings), len(input) <= MaxFileBytes, out.Len() < 200_000)
			})
			require.Contains(t, said, "true true", "the file has the size that it may have, and what is said of it is short")
			if c.rule == "" {
				assert.Equal(t, "[] true true", said)
			} else {
				assert.Contains(t, strings.Trim(strings.Fields(said)[0], "[]")+" "+said, string(c.rule))
			}
			t.Logf("%s: %d ms, %d MB, %s", c.name, cost.CPU.Milliseconds(), cost.Peak/1_000_000, said)
			assert.Less(t, cost.CPU, mostCPU)
			assert.Less(t, cost.Peak, int64(mostMemory))
		})
	}
}
