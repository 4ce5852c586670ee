// The forms of measurement of which readings and place are as many: a step east and
// north, a ray, a place beside a line. Ground is the plane of the ground at the mark that
// a distance starts from: metres along its meridian and across it, in metres of the frame.
package measured

import "merestone/internal/elementary"

// Step is east and north from a mark, along the axes of the frame: p = b + (e, n).
type Step struct{}

func (f Step) settle(_ *Net, bases []Place, readings []Reading) (Form, Vector, error) {
	return f, bases[0].plus(Vector{readings[0].Value, readings[1].Value}), nil
}

func (Step) at(bases []Vector, values []float64) (Vector, bool) {
	return bases[0].plus(Vector{values[0], values[1]}), true
}

func (Step) slopes([]Vector, []float64, Vector) ([]Matrix, []Vector) {
	return []Matrix{Same()}, []Vector{{East: 1}, {North: 1}}
}

// Ray is a bearing and a distance from a mark. Its readings are the distance and what the
// bearing is the sum of: a true bearing, or a magnetic one and the declination.
//
//	p = b + G s (sin β, cos β),  β = Σ β_i
//	∂p/∂s = G (sin β, cos β),  ∂p/∂β_i = G s (cos β, -sin β),  ∂p/∂b = 1
type Ray struct{ Ground Matrix }

func (f Ray) settle(_ *Net, bases []Place, readings []Reading) (Form, Vector, error) {
	values := make([]float64, len(readings))
	for i, r := range readings {
		values[i] = r.Value
	}
	p, _ := f.at([]Vector{bases[0].Vector}, values)
	return f, p, nil
}

func bearing(values []float64) (direction Vector) {
	sum := 0.0
	for _, v := range values[1:] {
		sum += v
	}
	sin, cos := elementary.Sincos(sum)
	return Vector{sin, cos}
}

func (f Ray) at(bases []Vector, values []float64) (Vector, bool) {
	return bases[0].plus(f.Ground.apply(bearing(values).times(values[0]))), true
}

func (f Ray) slopes(_ []Vector, values []float64, _ Vector) ([]Matrix, []Vector) {
	direction := bearing(values)
	by := []Vector{f.Ground.apply(direction)}
	for range values[1:] {
		by = append(by, f.Ground.apply(direction.right().times(values[0])))
	}
	return []Matrix{Same()}, by
}

// Line is a place beside the line from one mark towards another: so far along it from the
// first, and so far right of it. With w = G⁻¹(b1 - b0), the way between the marks on the
// ground, L its length, g = w/L and r = (g_n, -g_e), to the right of it,
//
//	p = b0 + G (c g + d r)
//
// The line turns by δθ = r·δw/L, which turns g into r and r into -g, so that with
// t = G (c r - d g)
//
//	∂p/∂b1 = t (G⁻ᵀ r)ᵀ / L,  ∂p/∂b0 = 1 - ∂p/∂b1,  ∂p/∂c = G g,  ∂p/∂d = G r
//
// What is beyond the far mark, c > L, moves by more than that mark does.
type Line struct{ Ground Matrix }

func (f Line) settle(_ *Net, bases []Place, readings []Reading) (Form, Vector, error) {
	p, ok := f.at([]Vector{bases[0].Vector, bases[1].Vector}, []float64{readings[0].Value, readings[1].Value})
	if !ok {
		return nil, Vector{}, ErrNoLine{}
	}
	return f, p, nil
}

// ErrNoLine is that of a line between two marks at one place.
type ErrNoLine struct{}

func (ErrNoLine) Error() string { return "the two marks are at one place" }

func (f Line) axes(bases []Vector) (forward, right Vector, length float64) {
	way := f.Ground.inverse().apply(bases[1].minus(bases[0]))
	length = way.length()
	forward = way.times(1 / length)
	return forward, forward.right(), length
}

func (f Line) at(bases []Vector, values []float64) (Vector, bool) {
	forward, right, length := f.axes(bases)
	return bases[0].plus(f.Ground.apply(forward.times(values[0]).along(right, values[1]))), length > 0
}

func (f Line) slopes(bases []Vector, values []float64, _ Vector) ([]Matrix, []Vector) {
	forward, right, length := f.axes(bases)
	turn := f.Ground.apply(right.times(values[0]).along(forward, -values[1]))
	across := f.Ground.inverse().transposed().apply(right).times(1 / length)
	far := outer(turn, across)
	near := Matrix{1 - far.EastByEast, -far.EastByNorth, -far.NorthByEast, 1 - far.NorthByNorth}
	return []Matrix{near, far}, []Vector{f.Ground.apply(forward), f.Ground.apply(right)}
}
