package plan_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/tooltest"
)

// Every mark of the examples by PROJ's cct (Debian package proj-bin), run live:
// topocentric at the origin, IOGP Guidance Note 7-2, method 9837. Whole
// millimetres are at most 0.5 mm off along each axis, 0.71 mm in all.
func TestPlanCoordinatesAgreeWithPROJ(t *testing.T) {
	worst := 0.0
	for name, p := range examples(t) {
		columns := func(at geodesy.Geodetic) []string {
			return []string{at.Latitude.String(), at.Longitude.String(), fmt.Sprintf("%.4f", p.Site.Origin.HeightM)}
		}
		var places [][]string
		for _, m := range p.Survey.Marks {
			places = append(places, columns(m.Geodetic))
		}
		rows := tooltest.Topocentric(t, columns(p.Site.Origin), places)
		for i, m := range p.Survey.Marks {
			east, north := rows[i][0], rows[i][1]
			dE, dN := float64(m.Point.E)-east*1000, float64(m.Point.N)-north*1000
			assert.LessOrEqual(t, math.Max(math.Abs(dE), math.Abs(dN)), 0.5+0.001, "%s, mark %s", name, m.Name) // 0.001 for cct's last digit
			worst = math.Max(worst, math.Hypot(dE, dN))
		}
	}
	assert.LessOrEqual(t, worst, 0.7072+0.001)
	assert.Greater(t, worst, 0.3, "marks are not all on whole millimetres, so the test can tell")
}

// Conversion bounds hold rounding to whole millimetres, and little more.
func TestConversionBoundOfTheExamples(t *testing.T) {
	for name, p := range examples(t) {
		assert.GreaterOrEqual(t, p.Board.Tables.Conversion.BoundUM, uint32(708), name)
		assert.Less(t, p.Board.Tables.Conversion.BoundUM, uint32(1000), name)
	}
}

func TestUsualValues(t *testing.T) {
	p := yard(t, edit{"  loop: 20 ms\n", ""})
	assert.InDelta(t, 0.95, p.Confidence, 1e-12)
	assert.Equal(t, int64(80+3*100), p.Machine.Receiver.StaleAfterMS, "latency and three fixes missed")
	assert.Equal(t, int64(20), p.Board.Timing.LoopMS)
	assert.Equal(t, int64(20), p.Board.Timing.OutputDelayMS)
	assert.Equal(t, int64(0), p.Machine.Rover.MotorLagMS)
	assert.Zero(t, p.Machine.Rover.HeadingStdDeg)
	assert.Zero(t, p.Machine.Rover.TiltDeg)
	assert.True(t, p.Board.Inputs.PullUp)
	assert.True(t, p.Board.Inputs.PullDown)
	assert.Equal(t, int64(600), p.Route.Legs[0].SpeedMMPerS, "cruise")
	assert.Equal(t, int64(200), p.Holds.List[0].Circuit.DiscrepancyMS)

	p = yard(t,
		edit{"A:    {latitude: 51.620444939, longitude: 25.913772193, uncertainty: 1 cm}", "A:    {latitude: 51.620444939, longitude: 25.913772193}"},
		edit{"fixed: 1 cm", "fixed: 17 mm"},
		edit{"  fix_rate: 10 Hz\n", "  fix_rate: 10 Hz\n  stale_after: 700 ms\n"},
		edit{"mission: yard\n", "mission: yard\nconfidence: 99 %\n"},
		edit{"second_channel: {pin: 28, contact: normally-open, wired_to: ground, pull: up}\n    common_cause: {cable: false, connector: false, supply: false, actuator: false}\n    debounce: 20 ms\n    discrepancy: 200 ms\n", "second_channel: {pin: 28, contact: normally-open, wired_to: ground, pull: up}\n    common_cause: {cable: false, connector: false, supply: false, actuator: false}\n    debounce: 20 ms\n"},
		edit{"  closed: false\n", "  closed: false\n  speed: 0.5 m/s\n"},
		edit{"waypoints: [A, B, C, D]", "waypoints: [A, {mark: B, speed: 0.4 m/s, arrival_tolerance: 40 cm, dwell: 2.5 s}, C, D]"})
	assert.Equal(t, 17.0, waypointMark(p, "A").StdMM, "a mark without its own uncertainty has the receiver's")
	assert.Equal(t, 10.0, waypointMark(p, "B").StdMM)
	assert.Equal(t, int64(700), p.Machine.Receiver.StaleAfterMS)
	assert.InDelta(t, 0.99, p.Confidence, 1e-12)
	assert.Equal(t, int64(100), p.Holds.List[0].Circuit.DiscrepancyMS)
	assert.Equal(t, []int64{400, 500, 500}, []int64{p.Route.Legs[0].SpeedMMPerS, p.Route.Legs[1].SpeedMMPerS, p.Route.Legs[2].SpeedMMPerS})
	b := waypoint(t, p, "B")
	assert.Equal(t, [2]int64{400, 2500}, [2]int64{b.ToleranceMM, b.DwellMS})
	assert.Equal(t, [2]uint16{2500, 1}, [2]uint16{p.Board.Tables.Legs[1].Dwell, p.Board.Tables.Rover.DwellUnitMS})
}

func waypointMark(p *plan.Plan, name string) plan.Mark {
	for _, m := range p.Survey.Marks {
		if m.Name == name {
			return m
		}
	}
	return plan.Mark{}
}

// A mark's height does not move it in the plan: the board does not see heights.
// Tapes see them.
func TestHeights(t *testing.T) {
	low := yard(t)
	high := yard(t, edit{"25.914133155, uncertainty: 1 cm", "25.914133155, height: 171.00 m, uncertainty: 1 cm"})
	assert.Equal(t, waypointMark(low, "F2").Point, waypointMark(high, "F2").Point)
	assert.True(t, waypointMark(high, "F2").HasHeight)

	require.Len(t, low.Survey.Tapes, 1)
	assert.InDelta(t, low.Survey.Tapes[0].GroundMM, low.Survey.Tapes[0].SlopeMM, 1e-6, "level ground")
	assert.InDelta(t, 30_000, low.Survey.Tapes[0].GroundMM, 1)
	// A rise of 3 m over 30 m: sqrt(30² + 3²) = 30.1496 m.
	assert.InDelta(t, math.Hypot(low.Survey.Tapes[0].GroundMM, 3000), high.Survey.Tapes[0].SlopeMM, 0.5)
	// Ground distance at the mean height, 1.5 m above the origin: by 1.5 m in
	// 6 380 km longer, 7 µm.
	assert.InDelta(t, 0.007, high.Survey.Tapes[0].GroundMM-low.Survey.Tapes[0].GroundMM, 0.002)
}

func TestSitesThatCannotBeResolved(t *testing.T) {
	origin := "origin: {latitude: 51.620400000, longitude: 25.913700000, height: 168.00 m}"
	for _, c := range []struct {
		name  string
		edits []edit
		rule  diag.ID
		none  bool // no plan at all
	}{
		{"a mark 21 km north", []edit{{"C:    {latitude: 51.620534815", "C:    {latitude: 51.809534815"}}, "geometry.extent", true},
		{"a mark on the other hemisphere", []edit{{"C:    {latitude: 51.620534815", "C:    {latitude: -51.620534815"}}, "geometry.extent", true},
		{"an origin at the pole", []edit{{origin, "origin: {latitude: 90, longitude: 25.9137, height: 168.00 m}"}}, "geometry.pole", true},
		{"across the antimeridian", []edit{{origin, "origin: {latitude: 51.6204, longitude: -179.9999, height: 168.00 m}"}, {"C:    {latitude: 51.620534815, longitude: 25.914060964", "C:    {latitude: 51.620534815, longitude: 179.9999"}}, "geometry.antimeridian", true},
		{"a coast of longer than the board can wait", []edit{{"distance: 0.30 m", "distance: 30 m"}}, "precision.bound", false},
	} {
		p, findings := plan.Resolve(missiontest.Parse(t, yardFile, yardText(t, c.edits...)))
		var rules []diag.ID
		for _, f := range findings {
			rules = append(rules, f.Rule)
			assert.NotEmpty(t, f.Remedy, c.name)
			assert.NotZero(t, f.At.Line, c.name)
		}
		assert.Contains(t, rules, c.rule, c.name)
		if c.none {
			assert.True(t, p == nil, c.name)
			continue
		}
		require.NotNil(t, p, c.name)
		assert.False(t, p.Complete(), c.name)
		for _, m := range p.Survey.Marks {
			assert.True(t, m.Point.InRange(), "%s: what follows works on whole numbers in range", c.name)
		}
	}
}

// The heights that the parser lets through are within those of the frame, and the
// reaction times within those that can be worked out: there is no rule for what is
// beyond.
func TestTheParserKeepsWithinTheLimits(t *testing.T) {
	const pin28 = "normally-open, wired_to: ground, pull: up}\n    common_cause: {cable: false, connector: false, supply: false, actuator: false}\n"
	for _, height := range []string{"-600 m", "9000 m"} {
		p := yard(t, edit{"height: 168.00 m}", "height: " + height + "}"})
		assert.True(t, p.Complete(), height)
	}
	p := yard(t, edit{pin28 + "    debounce: 20 ms", pin28 + "    debounce: 10 s"})
	assert.True(t, p.Complete())
	for _, edits := range [][]edit{
		{{"height: 168.00 m}", "height: -600.01 m}"}}, {{"height: 168.00 m}", "height: 9000.01 m}"}},
		{{pin28 + "    debounce: 20 ms", pin28 + "    debounce: 10001 ms"}},
		{{"  loop: 20 ms\n", "  loop: 60001 ms\n"}}, {{"  loop: 20 ms\n", "  loop: 20 ms\n  watchdog: 60001 ms\n"}}, {{"off_delay: 20 ms", "off_delay: 10001 ms"}},
	} {
		assert.NotEmpty(t, specParse(yardText(t, edits...)).Findings, "%v", edits)
	}
}

// 20 km along an axis is the last that fits: 20 000 000 mm.
func TestExtentIsTwentyKilometres(t *testing.T) {
	for _, c := range []struct {
		latitude string
		fits     bool
	}{{"51.8000", true}, {"51.8003", false}} { // 0.1796° and 0.1799° of 111.27 km
		result := specParse(yardText(t, edit{"C:    {latitude: 51.620534815", "C:    {latitude: " + c.latitude}))
		p, findings := plan.Resolve(result.Mission)
		rules := fmt.Sprint(findings)
		assert.Equal(t, !c.fits, strings.Contains(rules, "geometry.extent"), c.latitude)
		if !c.fits {
			assert.Len(t, findings, 1, "nothing else is said of a site that is too large")
			assert.True(t, p == nil)
			continue
		}
		require.NotNil(t, p)
		assert.LessOrEqual(t, waypointMark(p, "C").Point.N, int64(planar.MaxCoordinate))
		assert.Greater(t, waypointMark(p, "C").Point.N, int64(19_950_000))
	}
}

// A header must never go without a hold that the mission speaks of.
func TestHoldsThatCannotBeResolvedLeaveThePlanIncomplete(t *testing.T) {
	for name, e := range map[string]edit{
		"no pull, so the open contact floats": {"pin: 22\n    contact: normally-open\n    wired_to: ground\n    pull: up", "pin: 22\n    contact: normally-open\n    wired_to: ground\n    pull: none"},
		"one pin for two contacts":            {"{pin: 28,", "{pin: 22,"},
	} {
		result := specParse(yardText(t, e))
		p, _ := plan.Resolve(result.Mission)
		require.NotNil(t, p, name)
		if len(p.Board.Tables.Holds) < 4 {
			assert.False(t, p.Complete(), name)
		}
		assert.Less(t, len(p.Board.Tables.Holds), 4, name)
	}
}

// What a simulation or a judgement of the drive draws its errors from: noise anew
// from fix to fix, bias once a drive, limits in full. Every budget begins with it.
func TestTheErrorModelIsData(t *testing.T) {
	for name, p := range examples(t) {
		natures := map[string]plan.Nature{}
		for _, part := range p.Errors {
			natures[part.Name] = part.Nature
			assert.Equal(t, part.Nature == plan.Limit, part.StdMM == 0 && part.BoundMM > 0, "%s: %s", name, part.Name)
		}
		assert.Equal(t, plan.Noise, natures["receiver"], name)
		assert.Equal(t, plan.Limit, natures["conversion on the board"], name)
		for _, w := range p.Route.Waypoints {
			assert.Equal(t, p.Errors, w.Budget.Parts[:len(p.Errors)], name)
		}
	}
}
