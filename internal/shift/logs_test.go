// What of receivers' logs is taken for a shift, and of which days they are.
package shift

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/geodesy"
	"merestone/internal/logtest"
	"merestone/internal/missiontest"
	"merestone/internal/nmea"
	"merestone/internal/occupy"
)

// Fixes count that have the quality with which the rover may drive: the uncertainty that
// the mission was checked with is of them.
func TestQualitiesOfLogs(t *testing.T) {
	grove := missiontest.Example(t, "walnut-grove")
	p := missiontest.Resolve(t, grove)
	assert.Equal(t, occupy.Options{Mark: "K1", Accept: []nmea.Quality{nmea.Fixed}, Centring: occupy.UsualCentring, Today: true}, Asked(p, "K1"))
	p = missiontest.Resolve(t, grove, missiontest.Edit{"required: fixed", "required: float"})
	assert.Equal(t, []nmea.Quality{nmea.Fixed, nmea.Float}, Asked(p, "K1").Accept)
}

// The place of a mark is where the log was made, to what its noise lets expect, whatever
// height the antenna had: the board takes fixes at the origin's.
func TestPlacesOfLogs(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"))
	from := time.Date(2026, 5, 10, 23, 58, 0, 0, time.UTC)
	const latitude, longitude = 45_301_177_508, 6_123_343_004
	want := p.Site.Frame.ToLocal(geodesy.Geodetic{Latitude: latitude, Longitude: longitude, HeightM: p.Site.Origin.HeightM})
	for _, height := range []float64{412.6, 612.6} {
		log := logtest.Log{Seed: 9, Latitude: latitude, Longitude: longitude, HeightM: height, SeparationM: 47, From: from, Every: time.Second, Fixes: 1800,
			StdMM: [3]float64{5, 5, 10}, TimeConstant: 4 * time.Second, Order: []string{"GGA", "GST", "ZDA"}}
		read, err := occupy.ReadLog("K1.nmea", nmea.NewReader(bytes.NewReader(log.Text())), Asked(p, "K1"))
		require.NoError(t, err)
		r, err := occupy.Occupy([]*occupy.Log{read}, Asked(p, "K1"))
		require.NoError(t, err)
		require.False(t, r.Refused())
		m := meanOf(p, r)
		// 5 mm by √(1800 s/(2·4 s)) = 15 is 0.33 mm; five of that.
		assert.InDelta(t, want.EastM*1000, m.EastMM, 1.7)
		assert.InDelta(t, want.NorthM*1000, m.NorthMM, 1.7)
		assert.True(t, m.StdMM > 2 && m.StdMM < 3, "2 mm of centring on top: %v", m)
		first, last, dated := Days([]occupy.Result{r})
		assert.Equal(t, []any{from, from.Add(1799 * time.Second), true}, []any{first, last, dated})
	}
	_, _, dated := Days(nil)
	assert.False(t, dated)
}
