package export

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/elementary"
	"merestone/internal/fence"
	"merestone/internal/geodesy"
	"merestone/internal/interchange"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

// drawn is a plan in a format.
func drawn(t require.TestingT, p *plan.Plan, format string) string {
	d, err := Of(p, false)
	require.NoError(t, err)
	text, _, err := Write(d, format)
	require.NoError(t, err)
	return string(text)
}

// plans are those of the examples, of a mission that has every key, and of one whose marks are
// measured from others.
func plans(t require.TestingT) map[string]*plan.Plan {
	all := map[string]*plan.Plan{}
	for _, folder := range []string{"every-key", "sketch"} {
		all[folder] = missiontest.Resolve(t, missiontest.Example(t, "../testdata/"+folder))
	}
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		all[p.Mission] = p
	}
	return all
}

// site is a mission of random marks in a fence, as far as drawings look at one: their
// millimetres are worked out as plan does.
func site(t *rapid.T) *plan.Plan {
	origin := geodesy.Geodetic{
		Latitude:  geodesy.Nanodegree(rapid.Int64Range(-89*int64(geodesy.Degree), 89*int64(geodesy.Degree)).Draw(t, "latitude")),
		Longitude: geodesy.Nanodegree(rapid.Int64Range(-177*int64(geodesy.Degree), 177*int64(geodesy.Degree)).Draw(t, "longitude")),
		HeightM:   float64(rapid.Int64Range(-400_000, 5_000_000).Draw(t, "height")) / 1000,
	}
	frame, err := geodesy.NewFrame(origin)
	require.NoError(t, err)
	p := &plan.Plan{Mission: "random", Site: plan.Site{Origin: origin, Frame: frame}}
	extent := rapid.SampledFrom([]float64{10, 1_000, 20_000}).Draw(t, "extent")
	var entries []fence.Mark
	for i := range rapid.IntRange(3, 12).Draw(t, "marks") {
		at := frame.AtHeight(rapid.Float64Range(-extent, extent).Draw(t, "east"), rapid.Float64Range(-extent, extent).Draw(t, "north"), origin.HeightM)
		// Zeros at the end are digits, too.
		step := rapid.SampledFrom([]geodesy.Nanodegree{1, 10, 1000}).Draw(t, "step")
		at.Latitude, at.Longitude = at.Latitude/step*step, at.Longitude/step*step
		local := frame.ToLocal(at)
		m := plan.Mark{Name: fmt.Sprintf("M%d", i), Geodetic: at, Resolution: step, Point: planar.Point{E: int64(math.RoundToEven(local.EastM * 1000)), N: int64(math.RoundToEven(local.NorthM * 1000))}}
		if slices.ContainsFunc(p.Survey.Marks, func(other plan.Mark) bool { return other.Point == m.Point }) {
			t.Skip("two marks are one place")
		}
		if rapid.Bool().Draw(t, "has height") {
			m.Geodetic.HeightM, m.HasHeight = float64(rapid.Int64Range(-400_000_000, 5_000_000_000).Draw(t, "own height"))/1e6, true
		}
		m.Placed = m.Geodetic
		p.Survey.Marks = append(p.Survey.Marks, m)
		p.Route.Waypoints = append(p.Route.Waypoints, plan.Waypoint{Mark: i, ID: m.Name})
		entries = append(entries, fence.Mark{Number: i, Name: m.Name})
	}
	p.Route.Closed = rapid.Bool().Draw(t, "closed")
	ring := fence.Part{Marks: entries}
	for _, m := range p.Survey.Marks {
		ring.Vertices = append(ring.Vertices, m.Point)
	}
	circle := fence.Part{Name: "well", Marks: entries[:1], IsCircle: true, Circle: planar.Circle{Centre: p.Survey.Marks[0].Point, RadiusMM: rapid.Int64Range(1, 50_000).Draw(t, "radius")}}
	p.Fence = fence.Fence{Boundary: ring, Obstacles: []fence.Part{circle}}
	return p
}

// readsBack reads a drawing as any file, and compares it with the plan to the millimetre.
func readsBack(t require.TestingT, p *plan.Plan, d Drawing, format string) {
	text, _, err := Write(d, format)
	require.NoError(t, err)
	data, err := interchange.Read(text, interchange.Options{})
	require.NoError(t, err, "%s", format)
	taken, err := interchange.Take(data, interchange.Request{})
	require.NoError(t, err, "%s", format)
	at := map[string]planar.Point{}
	for _, m := range taken.Marks {
		local := p.Site.Frame.ToLocal(geodesy.Geodetic{Latitude: m.Latitude.Value, Longitude: m.Longitude.Value, HeightM: p.Site.Origin.HeightM})
		at[m.Name] = planar.Point{E: int64(math.RoundToEven(local.EastM * 1000)), N: int64(math.RoundToEven(local.NorthM * 1000))}
	}
	var marks, heights int
	steps := map[string]geodesy.Nanodegree{}
	for _, m := range taken.Marks {
		steps[m.Name] = max(m.Latitude.Resolution, m.Longitude.Resolution)
	}
	for _, m := range p.Survey.Marks {
		if want := max(1, m.Resolution); decimal(want) { // else seconds, which are drawn with nine decimals
			require.Equal(t, want, steps[m.Name], "%s: the last digit of mark %s", format, m.Name)
		}
		require.Equal(t, m.Point, at[m.Name], "%s: mark %s", format, m.Name)
		if m.HasHeight {
			heights++
		}
		marks++
	}
	require.Positive(t, marks)
	if format == "geojson" || format == "csv" {
		for _, m := range taken.Marks {
			if i := slices.IndexFunc(p.Survey.Marks, func(of plan.Mark) bool { return of.Name == m.Name }); i >= 0 && p.Survey.Marks[i].HasHeight {
				require.NotNil(t, m.Height)
				require.Equal(t, p.Survey.Marks[i].Geodetic.HeightM, m.Height.Metres(), "%s: height of %s", format, m.Name)
				heights--
			}
		}
		require.Zero(t, heights)
	}
	if format == "csv" {
		require.Len(t, taken.Marks, marks)
		return
	}
	points := func(names []string) (ring planar.Ring) {
		for _, name := range names {
			require.Contains(t, at, name)
			ring = append(ring, at[name])
		}
		return ring
	}
	var route planar.Ring
	for _, w := range p.Route.Waypoints {
		route = append(route, p.Survey.Marks[w.Mark].Point)
	}
	require.Equal(t, route, points(taken.Route), format)
	require.Equal(t, p.Route.Closed, taken.Closed)
	sameRing(t, p.Fence.Boundary.Vertices, points(taken.Boundary))
	require.Len(t, taken.Obstacles, len(p.Fence.Obstacles))
	for i, o := range p.Fence.Obstacles {
		got := taken.Obstacles[i]
		require.Equal(t, o.Name, got.Name)
		switch {
		case !o.IsCircle:
			sameRing(t, o.Vertices, points(got.Ring))
		case format == "gpx":
			require.Len(t, got.Ring, corners)
			for _, p := range points(got.Ring) {
				require.GreaterOrEqual(t, p.Sub(o.Circle.Centre).Norm2(), o.Circle.RadiusMM*o.Circle.RadiusMM)
			}
		default:
			require.Equal(t, o.Marks[0].Name, got.Centre)
			require.Equal(t, o.Circle.RadiusMM*1000, int64(got.Radius))
		}
	}
}

// sameRing compares rings wherever they begin and whichever way they go.
func sameRing(t require.TestingT, want, got planar.Ring) {
	require.Len(t, got, len(want))
	back := slices.Clone(want)
	slices.Reverse(back)
	for _, ring := range []planar.Ring{want, back} {
		for i := range ring {
			if slices.Equal(slices.Concat(ring[i:], ring[:i]), got) {
				return
			}
		}
	}
	require.Fail(t, "another ring", "%v, and not %v", got, want)
}

func TestExamplesReadBack(t *testing.T) {
	for name, p := range plans(t) {
		d, err := Of(p, false)
		require.NoError(t, err, name)
		for _, format := range []string{"geojson", "gpx", "kml", "csv"} {
			readsBack(t, p, d, format)
		}
	}
}

func TestRandomSitesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := site(t)
		d, err := Of(p, true)
		require.NoError(t, err)
		readsBack(t, p, d, rapid.SampledFrom([]string{"geojson", "gpx", "kml", "csv"}).Draw(t, "format"))
	})
}

// A refused mission shows nothing that would have to be proved, and says that it is refused.
func TestRefused(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"))
	for _, format := range Formats() {
		d, err := Of(p, true)
		require.NoError(t, err)
		refused, _, err := Write(d, format)
		require.NoError(t, err)
		sound := drawn(t, p, format)
		if format != "csv" {
			assert.Contains(t, strings.ToLower(sound), "standoff", format)
			assert.Less(t, len(refused), len(sound)*3/4, format)
		}
		assert.Contains(t, string(refused), "REFUSED", format)
		assert.NotContains(t, sound, "REFUSED", format)
		hex := regexp.MustCompile(`\b[0-9a-f]{64}\b`)
		assert.True(t, hex.MatchString(sound), format)
		assert.False(t, hex.Match(refused), format)
		assert.True(t, IsDrawing([]byte(sound)[:min(len(sound), 4096)]) && IsDrawing(refused[:min(len(refused), 4096)]), format)
		assert.Contains(t, sound, "Nobody in front of the rover at any distance", format)
	}
}

// What other programs do not check of GeoJSON: rings counterclockwise, nothing beyond the
// ranges, nine decimals at most and none of binary noise.
func TestGeoJSONKeepsRFC7946(t *testing.T) {
	position := regexp.MustCompile(`\[(-?[0-9.e-]+),(-?[0-9.e-]+)(,-?[0-9.]+)?\]`)
	for name, p := range plans(t) {
		d, err := Of(p, false)
		require.NoError(t, err)
		rings := 0
		for _, s := range d.Shapes {
			if s.Form != ring {
				continue
			}
			rings++
			sum := 0.0
			at := s.closed()
			require.Equal(t, at[0], at[len(at)-1])
			for i := range at[1:] { // around the first, where degrees are small
				ax, ay := float64(at[i].Longitude-at[0].Longitude), float64(at[i].Latitude-at[0].Latitude)
				bx, by := float64(at[i+1].Longitude-at[0].Longitude), float64(at[i+1].Latitude-at[0].Latitude)
				sum += float64(ax*by) - float64(bx*ay)
			}
			assert.Positive(t, sum, "%s: %s %s is clockwise", name, s.Kind, s.Name)
		}
		require.Positive(t, rings)
		text := drawn(t, p, "geojson")
		assert.NotContains(t, text, `"crs"`)
		all := position.FindAllStringSubmatch(text, -1)
		require.NotEmpty(t, all)
		for _, m := range all {
			for i, limit := range []geodesy.Nanodegree{180 * geodesy.Degree, 90 * geodesy.Degree} {
				_, fraction, _ := strings.Cut(m[i+1], ".")
				require.LessOrEqual(t, len(fraction), 9, m[0])
				require.NotContains(t, m[i+1], "e")
				c, err := geodesy.ParseLongitude(m[i+1])
				require.NoError(t, err)
				require.LessOrEqual(t, max(c.Value, -c.Value), limit)
			}
		}
	}
}

// A polygon holds all of what it stands for, both in the frame and where a program draws its
// sides straight in degrees, and is hardly larger.
func TestOutlinesHoldWhatTheyStandFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		frame, err := geodesy.NewFrame(geodesy.Geodetic{
			Latitude: geodesy.Nanodegree(rapid.Int64Range(-85*int64(geodesy.Degree), 85*int64(geodesy.Degree)).Draw(t, "latitude")), HeightM: 400,
		})
		require.NoError(t, err)
		d := Drawing{frame: frame}
		coordinate := rapid.Int64Range(-10_000_000, 10_000_000)
		s := planar.Segment{A: planar.Point{E: coordinate.Draw(t, "e"), N: coordinate.Draw(t, "n")}}
		distance := rapid.Int64Range(1, 20_000).Draw(t, "distance")
		if s.B = s.A; rapid.Bool().Draw(t, "is a leg") {
			s.B = planar.Point{E: coordinate.Draw(t, "to e"), N: coordinate.Draw(t, "to n")}
		} else { // a lake has long sides
			distance *= rapid.SampledFrom([]int64{1, 500}).Draw(t, "as a lake")
		}
		places := d.around(s, distance)
		wider := bulgeMM(places)
		polygon := around(s, distance, wider)
		length := elementary.Hypot(float64(s.B.E-s.A.E), float64(s.B.N-s.A.N))
		for range 50 {
			along, turn := rapid.Float64Range(0, 1).Draw(t, "along"), rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "turn")
			end := s.A
			middle := xy{float64(s.A.E) + along*float64(s.B.E-s.A.E), float64(s.A.N) + along*float64(s.B.N-s.A.N)}
			if along > 0.5 {
				end = s.B
			}
			if rapid.Bool().Draw(t, "at an end") {
				middle = xy{float64(end.E), float64(end.N)}
			}
			at := xy{middle.e + float64(distance)*math.Cos(turn), middle.n + float64(distance)*math.Sin(turn)}
			drawn := d.at(at.e, at.n)
			for i := range polygon {
				a, b := polygon[i], polygon[(i+1)%len(polygon)]
				require.GreaterOrEqual(t, (b.e-a.e)*(at.n-a.n)-(b.n-a.n)*(at.e-a.e), 0.0, "in the frame")
			}
			require.True(t, within(drawn, places), "in degrees")
		}
		// How much larger: corners lie no farther off than their tangents let them.
		for _, p := range polygon {
			off := math.Hypot(p.e-float64(s.A.E), p.n-float64(s.A.N)) // from the leg, for those at its start
			if s.A == s.B {
				require.Less(t, off, (float64(distance)+wider+roundingMM)*1.0013)
			}
		}
		require.LessOrEqual(t, float64(len(polygon)), corners+2*(length+2*float64(distance))/sideMM)
	})
}

// within tells by a ray to the east whether a place is within a ring that is drawn in degrees.
func within(at Place, ring []Place) bool {
	inside := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Latitude > at.Latitude) == (b.Latitude > at.Latitude) {
			continue
		}
		part := float64(at.Latitude-a.Latitude) / float64(b.Latitude-a.Latitude)
		if float64(a.Longitude-at.Longitude)+part*float64(b.Longitude-a.Longitude) > 0 {
			inside = !inside
		}
	}
	return inside
}

func TestDrawings(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"))
	d, err := Of(p, false)
	require.NoError(t, err)
	kinds := map[string]int{}
	for _, s := range d.Shapes {
		kinds[s.Kind]++
		assert.NotEmpty(t, s.Name)
	}
	assert.Equal(t, len(p.Survey.Marks), kinds["mark"])
	assert.Equal(t, 1, kinds["route"]+kinds["closed route"])
	assert.Equal(t, 1, kinds["boundary"])
	assert.Equal(t, len(p.Fence.Obstacles), kinds["obstacle"])
	assert.GreaterOrEqual(t, kinds["standoff"], len(p.Route.Legs))
	for _, l := range p.Route.Legs { // a cut lies as far before the end as the plan says
		i := slices.IndexFunc(d.Shapes, func(s Shape) bool { return s.Name == l.ID+" cut" })
		require.Equal(t, p.Route.Waypoints[l.To].Stops, i >= 0, l.ID)
		if i >= 0 {
			at := d.Shapes[i].Places[0]
			assert.InDelta(t, float64(min(l.CutMM, int64(l.LengthMM))), math.Hypot(at.EastMM-float64(l.Segment.B.E), at.NorthMM-float64(l.Segment.B.N)), 1, l.ID)
		}
	}
	// On both sides of 180 degrees there is no drawing.
	p.Survey.Marks[0].Geodetic.Longitude, p.Survey.Marks[0].Placed.Longitude = -179*geodesy.Degree, -179*geodesy.Degree
	p.Survey.Marks[1].Geodetic.Longitude, p.Survey.Marks[1].Placed.Longitude = 179*geodesy.Degree, 179*geodesy.Degree
	_, err = Of(p, true)
	assert.ErrorContains(t, err, "both sides of the meridian of 180 degrees")
	_, _, err = Write(d, "shp")
	assert.ErrorContains(t, err, `there is no format "shp"`)
}

// Of 180 degrees GPX has only -180.
func TestTheOtherMeridianInGPX(t *testing.T) {
	d := Drawing{Mission: "m", Shapes: []Shape{{Kind: interchange.KindMark, Name: "A", Places: []Place{{Latitude: 45 * geodesy.Degree, Longitude: 180 * geodesy.Degree}}}}}
	for format, want := range map[string]string{"gpx": `lon="-180.000000000"`, "geojson": "[180.000000000,45.000000000]", "kml": ">180.000000000,45.000000000<", "csv": "A,45.000000000,180.000000000,,"} {
		text, _, err := Write(d, format)
		require.NoError(t, err)
		assert.Contains(t, string(text), want)
	}
}

// A mark whose place its measurements do not tell is not drawn at the origin.
func TestMarksWithoutAPlaceAreLeftOut(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "walnut-grove"))
	m := &p.Survey.Marks[len(p.Survey.Marks)-1]
	m.Measured.Form, m.Placed, m.Point = plan.Form(3), geodesy.Geodetic{}, planar.Point{}
	d, err := Of(p, true)
	require.NoError(t, err)
	assert.False(t, d.has(func(s Shape) bool { return s.Name == m.Name }))
}

// A table says of each mark what the plan reckons with, however that came about.
func TestTheTableHasTheUncertaintiesOfThePlan(t *testing.T) {
	others := 0
	for name, p := range plans(t) {
		data, err := interchange.Read([]byte(drawn(t, p, "csv")), interchange.Options{})
		require.NoError(t, err)
		require.Len(t, data.Points, len(p.Survey.Marks))
		for i, m := range p.Survey.Marks {
			require.NotNil(t, data.Points[i].Uncertainty, "%s: %s", name, m.Name)
			assert.InDelta(t, m.StdMM, data.Points[i].Uncertainty.Millimetres(), 0.1, "%s: %s", name, m.Name)
			if !surveyed(m) || m.StdMM != m.OwnStdMM {
				others++
			}
		}
	}
	assert.Positive(t, others, "measured from others, or of another set-up")
}

// Decimals are written to as many digits as a degree had in the mission; seconds are not, so
// that what their digits leave open is in the uncertainty.
func TestCoarseSecondsCount(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "salt-pan"))
	m := &p.Survey.Marks[0]
	for _, c := range []struct {
		step geodesy.Nanodegree
		want string
	}{{1, "20 mm"}, {100_000, "20 mm"}, {28, "20 mm"}, {277_778, "8952.8 mm"}} { // 277778 nanodegrees of 6397 km, over the root of 12
		m.Resolution = c.step
		assert.Equal(t, c.want, uncertainty(p, 0), "%d", c.step)
	}
}

// Names of legs have a dash that code pages of release 12 have not.
func TestDXFIsASCII(t *testing.T) {
	for name, p := range plans(t) {
		text := drawn(t, p, "dxf")
		require.Contains(t, text, " cut\n", name)
		assert.Equal(t, -1, strings.IndexFunc(text, func(r rune) bool { return r > '~' }), name)
	}
}

// What comes on top of a standoff, and at which edge it was asked for, is said.
func TestStandoffsSayWhatTheyLeaveOut(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "warned/base-shift-absorbed"))
	d, err := Of(p, false)
	require.NoError(t, err)
	assert.Contains(t, d.Notes, "The base averages its position anew: all of the drive may come up 0.104 m away from here, which no standoff has in it.")
	for _, s := range d.Shapes {
		if s.Kind == interchange.KindStandoff {
			assert.Contains(t, s.About, "m: to be free of the fence, as at ")
			assert.Contains(t, s.About, ", where the least is to spare; position ")
		}
	}
	d, err = Of(missiontest.Resolve(t, missiontest.Example(t, "walnut-grove")), false)
	require.NoError(t, err)
	assert.NotContains(t, strings.Join(d.Notes, " "), "may come up", "a site shift takes it out")
}

// A mark that moves with its set-up moves in height, too.
func TestHeightsMoveWithTheirSetUp(t *testing.T) {
	p := missiontest.Resolve(t, missiontest.Example(t, "../testdata/every-key"))
	i := slices.IndexFunc(p.Survey.Marks, func(m plan.Mark) bool { return surveyed(m) && m.Placed != m.Geodetic })
	require.GreaterOrEqual(t, i, 0)
	m := &p.Survey.Marks[i]
	m.HasHeight, m.Geodetic.HeightM, m.Placed.HeightM = true, 171.5, 171.5-3.0999999999999943
	d, err := Of(p, false)
	require.NoError(t, err)
	assert.Equal(t, "168.4", d.mark(*m).Height)
	m.Placed = m.Geodetic
	assert.Equal(t, "171.5", d.mark(*m).Height)
}
