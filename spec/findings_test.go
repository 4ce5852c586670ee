// What is kept of many findings is what would be printed of all of them, whatever
// the order in which they are found.
package spec

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

func TestFindingsAreCutAsIfAllWereKept(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	for round := range 300 {
		limit := 1 + random.IntN(8)
		aliases := round%2 == 0
		var kept findings
		var all []diag.Finding
		for range random.IntN(12 * limit) {
			at := diag.Position{File: "f", Line: 1 + random.IntN(1+3*limit), Column: 1 + random.IntN(3), Width: 1}
			if random.IntN(3) == 0 && len(all) > 0 { // mostly in order, as they are read
				at.Line = all[len(all)-1].At.Line + 1
			}
			finding := diag.New(at, "fault %d", random.IntN(3))
			finding.Rule, finding.Severity = diag.ID(fmt.Sprintf("r.%d", random.IntN(2))), diag.Error
			finding.About = []diag.Subject{diag.The(diag.Key, "key")} // of which there is one
			kept.file("f", limit, aliases)
			kept.add(finding).Add(", and more")
			finding.Add(", and more")
			if !aliases || !has(all, finding) {
				all = append(all, finding)
			}
		}
		diag.Sort(all)
		got := kept.report()
		if len(all) <= limit {
			assert.Equal(t, all, got)
			continue
		}
		require.Len(t, got, limit+1)
		assert.Equal(t, all[:limit], got[:limit])
		assert.Equal(t, fmt.Sprintf("%d more errors in this file are not shown", len(all)-limit), got[limit].Message())
	}
}

func has(all []diag.Finding, f diag.Finding) bool {
	for _, g := range all {
		if g.Rule == f.Rule && g.At == f.At && g.Message() == f.Message() {
			return true
		}
	}
	return false
}
