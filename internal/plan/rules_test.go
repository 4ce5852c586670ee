package plan_test

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/internal/quantity"
	"merestone/spec"
)

// Every finding of this package is of a rule that is declared and documented here.
func TestEveryRuleIsDocumented(t *testing.T) {
	var documented, used []string
	for _, r := range plan.Rules() {
		documented = append(documented, string(r.ID))
	}
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	declared := map[string]string{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, c := range regexp.MustCompile(`\t(rule\w+) +diag\.ID = "(.+)"`).FindAllStringSubmatch(string(text), -1) {
			declared[c[1]] = c[2]
		}
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, call := range regexp.MustCompile(`r\.fail\(([^,]+),`).FindAllStringSubmatch(string(text), -1) {
			require.NotEmpty(t, declared[call[1]], "%s: %s is no constant of this package", file, call[1])
			used = append(used, declared[call[1]])
		}
	}
	slices.Sort(used)
	slices.Sort(documented)
	assert.Equal(t, documented, slices.Compact(used))
}

// A figure that the board's tables cannot hold is told once, and one that a rule of
// check refuses is left to that.
func TestOneFigureIsToldOnce(t *testing.T) {
	for _, c := range []struct {
		edit edit
		want []string // the keys
	}{
		{edit{"distance: 0.30 m", "distance: 30 m"}, []string{"rover.coast"}},
		{edit{"  latency: 80 ms\n", "  latency: 80 ms\n  stale_after: 50 ms\n"}, nil},
	} {
		p, findings := plan.Resolve(missiontest.Parse(t, yardFile, yardText(t, c.edit)))
		var got []string
		for _, f := range findings {
			got = append(got, f.About[0].String())
		}
		assert.Equal(t, c.want, got, "%v", findings)
		assert.False(t, p.Complete())
	}
}

// What the language does not let through makes a plan that nothing is made of,
// should a mission be changed after it was read.
func TestWhatTheBoardCannotHoldIsAGap(t *testing.T) {
	for mm, whole := range map[quantity.Length]bool{300: true, 65_535: true, 65_536: false} {
		m := missiontest.Parse(t, yardFile, yardText(t))
		tolerance := mm * quantity.Metre / 1000
		m.Route.Waypoints[1].ArrivalTolerance = &tolerance
		p, findings := plan.Resolve(m)
		assert.Empty(t, findings)
		assert.Equal(t, whole, p.Complete(), "%v", p.Incomplete)
	}
}

// The rules that Resolve itself applies: far within, just within and just beyond
// each limit. The missions are changed after parsing, since the parser has ranges
// of its own. geometry.extent is in resolve_test.go.
func TestRulesOfResolve(t *testing.T) {
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
	for _, c := range []struct {
		rule   diag.ID
		what   string
		change func(*spec.Mission)
		broken bool
	}{
		{"geometry.pole", "51.62 degrees north", latitude(51_620_400_000), false},
		{"geometry.pole", "1000.1 m from the pole", latitude(89_991_046_000), false},
		{"geometry.pole", "999.8 m from the pole", latitude(89_991_048_500), true},
		{"geometry.pole", "999.8 m from the other pole", latitude(-89_991_048_500), true},
		{"geometry.antimeridian", "70 m west of it", longitude(179_999_000_000), false},
		{"geometry.antimeridian", "a mark on it", longitude(180 * geodesy.Degree), false},
		{"geometry.antimeridian", "a mark a tenth of a millimetre beyond", longitude(-180*geodesy.Degree + 1), true},
	} {
		m := missiontest.Parse(t, yardFile, yardText(t))
		c.change(m)
		_, findings := plan.Resolve(m)
		broken := false
		for _, f := range findings {
			broken = broken || f.Rule == c.rule
		}
		assert.Equal(t, c.broken, broken, "%s, %s: %v", c.rule, c.what, findings)
	}
}
