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
	was, is := ringIDs(before, b.markIDs.oldID), ringIDs(after, b.markIDs.newID)
	causes := b.cornerCauses(was, is)
	if !slices.Equal(was, is) {
		c := Change{Subject: subject, What: "corners", Before: list(cornerNames(before)), After: list(cornerNames(after)), Path: path}
		if slices.Equal(fromLeast(was), fromLeast(is)) {
			c.What = "corners, listed from another one or the other way"
		}
		n := b.cause(k, o, c)
		causes = merge(causes, []*node{n})
		if ground != "overhead.ground" {
			b.corners(o, n, subject, before, after)
		}
	}
	b.ground(o, subject, ground, before, after, causes)
}

// corners judges how sure the corners are that came and went, since those that stayed are
// judged as marks. Where some came in place of others, all of those against all of these.
// A corner more parts an edge in two, each as sure as the coarser of its ends: a finer
// one than the ends of the edge leans on a better figure, and a coarser one does not.
func (b *builder) corners(o order, n *node, subject string, before, after *fence.Part) {
	lone := func(ring, other *fence.Part, ids, otherIDs []int) (out []int) {
		there := map[int]bool{}
		for _, m := range other.Marks {
			there[otherIDs[m.Number]] = true
		}
		for i, m := range ring.Marks {
			if !there[ids[m.Number]] {
				out = append(out, i)
			}
		}
		return out
	}
	gone, come := lone(before, after, b.markIDs.oldID, b.markIDs.newID), lone(after, before, b.markIDs.newID, b.markIDs.oldID)
	extremes := func(p *plan.Plan, ring *fence.Part, list []int) (least, most float64) {
		for k, i := range list {
			v := p.MarkStdMM(ring.Marks[i].Number)
			if k == 0 || v < least {
				least = v
			}
			most = max(most, v)
		}
		return least, most
	}
	var kind Kind
	var was, is float64
	switch {
	case len(gone) > 0 && len(come) > 0:
		least, most := extremes(b.old, before, gone)
		finest, coarsest := extremes(b.new, after, come)
		was, is = most, finest
		switch {
		case least == most && most == finest && finest == coarsest:
		case coarsest <= least:
			kind = b.judge("marks.NAME.uncertainty", most, finest)
		case finest >= most:
			was, is = least, coarsest
			kind = b.judge("marks.NAME.uncertainty", least, coarsest)
		default:
			kind = Look
		}
	case len(come) > 0:
		kind, was, is = b.cornersMore(b.new, after, come)
	case len(gone) > 0:
		kind, is, was = b.cornersMore(b.old, before, gone)
		kind = kind.Reverse()
	}
	if kind != Neutral {
		c := measured(subject, "uncertainty of its corners", words.Millimetre, math.Round(was*10)/10, math.Round(is*10)/10)
		c.Kind = kind
		o.rank = 2
		b.effect(o, c, []*node{n})
	}
}

// cornersMore judges corners that a ring has more than the other, as if they came: against
// the coarser of the nearest corners that both have.
func (b *builder) cornersMore(p *plan.Plan, ring *fence.Part, list []int) (kind Kind, without, with float64) {
	n := len(ring.Marks)
	lone, edges := make([]bool, n), make([]float64, n)
	for _, i := range list {
		lone[i] = true
	}
	for _, step := range []int{1, n - 1} {
		nearest := 0.0
		for k := range 2 * n { // twice round, so that each knows the last one before it
			if i := k * step % n; lone[i] {
				edges[i] = max(edges[i], nearest)
			} else {
				nearest = p.MarkStdMM(ring.Marks[i].Number)
			}
		}
	}
	for _, i := range list {
		edge, own := edges[i], p.MarkStdMM(ring.Marks[i].Number)
		switch k := b.judge("marks.NAME.uncertainty", edge, own); {
		case k == Neutral:
		case kind == Neutral || kind == k:
			kind, without, with = k, edge, own
		default:
			kind = Look
		}
	}
	return kind, without, with
}

// ringIDs is a ring as ids of marks.
func ringIDs(p *fence.Part, ids []int) []int {
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

// areas is a list of areas with names, rings or circles: obstacles, or what is
// overhead.
type areas struct {
	block, path string // of the keys
	sort        string // in keys of causes, and of the direction of there being one
	noun        string
	ground      string // of the direction of the ground within
	section     section
	old, new    []*fence.Part
}

func (b *builder) obstacles() {
	b.obstacleIDs = b.areas(areas{"geofence.obstacles[]", "geofence.obstacles", "obstacle", "obstacle", "obstacle.ground", fenceSection, parts(b.old.Fence.Obstacles, obstacle), parts(b.new.Fence.Obstacles, obstacle)})
}

func (b *builder) overhead() {
	b.overheadIDs = b.areas(areas{"site.overhead[]", "site.overhead", "overhead", "overhead area", "overhead.ground", siteSection, parts(b.old.Site.Overhead, above), parts(b.new.Site.Overhead, above)})
}

func obstacle(p *fence.Part) *fence.Part { return p }
func above(o *plan.Overhead) *fence.Part { return &o.Part }

func parts[T any](list []T, part func(*T) *fence.Part) []*fence.Part {
	out := make([]*fence.Part, len(list))
	for i := range list {
		out[i] = part(&list[i])
	}
	return out
}

// areas compares two lists of areas.
func (b *builder) areas(a areas) pairing {
	names := func(list []*fence.Part, ids []int) (names, places []string) {
		for _, o := range list {
			names = append(names, o.Name)
			if o.IsCircle {
				places = append(places, fmt.Sprint("circle ", ids[o.Marks[0].Number]))
			} else {
				places = append(places, fmt.Sprint("ring ", fromLeast(ringIDs(o, ids))))
			}
		}
		return names, places
	}
	oldNames, oldPlaces := names(a.old, b.markIDs.oldID)
	newNames, newPlaces := names(a.new, b.markIDs.newID)
	ids := match(oldNames, newNames, oldPlaces, newPlaces)
	for id, q := range ids.pairs {
		o := order{section: a.section, index: q.index()}
		if q.both() {
			b.area(a, id, o, q)
			continue
		}
		x := a.old
		if q.old < 0 {
			x = a.new
		}
		part := x[max(q.old, q.new)]
		o.name = part.Name
		b.onOneSide(a.sort, key{a.sort, id}, o, q, a.noun+" "+part.Name, shape(part), part.Path)
	}
	if ids.reordered() {
		b.cause(key{a.sort + ".order", 0}, order{section: a.section, index: math.MaxInt}, Change{Subject: a.noun + "s", What: "order in the list", Before: list(oldNames), After: list(newNames), Path: a.path})
	}
	return ids
}

func shape(p *fence.Part) string {
	if p.IsCircle {
		return fmt.Sprintf("circle around %s, radius %s", p.Marks[0].Name, words.Millimetre.Words(float64(p.Circle.RadiusMM)))
	}
	return "ring " + list(cornerNames(p))
}

func (b *builder) area(a areas, id int, o order, q pair) {
	before, after := a.old[q.old], a.new[q.new]
	o.name = lesser(before.Name, after.Name)
	subject, ground := a.noun+" "+after.Name, a.ground
	if before.Name != after.Name {
		b.cause(key{a.sort + ".name", id}, o, Change{Subject: a.noun + " " + before.Name, What: "renamed", Before: before.Name, After: after.Name, Path: after.Path})
	}
	o.rank = 1
	switch {
	case before.IsCircle != after.IsCircle:
		n := b.cause(key{a.sort, id}, o, Change{Subject: subject, What: "shape", Before: shape(before), After: shape(after), Path: after.Path})
		b.givesAndTakes(o, subject, ground, before.Covers(after), after.Covers(before), []*node{n})
	case before.IsCircle:
		var causes []*node
		was, is := b.markIDs.oldID[before.Marks[0].Number], b.markIDs.newID[after.Marks[0].Number]
		if was != is {
			n := b.cause(key{a.sort, id}, o, Change{Subject: subject, What: "centre", Before: before.Marks[0].Name, After: after.Marks[0].Name, Path: after.Path})
			causes = append(causes, n)
			if a.sort == "obstacle" {
				b.corners(o, n, subject, before, after)
			}
		}
		if r, s := before.Circle.RadiusMM, after.Circle.RadiusMM; r != s {
			o.rank = 2
			c := measured(subject, "radius", words.Millimetre, r, s)
			c.Path = after.Path
			if before.Circle.Centre == after.Circle.Centre {
				c.Kind = b.judge(ground, float64(r), float64(s))
			}
			causes = append(causes, b.cause(key{a.sort, id}, o, c))
		}
		if before.Circle.Centre != after.Circle.Centre { // else the radius has been judged
			causes = merge(causes, b.cornerCauses([]int{was}, []int{is}))
			b.givesAndTakes(o, subject, ground, !b.apart && before.Covers(after), !b.apart && after.Covers(before), causes)
		}
	default:
		b.ring(key{a.sort, id}, o, subject, ground, after.Path, before, after)
	}
	b.ringDetails(o, subject, a.block, after.Path, q.old, q.new)
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
