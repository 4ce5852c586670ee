// docs/marks.md shows a mission that is one: its marks, and where they come to lie.
package main

import (
	"bytes"
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
	for _, line := range strings.Split(table, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
}
