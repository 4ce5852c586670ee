package plan_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/geodesy"
	"merestone/internal/plan"
	"merestone/internal/quantity"
	"merestone/spec"
)

// The rules that Resolve itself applies: far within, just within and just beyond
// each limit. The missions are changed after parsing, since the parser has ranges
// of its own. geometry.extent is in resolve_test.go.
func TestRulesOfResolve(t *testing.T) {
	height := func(h quantity.Length) func(*spec.Mission) {
		return func(m *spec.Mission) { m.Site.Origin.Height = h }
	}
	// The whole yard is carried to another latitude. At the poles a degree of
	// latitude is 6 399 594 m · π/180 = 111 694 m (polar radius of curvature), so
	// 1000 m are 0.008953°.
	latitude := func(origin geodesy.Nanodegree) func(*spec.Mission) {
		return func(m *spec.Mission) {
			by := origin - m.Site.Origin.Latitude.Value
			m.Site.Origin.Latitude.Value += by
			for i := range m.Marks {
				m.Marks[i].Latitude.Value += by
			}
		}
	}
	// The yard is carried to the meridian of 180°, and one mark is put on it or
	// beyond it.
	longitude := func(of geodesy.Nanodegree) func(*spec.Mission) {
		return func(m *spec.Mission) {
			by := 179*geodesy.Degree + 999_000_000 - m.Site.Origin.Longitude.Value
			m.Site.Origin.Longitude.Value += by
			for i := range m.Marks {
				m.Marks[i].Longitude.Value += by
			}
			m.Marks[0].Longitude.Value = of
		}
	}
	tolerance := func(l quantity.Length) func(*spec.Mission) {
		return func(m *spec.Mission) { m.Route.Waypoints[1].ArrivalTolerance = &l }
	}
	debounce := func(d quantity.Duration) func(*spec.Mission) {
		return func(m *spec.Mission) { m.Holds[0].Debounce = d }
	}
	for _, c := range []struct {
		rule   string
		what   string
		change func(*spec.Mission)
		broken bool
	}{
		{"geometry.origin", "168 m high", height(168 * quantity.Metre), false},
		{"geometry.origin", "as high as land is", height(10_000 * quantity.Metre), false},
		{"geometry.origin", "a micrometre higher", height(10_000*quantity.Metre + 1), true},
		{"geometry.pole", "51.62 degrees north", latitude(51_620_400_000), false},
		{"geometry.pole", "1000.1 m from the pole", latitude(89_991_046_000), false},
		{"geometry.pole", "999.8 m from the pole", latitude(89_991_048_500), true},
		{"geometry.pole", "999.8 m from the other pole", latitude(-89_991_048_500), true},
		{"geometry.antimeridian", "70 m west of it", longitude(179_999_000_000), false},
		{"geometry.antimeridian", "a mark on it", longitude(180 * geodesy.Degree), false},
		{"geometry.antimeridian", "a mark a tenth of a millimetre beyond", longitude(-180*geodesy.Degree + 1), true},
		{"precision.bound", "a tolerance of 0.3 m", tolerance(300 * quantity.Millimetre), false},
		{"precision.bound", "the largest of 16 bits", tolerance(65_535 * quantity.Millimetre), false},
		{"precision.bound", "a millimetre more", tolerance(65_536 * quantity.Millimetre), true},
		{"holds.timing", "a debounce of 20 ms", debounce(20 * quantity.Millisecond), false},
		{"holds.timing", "one of 1000 s", debounce(1_000 * quantity.Second), false},
		{"holds.timing", "a millisecond more", debounce(1_000*quantity.Second + quantity.Millisecond), true},
	} {
		m := parse(t, yardFile, yardText(t))
		c.change(m)
		_, findings := plan.Resolve(m)
		broken := false
		for _, f := range findings {
			broken = broken || f.Rule == c.rule
		}
		assert.Equal(t, c.broken, broken, "%s, %s: %v", c.rule, c.what, findings)
	}
}
