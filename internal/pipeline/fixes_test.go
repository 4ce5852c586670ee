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
	return LoadWithFixes(source.Source{Name: missionFile, Path: missionFile, Text: f[missionFile], Open: f.open}).Findings
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
	texts := map[string]bool{}
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
			for _, finding := range findings {
				if len(finding.Fixes) == 0 && regexp.MustCompile(`^(write|take|put) `).MatchString(finding.Remedy) {
					remedy, _, _ := strings.Cut(finding.Remedy, ": ")
					texts[string(finding.Rule)+": "+remedy] = true
				}
			}
		})
	}
	require.Greater(t, followed, 40)
	assert.Equal(t, texts, inWords(), "a remedy that says what to write, and offers no change: is it one that a program could make?")
}

// inWords are the remedies of the refused missions that say what to write and offer no
// change: what is to be written is not known, or is in another place.
func inWords() map[string]bool {
	all := map[string]bool{}
	for _, remedy := range []string{
		"arrival.stale: write a shorter receiver.stale_after, drive slower, or move the leg away",
		"commissioning.record: take them out",
		"geometry.zero-leg: take one of the two out of the route",
		"keys.unused: take it out, or mend what leaves it without effect",
		"plausible.figure: write the age at which a fix is too old to drive by; the rover drives on blind until then",
		"precision.bound: put the origin within the fence, and keep the site within 20 km of it and off the poles",
		"precision.decimals: write all the decimals that the receiver gives",
		"slope.bound: put the heights right, or raise site.slope",
		"slope.tilt: write site.slope, the steepest ground along the route, where the tilt comes of bumps and not of the ground",
		"spec.bad-csv: put fields with commas in them into quotation marks; decimals are written with a point",
		"spec.bad-csv: write a line for each mark, or take marks_file out of the mission",
		"spec.bad-file: put it there, or correct its name",
		"spec.bad-file: put the file into the folder of the mission, and write its name with forward slashes",
		"spec.bad-file: write the name of a CSV file",
		"spec.bad-name: write it in plain characters, on one line",
		"spec.bad-name: write it in the letters A to Z",
		"spec.bad-name: write it without",
		"spec.bad-quantity: write a decimal number and a unit, such as 1.5 m",
		"spec.bad-quantity: write a decimal number and a unit, such as 1.5 m/s",
		"spec.bad-quantity: write a decimal number and a unit, such as 1.5 s",
		"spec.duplicate-key: take one of the two out",
		"spec.duplicate-mark: take one of the two out, or give it another name",
		"spec.either-or: take out ring, or centre and radius",
		"spec.empty-value: write B",
		"spec.empty-value: write it",
		"spec.empty-value: write the value behind the colon",
		"spec.gap: write it in place of ___",
		"spec.more: put right the ones shown and run again",
		"spec.out-of-range: write the day by which it is to be done again",
		"spec.same-mark: write the mark at its other end",
		"spec.several-documents: put each mission into a file of its own",
		"spec.too-many-aliases: write the values out, or put marks into a marks_file",
		"spec.unknown-anchor: write the anchor &NAME before the value it should stand for",
		"spec.unknown-anchor: write the value out",
		"spec.unknown-key: put it under rover",
		"spec.unknown-key: take it out, or write the second_channel",
		"spec.unknown-mark: write its coordinates under marks, or in the marks_file",
		"spec.unknown-word: write one of drive_enable, watchdog, thumb switch, red button",
		"spec.unknown-word: write the holds of which a pole lies there, or another kind",
		"spec.wrong-type: write A",
		"spec.wrong-type: write a number and a unit, such as 1.5 m",
		"spec.wrong-type: write decimal degrees, such as 45.3012",
		"spec.wrong-type: write it in plain decimal digits, without leading zeros or a unit",
		"spec.wrong-type: write the entries in brackets, with commas between them",
		"spec.wrong-type: write {cable", "spec.wrong-type: write {cruise", "spec.wrong-type: write {mark", // values are to be found
		`spec.yaml-syntax: put " after the text`,
		"spec.yaml-syntax: put a comma between the entries and ] after the last",
		"spec.yaml-syntax: put } after the last key",
		"spec.yaml-syntax: write KEY",
	} {
		all[remedy] = true
	}
	return all
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

// with is a mission with a slip in one of the places for it, comments aside; false where
// it has none.
func (s slip) with(f files, choose func(places [][]int) []int) (files, bool) {
	text := string(f[missionFile])
	places := slices.DeleteFunc(s.where.FindAllStringIndex(text, -1), func(at []int) bool {
		line := text[strings.LastIndex(text[:at[0]], "\n")+1 : at[1]]
		return strings.Contains(line, "#")
	})
	if len(places) == 0 {
		return nil, false
	}
	at := choose(places)
	out := maps.Clone(f)
	out[missionFile] = []byte(text[:at[0]] + s.write(text[at[0]:at[1]]) + text[at[1]:])
	return out, true
}

// A certain fix is the only thing that was wrong: the mission is sound after it.
func TestRemediesOfSlips(t *testing.T) {
	missions := sound(t)
	rapid.Check(t, func(t *rapid.T) {
		mission := rapid.SampledFrom(missions).Draw(t, "mission")
		s := rapid.SampledFrom(slips()).Draw(t, "slip")
		f, ok := s.with(mission, func(places [][]int) []int { return rapid.SampledFrom(places).Draw(t, "place") })
		if !ok {
			t.Skip(s.what)
		}
		findings := f.parse()
		follow(t, f, findings, files.parse)
		for _, finding := range findings {
			for _, fix := range finding.Fixes {
				if fix.Certain {
					left := f.after(t, fix).load()
					require.NotEqual(t, diag.Error, diag.Worst(left), "%s: %s, %s: %v", s.what, finding, fix.Does, left)
				}
			}
		}
	})
}

// For every slip something is offered, in its first place in one of the missions: a key
// with a comment behind it is not taken out.
func TestEverySlipIsAnswered(t *testing.T) {
	for _, s := range slips() {
		t.Run(s.what, func(t *testing.T) {
			answered, found := 0, 0
			for _, mission := range sound(t) {
				f, ok := s.with(mission, func(places [][]int) []int { return places[0] })
				if !ok {
					continue
				}
				found++
				if slices.ContainsFunc(f.parse(), func(f diag.Finding) bool { return len(f.Fixes) > 0 }) {
					answered++
				}
			}
			assert.Positive(t, answered, "in %d missions", found)
		})
	}
}
