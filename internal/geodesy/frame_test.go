// The local frame against PROJ, GeographicLib, the worked example of IOGP
// Guidance Note 7-2, and an exact reference.
package geodesy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/tooltest"
)

// The worked example of IOGP Guidance Note 7-2 for method 9837, printed there
// to the millimetre with the point's latitude and longitude to 0.01 second.
func TestWorkedExampleOfMethod9837(t *testing.T) {
	latitude, err := ParseLatitude(`53°48'33.82"N`)
	require.NoError(t, err)
	longitude, err := ParseLongitude(`2°07'46.38"E`)
	require.NoError(t, err)
	frame := mustFrame(t, Geodetic{55 * Degree, 5 * Degree, 200})
	point := Geodetic{latitude.Value, longitude.Value, 73}

	local := frame.ToLocal(point)
	// Half a millimetre for the print, 0.06 mm for the latitude in nanodegrees
	// (33.82 seconds is no whole number of them).
	assert.InDelta(t, -189013.869, local.EastM, 0.0006)
	assert.InDelta(t, -128642.040, local.NorthM, 0.0006)
	assert.InDelta(t, -4220.171, local.UpM, 0.0006)

	back := frame.FromLocal(local)
	assert.Equal(t, point.Latitude, back.Latitude)
	assert.Equal(t, point.Longitude, back.Longitude)
	assert.InDelta(t, point.HeightM, back.HeightM, 1e-6)
}

// origins steps over the latitudes, with longitudes and heights in turn.
func origins(step int) []Geodetic {
	longitudes := []float64{-179.9999, -122.31, -71.105, -3.7038, 0, 6.1234, 77.6, 139.6917, 179.95, 180}
	heights := []float64{-100, 0, 412.6, 1500, 5000, 2222.222}
	var list []Geodetic
	for latitude := -89; latitude <= 89; latitude += step {
		i := len(list)
		list = append(list, Geodetic{
			Latitude:  Nanodegree(latitude)*Degree + Nanodegree(i*1234567),
			Longitude: Nanodegree(math.Round(longitudes[i%len(longitudes)] * 1e9)),
			HeightM:   heights[i%len(heights)],
		})
	}
	return list
}

// near is a point about distance metres from the origin at an azimuth. It need
// only be roughly there; beyond a pole it comes down on the other side.
func near(origin Geodetic, distance, azimuth, height float64) Geodetic {
	dLat := distance * math.Cos(azimuth) / MeridianRadius(origin.Latitude) / radiansPerNanodegree
	sin, cos := origin.Latitude.sinCos()
	dLon := distance * math.Sin(azimuth) / (primeVerticalRadius(sin) * cos) / radiansPerNanodegree
	latitude := origin.Latitude + Nanodegree(math.Round(dLat))
	longitude := origin.Longitude + Nanodegree(math.Round(dLon))
	if latitude > quarterTurn {
		latitude, longitude = halfTurn-latitude, longitude+halfTurn
	}
	if latitude < -quarterTurn {
		latitude, longitude = -halfTurn-latitude, longitude+halfTurn
	}
	return Geodetic{latitude, wrapTurn(longitude), height}
}

// spread is directions times distances around an origin, heights varying.
func spread(origin Geodetic, directions int, distances ...float64) []Geodetic {
	var points []Geodetic
	for i := range directions {
		for j, distance := range distances {
			height := origin.HeightM + float64((i*len(distances)+j)%7-2)*12.25
			points = append(points, near(origin, distance, 2*math.Pi*float64(i)/float64(directions)+0.1, height))
		}
	}
	return points
}

// topocentricTool is an outside implementation of the frame.
type topocentricTool struct {
	tool, file, command string
	forward             func(t *testing.T, origin Geodetic, points []Geodetic) [][]float64
}

var topocentricTools = []topocentricTool{
	{
		tool: "cct", file: "topocentric_cct.txt",
		command: "echo LON LAT H | cct -d 9 +proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart +ellps=WGS84 +step +proj=topocentric +ellps=WGS84 +lon_0=LON0 +lat_0=LAT0 +h_0=H0",
		forward: func(t *testing.T, origin Geodetic, points []Geodetic) [][]float64 {
			var places [][]string
			for _, point := range points {
				places = append(places, columns(point))
			}
			return tooltest.Topocentric(t, columns(origin), places)
		},
	},
	{
		tool: "CartConvert", file: "topocentric_CartConvert.txt",
		command: "echo LAT LON H | CartConvert -l LAT0 LON0 H0 -p 9",
		forward: func(t *testing.T, origin Geodetic, points []Geodetic) [][]float64 {
			var input []string
			for _, point := range points {
				input = append(input, strings.Join(columns(point), " "))
			}
			args := append([]string{"-l"}, columns(origin)...)
			return tooltest.Numbers(t, input, "CartConvert", append(args, "-p", "9")...)
		},
	},
}

// The committed tables: 14 origins, directions all round, out to 20 km.
func TestFrameAgainstGoldenTables(t *testing.T) {
	for _, outside := range topocentricTools {
		t.Run(outside.tool, func(t *testing.T) {
			fresh := func() table {
				made := table{header: []string{
					"Points in local east-north-up frames on WGS 84, by " + outside.tool + " (" + tooltest.Version(t, outside.tool) + ").",
					"Command for each line: " + outside.command,
					"Rewritten by: go test ./internal/geodesy -update",
					"lat0 lon0 h0 lat lon h east north up (degrees, metres)",
				}}
				for i, origin := range origins(13) {
					points := spread(origin, 7, []float64{20, 600, 20000}[i%3])
					for j, enu := range outside.forward(t, origin, points) {
						row := append(columns(origin), columns(points[j])...)
						for _, value := range enu {
							row = append(row, strconv.FormatFloat(value, 'f', 9, 64))
						}
						made.rows = append(made.rows, row)
					}
				}
				return made
			}
			committed := goldenTable(t, outside.file, fresh)
			requireSameTable(t, committed, fresh(), 6, 1e-8)
			require.Len(t, committed.rows, 14*7)
			for _, row := range committed.rows {
				origin, point, enu := geodeticOf(t, row), geodeticOf(t, row[3:]), number(t, row[6:])
				frame := mustFrame(t, origin)
				requireLocal(t, enu, frame.ToLocal(point), 1e-8, row)
				requireSamePlace(t, point, frame.FromLocal(Local{enu[0], enu[1], enu[2]}), row)
			}
		})
	}
}

// The live tools, densely: latitudes from -89 to 89, longitudes in both
// hemispheres and across the antimeridian, heights from -100 to 5000 m. The
// tools themselves subtract geocentric coordinates of 6.4e6 m, whose spacing in
// float64 is 9e-10 m; hence the tolerance of 1e-8 m (a ten-thousandth of what
// is asked of the frame).
func TestFrameAgainstLiveTools(t *testing.T) {
	count := 0
	for _, origin := range origins(4) {
		frame := mustFrame(t, origin)
		points := append(spread(origin, 12, 0, 1.5, 60, 900, 7000, 20000), origin)
		for _, outside := range topocentricTools {
			for i, enu := range outside.forward(t, origin, points) {
				requireLocal(t, enu, frame.ToLocal(points[i]), 1e-8, outside.tool, origin, points[i])
				requireSamePlace(t, points[i], frame.FromLocal(Local{enu[0], enu[1], enu[2]}), outside.tool, origin, points[i])
				count++
			}
		}
	}
	t.Logf("%d points", count)
}

// The inverse of both tools at places that are not whole nanodegrees: solve
// agrees to 1e-6 m (their angles are printed to 1e-12 degree, 1e-7 m), and
// FromLocal is the nearest nanodegree.
func TestInverseAgainstLiveTools(t *testing.T) {
	for _, origin := range origins(6) {
		frame := mustFrame(t, origin)
		var locals []Local
		var input []string
		for i := range 12 {
			for _, distance := range []float64{3, 411, 20000} {
				sin, cos := math.Sincos(2 * math.Pi * float64(i) / 12)
				local := Local{math.Round(sin*distance*1e3) / 1e3, math.Round(cos*distance*1e3) / 1e3, float64(i*7 - 40)}
				locals = append(locals, local)
				input = append(input, fmt.Sprintf("%.3f %.3f %.3f", local.EastM, local.NorthM, local.UpM))
			}
		}
		viaProj := tooltest.Numbers(t, input, "cct", append([]string{"-I", "-d", "12"}, tooltest.TopocentricPipeline(columns(origin))...)...)
		viaGeographicLib := tooltest.Numbers(t, input, "CartConvert", append(append([]string{"-r", "-l"}, columns(origin)...), "-p", "9")...)
		for i, local := range locals {
			requireInverse(t, frame, local, viaProj[i][1], viaProj[i][0], viaProj[i][2])
			requireInverse(t, frame, local, viaGeographicLib[i][0], viaGeographicLib[i][1], viaGeographicLib[i][2])
		}
	}
}

func requireInverse(t *testing.T, frame Frame, local Local, latitude, longitude, height float64) {
	t.Helper()
	origin := frame.Origin()
	dLat, dLon, h := frame.solve(local)
	sin, cos := origin.Latitude.sinCos()
	wantLon := math.Remainder(longitude-origin.Longitude.Degrees(), 360) * math.Pi / 180
	wantLat := (latitude - origin.Latitude.Degrees()) * math.Pi / 180
	require.InDelta(t, 0, (dLat-wantLat)*meridianRadius(sin), 1e-6, local)
	require.InDelta(t, 0, (dLon-wantLon)*primeVerticalRadius(sin)*cos, 1e-6, local)
	require.InDelta(t, height, h, 1e-6, local)

	rounded := frame.FromLocal(local)
	require.InDelta(t, latitude*1e9, float64(rounded.Latitude), 0.51, local)
	require.InDelta(t, 0, math.Remainder(longitude*1e9-float64(rounded.Longitude), 360e9), 0.51, local)
	require.Equal(t, h, rounded.HeightM)
}

func requireLocal(t *testing.T, want []float64, got Local, tolerance float64, note ...any) {
	t.Helper()
	require.InDeltaSlice(t, want, []float64{got.EastM, got.NorthM, got.UpM}, tolerance, note...)
}

// requireSamePlace wants the same nanodegrees, +180 and -180 being one meridian,
// and the height to 1e-6 m.
func requireSamePlace(t *testing.T, want, got Geodetic, note ...any) {
	t.Helper()
	require.Equal(t, want.Latitude, got.Latitude, note...)
	require.Equal(t, wrapTurn(want.Longitude), got.Longitude, note...)
	require.InDelta(t, want.HeightM, got.HeightM, 1e-6, note...)
}

// randomSite draws an origin and a point within limitM of it, with places that
// are hard on the arithmetic more often than chance would bring them.
func randomSite(r *rand.Rand, limitM float64) (origin, point Geodetic) {
	const pole Nanodegree = 8_953_200 // a little more than PoleLimitM along the meridian
	switch r.IntN(5) {
	case 0: // close to the pole limit
		origin.Latitude = quarterTurn - pole - Nanodegree(r.Int64N(int64(Degree/2)))
	case 1: // close to the equator
		origin.Latitude = Nanodegree(r.Int64N(int64(Degree / 10)))
	case 2: // where sinCos changes its formula
		origin.Latitude = 45*Degree + Nanodegree(r.Int64N(2000)-1000)
	default:
		origin.Latitude = Nanodegree(r.Int64N(int64(quarterTurn - pole)))
	}
	if r.IntN(2) == 0 {
		origin.Latitude = -origin.Latitude
	}
	origin.Longitude = Nanodegree(r.Int64N(int64(fullTurn))) - halfTurn
	if r.IntN(4) == 0 {
		origin.Longitude = halfTurn - Nanodegree(r.Int64N(1000))
	}
	origin.HeightM = r.Float64()*(MaxHeightM-MinHeightM) + MinHeightM
	distance := limitM * math.Exp(-r.ExpFloat64()*3) // small sites as often as large ones
	if r.IntN(8) == 0 {
		distance = limitM
	}
	point = near(origin, distance, r.Float64()*2*math.Pi, origin.HeightM+(r.Float64()-0.5)*600)
	return origin, point
}

// The bound on ToLocal's rounding, from the form of forward. With u = 2^-53:
//
//	a latitude's sine and cosine, Δ's sine     ≤ 4u relative each (2u the angle, 2u the function)
//	N, N+h                                     ≤ 4u
//	p                                          ≤ 9u
//	term of north and up in Δφ                 ≤ 12u of itself
//	term in Δλ (two sines, p, a latitude)      ≤ 24u of itself
//	terms with e² (0.0067)                     < 1u of the site's size
//	three additions                            ≤ 3u of the sum of the terms
//
// and the terms are together at most 2 (|east|+|north|+|up|+|h-h0|)
// =: 2 size, the sagitta being below |east| where Δλ < 1 and below twice the
// distance beyond. So
//
//	|error| ≤ 40u · size    (9e-11 m for a size of 20 km)
func TestForwardRoundingBound(t *testing.T) {
	const bound = 40.0 / (1 << 53)
	r := rand.New(rand.NewPCG(9837, 1))
	worst, worstM := 0.0, 0.0
	for range 2500 {
		origin, point := randomSite(r, 20_000)
		local := mustFrame(t, origin).ToLocal(point)
		east, north, up := referenceToLocal(origin, point)
		size := math.Abs(local.EastM) + math.Abs(local.NorthM) + math.Abs(local.UpM) + math.Abs(point.HeightM-origin.HeightM)
		failed := max(differs(local.EastM, east), differs(local.NorthM, north), differs(local.UpM, up))
		require.LessOrEqualf(t, failed, bound*size, "origin %v point %v local %v", origin, point, local)
		worst, worstM = max(worst, failed/size*(1<<53)), max(worstM, failed)
	}
	t.Logf("worst: %.1fu of the size, %.1e m", worst, worstM)
}

// What the differences buy: the textbook form in float64, on the same points,
// is worse by orders of magnitude. If this fails, forward's comment is wrong.
func TestTextbookFormLosesDigits(t *testing.T) {
	r := rand.New(rand.NewPCG(9837, 2))
	textbook, ours := 0.0, 0.0
	for range 500 {
		origin, point := randomSite(r, 2000)
		frame := mustFrame(t, origin)
		east, north, up := referenceToLocal(origin, point)
		got := frame.ToLocal(point)
		ours = max(ours, differs(got.EastM, east), differs(got.NorthM, north), differs(got.UpM, up))
		got = textbookToLocal(origin, point)
		textbook = max(textbook, differs(got.EastM, east), differs(got.NorthM, north), differs(got.UpM, up))
	}
	t.Logf("textbook %.1e m, ours %.1e m", textbook, ours)
	assert.Greater(t, textbook, 1e-9)
	assert.Less(t, ours, 1e-11)
}

func textbookToLocal(origin, point Geodetic) Local {
	plane := func(g Geodetic) (p, z float64) {
		sin, cos := math.Sincos(g.Latitude.Radians())
		n := primeVerticalRadius(sin)
		return (n + g.HeightM) * cos, (n*(1-eccentricitySquared) + g.HeightM) * sin
	}
	p0, z0 := plane(origin)
	p, z := plane(point)
	sinLon, cosLon := math.Sincos(wrapTurn(point.Longitude - origin.Longitude).Radians())
	sin, cos := math.Sincos(origin.Latitude.Radians())
	return Local{p * sinLon, -sin*(p*cosLon-p0) + cos*(z-z0), cos*(p*cosLon-p0) + sin*(z-z0)}
}

// The unrounded inverse: solve(ToLocal(g)) is g to within 1e-9 m in each
// direction, out to 100 km and over the poles. The parts, with u = 2^-53: the
// longitude's denominator, 10u of east (1e-10 m at 100 km); forward's own 40u of
// the size (4e-10 m), twice, since it is used going and coming back; Newton's
// remainder, below 1e-13 m.
func TestInverseRoundTripBound(t *testing.T) {
	const boundM = 1e-9
	r := rand.New(rand.NewPCG(9837, 3))
	worst := 0.0
	for range 200_000 {
		origin, point := randomSite(r, 100_000)
		frame := mustFrame(t, origin)
		dLat, dLon, height := frame.solve(frame.ToLocal(point))
		sin, cos := point.Latitude.sinCos()
		north := (dLat - (point.Latitude - origin.Latitude).Radians()) * meridianRadius(sin)
		east := (dLon - wrapTurn(point.Longitude-origin.Longitude).Radians()) * primeVerticalRadius(sin) * cos
		failed := max(math.Abs(north), math.Abs(east), math.Abs(height-point.HeightM))
		require.LessOrEqualf(t, failed, boundM, "origin %v point %v: %g %g %g", origin, point, east, north, height-point.HeightM)
		worst = max(worst, failed)
	}
	t.Logf("worst %.1e m", worst)
}

// As the round trip is far closer than half a nanodegree, whole nanodegrees come
// back exactly; the other way round the rounding shows, and no more than that.
func TestRoundTrips(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		origin := Geodetic{
			Latitude:  Nanodegree(rapid.Int64Range(-89_990_000_000, 89_990_000_000).Draw(rt, "latitude")),
			Longitude: Nanodegree(rapid.Int64Range(-180_000_000_000, 180_000_000_000).Draw(rt, "longitude")),
			HeightM:   rapid.Float64Range(MinHeightM, MaxHeightM).Draw(rt, "height"),
		}
		frame, err := NewFrame(origin)
		require.NoError(rt, err)
		local := Local{
			rapid.Float64Range(-20_000, 20_000).Draw(rt, "east"),
			rapid.Float64Range(-20_000, 20_000).Draw(rt, "north"),
			rapid.Float64Range(-500, 500).Draw(rt, "up"),
		}
		g := frame.FromLocal(local)
		again := frame.ToLocal(g)
		// Half a nanodegree of latitude is at most 0.0559 mm (a²/b + 10 km), of
		// longitude the same or less; the frame's axes can see both.
		require.InDelta(rt, 0, math.Hypot(again.EastM-local.EastM, again.NorthM-local.NorthM), 0.0559e-3*math.Sqrt2)
		require.InDelta(rt, local.UpM, again.UpM, 1e-6)
		back := frame.FromLocal(again)
		require.Equal(rt, g.Latitude, back.Latitude)
		require.Equal(rt, g.Longitude, back.Longitude)
		require.InDelta(rt, g.HeightM, back.HeightM, 1e-9)
	})
}

// AtHeight against CartConvert: the point it gives has the height asked for and,
// seen in the frame, the plan position asked for to the rounding of nanodegrees.
func TestAtHeightAgainstCartConvert(t *testing.T) {
	for _, origin := range origins(10) {
		frame := mustFrame(t, origin)
		var plans [][3]float64
		var points []Geodetic
		var ups []string
		for i := range 9 {
			for _, distance := range []float64{0, 50, 3000, 20000} {
				sin, cos := math.Sincos(2 * math.Pi * float64(i) / 9)
				plan := [3]float64{sin * distance, cos * distance, origin.HeightM + float64(i*20-70)}
				plans = append(plans, plan)
				points = append(points, frame.AtHeight(plan[0], plan[1], plan[2]))
				ups = append(ups, fmt.Sprintf("%.9f %.9f %.9f", plan[0], plan[1], frame.upAtHeight(plan[0], plan[1], plan[2])))
			}
		}
		for i, enu := range topocentricTools[1].forward(t, origin, points) {
			require.Equal(t, plans[i][2], points[i].HeightM)
			require.InDelta(t, 0, math.Hypot(enu[0]-plans[i][0], enu[1]-plans[i][1]), 0.08e-3, plans[i])
		}
		for i, llh := range tooltest.Numbers(t, ups, "CartConvert", append(append([]string{"-r", "-l"}, columns(origin)...), "-p", "9")...) {
			require.InDelta(t, plans[i][2], llh[2], 1e-8, plans[i])
		}
	}
}

// upAtHeight needs few steps even at 100 km, so its bound is never reached.
func TestAtHeightSettles(t *testing.T) {
	for _, origin := range origins(4) {
		frame := mustFrame(t, origin)
		for i := range 16 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 16)
			for _, distance := range []float64{10, 20e3, 100e3} {
				up := frame.upAtHeight(distance*sin, distance*cos, origin.HeightM)
				_, _, height := frame.solve(Local{distance * sin, distance * cos, up})
				require.InDelta(t, origin.HeightM, height, 1e-8)
			}
		}
	}
}

func TestNewFrameRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		origin Geodetic
		want   string
	}{
		"the pole itself":        {Geodetic{90 * Degree, 0, 0}, "0 m from a pole"},
		"900 m from a pole":      {Geodetic{-89_991_942_000, 10 * Degree, 0}, "900 m from a pole"},
		"latitude beyond a pole": {Geodetic{91 * Degree, 0, 0}, "latitude 91 is not from -90 to 90"},
		"longitude too large":    {Geodetic{0, 181 * Degree, 0}, "longitude 181 is not from -180 to 180"},
		"height no number":       {Geodetic{0, 0, math.NaN()}, "height is not a number"},
		"height infinite":        {Geodetic{0, 0, math.Inf(1)}, "height +Inf m is not from -1000 to 10000 m"},
		"height in millimetres":  {Geodetic{0, 0, 412600}, "height 412600 m is not from -1000 to 10000 m"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := NewFrame(c.origin)
			require.ErrorContains(t, err, c.want)
		})
	}
}

// The pole limit against GeodSolve: the first latitude accepted is 1000 m from
// the pole along the meridian, to a millimetre.
func TestPoleLimitAgainstGeodSolve(t *testing.T) {
	first := Nanodegree(89_990_000_000)
	step := 10_000_000 * Nanodegree(1)
	for step > 0 {
		if _, err := NewFrame(Geodetic{first + step, 0, 0}); err == nil {
			first += step
		} else {
			step /= 2
		}
	}
	row := tooltest.Numbers(t, []string{first.String() + " 0 90 0"}, "GeodSolve", "-i", "-p", "6")[0]
	assert.InDelta(t, PoleLimitM, row[2], 0.001)
	assert.GreaterOrEqual(t, row[2], float64(PoleLimitM)-1e-6)
}

// Sites across the antimeridian: the same site moved by whole degrees of
// longitude has the same local coordinates.
func TestFrameAcrossAntimeridian(t *testing.T) {
	for _, latitude := range []string{"-67.5", "0", "45.3012", "88.9"} {
		lat := degrees(t, latitude)
		plain := mustFrame(t, Geodetic{lat, 6 * Degree, 100})
		across := mustFrame(t, Geodetic{lat, 179_999_999_999, 100})
		for _, offset := range []Nanodegree{-200_000_000, -1, 0, 1, 2, 200_000_000} {
			want := plain.ToLocal(Geodetic{lat, 6*Degree + offset, 100})
			point := Geodetic{lat, wrapTurn(179_999_999_999 + offset), 100}
			require.Equal(t, want, across.ToLocal(point))
			requireSamePlace(t, point, across.FromLocal(want))
		}
		// -180 and 180 are one meridian.
		require.Equal(t, across.ToLocal(Geodetic{lat, 180 * Degree, 0}), across.ToLocal(Geodetic{lat, -180 * Degree, 0}))
	}
}

// A frame 2 km from a pole, and points at, round and beyond that pole: latitudes
// stay within ±90, and the way back is the same.
func TestFrameOverThePole(t *testing.T) {
	for _, sign := range []Nanodegree{1, -1} {
		origin := Geodetic{sign * 89_982_000_000, 30 * Degree, 50}
		frame := mustFrame(t, origin)
		pole := frame.ToLocal(Geodetic{sign * quarterTurn, 0, 50})
		assert.Zero(t, pole.EastM)
		assert.Equal(t, sign*quarterTurn, frame.FromLocal(pole).Latitude)
		for i := range 36 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 18)
			for _, distance := range []float64{0, 1e-12, 1e-6, 5e-5, 1e-3, 1, 3000} {
				for _, up := range []float64{0, 9000} {
					local := Local{pole.EastM + distance*sin, pole.NorthM + distance*cos, pole.UpM + up}
					g := frame.FromLocal(local)
					require.LessOrEqual(t, g.Latitude.magnitude(), uint64(quarterTurn))
					back := frame.ToLocal(g)
					requireLocal(t, []float64{local.EastM, local.NorthM, local.UpM}, back, 0.8e-4, local)
				}
			}
		}
		over := frame.FromLocal(Local{0, float64(sign) * 5000, 0})
		assert.Equal(t, -150*Degree, over.Longitude, "beyond the pole the longitude is the opposite one")
	}
}

func TestOriginIsZero(t *testing.T) {
	for _, origin := range origins(7) {
		frame := mustFrame(t, origin)
		assert.Equal(t, origin, frame.Origin())
		assert.Equal(t, Local{}, frame.ToLocal(origin))
		requireSamePlace(t, origin, frame.FromLocal(Local{}))
	}
}

// FromLocal converts a point of the frame, up to some 100 km from the origin,
// to latitude, longitude and height. Latitude and longitude are rounded to the
// nearest nanodegree, which moves the point by at most 0.056 mm in each
// direction; the longitude is in (-180°, 180°]. So ToLocal(FromLocal(x)) is x to
// within 0.06 mm east and north, and FromLocal(ToLocal(g)) is g exactly in
// latitude and longitude and to within 1e-9 m in height.
func (f Frame) FromLocal(local Local) Geodetic {
	dLat, dLon, height := f.solve(local)
	return f.offset(dLat, dLon, height)
}
