package circuit

// The rendered forms of one small board, kept under testdata and reviewed:
// a thumb switch and a two-channel mushroom button. `go test -update` rewrites.

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/words"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// smallBoard is the board of the golden files.
func smallBoard(t *testing.T) Table {
	stop := Circuit{Name: "mushroom button", Kind: board.EmergencyStop, DiscrepancyMS: 100, Channels: []Channel{
		{Pin: 24, Contact: NormallyClosed, WiredTo: Ground, Pull: PullUp, PullOhm: 2200, SeriesOhm: 330},
		{Pin: 26, Contact: NormallyClosed, WiredTo: Supply, Pull: PullDown, PullOhm: 2200, SeriesOhm: 330},
	}}
	return analyse(t, thumb(), stop)
}

func TestGolden(t *testing.T) {
	const path = "testdata/small-board.txt"
	var got, again bytes.Buffer
	require.NoError(t, smallBoard(t).Text(&got))
	require.NoError(t, smallBoard(t).Text(&again))
	assert.Equal(t, got.String(), again.String(), "same input, same bytes")
	if *update {
		require.NoError(t, os.WriteFile(path, got.Bytes(), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got.String())
}

func TestTextIsAlignedAndNarrow(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, smallBoard(t).Text(&b))
	lines := strings.Split(b.String(), "\n")
	column := -1
	for i, line := range lines {
		assert.LessOrEqual(t, words.Cells(line), words.UsualColumns, line)
		assert.Equal(t, strings.TrimRight(line, " "), line)
		if strings.HasPrefix(line, "  fault, and its pins") {
			column = strings.Index(lines[i+1], "the drive")
		}
		if strings.HasPrefix(line, "  signal wire open, 22") {
			assert.Equal(t, column, strings.Index(lines[i+1], StopsDrive.String()))
		}
	}
	assert.Positive(t, column)
}

func TestTextDisclaims(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, smallBoard(t).Text(&b))
	flat := strings.Join(strings.Fields(b.String()), " ")
	assert.Contains(t, flat, "no assessment of, and no claim of, conformity with ISO 12100, ISO 13849-1, ISO 13850 or IEC 60204-1")
}

func TestSummaryCountsEveryRow(t *testing.T) {
	table := smallBoard(t)
	total := 0
	for o, n := range Count(table.Rows).Of {
		assert.Contains(t, Outcomes(), o)
		total += n
	}
	assert.Len(t, table.Rows, total)
	assert.Equal(t, 2, Count(table.Rows).Of[Healthy])
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, os.ErrClosed }

func TestWriteErrorsAreReturned(t *testing.T) {
	assert.ErrorIs(t, smallBoard(t).Text(brokenWriter{}), os.ErrClosed)
}

func TestEveryWordIsDefined(t *testing.T) {
	for _, k := range faultKinds() {
		assert.NotEqual(t, "?", k.String())
	}
	for _, o := range Outcomes() {
		assert.NotEqual(t, "?", o.String())
	}
	for _, f := range FoundWords() {
		assert.NotEqual(t, "?", f.String())
	}
	for _, k := range PartKinds() {
		assert.NotEqual(t, "?", k.String())
	}
	assert.Equal(t, "?", Outcome(99).String())
	assert.Equal(t, "?", board.HoldKind(9).String())
}
