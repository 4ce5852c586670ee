package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/insert"
)

// What is entered is shown first, and is in the file then, or not where it is only shown.
func TestEnteringIntoAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "mission.yaml")
	const before = "mission: m\r\nmarks:\r\n  A: {latitude: 45.3, longitude: 6.1} # gate\r\n"
	require.NoError(t, os.WriteFile(file, []byte(before), 0o644))
	change := insert.Change{Marks: []insert.Mark{{Name: "A", Keys: []insert.Key{{Name: "latitude", Text: "45.301"}}}, {Name: "B", Keys: []insert.Key{{Name: "latitude", Text: "45.302"}, {Name: "longitude", Text: "6.102"}}}}}
	const lines = "@@ -1,3 +1,4 @@\n mission: m\n marks:\n-  A: {latitude: 45.3, longitude: 6.1} # gate\n+  A: {latitude: 45.301, longitude: 6.1} # gate\n+  B: {latitude: 45.302, longitude: 6.102}\n"
	for _, c := range []struct {
		dry        bool
		diff, says string
		then       string
	}{
		{true, lines, "2 changes to be made", before},
		{false, lines, "2 changes made", strings.Replace(before, "45.3,", "45.301,", 1) + "  B: {latitude: 45.302, longitude: 6.102}\r\n"},
		{false, "", "it says all of this already", strings.Replace(before, "45.3,", "45.301,", 1) + "  B: {latitude: 45.302, longitude: 6.102}\r\n"},
	} {
		var out bytes.Buffer
		require.NoError(t, app{out: &out}.enter(file, change, c.dry))
		_, diff, _ := strings.Cut(out.String(), "+++ "+file+"\n")
		if c.diff == "" {
			diff = out.String()
		}
		assert.Equal(t, c.diff+file+": "+c.says+"\n", diff)
		then, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, c.then, string(then))
	}
	for name, says := range map[string]string{"-": "standard input has no file", "HEAD:mission.yaml": "cannot read HEAD:mission.yaml"} {
		assert.ErrorContains(t, app{out: &bytes.Buffer{}}.enter(name, change, false), says)
	}
}
