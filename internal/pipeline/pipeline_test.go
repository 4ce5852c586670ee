// The stop rules, one mission for each way through the stages.
package pipeline

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/diag"
	"merestone/internal/missiontest"
	"merestone/internal/source"
)

const yard = "../../examples/refused/base.yaml"

// text is the yard with one passage replaced.
func text(t testing.TB, from, to string) string {
	return missiontest.Text(t, yard, missiontest.Edit{from, to})
}

func load(text string) Mission {
	return Load(source.Source{Name: "REV:yard.yaml", Path: "yard.yaml", Text: []byte(text)})
}

func TestStages(t *testing.T) {
	const markA = "latitude: 51.620444939, longitude: 25.913772193"
	tape := missiontest.Edit{"measured: 30.00 m", "measured: 31.00 m"}
	type outcome struct{ plan, whole, refused bool }
	for _, c := range []struct {
		name, text string
		want       outcome
		errors     string // the rules of all errors
		checked    bool   // whether a rule of check said anything
	}{
		{"nothing", "", outcome{false, false, true}, "spec.empty-file", false},
		{"no mission", "[mission, yard]\n", outcome{false, false, true}, "spec.wrong-type", false},
		{"as it is", text(t, markA, markA), outcome{true, true, false}, "", true},
		{"an error of spec", text(t, "mission: yard", "colour: red\nmission: yard"), outcome{true, false, true}, "spec.unknown-key", false},
		{"an error of spec from which one of plan follows", missiontest.Text(t, yard, missiontest.Edit{markA, "latitude: 91.620444939, longitude: 25.913772193"}, tape), outcome{false, false, true}, "spec.bad-coordinate tape.distance", true},
		{"a fault of the notation in one block", missiontest.Text(t, yard, missiontest.Edit{"float: software", "float:software"}, tape), outcome{false, false, true}, "tape.distance spec.yaml-syntax", true},
		{"a fault of the notation, and nothing else to read", "mission: [", outcome{false, false, true}, "spec.yaml-syntax", false},
		{"an error of plan, and no plan", missiontest.Text(t, yard, missiontest.Edit{markA, "latitude: 41.620444939, longitude: 25.913772193"}, tape), outcome{false, false, true}, "geometry.extent tape.distance", true},
		{"an error of plan, and a part of one", missiontest.Text(t, "../../examples/refused/antimeridian/mission.yaml"), outcome{true, false, true}, "geometry.antimeridian", true},
		{"an error of check", text(t, "measured: 30.00 m", "measured: 31.00 m"), outcome{true, true, true}, "tape.distance", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := load(c.text)
			assert.Equal(t, "REV:yard.yaml", m.Name)
			assert.Equal(t, c.want, outcome{m.Plan != nil, m.Whole(), m.Refused()}, "%v", m.Findings)
			var errors []string
			checked := false
			for _, f := range m.Findings {
				if f.Severity == diag.Error {
					errors = append(errors, string(f.Rule))
				}
				checked = checked || f.Rule == "magnetic.declination" || f.Rule == "tape.distance"
				assert.Equal(t, "yard.yaml", f.At.File)
			}
			assert.Equal(t, c.errors, strings.Join(slices.Compact(errors), " "))
			assert.Equal(t, c.checked, checked)
			assert.Contains(t, m.Sources, "yard.yaml")
		})
	}
}

func TestRulesAreSortedAndThereOnce(t *testing.T) {
	var ids []string
	for _, r := range Rules() {
		ids = append(ids, string(r.ID))
	}
	assert.IsIncreasing(t, ids)
	assert.Contains(t, ids, "spec.unknown-key")
	assert.Contains(t, ids, "geometry.clearance")
}

// Whatever the bytes: no stage panics on what the one before it left, an error
// refuses, and what is not refused compiles.
func FuzzLoad(f *testing.F) {
	missions, err := filepath.Glob("../../examples/refused/*/mission.yaml")
	require.NoError(f, err)
	require.NotEmpty(f, missions)
	for _, path := range append(missions, yard) {
		f.Add(missiontest.Text(f, path))
	}
	f.Fuzz(func(t *testing.T, text string) {
		m := load(text)
		assert.True(t, slices.IsSortedFunc(m.Findings, func(a, b diag.Finding) int { return a.At.Line - b.At.Line }))
		if diag.Worst(m.Findings) == diag.Error || m.Plan == nil {
			assert.True(t, m.Refused())
		}
		if !m.Refused() {
			_, err := gen.Files(m.Plan, "test")
			assert.NoError(t, err)
		}
	})
}

// The files that a mission says it was read from are those that were opened, whatever
// became of what was in them: a build watches these and no others.
func TestFilesAreThoseThatWereOpened(t *testing.T) {
	missions, err := filepath.Glob("../../examples/*/mission.yaml")
	require.NoError(t, err)
	refused, err := filepath.Glob("../../examples/refused/*/mission.yaml")
	require.NoError(t, err)
	several := 0
	for _, path := range slices.Concat(missions, refused, []string{"../../testdata/every-key/mission.yaml"}) {
		s, err := source.File(path, nil)
		require.NoError(t, err)
		opened := []string{path}
		open := s.Open
		s.Open = func(name string) ([]byte, error) {
			opened = append(opened, filepath.ToSlash(filepath.Join(filepath.Dir(path), name)))
			return open(name)
		}
		m := Load(s)
		if m.Refused() {
			assert.Subset(t, opened, m.Files(), path) // one may be missing, or too large
			continue
		}
		assert.Equal(t, opened, m.Files(), path)
		if len(opened) > 1 {
			several++
		}
	}
	assert.NotZero(t, several, "none names a file")
}
