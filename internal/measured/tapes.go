// Distances from several marks. Two give the place where their circles cross, on the side
// that is said; of more the best fit is taken, by weighted least squares, and how well
// they fit is tested.
//
// With w_i = G_i⁻¹(p - b_i), the way on the ground from mark i, the distance there is
// |w_i| and grows along a_i = G_i⁻ᵀ w_i/|w_i|. The misclosures l_i = s_i - |w_i| have to
// first order
//
//	δl_i = δs_i + a_i·δb_i - a_i·δp
//
// so that, with A the rows a_iᵀ and C the covariance of δs_i + a_i·δb_i, the best fit is
//
//	δp = K (δs + a·δb),  K = (AᵀC⁻¹A)⁻¹AᵀC⁻¹,  χ² = vᵀC⁻¹v
//
// with v the misclosures that are left. C has the marks' own uncertainties in it, and how
// they move together. What moves all of them alike, by some δb with the covariance Σ, moves
// the place with them: K and χ² are the same for C and C + AΣAᵀ. It is left out of C, since
// at a place a little aside the two are no longer the same: of a base that is off by a metre
// a thousandth of a radian would be a millimetre, and weigh like one. χ² follows a chi-squared distribution with n - 2 degrees of freedom
// where the uncertainties are as stated. A misclosure v_i alone has the variance
// (C - A(AᵀC⁻¹A)⁻¹Aᵀ)_ii: that tape is named of which it is largest against its root.
package measured

import (
	"fmt"
	"math"
	"slices"

	"merestone/internal/elementary"
)

// Tapes are distances from marks. Ground is of each; Left says that the place lies left
// of the way from the first mark to the second, which more than two tell by themselves
// where their marks are not in one line (Fit.BesideMM).
type Tapes struct {
	Ground []Matrix
	Left   bool

	weights [][]float64 // C⁻¹
	start   Vector
}

// ErrApart is that of two tapes whose circles do not meet: what is missing, and one
// standard deviation of that. Inside says that one circle lies within the other.
type ErrApart struct {
	GapMM, StdMM float64
	Inside       bool
	ApartMM      float64 // distance of the two marks, on the ground
}

func (e ErrApart) Error() string {
	return fmt.Sprintf("the circles miss each other by %.0f mm", e.GapMM)
}

// crossing is where two of the circles cross, in the plane without much regard to the
// ground: with d the distance of the marks, x = (d² + r0² - r1²)/2d along the way between
// them and y = sqrt(r0² - x²) across it, to one side or the other.
func (f Tapes) crossing(bases []Vector, values []float64, i, j int, left bool) (p Vector, ok bool) {
	way := bases[j].minus(bases[i])
	d := way.length()
	if d == 0 {
		return Vector{}, false
	}
	forward := way.times(1 / d)
	scale := func(k int) float64 { return 1 / f.Ground[k].inverse().apply(forward).length() }
	r0, r1 := float64(values[i]*scale(i)), float64(values[j]*scale(j))
	x := float64(d/2) + float64((r0-r1)*(r0+r1))/(2*d)
	square := float64((r0 - x) * (r0 + x))
	if !(square > 0) {
		return Vector{}, false
	}
	y := math.Sqrt(square)
	if left {
		y = -y
	}
	return bases[i].along(forward, x).along(forward.right(), y), true
}

// isLeft reports on which side of the way from the first mark to the second a place is.
func (f Tapes) isLeft(bases []Vector, p Vector) bool {
	return bases[1].minus(bases[0]).right().dot(p.minus(bases[0])) < 0
}

// first is a place to begin from. Two tapes have it where their circles cross on the side
// that is said; of more, any two may hardly meet, and that crossing is taken which leaves
// the least misclosures, on that side if there is one.
func (f Tapes) first(bases []Vector, values []float64) (best Vector, ok bool) {
	if len(bases) == 2 {
		return f.crossing(bases, values, 0, 1, f.Left)
	}
	least, sided := 0.0, false
	for j := range bases {
		for i := range j {
			for _, left := range []bool{true, false} {
				p, meets := f.crossing(bases, values, i, j, left)
				if !meets {
					continue
				}
				_, lengths := f.directions(bases, p)
				cost := 0.0
				for k, length := range lengths {
					cost += float64((values[k] - length) * (values[k] - length))
				}
				if side := f.isLeft(bases, p) == f.Left; !ok || side && !sided || side == sided && cost < least {
					best, ok, least, sided = p, true, cost, side
				}
			}
		}
	}
	return best, ok
}

// gap says by how much two circles miss each other.
func (f Tapes) gap(n *Net, bases []Place, readings []Reading) error {
	way := bases[1].minus(bases[0].Vector)
	d := f.Ground[0].inverse().apply(way).length()
	if d == 0 {
		return ErrNoLine{}
	}
	r0, r1 := readings[0].Value, readings[1].Value
	e := ErrApart{GapMM: d - r0 - r1, ApartMM: d}
	if within := math.Abs(r0-r1) - d; within > e.GapMM {
		e.GapMM, e.Inside = within, true
	}
	between := n.Between(bases[0], bases[1])
	e.StdMM = math.Sqrt(float64(between*between) + float64(n.std[readings[0].Input]*n.std[readings[0].Input]) + float64(n.std[readings[1].Input]*n.std[readings[1].Input]))
	return e
}

func (f Tapes) settle(n *Net, bases []Place, readings []Reading) (Form, Vector, error) {
	places, values := make([]Vector, len(bases)), make([]float64, len(readings))
	for i, b := range bases {
		places[i], values[i] = b.Vector, readings[i].Value
	}
	p, ok := f.first(places, values)
	if !ok {
		return nil, Vector{}, f.gap(n, bases, readings)
	}
	for range 2 { // the weights hang on the place by the directions of the tapes
		f.start = p
		weights, ok := inverse(f.covariance(n, bases, readings, p))
		if !ok {
			return nil, Vector{}, ErrWeak{Departure: math.Inf(1)}
		}
		f.weights = weights
		if p, ok = f.at(places, values); !ok {
			return nil, Vector{}, ErrWeak{Departure: math.Inf(1)}
		}
	}
	f.start = p
	return f, p, nil
}

// covariance is C at a place, without what moves all bases alike.
func (f Tapes) covariance(n *Net, bases []Place, readings []Reading, p Vector) [][]float64 {
	places := make([]Vector, len(bases))
	for i, b := range bases {
		places[i] = b.Vector
	}
	directions, _ := f.directions(places, p)
	alike := movingAlike(bases)
	apart := func(input int) bool { return !alike[input] }
	c := make([][]float64, len(bases))
	for i := range bases {
		c[i] = make([]float64, len(bases))
		for j := range bases {
			c[i][j] = directions[i].dot(n.Covariance(bases[i], bases[j], apart).apply(directions[j]))
		}
		std := n.std[readings[i].Input]
		c[i][i] += float64(std * std)
	}
	return c
}

// movingAlike are the inputs with which all places move by the same, but for rounding.
func movingAlike(places []Place) map[int]bool {
	alike := map[int]bool{}
	for _, t := range places[0].Terms {
		alike[t.Input] = !slices.ContainsFunc(places[1:], func(p Place) bool { return p.by(t.Input).minus(t.By).length() > 1e-9 })
	}
	return alike
}

// directions are a_i and |w_i|.
func (f Tapes) directions(bases []Vector, p Vector) (directions []Vector, lengths []float64) {
	for i, b := range bases {
		ground := f.Ground[i].inverse()
		way := ground.apply(p.minus(b))
		lengths = append(lengths, way.length())
		directions = append(directions, ground.transposed().apply(way.times(1/way.length())))
	}
	return directions, lengths
}

// at repeats δp = K l from where it began, and is false where that leads nowhere, or over
// to the other side of the only two marks.
func (f Tapes) at(bases []Vector, values []float64) (Vector, bool) {
	const enough, most = 1e-6, 50 // millimetres, steps
	p := f.start
	for range most {
		directions, lengths := f.directions(bases, p)
		k, _, ok := f.solver(directions)
		if !ok {
			return p, false
		}
		var step Vector
		for i := range bases {
			step = step.along(k[i], values[i]-lengths[i])
		}
		p = p.plus(step)
		if size := step.length(); size <= enough {
			return p, len(bases) > 2 || f.isLeft(bases, p) == f.Left
		} else if !(size < 1e12) {
			break
		}
	}
	return p, false
}

// solver is K by its columns, and (AᵀC⁻¹A)⁻¹.
func (f Tapes) solver(directions []Vector) (k []Vector, cofactor Matrix, ok bool) {
	var normal Matrix
	weighted := make([]Vector, len(directions)) // rows of C⁻¹A
	for i := range directions {
		for j, d := range directions {
			weighted[i] = weighted[i].along(d, f.weights[i][j])
		}
		normal.EastByEast += float64(directions[i].East * weighted[i].East)
		normal.EastByNorth += float64(directions[i].East * weighted[i].North)
		normal.NorthByEast += float64(directions[i].North * weighted[i].East)
		normal.NorthByNorth += float64(directions[i].North * weighted[i].North)
	}
	determinant := float64(normal.EastByEast*normal.NorthByNorth) - float64(normal.EastByNorth*normal.NorthByEast)
	if !(determinant > 1e-12*normal.EastByEast*normal.NorthByNorth) {
		return nil, Matrix{}, false // all tapes along one line
	}
	cofactor = normal.inverse()
	for _, w := range weighted {
		k = append(k, cofactor.apply(w))
	}
	return k, cofactor, true
}

// slopes are those of the place at which Σ a_i q_i = 0, with q = C⁻¹v. There a_i turns
// with its way, ∂a_i/∂p = H_i = (G_i⁻ᵀG_i⁻¹ - a_i a_iᵀ)/|w_i|, so that, with C held,
//
//	(AᵀC⁻¹A - Σ q_i H_i) δp = AᵀC⁻¹ δs + Σ ((AᵀC⁻¹)_i a_iᵀ - q_i H_i) δb_i
//
// which is K where nothing is left over, as of two tapes.
func (f Tapes) slopes(bases []Vector, values []float64, p Vector) (byBase []Matrix, byReading []Vector) {
	directions, lengths := f.directions(bases, p)
	_, cofactor, _ := f.solver(directions)
	normal := cofactor.inverse()
	rows := make([]Vector, len(bases)) // of C⁻¹A
	bent := make([]Matrix, len(bases)) // q_i H_i
	for i, a := range directions {
		q := 0.0
		for j, d := range directions {
			rows[i] = rows[i].along(d, f.weights[i][j])
			q += float64(f.weights[i][j] * (values[j] - lengths[j]))
		}
		ground := f.Ground[i].inverse()
		bent[i] = ground.transposed().after(ground).Plus(outer(a, a).scaled(-1)).scaled(q / lengths[i])
		normal = normal.Plus(bent[i].scaled(-1))
	}
	solve := normal.inverse()
	for i, row := range rows {
		byReading = append(byReading, solve.apply(row))
		byBase = append(byBase, solve.after(outer(row, directions[i]).Plus(bent[i].scaled(-1))))
	}
	return byBase, byReading
}

// Fit is how well more than two tapes fit.
type Fit struct {
	ChiSquared float64
	Freedom    int // degrees of: 0 where there is nothing to test
	// Worst is the tape whose misclosure is largest against its own standard deviation,
	// OffMM that misclosure (the tape reads so much more than the place is away) and
	// Times how many of these.
	Worst        int
	OffMM, Times float64
	// BesideMM is how far the place is from the line of the first two marks, on the side
	// that is not the one said; 0 where it is the one.
	BesideMM float64
}

// Fit tests the tapes of a place that Measure gave.
func (n *Net) Fit(form Tapes, bases []Place, readings []Reading) (Fit, error) {
	settled, p, err := form.settle(n, bases, readings)
	if err != nil {
		return Fit{}, err
	}
	f := settled.(Tapes)
	places := make([]Vector, len(bases))
	for i, b := range bases {
		places[i] = b.Vector
	}
	directions, lengths := f.directions(places, p)
	_, cofactor, _ := f.solver(directions)
	c := f.covariance(n, bases, readings, p)
	fit := Fit{Freedom: len(bases) - 2}
	if f.isLeft(places, p) != f.Left {
		way := places[1].minus(places[0])
		fit.BesideMM = math.Abs(way.right().dot(p.minus(places[0]))) / way.length()
	}
	for i := range bases {
		off := readings[i].Value - lengths[i]
		for j := range bases {
			fit.ChiSquared += float64(off * f.weights[i][j] * (readings[j].Value - lengths[j]))
		}
		left := c[i][i] - directions[i].dot(cofactor.apply(directions[i]))
		if times := math.Abs(off) / math.Sqrt(left); left > 1e-9*c[i][i] && times > fit.Times {
			fit.Worst, fit.OffMM, fit.Times = i, off, times
		}
	}
	return fit, nil
}

// inverse is that of a covariance, by Cholesky's square root; false where it has none.
func inverse(c [][]float64) ([][]float64, bool) {
	n := len(c)
	root := make([][]float64, n) // lower triangle
	for i := range n {
		root[i] = make([]float64, n)
		for j := range i + 1 {
			sum := c[i][j]
			for k := range j {
				sum -= float64(root[i][k] * root[j][k])
			}
			switch {
			case i != j:
				root[i][j] = sum / root[j][j]
			case sum > 0:
				root[i][i] = math.Sqrt(sum)
			default:
				return nil, false
			}
		}
	}
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, n)
	}
	for column := range n {
		x := make([]float64, n)
		for i := range n { // forwards
			sum := 0.0
			if i == column {
				sum = 1
			}
			for k := range i {
				sum -= float64(root[i][k] * x[k])
			}
			x[i] = sum / root[i][i]
		}
		for i := n - 1; i >= 0; i-- { // and back
			sum := x[i]
			for k := i + 1; k < n; k++ {
				sum -= float64(root[k][i] * x[k])
			}
			x[i] = sum / root[i][i]
			out[i][column] = x[i]
		}
	}
	return out, true
}

// Exceeded is the probability with which chi squared of so many degrees of freedom is
// more than x, where the uncertainties are as stated: for even ones
//
//	exp(-x/2) Σ (x/2)^k/k!,  k = 0 ... ν/2-1
//
// and for odd ones erfc(sqrt(x/2)) + exp(-x/2) Σ (x/2)^(k+1/2)/Γ(k+3/2), k = 0 ... (ν-3)/2
// (the incomplete gamma function of half a whole number, by parts).
func (f Fit) Exceeded() float64 {
	half := max(f.ChiSquared, 0) / 2
	if half > 600 {
		return 0 // to all the digits that count
	}
	power := elementary.Exp(-half)
	if f.Freedom%2 == 0 {
		sum := 0.0
		for k := range f.Freedom / 2 {
			if k > 0 {
				power = float64(power * half / float64(k))
			}
			sum += power
		}
		return sum
	}
	sum := math.Erfc(math.Sqrt(half))
	term := float64(power * math.Sqrt(4*half/math.Pi)) // Γ(3/2) = sqrt(π)/2
	for k := range (f.Freedom - 1) / 2 {
		if k > 0 {
			term = float64(term * half / (float64(k) + 0.5))
		}
		sum += term
	}
	return sum
}
