// What the program is asked on every processor: about each mission of the tree,
// and about yards at random places, whose coordinates are numbers that nobody
// chose. They are written by the machine that asks, so all read the same.
package hosts

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/missiontest"
	"merestone/internal/pipeline"
	"merestone/internal/source"
)

const yards = 200

// questions are command lines without spaces in their words, those about the
// examples first.
func questions(t *testing.T, folder string) (examples, others []string) {
	var missions []string
	for pattern, least := range map[string]int{
		"../examples/*/*/mission.yaml": 60, "../testdata/*/mission.yaml": 1,
		"../spec/testdata/*/mission.yaml": 1, "../spec/testdata/cases/*/mission.yaml": 40, "../internal/*/testdata/*.yaml": 2,
	} {
		found, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(found), least, pattern)
		missions = append(missions, found...)
	}
	random := rand.New(rand.NewPCG(1, 2))
	driven := 0
	for i := range yards {
		file := filepath.Join(folder, fmt.Sprintf("yard%03d.yaml", i))
		require.NoError(t, os.WriteFile(file, []byte(yardSomewhere(t, random)), 0o644))
		missions = append(missions, file)
		if i%5 == 0 {
			s, err := source.File(file, nil)
			require.NoError(t, err)
			if !pipeline.Load(s).Refused() {
				driven++
			}
		}
	}
	require.Greater(t, driven, yards/5/2, "yards that can be driven, of 40: most are to give a header")
	for i, m := range missions {
		others = append(others, "compile -o - "+m) // with its findings
		switch i % 8 {
		case 0:
			others = append(others, "figures "+m, "diff "+missions[i/2]+" "+m)
		case 3:
			others = append(others, "check "+m, "diff --format json "+m+" "+missions[i/2])
		case 5:
			others = append(others, "check --format json "+m)
		}
	}
	before := "../testdata/every-key/mission.yaml"
	for i, m := range missiontest.Examples(t) {
		compile := "compile -o " + filepath.Join(folder, strconv.Itoa(i)) + " " + m
		require.NoError(t, answer([]string{compile}, io.Discard)) // so that all find the headers unchanged
		examples = append(examples, compile, "compile -o - "+m, "check "+m, "check --format json "+m, "check --format sarif "+m,
			"figures "+m, "diff "+before+" "+m, "diff --format json "+m+" "+before)
		before = m
	}
	today := filepath.Join(folder, "today.csv")
	require.NoError(t, os.WriteFile(today, []byte("name,latitude,longitude,uncertainty\n"+
		"K1,45.301177508,6.123343004,1 cm\nK1,45.301177519,6.123343014,1 cm\nK2,45.301718061,6.124177304,1 cm\nK2,45.301718071,6.124177316,1 cm\n"), 0o644))
	grove := missiontest.Example(t, "walnut-grove")
	return append(examples, "shift "+grove+" "+today, "shift --estimate-variance "+grove+" "+today), others
}

var (
	yardPlace = regexp.MustCompile(`latitude: ([-0-9.]+), longitude: ([-0-9.]+)`)
	yardTape  = regexp.MustCompile(`(?s)tape:.*?\n\n`)
)

// yardSomewhere is the yard of the plan's tests anywhere on Earth, turned, grown
// or not, each mark nudged, with a rover of its own.
func yardSomewhere(t *testing.T, r *rand.Rand) string {
	text := missiontest.Text(t, "../internal/plan/testdata/yard.yaml")
	const atLatitude, atLongitude = 51.6204, 25.9137
	latitude, longitude := -80+160*r.Float64(), -180+360*r.Float64()
	size, turn := math.Exp(r.Float64()*math.Log(200)), 2*math.Pi*r.Float64()
	sin, cos := math.Sincos(turn)
	first := true
	text = yardPlace.ReplaceAllStringFunc(text, func(place string) string {
		m := yardPlace.FindStringSubmatch(place)
		north, err := strconv.ParseFloat(m[1], 64)
		require.NoError(t, err)
		east, err := strconv.ParseFloat(m[2], 64)
		require.NoError(t, err)
		north, east = size*(north-atLatitude), size*(east-atLongitude)*math.Cos(atLatitude*math.Pi/180)
		north, east = north*cos-east*sin, east*cos+north*sin
		nudge := 1e-7 * size
		if first {
			first, nudge = false, 0
		}
		return fmt.Sprintf("latitude: %.9f, longitude: %.9f", latitude+north+nudge*r.Float64(),
			math.Remainder(longitude+east/math.Cos(latitude*math.Pi/180)+nudge*r.Float64(), 360))
	})
	text = yardTape.ReplaceAllString(text, "")
	for from, to := range map[string]string{
		"height: 168.00 m":         fmt.Sprintf("height: %.2f m", -400+5000*r.Float64()),
		"date: 2026-06-15":         fmt.Sprintf("date: 202%d-0%d-1%d", 5+r.IntN(5), 1+r.IntN(9), r.IntN(10)),
		"width: 0.40 m":            fmt.Sprintf("width: %.3f m", 0.2+0.4*r.Float64()),
		"length: 0.50 m":           fmt.Sprintf("length: %.3f m", 0.2+0.5*r.Float64()),
		"distance: 0.30 m":         fmt.Sprintf("distance: %.3f m", 0.1+0.3*r.Float64()),
		"fixed: 1 cm":              fmt.Sprintf("fixed: %.1f mm", 3+20*r.Float64()),
		"cross_track: 8 cm":        fmt.Sprintf("cross_track: %d mm\n  tilt: %.2f deg\n  heading_uncertainty: %.2f deg\n  antenna: {forward: %d mm, right: %d mm, height: %d mm}", 350+r.IntN(100), 3*r.Float64(), 3*r.Float64(), r.IntN(300), r.IntN(200), 300+r.IntN(600)),
		"arrival_tolerance: 30 cm": fmt.Sprintf("arrival_tolerance: %d mm", 650+r.IntN(200)),
		"position: entered, ":      fmt.Sprintf("position: averaged, averaged_for: %d h, control_marks: [A, C], ", 1+r.IntN(12)),
		"mission: yard":            fmt.Sprintf("mission: yard\nconfidence: %.2f %%", 90+9.9*r.Float64()),
	} {
		text = strings.Replace(text, from, to, 1)
	}
	return text
}
