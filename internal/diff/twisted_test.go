// Changes that hide in one another: each loosens something, and each has something beside
// it, or a change before it, under which a judgement of the whole would lose it.
package diff

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/missiontest"
)

const (
	slowP1 = "{mark: P1, arrival_tolerance: 30 cm, speed: 0.30 m/s, dwell: 20 s}"
	slowP3 = "{mark: P3, arrival_tolerance: 30 cm, speed: 0.30 m/s, dwell: 20 s}"
)

func TestWhatHidesBesideAnotherChange(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	for _, c := range []struct {
		name          string
		edits         []missiontest.Edit
		subject, what string
		kind          Kind
	}{
		{"a waypoint moved to the fence and renamed", []missiontest.Edit{
			{"  END:   {latitude: 45.301653460, longitude: 6.124065502", "  LAST:  {latitude: 45.301660460, longitude: 6.124075502"}, {"    - END\n", "    - LAST\n"},
		}, "leg L3N–LAST in place of L3N–END", "surplus", Loosens},
		{"one leg slowed and another quickened, each with another waypoint", []missiontest.Edit{
			{"    - L1N\n    - L2N\n", "    - {mark: K1, speed: 0.70 m/s}\n    - {mark: K2, speed: 0.50 m/s}\n"},
		}, "leg P1–K1 in place of P1–L1N", "speed", Loosens},
		{"a slow waypoint left out", []missiontest.Edit{{"    - " + slowP3 + "\n", ""}}, "leg L3S–L3N in place of L3S–P3", "speed", Loosens},
		{"two legs exchange their speeds", []missiontest.Edit{
			{"    - L1S\n    - " + slowP1 + "\n", "    - {mark: L1S, speed: 0.30 m/s}\n    - {mark: P1, arrival_tolerance: 30 cm, dwell: 20 s}\n"},
		}, "leg L1S–P1", "speed", Loosens},
		{"a leg that comes nearer to the fence while another goes away", []missiontest.Edit{
			{"P1:    {latitude: 45.301463440, longitude: 6.123668240", "P1:    {latitude: 45.301463440, longitude: 6.123638240"},
			{"P3:    {latitude: 45.301457681, longitude: 6.123878344", "P3:    {latitude: 45.301457681, longitude: 6.123868344"},
		}, "leg L1S–P1", "clearance", Loosens},
		{"a fence corner renamed, moved inwards and said to be surer", []missiontest.Edit{
			{"F1: {latitude: 45.301200000, longitude: 6.123400000, uncertainty: 3 cm}", "G1: {latitude: 45.301200100, longitude: 6.123400100, uncertainty: 1 cm}"},
			{"boundary: [F1, ", "boundary: [G1, "}, {"  - {from: F1, to: F2, measured: 40.01 m, uncertainty: 2 cm}\n", ""},
		}, "boundary", "uncertainty of its corners", Loosens},
		{"a control mark moved", []missiontest.Edit{{"K2:   {latitude: 45.301713561", "K2:   {latitude: 45.301713571"}}, "mark K2", "moved", Look},
		{"the base moved", []missiontest.Edit{{"BASE: {latitude: 45.301408017", "BASE: {latitude: 45.301408027"}}, "mark BASE", "moved", Look},
		{"the base on a mark of another name, elsewhere", []missiontest.Edit{{"  BASE: {latitude: 45.301408017", "  ROCK: {latitude: 45.301408117"}, {"mark: BASE", "mark: ROCK"}}, "base", "mark", Look},
		{"the height of a mark", []missiontest.Edit{{"6.123466805, height: 412.65 m", "6.123466805, height: 412.66 m"}}, "mark START", "height", Look},
		{"a tape reads what the coordinates say", []missiontest.Edit{{"measured: 8.94 m", "measured: 8.95 m"}}, "tape P1–P2", "measured", Look},
		{"a leg at the end", []missiontest.Edit{{"    - END\n", "    - END\n    - L3N\n"}}, "leg END–L3N", "added", Look},
		{"the reason why a fault is covered", []missiontest.Edit{{"pulled_off: true", "pulled_off: true, covered: tried each week"}}, "part motor driver", "its failure covered", Loosens},
		{"the turning centre moved towards the antenna, which swings less", []missiontest.Edit{{"turn_radius: 0 m\n", "turn_radius: 0 m\n  turning_centre: 3 cm\n"}}, "rover", "turning centre forward of the middle", Look},
		{"a roll-out that lets expect a shorter one, and bounds it no better", []missiontest.Edit{
			{"coast: {from: 0.60 m/s, distance: 0.45 m}", "coast: [{from: 0.60 m/s, distance: 0.45 m}, {from: 0.60 m/s, distance: 0.45 m, downhill: 3 %}]"},
		}, "rover", "roll-outs", Look},
		{"a hold whose wire may touch that of another", []missiontest.Edit{
			{"input_pins: [22, 24, 26]", "input_pins: [22, 24, 26, 28]"},
			{"holds:\n", "holds:\n  - {name: lid, kind: interlock, pin: 28, contact: normally-closed, wired_to: ground, pull: up, debounce: 20 ms, stop_category: 0}\n"},
		}, "hold lid, mushroom button", "at the fault: pins 28 and 24 bridged", Look},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := compare(before, resolve("grove", missiontest.Changed(t, text, c.edits...)))
			found := find(r.Changes, c.subject, c.what)
			require.Len(t, found, 1, printed(t, r))
			assert.Equal(t, c.kind, found[0].Kind, printed(t, r))
		})
	}
}

// The far end of a leg comes nearer to the fence, but no nearer than the other end is.
func TestTheFarEndOfALegCounts(t *testing.T) {
	text := edit(t, example(t, "grove"), "L3N:   {latitude: 45.301673615", "L3N:   {latitude: 45.301699615")
	moved := edit(t, text, "longitude: 6.124065502", "longitude: 6.124074502")
	r := compare(resolve("grove", text), resolve("grove", moved))
	for _, c := range find(r.Changes, "leg L3N–END", "clearance") {
		assert.Equal(t, Neutral, c.Kind, "of the end that stayed")
	}
	found := find(r.Changes, "waypoint END", "own surplus")
	require.Len(t, found, 1, printed(t, r))
	assert.Equal(t, Loosens, found[0].Kind)
	assert.InDelta(t, -0.6, found[0].Number.Delta, 0.15)
}

// An obstacle is set beside a leg that is moved in the same change. Which of the two the
// leg's surplus tells of hangs on which fence is asked: both are said.
func TestALegAndAnObstacleBesideIt(t *testing.T) {
	text := example(t, "grove")
	const end, tree = "END:   {latitude: 45.301653460, longitude: 6.124065502", "    - {name: tree 2-4,"
	with := func(at, place string) mission {
		return resolve("grove", missiontest.Changed(t, text, missiontest.Edit{end, "END:   {" + at},
			missiontest.Edit{"  START:", "  N: {" + place + ", uncertainty: 3 cm}\n  START:"}, missiontest.Edit{tree, "    - {name: trough, centre: N, radius: 40 cm}\n" + tree}))
	}
	for _, c := range []struct {
		name, at, place string
		what            []string
	}{
		{"moved away from both, but the obstacle is nearer than anything was", "latitude: 45.301653460, longitude: 6.124059132", "latitude: 45.301653460, longitude: 6.124097352",
			[]string{"surplus where it was and is"}},
		{"moved away from the obstacle and towards the boundary", "latitude: 45.301656660, longitude: 6.124070002", "latitude: 45.301637260, longitude: 6.124065502",
			[]string{"surplus by the old mission's fence and figures", "surplus by the new mission's fence and figures"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := compare(resolve("grove", text), with(c.at, c.place))
			assert.Zero(t, r.Count(Loosens), printed(t, r))
			for _, what := range c.what {
				found := find(r.Changes, "leg L3N–END", what)
				require.Len(t, found, 1, printed(t, r))
				assert.Equal(t, Look, found[0].Kind)
			}
		})
	}
}

// What is taken out in one change and put back otherwise in the next: one of the two is
// said to loosen or is to be looked at.
func TestWhatHidesBehindAnotherChange(t *testing.T) {
	text := missiontest.Changed(t, example(t, "grove"), missiontest.Edit{"    - END\n", "    - {mark: END, speed: 0.30 m/s}\n"}, missiontest.Edit{"    - L1S\n", "    - {mark: L1S, speed: 0.30 m/s}\n"})
	with := func(edits ...missiontest.Edit) string { return missiontest.Changed(t, text, edits...) }
	for _, c := range []struct{ name, middle, last string }{
		{"a slow waypoint in the middle", with(missiontest.Edit{"    - " + slowP1 + "\n", ""}), with(missiontest.Edit{slowP1, strings.Replace(slowP1, "0.30", "0.60", 1)})},
		{"a slow waypoint at the end", with(missiontest.Edit{"    - {mark: END, speed: 0.30 m/s}\n", ""}), with(missiontest.Edit{"    - {mark: END, speed: 0.30 m/s}\n", "    - END\n"})},
		{"a waypoint at the start", with(missiontest.Edit{"    - START\n", ""}), with(missiontest.Edit{"    - {mark: L1S, speed: 0.30 m/s}\n", "    - L1S\n"})},
		{"the uncertainty of a float solution", with(missiontest.Edit{"fixed: 2 cm, float: 40 cm", "fixed: 2 cm"}), with(missiontest.Edit{"float: 40 cm", "float: 30 cm"})},
		{"an error that one more uncertainty hides", with(missiontest.Edit{"measured: 8.94 m", "measured: 8.84 m"}),
			with(missiontest.Edit{"measured: 8.94 m, uncertainty: 1 cm", "measured: 8.84 m, uncertainty: 20 cm"})},
		{"an obstacle", with(missiontest.Edit{"    - {name: tree 2-4, centre: T24, radius: 40 cm, height: 7 m}\n", ""}), with(missiontest.Edit{"centre: T24, radius: 40 cm", "centre: T24, radius: 30 cm"})},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, b, last := resolve("grove", text), resolve("grove", c.middle), resolve("grove", c.last)
			whole, first, second := compare(a, last), compare(a, b), compare(b, last)
			assert.True(t, whole.Looser(), printed(t, whole))
			assert.True(t, first.Looser() || first.ToLookAt() || second.Looser() || second.ToLookAt(), "%s%s", printed(t, first), printed(t, second))
		})
	}
}

// The surplus of a leg is that of its tightest place: what lies beside the rest of it may
// be anything once the leg is elsewhere. Within its corridor it is nothing new.
func TestALegThatLeavesItsCorridor(t *testing.T) {
	text := example(t, "grove")
	before := resolve("grove", text)
	for latitude, said := range map[string]int{"45.301656460": 0, "45.301633460": 1} { // by 0.3 m, by 2.2 m
		r := compare(before, resolve("grove", edit(t, text, "END:   {latitude: 45.301653460", "END:   {latitude: "+latitude)))
		found := find(r.Changes, "leg L3N–END", otherGround)
		require.Len(t, found, said, printed(t, r))
		for _, change := range found {
			assert.Equal(t, Look, change.Kind)
		}
	}
}

// A mark that ties two set-ups makes every mark of them surer, and moves those of one.
func TestATieBetweenSetupsIsLeanedOn(t *testing.T) {
	text := missiontest.Text(t, "../../examples/warned/setup-untied/mission.yaml")
	const target, end = "K2", "  # marks:end"
	tie := "  KJ:   {latitude: 51.620606716, longitude: 25.914176473, uncertainty: 1 cm, setup: june, same_as: " + target + "}\n"
	untied, tied := resolve("grove", text), resolve("grove", edit(t, text, end, tie+end))
	for _, c := range []struct {
		name          string
		before, after mission
		what          string
		kind          Kind
	}{
		{"added", untied, tied, "added", Loosens},
		{"removed", tied, untied, "removed", Look},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := compare(c.before, c.after)
			found := find(r.Changes, "mark KJ", c.what)
			require.Len(t, found, 1, printed(t, r))
			assert.Equal(t, c.kind, found[0].Kind, printed(t, r))
		})
	}
	renamed := resolve("grove", strings.ReplaceAll(edit(t, text, end, tie+end), target, "PEG"))
	r := compare(tied, renamed)
	assert.False(t, r.Looser() || r.ToLookAt(), "the mark of the tie renamed: %s", printed(t, r))
}

// A leg is moved away from the well that is nearest to it, which tightens; at its end, a
// trunk is set nearer than anything was there. The leg does not tell of it.
func TestAnObstacleAtTheEndOfALegThatTightens(t *testing.T) {
	const end, moved = "  B:    {latitude: 51.620489877, longitude: 25.914089840", "  B:    {latitude: 51.620488079, longitude: 25.914084064"
	text := missiontest.Changed(t, missiontest.Text(t, "../../examples/warned/setup-untied/mission.yaml"),
		missiontest.Edit{"  B:    {latitude: 51.620444938, longitude: 25.914060963", end},
		missiontest.Edit{", setup: june", ""}, missiontest.Edit{"[A, B, C, D]", "[A, B]"})
	r := compare(resolve("grove", text), resolve("grove", missiontest.Changed(t, text, missiontest.Edit{end, moved},
		missiontest.Edit{"  # marks:end", "  N: {latitude: 51.620489877, longitude: 25.914123048, uncertainty: 1 cm}\n  # marks:end"},
		missiontest.Edit{"  obstacles:\n", "  obstacles:\n    - {name: trunk, centre: N, radius: 50 cm}\n"})))
	for what, kind := range map[string]Kind{"surplus": Tightens, "own surplus" + whereItIs: Look} {
		var found []Change
		for _, subject := range []string{"leg A–B", "waypoint B"} {
			found = append(found, find(r.Changes, subject, what)...)
		}
		require.Len(t, found, 1, "%s\n%s", what, printed(t, r))
		assert.Equal(t, kind, found[0].Kind, what)
	}
}

// A stop at a leg's start, where the rover turns wider than it drove through: also where
// a trunk beside the rest of the leg leaves less than the start has.
func TestTheStartOfALegCounts(t *testing.T) {
	text := edit(t, example(t, "grove"), "turn_radius: 0 m", "turn_radius: 60 cm")
	masked := missiontest.Changed(t, text, missiontest.Edit{"  START:", "  N: {latitude: 45.301413343, longitude: 6.123666670, uncertainty: 3 cm}\n  START:"},
		missiontest.Edit{"    - {name: tree 2-4,", "    - {name: trunk, centre: N, radius: 40 cm}\n    - {name: tree 2-4,"})
	for name, text := range map[string]string{"open": text, "masked": masked} {
		r := compare(resolve("grove", text), resolve("grove", edit(t, text, "    - L1S\n", "    - {mark: L1S, dwell: 5 s}\n")))
		found := find(r.Changes, "leg L1S–P1", "surplus, with its start")
		require.Len(t, found, 1, "%s\n%s", name, printed(t, r))
		assert.Equal(t, Loosens, found[0].Kind, name)
	}
}
