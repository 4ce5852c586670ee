// A live comparison with GeographicLib's MagneticField (Debian package
// geographiclib-tools), an implementation that sums the harmonics in another way
// altogether (Clenshaw's). It is given our coefficients in its own format, so
// the synthesis is what is compared; the coefficients are checked elsewhere.
package magnetic

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

func TestAgainstGeographicLib(t *testing.T) {
	dir := t.TempDir()
	writeGeographicLibModel(t, dir)

	type place struct{ year, latitude, longitude, heightM float64 }
	var places []place
	var input bytes.Buffer
	years := []float64{2025, 2025.75, 2026.354, 2028.499, 2029.997}
	heights := []float64{-100, 0, 412.6, 3000, 10_000}
	for latitude := -90.0; latitude <= 90; latitude += 7.5 {
		for longitude := -180.0; longitude < 180; longitude += 20 {
			p := place{years[len(places)%5], latitude, longitude, heights[len(places)/5%5]}
			places = append(places, p)
			fmt.Fprintf(&input, "%v %v %v %v\n", p.year, p.latitude, p.longitude, p.heightM)
		}
	}
	out := tooltest.Output(t, input.String(), "MagneticField", "-d", dir, "-n", "wmm2025", "-r", "-p", "6")

	// Two lines a place: D I H north east down F, and their changes in a year.
	lines := strings.Split(strings.TrimSpace(out), "\n")
	require.Len(t, lines, 2*len(places))
	var worst struct{ declination, inclination, horizontal, total, change float64 }
	for i, p := range places {
		var d, inc, h, north, east, down, f, dDot float64
		n, err := fmt.Sscan(lines[2*i], &d, &inc, &h, &north, &east, &down, &f)
		require.NoError(t, err, lines[2*i])
		require.Equal(t, 7, n)
		_, err = fmt.Sscan(lines[2*i+1], &dDot)
		require.NoError(t, err, lines[2*i+1])

		got, err := atYear(p.latitude, p.longitude, p.heightM, p.year)
		require.NoError(t, err)
		worst.declination = max(worst.declination, abs(angleBetween(got.DeclinationDeg, d)))
		worst.inclination = max(worst.inclination, abs(got.InclinationDeg-inc))
		worst.horizontal = max(worst.horizontal, abs(got.HorizontalNT-h))
		worst.total = max(worst.total, abs(got.TotalNT-f))
		worst.change = max(worst.change, abs(got.AnnualChangeDeg-dDot))
	}
	t.Logf("%d places, largest differences %+v", len(places), worst)
	// What is left is the rounding of what the tool prints.
	require.Less(t, worst.declination, 1e-7)
	require.Less(t, worst.inclination, 1e-7)
	require.Less(t, worst.horizontal, 1e-6)
	require.Less(t, worst.total, 1e-6)
	require.Less(t, worst.change, 1e-7)
}

func abs(x float64) float64 { return max(x, -x) }

// writeGeographicLibModel writes wmm2025.wmm and wmm2025.wmm.cof as described in
// GeographicLib's documentation ("The format of the magnetic model files"): a
// text of settings, and the coefficients C then S of each expansion as doubles,
// order by order.
func writeGeographicLibModel(t *testing.T, dir string) {
	t.Helper()
	m, err := embeddedModel()
	require.NoError(t, err)
	const settings = `WMMF-1
Name wmm2025
Description made by a test from WMM.COF
ReleaseDate 2024-12-17
Radius 6371200
NumModels 1
Epoch 2025
DeltaEpoch 1
MinTime 2025
MaxTime 2030
MinHeight -1000
MaxHeight 850000
Normalization schmidt
ByteOrder little
ID WMM2025T
`
	require.NoError(t, os.WriteFile(filepath.Join(dir, "wmm2025.wmm"), []byte(settings), 0o644))

	var cof bytes.Buffer
	cof.WriteString("WMM2025T")
	for _, expansion := range [][2]gauss{{m.g, m.h}, {m.gDot, m.hDot}} {
		put := func(value any) { require.NoError(t, binary.Write(&cof, binary.LittleEndian, value)) }
		put([2]int32{degree, degree})
		for order := 0; order <= degree; order++ {
			for n := order; n <= degree; n++ {
				put(expansion[0][n][order])
			}
		}
		for order := 1; order <= degree; order++ {
			for n := order; n <= degree; n++ {
				put(expansion[1][n][order])
			}
		}
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "wmm2025.wmm.cof"), cof.Bytes(), 0o644))
}
