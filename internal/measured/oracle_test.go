// Against an independent program, and against published examples.
package measured

import (
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// factor is that of 95 % in the plane.
const factor = 2.4477

// netOf reads a net of testdata/nets.txt and works it out anew.
type netOf struct {
	net    Net
	inputs map[int]int // by their numbers in the file
	places []Place
}

func floats(t *testing.T, words ...string) []float64 {
	t.Helper()
	var out []float64
	for _, w := range words {
		v, err := strconv.ParseFloat(w, 64)
		require.NoError(t, err)
		out = append(out, v)
	}
	return out
}

// readings are "value±std@input", lengths in metres where the first are.
func (n *netOf) readings(t *testing.T, text string, lengths int) []Reading {
	t.Helper()
	var out []Reading
	for i, word := range strings.Fields(text) {
		value, rest, _ := strings.Cut(word, "±")
		std, number, _ := strings.Cut(rest, "@")
		v := floats(t, value, std)
		id, err := strconv.Atoi(number)
		require.NoError(t, err)
		unit := 1.0
		if i < lengths {
			unit = 1000
		}
		if _, known := n.inputs[id]; !known {
			n.inputs[id] = n.net.Input(v[1] * unit)
		}
		out = append(out, Reading{v[0] * unit, n.inputs[id]})
	}
	return out
}

func TestAgainstAnIndependentProgram(t *testing.T) {
	text, err := os.ReadFile("testdata/nets.txt")
	require.NoError(t, err)
	var n *netOf
	var tapes Tapes
	var bases []Place
	var lengths []Reading
	seen := map[string]int{}
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		if strings.HasPrefix(line, "net ") {
			n = &netOf{inputs: map[int]int{}}
			continue
		}
		columns := strings.Split(line, " | ")
		kind, _, _ := strings.Cut(columns[0], " ")
		seen[kind]++
		switch kind {
		case "cross":
			want := floats(t, strings.Fields(columns[1])...)
			c := n.net.Covariance(n.places[6], n.places[10], nil)
			size := n.net.Covariance(n.places[6], n.places[6], nil).Ellipse().Major * n.net.Covariance(n.places[10], n.places[10], nil).Ellipse().Major
			assert.InDeltaSlice(t, want, []float64{c.EastByEast, c.EastByNorth, c.NorthByEast, c.NorthByNorth}, 1e-3*size, line)
			continue
		case "chi":
			fit, err := n.net.Fit(tapes, bases, lengths)
			require.NoError(t, err)
			assert.InEpsilon(t, floats(t, columns[1])[0], fit.ChiSquared, 1e-3)
			assert.Equal(t, 2, fit.Freedom)
			continue
		}
		var on []Place
		if columns[1] != "-" {
			for _, number := range strings.Split(columns[1], ",") {
				i, err := strconv.Atoi(number)
				require.NoError(t, err)
				on = append(on, n.places[i])
			}
		}
		var p Place
		if kind == "mark" {
			r := n.readings(t, columns[2], 2)
			p = Place{Vector: Vector{r[0].Value, r[1].Value}}.Moving(r[0].Input, Vector{East: 1}).Moving(r[1].Input, Vector{North: 1})
		} else {
			var form Form
			count := 2
			switch kind {
			case "step":
				form = Step{}
			case "ray":
				form, count = Ray{Same()}, 1
			case "line":
				form = Line{Same()}
			case "tapes":
				count = len(on)
				form = Tapes{Ground: slices.Repeat([]Matrix{Same()}, count), Left: columns[3] == "left"}
			}
			r := n.readings(t, columns[2], count)
			if kind == "tapes" && count > 2 {
				tapes, bases, lengths = form.(Tapes), on, r
			}
			p, err = n.net.Measure(form, on, r, factor)
			require.NoError(t, err, line)
		}
		n.places = append(n.places, p)
		want := floats(t, strings.Fields(columns[4])...)
		e := n.net.Covariance(p, p, nil).Ellipse()
		assert.InDeltaSlice(t, want[:2], []float64{p.East, p.North}, 0.05, line)
		assert.InEpsilonSlice(t, want[2:], []float64{e.Major, e.Minor}, 1e-3, line)
	}
	assert.Equal(t, map[string]int{"mark": 48, "step": 12, "ray": 24, "line": 24, "tapes": 24, "cross": 12, "chi": 12}, seen)
}

// An intersection as published: J. Mahun, Open Access Lessons in Surveying and Mapping,
// COGO, chapter E, example 2 (feet; the plane does not mind). The azimuth from J to T is
// 329°46'45", the distance from K to T 738.15, and the solution has 878.915 from J to T.
func TestPublishedIntersection(t *testing.T) {
	j, k := Vector{3511.69, 1419.51}, Vector{2341.36, 2056.64}
	const fromJ, fromK = 878.915, 738.15
	azimuth := (329 + 46.0/60 + 45.0/3600) * math.Pi / 180
	var n Net
	exact := func(v Vector) Place { return Place{Vector: v} }
	read := func(v, std float64) Reading { return Reading{v, n.Input(std)} }
	byTapes, err := n.Measure(Tapes{Ground: []Matrix{Same(), Same()}}, []Place{exact(j), exact(k)}, []Reading{read(fromJ, 0.01), read(fromK, 0.01)}, factor)
	require.NoError(t, err)
	byRay, err := n.Measure(Ray{Same()}, []Place{exact(j)}, []Reading{read(fromJ, 0.01), read(azimuth, 1e-5)}, factor)
	require.NoError(t, err)
	// The half of the last digits: 0.0005 of 878.915, half a second at that distance.
	assert.InDelta(t, 0, byTapes.minus(byRay.Vector).length(), 0.005)
	assert.InDelta(t, fromK, byRay.minus(k).length(), 0.005)
}

// An ellipse as published: the same author, Least Squares Lite, chapter H, example 1. A
// point known to ±0.574 north and ±0.519 east has its major axis at 170°04', ±0.576 long,
// and a minor one of ±0.517. The covariance of the two follows from the bearing,
// tan 2θ = 2 cov / (var N - var E).
func TestPublishedEllipse(t *testing.T) {
	north, east := 0.574*0.574, 0.519*0.519
	bearing := (170 + 4.0/60) * math.Pi / 180
	between := math.Tan(2*bearing) * (north - east) / 2
	e := Matrix{east, between, between, north}.Ellipse()
	assert.InDelta(t, 0.576, e.Major, 0.0015)
	assert.InDelta(t, 0.517, e.Minor, 0.0015)
	assert.InDelta(t, bearing, e.BearingRad, 1e-12)
}
