// Missions driven in simulation: the examples, and missions at the limit of what check
// accepts. Seeds are fixed, so that a run is the same on every machine with the same
// floating point, and a failure comes of a change.
//
// What is asked: of n runs at least n·p end as they should, p being the confidence that
// the mission states. Where the true share is p, half of all choices of seeds would fail
// that; the bounds add up what hardly ever comes together, and the true share is well
// above: with p = 95 % and a true share of 99 % one choice of 200 seeds in 100,000 has
// more than 10 failures (binomial distribution).
package drivetest

import (
	"fmt"
	"math"
	"path/filepath"
	"runtime"
	"sort"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/guidance"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/spec"
)

// seeds is fewer where the tests run once more as a 32-bit program: what is asked there is
// whether it is the same simulation.
var seeds = map[bool]int{true: 200, false: 20}[math.MaxInt > math.MaxInt32]

// some are enough where what is asked is said another time as well, or by all runs.
var some = map[bool]int{true: 40, false: 10}[math.MaxInt > math.MaxInt32]

// tally counts how runs ended.
type tally struct {
	runs, finished, inside, within, held int
	nearestMM, share                     float64 // to the fence; of a tolerance
	crossMM                              int32
	stopped                              map[string]int
}

func (t tally) String() string {
	return fmt.Sprintf("%d runs: %d finished, %d inside (nearest %.0f mm), %d within tolerance (at most %.2f of it), cross-track up to %d mm; stopped by %v",
		t.runs, t.finished, t.inside, t.nearestMM, t.within, t.share, t.crossMM, t.stopped)
}

// driven drives a plan with every seed.
func driven(p *plan.Plan, rover Rover, trouble Trouble, seeds int) tally {
	t := tally{runs: seeds, stopped: map[string]int{}, nearestMM: math.Inf(1)}
	var alone sync.Mutex
	var all sync.WaitGroup
	next := make(chan uint64)
	for range runtime.NumCPU() {
		all.Go(func() {
			for seed := range next {
				o := Drive(p, rover, trouble, seed)
				alone.Lock()
				t.add(o)
				alone.Unlock()
			}
		})
	}
	for seed := range uint64(seeds) {
		next <- seed
	}
	close(next)
	all.Wait()
	return t
}

func (t *tally) add(o Outcome) {
	count := func(n *int, so bool) {
		if so {
			*n++
		}
	}
	count(&t.finished, o.Finished)
	count(&t.inside, !o.Touched)
	count(&t.within, o.Strayed == 0)
	count(&t.held, o.Held())
	if !o.Finished {
		t.stopped[o.StoppedBy.String()]++
	}
	t.nearestMM, t.share, t.crossMM = min(t.nearestMM, o.NearestMM), max(t.share, o.FarthestShare), max(t.crossMM, o.CrossMM)
}

// holds asks that a plan is driven as often as it states, and that the rover comes to
// rest inside whatever happens on the way.
func holds(t *testing.T, name string, p *plan.Plan) {
	t.Helper()
	whole := driven(p, Usual(), None, seeds)
	t.Log(name, whole)
	assert.GreaterOrEqual(t, float64(whole.held), p.Confidence*float64(seeds), "%s: %v", name, whole)
	for _, trouble := range []Trouble{Released, NoFixes} {
		part := driven(p, Usual(), trouble, some)
		assert.GreaterOrEqual(t, float64(part.inside), p.Confidence*float64(some), "%s, trouble %d: %v", name, trouble, part)
		assert.Less(t, part.finished, some/5, "%s, trouble %d: the trouble comes before the end", name, trouble)
	}
}

func TestExamples(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		holds(t, filepath.Base(filepath.Dir(path)), missiontest.Resolve(t, path))
	}
}

// Ground that brakes otherwise than where the roll-out was taped, and single fixes that
// jump, all the way: the rover stops, and is started again. Wherever it leaves a waypoint,
// or has finished, it rests within the tolerance, but for the errors of position, a fifth
// of it here: neither made it believe that it had arrived where it had not. (With one look
// at rest, and jumps not told, it would have left from 2.2 tolerances away.)
func TestNoRestOutsideTheToleranceGoesUnnoticed(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		name := filepath.Base(filepath.Dir(path))
		for _, c := range []struct {
			what    string
			grip    float64
			trouble Trouble
		}{{"ice", 0.3, None}, {"ice and jumps", 0.3, Jumps}, {"sand and jumps", 4, Jumps}} {
			rover := Usual()
			rover.Grip = c.grip
			tried := driven(p, rover, c.trouble, some/2)
			t.Log(name, c.what, tried)
			assert.Less(t, tried.share, 1.2, "%s, %s: %v", name, c.what, tried)
			assert.Equal(t, tried.runs, tried.inside, "%s, %s: %v", name, c.what, tried)
		}
	}
}

// accepted resolves a mission; nil where anything is wrong with it.
func accepted(text string) *plan.Plan {
	parsed := spec.Parse("mission.yaml", []byte(text), nil)
	if diag.Worst(parsed.Findings) == diag.Error || parsed.Mission == nil {
		return nil
	}
	p, findings := plan.Resolve(parsed.Mission)
	if p == nil || diag.Worst(findings) == diag.Error || diag.Worst(check.All(p)) == diag.Error {
		return nil
	}
	return p
}

// limit is a mission with one number at its limit.
type limit struct {
	name  string
	edits []missiontest.Edit // of the yard, beside the number
	// good and bad are numbers with which it is accepted and refused; at writes one.
	good, bad int64
	at        func(n int64) []missiontest.Edit
}

func one(find, format string) func(n int64) []missiontest.Edit {
	return func(n int64) []missiontest.Edit { return []missiontest.Edit{{find, fmt.Sprintf(format, n)}} }
}

func hundredths(find, format string) func(n int64) []missiontest.Edit {
	return func(n int64) []missiontest.Edit {
		return []missiontest.Edit{{find, fmt.Sprintf(format, float64(n)/100)}}
	}
}

// uncertain is a yard's rover with all that can be uncertain of one.
func uncertain(crossTrack string) missiontest.Edit {
	return missiontest.Edit{"  cross_track: 8 cm\n", "  cross_track: " + crossTrack + `
  motor_lag: 120 ms
  heading_uncertainty: 2 deg
  tilt: 2 deg
  antenna: {forward: 15 cm, right: -5 cm, height: 50 cm}
`}
}

// eastern moves the eastern wall nearer, by nanodegrees of longitude: 0.07 mm.
func eastern(n int64) []missiontest.Edit {
	return []missiontest.Edit{
		{"longitude: 25.914133155", fmt.Sprintf("longitude: 25.%09d", 914_133_155-n)},
		{"longitude: 25.914133157", fmt.Sprintf("longitude: 25.%09d", 914_133_157-n)},
	}
}

func limits() []limit {
	wide := missiontest.Edit{"arrival_tolerance: 30 cm", "arrival_tolerance: 40 cm"}
	untaped := missiontest.Edit{"tape:\n  - {from: F1, to: F2, measured: 30.00 m, uncertainty: 2 cm}\n", ""}
	steered := missiontest.Edit{"cross_track: 8 cm", "cross_track: 12 cm\n  motor_lag: 100 ms"}
	return []limit{
		{"the southern wall, near", nil, 0, 45_000, func(n int64) []missiontest.Edit { // ndeg of latitude, 0.11 mm
			return []missiontest.Edit{
				{"F1:   {latitude: 51.620400000", fmt.Sprintf("F1:   {latitude: 51.%09d", 620_400_000+n)},
				{"F2:   {latitude: 51.620399999", fmt.Sprintf("F2:   {latitude: 51.%09d", 620_399_999+n)},
			}
		}},
		{"the southern wall, near an uncertain rover on a slope", []missiontest.Edit{uncertain("20 cm"), {"arrival_tolerance: 30 cm", "arrival_tolerance: 50 cm"}, {"date: 2026-06-15", "date: 2026-06-15\n  slope: 2 %"}}, 0, 45_000, func(n int64) []missiontest.Edit {
			return []missiontest.Edit{
				{"F1:   {latitude: 51.620400000", fmt.Sprintf("F1:   {latitude: 51.%09d", 620_400_000+n)},
				{"F2:   {latitude: 51.620399999", fmt.Sprintf("F2:   {latitude: 51.%09d", 620_399_999+n)},
			}
		}},
		{"the well, near the leg", nil, 0, 80_000, func(n int64) []missiontest.Edit { // ndeg of longitude, 0.07 mm
			return []missiontest.Edit{{"W:    {latitude: 51.620489877, longitude: 25.913974332", fmt.Sprintf("W:    {latitude: 51.620489877, longitude: 25.%09d", 913_974_332+n)}}
		}},
		{"the closest arrival", nil, 300, 10, one("arrival_tolerance: 30 cm", "arrival_tolerance: %d mm")},
		{"the closest arrival of an uncertain rover", []missiontest.Edit{uncertain("20 cm")}, 600, 10, one("arrival_tolerance: 30 cm", "arrival_tolerance: %d mm")},
		{"the least cross-track", nil, 80, 1, one("cross_track: 8 cm", "cross_track: %d mm")},
		{"the highest speed", nil, 600, 5000, one("cruise: 0.60 m/s", "cruise: %d mm/s")},
		{"the poorest receiver", []missiontest.Edit{wide, {"cross_track: 8 cm", "cross_track: 20 cm"}}, 10, 100, one("fixed: 1 cm", "fixed: %d mm")},
		{"the poorest heading", []missiontest.Edit{wide}, 1, 2000, hundredths("cross_track: 8 cm", "cross_track: 15 cm\n  antenna: {forward: 20 cm, right: 10 cm, height: 0 cm}\n  heading_uncertainty: %.2f deg")},
		{"the steepest ground", []missiontest.Edit{wide}, 0, 3000, hundredths("date: 2026-06-15", "date: 2026-06-15\n  slope: %.2f %%")},
		{"the latest motors", []missiontest.Edit{wide, {"cross_track: 8 cm", "cross_track: 15 cm"}}, 0, 5000, one("turn_radius: 0 m", "turn_radius: 0 m\n  motor_lag: %d ms")},
		{"the latest fixes", []missiontest.Edit{wide, {"cross_track: 8 cm", "cross_track: 15 cm"}}, 80, 5000, one("latency: 80 ms", "latency: %d ms")},
		{"the widest turn", []missiontest.Edit{{"arrival_tolerance: 30 cm", "arrival_tolerance: 60 cm"}, steered}, 10, 5000, one("turn_radius: 0 m", "turn_radius: %d mm")},
		{"the widest turn of an uncertain rover, fast", []missiontest.Edit{{"arrival_tolerance: 30 cm", "arrival_tolerance: 1.2 m"}, {"cruise: 0.60 m/s", "cruise: 1 m/s"}, uncertain("30 cm")}, 10, 5000, one("turn_radius: 0 m", "turn_radius: %d mm")},
		{"the eastern wall, near a long rover that turns about its rear axle", []missiontest.Edit{untaped,
			{"length: 0.50 m", "length: 1.60 m"}, {"turn_radius: 0 m", "turn_radius: 0 m\n  turning_centre: -60 cm"}, {"cross_track: 8 cm", "cross_track: 20 cm\n  antenna: {forward: 20 cm, right: -10 cm, height: 0 cm}\n  motor_lag: 80 ms"},
			{"arrival_tolerance: 30 cm", "arrival_tolerance: 35 cm"},
		}, 0, 70_000, eastern},
		{"the eastern wall, near a car that swings wide of its corner", []missiontest.Edit{untaped,
			{"arrival_tolerance: 30 cm", "arrival_tolerance: 60 cm"}, {"turn_radius: 0 m", "turn_radius: 1.2 m\n  turning_centre: -15 cm"}, {"cross_track: 8 cm", "cross_track: 20 cm\n  motor_lag: 100 ms"},
		}, 0, 70_000, eastern},
		{"the longest arm of the antenna", []missiontest.Edit{{"cross_track: 8 cm", "cross_track: 12 cm"}, {"arrival_tolerance: 30 cm", "arrival_tolerance: 35 cm"}}, 0, 500, hundredths("turn_radius: 0 m", "turn_radius: 0 m\n  turning_centre: -%.2f m")},
		{"the antenna farthest behind", []missiontest.Edit{{"cross_track: 8 cm", "cross_track: 12 cm"}, {"arrival_tolerance: 30 cm", "arrival_tolerance: 35 cm"}}, 0, 500, hundredths("turn_radius: 0 m", "turn_radius: 0 m\n  turning_centre: %.2f m")},
		{"the antenna farthest behind, of a car", []missiontest.Edit{{"cross_track: 8 cm", "cross_track: 20 cm"}, {"arrival_tolerance: 30 cm", "arrival_tolerance: 60 cm"}}, 0, 500, hundredths("turn_radius: 0 m", "turn_radius: 1 m\n  turning_centre: %.2f m")},
		{"the closest arrival at 80 %", []missiontest.Edit{uncertain("20 cm"), {"mission: yard", "mission: yard\nconfidence: 80 %"}}, 600, 10, one("arrival_tolerance: 30 cm", "arrival_tolerance: %d mm")},
	}
}

// at the limit: the last number that is accepted between good and bad.
func (l limit) last(t *testing.T) (int64, *plan.Plan) {
	t.Helper()
	yard := missiontest.Text(t, filepath.Join("..", "..", "examples", "refused", "base.yaml"), l.edits...)
	plan := func(n int64) *plan.Plan { return accepted(missiontest.Changed(t, yard, l.at(n)...)) }
	require.NotNil(t, plan(l.good), "%s: %d is to be accepted", l.name, l.good)
	require.Nil(t, plan(l.bad), "%s: %d is to be refused", l.name, l.bad)
	towards := int64(1)
	if l.bad < l.good {
		towards = -1
	}
	steps := sort.Search(int((l.bad-l.good)*towards), func(i int) bool { return plan(l.good+towards*int64(i+1)) == nil })
	n := l.good + towards*int64(steps)
	return n, plan(n)
}

func TestMissionsAtTheirLimits(t *testing.T) {
	for _, l := range limits() {
		n, p := l.last(t)
		holds(t, fmt.Sprintf("%s, %d", l.name, n), p)
	}
}

// allowing is a plan whose board allows another distance from the line.
func allowing(p *plan.Plan, mm int64) *plan.Plan {
	other := *p
	other.Board.Tables.Rover.CrossTrackMM = uint16(mm)
	return &other
}

// The rule line.cross-track from both sides: with the least value that it accepts runs
// finish as often as the mission states, and with two fifths of it they do not.
func TestTheLeastCrossTrack(t *testing.T) {
	yard := missiontest.Text(t, filepath.Join("..", "..", "examples", "refused", "base.yaml"))
	plans := map[string]*plan.Plan{}
	for name, edits := range map[string][]missiontest.Edit{
		"yard":               nil,
		"a 2 cm receiver":    {{"fixed: 1 cm", "fixed: 2 cm"}},
		"an uncertain rover": {uncertain("8 cm")},
		"late fixes":         {{"latency: 80 ms", "latency: 300 ms"}, {"fix_rate: 10 Hz", "fix_rate: 4 Hz"}},
		"a heading of 5 deg": {{"cross_track: 8 cm", "cross_track: 8 cm\n  heading_uncertainty: 5 deg"}},
		"at 50 %":            {{"mission: yard", "mission: yard\nconfidence: 50 %"}, uncertain("8 cm")},
	} {
		p, _ := plan.Resolve(missiontest.Parse(t, "yard.yaml", missiontest.Changed(t, yard, edits...)))
		plans[name] = p
	}
	for _, path := range missiontest.Examples(t) {
		plans[filepath.Base(filepath.Dir(path))] = missiontest.Resolve(t, path)
	}
	for name, p := range plans {
		least := p.Route.Line.LeastMM
		enough, half := driven(allowing(p, least), Usual(), None, some), driven(allowing(p, least*2/5), Usual(), None, some)
		t.Log(name, least, "mm:", enough, "; two fifths:", half.finished)
		assert.GreaterOrEqual(t, float64(enough.finished), p.Confidence*float64(some), "%s: %v", name, enough)
		assert.Less(t, float64(half.finished), p.Confidence*float64(some), "%s: %v", name, half)
	}
	// What nothing warned of: 2 cm with a receiver of 2 cm.
	none := driven(allowing(plans["a 2 cm receiver"], 20), Usual(), None, seeds)
	assert.Zero(t, none.finished, "%v", none)
	assert.Equal(t, seeds, none.stopped[guidance.OffLine.String()], "%v", none)
}

// The simulation can fail: a wall within the body's reach is met, and a tolerance below
// the noise is missed.
func TestTheSimulationFindsFaults(t *testing.T) {
	yard := missiontest.Text(t, filepath.Join("..", "..", "examples", "refused", "base.yaml"))
	near := strings.NewReplacer("F1:   {latitude: 51.620400000", "F1:   {latitude: 51.620443500", "F2:   {latitude: 51.620399999", "F2:   {latitude: 51.620443500").Replace(yard)
	p, _ := plan.Resolve(missiontest.Parse(t, "yard.yaml", near)) // 16 cm from the leg, and the rover is 20 cm to each side
	rover := &p.Board.Tables.Rover                                // a guard that knows of no body and no way to rest
	rover.FrontMM, rover.BackMM, rover.HalfWidthMM, rover.LatencyMS, rover.CoastTopLinearQ16 = 0, 0, 0, 0, 0
	for i := range p.Board.Tables.Legs {
		p.Board.Tables.Legs[i].FenceAllowanceMM, p.Board.Tables.Legs[i].CoastBound = 0, 0
	}
	met := driven(p, Usual(), None, seeds)
	assert.Less(t, met.inside, seeds/20, "%v", met)

	p, _ = plan.Resolve(missiontest.Parse(t, "yard.yaml", missiontest.Changed(t, yard)))
	for i := range p.Route.Waypoints { // what the board believes in is one thing, the truth another
		p.Route.Waypoints[i].ToleranceMM = 20
	}
	strayed := driven(p, Usual(), None, seeds)
	assert.Less(t, strayed.within, seeds/2, "%v", strayed)
}

// A constant error d of the heading settles the rover at look-ahead·tan d off the line,
// to the right of it where the compass reads too little (plane geometry).
func TestTheHeadingsErrorSettlesOffTheLine(t *testing.T) {
	text := missiontest.Text(t, filepath.Join("..", "..", "examples", "refused", "base.yaml"),
		missiontest.Edit{"fixed: 1 cm", "fixed: 0.01 mm"},
		missiontest.Edit{"cross_track: 8 cm", "cross_track: 60 cm\n  heading_uncertainty: 4 deg"},
		missiontest.Edit{"waypoints: [A, B, C, D]", "waypoints: [A, B]"})
	p, _ := plan.Resolve(missiontest.Parse(t, "yard.yaml", text))
	ahead := float64(p.Board.Tables.Rover.LookAheadMM)
	assert.Equal(t, 600.0, ahead)
	for seed := range uint64(20) {
		o := Drive(p, Rover{}, None, seed)
		require.True(t, o.Finished, o.StoppedBy)
		assert.InDelta(t, ahead*math.Abs(math.Tan(o.HeadingError)), float64(o.CrossMM), 4, "seed %d: %.2f deg", seed, o.HeadingError*180/math.Pi)
	}
}

// The simulated rover rolls as far as its tape says, with the lag in it: the closed form
// against the steps of the machine, with the spread taken out.
func TestTheMachineRollsAsTaped(t *testing.T) {
	for _, lagMS := range []int64{0, 20, 150, 400} {
		text := missiontest.Text(t, filepath.Join("..", "..", "examples", "refused", "base.yaml"), missiontest.Edit{"turn_radius: 0 m", fmt.Sprintf("turn_radius: 0 m\n  motor_lag: %d ms", lagMS)})
		p, _ := plan.Resolve(missiontest.Parse(t, "yard.yaml", text))
		m := newMachine(p, Rover{}, newRandom(1))
		assert.InDelta(t, 300, roll(600, m.friction, float64(lagMS)), 1e-6)
		m.speed = 600
		m.now = command{} // no power
		m.unpowered, m.drawn, m.driving = true, m.friction, m.friction
		for now := int64(0); m.speed > 0; now++ {
			m.move(now, 1, 0)
		}
		assert.InDelta(t, 300, m.wayMM, 1, "%d ms", lagMS)
	}
	assert.InDelta(t, 450, roll(600, 400, 0), 1e-9)
	assert.InDelta(t, 450+600*0.15-400*0.15*0.15/2, roll(600, 400, 150), 0.05)
}
