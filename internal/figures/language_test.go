// Every key of the language reaches everything that reads a mission. A key that
// is added to the language and forgotten anywhere fails here.
package figures_test

import (
	"bytes"
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/diff"
	"merestone/internal/figures"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/spec"
)

var update = flag.Bool("update", false, "rewrite the canonical text of the mission with every key")

// everyKey has a mission with every key, and its canonical text.
const (
	everyKey    = "../../testdata/every-key"
	missionFile = everyKey + "/mission.yaml"
)

// resolved is a mission after all stages.
type resolved struct {
	mission  *spec.Mission
	plan     *plan.Plan
	findings []diag.Finding
}

func resolve(t *testing.T, text string) resolved {
	t.Helper()
	mission := missiontest.Parse(t, missionFile, text)
	p, findings := plan.Resolve(mission)
	require.NotNil(t, p, "%v", findings)
	return resolved{mission, p, append(findings, check.All(p)...)}
}

// keyLine is a line of the reference of the language: path, what it holds.
var keyLine = regexp.MustCompile("(?m)^\\| `([^`]+)` \\| ([^|]+) \\|")

// notAFigure are the keys that say nothing by themselves.
var notAFigure = map[string]string{
	"marks_file": "the name of a file says nothing; the marks in it do",
}

func TestEveryKeyOfTheLanguageReachesAll(t *testing.T) {
	text := missiontest.Text(t, missionFile)
	before := resolve(t, text)
	require.True(t, before.plan.Complete(), "%v", before.plan.Incomplete)
	require.NotEqual(t, diag.Error, diag.Worst(before.findings), "%v", before.findings)
	tried := 0
	for _, line := range keyLine.FindAllStringSubmatch(spec.Reference(), -1) {
		key, holds := line[1], line[2]
		if _, ok := notAFigure[key]; ok || strings.Contains(holds, "block") {
			continue
		}
		places := instances(before.mission, key)
		require.NotEmpty(t, places, "the mission does not have the key %s", key)
		for _, path := range places {
			tried++
			changed := change(t, text, before.mission.Where(path), holds)
			t.Run(path, func(t *testing.T) {
				after := resolve(t, changed)
				assert.False(t, reflect.DeepEqual(bare(before.plan), bare(after.plan)) && reflect.DeepEqual(said(before), said(after)), "it reaches neither plan nor check")
				r := diff.Compare(diff.Version{Plan: before.plan, Findings: before.findings}, diff.Version{Plan: after.plan, Findings: after.findings})
				assert.NotEmpty(t, r.Changes, "it does not reach diff")
				if key != "mission" { // nor only because nothing else was found
					renamed, _ := plan.Resolve(missiontest.Parse(t, missionFile, missiontest.Changed(t, changed, missiontest.Edit{"mission: orchard-lane", "mission: orchard-path"})))
					r = diff.Compare(diff.Version{Plan: before.plan}, diff.Version{Plan: renamed})
					assert.True(t, differs(r), "it does not reach diff beside another change: %v", r.Changes)
				}
				assert.NotEqual(t, string(figures.Text(before.plan)), string(figures.Text(after.plan)), "it does not reach the canonical text")
				assert.NotEqual(t, textconv(t, before), textconv(t, after), "it does not reach textconv")
				assert.NotEqual(t, figures.Digest(before.plan), figures.Digest(after.plan), "it does not reach the digest")
			})
		}
	}
	assert.Greater(t, tried, 120)
}

// differs reports whether something is said beside the name of the mission, findings, and
// that anything differs at all.
func differs(r diff.Result) bool {
	return slices.ContainsFunc(r.Changes, func(c diff.Change) bool {
		return !strings.Contains(c.What, "appeared") && c.What != "says" && !(c.Subject == "mission" && c.What == "name")
	})
}

// A list written the other way round either means the same, and has one digest, or is
// said to differ, beside another change too.
func TestEveryOrderReachesDiff(t *testing.T) {
	text := missiontest.Text(t, missionFile)
	before := resolve(t, text)
	lists := regexp.MustCompile(`\[([^\[\]]+, [^\[\]]+)\]`).FindAllStringSubmatchIndex(text, -1)
	rows := regexp.MustCompile(`(?m)^( *)- [^:\n]+\n|^( *)- \{.*\n`)
	other := 0
	try := func(name, changed string) {
		after := resolve(t, missiontest.Changed(t, changed, missiontest.Edit{"mission: orchard-lane", "mission: orchard-path"}))
		if figures.Digest(resolve(t, changed).plan) == figures.Digest(before.plan) {
			return
		}
		other++
		r := diff.Compare(diff.Version{Plan: before.plan, Findings: before.findings}, diff.Version{Plan: after.plan, Findings: after.findings})
		assert.True(t, differs(r), "%s: %v", name, r.Changes)
	}
	for _, at := range lists {
		entries := strings.Split(text[at[2]:at[3]], ", ")
		entries[0], entries[1] = entries[1], entries[0]
		try(text[at[0]:at[1]], text[:at[2]]+strings.Join(entries, ", ")+text[at[3]:])
	}
	items := rows.FindAllStringIndex(text, -1)
	for k := 1; k < len(items); k++ {
		if a, b := items[k-1], items[k]; a[1] == b[0] { // two next to each other
			try(text[b[0]:b[1]], text[:a[0]]+text[b[0]:b[1]]+text[a[0]:a[1]]+text[b[1]:])
		}
	}
	assert.Greater(t, other, 8, "orders that mean something")
}

// instances are the paths of a mission at which a key of the language is written.
func instances(m *spec.Mission, key string) []string {
	paths := []string{""}
	for _, step := range regexp.MustCompile(`NAME|\[\]|[a-z_]+`).FindAllString(key, -1) {
		var next []string
		for _, p := range paths {
			switch step {
			case "NAME":
				for _, mark := range m.Marks {
					next = append(next, p+"."+mark.Name)
				}
			case "[]":
				for i := 0; m.Written(fmt.Sprintf("%s[%d]", p, i)); i++ {
					next = append(next, fmt.Sprintf("%s[%d]", p, i))
				}
			default:
				next = append(next, strings.TrimPrefix(p+"."+step, "."))
			}
		}
		paths = next
	}
	return slices.DeleteFunc(paths, func(p string) bool { return !m.Written(p) || strings.HasPrefix(p, "marks.X1") })
}

var quantityText = regexp.MustCompile(`^(-?[0-9.]+)( .*)$`)

// change writes another value at a place, of the kind that the key holds.
func change(t *testing.T, text string, at diag.Position, holds string) string {
	t.Helper()
	lines := strings.Split(text, "\n")
	line := lines[at.Line-1]
	old := line[at.Column-1 : at.Column-1+at.Width]
	rest := line[at.Column-1+at.Width:]
	var now string
	switch kind, _, _ := strings.Cut(holds, ":"); {
	case strings.HasSuffix(kind, "contact") && !strings.Contains(kind, "normally"): // of a part: what only the old kind has goes with it
		now = map[string]string{"relay": "semiconductor", "semiconductor": "relay", "contact": "relay"}[old]
		rest = strings.NewReplacer("coil_diode: true", "pulled_off: true", "pulled_off: true", "coil_diode: true").Replace(rest)
		if old == "contact" {
			rest = strings.Replace(rest, "off_delay: 5 ms", "off_delay: 5 ms, coil_diode: true", 1)
		}
	case strings.HasPrefix(holds, "list of lengths"):
		now, rest = old, strings.Replace(rest, "[2.00 m", "[2.05 m", 1)
	case strings.HasPrefix(holds, "list of"):
		// The place is that of the key; one entry is changed.
		entry := regexp.MustCompile(`\[([A-Za-z0-9]+|[a-z_]+ ?[a-z]+)[],-]`)
		first := entry.FindStringSubmatch(rest)[1]
		other := map[string]string{"up": "down", "22": "26", "F1": "F5", "S1": "X1", "K1": "A", "T01": "T07", "mushroom button": "thumb switch", "drive_enable": "thumb switch"}[first]
		require.NotEmpty(t, other, "no other entry than %s", first)
		now, rest = old, strings.Replace(rest, "["+first, "["+other, 1)
	case kind == "latitude" || kind == "longitude":
		v, err := strconv.ParseFloat(old, 64)
		require.NoError(t, err)
		now = fmt.Sprintf("%.9f", v+1e-7)
	case strings.HasPrefix(holds, "one of "):
		for _, option := range strings.Split(strings.TrimPrefix(strings.TrimSpace(holds), "one of "), ", ") {
			if option != old && !(old == "64" && option != "32") {
				now = option
			}
		}
	case strings.HasPrefix(holds, "true or false"):
		now = map[string]string{"true": "false", "false": "true"}[old]
	case strings.HasPrefix(holds, "whole number"):
		now = "30"
	case strings.HasPrefix(holds, "name, at most"):
		now = old + "x"
	case strings.HasPrefix(holds, "text, at most"):
		now = old + " and daily"
	case strings.HasPrefix(holds, "name of a mark"):
		now = "X1"
	case strings.HasPrefix(holds, "calendar day"):
		now = "2026-06-16"
	default: // a quantity: a tenth more
		parts := quantityText.FindStringSubmatch(old)
		require.NotNil(t, parts, "%q of %q", old, holds)
		v, err := strconv.ParseFloat(parts[1], 64)
		require.NoError(t, err)
		now = strconv.FormatFloat(v*1.01, 'f', 6, 64) + parts[2]
		if parts[2] == " Hz" || parts[2] == " ms" || parts[2] == " cm" {
			now = strconv.FormatFloat(v*1.2, 'f', 6, 64) + parts[2]
		}
	}
	require.NotEmpty(t, now, "no other value than %q of %q", old, holds)
	lines[at.Line-1] = line[:at.Column-1] + now + rest
	// A hold that is renamed is so where it opens a part.
	return strings.ReplaceAll(strings.Join(lines, "\n"), "opened_by: ["+old, "opened_by: ["+now)
}

// bare is a plan without the places of its parts in the file, printed.
func bare(p *plan.Plan) string {
	return regexp.MustCompile(`At:diag\.Position\{[^}]*\}`).ReplaceAllString(fmt.Sprintf("%#v", *p), "") + fmt.Sprintf("%+v", p.Survey.Base) + fmt.Sprintf("%v", p.Site.Date)
}

func said(m resolved) []string {
	var list []string
	for _, f := range m.findings {
		list = append(list, f.Message())
	}
	return list
}

func textconv(t *testing.T, m resolved) string {
	var out bytes.Buffer
	require.NoError(t, diff.WriteCanonical(&out, m.plan, nil))
	return out.String()
}

// Every figure is of a key of the language, but for those that are named here.
func TestEveryFigureIsOfAKey(t *testing.T) {
	keys := map[string]bool{
		"marks.NAME.last_digit": true, // how finely latitude and longitude are written
	}
	for _, line := range keyLine.FindAllStringSubmatch(spec.Reference(), -1) {
		keys[line[1]] = true
	}
	seen := map[string]bool{}
	for _, b := range figures.Blocks() {
		for _, f := range b.Figures {
			assert.True(t, keys[f.Key], f.Key)
			assert.False(t, seen[f.Key], "%s twice", f.Key)
			assert.NotEmpty(t, f.What, f.Key)
			assert.NotEmpty(t, f.Why, f.Key)
			seen[f.Key] = true
		}
	}
}

// What is usual is left out, written or not: so a tool that learns a new key
// keeps the digest of old missions.
func TestUsualValuesAreLeftOut(t *testing.T) {
	text := missiontest.Text(t, missionFile)
	without := text
	for _, key := range []string{"confidence: 96 %\n", "  stale_after: 500 ms\n", "  motor_lag: 100 ms\n", "  heading_uncertainty: 2 deg\n", "  tilt: 3 deg\n",
		"  turn_radius: 20 cm\n", "  turning_centre: 3 cm\n", "  loop: 25 ms\n", "  resistor_tolerance: 2 %\n", "    stop_filter: 5 ms\n", "    discrepancy: 200 ms\n", "  integer_bits: 64\n", "  float: hardware\n", "  pulls: [up]\n", "  speed: 0.50 m/s\n",
		"  antenna: {forward: 5 cm, right: -4 cm, height: 60 cm}\n", "  boundary_reflects: true\n", "  closed: true\n", "  rotation: true\n"} {
		without = missiontest.Changed(t, without, missiontest.Edit{key, ""})
	}
	usual := without
	for after, written := range map[string]string{
		"mission: orchard-lane\n": "confidence: 95 %\n", "  latency: 80 ms\n": "  stale_after: 380 ms\n", "  cross_track: 75 cm\n": "  motor_lag: 0 s\n  tilt: 0 deg\n  turn_radius: 0 m\n  turning_centre: 0 m\n  antenna: {forward: 0 m, right: 0 m, height: 0 m}\n",
		"  outputs: {drive_enable: 8}\n": "  loop: 20 ms\n  resistor_tolerance: 5 %\n  integer_bits: 32\n  float: software\n  pulls: [down, up]\n",
		"actuator: false}\n":             "    stop_filter: 0 s\n    discrepancy: 100 ms\n", "  boundary_height: 1.5 m\n": "  boundary_reflects: false\n", "  mark: K0\n": "  rotation: false\n",
		"  arrival_tolerance: 2 m\n": "  closed: false\n  speed: 0.60 m/s\n",
	} {
		usual = missiontest.Changed(t, usual, missiontest.Edit{after, after + written})
	}
	a, b := resolve(t, without), resolve(t, usual)
	assert.Equal(t, string(figures.Text(a.plan)), string(figures.Text(b.plan)))
	for _, key := range []string{"confidence", "stale_after", "motor_lag", "turn_radius", "turning_centre", "rover.antenna", "stop_filter", "discrepancy", "board.loop", "resistor_tolerance", "integer_bits", "pulls", "waypoints.C.speed"} {
		assert.NotContains(t, string(figures.Text(a.plan)), key, key)
	}
	assert.NotEqual(t, string(figures.Text(resolve(t, text).plan)), string(figures.Text(a.plan)))
}

// The digest is the SHA-256 of the text. A line that changes here, other than by a
// change of the mission, is a new version of the text.
func TestTextAndDigestAreAsFixed(t *testing.T) {
	p := resolve(t, missiontest.Text(t, missionFile)).plan
	const file = everyKey + "/figures.txt"
	if *update {
		require.NoError(t, os.WriteFile(file, figures.Text(p), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), string(figures.Text(p)))
	assert.Equal(t, [32]byte(sha256.Sum256(want)), figures.Digest(p))
}
