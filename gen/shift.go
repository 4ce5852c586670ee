// The header of one day's site shift, and how its own are known.
package gen

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"merestone/internal/figures"
	"merestone/internal/guidance"
	"merestone/internal/plan"
)

// Shift is a site shift for the board, with what its header says of it.
type Shift struct {
	Day                      time.Time
	EastMM, NorthMM, SineQ30 int64
	Found                    []string // lines: on what marks, how well
}

// ShiftHeader gives the header of one day's site shift: what mere_set_shift takes. Tool
// names the program's version.
func ShiftHeader(p *plan.Plan, s Shift, tool string) ([]byte, error) {
	digest := figures.Digest(p)
	found := make([]string, len(s.Found))
	for i, line := range s.Found {
		found[i] = ascii(line)
	}
	return render("shift.h.tmpl", struct {
		Shift
		ID, Guard, Mission, Date, Tool string
		Digest                         [32]byte
		Bytes, Found                   []string
		Format                         int
		Day                            int
	}{
		Shift: s, ID: p.Identifier, Guard: strings.ToUpper(p.Identifier) + "_SHIFT_H", Mission: p.Mission, Date: s.Day.Format(time.DateOnly), Tool: tool,
		Day: DayNumber(s.Day), Digest: digest, Bytes: cells(digest[:], "0x%02Xu", 8), Found: found, Format: guidance.RecordFormat,
	})
}

// DayNumber is a day as the board's tables have it: 20260510 for the 10th of May 2026.
func DayNumber(day time.Time) int { return day.Year()*10000 + int(day.Month())*100 + day.Day() }

// IsShiftHeader tells whether a text is a header of a site shift of this mission, which
// a newer one may take the place of.
func IsShiftHeader(p *plan.Plan, text []byte) bool {
	return bytes.HasPrefix(text, fmt.Appendf(nil, "/*\n * Site shift of one day for mission %q", p.Mission))
}
