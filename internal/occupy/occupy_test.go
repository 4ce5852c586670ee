package occupy

import (
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/geodesy"
	"merestone/internal/measured"
	"merestone/internal/nmea"
	"merestone/internal/quantity"
	"merestone/internal/statistics"
)

var begin = time.Date(2026, 5, 10, 8, 0, 0, 0, time.UTC)

// made are fixes that a function makes, so many.
type made struct {
	n, next int
	of      func(i int) nmea.Fix
}

func (m *made) Next() (nmea.Fix, error) {
	if m.next == m.n {
		return nmea.Fix{}, io.EOF
	}
	m.next++
	return m.of(m.next - 1), nil
}

// still is a fixed solution at one place, a second after the other, with errors of some
// millimetres that the seed draws.
func still(seed uint64, from time.Time) func(i int) nmea.Fix {
	rng := rand.New(rand.NewPCG(seed, 5))
	return func(i int) nmea.Fix {
		return nmea.Fix{
			At: from.Add(time.Duration(i) * time.Second), Dated: true, Quality: nmea.Fixed,
			Latitude: 45_301200000 + geodesy.Nanodegree(50*rng.NormFloat64()), Longitude: 6_123400000 + geodesy.Nanodegree(70*rng.NormFloat64()),
			HeightMM: 412_600 + int64(math.Round(9*rng.NormFloat64())), HasHeight: true, Satellites: 17, HDOP: 0.7, Age: time.Second,
		}
	}
}

var fixedOnly = Options{Mark: "B", Accept: []nmea.Quality{nmea.Fixed}}

func logOf(t *testing.T, name string, n int, of func(i int) nmea.Fix, o Options) *Log {
	t.Helper()
	l, err := ReadLog(name, &made{n: n, of: of}, o)
	require.NoError(t, err)
	l.Digest = name
	return l
}

// Memory is bounded: a longer log is thinned evenly, and all is counted.
func TestLongLogsAreThinned(t *testing.T) {
	for _, c := range []struct {
		fixes int
		every int64
		kept  int
	}{{1000, 1, 1000}, {mostFixes, 1, mostFixes}, {mostFixes + 1, 2, mostFixes/2 + 1}, {3 * mostFixes, 4, 3 * mostFixes / 4}} {
		of := still(1, begin)
		l := logOf(t, "long", c.fixes, func(i int) nmea.Fix {
			f := of(i)
			if i%3 == 2 {
				f.Quality = nmea.Float // which takes no room
			}
			return f
		}, Options{Accept: []nmea.Quality{nmea.Fixed, nmea.Float}})
		assert.Equal(t, c.every, l.Every, c.fixes)
		assert.Len(t, l.fixes, c.kept)
		assert.EqualValues(t, c.fixes, l.Fixes)
		assert.EqualValues(t, c.fixes/3, l.Qualities[nmea.Float])
		for i, f := range l.fixes {
			require.Equal(t, time.Duration(int64(i)*c.every)*time.Second, f.at.Sub(begin))
		}
	}
}

func TestPartOfADay(t *testing.T) {
	const h = time.Hour
	for _, c := range []struct {
		from, until, at time.Duration
		in              bool
	}{
		{0, 0, 5 * h, true}, {8 * h, 9 * h, 8 * h, true}, {8 * h, 9 * h, 9 * h, true}, {8 * h, 9 * h, 9*h + 1, false}, {8 * h, 9 * h, 8*h - 1, false},
		{23 * h, h, 23 * h, true}, {23 * h, h, 0, true}, {23 * h, h, h, true}, {23 * h, h, 2 * h, false}, {23 * h, h, 12 * h, false},
	} {
		midnight := time.Date(2026, 5, 10, 0, 0, 0, 0, time.UTC)
		assert.Equal(t, c.in, Options{From: c.from, Until: c.until}.within(midnight.Add(c.at)), "%+v", c)
	}
}

// A gap of more than a quarter of an hour begins another occupation; a fix that is older than
// the one before is left out.
func TestGaps(t *testing.T) {
	for _, c := range []struct {
		name    string
		seconds []int
		parts   []int
	}{
		{"none", []int{0, 1, 2, 3}, []int{4}},
		{"just as long", []int{0, 900, 1800}, []int{3}},
		{"longer", []int{0, 901, 902}, []int{1, 2}},
		{"backwards, and the same again", []int{0, 5, 5, 4, 6}, []int{3}},
	} {
		l := logOf(t, "gaps", len(c.seconds), func(i int) nmea.Fix {
			f := still(1, begin)(0)
			f.At = begin.Add(time.Duration(c.seconds[i]) * time.Second)
			return f
		}, fixedOnly)
		var parts []int
		for _, p := range l.parts() {
			parts = append(parts, len(p))
		}
		assert.Equal(t, c.parts, parts, c.name)
	}
}

// The error of centring is in the mark once, whatever the windows of a log, and of logs it
// becomes less; it is in the difference of two logs twice.
func TestCentring(t *testing.T) {
	near := func(std float64, l *Log, hour int) Window {
		from := begin.Add(time.Duration(hour) * time.Hour)
		return Window{From: from, Until: from.Add(time.Minute), log: l, Estimate: Estimate{Covariance: alike(std * std)}}
	}
	a, b := &Log{}, &Log{}
	setUp := settingUp(Options{Centring: 4 * quantity.Millimetre})
	for _, c := range []struct {
		name       string
		windows    []Window
		mark, seen float64 // variances of the mark and of the difference, mm²
	}{
		{"one", []Window{near(3, a, 0)}, 9 + 16, 0},
		{"two of one log", []Window{near(3, a, 0), near(3, a, 2)}, 4.5 + 16, 18},
		{"two of two logs", []Window{near(3, a, 0), near(3, b, 2)}, (9 + 16) / 2.0, 18 + 32},
	} {
		assert.InDelta(t, c.mark, combine(c.windows, setUp).covariance.EastByEast, 1e-9, c.name)
		d := worstDifference(c.windows, setUp)
		if c.seen > 0 {
			assert.InDelta(t, statistics.SmallestShift(0.95, 0.95)*math.Sqrt(c.seen), d.SmallestMM, 1e-6, c.name)
		}
	}
	assert.InDelta(t, 25, settingUp(Options{Centring: 3 * quantity.Millimetre, Pole: 4 * quantity.Millimetre, PlumbRad: math.Pi / 4}).EastByEast, 1e-9)
}

// Logs that cannot be taken together.
func TestLogsOfOneTime(t *testing.T) {
	undated := func(of func(int) nmea.Fix) func(int) nmea.Fix {
		return func(i int) nmea.Fix {
			f := of(i)
			f.Dated = false
			return f
		}
	}
	a := logOf(t, "a", 100, still(1, begin), fixedOnly)
	same := logOf(t, "a again", 100, still(1, begin), fixedOnly)
	same.Digest = a.Digest
	for _, c := range []struct {
		with *Log
		want string
	}{
		{same, "a and a again are the same log"},
		{logOf(t, "b", 100, still(2, begin.Add(50*time.Second)), fixedOnly), "a and b are of the same time, 08:00:50: no receiver stands on a mark twice at once"},
		{logOf(t, "c", 100, undated(still(2, begin.Add(time.Hour))), fixedOnly), "of the logs, one says the day and another does not (RMC, ZDA): which came first is not known"},
	} {
		_, err := Occupy([]*Log{a, c.with}, fixedOnly)
		assert.EqualError(t, err, c.want)
	}
	polar := logOf(t, "pole", 100, func(i int) nmea.Fix {
		f := still(1, begin)(0)
		f.At, f.Latitude = begin.Add(time.Duration(i)*time.Second), 90*geodesy.Degree
		return f
	}, fixedOnly)
	_, err := Occupy([]*Log{polar}, fixedOnly)
	assert.ErrorContains(t, err, "the first fix of pole: origin: latitude 90 is 0 m from a pole")
}

// The pole is taken off the height, and how far it is from upright adds to each axis.
func TestPole(t *testing.T) {
	log := func() *Log { return logOf(t, "a", 1800, still(1, begin), fixedOnly) }
	bare, err := Occupy([]*Log{log()}, fixedOnly)
	require.NoError(t, err)
	o := fixedOnly
	o.Pole, o.PlumbRad = 2*quantity.Metre, 0.3*math.Pi/180
	poled, err := Occupy([]*Log{log()}, o)
	require.NoError(t, err)
	assert.InDelta(t, bare.Place.HeightM-2, poled.Place.HeightM, 1e-9)
	assert.Equal(t, bare.Place.Latitude, poled.Place.Latitude)
	// 2 m · tan 0.3° is 10.47 mm.
	assert.InDelta(t, bare.Covariance.EastByEast+10.472*10.472, poled.Covariance.EastByEast, 0.01)
	assert.InDelta(t, bare.Covariance.NorthByNorth+10.472*10.472, poled.Covariance.NorthByNorth, 0.01)
	assert.InDelta(t, bare.Covariance.EastByNorth, poled.Covariance.EastByNorth, 1e-9)
	assert.Contains(t, poled.YAML(""), "# pole of 2 m taken off the height\n")
}

func TestYAML(t *testing.T) {
	r := Result{
		Mark: "B", Place: geodesy.Geodetic{Latitude: 45_301200000, Longitude: -6 * geodesy.Degree, HeightM: 412.6004}, HasHeight: true,
		Covariance: measured.Matrix{EastByEast: 16.01, NorthByNorth: 9}, Logs: []*Log{{Name: "b\x1b.nmea", Digest: "1f"}},
	}
	assert.Equal(t, "  # log b\\x1b.nmea, SHA-256 1f\n  # pole not given: the height is the antenna's\n  B: {latitude: 45.301200000, longitude: -6.000000000, height: 412.600 m, uncertainty: 5 mm, setup: \"noon\"}\n", r.YAML("noon"))
	r.HasHeight, r.Covariance = false, measured.Matrix{EastByEast: 1e-6, NorthByNorth: 1e-6}
	assert.True(t, strings.HasSuffix(r.YAML(""), "  B: {latitude: 45.301200000, longitude: -6.000000000, uncertainty: 1 mm}\n"))
	// 2.4477 standard deviations of a normal error in two axes hold 95 %.
	assert.InDelta(t, 2.4477, radial95(), 5e-5)
}

// The floor in numbers: a scatter of 10 mm.
func TestFloor(t *testing.T) {
	widened := math.Sqrt(19*(math.Pow(0.05, -2.0/18)-1)) / math.Sqrt(-2*math.Log(0.05)) // Hotelling's for 20
	for _, c := range []struct {
		name              string
		receiver, covered float64
		want              float64
		by                string
	}{
		{"ten minutes", 0, 600, 10 * math.Sqrt((1+math.Exp(-2))/(1-math.Exp(-2))), "errors that fade in 5 min, as large as the scatter may hide"},
		{"five minutes", 0, 300, 10 * math.Sqrt(2*math.Exp(-1)/(1-2*math.Exp(-1))), "errors that fade in 5 min, as large as the scatter may hide"},
		{"half an hour", 0, 1800, 10, "the scatter of a single fix"},
		{"the receiver knows worse", 50, 300, 50, "the receiver's own standard deviation"},
	} {
		floor, by := floorOf(10, c.receiver, 0, c.covered)
		assert.InDelta(t, c.want*widened, floor, 1e-9, c.name)
		assert.Equal(t, c.by, by, c.name)
	}
	poor, by := floorOf(10, 50, 300, 300)
	assert.InDelta(t, 300*widened, poor, 1e-9)
	assert.Equal(t, "what fixes of that quality are usually off by", by)
	third, _ := floorOf(10, 0, 0, 30)
	assert.InEpsilon(t, 10*math.Sqrt(3*300.0/30)*widened, third, 0.03)
}

// Weights hang on how the receiver's figures compare, not on how large they are, and not on
// the order of axes; none decides alone.
func TestWeights(t *testing.T) {
	weigh := func(stds ...[2]float32) ([]float64, bool) {
		w := Window{}
		var used []int
		for i, s := range stds {
			w.fixes = append(w.fixes, fix{eastStd: s[0], northStd: s[1]})
			used = append(used, i)
		}
		return w.weights(used)
	}
	for _, c := range []struct {
		name     string
		stds     [][2]float32
		want     []float64
		weighted bool
	}{
		{"equal", [][2]float32{{5, 5}, {5, 5}, {5, 5}}, []float64{1, 1, 1}, true},
		{"twice as bad", [][2]float32{{5, 5}, {10, 10}, {5, 5}}, []float64{1, 0.25, 1}, true},
		{"no one knows twice, whatever it says", [][2]float32{{5, 5}, {0.01, 0.01}, {5, 5}, {1000, 1000}, {5, 5}}, []float64{1, 4, 1, 0.25, 1}, true},
		{"axes exchanged", [][2]float32{{3, 4}, {4, 3}, {5, 0.001}}, []float64{1, 1, 1}, true},
		{"one says nothing", [][2]float32{{5, 5}, {0, 0}, {50, 50}}, []float64{1, 1, 1}, false},
	} {
		weights, weighted := weigh(c.stds...)
		assert.InDeltaSlice(t, c.want, weights, 1e-6, c.name)
		assert.Equal(t, c.weighted, weighted, c.name)
	}
}

// Turned and moved, a window gives the same place, and its covariance turned, whatever the
// direction in which its errors are long.
func TestEstimateTurnsWithTheFixes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		sin, cos := math.Sincos(rapid.Float64Range(0, 6.3).Draw(t, "angle"))
		c := errorsOf{fadesS: rapid.Float64Range(1, 60).Draw(t, "fades"), everyS: 3, lastS: rapid.Float64Range(60, 1800).Draw(t, "last")}
		w := c.window(rng)
		turned := w
		turned.points = nil
		for i, p := range w.points {
			w.points[i].East *= 3
			turned.points = append(turned.points, statistics.Point{East: 3*p.East*cos - p.North*sin + 500, North: 3*p.East*sin + p.North*cos - 90})
		}
		used := sift(w.points).used
		assert.Equal(t, used, sift(turned.points).used)
		a, b := w.estimate(used, 0, 0), turned.estimate(used, 0, 0)
		assert.InDelta(t, a.East*cos-a.North*sin+500, b.East, 1e-6)
		assert.InDelta(t, a.East*sin+a.North*cos-90, b.North, 1e-6)
		assert.InEpsilon(t, a.Covariance.Ellipse().Major, b.Covariance.Ellipse().Major, 1e-6)
		assert.InEpsilon(t, a.Covariance.Ellipse().Minor, b.Covariance.Ellipse().Minor, 1e-6)
		assert.Equal(t, a.Floor, b.Floor)
	})
}

// Fixes that do not belong, beside normal ones of 10 mm.
func TestSift(t *testing.T) {
	at := func(i int, offset func(i int) (float64, float64)) []statistics.Point {
		rng := rand.New(rand.NewPCG(uint64(i), 4))
		points := make([]statistics.Point, i)
		for k := range points {
			east, north := offset(k)
			points[k] = statistics.Point{East: east + 10*rng.NormFloat64(), North: north + 10*rng.NormFloat64()}
		}
		return points
	}
	within := func(from, to int, east float64) func(int) (float64, float64) {
		return func(i int) (float64, float64) {
			if i >= from && i < to {
				return east, 0
			}
			return 0, 0
		}
	}
	for _, c := range []struct {
		name             string
		offset           func(i int) (float64, float64)
		walked, outliers int
		tooMany, two     bool
	}{
		{"one place", within(0, 0, 0), 0, 0, false, false},
		{"half and half", within(0, 500, 120), 0, 0, false, true},
		{"a tenth in the middle", within(400, 500, 120), 0, 100, false, false},
		{"an eighth in the middle", within(400, 525, 120), 0, 125, true, true},
		{"a quarter at the beginning", within(0, 250, 200), 0, 250, true, true},
		{"as near as five widths", within(0, 500, 50), 0, 0, false, false},
		{"a jump within the scatter", within(0, 500, 15), 0, 0, false, false},
		{"a drift of ten widths", func(i int) (float64, float64) { return float64(i) / 10, 0 }, 0, 0, false, false},
		{"to and fro", func(i int) (float64, float64) { return 60 * math.Sin(float64(i)/100), 0 }, 0, 0, false, false},
		{"walked up", func(i int) (float64, float64) { return 100 * math.Max(0, float64(40-i)), 0 }, 40, 0, false, false},
		{"walked up and away", func(i int) (float64, float64) {
			return 100 * math.Max(0, float64(40-i)), -100 * math.Max(0, float64(i-949))
		}, 90, 0, false, false},
		{"two far at once", within(700, 702, 1e6), 0, 2, false, false},
	} {
		s := sift(at(1000, c.offset))
		assert.InDelta(t, c.walked, s.Walked, 2, c.name) // the last step may be as near as a fix
		assert.InDelta(t, c.outliers, s.Outliers, 2, c.name)
		assert.Equal(t, c.tooMany, s.TooMany, c.name)
		assert.Equal(t, c.two, s.TwoPlaces, c.name)
		if !s.TooMany {
			assert.Len(t, s.used, 1000-s.Walked-s.Outliers, c.name)
		}
	}
}

// Coordinates in coarse steps are neither outliers nor two places, and their rounding is in
// the covariance.
func TestCoarseSteps(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	points := make([]statistics.Point, 500)
	for i := range points { // most of them on one step
		points[i] = statistics.Point{East: 18 * math.Round(0.3*rng.NormFloat64()), North: 18 * math.Round(0.3*rng.NormFloat64())}
	}
	s := sift(points)
	assert.Equal(t, 18.0, s.grain)
	assert.False(t, s.TooMany || s.TwoPlaces)
	assert.Zero(t, s.Outliers)
}

// The steps of a long walk to the mark, five times a second, are not those of the coordinates.
func TestWalkIsNoStep(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	const written = 0.18 // seven decimals of a minute
	points := make([]statistics.Point, 9000)
	for i := range points {
		away := 200 * math.Max(0, 900-float64(i))
		points[i] = statistics.Point{East: written * math.Round((away+10*rng.NormFloat64())/written), North: written * math.Round(10*rng.NormFloat64()/written)}
	}
	s := sift(points)
	assert.InDelta(t, written, s.grain, 1e-9)
	assert.InDelta(t, 900, s.Walked, 2)
	assert.Less(t, s.LimitMM, 60.0)
}

// The step of heights is in what is said of them, so that heights which are all the same,
// being written in decimetres, are no exact ones.
func TestHeightsInSteps(t *testing.T) {
	for _, c := range []struct {
		heights []int64
		step    float64
	}{
		{[]int64{412_600, 412_600}, 100}, {[]int64{412_000, 412_000}, 1000}, {[]int64{412_603, 412_603}, 1}, {[]int64{-400, -400}, 100},
		{[]int64{412_633, 412_733, 412_533}, 100}, {[]int64{412_600, 412_590}, 10}, {[]int64{412_600, 412_590, 412_591}, 1}, {[]int64{0, 5000}, 1000},
	} {
		assert.Equal(t, c.step, heightStep(c.heights), c.heights)
	}
	of := still(1, begin)
	same := logOf(t, "same", 1800, func(i int) nmea.Fix {
		f := of(i)
		f.HeightMM = 412_600
		return f
	}, fixedOnly)
	r, err := Occupy([]*Log{same}, fixedOnly)
	require.NoError(t, err)
	assert.Equal(t, 412.6, r.Place.HeightM)
	assert.InDelta(t, 100/math.Sqrt(12), r.UpStdMM, 1e-6)
}

// Between the first and the last of three occupations there is time enough, whatever is
// between neighbours.
func TestOccupiedAgain(t *testing.T) {
	for _, c := range []struct {
		name string
		at   []time.Duration
		told string
	}{
		{"40 min", []time.Duration{0, 43 * time.Minute}, "the occupations of mark B are at most 40 min 1 s apart"},
		{"50 min", []time.Duration{0, 53 * time.Minute}, ""},
		{"three, 30 min from one to the next", []time.Duration{0, 33 * time.Minute, 66 * time.Minute}, ""},
	} {
		var logs []*Log
		for i, at := range c.at {
			logs = append(logs, logOf(t, string(rune('a'+i)), 180, still(uint64(i), begin.Add(at)), fixedOnly))
		}
		r, err := Occupy(logs, fixedOnly)
		require.NoError(t, err)
		var told string
		for _, f := range r.Findings {
			if f.Rule == ruleOnce {
				told = f.Message()
			}
		}
		if c.told == "" {
			assert.Empty(t, told, c.name)
		} else {
			assert.Contains(t, told, c.told, c.name)
		}
	}
}

func TestInverse(t *testing.T) {
	m := measured.Matrix{EastByEast: 4, EastByNorth: 1, NorthByEast: 1, NorthByNorth: 9}
	i := inverse(m)
	assert.InDelta(t, 1, m.EastByEast*i.EastByEast+m.EastByNorth*i.NorthByEast, 1e-15)
	assert.InDelta(t, 0, m.EastByEast*i.EastByNorth+m.EastByNorth*i.NorthByNorth, 1e-15)
	assert.InDelta(t, 1, m.NorthByEast*i.EastByNorth+m.NorthByNorth*i.NorthByNorth, 1e-15)
}

// windowAt is one whose estimate is given.
func windowAt(after time.Duration, east, north, std float64) Window {
	return Window{
		From: begin.Add(after), Until: begin.Add(after + 3*time.Minute), Dated: true, log: &Log{Name: "log"},
		Estimate: Estimate{East: east, North: north, HasUp: true, Up: east, UpStd: std, Covariance: measured.Matrix{EastByEast: std * std, NorthByNorth: std * std}},
	}
}

func TestCombine(t *testing.T) {
	for _, c := range []struct {
		name             string
		windows          []Window
		east, std, upStd float64
	}{
		{"one", []Window{windowAt(0, 5, 0, 10)}, 5, 10, 10},
		{"two as good, an hour apart", []Window{windowAt(0, 0, 0, 10), windowAt(time.Hour, 10, 0, 10)}, 5, 10 / math.Sqrt2, 10 / math.Sqrt2},
		{"one worse", []Window{windowAt(0, 0, 0, 10), windowAt(time.Hour, 10, 0, 20)}, 2, math.Sqrt(80), math.Sqrt(80)},
		{"too near to be independent", []Window{windowAt(0, 0, 0, 10), windowAt(10*time.Minute, 10, 0, 20)}, 2, 20, 20},
		{"two near, and one at noon", []Window{windowAt(0, 0, 0, 10), windowAt(10*time.Minute, 10, 0, 10), windowAt(4*time.Hour, 15, 0, 10)}, 10, 10 / math.Sqrt2, 10 / math.Sqrt2},
	} {
		p := combine(c.windows, measured.Matrix{})
		assert.InDelta(t, c.east, p.east, 1e-9, c.name)
		assert.InDelta(t, c.east, p.up, 1e-9, c.name)
		assert.InDelta(t, c.std, math.Sqrt(p.covariance.EastByEast), 1e-9, c.name)
		assert.InDelta(t, c.std, math.Sqrt(p.covariance.NorthByNorth), 1e-9, c.name)
		assert.InDelta(t, c.upStd, p.upStd, 1e-9, c.name)
	}
}

// A log with a gap is one setting up of the pole, two logs are two.
func TestPoleOfSeveralWindows(t *testing.T) {
	pole := alike(10 * 10)
	a, b := windowAt(0, 0, 0, 10), windowAt(time.Hour, 30, 0, 10)
	two := []Window{a, b}
	b.log = a.log
	one := []Window{a, b}
	for _, c := range []struct {
		name                string
		windows             []Window
		variance, statistic float64
	}{
		{"two logs: (100+100)/2, and 30²/400", two, 100, 2.25},
		{"one log: 100/2+100, and 30²/200", one, 150, 4.5},
	} {
		assert.InDelta(t, c.variance, combine(c.windows, pole).covariance.EastByEast, 1e-9, c.name)
		assert.InDelta(t, c.statistic, worstDifference(c.windows, pole).Statistic, 1e-9, c.name)
	}
}

// Of 4,000 pairs that differ by their uncertainties alone one in twenty is refused, and of
// pairs that differ by the smallest shift, besides, nineteen in twenty.
func TestDifference(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	const times = 4000
	// Three standard deviations of the share of one in twenty: 0.0103.
	const slack = 0.011
	for _, n := range []int{2, 4} {
		var d Difference
		refused, seen := 0, 0
		for range times {
			windows := []Window{}
			for i := range n {
				std := 5 + 3*float64(i)
				windows = append(windows, windowAt(time.Duration(i)*time.Hour, std*rng.NormFloat64(), std*rng.NormFloat64(), std))
			}
			if d = worstDifference(windows, measured.Matrix{}); d.Rejected() {
				refused++
			}
			if n > 2 {
				continue
			}
			windows[1].Estimate.North += d.SmallestMM
			if worstDifference(windows, measured.Matrix{}).Rejected() {
				seen++
			}
		}
		share := float64(refused) / times
		if n == 2 {
			assert.InDelta(t, 0.05, share, slack)
			assert.InDelta(t, 0.95, float64(seen)/times, slack)
			assert.InDelta(t, 5.991, d.Critical, 0.001)
		} else { // Bonferroni's share among pairs that hang together is on the safe side
			assert.Less(t, share, 0.05+slack)
			assert.Greater(t, share, 0.03)
		}
	}
}
