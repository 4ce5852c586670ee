// The geofence: boundary and obstacles, as ground that the rover may enter. A
// fence that moves sideways gives ground on one side and takes it on the other;
// both are said, each with its own kind.
package diff

import (
	"fmt"
	"math"
	"slices"

	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

func (b *builder) boundary() {
	before, after := &b.old.Fence.Boundary, &b.new.Fence.Boundary
	o := order{section: fenceSection, index: -1}
	b.ring(key{"boundary", 0}, o, "boundary", "boundary.ground", "geofence.boundary", before, after)
	b.ringDetails(o, "boundary", "geofence", "geofence", 0, 0)
}

// ring compares two rings: their corners, and the ground within, of which more is
// judged as the quantity of that name.
func (b *builder) ring(k key, o order, subject, ground, path string, before, after *fence.Part) {
	was, is := corners(before, b.markIDs.oldID), corners(after, b.markIDs.newID)
	causes := b.cornerCauses(was, is)
	if !slices.Equal(was, is) {
		c := Change{Subject: subject, What: "corners", Before: list(cornerNames(before)), After: list(cornerNames(after)), Path: path}
		if slices.Equal(fromLeast(was), fromLeast(is)) {
			c.What = "corners, listed from another one or the other way"
		}
		causes = merge(causes, []*node{b.cause(k, o, c)})
	}
	b.ground(o, subject, ground, before, after, causes)
}

// corners is a ring as ids of marks.
func corners(p *fence.Part, ids []int) []int {
	out := make([]int, len(p.Marks))
	for i, m := range p.Marks {
		out[i] = ids[m.Number]
	}
	return out
}

func cornerNames(p *fence.Part) []string {
	out := make([]string, len(p.Marks))
	for i, m := range p.Marks {
		out[i] = m.Name
	}
	return out
}

// cornerCauses are the changes of the marks of two rings, by their ids.
func (b *builder) cornerCauses(was, is []int) []*node {
	keys := []key{{"site.origin", 0}}
	for _, id := range slices.Concat(was, is) {
		keys = append(keys, key{"mark", id})
	}
	return b.present(keys...)
}

// fromLeast turns a ring to begin at its least corner and to go on to the lesser
// neighbour, so that two listings of one ring are equal.
func fromLeast(ring []int) []int {
	n := len(ring)
	if n == 0 {
		return nil
	}
	at := 0
	for i, v := range ring {
		if v < ring[at] {
			at = i
		}
	}
	step := 1
	if ring[(at+n-1)%n] < ring[(at+1)%n] {
		step = n - 1
	}
	out := make([]int, n)
	for i := range out {
		out[i] = ring[(at+i*step)%n]
	}
	return out
}

// ground compares the ground within two rings. name is that of the quantity of
// which more is the ground within.
func (b *builder) ground(o order, subject, name string, before, after *fence.Part, causes []*node) {
	if slices.Equal(before.Vertices, after.Vertices) {
		return
	}
	if b.apart {
		b.givesAndTakes(o, subject, name, false, false, causes)
		return
	}
	if !before.Sound() || !after.Sound() {
		o.rank = 3
		b.effect(o, Change{Subject: subject, What: "ground within", Before: ringWords(before), After: ringWords(after)}, causes)
		return
	}
	area := number(metreSquare, areaM2(before), areaM2(after))
	area.Delta = words.Round(area.Delta, 1)
	if !before.Covers(after) {
		o.rank = 4
		b.effect(o, Change{
			Kind: b.judge(name, 0, 1), Subject: subject, What: "takes in ground" + reach(before, after), Before: ringWords(before), After: ringWords(after), Number: area,
		}, causes)
	}
	if !after.Covers(before) {
		o.rank = 5
		b.effect(o, Change{
			Kind: b.judge(name, 1, 0), Subject: subject, What: "gives up ground" + reach(after, before), Before: ringWords(before), After: ringWords(after), Number: area,
		}, causes)
	}
}

var metreSquare = words.Unit{Name: "m2", Scale: 1, Decimals: 1}

func areaM2(p *fence.Part) float64 {
	return words.Round(math.Abs(float64(p.Vertices.SignedArea2()))/2e6, 6)
}

// reach says how far outside a sound ring the corners of another are, where any
// are.
func reach(ring, other *fence.Part) string {
	farthest, g := int64(0), ring.Region()
	for _, p := range other.Vertices {
		if g.Contains(p) == planar.Outside {
			_, mm, _ := g.Edges().Nearest(planar.Segment{A: p, B: p})
			farthest = max(farthest, mm)
		}
	}
	if farthest == 0 {
		return ""
	}
	return ", up to " + movedBy(float64(farthest)/1000)
}

func ringWords(p *fence.Part) string {
	switch {
	case len(p.Vertices) == 0:
		return "none"
	case !p.Sound():
		return fmt.Sprintf("a ring with faults, %d corners", len(p.Vertices))
	default:
		return fmt.Sprintf("%.1f m2", areaM2(p))
	}
}

// ringDetails compares what is only for the view of the sky.
func (b *builder) ringDetails(o order, subject, block, path string, i, j int) {
	for rank, f := range b.blocks[block].Figures {
		o.rank = 6 + rank
		if !f.Apart {
			b.figure(o, subject, path, f, i, j)
		}
	}
}

func (b *builder) obstacles() {
	names := func(p *plan.Plan, ids []int) (names, places []string) {
		for _, o := range p.Fence.Obstacles {
			names = append(names, o.Name)
			if o.IsCircle {
				places = append(places, fmt.Sprint("circle ", ids[o.Marks[0].Number]))
			} else {
				places = append(places, fmt.Sprint("ring ", fromLeast(corners(&o, ids))))
			}
		}
		return names, places
	}
	oldNames, oldPlaces := names(b.old, b.markIDs.oldID)
	newNames, newPlaces := names(b.new, b.markIDs.newID)
	b.obstacleIDs = match(oldNames, newNames, oldPlaces, newPlaces)
	for id, q := range b.obstacleIDs.pairs {
		o := order{section: fenceSection, index: q.index()}
		if q.both() {
			b.obstacle(id, o, q)
			continue
		}
		p, i := b.only(q)
		x := p.Fence.Obstacles[i]
		o.name = x.Name
		b.onOneSide("obstacle", key{"obstacle", id}, o, q, "obstacle "+x.Name, shape(&x), x.Path)
	}
	if b.obstacleIDs.reordered() {
		b.cause(key{"obstacle.order", 0}, order{section: fenceSection, index: math.MaxInt}, Change{Subject: "obstacles", What: "order in the list", Before: list(oldNames), After: list(newNames), Path: "geofence.obstacles"})
	}
}

func shape(p *fence.Part) string {
	if p.IsCircle {
		return fmt.Sprintf("circle around %s, radius %s", p.Marks[0].Name, words.Millimetre.Words(float64(p.Circle.RadiusMM)))
	}
	return "ring " + list(cornerNames(p))
}

func (b *builder) obstacle(id int, o order, q pair) {
	before, after := &b.old.Fence.Obstacles[q.old], &b.new.Fence.Obstacles[q.new]
	o.name = lesser(before.Name, after.Name)
	subject := "obstacle " + after.Name
	if before.Name != after.Name {
		b.cause(key{"obstacle.name", id}, o, Change{Subject: "obstacle " + before.Name, What: "renamed", Before: before.Name, After: after.Name, Path: after.Path})
	}
	o.rank = 1
	switch {
	case before.IsCircle != after.IsCircle:
		n := b.cause(key{"obstacle", id}, o, Change{Subject: subject, What: "shape", Before: shape(before), After: shape(after), Path: after.Path})
		b.givesAndTakes(o, subject, "obstacle.ground", before.Covers(after), after.Covers(before), []*node{n})
	case before.IsCircle:
		var causes []*node
		was, is := b.markIDs.oldID[before.Marks[0].Number], b.markIDs.newID[after.Marks[0].Number]
		if was != is {
			causes = append(causes, b.cause(key{"obstacle", id}, o, Change{Subject: subject, What: "centre", Before: before.Marks[0].Name, After: after.Marks[0].Name, Path: after.Path}))
		}
		if r, s := before.Circle.RadiusMM, after.Circle.RadiusMM; r != s {
			o.rank = 2
			c := measured(subject, "radius", words.Millimetre, r, s)
			c.Path = after.Path
			if before.Circle.Centre == after.Circle.Centre {
				c.Kind = b.judge("obstacle.ground", float64(r), float64(s))
			}
			causes = append(causes, b.cause(key{"obstacle", id}, o, c))
		}
		if before.Circle.Centre != after.Circle.Centre { // else the radius has been judged
			causes = merge(causes, b.cornerCauses([]int{was}, []int{is}))
			b.givesAndTakes(o, subject, "obstacle.ground", !b.apart && before.Covers(after), !b.apart && after.Covers(before), causes)
		}
	default:
		b.ring(key{"obstacle", id}, o, subject, "obstacle.ground", after.Path, before, after)
	}
	b.ringDetails(o, subject, "geofence.obstacles[]", after.Path, q.old, q.new)
}

// givesAndTakes reports ground taken in and given up without measuring it.
func (b *builder) givesAndTakes(o order, subject, name string, beforeCovers, afterCovers bool, causes []*node) {
	if !beforeCovers {
		o.rank = 4
		b.effect(o, Change{Kind: b.judge(name, 0, 1), Subject: subject, What: "takes in ground"}, causes)
	}
	if !afterCovers {
		o.rank = 5
		b.effect(o, Change{Kind: b.judge(name, 1, 0), Subject: subject, What: "gives up ground"}, causes)
	}
}
