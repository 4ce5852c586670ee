// Rule site.sky: waypoints have a clear view of the sky above 15 degrees.
package check

import (
	"cmp"
	"math"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/fence"
	"merestone/internal/planar"
)

// maskDeg: above this elevation the sky should be clear all round; common
// practice, no source.
const maskDeg = 15

// skyRule makes one finding of all waypoints: among trees it is every one.
func skyRule() Rule {
	return newRule("site.sky", diag.Warning, "waypoints have a clear view of the sky above 15 degrees", func(v *view, report func(diag.Finding)) {
		tall := v.tallThings()
		var worst hiddenSky
		var hidden []diag.Subject // the waypoints with hidden sky, each mark once
		told := map[int]bool{}
		worstAt := 0
		for i, w := range v.Route.Waypoints {
			if told[w.Mark] {
				continue
			}
			told[w.Mark] = true
			h := tall.from(v.Survey.Marks[w.Mark].Point)
			if len(h.by) == 0 {
				continue
			}
			hidden = append(hidden, v.Subject(diag.Waypoint, i))
			if len(hidden) == 1 || h.horizonDeg > worst.horizonDeg {
				worst, worstAt = h, i
			}
		}
		if len(hidden) == 0 {
			return
		}
		things := diag.List{By: ", "}
		for _, b := range worst.by {
			name := any(diag.Name(v.RingSubject(b.ring)))
			if b.ring == fence.Boundary {
				name = diag.Say("the %s", v.RingSubject(b.ring))
			}
			things.Items = append(things.Items, diag.Say("%s (%.0f deg high)", name, b.deg))
		}
		about := v.Subject(diag.Waypoint, worstAt)
		f := at(v.Route.Waypoints[worstAt].Source, "%s: the sky is hidden above %d deg over at least %.0f deg of the horizon, by %s", about, maskDeg, worst.horizonDeg, things)
		if others := slices.DeleteFunc(slices.Clone(hidden), func(s diag.Subject) bool { return s == about }); len(others) > 0 {
			f.Add("; also at %s", diag.Names(others, ", "))
		}
		f.Remedy = "drive there by hand first, at the hour of the mission, and watch the fix; move marks into the open where it is lost"
		f.Numbers = []diag.Number{{Name: "horizon", Value: worst.horizonDeg, Unit: "deg"}, {Name: "highest", Value: worst.by[0].deg, Unit: "deg"}, {Name: "marks", Value: float64(len(told)), Unit: "1"}, {Name: "marks with hidden sky", Value: float64(len(hidden)), Unit: "1"}}
		report(f)
	})
}

// tallThings is what rises above the antenna, indexed by where it stands.
type tallThings struct {
	parts  []tallPart
	index  *planar.Index
	reach  int64     // no part further from a point than this matters there
	rings  []int     // by thing: an obstacle, or the boundary
	riseMM []float64 // above the antenna, by thing
}

// tallPart is one edge of a ring, or a circle with its radius.
type tallPart struct {
	thing    int
	segment  planar.Segment
	radiusMM float64
}

// shadowMM is how far away a thing's top is at the mask.
func shadowMM(rise float64) float64 { return rise / elementary.Tan(maskDeg*math.Pi/180) }

func (v *view) tallThings() *tallThings {
	t := &tallThings{}
	for n, p := range v.Fence.Parts() {
		rise := float64(p.HeightMM - v.Machine.Rover.AntennaHeightMM)
		if rise <= 0 || p.HeightMM == 0 {
			continue
		}
		thing := len(t.rings)
		t.rings, t.riseMM = append(t.rings, n), append(t.riseMM, rise)
		switch {
		case p.IsCircle:
			t.parts = append(t.parts, tallPart{thing, planar.Segment{A: p.Circle.Centre, B: p.Circle.Centre}, float64(p.Circle.RadiusMM)})
		case p.Sound():
			for _, e := range p.Vertices.Edges() {
				t.parts = append(t.parts, tallPart{thing, e, 0})
			}
		}
	}
	segments := make([]planar.Segment, len(t.parts))
	for i, p := range t.parts {
		segments[i] = p.segment
		t.reach = max(t.reach, ceilMM(shadowMM(t.riseMM[p.thing])+p.radiusMM)+1)
	}
	t.index = planar.NewIndex(segments)
	return t
}

// hiddenSky is what hides the sky above the mask from one place.
type hiddenSky struct {
	by         []blocker // the highest first
	horizonDeg float64   // over how much of the horizon, of 360
}

type blocker struct {
	ring int
	deg  float64 // elevation of its top where it is nearest
}

// from looks around from a point, at the antenna's height over level ground.
func (t *tallThings) from(p planar.Point) hiddenSky {
	var arcs []arc
	nearest := map[int]float64{}
	for _, id := range t.index.Within(planar.Segment{A: p, B: p}, t.reach) {
		part := t.parts[id]
		a, ok := part.arc(p, shadowMM(t.riseMM[part.thing]))
		if !ok {
			continue
		}
		arcs = append(arcs, a)
		d := max(part.segment.DistanceMM(planar.Segment{A: p, B: p})-part.radiusMM, 0)
		if was, seen := nearest[part.thing]; !seen || d < was {
			nearest[part.thing] = d
		}
	}
	h := hiddenSky{horizonDeg: union(arcs) * 180 / math.Pi}
	for thing, ring := range t.rings {
		if d, ok := nearest[thing]; ok {
			h.by = append(h.by, blocker{ring, elementary.Atan2(t.riseMM[thing], d) * 180 / math.Pi})
		}
	}
	slices.SortStableFunc(h.by, func(a, b blocker) int { return cmp.Compare(b.deg, a.deg) })
	return h
}

// arc is a part of the horizon, in radians: from begins in [-π, π), and to is
// less than 2π further on.
type arc struct{ from, to float64 }

// arc is the part of the horizon over which a part is nearer than shadow, and so
// higher than the mask; false when it is nowhere.
func (part tallPart) arc(p planar.Point, shadow float64) (arc, bool) {
	x, y := float64(part.segment.A.E-p.E), float64(part.segment.A.N-p.N)
	if part.segment.A == part.segment.B {
		return discArc(x, y, part.radiusMM, shadow)
	}
	// The points a + t·u with |a + t·u| < shadow: a quadratic in t.
	u, w := float64(part.segment.B.E-part.segment.A.E), float64(part.segment.B.N-part.segment.A.N)
	uu, au, aa := float64(u*u)+float64(w*w), float64(x*u)+float64(y*w), float64(x*x)+float64(y*y)
	root := float64(au*au) - float64(uu*(aa-float64(shadow*shadow)))
	if root <= 0 {
		return arc{}, false
	}
	root = math.Sqrt(root)
	t0, t1 := max((-au-root)/uu, 0), min((-au+root)/uu, 1)
	if t0 >= t1 {
		return arc{}, false
	}
	begin := elementary.Atan2(x+float64(t0*u), y+float64(t0*w))
	// A straight edge is seen over less than half the horizon.
	turn := math.Remainder(elementary.Atan2(x+float64(t1*u), y+float64(t1*w))-begin, 2*math.Pi)
	if turn < 0 {
		begin, turn = begin+turn, -turn
	}
	return newArc(begin, turn), true
}

// discArc is that of a disc: bounded by the tangents from p, or by where its edge
// comes within the shadow if the tangents touch it further away.
func discArc(x, y, radius, shadow float64) (arc, bool) {
	d := elementary.Hypot(x, y)
	switch {
	case d <= radius:
		return arc{-math.Pi, math.Pi}, true
	case d-radius >= shadow:
		return arc{}, false
	}
	half := elementary.Asin(radius / d)
	if float64(d*d)-float64(radius*radius) > shadow*shadow {
		half = elementary.Acos(min((float64(d*d)+float64(shadow*shadow)-float64(radius*radius))/(2*d*shadow), 1))
	}
	return newArc(elementary.Atan2(x, y)-half, 2*half), true
}

func newArc(begin, turn float64) arc {
	begin = math.Remainder(begin, 2*math.Pi)
	return arc{begin, begin + turn}
}

// union is the total of the horizon that the arcs cover, in radians.
func union(arcs []arc) float64 {
	var flat []arc // cut where they pass south
	for _, a := range arcs {
		if a.to > math.Pi {
			flat = append(flat, arc{-math.Pi, a.to - 2*math.Pi})
			a.to = math.Pi
		}
		flat = append(flat, a)
	}
	slices.SortFunc(flat, func(a, b arc) int { return cmp.Compare(a.from, b.from) })
	total, covered := 0.0, math.Inf(-1)
	for _, a := range flat {
		total += max(a.to-max(a.from, covered), 0)
		covered = max(covered, a.to)
	}
	return total
}
