// merestone shift with receivers' logs in place of a file of fixes: the shift that it finds,
// the day that they say, and what it refuses. The logs are made from a seed.
package cli

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/geodesy"
	"merestone/internal/logtest"
	"merestone/internal/missiontest"
)

// fieldDay puts logs of the walnut grove's control marks into the current folder. As in
// shift.txtar, the base of the day reads them 470.6 mm too far west and 500.1 mm too far north.
func fieldDay(t *testing.T) {
	mission, err := filepath.Abs(filepath.Dir(missiontest.Example(t, "walnut-grove")))
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	require.NoError(t, os.CopyFS("grove", os.DirFS(mission)))
	places := map[string][2]geodesy.Nanodegree{"K1": {45_301_177_508, 6_123_343_004}, "K2": {45_301_718_061, 6_124_177_304}}
	morning := time.Date(2026, 5, 10, 8, 12, 0, 0, time.UTC)
	log := func(name, mark string, seed uint64, from time.Time, change func(*logtest.Log)) {
		l := logtest.Log{Seed: seed, Latitude: places[mark][0], Longitude: places[mark][1], HeightM: 412.6, SeparationM: 47, From: from, Every: time.Second, Fixes: 1200,
			StdMM: [3]float64{5, 6, 12}, TimeConstant: 4 * time.Second, WhiteMM: 2, Order: []string{"RMC", "GGA", "GST"}}
		if change != nil {
			change(&l)
		}
		require.NoError(t, os.WriteFile(name, l.Text(), 0o644))
	}
	log("K1.nmea", "K1", 1, morning, nil)
	log("K2.nmea", "K2", 2, morning.Add(time.Hour), nil)
	log("K2-next-day.nmea", "K2", 3, morning.AddDate(0, 0, 2), nil)
	log("undated.nmea", "K2", 4, morning.Add(time.Hour), func(l *logtest.Log) { l.Order = []string{"GGA", "GST"} })
	log("float.nmea", "K2", 5, morning.Add(time.Hour), func(l *logtest.Log) { l.Quality = func(int) int { return 5 } })
	log("midnight.nmea", "K2", 6, time.Date(2026, 5, 10, 23, 50, 0, 0, time.UTC), nil)
	text, err := os.ReadFile("K2.nmea")
	require.NoError(t, err)
	damaged, _ := logtest.Damage(text, 3, 10)
	require.NoError(t, os.WriteFile("damaged.nmea", damaged, 0o644))
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	_, err = w.Write(text)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.NoError(t, os.WriteFile("K2.gz", packed.Bytes(), 0o644))
	require.NoError(t, os.WriteFile("cut.gz", packed.Bytes()[:packed.Len()*95/100], 0o644))
	require.NoError(t, os.WriteFile("a=b.csv", []byte("name,latitude,longitude,uncertainty\nK1,45.301177508,6.123343004,1 cm\nK2,45.301718061,6.124177304,1 cm\n"), 0o644))
	require.NoError(t, os.WriteFile("empty.nmea", nil, 0o644))
}

func TestShiftByLogs(t *testing.T) {
	fieldDay(t)
	const grove = "grove/mission.yaml"
	for _, c := range []struct {
		fact           string
		args           []string
		in             string // a file
		status         int
		stdout, stderr string // patterns; where stderr has none there is nothing but notes
	}{
		{"two marks", []string{grove, "K1=K1.nmea", "K2=K2.nmea"}, "", 0, `(?s)K1: ± \d\.\d mm\n  occupied 2026-05-10 08:12:00 to 08:31:59 UTC: 1\d\d\d (of 1200 )?fixes, .*log K1.nmea, SHA-256.*shift: \+4[67]\d\.\d mm east, -(49|50)\d\.\d mm north .*day 20260510, `, ""},
		{"packed", []string{grove, "K1=K1.nmea", "K2=K2.gz"}, "", 0, `log K2.gz, SHA-256`, ""},
		{"standard input", []string{grove, "K1=-", "K2=K2.nmea"}, "K1.nmea", 0, `log standard input, SHA-256`, ""},
		{"the mission from standard input", []string{"-", "K1=K1.nmea", "K2=K2.nmea"}, grove, 0, `shift: `, ""},
		{"an occupation of each mark, twice", []string{grove, "K1=K1.nmea", "K2=K2.nmea", "K2=midnight.nmea"}, "", 0, `(?s)K2: .*K2.nmea.*midnight.nmea.*day 20260510`, ""},
		{"a header, of the logs' day", []string{grove, "K1=K1.nmea", "K2=K2.nmea", "-o", "-"}, "", 0, `20260510u, /\* day \*/`, ""},
		{"the day that they are of", []string{grove, "K1=K1.nmea", "K2=K2.nmea", "--day", "2026-05-10"}, "", 0, `day 20260510`, ""},
		{"over midnight, the second day", []string{grove, "K1=K1.nmea", "K2=midnight.nmea", "--day", "2026-05-11"}, "", 0, `day 20260511`, ""},
		{"another day", []string{grove, "K1=K1.nmea", "K2=K2.nmea", "--day", "2026-05-11"}, "", 2, "", `^merestone: the logs are of 2026-05-10 \(UTC\), and not of --day 2026-05-11\n$`},
		{"logs of two days", []string{grove, "K1=K1.nmea", "K2=K2-next-day.nmea"}, "", 2, "", `the logs are of 2026-05-10 to 2026-05-12: the base may have come up anew in between`},
		{"a log without a day", []string{grove, "K1=K1.nmea", "K2=undated.nmea", "-o", "s.h"}, "", 2, "", `not every log says its day \(RMC, ZDA\): -o needs --day`},
		{"a log without a day, which is said", []string{grove, "K1=K1.nmea", "K2=undated.nmea", "-o", "-", "--day", "2026-05-10"}, "", 0, `20260510u, /\* day \*/`, ""},
		{"no fixed solution", []string{grove, "K1=K1.nmea", "K2=float.nmea", "-o", "s.h"}, "", 1, `^K1: ± .*\n(.*\n)*K2: no place; see what is said of it\n$`, `(?s)float.nmea: error: none of 1200 fixes is fixed: there are 1200 float fixes \[occupy.quality\].*K1.nmea, float.nmea: refused \(1 error, .*no header is written`},
		{"nothing", []string{grove, "K1=empty.nmea", "K2=K2.nmea"}, "", 1, `K1: no place`, `empty.nmea: error: there is no fix in the log \[occupy.few\]`},
		{"a mark is missing", []string{grove, "K1=K1.nmea"}, "", 1, `shift: `, `(?s)grove/mission.yaml:\d+:\d+: error: there is no fix on the control mark K2 \[shift.missing-mark\]`},
		{"marks mistaken for each other", []string{grove, "K1=K2.nmea", "K2=K1.nmea"}, "", 1, `shift: `, `\[shift.fit\]`},
		{"another mark", []string{grove, "K1=K1.nmea", "P1=K2.nmea"}, "", 1, `shift: `, `K2.nmea: error: mark P1 is no control mark of the mission \[shift.other-mark\]`},
		{"damaged", []string{grove, "K1=K1.nmea", "K2=damaged.nmea"}, "", 0, `shift: \+4[67]\d`, `damaged.nmea: warning: \d+ refused of \d+ sentences: .* \[occupy.log\]`},
		{"cut off", []string{grove, "K1=K1.nmea", "K2=cut.gz"}, "", 0, `shift: \+4[67]\d`, `cut.gz: warning: the packed log ends early: all that is there was read \[occupy.log\]`},
		{"one log twice", []string{grove, "K1=K1.nmea", "K1=K1.nmea"}, "", 2, "", `mark K1: K1.nmea and K1.nmea are `},

		{"no such mark", []string{grove, "K9=K1.nmea"}, "", 2, "", `^merestone: K9=K1.nmea: there is no mark K9 in the mission; a file of this name is written ./K9=K1.nmea\n$`},
		{"no such file", []string{grove, "K1=none.nmea"}, "", 2, "", `cannot read none.nmea: no such file or directory`},
		{"no name", []string{grove, "=K1.nmea"}, "", 2, "", `merestone shift: "=K1.nmea" is no NAME=LOG`},
		{"a file without a name", []string{grove, ""}, "", 2, "", `merestone shift: OCCUPATIONS has no name`},
		{"no log", []string{grove, "K1="}, "", 2, "", `merestone shift: "K1=" is no NAME=LOG`},
		{"a file of fixes and a log", []string{grove, "today.csv", "K1=K1.nmea"}, "", 2, "", `merestone shift: OCCUPATIONS are NAME=LOG for each mark, or one CSV file; "today.csv" is not the one, and there is more than the other`},
		{"a file of fixes with an equals sign", []string{grove, "./a=b.csv"}, "", 0, `471 mm east`, ""},
		{"more logs than are kept", append([]string{grove}, slices.Repeat([]string{"K1=K1.nmea"}, 21)...), "", 2, "", `merestone shift: at most 20 logs at a time, but there are 21`},
		{"standard input twice", []string{grove, "K1=-", "K2=-"}, "", 2, "", `merestone shift: one of MISSION and OCCUPATIONS can be standard input, and no more`},
	} {
		var in bytes.Buffer
		if c.in != "" {
			text, err := os.ReadFile(c.in)
			require.NoError(t, err)
			in.Write(text)
		}
		var out, errs bytes.Buffer
		if c.args[0] == "-" { // whose marks_file lies beside it
			t.Chdir("grove")
			for i := range c.args {
				c.args[i] = strings.Replace(c.args[i], "=", "=../", 1)
			}
		}
		status := Run(append([]string{"shift"}, c.args...), &in, &out, &errs)
		if c.args[0] == "-" {
			t.Chdir("..")
		}
		assert.Equal(t, c.status, status, "%s: %s", c.fact, errs.String())
		assert.Regexp(t, c.stdout, out.String(), c.fact)
		if c.stderr == "" {
			assert.NotRegexp(t, `warning:|error:|merestone`, errs.String(), c.fact)
		}
		assert.Regexp(t, c.stderr, errs.String(), c.fact)
		assert.NoFileExists(t, "s.h", c.fact)
	}
}

// For programs: which logs it rests on, by digests that other tools tell, too.
func TestShiftByLogsInJSON(t *testing.T) {
	fieldDay(t)
	var out, errs bytes.Buffer
	require.Equal(t, 0, Run([]string{"shift", "grove/mission.yaml", "K2=K2.gz", "K1=K1.nmea", "--format", "json"}, nil, &out, &errs), errs.String())
	var report struct {
		Shift struct {
			Day    string
			EastMM int64 `json:"east_mm"`
			Logs   []map[string]string
		}
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &report))
	assert.Equal(t, "2026-05-10", report.Shift.Day)
	assert.InDelta(t, 470.6, report.Shift.EastMM, 6)
	require.Len(t, report.Shift.Logs, 2)
	for i, file := range []string{"K2.gz", "K1.nmea"} {
		assert.Equal(t, map[string]string{"mark": file[:2], "file": file, "sha256": digestBy(t, file)}, report.Shift.Logs[i])
	}
	out.Reset()
	require.Equal(t, 1, Run([]string{"shift", "grove/mission.yaml", "K1=float.nmea", "--format", "json"}, nil, &out, &errs))
	assert.Regexp(t, regexp.MustCompile(`"rule": "occupy.quality"`), out.String())
	assert.Regexp(t, regexp.MustCompile(`"shift": null`), out.String())
}

// digestBy asks sha256sum.
func digestBy(t *testing.T, file string) string {
	said, err := exec.Command("sha256sum", file).Output()
	require.NoError(t, err)
	return strings.Fields(string(said))[0]
}
