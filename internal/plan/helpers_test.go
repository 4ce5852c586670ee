// What the tests share: the yard of testdata, changed by editing its text, and
// the example missions.
package plan_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/spec"
)

const yardFile = "testdata/yard.yaml"

type edit = missiontest.Edit

func yardText(t require.TestingT, edits ...edit) string {
	return missiontest.Text(t, yardFile, edits...)
}

// yard resolves the yard; it must have no findings.
func yard(t require.TestingT, edits ...edit) *plan.Plan {
	p := missiontest.Resolve(t, yardFile, edits...)
	require.True(t, p.Complete(), p.Incomplete)
	return p
}

// examples are the resolved missions of the examples, by folder.
func examples(t *testing.T) map[string]*plan.Plan {
	t.Helper()
	plans := map[string]*plan.Plan{}
	for _, path := range missiontest.Examples(t) {
		plans[filepath.Base(filepath.Dir(path))] = missiontest.Resolve(t, path)
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
func specParse(text string) spec.Result { return spec.Parse(yardFile, []byte(text), nil) }
