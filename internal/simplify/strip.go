// The edge of a strip: the places that lie just so far from a line, found in floating point.
//
// Every segment of the line has two parallels at the distance, and around the outside of
// every bend a piece of polygon that touches the circle about the corner from outside. Cut
// wherever two of them cross, what is left is the edge of the strip or lies nearer to
// another segment than the distance, and is dropped. What stays is joined to loops. No
// library for this was found that is Go alone and runs on processors of 32 bits. Nothing
// rests on it: what comes out is proved (ring.go), and a strip that is a little wider is
// tried where a loop was missed. Corners are moved by a fraction of a millimetre first, so
// that no three sides meet in one place, and none lies along another, as they would where a
// person has gone out and back.
package simplify

import (
	"cmp"
	"math"
	"slices"

	"merestone/internal/planar"
)

const (
	// mitreLimit is how far a corner of the strip may lie from that of the track, in strip
	// widths: bends of up to 151 degrees stay sharp, by 1/cos(bend/2); others are cut square.
	mitreLimit = 4
	// nearby is a distance of what should be one place, in mm: far more than float64 rounds at
	// 20 km (4e-9), and far less than the whole millimetres that come of it.
	nearby = 0.01
	// exact is how exactly distances are reckoned, in mm: some thousand times what float64
	// rounds.
	exact = 1e-5
)

// spot is a place in mm, east and north.
type spot struct{ e, n float64 }

func (a spot) plus(b spot) spot             { return spot{a.e + b.e, a.n + b.n} }
func (a spot) minus(b spot) spot            { return spot{a.e - b.e, a.n - b.n} }
func (a spot) times(f float64) spot         { return spot{float64(a.e * f), float64(a.n * f)} } // as it meets sums
func (a spot) dot(b spot) float64           { return float64(a.e*b.e) + float64(a.n*b.n) }
func (a spot) cross(b spot) float64         { return float64(a.e*b.n) - float64(a.n*b.e) }
func (a spot) length() float64              { return math.Sqrt(a.dot(a)) }
func (a spot) along(b spot, f float64) spot { return a.plus(b.minus(a).times(f)) }

func spotOf(p planar.Point) spot { return spot{float64(p.E), float64(p.N)} }

// side is a stretch of what may be the edge of the strip, with the strip on its right.
type side struct{ a, b spot }

// stripEdges are the loops of the edge of all that lies within a distance of some lines, each
// with the strip on its right: those around ground within run counter-clockwise. The first
// of the lines is closed.
func stripEdges(of [][]planar.Point, distance int64) [][]spot {
	d := float64(distance)
	lines := moved(of, d)
	ring := lines[0][:len(lines[0])-1]
	back := slices.Clone(ring)
	slices.Reverse(back)
	walks := [][]spot{ring, back}
	for _, tail := range lines[1:] { // out and back
		home := slices.Clone(tail[1 : len(tail)-1])
		slices.Reverse(home)
		walks = append(walks, slices.Concat(tail, home))
	}
	var sides []side
	for _, w := range walks {
		sides = append(sides, parallels(w, d)...)
	}
	var segments []side
	for _, l := range lines {
		for i := 1; i < len(l); i++ {
			segments = append(segments, side{l[i-1], l[i]})
		}
	}
	return loops(outermost(crossed(sides), segments, distance))
}

// apart is the most by which a corner is moved, either way, in mm.
const apart = 0.4

// moved are the corners of lines, each moved a little: by parts that no two of them share,
// and other ones for another distance. The first line stays closed.
func moved(lines [][]planar.Point, distance float64) (all [][]spot) {
	i := distance
	part := func(ratio float64) float64 { // the steps of an irrational ratio never come back
		_, f := math.Modf(float64(i * ratio))
		return float64(apart * (2*f - 1))
	}
	for _, l := range lines {
		var out []spot
		for _, p := range l {
			i++
			out = append(out, spotOf(p).plus(spot{part(math.Phi), part(math.Sqrt2)}))
		}
		all = append(all, out)
	}
	all[0][len(all[0])-1] = all[0][0]
	return all
}

// parallels are the segments to the left of a closed walk, with pieces around its right bends.
func parallels(walk []spot, d float64) (all []side) {
	at := func(i int) spot { return walk[i%len(walk)] }
	for i := range walk {
		a, b, c := at(i), at(i+1), at(i+2)
		u, v := b.minus(a), c.minus(b)
		u, v = u.times(1/u.length()), v.times(1/v.length())
		left := func(u spot) spot { return spot{-u.n, u.e}.times(d) }
		from, end, next := a.plus(left(u)), b.plus(left(u)), b.plus(left(v))
		all = append(all, side{from, end})
		if u.cross(v) > 0 {
			continue // the parallels meet, or others lie outside of them
		}
		half := math.Sqrt(max(1+u.dot(v), 0) / 2) // the cosine of half the bend
		if half*mitreLimit >= 1 {
			reach := d * math.Sqrt(max(1-float64(half*half), 0)) / half
			corner := end.plus(u.times(reach))
			all = append(all, side{end, corner}, side{corner, next})
			continue
		}
		reach := d * math.Sqrt(max(1-float64(half*half), 0)) / (1 + half) // of a quarter of the bend
		one, other := end.plus(u.times(reach)), next.minus(v.times(reach))
		all = append(all, side{end, one}, side{one, other}, side{other, next})
	}
	return slices.DeleteFunc(all, func(s side) bool { return s.b.minus(s.a).length() < nearby })
}

// crossed cuts sides wherever two of them meet.
func crossed(sides []side) (all []side) {
	slices.SortFunc(sides, func(a, b side) int { return cmp.Compare(min(a.a.e, a.b.e), min(b.a.e, b.b.e)) })
	cuts := make([][]float64, len(sides))
	for i, s := range sides {
		east := max(s.a.e, s.b.e) + nearby
		south, north := min(s.a.n, s.b.n)-nearby, max(s.a.n, s.b.n)+nearby
		for k := i + 1; k < len(sides) && min(sides[k].a.e, sides[k].b.e) <= east; k++ {
			if t := sides[k]; min(t.a.n, t.b.n) <= north && max(t.a.n, t.b.n) >= south {
				on, onOther := meetings(s, t)
				cuts[i], cuts[k] = append(cuts[i], on...), append(cuts[k], onOther...)
			}
		}
	}
	for i, s := range sides {
		slices.Sort(cuts[i])
		from := s.a
		for _, f := range append(cuts[i], 1) {
			if to := s.a.along(s.b, f); to.minus(from).length() > nearby/4 || f == 1 {
				all = append(all, side{from, to})
				from = to
			}
		}
	}
	return all
}

// meetings are where two sides meet, as parts of the length of each.
func meetings(s, t side) (onS, onT []float64) {
	u, v, w := s.b.minus(s.a), t.b.minus(t.a), t.a.minus(s.a)
	turn := u.cross(v)
	inside := func(f, length float64) bool { return f*length > -nearby && (f-1)*length < nearby }
	if math.Abs(turn) > 1e-9*u.length()*v.length() {
		f, g := w.cross(v)/turn, w.cross(u)/turn
		if inside(f, u.length()) && inside(g, v.length()) {
			return []float64{min(max(f, 0), 1)}, []float64{min(max(g, 0), 1)}
		}
		return nil, nil
	}
	if math.Abs(w.cross(u)) > nearby*u.length() {
		return nil, nil
	}
	for _, p := range []spot{t.a, t.b} { // on one line
		if f := p.minus(s.a).dot(u) / u.dot(u); f > 0 && f < 1 {
			onS = append(onS, f)
		}
	}
	for _, p := range []spot{s.a, s.b} {
		if f := p.minus(t.a).dot(v) / v.dot(v); f > 0 && f < 1 {
			onT = append(onT, f)
		}
	}
	return onS, onT
}

// outermost are the sides of which the middle is as far from all segments as it must be.
func outermost(sides, segments []side, distance int64) []side {
	whole := func(s spot) planar.Point {
		return planar.Point{E: int64(math.Round(s.e)), N: int64(math.Round(s.n))}
	}
	rounded := make([]planar.Segment, len(segments))
	for i, s := range segments {
		rounded[i] = planar.Segment{A: whole(s.a), B: whole(s.b)}
	}
	index := planar.NewIndex(rounded)
	return slices.DeleteFunc(sides, func(s side) bool {
		middle := s.a.along(s.b, 0.5)
		p := whole(middle)
		for _, id := range index.Within(planar.Segment{A: p, B: p}, distance+3) { // all that may be too near
			if segments[id].distanceTo(middle) < float64(distance)-exact {
				return true
			}
		}
		return false
	})
}

// distanceTo is the distance of a place from a segment.
func (s side) distanceTo(p spot) float64 {
	u, w := s.b.minus(s.a), p.minus(s.a)
	f := min(max(w.dot(u)/u.dot(u), 0), 1)
	return w.minus(u.times(f)).length()
}

// way is a side between two places, by their numbers.
type way struct{ from, to int }

// loops joins sides, each to the one that begins where it ends: of several to the one that
// turns to the left the most, which keeps to one ground.
func loops(sides []side) (all [][]spot) {
	at := places{cells: map[[2]int64][]int{}}
	seen := map[way]bool{}
	var ways []way
	for _, s := range sides {
		if w := (way{at.number(s.a), at.number(s.b)}); w.from != w.to && !seen[w] {
			seen[w] = true
			ways = append(ways, w)
		}
	}
	ways = slices.DeleteFunc(ways, func(w way) bool { return seen[way{w.to, w.from}] }) // between them there is no ground
	ways = withoutEnds(ways)
	from := map[int][]int{} // the ways that begin in a place
	for i, w := range ways {
		from[w.from] = append(from[w.from], i)
	}
	next := make([]int, len(ways))
	for i, w := range ways {
		most := math.Inf(-1)
		for _, n := range from[w.to] {
			if turn := bend(at.all[w.to].minus(at.all[w.from]), at.all[ways[n].to].minus(at.all[w.to])); turn > most {
				next[i], most = n, turn
			}
		}
	}
	passed := make([]int, len(ways)) // by which round
	for i := range ways {
		k := i
		for ; passed[k] == 0; k = next[k] {
			passed[k] = i + 1
		}
		if passed[k] <= i {
			continue // another round has been there
		}
		var loop []spot
		for first := k; len(loop) == 0 || k != first; k = next[k] {
			loop = append(loop, at.all[ways[k].from])
		}
		all = append(all, loop)
	}
	return all
}

// withoutEnds leaves out ways that lead nowhere, or come from nowhere, and those that do so
// then: stumps of sides beyond where they meet the next.
func withoutEnds(ways []way) []way {
	for before := -1; before != len(ways); {
		before = len(ways)
		begins, ends := map[int]bool{}, map[int]bool{}
		for _, w := range ways {
			begins[w.from], ends[w.to] = true, true
		}
		ways = slices.DeleteFunc(ways, func(w way) bool { return !begins[w.to] || !ends[w.from] })
	}
	return ways
}

// bend grows with the angle by which a way turns to the left, from -2 to 2.
func bend(u, v spot) float64 {
	cross, dot := u.cross(v), u.dot(v)
	part := cross / (math.Abs(cross) + math.Abs(dot))
	if dot >= 0 {
		return part
	}
	return math.Copysign(2, cross) - part
}

// places numbers places, those that are nearly the same alike.
type places struct {
	all   []spot
	cells map[[2]int64][]int
}

func (p *places) number(s spot) int {
	e, n := int64(math.Floor(s.e/nearby)), int64(math.Floor(s.n/nearby))
	for i := e - 1; i <= e+1; i++ {
		for k := n - 1; k <= n+1; k++ {
			for _, id := range p.cells[[2]int64{i, k}] {
				if p.all[id].minus(s).length() < nearby {
					return id
				}
			}
		}
	}
	p.all = append(p.all, s)
	p.cells[[2]int64{e, n}] = append(p.cells[[2]int64{e, n}], len(p.all)-1)
	return len(p.all) - 1
}
