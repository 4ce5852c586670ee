// Whether a series drifts: a straight line through it, and whether its slope is more than
// errors that hang together in time make by chance.
package statistics

import "merestone/internal/elementary"

// Trend is a straight line through a series.
type Trend struct {
	// Slope is by how much each axis changes in a second.
	Slope []float64
	// PValue is the probability of so steep a line where there is no drift; 1 where nothing
	// can be told.
	PValue float64
}

// Trend fits a line to a series and tests its slope. With the variance V of the mean of
// what is left about the line, weight W, and S = Σ W_j (t_j - t̄)², the slope has the
// variance V W / S: as of independent values, of which the mean has the variance V. For two
// axes |slope|²/2 over it follows F with 2 and n - 2 degrees of freedom, n the independent
// values of what is left; its tail is (1 + 2F/(n-2))^(-(n-2)/2) in closed form. For one
// axis F has 1 and n - 2, which has longer tails than that: such a series is not tested.
func (s *Series) Trend() Trend {
	total := s.weight()
	middle := 0.0
	for j, w := range s.weights {
		middle += float64(w * s.slotS(j))
	}
	middle /= total
	moment := 0.0
	for j, w := range s.weights {
		t := s.slotS(j) - middle
		moment += float64(w * t * t)
	}
	mean := s.Mean()
	left := &Series{stepS: s.stepS, weights: s.weights, count: s.count, squares: make([]float64, len(s.sums))}
	out := Trend{PValue: 1}
	square := 0.0
	for axis, sums := range s.sums {
		slope := 0.0
		for j, sum := range sums {
			slope += float64(sum * (s.slotS(j) - middle))
		}
		if moment > 0 {
			slope /= moment
		}
		out.Slope = append(out.Slope, slope)
		square += float64(slope * slope)
		r := make([]float64, len(sums))
		for j, sum := range sums {
			r[j] = sum - float64(s.weights[j]*(mean[axis]+float64(slope*(s.slotS(j)-middle))))
		}
		left.sums = append(left.sums, r)
		// Single values about the line: those about the mean, without what the line explains.
		left.squares[axis] = max(s.squares[axis]-float64(total*mean[axis]*mean[axis])-float64(slope*slope*moment), 0)
	}
	worth := left.Worth()
	if !worth.Known || worth.Independent <= 3 || moment == 0 || len(s.sums) != 2 {
		return out
	}
	variance := worth.Variance * total / moment
	f := square / (2 * variance)
	degrees := worth.Independent - 2
	out.PValue = elementary.Exp(-degrees / 2 * elementary.Log(1+2*f/degrees))
	return out
}

// slotS is the middle of a slot.
func (s *Series) slotS(j int) float64 { return float64((float64(j) + 0.5) * s.stepS) }
