// Distances against GeodSolve (GeographicLib), and the ground distance against
// a chain of short chords at height, laid by GeodSolve and PROJ.
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

	"merestone/internal/tooltest"
)

const geodSolveCommand = "echo LAT1 LON1 LAT2 LON2 | GeodSolve -i -p 9"

func lineInput(a, b Geodetic) string {
	return fmt.Sprintf("%s %s %s %s", a.Latitude, a.Longitude, b.Latitude, b.Longitude)
}

// goldenLines are lines of 1 m to 95 km all over, with the awkward ones named.
func goldenLines() [][2]Geodetic {
	at := func(latitude, longitude Nanodegree) Geodetic { return Geodetic{latitude, longitude, 0} }
	lines := [][2]Geodetic{
		{at(0, 0), at(0, Degree/2)},                                                       // along the equator
		{at(-Degree/4, 0), at(Degree/4, 0)},                                               // along a meridian over the equator
		{at(89_700_000_000, 10*Degree), at(89_700_000_000, -170*Degree)},                  // over the pole
		{at(-89_900_000_000, 0), at(-89_800_000_000, 90*Degree)},                          // beside the pole
		{at(45*Degree, 179_999_000_000), at(45*Degree, -179_999_000_000)},                 // over the antimeridian
		{at(45*Degree, 180*Degree), at(45_000_100_000, -180*Degree)},                      // along it, by both names
		{at(90*Degree, 0), at(89_900_000_000, 33*Degree)},                                 // from the pole
		{at(45_301_200_000, 6_123_400_000), at(45_301_200_001, 6_123_400_000)},            // one nanodegree
		{at(45_301_200_000, 6_123_400_000), at(45_301_200_000, 6_123_400_001)},            // one nanodegree
		{at(45_301_200_000, 6_123_400_000), at(45_301_200_000+Degree/2, 6_123_400_000)},   // due north
		{at(-12_000_000_001, 6_123_400_000), at(-12_000_000_001, 6_123_400_000-Degree/2)}, // near due west
	}
	for i, origin := range origins(18) {
		distance := []float64{1, 40, 900, 20_000, 95_000}[i%5]
		for j := range 3 {
			lines = append(lines, [2]Geodetic{origin, near(origin, distance, float64(j)*2.1+0.4, 0)})
		}
	}
	return lines
}

func TestGeodesicAgainstGoldenTable(t *testing.T) {
	fresh := func() table {
		made := table{header: []string{
			"Geodesics on WGS 84, by GeodSolve (" + tooltest.Version(t, "GeodSolve") + ").",
			"Command for each line: " + geodSolveCommand,
			"Rewritten by: go test ./internal/geodesy -update",
			"lat1 lon1 lat2 lon2 azimuth1 azimuth2 distance (degrees, metres)",
		}}
		var input []string
		for _, line := range goldenLines() {
			input = append(input, lineInput(line[0], line[1]))
		}
		for i, output := range tooltest.Lines(t, input, "GeodSolve", "-i", "-p", "9") {
			made.rows = append(made.rows, append(strings.Fields(input[i]), strings.Fields(output)...))
		}
		return made
	}
	committed := goldenTable(t, "geodesic_GeodSolve.txt", fresh)
	requireSameTable(t, committed, fresh(), 4, 1e-8)
	for _, row := range committed.rows {
		a := geodeticOf(t, append(row[:2:2], "0"))
		b := geodeticOf(t, append(row[2:4:4], "0"))
		requireGeodesic(t, a, b, number(t, row[4:]))
	}
}

// The live tool on many random lines, from a millimetre to 100 km.
func TestGeodesicAgainstGeodSolve(t *testing.T) {
	r := rand.New(rand.NewPCG(1975, 1))
	var lines [][2]Geodetic
	var input []string
	for range 5000 {
		origin, _ := randomSite(r, 1)
		distance := math.Exp(r.Float64()*math.Log(99_000/0.001)) * 0.001
		point := near(origin, distance, r.Float64()*2*math.Pi, 0)
		lines = append(lines, [2]Geodetic{origin, point})
		input = append(input, lineInput(origin, point))
	}
	worst := 0.0
	for i, row := range tooltest.Numbers(t, input, "GeodSolve", "-i", "-p", "9") {
		if row[2] > MaxGeodesicM {
			continue // near() is rough beside the pole
		}
		requireGeodesic(t, lines[i][0], lines[i][1], row)
		distance, _, _, _ := Geodesic(lines[i][0], lines[i][1])
		worst = max(worst, math.Abs(distance-row[2]))
	}
	t.Logf("worst distance %.1e m", worst)
}

// requireGeodesic compares with azimuth1, azimuth2 (degrees), distance: the
// distance to 1e-8 m, and the azimuths so that the far end of the line is within
// 1e-8 m sideways.
func requireGeodesic(t *testing.T, a, b Geodetic, want []float64) {
	t.Helper()
	const withinM = 1e-8
	distance, azimuth1, azimuth2, err := Geodesic(a, b)
	require.NoError(t, err)
	require.InDelta(t, want[2], distance, withinM, "%v %v", a, b)
	if distance == 0 {
		return
	}
	for i, azimuth := range []float64{azimuth1, azimuth2} {
		require.GreaterOrEqual(t, azimuth, 0.0)
		require.Less(t, azimuth, 2*math.Pi)
		aside := math.Remainder(azimuth-want[i]*math.Pi/180, 2*math.Pi) * distance
		require.InDelta(t, 0, aside, withinM, "%v %v azimuth%d", a, b, i+1)
	}
}

func TestGeodesicOfOnePoint(t *testing.T) {
	for _, pair := range [][2]Geodetic{
		{{45 * Degree, 6 * Degree, 0}, {45 * Degree, 6 * Degree, 400}},
		{{45 * Degree, 180 * Degree, 0}, {45 * Degree, -180 * Degree, 0}},
	} {
		distance, azimuth1, azimuth2, err := Geodesic(pair[0], pair[1])
		require.NoError(t, err)
		assert.Equal(t, [3]float64{}, [3]float64{distance, azimuth1, azimuth2})
	}
	// The pole has every longitude.
	distance, _, _, err := Geodesic(Geodetic{90 * Degree, 0, 0}, Geodetic{90 * Degree, 50 * Degree, 0})
	require.NoError(t, err)
	assert.InDelta(t, 0, distance, 1e-9)
}

func TestGeodesicRefusesLongLines(t *testing.T) {
	for name, pair := range map[string][2]Geodetic{
		"100.2 km":      {{45 * Degree, 0, 0}, {45_902_000_000, 0, 0}},
		"a continent":   {{45 * Degree, 0, 0}, {45 * Degree, 40 * Degree, 0}},
		"antipodes":     {{0, 0, 0}, {0, 180 * Degree, 0}},
		"near antipode": {{0, 0, 0}, {Degree / 2, 179_700_000_000, 0}},
		"pole to pole":  {{90 * Degree, 0, 0}, {-90 * Degree, 0, 0}},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, _, err := Geodesic(pair[0], pair[1])
			require.ErrorContains(t, err, "are more than 100 km apart")
			assert.True(t, math.IsNaN(GroundDistance(pair[0], pair[1], 0)))
		})
	}
}

// However rough inverse is for far points, none of them looks near.
func TestFarPointsAreNeverNear(t *testing.T) {
	r := rand.New(rand.NewPCG(1975, 2))
	for range 100_000 {
		a, b := Geodetic{}, Geodetic{}
		for _, g := range []*Geodetic{&a, &b} {
			g.Latitude = Nanodegree(r.Int64N(int64(halfTurn)+1)) - quarterTurn
			g.Longitude = Nanodegree(r.Int64N(int64(fullTurn))) - halfTurn
		}
		if r.IntN(2) == 0 { // near the antipode
			b = near(Geodetic{-a.Latitude, wrapTurn(a.Longitude + halfTurn), 0}, 100_000*r.Float64(), 7*r.Float64(), 0)
		}
		sin1, cos1 := a.Latitude.sinCos()
		sin2, cos2 := b.Latitude.sinCos()
		if sin1*sin2+cos1*cos2*math.Cos((b.Longitude-a.Longitude).Radians()) > math.Cos(0.02) {
			continue // 127 km or less
		}
		_, _, _, err := Geodesic(a, b)
		require.Error(t, err, "%v %v", a, b)
	}
}

// groundLines are lines and heights for the ground distance.
func groundLines() (lines [][2]Geodetic, heights []float64) {
	for i, origin := range origins(20) {
		distance := []float64{30, 1000, 19_500}[i%3]
		for j, height := range []float64{-100, 412.6, 5000} {
			lines = append(lines, [2]Geodetic{origin, near(origin, distance, float64(i+j)*1.3+0.2, 0)})
			heights = append(heights, height)
		}
	}
	return lines, heights
}

// chainOfChords lays a tape without any formula of ours: GeodSolve gives points
// on the geodesic every 100 m or less, PROJ puts them at the height in
// geocentric coordinates, and the straight pieces are added. Each 100 m chord is
// short of its arc by 100³/(24 R²) = 1e-9 m, 2e-7 m in 20 km.
func chainOfChords(t *testing.T, a, b Geodetic, heightM float64) float64 {
	total := tooltest.Numbers(t, []string{lineInput(a, b)}, "GeodSolve", "-i", "-p", "9")[0][2]
	pieces := max(1, int(math.Ceil(total/100)))
	var stations []string
	for i := range pieces + 1 {
		stations = append(stations, fmt.Sprintf("%.9f", total*float64(i)/float64(pieces)))
	}
	args := append([]string{"-I"}, strings.Fields(lineInput(a, b))...)
	var input []string
	for _, row := range tooltest.Lines(t, stations, "GeodSolve", append(args, "-p", "9")...) {
		c := strings.Fields(row)
		input = append(input, fmt.Sprintf("%s %s %g", c[1], c[0], heightM))
	}
	points := tooltest.Numbers(t, input, "cct", strings.Fields("-d 9 +proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart +ellps=WGS84")...)
	sum := 0.0
	for i := 1; i < len(points); i++ {
		p, q := points[i-1], points[i]
		sum += math.Hypot(math.Hypot(q[0]-p[0], q[1]-p[1]), q[2]-p[2])
	}
	return sum
}

func TestGroundDistanceAgainstChainOfChords(t *testing.T) {
	fresh := func() table {
		made := table{header: []string{
			"Distances along the ground at one ellipsoidal height on WGS 84: the sum of chords of 100 m or less",
			"between points of the geodesic by GeodSolve (" + tooltest.Version(t, "GeodSolve") + "), each put at the height by",
			"cct (" + tooltest.Version(t, "cct") + ").",
			"Commands: echo LAT1 LON1 LAT2 LON2 | GeodSolve -i -p 9; for each station: echo S | GeodSolve -I LAT1 LON1 LAT2 LON2 -p 9;",
			"echo LON LAT H | cct -d 9 +proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart +ellps=WGS84",
			"Rewritten by: go test ./internal/geodesy -update",
			"lat1 lon1 lat2 lon2 height distance (degrees, metres)",
		}}
		lines, heights := groundLines()
		for i, line := range lines {
			made.rows = append(made.rows, append(strings.Fields(lineInput(line[0], line[1])),
				strconv.FormatFloat(heights[i], 'f', -1, 64),
				strconv.FormatFloat(chainOfChords(t, line[0], line[1], heights[i]), 'f', 7, 64)))
		}
		return made
	}
	committed := goldenTable(t, "ground_chords.txt", fresh)
	requireSameTable(t, committed, fresh(), 5, 2e-7)
	for _, row := range committed.rows {
		a := geodeticOf(t, append(row[:2:2], "0"))
		b := geodeticOf(t, append(row[2:4:4], "0"))
		v := number(t, row[4:])
		require.InDelta(t, v[1], GroundDistance(a, b, v[0]), 1e-6, row)
	}
}

func TestGroundDistance(t *testing.T) {
	a := Geodetic{45_301_200_000, 6_123_400_000, 412.6}
	b := near(a, 1000, 1, 430)
	ellipsoid, _, _, err := Geodesic(a, b)
	require.NoError(t, err)
	assert.Equal(t, ellipsoid, GroundDistance(a, b, 0), "at height zero it is the geodesic")
	assert.Equal(t, GroundDistance(a, b, 100), GroundDistance(Geodetic{a.Latitude, a.Longitude, 0}, b, 100), "the points' own heights are not used")
	// The figures in GroundDistance's comment.
	assert.InDelta(t, 0.016, GroundDistance(a, b, 100)-ellipsoid, 0.0005)
	assert.InDelta(t, 0.078, GroundDistance(a, b, 500)-ellipsoid, 0.0005)

	// A chord of the local frame between two points at one height is shorter
	// than the tape by s³/(24R²): they agree to 1e-6 m at a kilometre.
	frame := mustFrame(t, a)
	p, q := frame.ToLocal(Geodetic{a.Latitude, a.Longitude, 300}), frame.ToLocal(Geodetic{b.Latitude, b.Longitude, 300})
	chord := math.Hypot(math.Hypot(q.EastM-p.EastM, q.NorthM-p.NorthM), q.UpM-p.UpM)
	assert.InDelta(t, chord+chord*chord*chord/(24*6.37e6*6.37e6), GroundDistance(a, b, 300), 1e-8)
}
