// One occupation from many fixes on a mark: the mean, and how far to trust it.
//
// The textbook's standard deviation of the mean, scatter/√n, holds for
// independent fixes. Fixes taken one after the other are not: their errors drift
// over seconds to minutes, and a thousand of them may be worth ten. So the
// correlation ρ of each fix with the next is estimated, and n is replaced by the
// number of independent fixes that would be as good,
//
//	n (1-ρ)/(1+ρ),
//
// which is right for errors that fade exponentially (a first-order
// autoregressive process; the formula is standard, from memory, and the tests
// prove it by simulation). Errors that drift more slowly than the occupation
// lasts do not show in it at all; against these only a stated uncertainty helps,
// or a second occupation at another hour (common practice, no source).
package shift

import (
	"errors"
	"fmt"
	"math"

	"merestone/internal/elementary"
	"merestone/internal/plan"
)

// Converter reads what a Row holds as text.
type Converter struct {
	// Local returns a fix in the mission's local frame, in millimetres.
	Local func(Row) (eastMM, northMM float64, err error)
	// Uncertainty returns the millimetres of a length such as "2 cm", one
	// standard deviation in each axis.
	Uncertainty func(text string) (mm float64, err error)
}

// Mean is what the fixes on one mark gave.
type Mean struct {
	Name string
	// Line is that of the mark's first row.
	Line int
	// Fixes were averaged; they are worth IndependentFixes independent ones
	// (zero when there are too few to tell).
	Fixes            int
	IndependentFixes float64
	EastMM, NorthMM  float64
	// ScatterMM is the standard deviation of a single fix in each axis, zero
	// with one fix.
	ScatterMM float64
	// StatedMM is the uncertainty given in the file, zero if none.
	StatedMM float64
	// StdMM is one standard deviation of the mean, in each axis: the larger of
	// what the scatter shows and what is stated, as averaging does not lessen
	// the errors that all fixes share.
	StdMM float64
}

// Warning is a doubt about one mark's occupation.
type Warning struct {
	Line int
	Mark string
	Text string
}

// minFixesForCorrelation is how many fixes it takes to say anything of their
// correlation: with n fixes its estimate is good to about 1/√n.
const minFixesForCorrelation = 10

// Average makes one mean of the rows of each mark, in the order in which the
// marks first come. Rows of one mark are taken to be in order of time.
//
// It returns every fault of the rows as a *LineError, joined, up to the first
// twenty: a value that the converter refuses, an uncertainty that is not
// positive or is given for some rows of a mark only, or a mark with a single fix
// and no stated uncertainty, about which nothing could be said.
func Average(rows []Row, convert Converter) ([]Mean, []Warning, error) {
	type group struct {
		first Row
		fixes []point
		// stated counts rows with an uncertainty; squares sums their squares.
		stated  int
		squares float64
		bad     bool
	}
	var order []*group
	groups := make(map[string]*group)
	var errs []error
	for _, row := range rows {
		if len(errs) == maxErrors {
			break
		}
		g := groups[row.Name]
		if g == nil {
			if len(order) == maxOccupied {
				errs = append(errs, &LineError{row.Line, fmt.Sprintf("fixes on more than %d marks", maxOccupied)})
				break
			}
			g = &group{first: row}
			groups[row.Name] = g
			order = append(order, g)
		}
		fail := func(format string, args ...any) {
			g.bad = true
			errs = append(errs, &LineError{row.Line, fmt.Sprintf("mark %s: ", row.Name) + fmt.Sprintf(format, args...)})
		}
		east, north, err := convert.Local(row)
		if err != nil {
			fail("%v", err)
			continue
		}
		g.fixes = append(g.fixes, point{east, north})
		if row.Uncertainty == "" {
			continue
		}
		mm, err := convert.Uncertainty(row.Uncertainty)
		switch {
		case err != nil:
			fail("%v", err)
		case !(mm > 0):
			fail("uncertainty %q is not more than zero", row.Uncertainty)
		}
		g.stated++
		g.squares += float64(mm * mm)
	}

	var means []Mean
	var warnings []Warning
	for _, g := range order {
		if g.bad || len(errs) >= maxErrors {
			continue // its faults are told already
		}
		fail := func(text string) {
			errs = append(errs, &LineError{g.first.Line, "mark " + g.first.Name + ": " + text})
		}
		if g.stated != 0 && g.stated != len(g.fixes) {
			fail(fmt.Sprintf("an uncertainty is given for %d of its %d fixes; give it for all or none", g.stated, len(g.fixes)))
			continue
		}
		if g.stated == 0 && len(g.fixes) == 1 {
			fail("a single fix without an uncertainty; take more fixes or state one")
			continue
		}
		mean := average(g.fixes)
		mean.Name, mean.Line = g.first.Name, g.first.Line
		if g.stated > 0 {
			mean.StatedMM = math.Sqrt(g.squares / float64(g.stated))
		}
		fromScatter := mean.StdMM
		mean.StdMM = math.Max(fromScatter, mean.StatedMM)
		if !(mean.StdMM > 0) {
			fail("all fixes are equal and no uncertainty is stated; the receiver may be repeating one fix")
			continue
		}
		means = append(means, mean)
		for _, text := range doubts(mean, fromScatter) {
			warnings = append(warnings, Warning{Line: mean.Line, Mark: mean.Name, Text: text})
		}
	}
	if len(errs) > 0 {
		return nil, nil, errors.Join(errs...)
	}
	return means, warnings, nil
}

// average computes the mean and its standard deviation from the scatter alone.
func average(fixes []point) Mean {
	n := float64(len(fixes))
	m := Mean{Fixes: len(fixes)}
	// Differences to the first fix keep their digits.
	var sum point
	for _, f := range fixes {
		d := f.minus(fixes[0])
		sum.east += d.east
		sum.north += d.north
	}
	mean := point{fixes[0].east + sum.east/n, fixes[0].north + sum.north/n}
	m.EastMM, m.NorthMM = mean.east, mean.north

	var squares, products float64
	for i, f := range fixes {
		d := f.minus(mean)
		squares += d.square()
		if i > 0 {
			before := fixes[i-1].minus(mean)
			products += float64(d.east*before.east) + float64(d.north*before.north)
		}
	}
	if squares == 0 {
		return m
	}
	m.ScatterMM = math.Sqrt(squares / (2 * (n - 1)))
	if len(fixes) < minFixesForCorrelation {
		m.StdMM = m.ScatterMM // as if the fixes were worth a single one
		return m
	}
	m.IndependentFixes = independent(products/squares, n)
	// The squares about the mean are too small by the variance of the mean
	// itself: their expectation is 2n σ²(1 - 1/m) for m independent fixes, and
	// the variance of the mean σ²/m. For m = n this is the textbook's formula.
	m.StdMM = math.Sqrt(squares / (2 * n) / (m.IndependentFixes - 1))
	return m
}

// independent returns the number of independent fixes that n fixes with an
// observed correlation are worth: at least two, at most n.
func independent(observed, n float64) float64 {
	// Taking the mean away makes the observed correlation of n fixes too small
	// by about (1+3ρ)/n (from memory). Without this a short occupation would
	// state too small an uncertainty; with it the tests find one too large.
	rho := (observed + 1/n) / (1 - 3/n)
	if rho >= 1 {
		return 2
	}
	rho = math.Max(rho, 0)
	return math.Max(2, n*(1-rho)/(1+rho))
}

// doubts says what a surveyor should think of before trusting a mean.
func doubts(m Mean, fromScatter float64) []string {
	var out []string
	if m.Fixes > 1 && m.Fixes < minFixesForCorrelation && m.StatedMM == 0 {
		out = append(out, fmt.Sprintf("%d fixes are too few to judge; the scatter of a single fix, %.1f mm, is used as the uncertainty of their mean", m.Fixes, m.ScatterMM))
	}
	if m.IndependentFixes > 0 && m.IndependentFixes < float64(m.Fixes)/2 {
		out = append(out, fmt.Sprintf("%d fixes in a row are correlated and worth about %.0f independent ones", m.Fixes, m.IndependentFixes))
	}
	if m.StatedMM == 0 && m.Fixes > 1 {
		out = append(out, "errors that drift more slowly than the occupation lasted do not show in its scatter; state the receiver's uncertainty, or occupy the mark again at another hour")
	}
	if m.StatedMM > 0 && fromScatter > m.StatedMM {
		out = append(out, fmt.Sprintf("the fixes scatter more than their stated uncertainty lets expect: their mean is uncertain by %.1f mm, not %.1f mm", fromScatter, m.StatedMM))
	}
	return out
}

// Occupations joins today's means with the marks' known coordinates, and their
// uncertainties as independent ones: the square root of the sum of squares.
// Marks that the mission does not have are returned as one joined error of
// *LineError, up to the first twenty.
func Occupations(means []Mean, marks map[string]plan.Mark) ([]Occupation, error) {
	var out []Occupation
	var errs []error
	for _, m := range means {
		known, ok := marks[m.Name]
		if !ok {
			if len(errs) < maxErrors {
				errs = append(errs, &LineError{m.Line, fmt.Sprintf("mark %s is not a mark of the mission", m.Name)})
			}
			continue
		}
		out = append(out, Occupation{
			Name:        m.Name,
			KnownEastMM: float64(known.Point.E), KnownNorthMM: float64(known.Point.N),
			TodayEastMM: m.EastMM, TodayNorthMM: m.NorthMM,
			StdMM: elementary.Hypot(known.StdMM, m.StdMM),
		})
	}
	if len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	return out, nil
}
