package occupy

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"merestone/internal/logtest"
	"merestone/internal/nmea"
	"merestone/spec"
)

// Whatever a log says, there is a mark within its fixes that a mission reads as it is
// written, or a reason why there is none.
func FuzzOccupy(f *testing.F) {
	l := logtest.Log{
		Seed: 1, Latitude: 45_301173008, Longitude: 6_123349004, HeightM: 412.56, SeparationM: 48.2, Every: time.Second,
		From: time.Date(2026, 5, 10, 8, 0, 0, 0, time.UTC), Fixes: 30, StdMM: [3]float64{8, 8, 14}, WhiteMM: 3, Order: []string{"GGA", "GST"},
	}
	f.Add(l.Text())
	l.Leaves = func(i int) []string {
		if i%3 == 0 {
			return []string{"GST"}
		}
		return nil
	}
	l.Every, l.Decimals = 6*time.Minute, 5
	f.Add(l.Text())
	l.Every, l.Longitude = 20*time.Minute, 179_999999990
	f.Add(l.Text())
	l.Latitude, l.StdMM = 89_900000000, [3]float64{1e8, 1e8, 1e9}
	f.Add(l.Text())
	f.Fuzz(func(t *testing.T, text []byte) {
		o := Options{Mark: "B", Accept: []nmea.Quality{nmea.Fixed, nmea.Single}, PlumbRad: 0.01}
		log, err := ReadLog("log", nmea.NewReader(bytes.NewReader(text)), o)
		require.NoError(t, err)
		r, err := Occupy([]*Log{log}, o)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		for _, finding := range r.Findings {
			said := finding.Message() + finding.Remedy
			require.NotContains(t, said, "NaN")
			require.NotContains(t, said, "%!")
		}
		if r.Refused() {
			return
		}
		e := r.Covariance.Ellipse()
		require.True(t, e.Major > 0 && !math.IsInf(e.Major, 0), "%+v", r.Covariance)
		low, high := log.fixes[0].latitude, log.fixes[0].latitude
		for _, fix := range log.fixes {
			low, high = min(low, fix.latitude), max(high, fix.latitude)
		}
		// The mean is of places in a plane, and that of a wide log is a little off the ground.
		slack := 1 + (high-low)/100
		require.True(t, r.Place.Latitude >= low-slack && r.Place.Latitude <= high+slack, "%v is not from %v to %v", r.Place.Latitude, low, high)

		read := spec.Parse("mission.yaml", []byte("marks:\n"+r.YAML("")), nil)
		for _, finding := range read.Findings {
			require.False(t, strings.HasPrefix(finding.String(), "error") && finding.At.Line > 1, "%v\n%s", finding, r.YAML(""))
		}
	})
}
