package interchange

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The example of docs/interchange.md is what is read, said and printed.
func TestThePage(t *testing.T) {
	page, err := os.ReadFile("../../docs/interchange.md")
	require.NoError(t, err)
	var blocks []string
	for i, part := range strings.Split(string(page), "```") {
		if i%2 == 1 {
			_, text, _ := strings.Cut(part, "\n")
			blocks = append(blocks, text)
		}
	}
	require.Len(t, blocks, 3)
	data, err := Read([]byte(blocks[0]), Options{Separation: length(47_200)})
	require.NoError(t, err)
	taken, err := Take(data, Request{})
	require.NoError(t, err)
	assert.Equal(t, blocks[1], taken.YAML(length(30)))
	assert.Equal(t, blocks[2], strings.Join(data.Notes, "\n")+"\n")
}
