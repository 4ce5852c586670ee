// What is measured is the run alone.
package tooltest_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"merestone/internal/tooltest"
)

func TestMeasured(t *testing.T) {
	const held = 400 << 20
	var ballast []byte // of the parent alone, and not to be found in what is measured
	input := func() []byte {
		ballast = make([]byte, held)
		for i := 0; i < held; i += 4096 {
			ballast[i] = 1
		}
		return []byte("an input")
	}
	for _, c := range []struct {
		name       string
		do         func([]byte) string
		more, less tooltest.Cost
	}{
		{"nothing", func(in []byte) string { return string(in) }, tooltest.Cost{}, tooltest.Cost{CPU: 2 * time.Second, Peak: 100 << 20}},
		{"memory", func(in []byte) string { return strings.Repeat(string(in), 20<<20)[:len(in)] }, tooltest.Cost{Peak: 160 << 20}, tooltest.Cost{CPU: 10 * time.Second, Peak: 300 << 20}},
		{"time", func(in []byte) string {
			for start := time.Now(); time.Since(start) < 300*time.Millisecond; {
				continue
			}
			return string(in)
		}, tooltest.Cost{CPU: 50 * time.Millisecond}, tooltest.Cost{CPU: 10 * time.Second, Peak: 100 << 20}},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, cost := tooltest.Measured(t, input, c.do)
			assert.Equal(t, "an input", said)
			assert.GreaterOrEqual(t, cost.CPU, c.more.CPU)
			assert.GreaterOrEqual(t, cost.Peak, c.more.Peak)
			assert.Less(t, cost.CPU, c.less.CPU)
			assert.Less(t, cost.Peak, c.less.Peak)
			assert.Len(t, ballast, held)
		})
	}
}
