// Latitude and longitude that changed places, in whole missions: of one mark, of
// all, of a file, of the origin, and near the line where they are equal.
package plan_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/spec"
)

// spot is a place in nanodegrees.
type spot struct{ latitude, longitude int64 }

func (s spot) swapped() spot { return spot{s.longitude, s.latitude} }

func (s spot) degrees() (string, string) {
	write := func(v int64) string {
		sign := ""
		if v < 0 {
			sign, v = "-", -v
		}
		return fmt.Sprintf("%s%d.%09d", sign, v/1e9, v%1e9)
	}
	return write(s.latitude), write(s.longitude)
}

// scattered resolves a mission with four marks at an origin, each of them and the
// origin the wrong way round where that is asked for; the last two are in a file.
func scattered(t *testing.T, origin spot, exchanged ...string) []diag.Finding {
	t.Helper()
	turn := func(name string, s spot) (string, string) {
		if slices.Contains(exchanged, name) {
			s = s.swapped()
		}
		return s.degrees()
	}
	var marks, file strings.Builder
	file.WriteString("name,latitude,longitude\n")
	for i, name := range []string{"A", "B", "C", "D"} {
		latitude, longitude := turn(name, spot{origin.latitude + int64(i/2)*200_000, origin.longitude + int64((i+1)/2%2)*200_000})
		if i < 2 {
			fmt.Fprintf(&marks, "  %s: {latitude: %s, longitude: %s}\n", name, latitude, longitude)
		} else {
			fmt.Fprintf(&file, "%s,%s,%s\n", name, latitude, longitude)
		}
	}
	latitude, longitude := turn("origin", origin)
	text := roomy(t, nil)
	head, rest, ok := strings.Cut(text, "marks:\n")
	require.True(t, ok)
	_, rest, ok = strings.Cut(rest, "tape:\n")
	require.True(t, ok)
	_, rest, ok = strings.Cut(rest, "route:\n")
	require.True(t, ok)
	text = head + "marks:\n" + marks.String() + "marks_file: pegs.csv\nroute:\n" + rest
	for _, swap := range [][2]string{
		{"latitude: 51.620000000, longitude: 25.910000000, height", "latitude: " + latitude + ", longitude: " + longitude + ", height"},
		{"{mark: BASE,", "{mark: A,"}, {"[F1, F2, F3, F4]", "[A, B, C, D]"}, {"centre: W", "centre: A"},
	} {
		require.Equal(t, 1, strings.Count(text, swap[0]), "%s in\n%s", swap[0], text)
		text = strings.Replace(text, swap[0], swap[1], 1)
	}
	parsed := spec.Parse("scattered.yaml", []byte(text), func(string) ([]byte, error) { return []byte(file.String()), nil })
	require.Empty(t, parsed.Findings)
	_, findings := plan.Resolve(parsed.Mission)
	return slices.DeleteFunc(findings, func(f diag.Finding) bool { return !strings.HasPrefix(string(f.Rule), "geometry.") })
}

func TestExchangedCoordinates(t *testing.T) {
	far, diagonal, mirrored := spot{51_620_000_000, 25_910_000_000}, spot{45_300_000_000, 45_310_000_000}, spot{45_300_000_000, 45_300_100_000}
	for _, c := range []struct {
		fact      string
		origin    spot
		exchanged []string
		want      []string
	}{
		{"none", far, nil, nil},
		{"one mark", far, []string{"B"}, []string{"geometry.exchanged error: latitude and longitude of mark B seem to be exchanged"}},
		{"a file", far, []string{"C", "D"}, []string{"geometry.exchanged error: latitude and longitude of all 2 marks of pegs.csv seem to be exchanged"}},
		{"some of both", far, []string{"A", "D"}, []string{"geometry.exchanged error: latitude and longitude of 2 of 4 marks (A, D) seem to be exchanged"}},
		{"all marks", far, []string{"A", "B", "C", "D"}, []string{"geometry.exchanged error: latitude and longitude of the origin, or of every mark, seem to be exchanged"}},
		{"the origin", far, []string{"origin"}, []string{"geometry.exchanged error: latitude and longitude of the origin, or of every mark, seem to be exchanged"}},
		{"all, the origin too: nothing shows it", far, []string{"origin", "A", "B", "C", "D"}, nil},
		{"south and west", spot{-33_900_000_000, -70_700_000_000}, []string{"C"}, []string{"geometry.exchanged error: latitude and longitude of mark C seem to be exchanged"}},
		{"near the diagonal, none", diagonal, nil, nil},
		{"near the diagonal, one", diagonal, []string{"B"}, []string{"geometry.exchanged warning: latitude and longitude of mark B seem to be exchanged"}},
		{"near the diagonal, the origin", diagonal, []string{"origin"}, nil},
		{"on the diagonal", mirrored, []string{"B"}, nil},
	} {
		t.Run(c.fact, func(t *testing.T) {
			var got []string
			for _, f := range scattered(t, c.origin, c.exchanged...) {
				what, how, _ := strings.Cut(f.Message(), ": ")
				got = append(got, fmt.Sprintf("%s %v: %s", f.Rule, f.Severity, what))
				assert.Regexp(t, `^as written up to ([0-9]{4}|1)\.[0-9] km from the site, the other way round within 0\.1 km of it$`, how)
			}
			assert.Equal(t, c.want, got)
		})
	}
}

// A wide site across the diagonal, one of whose marks is the mirror of the origin.
func TestAMirroredMarkOfAWideSite(t *testing.T) {
	values := map[string]string{"site.origin.latitude": "45.300000000", "site.origin.longitude": "45.310000000"}
	for i, name := range []string{"BASE", "A", "B", "C", "D", "F1", "F2", "F3", "F4", "W"} {
		latitude, longitude := spot{45_270_000_000 + int64(i)*9_000_000, 45_350_000_000 - int64(i*i%7)*11_000_000}.degrees()
		if name == "B" {
			latitude, longitude = "45.310000000", "45.300000000"
		}
		values["marks."+name+".latitude"], values["marks."+name+".longitude"] = latitude, longitude
	}
	_, findings := plan.Resolve(spec.Parse("roomy.yaml", []byte(roomy(t, values)), nil).Mission)
	assert.NotContains(t, said(findings), "geometry.exchanged")
}

// A mark on the far side of the Earth lies below the origin, east and north of
// nothing, and is not at it.
func TestTheFarSideOfTheEarth(t *testing.T) {
	found := judged(t, roomy(t, map[string]string{"marks.W.latitude": "-51.620000000", "marks.W.longitude": "-154.090000000"}))
	require.Len(t, found, 1, said(found))
	assert.Equal(t, diag.ID("geometry.extent"), found[0].Rule)
}
