// What the tests share: the yard of testdata, changed by editing its text, and
// the example missions.
package plan_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
	"merestone/spec"
)

const yardFile = "testdata/yard.yaml"

// edit replaces one text by another; it must be in the yard exactly once.
type edit struct{ old, new string }

func yardText(t require.TestingT, edits ...edit) string {
	data, err := os.ReadFile(yardFile)
	require.NoError(t, err)
	text := string(data)
	for _, e := range edits {
		require.Equal(t, 1, strings.Count(text, e.old), "the yard must have %q once", e.old)
		text = strings.Replace(text, e.old, e.new, 1)
	}
	return text
}

func parse(t require.TestingT, path, text string) *spec.Mission {
	result := spec.Parse(path, []byte(text), os.ReadFile)
	require.Empty(t, result.Findings)
	return result.Mission
}

// yard resolves the yard; it must have no findings.
func yard(t require.TestingT, edits ...edit) *plan.Plan {
	p, findings := plan.Resolve(parse(t, yardFile, yardText(t, edits...)))
	require.Empty(t, findings)
	require.True(t, p.Complete(), p.Incomplete)
	return p
}

// examples are the resolved missions of the examples, by folder.
func examples(t *testing.T) map[string]*plan.Plan {
	t.Helper()
	paths, err := filepath.Glob("../../examples/*/mission.yaml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(paths), 3)
	plans := map[string]*plan.Plan{}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		p, findings := plan.Resolve(parse(t, path, string(text)))
		require.Empty(t, findings, path)
		plans[filepath.Base(filepath.Dir(path))] = p
	}
	return plans
}

func waypoint(t require.TestingT, p *plan.Plan, mark string) *plan.Waypoint {
	for i := range p.Route.Waypoints {
		if p.Survey.Marks[p.Route.Waypoints[i].Mark].Name == mark {
			return &p.Route.Waypoints[i]
		}
	}
	require.Failf(t, "no such waypoint", mark)
	return nil
}

// specParse parses a yard that may have faults.
func specParse(text string) spec.Result { return spec.Parse(yardFile, []byte(text), os.ReadFile) }
