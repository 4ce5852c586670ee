// One report in every format, and the properties each format promises: the
// text is safe to show on a terminal, the JSON keeps its shape, the SARIF obeys
// the schema of its standard.
package diag_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/words"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// grove is a report with one finding of each kind: with everything, with a
// place only, and about the file as a whole.
func grove() (diag.Report, []diag.Rule, diag.Sources) {
	leg, boundary := diag.Subject{Kind: diag.Leg, Name: "B–C", Index: 1}, diag.The(diag.Boundary, "")
	edge := diag.Subject{Kind: diag.Edge, Name: "F2–F3", Index: 1, Ring: diag.BoundaryRing}
	findings := []diag.Finding{
		{
			Rule: "geometry.clearance", Severity: diag.Error,
			At:      diag.Position{File: "my sites/grove.yaml", Line: 3, Column: 14, Width: 1},
			Phrase:  diag.Say("%s passes %s from %s %s; it needs %s", leg, words.MM(410), boundary, edge, words.MM(830)),
			About:   []diag.Subject{leg, boundary, edge},
			Remedy:  "move mark C inwards by 0.42 m",
			Numbers: []diag.Number{{Name: "clearance", Value: 0.41, Unit: "m"}, {Name: "standoff", Value: 0.83, Unit: "m"}},
			Related: []diag.Related{{At: diag.Position{File: "my sites/marks.csv", Line: 2, Column: 1, Width: 2}, Message: "mark F2"}},
		},
		{
			Rule: "spec.key", Severity: diag.Warning,
			At:     diag.Position{File: "my sites/grove.yaml", Line: 2, Column: 1, Width: 5},
			Phrase: diag.Say(`the flow mapping {speed: 1 m/s} is "odd" <here>`),
			About:  []diag.Subject{diag.The(diag.Key, "rover")},
			Fixes: []diag.Fix{
				{Does: "write {speed: 2 m/s}", Edits: []diag.Edit{
					{File: "my sites/marks.csv", Line: 2, Column: 4, EndLine: 2, EndColumn: 6, Text: "46"},
					{File: "my sites/grove.yaml", Line: 2, Column: 16, EndLine: 2, EndColumn: 17, Text: "2"},
				}},
				{Does: "take the line out", Edits: []diag.Edit{{File: "my sites/grove.yaml", Line: 2, Column: 1, EndLine: 3, EndColumn: 1}}},
			},
		},
		{
			Rule: "unlisted", Severity: diag.Note,
			At:      diag.Position{File: "my sites/grove.yaml"},
			Phrase:  diag.Say("nothing bounds this"),
			About:   []diag.Subject{diag.The(diag.Site, "")},
			Numbers: []diag.Number{{Name: "bound", Value: math.Inf(1), Unit: "m"}, {Name: "ratio", Value: math.NaN(), Unit: "1"}},
		},
	}
	rules := []diag.Rule{
		{ID: "geometry.clearance", Severity: diag.Error, Title: "A leg keeps its standoff", Help: "# Clearance\n\nHow it is *computed*."},
		{ID: "spec.key", Severity: diag.Error, Title: "Keys are known", Help: "Such as {}."},
	}
	sources := diag.Sources{
		"my sites/grove.yaml": []byte("mission: grove\nrover: {speed: 1 m/s}\nroute: [A, B, C]\n"),
		"my sites/marks.csv":  []byte("name,latitude\nF2,45\n"),
	}
	return diag.Report{Tool: "merestone", Version: "1.2.3", Mission: "my sites/grove.yaml", Findings: findings}, rules, sources
}

func TestReportInEveryFormat(t *testing.T) {
	report, rules, sources := grove()
	tests := map[string]func(*bytes.Buffer) error{
		"report.txt": func(b *bytes.Buffer) error { return diag.WriteText(b, report.Findings, sources, diag.Terminal{}) },
		"report_colour.txt": func(b *bytes.Buffer) error {
			return diag.WriteText(b, report.Findings, sources, diag.Terminal{Colours: true})
		},
		"report.json":  func(b *bytes.Buffer) error { return diag.WriteJSON(b, report) },
		"report.sarif": func(b *bytes.Buffer) error { return diag.WriteSARIF(b, report, rules) },
	}
	for name, write := range tests {
		t.Run(name, func(t *testing.T) {
			var got bytes.Buffer
			require.NoError(t, write(&got))
			golden := filepath.Join("testdata", name)
			if *update {
				require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), got.String())
		})
	}
}

func TestSarifObeysItsSchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("testdata/sarif-schema-2.1.0.json")
	require.NoError(t, err)
	validate := func(t *testing.T, text []byte) error {
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		require.NoError(t, err)
		return schema.Validate(value)
	}
	report, rules, _ := grove()

	t.Run("a report with findings", func(t *testing.T) {
		var out bytes.Buffer
		require.NoError(t, diag.WriteSARIF(&out, report, rules))
		assert.NoError(t, validate(t, out.Bytes()))
	})
	t.Run("a clean report", func(t *testing.T) {
		var out bytes.Buffer
		require.NoError(t, diag.WriteSARIF(&out, diag.Report{Tool: "merestone", Version: "1.2.3"}, nil))
		assert.NoError(t, validate(t, out.Bytes()))
	})
	t.Run("the schema does refuse", func(t *testing.T) {
		var out bytes.Buffer
		require.NoError(t, diag.WriteSARIF(&out, report, rules))
		for from, to := range map[string]string{
			`"startLine": 3`:    `"startLine": 0`,
			`"level": "error"`:  `"level": "fatal"`,
			`"ruleId"`:          `"rule"`,
			`"version": "2.1.0`: `"version": "2.0.0`,
		} {
			broken := strings.Replace(out.String(), from, to, 1)
			require.NotEqual(t, out.String(), broken)
			assert.Error(t, validate(t, []byte(broken)), "%s made %s", from, to)
		}
	})
}

// The regions must cut out of the source what the carets of the text point to,
// counted in code points as columnKind says.
func TestSarifRegionsCutTheSource(t *testing.T) {
	for _, test := range []struct {
		line          string
		column, width int
		want          string
	}{
		{"mark: A", 7, 1, "A"},
		{"é—x: wöd", 6, 3, "wöd"},
		{"no width: 1", 4, 0, "w"},
		{"🜨🜨 b", 4, 1, "b"},
	} {
		report := diag.Report{Findings: []diag.Finding{{Severity: diag.Error,
			At: diag.Position{File: "f", Line: 1, Column: test.column, Width: test.width}}}}
		var out bytes.Buffer
		require.NoError(t, diag.WriteSARIF(&out, report, nil))
		var log struct {
			Runs []struct {
				Results []struct {
					Locations []struct {
						PhysicalLocation struct {
							Region struct{ StartColumn, EndColumn int }
						}
					}
				}
			}
		}
		require.NoError(t, json.Unmarshal(out.Bytes(), &log))
		region := log.Runs[0].Results[0].Locations[0].PhysicalLocation.Region
		assert.Equal(t, test.want, string([]rune(test.line)[region.StartColumn-1:region.EndColumn-1]))
	}
}

// URIs as RFC 3986 wants them.
func TestSarifFileNames(t *testing.T) {
	for name, want := range map[string]string{
		"mission.yaml":      "mission.yaml",
		"a b/é.yaml":        "a%20b/%C3%A9.yaml",
		"../up.yaml":        "../up.yaml",
		"odd:name.yaml":     "./odd:name.yaml",
		"50%.yaml":          "50%25.yaml",
		"/site/grove.yaml":  "file:///site/grove.yaml",
		"what?#/grove.yaml": "what%3F%23/grove.yaml",
	} {
		var out bytes.Buffer
		require.NoError(t, diag.WriteSARIF(&out, diag.Report{Findings: []diag.Finding{{At: diag.Position{File: name}}}}, nil))
		assert.Contains(t, out.String(), `"uri": "`+want+`"`, name)
	}
}

// The lists of the JSON are lists even when empty, and no member is missing.
func TestJSONIsNeverNull(t *testing.T) {
	for name, findings := range map[string][]diag.Finding{
		"clean":         nil,
		"empty finding": {{Rule: "r", Severity: diag.Note, At: diag.Position{File: "f"}}},
	} {
		t.Run(name, func(t *testing.T) {
			var out bytes.Buffer
			require.NoError(t, diag.WriteJSON(&out, diag.Report{Findings: findings}))
			assert.NotContains(t, out.String(), "null")
			var got map[string]any
			require.NoError(t, json.Unmarshal(out.Bytes(), &got))
			assert.ElementsMatch(t, []string{"tool", "version", "mission", "findings", "counts"}, keys(got))
			for _, f := range got["findings"].([]any) {
				assert.ElementsMatch(t, []string{"rule", "severity", "message", "remedy", "at", "about", "numbers", "related", "fixes"},
					keys(f.(map[string]any)))
			}
		})
	}
}

func keys(m map[string]any) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	return out
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestPrintersReportWriteErrors(t *testing.T) {
	report, rules, sources := grove()
	assert.ErrorContains(t, diag.WriteText(broken{}, report.Findings, sources, diag.Terminal{}), "disk full")
	assert.ErrorContains(t, diag.WriteJSON(broken{}, report), "disk full")
	assert.ErrorContains(t, diag.WriteSARIF(broken{}, report, rules), "disk full")
}
