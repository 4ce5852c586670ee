// How much ground a walk goes around. Of a walk that crosses itself, in a knot where somebody
// turned or as a figure of eight, the sum over its edges counts some ground twice, or takes one
// lobe off the other; what is meant is the ground around which it goes at all.
//
// It is summed in slices from south to north, each with the widths in its middle. Slices end
// at every corner, so that they are exact where no edges cross within one; where some do, the
// error is of the second order of the slice's height, of which there are a thousand at least.
// So that the sum stays cheap a long walk is thinned first, and what that changes of the sum
// over the edges is made up for.
package simplify

import (
	"cmp"
	"math"
	"slices"

	"merestone/internal/planar"
)

const (
	// mostSummed is how many corners are summed at most.
	mostSummed = 4_000
	// slicesOfGround is how many slices there are at least.
	slicesOfGround = 1_000
)

// ground is the area of what a walk goes around, in square metres.
func (w walk) ground() float64 {
	line := w.closed()
	for within := 1.0; len(line) > mostSummed; within *= 2 {
		line = few(line, within)
	}
	thin, all := planar.Ring(line[:len(line)-1]).SignedArea2(), w.ring().SignedArea2()
	change := float64(all-thin) / 2e6
	if thin < 0 {
		change = -change
	}
	return max(enclosed(line)/1e6+change, 0)
}

// passage is where an edge passes a level: how far east, and 1 northward, -1 southward.
type passage struct {
	e    float64
	turn int
}

// enclosed is the area in square millimetres of all that a closed line goes around.
func enclosed(line []planar.Point) (area float64) {
	var levels []int64
	for _, p := range line {
		levels = append(levels, p.N)
	}
	slices.Sort(levels)
	levels = slices.Compact(levels)
	most := float64(levels[len(levels)-1]-levels[0]) / slicesOfGround
	for i := 1; i < len(levels); i++ {
		from, high := float64(levels[i-1]), float64(levels[i]-levels[i-1])
		parts := math.Ceil(high / most)
		for k := range int(parts) {
			level := from + float64(high*(float64(k)+0.5)/parts)
			area += float64(width(line, level) * high / parts)
		}
	}
	return area
}

// width is how much of a level that no corner is on lies within a closed line.
func width(line []planar.Point, level float64) (wide float64) {
	var passes []passage
	for i := 1; i < len(line); i++ {
		a, b := spotOf(line[i-1]), spotOf(line[i])
		if (a.n < level) == (b.n < level) {
			continue
		}
		p := passage{a.along(b, (level-a.n)/(b.n-a.n)).e, 1}
		if a.n > level {
			p.turn = -1
		}
		passes = append(passes, p)
	}
	slices.SortFunc(passes, func(a, b passage) int { return cmp.Compare(a.e, b.e) })
	turns := 0
	for i, p := range passes {
		if turns != 0 {
			wide += p.e - passes[i-1].e
		}
		turns += p.turn
	}
	return wide
}
