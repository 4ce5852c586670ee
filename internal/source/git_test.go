package source

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRevisions(t *testing.T) {
	for _, c := range []struct {
		arg, rev, path string
		ok             bool
	}{
		{"HEAD~1:a/m.yaml", "HEAD~1", "a/m.yaml", true},
		{"HEAD@{12:00}:m.yaml", "HEAD@{12:00}", "m.yaml", true},
		{":m.yaml", "", "m.yaml", true},
		{"v1:./m.yaml", "v1", "./m.yaml", true},
		{"m.yaml", "", "", false},
		{"HEAD:", "HEAD", "", false},
	} {
		rev, path, ok := splitRevision(c.arg)
		assert.Equal(t, c.ok, ok, c.arg)
		if ok {
			assert.Equal(t, []string{c.rev, c.path}, []string{rev, path})
		}
	}
	from, to, err := revisionRange("a..")
	require.NoError(t, err)
	assert.Equal(t, []string{"a", "HEAD"}, []string{from, to})
	_, _, err = revisionRange("a")
	assert.Error(t, err)
	_, err = blob("--output=x", "m", 10)
	assert.ErrorContains(t, err, "is not a revision")
}
