// Tracks of fields that nobody has seen: rings are proved again by plain loops and by GEOS,
// and compared with what is known of squares.
package simplify_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/planar"
	"merestone/internal/simplify"
	"merestone/internal/tooltest"
	"merestone/internal/words"
)

func point(e, n int64) planar.Point { return planar.Point{E: e, N: n} }

// walked is a track along corners with a fix every step, each off by noise.
func walked(r *rand.Rand, step, noise float64, corners ...planar.Point) []planar.Point {
	off := func() int64 { return int64(math.Round(noise * r.NormFloat64())) }
	var track []planar.Point
	for i := 1; i < len(corners); i++ {
		a, b := corners[i-1], corners[i]
		length := math.Hypot(float64(b.E-a.E), float64(b.N-a.N))
		for along := 0.0; along < length; along += step {
			f := along / length
			track = append(track, point(a.E+int64(math.Round(f*float64(b.E-a.E)))+off(), a.N+int64(math.Round(f*float64(b.N-a.N)))+off()))
		}
	}
	last := corners[len(corners)-1]
	return append(track, point(last.E+off(), last.N+off()))
}

func square() []planar.Point {
	return []planar.Point{point(0, 0), point(50_000, 0), point(50_000, 50_000), point(0, 50_000), point(0, 0)}
}

// safe wants a ring to stay away from every part of a track and to lie on the right side of
// it, by plain loops.
func safe(t require.TestingT, track []planar.Point, kind simplify.Kind, got simplify.Result, away int64) {
	ring := planar.Ring(got.Points)
	_, faults := planar.NewRegion(ring)
	require.Empty(t, faults)
	require.True(t, ring.IsCounterClockwise())
	for i := range ring {
		for k := 1; k < len(track); k++ {
			require.False(t, planar.SegmentDistanceLess(ring.Edge(i), planar.Segment{A: track[k-1], B: track[k]}, away), "edge %d at fix %d", i, k)
		}
	}
	if kind == simplify.Obstacle {
		require.True(t, odd(ring, track[0]), "the track lies within the ring")
	} else {
		require.False(t, odd(ring, track[0]), "the track lies outside of the ring")
	}
}

// odd reports whether a ray to the east crosses a ring an odd number of times. A point on
// it may be either.
func odd(ring planar.Ring, p planar.Point) bool {
	crossings := 0
	for i := range ring {
		s := ring.Edge(i)
		if (s.A.N > p.N) != (s.B.N > p.N) && (s.B.E-s.A.E)*(p.N-s.A.N)*sign(s.B.N-s.A.N) > (p.E-s.A.E)*(s.B.N-s.A.N)*sign(s.B.N-s.A.N) {
			crossings++
		}
	}
	return crossings%2 == 1
}

func sign(v int64) int64 {
	if v < 0 {
		return -1
	}
	return 1
}

// A square that is walked without noise has a square for a ring, at a distance that is known.
func TestSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	track := walked(r, 500, 0, square()...)
	for _, c := range []struct {
		notKnown, offset, tolerance int64
		away                        int64
	}{
		{30, 0, 100, 30}, {30, 10, 100, 20}, {30, 500, 100, 1}, {0, 0, 20, 1}, {1_000, 0, 1, 1_000}, {123, 0, 2_000, 123},
	} {
		o := simplify.Options{Tolerance: c.tolerance, NotKnown: c.notKnown, Offset: c.offset}
		for _, kind := range []simplify.Kind{simplify.Boundary, simplify.Obstacle} {
			got, err := simplify.Ring(track, kind, o)
			require.NoError(t, err)
			assert.Equal(t, c.away, got.Away)
			require.Len(t, got.Points, 4)
			safe(t, track, kind, got, c.away)
			slack := 2 + (c.away+c.tolerance)/64 // corners are moved a little, and some slack is tried
			for _, p := range got.Points {
				for _, v := range []int64{p.E, p.N} {
					in := min(v, 50_000-v) * map[simplify.Kind]int64{simplify.Boundary: 1, simplify.Obstacle: -1}[kind]
					assert.GreaterOrEqual(t, in, c.away)
					assert.LessOrEqual(t, in, c.away+slack)
				}
			}
			assert.InDelta(t, 2_500, got.Walked, 0)
			assert.InDelta(t, 4*50*float64(c.away)/1_000, got.Lost(), 4*50*float64(slack)/1_000+4e-6*float64((c.away+slack)*(c.away+slack))+0.001)
			assert.Equal(t, int64(0), got.Gap)
			assert.Equal(t, len(track), got.Fixes)
		}
	}
}

// star draws the corners of a field around a middle, and how it is walked.
func star(t *rapid.T) (corners []planar.Point, seed uint64) {
	n := rapid.IntRange(3, 12).Draw(t, "corners")
	middle := point(rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, "east"), rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, "north"))
	for i := range n {
		angle := 2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.6).Draw(t, "turn")) / float64(n)
		radius := rapid.Float64Range(8_000, 40_000).Draw(t, "radius")
		corners = append(corners, point(middle.E+int64(radius*math.Cos(angle)), middle.N+int64(radius*math.Sin(angle))))
	}
	if rapid.Bool().Draw(t, "clockwise") {
		slices.Reverse(corners)
	}
	return append(corners, corners[0]), rapid.Uint64().Draw(t, "seed")
}

// Two thousand random fields: never on the wrong side, and hardly more ground given up than
// the tolerance and what is not known take along the edge.
func TestRandomWalkedRings(t *testing.T) {
	rings, refused := 0, 0
	sum, worst := 0.0, 0.0
	rapid.Check(t, func(t *rapid.T) {
		for range 20 {
			corners, seed := star(t)
			r := rand.New(rand.NewPCG(seed, 2))
			o := simplify.Options{
				Tolerance: rapid.Int64Range(50, 500).Draw(t, "tolerance"), NotKnown: rapid.Int64Range(0, 100).Draw(t, "not known"), MostGap: 1_000,
			}
			noise := float64(rapid.Int64Range(0, o.Tolerance/8).Draw(t, "noise"))
			track := walked(r, 900, noise, corners...)
			kind := rapid.SampledFrom([]simplify.Kind{simplify.Boundary, simplify.Obstacle}).Draw(t, "kind")
			rings++
			got, err := simplify.Ring(track, kind, o)
			if err != nil {
				require.ErrorContains(t, err, "falls into two")
				refused++
				continue
			}
			safe(t, track, kind, got, max(o.NotKnown, 1))
			around := 0.0
			for i := 1; i < len(corners); i++ {
				around += math.Hypot(float64(corners[i].E-corners[i-1].E), float64(corners[i].N-corners[i-1].N))
			}
			// The track is thinned by half of the tolerance, the strip wider by at most that and
			// half of it more, the ring moved by the other half; a corner reaches four widths.
			width := float64(o.NotKnown+2*o.Tolerance+20) / 1_000
			require.LessOrEqual(t, got.Lost(), around/1_000*width+float64(len(corners))*16*width*width, "%v", o)
			share := got.Lost() / (around * float64(o.Tolerance+max(o.NotKnown, 1)) / 1e6)
			sum, worst = sum+share, max(worst, share)
			require.Less(t, len(got.Points), 4*len(corners)+10)
		}
	})
	mean := sum / float64(rings-refused)
	t.Logf("of %d rings %d refused; of what the tolerance and what is not known take along the edge %.0f %% given up, %.0f %% at most", rings, refused, 100*mean, 100*worst)
	assert.Less(t, mean, 0.8)
	assert.Less(t, refused, rings/20)
}

func TestTracksAsTheyAreWalked(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	o := simplify.Options{Tolerance: 200, NotKnown: 40, MostGap: 1_500}
	plain := walked(r, 700, 10, square()...)
	knot := walked(r, 700, 10, square()...)
	for range 500 {
		knot = slices.Insert(knot, 30, point(20_000+int64(12*r.NormFloat64()), int64(12*r.NormFloat64())))
	}
	backwards := slices.Clone(plain)
	slices.Reverse(backwards)
	var twice []planar.Point
	for _, p := range plain {
		twice = append(twice, p, p, p)
	}
	for _, c := range []struct {
		name   string
		track  []planar.Point
		points int     // at most
		lost   float64 // of 2500 m², at most
	}{
		{"plain", plain, 4, 48},
		{"clockwise", backwards, 4, 48},
		{"every fix three times", twice, 4, 48},
		{"stood still", knot, 8, 48},
		{"past the beginning", append(slices.Clone(plain), walked(r, 700, 10, point(300, 0), point(20_000, 0))...), 8, 48},
		{"from before the beginning", append(walked(r, 700, 10, point(0, 12_000), point(0, 500)), plain...), 8, 48},
		{"short of the beginning", plain[:len(plain)-2], 6, 48},
		{"a spur out and back", slices.Concat(plain[:30], walked(r, 700, 10, point(20_000, 0), point(20_000, -9_000), point(20_000, 0)), plain[30:]), 8, 48},
		{"a spur in and back", slices.Concat(plain[:30], walked(r, 700, 10, point(20_000, 0), point(20_000, 9_000), point(20_000, 0)), plain[30:]), 16, 60},
		{"a loop in the track", slices.Concat(plain[:30], walked(r, 700, 10, point(20_000, 0), point(21_000, -900), point(21_500, 0), point(20_000, 300)), plain[30:]), 16, 50},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := simplify.Ring(c.track, simplify.Boundary, o)
			require.NoError(t, err)
			safe(t, c.track, simplify.Boundary, got, 40)
			assert.LessOrEqual(t, len(got.Points), c.points)
			assert.InDelta(t, 2_500-c.lost/2, got.Area, c.lost/2)
			around, err := simplify.Ring(c.track, simplify.Obstacle, o)
			require.NoError(t, err)
			safe(t, c.track, simplify.Obstacle, around, 40)
		})
	}
	small := []planar.Point{point(0, 0), point(3_000, 0), point(0, 4_000)}
	got, err := simplify.Ring(small, simplify.Boundary, simplify.Options{Tolerance: 10, NotKnown: 20, MostGap: 5_000})
	require.NoError(t, err, "three points")
	assert.Len(t, got.Points, 3)
	assert.Equal(t, int64(4_000), got.Gap)
}

// A bend of a fraction of a degree is no corner of the strip, and its parallels meet within a
// micrometre of their ends.
func TestNearlyStraightBends(t *testing.T) {
	for _, off := range []int64{1, 2, 10, 100, 300} {
		track := []planar.Point{point(-40_000, -4_000), point(0, -40_000), point(16_000, 18_000), point(-12_000, 7_000+off), point(-40_000, -4_000)}
		got, err := simplify.Ring(track, simplify.Boundary, simplify.Options{Tolerance: 1, NotKnown: 50})
		require.NoError(t, err)
		safe(t, track, simplify.Boundary, got, 50)
		assert.Less(t, got.Lost(), got.Length*0.060/1_000)
	}
}

// What a walk goes around counts once, whichever way and however often that is.
func TestGroundOfWalksThatCrossThemselves(t *testing.T) {
	long := walked(rand.New(rand.NewPCG(9, 9)), 10, 0, square()...)
	for _, c := range []struct {
		name  string
		track []planar.Point
		m2    float64
	}{
		{"a square", square(), 2_500},
		{"of 20,000 fixes", long, 2_500},
		{"two triangles, one each way", []planar.Point{point(0, 0), point(40_000, 20_000), point(40_000, 0), point(0, 20_000), point(0, 0)}, 400},
		{"twice around", slices.Concat(square(), square()[1:]), 2_500},
		{"with a loop outside, the other way", []planar.Point{point(0, 0), point(50_000, 0), point(50_000, 50_000), point(0, 50_000), point(0, 25_000), point(-4_000, 25_000), point(-4_000, 29_000), point(0, 29_000), point(0, 0)}, 2_516},
		{"out and back along a hedge", []planar.Point{point(0, 0), point(20_000, 0), point(0, 0)}, 0},
	} {
		got, err := simplify.Ring(c.track, simplify.Obstacle, simplify.Options{Tolerance: 100, NotKnown: 50})
		require.NoError(t, err, c.name)
		assert.InDelta(t, c.m2, got.Walked, 0.01, c.name)
		assert.Greater(t, got.Area, got.Walked, c.name)
		assert.Contains(t, fmt.Sprint(got.Rows()), fmt.Sprintf("ground given up %.1f m²", got.Area-got.Walked), c.name)
	}
}

func TestRefusedTracks(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	o := simplify.Options{Tolerance: 100, NotKnown: 100, MostGap: 1_000}
	hourglass := []planar.Point{point(0, 0), point(20_000, 9_900), point(40_000, 0), point(40_000, 20_000), point(20_000, 10_100), point(0, 20_000), point(0, 0)}
	eight := []planar.Point{point(0, 0), point(40_000, 20_000), point(40_000, 0), point(0, 20_000), point(0, 0)}
	for _, c := range []struct {
		name  string
		track []planar.Point
		o     simplify.Options
		says  string
	}{
		{"its ends do not meet", walked(r, 700, 10, square()[:4]...), o, "its ends are 49.9"},
		{"a narrow neck", walked(r, 700, 0, hourglass...), o, "near 20."},
		{"an eight", walked(r, 700, 0, eight...), o, "falls into two"},
		{"out and back", walked(r, 700, 10, point(0, 0), point(20_000, 0), point(0, 0)), o, "goes around no ground"},
		{"one place", []planar.Point{point(1, 1), point(1, 1)}, o, "go around nothing"},
		{"none", nil, o, "go around nothing"},
		{"too far away", []planar.Point{point(0, 0), point(30_000_000, 0), point(0, 1)}, o, "fix 2 lies more than 20 km"},
		{"no tolerance", square(), simplify.Options{}, "1 mm at least"},
		{"less than nothing", square(), simplify.Options{Tolerance: 1, NotKnown: -1}, "from 0 to"},
		{"larger than the ground", square(), simplify.Options{Tolerance: 1, NotKnown: 30_000}, "goes around no ground"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := simplify.Ring(c.track, simplify.Boundary, c.o)
			assert.ErrorContains(t, err, c.says)
		})
	}
	_, err := simplify.Route([]planar.Point{point(1, 1), point(1, 1)}, o)
	assert.ErrorContains(t, err, "one place")
	_, err = simplify.Route(square(), simplify.Options{})
	assert.ErrorContains(t, err, "1 mm at least")
}

// Every fix lies within the tolerance of the route, which has no points but fixes.
func TestRandomRoutes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		corners, seed := star(t)
		o := simplify.Options{Tolerance: rapid.Int64Range(1, 2_000).Draw(t, "tolerance")}
		track := walked(rand.New(rand.NewPCG(seed, 5)), 900, float64(rapid.Int64Range(0, 100).Draw(t, "noise")), corners...)
		got, err := simplify.Route(track, o)
		require.NoError(t, err)
		require.Equal(t, track[0], got.Points[0])
		require.Equal(t, track[len(track)-1], got.Points[len(got.Points)-1])
		next := 0
		for _, p := range got.Points {
			found := slices.Index(track[next:], p)
			require.GreaterOrEqual(t, found, 0)
			next += found
		}
		most := int64(0)
		for _, p := range track {
			nearest := int64(math.MaxInt64)
			for i := 1; i < len(got.Points); i++ {
				nearest = min(nearest, planar.Segment{A: got.Points[i-1], B: got.Points[i]}.SquaredToPoint(p).CeilMM())
			}
			most = max(most, nearest)
		}
		require.Equal(t, most, got.Departure)
		require.LessOrEqual(t, most, o.Tolerance)
	})
}

// GEOS, the geometry engine of most geographic software (geosop, Debian package geos-bin),
// finds every ring within the ground that it has left itself where the edge is given the
// width of what is not known; it prints distances with six figures.
func TestWalkedRingsAgainstGEOS(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	wkt := func(kind string, points []planar.Point) string {
		var all []string
		for _, p := range points {
			all = append(all, fmt.Sprintf("%d %d", p.E, p.N))
		}
		return kind + strings.Join(all, ",")
	}
	var polygons, edges, walks, fields []string
	var kinds []simplify.Kind
	for i := range 40 {
		corners := []planar.Point{}
		for k := range 5 + i%4 {
			radius := 10_000 + 20_000*r.Float64()
			angle := 2 * math.Pi * (float64(k) + 0.5*r.Float64()) / float64(5+i%4)
			corners = append(corners, point(int64(radius*math.Cos(angle)), int64(radius*math.Sin(angle))))
		}
		track := walked(r, 900, 15, append(corners, corners[0])...)
		kind := simplify.Kind(i % 2)
		got, err := simplify.Ring(track, kind, simplify.Options{Tolerance: 150, NotKnown: 60, MostGap: 1_000})
		require.NoError(t, err)
		ring := append(slices.Clone(got.Points), got.Points[0])
		kinds = append(kinds, kind)
		polygons = append(polygons, wkt("POLYGON((", ring)+"))")
		edges = append(edges, wkt("LINESTRING(", ring)+")")
		walks = append(walks, wkt("LINESTRING(", append(track, track[0]))+")")
		fields = append(fields, wkt("POLYGON((", append(track, track[0]))+"))")
	}
	valid := tooltest.GeosBools(t, "isValid", polygons, nil)
	distance := tooltest.GeosFloats(t, "distance", edges, walks)
	far := tooltest.GeosFloats(t, "distance", polygons, walks)
	walksIn := tooltest.GeosBools(t, "contains", polygons, walks)
	in := tooltest.GeosBools(t, "contains", fields, polygons)
	for i, kind := range kinds {
		assert.True(t, valid[i][0])
		assert.GreaterOrEqual(t, distance[i][i], 60*(1-1e-5), "ring %d", i)
		assert.Less(t, distance[i][i], 60+150.0, "ring %d", i)
		if kind == simplify.Boundary {
			assert.GreaterOrEqual(t, far[i][i], 60*(1-1e-5), "nor does the track come into ring %d", i)
			assert.True(t, in[i][i], "ring %d", i)
		} else {
			assert.True(t, walksIn[i][i], "ring %d", i)
		}
	}
}

func TestALongTrack(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	track := walked(r, 4, 10, square()...)
	require.Greater(t, len(track), 50_000)
	began := time.Now()
	got, err := simplify.Ring(track, simplify.Boundary, simplify.Options{Tolerance: 100, NotKnown: 30, MostGap: 100})
	took := time.Since(began)
	require.NoError(t, err)
	t.Logf("%d fixes, %d corners, %v", len(track), len(got.Points), took)
	assert.Less(t, len(got.Points), 100)
	assert.Less(t, took, 10*time.Second, "a fraction of a second where nothing else runs")
}

// What is shown stands on the page.
func TestThePageOfTracks(t *testing.T) {
	got, err := simplify.Ring(walked(rand.New(rand.NewPCG(1, 1)), 500, 0, square()...), simplify.Boundary, simplify.Options{Tolerance: 100, NotKnown: 30})
	require.NoError(t, err)
	page, err := os.ReadFile("../../docs/tracks.md")
	require.NoError(t, err)
	assert.Contains(t, string(page), "```text\n"+strings.Join(words.Columns(got.Rows()), "\n")+"\n```\n")
}
