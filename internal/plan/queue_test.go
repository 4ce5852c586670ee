// The queue of ties gives them back in order, whatever is put in between.
package plan

import (
	"container/heap"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestQueueGivesTheLeastFirst(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		var q queue
		var inside []float64
		for range 60 {
			if len(q) > 0 && r.IntN(3) == 0 {
				least := slices.Min(inside)
				assert.Equal(t, least, heap.Pop(&q).(tied).variance)
				inside = slices.Delete(inside, slices.Index(inside, least), slices.Index(inside, least)+1)
				continue
			}
			v := float64(r.IntN(20))
			heap.Push(&q, tied{variance: v, setup: r.IntN(5), by: r.IntN(5)})
			inside = append(inside, v)
		}
		slices.Sort(inside)
		for _, v := range inside {
			assert.Equal(t, v, heap.Pop(&q).(tied).variance)
		}
		assert.Empty(t, q)
	}
}
