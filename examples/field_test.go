// The field work of the hop garden: receivers' logs of a site that was drawn in metres.
// Each mark was occupied twice, the edge of the grass was walked once, and two days later,
// with the base set up anew, the control marks were occupied again. The logs are made from
// a seed; `go test ./examples -run Logs -update` writes them.
//
//	north
//	 30 +--------------------.
//	    |                      `.          K2 o
//	 20 |  END <---------------- B `.
//	    |             (poles)    |    | 22
//	  5 |  START --------------> A    |
//	  0 +-----------------------------+ 46 east
//	K1 o
package examples

import (
	"bytes"
	"compress/gzip"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/geodesy"
	"merestone/internal/logtest"
)

// hopGarden is the place of the drawing's zero, and its marks in metres east and north.
func hopGarden() (origin geodesy.Geodetic, marks map[string][2]float64) {
	return geodesy.Geodetic{Latitude: 46_842_700_000, Longitude: 17_352_600_000, HeightM: 168}, map[string][2]float64{
		"K1": {-3, -2}, "K2": {49, 27}, "START": {5, 5}, "A": {40, 5}, "B": {36, 20}, "END": {5, 20}, "POLES": {20, 13},
	}
}

// walked is the edge of the grass, in metres east and north.
func walked() [][2]float64 { return [][2]float64{{0, 0}, {46, 0}, {46, 22}, {38, 30}, {0, 30}} }

const (
	walkMPerS   = 0.9
	standS      = 4.0
	occupyFixes = 180
)

// walk is where somebody is who walks around the ring, and stands for a while at each
// corner, some seconds after the start.
func walk(ring [][2]float64, after float64) (east, north float64) {
	for i, from := range ring {
		to := ring[(i+1)%len(ring)]
		if after < standS {
			return from[0], from[1]
		}
		after -= standS
		length := math.Hypot(to[0]-from[0], to[1]-from[1])
		if gone := after * walkMPerS; gone < length {
			return from[0] + (to[0]-from[0])*gone/length, from[1] + (to[1]-from[1])*gone/length
		}
		after -= length / walkMPerS
	}
	return ring[0][0], ring[0][1]
}

// fieldLogs are the logs by file name.
func fieldLogs(t *testing.T) map[string]logtest.Log {
	t.Helper()
	origin, marks := hopGarden()
	frame, err := geodesy.NewFrame(origin)
	require.NoError(t, err)
	seed := uint64(20260914)
	log := func(east, north float64, from time.Time, fixes int) logtest.Log {
		seed++
		at := frame.AtHeight(east, north, origin.HeightM+1.8) // the antenna is on a pole
		return logtest.Log{
			Seed: seed, Latitude: at.Latitude, Longitude: at.Longitude, HeightM: at.HeightM, SeparationM: 45.31,
			From: from, Every: time.Second, Fixes: fixes,
			StdMM: [3]float64{6, 7, 12}, TimeConstant: 25 * time.Second, WhiteMM: 2.5,
			Order: []string{"RMC", "GGA", "GST"},
		}
	}
	logs := map[string]logtest.Log{}
	day := time.Date(2026, 9, 14, 7, 0, 0, 0, time.UTC)
	minute := time.Duration(10)
	for _, name := range []string{"K1", "START", "A", "POLES", "B", "END", "K2"} {
		at := marks[name]
		logs[name+"-1.nmea.gz"] = log(at[0], at[1], day.Add(minute*time.Minute), occupyFixes)
		logs[name+"-2.nmea.gz"] = log(at[0], at[1], day.Add((minute+90)*time.Minute), occupyFixes)
		minute += 6
	}
	ring := walked()
	all := 0.0
	for i := range ring {
		next := ring[(i+1)%len(ring)]
		all += standS + math.Hypot(next[0]-ring[i][0], next[1]-ring[i][1])/walkMPerS
	}
	edge := log(0, 0, day.Add(60*time.Minute), int(all)+5)
	edge.OffsetMM = func(after time.Duration) (east, north, up float64) {
		east, north = walk(ring, after.Seconds())
		return 1000 * east, 1000 * north, 0
	}
	logs["edge.nmea.gz"] = edge
	for i, name := range []string{"K1", "K2"} { // the base averaged another position
		at := marks[name]
		logs[name+"-16th.nmea.gz"] = log(at[0]-0.31, at[1]+0.22, day.Add(48*time.Hour+time.Duration(10*i)*time.Minute), 2*occupyFixes)
	}
	return logs
}

func TestFieldLogs(t *testing.T) {
	logs := fieldLogs(t)
	folder := filepath.Join("hop-garden", "logs")
	for name, log := range logs {
		path := filepath.Join(folder, name)
		want := log.Text()
		if *update {
			var packed bytes.Buffer
			to, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
			require.NoError(t, err)
			_, err = to.Write(want)
			require.NoError(t, err)
			require.NoError(t, to.Close())
			require.NoError(t, os.WriteFile(path, packed.Bytes(), 0o644))
		}
		file, err := os.Open(path)
		require.NoError(t, err)
		from, err := gzip.NewReader(file)
		require.NoError(t, err)
		text, err := io.ReadAll(from)
		require.NoError(t, err)
		require.NoError(t, file.Close())
		assert.Equal(t, string(want), string(text), name)
	}
	files, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, files, len(logs))
}
