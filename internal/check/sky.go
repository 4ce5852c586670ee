// How much of the sky is hidden from a place: looked at along rays all round.
//
// The sky is the hemisphere above the mask. In the direction of a ray what hides it
// hides bands of elevation; a band from e to f, one ray wide, is the part
//
//	(sin f - sin e) / (1 - sin mask)
//
// of what the ray has of that sky, since the area of a zone of a sphere goes with its
// height (solid geometry). Rays stand still while things grow, so that something
// taller, wider or nearer hides no less, not even by a rounding.
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

const (
	// maskDeg: above this elevation the sky should be clear all round; common
	// practice, no source.
	maskDeg = 15
	// rays around the horizon: a quarter of a degree apart, 2 cm at 5 m.
	rays = 1440
	// leafShare is how much of the signals from behind it a canopy takes; common
	// practice, no source.
	leafShare = 0.5
)

// skyline is what rises above the antenna.
type skyline struct {
	antennaMM float64
	sinMask   float64
	rays      [rays]struct{ e, n float64 }

	// What stands on the ground, indexed by where it does.
	parts  []tallPart
	index  *planar.Index
	reach  int64 // no part further from a point than this matters there
	things []standing

	above []above
	bands [rays][]band // by ray, of the place that is looked from
}

// standing is what stands on the ground: an obstacle, or the boundary.
type standing struct {
	about  diag.Phrase
	riseMM float64 // above the antenna
}

// tallPart is one edge of a ring, or a circle with its radius.
type tallPart struct {
	thing    int
	segment  planar.Segment
	radiusMM float64
}

// above is an area with something overhead, between two heights.
type above struct {
	part           *fence.Part
	about          diag.Subject
	leaves         bool
	fromMM, riseMM float64 // its underside and its top above the antenna
	box            planar.Segment
}

// shadowMM is how far away a thing's top is at the mask.
func shadowMM(rise float64) float64 { return rise / elementary.Tan(maskDeg*math.Pi/180) }

func (v *view) skyline() *skyline {
	t := &skyline{antennaMM: float64(v.Machine.Rover.AntennaHeightMM), sinMask: elementary.Sin(maskDeg * math.Pi / 180)}
	for i := range t.rays {
		t.rays[i].e, t.rays[i].n = elementary.Sincos(float64(i) * 2 * math.Pi / rays)
	}
	for n, p := range v.Fence.Parts() {
		rise := float64(p.HeightMM) - t.antennaMM
		if rise <= 0 || p.HeightMM == 0 {
			continue
		}
		about := diag.Say("%s", diag.Name(v.RingSubject(n)))
		if n == fence.Boundary {
			about = diag.Say("the %s", v.RingSubject(n))
		}
		thing := len(t.things)
		t.things = append(t.things, standing{about, rise})
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
		t.reach = max(t.reach, ceilMM(shadowMM(t.things[p.thing].riseMM)+p.radiusMM)+1)
	}
	t.index = planar.NewIndex(segments)
	for i := range v.Site.Overhead {
		o := &v.Site.Overhead[i]
		a := above{&o.Part, v.OverheadSubject(i), !o.Roof, float64(o.HeadroomMM) - t.antennaMM, float64(o.HeightMM) - t.antennaMM, boxOf(&o.Part)}
		if o.Sound() && a.riseMM > 0 {
			t.above = append(t.above, a)
		}
	}
	return t
}

// boxOf is the south-western and the north-eastern corner of what a part lies in.
func boxOf(p *fence.Part) planar.Segment {
	if p.IsCircle {
		c, r := p.Circle.Centre, p.Circle.RadiusMM
		return planar.Segment{A: planar.Point{E: c.E - r, N: c.N - r}, B: planar.Point{E: c.E + r, N: c.N + r}}
	}
	var box planar.Segment
	for i, v := range p.Vertices {
		if i == 0 {
			box = planar.Segment{A: v, B: v}
		}
		box.A.E, box.A.N = min(box.A.E, v.E), min(box.A.N, v.N)
		box.B.E, box.B.N = max(box.B.E, v.E), max(box.B.N, v.N)
	}
	return box
}

// hiddenSky is what hides the sky above the mask from one place.
type hiddenSky struct {
	by         []blocker // the highest first, what is overhead before all
	horizonDeg float64   // over how much of the horizon, of 360
	share      float64   // of the sky, leaves counted by their share
	solid      float64   // without the leaves
	leaves     bool
}

// blocker is one thing, and the elevation of its top where it is nearest.
type blocker struct {
	about    diag.Phrase
	deg      float64
	overhead bool
}

// band is a part of the sky along one ray, by the sines of its elevations.
type band struct {
	from, to float64
	leaves   bool
}

// from looks around from a point, at the antenna's height over level ground.
func (t *skyline) from(p planar.Point) hiddenSky {
	var h hiddenSky
	var walls [rays]float64 // the sine of the elevation up to which what stands hides the sky
	nearest := map[int]float64{}
	for _, id := range t.index.Within(planar.Segment{A: p, B: p}, t.reach) {
		part := t.parts[id]
		rise := t.things[part.thing].riseMM
		if !part.raise(&walls, t, p, rise) {
			continue
		}
		d := max(part.segment.DistanceMM(planar.Segment{A: p, B: p})-part.radiusMM, 0)
		if was, seen := nearest[part.thing]; !seen || d < was {
			nearest[part.thing] = d
		}
	}
	for n, thing := range t.things {
		if d, ok := nearest[n]; ok {
			h.by = append(h.by, blocker{thing.about, elementary.Atan2(thing.riseMM, d) * 180 / math.Pi, false})
		}
	}
	if len(t.above) > 0 {
		for k := range t.bands {
			t.bands[k] = t.bands[k][:0]
		}
	}
	for i := range t.above {
		a := &t.above[i]
		if deg, ok := a.hide(t, p); ok {
			h.leaves = h.leaves || a.leaves
			h.by = append(h.by, blocker{diag.Say("%s", a.about), deg, a.part.Meets(planar.Segment{A: p, B: p})})
		}
	}
	slices.SortStableFunc(h.by, func(a, b blocker) int { return cmp.Compare(b.deg, a.deg) })

	seen := 0
	for i, wall := range walls {
		solid, all := max(wall-t.sinMask, 0), max(wall-t.sinMask, 0)
		if len(t.bands[i]) > 0 {
			solid, all = covered(append(t.bands[i], band{t.sinMask, max(wall, t.sinMask), false}))
		}
		h.solid += solid
		h.share += solid + float64(leafShare*(all-solid))
		if all > 0 {
			seen++
		}
	}
	whole := rays * (1 - t.sinMask)
	h.solid, h.share, h.horizonDeg = h.solid/whole, h.share/whole, float64(seen)*360/rays
	return h
}

// covered is how much the bands cover together: without leaves, and in all.
func covered(bands []band) (solid, all float64) {
	slices.SortStableFunc(bands, func(a, b band) int { return cmp.Compare(a.from, b.from) })
	length := func(leaves bool) float64 {
		total, to := 0.0, math.Inf(-1)
		for _, b := range bands {
			if !b.leaves || leaves {
				total += max(b.to-max(b.from, to), 0)
				to = max(to, b.to)
			}
		}
		return total
	}
	return length(false), length(true)
}

// sine is that of the elevation of what rises so far above the antenna at a distance.
func sine(rise, distance float64) float64 {
	return rise / math.Sqrt(float64(rise*rise)+float64(distance*distance))
}

// raise raises the walls to a part where that is higher than the mask; false where it
// is nowhere.
func (part tallPart) raise(walls *[rays]float64, t *skyline, p planar.Point, rise float64) bool {
	a, ok := part.arc(p, shadowMM(rise))
	if !ok {
		return false
	}
	x, y := float64(part.segment.A.E-p.E), float64(part.segment.A.N-p.N)
	u, w := float64(part.segment.B.E-part.segment.A.E), float64(part.segment.B.N-part.segment.A.N)
	for k := range a.rays() {
		e, n := t.rays[k].e, t.rays[k].n
		d := 0.0
		if part.segment.A == part.segment.B {
			d, _ = discChord(x, y, part.radiusMM, e, n)
		} else if across := float64(e*w) - float64(n*u); across != 0 {
			d = max((float64(x*w)-float64(y*u))/across, 0)
		}
		walls[k] = max(walls[k], sine(rise, d))
	}
	return true
}

// discChord is how far along a ray a disc begins and ends: from its inside it begins
// at once. Beside the disc both are where the ray passes nearest to it.
func discChord(x, y, radius, e, n float64) (near, far float64) {
	along, aside := float64(x*e)+float64(y*n), float64(x*n)-float64(y*e)
	half := math.Sqrt(max(float64(radius*radius)-float64(aside*aside), 0))
	return max(along-half, 0), max(along+half, 0)
}

// hide adds the bands that an area hides from a point, and tells the elevation of its
// top; false where it hides nothing above the mask. Of a ring that a ray meets several
// times what lies between the first and the last counts as its, too.
//
// Between its two heights an area is a slab, so that along a ray it is seen from its
// underside at the far end up to its top at the near one, or to the zenith from
// beneath it.
func (a *above) hide(t *skyline, p planar.Point) (deg float64, ok bool) {
	shadow := shadowMM(a.riseMM)
	outside := planar.Point{E: max(a.box.A.E-p.E, p.E-a.box.B.E, 0), N: max(a.box.A.N-p.N, p.N-a.box.B.N, 0)}
	if float64(outside.E) >= shadow || float64(outside.N) >= shadow {
		return 0, false
	}
	beneath := a.part.Meets(planar.Segment{A: p, B: p})
	var near, far [rays]float64
	for k := range near {
		if near[k] = math.Inf(1); beneath {
			near[k] = 0
		}
	}
	meet := func(k int, from, to float64) { near[k], far[k] = min(near[k], from), max(far[k], to) }
	if a.part.IsCircle {
		x, y := float64(a.part.Circle.Centre.E-p.E), float64(a.part.Circle.Centre.N-p.N)
		radius := float64(a.part.Circle.RadiusMM)
		if c, ok := discArc(x, y, radius, math.Inf(1)); ok || beneath {
			if beneath {
				c = arc{0, 2 * math.Pi}
			}
			for k := range c.rays() {
				from, to := discChord(x, y, radius, t.rays[k].e, t.rays[k].n)
				meet(k, from, to)
			}
		}
	} else {
		for _, edge := range a.part.Vertices.Edges() {
			c, ok := tallPart{segment: edge}.arc(p, math.Inf(1))
			if !ok {
				continue
			}
			x, y := float64(edge.A.E-p.E), float64(edge.A.N-p.N)
			u, w := float64(edge.B.E-edge.A.E), float64(edge.B.N-edge.A.N)
			for k := range c.rays() {
				if across := float64(t.rays[k].e*w) - float64(t.rays[k].n*u); across != 0 {
					d := max((float64(x*w)-float64(y*u))/across, 0)
					meet(k, d, d)
				}
			}
		}
	}
	nearest := math.Inf(1)
	for k, d := range near {
		if d >= shadow {
			continue
		}
		b := band{t.sinMask, sine(a.riseMM, d), a.leaves}
		if beneath {
			b.to = 1
		}
		if a.fromMM > 0 {
			b.from = max(t.sinMask, sine(a.fromMM, far[k]))
		}
		if b.from < b.to {
			t.bands[k] = append(t.bands[k], b)
			nearest, ok = min(nearest, d), true
		}
	}
	return elementary.Atan2(a.riseMM, nearest) * 180 / math.Pi, ok
}

// arc is a part of the horizon, in radians: from begins in [-π, π], and to is at most
// 2π further on.
type arc struct{ from, to float64 }

// rays are those that look into the arc, its ends included.
func (a arc) rays() func(yield func(int) bool) {
	const step = 2 * math.Pi / rays
	return func(yield func(int) bool) {
		first, last := int(math.Ceil(a.from/step-hairRay)), int(math.Floor(a.to/step+hairRay))
		for k := first; k <= min(last, first+rays-1); k++ {
			if !yield((k + rays) % rays) {
				return
			}
		}
	}
}

// hairRay keeps a ray along the end of an arc in it, whatever the rounding.
const hairRay = 1e-9

// arc is the part of the horizon over which a part is nearer than shadow, and so
// higher than the mask; false when it is nowhere.
func (part tallPart) arc(p planar.Point, shadow float64) (arc, bool) {
	x, y := float64(part.segment.A.E-p.E), float64(part.segment.A.N-p.N)
	if part.segment.A == part.segment.B {
		return discArc(x, y, part.radiusMM, shadow)
	}
	u, w := float64(part.segment.B.E-part.segment.A.E), float64(part.segment.B.N-part.segment.A.N)
	t0, t1 := 0.0, 1.0
	if !math.IsInf(shadow, 1) {
		// The points a + t·u with |a + t·u| < shadow: a quadratic in t.
		uu, au, aa := float64(u*u)+float64(w*w), float64(x*u)+float64(y*w), float64(x*x)+float64(y*y)
		root := float64(au*au) - float64(uu*(aa-float64(shadow*shadow)))
		if root <= 0 {
			return arc{}, false
		}
		root = math.Sqrt(root)
		t0, t1 = max((-au-root)/uu, 0), min((-au+root)/uu, 1)
		if t0 >= t1 {
			return arc{}, false
		}
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
