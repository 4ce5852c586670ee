// The two ends of a shift: the mission whose marks were occupied, and the board
// that is to take it.
package shift

import (
	"fmt"
	"io"
	"math"

	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/guidance"
	"merestone/internal/plan"
	"merestone/internal/quantity"
)

// ReadOccupations reads a file of fixes on marks of a mission. Its errors are
// those of ReadRows, Average and Occupations; warnings come beside those of the
// last, too.
func ReadOccupations(fixes io.Reader, p *plan.Plan) ([]Occupation, []Warning, error) {
	rows, err := ReadRows(fixes)
	if err != nil {
		return nil, nil, err
	}
	means, warnings, err := Average(rows, converter(p))
	if err != nil {
		return nil, nil, err
	}
	marks := map[string]plan.Mark{}
	for _, m := range p.Survey.Marks {
		marks[m.Name] = m
	}
	occupied, err := Occupations(means, marks)
	return occupied, warnings, err
}

// converter reads an occupation as the mission's marks are read: latitude and
// longitude exactly, at the origin's height, as the board converts fixes.
func converter(p *plan.Plan) Converter {
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
			v, err := quantity.Parse(text, quantity.Length(0).Dimension())
			return quantity.Length(v).Metres() * 1000, err
		},
	}
}

// Board is what mere_set_shift takes.
type Board struct{ EastMM, NorthMM, SineQ30 int64 }

// ForBoard rounds a shift to the board's numbers. An error says that the board
// refuses them, by the limits of guidance.Mission.SetShift.
func ForBoard(p *plan.Plan, s Solution) (Board, error) {
	b := Board{
		EastMM: int64(math.Round(s.EastMM)), NorthMM: int64(math.Round(s.NorthMM)),
		SineQ30: int64(math.Round(elementary.Sin(s.RotationRad) * (1 << 30))),
	}
	limit := int64(p.Board.Tables.Rover.MaxShiftMM)
	if max(b.EastMM, -b.EastMM, b.NorthMM, -b.NorthMM) > limit || max(b.SineQ30, -b.SineQ30) > guidance.MaxRotationQ30 {
		return b, fmt.Errorf("the board takes at most %d mm of shift and 1 deg of rotation: occupy the marks again, and check that they are the mission's", limit)
	}
	return b, nil
}
