// Marks that are measured from others: where they come to lie, how well they are known by
// way of set-ups and shared marks, and what is refused.
package plan_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
)

// The yard's A is at 5 m east and 5 m north, B at 25 and 5, D at 5 and 15, each known to
// 10 mm per axis.
func TestMeasuredMarksLieWhereTheyWereMeasured(t *testing.T) {
	for _, c := range []struct {
		line         string
		east, north  int64
		major, minor float64
	}{
		{"{east: 12.40 m, north: -3.10 m, uncertainty: 2 cm}", 12_400, -3_100, 20, 20},
		{"{from: A, east: 3.2 m, north: 0 m, uncertainty: 3 cm}", 8_200, 5_000, math.Hypot(30, 10), math.Hypot(30, 10)},
		{"{from: A, bearing: 90 deg, bearing_uncertainty: 1 deg, distance: 10 m, distance_uncertainty: 2 cm}", 15_000, 5_000, math.Hypot(10, 10_000*math.Pi/180), math.Hypot(10, 20)},
		{"{from: A, bearing: 360 deg, bearing_uncertainty: 0.1 deg, distance: 2 m, distance_uncertainty: 2 cm}", 5_000, 7_000, math.Hypot(10, 20), math.Hypot(10, 2_000*math.Pi/1800)},
		{"{from: A, towards: B, chainage: 10 m, right: -2 m, uncertainty: 2 cm}", 15_000, 7_000, math.Hypot(20, 11), 0},
		{"{from: A, towards: B, chainage: -1 m, uncertainty: 2 cm}", 4_000, 5_000, 0, 0},
		{"{from: B, towards: A, chainage: 0 m, right: 3 m, uncertainty: 2 cm}", 25_000, 8_000, 0, 0}, // the corner of a right angle
		{"{tapes: [{from: A, distance: 13 m, uncertainty: 2 cm}, {from: D, distance: 13 m, uncertainty: 2 cm}], side: right}", 17_000, 10_000, 0, 0},
		{"{tapes: [{from: A, distance: 13 m, uncertainty: 2 cm}, {from: D, distance: 13 m, uncertainty: 2 cm}], side: left}", -7_000, 10_000, 0, 0},
		{"{tapes: [{from: D, distance: 13 m, uncertainty: 2 cm}, {from: A, distance: 13 m, uncertainty: 2 cm}, {from: B, distance: 9.434 m, uncertainty: 2 cm}], side: left}", 17_000, 10_000, 0, 0},
	} {
		m := mark(t, yard(t, added("P: "+c.line)), "P")
		assert.InDelta(t, float64(c.east), float64(m.Point.E), 1, c.line)
		assert.InDelta(t, float64(c.north), float64(m.Point.N), 1, c.line)
		if c.major > 0 {
			assert.InDelta(t, c.major, m.StdMM, 0.5, c.line)
		}
		if c.minor > 0 && m.Measured.Form.FromOthers() {
			assert.InDelta(t, c.minor, m.Measured.Ellipse.Minor, 0.5, c.line)
		}
		assert.GreaterOrEqual(t, m.StdMM, m.Measured.Ellipse.Major, "never flattering")
	}
}

// Thirteen trees in a line, and a shed of which two corners are surveyed marks.
func TestRowsAndRings(t *testing.T) {
	lines := edit{"tape:\n", `rows:
  - {name: T, count: 13, from: F1, towards: F2, first: 2.00 m, step: 2.00 m, right: -0.50 m, uncertainty: 3 cm}
rings:
  - {name: Q, from: A, towards: B, widths: [2 m, 3 m], side: left, uncertainty: 2 cm}
  - {name: R, from: A, towards: B, chainage: 4 m, right: 1 m, length: 3 m, widths: [2 m], side: right, uncertainty: 2 cm}
tape:
`}
	p := yard(t, lines)
	at := func(name string) [2]float64 {
		m := mark(t, p, name)
		return [2]float64{math.Round(float64(m.Point.E) / 10), math.Round(float64(m.Point.N) / 10)}
	}
	for i := 1; i <= 13; i++ {
		assert.Equal(t, [2]float64{200 * float64(i), 50}, at(fmt.Sprint("T", i)))
	}
	for name, want := range map[string][2]float64{
		"Q1": {500, 500}, "Q2": {2500, 500}, "Q3": {2500, 800}, "Q4": {500, 700},
		"R1": {900, 400}, "R2": {1200, 400}, "R3": {1200, 200}, "R4": {900, 200},
	} {
		assert.Equal(t, want, at(name), name)
	}
	assert.Equal(t, "rows[0]", mark(t, p, "T1").Measured.Listed)
	assert.InDelta(t, math.Hypot(10, 20), mark(t, p, "Q2").StdMM, 0.1, "that of B, not of a line beyond it")
	assert.Equal(t, []plan.Row{{Source: p.Survey.Rows[0].Source, Name: "T", Count: 13, From: 5, Towards: 6, FirstMM: 2000, StepMM: 2000, RightMM: -500, UncertaintyMM: 30}}, p.Survey.Rows)
}

// The ground is 500 m above the origin: a tape there spans more of the drawing.
func TestMeasuredOnHighGround(t *testing.T) {
	p := yard(t, added("H: {latitude: 51.620444939, longitude: 25.913772193, height: 668.00 m, uncertainty: 1 cm}"),
		added("P: {from: H, bearing: 30 deg, bearing_uncertainty: 0.1 deg, distance: 1000 m, distance_uncertainty: 2 cm, height: 668.00 m}"))
	h, m := mark(t, p, "H"), mark(t, p, "P")
	assert.InDelta(t, 1000, geodesy.GroundDistance(h.Placed, m.Placed, 668), 0.001)
	assert.InDelta(t, 1000-1000*500/6.38e6, math.Hypot(float64(m.Point.E-h.Point.E), float64(m.Point.N-h.Point.N))/1000, 0.002, "drawn shorter")
	assert.True(t, m.HasHeight)
	assert.Equal(t, 668.0, m.Geodetic.HeightM)
}

// Two marks by one compass: what the declination is off moves both, and hardly their
// distance. Between marks by true bearings from two marks it all counts.
func TestOneDeclinationForAll(t *testing.T) {
	ray := func(name, from, how, bearing string) edit {
		return added(fmt.Sprintf("%s: {from: %s, %s: %s deg, bearing_uncertainty: 0.01 deg, distance: 20 m, distance_uncertainty: 1 mm}", name, from, how, bearing))
	}
	tape := func(measured string) edit {
		return edit{"tape:\n", "tape:\n  - {from: P, to: Q, measured: " + measured + ", uncertainty: 1 mm}\n"}
	}
	compass := yard(t, ray("P", "A", "magnetic_bearing", "30"), ray("Q", "A", "magnetic_bearing", "40"), tape("3.486 m"))
	field := compass.Site.Magnetic.Field
	p := mark(t, compass, "P")
	assert.InDelta(t, math.Hypot(10, 20_000*math.Hypot(0.01, field.DeclinationUncertaintyDeg)*math.Pi/180), p.StdMM, 0.01)
	bearing := math.Atan2(float64(p.Point.E-5000), float64(p.Point.N-5000)) * 180 / math.Pi
	assert.InDelta(t, 30+field.DeclinationDeg, bearing, 0.005)
	assert.Less(t, compass.Survey.Tapes[0].PlacesStdMM, 6.0, "the mark and the needle are shared")
	assert.Greater(t, p.StdMM, 100.0)

	// From two marks, at right angles to the way between the ends, the needle is shared still;
	// what the marks are off is not.
	other := yard(t, ray("P", "A", "magnetic_bearing", "30"), ray("Q", "D", "magnetic_bearing", "30"), tape("10 m"))
	assert.InDelta(t, math.Hypot(10, 10), other.Survey.Tapes[0].PlacesStdMM, 0.5)

	// On another day the needle pointed elsewhere.
	dated := yard(t, added("P: {from: A, magnetic_bearing: 30 deg, bearing_uncertainty: 0.01 deg, date: 2029-12-01, distance: 20 m, distance_uncertainty: 1 mm}"))
	assert.NotEqual(t, p.Point, mark(t, dated, "P").Point)
}

// A mark between two set-ups hangs on both; u is 800 mm.
func TestMeasuredAcrossSetups(t *testing.T) {
	const u = 800
	from := func(text string) edit { return added("P: " + text) }
	mid := "{from: A, towards: F2, chainage: %s m, uncertainty: 1 mm}"
	way := math.Hypot(25, 5) // from A to F2
	june := of("F2", "setup: june")
	// Along the line the chainage begins at A; across, (1-t) of A and t of F2.
	own := func(t float64) float64 { return math.Max(10, math.Hypot(10*(1-t), 10*t)) }
	for _, c := range []struct {
		what, control string
		part          float64 // of the way
		want          float64
	}{
		// With control marks, home counts for nothing and June for √2·u in full.
		{"at A", ", control_marks: [A, C]", 0, own(0)},
		{"half way", ", control_marks: [A, C]", 0.5, math.Hypot(own(0.5), 0.5*math.Sqrt2*u)},
		{"at F2", ", control_marks: [A, C]", 1, math.Hypot(own(1), math.Sqrt2*u)},
		// Without them, one set-up's error as a whole is told elsewhere. Half way it is less,
		// (1/4 + 1/4)·u²; twice as far, (1 + 4)·u² of which u² is told.
		{"half way", "", 0.5, own(0.5)},
		{"at F2", "", 1, own(1)},
		{"twice as far", "", 2, math.Hypot(own(2), 2*u)},
	} {
		p := averagedYard(t, c.control, june, from(fmt.Sprintf(mid, fmt.Sprintf("%.3f", c.part*way))))
		m := mark(t, p, "P")
		assert.InEpsilon(t, c.want, m.StdMM, 0.01, "%s %s", c.what, c.control)
		assert.Equal(t, []int{0, 1}, m.AllSetups())
		assert.InDelta(t, math.Hypot(own(c.part), 1), m.OwnStdMM, 0.6, "without set-ups")
	}

	// Tied by a point: the tie counts as far as F2 does.
	tied := averagedYard(t, ", control_marks: [A, C]", june, from(fmt.Sprintf(mid, fmt.Sprintf("%.3f", way/2))),
		added("D2: {latitude: 51.620534816, longitude: 25.913772193, uncertainty: 3 cm, setup: june, same_as: D}"))
	tie := math.Hypot(10, 30)
	assert.InEpsilon(t, math.Hypot(math.Hypot(5, 5), tie/2), mark(t, tied, "P").StdMM, 0.01)

	// Half way between a point of the tie and a mark of the other set-up the point counts
	// twice: (D + F2 + D - D2)/2, 10, 5 and 15 mm. The point's own other mark is the point.
	shared := func(line string) float64 {
		return mark(t, averagedYard(t, ", control_marks: [A, C]", june, from(line),
			added("D2: {latitude: 51.620534816, longitude: 25.913772193, uncertainty: 3 cm, setup: june, same_as: D}")), "P").StdMM
	}
	toF2 := math.Hypot(25, 15)
	assert.InEpsilon(t, math.Sqrt(100+25+225), shared(fmt.Sprintf("{from: D, towards: F2, chainage: %.3f m, uncertainty: 1 mm}", toF2/2)), 0.01)
	assert.InEpsilon(t, 10, shared("{from: D2, east: 1 m, north: 0 m, uncertainty: 1 mm}"), 0.01)

	// And of two set-ups that are tied to home by the same tie, that is shared: a mark half
	// way between them is off by all of it.
	chain := averagedYard(t, ", control_marks: [A, C]", june, of("F3", "setup: july"),
		added("D2: {latitude: 51.620534816, longitude: 25.913772193, uncertainty: 30 cm, setup: june, same_as: D}"),
		added("F22: {latitude: 51.620399999, longitude: 25.914133155, uncertainty: 1 cm, setup: july, same_as: F2}"),
		from("{from: F2, towards: F3, chainage: 10 m, uncertainty: 1 mm}"))
	first, second := math.Hypot(10, 300), math.Hypot(10, 10)
	assert.InEpsilon(t, math.Sqrt(100+first*first+second*second/4), mark(t, chain, "P").StdMM, 0.01)

	// Whatever uses the mark uses both set-ups.
	driven := averagedYard(t, ", control_marks: [A, C]", june, from(fmt.Sprintf(mid, "6")), edit{"waypoints: [A, B, C, D]", "waypoints: [P, B, C, D]"}, edit{"boundary: [F1, F2, F3, F4]", "boundary: [F1, F3, F4]"})
	setups, _ := driven.UsedSetups()
	assert.Equal(t, []int{0, 1}, setups)
}

// findings resolves a yard that is refused.
func findings(t *testing.T, edits ...edit) []diag.Finding {
	t.Helper()
	p, found := plan.Resolve(missiontest.Parse(t, yardFile, yardText(t, edits...)))
	if diag.Worst(found) == diag.Error {
		assert.Nil(t, p, "nothing is proved of places that nobody knows")
	}
	return found
}

func TestMeasurementsThatLeadNowhere(t *testing.T) {
	const ray = ", bearing: 45 deg, bearing_uncertainty: 1 deg, distance: 5 m, distance_uncertainty: 2 cm}"
	step := func(name, from string) string {
		return fmt.Sprintf("%s: {from: %s, east: 1 m, north: 1 m, uncertainty: 1 cm}", name, from)
	}
	for _, c := range []struct {
		what  string
		lines []string
		rule  diag.ID
		says  string
	}{
		{"itself", []string{step("P", "P")}, "measured.circular", "in a circle: P from P"},
		{"a circle of three, and what hangs on it", []string{step("P", "Q"), step("Q", "R"), step("R", "P"), step("S", "P"), step("T", "S")}, "measured.circular", "in a circle: P from Q from R from P"},
		{"a circle behind others", []string{step("S", "P"), step("P", "Q"), step("Q", "P")}, "measured.circular", "in a circle: P from Q from P"},
		{"a metre misread, and what hangs on it", []string{"P: {tapes: [{from: A, distance: 3 m, uncertainty: 2 cm}, {from: B, distance: 5 m, uncertainty: 2 cm}], side: left}", "Q: {from: P" + ray},
			"measured.apart", "the marks A, B are 20.000 m apart, and 12.00 m are missing between them"},
		{"one within the other", []string{"P: {tapes: [{from: A, distance: 30 m, uncertainty: 2 cm}, {from: B, distance: 5 m, uncertainty: 2 cm}], side: left}"},
			"measured.apart", "the circle of one lies within that of the other, by 5.00"},
		{"hardly meeting, by chance not at all", []string{"P: {tapes: [{from: A, distance: 9.98 m, uncertainty: 2 cm}, {from: B, distance: 10 m, uncertainty: 2 cm}], side: left}"},
			"measured.weak", "hardly meet: they miss each other by 0.02 m"},
		{"hardly meeting", []string{"P: {tapes: [{from: A, distance: 10.01 m, uncertainty: 2 cm}, {from: B, distance: 10 m, uncertainty: 2 cm}], side: left}"},
			"measured.weak", "is not told by what it is measured from"},
		{"weakly told", []string{"P: {from: A, bearing: 45 deg, bearing_uncertainty: 15 deg, distance: 5 m, distance_uncertainty: 2 cm}"}, "measured.weak", "25 % are allowed"},
		{"no line", []string{"A2: {latitude: 51.620444939, longitude: 25.913772193, uncertainty: 1 cm}", "P: {from: A, towards: A2, chainage: 3 m, uncertainty: 1 cm}"}, "measured.weak", "from marks that are at one place, A, A2"},
		{"four tapes, one by half a metre", []string{"P: {tapes: [{from: A, distance: 10.60 m, uncertainty: 2 cm}, {from: B, distance: 12.806 m, uncertainty: 2 cm}, {from: D, distance: 10.198 m, uncertainty: 2 cm}, {from: C, distance: 10.198 m, uncertainty: 2 cm}], side: left}"},
			"measured.fit", ""},
		{"three tapes that lead to the other side", []string{"P: {tapes: [{from: D, distance: 13 m, uncertainty: 2 cm}, {from: A, distance: 13 m, uncertainty: 2 cm}, {from: B, distance: 9.434 m, uncertainty: 2 cm}], side: right}"},
			"measured.fit", "lead to a place 12.000 m left of the way from D to A, and side says right"},
		{"beyond the frame", []string{"X: {latitude: 51.799, longitude: 25.9137}", "P: {from: X, bearing: 0 deg, bearing_uncertainty: 0.1 deg, distance: 2 km, distance_uncertainty: 2 cm}"}, "geometry.extent", "is 21.9 km from the origin"},
	} {
		found := findings(t, added(strings.Join(c.lines, "\n  ")))
		require.Len(t, found, 1, "%s: %v", c.what, found)
		assert.Equal(t, c.rule, found[0].Rule, c.what)
		assert.Contains(t, found[0].Message(), c.says, c.what)
		assert.NotEmpty(t, found[0].Remedy)
	}
}

// A row has one cause, compasses of a day that no model knows have one, and circles are
// counted where they are many.
func TestOneCauseOneFinding(t *testing.T) {
	row := edit{"tape:\n", "rows:\n  - {name: T, count: 500, from: A, towards: A2, first: 2 m, step: 2 m, uncertainty: 3 cm}\ntape:\n"}
	same := added("A2: {latitude: 51.620444939, longitude: 25.913772193, uncertainty: 1 cm}")
	assert.Len(t, findings(t, row, same), 1)
	far := edit{"tape:\n", "rows:\n  - {name: T, count: 500, from: A, towards: B, first: 2 m, step: 2 km, uncertainty: 3 cm}\ntape:\n"}
	found := findings(t, far)
	require.Len(t, found, 1, "a row that leads away")
	assert.EqualValues(t, "geometry.extent", found[0].Rule)

	compass := "{from: A, magnetic_bearing: 30 deg, bearing_uncertainty: 1 deg, distance: 20 m, distance_uncertainty: 1 cm}"
	found = findings(t, added("P: "+compass), added("Q: "+compass), edit{"date: 2026-06-15", "date: 2031-06-15"})
	require.Len(t, found, 1)
	assert.EqualValues(t, "measured.declination", found[0].Rule)

	var lines []string
	for i := range 15 {
		lines = append(lines, fmt.Sprintf("P%d: {from: Q%d, east: 1 m, north: 1 m, uncertainty: 1 cm}", i, i), fmt.Sprintf("Q%d: {from: P%d, east: 1 m, north: 1 m, uncertainty: 1 cm}", i, i))
	}
	found = findings(t, added(strings.Join(lines, "\n  ")))
	assert.Len(t, found, 10)
	assert.Contains(t, found[9].Message(), "and 5 more such circles")
}

// A tape that is off by less than three standard deviations is a warning, and the mission
// goes on.
func TestTapesThatHardlyFit(t *testing.T) {
	line := func(last string) edit {
		return added("P: {tapes: [{from: D, distance: 13 m, uncertainty: 2 cm}, {from: A, distance: 13 m, uncertainty: 2 cm}, {from: B, distance: " + last + ", uncertainty: 2 cm}], side: left}")
	}
	assert.Empty(t, findings(t, line("9.46 m")))
	for last, want := range map[string]diag.Severity{"9.504 m": diag.Warning, "9.60 m": diag.Error} {
		found := findings(t, line(last))
		require.Len(t, found, 1, last)
		assert.EqualValues(t, "measured.fit", found[0].Rule)
		assert.Equal(t, want, found[0].Severity, found[0].Message())
	}
}

// Chains of a thousand, and a hundred thousand marks: refused once, or resolved, soon.
func TestManyMeasuredMarks(t *testing.T) {
	var chain strings.Builder
	chain.WriteString("P0: {from: A, east: 1 m, north: 0 m, uncertainty: 1 cm}")
	for i := range 1000 {
		fmt.Fprintf(&chain, "\n  P%d: {from: P%d, east: 1 mm, north: 0 m, uncertainty: 1 cm}", i+1, i)
	}
	start := time.Now()
	found := findings(t, added(chain.String()))
	require.Len(t, found, 1)
	assert.EqualValues(t, "measured.chain", found[0].Rule)
	assert.Less(t, time.Since(start), 10*time.Second)

	var rows strings.Builder
	for i := range 4 {
		fmt.Fprintf(&rows, "  - {name: R%d-, count: 10000, from: A, towards: B, first: 1 m, step: 1 mm, right: %d m, uncertainty: 3 cm}\n", i, i)
	}
	start = time.Now()
	p := yard(t, edit{"tape:\n", "rows:\n" + rows.String() + "tape:\n"})
	assert.Len(t, p.Survey.Marks, 14+40_000)
	assert.Less(t, time.Since(start), 30*time.Second)
}

// What is not written of a measured mark is not usual: every measurement has its own
// uncertainty.
func TestNothingIsUsualOfMeasuredMarks(t *testing.T) {
	p := yard(t, added("P: {tapes: [{from: A, distance: 13 m, uncertainty: 2 cm}, {from: D, distance: 13 m, uncertainty: 2 cm}], side: right}"), edit{"waypoints: [A, B, C, D]", "waypoints: [P, B, C, D]"})
	for _, u := range p.Usual {
		assert.NotEqual(t, "marks.NAME.uncertainty", u.Path)
	}
}
