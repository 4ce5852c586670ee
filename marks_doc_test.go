// docs/marks.md shows a mission that is one: its marks, and where they come to lie.
package main

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/pipeline"
	"merestone/internal/report"
	"merestone/internal/source"
)

func TestTheSketchOfTheMarksPageIsAMission(t *testing.T) {
	const file = "testdata/sketch/mission.yaml"
	page, err := os.ReadFile("docs/marks.md")
	require.NoError(t, err)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	blocks := strings.Split(string(page), "```yaml\n")[1:]
	require.Len(t, blocks, 2)
	for _, b := range blocks {
		shown, _, _ := strings.Cut(b, "```")
		assert.Contains(t, string(text), shown)
	}
	s, err := source.File(file, nil)
	require.NoError(t, err)
	m := pipeline.Load(s)
	require.False(t, m.Refused(), "%v", m.Findings)
	var out bytes.Buffer
	require.NoError(t, report.Report{Plan: m.Plan}.Full(&out))
	_, table, _ := strings.Cut(out.String(), "MEASURED MARKS")
	table, _, _ = strings.Cut(table, "\n\n")
	assert.Contains(t, string(page), "```text\nMEASURED MARKS"+table+"\n```\n")
	// Programs are told the same.
	member, ok := report.Measured(m.Plan)
	require.True(t, ok)
	said, err := json.Marshal(member.Value)
	require.NoError(t, err)
	assert.Contains(t, string(said), `{"mark":"POND","by":"tapes","from":["F2","F3"],"east_mm":17002,"north_mm":9000,"major_mm":30.`)
	assert.Equal(t, strings.Count(table, "\n")-1, strings.Count(string(said), `"mark":`))
	for _, line := range strings.Split(table, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
}
