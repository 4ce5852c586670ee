// By how much a sentence is late, built for the host under the address and
// undefined-behaviour sanitizers: facts, and a day's sentences with clocks that run
// wrong, of which the truth is known.
package firmware_test

import (
	"fmt"
	"math/rand"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const dayMS = 86_400_000

// arrival is one sentence: the board's clock when it came, the time of day in it.
type arrival struct{ clock, timeOfDay int64 }

func TestLateness(t *testing.T) {
	program := buildForHost(t, "lateness_of", "lateness")
	t.Run("facts", func(t *testing.T) { latenessFacts(t, program) })
	t.Run("a day with a clock that runs wrong", func(t *testing.T) { aDayOfSentences(t, program) })
}

// late runs the sentences through the program. The clock wraps at 2^32.
func late(t *testing.T, program string, arrivals []arrival) []int64 {
	t.Helper()
	var in strings.Builder
	for _, a := range arrivals {
		fmt.Fprintf(&in, "%d %d\n", uint32(a.clock), a.timeOfDay)
	}
	var all []int64
	for _, line := range events(t, program, in.String()) {
		ms, err := strconv.ParseInt(line, 10, 64)
		require.NoError(t, err)
		all = append(all, ms)
	}
	require.Len(t, all, len(arrivals))
	return all
}

func latenessFacts(t *testing.T, program string) {
	const noon = dayMS / 2
	for _, c := range []struct {
		fact string
		sent []arrival
		want []int64
	}{
		{"the first is not late, whatever it says", []arrival{{5_000, 3}}, []int64{0}},
		{"all as late as the first", []arrival{{1_000, noon}, {1_200, noon + 200}, {1_400, noon + 400}}, []int64{0, 0, 0}},
		{"one late, the next not", []arrival{{1_000, noon}, {1_250, noon + 200}, {1_400, noon + 400}}, []int64{0, 50, 0}},
		{"a backlog that grows", []arrival{{1_000, noon}, {1_250, noon + 200}, {1_500, noon + 400}, {1_750, noon + 600}}, []int64{0, 50, 100, 150}},
		{"and is read at once", []arrival{{1_000, noon}, {2_000, noon + 200}, {2_000, noon + 400}, {2_000, noon + 1_000}}, []int64{0, 800, 600, 0}},
		{"the earliest comes later: then the first was late", []arrival{{1_000, noon}, {1_150, noon + 200}, {1_400, noon + 400}}, []int64{0, 0, 50}},
		{"across midnight", []arrival{{1_000, dayMS - 100}, {1_230, 100}, {1_400, 300}}, []int64{0, 30, 0}},
		{"across the wrap of the clock", []arrival{{1<<32 - 100, noon}, {1<<32 + 130, noon + 200}, {1<<32 + 300, noon + 400}}, []int64{0, 30, 0}},
		{"one that is older than the last is later", []arrival{{1_000, noon}, {1_200, noon + 200}, {1_210, noon}}, []int64{0, 0, 210}},
		{"a silence of an hour", []arrival{{1_000, noon}, {3_601_000 + 200, noon + 3_600_000}}, []int64{0, 0}},
		{"a second late is forgiven in 10 000 s", []arrival{{0, 0}, {2_000, 1_000}, {5_002_000, 5_001_000}, {10_002_000, 10_001_000}}, []int64{0, 1_000, 500, 0}},
		{"forgiveness does not hang on how often sentences come", []arrival{{0, 0}, {5_000, 4_000}, {9_999, 8_999}, {10_000, 9_000}, {19_999, 18_999}, {20_000, 19_000}}, []int64{0, 1_000, 1_000, 999, 999, 998}},
		{"the receiver sets its time back by a second", []arrival{{1_000, noon}, {1_200, noon - 800}}, []int64{0, 1_000}},
		{"a leap second of its own", []arrival{{1_000, dayMS - 200}, {1_200, dayMS}, {2_200, 0}}, []int64{0, 0, 1_000}},
		{"after half a day of silence nothing is known", []arrival{{1_000, noon}, {noon + 1_000, 7}}, []int64{0, 0}},
		{"time of day against the clock by half a day, twice", []arrival{{1_000, 0}, {1_200, noon}, {1_400, 0}, {1_600, noon}}, []int64{0, noon, noon, noon}},
	} {
		assert.Equal(t, c.want, late(t, program, c.sent), c.fact)
	}
}

// Sentences of a day and more, each on its way for 60 ms and up to 40 more, through a
// board's clock that runs wrong by up to 90 ppm and a turn of 10 ms. Twice the
// receiver falls behind for a while. What is told is never less than the truth less
// what may be forgiven, and never more than the truth and what jitter and clock explain.
func aDayOfSentences(t *testing.T, program string) {
	random := rand.New(rand.NewSource(3))
	for _, ppm := range []int64{-90, 0, 90} {
		var sent []arrival
		var onWay []int64
		start := random.Int63n(1 << 32)
		for at := int64(0); at < dayMS+dayMS/4; at += 1_000 {
			way := 60 + random.Int63n(41)
			if at >= dayMS/3 && at < dayMS/3+600_000 || at >= dayMS && at < dayMS+60_000 {
				way += 900
			}
			clock := at + way
			clock += clock * ppm / 1_000_000
			sent = append(sent, arrival{start + (clock+9)/10*10, (at + dayMS/2) % dayMS})
			onWay = append(onWay, way)
		}
		told := late(t, program, sent)
		for i, way := range onWay {
			if i < 600 {
				continue // the earliest is not yet known
			}
			extra := way - 60
			// In a backlog of 600 s the least rises by 100 ppm of that, and by what the
			// clock is slow; without one it is found again within seconds. 10 more: the
			// turn that a sentence waits for; 2: rounding.
			assert.GreaterOrEqual(t, told[i], extra-(100-ppm)*600/1000-10-2, "%d ppm, second %d", ppm, i)
			assert.LessOrEqual(t, told[i], extra+10+2, "%d ppm, second %d", ppm, i)
			if t.Failed() {
				return
			}
		}
	}
}
