// One frame for both plans. When the origin was moved, every coordinate in the
// local frame is another although nothing moved on the ground. Places are then
// compared in one of the two frames: of two origins the lesser is taken, so that
// the comparison backwards is made in the same.
package diff

import (
	"cmp"
	"math"
	"slices"

	"merestone/internal/fence"
	"merestone/internal/geodesy"
	"merestone/internal/plan"
	"merestone/internal/planar"
)

// oneFrame puts the places of one plan into the frame of the other, in a copy.
// Lengths, bearings and all tables stay what they are on the board.
func (b *builder) oneFrame() {
	switch c := compareOrigins(b.old.Site.Origin, b.new.Site.Origin); {
	case c < 0:
		b.new = b.inFrame(b.new, b.old.Site.Frame)
	case c > 0:
		b.old = b.inFrame(b.old, b.new.Site.Frame)
	}
}

func compareOrigins(p, q geodesy.Geodetic) int {
	return cmp.Or(cmp.Compare(p.Latitude, q.Latitude), cmp.Compare(p.Longitude, q.Longitude), cmp.Compare(p.HeightM, q.HeightM))
}

// commonFrame is the frame in which both plans are compared.
func (b *builder) commonFrame() geodesy.Frame {
	if compareOrigins(b.old.Site.Origin, b.new.Site.Origin) > 0 {
		return b.new.Site.Frame
	}
	return b.old.Site.Frame
}

// frameSlackMM is what rounding in another frame may make of a surplus.
const frameSlackMM = 2

func (b *builder) inFrame(p *plan.Plan, frame geodesy.Frame) *plan.Plan {
	q := *p
	q.Survey.Marks = make([]plan.Mark, len(p.Survey.Marks))
	for i, m := range p.Survey.Marks {
		g := m.Geodetic
		g.HeightM = frame.Origin().HeightM
		at := frame.ToLocal(g)
		m.Point = planar.Point{E: wholeMM(at.EastM), N: wholeMM(at.NorthM)}
		if !m.Point.InRange() {
			b.apart = true
			return p
		}
		q.Survey.Marks[i] = m
	}
	boundary, obstacles := p.Fence.Boundary, slices.Clone(p.Fence.Obstacles)
	boundary.Vertices = cornersOf(&q, boundary.Marks)
	for i, o := range obstacles {
		if o.IsCircle {
			obstacles[i].Circle.Centre = q.Survey.Marks[o.Marks[0].Number].Point
		} else {
			obstacles[i].Vertices = cornersOf(&q, o.Marks)
		}
	}
	q.Fence = fence.New(boundary, obstacles)
	q.Route.Legs = make([]plan.Leg, len(p.Route.Legs))
	for i, l := range p.Route.Legs {
		l.Segment = planar.Segment{A: q.Survey.Marks[q.Route.Waypoints[l.From].Mark].Point, B: q.Survey.Marks[q.Route.Waypoints[l.To].Mark].Point}
		q.Route.Legs[i] = l
	}
	b.slackMM = frameSlackMM
	return &q
}

// wholeMM rounds as the plan does; what is far out of range stays so.
func wholeMM(m float64) int64 {
	return int64(math.Round(max(min(m, 1e9), -1e9) * 1000))
}

func cornersOf(p *plan.Plan, marks []fence.Mark) planar.Ring {
	var ring planar.Ring
	for _, m := range marks {
		ring = append(ring, p.Survey.Marks[m.Number].Point)
	}
	return ring
}
