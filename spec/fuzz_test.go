// Parse must stand any bytes. Run for longer with
//
//	make fuzz
package spec

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

func FuzzParse(f *testing.F) {
	for _, pattern := range []string{"testdata/complete", "testdata/cases/*"} {
		found, err := filepath.Glob(filepath.Join(pattern, "mission.yaml"))
		require.NoError(f, err)
		require.NotEmpty(f, found)
		for _, file := range found {
			mission, err := os.ReadFile(file)
			require.NoError(f, err)
			marks, err := os.ReadFile(filepath.Join(filepath.Dir(file), "marks.csv"))
			if err != nil {
				require.ErrorIs(f, err, fs.ErrNotExist)
			}
			f.Add(mission, marks)
		}
	}
	for _, text := range []string{
		"a: &a [*a]", "<<: *x", "? {a: b}\n: c", "!!map {a: !!str}", "%TAG ! tag:x,2000:\n---\na: !b c", "a: |2-\n    x", "- - - a\n- ? b", "a: 'b\n\nc'",
		"{a: b, ? c, [d]: e}", "&a &b c", "*a : b", "--- a\n... b", "a:\n- b\n c", "\"\\x", "mission: \u00e9\u0301\U0001F600",
	} {
		f.Add([]byte(text), []byte("name,latitude,longitude\n\"a\"\"b\",1,2\n"))
	}
	for _, group := range delicate() {
		for _, text := range group {
			f.Add([]byte(text), []byte(""))
		}
	}
	f.Fuzz(func(t *testing.T, mission, marks []byte) {
		open := func(string) ([]byte, error) { return marks, nil }
		got := Parse("mission.yaml", mission, open)
		again := Parse("mission.yaml", mission, open)
		require.Equal(t, got.Findings, again.Findings, "the same bytes give the same findings")
		require.Equal(t, got.Mission, again.Mission, "the same bytes give the same mission")
		if got.Mission == nil {
			require.NotEmpty(t, got.Findings)
		}
		for _, finding := range got.Findings {
			requireSound(t, got.Sources, finding)
		}
		if got.Mission != nil {
			for path, place := range got.Mission.places {
				requireInside(t, got.Sources, place)
				require.Equal(t, place, got.Mission.Where(path))
			}
		}
		var out bytes.Buffer
		require.NoError(t, diag.WriteText(&out, got.Findings, got.Sources, diag.Terminal{}))
		require.True(t, utf8.Valid(out.Bytes()) || !utf8.Valid(mission) || !utf8.Valid(marks), "messages are text")
		if diag.Worst(got.Findings) < diag.Error {
			requireWhole(t, got.Mission)
		}
	})
}

// requireSound wants a finding to have a known rule, a message of one line, places in the
// text, and changes that can be made.
func requireSound(t *testing.T, sources diag.Sources, finding diag.Finding) {
	known := false
	for _, rule := range Rules() {
		known = known || rule.ID == finding.Rule
	}
	require.True(t, known, finding.Rule)
	switch finding.Rule {
	case ruleAccuracy:
		require.Equal(t, diag.Note, finding.Severity)
	case ruleExtraColumn:
		require.Less(t, finding.Severity, diag.Error)
	case ruleNameClash:
		require.GreaterOrEqual(t, finding.Severity, diag.Warning)
	default:
		require.Equal(t, diag.Error, finding.Severity)
	}
	for _, fix := range finding.Fixes {
		for _, e := range fix.Edits {
			_, err := diag.Apply(sources[e.File], []diag.Edit{e})
			require.NoError(t, err, "%s: %v", fix.Does, e)
		}
	}
	require.NotEmpty(t, finding.Message())
	for _, text := range []string{finding.Message(), finding.Remedy} {
		require.NotContains(t, text, "\n")
		require.Less(t, len(text), 2_000)
	}
	requireInside(t, sources, finding.At)
	for _, related := range finding.Related {
		requireInside(t, sources, related.At)
	}
}

func requireInside(t *testing.T, sources diag.Sources, at diag.Position) {
	if at.Line == 0 {
		require.Zero(t, at.Column)
		return
	}
	text, known := sources[at.File]
	require.True(t, known, at.File)
	lines := strings.Split(string(text), "\n")
	require.LessOrEqual(t, at.Line, len(lines))
	length := utf8.RuneCountInString(strings.TrimSuffix(lines[at.Line-1], "\r"))
	require.GreaterOrEqual(t, at.Column, 1)
	require.LessOrEqual(t, at.Column, length+1)
	require.GreaterOrEqual(t, at.Width, 1)
	require.LessOrEqual(t, at.Column+at.Width, max(length+2, 3))
}

// requireWhole wants a mission without findings to hold what later stages rely
// on.
func requireWhole(t *testing.T, m *Mission) {
	require.NotNil(t, m)
	assert.NotEmpty(t, m.Name)
	assert.NotNil(t, m.Board.DriveEnable)
	assert.Positive(t, m.Rover.Width)
	assert.Positive(t, m.Rover.Speed.Minimum)
	assert.GreaterOrEqual(t, m.Rover.Speed.Cruise, m.Rover.Speed.Minimum)
	assert.Positive(t, m.Receiver.FixRate)
	assert.Positive(t, m.Site.Date.Year)
	assert.GreaterOrEqual(t, len(m.Route.Waypoints), 2)
	assert.GreaterOrEqual(t, len(m.Geofence.Boundary), 3)
	marks := map[string]bool{}
	for _, mark := range m.Marks {
		assert.False(t, marks[mark.Name])
		marks[mark.Name] = true
	}
	for _, waypoint := range m.Route.Waypoints {
		assert.True(t, marks[waypoint.Mark])
		assert.True(t, waypoint.ArrivalTolerance != nil || m.Route.ArrivalTolerance != nil)
	}
	for _, corner := range m.Geofence.Boundary {
		assert.True(t, marks[corner])
	}
}
