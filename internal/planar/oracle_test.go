package planar

// The whole package against a second reckoning that shares nothing with it:
// fractions of any size (math/big), lines as points and parameters, no case
// distinctions by sign. Slow, short, and plainly right.

import (
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

type ratPoint struct{ e, n *big.Rat }

func rat(x int64) *big.Rat         { return new(big.Rat).SetInt64(x) }
func add(x, y *big.Rat) *big.Rat   { return new(big.Rat).Add(x, y) }
func minus(x, y *big.Rat) *big.Rat { return new(big.Rat).Sub(x, y) }
func times(x, y *big.Rat) *big.Rat { return new(big.Rat).Mul(x, y) }
func over(x, y *big.Rat) *big.Rat  { return new(big.Rat).Quo(x, y) }
func ratOf(p Point) ratPoint       { return ratPoint{rat(p.E), rat(p.N)} }

func (p ratPoint) to(q ratPoint) ratPoint { return ratPoint{minus(q.e, p.e), minus(q.n, p.n)} }
func (p ratPoint) dot(q ratPoint) *big.Rat {
	return add(times(p.e, q.e), times(p.n, q.n))
}
func (p ratPoint) cross(q ratPoint) *big.Rat {
	return minus(times(p.e, q.n), times(p.n, q.e))
}

// at is the point at parameter k of the segment, 0 being A and 1 being B.
func (s Segment) at(k *big.Rat) ratPoint {
	a, u := ratOf(s.A), ratOf(s.A).to(ratOf(s.B))
	return ratPoint{add(a.e, times(k, u.e)), add(a.n, times(k, u.n))}
}

// parameterOf is where p's foot on the segment's line is; the segment must have
// a length.
func (s Segment) parameterOf(p ratPoint) *big.Rat {
	u := ratOf(s.A).to(ratOf(s.B))
	return over(u.dot(ratOf(s.A).to(p)), u.dot(u))
}

func within01(k *big.Rat) bool { return k.Sign() >= 0 && k.Cmp(rat(1)) <= 0 }

// commonPart is the stretch of s, as parameters from and to, that s has in
// common with t; ok is false when there is none. s must have a length.
func commonPart(s, t Segment) (from, to *big.Rat, ok bool) {
	a, u := ratOf(s.A), ratOf(s.A).to(ratOf(s.B))
	c, v := ratOf(t.A), ratOf(t.A).to(ratOf(t.B))
	det := u.cross(v)
	if det.Sign() != 0 { // s.A + k u = t.A + l v, by Cramer's rule
		k, l := over(a.to(c).cross(v), det), over(a.to(c).cross(u), det)
		return k, k, within01(k) && within01(l)
	}
	if u.cross(a.to(c)).Sign() != 0 {
		return nil, nil, false
	}
	from, to = s.parameterOf(c), s.parameterOf(ratOf(t.B))
	if from.Cmp(to) > 0 {
		from, to = to, from
	}
	if from.Sign() < 0 {
		from = rat(0)
	}
	if to.Cmp(rat(1)) > 0 {
		to = rat(1)
	}
	return from, to, from.Cmp(to) <= 0
}

func oracleCrossing(s, t Segment) Crossing {
	if s.A == s.B {
		s, t = t, s
	}
	if s.A == s.B {
		if s.A == t.A {
			return Touch
		}
		return Apart
	}
	from, to, ok := commonPart(s, t)
	switch {
	case !ok:
		return Apart
	case from.Cmp(to) < 0:
		return Overlap
	}
	meet := s.at(from)
	for _, p := range []Point{s.A, s.B, t.A, t.B} {
		if q := ratOf(p).to(meet); q.dot(q).Sign() == 0 {
			return Touch
		}
	}
	return Proper
}

func oraclePointSquared(s Segment, p Point) *big.Rat {
	k := rat(0)
	if s.A != s.B {
		k = s.parameterOf(ratOf(p))
		if k.Sign() < 0 {
			k = rat(0)
		}
		if k.Cmp(rat(1)) > 0 {
			k = rat(1)
		}
	}
	w := s.at(k).to(ratOf(p))
	return w.dot(w)
}

func oracleSquared(s, t Segment) *big.Rat {
	if oracleCrossing(s, t) != Apart {
		return rat(0)
	}
	all := []*big.Rat{
		oraclePointSquared(s, t.A), oraclePointSquared(s, t.B),
		oraclePointSquared(t, s.A), oraclePointSquared(t, s.B),
	}
	return slices.MinFunc(all, (*big.Rat).Cmp)
}

func (d Squared) rat() *big.Rat {
	r := new(big.Rat).SetInt(new(big.Int).SetUint64(d.whole))
	if d.num > 0 {
		r.Add(r, new(big.Rat).SetFrac(new(big.Int).SetUint64(d.num), new(big.Int).SetUint64(d.den)))
	}
	return r
}

// oracleContains counts how often a line from p in a direction that no vertex
// is likely to lie in meets the ring; should one lie there, another is taken.
func oracleContains(r Ring, p ratPoint, rng *rand.Rand) Location {
	for i := range r {
		s := r.Edge(i)
		a, b := ratOf(s.A).to(p), ratOf(s.B).to(p)
		if a.cross(b).Sign() == 0 && a.dot(b).Sign() <= 0 {
			return OnEdge
		}
	}
	for {
		u := ratPoint{rat(rng.Int64N(2_000_001) - 1_000_000), rat(rng.Int64N(2_000_001) - 1_000_000)}
		inside, clean := false, u.dot(u).Sign() != 0
		for i := range r {
			// p + k u on edge a + l v: does 0 < k, 0 < l < 1 hold?
			s := r.Edge(i)
			a, v := ratOf(s.A), ratOf(s.A).to(ratOf(s.B))
			if v.dot(v).Sign() == 0 {
				continue
			}
			det := u.cross(v)
			if det.Sign() == 0 {
				clean = clean && u.cross(p.to(a)).Sign() != 0
				continue
			}
			k, l := over(p.to(a).cross(v), det), over(p.to(a).cross(u), det)
			if k.Sign() > 0 && within01(l) {
				clean = clean && l.Sign() > 0 && l.Cmp(rat(1)) < 0
				inside = !inside
			}
		}
		if clean {
			return location(inside)
		}
	}
}

// oracleCovers cuts s wherever it meets an edge, crossings included, and asks
// for the middle of every piece.
func oracleCovers(r Ring, s Segment, rng *rand.Rand) bool {
	if s.A == s.B {
		return oracleContains(r, ratOf(s.A), rng) != Outside
	}
	cuts := []*big.Rat{rat(0), rat(1)}
	for i := range r {
		if from, to, ok := commonPart(s, r.Edge(i)); ok {
			cuts = append(cuts, from, to)
		}
	}
	slices.SortFunc(cuts, (*big.Rat).Cmp)
	for i := range len(cuts) - 1 {
		if cuts[i].Cmp(cuts[i+1]) < 0 {
			mid := over(add(cuts[i], cuts[i+1]), rat(2))
			if oracleContains(r, s.at(mid), rng) == Outside {
				return false
			}
		}
	}
	return true
}

// oracleSound looks at every pair of edges.
func oracleSound(r Ring) bool {
	n := len(r)
	if n < 3 {
		return false
	}
	for i := range r {
		if r[i] == r[(i+1)%n] {
			return false
		}
		for j := range i {
			common := oracleCrossing(r.Edge(i), r.Edge(j))
			follows := (i+1)%n == j || (j+1)%n == i
			if common == Proper || common == Overlap || common == Touch && !follows {
				return false
			}
		}
	}
	return true
}

// drawGrid chooses where points may lie: on a grid from five by five points a
// millimetre apart to all of the site, one time in four all on one slanting line.
func drawGrid(t *rapid.T) func(name string) Point {
	type grid struct{ most, scale int64 }
	g := rapid.SampledFrom([]grid{
		{2, 1}, {5, 1}, {50, 1}, {2, 10_000_000}, {3, 6_666_667 - 1}, {MaxCoordinate, 1},
	}).Draw(t, "grid")
	d := rapid.Int64Range(-g.most, g.most)
	onLine := rapid.IntRange(0, 3).Draw(t, "line") == 0
	return func(name string) Point {
		if onLine {
			k := g.scale * d.Draw(t, name) / 3
			return Point{3 * k, -k}
		}
		return Point{g.scale * d.Draw(t, name+" east"), g.scale * d.Draw(t, name+" north")}
	}
}

func TestSegmentsAgainstFractions(t *testing.T) {
	seen := map[Crossing]int{}
	rapid.Check(t, func(t *rapid.T) {
		point := drawGrid(t)
		s, u := Segment{point("A"), point("B")}, Segment{point("C"), point("D")}
		kind := s.Crossing(u)
		seen[kind]++
		assert.Equal(t, oracleCrossing(s, u), kind)
		assert.Equal(t, ratOf(s.A).to(ratOf(s.B)).cross(ratOf(s.A).to(ratOf(u.A))).Sign(), Orientation(s.A, s.B, u.A))

		want, d := oracleSquared(s, u), s.SquaredTo(u)
		assert.Zero(t, want.Cmp(d.rat()), "want %v, got %v", want, d)
		assert.Zero(t, oraclePointSquared(s, u.A).Cmp(s.SquaredToPoint(u.A).rat()))

		// The thresholds next to the distance, and the float between them.
		floor := d.FloorMM()
		for mm := floor - 1; mm <= floor+2; mm++ {
			less := mm > 0 && want.Cmp(times(rat(mm), rat(mm))) < 0
			assert.Equal(t, less, SegmentDistanceLess(s, u, mm), "%v < %d mm", want, mm)
			assert.Equal(t, less, floor < mm, "the floor gives the same verdict")
		}
		assert.LessOrEqual(t, float64(floor), d.MM())
		assert.LessOrEqual(t, d.MM(), float64(d.CeilMM()))
		exact, _ := new(big.Float).SetPrec(200).Sqrt(new(big.Float).SetPrec(200).SetRat(want)).Float64()
		assert.InDelta(t, exact, d.MM(), 1e-15*exact)

		// Another distance to compare with.
		v, w := Segment{point("E"), point("F")}, Segment{point("G"), point("H")}
		assert.Equal(t, want.Cmp(oracleSquared(v, w)), d.Cmp(v.SquaredTo(w)))
	})
	for _, kind := range []Crossing{Apart, Touch, Proper, Overlap} {
		assert.Greater(t, seen[kind], 100, "the cases tried must include %v", kind)
	}
}

// The largest squares and quotients there can be, in 128 bits against math/big.
func TestSquaredRatioAtItsLargest(t *testing.T) {
	const m = MaxCoordinate
	rapid.Check(t, func(t *rapid.T) {
		near := rapid.Int64Range(0, 3)
		s := Segment{
			Point{-m + near.Draw(t, "aE"), -m + near.Draw(t, "aN")},
			Point{m - near.Draw(t, "bE"), m - near.Draw(t, "bN")},
		}
		p := Point{m - near.Draw(t, "pE"), -m + near.Draw(t, "pN")}
		assert.Zero(t, oraclePointSquared(s, p).Cmp(s.SquaredToPoint(p).rat()))
	})
	long := Segment{Point{-m, -m}, Point{m, m}}
	assert.Equal(t, uint64(800_000_000_000_000), long.SquaredToPoint(Point{m, -m}).whole, "(20 km)^2 * 2")
}

func TestContainsAgainstFractions(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 11))
	seen := map[Location]int{}
	for range 1500 {
		scale := []int64{1, 3_000_000}[rng.IntN(2)]
		r := gridRing(3+rng.IntN(8), 6, scale, rng) // sound or not
		g := newRegion(r)
		for range 4 {
			p := gridPoint(6, scale, rng)
			want := oracleContains(r, ratOf(p), rng)
			seen[want]++
			require.Equal(t, want, r.Contains(p), "%v in %v", p, r)
			require.Equal(t, want, g.Contains(p), "%v in %v, by the index", p, r)

			q := gridPoint(6, scale, rng)
			half := ratPoint{over(rat(p.E+q.E), rat(2)), over(rat(p.N+q.N), rat(2))}
			require.Equal(t, oracleContains(r, half, rng), r.contains(middle(p, q)), "between %v and %v in %v", p, q, r)
		}
	}
	for _, l := range []Location{Inside, OnEdge, Outside} {
		assert.Greater(t, seen[l], 300, l)
	}
}

func TestCoversAgainstFractions(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 12))
	covered, touched := 0, 0
	for rings := 0; rings < 120; {
		scale := []int64{1, 3_000_000}[rng.IntN(2)]
		r := soundGridRing(4+rng.IntN(9), 6, scale, rng)
		if r == nil {
			continue
		}
		rings++
		g := newRegion(r)
		for range 30 {
			s := gridSegment(6, scale, rng)
			want := oracleCovers(r, s, rng)
			require.Equal(t, want, covers(s, r.Edges(), r.contains), "%v in %v", s, r)
			require.Equal(t, want, g.Covers(s), "%v in %v, by the index", s, r)
			if want {
				covered++
				if len(g.Edges().Crossing(s)) > 0 {
					touched++
				}
			}
		}
	}
	assert.Greater(t, covered, 250)
	assert.Greater(t, touched, 150)
}

func TestFaultsAgainstAllPairs(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 13))
	sound, unsound := 0, 0
	try := func(r Ring) {
		want := oracleSound(r)
		require.Equal(t, want, len(r.faults()) == 0, "%v has %v", r, r.faults())
		if want {
			sound++
		} else {
			unsound++
		}
	}
	for range 2500 {
		try(gridRing(3+rng.IntN(5), 4, 1, rng))
		try(gridRing(3+rng.IntN(8), 1000, MaxCoordinate/1000, rng))
	}
	for rings := 0; rings < 300; {
		r := soundGridRing(8+rng.IntN(20), 8, 1, rng)
		if r == nil {
			continue
		}
		rings++
		try(r)
		i := rng.IntN(len(r)) // a little wrong, where all else is right
		r[i] = r[i].Add(Vector{rng.Int64N(3) - 1, rng.Int64N(3) - 1})
		try(r)
	}
	assert.Greater(t, sound, 700)
	assert.Greater(t, unsound, 700)
}

// Every meeting that a look at all pairs finds must be in the list, and nothing
// else: the crossings by their edges, the rest by the vertices involved.
func TestFaultListAgainstAllPairs(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 14))
	for range 1500 {
		r := gridRing(4+rng.IntN(6), 5, 1, rng)
		n := len(r)
		spiky := false
		for i := range r {
			u, v := r[(i+n-1)%n].Sub(r[i]), r[(i+1)%n].Sub(r[i])
			spiky = spiky || u.Cross(v) == 0 && u.Dot(v) >= 0 // also an edge without length
		}
		if spiky {
			continue // what follows from a spike is left out of the list, so not all pairs are in it
		}
		var want []RingFault
		for i := range r {
			for j := range r {
				e, f := r.Edge(i), r.Edge(j)
				if i < j && r[i] == r[j] && !slices.ContainsFunc(want, func(x RingFault) bool { return x.Kind == RepeatedVertex && x.Second == j }) {
					want = append(want, RingFault{RepeatedVertex, i, j})
				}
				if r[i] != f.A && r[i] != f.B && oracleCrossing(Segment{r[i], r[i]}, f) == Touch {
					want = append(want, RingFault{VertexOnEdge, i, j})
				}
				if i < j && oracleCrossing(e, f) == Proper {
					want = append(want, RingFault{EdgesCross, i, j})
				}
				if i < j && oracleCrossing(e, f) == Overlap {
					want = append(want, RingFault{EdgesOverlap, i, j})
				}
			}
		}
		require.ElementsMatch(t, want, r.faults(), "%v", r)
	}
}

// Contains is Region.Contains by looking at every edge. A point of a ring that
// crosses itself counts as inside when a line from it to far away meets the ring an
// odd number of times.
func (r Ring) Contains(p Point) Location { return r.contains(doubled(p)) }

func (r Ring) contains(at halfPoint) Location {
	inside := false
	for i := range r {
		switch edgeEastOf(r.Edge(i), at) {
		case through:
			return OnEdge
		case crosses:
			inside = !inside
		}
	}
	return location(inside)
}

func (l Location) String() string {
	switch l {
	case Outside:
		return "outside"
	case OnEdge:
		return "on edge"
	case Inside:
		return "inside"
	}
	return "unknown location"
}

func (c Crossing) String() string {
	switch c {
	case Apart:
		return "apart"
	case Touch:
		return "touch"
	case Proper:
		return "proper"
	case Overlap:
		return "overlap"
	}
	return "unknown crossing"
}
