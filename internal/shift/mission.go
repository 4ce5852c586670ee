// The two ends of a shift: the mission whose marks were occupied, and the board
// that is to take it.
package shift

import (
	"io"
	"math"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/guidance"
	"merestone/internal/occupy"
	"merestone/internal/plan"
	"merestone/internal/quantity"
)

// Request is what to make a shift of: fixes in a file, or occupations that were made of
// receivers' logs.
type Request struct {
	Name  string    // of the fixes, for findings
	Fixes io.Reader // see ReadRows
	// Occupied are what logs say of marks of the mission, one of each mark; they go before
	// Fixes.
	Occupied []occupy.Result
	// OtherMarks lets marks be used that are no control marks.
	OtherMarks bool
	// EstimateVariance judges by the scatter of the residuals, see Options.
	EstimateVariance bool
}

// Result is a shift and what is to be said of it. Refused says that it must not reach
// the board.
type Result struct {
	Solution Solution
	Board    Board
	Findings []diag.Finding
	// AchievedMM is one standard deviation per axis at the farthest place of route and
	// fence, PlannedMM that with which the mission was checked.
	AchievedMM, PlannedMM float64
	// Occupied are the occupations of logs that it rests on.
	Occupied []occupy.Result
}

// Found says that there is a shift at all, good or bad.
func (r Result) Found() bool { return len(r.Solution.Residuals) > 0 }

// Refused says that the shift must not reach the board.
func (r Result) Refused() bool { return diag.Worst(r.Findings) == diag.Error }

// Find reads fixes on marks of a mission, finds the shift and judges it. Its errors are
// those of ReadRows, Average and Occupations, of fixes that cannot be read; all else is
// a finding.
func Find(p *plan.Plan, q Request) (Result, error) {
	if len(q.Occupied) > 0 {
		return findByLogs(p, q)
	}
	rows, err := ReadRows(q.Fixes)
	if err != nil {
		return Result{}, err
	}
	means, warnings, err := Average(rows, converter(p))
	if err != nil {
		return Result{}, err
	}
	j := newJudgement(p, q.Name, means)
	j.occupations(warnings)
	return findBy(p, q, j)
}

// findBy finds the shift by the means that are judged.
func findBy(p *plan.Plan, q Request, j *judgement) (Result, error) {
	marks := map[string]plan.Mark{}
	for i, m := range p.Survey.Marks {
		m.StdMM = p.MarkStdMM(i)
		marks[m.Name] = m
	}
	occupied, err := Occupations(j.means, marks)
	if err != nil {
		return Result{}, err
	}
	solution, err := Fit(occupied, p.Confidence, Options{Rotation: p.Survey.Base.Rotation, EstimateVariance: q.EstimateVariance})
	if err != nil {
		return Result{}, err
	}
	board := forBoard(solution)
	j.marks(q.OtherMarks)
	j.fit(solution)
	j.rotation(occupied, solution)
	j.uncertainty(occupied, solution)
	j.bound(solution, board)
	diag.Sort(j.findings)
	return Result{solution, board, j.findings, farthestStdMM(p, occupied, solution), p.ShiftStdMM(), q.Occupied}, nil
}

// converter reads an occupation as the mission's marks are read: latitude and
// longitude exactly, at the origin's height, as the board converts fixes.
func converter(p *plan.Plan) Converter {
	// A receiver writes the same uncertainty for fix after fix.
	var lastText string
	var lastMM float64
	return Converter{
		Local: func(r Row) (eastMM, northMM float64, err error) {
			latitude, err := geodesy.ParseLatitude(r.Latitude)
			if err != nil {
				return 0, 0, err
			}
			longitude, err := geodesy.ParseLongitude(r.Longitude)
			if err != nil {
				return 0, 0, err
			}
			local := p.Site.Frame.ToLocal(geodesy.Geodetic{Latitude: latitude.Value, Longitude: longitude.Value, HeightM: p.Site.Origin.HeightM})
			return local.EastM * 1000, local.NorthM * 1000, nil
		},
		Uncertainty: func(text string) (float64, error) {
			if text == lastText && text != "" {
				return lastMM, nil
			}
			v, err := quantity.Parse(text, quantity.Length(0).Dimension())
			if err == nil {
				lastText, lastMM = text, quantity.Length(v).Metres()*1000
			}
			return quantity.Length(v).Metres() * 1000, err
		},
	}
}

// Board is a shift in the board's numbers.
type Board struct{ EastMM, NorthMM, SineQ30 int64 }

// forBoard rounds a shift to the board's numbers.
func forBoard(s Solution) Board {
	return Board{
		EastMM: wholeMM(s.EastMM), NorthMM: wholeMM(s.NorthMM),
		SineQ30: int64(math.Round(elementary.Sin(s.RotationRad) * (1 << 30))),
	}
}

// wholeMM rounds, and bounds what is absurd.
func wholeMM(mm float64) int64 { return int64(math.Round(max(min(mm, 1e12), -1e12))) }

// taken tells whether the board takes the shift, by the limits of
// guidance.Mission.SetShift.
func (b Board) taken(p *plan.Plan) bool {
	limit := int64(p.Board.Tables.Rover.MaxShiftMM)
	return max(b.EastMM, -b.EastMM, b.NorthMM, -b.NorthMM) <= limit && max(b.SineQ30, -b.SineQ30) <= guidance.MaxRotationQ30
}

// SiteShift is what mere_set_shift takes: for the plan with a digest, of a day
// (20260510 for the 10th of May 2026). For a shift that is not refused.
func (b Board) SiteShift(digest [32]byte, day uint32) *guidance.SiteShift {
	return &guidance.SiteShift{Digest: digest, Day: day, EastMM: int32(b.EastMM), NorthMM: int32(b.NorthMM), SineQ30: int32(b.SineQ30)}
}
