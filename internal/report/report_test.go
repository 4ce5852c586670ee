package report_test

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/plan"
	"merestone/internal/report"
	"merestone/spec"
)

var update = flag.Bool("update", false, "rewrite the golden report")

func resolve(t *testing.T, path string) *plan.Plan {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	parsed := spec.Parse(path, text, os.ReadFile)
	require.Empty(t, parsed.Findings)
	p, findings := plan.Resolve(parsed.Mission)
	require.Empty(t, findings)
	return p
}

func TestFullReportOfTheWalnutGrove(t *testing.T) {
	const golden = "testdata/walnut-grove.txt"
	var out bytes.Buffer
	require.NoError(t, report.Full(&out, resolve(t, "../../examples/walnut-grove/mission.yaml")))
	if *update {
		require.NoError(t, os.WriteFile(golden, out.Bytes(), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(want), out.String())
}

func TestShortIsTheBeginningOfFull(t *testing.T) {
	p := resolve(t, "../../examples/running-track/mission.yaml")
	var short, full bytes.Buffer
	require.NoError(t, report.Short(&short, p))
	require.NoError(t, report.Full(&full, p))
	assert.True(t, strings.HasPrefix(full.String(), short.String()))
	assert.Contains(t, full.String(), "ERROR BUDGETS")
	assert.Contains(t, full.String(), "No conformity")
}

func TestLongTablesAreCutInShortOnly(t *testing.T) {
	p := resolve(t, "../../examples/walnut-grove/mission.yaml")
	for len(p.Route.Legs) < 100 {
		p.Route.Legs = append(p.Route.Legs, p.Route.Legs[0])
	}
	var short, full bytes.Buffer
	require.NoError(t, report.Short(&short, p))
	require.NoError(t, report.Full(&full, p))
	assert.Contains(t, short.String(), "and 40 more legs (--full)")
	assert.NotContains(t, full.String(), "more legs")
}

// A plan whose parts are missing is still printed as far as it goes.
func TestReportOfAnEmptyPlan(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, report.Full(&out, &plan.Plan{}))
	assert.Contains(t, out.String(), "HOLDS")
	assert.Contains(t, out.String(), "  none\n")
}
