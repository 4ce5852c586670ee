// Beside two other readers of NMEA 0183, field by field: the Python module pynmea2
// (Debian package python3-nmea2), and gpsdecode (gpsd-clients).
package nmea

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/logtest"
	"merestone/internal/tooltest"
)

// debianPython is the Python that Debian's modules are for.
const debianPython = "/usr/bin/python3"

// pythonReader prints a line for each time of day: date (by RMC, ZDA), quality, angles in
// nanodegrees (Python rounds a Fraction half to even), and the other fields. A field is
// found by the name that the module has for its place.
const pythonReader = `
import sys
from fractions import Fraction
import pynmea2

def raw(m, name):
    return m.data[m.name_to_idx[name]]

def angle(m, name):
    text = raw(m, name)
    head = text.split('.')[0]
    value = Fraction(head[:-2]) + Fraction(text[len(head) - 2:]) / 60
    nano = round(value * 10**9)
    return -nano if raw(m, name + '_dir') in 'SW' else nano

epochs = {}
for line in sys.stdin:
    m = pynmea2.parse(line.strip(), check=True)
    if m.sentence_type == 'GSA':
        continue
    e = epochs.setdefault(m.timestamp.isoformat(timespec='microseconds'), {})
    if m.sentence_type == 'RMC':
        e['rmc'] = m.datestamp.isoformat()
    elif m.sentence_type == 'ZDA':
        e['zda'] = '%04d-%02d-%02d' % (m.year, m.month, m.day)
    elif m.sentence_type == 'GST':
        e['gst'] = [float(raw(m, 'std_dev_' + axis)) for axis in ('longitude', 'latitude', 'altitude')]
    elif m.sentence_type == 'GGA':
        e['gga'] = [m.gps_qual, angle(m, 'lat'), angle(m, 'lon'), int(m.num_sats), float(m.horizontal_dil), float(m.age_gps_data),
                    round((Fraction(raw(m, 'altitude')) + Fraction(raw(m, 'geo_sep'))) * 1000)]
for at, e in epochs.items():
    q, lat, lon, sats, hdop, age, height = e['gga']
    print(e.get('rmc', '-'), e.get('zda', '-'), at, q, lat, lon, sats, '%.4f' % hdop, '%.3f' % age, height, *['%.4f' % (1000 * s) for s in e.get('gst', [0, 0, 0])])
`

// variety are logs that differ in all that the readers may differ in.
func variety() map[string]logtest.Log {
	base := logtest.Log{Seed: 11, Latitude: 45_301_200_000, Longitude: 6_123_400_000, HeightM: 412.6, SeparationM: 47.1, From: time.Date(2026, 5, 10, 12, 0, 0, 0, time.UTC), Fixes: 300,
		StdMM: [3]float64{6, 7, 12}, TimeConstant: 30 * time.Second, WhiteMM: 2}
	talkers, south, midnight, coarse, late := base, base, base, base, base
	talkers.Talker = func(i int) string { return []string{"GP", "GN", "GL", "GA", "GB"}[i%5] }
	talkers.Quality = func(i int) int { return []int{4, 5, 2, 1, 3, 6, 7, 8}[i/7%8] }
	south.Latitude, south.Longitude, south.SeparationM, south.HeightM = -33_875_000_001, -151_204_166_666, -21.35, 3.05
	midnight.From = time.Date(2024, 2, 28, 23, 59, 40, 0, time.UTC)
	coarse.Decimals, coarse.StdMM = 3, [3]float64{3000, 2000, 5000}
	coarse.TimeText = func(e logtest.Epoch) string { return e.At.Format("150405.000") }
	late.Order, late.Decimals = []string{"GGA", "ZDA", "GSA", "RMC", "GST"}, 10
	late.Leaves = func(i int) []string {
		if i%5 > 0 {
			return []string{"ZDA"}
		}
		return nil
	}
	return map[string]logtest.Log{"talkers and qualities": talkers, "south and west": south, "midnight": midnight, "three decimals": coarse, "GST after GGA, ten decimals": late}
}

func TestBesideOtherReaders(t *testing.T) {
	for name, log := range variety() {
		text := string(log.Text())
		fixes := fixesOf(t, NewReader(strings.NewReader(text)))
		require.Len(t, fixes, log.Fixes)
		script := strings.Split(strings.TrimSpace(tooltest.Output(t, text, debianPython, "-c", pythonReader)), "\n")
		require.Len(t, script, len(fixes), name)
		withZDA := 0
		for i, f := range fixes {
			day := f.At.Format("2006-01-02")
			zda := strings.Fields(script[i])[1]
			if zda != "-" {
				withZDA++
				require.Equal(t, day, zda, name)
			}
			want := fmt.Sprintf("%s %s %s %d %d %d %d %.4f %.3f %d %.4f %.4f %.4f", day, zda, f.At.Format("15:04:05.000000"), f.Quality, f.Latitude, f.Longitude,
				f.Satellites, f.HDOP, f.Age.Seconds(), f.HeightMM, f.EastStdMM, f.NorthStdMM, f.UpStdMM)
			require.Equal(t, script[i], want, "%s, fix %d", name, i)
		}
		require.Positive(t, withZDA)

		// gpsdecode reports an epoch when the next one begins, and leaves some out.
		byTime := map[time.Time]Fix{}
		for _, f := range fixes {
			byTime[f.At] = f
		}
		tpv, gst := 0, 0
		for _, line := range strings.Split(strings.TrimSpace(tooltest.Output(t, text, "gpsdecode")), "\n") {
			var r report
			require.NoError(t, json.Unmarshal([]byte(line), &r), line)
			f, there := byTime[r.Time]
			switch {
			case !there || r.Lat == nil && r.Class == "TPV":
				continue
			case r.Class == "TPV":
				tpv++
				assert.InDelta(t, *r.Lat, f.Latitude.Degrees(), 1.01e-9, "%s: %s", name, line) // nine decimals of binary numbers: a tie goes either way
				assert.InDelta(t, *r.Lon, f.Longitude.Degrees(), 1.01e-9, "%s: %s", name, line)
				assert.InDelta(t, r.AltHAE*1000, float64(f.HeightMM), 0.6, "%s: %s", name, line)
				assert.InDelta(t, r.Age, f.Age.Seconds(), 0.051, "%s: %s", name, line)
			case r.Class == "GST":
				gst++
				require.NotNil(t, r.Lat)
				for axis, pair := range map[string][2]float64{"latitude": {*r.Lat, f.NorthStdMM}, "longitude": {*r.Lon, f.EastStdMM}, "altitude": {r.Alt, f.UpStdMM}} {
					assert.LessOrEqual(t, math.Abs(pair[0]*1000-pair[1]), 0.501, "%s, %s: %s", name, axis, line) // it prints millimetres
				}
			}
		}
		assert.Greater(t, tpv, log.Fixes*8/10, name)
		assert.Greater(t, gst, log.Fixes*8/10, name)
	}
}

// report is a line of gpsdecode: of class TPV degrees, of GST metres.
type report struct {
	Class  string    `json:"class"`
	Time   time.Time `json:"time"`
	Lat    *float64  `json:"lat"`
	Lon    *float64  `json:"lon"`
	AltHAE float64   `json:"altHAE"`
	Alt    float64   `json:"alt"`
	Age    float64   `json:"dgpsAge"`
}

// Several hundred megabytes pass through a window of fixed size.
func TestLongLogsInConstantMemory(t *testing.T) {
	block := standing(3000).Text() // 10 minutes
	const megabytes = 200
	times := megabytes << 20 / len(block)
	said, cost := tooltest.Measured(t, func() []byte { return block }, func(block []byte) string {
		r := NewReader(&repeated{block: block, times: times})
		fixes := 0
		for _, err := r.Next(); err == nil; _, err = r.Next() {
			fixes++
		}
		return fmt.Sprint(fixes, r.Counts().Taken[GGA].Count)
	})
	t.Logf("%d MB: %d ms, %d MB", megabytes, cost.CPU.Milliseconds(), cost.Peak/1_000_000)
	assert.Equal(t, fmt.Sprint(3000*times, 3000*times), said)
	assert.Less(t, cost.Peak, int64(40_000_000))
	assert.Less(t, cost.CPU, 8*time.Second)
	// Nothing is allocated for a sentence.
	r := NewReader(&repeated{block: block, times: 10})
	require.Zero(t, testing.AllocsPerRun(5000, func() { _, _ = r.Next() }))
}

// repeated is a block over and over.
type repeated struct {
	block []byte
	at    int
	times int
}

func (r *repeated) Read(into []byte) (int, error) {
	if r.times == 0 {
		return 0, io.EOF
	}
	n := copy(into, r.block[r.at:])
	if r.at += n; r.at == len(r.block) {
		r.at, r.times = 0, r.times-1
	}
	return n, nil
}

func BenchmarkReader(b *testing.B) {
	text := standing(30_000).Text()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		r := NewReader(bytes.NewReader(text))
		for _, err := r.Next(); err == nil; _, err = r.Next() {
		}
	}
}
