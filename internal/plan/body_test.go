// The body as a polygon of four corners, moved about and looked at: no corner gets
// farther than is said, and some corner gets nearly as far.
package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// vector is east and north of a point, in millimetres.
type vector struct{ e, n float64 }

func (v vector) plus(w vector) vector { return vector{v.e + w.e, v.n + w.n} }

// turned is what is so far ahead and to the right of a rover with a heading, clockwise
// from north in radians.
func turned(ahead, right, heading float64) vector {
	sin, cos := math.Sincos(heading)
	return vector{ahead*sin + right*cos, ahead*cos - right*sin}
}

// corners are where those of a rover are whose antenna is at a point.
func (r Rover) corners(antenna vector, heading float64) (all []vector) {
	for _, c := range [][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		ahead, right := c[0]*float64(r.LengthMM)/2-float64(r.AntennaForwardMM), c[1]*float64(r.WidthMM)/2-float64(r.AntennaRightMM)
		all = append(all, antenna.plus(turned(ahead, right, heading)))
	}
	return all
}

func anyRover(t *rapid.T) Rover {
	length := rapid.Int64Range(100, 4000).Draw(t, "length")
	r := resolver{p: &Plan{}}
	r.p.Machine.Rover = Rover{
		WidthMM: rapid.Int64Range(100, 2000).Draw(t, "width"), LengthMM: length,
		AntennaForwardMM: rapid.Int64Range(-length, length).Draw(t, "forward"), AntennaRightMM: rapid.Int64Range(-900, 900).Draw(t, "right"),
		TurningCentreMM: rapid.Int64Range(-length/2, length/2).Draw(t, "centre"),
		TurnRadiusMM:    rapid.SampledFrom([]int64{0, 1, 40, 300, 3000}).Draw(t, "radius"),
	}
	r.body()
	return r.p.Machine.Rover
}

// On the way to rest: from where the antenna is on a line, with any heading, no corner
// gets farther to the side, now or at the end of the way, than the reach; and with the
// heading that the formula has, a corner gets there.
func TestNoCornerGetsFartherThanTheReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRover(t)
		way := float64(rapid.Int64Range(0, 5000).Draw(t, "way"))
		reach, most := float64(r.ReachMM(int64(way))), 0.0
		for k := range 3600 {
			heading := float64(k) * math.Pi / 1800
			for _, gone := range []float64{0, way} {
				for _, c := range r.corners(turned(gone, 0, heading), heading) {
					most = max(most, math.Abs(c.e))
				}
			}
		}
		require.LessOrEqual(t, most, reach+1e-6)
		if r.AntennaForwardMM <= r.LengthMM/2 && -r.AntennaForwardMM <= r.LengthMM/2 { // else it stands out
			require.GreaterOrEqual(t, most, reach-2-1e-5*reach)
		}
	})
}

// Turning on the spot through any angle: about a point beside the turning centre by the
// radius, on either side, no corner gets farther from the mark than the circle.
func TestNoCornerLeavesTheCircleOfATurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRover(t)
		if !r.Pivots {
			require.Greater(t, 2*r.TurnRadiusMM, r.WidthMM)
			require.Zero(t, r.PivotMM)
			return
		}
		most := 0.0
		for _, side := range []float64{-1, 1} {
			for k := range 720 {
				// The rover faces north at first, its antenna on the mark.
				about := turned(float64(r.TurningCentreMM-r.AntennaForwardMM), side*float64(r.TurnRadiusMM)-float64(r.AntennaRightMM), 0)
				heading := float64(k) * math.Pi / 360
				back := turned(float64(r.TurningCentreMM-r.AntennaForwardMM), side*float64(r.TurnRadiusMM)-float64(r.AntennaRightMM), heading)
				antenna := vector{about.e - back.e, about.n - back.n}
				for _, c := range r.corners(antenna, heading) {
					most = max(most, math.Hypot(c.e, c.n))
				}
				require.LessOrEqual(t, math.Hypot(antenna.e, antenna.n), float64(2*r.ArmMM)+1e-6)
			}
		}
		require.LessOrEqual(t, most, float64(r.PivotMM)+1e-6)
		if r.TurnRadiusMM == 0 && r.TurningCentreMM == 0 && r.AntennaForwardMM == 0 && r.AntennaRightMM == 0 {
			require.GreaterOrEqual(t, most, float64(r.PivotMM)-2)
		}
	})
}

// A turn from rest onto a leg, on the spot or on an arc: how far off the leg's line the
// antenna comes until the rover faces along it.
func TestNoAntennaIsFartherOffTheLineThanJoiningSays(t *testing.T) {
	seen := map[bool]int{}
	rapid.Check(t, func(t *rapid.T) {
		r := anyRover(t)
		turn := rapid.Float64Range(-180, 180).Draw(t, "turn") * math.Pi / 180
		tolerance := rapid.Int64Range(0, 1000).Draw(t, "tolerance")
		p := &Plan{
			Machine: Machine{Rover: r},
			Route: Route{
				Waypoints: []Waypoint{{}, {ToleranceMM: tolerance, TurnDeg: turn * 180 / math.Pi, Stops: true}, {}},
				Legs:      []Leg{{From: 0, To: 1, SpeedMMPerS: 500}, {From: 1, To: 2, SpeedMMPerS: 500}},
			},
		}
		j := p.joining(1, 500, 500)
		seen[r.Pivots]++
		// The leg leads north along east = 0; the rover comes with the heading -turn, and
		// rests anywhere about the mark.
		from := rapid.Float64Range(0, 2*math.Pi).Draw(t, "rests towards")
		rest := vector{float64(tolerance) * math.Sin(from), float64(tolerance) * math.Cos(from)}
		side := math.Copysign(1, turn)
		centre := rest.plus(turned(float64(r.TurningCentreMM-r.AntennaForwardMM), -float64(r.AntennaRightMM), -turn))
		about := centre.plus(turned(0, side*float64(r.TurnRadiusMM), -turn))
		for k := range 361 {
			heading := -turn * (1 - float64(k)/360)
			at := about.plus(turned(0, -side*float64(r.TurnRadiusMM), heading)).plus(turned(float64(r.AntennaForwardMM-r.TurningCentreMM), float64(r.AntennaRightMM), heading))
			require.LessOrEqual(t, math.Abs(at.e), float64(j.CrossMM)+1e-6, "%.0f deg to go", heading*180/math.Pi)
		}
	})
	assert.Greater(t, seen[true], 20)
	assert.Greater(t, seen[false], 20)
}

// A larger radius never makes the need smaller, on the spot nor on arcs.
func TestALargerRadiusNeedsNoLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRover(t)
		turn := rapid.Float64Range(3, 174).Draw(t, "turn")
		stops := rapid.Bool().Draw(t, "stops")
		need := func(radius int64) (Body, Joining) {
			v := resolver{p: &Plan{
				Machine: Machine{Rover: r},
				Route: Route{
					Waypoints: []Waypoint{{}, {ToleranceMM: 300, TurnDeg: turn, Stops: stops}, {}},
					Legs:      []Leg{{From: 0, To: 1, SpeedMMPerS: 500}, {From: 1, To: 2, SpeedMMPerS: 500}},
				},
			}}
			v.p.Machine.Rover.TurnRadiusMM = radius
			v.body()
			if v.p.Machine.Rover.Pivots {
				v.p.Route.Waypoints[1].Stops = true
			}
			return v.p.Machine.Rover.Body, v.p.joining(1, 500, 500)
		}
		small := rapid.Int64Range(0, 3000).Draw(t, "small")
		large := small + rapid.Int64Range(1, 3000).Draw(t, "more")
		was, before := need(small)
		is, after := need(large)
		if was.Pivots != is.Pivots {
			return // it drives through where it had to stop
		}
		require.GreaterOrEqual(t, is.PivotMM, was.PivotMM)
		require.GreaterOrEqual(t, after.CrossMM, before.CrossMM)
		require.GreaterOrEqual(t, after.WayMM, before.WayMM)
	})
}

// A waypoint that is driven through: the rover comes beside its line into the circle of
// the tolerance, drives on for as long as a fix takes, and turns.
func TestNoAntennaIsFartherOffTheLineWhenDrivenThrough(t *testing.T) {
	most := 0.0
	rapid.Check(t, func(t *rapid.T) {
		r := anyRover(t)
		r.TurnRadiusMM += r.WidthMM/2 + 1
		r.Pivots, r.ArmMM, r.ArmAsideMM = false, int64(math.Ceil(math.Hypot(float64(r.AntennaForwardMM-r.TurningCentreMM), float64(r.AntennaRightMM)))), int64(math.Abs(float64(r.AntennaRightMM)))
		r.CrossTrackMM = rapid.Int64Range(0, 400).Draw(t, "cross-track")
		turn := rapid.Float64Range(-174, 174).Draw(t, "turn") * math.Pi / 180
		tolerance := rapid.Int64Range(1, 1500).Draw(t, "tolerance")
		speed, delay := rapid.Int64Range(50, 3000).Draw(t, "mm/s"), rapid.Int64Range(0, 1000).Draw(t, "ms")
		p := &Plan{
			Machine: Machine{Rover: r}, Board: Board{Timing: Timing{FixMS: delay}},
			Route: Route{
				Waypoints: []Waypoint{{}, {ToleranceMM: tolerance, TurnDeg: turn * 180 / math.Pi}, {}},
				Legs:      []Leg{{From: 0, To: 1, SpeedMMPerS: speed}, {From: 1, To: 2, SpeedMMPerS: 500}},
			},
		}
		j := p.joining(1, speed, 500)
		aside := rapid.Float64Range(-1, 1).Draw(t, "aside") * float64(min(r.CrossTrackMM, tolerance))
		before := math.Sqrt(float64(tolerance*tolerance) - aside*aside)
		for _, gone := range []float64{0, float64(speed*delay) / 1000} {
			antenna := turned(gone-before, aside, -turn)
			side := math.Copysign(1, turn)
			about := antenna.plus(turned(float64(r.TurningCentreMM-r.AntennaForwardMM), side*float64(r.TurnRadiusMM)-float64(r.AntennaRightMM), -turn))
			for k := range 181 {
				heading := -turn * (1 - float64(k)/180)
				at := about.plus(turned(float64(r.AntennaForwardMM-r.TurningCentreMM), float64(r.AntennaRightMM)-side*float64(r.TurnRadiusMM), heading))
				// At the beginning it is no farther from the line than it was from the mark.
				require.LessOrEqual(t, math.Abs(at.e), float64(j.CrossMM)+1e-6, "%.0f deg to go", heading*180/math.Pi)
				most = max(most, math.Abs(at.e)/float64(j.CrossMM))
			}
		}
	})
	assert.Greater(t, most, 0.8, "the bound is not merely generous")
}

// The sine integral by Simpson's rule, and at π the known value (Wilbraham and Gibbs,
// 1.851937052, from memory).
func TestSineIntegral(t *testing.T) {
	assert.InDelta(t, 1.851937052, sineIntegral(math.Pi), 1e-9)
	assert.Zero(t, sineIntegral(0))
	for x := 0.1; x < math.Pi; x += 0.1 {
		const steps = 400
		sum, h := 1+math.Sin(x)/x, x/steps
		for i := 1; i < steps; i++ {
			u := h * float64(i)
			sum += float64(2+2*(i%2)) * math.Sin(u) / u
		}
		assert.InDelta(t, sum*h/3, sineIntegral(x), 1e-10, "%v", x)
	}
}

// On an arc, behind the beginning of the leg too, no point of the body is farther from the
// leg than the board lets the antenna be and the corners reach: from rest anywhere about
// the mark, and on the way to rest on the smallest arc.
func TestNoCornerGetsFartherOnAnArc(t *testing.T) {
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		r := anyRover(t)
		if r.Pivots {
			return
		}
		seen++
		turn := rapid.Float64Range(3, 180).Draw(t, "turn") * rapid.SampledFrom([]float64{-1, 1}).Draw(t, "to") * math.Pi / 180
		tolerance := rapid.Int64Range(0, 1000).Draw(t, "tolerance")
		way := rapid.Int64Range(0, 1500).Draw(t, "way")
		p := &Plan{
			Machine: Machine{Rover: r},
			Route: Route{
				Waypoints: []Waypoint{{}, {ToleranceMM: tolerance, TurnDeg: turn * 180 / math.Pi, Stops: true}, {}},
				Legs:      []Leg{{From: 0, To: 1, SpeedMMPerS: 500, LengthMM: 90_000}, {From: 1, To: 2, SpeedMMPerS: 500}},
			},
		}
		allowed := float64(p.joining(1, 500, 500).AwayMM + r.turningReachMM(way))
		from := rapid.Float64Range(0, 2*math.Pi).Draw(t, "rests towards")
		rest := vector{float64(tolerance) * math.Sin(from), float64(tolerance) * math.Cos(from)}
		side, radius := math.Copysign(1, turn), float64(r.TurnRadiusMM)
		about := rest.plus(turned(float64(r.TurningCentreMM-r.AntennaForwardMM), side*radius-float64(r.AntennaRightMM), -turn))
		further := float64(way) / radius * side // where the stop comes at the end of the turn
		for k := range 361 {
			heading := -turn + (turn+further)*float64(k)/360
			antenna := about.plus(turned(float64(r.AntennaForwardMM-r.TurningCentreMM), float64(r.AntennaRightMM)-side*radius, heading))
			for _, c := range r.corners(antenna, heading) { // the leg leads north from zero
				off := math.Abs(c.e)
				if c.n < 0 {
					off = math.Hypot(c.e, c.n)
				}
				require.LessOrEqual(t, off, allowed+1e-6, "%.0f deg", heading*180/math.Pi)
			}
		}
	})
	require.Greater(t, seen, 20)
}
