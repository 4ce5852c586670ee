// What git answers may be of any length: what is made of it stays within the time and
// memory that spec/hostile_test.go has for missions.
package source

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

func TestAnswersOfGitWithinTimeAndMemory(t *testing.T) {
	const hash = "0123456789012345678901234567890123456789"
	change := ":100644 100644 " + hash + " " + hash + " M\x00mission.yaml\x00"
	for _, c := range []struct {
		name, piece string
		changes     int
	}{
		{"changes", hash + "\x00" + change, maxHistoryBytes / (41 + len(change))},
		{"zeros", "\x00", 0},
		{"commits", "a\x00", 0},
		{"words", "a ", 0},
		{"one long name", "a", 0},
		{"parents without end", hash + " ", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, cost := tooltest.Measured(t, func() []byte {
				return []byte(strings.Repeat(c.piece, maxHistoryBytes/len(c.piece)))
			}, func(answer []byte) string { return fmt.Sprint(len(changesOf(answer))) })
			t.Logf("%d ms, %d MB", cost.CPU.Milliseconds(), cost.Peak/1_000_000)
			assert.Equal(t, fmt.Sprint(c.changes), said)
			assert.Less(t, cost.CPU, 3*time.Second)
			assert.Less(t, cost.Peak, int64(300_000_000))
		})
	}
}

func TestComplaintsAreCutShort(t *testing.T) {
	var kept beginning
	for range 10_000 {
		n, err := fmt.Fprintf(&kept, "fatal: not this, either\n")
		require.NoError(t, err)
		require.Equal(t, 24, n)
	}
	assert.Len(t, kept, 4096)
	assert.True(t, strings.HasPrefix(string(kept), "fatal: not this"))
}
