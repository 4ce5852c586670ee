package report_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/board"
	"merestone/internal/check"
	"merestone/internal/circuit"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/internal/report"
)

var update = flag.Bool("update", false, "rewrite the golden report")

// examined is a report of an example with what is left of its limits.
func examined(t *testing.T, example string) report.Report {
	t.Helper()
	p := missiontest.Resolve(t, missiontest.Example(t, example))
	_, reserves := check.Examine(p)
	return report.Report{Plan: p, Reserves: reserves}
}

func TestFullReportOfTheWalnutGrove(t *testing.T) {
	const golden = "testdata/walnut-grove.txt"
	var out bytes.Buffer
	require.NoError(t, examined(t, "walnut-grove").Full(&out))
	if *update {
		require.NoError(t, os.WriteFile(golden, out.Bytes(), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(want), out.String())
}

func TestShortIsTheBeginningOfFull(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "running-track"))
	var short, full bytes.Buffer
	require.NoError(t, report.Report{Plan: p}.Short(&short))
	require.NoError(t, report.Report{Plan: p}.Full(&full))
	assert.True(t, strings.HasPrefix(full.String(), short.String()))
	assert.Contains(t, full.String(), "ERROR BUDGETS")
	assert.Contains(t, full.String(), "No conformity")
}

func TestLongTablesAreCutInShortOnly(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"))
	for len(p.Route.Legs) < 100 {
		p.Route.Legs = append(p.Route.Legs, p.Route.Legs[0])
	}
	var short, full bytes.Buffer
	require.NoError(t, report.Report{Plan: p}.Short(&short))
	require.NoError(t, report.Report{Plan: p}.Full(&full))
	assert.Contains(t, short.String(), "and 40 more legs (--full)")
	assert.NotContains(t, full.String(), "more legs")
}

// A plan whose parts are missing is still printed as far as it goes.
func TestReportOfAnEmptyPlan(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, report.Report{Plan: &plan.Plan{}}.Full(&out))
	assert.Contains(t, out.String(), "HOLDS")
	assert.Contains(t, out.String(), "  none\n")
}

// The table of holds and the findings about them count the same faults.
func TestHoldsTableAgreesWithTheFindings(t *testing.T) {
	for _, path := range []string{"walnut-grove", "running-track", "salt-pan", "warned/holds-single-fault"} {
		p := missiontest.Resolve(t, missiontest.Example(t, path))
		requireSameCounts(t, p)
	}
	// Any holds on the board of the walnut grove.
	base := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"))
	dangerous := 0
	rapid.Check(t, func(rt *rapid.T) {
		p := *base
		p.Holds.List = nil
		var circuits []circuit.Circuit
		for i := range rapid.IntRange(1, 3).Draw(rt, "holds") {
			h := plan.Hold{Source: base.Holds.Source, DebounceMS: 20, Circuit: circuit.Circuit{Name: fmt.Sprintf("hold %d", i), Kind: board.HoldKind(rapid.IntRange(0, 2).Draw(rt, "kind")), DiscrepancyMS: 100}}
			for c := range rapid.IntRange(1, 2).Draw(rt, "channels") {
				h.Circuit.Channels = append(h.Circuit.Channels, circuit.Channel{
					Pin: 20 + 2*i + c, Contact: circuit.Contact(rapid.IntRange(0, 1).Draw(rt, "contact")),
					WiredTo: circuit.Rail(rapid.IntRange(0, 1).Draw(rt, "rail")), Pull: circuit.Pull(rapid.IntRange(0, 2).Draw(rt, "pull")),
				})
			}
			p.Holds.List, circuits = append(p.Holds.List, h), append(circuits, h.Circuit)
		}
		p.Holds.Path.Parts = slices.Clone(base.Holds.Path.Parts)
		for i, part := range p.Holds.Path.Parts {
			if len(part.Holds) > 0 { // of the holds drawn, the first is there always
				p.Holds.Path.Parts[i].Holds = []int{0}
			}
		}
		p.Holds.Faults, p.Holds.FaultsErr = circuit.Analyse(p.Board.Inputs.Electrical, circuits, p.Holds.Path)
		require.NoError(rt, p.Holds.FaultsErr)
		dangerous += requireSameCounts(rt, &p)
	})
	require.NotZero(t, dangerous)
}

// requireSameCounts compares each hold's line of the table with what is found of
// it, and returns how many faults leave the drive running.
func requireSameCounts(t require.TestingT, p *plan.Plan) (dangerous int) {
	var out bytes.Buffer
	require.NoError(t, report.Report{Plan: p}.Short(&out))
	_, table, found := strings.Cut(out.String(), "HOLDS")
	require.True(t, found)
	told := map[string]map[string]float64{} // numbers of the finding, by hold
	broken := map[string]float64{}          // faults that are errors of their own
	for _, f := range check.All(p) {
		switch {
		case f.Rule == "holds.single-fault":
			numbers := map[string]float64{}
			for _, n := range f.Numbers {
				numbers[n.Name] = n.Value
			}
			told[strings.ReplaceAll(f.About[0].Name, "_", " ")] = numbers
		case f.Rule == "holds.wire-break" && strings.HasPrefix(f.Format, "%s: "):
			broken[f.About[0].Name] += f.Numbers[0].Value
		}
	}
	sum, faults := 0.0, 0
	for _, r := range p.Holds.Faults.Rows {
		if r.Fault.Kind != circuit.NoFault {
			faults++
		}
	}
	names := []string{"drive path"}
	for _, h := range p.Holds.List {
		names = append(names, h.Circuit.Name)
	}
	for _, name := range names {
		line := ""
		for l := range strings.Lines(table) {
			if strings.HasPrefix(strings.TrimSpace(l), name+"  ") {
				line = l
			}
		}
		require.NotEmpty(t, line, name)
		fields := strings.Fields(line)
		var row []float64 // tried, stops at once, still stops, shorts, keeps running, found late
		for _, f := range fields[len(fields)-6:] {
			n, err := strconv.ParseFloat(f, 64)
			require.NoError(t, err, line)
			row = append(row, n)
		}
		sum += row[0]
		require.Equal(t, row[0], row[1]+row[2]+row[3]+row[4], line)
		dangerous += int(row[4])
		numbers := told[name]
		require.LessOrEqual(t, row[5], row[0], line)
		if numbers == nil { // nothing is left, or holds.wire-break tells all of it; of the path, a part at a time
			require.True(t, row[3]+row[4] == 0 || row[3]+row[4] == broken[name] || name == "drive path", line)
		} else {
			require.Equal(t, row[4], numbers["leave running"], line)
			require.Equal(t, row[3], numbers["short the supply"], line)
			require.Equal(t, row[0], numbers["faults tried"], line)
		}
	}
	require.Equal(t, float64(faults), sum, "over all holds, the rows with a fault")
	return dangerous
}
