// Marks that were measured from others, with what is known of their places: as a table,
// and for programs.
package report

import (
	"fmt"
	"math"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// Measured is the member "measured_marks" of `merestone check --format json --full`; ok is
// false where no mark was measured.
func Measured(p *plan.Plan) (member diag.Member, ok bool) {
	out := []measuredShape{}
	for _, m := range p.Survey.Marks {
		if !m.Measured.Form.FromOthers() {
			continue
		}
		e := m.Measured.Ellipse
		shape := measuredShape{
			Mark: m.Name, By: form(m), From: basesOf(p, m), EastMM: m.Point.E, NorthMM: m.Point.N,
			MajorMM: words.Round(e.Major, 3), MinorMM: words.Round(e.Minor, 3), BearingDeg: words.Round(e.BearingRad*180/math.Pi, 3),
		}
		out = append(out, shape)
	}
	return diag.Member{Name: "measured_marks", Value: out}, len(out) > 0
}

// measuredShape has one standard deviation along the axes of the ellipse, and the bearing
// of the major one in the frame.
type measuredShape struct {
	Mark       string   `json:"mark"`
	By         string   `json:"by"`
	From       []string `json:"from"`
	EastMM     int64    `json:"east_mm"`
	NorthMM    int64    `json:"north_mm"`
	MajorMM    float64  `json:"major_mm"`
	MinorMM    float64  `json:"minor_mm"`
	BearingDeg float64  `json:"bearing_deg"`
}

// measured prints them. The ellipse is in millimetres: a tape has no finer ones.
func (r *printer) measured() {
	rows := [][]string{{"mark", "east m", "north m", "major mm", "minor mm", "at deg", "by"}}
	for _, m := range r.p.Survey.Marks {
		if !m.Measured.Form.FromOthers() {
			continue
		}
		e := m.Measured.Ellipse
		rows = append(rows, []string{m.Name, metres3(m.Point.E), metres3(m.Point.N), fmt.Sprintf("%.1f", e.Major), fmt.Sprintf("%.1f", e.Minor),
			fmt.Sprintf("%.0f", math.Mod(math.Round(e.BearingRad*180/math.Pi), 180)), form(m) + " " + strings.Join(firstFew(basesOf(r.p, m)), ", ")})
	}
	if len(rows) == 1 {
		return
	}
	r.line("MEASURED MARKS (ellipse of one standard deviation; bearing of its major axis)")
	r.table(rows)
	r.line("")
}

// form is how a mark was measured, in a word.
func form(m plan.Mark) string {
	switch m.Measured.Form {
	case plan.Step:
		return "east, north"
	case plan.Ray:
		if m.Measured.Given.Magnetic {
			return "compass"
		}
		return "bearing"
	case plan.Tapes:
		return "tapes"
	default:
		return "line"
	}
}

func basesOf(p *plan.Plan, m plan.Mark) []string {
	var names []string
	for _, i := range m.Measured.From {
		names = append(names, p.Survey.Marks[i].Name)
	}
	return names
}

// firstFew are three names, and how many are left.
func firstFew(names []string) []string {
	if len(names) > 3 {
		return append(names[:3:3], fmt.Sprintf("+%d", len(names)-3))
	}
	return names
}
