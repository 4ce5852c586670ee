// The firmware example is built for an emulated 32-bit Cortex-M3 board, run
// through every scenario, and judged twice: by its transcript, which is a golden
// file, and by facts about where the simulated rover truly was.
//
// This file: building, running, and the facts. nmea_test.go: the sentence reader.
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
	speed int64        // mm/s
	asked bool         // the firmware wants the drive powered
	power bool         // and the watchdog lets it
}

func readTrace(t *testing.T, path string) []moment {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var all []moment
	for line := range strings.Lines(string(text)) {
		var m moment
		var heading, asked, power int
		_, err := fmt.Sscan(line, &m.ms, &m.at.E, &m.at.N, &heading, &m.speed, &asked, &power)
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
	// waits is for how long the drive is powered although nobody runs the
	// program: the watchdog's time.
	waits int64
	// byHand is from when on the rover is carried about without power.
	byHand int64
}

var scenarios = []scenario{
	{name: "complete", starts: 1},
	{name: "release", starts: 2, stops: []string{"hold-to-run released", "hold-to-run released"}},
	{name: "emergency", starts: 2, stops: []string{"emergency stop, reset needed", "hold-to-run released"}},
	{name: "contact", starts: 2, stops: []string{"emergency stop, reset needed", "hold-to-run released"}},
	{name: "stale", starts: 2, stops: []string{"fix too old", "hold-to-run released"}},
	{name: "float", starts: 2, stops: []string{"fix quality too low for too long", "fix quality too low for too long"}},
	{name: "frozen", starts: 2, stops: []string{"fix too old", "fix too old"}},
	{name: "fence", starts: 2, stops: []string{"too near the fence", "hold-to-run released"}, byHand: 126_000},
	{name: "astray", starts: 2, stops: []string{"outside the fence", "fix far from the site"}},
	{name: "steering", starts: 1, stops: []string{"too far from the line"}},
	{name: "hang", starts: 2, stops: []string{"step called too late", "step called too late"}, waits: 100},
}

// One build serves every test that drives the walnut grove.
func TestWalnutGrove(t *testing.T) {
	f := build(t, "../walnut-grove/mission.yaml", &gen.Shift{}) // zero, as the simulated receiver has it
	t.Run("scenarios", func(t *testing.T) { runScenarios(t, f) })
	t.Run("sentences say where the rover is", func(t *testing.T) { sentencesSayWhereTheRoverIs(t, f) })
	t.Run("scenario files that cannot be read", func(t *testing.T) { wrongScenarioFiles(t, f) })
	t.Run("static analysis", func(t *testing.T) { staticAnalysis(t, f) })
}

// Where the mission was checked with a site shift, the board does not start without one,
// nor with one of another day's plan, and says why.
func TestNoStartWithoutAShift(t *testing.T) {
	script := filepath.Join(t.TempDir(), "shift.txt")
	require.NoError(t, os.WriteFile(script, []byte("1000 hold 1\n3000 hold 0\n4000 end\n"), 0o644))
	text := build(t, "../walnut-grove/mission.yaml", nil).drive(t, script)
	assert.Contains(t, text, "no site shift of this plan")
	assert.Contains(t, text, "start refused")
	assert.NotContains(t, text, "started")

	// A shift of some metres puts the rover elsewhere: it is not at the start.
	text = build(t, "../walnut-grove/mission.yaml", &gen.Shift{EastMM: 3000}).drive(t, script)
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
			r.startsAndStops(t)
			r.powerComesOnByTheOperatorOrAfterADwell(t)
			r.staysClear(t)
			r.comesToRestInTime(t)
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

// The drive is never re-enabled by itself: each time that it comes on, either the
// operator pressed the switch at that moment, or the mission went on after a
// dwell that no stop had broken off.
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
		pressed, departed, broken := false, false, false
		for _, l := range r.lines {
			switch {
			case l.ms > since:
			case l.machine && l.text == "hold 1" && since-l.ms <= 50:
				pressed = true
			case !l.machine && strings.HasPrefix(l.text, "departed") && l.ms == since:
				departed = true
			case !l.machine && strings.HasPrefix(l.text, "arrived"):
				broken = false
			case !l.machine && strings.HasPrefix(l.text, "STOPPED"):
				broken = true
			}
		}
		assert.True(t, pressed || departed && !broken, "power at %d ms by nobody", since)
	}
	arrivedAtOnce := 0 // a start on the waypoint itself needs no power
	starts, arrivals := r.events("started"), r.events("arrived")
	for _, s := range starts {
		for _, a := range arrivals {
			if a.ms-s.ms == 10 {
				arrivedAtOnce++
			}
		}
	}
	assert.LessOrEqual(t, on, len(starts)+len(r.events("departed")))
	assert.GreaterOrEqual(t, on, len(starts)+len(r.events("departed"))-arrivedAtOnce)
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

// comesToRestInTime: after each stop under power, the way from where the rover
// was when its last good fix held to where it stands is within the stopping
// distance that the board reckons with, and that of the released hold within the
// plan's own.
func (r run) comesToRestInTime(t *testing.T) {
	rover := r.plan.Board.Tables.Rover
	for _, stop := range r.events("STOPPED") {
		if !r.at(stop.ms).asked {
			continue // it stood, or was being pushed
		}
		leg, err := strconv.Atoi(strings.Fields(stop.text)[2])
		require.NoError(t, err)
		speed := r.plan.Route.Legs[leg].SpeedMMPerS
		rest := r.restAfter(t, stop.ms)
		good := r.fixBefore(t, stop.ms)
		age := min(stop.ms-good.seen, int64(rover.StaleAfterMS))
		allowed := int64(rover.StoppingMM(&r.plan.Board.Tables.Legs[leg], uint32(speed), uint32(age))) + speed*r.waits/1000
		way := math.Sqrt(float64(rest.at.Sub(r.at(good.ms).at).Norm2()))
		// 2 mm: two places rounded to whole millimetres.
		assert.LessOrEqual(t, way, float64(allowed)+2, "stop at %d ms: fix of %d ms, seen at %d ms", stop.ms, good.ms, good.seen)
		assert.Greater(t, way, 0.0)

		if strings.Contains(stop.text, "hold-to-run released") {
			var released int64
			for _, l := range r.lines {
				if l.machine && l.text == "hold 0" && l.ms <= stop.ms {
					released = l.ms
				}
			}
			way := math.Sqrt(float64(rest.at.Sub(r.at(released).at).Norm2()))
			assert.LessOrEqual(t, way, float64(r.plan.Route.Legs[leg].Stopping.FromHoldMM)+2, "released at %d ms", released)
		}
	}
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

// isComplete: every waypoint was reached, in order, within its tolerance, with
// its dwell, and the rover stands at the last one, truly.
func (r run) isComplete(t *testing.T) {
	arrivals := r.events("arrived")
	require.Len(t, arrivals, len(r.plan.Route.Legs))
	require.Len(t, r.events("FINISHED"), 1)
	assert.Empty(t, r.events("missed"))
	for i, a := range arrivals {
		leg := r.plan.Route.Legs[i]
		end := r.plan.Route.Waypoints[leg.To]
		mark := r.plan.Survey.Marks[end.Mark]
		rest := r.restAfter(t, a.ms)
		assert.LessOrEqual(t, math.Sqrt(float64(rest.at.Sub(mark.Point).Norm2())), float64(end.ToleranceMM), "at rest within the tolerance of %s", mark.Name)
		if i+1 < len(arrivals) {
			departed := r.events("departed")[i]
			assert.GreaterOrEqual(t, departed.ms-rest.ms, end.DwellMS, "the dwell at %s", mark.Name)
			assert.Equal(t, rest.at, r.at(departed.ms).at, "still at %s", mark.Name)
		}
	}
	last := r.truth[len(r.truth)-1]
	assert.Zero(t, last.speed)
	assert.False(t, last.asked)
}

// fix is a usable sentence of a recording.
type fix struct {
	ms, seen int64 // when it held, and when the firmware could use it
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
		if sum(body) != l || fields[6] != "4" {
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

// fixBefore is the last fix that the firmware had at a time. It holds for its
// instant and arrives after the latency, at the next turn of the loop.
func (r run) fixBefore(t *testing.T, ms int64) fix {
	t.Helper()
	for i := len(r.fixes) - 1; i >= 0; i-- {
		f := r.fixes[i]
		f.seen = (f.ms + int64(r.plan.Board.Tables.Rover.LatencyMS) + 9) / 10 * 10
		if f.seen <= ms {
			return f
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
	require.NoError(t, os.WriteFile(script, []byte("0 noise 0\n1000 hold 1\n60000 end\n"), 0o644))
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
	for name, c := range map[string]struct{ script, want string }{
		"unknown word":      {"1000 fly 1\n2000 end\n", "unknown word"},
		"number out of use": {"1000 quality 10\n2000 end\n", "wrong numbers"},
		"no time":           {"hold 1\n", "cannot be read"},
		"a word for number": {"1000 hold on\n", "cannot be read"},
		"no end":            {"1000 hold 1\n", "no end"},
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
}
