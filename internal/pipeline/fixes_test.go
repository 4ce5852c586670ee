// Remedies are never refused when they are followed: each change that a finding offers is
// made by itself, in the missions that are refused and in sound ones with a slip of the pen
// in a random place, and the mission is read again.
package pipeline

import (
	"bytes"
	"fmt"
	"maps"
	"math/big"
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
	"merestone/spec"
)

// files are a mission and what lies beside it, by name.
type files map[string][]byte

const missionFile = "mission.yaml"

func (f files) open(name string) ([]byte, error) {
	if text, ok := f[name]; ok {
		return text, nil
	}
	return nil, os.ErrNotExist
}

func (f files) load() []diag.Finding {
	return Load(source.Source{Name: missionFile, Path: missionFile, Text: f[missionFile], Open: f.open}).Findings
}

func (f files) parse() []diag.Finding {
	return spec.Parse(missionFile, f[missionFile], f.open).Findings
}

// filesOf are those of a folder.
func filesOf(t require.TestingT, mission string) files {
	f := files{missionFile: []byte(missiontest.Text(t, mission))}
	tables, err := filepath.Glob(filepath.Join(filepath.Dir(mission), "*.csv"))
	require.NoError(t, err)
	for _, table := range tables {
		f[filepath.Base(table)] = []byte(missiontest.Text(t, table))
	}
	return f
}

// after are the files after a fix. Whatever is outside of its ranges stays: so says a check
// of its own, by the lines.
func (f files) after(t require.TestingT, fix diag.Fix) files {
	out := maps.Clone(f)
	for name, text := range f {
		var edits []diag.Edit
		touched := map[int]bool{}
		for _, e := range fix.Edits {
			if e.File != name {
				continue
			}
			edits = append(edits, e)
			for line := e.Line; line <= e.EndLine; line++ {
				touched[line] = true
			}
		}
		changed, err := diag.Apply(text, edits)
		require.NoError(t, err, fix.Does)
		out[name] = changed
		left := slices.Collect(bytes.Lines(changed))
		for i, line := range slices.Collect(bytes.Lines(text)) {
			if !touched[i+1] {
				require.True(t, slices.ContainsFunc(left, func(l []byte) bool { return bytes.Equal(l, line) }), "%s: line %d", fix.Does, i+1)
			}
		}
	}
	return out
}

// errorsOf are the findings of error severity, as far as two runs are compared by them: the
// rule and the thing that it is mainly about.
func errorsOf(findings []diag.Finding) map[string]int {
	found := map[string]int{}
	for _, f := range findings {
		if f.Severity == diag.Error {
			found[string(f.Rule)+" of "+f.About[0].Path()]++
		}
	}
	return found
}

// notation are the rules after which nothing more of a file is read.
var notation = []diag.ID{"spec.yaml-syntax", "spec.tab", "spec.not-text", "spec.tag", "spec.unknown-anchor", "spec.several-documents", "spec.duplicate-key"}

// follow makes every fix of every finding by itself. A fault of the notation hides what
// follows it: of those alone it is asked that the same does not stand there any more.
func follow(t require.TestingT, f files, findings []diag.Finding, read func(files) []diag.Finding) (followed int) {
	before := errorsOf(findings)
	for _, finding := range findings {
		for _, fix := range finding.Fixes {
			followed++
			then := read(f.after(t, fix))
			for _, left := range then {
				require.False(t, left.Rule == finding.Rule && left.Message() == finding.Message() && left.At == finding.At, "%s\nis still there after: %s (%v)", finding, fix.Does, fix.Edits)
			}
			if slices.Contains(notation, finding.Rule) {
				continue
			}
			for key, n := range errorsOf(then) {
				if !fix.Certain && strings.HasPrefix(key, "spec.out-of-range ") {
					continue // a proposed figure is read, and compared with others, which was not possible before
				}
				require.LessOrEqual(t, n, before[key], "%s\nafter: %s (%v)\n%v", finding, fix.Does, fix.Edits, then)
			}
		}
	}
	return followed
}

func TestRemediesOfRefusedMissions(t *testing.T) {
	missions, err := filepath.Glob("../../examples/*/*/mission.yaml")
	require.NoError(t, err)
	cases, err := filepath.Glob("../../spec/testdata/cases/*/mission.yaml")
	require.NoError(t, err)
	missions = append(missions, cases...)
	require.Greater(t, len(missions), 100)
	followed := 0
	for _, mission := range missions {
		t.Run(filepath.Base(filepath.Dir(mission)), func(t *testing.T) {
			f := filesOf(t, mission)
			findings := f.load()
			read := files.load
			if slices.ContainsFunc(findings, func(f diag.Finding) bool {
				return strings.HasPrefix(string(f.Rule), "spec.") && f.Severity == diag.Error
			}) {
				read = files.parse // what the later stages would say could not be told before
			}
			followed += follow(t, f, findings, read)
		})
	}
	require.Greater(t, followed, 40)
}

// slip is a slip of the pen: what it is made of, and what it makes of it.
type slip struct {
	what  string
	where *regexp.Regexp
	write func(found string) string
}

func slips() []slip {
	replace := func(from, to string) func(string) string {
		return func(found string) string { return strings.Replace(found, from, to, 1) }
	}
	const number, key = `[0-9]+\.[0-9]+ (?:m|cm|mm|s|ms|m/s)\b`, `[a-z]+(?:_[a-z]+)*: `
	return []slip{
		{"decimal comma", regexp.MustCompile(number), replace(".", ",")},
		{"exponent", regexp.MustCompile(number), replace(" ", "e0 ")},
		{"no unit", regexp.MustCompile(number), func(found string) string { return found[:strings.Index(found, " ")] }},
		{"unit in capitals", regexp.MustCompile(number), strings.ToUpper},
		{"feet", regexp.MustCompile(number), func(found string) string { return found[:strings.Index(found, " ")] + " ft" }},
		{"unit written out", regexp.MustCompile(`[0-9] m\b`), replace("m", "metres")},
		{"a space that is none", regexp.MustCompile(`[0-9] (?:m|cm|mm|s|ms|m/s)\b`), replace(" ", "\u00a0")},
		{"quotation marks of a word processor", regexp.MustCompile(number), func(found string) string { return "“" + found + "”" }},
		{"typographic minus", regexp.MustCompile(`: -[0-9]`), replace("-", "−")},
		{"key in capitals", regexp.MustCompile(key), strings.ToUpper},
		{"key with hyphens", regexp.MustCompile(`[a-z]+_[a-z]+: `), replace("_", "-")},
		{"key with a letter lost", regexp.MustCompile(`[a-z]{4,}: `), func(found string) string { return found[1:] }},
		{"key with a letter twice", regexp.MustCompile(`[a-z]{4,}: `), func(found string) string { return found[:1] + found }},
		{"no space behind a colon", regexp.MustCompile(key + `[A-Za-z0-9{\[]`), replace(" ", "")},
		{"no-break space behind a colon", regexp.MustCompile(key), replace(": ", ":\u00a0")},
		{"tab behind a colon", regexp.MustCompile(key), replace(": ", ":\t")},
		{"tab for indentation", regexp.MustCompile(`\n  [a-z]`), replace("  ", "\t")},
		{"no space behind a dash", regexp.MustCompile(`\n +- `), func(found string) string { return found[:len(found)-1] }},
		{"long dash", regexp.MustCompile(`\n +- `), replace("-", "–")},
		{"comma behind a value", regexp.MustCompile(`\n +[a-z_]+: [A-Za-z0-9. ]+\n`), func(found string) string { return found[:len(found)-1] + ",\n" }},
		{"space for a comma", regexp.MustCompile(`[A-Z][0-9], [A-Z][0-9]`), replace(",", "")},
		{"semicolon for a comma", regexp.MustCompile(`[A-Z][0-9], [A-Z][0-9]`), replace(",", ";")},
		{"brackets left out", regexp.MustCompile(`\[[A-Z][A-Z0-9, ]+\]`), func(found string) string { return found[1 : len(found)-1] }},
		{"ring that is closed", regexp.MustCompile(`(?:ring|boundary): \[[^\]]+\]`), func(found string) string {
			first := found[strings.Index(found, "[")+1 : strings.IndexAny(found, ",")]
			return found[:len(found)-1] + ", " + first + "]"
		}},
		{"mark misspelt", regexp.MustCompile(`\[[A-Z][0-9]?, `), func(found string) string { return strings.ToLower(found[:2]) + found[2:] }},
		{"mark that nobody wrote", regexp.MustCompile(`, [A-Z][0-9]?\]`), replace("]", "7]")},
		{"line twice", regexp.MustCompile(`\n +[a-z_]+: [A-Za-z0-9. ]+\n`), func(found string) string { return found + found[1:] }},
		{"line twice and different", regexp.MustCompile(`\n +[a-z_]+: [0-9]+[A-Za-z0-9. ]+\n`), func(found string) string { return found + strings.Replace(found[1:], ": ", ": 1", 1) }},
		{"pin twice", regexp.MustCompile(`input_pins: \[[0-9]+,`), func(found string) string { return found + " " + found[strings.Index(found, "[")+1:] }},
		{"coordinates in each other's place", regexp.MustCompile(`latitude: [0-9.]+, longitude: [0-9.]+`), func(found string) string {
			part := strings.FieldsFunc(found, func(r rune) bool { return r == ' ' || r == ',' })
			return "latitude: " + part[3] + "°E, longitude: " + part[1] + "°N"
		}},
		{"minutes as on a map", regexp.MustCompile(`latitude: [0-9.]+`), minutes("%02d %s N")},
		{"minutes as of a receiver", regexp.MustCompile(`latitude: [0-9.]+`), minutes("%02d%sN")},
		{"degree sign", regexp.MustCompile(`latitude: [0-9.]+`), func(found string) string { return found + "°" }},
		{"day in another order", regexp.MustCompile(`date: [0-9-]+`), func(string) string { return "date: 05/10/2026" }},
		{"day with its month", regexp.MustCompile(`date: [0-9-]+`), func(string) string { return "date: 10 May 2026" }},
		{"contact in short", regexp.MustCompile(`normally-open`), func(string) string { return "NO" }},
		{"contact in capitals", regexp.MustCompile(`normally-[a-z]+`), strings.ToUpper},
		{"ground in short", regexp.MustCompile(`wired_to: ground`), replace("ground", "GND")},
		{"yes for true", regexp.MustCompile(`: (?:true|false)\b`), strings.NewReplacer("true", "yes", "false", "no").Replace},
		{"truth in quotation marks", regexp.MustCompile(`: (?:true|false)\b`), func(found string) string { return `: "` + found[2:] + `"` }},
		{"number in quotation marks", regexp.MustCompile(`pin: [0-9]+`), func(found string) string { return `pin: "` + found[5:] + `"` }},
		{"zeros before a number", regexp.MustCompile(`pin: [0-9]+`), replace(": ", ": 0")},
		{"optional key without a value", regexp.MustCompile(`series_resistor: [0-9]+ ohm`), func(string) string { return "series_resistor:" }},
		{"resistor as on a schematic", regexp.MustCompile(`series_resistor: [0-9]+ ohm`), func(string) string { return "series_resistor: 330R" }},
	}
}

// minutes writes decimal degrees as degrees and minutes: sixty times nine decimals end.
func minutes(format string) func(string) string {
	return func(found string) string {
		key, value, _ := strings.Cut(found, " ")
		degrees, fraction, _ := strings.Cut(value, ".")
		whole, _ := strconv.Atoi(degrees)
		rest, _ := new(big.Rat).SetString("0." + fraction)
		minutes := rest.Mul(rest, big.NewRat(60, 1)).FloatString(9)
		return key + " " + fmt.Sprintf(format, whole, strings.Repeat("0", 12-len(minutes))+minutes)
	}
}

// sound are missions without an error.
func sound(t require.TestingT) []files {
	var all []files
	for _, path := range append(missiontest.Examples(t), yard) {
		all = append(all, filesOf(t, path))
	}
	return all
}

func TestRemediesOfSlips(t *testing.T) {
	missions := sound(t)
	certain, of := 0, map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		f := maps.Clone(rapid.SampledFrom(missions).Draw(t, "mission"))
		text := string(f[missionFile])
		s := rapid.SampledFrom(slips()).Draw(t, "slip")
		places := s.where.FindAllStringIndex(text, -1)
		if len(places) == 0 {
			t.Skip(s.what)
		}
		at := rapid.SampledFrom(places).Draw(t, "place")
		f[missionFile] = []byte(text[:at[0]] + s.write(text[at[0]:at[1]]) + text[at[1]:])
		findings := f.parse()
		of[s.what] += follow(t, f, findings, files.parse)
		for _, finding := range findings {
			for _, fix := range finding.Fixes {
				if fix.Certain {
					certain++
					left := f.after(t, fix).load()
					require.NotEqual(t, diag.Error, diag.Worst(left), "%s: %s, %s: %v", s.what, finding, fix.Does, left)
				}
			}
		}
	})
	fmt.Println(certain, of)
}

var _ = assert.Equal
