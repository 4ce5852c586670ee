// The holds as an object for programs: the wiring, every fault with what the board reads,
// what the drive does and when it is found, the written test, and the distance to keep.
package report

import (
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/plan"
)

// Holds is the member of `merestone check --format json --full`; ok is false where the
// circuits cannot be modelled or there are none.
func Holds(p *plan.Plan) (member diag.Member, ok bool) {
	t := p.Holds.Faults
	if p.Holds.FaultsErr != nil || len(p.Holds.List) == 0 {
		return diag.Member{}, false
	}
	keep, step := p.KeepAway(), func(i int) string {
		if i < 0 {
			return ""
		}
		return t.Tests[i].ID
	}
	out := holdsShape{
		Picture:    t.Picture(),
		Thresholds: thresholdsShape{SupplyMV: t.Board.SupplyMV, LowBelowMV: t.Board.LowBelowMV, HighAboveMV: t.Board.HighAboveMV},
		Faults:     []faultShape{}, Tests: []testShape{},
		Keep: keepShape{
			ReactionMS: p.Board.Timing.HoldMS, HolderMS: plan.HolderMS, RestMS: keep.RestMS,
			HolderMM: keep.HolderMM, ReactionMM: keep.ReactionMM, CoastMM: keep.CoastMM, WalkMM: keep.WalkMM, TotalMM: keep.TotalMM,
		},
	}
	for _, r := range t.Rows {
		if r.Fault.Kind == circuit.NoFault {
			continue
		}
		with := "drive path"
		if len(r.Circuits) > 0 {
			with = strings.Join(r.Circuits, ", ")
		}
		out.Faults = append(out.Faults, faultShape{
			With: with, Fault: r.Fault.String(), Run: readingShapes(r.Run), Stop: readingShapes(r.Stop),
			Drive: r.Outcome.String(), Found: r.Found.String(), Test: step(r.Test),
			Against: append([]string{}, r.Unstopped...), OwnStopLost: r.OwnStopLost, Says: r.Sentence, Covered: p.Holds.Path.CoveredBy(r.Fault),
		})
	}
	for _, s := range t.Tests {
		out.Tests = append(out.Tests, testShape{s.ID, s.Do, s.Expect, s.Meter})
	}
	return diag.Member{Name: "holds", Value: out}, true
}

type holdsShape struct {
	Picture    []string        `json:"picture"`
	Thresholds thresholdsShape `json:"thresholds"`
	Faults     []faultShape    `json:"faults"`
	Tests      []testShape     `json:"tests"`
	Keep       keepShape       `json:"distance_to_keep"`
}

type thresholdsShape struct {
	SupplyMV    int64 `json:"supply_mv"`
	LowBelowMV  int64 `json:"low_below_mv"`
	HighAboveMV int64 `json:"high_above_mv"`
}

type faultShape struct {
	With        string         `json:"with"` // the holds that it touches, or drive path
	Fault       string         `json:"fault"`
	Run         []readingShape `json:"run"`  // while every hold asks for run
	Stop        []readingShape `json:"stop"` // while at least one asks for stop
	Drive       string         `json:"drive"`
	Found       string         `json:"found"`
	Test        string         `json:"test"`    // the step that finds it
	Against     []string       `json:"against"` // holds that do not stop the drive
	OwnStopLost bool           `json:"own_stop_lost"`
	Says        string         `json:"says"`
	Covered     string         `json:"covered"`
}

type readingShape struct {
	Pin     int    `json:"pin"`
	Level   string `json:"level"`
	LeastMV int64  `json:"least_mv"`
	MostMV  int64  `json:"most_mv"`
}

type testShape struct {
	ID    string `json:"id"`
	Do    string `json:"do"`
	Must  string `json:"must"`
	Meter bool   `json:"meter"`
}

type keepShape struct {
	HolderMS   int64 `json:"holder_ms"`
	ReactionMS int64 `json:"reaction_ms"`
	RestMS     int64 `json:"coast_ms"`
	HolderMM   int64 `json:"holder_mm"`
	ReactionMM int64 `json:"reaction_mm"`
	CoastMM    int64 `json:"coast_mm"`
	WalkMM     int64 `json:"walker_mm"`
	TotalMM    int64 `json:"total_mm"`
}

func readingShapes(readings []circuit.Reading) []readingShape {
	list := []readingShape{}
	for _, r := range readings {
		list = append(list, readingShape{r.Pin, r.Level.String(), r.MinMV, r.MaxMV})
	}
	return list
}
