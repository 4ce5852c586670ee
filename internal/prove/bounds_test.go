// What comes from the analyser is bounded, and its areas are all points that there are.
package prove

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/guidance"
)

func TestOnlyTheEndOfWhatIsPrintedIsKept(t *testing.T) {
	out := &tail{most: 10}
	for i := range 1000 {
		n, err := fmt.Fprintf(out, "%d,", i)
		require.NoError(t, err)
		assert.Positive(t, n)
		assert.LessOrEqual(t, len(out.kept), 2*out.most)
	}
	assert.True(t, strings.HasSuffix(string(out.kept), "998,999,"), "%s", out.kept)
}

func TestReportsThatAreTooLarge(t *testing.T) {
	path := filepath.Join(t.TempDir(), reportFile)
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	require.NoError(t, os.Truncate(path, maxReportBytes+1))
	_, err := readReport(path)
	assert.ErrorContains(t, err, "it is larger than 64 MiB")
	require.NoError(t, os.Truncate(path, 1000))
	text, err := readReport(path)
	require.NoError(t, err)
	assert.Len(t, text, 1000)
}

// Every point is in exactly one area, wherever the root square lies; and outside of the
// square none has east or north of both signs, where the header's unsigned difference
// would pass from its least to its greatest value.
func TestAreasAreAllPoints(t *testing.T) {
	for _, f := range []guidance.FenceTable{
		{WestMM: -28153, SouthMM: -32073, RootLog2: 17},
		{WestMM: 5000, SouthMM: 7000, RootLog2: 10},
		{WestMM: -9000, SouthMM: -7000, RootLog2: 10},
		{WestMM: 0, SouthMM: -1024, RootLog2: 10},
		{WestMM: -20000000, SouthMM: -20000000, RootLog2: 26},
		{WestMM: 20000000, SouthMM: 19999999, RootLog2: 1},
	} {
		side := int64(1) << f.RootLog2
		values := func(corner int64) []int64 {
			return []int64{math.MinInt32, -1, 0, 1, corner - 1, corner, corner + 1, corner + side - 1, corner + side, math.MaxInt32}
		}
		for _, east := range values(int64(f.WestMM)) {
			for _, north := range values(int64(f.SouthMM)) {
				var in []string
				for _, a := range areas(f) {
					if int64(a.West) <= east && east <= int64(a.East) && int64(a.South) <= north && north <= int64(a.North) {
						in = append(in, a.Name)
						inside := east >= int64(f.WestMM) && east < int64(f.WestMM)+side && north >= int64(f.SouthMM) && north < int64(f.SouthMM)+side
						assert.Equal(t, inside, a.Within)
					}
				}
				assert.Len(t, in, 1, "%d, %d of %+v", east, north, f)
			}
		}
		for _, a := range areas(f) {
			east, north := a.West < 0 && a.East >= 0, a.South < 0 && a.North >= 0
			assert.False(t, !a.Within && east && north, "%+v", a)
		}
	}
}
