// Walks around a site, as tracks and as a receiver's log.
package interchange

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/geodesy"
	"merestone/internal/logtest"
	"merestone/internal/quantity"
)

const (
	latitude0  = 45_301_200_000
	longitude0 = 6_123_400_000
)

// rectangle is a walk of 1 m/s around 40 m by 30 m, in millimetres east and north after a time.
func rectangle(after time.Duration) (east, north, up float64) {
	way := math.Mod(after.Seconds(), 140) * 1000
	switch {
	case way < 40_000:
		return way, 0, 0
	case way < 70_000:
		return 40_000, way - 40_000, 0
	case way < 110_000:
		return 110_000 - way, 30_000, 0
	}
	return 0, 140_000 - way, 0
}

func walked(seed uint64, std float64) logtest.Log {
	return logtest.Log{Seed: seed, Latitude: latitude0, Longitude: longitude0, HeightM: 412.6, SeparationM: 47.2, From: time.Date(2026, 5, 10, 9, 0, 0, 0, time.UTC),
		Fixes: 701, StdMM: [3]float64{std, std, std}, OffsetMM: rectangle}
}

// The ring of a boundary lies within the walk by all that is not known, and that of an
// obstacle around it; a route keeps to it. Whatever of this a wrong frame would break.
func TestWalksAreThinnedOnTheSafeSide(t *testing.T) {
	walk := walked(1, 5)
	log := walk.Text()
	data, err := Read(log, Options{})
	require.NoError(t, err)
	require.Len(t, data.Paths, 1)
	require.Len(t, data.Paths[0].Points, walk.Fixes)
	frame, err := geodesy.NewFrame(geodesy.Geodetic{Latitude: latitude0, Longitude: longitude0, HeightM: 412.6})
	require.NoError(t, err)
	w := Walk{Within: 100 * quantity.Millimetre, Gap: 2_000 * quantity.Millimetre, StdMM: 20, Factor: quantity.RadialFactor(0.95)}
	for use, beyond := range map[Use][2]float64{AsBoundary: {-0.25, -0.03}, AsObstacle: {0.03, 0.25}, AsRoute: {-0.11, 0.11}} {
		taken, err := Take(data, Request{As: use, Walk: &w})
		require.NoError(t, err)
		assert.Contains(t, strings.Join(taken.Notes, "\n"), "701")
		require.GreaterOrEqual(t, len(taken.Marks), 4)
		require.Less(t, len(taken.Marks), 20, use)
		for _, m := range taken.Marks {
			local := frame.ToLocal(geodesy.Geodetic{Latitude: m.Latitude.Value, Longitude: m.Longitude.Value, HeightM: 412.6})
			// How far outside of the rectangle, along the nearer axis.
			out := max(-local.EastM, local.EastM-40, -local.NorthM, local.NorthM-30)
			assert.True(t, out >= beyond[0] && out <= beyond[1], "%s: %s is %.3f m outside", use, m.Name, out)
		}
	}
	_, err = Take(data, Request{As: AsBoundary, Walk: &Walk{Within: 100 * quantity.Millimetre, StdMM: 20_000, Factor: 2.45}})
	assert.Error(t, err, "nothing is left of it")
}

// What two roundings may move a corner by is kept beside what is not known, however far from
// the edge the antenna was: a ring is told to stay off by what is left of that.
func TestRoundingsAreNotSetAgainstTheOffset(t *testing.T) {
	data, err := Read([]byte(`{"type": "Polygon", "coordinates": [[[6.0000003,45.0000001],[6.0005001,45.0000007],[6.0005009,45.0005003],[6.0000001,45.0005007],[6.0000003,45.0000001]]]}`), Options{})
	require.NoError(t, err)
	walk := data.Paths[0].Points
	frame, err := geodesy.NewFrame(walk[0].geodetic())
	require.NoError(t, err)
	for _, c := range []struct {
		off   quantity.Length
		away  string
		least float64 // metres
	}{
		{0, "0.03 m", 0.03}, {20 * quantity.Millimetre, "0.01 m", 0.01}, {1_000 * quantity.Millimetre, "0.00 m", 0},
	} {
		taken, err := Take(data, Request{As: AsBoundary, Walk: &Walk{Within: 10 * quantity.Millimetre, Off: c.off, StdMM: 30, Factor: 1}})
		require.NoError(t, err)
		assert.Regexp(t, "away from the track +"+c.away, strings.Join(taken.Notes, "\n"))
		for _, m := range taken.Marks {
			at := frame.ToLocal(m.geodetic())
			for i := range walk {
				a, b := frame.ToLocal(walk[i].geodetic()), frame.ToLocal(walk[(i+1)%len(walk)].geodetic())
				e, n := b.EastM-a.EastM, b.NorthM-a.NorthM
				left := (float64(e*(at.NorthM-a.NorthM)) - float64(n*(at.EastM-a.EastM))) / math.Hypot(e, n)
				assert.GreaterOrEqual(t, left, c.least, "%v: %s from edge %d", c.off, m.Name, i)
			}
		}
	}
}

// A fix keeps its number where the receiver stood still before it.
func TestFixesKeepTheirNumbers(t *testing.T) {
	still := strings.Repeat("[6,45],", 10)
	data, err := Read([]byte(`{"type": "LineString", "coordinates": [`+still+`[6.0002,45.0000005],[6.0005,45],[6.0005,45.0005],[6,45.0005],[6,45]]}`), Options{})
	require.NoError(t, err)
	taken, err := Take(data, Request{As: AsRoute, Walk: &Walk{Within: 100 * quantity.Millimetre, StdMM: 10, Factor: 1}})
	require.NoError(t, err)
	notes := strings.Join(taken.Notes, "\n")
	assert.Regexp(t, `fixes +15\n`, notes)
	assert.Contains(t, notes, "farthest fix, number 11 ")
}

// Only fixed solutions are taken of a log; a half walk is no ring.
func TestLogs(t *testing.T) {
	walk := walked(2, 5)
	walk.Fixes, walk.Quality = 300, func(i int) int { return 4 + i%2 }
	log := walk.Text()
	data, err := Read(log, Options{})
	require.NoError(t, err)
	assert.Len(t, data.Paths[0].Points, 150)
	assert.InDelta(t, 412.6, data.Paths[0].Points[0].Height.Metres(), 0.1)
	assert.Contains(t, strings.Join(data.Notes, "\n"), "150 fixes of another quality than fixed: left out")
	_, err = Take(data, Request{As: AsBoundary, Walk: &Walk{Within: 100 * quantity.Millimetre, Gap: 2_000 * quantity.Millimetre, StdMM: 20, Factor: 2.45}})
	assert.ErrorContains(t, err, "line 1: ")
	_, err = Read(log, Options{Separation: length(47_200)})
	assert.ErrorContains(t, err, "says itself what its numbers are")
	other := walked(3, 5)
	other.Fixes = 300
	first, second := strings.SplitAfter(string(log), "\n"), strings.SplitAfter(string(other.Text()), "\n")
	both := strings.Builder{}
	for i := range min(len(first), len(second)) {
		both.WriteString(first[i] + second[i])
	}
	data, err = Read([]byte(both.String()), Options{})
	require.NoError(t, err)
	assert.Contains(t, strings.Join(data.Notes, "\n"), "300 fixes at the time of another (first in line ")
	damaged, broken := logtest.Damage(log, 3, 20)
	require.Positive(t, broken)
	data, err = Read(damaged, Options{})
	require.NoError(t, err)
	assert.Contains(t, strings.Join(data.Notes, "\n"), "sentences that are not read: ")
}

// A log is known by a sentence near its beginning, whatever a program or a cut put before it;
// a table and JSON that hold one are none.
func TestLogsAreKnown(t *testing.T) {
	sentences := string(walked(1, 5).Text())
	for name, c := range map[string]struct {
		text string
		want string
	}{
		"as it is":                     {sentences, "log"},
		"from within a sentence":       {sentences[9:], "log"},
		"behind a time stamp":          {"[09:00:00.12] " + sentences, "log"},
		"behind another text":          {"opened\r\n" + sentences, "log"},
		"behind a binary frame":        {"\xb5\x62\x00\xff" + sentences, "log"},
		"a sentence in a text of JSON": {`{"type": "Point", "note": "` + sentences[:strings.Index(sentences, "\r")] + `", "coordinates": [6, 45]}`, "GeoJSON"},
		"a table with a dollar":        {"name,lat,lon\n$GP,45.3,6.1\n", "table"},
	} {
		data, err := Read([]byte(c.text), Options{})
		if assert.NoError(t, err, name) {
			assert.Contains(t, data.Format, c.want, name)
		}
	}
}
