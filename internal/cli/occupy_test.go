package cli

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/logtest"
)

// k1 is a log of half an hour at 1 Hz on the grove's mark K1.
func k1(hour int) logtest.Log {
	return logtest.Log{
		Seed: uint64(hour), Latitude: 45_301173008, Longitude: 6_123349004, HeightM: 412.56, SeparationM: 48.2,
		From: time.Date(2026, 5, 10, hour, 0, 0, 0, time.UTC), Every: time.Second, Fixes: 1800,
		StdMM: [3]float64{8, 8, 14}, TimeConstant: 10 * time.Second, WhiteMM: 3,
	}
}

// inFolder is a folder with the grove and logs in it, where the test then is.
func inFolder(t *testing.T) {
	t.Helper()
	grove := os.DirFS("../../examples/walnut-grove")
	folder := t.TempDir()
	require.NoError(t, os.CopyFS(folder, grove))
	t.Chdir(folder)
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	_, err := w.Write(k1(10).Text())
	require.NoError(t, err)
	require.NoError(t, w.Close())
	half := packed.Bytes()[:packed.Len()/2]
	wrong := k1(12)
	wrong.Quality = func(int) int { return 5 }
	other := k1(8)
	other.Seed, other.OffsetMM = 9, func(time.Duration) (east, north, up float64) { return 700, 0, 0 }
	var two bytes.Buffer
	beside := other.Epochs()
	for i, e := range k1(8).Epochs() {
		two.WriteString(e.Text + beside[i].Text)
	}
	var twice, back bytes.Buffer
	for _, e := range k1(8).Epochs() {
		_, gga, _ := strings.Cut(e.Text, "GGA,")
		gga, _, _ = strings.Cut(gga, "*")
		twice.WriteString(e.Text + logtest.Sentence("QQGGA,"+gga) + "\r\n")
	}
	carried := k1(8)
	carried.OffsetMM = func(after time.Duration) (east, north, up float64) { return after.Seconds(), 0, 0 }
	carried.Quality = func(i int) int { return 4 + i/1799 }
	back.Write(k1(10).Text())
	back.Write(k1(8).Text())
	again := k1(10)
	again.OffsetMM = func(time.Duration) (east, north, up float64) { return 9, 0, 0 }
	paused := append(k1(8).Text(), again.Text()...)
	for name, text := range map[string][]byte{"paused.nmea": paused, "morning.nmea": k1(8).Text(), "noon.gz": packed.Bytes(), "half.gz": half, "float.nmea": wrong.Text(), "empty.nmea": nil, "two.nmea": two.Bytes(), "twice.nmea": twice.Bytes(), "back.nmea": back.Bytes(), "carried.nmea": carried.Text()} {
		require.NoError(t, os.WriteFile(name, text, 0o644))
	}
}

func TestOccupy(t *testing.T) {
	inFolder(t)
	digest := regexp.MustCompile(`[0-9a-f]{64}`)
	for _, c := range []struct {
		args   string
		status int
		out    []string // in this order
		err    []string
	}{
		{"morning.nmea noon.gz --mark B --setup spring", exitClean,
			[]string{"  # occupied 2026-05-10 08:00:00 to 08:29:59 UTC: 1800 fixes, ", " independent\n",
				"  # occupied 2026-05-10 10:00:00 to 10:29:59 UTC: ", "\n  # log morning.nmea, SHA-256 ", "\n  # log noon.gz, SHA-256 ", "\n  B: {latitude: 45.3011730", ", longitude: 6.1233490", ", height: 412.5", " m, uncertainty: 2 mm, setup: \"spring\"}\n"},
			[]string{"occupied        2026-05-10 08:00:00 to 08:29:59 UTC, morning.nmea\n", "  fixes         1800 of 1800 used: fixed 100 %\n", "  one fix       scatters by ", "  receiver      says ", "weighted by it\n",
				"  errors        fade in ", "  mean          known to ", "  reception     14 satellites or more, HDOP up to 0.9, corrections up to 2 s old\n", "agreement       ", "5.99 is allowed at 95 %\n", "a shift of ", "mark B          45.3011730", "  95 % ellipse  ", "  uncertainty   2 mm, one standard deviation per axis\n", "  height        412.5"}},
		{"morning.nmea --from 08:10:00 --until 08:13:00", exitClean, []string{"08:10:00 to 08:13:00 UTC: 181 fixes, a short window\n", "  MARK: {"}, []string{"[occupy.once]", "[occupy.short]", "  mean          known to no better than ", "3 min 1 s of fixes are less than", " mm in every direction\n"}},
		{"morning.nmea --pole 2m --plumb 0.3deg", exitClean, []string{"  # pole of 2 m taken off the height\n", "height: 410.5", "uncertainty: 11 mm}"}, nil},
		{"half.gz", exitClean, []string{"  MARK: {"}, []string{"half.gz: warning: the packed log ends early: all that is there was read [occupy.log]"}},
		{"float.nmea", exitFindings, nil, []string{"float.nmea: error: none of 1800 fixes is fixed: there are 1800 float fixes [occupy.quality]", "MARK: refused (1 error, 0 warnings, 0 notes); no mark is made"}},
		{"float.nmea --accept single,float", exitClean, []string{"(float 100 %)", "uncertainty: 336 mm}"}, []string{"float.nmea: warning: 1800 float fixes are used, as asked", "do: occupy the mark with a fixed solution\n"}},
		{"morning.nmea --from 09:00:00 --until 10:00:00", exitFindings, nil, []string{"error: there is no fix in the log from 09:00:00 to 10:00:00 UTC"}},
		{"empty.nmea --mark B", exitFindings, nil, []string{"empty.nmea: error: there is no fix in the log [occupy.few]"}},
		{"two.nmea", exitFindings, nil, []string{"two.nmea: error: 1800 fixes are of the time of another, at another place (first at 08:00:00 UTC): two receivers write into the log [occupy.log]", "do: log one receiver alone"}},
		{"twice.nmea", exitClean, []string{"  MARK: {"}, []string{"twice.nmea: note: 1800 fixes are of the time of another: the first of each time is used [occupy.log]", "1800 of 1800 used"}},
		{"back.nmea", exitClean, []string{"10:00:00 to 10:29:59 UTC"}, []string{"back.nmea: warning: 1800 fixes are older than one before, and left out: time goes back in the log [occupy.log]"}},
		{"carried.nmea --accept float", exitFindings, nil, []string{"fixed solutions, 2026-05-10 08:00:00 to 08:29:59 UTC, scatter by 0.52", "the antenna did not stand still"}},
		{"paused.nmea", exitFindings, nil, []string{"[occupy.disagree]", "do: cut the log in two where it pauses, if the antenna was set up anew there, so that setting up counts for each; or occupy the mark a third time"}},
		{"no.nmea", exitTrouble, nil, []string{"merestone: cannot read no.nmea: no such file or directory"}},
		{"morning.nmea morning.nmea", exitTrouble, nil, []string{"merestone: morning.nmea and morning.nmea are the same log"}},
		{"morning.nmea --accept fixed,best", exitTrouble, nil, []string{`--accept takes single, differential, pps, fixed, float, estimated, manual and simulated, but is given "fixed,best"`}},
		{"morning.nmea --from 08:12:05", exitTrouble, nil, []string{"--from and --until go together"}},
		{"morning.nmea --from 8 --until 08:12:05", exitTrouble, nil, []string{`--from: a time of day is written as 08:12:05, in UTC, but is "8"`}},
		{"morning.nmea --from 08:00:00 --until 8:62", exitTrouble, nil, []string{`--until: a time of day is written as 08:12:05, in UTC, but is "8:62"`}},
		{"morning.nmea --from 08:00:00 --until 08:00:00", exitTrouble, nil, []string{"--from and --until are the same time"}},
		{"morning.nmea --pole 2", exitTrouble, nil, []string{"--pole: 2 has no unit"}},
		{"morning.nmea --pole 40m", exitTrouble, nil, []string{"--pole is from 0 to 30 m, but is 40 m"}},
		{"morning.nmea --plumb 1deg", exitTrouble, nil, []string{"--plumb needs --pole"}},
		{"morning.nmea --pole 2m --plumb 11deg", exitTrouble, nil, []string{"--plumb is from 0 to 10 deg, but is 11 deg"}},
		{"morning.nmea --pole 2m --plumb 1m", exitTrouble, nil, []string{"--plumb: "}},
		{"morning.nmea --centring 20mm", exitClean, []string{"uncertainty: 21 mm}"}, nil},
		{"morning.nmea --centring 2", exitTrouble, nil, []string{"--centring: 2 has no unit"}},
		{"morning.nmea --centring 2m", exitTrouble, nil, []string{"--centring is from 0 to 1 m, but is 2 m"}},
		{"morning.nmea --mark B!", exitTrouble, nil, []string{`--mark "B!": the name "B!" has '!' in it`}},
		{"morning.nmea --setup -", exitTrouble, nil, []string{`--setup "-": `}},
		{"morning.nmea --into mission.yaml", exitTrouble, nil, []string{"--into needs --mark"}},
		{"morning.nmea --mark B --into -", exitTrouble, nil, []string{"--into changes a file"}},
		{"morning.nmea --dry-run", exitTrouble, nil, []string{"--dry-run goes with --into"}},
		{"morning.nmea --mark B --into mission.yaml --format json", exitTrouble, nil, []string{"--into reports as text"}},
		{"- -", exitTrouble, nil, []string{"standard input can be one LOG alone"}},
		{"", exitTrouble, nil, []string{"LOG is missing"}},
		{strings.Repeat("a ", 21), exitTrouble, nil, []string{"at most 20 logs at a time, but there are 21"}},
	} {
		t.Run(c.args, func(t *testing.T) {
			status, out, err := run(append([]string{"occupy"}, strings.Fields(c.args)...)...)
			assert.Equal(t, c.status, status, err)
			for _, want := range c.out {
				assert.Contains(t, out, want)
			}
			if c.out == nil {
				assert.Empty(t, out)
			}
			for _, want := range c.err {
				assert.Contains(t, err, want)
			}
			assert.NotContains(t, out+err, "NaN")
			assert.NotContains(t, out+err, "%!")
			assert.NotContains(t, out+err, "\x1b")
			if c.status == exitClean {
				assert.Regexp(t, digest, out)
			}
		})
	}
}

// The page shows what is printed.
func TestOccupyPage(t *testing.T) {
	page, err := filepath.Abs("../../docs/occupy.md")
	require.NoError(t, err)
	inFolder(t)
	require.NoError(t, os.WriteFile("noon.nmea", k1(10).Text(), 0o644))
	text, err := os.ReadFile(page)
	require.NoError(t, err)
	command := regexp.MustCompile(`(?m)^    merestone (occupy .*)$`).FindStringSubmatch(string(text))
	require.NotNil(t, command)
	var args []string
	for i, part := range strings.Split(command[1], `"`) { // what is in quotation marks is one argument
		if i%2 == 1 {
			args = append(args, part)
		} else {
			args = append(args, strings.Fields(part)...)
		}
	}
	status, out, stderr := run(args...)
	require.Equal(t, exitClean, status, stderr)
	const begin, end = "<!-- mark:begin -->\n```yaml\n", "```\n<!-- mark:end -->"
	before, rest, ok := strings.Cut(string(text), begin)
	require.True(t, ok)
	shown, after, ok := strings.Cut(rest, end)
	require.True(t, ok)
	if *update {
		require.NoError(t, os.WriteFile(page, []byte(before+begin+out+end+after), 0o644))
		return
	}
	assert.Equal(t, out, shown, "go test ./internal/cli -update writes it")
}

// Standard input is a log as any other.
func TestOccupyStandardInput(t *testing.T) {
	text := k1(8).Text()
	var out, err bytes.Buffer
	require.Equal(t, exitClean, Run([]string{"occupy", "-", "--mark", "B"}, bytes.NewReader(text), &out, &err), err.String())
	assert.Contains(t, out.String(), "  # log standard input, SHA-256 ")
	assert.Contains(t, out.String(), "  B: {latitude: 45.30117")
}

// The mark goes into the mission: it is shown, comes to its place, keeps its other keys, and
// the mission compiles. Once more, nothing is left to change.
func TestOccupyInto(t *testing.T) {
	inFolder(t)
	before, err := os.ReadFile("mission.yaml")
	require.NoError(t, err)
	into := []string{"occupy", "morning.nmea", "noon.gz", "--mark", "K1", "--into", "mission.yaml"}
	status, out, stderr := run(append(into, "--dry-run")...)
	require.Equal(t, exitClean, status, stderr)
	assert.Regexp(t, `^mark K1 moves 0\.00\d m(, bearing \d+ deg)?, and [+-]0\.00\d m in height\n--- mission.yaml\n\+\+\+ mission.yaml\n`, out)
	assert.Contains(t, out, "\n-  K1:   {latitude: 45.301173008, longitude: 6.123349004, height: 412.56 m, uncertainty: 1 cm}\n")
	assert.Contains(t, out, "\n+  # occupied 2026-05-10 08:00:00 to 08:29:59 UTC: ")
	after, err := os.ReadFile("mission.yaml")
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after))

	status, shown, stderr := run(into...)
	require.Equal(t, exitClean, status, stderr)
	assert.Equal(t, strings.Replace(out, "to be made", "made", 1), shown)
	after, err = os.ReadFile("mission.yaml")
	require.NoError(t, err)
	assert.Regexp(t, `(?m)^  # log noon.gz, SHA-256 [0-9a-f]{64}\n  # pole not given: .*\n  K1:   \{latitude: 45\.3011730\d\d, longitude: 6\.1233490\d\d, height: 412\.5\d\d m, uncertainty: \d mm\}$`, string(after))
	status, _, stderr = run("compile", "mission.yaml", "-o", "out")
	assert.Equal(t, exitClean, status, stderr)

	status, again, stderr := run(into...)
	require.Equal(t, exitClean, status, stderr)
	assert.True(t, strings.HasPrefix(again, "mark K1 moves 0.000 m, and +0.000 m in height\n"), again)
	twice, err := os.ReadFile("mission.yaml")
	require.NoError(t, err)
	assert.Equal(t, string(after), string(twice))

	status, out, stderr = run("occupy", "morning.nmea", "--mark", "N1", "--into", "mission.yaml")
	require.Equal(t, exitClean, status, stderr)
	assert.NotContains(t, out, "moves")
	assert.Contains(t, out, "+  N1:    {latitude: 45.3011")
	status, out, stderr = run("occupy", "morning.nmea", "--mark", "N2", "--setup", "spring", "--into", "mission.yaml")
	require.Equal(t, exitClean, status, stderr)
	assert.Regexp(t, `(?m)^\+  N2: .*, setup: "?spring"?\}$`, out)
	status, out, stderr = run("occupy", "morning.nmea", "--mark", "N2", "--into", "mission.yaml", "--dry-run")
	require.Equal(t, exitClean, status, stderr)
	assert.Contains(t, out, "mark N2 moves 0.000 m, and +0.000 m in height\nit keeps its set-up spring: give --setup, if the base stood elsewhere for these logs\n")
	status, out, _ = run("occupy", "float.nmea", "--mark", "K1", "--into", "mission.yaml")
	assert.Equal(t, exitFindings, status)
	assert.Empty(t, out)
}

// Every member of the JSON is in the manual page, and there is no other.
func TestOccupyJSON(t *testing.T) {
	inFolder(t)
	status, out, stderr := run("occupy", "morning.nmea", "noon.gz", "--format", "json")
	require.Equal(t, exitClean, status)
	assert.Empty(t, stderr)
	var report struct {
		Occupy map[string]any
		Counts map[string]int
	}
	require.NoError(t, json.Unmarshal([]byte(out), &report))
	var members []string
	var collect func(v any)
	collect = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for name, member := range v {
				members = append(members, name)
				if name != "qualities" {
					collect(member)
				}
			}
		case []any:
			for _, one := range v {
				collect(one)
			}
		}
	}
	collect(report.Occupy)
	_, page, _ := run("help", "occupy")
	listed := regexp.MustCompile(`occupy, null where no mark is made: (?s:(.*?))\. The ellipse`).FindStringSubmatch(strings.Join(strings.Fields(page), " "))
	require.NotNil(t, listed)
	said := regexp.MustCompile(`[a-z0-9_]+`).FindAllString(regexp.MustCompile(`\[(east, east_north, north)\]`).ReplaceAllString(listed[1], ""), -1)
	assert.Equal(t, slices.Compact(slices.Sorted(slices.Values(said))), slices.Compact(slices.Sorted(slices.Values(members))))
	assert.Equal(t, 1800.0, report.Occupy["logs"].([]any)[1].(map[string]any)["fixes"])

	status, out, _ = run("occupy", "float.nmea", "--format", "json")
	assert.Equal(t, exitFindings, status)
	assert.Contains(t, out, "\n  \"occupy\": null\n")
}

// A bar is drawn on a terminal, after half a second, and taken away in the end; elsewhere
// nothing is written.
func TestProgress(t *testing.T) {
	var seen bytes.Buffer
	bar := &progress{on: &seen, what: "a.nmea", of: 4_000_000}
	fmt.Fprint(bar, strings.Repeat("x", 1_000_000))
	assert.Empty(t, seen.String())
	bar.shown = bar.shown.Add(-progressAfter)
	before := bar.shown
	fmt.Fprint(bar, strings.Repeat("x", 1_000_000))
	assert.True(t, bar.shown.After(before))
	bar.shown = bar.shown.Add(time.Hour) // however slow the machine is
	fmt.Fprint(bar, "at once again")     // which is not drawn
	bar.end()
	assert.Equal(t, "\r[###############               ]  50 %  2 MB  a.nmea\x1b[K\r\x1b[K", seen.String())

	seen.Reset()
	unknown := &progress{on: &seen, what: "standard input"}
	unknown.shown = time.Now().Add(-time.Second)
	fmt.Fprint(unknown, "x")
	assert.Equal(t, "\r0 MB  standard input\x1b[K", seen.String())

	quiet := &progress{of: 1}
	quiet.shown = time.Now().Add(-time.Second)
	fmt.Fprint(quiet, "x")
	quiet.end()
	assert.False(t, quiet.visible)
}
