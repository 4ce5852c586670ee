// The firmware example is built for an emulated 32-bit Cortex-M3 board, run
// through every scenario, and judged twice: by its transcript, which is a golden
// file, and by facts about where the simulated rover truly was.
//
// This file: building, running, and the facts. nmea_test.go: the sentence reader.
// lateness_test.go: by how much a sentence is late.
package firmware_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/figures"
	"merestone/internal/geodesy"
	"merestone/internal/guidance"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

var update = flag.Bool("update", false, "rewrite the transcripts")

// strict are the flags of every C file of the project; a warning is an error.
var strict = []string{"-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wsign-conversion", "-Wshadow", "-Wundef", "-Werror"}

func command(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoErrorf(t, err, "%s %s\n%s", name, strings.Join(args, " "), out)
	return string(out)
}

// firmware is one built program and the plan that it drives.
type firmware struct {
	plan *plan.Plan
	dir  string // headers, firmware.elf, firmware.bin
}

func (f firmware) path(name string) string { return filepath.Join(f.dir, name) }

// build writes the headers of a mission and links the firmware as small as the
// linker can make it, so that nothing is in it by chance.
func build(t *testing.T, mission string, shift *gen.Shift) firmware {
	t.Helper()
	f := firmware{plan: missiontest.Resolve(t, mission), dir: t.TempDir()}
	files, err := gen.Files(f.plan, "test")
	require.NoError(t, err)
	for _, file := range files {
		require.NoError(t, os.WriteFile(f.path(file.Name), file.Data, 0o644))
	}
	naming := fmt.Sprintf("#include \"%s_mission.h\"\n#define MISSION %s_mission\n", f.plan.Identifier, f.plan.Identifier)
	if shift != nil {
		header, err := gen.ShiftHeader(f.plan, *shift, "test")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(f.path("site_shift.h"), header, 0o644))
		naming += fmt.Sprintf("#include \"site_shift.h\"\n#define SHIFT %s_shift\n", f.plan.Identifier)
	}
	require.NoError(t, os.WriteFile(f.path("mission.h"), []byte(naming), 0o644))
	sources, err := filepath.Glob("*/*.c")
	require.NoError(t, err)
	args := append([]string{"-mcpu=cortex-m3", "-mthumb", "-Os", "-std=c99", "-ffunction-sections", "-fdata-sections"}, strict...)
	for _, source := range sources {
		if filepath.Dir(source) != "testdata" {
			args = append(args, source)
		}
	}
	args = append(args, "-Irover", "-Imachine", "-I"+f.dir, "-nostartfiles", "--specs=nosys.specs", "-Wl,--gc-sections", "-T", "machine/board.ld", "-o", f.path("firmware.elf"))
	command(t, "arm-none-eabi-gcc", args...)
	command(t, "arm-none-eabi-objcopy", "-O", "binary", f.path("firmware.elf"), f.path("firmware.bin"))
	return f
}

// emulate starts the firmware with some words and gives what it printed.
func (f firmware) emulate(words ...string) (string, error) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	out, err := exec.CommandContext(ctx, "qemu-system-arm", "-M", "mps2-an385", "-cpu", "cortex-m3", "-nographic", "-monitor", "none", "-serial", "none",
		"-semihosting", "-icount", "shift=0,sleep=off", "-kernel", f.path("firmware.elf"), "-append", strings.Join(words, " ")).CombinedOutput()
	return string(out), err
}

// drive runs a scenario to its end.
func (f firmware) drive(t *testing.T, words ...string) string {
	t.Helper()
	out, err := f.emulate(words...)
	require.NoErrorf(t, err, "scenario %s\n%s", words, out)
	return out
}

// moment is what was true of the rover at one turn of the loop.
type moment struct {
	ms    int64
	at    planar.Point // of the antenna
	speed int64        // mm/s over ground, below 0 backwards
	asked bool         // the firmware wants the drive powered
	power bool         // and the watchdog lets it
	run   uint64       // bit i: contact i says run
	held  int64        // the instant (ms) of the last position that was read
}

func readTrace(t *testing.T, path string) []moment {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var all []moment
	for line := range strings.Lines(string(text)) {
		var m moment
		var heading, asked, power int
		_, err := fmt.Sscan(line, &m.ms, &m.at.E, &m.at.N, &heading, &m.speed, &asked, &power, &m.run, &m.held)
		require.NoError(t, err, line)
		m.asked, m.power = asked == 1, power == 1
		all = append(all, m)
	}
	require.NotEmpty(t, all)
	return all
}

// line is one of the transcript: the firmware's, or (machine) the simulation's.
type line struct {
	ms      int64
	machine bool
	text    string
}

var lineForm = regexp.MustCompile(`^ *(\d+)\.(\d{3})  (~ )?(.*)$`)

func readTranscript(t *testing.T, text string) []line {
	t.Helper()
	var all []line
	for l := range strings.Lines(text) {
		m := lineForm.FindStringSubmatch(strings.TrimRight(l, "\n"))
		require.NotNil(t, m, "not a line of a transcript: %q", l)
		seconds, err := strconv.ParseInt(m[1], 10, 64)
		require.NoError(t, err)
		ms, err := strconv.ParseInt(m[2], 10, 64)
		require.NoError(t, err)
		all = append(all, line{seconds*1000 + ms, m[3] != "", m[4]})
	}
	require.NotEmpty(t, all)
	return all
}

// scenario is what must be true of a run, whatever its transcript says.
type scenario struct {
	name   string
	starts int      // by the operator
	stops  []string // reasons, in order; each is the beginning of those of one stop
	// powerUps is how often the program begins after the first time.
	powerUps int
	// byHand is from when on the rover is carried about without power.
	byHand int64
}

var scenarios = []scenario{
	{name: "complete", starts: 1},
	{name: "release", starts: 2, stops: []string{"hold-to-run released", "hold-to-run released"}},
	{name: "emergency", starts: 2, stops: []string{"emergency stop, reset needed", "hold-to-run released"}},
	{name: "contact", starts: 2, stops: []string{"emergency stop, reset needed", "hold-to-run released"}},
	{name: "untried", starts: 1, stops: []string{"hold-to-run released"}},
	{name: "welded", starts: 1, stops: []string{"hold-to-run released"}},
	{name: "jammed", starts: 1, stops: []string{"hold-to-run released"}},
	{name: "stale", starts: 2, stops: []string{"fix too old", "hold-to-run released"}},
	{name: "backlog", starts: 2, stops: []string{"fix too old", "hold-to-run released"}},
	{name: "float", starts: 2, stops: []string{"fix quality too low for too long", "fix quality too low for too long"}},
	{name: "frozen", starts: 2, stops: []string{"fix too old", "fix too old"}},
	{name: "stands", starts: 2, stops: []string{"fix stands still, wheels turn", "fix stands still, wheels turn"}},
	{name: "jump", starts: 2, stops: []string{"fix jumped", "hold-to-run released"}},
	{name: "astray", starts: 2, stops: []string{"outside the fence, fix jumped", "fix far from the site"}},
	{name: "fence", starts: 1, stops: []string{"too far from the line", "hold-to-run released"}, byHand: 132_000},
	{name: "steering", starts: 1, stops: []string{"too far from the line"}},
	{name: "backwards", starts: 2, stops: []string{"moving away from the waypoint", "hold-to-run released"}},
	{name: "hang", starts: 3, stops: []string{"step called too late", "hold-to-run released"}, powerUps: 1},
	{name: "power-cycle", starts: 3, stops: []string{"emergency stop, reset needed", "hold-to-run released"}, powerUps: 3},
	{name: "finished-stop", starts: 2, stops: []string{"emergency stop, reset needed", "reset needed", "hold-to-run released"}, byHand: 706_000},
}

// One build serves every test that drives the walnut grove.
func TestWalnutGrove(t *testing.T) {
	f := build(t, "../walnut-grove/mission.yaml", &gen.Shift{Day: today}) // zero, as the simulated receiver has it
	t.Run("scenarios", func(t *testing.T) { runScenarios(t, f) })
	t.Run("sentences say where the rover is", func(t *testing.T) { sentencesSayWhereTheRoverIs(t, f) })
	t.Run("scenario files that cannot be read", func(t *testing.T) { wrongScenarioFiles(t, f) })
	t.Run("static analysis", func(t *testing.T) { staticAnalysis(t, f) })
}

// today is the day that the simulated receiver says.
var today = time.Date(2026, time.May, 10, 0, 0, 0, 0, time.UTC)

// Where the mission was checked with a site shift, the board does not start without one,
// nor with that of another day, and says why.
func TestNoStartWithoutAShift(t *testing.T) {
	script := filepath.Join(t.TempDir(), "shift.txt")
	require.NoError(t, os.WriteFile(script, []byte("0 include scenarios/common/startup-test.txt\n3000 hold 1\n5000 hold 0\n6000 end\n"), 0o644))
	text := build(t, "../walnut-grove/mission.yaml", nil).drive(t, script)
	assert.Contains(t, text, "no site shift of this plan")
	assert.Contains(t, text, "start refused")
	assert.NotContains(t, text, "started")

	text = build(t, "../walnut-grove/mission.yaml", &gen.Shift{Day: today.AddDate(0, 0, 1)}).drive(t, script)
	assert.Contains(t, text, "the site shift is of another day")
	assert.Contains(t, text, "no site shift of this plan")
	assert.NotContains(t, text, "started")

	// A shift of some metres puts the rover elsewhere: it is not at the start.
	text = build(t, "../walnut-grove/mission.yaml", &gen.Shift{Day: today, EastMM: 3000}).drive(t, script)
	assert.NotContains(t, text, "no site shift of this plan")
	assert.Contains(t, text, "not at the start")
}

func runScenarios(t *testing.T, f firmware) {
	files, err := filepath.Glob("scenarios/*.txt")
	require.NoError(t, err)
	files = slices.DeleteFunc(files, func(name string) bool { return strings.HasSuffix(name, ".want.txt") })
	require.Len(t, files, len(scenarios), "every scenario of the folder is run")
	for _, s := range scenarios {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			trace, record := f.path(s.name+".trace"), f.path(s.name+".nmea")
			text := f.drive(t, "scenarios/"+s.name+".txt", "trace="+trace, "record="+record)
			golden := "scenarios/" + s.name + ".want.txt"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(text), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), text)

			r := run{scenario: s, plan: f.plan, lines: readTranscript(t, text), truth: readTrace(t, trace), fixes: readFixes(t, record)}
			r.drivesOnlyAfterTheStartUpTest(t)
			r.startsAndStops(t)
			r.powerComesOnByTheOperatorOrAfterADwell(t)
			r.staysClear(t)
			r.comesToRestInTime(t)
			r.restsWhereItArrives(t)
			if s.name == "complete" {
				r.isComplete(t)
				assert.Equal(t, text, f.drive(t, "scenarios/complete.txt", "replay="+record), "the same sentences, read from a recording")
			}
		})
	}
}

// run is one run of a scenario.
type run struct {
	scenario
	plan  *plan.Plan
	lines []line
	truth []moment
	fixes []fix
}

// events are the firmware's lines that begin with a word.
func (r run) events(word string) []line {
	var some []line
	for _, l := range r.lines {
		if !l.machine && strings.HasPrefix(l.text, word) {
			some = append(some, l)
		}
	}
	return some
}

// told are the simulation's lines that begin with a word.
func (r run) told(word string) []line {
	var some []line
	for _, l := range r.lines {
		if l.machine && strings.HasPrefix(l.text, word) {
			some = append(some, l)
		}
	}
	return some
}

func (r run) index(ms int64) int { return int((ms - r.truth[0].ms) / 10) }

// at is the moment at a time. The turns are 10 ms apart except where the program
// hangs, so the last one at or before the time is looked for.
func (r run) at(ms int64) moment {
	found := r.truth[0]
	for _, m := range r.truth {
		if m.ms > ms {
			break
		}
		found = m
	}
	return found
}

func (r run) startsAndStops(t *testing.T) {
	assert.Len(t, r.events("started"), r.starts)
	assert.Len(t, r.events("power-up"), 1+r.powerUps)
	stops := r.events("STOPPED")
	require.Len(t, stops, len(r.stops))
	for i, stop := range stops {
		_, reasons, found := strings.Cut(stop.text, "margin")
		if !found {
			reasons = stop.text
		}
		assert.Contains(t, reasons, "  "+r.stops[i], "the gravest reason of stop %d", i)
		assert.False(t, r.at(stop.ms+10).asked, "stop %d takes the power within the next turn", i)
	}
}

// After power-up, and after a power cycle that has lost the memory, the drive is not
// powered before every contact has truly been in stop for the time that counts, and then
// in run.
func (r run) drivesOnlyAfterTheStartUpTest(t *testing.T) {
	holds := len(r.plan.Board.Tables.Holds)
	require.Positive(t, holds)
	lost := r.told("spoil-memory")
	var tried, opened uint64
	since := make([]int64, holds) // in stop since; -1: in run
	for i := range since {
		since[i] = -1
	}
	for _, m := range r.truth {
		if len(lost) > 0 && m.ms > lost[0].ms {
			lost, tried, opened = lost[1:], 0, 0
		}
		for i := range holds {
			bit := uint64(1) << i
			switch {
			case m.run&bit != 0 && opened&bit != 0:
				tried |= bit
				since[i] = -1
			case m.run&bit != 0:
				since[i] = -1
			case since[i] < 0:
				since[i] = m.ms
			case m.ms-since[i] >= int64(r.plan.Board.Tables.Rover.ReleaseMS):
				opened |= bit
			}
		}
		if m.asked {
			require.Equal(t, uint64(1)<<holds-1, tried, "power at %d ms, and only these contacts were tried", m.ms)
		}
	}
}

// The drive is never re-enabled by itself: each time that it comes on, either the
// operator pressed the switch at that moment, or the mission went on after a
// dwell, or from short of a waypoint, that no stop had broken off.
func (r run) powerComesOnByTheOperatorOrAfterADwell(t *testing.T) {
	on := 0
	for i, m := range r.truth {
		if i == 0 || !m.asked || r.truth[i-1].asked {
			continue
		}
		on++
		// The trace is written before the step of its turn: the power that it
		// shows came with the turn before.
		since := r.truth[i-1].ms
		pressed, goesOn, broken := false, false, false
		for _, l := range r.lines {
			switch {
			case l.ms > since:
			case l.machine && l.text == "hold 1" && since-l.ms <= 50:
				pressed = true
			case !l.machine && (strings.HasPrefix(l.text, "departed") || strings.HasPrefix(l.text, "short of it")) && l.ms == since:
				goesOn = true
			case !l.machine && (strings.HasPrefix(l.text, "cut") || strings.HasPrefix(l.text, "dwells anew")):
				broken = false
			case !l.machine && (strings.HasPrefix(l.text, "STOPPED") || strings.HasPrefix(l.text, "power-up")):
				broken = true
			}
		}
		assert.True(t, pressed || goesOn && !broken, "power at %d ms by nobody", since)
	}
	assert.Equal(t, len(r.events("started"))+len(r.events("departed"))+len(r.events("short of it")), on)
}

// staysClear: the rover's half width stays within the fence, truly, as long as
// nobody carries the rover.
func (r run) staysClear(t *testing.T) {
	half := r.plan.Machine.Rover.HalfWidthMM
	require.Positive(t, half)
	for _, m := range r.truth {
		if r.byHand != 0 && m.ms > r.byHand && !m.asked {
			continue
		}
		if r.plan.Fence.Boundary.Region().Contains(m.at) != planar.Inside || tooNear(r.plan.Fence.Boundary.Vertices, m.at, half) {
			require.Failf(t, "outside", "at %d ms the rover reaches over the fence at %v", m.ms, m.at)
		}
		for _, o := range r.plan.Fence.Obstacles {
			if o.IsCircle && m.at.Sub(o.Circle.Centre).Norm2() < square(o.Circle.RadiusMM+half) ||
				!o.IsCircle && (o.Region().Contains(m.at) != planar.Outside || tooNear(o.Vertices, m.at, half)) {
				require.Failf(t, "in an obstacle", "at %d ms the rover reaches into %s at %v", m.ms, o.Name, m.at)
			}
		}
	}
}

func square(x int64) int64 { return x * x }

func tooNear(ring planar.Ring, p planar.Point, mm int64) bool {
	for _, e := range ring.Edges() {
		if e.SquaredToPoint(p).Less(mm) {
			return true
		}
	}
	return false
}

// comesToRestInTime: after each loss of power under way, by a stop, by the watchdog or
// with the board's supply, the way from where the rover was when its last good fix held
// to where it stands is within the stopping distance that the board reckons with, and
// that of the released hold within the plan's own.
func (r run) comesToRestInTime(t *testing.T) {
	rover := r.plan.Board.Tables.Rover
	losses := slices.Concat(r.events("STOPPED"), r.told("the watchdog"), r.told("power-cycle"))
	for _, stop := range losses {
		if !r.at(stop.ms).asked {
			continue // it stood, or was being pushed
		}
		leg := r.legAt(t, stop.ms)
		speed := r.plan.Route.Legs[leg].SpeedMMPerS
		rest := r.restAfter(t, stop.ms)
		good := r.fixAt(t, stop.ms)
		age := max(0, min(stop.ms-good.ms-int64(rover.LatencyMS), int64(rover.StaleAfterMS)))
		allowed := int64(rover.StoppingMM(&r.plan.Board.Tables.Legs[leg], uint32(speed), uint32(age)))
		way := math.Sqrt(float64(rest.at.Sub(r.at(good.ms).at).Norm2()))
		// 2 mm: two places rounded to whole millimetres.
		assert.LessOrEqual(t, way, float64(allowed)+2, "stop at %d ms: fix of %d ms", stop.ms, good.ms)
		if r.at(stop.ms).speed != 0 { // its wheels did not slip
			assert.Greater(t, way, 0.0)
		}

		if strings.Contains(stop.text, "hold-to-run released") {
			var released int64
			for _, l := range r.told("hold 0") {
				if l.ms <= stop.ms {
					released = l.ms
				}
			}
			way := math.Sqrt(float64(rest.at.Sub(r.at(released).at).Norm2()))
			assert.LessOrEqual(t, way, float64(r.plan.Route.Legs[leg].Stopping.FromHoldMM)+2, "released at %d ms", released)
		}
	}
}

// legAt is the leg of the firmware's last line that has one.
func (r run) legAt(t *testing.T, ms int64) int {
	t.Helper()
	leg := -1
	for _, l := range r.lines {
		if !l.machine && l.ms <= ms && strings.Contains(l.text, "leg ") {
			leg = r.legOf(t, l)
		}
	}
	require.GreaterOrEqual(t, leg, 0)
	return leg
}

// restAfter is the first moment of rest after a stop; the rover must stay there
// until power comes back or somebody pushes it.
func (r run) restAfter(t *testing.T, ms int64) moment {
	t.Helper()
	settle := int64(r.plan.Board.Tables.Rover.SettleMS)
	for _, m := range r.truth {
		if m.ms > ms && m.speed == 0 && m.ms-ms > int64(r.plan.Board.Tables.Rover.OutputDelayMS)+10 {
			assert.LessOrEqual(t, m.ms-ms, settle, "at rest within the time that the board allows")
			return m
		}
	}
	require.Fail(t, "never at rest", "after %d ms", ms)
	return moment{}
}

// restsWhereItArrives: whenever the firmware says that it has arrived, the rover truly
// rests without power within the tolerance of the leg's waypoint.
func (r run) restsWhereItArrives(t *testing.T) {
	for _, a := range r.events("arrived") {
		end := r.plan.Route.Waypoints[r.plan.Route.Legs[r.legOf(t, a)].To]
		mark := r.plan.Survey.Marks[end.Mark]
		m := r.at(a.ms)
		assert.Zero(t, m.speed, "at rest at %s", mark.Name)
		assert.False(t, m.asked, "without power at %s", mark.Name)
		assert.LessOrEqual(t, math.Sqrt(float64(m.at.Sub(mark.Point).Norm2())), float64(end.ToleranceMM), "at rest within the tolerance of %s", mark.Name)
	}
}

// legOf is the leg that a line of the firmware names.
func (r run) legOf(t *testing.T, l line) int {
	t.Helper()
	_, after, found := strings.Cut(l.text, "leg ")
	require.True(t, found, l.text)
	leg, err := strconv.Atoi(strings.Fields(after)[0])
	require.NoError(t, err)
	return leg
}

// isComplete: every waypoint was reached, in order, with its dwell, and the rover
// stands at the last one, truly.
func (r run) isComplete(t *testing.T) {
	arrivals := r.events("arrived")
	require.Len(t, arrivals, len(r.plan.Route.Legs))
	require.Len(t, r.events("FINISHED"), 1)
	assert.Empty(t, r.events("missed"))
	for i, a := range arrivals {
		require.Equal(t, i, r.legOf(t, a))
		if i+1 < len(arrivals) {
			departed := r.events("departed")[i]
			assert.GreaterOrEqual(t, departed.ms-a.ms, r.plan.Route.Waypoints[r.plan.Route.Legs[i].To].DwellMS, "the dwell after leg %d", i)
			assert.Equal(t, r.at(a.ms).at, r.at(departed.ms).at, "still there after leg %d", i)
		}
	}
	last := r.truth[len(r.truth)-1]
	assert.Zero(t, last.speed)
	assert.False(t, last.asked)
}

// fix is a usable sentence of a recording.
type fix struct {
	ms       int64 // when it held
	position geodesy.Geodetic
}

// readFixes reads the sentences that a firmware may use: sound, new, fixed.
func readFixes(t *testing.T, path string) []fix {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var all []fix
	for l := range strings.Lines(string(text)) {
		body, _, found := strings.Cut(strings.TrimPrefix(l, "$"), "*")
		require.True(t, found, l)
		fields := strings.Split(body, ",")
		if sum(body) != l || fields[0] != "GNGGA" || fields[6] != "4" {
			continue
		}
		var hours, minutes, seconds, ms int64
		_, err := fmt.Sscanf(fields[1], "%2d%2d%2d.%3d", &hours, &minutes, &seconds, &ms)
		require.NoError(t, err, l)
		f := fix{ms: ((hours*60+minutes)*60+seconds)*1000 + ms - 12*3600*1000}
		f.position.Latitude = geodesy.Nanodegree(angle(t, fields[2], 2))
		f.position.Longitude = geodesy.Nanodegree(angle(t, fields[4], 3))
		if len(all) == 0 || all[len(all)-1].ms != f.ms {
			all = append(all, f)
		}
	}
	require.NotEmpty(t, all)
	return all
}

func angle(t *testing.T, field string, degreeDigits int) int64 {
	t.Helper()
	degrees, err := strconv.ParseInt(field[:degreeDigits], 10, 64)
	require.NoError(t, err)
	return nanodegrees(t, degrees, field[degreeDigits:])
}

// fixAt is the last fix that the firmware had after its step at a time: of those that
// can be used the last one that it had read by then.
func (r run) fixAt(t *testing.T, ms int64) fix {
	t.Helper()
	held := r.truth[len(r.truth)-1].held
	for _, m := range r.truth {
		if m.ms > ms { // the trace is written before a turn's sentences are read
			held = m.held
			break
		}
	}
	for i := len(r.fixes) - 1; i >= 0; i-- {
		if r.fixes[i].ms <= held {
			return r.fixes[i]
		}
	}
	require.Fail(t, "no fix", "before %d ms", ms)
	return fix{}
}

// The simulated receiver is judged from outside: without noise, each sentence
// taken to the local frame by the geodesy package (floating point, checked
// against PROJ) is the rover's true place.
func sentencesSayWhereTheRoverIs(t *testing.T, f firmware) {
	script := f.path("quiet.txt")
	require.NoError(t, os.WriteFile(script, []byte("0 noise 0\n0 include scenarios/common/startup-test.txt\n3000 hold 1\n60000 end\n"), 0o644))
	f.drive(t, script, "trace="+f.path("trace"), "record="+f.path("nmea"))
	r := run{plan: f.plan, truth: readTrace(t, f.path("trace")), fixes: readFixes(t, f.path("nmea"))}
	require.Greater(t, len(r.fixes), 250)
	for _, fix := range r.fixes[1:] {
		fix.position.HeightM = f.plan.Site.Origin.HeightM
		local := f.plan.Site.Frame.ToLocal(fix.position)
		m := r.truth[r.index(fix.ms)]
		require.Equal(t, fix.ms, m.ms)
		// Half a millimetre of rounding in each axis, the conversion's 0.71 mm,
		// half a unit of 1e-7 minutes (0.1 mm).
		assert.InDelta(t, float64(m.at.E), local.EastM*1000, 1.5, "east at %d ms", fix.ms)
		assert.InDelta(t, float64(m.at.N), local.NorthM*1000, 1.5, "north at %d ms", fix.ms)
	}
}

// A tool finds in an image of the flash what it drives, although the linker threw
// away all that is not used; and there is no floating point in it.
func TestImage(t *testing.T) {
	for _, mission := range []string{"../walnut-grove/mission.yaml", "../running-track/mission.yaml", "../salt-pan/mission.yaml"} {
		f := build(t, mission, nil)
		digest := figures.Digest(f.plan)
		record := append([]byte("merestone-image\x00"), guidance.RecordFormat, 0, 0, 0)
		record = append(record, digest[:]...)
		record = append(record, f.plan.Mission...)
		for _, name := range []string{"firmware.elf", "firmware.bin"} {
			image, err := os.ReadFile(f.path(name))
			require.NoError(t, err)
			assert.Equal(t, 1, bytes.Count(image, record), "%s of %s holds the record once", name, mission)
		}
		floats := regexp.MustCompile(`__aeabi_([df]\w+|u?[il]2[df])`)
		symbols := command(t, "arm-none-eabi-nm", f.path("firmware.elf"))
		assert.Empty(t, floats.FindAllString(symbols, -1))
		assert.Contains(t, symbols, "__aeabi_uldivmod", "nm lists the compiler's own functions, so that the line above can fail")
	}
}

func staticAnalysis(t *testing.T, f firmware) {
	// Right shifts of negative numbers are a departure that the guidance header
	// explains, and checks at compile time.
	command(t, "cppcheck", "--error-exitcode=1", "--enable=warning,style,performance,portability", "--std=c99", "--suppress=shiftNegativeLHS", "--quiet",
		"-Irover", "-Imachine", "-I"+f.dir, "rover", "machine")
}

// What a scenario file cannot say is refused with words, and the emulator ends.
func wrongScenarioFiles(t *testing.T, f firmware) {
	require.NoError(t, os.WriteFile(f.path("nested.txt"), []byte("0 include scenarios/common/startup-test.txt\n"), 0o644))
	for name, c := range map[string]struct{ script, want string }{
		"unknown word":                 {"1000 fly 1\n2000 end\n", "unknown word"},
		"number out of use":            {"1000 quality 10\n2000 end\n", "wrong numbers"},
		"no time":                      {"hold 1\n", "cannot be read"},
		"a word for number":            {"1000 hold on\n", "cannot be read"},
		"no end":                       {"1000 hold 1\n", "no end"},
		"no such file":                 {"1000 include nowhere.txt\n2000 end\n", "cannot be read"},
		"a file that includes another": {"1000 include " + f.path("nested.txt") + "\n2000 end\n", "cannot be read"},
	} {
		script := f.path("wrong.txt")
		require.NoError(t, os.WriteFile(script, []byte(c.script), 0o644))
		out, err := f.emulate(script)
		assert.Error(t, err, name)
		assert.Contains(t, out, c.want, name)
	}
}

// The one command of the README, with the program of this tree.
func TestMakefile(t *testing.T) {
	dir := t.TempDir()
	merestone := filepath.Join(dir, "merestone")
	command(t, "go", "build", "-o", merestone, "merestone")
	out := command(t, "make", "--no-print-directory", "run", "SCENARIO=release", "BUILD="+filepath.Join(dir, "build"), "MERESTONE="+merestone)
	want, err := os.ReadFile("scenarios/release.want.txt")
	require.NoError(t, err)
	assert.True(t, strings.HasSuffix(out, string(want)), out)

	// The marks_file is no word of the Makefile's, and makes the headers anew.
	again := []string{"--no-print-directory", "BUILD=" + filepath.Join(dir, "build"), "MERESTONE=" + merestone, filepath.Join(dir, "build", "mission.h")}
	assert.NotContains(t, command(t, "make", again...), "compile")
	assert.Contains(t, command(t, "make", append(again, "-W", "../walnut-grove/trees.csv")...), "merestone compile ../walnut-grove/mission.yaml")
}
