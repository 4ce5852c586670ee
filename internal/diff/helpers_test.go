package diff

import (
	"bytes"
	"crypto/sha256"
	"os"
	"path/filepath"

	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/missiontest"
	"merestone/internal/pipeline"
	"merestone/internal/plan"
	"merestone/internal/source"
)

// mission is a mission after all stages.
type mission struct {
	plan     *plan.Plan
	findings []diag.Finding
	written  [32]byte
}

const examples = "testdata"

// example reads the text of an example.
func example(t require.TestingT, name string) string {
	return missiontest.Text(t, filepath.Join(examples, name, "mission.yaml"))
}

// resolve runs the stages on a text, with the files beside the named example.
func resolve(name, text string) mission {
	m := pipeline.Load(source.Source{Path: "mission.yaml", Text: []byte(text), Open: func(file string) ([]byte, error) {
		return os.ReadFile(filepath.Join(examples, name, file))
	}})
	return mission{m.Plan, m.Findings, sha256.Sum256([]byte(text))}
}

func compare(a, b mission) Result {
	return Compare(Version{Plan: a.plan, Findings: a.findings, Written: a.written}, Version{Plan: b.plan, Findings: b.findings, Written: b.written})
}

// edit replaces one passage of a text, which must be there once.
func edit(t require.TestingT, text, from, to string) string {
	return missiontest.Changed(t, text, missiontest.Edit{from, to})
}

func printed(t require.TestingT, r Result) string {
	var out bytes.Buffer
	require.NoError(t, WriteText(&out, r))
	return out.String()
}

// find returns all changes, at any depth, whose subject and what are these.
func find(changes []Change, subject, what string) []Change {
	var found []Change
	for _, c := range changes {
		if c.Subject == subject && c.What == what {
			found = append(found, c)
		}
		found = append(found, find(c.Effects, subject, what)...)
	}
	return found
}
