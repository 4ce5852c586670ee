// Fixes that are left out, and fixes at two places.
//
// Most of the fixes are taken to be on the mark. Their middle is the geometric median, and
// their width σ the median distance from it over √(2 ln 2), as of normal errors: neither
// moves with a few wrong fixes, and both turn with the points. What is farther than
// `farOut` σ is left out and counted, as long as it is little. Fixes at the beginning or end
// that are farther and on their way are the walk to the mark or from it.
//
// Wrong fixes that last are no outliers: then there are two places, and the mean of both is
// none. So where too many are far, and of what is kept in any case, the two groups are looked
// for that are farthest apart for their width, along the longest axis of the scatter.
package occupy

import (
	"math"
	"slices"

	"merestone/internal/elementary"
	"merestone/internal/measured"
	"merestone/internal/statistics"
)

const (
	// farOut is the distance of an outlier in σ. A normal error is farther once in 270,000:
	// exp(-5²/2).
	farOut = 5
	// mostLeftOut is the part of fixes that may be left out as outliers. Chosen.
	mostLeftOut = 0.1
	// twoApart is how many standard deviations within two groups their middles are apart.
	// The two halves of one normal group are 2.6 apart, those of a straight line 3.5, and of
	// errors that fade slowly 6 in one of a hundred simulated windows.
	twoApart = 6
	// leastGroup is the part of fixes that makes a group; less are outliers. In the middle third
	// of the way between two groups there are at most mostBetween of them: a jump leaves none
	// there, and what wanders from one to the other must pass.
	leastGroup  = 0.05
	mostBetween = 0.02
)

// Sifted is what was found of fixes that do not belong.
type Sifted struct {
	// Walked fixes at the beginning and end were left out as the walk, WalkedMM the farthest.
	Walked   int
	WalkedMM float64
	// Outliers were left out, or would be too many for that. OutlierMM is the farthest of
	// them, LimitMM from where on they are.
	Outliers           int
	OutlierMM, LimitMM float64
	TooMany            bool
	// Two places that are ApartMM apart: OtherShare of the fixes are at the rarer one.
	TwoPlaces           bool
	ApartMM, OtherShare float64
	// used are the fixes that are left, and grain the step in which coordinates are written.
	used  []int
	grain float64
}

// sift looks for fixes that do not belong.
func sift(points []statistics.Point) Sifted {
	sample := evenly(points, 4096)
	middle := statistics.GeometricMedian(sample)
	half := statistics.MedianDistance(sample, middle)
	width := half / statistics.RayleighMedian
	s := Sifted{grain: grainOf(points, middle, half)}
	// Where most fixes read the same, the steps of the coordinates are the width.
	s.LimitMM = math.Max(farOut*width, 3*s.grain)
	distance := make([]float64, len(points))
	for i, p := range points {
		distance[i] = elementary.Hypot(p.East-middle.East, p.North-middle.North)
	}
	first, last := s.walk(points, distance, middle)
	var near []int
	for i := first; i < last; i++ {
		if distance[i] <= s.LimitMM {
			near = append(near, i)
			continue
		}
		s.Outliers++
		s.OutlierMM = math.Max(s.OutlierMM, distance[i])
	}
	s.TooMany = float64(s.Outliers) > mostLeftOut*float64(last-first)
	s.used = near
	if s.TooMany {
		s.used = nil
		for i := first; i < last; i++ {
			s.used = append(s.used, i)
		}
	}
	s.twoPlaces(points)
	return s
}

// walk finds the walk to the mark and from it, and gives the fixes between. A far run at an
// end is one where it is on its way: spread over a sixth of its distance or more.
func (s *Sifted) walk(points []statistics.Point, distance []float64, middle statistics.Point) (first, last int) {
	first, last = 0, len(points)
	for first < last && distance[first] > s.LimitMM {
		first++
	}
	for last > first && distance[last-1] > s.LimitMM {
		last--
	}
	if !onItsWay(points[:first], middle) {
		first = 0
	}
	if !onItsWay(points[last:], middle) {
		last = len(points)
	}
	for i, d := range distance {
		if i < first || i >= last {
			s.Walked++
			s.WalkedMM = math.Max(s.WalkedMM, d)
		}
	}
	return first, last
}

func onItsWay(run []statistics.Point, middle statistics.Point) bool {
	if len(run) < 3 {
		return false // too few to tell; outliers then
	}
	sample := evenly(run, 4096)
	at := statistics.GeometricMedian(sample)
	return statistics.MedianDistance(sample, at) > elementary.Hypot(at.East-middle.East, at.North-middle.North)/6
}

// twoPlaces looks for two groups among the fixes that are left: of all ways to part them
// along the longest axis of their scatter, that whose middles are the most standard
// deviations within the groups apart.
func (s *Sifted) twoPlaces(points []statistics.Point) {
	n := len(s.used)
	if n < fewest {
		return
	}
	along := alongLongestAxis(points, s.used)
	slices.Sort(along)
	sum, square := 0.0, 0.0
	for _, v := range along {
		sum += v
		square += float64(v * v)
	}
	best := float64(twoApart)
	leftSum, leftSquare := 0.0, 0.0
	for i, v := range along[:n-1] {
		leftSum += v
		leftSquare += float64(v * v)
		left, right := float64(i+1), float64(n-i-1)
		if min(left, right) < leastGroup*float64(n) {
			continue
		}
		low, high := leftSum/left, (sum-leftSum)/right
		within := (leftSquare - float64(left*low*low) + (square - leftSquare) - float64(right*high*high)) / float64(n)
		// What is written in steps has no smaller width than of their rounding.
		within = max(within, s.grain*s.grain/12, 1e-6)
		if ratio := (high - low) / math.Sqrt(within); ratio > best && between(along, low, high) <= mostBetween*float64(n) {
			best = ratio
			s.TwoPlaces, s.ApartMM, s.OtherShare = true, high-low, min(left, right)/float64(n)
		}
	}
}

// between counts the sorted values in the middle third of the way from one to another.
func between(sorted []float64, low, high float64) float64 {
	from, _ := slices.BinarySearch(sorted, low+(high-low)/3)
	to, _ := slices.BinarySearch(sorted, high-(high-low)/3)
	return float64(to - from)
}

// alongLongestAxis are fixes along the axis in which they scatter most, from their mean.
func alongLongestAxis(points []statistics.Point, used []int) []float64 {
	var mean statistics.Point
	for _, i := range used {
		mean.East += points[i].East / float64(len(used))
		mean.North += points[i].North / float64(len(used))
	}
	var m measured.Matrix
	for _, i := range used {
		east, north := points[i].East-mean.East, points[i].North-mean.North
		m.EastByEast += float64(east * east)
		m.EastByNorth += float64(east * north)
		m.NorthByNorth += float64(north * north)
	}
	m.NorthByEast = m.EastByNorth
	sin, cos := elementary.Sincos(m.Ellipse().BearingRad)
	along := make([]float64, len(used))
	for k, i := range used {
		along[k] = float64((points[i].East-mean.East)*sin) + float64((points[i].North-mean.North)*cos)
	}
	return along
}

// grainOf is the step in which coordinates are written: the median distance of neighbouring
// values that differ, the larger of both axes. Of many digits it is near nothing. It is looked
// for in the half of the fixes nearest to their middle, as the steps of a walk to the mark are
// those of the walker; where that half reads all the same, in all of them.
func grainOf(points []statistics.Point, middle statistics.Point, half float64) float64 {
	along := func(points []statistics.Point) float64 {
		return math.Max(
			grainAlong(points, func(p statistics.Point) float64 { return p.East }),
			grainAlong(points, func(p statistics.Point) float64 { return p.North }))
	}
	var near []statistics.Point
	for _, p := range points {
		if elementary.Hypot(p.East-middle.East, p.North-middle.North) <= half {
			near = append(near, p)
		}
	}
	if grain := along(near); grain > 0 {
		return grain
	}
	return along(points)
}

func grainAlong(points []statistics.Point, of func(statistics.Point) float64) float64 {
	var values []float64
	for _, p := range points {
		values = append(values, of(p))
	}
	slices.Sort(values)
	var steps []float64
	for i := 1; i < len(values); i++ {
		// A tenth of a nanodegree: that east hangs a little on north makes no step.
		if step := values[i] - values[i-1]; step > 0.01 {
			steps = append(steps, step)
		}
	}
	if len(steps) == 0 {
		return 0
	}
	return statistics.Median(steps)
}

// evenly takes at most so many points, evenly over all.
func evenly(points []statistics.Point, most int) []statistics.Point {
	if len(points) <= most {
		return points
	}
	each := (len(points) + most - 1) / most
	var some []statistics.Point
	for i := 0; i < len(points); i += each {
		some = append(some, points[i])
	}
	return some
}
