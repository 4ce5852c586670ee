package drivetest

import (
	"math"
	"math/rand/v2"

	"merestone/internal/plan"
)

// vector is east and north, mm.
type vector struct{ e, n float64 }

func (v vector) plus(w vector) vector   { return vector{v.e + w.e, v.n + w.n} }
func (v vector) minus(w vector) vector  { return vector{v.e - w.e, v.n - w.n} }
func (v vector) times(f float64) vector { return vector{v.e * f, v.n * f} }
func (v vector) length() float64        { return math.Hypot(v.e, v.n) }
func (v vector) cross(w vector) float64 { return v.e*w.n - v.n*w.e }
func (v vector) dot(w vector) float64   { return v.e*w.e + v.n*w.n }

// turned is a vector right (e) and forward (n) of the rover as east and north.
func (v vector) turned(heading float64) vector {
	s, c := math.Sincos(heading)
	return vector{v.e*c + v.n*s, -v.e*s + v.n*c}
}

// ground is where the marks truly are, each off by its own uncertainty, and the fence
// that they make.
type ground struct {
	marks   []vector
	edges   []edge
	circles []circle
	slope   float64 // either way, where the mission says how steep it may be between marks
	share   float64 // of that, as drawn
}

type edge struct{ a, b vector }

type circle struct {
	centre vector
	radius float64
}

func newGround(p *plan.Plan, random *rand.Rand) ground {
	g := ground{share: 2*random.Float64() - 1}
	if p.Route.Slope.Said {
		g.slope = p.Route.Slope.Steepest
	}
	for _, m := range p.Survey.Marks {
		// The written digits, too: evenly over one of the last.
		digit := m.Resolution.Radians() * 6.4e9
		g.marks = append(g.marks, vector{
			float64(m.Point.E) + random.NormFloat64()*m.StdMM + (random.Float64()-0.5)*digit,
			float64(m.Point.N) + random.NormFloat64()*m.StdMM + (random.Float64()-0.5)*digit,
		})
	}
	for _, part := range p.Fence.Parts() {
		if part.IsCircle {
			g.circles = append(g.circles, circle{g.marks[part.Marks[0].Number], float64(part.Circle.RadiusMM)})
			continue
		}
		for i, m := range part.Marks {
			g.edges = append(g.edges, edge{g.marks[m.Number], g.marks[part.Marks[(i+1)%len(part.Marks)].Number]})
		}
	}
	return g
}

func (g *ground) mark(i int) vector { return g.marks[i] }

// downhill is how the ground falls along a heading: on a leg as its marks' heights have
// it, and where the mission says how steep it may be, anywhere up to that.
func (g *ground) downhill(l *plan.Leg, heading float64) float64 {
	along := math.Cos(heading - l.BearingDeg*math.Pi/180)
	fall := l.Downhill
	if g.slope > 0 {
		fall = max(min(fall+g.share*g.slope, g.slope), -g.slope)
	}
	return fall * along
}

// clearance is the distance of the body from the nearest part of the fence, 0 where
// they meet.
func (g *ground) clearance(body [4]vector) float64 {
	middle := body[0].plus(body[2]).times(0.5)
	reach := body[0].minus(middle).length()
	least := math.Inf(1)
	for _, e := range g.edges {
		if far := toSegment(middle, e.a, e.b) - reach; far >= least {
			continue
		}
		for i := range body {
			least = min(least, between(body[i], body[(i+1)%4], e.a, e.b))
		}
	}
	for _, c := range g.circles {
		if far := c.centre.minus(middle).length() - c.radius - reach; far >= least {
			continue
		}
		for i := range body {
			least = min(least, max(toSegment(c.centre, body[i], body[(i+1)%4])-c.radius, 0))
		}
	}
	return least
}

// toSegment is the distance of a point from a segment.
func toSegment(p, a, b vector) float64 {
	d := b.minus(a)
	square := d.dot(d)
	if square == 0 {
		return p.minus(a).length()
	}
	t := max(min(p.minus(a).dot(d)/square, 1), 0)
	return p.minus(a.plus(d.times(t))).length()
}

// between is the distance of two segments, 0 where they cross.
func between(a, b, c, d vector) float64 {
	ab, cd := b.minus(a), d.minus(c)
	if ab.cross(c.minus(a))*ab.cross(d.minus(a)) <= 0 && cd.cross(a.minus(c))*cd.cross(b.minus(c)) <= 0 && ab.cross(cd) != 0 {
		return 0
	}
	return min(toSegment(a, c, d), toSegment(b, c, d), toSegment(c, a, b), toSegment(d, a, b))
}
