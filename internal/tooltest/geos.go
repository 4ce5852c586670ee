package tooltest

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Geosop runs an operation of GEOS on every geometry of a, in WKT, with every one
// of b, by its command geosop; where b is nil, on every one of a alone. The answers
// are a row for each of a.
func Geosop(t *testing.T, format, operation string, a, b []string) [][]string {
	t.Helper()
	folder := t.TempDir()
	var args []string
	each := 1
	write := func(name string, wkt []string) {
		file := filepath.Join(folder, name+".wkt")
		require.NoError(t, os.WriteFile(file, []byte(strings.Join(wkt, "\n")+"\n"), 0o600))
		args = append(args, "-"+name, file)
	}
	write("a", a)
	if b != nil {
		write("b", b)
		each = len(b)
	}
	words := strings.Fields(Output(t, "", "geosop", append(args, "-f", format, operation)...))
	require.Len(t, words, len(a)*each, "geosop %s", operation)
	return slices.Collect(slices.Chunk(words, each))
}

// GeosBools is Geosop of an operation that answers true or false.
func GeosBools(t *testing.T, operation string, a, b []string) [][]bool {
	t.Helper()
	return read(t, Geosop(t, "txt", operation, a, b), strconv.ParseBool)
}

// GeosFloats is Geosop of an operation that answers a number, to six figures.
func GeosFloats(t *testing.T, operation string, a, b []string) [][]float64 {
	t.Helper()
	return read(t, Geosop(t, "txt", operation, a, b), func(word string) (float64, error) { return strconv.ParseFloat(word, 64) })
}

// GeosDistances are the distances of every a from every b in full: between the two
// ends of what nearestPoints, or nearestPointsPrep, answers.
func GeosDistances(t *testing.T, operation string, a, b []string) [][]float64 {
	t.Helper()
	return read(t, Geosop(t, "wkb", operation, a, b), func(word string) (float64, error) {
		wkb, err := hex.DecodeString(word)
		require.NoError(t, err)
		// Byte order 1 (little endian), type 2 (line string), 2 points of two
		// float64 (OGC 06-103r4, section 8).
		var line struct {
			Order          uint8
			Kind, Points   uint32
			E0, N0, E1, N1 float64
		}
		err = binary.Read(bytes.NewReader(wkb), binary.LittleEndian, &line)
		require.Equal(t, []uint32{1, 2, 2}, []uint32{uint32(line.Order), line.Kind, line.Points})
		return math.Hypot(line.E1-line.E0, line.N1-line.N0), err
	})
}

func read[T any](t *testing.T, rows [][]string, parse func(string) (T, error)) [][]T {
	t.Helper()
	answers := make([][]T, len(rows))
	for i, row := range rows {
		for _, word := range row {
			answer, err := parse(word)
			require.NoError(t, err)
			answers[i] = append(answers[i], answer)
		}
	}
	return answers
}
