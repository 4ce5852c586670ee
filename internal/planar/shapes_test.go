package planar

// Rings and segments for the tests and benchmarks to work on: sound ones as
// surveyed fences are, sound ones that are hard on an index, and random ones on
// a grid so coarse that touching, lying on one line and coinciding are the rule.

import (
	"math"
	"math/rand/v2"
	"slices"
)

// fence is a sound ring of n vertices around the origin, its radius wavering
// between half of radius and radius, as a field boundary surveyed on foot: more
// vertices follow the same boundary more closely, each up to 20 mm beside it.
func fence(n int, radius float64, rng *rand.Rand) Ring {
	r := make(Ring, n)
	phase := rng.Float64() * 2 * math.Pi
	for i := range r {
		a := 2 * math.Pi * float64(i) / float64(n)
		d := radius*(0.75+0.15*math.Sin(5*a+phase)+0.08*math.Sin(17*a)) + 20*rng.Float64()
		r[i] = Point{int64(d * math.Cos(a)), int64(d * math.Sin(a))}
	}
	return r
}

// star is a sound ring of n vertices, every other one near the middle: long
// thin spikes in all directions, whose boxes all lie on top of each other.
func star(n int, radius float64) Ring {
	r := make(Ring, n)
	for i := range r {
		a := 2 * math.Pi * (float64(i) + 0.3) / float64(n)
		d := radius
		if i%2 == 1 {
			d /= 10
		}
		r[i] = Point{int64(d * math.Cos(a)), int64(d * math.Sin(a))}
	}
	return r
}

// comb is a sound ring of n vertices, n even, its teeth, along long, side by side on a back that
// is across long.
func comb(n int, across, along Vector) Ring {
	teeth := int64(n/2 - 1)
	o := Point{-(across.E + along.E) / 2, -(across.N + along.N) / 2}
	at := func(i int64, tip bool) Point {
		p := o.Add(Vector{across.E * i / (2 * teeth), across.N * i / (2 * teeth)})
		if tip {
			p = p.Add(along)
		}
		return p
	}
	var r Ring
	for i := range teeth {
		r = append(r, at(2*i, false), at(2*i+1, true))
	}
	back := Vector{-along.E / 10, -along.N / 10}
	return append(r, o.Add(across).Add(back), o.Add(back))
}

// spiral is a sound ring of n vertices: a corridor that winds turns times
// around the origin, out along its one wall and back along the other.
func spiral(n, turns int, radius float64) Ring {
	half := n / 2
	wall := func(offset float64) Ring {
		var w Ring
		for i := range half {
			f := float64(i) / float64(half-1)
			a := 2 * math.Pi * float64(turns) * f
			d := radius * (0.2 + 0.6*f + offset)
			w = append(w, Point{int64(d * math.Cos(a)), int64(d * math.Sin(a))})
		}
		return w
	}
	inner, outer := wall(0), wall(0.3*0.6/float64(turns))
	slices.Reverse(outer)
	return append(inner, outer...)
}

// gridRing is any ring of n vertices on a grid of side+1 by side+1 points.
func gridRing(n int, side int64, scale int64, rng *rand.Rand) Ring {
	r := make(Ring, n)
	for i := range r {
		r[i] = gridPoint(side, scale, rng)
	}
	return r
}

func gridPoint(side, scale int64, rng *rand.Rand) Point {
	return Point{
		scale * (rng.Int64N(side+1) - side/2),
		scale * (rng.Int64N(side+1) - side/2),
	}
}

func gridSegment(side, scale int64, rng *rand.Rand) Segment {
	return Segment{gridPoint(side, scale, rng), gridPoint(side, scale, rng)}
}

// soundGridRing is a ring free of faults on a coarse grid: full of vertices in
// line with others and on a level with others. It is a random ring untangled by
// turning stretches around until nothing crosses (2-opt moves shorten the ring,
// so that this ends), or nil when touching is left in the end.
func soundGridRing(n int, side, scale int64, rng *rand.Rand) Ring {
	r := gridRing(n, side, scale, rng)
	slices.SortFunc(r, func(p, q Point) int {
		if p.E != q.E {
			return int(p.E/scale - q.E/scale)
		}
		return int(p.N/scale - q.N/scale)
	})
	r = slices.Compact(r)
	rng.Shuffle(len(r), func(i, j int) { r[i], r[j] = r[j], r[i] })
	for range 200 {
		turned := false
		for i := range r {
			for j := i + 2; j < len(r); j++ {
				e, f := r.Edge(i), r.Edge(j)
				if (i > 0 || j < len(r)-1) && e.Crossing(f) == Proper {
					slices.Reverse(r[i+1 : j+1])
					turned = true
				}
			}
		}
		if !turned {
			break
		}
	}
	if len(r.faults()) > 0 {
		return nil
	}
	return r
}

// Add is the point that lies v away from p.
func (p Point) Add(v Vector) Point { return Point{p.E + v.E, p.N + v.N} }
