// Package examples holds the example missions. This test takes each through the
// whole pipeline.
//
// The good sites must compile. Every mission under refused must be refused for
// one reason, the rule that its first line names, and every mission under warned
// must compile and be warned of by that rule alone. What is said of each is in
// its want.txt, as `merestone check` prints it; after a change of words,
//
//	go test ./examples -update
//
// rewrites those files, the tables of README.md and the findings that the pages of
// the rules show, as well as the marks and the missions that follow from the
// drawings (drawing_test.go), and the difference is for review.
package examples

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/docs"
	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/pipeline"
	"merestone/internal/plan"
	"merestone/internal/source"
	"merestone/internal/words"
	"merestone/spec"
)

var update = flag.Bool("update", false, "rewrite marks and missions from the drawings, want.txt of every mission, the tables of README.md and what docs/rules shows as printed")

const base = "refused/base.yaml"

// judge takes a mission through every stage.
func judge(t *testing.T, name string) ([]diag.Finding, diag.Sources) {
	t.Helper()
	s, err := source.File(name, nil)
	require.NoError(t, err)
	m := pipeline.Load(s)
	return m.Findings, m.Sources
}

func printed(t *testing.T, findings []diag.Finding, sources diag.Sources) string {
	t.Helper()
	var text bytes.Buffer
	require.NoError(t, diag.WriteText(&text, findings, sources, diag.Terminal{}))
	return text.String()
}

// requireWant compares the findings with want.txt beside the mission.
func requireWant(t *testing.T, mission string, findings []diag.Finding, sources diag.Sources) {
	t.Helper()
	file := filepath.Join(filepath.FromSlash(path.Dir(mission)), "want.txt")
	got := printed(t, findings, sources)
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

// rules are the ids among findings of one severity, each once.
func rules(findings []diag.Finding, severity diag.Severity) []diag.ID {
	var ids []diag.ID
	for _, f := range findings {
		if f.Severity == severity {
			ids = append(ids, f.Rule)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

func only(findings []diag.Finding, severity diag.Severity) []diag.Finding {
	return slices.DeleteFunc(slices.Clone(findings), func(f diag.Finding) bool { return f.Severity != severity })
}

// folders lists the folders of missions within a folder.
func folders(t *testing.T, within string) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(within, "*", "mission.yaml"))
	require.NoError(t, err)
	require.NotEmpty(t, found)
	for i := range found {
		found[i] = filepath.ToSlash(found[i])
	}
	return found
}

func TestGoodSitesCompile(t *testing.T) {
	for _, mission := range folders(t, ".") {
		t.Run(path.Dir(mission), func(t *testing.T) {
			findings, sources := judge(t, mission)
			assert.Empty(t, rules(findings, diag.Error))
			for _, rule := range rules(findings, diag.Warning) { // the sky is as it is
				assert.NotRegexp(t, `^(holds|commissioning)\.`, rule)
			}
			requireWant(t, mission, findings, sources)
		})
	}
}

func TestTheYardItselfCompiles(t *testing.T) {
	findings, sources := judge(t, base)
	assert.Empty(t, printed(t, slices.Concat(only(findings, diag.Error), only(findings, diag.Warning)), sources))
}

func TestRefusedMissionsAreRefusedForOneReason(t *testing.T) {
	for _, mission := range folders(t, "refused") {
		t.Run(path.Dir(mission), func(t *testing.T) {
			rule, _ := reason(t, mission, "refused")
			findings, sources := judge(t, mission)
			assert.Equal(t, []diag.ID{rule}, rules(findings, diag.Error))
			requireWant(t, mission, only(findings, diag.Error), sources)
		})
	}
}

// Warnings that the yard has anyway do not count: what is left is what the one
// change has done.
func TestWarnedMissionsAreWarnedOfForOneReason(t *testing.T) {
	usual, _ := judge(t, base)
	known := map[string]bool{}
	for _, f := range usual {
		known[string(f.Rule)+f.Message()] = true
	}
	for _, mission := range folders(t, "warned") {
		t.Run(path.Dir(mission), func(t *testing.T) {
			rule, _ := reason(t, mission, "warned")
			findings, sources := judge(t, mission)
			assert.Empty(t, rules(findings, diag.Error))
			own := slices.DeleteFunc(only(findings, diag.Warning), func(f diag.Finding) bool { return known[string(f.Rule)+f.Message()] })
			assert.Equal(t, []diag.ID{rule}, rules(own, diag.Warning))
			requireWant(t, mission, own, sources)
		})
	}
}

// loadCase takes a case through every stage, drawn as it says.
func loadCase(t *testing.T, base string, c Case) pipeline.Mission {
	t.Helper()
	drawn, _ := c.Layout()
	mission, err := c.Mission(withMarks(t, base, drawn))
	require.NoError(t, err)
	name := path.Join(t.TempDir(), "mission.yaml")
	require.NoError(t, os.WriteFile(name, []byte(mission), 0o644))
	s, err := source.File(name, nil)
	require.NoError(t, err)
	return pipeline.Load(s)
}

// Where a case says with what the mission just passes, it does.
func TestCasesThatJustPass(t *testing.T) {
	text, err := os.ReadFile(base)
	require.NoError(t, err)
	tried := 0
	for _, c := range Cases() {
		if c.Passes == nil {
			continue
		}
		tried++
		c.Change = c.Passes
		findings := loadCase(t, string(text), c).Findings
		grave := diag.Error
		if c.Warned {
			grave = diag.Warning
		}
		for _, f := range findings { // what is milder is told, and passes
			assert.False(t, c.Rule == string(f.Rule) && f.Severity >= grave, "%s: %s", c.Folder, f.Message())
		}
	}
	assert.NotZero(t, tried)
}

// A rule refuses, or warns, exactly where what is left of one of its limits is below
// zero. Of every mission here: what is below zero has its finding. Of every case of a rule
// that compared something, there and in what just passes or else in the yard: it is by a
// limit that the case is refused or warned of, and the other is within it.
func TestFindingsAndReservesAgree(t *testing.T) {
	text, err := os.ReadFile(base)
	require.NoError(t, err)
	asked := func(m pipeline.Mission, rule string, least diag.Severity) (asked, kept bool) {
		kept = true
		for _, r := range m.Reserves {
			told := slices.ContainsFunc(m.Findings, func(f diag.Finding) bool { return f.Rule == r.Rule && f.Severity >= r.Severity })
			assert.True(t, told || r.Kept(), "%s: %+v", m.Name, r)
			assert.Equal(t, r.Kept(), r.Left() >= 0, "%+v", r)
			if string(r.Rule) == rule && r.Severity >= least {
				asked, kept = true, kept && r.Kept()
			}
		}
		return asked, kept
	}
	for _, name := range folders(t, ".") {
		s, err := source.File(name, nil)
		require.NoError(t, err)
		some, _ := asked(pipeline.Load(s), "geometry.clearance", diag.Error)
		assert.True(t, some, name)
	}
	var limits []string
	for _, c := range Cases() {
		grave := diag.Error
		if c.Warned {
			grave = diag.Warning
		}
		before, within := asked(loadCase(t, string(text), c), c.Rule, grave)
		c.Change = c.Passes // without one, the yard as it is
		after, kept := asked(loadCase(t, string(text), c), c.Rule, grave)
		assert.True(t, kept, "%s: what just passes", c.Folder)
		if before && after && !c.Untried { // steps that were not passed are no limit
			limits = append(limits, c.Rule)
			assert.False(t, within, c.Folder)
		}
	}
	slices.Sort(limits)
	assert.Equal(t, []string{
		"arrival.speed", "arrival.stale", "arrival.tolerance", "arrival.turn", "base.control-near", "board.budget", "coast.runs",
		"commissioning.record", "commissioning.stopping", "geometry.clearance", "geometry.short-leg", "line.cross-track",
		"magnetic.declination", "plausible.figure", "precision.decimals", "site.headroom", "site.sky", "slope.rolls", "slope.taped",
		"slope.tilt", "tape.distance",
	}, slices.Compact(limits))
}

// elsewhere are the rules that only a mission too large for an example breaks, and
// the test that has one.
func elsewhere() map[diag.ID]string {
	return map[diag.ID]string{
		"spec.too-many-marks": "func TestAHundredThousandMarksOfAFile(",
		"spec.too-large":      "func TestSizeLimits(",
	}
}

// A rule that nothing breaks is no rule. Every rule of every stage is one that some
// mission here breaks, or a case of the language's tests; and one that can refuse a
// mission, or warn of it, has a mission of its own for that.
func TestEveryRuleIsBrokenBySomeMission(t *testing.T) {
	broken, shown := map[diag.ID]bool{}, map[diag.ID]bool{}
	for _, folder := range []string{".", "refused", "warned", "../spec/testdata/cases"} {
		for _, mission := range folders(t, folder) {
			findings, _ := judge(t, mission)
			for _, f := range findings {
				broken[f.Rule] = true
			}
			if folder == "refused" || folder == "warned" {
				rule, _ := reason(t, mission, folder)
				shown[rule] = true
			}
		}
	}
	tests, err := os.ReadFile("../spec/limits_test.go")
	require.NoError(t, err)
	for rule, test := range elsewhere() {
		assert.False(t, broken[rule], "%s has a mission, and need not be listed", rule)
		assert.Contains(t, string(tests), test)
		broken[rule] = true
	}
	known := map[diag.ID]bool{}
	for _, rule := range slices.Concat(spec.Rules(), plan.Rules(), check.Rules()) {
		known[rule.ID] = true
		assert.True(t, broken[rule.ID], "nothing breaks the rule %s", rule.ID)
	}
	for _, rule := range slices.Concat(plan.Rules(), check.Rules()) {
		assert.True(t, shown[rule.ID] || rule.Severity == diag.Note, "no mission under refused or warned for the rule %s", rule.ID)
	}
	for _, rule := range pipeline.Rules() {
		known[rule.ID] = true
	}
	for rule := range broken {
		assert.True(t, known[rule], "%s is documented nowhere", rule)
	}
}

// firsts are, for every rule, the finding that its page shows: of the first case of
// the rule, else of the first other mission that breaks it; the gravest there.
func firsts(t *testing.T) map[diag.ID]diag.Finding {
	t.Helper()
	first := map[diag.ID]diag.Finding{}
	add := func(mission string, of func(diag.ID) bool) {
		findings, _ := judge(t, mission)
		slices.SortStableFunc(findings, func(a, b diag.Finding) int { return int(b.Severity) - int(a.Severity) })
		for _, f := range findings {
			if _, there := first[f.Rule]; !there && of(f.Rule) {
				first[f.Rule] = f
			}
		}
	}
	for _, c := range Cases() {
		add(c.Path()+"/mission.yaml", func(rule diag.ID) bool { return string(rule) == c.Rule })
	}
	for _, c := range Occupied() {
		for _, f := range occupied(t, c.File).Findings {
			if _, there := first[f.Rule]; !there && f.Rule == c.Rule {
				first[f.Rule] = f
			}
		}
	}
	maps.Copy(first, firstOccupied(t))
	add("refused/spec-no-unit/mission.yaml", func(rule diag.ID) bool { return rule == "mission.waiting" }) // where some wait
	every := func(diag.ID) bool { return true }
	add(base, every)
	for _, mission := range slices.Concat(folders(t, "."), folders(t, "../spec/testdata/cases")) {
		add(mission, every)
	}
	return first
}

// excerpt is what the page of a rule of the language shows of a mission, or of a
// marks_file, above the finding.
var excerpt = regexp.MustCompile("(?s)^\n```(yaml|csv)\n(.*?)\n```\n\n")

// ofExcerpt is the finding of a rule in an excerpt, which is cut to what matters: the
// last, since keys that were left out are told of before.
func ofExcerpt(t *testing.T, rule diag.ID, language, text string) diag.Finding {
	t.Helper()
	mission, marks := text, ""
	if language == "csv" {
		mission, marks = "marks_file: marks.csv", text
	}
	findings := spec.Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(marks), nil }).Findings
	findings = slices.DeleteFunc(findings, func(f diag.Finding) bool { return f.Rule != rule })
	require.NotEmpty(t, findings, "the example does not break %s", rule)
	return findings[len(findings)-1]
}

// Every rule has a page that begins with its id and title, holds the four parts and
// shows a finding just as it is printed.
func TestPagesOfTheRules(t *testing.T) {
	const above, below = "\n## As printed\n", "\n## What to do\n"
	first := firsts(t)
	pages := map[string]bool{}
	for _, rule := range pipeline.Rules() {
		file := string(rule.ID) + ".md"
		require.False(t, pages[file], "%s is used twice", rule.ID)
		pages[file] = true
		assert.True(t, strings.HasPrefix(rule.Help, "# "+string(rule.ID)+": "+rule.Title+"\n\n## What is compared\n"), rule.ID)
		assert.Contains(t, rule.Help, "\n## Why it matters\n", rule.ID)
		assert.Contains(t, rule.Help, below, rule.ID)
		if elsewhere()[rule.ID] != "" {
			continue
		}
		before, rest, ok := strings.Cut(rule.Help, above)
		require.True(t, ok, rule.ID)
		shown, after, ok := strings.Cut(rest, below)
		require.True(t, ok, rule.ID)
		f, head := first[rule.ID], "\n"
		if e := excerpt.FindStringSubmatch(shown); e != nil {
			f, head = ofExcerpt(t, rule.ID, e[1], e[2]), e[0]
		}
		want := head + indented(f.String())
		if f.Remedy != "" {
			want += indented("do: " + f.Remedy)
		}
		if *update {
			require.NoError(t, os.WriteFile("../docs/rules/"+file, []byte(before+above+want+below+after), 0o644))
			continue
		}
		assert.Equal(t, want, shown, "%s: the page shows what is printed (go test ./examples -update)", rule.ID)
	}
	files, err := docs.Rules.ReadDir("rules")
	require.NoError(t, err)
	for _, f := range files {
		assert.True(t, pages[f.Name()], "docs/rules/%s belongs to no rule", f.Name())
	}
}

// indented is a line as a page shows it, as code, and folded as on a terminal.
func indented(line string) string {
	const indent = "    "
	return indent + strings.Join(words.Fold(line, words.UsualColumns-len(indent)), "\n"+indent) + "\n"
}

// reason reads the comment at the head of a mission: the rule, and why.
func reason(t *testing.T, mission, kind string) (rule diag.ID, why string) {
	t.Helper()
	text, err := os.ReadFile(filepath.FromSlash(mission))
	require.NoError(t, err)
	lines := strings.Split(string(text), "\n")
	id, found := strings.CutPrefix(lines[0], "# "+kind+" by: ")
	require.Truef(t, found, "the first line of %s does not say what it is %s by", mission, kind)
	var said []string
	for _, line := range lines[1:] {
		rest, found := strings.CutPrefix(line, "# ")
		if !found {
			break
		}
		said = append(said, rest)
	}
	require.NotEmpty(t, said, "%s does not say what is wrong with it", mission)
	return diag.ID(id), strings.Join(said, " ")
}

// The tables of README.md have a line for every mission.
func TestReadmeListsEveryMission(t *testing.T) {
	text, err := os.ReadFile("README.md")
	require.NoError(t, err)
	readme := string(text)
	for _, kind := range []string{"refused", "warned"} {
		var table strings.Builder
		table.WriteString("| mission | rule | what is wrong |\n| --- | --- | --- |\n")
		for _, mission := range folders(t, kind) {
			rule, why := reason(t, mission, kind)
			why = strings.TrimPrefix(why, "The yard of refused/base.yaml, but ")
			fmt.Fprintf(&table, "| [%s](%s) | `%s` | %s |\n", path.Base(path.Dir(mission)), path.Dir(mission), rule, strings.ReplaceAll(why, "|", `\|`))
		}
		begin, end := "<!-- "+kind+":begin -->\n", "<!-- "+kind+":end -->\n"
		before, rest, found := strings.Cut(readme, begin)
		require.True(t, found, begin)
		_, after, found := strings.Cut(rest, end)
		require.True(t, found, end)
		readme = before + begin + table.String() + end + after
	}
	if *update {
		require.NoError(t, os.WriteFile("README.md", []byte(readme), 0o644))
		return
	}
	assert.Equal(t, string(text), readme)
}
