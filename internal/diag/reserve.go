// Reserves: how far a mission is from what would be found wrong with it.
package diag

import (
	"cmp"
	"math"

	"merestone/internal/words"
)

// Reserve is what is left of one limit of a rule, at the place where the least is left.
// The limit is kept as long as what there is, is no less than what is needed.
type Reserve struct {
	Rule     ID
	Severity Severity // of the finding once the limit is passed
	Limit    string   // what is compared, in a few words: "clearance along a leg"
	At       Subject  // where the least is left
	Has      float64  // kept in the unit
	Needs    float64
	Unit     words.Unit
	// Chosen says that both sides are written in the mission, as the speed of a leg and
	// the rover's cruise are: that nothing is left there is usual and says nothing.
	Chosen bool
}

// Left is what is left, below zero where the limit is passed.
func (r Reserve) Left() float64 { return r.Has - r.Needs }

// Kept reports whether the limit is kept.
func (r Reserve) Kept() bool { return r.Has >= r.Needs }

// Share is the part of what there is that is left, by which limits of different kinds are
// compared: 1 where nothing is needed, 0 at the limit.
func (r Reserve) Share() float64 {
	switch {
	case r.Has > 0:
		return r.Left() / r.Has
	case r.Left() < 0:
		return math.Inf(-1)
	default:
		return 0
	}
}

// Nearest is the reserve of which the least part is left, among those of error severity
// that are about one of these kinds and are not chosen; ok is false where there is none.
func Nearest(reserves []Reserve, kinds ...Kind) (nearest Reserve, ok bool) {
	for _, r := range reserves {
		about := false
		for _, k := range kinds {
			about = about || r.At.Kind == k
		}
		if about && r.Severity == Error && !r.Chosen && (!ok || r.Share() < nearest.Share()) {
			nearest, ok = r, true
		}
	}
	return nearest, ok
}

// ByShare orders reserves by the part that is left, the least first: those that refuse a
// mission before those that warn, and of either those that are chosen last.
func ByShare(a, b Reserve) int {
	chosen := func(r Reserve) int {
		if r.Chosen && r.Kept() {
			return 1
		}
		return 0
	}
	return cmp.Or(cmp.Compare(b.Severity, a.Severity), cmp.Compare(chosen(a), chosen(b)), cmp.Compare(a.Share(), b.Share()))
}

// Reserves is the member of `merestone check --format json --full`: every limit, in the
// order of the rules.
func Reserves(reserves []Reserve) Member {
	list := make([]jsonReserve, len(reserves))
	for i, r := range reserves {
		list[i] = jsonReserve{Rule: r.Rule, Severity: r.Severity.String(), Limit: r.Limit, At: jsonSubjects([]Subject{r.At})[0],
			Has: finite(r.Unit.Shown(r.Has)), Needs: finite(r.Unit.Shown(r.Needs)), Left: finite(r.Unit.Shown(r.Left())), Unit: r.Unit.Name, Chosen: r.Chosen}
	}
	return Member{Name: "reserves", Value: list}
}

type jsonReserve struct {
	Rule     ID          `json:"rule"`
	Severity string      `json:"severity"`
	Limit    string      `json:"limit"`
	At       jsonSubject `json:"at"`
	Has      *float64    `json:"has"`
	Needs    *float64    `json:"needs"`
	Left     *float64    `json:"left"`
	Unit     string      `json:"unit"`
	Chosen   bool        `json:"chosen"`
}

// finite is a number as JSON has it: null where it is infinite or none.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
