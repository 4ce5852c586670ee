// Error budgets, standoffs and stopping distances: how far from where it should
// be the rover can be, and how much room a leg needs for that.
//
// Random parts are independent of each other and given as one standard
// deviation per horizontal axis; they combine as the root of the sum of squares
// (JCGM 100:2008, the GUM, 5.1.2, from memory). The distance from the true place
// of a point with equal, independent normal errors along two axes follows the
// Rayleigh distribution, so that it stays within
//
//	k·σ,  k = sqrt(-2 ln(1 - p))
//
// with probability p: 2.4477 for 95 %. Systematic parts are bounds that may act
// in full at any time; they are added as they are.
package plan

import (
	"math"
	"slices"

	"merestone/internal/elementary"
	"merestone/internal/fence"
	"merestone/internal/geodesy"
	"merestone/internal/quantity"
)

// Nature is how an error behaves from fix to fix during one drive.
type Nature uint8

// The natures of an error.
const (
	// Noise is drawn anew from fix to fix, with whatever time it takes to change.
	Noise Nature = iota
	// Bias is drawn once and stays for the whole drive.
	Bias
	// Limit is no random quantity: it may act in full at any time.
	Limit
)

// Part is one source of error of a horizontal position, and one line of an error
// budget. Noise and bias have StdMM, the same along both axes and independent
// between them; a limit has BoundMM.
type Part struct {
	Name    string
	Nature  Nature
	StdMM   float64 // one standard deviation per horizontal axis
	BoundMM float64 // of the length of the error
}

// Budget is an error budget of a horizontal position.
type Budget struct {
	Parts   []Part
	Factor  float64 // radial factor k for the confidence
	TotalMM int64   // k·sqrt(ΣStd²) + ΣBound, rounded up
}

// Largest is the part that adds the most on its own.
func (b Budget) Largest() Part {
	largest, most := Part{}, 0.0
	for _, p := range b.Parts {
		if mm := float64(b.Factor*p.StdMM) + p.BoundMM; mm > most {
			largest, most = p, mm
		}
	}
	return largest
}

func newBudget(confidence float64, parts ...Part) Budget {
	b := Budget{Parts: nonzero(parts), Factor: quantity.RadialFactor(confidence)}
	squares, bounds := 0.0, 0.0
	for _, p := range b.Parts {
		squares += float64(p.StdMM * p.StdMM)
		bounds += p.BoundMM
	}
	// A hair is taken off before rounding up, so that an exact 70 mm that the
	// floats make 70.000000000001 does not become 71.
	b.TotalMM = int64(math.Ceil(float64(b.Factor*math.Sqrt(squares)) + bounds - 1e-6))
	return b
}

// quantisationMM is how far rounding to whole millimetres can move a point:
// half a millimetre along each axis.
const quantisationMM = 0.7072

// tiltName is that of a part which the line reckons with, too.
const tiltName = "antenna tilt"

// errors works out the error model: what every position of the rover may be off
// by, apart from the marks it is compared with.
func (r *resolver) errors() {
	p, rover := r.p, r.p.Machine.Rover
	arm := elementary.Hypot(float64(rover.AntennaForwardMM), float64(rover.AntennaRightMM))
	p.Errors = nonzero(append([]Part{
		{Name: "receiver", Nature: Noise, StdMM: p.Machine.Receiver.StdMM},
		{Name: "antenna lever arm", Nature: Bias, StdMM: arm * rover.HeadingStdDeg * math.Pi / 180},
		{Name: tiltName, Nature: Limit, BoundMM: float64(rover.AntennaHeightMM) * elementary.Sin(rover.TiltDeg*math.Pi/180)},
		{Name: "conversion on the board", Nature: Limit, BoundMM: float64(p.Board.Tables.Conversion.BoundUM) / 1000},
		{Name: "whole millimetres", Nature: Limit, BoundMM: quantisationMM},
	}, p.shiftParts()...))
}

func nonzero(parts []Part) []Part {
	return slices.DeleteFunc(parts, func(p Part) bool { return p.StdMM == 0 && p.BoundMM == 0 })
}

// waypointBudget bounds the distance of the antenna from where the mark is on
// the ground, when the board believes to be on it.
func (p *Plan) waypointBudget(mark int) Budget {
	parts := append(slices.Clone(p.Errors), p.anewPart(), Part{Name: "mark", Nature: Bias, StdMM: p.Survey.Marks[mark].StdMM}, p.digitPart(p.Survey.Marks[mark].Resolution))
	return newBudget(p.Confidence, parts...)
}

// crossRoundingMM is how far beyond the allowed cross-track the rover can be
// before the board, which rounds to whole millimetres, notices.
const crossRoundingMM = 1

// fenceBudget bounds the error of the distance between the rover and an edge of the
// fence whose marks have a standard deviation: what the board allows for, and by how much the margin that it reads
// from its table can be too small. With both in the standoff, a leg that keeps
// it does not trip the board's guard in ordinary driving.
func (p *Plan) fenceBudget(stdMM float64) Budget {
	parts := append(p.fenceParts(stdMM), Part{Name: "fence table on the board", Nature: Limit, BoundMM: float64(p.fenceSlackMM())})
	return newBudget(p.Confidence, parts...)
}

// fenceSlackMM is by how much the margin that the board reads can be too small, and how
// far off the line the rover may be before it notices.
func (p *Plan) fenceSlackMM() int64 { return int64(p.Board.Tables.Fence.SlackMM) + crossRoundingMM }

// boardBudget is what the board allows for the error of its distance from the
// fence, at the coarsest of its marks.
func (p *Plan) boardBudget() Budget {
	worst := 0.0
	for _, m := range p.Fence.Marks() {
		worst = max(worst, p.MarkStdMM(m.Number))
	}
	return newBudget(p.Confidence, p.fenceParts(worst)...)
}

// fenceParts are the receiver's errors and those of marks of the fence. The leg's own
// marks do not count: their coordinates are what the board steers by.
func (p *Plan) fenceParts(stdMM float64) []Part {
	return append(slices.Clone(p.Errors), Part{Name: "fence marks", Nature: Bias, StdMM: stdMM})
}

// positions works out the budget of every mark of the fence.
func (p *Plan) positions() {
	p.positionMM, p.coarsestMM, p.finestMM = make([]int64, len(p.Survey.Marks)), 0, 0
	known := map[float64]int64{}
	for i, m := range p.Fence.Marks() {
		std := p.MarkStdMM(m.Number)
		if _, ok := known[std]; !ok {
			known[std] = p.fenceBudget(std).TotalMM
		}
		mm := known[std]
		p.positionMM[m.Number] = mm
		p.coarsestMM = max(p.coarsestMM, mm)
		if i == 0 || mm < p.finestMM {
			p.finestMM = mm
		}
	}
}

// edgePositionMM is the budget of the distance from an edge: between two marks no point
// of it is less sure than the coarser of them.
func (p *Plan) edgePositionMM(e fence.Edge) int64 {
	ends := p.Fence.Ends(e)
	return max(p.positionMM[ends[0].Number], p.positionMM[ends[1].Number])
}

// PositionParts are the error budget of the distance from an edge, part by part.
func (p *Plan) PositionParts(e fence.Edge) Budget {
	ends := p.Fence.Ends(e)
	return p.fenceBudget(max(p.MarkStdMM(ends[0].Number), p.MarkStdMM(ends[1].Number)))
}

// digitPart is what writing a mark to so many digits adds: an error spread evenly
// over one unit s of the last digit has the standard deviation s/sqrt(12) (GUM,
// 4.3.7, from memory), on a circle of the larger radius of curvature. Below a tenth of a millimetre it is left out.
func (p *Plan) digitPart(resolution geodesy.Nanodegree) Part {
	mm := resolution.Radians() * geodesy.PrimeVerticalRadius(p.Site.Origin.Latitude) * 1000 / math.Sqrt(12)
	if mm < 0.1 {
		return Part{}
	}
	return Part{Name: "mark's last written digit", Nature: Bias, StdMM: mm}
}
